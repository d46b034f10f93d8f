//! Both questions against published optima and against trying every order of small random lines.

use proptest::prelude::*;

use super::published::{ALL, BOWMAN, JACKSON, JAESCHKE, MANSOOR, MERTENS, MITCHELL};
use super::{
    Balance, Goal, Limit, LineError, LineProblem, Task, Violation, check, fewest_stations,
    shortest_cycle,
};

const PLENTY: u64 = 20_000_000;

fn fewest(problem: &LineProblem, cycle: u64) -> Balance {
    let balance = fewest_stations(problem, cycle, &Limit::nodes(PLENTY)).unwrap();
    assert_eq!(check(problem, &balance), Ok(()));
    balance
}

fn shortest(problem: &LineProblem, stations: usize) -> Balance {
    let balance = shortest_cycle(problem, stations, &Limit::nodes(PLENTY)).unwrap();
    assert_eq!(check(problem, &balance), Ok(()));
    balance
}

fn line(tasks: &[(u64, &[usize])]) -> LineProblem {
    let task = |&(time, after): &(u64, &[usize])| Task {
        time,
        after: after.to_vec(),
    };
    LineProblem {
        tasks: tasks.iter().map(task).collect(),
    }
}

/// CHECKS.md LB-01 to LB-09 (C: proved by constraint programming).
#[test]
fn published_lines_reach_their_fewest_stations() {
    for published in ALL {
        let problem = published.problem();
        for &(cycle, optimum) in published.optima {
            let balance = fewest(&problem, cycle);
            let found = (balance.stations, balance.proved);
            assert_eq!(found, (optimum, true), "{} at {cycle}", published.name);
        }
    }
}

/// CHECKS.md, below the table: Jackson at 10 is 46 / (5 x 10) = 0.92 efficient, delay 0.08.
#[test]
fn figures_of_jacksons_line() {
    let balance = fewest(&JACKSON.problem(), 10);
    assert!((balance.efficiency - 0.92).abs() < 1e-12);
    assert!((balance.balance_delay - 0.08).abs() < 1e-12);
}

#[test]
fn smoothness_is_measured_from_the_longest_station() {
    // 4 | 3 | 1 in a chain with cycle 4: gaps 0, 1, 3 to the longest; root of 0 + 1 + 9. But 3 + 1 fit
    // together: 4 | 3 1 is even, smoothness 0.
    let chain = line(&[(4, &[]), (3, &[0]), (1, &[1])]);
    assert_eq!(fewest(&chain, 4).smoothness, 0.0);
    // 4 | 3 | 2: no two fit. Gaps 0, 1, 2: root of 5.
    let chain = line(&[(4, &[]), (3, &[0]), (2, &[1])]);
    assert!((fewest(&chain, 4).smoothness - 5.0_f64.sqrt()).abs() < 1e-12);
}

#[test]
fn a_task_longer_than_the_cycle_is_refused() {
    let refused = fewest_stations(&JACKSON.problem(), 6, &Limit::nodes(PLENTY));
    let expected = LineError::TaskTooLong {
        task: 3,
        time: 7,
        cycle: 6,
    };
    assert_eq!(refused, Err(expected));
}

#[test]
fn nonsense_is_named() {
    let limit = Limit::nodes(PLENTY);
    let ask = |problem: &LineProblem| fewest_stations(problem, 10, &limit).unwrap_err();
    assert_eq!(ask(&line(&[])), LineError::Empty);
    assert_eq!(ask(&line(&[(0, &[])])), LineError::NoWork);
    let unknown = LineError::UnknownTask { task: 1, after: 2 };
    assert_eq!(ask(&line(&[(1, &[]), (1, &[2])])), unknown);
    assert_eq!(ask(&line(&[(1, &[0])])), LineError::Ring { ring: vec![0] });
    // 0 is free; 1 after 3 after 2 after 1 is the ring, told in working order.
    let ring = line(&[(1, &[]), (1, &[0, 3]), (1, &[1]), (1, &[2])]);
    assert_eq!(
        ask(&ring),
        LineError::Ring {
            ring: vec![2, 3, 1]
        }
    );
    let large = line(&[(u64::MAX, &[]), (1, &[])]);
    assert_eq!(ask(&large), LineError::TimesTooLarge);
    let none = shortest_cycle(&JACKSON.problem(), 0, &limit);
    assert_eq!(none, Err(LineError::NoStations));
}

