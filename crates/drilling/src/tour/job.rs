//! A whole drilling job: holes on several faces with several tools, drilled by a gang of heads, from a start to a
//! park, as strokes in order with the time they take.
//!
//! Holes of one face, tool and depth are shared out to strokes ([`super::gang`]). All strokes of one face with one
//! tool make a *stage*; the stages are put in an order with few turns and tool changes, and the strokes of each in
//! the order of the shortest machine time ([`super::solve`]), each stage beginning where the one before ended.

use effort::Effort;
use serde::Serialize;

use crate::motion::{Axis, Breakdown, Cycle, MotionError, not_negative};

use super::gang::{Gang, GangError};
use super::{AxisTime, Ends, Point, Question, Setting, TourError, solve};

/// A hole to be drilled.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Hole {
    /// Where on its face.
    pub at: Point,
    /// Depth.
    pub depth_m: f64,
    /// Number of its face; faces come up in this order.
    pub face: usize,
    /// Number of its tool.
    pub tool: usize,
}

/// What comes first when both faces and tools are several.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Grouping {
    /// Everything on a face before it is turned.
    ByFace,
    /// Everything with a tool before it is changed.
    ByTool,
    /// Whichever of the two takes less time.
    Quicker,
}

/// The machine.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Machine {
    /// Along x.
    pub x: Axis,
    /// Along y.
    pub y: Axis,
    /// Up and down.
    pub quill: Axis,
    /// The heads. All carry the same tool.
    pub gang: Gang,
    /// Where the first head is before the first stroke; none: wherever that is.
    pub start: Option<Point>,
    /// Where it goes after the last; none: it stays.
    pub park: Option<Point>,
    /// Where it goes for a tool change; none: changes happen in place.
    pub change_at: Option<Point>,
    /// Where it goes while the work is turned; none: it stays.
    pub turn_at: Option<Point>,
    /// Changing the tool.
    pub tool_change_s: f64,
    /// Turning the work to another face.
    pub turn_s: f64,
    /// Loading, clamping and unloading.
    pub load_s: f64,
}

/// The job.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// The holes.
    pub holes: Vec<Hole>,
    /// How each tool drills.
    pub tools: Vec<Cycle>,
    /// The machine.
    pub machine: Machine,
    /// Faces first or tools first.
    pub grouping: Grouping,
}

/// Why a job cannot be planned.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum JobError {
    /// A hole's tool is not among the tools.
    #[error("hole {} wants tool {}, and there are {tools}", .hole + 1, .tool + 1)]
    UnknownTool {
        /// The hole.
        hole: usize,
        /// Its tool.
        tool: usize,
        /// How many tools there are.
        tools: usize,
    },
    /// A tool's cycle or a depth makes no sense.
    #[error(transparent)]
    Motion(#[from] MotionError),
    /// The holes do not suit the gang.
    #[error(transparent)]
    Gang(#[from] GangError),
    /// A coordinate makes no sense.
    #[error(transparent)]
    Tour(#[from] TourError),
}

/// One stroke.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stroke {
    /// Where the first head goes.
    pub at: Point,
    /// Face.
    pub face: usize,
    /// Tool.
    pub tool: usize,
    /// Depth.
    pub depth_m: f64,
    /// For each head its hole, or none where it stays up.
    pub heads: Vec<Option<usize>>,
}

/// The job in order.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DrillPlan {
    /// Strokes, one after the other.
    pub strokes: Vec<Stroke>,
    /// Where the time goes.
    pub time: Breakdown,
    /// Turns of the work between faces.
    pub turns: u32,
    /// Tool changes, with the one back to the first tool for the next part.
    pub tool_changes: u32,
    /// Whether a limit or stop ended the search for the order before it was through.
    pub stopped: bool,
}

/// All strokes of one face with one tool.
struct Stage {
    face: usize,
    tool: usize,
    strokes: Vec<Stroke>,
}

/// Plans a job. A step of the effort is one of the searches for the order of strokes ([`super::solve`]).
pub fn plan(job: &Job, setting: Setting, effort: Effort<'_>) -> Result<DrillPlan, JobError> {
    check_machine(&job.machine)?;
    let stages = stages(job)?;
    let mut meter = effort.meter();
    let mut best: Option<DrillPlan> = None;
    for order in stage_orders(&stages, job.grouping) {
        let plan = run_through(job, &stages, &order, setting, &mut meter)?;
        let stopped = plan.stopped || best.as_ref().is_some_and(|best| best.stopped);
        if best
            .as_ref()
            .is_none_or(|best| plan.time.total_s() < best.time.total_s())
        {
            best = Some(plan);
        }
        if let Some(best) = &mut best {
            best.stopped = stopped;
        }
    }
    Ok(best.unwrap_or_else(|| empty(job)))
}

