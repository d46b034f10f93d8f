//! What a step of the search takes out, and in which order it goes back.

use chance::Stream;

use super::remove::{blockers, movable_parts, pushed_by};
use crate::build::fit::{ANY_MODE, Genes};
use crate::build::table::{Spot, Table};
use crate::calendar::{LONG_AGO, Tick};
use crate::problem::{Kind, Objective, Problem};

/// What is taken out.
pub(super) struct Choice {
    pub(super) seeds: Vec<usize>,
    /// The job that shall go first, if the choice was made for one.
    pub(super) first: Option<usize>,
}

/// A random operation that is not frozen.
fn any_operation(problem: &Problem, stream: &mut Stream) -> usize {
    let part = stream.index(problem.parts.len() as u64) as usize;
    let members = &problem.parts[part];
    members[stream.index(members.len() as u64) as usize]
}

/// A random job, one that is late if one is found soon; where lateness does not count first, often the one finished last.
fn late_job(table: &Table<'_>, stream: &mut Stream) -> usize {
    let problem = table.problem;
    let jobs = problem.draft.jobs.len() as u64;
    let longest = matches!(
        problem.draft.objectives.first(),
        Some(Objective::Makespan | Objective::WorstLateness)
    );
    if longest && stream.uniform() < 0.7 {
        let due = |job: usize| problem.draft.jobs[job].due.unwrap_or(0);
        let by_date = problem.draft.objectives[0] == Objective::WorstLateness;
        let after = |job: &usize| table.span_of(*job).1 - if by_date { due(*job) } else { 0 };
        if let Some(last) = (0..problem.draft.jobs.len()).max_by_key(after) {
            return last;
        }
    }
    // Of two late jobs, the one that counts most.
    let cost = |job: usize| {
        let own = &problem.draft.jobs[job];
        let late = own.due.map_or(0, |due| (table.span_of(job).1 - due).max(0));
        late.saturating_mul(own.weight)
    };
    let mut best = (0, stream.index(jobs) as usize);
    let mut found = 0;
    for _ in 0..24 {
        let job = stream.index(jobs) as usize;
        let cost = cost(job);
        best = best.max((cost, job));
        found += u32::from(cost > 0);
        if found == 2 {
            break;
        }
    }
    if best.0 > 0 {
        best.1
    } else {
        stream.index(jobs) as usize
    }
}

/// Parts of a job.
fn of_job(problem: &Problem, job: usize) -> Vec<usize> {
    let parts = problem.of_job[job].iter().map(|at| problem.part_of[*at]);
    parts.filter(|part| *part != usize::MAX).collect()
}

/// Ways to choose; see [`choose`].
pub(super) const WAYS: usize = 10;

/// Orders in which things go back; see [`keys`].
pub(super) const ORDERS: usize = 6;

/// Chooses in one of the ways what a step takes out: about `size` parts before what must go with them.
pub(super) fn choose(table: &Table<'_>, stream: &mut Stream, way: usize, size: usize) -> Choice {
    let problem = table.problem;
    let mut first = None;
    let mut seeds = match way {
        0 => {
            let job = late_job(table, stream);
            first = Some(job);
            late_chain(table, stream, job, size)
        }
        1 => neighbours(table, stream, size),
        2 => window(table, stream, size),
        3 => family(table, stream, size),
        4 => loads(table, stream, size),
        5 => jobs(problem, stream, size),
        6 => swap(table, stream, &mut first),
        7 => vec![problem.part_of[any_operation(problem, stream)]],
        8 => pull(table, stream, size, &mut first),
        _ => (0..problem.parts.len()).collect(),
    };
    seeds.sort_unstable();
    seeds.dedup();
    Choice { seeds, first }
}

/// Random jobs.
fn jobs(problem: &Problem, stream: &mut Stream, size: usize) -> Vec<usize> {
    let count = 1 + stream.index(1 + size as u64 / 5);
    let mut found = Vec::new();
    for _ in 0..count {
        let job = stream.index(problem.draft.jobs.len() as u64) as usize;
        found.extend(of_job(problem, job));
    }
    found
}

/// A late job from a random operation on, with what lies before its operations.
fn late_chain(table: &Table<'_>, stream: &mut Stream, job: usize, size: usize) -> Vec<usize> {
    let problem = table.problem;
    let mut seeds = of_job(problem, job);
    let skip = stream.index(seeds.len() as u64) as usize;
    seeds.drain(..skip);
    let own = seeds.clone();
    let each = 1 + stream.index(3) as usize;
    for part in own {
        for &operation in &problem.parts[part] {
            if seeds.len() < size {
                seeds.extend(blockers(table, operation, each));
            }
        }
    }
    seeds
}

