//! Tornado: what drives a figure, each driver moved from its low to its high, the widest on top.

use crate::frame::{Frame, nothing_to_draw};

/// One driver.
#[derive(Clone, Debug, PartialEq)]
pub struct TornadoBar {
    /// The driver.
    pub name: String,
    /// The driver's low value as printed, for example `88 %`; may be empty.
    pub low_input: String,
    /// The driver's high value as printed; may be empty.
    pub high_input: String,
    /// The figure with the driver at its low value.
    pub low: f64,
    /// The figure with the driver at its high value.
    pub high: f64,
}

/// Drivers of one figure.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tornado {
    /// The figure with every driver at its likely value.
    pub base: f64,
    /// Unit of the figure, for example `EUR each`.
    pub unit: String,
    /// Drivers in any order; the picture sorts by span.
    pub bars: Vec<TornadoBar>,
}

/// Draws the drivers about the base value.
pub fn tornado(frame: &Frame, _tornado: &Tornado) -> String {
    nothing_to_draw(frame, "no drivers")
}
