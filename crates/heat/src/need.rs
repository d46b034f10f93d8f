//! What a recipe must do to a piece: a measure at a place, with limits.

use serde::Serialize;

use crate::measure;
use crate::run::Run;
use crate::trace::Trace;

/// Where in the piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Place {
    /// The thermal middle: the slowest point of a piece that is alike all around.
    Core,
    /// The last face, or the corner that is ahead of all.
    Surface,
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
    /// Time at or above a temperature in one stretch, s.
    HoldAbove {
        /// The temperature, K.
        temperature_k: f64,
    },
    /// Time at or below a temperature in one stretch, s.
    HoldBelow {
        /// The temperature, K.
        temperature_k: f64,
    },
    /// All time at or above a temperature, s.
    TimeAbove {
        /// The temperature, K.
        temperature_k: f64,
    },
    /// All time at or below a temperature, s.
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
    Growth {
        /// Slope of the square-root model, 1/(K √s).
        slope: f64,
        /// Temperature below which nothing grows, K.
        least_k: f64,
    },
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

/// The histories of one piece.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    core: Trace,
    surface: Trace,
    first: Trace,
    mean: Trace,
}

impl Piece {
    /// Those of a run.
    pub fn of(run: &Run) -> Self {
        Self {
            core: run.middle.clone(),
            surface: run.last.clone(),
            first: run.first.clone(),
            mean: run.mean.clone(),
        }
    }

    /// As far as a time.
    #[must_use]
    pub fn until(&self, time_s: f64) -> Self {
        Self {
            core: self.core.until(time_s),
            surface: self.surface.until(time_s),
            first: self.first.until(time_s),
            mean: self.mean.until(time_s),
        }
    }

    /// The history at a place.
    pub fn trace(&self, place: Place) -> &Trace {
        match place {
            Place::Core => &self.core,
            Place::Surface => &self.surface,
            Place::FirstFace => &self.first,
            Place::Mean => &self.mean,
        }
    }
}
