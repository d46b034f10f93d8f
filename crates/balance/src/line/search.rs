//! Branch, bound and remember, from both ends of the line.
//!
//! One [`Side`] builds the line from its start, the other from its end; they take turns and share the best
//! line, and either one running out of open lines proves it best. Within a side the open lines are kept
//! by number of stations and taken in turn from each number, best first (cyclic best-first search,
//! Morrison, Sewell & Jacobson 2014). Extensions of one line are capped at first and the rest put off, so
//! that wide graphs do not sink the search in one station; what was put off is taken up with a wider
//! cap when nothing else is open, so nothing is lost.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use super::bits::{has, insert, is_subset, members};
use super::bounds::Bounds;
use super::hoffmann::{hoffmann, tastes};
use super::loads::{End, Loads};
use super::memory::{Memory, Met, Place};
use super::meter::Meter;
use super::model::{Graph, Model};
use super::tighten::tighten;
use super::{Balance, Goal, Limit, LineError, LineProblem};

/// Nodes one side works before the other has its turn.
const TURN: u64 = 50_000;
/// Nodes one line's extensions may cost before the rest is put off; grows by [`WIDER`].
const FIRST_CAP: u64 = 2_000;
const WIDER: u64 = 8;
/// Nodes for one station of a starting line.
const START_CAP: u64 = 10_000;
/// Share of the node limit the starting lines may take, one part in this many.
const START_SHARE: u64 = 8;

/// The fewest stations for a given cycle (SALBP-1).
///
/// Stops at `limit` with the best line found, the bound proved until then and `proved: false`; a line is
/// always returned.
///
/// # Errors
/// A task longer than `cycle` is refused ([`LineError::TaskTooLong`]), as are rings, unknown tasks, no work.
pub fn fewest_stations(
    problem: &LineProblem,
    cycle: u64,
    limit: &Limit<'_>,
) -> Result<Balance, LineError> {
    let model = Model::new(problem)?;
    let (task, time) = model.longest();
    if time > cycle {
        return Err(LineError::TaskTooLong { task, time, cycle });
    }
    let mut meter = Meter::new(limit);
    let most = model.times.len() as u64 + 1;
    let verdict = solve(&model, cycle, most, 0, limit.states, &mut meter);
    let station_of = verdict
        .station_of
        .unwrap_or_else(|| next_fit(&model, cycle));
    let stations = station_of.iter().max().map_or(0, |&last| last + 1);
    Ok(Balance::of(
        problem,
        Goal::FewestStations,
        station_of,
        (stations, cycle),
        verdict.lower.min(stations as u64),
        meter.used(),
    ))
}

impl Balance {
    /// The balance with its figures worked out.
    pub(super) fn of(
        problem: &LineProblem,
        goal: Goal,
        station_of: Vec<usize>,
        (stations, cycle): (usize, u64),
        lower_bound: u64,
        nodes: u64,
    ) -> Balance {
        let reached = match goal {
            Goal::FewestStations => stations as u64,
            Goal::ShortestCycle => cycle,
        };
        let mut balance = Balance {
            goal,
            station_of,
            stations,
            cycle,
            lower_bound,
            proved: lower_bound == reached,
            efficiency: 0.0,
            balance_delay: 0.0,
            smoothness: 0.0,
            nodes,
        };
        let loads = balance.loads(problem);
        let longest = loads.iter().copied().max().unwrap_or(0);
        let work: u64 = loads.iter().sum();
        balance.efficiency = work as f64 / (stations as f64 * cycle as f64);
        balance.balance_delay = 1.0 - balance.efficiency;
        let squares = loads.iter().map(|&load| ((longest - load) as f64).powi(2));
        balance.smoothness = libm::sqrt(squares.sum());
        balance
    }
}

/// Tasks in an allowed order, a new station whenever the next does not fit.
pub(super) fn next_fit(model: &Model, cycle: u64) -> Vec<usize> {
    let mut station_of = vec![0; model.times.len()];
    let (mut station, mut room) = (0, cycle);
    for &task in &model.order {
        if model.times[task] > room {
            station += 1;
            room = cycle;
        }
        room -= model.times[task];
        station_of[task] = station;
    }
    station_of
}

