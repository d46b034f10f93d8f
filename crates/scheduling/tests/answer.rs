//! What a schedule says: reasons that can be worked out by hand, lists, and a new plan after a stop.

mod common;

use effort::Effort;
use scheduling::answer::*;
use scheduling::calendar::{Calendar, Span};
use scheduling::check::check;
use scheduling::improve::{Settings, improve};
use scheduling::problem::*;

const SETTINGS: Settings = Settings {
    seed: 1,
    chains: 2,
    threads: 1,
};

fn operation(job: usize, mode: Mode) -> Operation {
    Operation {
        job,
        release: 0,
        modes: vec![mode],
        size: 5,
        over: Over::Whole,
        frozen: None,
    }
}

fn job(due: i64) -> Job {
    Job {
        release: 0,
        due: Some(due),
        weight: 1,
    }
}

/// A saw (0), an oven for two (1), a bench (2) with one person, open 0-40 and 60-200.
fn works() -> Draft {
    let mut saw = Station::single(1);
    saw.setups = SetUps {
        families: 2,
        ticks: vec![0, 4, 4, 0],
        first: vec![0, 0],
        pauses: true,
    };
    let mut oven = Station::single(1);
    oven.kind = Kind::Oven {
        holds: 10,
        least: 0,
    };
    let day = Calendar::of(vec![Span::new(0, 40), Span::new(60, 200)]);
    let mut draft = Draft {
        horizon: 200,
        calendars: vec![day, Calendar::always()],
        stations: vec![saw, oven, Station::single(0)],
        crews: vec![Crew {
            people: vec![(0, 1)],
        }],
        objectives: vec![Objective::WeightedLateness, Objective::Makespan],
        jobs: vec![job(30), job(40)],
        ..Draft::default()
    };
    for number in 0..2 {
        let mut saw = Mode::on(0, 10);
        saw.family = number;
        let mut bench = Mode::on(2, 8);
        bench.crews = vec![(0, 1)];
        let first = draft.operations.len();
        draft.operations.push(operation(number, saw));
        draft.operations.push(operation(number, Mode::on(1, 10)));
        draft.operations.push(operation(number, bench));
        draft.links.push(Link::then(first, first + 1));
        draft.links.push(Link::then(first + 1, first + 2));
    }
    draft
}

/// Saw 0-10, set-up 4, 14-24. Oven together 24-34. Bench: 34-42 would meet the closing at 40, so 60-68 and 68-76.
fn placed() -> Vec<Placed> {
    let at = |start, finish| Placed {
        mode: 0,
        unit: 0,
        start,
        finish,
    };
    vec![
        at(0, 10),
        at(24, 34),
        at(60, 68),
        at(14, 24),
        at(24, 34),
        at(68, 76),
    ]
}

#[test]
fn reasons_follow_the_chain_back() {
    let draft = works();
    assert_eq!(check(&draft, &placed()), []);
    let problem = Problem::new(draft).expect("sound");
    let late = late(&problem, &placed());
    // Job 0: 68 − 30 late, job 1: 76 − 40.
    let jobs: Vec<(usize, i64)> = late.iter().map(|late| (late.job, late.ticks)).collect();
    assert_eq!(jobs, [(0, 38), (1, 36)]);
    let chain: Vec<(usize, Cause, i64, Delay)> = late[0]
        .chain
        .iter()
        .map(|step| (step.operation, step.cause, step.ready, step.delay))
        .collect();
    let after = |link, operation| Cause::After { link, operation };
    let busy = Cause::Busy {
        operation: 0,
        set_up: 4,
    };
    let expected = [
        (2, after(1, 1), 34, Delay::Hours),
        (1, Cause::Load { operation: 4 }, 24, Delay::None),
        (4, after(2, 3), 24, Delay::None),
        (3, busy, 14, Delay::None),
        (0, Cause::Now, 0, Delay::None),
    ];
    assert_eq!(chain, expected);
    // The other job waits for the bench.
    let busy = Cause::Busy {
        operation: 2,
        set_up: 0,
    };
    assert_eq!(late[1].chain[0].cause, busy);
}

#[test]
fn a_crew_at_other_work_is_a_reason() {
    let mut draft = works();
    draft.calendars[0] = Calendar::always();
    draft.stations.push(Station::single(1));
    draft.operations[5].modes[0].station = 3;
    let problem = Problem::new(draft).expect("sound");
    let mut placed = placed();
    (placed[2].start, placed[2].finish) = (34, 42);
    (placed[5].start, placed[5].finish) = (42, 50);
    assert_eq!(check(problem.draft(), &placed), []);
    let step = reasons(&problem, &placed, 1)[0];
    // Two benches, one person: 34-42, then 42-50.
    assert_eq!((step.placed.start, step.ready), (42, 34));
    assert_eq!(step.delay, Delay::Crew(0));
}

