//! What can be wrong with a draft, and the tests that find it.

use std::collections::BTreeMap;

use thiserror::Error;

use super::{After, Draft, Kind, Mode, Operation, Over, Station};
use crate::calendar::Tick;

/// No time and no length may be further from 0: 300 years in seconds.
pub const MOST_TICKS: Tick = 10_000_000_000;

/// No weight, cost or size may be larger; sums stop at the largest whole number instead of running over.
pub const MOST_COST: i64 = 1_000_000_000;

/// A link may not be parted in more lots.
pub const MOST_LOTS: i64 = 1_000;

/// Something wrong with a draft. Positions are those in the lists of [`Draft`].
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum Fault {
    /// The horizon does not come after the beginning, or either is out of range.
    #[error("the horizon must lie after the beginning, and both within the range of times")]
    Horizon,
    /// A time, weight or cost of a job is out of range.
    #[error("job {0}: a time or weight out of range")]
    Job(usize),
    /// An operation's job does not exist, or a number of it is out of range.
    #[error("operation {0}: no such job, or a number out of range")]
    Operation(usize),
    /// An operation that nothing can do.
    #[error("operation {0} has no mode")]
    NoMode(usize),
    /// A mode names a station, family or crew that does not exist, or a number of it is out of range.
    #[error("operation {0}, mode {1}: no such station, family or crew, or ticks out of range")]
    Mode(usize, usize),
    /// More people than the crew ever has.
    #[error("operation {0}, mode {1}: more people than the crew ever has")]
    TooFewPeople(usize, usize),
    /// An operation larger than an oven's load.
    #[error("operation {0}, mode {1}: larger than a load of the oven")]
    TooLarge(usize, usize),
    /// Operations of one load group differ in crews, family, own set-up or what happens when hours end.
    #[error(
        "operations {0} and {1} share a load group but differ in crews, family, set-up or hours"
    )]
    MixedLoad(usize, usize),
    /// Where frozen work lies cannot be: no such mode or unit, or it does not run forwards.
    #[error("operation {0}: frozen where it cannot lie")]
    Frozen(usize),
    /// Two frozen operations at one time on one unit, not in one load.
    #[error("operations {0} and {1} are frozen on one unit at one time")]
    FrozenTwice(usize, usize),
    /// A frozen operation comes after one that is not.
    #[error("operation {1} is frozen but comes after {0}, which is not")]
    FrozenAfter(usize, usize),
    /// A link's ends do not exist or are the same.
    #[error("link {0}: no such operation, or both ends are the same")]
    LinkEnds(usize),
    /// A link's waits are out of range, or its most is less than its least.
    #[error("link {0}: waits out of range, or most below least")]
    LinkWaits(usize),
    /// A link by lots at an oven, where nothing is passed on before the end.
    #[error("link {0}: lots cannot be passed on from or to a load of an oven")]
    LinkLots(usize),
    /// Operations that come after themselves.
    #[error("operation {0} comes after itself")]
    Loop(usize),
    /// A station's unit count, calendar, oven numbers or stops are wrong.
    #[error("station {0}: units, calendar, oven or stops are wrong")]
    Station(usize),
    /// A station's table of set-ups has the wrong size or numbers out of range.
    #[error("station {0}: its table of set-ups has the wrong size or numbers out of range")]
    SetUps(usize),
    /// A crew's steps are not in order of time.
    #[error("crew {0}: steps not in order of time")]
    Crew(usize),
    /// The earlier plan is for another number of operations.
    #[error("the earlier plan does not have one entry for each operation")]
    Earlier,
}

/// Whether a time is in range.
fn time(at: Tick) -> bool {
    at.abs() <= MOST_TICKS
}

/// Whether a weight, cost, size or length is in range.
fn amount(of: i64, most: i64) -> bool {
    (0..=most).contains(&of)
}

