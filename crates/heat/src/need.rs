//! What a recipe must do to a piece: a measure at a place, with limits.

use serde::Serialize;

use crate::fault::Fault;
use crate::measure::above::{above, extremes};
use crate::measure::cure::{Reaction, Window, cure};
use crate::measure::growth::{SquareRoot, growth};
use crate::measure::lethality::{Kill, lethality};
use crate::run::{Estimate, History, Run};
use crate::trace::Trace;

/// Where in the piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Place {
    /// The thermal middle: the slowest point of a piece that is alike all around.
    Core,
    /// The last face, or the corner that is ahead of all.
    Surface,
    /// The air at the last face.
    Air,
    /// The first face of a slab (the middle of other forms).
    FirstFace,
    /// By mass: what the piece comes to when it is left alone.
    Mean,
}

/// What is measured along the history.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum Measure {
    /// The highest temperature, K.
    Highest,
    /// The lowest, K.
    Lowest,
    /// The temperature at the end, K.
    Final,
    /// All time at or above a temperature, s.
    TimeAbove {
        /// The temperature, K.
        temperature_k: f64,
    },
    /// All time below a temperature, s.
    TimeBelow {
        /// The temperature, K.
        temperature_k: f64,
    },
    /// Time at a temperature that cures as much, s.
    Cure {
        /// The reference, K.
        at_k: f64,
        /// Activation energy, J/mol.
        energy_j_mol: f64,
    },
    /// Time at a temperature that kills as much, s.
    Lethality {
        /// The reference, K.
        at_k: f64,
        /// The rise that kills ten times as fast, K.
        z_k: f64,
    },
    /// Screening estimate of growth, powers of ten.
    Growth(SquareRoot),
}

/// A measure at a place with its limits, both included.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Need {
    /// Where.
    pub place: Place,
    /// What.
    pub measure: Measure,
    /// No less than this.
    pub at_least: Option<f64>,
    /// No more than this.
    pub at_most: Option<f64>,
}

/// What is never to be passed is held to its limit to a hundredth of a kelvin: finer than any thermometer on a floor, and
/// coarser than the rounding by which a piece in air at its very limit would seem to pass it. What is to be reached gets no
/// such help: on a plateau of melting a hundredth of a kelvin is a quarter of an hour.
const SLACK_K: f64 = 0.01;

impl Need {
    /// Whether a value lies within the limits.
    pub fn allows(&self, value: f64) -> bool {
        let slack = match self.measure {
            Measure::Highest if self.at_least.is_none() => SLACK_K,
            Measure::Lowest if self.at_most.is_none() => SLACK_K,
            _ => 0.0,
        };
        self.at_least.is_none_or(|least| value >= least - slack)
            && self.at_most.is_none_or(|most| value <= most + slack)
    }

    /// How far a value lies inside the nearer limit, in the measure's unit; below zero outside. None without limits.
    pub fn margin(&self, value: f64) -> Option<f64> {
        let above = self.at_least.map(|least| value - least);
        let below = self.at_most.map(|most| most - value);
        match (above, below) {
            (Some(above), Some(below)) => Some(above.min(below)),
            (one, other) => one.or(other),
        }
    }

    /// The measure at the end of a run, with its estimated error from the coarse grid.
    pub fn estimate(&self, run: &Run) -> Result<Estimate, Fault> {
        // Both grids go through the same programme: what one can be measured by, the other can.
        self.measure.along(self.place.of(&run.history))?;
        let read = |history: &History| {
            let along = self.measure.along(self.place.of(history)).ok()?;
            Some(along.end())
        };
        run.estimate(read)
            .ok_or(Fault::Missing("sample of the history"))
    }
}

impl Place {
    /// The history there.
    pub fn of(self, history: &History) -> &Trace {
        match self {
            Self::Core => &history.middle,
            Self::Surface => &history.last,
            Self::FirstFace => &history.first,
            Self::Mean => &history.mean,
            Self::Air => &history.air,
        }
    }
}

/// A measure as it grows along one history: what it would be if the history ended at a time.
#[derive(Clone, Debug)]
pub struct Along<'t> {
    measure: Measure,
    trace: &'t Trace,
    /// The running total, for what adds up.
    running: Option<Trace>,
}

impl Measure {
    /// Makes ready to read the measure at any time of a history, K.
    pub fn along(self, trace: &Trace) -> Result<Along<'_>, Fault> {
        if trace.samples().is_empty() {
            return Err(Fault::Missing("sample of the history"));
        }
        let running = match self {
            Self::Cure { at_k, energy_j_mol } => {
                let reaction = Reaction {
                    activation_j_mol: energy_j_mol,
                    reference_k: at_k,
                };
                // Nothing is asked of the total here; a limit of its own would only end the sum early.
                let any = Window {
                    least_s: f64::MAX,
                    most_s: None,
                };
                Some(cure(trace, &reaction, &any)?.running)
            }
            Self::Lethality { at_k, z_k } => {
                let kill = Kill {
                    z_k,
                    reference_k: at_k,
                };
                Some(lethality(trace, &kill, f64::MAX)?.running)
            }
            Self::Growth(model) => Some(growth(trace, &model, f64::MAX)?.running),
            Self::Highest
            | Self::Lowest
            | Self::Final
            | Self::TimeAbove { .. }
            | Self::TimeBelow { .. } => None,
        };
        Ok(Along {
            measure: self,
            trace,
            running,
        })
    }
}

impl Along<'_> {
    /// The measure at the end of the history.
    pub fn end(&self) -> f64 {
        self.until(f64::INFINITY)
    }

    /// The measure if the history ended at this time.
    pub fn until(&self, time_s: f64) -> f64 {
        if let Some(running) = &self.running {
            return running.at(time_s).unwrap_or(0.0);
        }
        let cut = self.trace.until(time_s);
        let value = match self.measure {
            Measure::Highest => extremes(&cut).map(|(_, high)| high.value),
            Measure::Lowest => extremes(&cut).map(|(low, _)| low.value),
            Measure::TimeAbove { temperature_k } => {
                above(&cut, temperature_k, 0.0).map(|above| above.above_s)
            }
            Measure::TimeBelow { temperature_k } => {
                above(&cut, temperature_k, 0.0).map(|above| above.below_s)
            }
            _ => Ok(cut.at(f64::INFINITY).unwrap_or(f64::NAN)),
        };
        // A history that was looked through once holds no fault when it is looked through to an earlier end.
        value.unwrap_or(f64::NAN)
    }
}
