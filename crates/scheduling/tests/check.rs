//! The checker sees every kind of breach: sound schedules with one thing wrong.

use scheduling::calendar::{Calendar, Span};
use scheduling::check::{Breach, check, measure};
use scheduling::problem::*;

/// Two stations and an oven, open 0-40 and 60-100; one crew of two people until 80, one after.
fn works() -> Draft {
    let mut first = Station::single(0);
    first.setups = SetUps {
        families: 2,
        ticks: vec![0, 5, 7, 0],
        first: vec![0, 2],
        pauses: false,
    };
    first.stops = vec![(0, Span::new(90, 95))];
    let mut oven = Station::single(0);
    oven.kind = Kind::Oven {
        holds: 10,
        least: 8,
    };
    let mut draft = Draft {
        horizon: 200,
        calendars: vec![Calendar::of(vec![Span::new(0, 40), Span::new(60, 100)])],
        stations: vec![first, oven, Station::single(0)],
        crews: vec![Crew {
            people: vec![(0, 2), (80, 1), (100, 0)],
        }],
        objectives: vec![
            Objective::WeightedLateness,
            Objective::Spoiled,
            Objective::SetUp,
            Objective::Makespan,
            Objective::WorkInProcess,
            Objective::ShortLoads,
            Objective::LateJobs,
            Objective::WorstLateness,
            Objective::WeightedFinish,
        ],
        ..Draft::default()
    };
    for job in 0..2 {
        draft.jobs.push(Job {
            release: 0,
            due: Some(70),
            weight: 3,
        });
        for station in [0, 1, 2] {
            let mut mode = Mode::on(station, 10);
            mode.family = if station == 0 { job } else { 0 };
            mode.crews = if station == 2 { vec![(0, 2)] } else { vec![] };
            draft.operations.push(Operation {
                job,
                release: 0,
                modes: vec![mode],
                size: 5,
                over: if station == 0 {
                    Over::Pauses
                } else {
                    Over::Whole
                },
                frozen: None,
            });
        }
        draft.links.push(Link::then(3 * job, 3 * job + 1));
        draft.links.push(Link {
            from: 3 * job + 1,
            to: 3 * job + 2,
            after: After::Finish { least: 2 },
            most: Some(Most {
                ticks: 40,
                cost: (job == 1).then_some(4),
            }),
        });
    }
    draft
}

fn at(start: i64, finish: i64) -> Placed {
    Placed {
        mode: 0,
        unit: 0,
        start,
        finish,
    }
}

/// Station 0: 0-10, set-up 5, 15-25. Oven: both 25-35. Station 2: 60-70, 70-80.
fn sound() -> Vec<Placed> {
    vec![
        at(0, 10),
        at(25, 35),
        at(60, 70),
        at(15, 25),
        at(25, 35),
        at(70, 80),
    ]
}

#[test]
fn a_sound_schedule_has_no_breach_and_these_figures() {
    assert_eq!(check(&works(), &sound()), []);
    // Job 0 ends 70, job 1 at 80: 3 × 10 late. Waits 25 and 35 of 40. Set-up 5. 80. 70 + 65. A load of 10, least 8.
    let figures = [30, 0, 5, 80, 135, 0, 3, 10, 3 * 150];
    assert_eq!(measure(&works(), &sound()), figures);
}

fn breaches_of(change: impl Fn(&mut Draft, &mut Vec<Placed>)) -> Vec<Breach> {
    let (mut draft, mut placed) = (works(), sound());
    change(&mut draft, &mut placed);
    assert!(Problem::new(draft.clone()).is_ok());
    check(&draft, &placed)
}

