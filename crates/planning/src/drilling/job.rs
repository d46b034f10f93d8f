//! The order of the holes and the time they take.

use drilling::motion::{Axis, Breakdown, Cycle, Feed, Peck, Retreat};
use drilling::tour::gang::{Along, Gang, Lift};
use drilling::tour::job::{self as engine, Grouping, Hole, Job, Machine};
use drilling::tour::{self, AxisTime, Ends, Question, Setting};
use effort::Effort;
use serde::Serialize;
use works::{Drill, DrillingMachine, Stated};

use super::{DrillPlan, HoleLine, ToolLine};

/// Between pecks the tool comes out and is fed back in all the way, as the program that is written does it: no rapid
/// move goes below the clear plane. Longer than any hole, m.
const FED_BACK_IN_M: f64 = 100.0;
/// More heads than any machine has.
const MOST_HEADS: u64 = 200;
/// Height over the clear plane that clears clamps, m: taken before and after each tool (common practice).
pub const OVER_CLAMPS_M: f64 = 0.050;
/// Wait for the spindle after each start and stop, s.
pub const SPINDLE_WAIT_S: u32 = 1;
/// How far a hole may be off its head in a gang, m: a tenth of a millimetre is what such heads hold.
const HEAD_TOLERANCE_M: f64 = 1e-4;

/// The order of the holes and the time of one part.
#[derive(Clone, Debug, Serialize)]
pub struct Order {
    /// Heads of the station.
    pub heads: u64,
    /// The strokes, one after the other.
    pub strokes: Vec<StrokeLine>,
    /// Where the first head starts and parks, m.
    pub park_m: (f64, f64),
    /// Height of the clear plane, m.
    pub clear_m: f64,
    /// Where the time goes.
    pub time: Breakdown,
    /// No order travels less than this, s; none for several tools or faces.
    pub travel_bound_s: Option<f64>,
    /// Whether the search for the order ended before it was done.
    pub stopped: bool,
}

/// One stroke.
#[derive(Clone, Debug, Serialize)]
pub struct StrokeLine {
    /// Where the first head goes, m.
    pub x_m: f64,
    /// The same along y, m.
    pub y_m: f64,
    /// Which tool.
    pub tool: usize,
    /// Which face, from 1.
    pub face: u64,
    /// For each head the hole that it drills, or none where it stays up.
    pub heads: Vec<Option<usize>>,
}

/// Puts the holes in order, if enough is said about the machine and the tools.
pub(super) fn order(
    plan: &DrillPlan,
    drill: &Drill,
    machine: Option<&DrillingMachine>,
    effort: Effort<'_>,
) -> Result<Order, String> {
    let machine = machine.ok_or("its station has no `drilling`, so that nothing is timed")?;
    can_be_ordered(plan, machine)?;
    let faces = faces(plan);
    let job = job(plan, drill, machine, &faces)?;
    let done = engine::plan(&job, Setting::default(), effort).map_err(|error| error.to_string())?;
    tour::check_plan(&job, &done).map_err(|fault| {
        format!("the order found does not hold, which is a fault of Linewright: {fault}")
    })?;
    let stroke = |stroke: &engine::Stroke| StrokeLine {
        x_m: stroke.at[0],
        y_m: stroke.at[1],
        tool: stroke.tool,
        face: faces[stroke.face],
        heads: stroke.heads.clone(),
    };
    Ok(Order {
        heads: machine.heads,
        park_m: park(drill),
        clear_m: machine.clear.mean(),
        travel_bound_s: travel_bound(&job, &done, effort),
        strokes: done.strokes.iter().map(stroke).collect(),
        time: with_spindle(done.time, &job, &done),
        stopped: done.stopped,
    })
}

/// The time with what the program does beside the strokes: for each tool on each face it starts the spindle, waits for
/// it, comes down from the height that clears the clamps, goes back up and stops the spindle.
fn with_spindle(time: Breakdown, job: &Job, done: &engine::DrillPlan) -> Breakdown {
    let mut stages = 0.0;
    let mut last = None;
    for stroke in &done.strokes {
        if last.replace((stroke.face, stroke.tool)) != Some((stroke.face, stroke.tool)) {
            stages += 1.0;
        }
    }
    let up_or_down_s = job.machine.quill.move_s(OVER_CLAMPS_M);
    Breakdown {
        tool_change_s: time.tool_change_s
            + stages * 2.0 * (f64::from(SPINDLE_WAIT_S) + up_or_down_s),
        ..time
    }
}

