//! What the pictures of cutting plans share: what becomes of a piece of stock, and the scale bar.

/// What becomes of a piece of stock.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PieceKind {
    /// A part of the cutting list.
    Part,
    /// A left-over long or large enough to go back to the rack.
    Kept,
    /// A left-over for the bin, the boiler or the chipper.
    Waste,
    /// Taken off an end or an edge before the cutting begins.
    Trim,
}

/// A known length drawn under a picture, so that lengths can be measured off it.
#[derive(Clone, Debug, PartialEq)]
pub struct ScaleBar {
    /// Its length in the unit of the picture.
    pub length: f64,
    /// Its length as text with the unit, for example `500 mm`.
    pub label: String,
}
