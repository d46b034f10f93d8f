//! Schedules to begin with: rules, and loads that wait to be full.

use std::collections::BTreeMap;

use super::remove::{Marks, remove};
use crate::build::Rule;
use crate::build::count::Score;
use crate::build::dispatch;
use crate::build::fit::Genes;
use crate::build::table::{Spot, Table};
use crate::calendar::Tick;
use crate::problem::{Kind, Placed, Problem};

/// A schedule to begin with.
pub(super) struct Start<'p> {
    pub(super) score: Score,
    pub(super) table: Table<'p>,
    pub(super) genes: Genes,
}

/// Up to so many operations, all rules are tried.
const SMALL: usize = 3000;

fn rules(problem: &Problem) -> Vec<Rule> {
    let apparent = |dates: f64, setups: f64| Rule::Apparent { dates, setups };
    let mut rules = vec![
        apparent(2.0, 0.5),
        Rule::EarliestDue,
        Rule::MostWork,
        Rule::WeightedShortest,
    ];
    if problem.len() <= SMALL {
        for dates in [0.5, 1.0, 2.0, 4.0] {
            for setups in [0.1, 0.3, 1.0] {
                rules.push(apparent(dates, setups));
            }
        }
    }
    rules
}

/// The schedules that rules make, the best first; as many as asked, and after each, one whose loads wait.
pub(super) fn starts<'p>(problem: &'p Problem, keep: usize, steps: &mut u64) -> Vec<Start<'p>> {
    let mut found: Vec<Start<'p>> = Vec::new();
    let ovens = super::choose::has_ovens(problem);
    for rule in rules(problem) {
        let genes = Genes::free(problem.len());
        let mut table = Table::new(problem);
        dispatch(&mut table, rule, &genes, steps);
        let score = table.score();
        if ovens {
            let genes = waiting_loads(&table);
            let mut table = Table::new(problem);
            dispatch(&mut table, rule, &genes, steps);
            let score = table.score();
            found.push(Start {
                score,
                table,
                genes,
            });
        }
        found.push(Start {
            score,
            table,
            genes,
        });
        found.sort_by_key(|start| start.score);
        found.truncate(keep);
    }
    found
}

/// The schedule nearest to an earlier one. First everything that still can goes where it lay; then the rest, and what
/// waits for it, in the order of earlier starts, and of due dates where there was no place.
pub(super) fn near<'p>(
    problem: &'p Problem,
    earlier: &[Option<Placed>],
    steps: &mut u64,
) -> Start<'p> {
    let genes = Genes::free(problem.len());
    let mut table = Table::new(problem);
    let place = |operation: usize| earlier.get(operation).copied().flatten();
    let mut order: Vec<(Tick, Tick, usize)> = Vec::with_capacity(problem.parts.len());
    for (part, members) in problem.parts.iter().enumerate() {
        let starts = members.iter().filter_map(|at| Some(place(*at)?.start));
        let start = starts.min().unwrap_or(Tick::MAX);
        order.push((start, problem.due_of[members[0]], part));
    }
    order.sort_unstable();
    let ticks = earlier_ticks(problem, earlier);
    let again = |table: &Table<'_>, operation: usize| {
        let old = place(operation)?;
        let way = problem.ways(operation).get(old.mode)?;
        let line = problem.first_line[way.station] + old.unit;
        table.fit_again(operation, old.mode, (line, old.start), ticks[operation])
    };
    let mut rest: Vec<usize> = order.iter().map(|entry| entry.2).collect();
    // A part may begin before another that something in it waits for: again, until nothing more comes back.
    loop {
        let before = rest.len();
        rest.retain(|part| {
            *steps += problem.parts[*part].len() as u64;
            !keep(&mut table, *part, &again)
        });
        if rest.is_empty() || rest.len() == before {
            break;
        }
    }
    rest.extend(without_longest(&mut table));
    let mut rank = vec![0; problem.parts.len()];
    for (at, (_, _, part)) in order.iter().enumerate() {
        rank[*part] = at;
    }
    rest.sort_unstable_by_key(|part| rank[*part]);
    table.place_all(&rest, &genes, steps);
    Start {
        score: table.score(),
        table,
        genes,
    }
}

