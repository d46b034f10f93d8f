//! The line speed that cures two thicknesses at once, or that there is none.

use serde::Serialize;

use super::{Outlook, Window};
use crate::fault::{Fault, positive};

/// Speeds of a conveyor at which every piece gets enough and none too much.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Speeds {
    /// The slowest, m/s; none when no dwell looked at is too long.
    pub slowest_m_s: Option<f64>,
    /// The fastest, m/s.
    pub fastest_m_s: f64,
}

/// Speeds from a window of dwells in a heated length. `None` means not together.
pub fn speeds(outlook: &Outlook, length_m: f64) -> Result<Option<Speeds>, Fault> {
    positive("heated length", length_m)?;
    let of = |window: Window| Speeds {
        slowest_m_s: window.longest_s.map(|longest| length_m / longest),
        fastest_m_s: length_m / window.shortest_s,
    };
    Ok(outlook.window.map(of))
}