/// Whether the machine's numbers make sense.
fn check_machine(machine: &Machine) -> Result<(), JobError> {
    not_negative("a tool change time", machine.tool_change_s)?;
    not_negative("a turn time", machine.turn_s)?;
    not_negative("a load time", machine.load_s)?;
    machine.gang.check()?;
    let places = [
        machine.start,
        machine.park,
        machine.change_at,
        machine.turn_at,
    ];
    let places: Vec<Point> = places.into_iter().flatten().collect();
    Question::new(&places, Ends::Closed, metric(machine))?;
    Ok(())
}

/// The machine's measure of a way.
fn metric(machine: &Machine) -> AxisTime {
    AxisTime {
        x: machine.x,
        y: machine.y,
    }
}

/// The plan for no holes: from start to park, and the load.
fn empty(job: &Job) -> DrillPlan {
    let machine = &job.machine;
    let ends = machine.start.zip(machine.park);
    DrillPlan {
        strokes: Vec::new(),
        time: Breakdown {
            travel_s: ends.map_or(0.0, |(a, b)| leg_s(machine, a, b)),
            load_s: machine.load_s,
            ..Breakdown::default()
        },
        turns: 0,
        tool_changes: 0,
        stopped: false,
    }
}

/// Time between two places.
fn leg_s(machine: &Machine, a: Point, b: Point) -> f64 {
    super::Metric::between(&metric(machine), a, b)
}

/// Holes shared out to strokes and sorted by face and tool.
fn stages(job: &Job) -> Result<Vec<Stage>, JobError> {
    let at: Vec<Point> = job.holes.iter().map(|hole| hole.at).collect();
    Question::new(&at, Ends::Closed, metric(&job.machine))?;
    let tools = job.tools.len();
    for (number, hole) in job.holes.iter().enumerate() {
        let tool = hole.tool;
        let unknown = JobError::UnknownTool {
            hole: number,
            tool,
            tools,
        };
        let cycle = job.tools.get(tool).ok_or(unknown)?;
        cycle.stroke(hole.depth_m, &job.machine.quill)?;
    }
    let mut sorted: Vec<usize> = (0..job.holes.len()).collect();
    let key = |hole: usize| (job.holes[hole].face, job.holes[hole].tool);
    let depth = |hole: usize| job.holes[hole].depth_m;
    sorted.sort_by(|&a, &b| key(a).cmp(&key(b)).then(depth(a).total_cmp(&depth(b))));
    let mut stages = Vec::new();
    for together in sorted.chunk_by(|&a, &b| key(a) == key(b)) {
        let (face, tool) = key(together[0]);
        let mut strokes = Vec::new();
        for alike in together.chunk_by(|&a, &b| depth(a) == depth(b)) {
            let depth_m = depth(alike[0]);
            let gang = job.machine.gang.strokes(&at, alike)?;
            strokes.extend(gang.into_iter().map(|stroke| Stroke {
                at: stroke.at,
                face,
                tool,
                depth_m,
                heads: stroke.heads,
            }));
        }
        stages.push(Stage {
            face,
            tool,
            strokes,
        });
    }
    Ok(stages)
}

/// Orders of the stages worth trying, as numbers into them.
fn stage_orders(stages: &[Stage], grouping: Grouping) -> Vec<Vec<usize>> {
    if stages.is_empty() {
        return Vec::new();
    }
    let by_face = || {
        let keys: Vec<_> = stages
            .iter()
            .map(|stage| (stage.face, stage.tool))
            .collect();
        few_changes(&keys, true)
    };
    let by_tool = || {
        let keys: Vec<_> = stages
            .iter()
            .map(|stage| (stage.tool, stage.face))
            .collect();
        few_changes(&keys, false)
    };
    match grouping {
        Grouping::ByFace => vec![by_face()],
        Grouping::ByTool => vec![by_tool()],
        Grouping::Quicker => {
            let mut orders = vec![by_face(), by_tool()];
            orders.dedup();
            orders
        }
    }
}

