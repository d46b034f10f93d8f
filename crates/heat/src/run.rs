//! A piece through a programme: the question and the answer.

use serde::Serialize;

use crate::body::{Body, Form};
use crate::fault::Fault;
use crate::programme::Programme;
use crate::trace::Trace;

/// An oven, a freezer or a room of finite power around the pieces.
///
/// The air of the programme's stages is then what the controller aims at. Heating and cooling power run in
/// full until the air is within `band_k` of the aim, and in proportion from there.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Chamber {
    /// Pieces in it.
    pub pieces: f64,
    /// Face area of one piece that the air reaches, m²; that of the body for bricks, cans and spheres.
    pub area_m2: f64,
    /// Heat capacity of air, walls and racks, J/K.
    pub stores_j_k: f64,
    /// Greatest heating power, W.
    pub heating_w: f64,
    /// Greatest cooling power, W.
    pub cooling_w: f64,
    /// Heat lost to the surroundings, W/K.
    pub loses_w_k: f64,
    /// The surroundings, K.
    pub around_k: f64,
    /// The controller's band, K.
    pub band_k: f64,
    /// Air when the load goes in, K.
    pub starts_k: f64,
}

/// A piece through a programme.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Case {
    /// The piece.
    pub body: Body,
    /// Its temperature at the beginning, K.
    pub from_k: f64,
    /// What surrounds it.
    pub programme: Programme,
    /// What holds it, where power is finite; every stage's air is then the aim.
    pub chamber: Option<Chamber>,
}

/// How finely to follow it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Accuracy {
    /// Cells through the thickness (through the diameter of round forms) on the coarse grid; the fine grid has
    /// twice as many.
    pub cells: usize,
    /// Allowed error of temperature in one step of time, K.
    pub step_k: f64,
}

impl Default for Accuracy {
    fn default() -> Self {
        Self {
            cells: 24,
            step_k: 0.02,
        }
    }
}

/// Temperatures through the piece at one time.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Profile {
    /// s from the beginning.
    pub time_s: f64,
    /// Depth from the first face (from the middle for other forms), m, and temperature, K.
    pub temperatures: Vec<(f64, f64)>,
}

/// What the piece went through, as traces along time.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct History {
    /// The first face of a slab; the middle of other forms, K.
    pub first: Trace,
    /// The thermal middle: mid-thickness of a slab, the middle of other forms, K.
    pub middle: Trace,
    /// The last face; for bricks and cans the corner that is ahead of all, K.
    pub last: Trace,
    /// By mass, K: what the piece comes to when it is left alone.
    pub mean: Trace,
    /// Air at the last face, K: the programme's, or what a chamber of finite power reached; the temperature of
    /// a face that is held, or of the face itself where nothing meets it.
    pub air: Trace,
    /// Heat into one piece since the beginning, J (per m² of face for slabs, per m of length for cylinders).
    pub heat: Trace,
}

/// What a chamber of finite power spent, J.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Spent {
    /// Put in by its heaters.
    pub heating_j: f64,
    /// Taken out by its coolers.
    pub cooling_j: f64,
    /// Lost to the surroundings; below zero where they warm it.
    pub lost_j: f64,
}

/// A number read from a run, with its estimated error.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Estimate {
    /// The number.
    pub value: f64,
    /// How far it may be off, in its own unit.
    pub error: f64,
}

/// A piece through a programme: the answer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Run {
    /// What the piece went through, as well as it is known.
    pub history: History,
    /// The same on the coarse grid, to tell the error of anything read from it: see [`Run::estimate`].
    pub coarse: History,
    /// Whether `history` is moved towards the limit by a third of the difference of the two grids, or is that
    /// of the fine grid as it is, because something melts sharply.
    pub improved: bool,
    /// Profiles at the end of each stage.
    pub profiles: Vec<Profile>,
    /// Estimated error of the temperatures in `history`, K: the greatest difference between the two grids
    /// over all samples of faces, middle and mean; a third of it where the error falls by four with cells and
    /// steps halved. It is that of the fine grid, before it is moved, hence on the safe side. Where a trace runs
    /// faster than the piece as a whole (a face just after a jump of the air), the difference counts as the
    /// time by which the grids are apart, at the pace of the piece.
    pub error_k: f64,
    /// Heat that the books do not explain, as a share of all heat that passed the faces.
    pub unexplained: f64,
    /// Steps of time on the fine grid.
    pub steps: usize,
    /// What the chamber spent, if there is one.
    pub spent: Option<Spent>,
}

impl Run {
    /// A number read from the history, such as the time at which a level is crossed, with its estimated error
    /// from the same reading of the coarse grid. `None` where either gives none.
    pub fn estimate(&self, read: impl Fn(&History) -> Option<f64>) -> Option<Estimate> {
        let (value, coarse) = (read(&self.history)?, read(&self.coarse)?);
        // Moved, the answer is four thirds of the difference of the grids away from the coarse one, and its
        // error is put at a third of that difference.
        let share = if self.improved { 0.25 } else { 1.0 };
        Some(Estimate {
            value,
            error: share * (value - coarse).abs(),
        })
    }
}

/// Follows a piece through its programme: slabs, long cylinders and balls in one direction, blocks and short cylinders
/// in all that heat enters from.
///
/// # Errors
/// Faults of the numbers given, and of what the engine cannot follow; see [`crate::solve::follow`] and
/// [`crate::block::follow`].
pub fn follow(case: &Case, accuracy: &Accuracy) -> Result<Run, Fault> {
    match case.body.form() {
        Form::Slab | Form::Cylinder | Form::Sphere => crate::solve::follow(case, accuracy),
        Form::Brick { .. } | Form::Can { .. } => crate::block::follow(case, accuracy),
    }
}