/// Everything wrong with a draft but loops, which need the links to be sound.
pub(super) fn faults(draft: &Draft) -> Vec<Fault> {
    let mut found = Vec::new();
    if !time(draft.begin) || !time(draft.horizon) || draft.begin >= draft.horizon {
        found.push(Fault::Horizon);
    }
    let job_ok = |job: &super::Job| {
        time(job.release) && job.due.is_none_or(time) && amount(job.weight, MOST_COST)
    };
    found.extend((0..draft.jobs.len()).filter_map(|at| {
        let wrong = !job_ok(&draft.jobs[at]);
        wrong.then_some(Fault::Job(at))
    }));
    stations(draft, &mut found);
    crews(draft, &mut found);
    if !found.is_empty() {
        return found;
    }
    for (at, operation) in draft.operations.iter().enumerate() {
        one_operation(draft, at, operation, &mut found);
    }
    links(draft, &mut found);
    if !draft.earlier.is_empty() && draft.earlier.len() != draft.operations.len() {
        found.push(Fault::Earlier);
    }
    if found.is_empty() {
        loads(draft, &mut found);
        frozen(draft, &mut found);
    }
    found
}

fn stations(draft: &Draft, found: &mut Vec<Fault>) {
    for (at, station) in draft.stations.iter().enumerate() {
        let oven = match station.kind {
            Kind::Single => true,
            Kind::Open => station.units == 1,
            Kind::Oven { holds, least } => {
                amount(holds, MOST_COST) && holds > 0 && amount(least, holds)
            }
        };
        let stop = |(unit, span): &(usize, crate::calendar::Span)| {
            *unit < station.units && time(span.from) && time(span.until) && span.ticks() > 0
        };
        let calendar = station.calendar < draft.calendars.len();
        if station.units == 0 || !calendar || !oven || !station.stops.iter().all(stop) {
            found.push(Fault::Station(at));
        }
        if !setups_are_sound(station) {
            found.push(Fault::SetUps(at));
        }
    }
}

fn setups_are_sound(station: &Station) -> bool {
    let setups = &station.setups;
    let square = setups.families.saturating_mul(setups.families);
    let sized = |list: &[Tick], size: usize| {
        (list.is_empty() || list.len() == size) && list.iter().all(|t| amount(*t, MOST_TICKS))
    };
    setups.families > 0 && sized(&setups.ticks, square) && sized(&setups.first, setups.families)
}

fn crews(draft: &Draft, found: &mut Vec<Fault>) {
    for (at, crew) in draft.crews.iter().enumerate() {
        let ordered = crew.people.windows(2).all(|pair| pair[0].0 < pair[1].0);
        if !ordered || !crew.people.iter().all(|(from, _)| time(*from)) {
            found.push(Fault::Crew(at));
        }
    }
}

fn one_operation(draft: &Draft, at: usize, operation: &Operation, found: &mut Vec<Fault>) {
    let job = operation.job < draft.jobs.len();
    if !job || !time(operation.release) || !amount(operation.size, MOST_COST) {
        found.push(Fault::Operation(at));
    }
    if operation.modes.is_empty() {
        found.push(Fault::NoMode(at));
    }
    for (number, mode) in operation.modes.iter().enumerate() {
        if let Some(fault) = mode_fault(draft, at, operation, number, mode) {
            found.push(fault);
        }
    }
}

fn mode_fault(
    draft: &Draft,
    at: usize,
    operation: &Operation,
    number: usize,
    mode: &Mode,
) -> Option<Fault> {
    let Some(station) = draft.stations.get(mode.station) else {
        return Some(Fault::Mode(at, number));
    };
    let ticks = amount(mode.ticks, MOST_TICKS) && mode.ticks > 0;
    let known = mode.crews.iter().all(|(c, _)| *c < draft.crews.len());
    let once = mode
        .crews
        .iter()
        .enumerate()
        .all(|(n, need)| need.1 > 0 && mode.crews[..n].iter().all(|other| other.0 != need.0));
    let family = mode.family < station.setups.families;
    if !ticks || !known || !once || !family || !amount(mode.setup, MOST_TICKS) {
        return Some(Fault::Mode(at, number));
    }
    let enough = |(crew, need): &(usize, u32)| {
        let most = draft.crews[*crew].people.iter().map(|step| step.1).max();
        most.is_some_and(|most| most >= *need)
    };
    if !mode.crews.iter().all(enough) {
        return Some(Fault::TooFewPeople(at, number));
    }
    match station.kind {
        Kind::Oven { holds, .. } if operation.size > holds => Some(Fault::TooLarge(at, number)),
        _ => None,
    }
}

