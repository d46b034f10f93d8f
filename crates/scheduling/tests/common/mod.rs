//! Random works for tests: small, with everything a problem can hold. Invented.
#![allow(dead_code, reason = "each test file uses some of it")]

use chance::Stream;
use scheduling::calendar::{Calendar, Span};
use scheduling::problem::*;

fn below(stream: &mut Stream, count: i64) -> i64 {
    stream.index(count as u64) as i64
}

fn chance(stream: &mut Stream, share: f64) -> bool {
    stream.uniform() < share
}

/// Days of 100 ticks: open 10 to 45 and 50 to 90, for some days; or always open.
pub(crate) fn days(count: i64) -> Calendar {
    let day = |d: i64| {
        [
            Span::new(100 * d + 10, 100 * d + 45),
            Span::new(100 * d + 50, 100 * d + 90),
        ]
    };
    Calendar::of((0..count).flat_map(day).collect())
}

fn setups(stream: &mut Stream) -> SetUps {
    if chance(stream, 0.4) {
        return SetUps::none();
    }
    let families = 1 + stream.index(3) as usize;
    let cells = families * families;
    // Some tables are so uneven that a third family in between saves time.
    let scale = if chance(stream, 0.3) { 9 } else { 1 };
    SetUps {
        families,
        ticks: (0..cells).map(|_| scale * below(stream, 8)).collect(),
        first: (0..families).map(|_| below(stream, 5)).collect(),
        pauses: chance(stream, 0.5),
    }
}

fn station(stream: &mut Stream) -> Station {
    let units = 1 + stream.index(2) as usize;
    let kind = match stream.index(5) {
        0 | 1 => Kind::Oven {
            holds: 10,
            least: 6,
        },
        2 if chance(stream, 0.3) => Kind::Open,
        _ => Kind::Single,
    };
    let units = if kind == Kind::Open { 1 } else { units };
    let mut stops = Vec::new();
    for _ in 0..stream.index(3) {
        let from = below(stream, 500);
        stops.push((
            stream.index(units as u64) as usize,
            Span::new(from, from + 5 + below(stream, 40)),
        ));
    }
    Station {
        units,
        calendar: stream.index(2) as usize,
        kind,
        setups: setups(stream),
        stops,
    }
}

/// What load groups of an oven have in common: family, over, own set-up, crews; by station and group.
type Groups = Vec<Vec<(usize, Over, i64, Vec<(usize, u32)>)>>;

fn over(stream: &mut Stream) -> Over {
    [Over::Pauses, Over::Whole, Over::RunsOn][stream.index(3) as usize]
}

fn needs(stream: &mut Stream) -> Vec<(usize, u32)> {
    let mut needs = Vec::new();
    for crew in 0..2 {
        if chance(stream, 0.3) {
            needs.push((crew, 1 + stream.index(2) as u32));
        }
    }
    needs
}

fn operation(stream: &mut Stream, draft: &Draft, groups: &Groups, job: usize) -> Operation {
    let mut own = over(stream);
    let mut modes: Vec<Mode> = Vec::new();
    for _ in 0..=stream.index(2) {
        let at = stream.index(draft.stations.len() as u64) as usize;
        let station = &draft.stations[at];
        let mut mode = Mode::on(at, 1 + below(stream, 30));
        mode.family = stream.index(station.setups.families as u64) as usize;
        mode.crews = needs(stream);
        if chance(stream, 0.2) {
            mode.setup = below(stream, 4);
        }
        if matches!(station.kind, Kind::Oven { .. }) {
            mode.group = stream.index(2) as usize;
            let (family, over, setup, crews) = groups[at][mode.group].clone();
            if !modes.is_empty() && over != own {
                continue;
            }
            own = over;
            (mode.family, mode.setup, mode.crews) = (family, setup, crews);
            modes.push(mode);
            break;
        }
        modes.push(mode);
    }
    Operation {
        job,
        release: if chance(stream, 0.2) {
            below(stream, 200)
        } else {
            0
        },
        modes,
        size: 1 + below(stream, 6),
        over: own,
        frozen: None,
    }
}

fn link(stream: &mut Stream, draft: &Draft, from: usize, to: usize) -> Link {
    let oven = |at: usize| {
        let modes = &draft.operations[at].modes;
        modes
            .iter()
            .any(|m| matches!(draft.stations[m.station].kind, Kind::Oven { .. }))
    };
    let least = if chance(stream, 0.5) {
        0
    } else {
        below(stream, 20)
    };
    let after = match stream.index(6) {
        0 => After::Start { least },
        1 if !oven(from) && !oven(to) => After::Lots {
            lots: 1 + below(stream, 5),
        },
        _ => After::Finish { least },
    };
    let most = chance(stream, 0.35).then(|| Most {
        ticks: least + 10 + below(stream, 120),
        cost: chance(stream, 0.4).then(|| 1 + below(stream, 5)),
    });
    Link {
        from,
        to,
        after,
        most,
    }
}

/// A works of some jobs with everything in it.
pub(crate) fn works(seed: u64, jobs: usize) -> Draft {
    let stream = &mut Stream::new(seed, "works");
    let mut draft = Draft {
        begin: 0,
        horizon: 1000,
        calendars: vec![days(10), Calendar::always()],
        crews: (0..2)
            .map(|_| Crew {
                people: (0..10)
                    .flat_map(|d| {
                        [
                            (100 * d + 10, 2 + stream.index(2) as u32),
                            (100 * d + 95, 0),
                        ]
                    })
                    .collect(),
            })
            .collect(),
        objectives: vec![
            Objective::WeightedLateness,
            Objective::Spoiled,
            Objective::SetUp,
            Objective::Makespan,
            Objective::WorkInProcess,
            Objective::ShortLoads,
            Objective::WeightedFinish,
            Objective::LateJobs,
            Objective::WorstLateness,
            Objective::Moved,
        ],
        ..Draft::default()
    };
    draft.stations = (0..2 + stream.index(3)).map(|_| station(stream)).collect();
    let groups: Groups = draft
        .stations
        .iter()
        .map(|station| {
            (0..2)
                .map(|_| {
                    let family = stream.index(station.setups.families as u64) as usize;
                    (family, over(stream), below(stream, 3), needs(stream))
                })
                .collect()
        })
        .collect();
    for job in 0..jobs {
        draft.jobs.push(Job {
            release: if chance(stream, 0.3) {
                below(stream, 100)
            } else {
                0
            },
            due: chance(stream, 0.8).then(|| 50 + below(stream, 500)),
            weight: 1 + below(stream, 5),
        });
        let first = draft.operations.len();
        for number in 0..=stream.index(4) as usize {
            let own = operation(stream, &draft, &groups, job);
            draft.operations.push(own);
            // An assembly waits for two, a chain for one.
            let at = first + number;
            let branches = if chance(stream, 0.2) { 2 } else { 1 };
            for back in 1..=branches.min(number) {
                let link = link(stream, &draft, at - back, at);
                draft.links.push(link);
            }
        }
    }
    draft
}

/// The breaches of a schedule but hard waits, which a builder may have to leave.
pub(crate) fn breaches(draft: &Draft, placed: &[Placed]) -> Vec<scheduling::check::Breach> {
    let mut found = scheduling::check::check(draft, placed);
    found.retain(|breach| !matches!(breach, scheduling::check::Breach::TooLong(_)));
    found
}