/// What lies around an operation on its line.
fn neighbours(table: &Table<'_>, stream: &mut Stream, size: usize) -> Vec<usize> {
    let operation = any_operation(table.problem, stream);
    let count = 2 + stream.index(size as u64) as usize;
    let spot = table.spots[operation].expect("everything lies between steps");
    around(table, spot.line as usize, spot.start, count)
}

/// About so many slots on a line before and after a tick.
fn around(table: &Table<'_>, line: usize, at: Tick, count: usize) -> Vec<usize> {
    let row = &table.rows[line];
    let mut found = Vec::new();
    let mut before = at;
    for _ in 0..count / 2 {
        let Some(slot) = row.before(row.after(before - 1)) else {
            break;
        };
        found.extend(movable_parts(table, line, slot.what));
        before = slot.start;
    }
    let mut cursor = row.after(at - 1);
    for _ in 0..count.div_ceil(2) {
        let Some(slot) = row.slot(cursor) else { break };
        found.extend(movable_parts(table, line, slot.what));
        cursor = row.after(slot.start);
    }
    found
}

/// What runs at a tick on several lines.
fn window(table: &Table<'_>, stream: &mut Stream, size: usize) -> Vec<usize> {
    let operation = any_operation(table.problem, stream);
    let spot = table.spots[operation].expect("everything lies between steps");
    let lines = table.rows.len();
    let each = 2 + stream.index(3) as usize;
    let from = stream.index(lines as u64) as usize;
    let mut found = around(table, spot.line as usize, spot.start, each);
    for step in 0..lines {
        if found.len() >= size {
            break;
        }
        found.extend(around(table, (from + step) % lines, spot.start, each));
    }
    found
}

/// Operations of one family on a line, so that they may come together; and what they lie between.
fn family(table: &Table<'_>, stream: &mut Stream, size: usize) -> Vec<usize> {
    let operation = any_operation(table.problem, stream);
    let spot = table.spots[operation].expect("everything lies between steps");
    let row = &table.rows[spot.line as usize];
    let way = table.problem.way(operation, spot.mode as usize);
    let mut found = vec![table.problem.part_of[operation]];
    let mut cursor = row.after(spot.start);
    for _ in 0..6 * size {
        let Some(slot) = row.slot(cursor) else { break };
        if slot.family as usize == way.family {
            found.extend(movable_parts(table, spot.line as usize, slot.what));
        }
        if found.len() > size / 2 {
            break;
        }
        cursor = row.after(slot.start);
    }
    found.extend(blockers(table, operation, 1));
    found
}

/// Loads that follow each other in an oven.
fn loads(table: &Table<'_>, stream: &mut Stream, size: usize) -> Vec<usize> {
    let problem = table.problem;
    let mut operation = any_operation(problem, stream);
    for _ in 0..16 {
        if problem.ways(operation).iter().any(|way| way.pool.is_some()) {
            break;
        }
        operation = any_operation(problem, stream);
    }
    let spot = table.spots[operation].expect("everything lies between steps");
    let mut found = Vec::new();
    for line in problem.lines_of(problem.lines[spot.line as usize].station) {
        if found.len() < size {
            found.extend(around(table, line, spot.start, 3));
        }
    }
    found
}

/// An operation on a chain that makes a job late, and what lies before it on its line: the later first.
fn swap(table: &Table<'_>, stream: &mut Stream, first: &mut Option<usize>) -> Vec<usize> {
    let problem = table.problem;
    let job = late_job(table, stream);
    let last = problem.of_job[job]
        .iter()
        .filter_map(|at| Some((table.spots[*at]?.finish, *at)))
        .max();
    let Some((_, mut operation)) = last else {
        return Vec::new();
    };
    for _ in 0..stream.index(12) {
        let back = match pushed_by(table, operation) {
            Some(from) => Some(from),
            None => blockers(table, operation, 1)
                .first()
                .map(|part| problem.parts[*part][0]),
        };
        match back {
            Some(back) if problem.part_of[back] != usize::MAX => operation = back,
            _ => break,
        }
    }
    *first = Some(problem.draft.operations[operation].job);
    let mut seeds = vec![problem.part_of[operation]];
    seeds.extend(blockers(table, operation, 1));
    seeds.retain(|part| *part != usize::MAX);
    seeds
}

/// An operation of a late job and a number of slots before it on its line.
fn pull(
    table: &Table<'_>,
    stream: &mut Stream,
    size: usize,
    first: &mut Option<usize>,
) -> Vec<usize> {
    let job = late_job(table, stream);
    let own = &table.problem.of_job[job];
    if own.is_empty() {
        return Vec::new();
    }
    let operation = own[stream.index(own.len() as u64) as usize];
    *first = Some(job);
    let mut seeds = vec![table.problem.part_of[operation]];
    seeds.extend(blockers(table, operation, size));
    seeds.retain(|part| *part != usize::MAX);
    seeds
}

