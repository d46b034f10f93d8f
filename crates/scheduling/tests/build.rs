//! Schedules that the builder makes of random works keep every rule; on small ones some order is the best.

mod common;

use chance::Stream;
use scheduling::build::{Rule, by_rule, in_order};
use scheduling::check::{Breach, check};
use scheduling::problem::*;

#[test]
fn every_schedule_keeps_every_rule() {
    let rules = [
        Rule::EarliestDue,
        Rule::MostWork,
        Rule::WeightedShortest,
        Rule::Apparent {
            dates: 2.0,
            setups: 0.5,
        },
    ];
    let (mut links, mut broken) = (0, 0);
    for seed in 0..400 {
        let draft = common::works(seed, 1 + seed as usize % 12);
        let problem = Problem::new(draft.clone()).expect("random works are sound");
        let mut order: Vec<usize> = (0..problem.len()).collect();
        Stream::new(seed, "order").shuffle(&mut order);
        let mut schedules = vec![in_order(&problem, &order)];
        schedules.push(by_rule(&problem, rules[seed as usize % 4]));
        for placed in schedules {
            let found = check(&draft, &placed);
            let rest: Vec<&Breach> = found
                .iter()
                .filter(|b| !matches!(b, Breach::TooLong(_)))
                .collect();
            assert!(rest.is_empty(), "seed {seed}: {rest:?}");
            links += draft
                .links
                .iter()
                .filter(|l| l.most.is_some_and(|m| m.cost.is_none()))
                .count();
            broken += found.len();
        }
    }
    // A wait across a night can be impossible; most are kept.
    assert!(broken * 50 < links, "{broken} of {links} hard waits broken");
}

/// A tiny works with one unit a station: chains, dates, hours, modes and set-ups as asked.
fn tiny(seed: u64, with_modes: bool, with_set_ups: bool) -> Draft {
    let stream = &mut Stream::new(seed, "tiny");
    let mut draft = Draft {
        horizon: 400,
        calendars: vec![common::days(4), scheduling::calendar::Calendar::always()],
        objectives: vec![Objective::WeightedLateness, Objective::WeightedFinish],
        ..Draft::default()
    };
    for _ in 0..2 {
        let mut station = Station::single(stream.index(2) as usize);
        if with_set_ups {
            station.setups = SetUps {
                families: 2,
                ticks: vec![0, 3 + stream.index(9) as i64, 3 + stream.index(9) as i64, 0],
                first: vec![0, 0],
                pauses: true,
            };
        }
        draft.stations.push(station);
    }
    for job in 0..3 {
        draft.jobs.push(Job {
            release: stream.index(20) as i64,
            due: Some(20 + stream.index(80) as i64),
            weight: 1 + stream.index(4) as i64,
        });
        for number in 0..2 {
            let first = stream.index(2) as usize;
            let mut mode = Mode::on(first, 1 + stream.index(20) as i64);
            if with_set_ups {
                mode.family = stream.index(2) as usize;
            }
            let mut modes = vec![mode.clone()];
            if with_modes && stream.index(2) == 0 {
                mode.station = 1 - first;
                mode.ticks += stream.index(6) as i64;
                modes.push(mode);
            }
            let at = draft.operations.len();
            draft.operations.push(Operation {
                job,
                release: 0,
                modes,
                size: 1,
                over: Over::Pauses,
                frozen: None,
            });
            if number > 0 {
                draft.links.push(Link::then(at - 1, at));
            }
        }
    }
    draft
}

/// Counts ticks one by one: the first open tick, and when so much work is done.
fn run(draft: &Draft, station: usize, from: i64, ticks: i64) -> (i64, i64) {
    let calendar = &draft.calendars[draft.stations[station].calendar];
    let open =
        |t: i64| t >= draft.horizon || calendar.spans().iter().any(|s| s.from <= t && t < s.until);
    let start = (from..10_000).find(|t| open(*t)).expect("open at last");
    let last = (start..10_000)
        .filter(|t| open(*t))
        .nth(ticks as usize - 1)
        .expect("open at last");
    (start, last + 1)
}

/// The best first and second objective over all sequences of operations and modes, each begun as soon as what
/// comes before it in the sequence allows: this holds an optimum where nothing gains from waiting.
fn best_of_all(draft: &Draft) -> (i64, i64) {
    fn go(
        draft: &Draft,
        finish: &mut Vec<Option<i64>>,
        units: [(i64, Option<usize>); 2],
        best: &mut (i64, i64),
    ) {
        if finish.iter().all(Option::is_some) {
            let mut sums = (0, 0);
            for (number, job) in draft.jobs.iter().enumerate() {
                let end = finish[2 * number + 1].expect("all are finished");
                sums.0 += job.weight * (end - job.due.expect("all have dates")).max(0);
                sums.1 += job.weight * end;
            }
            *best = (*best).min(sums);
            return;
        }
        for at in 0..finish.len() {
            let before = if at % 2 == 1 { finish[at - 1] } else { Some(0) };
            let (None, Some(before)) = (finish[at], before) else {
                continue;
            };
            for mode in &draft.operations[at].modes {
                let (free, family) = units[mode.station];
                let set_up = draft.stations[mode.station]
                    .setups
                    .between(family, mode.family);
                let free = if set_up == 0 {
                    free
                } else {
                    run(draft, mode.station, free, set_up).1
                };
                let ready = free
                    .max(before)
                    .max(draft.jobs[draft.operations[at].job].release);
                let (_, end) = run(draft, mode.station, ready, mode.ticks);
                let mut next = units;
                next[mode.station] = (end, Some(mode.family));
                finish[at] = Some(end);
                go(draft, finish, next, best);
                finish[at] = None;
            }
        }
    }
    let mut best = (i64::MAX, i64::MAX);
    go(
        draft,
        &mut vec![None; draft.operations.len()],
        [(0, None); 2],
        &mut best,
    );
    best
}

/// Every order of so many things (Heap 1963).
fn orders(count: usize) -> Vec<Vec<usize>> {
    fn heap(count: usize, list: &mut Vec<usize>, found: &mut Vec<Vec<usize>>) {
        if count <= 1 {
            found.push(list.clone());
            return;
        }
        for at in 0..count {
            heap(count - 1, list, found);
            list.swap(if count.is_multiple_of(2) { at } else { 0 }, count - 1);
        }
    }
    let mut found = Vec::new();
    heap(count, &mut (0..count).collect(), &mut found);
    found
}

#[test]
fn some_order_gives_the_best_schedule_there_is() {
    for seed in 0..25 {
        let draft = tiny(seed, false, false);
        let problem = Problem::new(draft.clone()).expect("sound");
        let best = orders(6).into_iter().map(|order| {
            let figures = scheduling::check::measure(&draft, &in_order(&problem, &order));
            (figures[0], figures[1])
        });
        assert_eq!(best.min(), Some(best_of_all(&draft)), "seed {seed}");
    }
}

#[test]
fn the_search_finds_the_best_of_tiny_works_with_modes_and_set_ups() {
    use scheduling::improve::{Settings, improve};
    for seed in 0..25 {
        let draft = tiny(seed, true, true);
        let problem = Problem::new(draft.clone()).expect("sound");
        let settings = Settings {
            seed,
            chains: 1,
            threads: 1,
        };
        let plan = improve(&problem, settings, effort::Effort::steps(8_000));
        let found = (plan.figures[0].value, plan.figures[1].value);
        assert_eq!(found, best_of_all(&draft), "seed {seed}");
    }
}
