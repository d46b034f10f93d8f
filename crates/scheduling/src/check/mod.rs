//! Whether a schedule keeps every rule, re-derived from the draft alone: nothing that builds schedules is used here.

mod hours;
mod measure;

use std::collections::BTreeMap;

pub use measure::measure;

use self::hours::{open_ticks, people, pieces};
use self::measure::{Lines, overwait};
use crate::calendar::{Span, Tick};
use crate::problem::{After, Draft, Kind, Mode, Over, Placed};

/// A rule that a schedule breaks. Operations, links and crews are known by position.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub enum Breach {
    /// The schedule has another number of places than there are operations.
    Count,
    /// No such mode or unit, or it does not run forwards.
    Place(usize),
    /// Frozen work that lies elsewhere.
    Frozen(usize),
    /// It starts before now, its job's release or its material.
    TooEarly(usize),
    /// It does not run for its ticks within its hours.
    Hours(usize),
    /// It runs across a planned stop.
    Stop(usize),
    /// Two at one time on one unit.
    Overlap(usize, usize),
    /// No room for the set-up between two (the first is none at the beginning).
    SetUp(Option<usize>, usize),
    /// Two in one load that may not share it.
    Mixed(usize, usize),
    /// A load, known by one of its operations, holds more than it can.
    Overfull(usize),
    /// More people of a crew at work than there are, from this tick on.
    Crew(usize, Tick),
    /// The second starts too early after the first.
    TooSoon(usize),
    /// The second starts too late after the first, and the limit is a hard one.
    TooLong(usize),
}

/// Every rule that a schedule breaks, in no case a wait with a price ([`measure`] counts those).
pub fn check(draft: &Draft, placed: &[Placed]) -> Vec<Breach> {
    if placed.len() != draft.operations.len() {
        return vec![Breach::Count];
    }
    let mut found = places(draft, placed);
    if found.is_empty() {
        let lines = lots(draft, placed);
        releases(draft, placed, &mut found);
        run_times(draft, placed, &lines, &mut found);
        units(draft, placed, &lines, &mut found);
        crews(draft, placed, &lines, &mut found);
        waits(draft, placed, &mut found);
    }
    found
}

fn mode_of<'a>(draft: &'a Draft, placed: &[Placed], at: usize) -> &'a Mode {
    &draft.operations[at].modes[placed[at].mode]
}

fn places(draft: &Draft, placed: &[Placed]) -> Vec<Breach> {
    let mut found = Vec::new();
    for (at, (operation, place)) in draft.operations.iter().zip(placed).enumerate() {
        let sound = operation
            .modes
            .get(place.mode)
            .is_some_and(|mode| place.unit < draft.stations[mode.station].units);
        if !sound || place.start >= place.finish {
            found.push(Breach::Place(at));
        } else if operation.frozen.is_some_and(|frozen| frozen != *place) {
            found.push(Breach::Frozen(at));
        }
    }
    found
}

/// What each unit does, in order: lots of one operation, or loads. Stations that take any number are left out.
pub(crate) fn lots(draft: &Draft, placed: &[Placed]) -> Lines {
    let mut lines: BTreeMap<(usize, usize), Vec<usize>> = BTreeMap::new();
    for at in 0..placed.len() {
        let station = mode_of(draft, placed, at).station;
        if draft.stations[station].kind != Kind::Open {
            lines
                .entry((station, placed[at].unit))
                .or_default()
                .push(at);
        }
    }
    let in_lots = |((station, unit), mut line): ((usize, usize), Vec<usize>)| {
        line.sort_by_key(|at| (placed[*at].start, *at));
        let oven = matches!(draft.stations[station].kind, Kind::Oven { .. });
        let mut lots: Vec<Vec<usize>> = Vec::new();
        for at in line {
            match lots.last_mut() {
                Some(lot) if oven && placed[lot[0]].start == placed[at].start => lot.push(at),
                _ => lots.push(vec![at]),
            }
        }
        ((station, unit), lots)
    };
    lines.into_iter().map(in_lots).collect()
}

fn releases(draft: &Draft, placed: &[Placed], found: &mut Vec<Breach>) {
    for (at, operation) in draft.operations.iter().enumerate() {
        let job = &draft.jobs[operation.job];
        let earliest = draft.begin.max(job.release).max(operation.release);
        if operation.frozen.is_none() && placed[at].start < earliest {
            found.push(Breach::TooEarly(at));
        }
    }
}