/// Sawyer at 25 needs more than the first bound shows at once; with one node there is still a line.
#[test]
fn a_spent_limit_leaves_a_line_and_a_bound() {
    for published in ALL {
        let problem = published.problem();
        for &(cycle, optimum) in published.optima {
            for nodes in [0, 1, 100, 2000] {
                let balance = fewest_stations(&problem, cycle, &Limit::nodes(nodes)).unwrap();
                assert_eq!(check(&problem, &balance), Ok(()));
                assert!(balance.nodes <= nodes + 1);
                assert!(balance.stations >= optimum && balance.lower_bound <= optimum as u64);
            }
        }
        let balance = shortest_cycle(&problem, 3, &Limit::nodes(10)).unwrap();
        assert_eq!(check(&problem, &balance), Ok(()));
    }
}

#[test]
fn the_caller_may_stop_and_memory_is_bounded() {
    let (problem, cycle) = (MITCHELL.problem(), 15);
    let limits = [
        Limit {
            nodes: PLENTY,
            states: usize::MAX,
            stop: &|| true,
        },
        Limit {
            nodes: PLENTY,
            states: 1,
            stop: &|| false,
        },
    ];
    for limit in limits {
        let balance = fewest_stations(&problem, cycle, &limit).unwrap();
        assert_eq!(check(&problem, &balance), Ok(()));
        assert!(balance.stations >= 8 && balance.lower_bound <= 8);
    }
}

#[test]
fn the_same_question_has_the_same_answer() {
    let problem = ALL[7].problem();
    assert_eq!(fewest(&problem, 25), fewest(&problem, 25));
    assert_eq!(shortest(&problem, 9), shortest(&problem, 9));
}

/// The shortest cycle for m stations is the least c whose fewest stations are at most m.
#[test]
fn shortest_cycle_is_the_dual_of_fewest_stations() {
    for published in [BOWMAN, MERTENS, JAESCHKE, JACKSON, MANSOOR, MITCHELL] {
        let problem = published.problem();
        let longest = problem.tasks.iter().map(|task| task.time).max().unwrap();
        for stations in 1..=problem.tasks.len() {
            let enough = |&cycle: &u64| fewest(&problem, cycle).stations <= stations;
            let dual = (longest..=problem.tasks.iter().map(|task| task.time).sum())
                .find(enough)
                .unwrap();
            let balance = shortest(&problem, stations);
            let found = (balance.cycle, balance.proved);
            assert_eq!(found, (dual, true), "{} on {stations}", published.name);
        }
    }
}

#[test]
fn more_stations_than_tasks_stay_empty() {
    let balance = shortest(&line(&[(5, &[]), (3, &[0])]), 4);
    // 8 ticks of work on 4 stations of 5: 8 / 20.
    assert_eq!((balance.cycle, balance.stations), (5, 4));
    assert!((balance.efficiency - 0.4).abs() < 1e-12);
}

#[test]
fn tampering_is_found() {
    let problem = JACKSON.problem();
    let good = fewest(&problem, 10);
    let tampered = |change: &dyn Fn(&mut Balance)| {
        let mut bad = good.clone();
        change(&mut bad);
        check(&problem, &bad).unwrap_err()
    };
    let faults = tampered(&|bad| bad.station_of[0] = bad.stations);
    assert!(matches!(
        faults[0],
        Violation::NoSuchStation { task: 0, .. }
    ));
    let faults = tampered(&|bad| bad.station_of.truncate(3));
    assert!(matches!(faults[0], Violation::WrongLength { .. }));
    let faults = tampered(&|bad| bad.station_of[10] = 0);
    assert!(
        faults
            .iter()
            .any(|f| matches!(f, Violation::OutOfOrder { task: 10, .. }))
    );
    let faults = tampered(&|bad| bad.cycle = 9);
    assert!(
        faults
            .iter()
            .any(|f| matches!(f, Violation::Overload { .. }))
    );
    let faults = tampered(&|bad| bad.stations += 1);
    assert!(
        faults
            .iter()
            .any(|f| matches!(f, Violation::EmptyStation { .. }))
    );
    let faults = tampered(&|bad| bad.lower_bound = 4);
    assert_eq!(faults, [Violation::Bound { lower_bound: 4 }]);
    let faults = tampered(&|bad| bad.proved = false);
    assert!(matches!(faults[0], Violation::Bound { .. }));
    for figure in [
        (|bad: &mut Balance| bad.efficiency = 0.93) as fn(&mut Balance),
        |bad| bad.balance_delay = 0.07,
        |bad| bad.smoothness = f64::NAN,
    ] {
        let faults = tampered(&figure);
        assert!(matches!(faults[..], [Violation::Figure { .. }]));
    }
    let mut slack = shortest(&problem, 5);
    slack.goal = Goal::ShortestCycle;
    slack.cycle += 1;
    let faults = check(&problem, &slack).unwrap_err();
    assert!(
        faults
            .iter()
            .any(|f| matches!(f, Violation::SlackCycle { .. }))
    );
}

