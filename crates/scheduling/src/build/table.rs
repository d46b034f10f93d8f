//! The timetable: where everything lies, what is still free, and what it costs so far. Operations are put in and taken
//! out one by one; everything else is kept up to date.

use std::collections::BTreeMap;

use super::count::Sums;
use super::profile::Profile;
use super::row::{Row, Slot};
use crate::calendar::{Span, Tick};
use crate::problem::{Kind, Placed, Problem};

/// Where an operation lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Spot {
    pub(crate) mode: u32,
    pub(crate) line: u32,
    pub(crate) start: Tick,
    pub(crate) finish: Tick,
    /// Ticks of its run: its own, or those of its load.
    pub(crate) ticks: Tick,
}

/// A load of an oven.
#[derive(Clone, Debug, Default)]
pub(crate) struct Load {
    pub(crate) ticks: Tick,
    pub(crate) finish: Tick,
    pub(crate) room: i64,
    pub(crate) members: Vec<u32>,
    pool: usize,
    least: i64,
    holds: i64,
    /// Nothing may be added.
    closed: bool,
}

impl Load {
    /// What it lacks to its least.
    fn short(&self) -> i64 {
        (self.least - (self.holds - self.room)).max(0)
    }
}

/// The state of a schedule in the making.
#[derive(Clone)]
pub(crate) struct Table<'p> {
    pub(crate) problem: &'p Problem,
    pub(crate) rows: Vec<Row>,
    pub(crate) profiles: Vec<Profile>,
    pub(crate) spots: Vec<Option<Spot>>,
    pub(crate) loads: Vec<Load>,
    unused: Vec<u32>,
    /// Loads with room, by pool: start and line.
    pub(crate) open: Vec<BTreeMap<(Tick, u32), u32>>,
    pub(super) set_up: i64,
    pub(super) short: i64,
    pub(super) moved: i64,
    pub(super) spoiled: i128,
    pub(super) broken: i64,
    /// First start and last finish of each job, and whether that must be looked up again.
    pub(super) spans: Vec<(Tick, Tick)>,
    pub(super) stale: Vec<bool>,
    /// Jobs to look up again.
    pub(super) touched: Vec<u32>,
    pub(super) sums: Sums,
}

impl<'p> Table<'p> {
    /// Only what is frozen lies in it.
    pub(crate) fn new(problem: &'p Problem) -> Self {
        let draft = &problem.draft;
        let profile = |crew: &crate::problem::Crew| {
            let most = crew.people.iter().map(|step| step.1).max().unwrap_or(0);
            let steps = crew.people.iter().filter(|step| step.0 < draft.horizon);
            let steps = steps.map(|step| (step.0, step.1 as i32));
            Profile::new(steps.chain([(draft.horizon, most as i32)]))
        };
        let mut table = Self {
            problem,
            rows: vec![Row::default(); problem.lines.len()],
            profiles: draft.crews.iter().map(profile).collect(),
            spots: vec![None; problem.len()],
            loads: Vec::new(),
            unused: Vec::new(),
            open: vec![BTreeMap::new(); problem.pools],
            set_up: 0,
            short: 0,
            moved: 0,
            spoiled: 0,
            broken: 0,
            spans: vec![(0, 0); draft.jobs.len()],
            stale: vec![false; draft.jobs.len()],
            touched: Vec::new(),
            sums: Sums::default(),
        };
        for (at, operation) in draft.operations.iter().enumerate() {
            if let Some(placed) = operation.frozen {
                let way = problem.way(at, placed.mode);
                let spot = Spot {
                    mode: placed.mode as u32,
                    line: (problem.first_line[way.station] + placed.unit) as u32,
                    start: placed.start,
                    finish: placed.finish,
                    ticks: way.ticks,
                };
                table.put(at, spot);
            }
        }
        table.loads.iter_mut().for_each(|load| load.closed = true);
        table.open.iter_mut().for_each(BTreeMap::clear);
        table
    }

    /// Where an operation lies, as an answer says it.
    pub(crate) fn placed(&self, operation: usize) -> Option<Placed> {
        let spot = self.spots[operation]?;
        Some(Placed {
            mode: spot.mode as usize,
            unit: self.problem.lines[spot.line as usize].unit,
            start: spot.start,
            finish: spot.finish,
        })
    }

    /// All places; for a finished schedule.
    pub(crate) fn all_placed(&self) -> Vec<Placed> {
        let all = (0..self.spots.len()).map(|at| self.placed(at));
        all.map(|placed| placed.expect("every operation was placed"))
            .collect()
    }

    /// Puts an operation where it fits.
    pub(crate) fn put(&mut self, operation: usize, spot: Spot) {
        debug_assert!(self.spots[operation].is_none());
        let way = self.problem.way(operation, spot.mode as usize);
        let (station, pool) = (way.station, way.pool);
        match (self.problem.draft.stations[station].kind, pool) {
            (Kind::Oven { holds, least }, Some(pool)) => {
                self.put_in_load(operation, spot, pool, (holds, least));
            }
            (Kind::Open, _) => self.book(operation, spot, -1),
            _ => {
                self.add_slot(operation, spot, operation as u32);
                self.book(operation, spot, -1);
            }
        }
        self.spots[operation] = Some(spot);
        self.count(operation, spot, 1);
    }

