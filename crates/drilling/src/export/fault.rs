//! What cannot be written into a file.

use crate::outline::Point;

/// Why a file is not written. Holes and strokes count from 0 in the fields and from 1 in the message.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ExportFault {
    /// A number the file cannot carry.
    #[error("{what} is {value}, expected {expected}")]
    Size {
        /// Which number.
        what: &'static str,
        /// The value given.
        value: f64,
        /// The range in words.
        expected: &'static str,
    },
    /// A number of one hole that the file cannot carry.
    #[error("hole {}: its {what} is {value}, expected {expected}", .hole + 1)]
    HoleSize {
        /// Which hole.
        hole: usize,
        /// Which number.
        what: &'static str,
        /// The value given.
        value: f64,
        /// The range in words.
        expected: &'static str,
    },
    /// A leaning hole in a program for a machine that only drills straight down.
    #[error(
        "the hole at x {:.3} mm, y {:.3} mm leans {:.1}°: a machine with three axes needs a jig for it",
        .at.x * 1e3, .at.y * 1e3, .tilt_rad.to_degrees()
    )]
    Leaning {
        /// Where it is.
        at: Point,
        /// How much it leans.
        tilt_rad: f64,
    },
    /// A hole the machine cannot reach.
    #[error(
        "hole {}: {axis} {:.3} mm is beyond the machine's reach of {:.3} to {:.3} mm",
        .hole + 1, .value_m * 1e3, .low_m * 1e3, .high_m * 1e3
    )]
    OutOfReach {
        /// Which hole.
        hole: usize,
        /// Along which axis.
        axis: char,
        /// Where it would go.
        value_m: f64,
        /// Lower end of the reach.
        low_m: f64,
        /// Upper end of the reach.
        high_m: f64,
    },
    /// A program without holes.
    #[error("there is no hole to drill")]
    NoHoles,
}

/// Refuses a number unless `holds`.
pub(super) fn require(
    holds: bool,
    what: &'static str,
    value: f64,
    expected: &'static str,
) -> Result<(), ExportFault> {
    if holds {
        return Ok(());
    }
    Err(ExportFault::Size {
        what,
        value,
        expected,
    })
}
