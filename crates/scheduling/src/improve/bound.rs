//! What no schedule can be better than, for each objective, where that is easily known.

use crate::build::run;
use crate::calendar::{FAR, Span, Tick};
use crate::problem::{After, Kind, Objective, Problem};

/// Bounds from below, one for each objective of the problem.
pub(super) fn bounds(problem: &Problem) -> Vec<i64> {
    let heads = heads(problem);
    let finish = job_finishes(problem, &heads);
    let draft = &problem.draft;
    let late = |job: usize| draft.jobs[job].due.map(|due| finish[job] - due);
    let jobs = || (0..draft.jobs.len()).filter(|job| !problem.of_job[*job].is_empty());
    let sum = |of: &dyn Fn(usize) -> i64| jobs().map(of).fold(0, i64::saturating_add);
    let weight = |job: usize| draft.jobs[job].weight;
    let one = |objective: &Objective| match objective {
        Objective::WeightedLateness => {
            sum(&|job| weight(job).saturating_mul(late(job).unwrap_or(0).max(0)))
        }
        Objective::LateJobs => sum(&|job| weight(job) * i64::from(late(job).unwrap_or(0) > 0)),
        Objective::WorstLateness => jobs().filter_map(late).max().unwrap_or(0),
        Objective::Spoiled | Objective::ShortLoads | Objective::Moved => 0,
        Objective::SetUp => set_up(problem),
        Objective::Makespan => {
            let longest = jobs().map(|job| finish[job]).max().unwrap_or(draft.begin);
            (longest - draft.begin).max(load(problem, &heads))
        }
        Objective::WorkInProcess => sum(&|job| {
            let own = problem.of_job[job].iter();
            own.map(|at| frozen_or_least(problem, *at))
                .max()
                .unwrap_or(0)
        }),
        Objective::WeightedFinish => {
            sum(&|job| weight(job).saturating_mul((finish[job] - draft.begin).max(0)))
        }
    };
    draft.objectives.iter().map(one).collect()
}

fn frozen_or_least(problem: &Problem, at: usize) -> Tick {
    let frozen = problem.draft.operations[at].frozen;
    frozen.map_or(problem.least_ticks(at), |place| place.finish - place.start)
}

/// The earliest start and finish of each operation if it had the works to itself.
fn heads(problem: &Problem) -> Vec<(Tick, Tick)> {
    let draft = &problem.draft;
    let mut heads = vec![(0, 0); problem.len()];
    for &operation in &problem.order {
        let own = &draft.operations[operation];
        if let Some(place) = own.frozen {
            heads[operation] = (place.start, place.finish);
            continue;
        }
        let job = draft.jobs[own.job].release;
        let mut ready = draft.begin.max(own.release).max(job);
        for &link in &problem.into[operation] {
            let link = &draft.links[link as usize];
            let from = heads[link.from];
            ready = ready.max(match link.after {
                After::Finish { least } => from.1 + least,
                After::Start { least } => from.0 + least,
                // The first lot, at the least; the last one is seen by what follows alone.
                After::Lots { .. } => from.0,
            });
        }
        let runs = problem.ways(operation).iter().flat_map(|way| {
            let lines = problem.lines_of(way.station);
            lines.map(move |line| run::earliest(problem, way, way.ticks, line, ready))
        });
        let first = |best: (Tick, Tick), run: (Tick, Tick)| (best.0.min(run.0), best.1.min(run.1));
        heads[operation] = runs.fold((FAR, FAR), first);
    }
    heads
}

fn job_finishes(problem: &Problem, heads: &[(Tick, Tick)]) -> Vec<Tick> {
    let last = |own: &Vec<usize>| own.iter().map(|at| heads[*at].1).max();
    let begin = problem.draft.begin;
    problem
        .of_job
        .iter()
        .map(|own| last(own).unwrap_or(begin))
        .collect()
}

/// Own set-ups that cannot be saved: those of operations outside ovens.
fn set_up(problem: &Problem) -> i64 {
    let least = |at: usize| {
        let ways = problem.ways(at).iter();
        let ticks = ways.map(|way| if way.pool.is_none() { way.setup } else { 0 });
        ticks.min().unwrap_or(0)
    };
    (0..problem.len())
        .filter(|at| problem.draft.operations[*at].frozen.is_none())
        .filter(|at| {
            let open = |station: usize| problem.draft.stations[station].kind == Kind::Open;
            !problem.ways(*at).iter().any(|way| open(way.station))
        })
        .map(least)
        .sum()
}

/// For each station: what only it can do, in the open time of its units, after the least head and before the least rest.
fn load(problem: &Problem, heads: &[(Tick, Tick)]) -> Tick {
    let draft = &problem.draft;
    let stations = draft.stations.len();
    let mut work = vec![0i64; stations];
    let mut size = vec![0i64; stations];
    let mut head = vec![FAR; stations];
    let mut rest = vec![FAR; stations];
    let mut least = vec![FAR; stations];
    for (operation, own_head) in heads.iter().enumerate() {
        let station = problem.ways(operation)[0].station;
        let ways = problem.ways(operation);
        let frozen = draft.operations[operation].frozen.is_some();
        if frozen || ways.iter().any(|way| way.station != station) {
            continue;
        }
        let ticks = problem.least_ticks(operation);
        work[station] += ticks;
        size[station] += draft.operations[operation].size;
        head[station] = head[station].min(own_head.0);
        rest[station] = rest[station].min(problem.rest_of[operation]);
        least[station] = least[station].min(ticks);
    }
    let mut bound = 0;
    for (station, own) in draft.stations.iter().enumerate() {
        let work = match own.kind {
            Kind::Open => continue,
            Kind::Single => work[station],
            Kind::Oven { holds, .. } => {
                let loads = (size[station] + holds - 1) / holds;
                loads.saturating_mul(if least[station] == FAR {
                    0
                } else {
                    least[station]
                })
            }
        };
        if work > 0 {
            let done = done_by(problem, station, head[station], work);
            bound = bound.max(done - draft.begin + rest[station]);
        }
    }
    bound
}

/// When all units of a station together have so many ticks of work behind them from a tick on, working by the clock.
fn done_by(problem: &Problem, station: usize, from: Tick, work: Tick) -> Tick {
    let pauses_only = problem.lines_of(station);
    // Work that runs on counts closed time too, so that only stops and hours of the first start would bind: the
    // clock is then all that is sure.
    let runs_on = (0..problem.len()).any(|at| {
        problem.draft.operations[at].over == crate::problem::Over::RunsOn
            && problem.ways(at).iter().any(|way| way.station == station)
    });
    let units = pauses_only.len() as i64;
    if runs_on {
        return from + (work + units - 1) / units;
    }
    let open = |until: Tick| -> i64 {
        problem
            .lines_of(station)
            .map(|line| problem.lines[line].hours.open_in(Span::new(from, until)))
            .sum()
    };
    let (mut low, mut high) = (from, from + work);
    while open(high) < work {
        high = (high - from) * 2 + from + 1;
    }
    while low < high {
        let middle = low + (high - low) / 2;
        if open(middle) < work {
            low = middle + 1;
        } else {
            high = middle;
        }
    }
    low
}