/// What a search found out.
pub(super) struct Verdict {
    /// The shortest line found, if one shorter than asked for was.
    pub station_of: Option<Vec<usize>>,
    /// No line has fewer stations. When nothing was found this may be all that is known.
    pub lower: u64,
}

/// The most stations any line needs because of bounds alone.
pub(super) fn bound(model: &Model, cycle: u64) -> u64 {
    let tight = tighten(model, cycle);
    let graph = Graph::new(model, &tight.times, tight.cycle, false);
    Bounds::new(&graph).all(&graph, &vec![0; graph.words])
}

/// Looks for a line of fewer than `below` stations; is content with `enough`.
pub(super) fn solve(
    model: &Model,
    cycle: u64,
    below: u64,
    enough: u64,
    states: usize,
    meter: &mut Meter<'_>,
) -> Verdict {
    let tight = tighten(model, cycle);
    let mut sides =
        [false, true].map(|reversed| Side::new(model, &tight.times, tight.cycle, reversed));
    let root = sides.iter().map(Side::root_bound).max().unwrap_or(1);
    let mut best = Best {
        below,
        content: root.max(enough),
        station_of: None,
    };
    if root < below {
        best.offer(next_fit(model, cycle));
        start(&sides, &mut best, meter);
        take_turns(&mut sides, states, &mut best, meter);
    }
    let proved = sides.iter().map(|side| side.lower(&best)).max();
    Verdict {
        lower: root.max(proved.unwrap_or(root)),
        station_of: best.station_of,
    }
}

/// The shortest line so far.
struct Best {
    /// Only lines with fewer stations are wanted.
    below: u64,
    /// A line this short ends the search.
    content: u64,
    station_of: Option<Vec<usize>>,
}

impl Best {
    fn offer(&mut self, station_of: Vec<usize>) {
        let stations = station_of.iter().max().map_or(0, |&last| last as u64 + 1);
        if stations < self.below {
            self.below = stations;
            self.station_of = Some(station_of);
        }
    }

    fn is_enough(&self) -> bool {
        self.station_of.is_some() && self.below <= self.content
    }
}

fn start(sides: &[Side; 2], best: &mut Best, meter: &mut Meter<'_>) {
    let mut part = meter.part(meter.left() / START_SHARE);
    for taste in tastes() {
        for side in sides {
            if best.is_enough() || part.halted() {
                break;
            }
            if let Some(line) = hoffmann(&side.graph, taste, best.below, START_CAP, &mut part) {
                best.offer(side.assignment(&line));
            }
        }
    }
    meter.absorb(&part);
}

fn take_turns(sides: &mut [Side; 2], states: usize, best: &mut Best, meter: &mut Meter<'_>) {
    let mut turn = 0;
    while !best.is_enough() && !meter.halted() {
        let met: usize = sides.iter().map(|side| side.memory.len()).sum();
        let mut room = states.saturating_sub(met);
        let until = meter.used() + TURN;
        let side = &mut sides[turn % 2];
        while meter.used() < until && !best.is_enough() && !meter.halted() {
            let Some(place) = side.next_open(best) else {
                return;
            };
            let before = side.memory.len();
            side.extend(place, room, best, meter);
            room = room.saturating_sub(side.memory.len() - before);
            if room == 0 {
                return;
            }
        }
        turn += 1;
    }
}

/// An open line in the queue of its number of stations.
struct Open {
    /// Smaller is taken first.
    key: f64,
    place: Place,
}

impl Ord for Open {
    /// The least key is greatest; of equals the newest, which follows one line to its end.
    fn cmp(&self, other: &Self) -> Ordering {
        let key = other.key.total_cmp(&self.key);
        key.then_with(|| self.place.cmp(&other.place))
    }
}

