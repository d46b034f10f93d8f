//! Holds a tour against its question: every point once, and the length as stated.

use super::{Metric, Question, Tour};

/// What is wrong with a tour.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TourFault {
    /// A number that is no point.
    #[error("point {0} does not exist")]
    Unknown(usize),
    /// A point comes twice.
    #[error("point {0} is visited twice")]
    Twice(usize),
    /// A point is left out.
    #[error("point {0} is not visited")]
    Missed(usize),
    /// The length is not that of the order.
    #[error("the way is {found} long, not {stated}")]
    Length {
        /// As the answer has it.
        stated: f64,
        /// As added up again.
        found: f64,
    },
}

/// Lengths may differ by rounding, as the sum may be taken in another order.
const RELATIVE: f64 = 1e-9;

/// Whether a tour answers its question.
pub fn check<M: Metric>(question: &Question<'_, M>, tour: &Tour) -> Result<(), TourFault> {
    let mut seen = vec![false; question.points().len()];
    for &point in &tour.order {
        match seen.get_mut(point) {
            None => return Err(TourFault::Unknown(point)),
            Some(seen) if *seen => return Err(TourFault::Twice(point)),
            Some(seen) => *seen = true,
        }
    }
    if let Some(missed) = seen.iter().position(|&seen| !seen) {
        return Err(TourFault::Missed(missed));
    }
    let found = question.length(&tour.order);
    let stated = tour.length;
    // A NaN is near to nothing.
    if (found - stated).abs() <= RELATIVE * found.abs().max(stated.abs()) {
        Ok(())
    } else {
        Err(TourFault::Length { stated, found })
    }
}