#[test]
fn every_breach_is_seen() {
    let one = |change: fn(&mut Draft, &mut Vec<Placed>)| breaches_of(change);
    assert_eq!(one(|_, p| p.truncate(5)), [Breach::Count]);
    assert_eq!(one(|_, p| p[2].unit = 1), [Breach::Place(2)]);
    assert_eq!(
        one(|d, _| d.operations[0].frozen = Some(at(1, 11))),
        [Breach::Frozen(0)]
    );
    assert_eq!(one(|d, _| d.jobs[0].release = 1), [Breach::TooEarly(0)]);
    assert_eq!(
        one(|d, _| d.operations[3].release = 16),
        [Breach::TooEarly(3)]
    );
    // One tick too long; across the break; people gone home (from 80 one, two are needed).
    assert_eq!(
        one(|_, p| p[3] = at(14, 25)),
        [Breach::Hours(3), Breach::SetUp(Some(0), 3)]
    );
    assert_eq!(one(|_, p| p[5] = at(75, 85)), [Breach::Hours(5)]);
    assert_eq!(one(|_, p| p[3] = at(14, 24)), [Breach::SetUp(Some(0), 3)]);
    assert_eq!(one(|_, p| p[3] = at(9, 19)), [Breach::Overlap(0, 3)]);
    // The first of the other family: set-up 2 at the beginning, then 7 back.
    let turned = one(|_, p| (p[0], p[3]) = (at(15, 25), at(1, 11)));
    assert_eq!(turned, [Breach::SetUp(None, 3), Breach::SetUp(Some(3), 0)]);
    assert_eq!(
        one(|d, _| d.operations[4].modes[0].group = 1),
        [Breach::Mixed(1, 4)]
    );
    assert_eq!(one(|d, _| d.operations[1].size = 6), [Breach::Overfull(1)]);
    assert_eq!(
        one(|d, _| d.links[1].after = After::Finish { least: 26 }),
        [Breach::TooSoon(1)]
    );
    let short = Some(Most {
        ticks: 24,
        cost: None,
    });
    let link = move |d: &mut Draft, _: &mut Vec<Placed>| d.links[1].most = short;
    assert_eq!(breaches_of(link), [Breach::TooLong(1)]);
}

#[test]
fn people_are_counted() {
    // Two more people at station 0 from 15 to 25 and in the load (once, not twice) from 25 to 35.
    let people = |d: &mut Draft, _: &mut Vec<Placed>| {
        d.operations[3].modes[0].crews = vec![(0, 2)];
        d.operations[1].modes[0].crews = vec![(0, 2)];
        d.operations[4].modes[0].crews = vec![(0, 2)];
    };
    assert_eq!(breaches_of(people), []);
    let both = |d: &mut Draft, p: &mut Vec<Placed>| {
        people(d, p);
        p[3] = at(20, 30);
        p[4] = at(30, 40);
    };
    // The load of operation 1 is at work until 35.
    let found = breaches_of(both);
    assert!(found.contains(&Breach::Crew(0, 25)), "{found:?}");
}

#[test]
fn stops_and_work_that_pauses_or_runs_on() {
    // 88-90, stop, 95-100, pauses from closing to the horizon at 200: 2 + 5 + 3.
    let paused = |d: &mut Draft, p: &mut Vec<Placed>| {
        d.operations.truncate(1);
        d.links.clear();
        p.truncate(1);
        p[0] = at(88, 203);
    };
    assert_eq!(breaches_of(paused), []);
    let across = |d: &mut Draft, p: &mut Vec<Placed>| {
        paused(d, p);
        d.operations[0].over = Over::RunsOn;
        p[0] = at(88, 98);
    };
    assert_eq!(breaches_of(across), [Breach::Stop(0)]);
    let on = |d: &mut Draft, p: &mut Vec<Placed>| {
        across(d, p);
        p[0] = at(97, 107);
    };
    assert_eq!(breaches_of(on), []);
}

#[test]
fn lots_arrive_one_by_one() {
    // Ten ticks in five lots of 2: done at 2, 4 … 10. The second works 1 a lot (5 ticks): lot k begins at s + k − 1 and must
    // not begin before 2 k: s ≥ k + 1 for k = 5, so 6.
    let lots = |start: i64| {
        move |d: &mut Draft, p: &mut Vec<Placed>| {
            d.operations.truncate(2);
            d.operations[1].modes = vec![Mode::on(2, 5)];
            d.links = vec![Link::then(0, 1)];
            d.links[0].after = After::Lots { lots: 5 };
            *p = vec![at(0, 10), at(start, start + 5)];
        }
    };
    assert_eq!(breaches_of(lots(6)), []);
    assert_eq!(breaches_of(lots(5)), [Breach::TooSoon(0)]);
    let mut draft = works();
    lots(6)(&mut draft, &mut Vec::new());
    let problem = Problem::new(draft).expect("sound");
    let placed = scheduling::build::in_order(&problem, &[0, 1]);
    assert_eq!(
        placed,
        [at(0, 10), at(6, 11)],
        "and the builder starts it then"
    );
}