/// Whether there is anything to put in order, within what the machine can reach.
fn can_be_ordered(plan: &DrillPlan, machine: &DrillingMachine) -> Result<(), String> {
    if machine.heads > MOST_HEADS {
        return Err(format!(
            "its station has {} heads, and at most {MOST_HEADS} are planned with",
            machine.heads
        ));
    }
    if plan.holes.is_empty() {
        return Err("there are no holes".to_owned());
    }
    let out_of_reach = plan.holes.iter().position(|hole| {
        machine.reach.as_ref().is_some_and(|(x, y)| {
            hole.x_m < 0.0 || hole.y_m < 0.0 || hole.x_m > x.mean() || hole.y_m > y.mean()
        })
    });
    match out_of_reach {
        Some(hole) => Err(format!("hole {} is out of the machine's reach", hole + 1)),
        None => Ok(()),
    }
}

/// The question to the engine; holes as deep as the tip of the tool goes.
fn job(
    plan: &DrillPlan,
    drill: &Drill,
    machine: &DrillingMachine,
    faces: &[u64],
) -> Result<Job, String> {
    let face_of = |face: u64| faces.iter().position(|&one| one == face).unwrap_or(0);
    let hole = |hole: &HoleLine| Hole {
        at: [hole.x_m, hole.y_m],
        depth_m: hole.depth_m + point_m(drill, hole.diameter_m),
        face: face_of(hole.face),
        tool: hole.tool,
    };
    let tools: Result<Vec<Cycle>, String> =
        plan.tools.iter().map(|tool| cycle(tool, machine)).collect();
    Ok(Job {
        holes: plan.holes.iter().map(hole).collect(),
        tools: tools?,
        machine: of_machine(machine, drill)?,
        grouping: Grouping::Quicker,
    })
}

/// How far the point of a drill goes beyond its full diameter, m.
fn point_m(drill: &Drill, diameter_m: f64) -> f64 {
    super::rules(drill).point_length_m(diameter_m)
}

/// The faces that have holes, in order.
fn faces(plan: &DrillPlan) -> Vec<u64> {
    let mut faces: Vec<u64> = plan.holes.iter().map(|hole| hole.face).collect();
    faces.sort_unstable();
    faces.dedup();
    faces
}

fn park(drill: &Drill) -> (f64, f64) {
    drill
        .park
        .as_ref()
        .map_or((0.0, 0.0), |(x, y)| (x.mean(), y.mean()))
}

fn cycle(tool: &ToolLine, machine: &DrillingMachine) -> Result<Cycle, String> {
    let speed_m_s = tool
        .advance_m_s
        .ok_or_else(|| format!("nobody says how fast `{}` goes in", tool.name))?;
    Ok(Cycle {
        clear_m: machine.clear.mean(),
        feed: Feed::Speed { m_s: speed_m_s },
        peck: tool.peck_m.map(|depth_m| Peck {
            depth_m,
            retreat: Retreat::Full {
                gap_m: FED_BACK_IN_M,
            },
        }),
        dwell_s: tool.dwell_s,
    })
}

fn of_machine(machine: &DrillingMachine, drill: &Drill) -> Result<Machine, String> {
    let axis = Axis::new(machine.speed.mean(), machine.acceleration.mean())
        .map_err(|error| error.to_string())?;
    let seconds = |stated: &Option<Stated>| stated.as_ref().map_or(0.0, Stated::mean);
    let (x, y) = park(drill);
    let gang = match &machine.spacing {
        Some(spacing) if machine.heads > 1 => Gang {
            heads: machine.heads as u32,
            spacing_m: spacing.mean(),
            along: Along::X,
            lift: if machine.lifts {
                Lift::Each
            } else {
                Lift::Together
            },
            tolerance_m: HEAD_TOLERANCE_M,
        },
        _ => Gang::single(),
    };
    Ok(Machine {
        x: axis,
        y: axis,
        quill: axis,
        gang,
        start: Some([x, y]),
        park: Some([x, y]),
        // The program changes tools where the last hole was, at the height that clears the clamps.
        change_at: None,
        turn_at: Some([x, y]),
        tool_change_s: seconds(&machine.tool_change),
        turn_s: seconds(&machine.turn),
        load_s: seconds(&machine.load),
    })
}

/// The least travel of the strokes, where they are one way from start to park.
fn travel_bound(job: &Job, done: &engine::DrillPlan, effort: Effort<'_>) -> Option<f64> {
    let first = done.strokes.first()?;
    let alike = |stroke: &engine::Stroke| stroke.tool == first.tool && stroke.face == first.face;
    if !done.strokes.iter().all(alike) {
        return None;
    }
    let places: Vec<tour::Point> = done.strokes.iter().map(|stroke| stroke.at).collect();
    let ends = Ends::Open {
        start: job.machine.start,
        park: job.machine.park,
    };
    let metric = AxisTime {
        x: job.machine.x,
        y: job.machine.y,
    };
    let question = Question::new(&places, ends, metric).ok()?;
    Some(tour::bound(&question, done.time.travel_s, effort))
}
