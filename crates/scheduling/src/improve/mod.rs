//! The search for a better schedule: large-neighbourhood search (Shaw 1998) by taking out and putting back with the builder.
//!
//! Chains run side by side in rounds; after each the worst goes on from
//! the best. Chains draw from streams of their own and count their own steps, so that the answer is the same
//! whatever the number of threads, unless it is stopped from outside.

mod arms;
mod bound;
mod chain;
mod choose;
mod remove;
mod start;

use chance::Stream;
use effort::Effort;

use self::chain::{Best, Chain, load};
use crate::answer::Plan;
use crate::build::table::{Spot, Table};
use crate::problem::{Placed, Problem};

/// How to search.
#[derive(Clone, Copy, Debug)]
pub struct Settings {
    /// Decides all that is left to chance.
    pub seed: u64,
    /// Chains to run, each with its part of the effort; more than one or two pay where there is much effort.
    pub chains: usize,
    /// Threads to use, at most as many as chains; the answer does not depend on it.
    pub threads: usize,
}

/// Rounds after which chains look at each other.
const ROUNDS: u64 = SLACK.len() as u64;

/// For so many operations the slack is as it stands.
const FULL_SLACK: f64 = 400.0;

/// By how much of its value the first objective may be worse than the best in each round (record-to-record
/// travel, Dueck 1993).
/// It shrinks with the square of operations above [`FULL_SLACK`], since one step changes a smaller share and there are fewer
/// steps to each, and grows with the root of their number below.
const SLACK: [f64; 6] = [0.06, 0.04, 0.02, 0.01, 0.003, 0.0];

/// The best schedule found with so much effort. A step is one operation placed.
pub fn improve(problem: &Problem, settings: Settings, effort: Effort<'_>) -> Plan {
    let mut steps = 0;
    let starts = start::starts(problem, settings.chains.max(1), &mut steps);
    search(problem, starts, settings, effort, steps)
}

/// The same, from an earlier schedule: what lies where it lay if it still fits, then a search. Operations without an
/// earlier place come in between by their due dates.
pub fn improve_from(
    problem: &Problem,
    earlier: &[Option<Placed>],
    settings: Settings,
    effort: Effort<'_>,
) -> Plan {
    let mut steps = 0;
    let starts = vec![start::near(problem, earlier, &mut steps)];
    search(problem, starts, settings, effort, steps)
}

fn search(
    problem: &Problem,
    starts: Vec<start::Start<'_>>,
    settings: Settings,
    effort: Effort<'_>,
    built: u64,
) -> Plan {
    let count = settings.chains.max(1);
    let have = starts.len().max(1);
    let mut chains: Vec<Chain<'_>> = Vec::with_capacity(count);
    for number in 0..count {
        let start = &starts[number % have];
        let stream = Stream::new(settings.seed, &format!("chain {number}"));
        chains.push(Chain::new(start.table.clone(), start.genes.clone(), stream));
    }
    drop(starts);
    let share = effort.share_of(count as u64 * ROUNDS);
    let mut spent = built;
    let small = FULL_SLACK / problem.len().max(1) as f64;
    let factor = if small < 1.0 {
        small * small
    } else {
        small.sqrt()
    };
    for slack in SLACK {
        let slack = slack * factor;
        spent += round(&mut chains, settings.threads, slack, share);
        exchange(&mut chains);
    }
    let best = chains
        .iter_mut()
        .map(|chain| chain.best().clone())
        .min_by(|a, b| a.score.cmp(&b.score));
    plan(problem, best, spent)
}

/// Runs every chain once over its share; returns the steps.
fn round(chains: &mut [Chain<'_>], threads: usize, slack: f64, share: Effort<'_>) -> u64 {
    let run = |chain: &mut Chain<'_>| {
        let mut meter = share.meter();
        chain.run(slack, &mut meter);
        meter.spent()
    };
    let each = chains.len().div_ceil(threads.max(1));
    if each >= chains.len() {
        return chains.iter_mut().map(run).sum();
    }
    std::thread::scope(|scope| {
        let workers: Vec<_> = chains
            .chunks_mut(each)
            .map(|part| scope.spawn(move || part.iter_mut().map(run).sum::<u64>()))
            .collect();
        let spent = workers.into_iter().map(std::thread::ScopedJoinHandle::join);
        spent
            .map(|steps| steps.expect("a chain does not panic"))
            .sum()
    })
}

/// The chain whose best is worst goes on from the best of all.
fn exchange(chains: &mut [Chain<'_>]) {
    let scores: Vec<_> = chains.iter_mut().map(|chain| chain.best().score).collect();
    let best = (0..scores.len()).min_by_key(|at| scores[*at]);
    let worst = (0..scores.len()).rev().max_by_key(|at| scores[*at]);
    if let (Some(best), Some(worst)) = (best, worst)
        && scores[best] < scores[worst]
    {
        let found = chains[best].best().clone();
        chains[worst].adopt(&found);
    }
}

fn plan(problem: &Problem, best: Option<Best>, steps: u64) -> Plan {
    let mut table = Table::new(problem);
    if let Some(best) = &best {
        load(&mut table, &best.spots);
    }
    let plan = Plan::of(problem, table.all_placed(), bound::bounds(problem), steps);
    let figures = plan.figures.iter().map(|figure| figure.value);
    debug_assert!(
        best.is_none_or(|best| figures.eq(best.score[1..=plan.figures.len()].iter().copied())),
        "the search counts as the checker does"
    );
    plan
}

/// The timetable of a finished schedule.
pub(crate) fn load_placed<'p>(problem: &'p Problem, placed: &[Placed]) -> Table<'p> {
    let longest = crate::check::load_ticks(&problem.draft, placed);
    let spot = |(operation, place): (usize, &Placed)| {
        let way = problem.way(operation, place.mode);
        Some(Spot {
            mode: place.mode as u32,
            line: (problem.first_line[way.station] + place.unit) as u32,
            start: place.start,
            finish: place.finish,
            ticks: longest[operation],
        })
    };
    let spots: Vec<Option<Spot>> = placed.iter().enumerate().map(spot).collect();
    let mut table = Table::new(problem);
    load(&mut table, &spots);
    table
}