/// Ticks that each operation runs: its own, or in a load the longest.
fn longest(draft: &Draft, placed: &[Placed], lines: &Lines) -> Vec<Tick> {
    let own = |at| mode_of(draft, placed, at).ticks;
    let mut ticks: Vec<Tick> = (0..placed.len()).map(own).collect();
    for lot in lines.values().flatten() {
        let longest = lot.iter().map(|at| ticks[*at]).max().unwrap_or(0);
        for at in lot {
            ticks[*at] = longest;
        }
    }
    ticks
}

/// Ticks that each operation of a schedule runs: its own, or in a load the longest.
pub(crate) fn load_ticks(draft: &Draft, placed: &[Placed]) -> Vec<Tick> {
    longest(draft, placed, &lots(draft, placed))
}

/// Whether every operation runs for as long as it must, and only when it may.
fn run_times(draft: &Draft, placed: &[Placed], lines: &Lines, found: &mut Vec<Breach>) {
    let ticks = longest(draft, placed, lines);
    for (at, operation) in draft.operations.iter().enumerate() {
        if operation.frozen.is_some() {
            continue;
        }
        let span = Span::new(placed[at].start, placed[at].finish);
        let mode = mode_of(draft, placed, at);
        let pieces = pieces(draft, mode, placed[at].unit, span, true);
        let (open, _) = open_ticks(&pieces);
        let opens = pieces.first().is_some_and(|piece| piece.open);
        let ends = pieces.last().is_some_and(|piece| piece.open);
        let clock = span.ticks() == ticks[at];
        let sound = match operation.over {
            Over::Pauses => open == ticks[at] && opens && ends,
            Over::Whole => clock && open == ticks[at],
            Over::RunsOn => clock && opens,
        };
        if !sound {
            found.push(Breach::Hours(at));
        }
        if operation.over == Over::RunsOn && pieces.iter().any(|piece| piece.stopped) {
            found.push(Breach::Stop(at));
        }
    }
}

/// Overlaps, set-ups and loads of each unit.
fn units(draft: &Draft, placed: &[Placed], lines: &Lines, found: &mut Vec<Breach>) {
    for ((station, unit), line) in lines {
        let mut last: Option<usize> = None;
        for lot in line {
            loads(draft, placed, *station, lot, found);
            let at = lot[0];
            let from = last.map_or(draft.begin, |l| placed[l].finish.max(draft.begin));
            if let Some(before) = last
                && placed[at].start < placed[before].finish
            {
                found.push(Breach::Overlap(before, at));
            } else if !set_up_fits(draft, placed, (*station, *unit), last, at, from) {
                found.push(Breach::SetUp(last, at));
            }
            last = Some(at);
        }
    }
}

fn set_up_fits(
    draft: &Draft,
    placed: &[Placed],
    (station, unit): (usize, usize),
    last: Option<usize>,
    at: usize,
    from: Tick,
) -> bool {
    let frozen = |at: usize| draft.operations[at].frozen.is_some();
    if frozen(at) && last.is_none_or(frozen) {
        return true;
    }
    let mode = mode_of(draft, placed, at);
    let setups = &draft.stations[station].setups;
    let family = last.map(|last| mode_of(draft, placed, last).family);
    let ticks = setups.between(family, mode.family) + mode.setup;
    let span = Span::new(from, placed[at].start);
    if ticks == 0 {
        return true;
    }
    if span.ticks() < ticks {
        return false;
    }
    let (all, most) = open_ticks(&pieces(draft, mode, unit, span, false));
    if setups.pauses {
        all >= ticks
    } else {
        most >= ticks
    }
}

fn loads(draft: &Draft, placed: &[Placed], station: usize, lot: &[usize], found: &mut Vec<Breach>) {
    let Kind::Oven { holds, .. } = draft.stations[station].kind else {
        return;
    };
    let first = lot[0];
    for other in &lot[1..] {
        let same = mode_of(draft, placed, first).group == mode_of(draft, placed, *other).group;
        if !same || placed[first].finish != placed[*other].finish {
            found.push(Breach::Mixed(first, *other));
        }
    }
    let size: i64 = lot.iter().map(|at| draft.operations[*at].size).sum();
    if size > holds {
        found.push(Breach::Overfull(first));
    }
}

