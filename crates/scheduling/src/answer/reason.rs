//! Why an operation starts when it does, and the chain of reasons that makes an order as late as it is.

use crate::build::run;
use crate::build::table::{Spot, Table};
use crate::calendar::Tick;
use crate::improve::load_placed;
use crate::problem::{After, Kind, Placed, Problem, Way};

/// What an operation waits for longest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub enum Cause {
    /// It is frozen where it lies.
    Frozen,
    /// Nothing: it starts as early as now.
    Now,
    /// The job's release.
    Release,
    /// Its material.
    Material,
    /// An earlier operation, through a link.
    After {
        /// The link.
        link: usize,
        /// The operation.
        operation: usize,
    },
    /// The unit was busy.
    Busy {
        /// With this operation (of a load, one of it).
        operation: usize,
        /// Ticks of set-up in between.
        set_up: Tick,
    },
    /// The set-up at the beginning.
    FirstSetUp {
        /// Its ticks.
        set_up: Tick,
    },
    /// Another operation of its load was not ready.
    Load {
        /// That operation.
        operation: usize,
    },
}

/// What held an operation still when its cause was gone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub enum Delay {
    /// Nothing: it starts at once.
    None,
    /// It was closed, stopped, or too short before closing.
    Hours,
    /// People of a crew were at other work.
    Crew(usize),
    /// It fits in nowhere before between other work, or waits so that a later wait is not too long, a load gets full, or
    /// less lies about.
    Held,
}

/// Why one operation starts when it does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Step {
    /// The operation.
    pub operation: usize,
    /// Where it lies.
    pub placed: Placed,
    /// What it waited for longest.
    pub cause: Cause,
    /// When that was gone.
    pub ready: Tick,
    /// What held it from then to its start.
    pub delay: Delay,
}

/// A late job and its reasons.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Late {
    /// The job.
    pub job: usize,
    /// Ticks late.
    pub ticks: Tick,
    /// From its last operation back to something that waits for nothing in the works.
    pub chain: Vec<Step>,
}

/// Every late job with its chain, the latest first.
pub fn late(problem: &Problem, placed: &[Placed]) -> Vec<Late> {
    let mut table = load_placed(problem, placed);
    let mut found: Vec<Late> = Vec::new();
    for order in super::lists::orders(problem, placed) {
        let Some(ticks) = order.slack.map(|slack| -slack).filter(|late| *late > 0) else {
            continue;
        };
        let chain = chain(&mut table, placed, order.job);
        found.push(Late {
            job: order.job,
            ticks,
            chain,
        });
    }
    found.sort_by_key(|late| (-late.ticks, late.job));
    found
}

/// The chain of reasons of one job, late or not.
pub fn reasons(problem: &Problem, placed: &[Placed], job: usize) -> Vec<Step> {
    chain(&mut load_placed(problem, placed), placed, job)
}

fn chain(table: &mut Table<'_>, placed: &[Placed], job: usize) -> Vec<Step> {
    let own = table.problem.of_job[job].iter();
    let last = own.max_by_key(|at| (placed[**at].finish, **at)).copied();
    let mut steps: Vec<Step> = Vec::new();
    let mut next = last;
    while let Some(operation) = next {
        if steps.iter().any(|step| step.operation == operation) {
            break;
        }
        let step = why(table, operation, placed[operation]);
        next = match step.cause {
            Cause::After { operation, .. }
            | Cause::Busy { operation, .. }
            | Cause::Load { operation } => Some(operation),
            _ => None,
        };
        steps.push(step);
    }
    steps
}