/// How long each operation ran in an earlier schedule: as long as its load.
fn earlier_ticks(problem: &Problem, earlier: &[Option<Placed>]) -> Vec<Tick> {
    let mut loads: BTreeMap<(usize, usize, Tick), Tick> = BTreeMap::new();
    let key = |operation: usize| {
        let old = earlier.get(operation).copied().flatten()?;
        let way = problem.ways(operation).get(old.mode)?;
        Some(((way.station, old.unit, old.start), way))
    };
    for operation in 0..problem.len() {
        if let Some((key, way)) = key(operation) {
            let ticks = loads.entry(key).or_default();
            *ticks = (*ticks).max(way.ticks);
        }
    }
    let ticks = |operation| match key(operation) {
        Some((key, way)) if way.pool.is_some() => loads[&key],
        Some((_, way)) => way.ticks,
        None => 0,
    };
    (0..problem.len()).map(ticks).collect()
}

/// Takes out the loads that are longer than what lies in them, since their longest operation did not come back; the parts
/// that went.
fn without_longest(table: &mut Table<'_>) -> Vec<usize> {
    let problem = table.problem;
    let mut seeds = Vec::new();
    for load in &table.loads {
        let ticks = |at: &u32| {
            let mode = table.spots[*at as usize].map_or(0, |spot| spot.mode);
            problem.way(*at as usize, mode as usize).ticks
        };
        let longest = load.members.iter().map(ticks).max();
        if longest.is_some_and(|longest| longest < load.ticks) {
            let parts = load.members.iter().map(|at| problem.part_of[*at as usize]);
            seeds.extend(parts.filter(|part| *part != usize::MAX));
        }
    }
    seeds.sort_unstable();
    seeds.dedup();
    let mut marks = Marks::new(problem.parts.len());
    match remove(table, &mut marks, &seeds, usize::MAX) {
        Some(removed) if !seeds.is_empty() => removed.parts,
        _ => Vec::new(),
    }
}

/// Puts a part where it lay, if all of it can be and what it waits for lies.
fn keep(
    table: &mut Table<'_>,
    part: usize,
    again: &impl Fn(&Table<'_>, usize) -> Option<Spot>,
) -> bool {
    let problem = table.problem;
    if !table.unplaced_before(part).is_empty() {
        return false;
    }
    for (number, &operation) in problem.parts[part].iter().enumerate() {
        let Some(spot) = again(table, operation) else {
            for &operation in &problem.parts[part][..number] {
                table.take(operation);
            }
            return false;
        };
        table.put(operation, spot);
    }
    true
}

/// Loads that wait until they are full or for as long as a load takes, by when things arrive in a schedule
/// (batch by earliest arrival, "full or time-out"): the tick that each operation waits for.
fn waiting_loads(table: &Table<'_>) -> Genes {
    let problem = table.problem;
    let mut genes = Genes::free(problem.len());
    let mut pools: Vec<Vec<(Tick, usize)>> = vec![Vec::new(); problem.pools];
    for operation in 0..problem.len() {
        let frozen = problem.draft.operations[operation].frozen.is_some();
        if let (Some(spot), false) = (table.spots[operation], frozen)
            && let Some(pool) = problem.way(operation, spot.mode as usize).pool
        {
            pools[pool].push((table.ready(operation), operation));
        }
    }
    for mut pool in pools {
        pool.sort_unstable();
        let mut load: Vec<(Tick, usize)> = Vec::new();
        let mut size = 0;
        for (ready, operation) in pool {
            let own = problem.draft.operations[operation].size;
            let ticks = problem.least_ticks(operation);
            let full = size + own > holds(problem, operation);
            let waited = load.first().is_some_and(|first| ready - first.0 > ticks);
            if full || waited {
                hold(&mut genes, &load);
                load.clear();
                size = 0;
            }
            size += own;
            load.push((ready, operation));
        }
        hold(&mut genes, &load);
    }
    genes
}

/// Makes the operations of a load wait for the last of them.
fn hold(genes: &mut Genes, load: &[(Tick, usize)]) {
    if let Some((last, _)) = load.last() {
        for (_, operation) in load {
            genes.hold[*operation] = *last;
        }
    }
}

/// What the oven of an operation holds.
fn holds(problem: &Problem, operation: usize) -> i64 {
    let ways = problem.ways(operation).iter();
    let ovens = ways.filter_map(|way| match problem.draft.stations[way.station].kind {
        Kind::Oven { holds, .. } => Some(holds),
        _ => None,
    });
    ovens.max().unwrap_or(i64::MAX)
}
