//! Line balance: the work of each station stacked task by task against the takt.

use crate::frame::{Frame, nothing_to_draw};

/// One station of the line.
#[derive(Clone, Debug, PartialEq)]
pub struct BalanceStation {
    /// Its name.
    pub name: String,
    /// Tasks with their time in seconds, from the bottom up.
    pub tasks: Vec<(String, f64)>,
}

/// A balanced line.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LineBalance {
    /// Time between two pieces the line must keep, in seconds.
    pub takt_s: f64,
    /// Stations in the order of the line.
    pub stations: Vec<BalanceStation>,
}

/// Draws stations with their tasks against the takt line.
pub fn line_balance(frame: &Frame, _line: &LineBalance) -> String {
    nothing_to_draw(frame, "no stations")
}