/// People at work against people there, tick by tick where something changes.
fn crews(draft: &Draft, placed: &[Placed], lines: &Lines, found: &mut Vec<Breach>) {
    let leads = |at: &usize| {
        let mode = mode_of(draft, placed, *at);
        match draft.stations[mode.station].kind {
            Kind::Oven { .. } => lines[&(mode.station, placed[*at].unit)]
                .binary_search_by_key(&placed[*at].start, |lot| placed[lot[0]].start)
                .is_ok_and(|lot| lines[&(mode.station, placed[*at].unit)][lot][0] == *at),
            Kind::Single | Kind::Open => true,
        }
    };
    // Tick, change in people at work, change in people of work that is not frozen.
    let mut events: Vec<Vec<(Tick, i64, i64)>> = vec![Vec::new(); draft.crews.len()];
    for at in (0..placed.len()).filter(leads) {
        let mode = mode_of(draft, placed, at);
        if mode.crews.is_empty() {
            continue;
        }
        let span = Span::new(placed[at].start, placed[at].finish);
        let ours = i64::from(draft.operations[at].frozen.is_none());
        for piece in pieces(draft, mode, placed[at].unit, span, true) {
            for (crew, need) in mode.crews.iter().filter(|_| piece.open) {
                let need = i64::from(*need);
                events[*crew].push((piece.span.from, need, ours));
                events[*crew].push((piece.span.until, -need, -ours));
            }
        }
    }
    for (crew, mut list) in events.into_iter().enumerate() {
        let steps = draft.crews[crew].people.iter();
        list.extend(steps.map(|step| (step.0, 0, 0)));
        list.push((draft.horizon, 0, 0));
        list.sort_unstable();
        let (mut busy, mut ours) = (0, 0);
        for (at, event) in list.iter().enumerate() {
            busy += event.1;
            ours += event.2;
            let last = list.get(at + 1).is_none_or(|next| next.0 > event.0);
            if last && ours > 0 && busy > i64::from(people(draft, crew, event.0)) {
                found.push(Breach::Crew(crew, event.0));
                break;
            }
        }
    }
}

fn waits(draft: &Draft, placed: &[Placed], found: &mut Vec<Breach>) {
    for (at, link) in draft.links.iter().enumerate() {
        if draft.operations[link.to].frozen.is_some() {
            continue;
        }
        let (from, to) = (placed[link.from], placed[link.to]);
        let soon = match link.after {
            After::Finish { least } => to.start < from.finish + least,
            After::Start { least } => to.start < from.start + least,
            After::Lots { lots } => {
                (1..=lots).any(|lot| !lot_arrives(draft, placed, link.from, link.to, (lot, lots)))
            }
        };
        if soon {
            found.push(Breach::TooSoon(at));
        }
        let hard = link.most.is_some_and(|most| most.cost.is_none());
        if hard && overwait(draft, placed, link) > 0 {
            found.push(Breach::TooLong(at));
        }
    }
}

/// Whether a lot (of so many) is done at the first operation when the second begins it.
fn lot_arrives(
    draft: &Draft,
    placed: &[Placed],
    from: usize,
    to: usize,
    (lot, lots): (i64, i64),
) -> bool {
    let work = |at: usize| mode_of(draft, placed, at).ticks;
    let done = (work(from) * lot + lots - 1) / lots;
    let begun = work(to) * (lot - 1) / lots;
    let ready = progress(draft, placed, from, done, false);
    progress(draft, placed, to, begun, true) >= ready
}

/// When an operation has so many of its ticks behind it; `next`: when it begins the tick after.
fn progress(draft: &Draft, placed: &[Placed], at: usize, ticks: Tick, next: bool) -> Tick {
    let place = placed[at];
    if draft.operations[at].over != Over::Pauses {
        return place.start + ticks;
    }
    let span = Span::new(place.start, place.finish);
    let mut left = ticks;
    for piece in pieces(draft, mode_of(draft, placed, at), place.unit, span, true) {
        if !piece.open {
            continue;
        }
        if left < piece.span.ticks() || (left == piece.span.ticks() && !next) {
            return piece.span.from + left;
        }
        left -= piece.span.ticks();
    }
    place.finish
}
