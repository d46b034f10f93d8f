//! Measured logs: what each probe went through, which one is odd, whether the load passes, and which coefficient
//! of heat transfer explains what was measured.

mod fit;
mod judge;
mod odd;

pub use fit::{FittedCoefficient, fit_coefficient};
pub use judge::{Judged, Verdict, judge};
pub use odd::{Offset, offsets};

use serde::Serialize;

use crate::trace::Trace;

/// What one probe recorded.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Probe {
    /// Its name.
    pub name: String,
    /// What it recorded, K.
    pub trace: Trace,
}
