//! Frame strip: a notched strip laid flat with its measures, and the frame it folds into.

use crate::frame::{Frame, nothing_to_draw};

/// A V cut out of one edge of the strip, where it folds.
#[derive(Clone, Debug, PartialEq)]
pub struct StripNotch {
    /// Middle of the notch along the strip.
    pub at: f64,
    /// How wide it opens at the edge.
    pub opening: f64,
    /// How deep it goes.
    pub depth: f64,
    /// Its place as text, measured from the left end, for example `612.4 mm`.
    pub label: String,
}

/// A stretch of the strip with its length as text.
#[derive(Clone, Debug, PartialEq)]
pub struct StripDimension {
    /// From and to along the strip.
    pub span: (f64, f64),
    /// Its length as text, for example `597.2 mm`.
    pub label: String,
}

/// The frame after folding.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FoldedFrame {
    /// Outer corners in the order of the notches, x to the right and y upwards.
    pub corners: Vec<(f64, f64)>,
    /// Length of each side as text: the first runs from the first corner to the second. May be
    /// shorter than the corners.
    pub side_labels: Vec<String>,
    /// Where the two ends of the strip meet.
    pub joint: Option<(f64, f64)>,
    /// How far out of square, how wide the corner gap and the like; may be empty.
    pub note: String,
}

/// The strip and its frame. All lengths are in one unit of the caller's choice.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FrameStrip {
    /// Blank length.
    pub length: f64,
    /// Width of the strip; the notches are in the upper edge.
    pub width: f64,
    /// Blank length as text with the unit.
    pub length_label: String,
    /// Notches from left to right; they are numbered, and so are the corners they fold into.
    pub notches: Vec<StripNotch>,
    /// Lengths between folds.
    pub dimensions: Vec<StripDimension>,
    /// The lap at one end, from and to along the strip.
    pub lap: Option<(f64, f64)>,
    /// What it folds into.
    pub folded: Option<FoldedFrame>,
}

/// Draws the strip flat with notches, their places and the lengths between, and the folded frame.
pub fn frame_strip(frame: &Frame, strip: &FrameStrip) -> String {
    nothing_to_draw(frame, &format!("{} notches", strip.notches.len()))
}