/// The fewest stations over every allowed order, each filled greedily: some order always gives a best line.
fn by_trying_orders(problem: &LineProblem, cycle: u64) -> usize {
    fn go(problem: &LineProblem, cycle: u64, done: u32, at: (usize, u64), best: &mut usize) {
        if at.0 >= *best {
            return;
        }
        if done.count_ones() as usize == problem.tasks.len() {
            *best = at.0;
            return;
        }
        for (task, given) in problem.tasks.iter().enumerate() {
            let ready = given.after.iter().all(|&after| done >> after & 1 == 1);
            if done >> task & 1 == 1 || !ready {
                continue;
            }
            let fits = at.1 >= given.time;
            let next = if fits {
                (at.0, at.1 - given.time)
            } else {
                (at.0 + 1, cycle - given.time)
            };
            go(problem, cycle, done | 1 << task, next, best);
        }
    }
    let mut best = problem.tasks.len() + 1;
    go(problem, cycle, 0, (1, cycle), &mut best);
    best
}

fn reversed(problem: &LineProblem) -> LineProblem {
    let mut tasks: Vec<Task> = problem.tasks.clone();
    for task in &mut tasks {
        task.after.clear();
    }
    for (task, given) in problem.tasks.iter().enumerate() {
        for &after in &given.after {
            tasks[after].after.push(task);
        }
    }
    LineProblem { tasks }
}

/// Lines of up to nine tasks; arcs go from lower to higher numbers, then the numbers are turned about.
fn lines() -> impl Strategy<Value = LineProblem> {
    let tasks = prop::collection::vec((0_u64..13, prop::collection::vec(0_usize..30, 0..4)), 1..10);
    (tasks, any::<bool>()).prop_filter_map("some work", |(tasks, turned)| {
        let last = tasks.len() - 1;
        let number = |task: usize| if turned { last - task } else { task };
        let mut problem = line(&vec![(0, &[][..]); tasks.len()]);
        for (task, (time, before)) in tasks.iter().enumerate() {
            let before = before.iter().filter(|&&b| b < task).map(|&b| number(b));
            problem.tasks[number(task)] = Task {
                time: *time,
                after: before.collect(),
            };
        }
        tasks.iter().any(|(time, _)| *time > 0).then_some(problem)
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(512))]

    #[test]
    fn fewest_stations_is_what_trying_all_orders_gives(problem in lines(), slack in 0_u64..15) {
        let longest = problem.tasks.iter().map(|task| task.time).max().unwrap();
        let cycle = longest + slack;
        let balance = fewest_stations(&problem, cycle, &Limit::nodes(PLENTY)).unwrap();
        prop_assert_eq!(check(&problem, &balance), Ok(()));
        prop_assert!(balance.proved);
        prop_assert_eq!(balance.stations, by_trying_orders(&problem, cycle));
        let back = fewest_stations(&reversed(&problem), cycle, &Limit::nodes(PLENTY)).unwrap();
        prop_assert_eq!(balance.stations, back.stations);
    }

    #[test]
    fn shortest_cycle_is_the_least_that_works(problem in lines(), stations in 1_usize..6) {
        let balance = shortest_cycle(&problem, stations, &Limit::nodes(PLENTY)).unwrap();
        prop_assert_eq!(check(&problem, &balance), Ok(()));
        prop_assert!(balance.proved);
        let longest = problem.tasks.iter().map(|task| task.time).max().unwrap();
        let works = |cycle: u64| cycle >= longest && by_trying_orders(&problem, cycle) <= stations;
        prop_assert!(works(balance.cycle));
        prop_assert!(!works(balance.cycle - 1));
    }

    /// A longer cycle or more stations never makes the other figure worse.
    #[test]
    fn more_room_never_hurts(problem in lines(), slack in 0_u64..10, stations in 1_usize..6) {
        let longest = problem.tasks.iter().map(|task| task.time).max().unwrap();
        let (tight, loose) = (fewest(&problem, longest + slack), fewest(&problem, longest + slack + 1));
        prop_assert!(loose.stations <= tight.stations);
        prop_assert!(shortest(&problem, stations + 1).cycle <= shortest(&problem, stations).cycle);
    }
}