/// Why an operation starts when it does.
fn why(table: &mut Table<'_>, operation: usize, placed: Placed) -> Step {
    let problem = table.problem;
    let spot = table.spots[operation].expect("everything was placed");
    let step = |cause, ready, delay| Step {
        operation,
        placed,
        cause,
        ready,
        delay,
    };
    if problem.draft.operations[operation].frozen.is_some() {
        return step(Cause::Frozen, placed.start, Delay::None);
    }
    let way = problem.way(operation, placed.mode);
    let mut causes = own_causes(table, operation, way, spot);
    if way.pool.is_some() {
        let load = &table.loads[table.load_at(spot) as usize];
        let others = load.members.iter().map(|other| *other as usize);
        let others = others.filter(|other| *other != operation);
        causes.extend(others.map(|other| (table.ready(other), Cause::Load { operation: other })));
    }
    causes.extend(unit_cause(table, way, spot));
    // Of equal times the one named first counts: now, release, material, links, load, unit.
    let mut best = causes[0];
    for cause in causes {
        if cause.0 > best.0 {
            best = cause;
        }
    }
    let delay = delay(table, operation, way, spot, best.0);
    step(best.1, best.0, delay)
}

/// What an operation waits for by itself: when each is gone.
fn own_causes(table: &Table<'_>, operation: usize, way: &Way, spot: Spot) -> Vec<(Tick, Cause)> {
    let draft = &table.problem.draft;
    let own = &draft.operations[operation];
    let mut causes = vec![
        (draft.begin, Cause::Now),
        (draft.jobs[own.job].release, Cause::Release),
        (own.release, Cause::Material),
    ];
    for &at in &table.problem.into[operation] {
        let link = &draft.links[at as usize];
        let Some(from) = table.spots[link.from] else {
            continue;
        };
        let ready = match link.after {
            After::Finish { least } => from.finish + least,
            After::Start { least } => from.start + least,
            After::Lots { .. } => table.lots_ready(operation, way, spot.line as usize, from.start),
        };
        let cause = Cause::After {
            link: at as usize,
            operation: link.from,
        };
        causes.push((ready, cause));
    }
    causes
}

/// What lay on the unit before, and the set-up in between.
fn unit_cause(table: &Table<'_>, way: &Way, spot: Spot) -> Option<(Tick, Cause)> {
    let problem = table.problem;
    let kind = problem.draft.stations[way.station].kind;
    if kind == Kind::Open {
        return None;
    }
    let line = spot.line as usize;
    let row = &table.rows[line];
    let before = row.before(row.after(spot.start - 1));
    let set_up = table.set_up_ticks(line, before, way.family, way.setup);
    let free = before.map_or(problem.draft.begin, |slot| {
        slot.finish.max(problem.draft.begin)
    });
    let done = run::set_up_done(problem, line, free, set_up);
    let Some(slot) = before else {
        return (set_up > 0).then_some((done, Cause::FirstSetUp { set_up }));
    };
    let operation = match kind {
        Kind::Oven { .. } => *table.loads[slot.what as usize].members.first()? as usize,
        _ => slot.what as usize,
    };
    Some((done, Cause::Busy { operation, set_up }))
}

/// What held an operation from a tick to its start.
fn delay(table: &mut Table<'_>, operation: usize, way: &Way, spot: Spot, ready: Tick) -> Delay {
    if spot.start <= ready {
        return Delay::None;
    }
    let problem = table.problem;
    let line = spot.line as usize;
    let (start, finish) = run::earliest(problem, way, spot.ticks, line, ready);
    if start >= spot.start {
        return Delay::Hours;
    }
    // A load is taken out whole, so that its own people do not stand in its way.
    let members: Vec<usize> = match way.pool {
        Some(_) => {
            let load = &table.loads[table.load_at(spot) as usize];
            load.members.iter().map(|at| *at as usize).collect()
        }
        None => vec![operation],
    };
    let taken: Vec<(usize, Spot)> = members.into_iter().map(|at| (at, table.take(at))).collect();
    let crew = table.first_short(way, line, start, finish);
    let staffed = table.staffed(way, spot.ticks, line, ready, Tick::MAX);
    for (at, spot) in taken {
        table.put(at, spot);
    }
    match crew {
        Some(crew) if staffed.is_some_and(|run| run.0 >= spot.start) => Delay::Crew(crew),
        _ => Delay::Held,
    }
}
