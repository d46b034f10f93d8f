//! Holds a drilling plan against its job: every hole once, under its head, with its tool, to its depth, on its
//! face; faces or tools kept together; every second accounted for.

use super::job::{DrillPlan, Grouping, Job, Machine, Stroke};
use super::{AxisTime, Metric, Point};
use crate::motion::Breakdown;
use crate::tour::gang::Lift;

/// What is wrong with a plan.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum JobFault {
    /// A stroke drills a hole that is no hole of the job.
    #[error("stroke {stroke} drills hole {hole}, which does not exist")]
    UnknownHole {
        /// The stroke.
        stroke: usize,
        /// The hole.
        hole: usize,
    },
    /// A hole is drilled again.
    #[error("hole {0} is drilled twice")]
    Twice(usize),
    /// A hole is left out.
    #[error("hole {0} is not drilled")]
    Missed(usize),
    /// Wrong tool, face or depth.
    #[error("stroke {stroke} does not suit hole {hole}")]
    Unsuited {
        /// The stroke.
        stroke: usize,
        /// The hole.
        hole: usize,
    },
    /// The head is not over the hole.
    #[error("stroke {stroke} misses hole {hole}")]
    Off {
        /// The stroke.
        stroke: usize,
        /// The hole.
        hole: usize,
    },
    /// Not as many heads as the gang has, no hole at all, or a head that cannot stay up and has no hole.
    #[error("stroke {0} does not suit the gang")]
    Heads(usize),
    /// A face (or tool) is taken up a second time.
    #[error("stroke {0} goes back to a face or tool that was done with")]
    Grouping(usize),
    /// A time is not what the strokes add up to.
    #[error("the strokes take {found:?}, not {stated:?}")]
    Time {
        /// As the plan has it.
        stated: Box<Breakdown>,
        /// As added up again.
        found: Box<Breakdown>,
    },
}

/// Slack for rounding of places, in metres: a thousandth of a thousandth of a millimetre.
const PLACE_SLACK_M: f64 = 1e-9;

/// Whether a plan does its job.
pub fn check_plan(job: &Job, plan: &DrillPlan) -> Result<(), JobFault> {
    let mut drilled = vec![false; job.holes.len()];
    for (number, stroke) in plan.strokes.iter().enumerate() {
        check_stroke(job, number, stroke, &mut drilled)?;
    }
    if let Some(missed) = drilled.iter().position(|&drilled| !drilled) {
        return Err(JobFault::Missed(missed));
    }
    check_grouping(job.grouping, &plan.strokes)?;
    check_time(job, plan)
}

/// One stroke: its heads, and each hole under them.
fn check_stroke(
    job: &Job,
    number: usize,
    stroke: &Stroke,
    drilled: &mut [bool],
) -> Result<(), JobFault> {
    let gang = &job.machine.gang;
    let idle = stroke.heads.iter().filter(|hole| hole.is_none()).count();
    let too_idle = idle == stroke.heads.len() || (gang.lift == Lift::Together && idle > 0);
    if stroke.heads.len() != gang.heads as usize || too_idle {
        return Err(JobFault::Heads(number));
    }
    for (head, hole) in stroke.heads.iter().enumerate() {
        let &Some(hole) = hole else { continue };
        let stroke_hole = (number, hole);
        let Some(wanted) = job.holes.get(hole) else {
            let (stroke, hole) = stroke_hole;
            return Err(JobFault::UnknownHole { stroke, hole });
        };
        if std::mem::replace(&mut drilled[hole], true) {
            return Err(JobFault::Twice(hole));
        }
        let suited = wanted.tool == stroke.tool
            && wanted.face == stroke.face
            && wanted.depth_m == stroke.depth_m;
        if !suited {
            let (stroke, hole) = stroke_hole;
            return Err(JobFault::Unsuited { stroke, hole });
        }
        let at = gang.head_at(stroke.at, head);
        let slack = gang.tolerance_m + PLACE_SLACK_M;
        if (0..2).any(|axis| (at[axis] - wanted.at[axis]).abs() > slack) {
            let (stroke, hole) = stroke_hole;
            return Err(JobFault::Off { stroke, hole });
        }
    }
    Ok(())
}

/// Faces (or tools, or either) are each one run of strokes.
fn check_grouping(grouping: Grouping, strokes: &[Stroke]) -> Result<(), JobFault> {
    let by_face = taken_up_again(strokes, |stroke| stroke.face);
    let by_tool = taken_up_again(strokes, |stroke| stroke.tool);
    let fault = match grouping {
        Grouping::ByFace => by_face,
        Grouping::ByTool => by_tool,
        Grouping::Quicker => by_face.and(by_tool),
    };
    fault.map_or(Ok(()), |stroke| Err(JobFault::Grouping(stroke)))
}

/// The first stroke whose value was there before, with others between.
fn taken_up_again(strokes: &[Stroke], value: impl Fn(&Stroke) -> usize) -> Option<usize> {
    let values: Vec<usize> = strokes.iter().map(value).collect();
    (1..values.len()).find(|&place| {
        values[place] != values[place - 1] && values[..place].contains(&values[place])
    })
}

/// The time, leg by leg and stroke by stroke.
fn check_time(job: &Job, plan: &DrillPlan) -> Result<(), JobFault> {
    let machine = &job.machine;
    let mut found = Breakdown {
        load_s: machine.load_s,
        ..Breakdown::default()
    };
    let (mut stops, mut here) = (Vec::new(), None::<&Stroke>);
    stops.extend(machine.start);
    for stroke in &plan.strokes {
        if let Some(before) = here {
            between_strokes(machine, before, stroke, &mut stops, &mut found);
        }
        stops.push(stroke.at);
        let cycle = job.tools[stroke.tool];
        if let Ok(time) = cycle.stroke(stroke.depth_m, &machine.quill) {
            found = found.with_stroke(&time);
        }
        here = Some(stroke);
    }
    if let (Some(first), Some(last)) = (plan.strokes.first(), here)
        && first.tool != last.tool
    {
        found.tool_change_s += machine.tool_change_s;
        stops.extend(machine.change_at);
    }
    stops.extend(machine.park);
    let axes = AxisTime {
        x: machine.x,
        y: machine.y,
    };
    found.travel_s = stops
        .windows(2)
        .map(|leg| axes.between(leg[0], leg[1]))
        .sum();
    if close(&plan.time, &found) {
        Ok(())
    } else {
        Err(JobFault::Time {
            stated: Box::new(plan.time),
            found: Box::new(found),
        })
    }
}

/// What happens from one stroke to the next: a tool change, a turn, and where the heads go for them.
fn between_strokes(
    machine: &Machine,
    before: &Stroke,
    after: &Stroke,
    stops: &mut Vec<Point>,
    found: &mut Breakdown,
) {
    if before.tool != after.tool {
        found.tool_change_s += machine.tool_change_s;
        stops.extend(machine.change_at);
    }
    if before.face != after.face {
        found.turn_s += machine.turn_s;
        stops.extend(machine.turn_at);
    }
}

/// Whether two breakdowns agree but for rounding.
fn close(a: &Breakdown, b: &Breakdown) -> bool {
    let parts = |time: &Breakdown| {
        [
            time.travel_s,
            time.plunge_s,
            time.feed_s,
            time.retract_s,
            time.dwell_s,
            time.tool_change_s,
            time.turn_s,
            time.load_s,
        ]
    };
    let pairs = parts(a).into_iter().zip(parts(b));
    pairs
        .into_iter()
        .all(|(a, b)| (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1e-6))
}
