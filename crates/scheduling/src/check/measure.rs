//! What a schedule costs by each objective, worked out from the draft and the places alone.

use std::collections::BTreeMap;

use super::lots;
use crate::calendar::Tick;
use crate::problem::{After, Draft, Kind, Link, Objective, Placed};

/// Each objective of the draft for a schedule in which every operation has its place.
pub fn measure(draft: &Draft, placed: &[Placed]) -> Vec<i64> {
    let one = |objective: &Objective| match objective {
        Objective::WeightedLateness => late(draft, placed, |weight, late| {
            weight.saturating_mul(late.max(0))
        }),
        Objective::LateJobs => late(draft, placed, |weight, late| weight * i64::from(late > 0)),
        Objective::WorstLateness => lateness(draft, placed).map(|(_, l)| l).max().unwrap_or(0),
        Objective::Spoiled => spoiled(draft, placed),
        Objective::SetUp => set_up(draft, placed),
        Objective::Makespan => {
            let last = placed.iter().map(|p| p.finish).max();
            last.map_or(0, |last| (last - draft.begin).max(0))
        }
        Objective::WorkInProcess => {
            let spans = spans(draft, placed);
            sum(spans.iter().flatten().map(|(start, finish)| finish - start))
        }
        Objective::WeightedFinish => {
            let spans = spans(draft, placed);
            sum(spans.iter().enumerate().filter_map(|(job, span)| {
                let after = span.as_ref()?.1 - draft.begin;
                Some(draft.jobs[job].weight.saturating_mul(after.max(0)))
            }))
        }
        Objective::ShortLoads => short_loads(draft, placed),
        Objective::Moved => moved(draft, placed),
    };
    draft.objectives.iter().map(one).collect()
}

/// A sum; the largest number where it would run over.
fn sum(of: impl Iterator<Item = i64>) -> i64 {
    of.fold(0, i64::saturating_add)
}

/// First start and last finish of each job that has operations.
fn spans(draft: &Draft, placed: &[Placed]) -> Vec<Option<(Tick, Tick)>> {
    let mut spans: Vec<Option<(Tick, Tick)>> = vec![None; draft.jobs.len()];
    for (operation, place) in draft.operations.iter().zip(placed) {
        let (start, finish) = spans[operation.job].unwrap_or((place.start, place.finish));
        spans[operation.job] = Some((start.min(place.start), finish.max(place.finish)));
    }
    spans
}

/// Each job with a due date, and by how much it is late.
fn lateness<'a>(
    draft: &'a Draft,
    placed: &[Placed],
) -> impl Iterator<Item = (usize, Tick)> + use<'a> {
    let spans = spans(draft, placed);
    spans.into_iter().enumerate().filter_map(|(job, span)| {
        let due = draft.jobs[job].due?;
        Some((job, span?.1 - due))
    })
}

fn late(draft: &Draft, placed: &[Placed], cost: impl Fn(i64, Tick) -> i64) -> i64 {
    sum(lateness(draft, placed).map(|(job, late)| cost(draft.jobs[job].weight, late)))
}

/// By how much a link's longest wait is passed.
pub(super) fn overwait(draft: &Draft, placed: &[Placed], link: &Link) -> Tick {
    let Some(most) = link.most else {
        return 0;
    };
    let from = match link.after {
        After::Start { .. } => placed[link.from].start,
        After::Finish { .. } | After::Lots { .. } => placed[link.from].finish,
    };
    let frozen = |at: usize| draft.operations[at].frozen.is_some();
    if frozen(link.from) && frozen(link.to) {
        return 0;
    }
    (placed[link.to].start - from - most.ticks).max(0)
}

fn spoiled(draft: &Draft, placed: &[Placed]) -> i64 {
    sum(draft.links.iter().map(|link| {
        let cost = link.most.and_then(|most| most.cost).unwrap_or(0);
        cost.saturating_mul(overwait(draft, placed, link))
    }))
}

fn set_up(draft: &Draft, placed: &[Placed]) -> i64 {
    let mut sum: i64 = 0;
    for line in lots(draft, placed).values() {
        let mut last = None;
        for lot in line {
            let mode = &draft.operations[lot[0]].modes[placed[lot[0]].mode];
            let setups = &draft.stations[mode.station].setups;
            // What ran at the beginning was set up before it.
            if last.is_some() || placed[lot[0]].start >= draft.begin {
                sum += setups.between(last, mode.family) + mode.setup;
            }
            last = Some(mode.family);
        }
    }
    sum
}

fn short_loads(draft: &Draft, placed: &[Placed]) -> i64 {
    let mut short = 0;
    for ((station, _), line) in lots(draft, placed) {
        let Kind::Oven { least, .. } = draft.stations[station].kind else {
            continue;
        };
        for lot in line {
            let size: i64 = lot.iter().map(|at| draft.operations[*at].size).sum();
            short += (least - size).max(0);
        }
    }
    short
}

fn moved(draft: &Draft, placed: &[Placed]) -> i64 {
    let pairs = draft.earlier.iter().zip(placed).zip(&draft.operations);
    sum(pairs.filter_map(|((before, now), operation)| {
        let before = (*before)?;
        let station = |place: &Placed| operation.modes.get(place.mode).map(|mode| mode.station);
        let stays = station(&before) == station(now)
            && (before.unit, before.start) == (now.unit, now.start);
        (!stays).then(|| operation.modes[now.mode].ticks)
    }))
}

/// Lots of each unit as a map, for whoever wants to look at them.
pub(super) type Lines = BTreeMap<(usize, usize), Vec<Vec<usize>>>;
