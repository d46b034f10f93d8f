//! Blocks and short cylinders followed through a programme: heat enters from all sides.
//!
//! The same balance of heat as in one direction (finite volumes with heat content as the unknown, conduction by
//! the conductivity integral), in the eighth of a brick or the upper half of a can that symmetry leaves. Steps are
//! explicit with as many parts as stability asks for, which needs no equations solved and minds no kinks.

mod chebyshev;
mod flow;
mod grid;
mod march;
mod step;

use crate::body::Form;
use crate::fault::Fault;
use crate::programme::{Face, Stage};
use crate::run::{Accuracy, Case, Profile, Run};
use crate::solve::chamber::Plant;
use crate::solve::curve::Curve;
use crate::solve::faces::Ends;
use crate::solve::{compare, faces};
use flow::Flow;
use grid::Grid;
use march::march;
use step::Stepper;

/// Fewest cells from the middle to a face of the coarse grid where the piece is nearly even inside.
const FEWEST_CELLS: usize = 4;

/// Most cells of the coarse grid through the thickness: the fine one has then half a million nodes.
const MOST_CELLS: usize = 80;

/// Follows a brick or a can through its programme, every outer face of which meets what the last face does.
///
/// Cells are counted through the whole of every direction, and lie closer together towards the faces; where the piece
/// conducts so well that it stays nearly even inside, fewer are taken. The answer
/// is that of the fine grid moved towards the limit (Richardson 1911), or as it is where something melts sharply
/// within the temperatures met. Profiles go from the middle along the first direction: x, or the radius.
///
/// # Errors
/// Faults of the numbers given; slabs, long cylinders and spheres; steps that became too short.
pub fn follow(case: &Case, accuracy: &Accuracy) -> Result<Run, Fault> {
    crate::solve::check(case, accuracy)?;
    let cells = cells(case, accuracy.cells.div_ceil(2));
    if accuracy.cells > MOST_CELLS {
        return Err(Fault::OutOfRange {
            what: "number of cells in a block",
            found: accuracy.cells as f64,
            low: 4.0,
            high: MOST_CELLS as f64,
        });
    }
    let (Some(coarse), Some(fine)) = (
        Grid::new(&case.body, cells),
        Grid::new(&case.body, 2 * cells),
    ) else {
        return Err(Fault::Impossible {
            asked: "follow a long or round piece as a block",
            why: "heat goes through it in one direction only".to_owned(),
        });
    };
    answer(case, accuracy.step_k, &coarse, &fine)
}

/// Cells from the middle to a face. Differences inside the piece, and with them the errors of a grid, are Bi times
/// smaller than those to the air where Bi is below 1, and errors fall with the square of cells.
fn cells(case: &Case, asked: usize) -> usize {
    let half = match case.body.form() {
        Form::Brick { y_m, z_m } => 0.5 * case.body.depth_m().max(y_m).max(z_m),
        Form::Can { height_m } => case.body.depth_m().max(0.5 * height_m),
        Form::Slab | Form::Cylinder | Form::Sphere => return asked,
    };
    let points = case
        .body
        .layers()
        .iter()
        .flat_map(|layer| layer.material.points());
    let conducts = points
        .map(|point| point.conductivity_w_m_k)
        .fold(f64::INFINITY, f64::min);
    let passes = |stage: &Stage| match stage.last {
        Face::Insulated => 0.0,
        Face::Held(_) => f64::INFINITY,
        Face::Open { .. } => {
            let [_, hottest] = faces::widen([case.from_k; 2], stage, true);
            let meets = Ends::new(stage, [false, true], [0.0, 1.0]).at(0.0, None)[1];
            meets.passes(hottest).by_face.abs()
        }
    };
    let most = case
        .programme
        .stages()
        .iter()
        .map(passes)
        .fold(0.0, f64::max);
    let share = libm::sqrt((most * half / conducts).min(1.0));
    let enough = libm::ceil(share * asked as f64) as usize;
    enough.max(FEWEST_CELLS).min(asked)
}

/// What heat counts as in the comparison of grids: the whole range of temperatures over the heat that it takes.
fn kelvin_per_joule(curve: &Curve, grid: &Grid, [low, high]: [f64; 2]) -> f64 {
    let volume = grid.times * grid.volumes().iter().sum::<f64>();
    let heat = volume * (curve.heats_at(high)[1] - curve.heats_at(low)[0]);
    if heat > 0.0 { (high - low) / heat } else { 0.0 }
}

fn answer(case: &Case, step_k: f64, coarse: &Grid, fine: &Grid) -> Result<Run, Fault> {
    let stages = case.programme.stages();
    let curve = Curve::of(&case.body.layers()[0].material, case.from_k);
    let flow = Flow::new(coarse, &curve);
    let plant = Plant::new(case, coarse.times * flow.area, false)?;
    let mut range_k = stages.iter().fold([case.from_k; 2], |range, stage| {
        faces::widen(range, stage, true)
    });
    if let Some(plant) = &plant {
        range_k = plant.widen(range_k);
    }
    let mut stepper = Stepper::new(flow, plant, coarse.times, range_k);
    let (coarse_track, steps) = march(stages, &mut stepper, step_k, None)?;
    let mut stepper = Stepper::new(Flow::new(fine, &curve), plant, fine.times, range_k);
    // The error of half a step is an eighth; where it is more than twice that, the step is too long.
    let kelvin_per_joule = kelvin_per_joule(&curve, fine, range_k);
    let (mut track, taken) = march(stages, &mut stepper, 0.25 * step_k, Some(&steps))?;
    let apart = compare::difference(&track, &coarse_track, kelvin_per_joule);
    let improved = !curve.stands_still(range_k[0], range_k[1]);
    if improved {
        compare::improve(&mut track, &coarse_track, range_k);
    }
    let mut time_s = 0.0;
    let profiles = stages
        .iter()
        .zip(&track.profiles)
        .map(|(stage, temperatures)| {
            time_s += stage.lasts_s;
            let places = fine.axes[0].places.iter().copied();
            Profile {
                time_s,
                temperatures: places.zip(temperatures.iter().copied()).collect(),
            }
        });
    Ok(Run {
        profiles: profiles.collect(),
        history: track.history(),
        coarse: coarse_track.history(),
        improved,
        error_k: if improved { apart / 3.0 } else { apart },
        unexplained: stepper.unexplained(),
        steps: taken.iter().map(Vec::len).sum(),
        spent: stepper.spent(),
    })
}