impl PartialOrd for Open {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Open {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Open {}

/// The search from one end of the line.
struct Side {
    graph: Graph,
    bounds: Bounds,
    reversed: bool,
    work: u64,
    memory: Memory,
    loads: Loads,
    /// Open lines by number of stations.
    open: Vec<BinaryHeap<Open>>,
    /// The number of stations last taken from.
    level: usize,
    /// Lines some of whose extensions were put off, with the stations they had then.
    put_off: Vec<(Place, u64)>,
    cap: u64,
}

impl Side {
    fn new(model: &Model, times: &[u64], cycle: u64, reversed: bool) -> Side {
        let graph = Graph::new(model, times, cycle, reversed);
        let bounds = Bounds::new(&graph);
        let empty = vec![0; graph.words];
        let mut memory = Memory::new(graph.words);
        let place = memory.add(&empty, 0, bounds.all(&graph, &empty), None);
        Side {
            loads: Loads::new(&graph),
            work: graph.times.iter().sum(),
            open: vec![BinaryHeap::from([Open { key: 0.0, place }])],
            level: 0,
            put_off: Vec::new(),
            cap: FIRST_CAP,
            graph,
            bounds,
            reversed,
            memory,
        }
    }

    fn root_bound(&self) -> u64 {
        self.memory.bound(0)
    }

    /// The bound proved so far: that of the least open line, or all that was asked when none is open.
    fn lower(&self, best: &Best) -> u64 {
        let queued =
            self.open.iter().enumerate().flat_map(|(level, queue)| {
                queue.iter().map(move |open| (open.place, level as u64))
            });
        let open = queued.chain(self.put_off.iter().copied());
        let alive = open.filter(|&(place, stations)| self.memory.stations(place) == stations);
        let bounds = alive.map(|(place, _)| self.memory.bound(place));
        bounds.min().unwrap_or(best.below).min(best.below)
    }

    /// The best open line of the next number of stations that has one.
    fn next_open(&mut self, best: &Best) -> Option<Place> {
        loop {
            for step in 1..=self.open.len() {
                let level = (self.level + step) % self.open.len();
                while let Some(open) = self.open[level].pop() {
                    if self.is_alive(open.place, level as u64, best) {
                        self.level = level;
                        return Some(open.place);
                    }
                }
            }
            if self.put_off.is_empty() {
                return None;
            }
            self.take_up(best);
        }
    }

    /// A line is dead once a shorter way to its set is known or its bound is no better than the best line.
    fn is_alive(&self, place: Place, stations: u64, best: &Best) -> bool {
        self.memory.stations(place) == stations && self.memory.bound(place) < best.below
    }

    fn take_up(&mut self, best: &Best) {
        self.cap = self.cap.saturating_mul(WIDER);
        for (place, stations) in std::mem::take(&mut self.put_off) {
            if self.is_alive(place, stations, best) {
                self.queue(place);
            }
        }
    }

    fn queue(&mut self, place: Place) {
        let stations = self.memory.stations(place);
        let key = self.key(place, stations);
        let level = stations as usize;
        if self.open.len() <= level {
            self.open.resize_with(level + 1, BinaryHeap::new);
        }
        self.open[level].push(Open { key, place });
    }

    /// Idle time per station so far. Sewell & Jacobson (2012, section 3) also credit tasks still open;
    /// without that more of the published 297-task lines closed within the same nodes, so it is left out.
    fn key(&self, place: Place, stations: u64) -> f64 {
        let set = members(self.memory.set(place));
        let used: u64 = set.map(|task| self.graph.times[task]).sum();
        (stations * self.graph.cycle - used) as f64 / stations.max(1) as f64
    }

    /// Tries every load for the station after the line at `place`, remembering at most `room` new lines.
    fn extend(&mut self, place: Place, room: usize, best: &mut Best, meter: &mut Meter<'_>) {
        let (graph, bounds, memory) = (&self.graph, &self.bounds, &mut self.memory);
        let from = Line::at(graph, bounds, memory, place);
        let Some(idle) = from.idle_allowed(graph, self.work, best.below) else {
            return;
        };
        let most = memory.len() + room;
        let mut found: Vec<Place> = Vec::new();
        let mut full_line: Option<Vec<u32>> = None;
        let end = self
            .loads
            .each(graph, &from.done, idle, self.cap, meter, |load, _| {
                if from.wastes_on_loose_ends(graph, load) {
                    return true;
                }
                match from.child(graph, bounds, memory, load, best.below) {
                    Child::Dropped => {}
                    Child::Kept(child) => found.push(child),
                    Child::Full => full_line = Some(load.to_vec()),
                }
                full_line.is_none() && memory.len() < most
            });
        if let Some(load) = full_line {
            best.offer(self.finished(place, &load));
            return;
        }
        if end != End::Complete || self.memory.len() >= most {
            self.put_off.push((place, from.stations));
        }
        for child in found {
            self.queue(child);
        }
    }

