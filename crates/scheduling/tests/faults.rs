//! Every fault of a draft is told, all at once, and nothing panics on nonsense.

mod common;

use proptest::prelude::*;
use scheduling::calendar::{Calendar, Span};
use scheduling::problem::*;

fn sound() -> Draft {
    let mut oven = Station::single(0);
    oven.kind = Kind::Oven {
        holds: 10,
        least: 0,
    };
    let operation = |station| Operation {
        job: 0,
        release: 0,
        modes: vec![Mode::on(station, 5)],
        size: 4,
        over: Over::Whole,
        frozen: None,
    };
    Draft {
        horizon: 100,
        calendars: vec![Calendar::always()],
        stations: vec![Station::single(0), oven],
        crews: vec![Crew {
            people: vec![(0, 2)],
        }],
        jobs: vec![Job {
            release: 0,
            due: None,
            weight: 1,
        }],
        operations: vec![operation(0), operation(1), operation(1)],
        links: vec![Link::then(0, 1), Link::then(1, 2)],
        objectives: vec![Objective::Makespan],
        ..Draft::default()
    }
}

fn faults(change: impl Fn(&mut Draft)) -> Vec<Fault> {
    let mut draft = sound();
    change(&mut draft);
    Problem::new(draft).err().unwrap_or_default()
}

fn lies(start: i64, finish: i64) -> Placed {
    Placed {
        mode: 0,
        unit: 0,
        start,
        finish,
    }
}

#[test]
fn each_fault_is_told() {
    assert_eq!(faults(|_| ()), []);
    let one = |change: fn(&mut Draft)| faults(change);
    assert_eq!(one(|d| d.horizon = 0), [Fault::Horizon]);
    assert_eq!(one(|d| d.jobs[0].weight = -1), [Fault::Job(0)]);
    assert_eq!(one(|d| d.operations[1].job = 7), [Fault::Operation(1)]);
    assert_eq!(one(|d| d.operations[0].modes.clear()), [Fault::NoMode(0)]);
    assert_eq!(
        one(|d| d.operations[0].modes[0].station = 9),
        [Fault::Mode(0, 0)]
    );
    assert_eq!(
        one(|d| d.operations[0].modes[0].ticks = 0),
        [Fault::Mode(0, 0)]
    );
    assert_eq!(
        one(|d| d.operations[0].modes[0].family = 1),
        [Fault::Mode(0, 0)]
    );
    assert_eq!(
        one(|d| d.operations[0].modes[0].crews = vec![(4, 1)]),
        [Fault::Mode(0, 0)]
    );
    assert_eq!(
        one(|d| d.operations[0].modes[0].crews = vec![(0, 3)]),
        [Fault::TooFewPeople(0, 0)]
    );
    assert_eq!(one(|d| d.operations[1].size = 11), [Fault::TooLarge(1, 0)]);
    assert_eq!(
        one(|d| d.operations[1].over = Over::Pauses),
        [Fault::MixedLoad(1, 2)]
    );
    assert_eq!(
        one(|d| d.operations[0].frozen = Some(lies(5, 5))),
        [Fault::Frozen(0)]
    );
    assert_eq!(
        one(|d| d.operations[1].frozen = Some(lies(0, 5))),
        [Fault::FrozenAfter(0, 1)]
    );
    let twice = |d: &mut Draft| {
        d.links.clear();
        d.operations[1].frozen = Some(lies(0, 5));
        d.operations[2].frozen = Some(lies(2, 7));
    };
    assert_eq!(faults(twice), [Fault::FrozenTwice(1, 2)]);
    assert_eq!(one(|d| d.links[0].to = 0), [Fault::LinkEnds(0)]);
    assert_eq!(
        one(|d| d.links[0].after = After::Finish { least: -1 }),
        [Fault::LinkWaits(0)]
    );
    assert_eq!(
        one(|d| d.links[1].after = After::Lots { lots: 2 }),
        [Fault::LinkLots(1)]
    );
    assert_eq!(one(|d| d.links.push(Link::then(2, 0))), [Fault::Loop(0)]);
    assert_eq!(one(|d| d.stations[0].units = 0), [Fault::Station(0)]);
    assert_eq!(
        one(|d| d.stations[0].stops.push((1, Span::new(0, 1)))),
        [Fault::Station(0)]
    );
    assert_eq!(
        one(|d| d.stations[0].setups.ticks = vec![0, 1]),
        [Fault::SetUps(0)]
    );
    assert_eq!(one(|d| d.crews[0].people.push((0, 1))), [Fault::Crew(0)]);
    assert_eq!(one(|d| d.earlier = vec![None]), [Fault::Earlier]);
    let two = |d: &mut Draft| {
        d.operations[0].modes.clear();
        d.links[1].from = 9;
    };
    assert_eq!(faults(two), [Fault::NoMode(0), Fault::LinkEnds(1)]);
}

proptest! {
    /// Any numbers in a sound shape: faults or a schedule, no panic.
    #[test]
    fn nonsense_is_a_fault_and_no_panic(seed in 0u64..10_000, which in 0usize..14, number in any::<i64>()) {
        let mut draft = common::works(seed, 4);
        let small = number.rem_euclid(7);
        match which {
            0 => draft.operations[0].job = small as usize,
            1 => draft.operations[0].modes[0].ticks = number,
            2 => draft.operations[0].modes[0].station = small as usize,
            3 => draft.operations[0].modes[0].family = small as usize,
            4 => draft.operations[0].size = number,
            5 => draft.jobs[0].due = Some(number),
            6 => draft.jobs[0].release = number,
            7 => draft.horizon = number,
            8 => draft.begin = number,
            9 => draft.stations[0].units = small as usize,
            10 => draft.stations[0].calendar = small as usize,
            11 => draft.operations[0].frozen = Some(lies(number, number.saturating_add(small))),
            12 => draft.crews[0].people.clear(),
            _ => draft.links.push(Link::then(small as usize, (small / 2) as usize)),
        }
        if let Ok(problem) = Problem::new(draft.clone()) {
            let placed = scheduling::build::in_order(&problem, &[]);
            let breaches = common::breaches(&draft, &placed);
            prop_assert!(breaches.is_empty(), "{breaches:?}");
        }
    }
}