fn links(draft: &Draft, found: &mut Vec<Fault>) {
    let count = draft.operations.len();
    let ovens = |operation: usize| {
        let of = |mode: &Mode| draft.stations.get(mode.station).map(|station| station.kind);
        draft.operations[operation]
            .modes
            .iter()
            .any(|mode| matches!(of(mode), Some(Kind::Oven { .. })))
    };
    for (at, link) in draft.links.iter().enumerate() {
        if link.from >= count || link.to >= count || link.from == link.to {
            found.push(Fault::LinkEnds(at));
            continue;
        }
        let least = match link.after {
            After::Finish { least } | After::Start { least } => least,
            After::Lots { lots } => {
                if !(1..=MOST_LOTS).contains(&lots) {
                    found.push(Fault::LinkWaits(at));
                }
                if ovens(link.from) || ovens(link.to) {
                    found.push(Fault::LinkLots(at));
                }
                0
            }
        };
        let most = link.most.is_none_or(|most| {
            let cost = most.cost.is_none_or(|cost| amount(cost, MOST_COST));
            cost && (least..=MOST_TICKS).contains(&most.ticks)
        });
        if !amount(least, MOST_TICKS) || !most {
            found.push(Fault::LinkWaits(at));
        }
        let (from, to) = (&draft.operations[link.from], &draft.operations[link.to]);
        if to.frozen.is_some() && from.frozen.is_none() {
            found.push(Fault::FrozenAfter(link.from, link.to));
        }
    }
}

/// What every operation of a load group must have in common, and the first operation that has it.
type Common = (usize, (Over, usize, Tick), Vec<(usize, u32)>);

fn loads(draft: &Draft, found: &mut Vec<Fault>) {
    let mut groups: BTreeMap<(usize, usize), Common> = BTreeMap::new();
    for (at, operation) in draft.operations.iter().enumerate() {
        for mode in &operation.modes {
            if !matches!(draft.stations[mode.station].kind, Kind::Oven { .. }) {
                continue;
            }
            let mut crews = mode.crews.clone();
            crews.sort_unstable();
            let own = (at, (operation.over, mode.family, mode.setup), crews);
            let first = groups
                .entry((mode.station, mode.group))
                .or_insert_with(|| own.clone());
            if (first.1, &first.2) != (own.1, &own.2) {
                found.push(Fault::MixedLoad(first.0, at));
            }
        }
    }
}

/// Start, finish and operation.
type Lying = (Tick, Tick, usize);

fn frozen(draft: &Draft, found: &mut Vec<Fault>) {
    let mut lying: BTreeMap<(usize, usize), Vec<Lying>> = BTreeMap::new();
    for (at, operation) in draft.operations.iter().enumerate() {
        let Some(placed) = operation.frozen else {
            continue;
        };
        let sound = operation.modes.get(placed.mode).is_some_and(|mode| {
            placed.unit < draft.stations[mode.station].units
                && placed.start < placed.finish
                && time(placed.start)
                && time(placed.finish)
        });
        if !sound {
            found.push(Fault::Frozen(at));
            continue;
        }
        let station = operation.modes[placed.mode].station;
        let line = lying.entry((station, placed.unit)).or_default();
        line.push((placed.start, placed.finish, at));
    }
    for ((station, _), mut line) in lying {
        line.sort_unstable();
        for pair in line.windows(2) {
            let one_load = (pair[0].0, pair[0].1) == (pair[1].0, pair[1].1);
            let clash = match draft.stations[station].kind {
                Kind::Open => false,
                Kind::Single => pair[1].0 < pair[0].1,
                Kind::Oven { .. } => pair[1].0 < pair[0].1 && !one_load,
            };
            if clash {
                found.push(Fault::FrozenTwice(pair[0].2, pair[1].2));
            }
        }
    }
}
