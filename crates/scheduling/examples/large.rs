//! A large works, invented, to measure the search: `large OPERATIONS STEPS THREADS SEED`. Prints the figures of the schedule to begin
//! with, of the one found, and of a new one after a stop. Take the time of it from outside.
#![expect(clippy::print_stdout, reason = "it prints what it measures")]

use chance::Stream;
use effort::Effort;
use scheduling::answer::{Plan, again};
use scheduling::calendar::{Calendar, Span};
use scheduling::improve::{Settings, improve};
use scheduling::problem::{
    Crew, Draft, Job, Kind, Link, Mode, Most, Objective, Operation, Over, Placed, Problem, SetUps,
    Station,
};

const HOUR: i64 = 3600;
const DAY: i64 = 24 * HOUR;

fn below(stream: &mut Stream, count: i64) -> i64 {
    stream.index(count as u64) as i64
}

/// Two shifts on five days, with a break in the first.
fn shifts(days: i64) -> Calendar {
    let worked = (0..days).filter(|day| day % 7 < 5);
    let spans = worked.flat_map(|day| {
        let at = |from: i64, until: i64| Span::new(day * DAY + from, day * DAY + until);
        [
            at(6 * HOUR, 10 * HOUR),
            at(10 * HOUR + 1200, 14 * HOUR),
            at(14 * HOUR, 22 * HOUR),
        ]
    });
    Calendar::of(spans.collect())
}

fn is_oven(station: usize) -> bool {
    station % 8 == 5
}

fn station(stream: &mut Stream, number: usize) -> Station {
    let families = 6;
    let ticks = (0..families * families).map(|cell| {
        let changes = cell / families != cell % families;
        i64::from(changes) * (600 + 300 * below(stream, 6))
    });
    let ticks = ticks.collect();
    Station {
        units: 1 + stream.index(2) as usize,
        calendar: usize::from(is_oven(number)),
        kind: if is_oven(number) {
            Kind::Oven {
                holds: 100,
                least: 40,
            }
        } else {
            Kind::Single
        },
        setups: SetUps {
            families,
            ticks,
            first: Vec::new(),
            pauses: true,
        },
        stops: vec![(0, Span::new(50 * HOUR, 54 * HOUR))],
    }
}

fn modes(stream: &mut Stream, station: usize, base: usize, number: usize) -> Vec<Mode> {
    let family = stream.index(6) as usize;
    if is_oven(station) {
        let mut mode = Mode::on(station, 3 * HOUR);
        (mode.family, mode.group) = (family % 3, family % 3);
        return vec![mode];
    }
    let mut mode = Mode::on(station, 1200 + 60 * below(stream, 80));
    mode.family = family;
    mode.crews = vec![(stream.index(3) as usize, 1)];
    let mut modes = vec![mode.clone()];
    if stream.uniform() < 0.3 {
        mode.station = base + (number + 1) % 4;
        mode.ticks = mode.ticks * 5 / 4;
        modes.push(mode);
    }
    modes
}

fn job(stream: &mut Stream, draft: &mut Draft, span: f64) {
    let job = draft.jobs.len();
    let stations = draft.stations.len();
    draft.jobs.push(Job {
        release: 0,
        due: Some(2 * DAY + (stream.uniform() * span) as i64),
        weight: 1 + below(stream, 5),
    });
    let base = 8 * stream.index(stations as u64 / 8) as usize;
    for number in 0..3 + stream.index(4) as usize {
        let at = draft.operations.len();
        let station = (base + number) % stations;
        let modes = modes(stream, station, base, number);
        draft.operations.push(Operation {
            job,
            release: if number == 0 {
                below(stream, 5) * 8 * HOUR
            } else {
                0
            },
            modes,
            size: 10 + below(stream, 40),
            over: if is_oven(station) {
                Over::RunsOn
            } else {
                Over::Pauses
            },
            frozen: None,
        });
        if number > 0 {
            let mut link = Link::then(at - 1, at);
            if stream.uniform() < 0.1 {
                let cost = (stream.uniform() < 0.5).then_some(1);
                let ticks = 30 * HOUR;
                link.most = Some(Most { ticks, cost });
            }
            draft.links.push(link);
        }
    }
}

fn works(operations: usize) -> Draft {
    let stream = &mut Stream::new(1, "large");
    let stations = 8 + 8 * (operations / 4000);
    let days = 30 + (operations / stations) as i64;
    let staff = (0..days).filter(|day| day % 7 < 5).flat_map(|day| {
        let at = day * DAY;
        [(at + 6 * HOUR, stations as u32 / 3), (at + 22 * HOUR, 0)]
    });
    let people: Vec<(i64, u32)> = staff.collect();
    let mut draft = Draft {
        horizon: days * DAY,
        calendars: vec![shifts(days), Calendar::always()],
        objectives: vec![
            Objective::WeightedLateness,
            Objective::Spoiled,
            Objective::SetUp,
            Objective::WorkInProcess,
        ],
        crews: (0..3)
            .map(|_| Crew {
                people: people.clone(),
            })
            .collect(),
        ..Draft::default()
    };
    draft.stations = (0..stations)
        .map(|number| station(stream, number))
        .collect();
    // An hour a time on a unit and a half of each station, 16 hours on five of seven days.
    let span = operations as f64 / stations as f64 / 1.5 / 16.0 * 7.0 / 5.0 * DAY as f64;
    while draft.operations.len() < operations {
        job(stream, &mut draft, span);
    }
    draft
}

fn show(what: &str, plan: &Plan) {
    let figures = plan
        .figures
        .iter()
        .map(|f| format!("{:?} {}", f.objective, f.value));
    let figures = figures.collect::<Vec<_>>().join(", ");
    let (broken, beyond) = (plan.broken.len(), plan.beyond.len());
    println!(
        "{what}: {figures}, broken {broken}, beyond {beyond}, steps {}",
        plan.steps
    );
}

fn main() {
    let number = |at: usize, otherwise: u64| {
        let text = std::env::args().nth(at);
        text.and_then(|text| text.parse().ok()).unwrap_or(otherwise)
    };
    let settings = Settings {
        seed: number(4, 1),
        chains: 2,
        threads: number(3, 1) as usize,
    };
    let steps = number(2, 100_000);
    let draft = works(number(1, 300) as usize);
    let problem = match Problem::new(draft.clone()) {
        Ok(problem) => problem,
        Err(faults) => {
            println!("{faults:?}");
            return;
        }
    };
    println!("{} operations of {} jobs", problem.len(), draft.jobs.len());
    show("begin", &improve(&problem, settings, Effort::steps(0)));
    let plan = improve(&problem, settings, Effort::steps(steps));
    show("found", &plan);
    let earlier: Vec<Option<Placed>> = plan.placed.iter().copied().map(Some).collect();
    let mut stopped = draft;
    let stop = Span::new(3 * DAY + 8 * HOUR, 3 * DAY + 16 * HOUR);
    stopped.stations[2].stops.push((0, stop));
    let effort = Effort::steps(steps / 10);
    if let Ok(found) = again(stopped, &earlier, 3 * DAY + 7 * HOUR, 2, settings, effort) {
        show("again", &found.plan);
        let d = found.difference;
        let moved = d.moved.len();
        println!(
            "kept {}, moved {moved}, newly late {:?}",
            d.kept, d.newly_late
        );
    }
}