/// The order in which parts go back, of one of the kinds: a key for each.
pub(super) fn keys(
    problem: &Problem,
    removed: &[(usize, Spot)],
    parts: &[usize],
    first: Option<usize>,
    kind: usize,
    stream: &mut Stream,
) -> Vec<Tick> {
    let start = |part: usize| {
        let spots = removed
            .iter()
            .filter(|(at, _)| problem.part_of[*at] == part);
        spots.map(|(_, spot)| spot.start).min().unwrap_or(0)
    };
    let mut starts: Vec<Tick> = if removed.len() < 64 {
        parts.iter().map(|part| start(*part)).collect()
    } else {
        let mut of = vec![Tick::MAX; problem.parts.len()];
        for (at, spot) in removed {
            let part = problem.part_of[*at];
            of[part] = of[part].min(spot.start);
        }
        parts.iter().map(|part| of[*part]).collect()
    };
    let low = starts.iter().copied().min().unwrap_or(0);
    let high = starts.iter().copied().max().unwrap_or(0);
    let span = (high - low).max(1);
    match kind {
        0 => {}
        1 | 2 => {
            let near = 20.0 / removed.len().max(20) as f64;
            let share = near * stream.uniform() * stream.uniform();
            for key in &mut starts {
                *key += (share * stream.uniform() * span as f64) as Tick;
            }
        }
        3 => {
            let due = |part: &usize| problem.due_of[problem.parts[*part][0]];
            starts = parts.iter().map(due).collect();
        }
        4 => {
            let family = |part: &usize| problem.ways(problem.parts[*part][0])[0].family as Tick;
            let turn = stream.index(64) as Tick;
            for (key, part) in starts.iter_mut().zip(parts) {
                *key = ((family(part) + turn) % 64) * 2 * span + (*key - low);
            }
        }
        _ => {
            for key in &mut starts {
                *key = stream.index(1 << 30) as Tick;
            }
        }
    }
    if let Some(job) = first
        && stream.uniform() < 0.8
    {
        for (key, part) in starts.iter_mut().zip(parts) {
            if problem.draft.operations[problem.parts[*part][0]].job == job {
                *key -= 1 << 40;
            }
        }
    }
    starts
}

/// Changes genes of what was taken out, at random; returns the old ones: operation, hold, mode.
pub(super) fn mutate(
    table: &Table<'_>,
    genes: &mut Genes,
    removed: &[(usize, Spot)],
    stream: &mut Stream,
) -> Vec<(usize, Tick, u32)> {
    let problem = table.problem;
    let old = removed
        .iter()
        .map(|(at, _)| (*at, genes.hold[*at], genes.only[*at]))
        .collect();
    let gathers =
        |objective: &Objective| matches!(objective, Objective::WorkInProcess | Objective::Spoiled);
    let holds = problem.draft.objectives.iter().any(gathers);
    let freely = stream.uniform() < 0.3;
    let changes = stream.uniform() < 0.6;
    let share = if changes { stream.uniform() * 0.3 } else { 0.0 };
    let holds = holds && stream.uniform() < 0.3;
    for (at, spot) in removed {
        let ways = problem.ways(*at).len() as u64;
        if freely || (genes.hold[*at] > LONG_AGO && stream.uniform() < 0.6) {
            genes.hold[*at] = LONG_AGO;
        }
        if ways > 1 && stream.uniform() < share {
            let mode = stream.index(ways + 1);
            genes.only[*at] = if mode == ways { ANY_MODE } else { mode as u32 };
        }
        let pool = problem.way(*at, spot.mode as usize).pool;
        if let Some(pool) = pool {
            if stream.uniform() < share {
                // Wait for a load that stays, or for another operation that goes back too.
                let other = removed[stream.index(removed.len() as u64) as usize];
                let later = table.open[pool].range((spot.start + 1, 0)..).next();
                genes.hold[*at] = match later {
                    Some((key, _)) if stream.uniform() < 0.5 => key.0,
                    _ => other.1.start,
                };
            }
        } else if holds && stream.uniform() < share {
            let job = problem.draft.operations[*at].job;
            let (start, finish) = table.span_of(job);
            let later = (stream.uniform() * (finish - start) as f64) as Tick;
            genes.hold[*at] = spot.start + later;
        } else if stream.uniform() < 0.1 * share {
            // Let another go first, even where there is room before it (a set-up behind it may gain).
            let other = removed[stream.index(removed.len() as u64) as usize];
            genes.hold[*at] = other.1.finish;
        }
    }
    old
}

/// Whether a station has loads.
pub(super) fn has_ovens(problem: &Problem) -> bool {
    let mut stations = problem.draft.stations.iter();
    stations.any(|station| matches!(station.kind, Kind::Oven { .. }))
}
