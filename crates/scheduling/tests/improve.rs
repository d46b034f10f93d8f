//! The search: its schedules keep the rules, it is the same for a seed whatever the threads, and it finds known optima.

mod common;

use effort::Effort;
use scheduling::calendar::Calendar;
use scheduling::check::check;
use scheduling::improve::{Settings, improve};
use scheduling::problem::*;

fn settings(seed: u64, threads: usize) -> Settings {
    Settings {
        seed,
        chains: 2,
        threads,
    }
}

#[test]
fn what_the_search_finds_keeps_every_rule_and_is_no_worse_than_where_it_began() {
    for seed in 0..120 {
        let draft = common::works(seed, 2 + seed as usize % 14);
        let problem = Problem::new(draft.clone()).expect("random works are sound");
        let begun = improve(&problem, settings(seed, 1), Effort::steps(0));
        let plan = improve(&problem, settings(seed, 1), Effort::steps(6_000));
        let breaches = common::breaches(&draft, &plan.placed);
        assert!(breaches.is_empty(), "seed {seed}: {breaches:?}");
        if plan.broken.len() == begun.broken.len() && plan.broken.is_empty() {
            let values = |plan: &scheduling::answer::Plan| -> Vec<i64> {
                plan.figures.iter().map(|figure| figure.value).collect()
            };
            assert!(values(&plan) <= values(&begun), "seed {seed}");
        }
        for figure in &plan.figures {
            assert!(figure.bound <= figure.value, "seed {seed}: {figure:?}");
        }
    }
}

#[test]
fn the_answer_is_the_same_for_a_seed_whatever_the_threads() {
    let problem = Problem::new(common::works(7, 12)).expect("random works are sound");
    let one = improve(&problem, settings(3, 1), Effort::steps(20_000));
    let two = improve(&problem, settings(3, 2), Effort::steps(20_000));
    let four = improve(&problem, settings(3, 4), Effort::steps(20_000));
    assert_eq!(one, two);
    assert_eq!(one, four);
}

/// Jobs of one operation each on some units of one station: ticks, due, weight.
fn single(jobs: &[(i64, i64, i64)], units: usize, objective: Objective) -> Draft {
    let mut station = Station::single(0);
    station.units = units;
    Draft {
        horizon: 100_000,
        calendars: vec![Calendar::always()],
        stations: vec![station],
        objectives: vec![objective],
        jobs: jobs
            .iter()
            .map(|(_, due, weight)| Job {
                release: 0,
                due: Some(*due),
                weight: *weight,
            })
            .collect(),
        operations: jobs
            .iter()
            .enumerate()
            .map(|(job, (ticks, _, _))| operation(job, 0, *ticks))
            .collect(),
        ..Draft::default()
    }
}

fn operation(job: usize, station: usize, ticks: i64) -> Operation {
    Operation {
        job,
        release: 0,
        modes: vec![Mode::on(station, ticks)],
        size: 1,
        over: Over::Whole,
        frozen: None,
    }
}

/// Jobs that pass all stations in order: rows of ticks.
fn flow(rows: &[&[i64]], objective: Objective) -> Draft {
    let mut draft = single(&[], 1, objective);
    draft.stations = rows[0].iter().map(|_| Station::single(0)).collect();
    for (job, row) in rows.iter().enumerate() {
        draft.jobs.push(Job {
            release: 0,
            due: None,
            weight: 1,
        });
        for (station, ticks) in row.iter().enumerate() {
            let at = draft.operations.len();
            draft.operations.push(operation(job, station, *ticks));
            if station > 0 {
                draft.links.push(Link::then(at - 1, at));
            }
        }
    }
    draft
}

fn best(draft: &Draft) -> i64 {
    let problem = Problem::new(draft.clone()).expect("sound");
    let plan = improve(&problem, settings(1, 1), Effort::steps(30_000));
    assert!(check(draft, &plan.placed).is_empty());
    plan.figures[0].value
}

/// Two stations in a row (Johnson 1954). B E D C A: station 1 ends 3, 10, 20, 28, 33; station 2: 9, 22, 29, 33, 35.
#[test]
fn johnson_two_stations() {
    let rows: [&[i64]; 5] = [&[5, 2], &[3, 6], &[8, 4], &[10, 7], &[7, 12]];
    assert_eq!(best(&flow(&rows, Objective::Makespan)), 35);
}