/// The order of (outer, inner) pairs in which outer values stay together, come ascending, and the inner value
/// changes as seldom as can be; `round` counts the change from the last back to the first as well.
///
/// A dynamic programme over the inner value that each outer group ends with, once for each value to begin with.
fn few_changes(keys: &[(usize, usize)], round: bool) -> Vec<usize> {
    let mut sorted: Vec<usize> = (0..keys.len()).collect();
    sorted.sort_by_key(|&place| keys[place]);
    let groups: Vec<&[usize]> = sorted.chunk_by(|&a, &b| keys[a].0 == keys[b].0).collect();
    let inner = |place: usize| keys[place].1;
    let mut best: Option<(u32, Vec<usize>)> = None;
    for &first in groups[0] {
        // For each place that the groups so far may end with: changes so far, and the order.
        let mut ends: Vec<(u32, Vec<usize>)> =
            runs(groups[0], Some(first)).map(|run| (0, run)).collect();
        for group in &groups[1..] {
            ends = runs_after(&ends, group, inner);
        }
        for (changes, order) in ends {
            let back = round
                && order
                    .last()
                    .is_some_and(|&last| inner(last) != inner(first));
            let changes = changes + u32::from(back);
            if best.as_ref().is_none_or(|(least, _)| changes < *least) {
                best = Some((changes, order));
            }
        }
    }
    best.map(|(_, order)| order).unwrap_or_default()
}

/// For each place a group may end with, the best of the orders so far continued through the group.
fn runs_after(
    ends: &[(u32, Vec<usize>)],
    group: &[usize],
    inner: impl Fn(usize) -> usize,
) -> Vec<(u32, Vec<usize>)> {
    let mut next: Vec<(u32, Vec<usize>)> = Vec::new();
    for &first in group {
        let changed = |order: &[usize]| {
            u32::from(
                order
                    .last()
                    .is_some_and(|&last| inner(last) != inner(first)),
            )
        };
        let Some((changes, before)) = ends
            .iter()
            .map(|(changes, order)| (changes + changed(order), order))
            .min_by_key(|(changes, _)| *changes)
        else {
            continue;
        };
        for run in runs(group, Some(first)) {
            let place = next
                .iter()
                .position(|(_, order)| order.last() == run.last());
            let order = [before.as_slice(), &run].concat();
            match place {
                Some(place) if next[place].0 <= changes => {}
                Some(place) => next[place] = (changes, order),
                None => next.push((changes, order)),
            }
        }
    }
    next
}

/// Orders of a group that begin with one place, one order for each place it can end with.
fn runs(group: &[usize], first: Option<usize>) -> impl Iterator<Item = Vec<usize>> {
    let first = first.unwrap_or(group[0]);
    let alone = group.len() == 1;
    let lasts = group.iter().filter(move |&&last| alone || last != first);
    lasts.map(move |&last| {
        let mut run = vec![first];
        run.extend(
            group
                .iter()
                .filter(|&&place| place != first && place != last),
        );
        if !alone {
            run.push(last);
        }
        run
    })
}

/// The stages in an order: strokes of each in a short order, and the time of it all.
fn run_through(
    job: &Job,
    stages: &[Stage],
    order: &[usize],
    setting: Setting,
    meter: &mut effort::Meter<'_>,
) -> Result<DrillPlan, JobError> {
    let machine = &job.machine;
    let mut plan = empty(job);
    plan.time.travel_s = 0.0;
    let mut here = machine.start;
    for (place, &number) in order.iter().enumerate() {
        let stage = &stages[number];
        let next = order.get(place + 1).map(|&next| &stages[next]);
        let change = next.unwrap_or(&stages[order[0]]).tool != stage.tool;
        let turn = next.is_some_and(|next| next.face != stage.face);
        plan.tool_changes += u32::from(change);
        plan.turns += u32::from(turn);
        let stops = [
            machine.change_at.filter(|_| change),
            machine.turn_at.filter(|_| turn),
            machine.park.filter(|_| next.is_none()),
        ];
        let stops: Vec<Point> = stops.into_iter().flatten().collect();
        let at: Vec<Point> = stage.strokes.iter().map(|stroke| stroke.at).collect();
        let ends = Ends::Open {
            start: here,
            park: stops.first().copied(),
        };
        let way = solve(
            &Question::new(&at, ends, metric(machine))?,
            setting,
            meter.rest(),
        );
        meter.spend(way.steps);
        plan.stopped |= way.stopped;
        plan.time.travel_s += way.length;
        plan.time.travel_s += stops
            .windows(2)
            .map(|leg| leg_s(machine, leg[0], leg[1]))
            .sum::<f64>();
        here = stops
            .last()
            .copied()
            .or(way.order.last().map(|&last| at[last]));
        for &stroke in &way.order {
            let stroke = &stage.strokes[stroke];
            let time = job.tools[stroke.tool].stroke(stroke.depth_m, &machine.quill)?;
            plan.time = plan.time.with_stroke(&time);
            plan.strokes.push(stroke.clone());
        }
    }
    plan.time.tool_change_s = f64::from(plan.tool_changes) * machine.tool_change_s;
    plan.time.turn_s = f64::from(plan.turns) * machine.turn_s;
    Ok(plan)
}