    /// The stations of the caller's tasks for the line at `place` closed with `load`.
    fn finished(&self, place: Place, load: &[u32]) -> Vec<usize> {
        let way = self.memory.way_to(place);
        let mut line: Vec<Vec<u32>> = Vec::new();
        for pair in way.windows(2) {
            let added = members(pair[1]).filter(|&task| !has(pair[0], task));
            line.push(added.map(|task| task as u32).collect());
        }
        line.push(load.to_vec());
        self.assignment(&line)
    }

    fn assignment(&self, line: &[Vec<u32>]) -> Vec<usize> {
        let mut station_of = vec![0; self.graph.count];
        for (place, load) in line.iter().enumerate() {
            let station = if self.reversed {
                line.len() - 1 - place
            } else {
                place
            };
            for &task in load {
                station_of[self.graph.original[task as usize]] = station;
            }
        }
        station_of
    }
}

/// A partial line while it is extended.
struct Line {
    place: Place,
    done: Vec<u64>,
    full: Vec<u64>,
    stations: u64,
    bound: u64,
    used: u64,
    totals: Vec<u64>,
    /// Whether a task still open is followed by others.
    ends_only: bool,
}

/// What became of an extended line.
enum Child {
    Dropped,
    Kept(Place),
    /// It holds all tasks and is shorter than the best.
    Full,
}

impl Line {
    fn at(graph: &Graph, bounds: &Bounds, memory: &Memory, place: Place) -> Line {
        let done = memory.set(place).to_vec();
        let mut full = vec![0; graph.words];
        (0..graph.count).for_each(|task| insert(&mut full, task));
        let mut totals = Vec::new();
        bounds.totals(graph, &done, &mut totals);
        let open = |task: &usize| !has(&done, *task);
        Line {
            place,
            stations: memory.stations(place),
            bound: memory.bound(place),
            used: members(&done).map(|task| graph.times[task]).sum(),
            totals,
            ends_only: !(0..graph.count)
                .filter(open)
                .any(|task| graph.has_followers(task)),
            done,
            full,
        }
    }

    /// Idle time the next station may leave if the line is to have fewer than `below` stations.
    fn idle_allowed(&self, graph: &Graph, work: u64, below: u64) -> Option<u64> {
        let allowed = ((below - 1) * graph.cycle).checked_sub(work)?;
        allowed.checked_sub(self.stations * graph.cycle - self.used)
    }

    /// A station of tasks that nothing follows can as well stand later, so it need not come while others
    /// are open (no-successors rule, Sewell & Jacobson 2012).
    fn wastes_on_loose_ends(&self, graph: &Graph, load: &[u32]) -> bool {
        !self.ends_only && !load.iter().any(|&task| graph.has_followers(task as usize))
    }

    fn child(
        &self,
        graph: &Graph,
        bounds: &Bounds,
        memory: &mut Memory,
        load: &[u32],
        below: u64,
    ) -> Child {
        let stations = self.stations + 1;
        let quick = stations + bounds.quick(&self.totals, load);
        if quick >= below {
            return Child::Dropped;
        }
        let mut done = self.done.clone();
        for &task in load {
            insert(&mut done, task as usize);
        }
        if is_subset(&self.full, &done) {
            return Child::Full;
        }
        let met = memory.find(&done, stations);
        if matches!(met, Met::NoBetter) {
            return Child::Dropped;
        }
        let bound = quick.max(self.bound).max(stations + bounds.ordered(&done));
        if bound >= below {
            return Child::Dropped;
        }
        debug_assert_eq!(graph.words, done.len());
        match met {
            Met::Longer(child) => {
                memory.shorten(child, stations, bound, self.place);
                Child::Kept(child)
            }
            _ => Child::Kept(memory.add(&done, stations, bound, Some(self.place))),
        }
    }
}
