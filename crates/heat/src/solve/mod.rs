//! A piece followed through a programme: heat by heat, node by node.
//!
//! Finite volumes with heat content as the unknown, so that no heat is lost where a phase changes; conduction by
//! the conductivity integral; implicit steps of second order whose error is held. Every answer is worked out
//! on two grids, so that it comes with an estimate of its error.

pub(crate) mod chamber;
pub(crate) mod compare;
pub(crate) mod curve;
pub(crate) mod faces;
mod flows;
mod grid;
mod linear;
mod march;
mod mesh;
mod newton;
mod step;
pub(crate) mod track;

use crate::body::Form;
use crate::fault::{Fault, positive};
use crate::run::{Accuracy, Case, Run, Spent};
use chamber::Plant;
use grid::Cut;
use march::Way;
use mesh::Mesh;
use step::Stepper;

/// Fewest and most cells of the coarse grid.
const CELLS: [usize; 2] = [4, 20_000];

/// Follows a piece through its programme.
///
/// The answer is that of the fine grid moved towards the limit (Richardson 1911); where something melts
/// sharply within the temperatures met, whose front jumps from node to node, it is that of the fine grid as it
/// is. See [`Run`] for what its error means.
///
/// A chamber's air is also that of the walls which radiate. A phase that changes at the very temperature of the
/// start counts as not yet changed towards the warmer one.
///
/// # Errors
/// Faults of the numbers given; blocks and short cylinders; steps that became too short.
pub fn follow(case: &Case, accuracy: &Accuracy) -> Result<Run, Fault> {
    check(case, accuracy)?;
    match case.body.form() {
        Form::Slab | Form::Cylinder | Form::Sphere => Question::new(case)?.answer(accuracy),
        Form::Brick { .. } | Form::Can { .. } => Err(Fault::Impossible {
            asked: "follow a block or a short cylinder in one direction",
            why: "heat enters it from several sides".to_owned(),
        }),
    }
}

pub(crate) fn check(case: &Case, accuracy: &Accuracy) -> Result<(), Fault> {
    positive("absolute temperature", case.from_k)?;
    positive("allowed error of temperature", accuracy.step_k)?;
    let [low, high] = CELLS;
    if !(low..=high).contains(&accuracy.cells) {
        return Err(Fault::OutOfRange {
            what: "number of cells",
            found: accuracy.cells as f64,
            low: low as f64,
            high: high as f64,
        });
    }
    Ok(())
}

/// A case with what follows from it for both grids.
struct Question<'a> {
    case: &'a Case,
    /// The lowest and highest temperature there can be, K.
    range_k: [f64; 2],
    half: bool,
    round: bool,
}

impl<'a> Question<'a> {
    fn new(case: &'a Case) -> Result<Self, Fault> {
        let round = case.body.form() != Form::Slab;
        let stages = case.programme.stages();
        let half = !round
            && grid::mirrors(case.body.layers())
            && stages.iter().all(|stage| stage.first == stage.last);
        let range_k = stages.iter().fold([case.from_k; 2], |range, stage| {
            faces::widen(range, stage, round)
        });
        let mut new = Self {
            case,
            range_k,
            half,
            round,
        };
        if let Some(plant) = new.plant(1.0)? {
            new.range_k = plant.widen(range_k);
        }
        Ok(new)
    }

    fn plant(&self, outer_area: f64) -> Result<Option<Plant>, Fault> {
        Plant::new(self.case, outer_area, self.half)
    }

    fn mesh(&self, cells: usize, finer: usize) -> Mesh {
        let stages = self.case.programme.stages();
        let cut = Cut {
            cells,
            finer,
            half: self.half,
            from_k: self.case.from_k,
            range_k: self.range_k,
            shortest_s: faces::shortest(stages, self.round),
        };
        Mesh::new(&self.case.body, &cut)
    }

    fn answer(&self, accuracy: &Accuracy) -> Result<Run, Fault> {
        let way = Way {
            stages: self.case.programme.stages(),
            open: [!self.round, !self.half],
            allowed_k: accuracy.step_k,
        };
        let coarse_mesh = self.mesh(accuracy.cells, 1);
        let plant = self.plant(coarse_mesh.area[1])?;
        let mut stepper = Stepper::new(&coarse_mesh, plant, self.range_k);
        let (coarse, steps) = way.adaptive(&mut stepper)?;
        let mesh = self.mesh(accuracy.cells, 2);
        let mut stepper = Stepper::new(&mesh, plant, self.range_k);
        let (mut fine, taken) = way.halved(&mut stepper, &steps)?;
        let apart = compare::difference(&fine, &coarse, mesh.kelvin_per_joule(self.range_k));
        let smooth = compare::smooth(&mesh, self.range_k);
        if smooth {
            compare::improve(&mut fine, &coarse, self.range_k);
        }
        let mut time_s = 0.0;
        let profiles = way.stages.iter().zip(&fine.profiles).map(|(stage, at)| {
            time_s += stage.lasts_s;
            track::profile(time_s, &mesh.depth, at, self.half)
        });
        Ok(Run {
            profiles: profiles.collect(),
            history: fine.history(),
            coarse: coarse.history(),
            improved: smooth,
            error_k: if smooth { apart / 3.0 } else { apart },
            unexplained: stepper.unexplained(),
            steps: taken,
            spent: plant.map(|_| Spent {
                heating_j: stepper.books.heating,
                cooling_j: stepper.books.cooling,
                lost_j: stepper.books.lost,
            }),
        })
    }
}