    /// Takes an operation out.
    pub(crate) fn take(&mut self, operation: usize) -> Spot {
        let spot = self.spots[operation].expect("what is taken out lies somewhere");
        self.count(operation, spot, -1);
        self.spots[operation] = None;
        let way = self.problem.way(operation, spot.mode as usize);
        match (self.problem.draft.stations[way.station].kind, way.pool) {
            (Kind::Oven { .. }, Some(_)) => self.take_from_load(operation, spot),
            (Kind::Open, _) => self.book(operation, spot, 1),
            _ => {
                self.remove_slot(spot);
                self.book(operation, spot, 1);
            }
        }
        spot
    }

    fn put_in_load(
        &mut self,
        operation: usize,
        spot: Spot,
        pool: usize,
        (holds, least): (i64, i64),
    ) {
        let size = self.problem.draft.operations[operation].size;
        let there = self.rows[spot.line as usize].starting(spot.start);
        let number = if let Some(slot) = there {
            slot.what
        } else {
            let load = Load {
                ticks: spot.ticks,
                finish: spot.finish,
                room: holds,
                members: Vec::new(),
                pool,
                least,
                holds,
                closed: false,
            };
            self.short += load.short();
            let number = self.unused.pop().unwrap_or(self.loads.len() as u32);
            match self.loads.get_mut(number as usize) {
                Some(unused) => *unused = load,
                None => self.loads.push(load),
            }
            self.add_slot(operation, spot, number);
            self.book(operation, spot, -1);
            self.open[pool].insert((spot.start, spot.line), number);
            number
        };
        let load = &mut self.loads[number as usize];
        self.short -= load.short();
        load.room -= size;
        load.members.push(operation as u32);
        self.short += load.short();
        if load.room <= 0 {
            self.open[pool].remove(&(spot.start, spot.line));
        }
    }

    fn take_from_load(&mut self, operation: usize, spot: Spot) {
        let size = self.problem.draft.operations[operation].size;
        let number = self.load_at(spot);
        let load = &mut self.loads[number as usize];
        self.short -= load.short();
        load.room += size;
        load.members.retain(|member| *member as usize != operation);
        let key = (spot.start, spot.line);
        if load.members.is_empty() {
            self.open[load.pool].remove(&key);
            self.unused.push(number);
            self.remove_slot(spot);
            self.book(operation, spot, 1);
        } else {
            self.short += load.short();
            if !load.closed {
                self.open[load.pool].insert(key, number);
            }
        }
    }

    /// The load that lies at a spot.
    pub(crate) fn load_at(&self, spot: Spot) -> u32 {
        let slot = self.rows[spot.line as usize].starting(spot.start);
        slot.expect("a load lies where its operation lies").what
    }

    fn add_slot(&mut self, operation: usize, spot: Spot, what: u32) {
        let way = self.problem.way(operation, spot.mode as usize);
        let slot = Slot::new(
            (spot.start, spot.finish),
            way.family as u32,
            what,
            way.setup,
        );
        self.set_up += self.set_up_change(spot.line, &slot);
        let hours = &self.problem.lines[spot.line as usize].hours;
        let open = |from, until| hours.open_in(Span::new(from, until));
        self.rows[spot.line as usize].insert(slot, self.problem.draft.begin, open);
    }

    fn remove_slot(&mut self, spot: Spot) {
        let line = spot.line as usize;
        let hours = &self.problem.lines[line].hours;
        let open = |from, until| hours.open_in(Span::new(from, until));
        let slot = self.rows[line].starting(spot.start).copied();
        self.rows[line].remove(spot.start, self.problem.draft.begin, open);
        if let Some(slot) = slot {
            self.set_up -= self.set_up_change(spot.line, &slot);
        }
    }

    /// Ticks of set-up that a slot adds between its neighbours; it must not lie there (yet, or any more).
    fn set_up_change(&self, line: u32, slot: &Slot) -> i64 {
        let row = &self.rows[line as usize];
        let cursor = row.after(slot.start);
        let (before, next) = (row.before(cursor), row.slot(cursor));
        let with =
            self.charge(line, before, slot) + next.map_or(0, |n| self.charge(line, Some(slot), n));
        with - next.map_or(0, |n| self.charge(line, before, n))
    }

    /// Set-up before a slot; nothing for what was there at the beginning.
    fn charge(&self, line: u32, before: Option<&Slot>, slot: &Slot) -> i64 {
        if before.is_none() && slot.start < self.problem.draft.begin {
            return 0;
        }
        self.set_up_ticks(line as usize, before, slot.family as usize, slot.own)
    }

    /// Ticks of set-up from a slot (none at the beginning) to a family.
    pub(crate) fn set_up_ticks(
        &self,
        line: usize,
        before: Option<&Slot>,
        family: usize,
        own: Tick,
    ) -> Tick {
        let station = self.problem.lines[line].station;
        let setups = &self.problem.draft.stations[station].setups;
        setups.between(before.map(|slot| slot.family as usize), family) + own
    }

    /// Books (−1) or releases (1) the people of a run.
    fn book(&mut self, operation: usize, spot: Spot, sign: i32) {
        let way = self.problem.way(operation, spot.mode as usize);
        let needs = &self.problem.crews[way.crew];
        if needs.is_empty() {
            return;
        }
        let hours = self.problem.hours(way.crew, spot.line as usize);
        for piece in hours.pieces(Span::new(spot.start, spot.finish)) {
            for (crew, need) in needs {
                self.profiles[*crew].add(piece.from, piece.until, sign * *need as i32);
            }
        }
    }
}
