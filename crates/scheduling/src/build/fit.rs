//! Where an operation fits first: over all its modes and units, between what is booked, with set-ups to both sides, in hours, with
//! people free; in an oven also in a load that has room.

use super::run;
use super::table::{Spot, Table};
use crate::calendar::{LONG_AGO, Span, Tick};
use crate::problem::{After, Kind, Over, Way};

/// What a search may decide beside the order of work.
#[derive(Clone, Debug)]
pub(crate) struct Genes {
    /// Each operation is not started before (to wait for a load, a family, or work in process).
    pub(crate) hold: Vec<Tick>,
    /// The only mode that each operation may take; `NO_MODE` for any.
    pub(crate) only: Vec<u32>,
}

/// Any mode.
pub(crate) const ANY_MODE: u32 = u32::MAX;

impl Genes {
    pub(crate) fn free(operations: usize) -> Self {
        Self {
            hold: vec![LONG_AGO; operations],
            only: vec![ANY_MODE; operations],
        }
    }
}

/// A run that was found, and the set-up that it adds.
#[derive(Clone, Copy)]
struct Found {
    start: Tick,
    finish: Tick,
    set_up: Tick,
}

impl Table<'_> {
    /// When an operation's material and predecessors let it start, transfer by lots left out.
    pub(crate) fn ready(&self, operation: usize) -> Tick {
        let draft = &self.problem.draft;
        let own = &draft.operations[operation];
        let mut ready = draft
            .begin
            .max(own.release)
            .max(draft.jobs[own.job].release);
        for &link in &self.problem.into[operation] {
            let link = &draft.links[link as usize];
            let Some(from) = self.spots[link.from] else {
                continue;
            };
            ready = ready.max(match link.after {
                After::Finish { least } => from.finish + least,
                After::Start { least } => from.start + least,
                After::Lots { .. } => from.start,
            });
        }
        ready
    }

    /// The earliest start on a line at which every lot has arrived when it is begun.
    pub(crate) fn lots_ready(&self, operation: usize, way: &Way, line: usize, ready: Tick) -> Tick {
        let draft = &self.problem.draft;
        let mut ready = ready;
        for &link in &self.problem.into[operation] {
            let link = &draft.links[link as usize];
            let (After::Lots { lots }, Some(from)) = (link.after, self.spots[link.from]) else {
                continue;
            };
            let first = self.problem.way(link.from, from.mode as usize);
            for lot in 1..=lots {
                let done = (first.ticks * lot + lots - 1) / lots;
                let begun = way.ticks * (lot - 1) / lots;
                let there =
                    run::progress(self.problem, first, from.line as usize, from.start, done);
                ready = ready.max(run::start_for(self.problem, way, line, there, begun));
            }
        }
        ready
    }

    /// The first place for an operation from a tick on, as its genes allow: the earliest finish, then the least set-up, then the
    /// latest start.
    pub(crate) fn fit(&self, operation: usize, genes: &Genes, from: Tick) -> Spot {
        let ready = from.max(genes.hold[operation]);
        let by_lots = self.problem.into[operation].iter().any(|link| {
            let link = &self.problem.draft.links[*link as usize];
            matches!(link.after, After::Lots { .. })
        });
        let mut best: Option<(Spot, Tick)> = None;
        for (mode, way) in self.problem.ways(operation).iter().enumerate() {
            if genes.only[operation] != ANY_MODE && genes.only[operation] != mode as u32 {
                continue;
            }
            for line in self.problem.lines_of(way.station) {
                let ready = if by_lots {
                    self.lots_ready(operation, way, line, ready)
                } else {
                    ready
                };
                let limit = best.map_or(Tick::MAX, |(spot, _)| spot.finish);
                let Some(found) = self.fit_on(way, way.ticks, line, ready, limit) else {
                    continue;
                };
                let better = best.is_none_or(|(spot, set_up)| {
                    let old = (spot.finish, set_up, -spot.start);
                    (found.finish, found.set_up, -found.start) < old
                });
                if better {
                    let spot = Spot {
                        mode: mode as u32,
                        line: line as u32,
                        start: found.start,
                        finish: found.finish,
                        ticks: way.ticks,
                    };
                    best = Some((spot, found.set_up));
                }
            }
            best = self.fit_in_load(operation, (mode, way), ready, best);
        }
        best.expect("everything is open from the horizon on").0
    }

    /// The very place where an operation lay and how long it ran, if it fits there still.
    pub(crate) fn fit_again(
        &self,
        operation: usize,
        mode: usize,
        (line, start): (usize, Tick),
        ticks: Tick,
    ) -> Option<Spot> {
        let ways = self.problem.ways(operation);
        let way = ways.get(mode)?;
        if !self.problem.lines_of(way.station).contains(&line) {
            return None;
        }
        let ready = self.lots_ready(operation, way, line, self.ready(operation));
        if ready > start {
            return None;
        }
        let size = self.problem.draft.operations[operation].size;
        let load = way
            .pool
            .and_then(|pool| self.open[pool].get(&(start, line as u32)));
        if let Some(load) = load {
            let load = &self.loads[*load as usize];
            let fits = load.room >= size && load.ticks >= way.ticks;
            return fits.then_some(Spot {
                mode: mode as u32,
                line: line as u32,
                start,
                finish: load.finish,
                ticks: load.ticks,
            });
        }
        let found = self.fit_on(way, ticks, line, start, Tick::MAX)?;
        (found.start == start).then_some(Spot {
            mode: mode as u32,
            line: line as u32,
            start,
            finish: found.finish,
            ticks,
        })
    }

    /// A load with room that is finished no later than the best so far.
    fn fit_in_load(
        &self,
        operation: usize,
        (mode, way): (usize, &Way),
        ready: Tick,
        best: Option<(Spot, Tick)>,
    ) -> Option<(Spot, Tick)> {
        let Some(pool) = way.pool else {
            return best;
        };
        let size = self.problem.draft.operations[operation].size;
        let limit = best.map_or(Tick::MAX, |(spot, _)| spot.finish);
        for (&(start, line), &load) in self.open[pool].range((ready, 0)..) {
            if start >= limit {
                break;
            }
            let load = &self.loads[load as usize];
            if load.room >= size && load.ticks >= way.ticks && load.finish <= limit {
                let spot = Spot {
                    mode: mode as u32,
                    line,
                    start,
                    finish: load.finish,
                    ticks: load.ticks,
                };
                return Some((spot, 0));
            }
        }
        best
    }

    /// The first run on a line that is finished by the limit.
    fn fit_on(
        &self,
        way: &Way,
        ticks: Tick,
        line: usize,
        ready: Tick,
        limit: Tick,
    ) -> Option<Found> {
        let problem = self.problem;
        if problem.draft.stations[way.station].kind == Kind::Open {
            let (start, finish) = self.staffed(way, ticks, line, ready, limit)?;
            return Some(Found {
                start,
                finish,
                set_up: 0,
            });
        }
        let row = &self.rows[line];
        let clock = way.over == Over::RunsOn;
        let mut cursor = row.after(ready);
        if row
            .slot(cursor)
            .is_some_and(|slot| slot.free(clock) < ticks)
        {
            cursor = row.next(cursor, ticks, clock);
        }
        loop {
            let (before, next) = (row.before(cursor), row.slot(cursor));
            let free = before.map_or(problem.draft.begin, |slot| {
                slot.finish.max(problem.draft.begin)
            });
            if free.max(ready) >= limit {
                return None;
            }
            let set_up = self.set_up_ticks(line, before, way.family, way.setup);
            let from = run::set_up_done(problem, line, free, set_up).max(ready);
            let until = next.map_or(limit, |slot| limit.min(slot.start));
            if let Some((start, finish)) = self.staffed(way, ticks, line, from, until) {
                let Some(next) = next else {
                    return Some(Found {
                        start,
                        finish,
                        set_up,
                    });
                };
                let (setups, family) = (
                    &problem.draft.stations[way.station].setups,
                    next.family as usize,
                );
                let after = setups.between(Some(way.family), family) + next.own;
                if run::set_up_done(problem, line, finish, after) <= next.start {
                    let saved = self.set_up_ticks(line, before, family, next.own);
                    return Some(Found {
                        start,
                        finish,
                        set_up: set_up + after - saved,
                    });
                }
            }
            next?;
            cursor = row.next(cursor, ticks, clock);
        }
    }

    /// The first run from a tick on for which people are free, finished by `until`.
    pub(crate) fn staffed(
        &self,
        way: &Way,
        ticks: Tick,
        line: usize,
        from: Tick,
        until: Tick,
    ) -> Option<(Tick, Tick)> {
        let needs = &self.problem.crews[way.crew];
        let mut from = from;
        loop {
            let (start, finish) = run::earliest(self.problem, way, ticks, line, from);
            if finish > until {
                return None;
            }
            if needs.is_empty() {
                return Some((start, finish));
            }
            let hours = self.problem.hours(way.crew, line);
            let short = hours.pieces(Span::new(start, finish)).find_map(|piece| {
                let ends = needs.iter().filter_map(|(crew, need)| {
                    self.profiles[*crew].short(piece.from, piece.until, *need as i32)
                });
                ends.max()
            });
            match short {
                None => return Some((start, finish)),
                Some(again) => from = again.max(start + 1),
            }
        }
    }

    /// The first crew that lacks people somewhere in a run.
    pub(crate) fn first_short(
        &self,
        way: &Way,
        line: usize,
        start: Tick,
        finish: Tick,
    ) -> Option<usize> {
        let needs = &self.problem.crews[way.crew];
        let hours = self.problem.hours(way.crew, line);
        hours.pieces(Span::new(start, finish)).find_map(|piece| {
            let short = |(crew, need): &&(usize, u32)| {
                let profile = &self.profiles[*crew];
                profile
                    .short(piece.from, piece.until, *need as i32)
                    .is_some()
            };
            needs.iter().find(short).map(|need| need.0)
        })
    }
}
