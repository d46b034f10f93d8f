//! Whether some start is certain enough, without working the start out.
//!
//! The ratio r = E[N²] ÷ E[N]² of what a start gives grows along the chain from 1: a step that
//! varies between lots with coefficient of variation c and between units with u makes it
//! r × (1 + c²) + u² ÷ E[N]. With s = r − 1 at the end, Cantelli's inequality bounds the chance that
//! a start a hundred times the mean gives less than a hundredth of its own mean by s ÷ (s + 0.99²)
//! (Cantelli 1928; from memory). What the bound allows need not be integrated.

use balance::start::{Step, StepKind};

use super::Chain;

/// How many times the mean start is looked at.
const TIMES: f64 = 100.0;
/// The largest start that the engine looks at.
const MOST: f64 = 1e9;

impl Chain {
    /// Whether some start surely fills the demand with the certainty. `false` says nothing.
    pub fn surely_reaches(&self, demand: f64, certainty: f64) -> bool {
        let start = TIMES * self.mean_start(demand);
        let mut units = start;
        let mut ratio = 1.0;
        for step in &self.steps {
            let (mean, lots_cv, unit_cv) = moments(step);
            ratio = ratio * (1.0 + lots_cv * lots_cv) + unit_cv * unit_cv / units;
            units *= mean;
        }
        let s = ratio - 1.0;
        let near = 1.0 - 1.0 / TIMES;
        start <= MOST && s / (s + near * near) <= 1.0 - certainty
    }
}

/// Mean, coefficient of variation between lots, and between units, of what one unit gives.
fn moments(step: &Step) -> (f64, f64, f64) {
    let passes = |share: f64, lots_sd: f64| {
        (
            share,
            lots_sd / share,
            ((1.0 - share) / share).max(0.0).sqrt(),
        )
    };
    match step.kind {
        StepKind::Pieces { good, lots_sd } => passes(good, lots_sd),
        StepKind::Measure { keeps, lots_sd } => (keeps, lots_sd / keeps, 0.0),
        StepKind::Gives { mean, sd, lots_sd } => (mean, lots_sd / mean, sd / mean),
        StepKind::Rework {
            first_pass,
            lots_sd,
            recovered,
        } => {
            let share = first_pass + (1.0 - first_pass) * recovered;
            passes(share, lots_sd * (1.0 - recovered))
        }
    }
}

#[cfg(test)]
mod tests {
    use balance::start::smallest;
    use proptest::prelude::*;

    use super::*;
    use crate::start::From;

    fn chain(kinds: &[StepKind]) -> Chain {
        let steps: Vec<Step> = kinds.iter().map(|kind| Step { kind: *kind }).collect();
        Chain {
            from: From::Units(works::OperationId(0)),
            gives: steps.iter().map(|step| moments(step).0).product(),
            steps,
            whole_units: true,
            lot: None,
            seed: 1,
        }
    }

    #[test]
    fn the_bound_by_hand() {
        // keeps 80 % ± 8 %: c = 0.1, s = 0.01, 0.01 ÷ (0.01 + 0.9801) = 1.01 %: enough for 98.9 %.
        let one = chain(&[StepKind::Measure {
            keeps: 0.8,
            lots_sd: 0.08,
        }]);
        assert!(one.surely_reaches(100.0, 0.9898));
        assert!(!one.surely_reaches(100.0, 0.9900));
    }

    proptest! {
        #[test]
        fn what_is_surely_reached_is_found(
            good in 0.3..0.99_f64,
            part in 0.05..0.9_f64,
            demand in 1_u32..5000,
            certainty in 0.5..0.999_f64,
        ) {
            let lots_sd = part * (good * (1.0 - good)).sqrt();
            let kind = StepKind::Pieces { good, lots_sd };
            let (chain, demand) = (chain(&[kind]), f64::from(demand));
            if chain.surely_reaches(demand, certainty) {
                prop_assert_eq!(smallest(&chain.question(demand), certainty).err(), None);
            }
        }
    }
}
