//! Rules that choose what a station does next.
//!
//! The station that can begin something first chooses among what has arrived by then, by an index; what is chosen is placed with
//! the exact timetable, and what follows it arrives. (Giffler & Thompson 1960 for the order of choices.)

use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap};

use super::fit::Genes;
use super::table::Table;
use crate::calendar::{FAR, Tick};
use crate::problem::{Kind, Problem};

/// How a station chooses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rule {
    /// Apparent tardiness cost with set-ups (Lee, Bhaskaran & Pinedo 1997):
    /// w/p · exp(−max(d − p − t, 0)/(k₁ p̄)) · exp(−s/(k₂ s̄)), p̄ and s̄ being the means of all.
    Apparent {
        /// k₁: how far ahead due dates are seen.
        dates: f64,
        /// k₂: how little set-ups matter.
        setups: f64,
    },
    /// What is due first, by the due date of the operation (the job's less the work that follows).
    EarliestDue,
    /// What has most work behind it.
    MostWork,
    /// Most weight for its time (Smith 1956).
    WeightedShortest,
}

/// A choice to come: the tick, the station, the version of its queue.
type Event = Reverse<(Tick, usize, u64)>;

struct Dispatch<'t, 'p> {
    table: &'t mut Table<'p>,
    rule: Rule,
    /// Parts that have arrived or will, by station of their first operation: arrival and part.
    queues: Vec<Vec<(Tick, usize)>>,
    versions: Vec<u64>,
    events: BinaryHeap<Event>,
    /// What each part still waits for.
    waiting: Vec<usize>,
    mean: (f64, f64),
}

/// Places everything that does not lie yet, as a rule chooses.
pub(crate) fn dispatch(table: &mut Table<'_>, rule: Rule, genes: &Genes, steps: &mut u64) {
    let problem = table.problem;
    let mut state = Dispatch {
        mean: means(problem),
        waiting: vec![0; problem.parts.len()],
        queues: vec![Vec::new(); problem.draft.stations.len()],
        versions: vec![0; problem.draft.stations.len()],
        events: BinaryHeap::new(),
        table,
        rule,
    };
    for part in 0..problem.parts.len() {
        state.waiting[part] = state.table.unplaced_before(part).len();
        if state.waiting[part] == 0 {
            state.arrive(part);
        }
    }
    for station in 0..state.queues.len() {
        state.announce(station);
    }
    while let Some(Reverse((at, station, version))) = state.events.pop() {
        if version != state.versions[station] {
            continue;
        }
        if let Some(part) = state.choose(station, at) {
            state.table.place_part(part, genes, steps);
            state.follow(part, station);
        }
    }
}

/// Mean ticks of an operation and of a set-up.
fn means(problem: &Problem) -> (f64, f64) {
    let count = problem.len().max(1) as f64;
    let work = (0..problem.len()).map(|at| problem.least_ticks(at) as f64);
    let tables = problem.draft.stations.iter().map(|s| &s.setups.ticks);
    let (sum, cells) = tables.flatten().fold((0.0, 0.0), |(sum, cells), ticks| {
        (sum + *ticks as f64, cells + 1.0)
    });
    let setup: f64 = if cells > 0.0 { sum / cells } else { 0.0 };
    ((work.sum::<f64>() / count).max(1.0), setup.max(1e-9))
}

impl Dispatch<'_, '_> {
    /// Enters a part in the queues of the stations that can do its first operation.
    fn arrive(&mut self, part: usize) {
        let problem = self.table.problem;
        let first = problem.parts[part][0];
        let ready = self.table.ready(first);
        let mut stations: Vec<usize> = problem.ways(first).iter().map(|way| way.station).collect();
        stations.sort_unstable();
        stations.dedup();
        for station in stations {
            self.queues[station].push((ready, part));
        }
    }

    /// When a unit of a station is free behind all that is booked.
    fn free(&self, station: usize) -> Tick {
        let begin = self.table.problem.draft.begin;
        if self.table.problem.draft.stations[station].kind == Kind::Open {
            return begin;
        }
        let lines = self.table.problem.lines_of(station);
        let ends = lines.map(|line| self.table.rows[line].end().unwrap_or(begin));
        ends.min().unwrap_or(begin)
    }

    /// Says when a station chooses next.
    fn announce(&mut self, station: usize) {
        let lies = |part: usize| self.table.lies(part);
        self.queues[station].retain(|(_, part)| !lies(*part));
        self.versions[station] += 1;
        if let Some(first) = self.queues[station].iter().map(|entry| entry.0).min() {
            let at = first.max(self.free(station));
            let event = (at, station, self.versions[station]);
            self.events.push(Reverse(event));
        }
    }

    /// What a station takes at a tick.
    fn choose(&self, station: usize, at: Tick) -> Option<usize> {
        let mut best: Option<(f64, Tick, usize)> = None;
        for &(ready, part) in &self.queues[station] {
            if ready > at || self.table.lies(part) {
                continue;
            }
            let index = self.index(part, station, at);
            let due = self.table.problem.due_of[self.table.problem.parts[part][0]];
            let better = best.is_none_or(|(other, other_due, _)| {
                index > other || (index == other && due < other_due)
            });
            if better {
                best = Some((index, due, part));
            }
        }
        best.map(|(_, _, part)| part)
    }

    fn index(&self, part: usize, station: usize, at: Tick) -> f64 {
        let problem = self.table.problem;
        let first = problem.parts[part][0];
        let job = &problem.draft.jobs[problem.draft.operations[first].job];
        let ticks = problem.least_ticks(first) as f64;
        let due = problem.due_of[first];
        match self.rule {
            Rule::EarliestDue => -(due as f64),
            Rule::MostWork => (problem.rest_of[first] as f64) + ticks,
            Rule::WeightedShortest => job.weight as f64 / ticks,
            Rule::Apparent { dates, setups } => {
                let weight = (job.weight as f64).max(1e-6);
                let set_up = self.set_up(station, first) as f64;
                // As a logarithm, so that far due dates still tell apart.
                let slack = ((due.min(FAR) - at) as f64 - ticks).max(0.0);
                libm::log(weight / ticks)
                    - slack / (dates * self.mean.0)
                    - set_up / (setups * self.mean.1)
            }
        }
    }

    /// The least set-up behind what is booked last on a unit of a station.
    fn set_up(&self, station: usize, operation: usize) -> Tick {
        let problem = self.table.problem;
        let Some(way) = problem
            .ways(operation)
            .iter()
            .find(|w| w.station == station)
        else {
            return 0;
        };
        let setups = &problem.draft.stations[station].setups;
        let lines = problem.lines_of(station);
        let ticks =
            lines.map(|line| setups.between(self.table.rows[line].last_family(), way.family));
        ticks.min().unwrap_or(0)
    }

    /// What follows a part arrives; stations that it concerns choose again.
    fn follow(&mut self, part: usize, station: usize) {
        let problem = self.table.problem;
        let mut touched = BTreeSet::from([station]);
        for &operation in &problem.parts[part] {
            for way in problem.ways(operation) {
                touched.insert(way.station);
            }
            for &link in &problem.out_of[operation] {
                let to = problem.part_of[problem.draft.links[link as usize].to];
                if to == part || to == usize::MAX {
                    continue;
                }
                self.waiting[to] -= 1;
                if self.waiting[to] == 0 {
                    self.arrive(to);
                    let ways = problem.ways(problem.parts[to][0]).iter();
                    touched.extend(ways.map(|way| way.station));
                }
            }
        }
        for station in touched {
            self.announce(station);
        }
    }
}