#[test]
fn lists_hold_everything_and_set_ups_lie_before_their_runs() {
    for seed in 0..60 {
        let draft = common::works(seed, 8);
        let problem = Problem::new(draft.clone()).expect("random works are sound");
        let plan = improve(&problem, SETTINGS, Effort::steps(0));
        let tasks = tasks(&problem, &plan.placed);
        let listed: usize = tasks.iter().map(|task| task.operations.len()).sum();
        assert_eq!(listed, problem.len());
        let set_up: i64 = tasks.iter().map(|task| task.set_up_ticks).sum();
        assert_eq!(set_up, plan.figures[2].value, "as the objective counts");
        for pair in tasks.windows(2) {
            let same = (pair[0].station, pair[0].unit) == (pair[1].station, pair[1].unit);
            let span = pair[1].set_up.filter(|_| same);
            if let Some(span) = span {
                assert!(pair[0].run.until <= span.from && span.until <= pair[1].run.from);
            }
        }
        for (job, order) in orders(&problem, &plan.placed).iter().enumerate() {
            assert_eq!(order.job, job);
            assert_eq!(plan.slack(&problem, job), order.slack);
            assert!(!reasons(&problem, &plan.placed, job).is_empty());
        }
        let over = waits(&problem, &plan.placed);
        let over = over
            .iter()
            .filter(|wait| wait.left < 0 && wait.hard)
            .count();
        assert_eq!(over, plan.broken.len());
        let duties = duties(&problem, &tasks, &plan.placed);
        assert!(duties.iter().all(|duty| duty.span.ticks() > 0));
    }
}

#[test]
fn nothing_moves_where_nothing_changed() {
    for seed in 0..40 {
        let mut draft = common::works(seed, 8);
        draft
            .objectives
            .retain(|objective| *objective != Objective::Moved);
        let problem = Problem::new(draft.clone()).expect("random works are sound");
        let plan = improve(&problem, SETTINGS, Effort::steps(2_000));
        let earlier: Vec<Option<Placed>> = plan.placed.iter().copied().map(Some).collect();
        let again = again(draft, &earlier, 0, 0, SETTINGS, Effort::steps(500)).expect("sound");
        let moved = again
            .plan
            .figures
            .iter()
            .find(|f| f.objective == Objective::Moved);
        if plan.broken.is_empty() {
            assert_eq!(moved.map(|figure| figure.value), Some(0), "seed {seed}");
            assert!(again.difference.moved.is_empty() && again.difference.shifts.is_empty());
        }
    }
}

#[test]
fn a_stop_moves_what_it_must_and_keeps_what_has_started() {
    let draft = works();
    let earlier: Vec<Option<Placed>> = placed().into_iter().map(Some).collect();
    // At 26 the load is in the oven; the oven stops from 30 to 35: the load is caught and ends at 39.
    let mut stopped = draft.clone();
    stopped.stations[1].stops.push((0, Span::new(30, 35)));
    let found = again(stopped, &earlier, 26, 0, SETTINGS, Effort::steps(1_000)).expect("sound");
    assert_eq!(found.caught, [1, 4]);
    assert_eq!(
        (found.plan.placed[1].finish, found.plan.placed[4].finish),
        (39, 39)
    );
    assert_eq!(
        found.difference.moved,
        [],
        "the bench was closed until 60 anyway"
    );
    // The bench stops from 60 to 70: both go on behind it.
    let mut stopped = draft;
    stopped.stations[2].stops.push((0, Span::new(60, 70)));
    let found = again(stopped, &earlier, 26, 0, SETTINGS, Effort::steps(1_000)).expect("sound");
    // One stays impossible at 60; the other could stay at 68 only without the stop: 70-78 and 78-86.
    let mut starts = [found.plan.placed[2].start, found.plan.placed[5].start];
    starts.sort_unstable();
    assert_eq!(starts, [70, 78]);
    assert_eq!(
        (found.difference.moved.len(), found.difference.kept),
        (2, 4)
    );
    assert!(check(found.problem.draft(), &found.plan.placed).is_empty());
}

#[test]
fn random_stops_leave_a_schedule_that_keeps_every_rule() {
    for seed in 0..40 {
        let draft = common::works(seed, 8);
        let problem = Problem::new(draft.clone()).expect("random works are sound");
        let plan = improve(&problem, SETTINGS, Effort::steps(500));
        let earlier: Vec<Option<Placed>> = plan.placed.iter().copied().map(Some).collect();
        let mut stopped = draft;
        let span = Span::new(40 + seed as i64, 90 + seed as i64);
        stopped.stations[0].stops.push((0, span));
        let found = again(stopped, &earlier, 35, 2, SETTINGS, Effort::steps(500));
        let found = found.expect("sound");
        let breaches = common::breaches(found.problem.draft(), &found.plan.placed);
        assert!(breaches.is_empty(), "seed {seed}: {breaches:?}");
        for figure in &found.plan.figures {
            assert!(figure.bound <= figure.value, "seed {seed}: {figure:?}");
        }
        let kept = found.difference.kept + found.difference.moved.len();
        assert_eq!(kept, problem.len());
        assert!(
            !late(&found.problem, &found.plan.placed)
                .iter()
                .any(|late| late.chain.is_empty())
        );
    }
}
