//! What comes of moulding, as plain data: times in s, lengths in m, temperatures in K, masses in kg, forces in N.

use serde::Serialize;
use works::{OperationId, Span};

/// The moulding of one operation: cooling, cycle, clamp, shot, residence.
#[derive(Clone, Debug, Serialize)]
pub struct MouldPlan {
    /// The operation.
    pub operation: OperationId,
    /// Its name: `glide tape, mould gliders`.
    pub name: String,
    /// Where it was written.
    #[serde(skip)]
    pub at: Span,
    /// What cools: `wall of nylon, its mean down to 120 degC`.
    pub words: String,
    /// `likely` by the middle of all that is stated, then `slowest` and `fastest` by its ends; one where nothing varies.
    pub sides: Vec<MouldSide>,
    /// Time to fill, s.
    pub fill_s: f64,
    /// Time under holding pressure, s.
    pub pack_s: f64,
    /// Time to open, eject and close, s.
    pub open_s: f64,
    /// Time to make the next shot ready, s, where the machine and the shot say it.
    pub plastify_s: Option<f64>,
    /// Base units of output from one cycle.
    pub units: f64,
    /// The cycle of the stated pace; none where nothing is stated.
    pub stated: Option<StatedCycle>,
    /// Good base units of output in an hour at the likely cycle, stops taken off.
    pub per_hour: f64,
    /// The same at the stated cycle.
    pub per_hour_stated: Option<f64>,
    /// Clamp force, where area and pressure are stated.
    pub clamp: Option<ClampLine>,
    /// The shot and its barrel, where the melt is counted by mass.
    pub shot: Option<ShotLine>,
    /// What was found, one plain sentence each.
    pub sentences: Vec<String>,
    /// Cautions.
    pub cautions: Vec<String>,
}

impl MouldPlan {
    /// The cycle by the middle of all that is stated.
    pub fn likely(&self) -> &MouldSide {
        &self.sides[0]
    }

    /// Whether the stated cycle is long enough, and the machine holds the mould shut, has room for the shot and lets melt go in time.
    pub fn does_its_job(&self) -> bool {
        let clamp = self.clamp.and_then(|clamp| clamp.met);
        let residence = self.shot.and_then(|shot| shot.residence_met);
        let too_large = self.shot.is_some_and(|shot| shot.is_too_large());
        !self.is_too_short() && !too_large && clamp != Some(false) && residence != Some(false)
    }

    /// Whether the stated cycle is shorter than the likely one.
    pub fn is_too_short(&self) -> bool {
        self.stated.as_ref().is_some_and(|stated| !stated.met)
    }

    /// The longest of the cycles found: what does for every wall.
    pub fn longest_s(&self) -> f64 {
        self.sides
            .iter()
            .map(|side| side.cycle_s)
            .fold(0.0, f64::max)
    }
}

/// A wall and its cycle.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MouldSide {
    /// `likely`, `slowest`, `fastest`.
    pub name: String,
    /// Wall, m.
    pub wall_m: f64,
    /// Diffusivity, m²/s.
    pub diffusivity_m2_s: f64,
    /// Melt, K.
    pub melt_k: f64,
    /// Mould, K.
    pub mould_k: f64,
    /// Taken out at, K.
    pub eject_k: f64,
    /// Cooling by the whole series, s.
    pub cool_s: f64,
    /// By its first term, as hand figures have it, s.
    pub first_term_s: f64,
    /// The cycle, s.
    pub cycle_s: f64,
    /// Whether it waits for the screw rather than for the part.
    pub waits_for_screw: bool,
    /// Packing and cooling as a share of it.
    pub cooling_share: f64,
}

/// The cycle that the route states.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StatedCycle {
    /// All of it, s.
    pub cycle_s: f64,
    /// What it leaves for cooling, s.
    pub cools_s: f64,
    /// What the wall comes down to in that, K, in order of [`MouldPlan::sides`].
    pub ends_k: Vec<f64>,
    /// Whether it is as long as the likely cycle.
    pub met: bool,
    /// Whether it is as long as the slowest.
    pub for_all: bool,
}

/// The force that holds the mould shut.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ClampLine {
    /// Area times pressure, N.
    pub opens_n: f64,
    /// With a margin, N.
    pub needed_n: f64,
    /// That margin, as a factor.
    pub margin: f64,
    /// Of the machine, N; none where its station does not say.
    pub machine_n: Option<f64>,
    /// Whether the machine has as much.
    pub met: Option<bool>,
}

/// The shot and its barrel.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ShotLine {
    /// Melt of one cycle, kg.
    pub shot_kg: f64,
    /// Melt that the barrel holds, kg.
    pub barrel_kg: Option<f64>,
    /// Shot over barrel.
    pub share: Option<f64>,
    /// How long melt stays in the barrel, s, at the cycle that is planned with.
    pub residence_s: Option<f64>,
    /// The range that the works allows, s.
    pub allowed_s: Option<(f64, f64)>,
    /// Whether it stays as long as it may.
    pub residence_met: Option<bool>,
}

impl ShotLine {
    /// Whether it is more than the barrel holds.
    pub fn is_too_large(&self) -> bool {
        self.barrel_kg.is_some_and(|barrel| self.shot_kg > barrel)
    }
}