/// Late jobs (Moore 1968; the example of Pinedo, *Scheduling*, from memory, brute force computed by this project): 2.
#[test]
fn moore_late_jobs() {
    let jobs = [(7, 9, 1), (8, 17, 1), (4, 18, 1), (6, 19, 1), (6, 21, 1)];
    assert_eq!(best(&single(&jobs, 1, Objective::LateJobs)), 2);
}

/// Total tardiness (Lawler 1977; Pinedo's example, from memory, brute force computed by this project): 370.
#[test]
fn total_tardiness() {
    let jobs = [
        (121, 260, 1),
        (79, 266, 1),
        (147, 266, 1),
        (83, 336, 1),
        (130, 337, 1),
    ];
    assert_eq!(best(&single(&jobs, 1, Objective::WeightedLateness)), 370);
}

/// Smith 1956: by w/p the order is 3, 4, 5, 2, 1; finishes 3, 12, 14, 21, 25; 2·3 + 5·12 + 14 + 3·21 + 25 = 168. Jackson 1955: by
/// due date the finishes are 3, 5, 10, 16, 24 and the lateness −3, −4, −2, −4, −1.
#[test]
fn weighted_finish_and_worst_lateness() {
    let jobs = [(4, 0, 1), (7, 0, 3), (3, 0, 2), (9, 0, 5), (2, 0, 1)];
    assert_eq!(best(&single(&jobs, 1, Objective::WeightedFinish)), 168);
    let jobs = [(3, 6, 1), (6, 20, 1), (2, 9, 1), (8, 25, 1), (5, 12, 1)];
    assert_eq!(best(&single(&jobs, 1, Objective::WorstLateness)), -1);
}

/// Three alike units, 5 5 4 4 3 3 3: longest first gives 11, the optimum is 9 = 27/3 (Graham 1969).
#[test]
fn parallel_units() {
    let jobs = [5, 5, 4, 4, 3, 3, 3].map(|ticks| (ticks, 0, 1));
    assert_eq!(best(&single(&jobs, 3, Objective::Makespan)), 9);
}

/// Four stations in a row: 40 is the best with one order of jobs at all stations, 2 4 3 1 (computed by this project by brute
/// force). Station by station in one order, nothing can overtake. Where it may, the search finds 39.
#[test]
fn four_stations_in_a_row() {
    let rows: [&[i64]; 4] = [&[6, 8, 3, 4], &[3, 1, 3, 5], &[2, 9, 8, 8], &[6, 1, 3, 9]];
    let draft = flow(&rows, Objective::Makespan);
    let problem = Problem::new(draft.clone()).expect("sound");
    let mut found: Vec<(i64, Vec<usize>)> = Vec::new();
    for code in 0..256 {
        let jobs = [code % 4, code / 4 % 4, code / 16 % 4, code / 64];
        if (0..4).all(|job| jobs.contains(&job)) {
            let order: Vec<usize> = (0..4)
                .flat_map(|station| jobs.map(|job| 4 * job + station))
                .collect();
            let placed = scheduling::build::in_order(&problem, &order);
            found.push((
                scheduling::check::measure(&draft, &placed)[0],
                jobs.to_vec(),
            ));
        }
    }
    assert_eq!(found.iter().min(), Some(&(40, vec![1, 3, 2, 0])));
    assert_eq!(best(&draft), 39);
}

/// Fisher & Thompson's 6 × 6 (1963): 55. Machine and time pairs.
#[test]
fn ft06() {
    let rows: [[(usize, i64); 6]; 6] = [
        [(2, 1), (0, 3), (1, 6), (3, 7), (5, 3), (4, 6)],
        [(1, 8), (2, 5), (4, 10), (5, 10), (0, 10), (3, 4)],
        [(2, 5), (3, 4), (5, 8), (0, 9), (1, 1), (4, 7)],
        [(1, 5), (0, 5), (2, 5), (3, 3), (4, 8), (5, 9)],
        [(2, 9), (1, 3), (4, 5), (5, 4), (0, 3), (3, 1)],
        [(1, 3), (3, 3), (5, 9), (0, 10), (4, 4), (2, 1)],
    ];
    let empty: Vec<&[i64]> = vec![&[1; 6]; 6];
    let mut draft = flow(&empty, Objective::Makespan);
    for (operation, (station, ticks)) in draft.operations.iter_mut().zip(rows.as_flattened()) {
        operation.modes = vec![Mode::on(*station, *ticks)];
    }
    assert_eq!(best(&draft), 55);
}
