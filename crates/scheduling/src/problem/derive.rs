//! A draft that passed, with what follows from it: units, hours of each mode, order, parts, due dates of operations.

use std::collections::BTreeMap;

use super::{After, Draft, Fault, Kind, Over, fault, graph};
use crate::calendar::{Calendar, FAR, Span, Tick};

/// People of a crew.
pub(crate) type CrewNeed = (usize, u32);

/// One unit of a station.
#[derive(Clone, Debug)]
pub(crate) struct Line {
    /// Its station.
    pub(crate) station: usize,
    /// Which unit.
    pub(crate) unit: usize,
    /// When set-ups can run: station open, no stop.
    pub(crate) hours: Calendar,
    /// Its planned stops in order.
    pub(crate) stops: Calendar,
}

/// A mode with what it refers to.
#[derive(Clone, Debug)]
pub(crate) struct Way {
    pub(crate) station: usize,
    pub(crate) ticks: Tick,
    pub(crate) family: usize,
    pub(crate) setup: Tick,
    /// Number of its station and load group, for ovens.
    pub(crate) pool: Option<usize>,
    /// Number of its set of crews.
    pub(crate) crew: usize,
    pub(crate) over: Over,
}

/// A draft without faults, and what follows from it.
#[derive(Clone, Debug)]
pub struct Problem {
    pub(crate) draft: Draft,
    /// Links into and out of each operation.
    pub(crate) into: Vec<Vec<u32>>,
    pub(crate) out_of: Vec<Vec<u32>>,
    /// Operations, none before what it waits for.
    pub(crate) order: Vec<usize>,
    /// Operations to be placed together, each in order; frozen ones are in none. No part comes before what it waits for.
    pub(crate) parts: Vec<Vec<usize>>,
    /// The part of each operation; `usize::MAX` for frozen ones.
    pub(crate) part_of: Vec<usize>,
    pub(crate) lines: Vec<Line>,
    /// The first line of each station.
    pub(crate) first_line: Vec<usize>,
    ways: Vec<Way>,
    way_at: Vec<usize>,
    /// Sets of crews.
    pub(crate) crews: Vec<Vec<CrewNeed>>,
    /// Hours by set of crews and line; see [`Problem::hours`].
    hours: Vec<Option<Calendar>>,
    /// How many pairs of oven and load group there are.
    pub(crate) pools: usize,
    /// When each operation should be finished so that what follows can be in time.
    pub(crate) due_of: Vec<Tick>,
    /// Least work that follows each operation.
    pub(crate) rest_of: Vec<Tick>,
    /// Operations of each job.
    pub(crate) of_job: Vec<Vec<usize>>,
}

impl Problem {
    /// Holds a draft against the rules.
    ///
    /// # Errors
    /// Everything that is wrong with it.
    pub fn new(draft: Draft) -> Result<Self, Vec<Fault>> {
        let found = fault::faults(&draft);
        if !found.is_empty() {
            return Err(found);
        }
        let ends = graph::ends(draft.operations.len(), &draft.links);
        let order = graph::order(&ends, &draft.links).map_err(|at| vec![Fault::Loop(at)])?;
        let (parts, part_of) = parts(&draft, &ends, &order);
        let (lines, first_line) = lines(&draft);
        let mut problem = Self {
            into: ends.into,
            out_of: ends.out_of,
            order,
            parts,
            part_of,
            lines,
            first_line,
            ways: Vec::new(),
            way_at: Vec::new(),
            crews: Vec::new(),
            hours: Vec::new(),
            pools: 0,
            due_of: Vec::new(),
            rest_of: Vec::new(),
            of_job: vec![Vec::new(); draft.jobs.len()],
            draft,
        };
        for (at, operation) in problem.draft.operations.iter().enumerate() {
            problem.of_job[operation.job].push(at);
        }
        problem.enter_ways();
        problem.enter_hours();
        problem.enter_dues();
        Ok(problem)
    }

    /// What was asked.
    pub fn draft(&self) -> &Draft {
        &self.draft
    }

    /// How many operations there are.
    pub fn len(&self) -> usize {
        self.draft.operations.len()
    }

    /// Whether there is nothing to do.
    pub fn is_empty(&self) -> bool {
        self.draft.operations.is_empty()
    }

    /// A mode of an operation.
    pub(crate) fn way(&self, operation: usize, mode: usize) -> &Way {
        &self.ways[self.way_at[operation] + mode]
    }

    /// The modes of an operation.
    pub(crate) fn ways(&self, operation: usize) -> &[Way] {
        &self.ways[self.way_at[operation]..self.way_at[operation + 1]]
    }

    /// The lines of a station.
    pub(crate) fn lines_of(&self, station: usize) -> std::ops::Range<usize> {
        let first = self.first_line[station];
        first..first + self.draft.stations[station].units
    }

    /// When work with this set of crews can run on this line.
    pub(crate) fn hours(&self, crew: usize, line: usize) -> &Calendar {
        self.hours[crew * self.lines.len() + line]
            .as_ref()
            .expect("hours of every mode were entered")
    }

    /// The fewest ticks that an operation takes.
    pub(crate) fn least_ticks(&self, operation: usize) -> Tick {
        let ticks = self.ways(operation).iter().map(|way| way.ticks);
        ticks.min().unwrap_or(0)
    }

    fn enter_ways(&mut self) {
        let mut crews: BTreeMap<Vec<CrewNeed>, usize> = BTreeMap::new();
        let mut pools: BTreeMap<(usize, usize), usize> = BTreeMap::new();
        for operation in &self.draft.operations {
            self.way_at.push(self.ways.len());
            for mode in &operation.modes {
                let mut needs = mode.crews.clone();
                needs.sort_unstable();
                let next = crews.len();
                let crew = *crews.entry(needs.clone()).or_insert(next);
                if crew == next {
                    self.crews.push(needs);
                }
                let oven = matches!(self.draft.stations[mode.station].kind, Kind::Oven { .. });
                let next = pools.len();
                let pool = oven.then(|| *pools.entry((mode.station, mode.group)).or_insert(next));
                self.ways.push(Way {
                    station: mode.station,
                    ticks: mode.ticks,
                    family: mode.family,
                    setup: mode.setup,
                    pool,
                    crew,
                    over: operation.over,
                });
            }
        }
        self.way_at.push(self.ways.len());
        self.pools = pools.len();
    }

    fn enter_hours(&mut self) {
        let count = self.lines.len();
        self.hours = vec![None; self.crews.len() * count];
        for way in &self.ways {
            for line in self.lines_of(way.station) {
                let entry = way.crew * count + line;
                if self.hours[entry].is_none() {
                    let needs = &self.crews[way.crew];
                    let hours = self.lines[line].hours.clone();
                    let hours = needs
                        .iter()
                        .fold(hours, |hours, need| hours.and(&there(&self.draft, *need)));
                    self.hours[entry] = Some(hours);
                }
            }
        }
    }

    fn enter_dues(&mut self) {
        let draft = &self.draft;
        let due = |operation: &super::Operation| draft.jobs[operation.job].due.unwrap_or(FAR);
        self.due_of = draft.operations.iter().map(due).collect();
        self.rest_of = vec![0; self.len()];
        for &operation in self.order.iter().rev() {
            for &link in &self.out_of[operation] {
                let link = &self.draft.links[link as usize];
                let ticks = self.least_ticks(link.to);
                let (gap, rest) = match link.after {
                    After::Finish { least } => (least + ticks, ticks),
                    After::Start { least } => {
                        let more = least + ticks - self.least_ticks(operation);
                        (more, more.max(0))
                    }
                    After::Lots { lots } => (ticks / lots, ticks / lots),
                };
                let due = self.due_of[link.to] - gap;
                self.due_of[operation] = self.due_of[operation].min(due);
                let rest = self.rest_of[link.to] + rest;
                self.rest_of[operation] = self.rest_of[operation].max(rest);
            }
        }
    }
}

/// When a crew has people enough; always after the horizon.
fn there(draft: &Draft, (crew, need): CrewNeed) -> Calendar {
    let steps = &draft.crews[crew].people;
    let spans = steps.iter().enumerate().filter_map(|(at, step)| {
        let until = steps.get(at + 1).map_or(draft.horizon, |next| next.0);
        (step.1 >= need).then(|| Span::new(step.0, until.min(draft.horizon)))
    });
    Calendar::of(spans.collect()).open_from(draft.horizon)
}

fn lines(draft: &Draft) -> (Vec<Line>, Vec<usize>) {
    let mut lines = Vec::new();
    let mut first_line = Vec::with_capacity(draft.stations.len());
    for (number, station) in draft.stations.iter().enumerate() {
        first_line.push(lines.len());
        let open = draft.calendars[station.calendar].open_from(draft.horizon);
        for unit in 0..station.units {
            let stops = station.stops.iter().filter(|stop| stop.0 == unit);
            let stops: Vec<Span> = stops.map(|stop| stop.1).collect();
            lines.push(Line {
                station: number,
                unit,
                hours: open.without(&stops),
                stops: Calendar::of(stops),
            });
        }
    }
    (lines, first_line)
}

/// Operations that are placed together, frozen ones left out.
fn parts(draft: &Draft, ends: &graph::Ends, order: &[usize]) -> (Vec<Vec<usize>>, Vec<usize>) {
    let number = graph::parts(ends, &draft.links);
    let count = number.iter().max().map_or(0, |most| most + 1);
    let mut parts = vec![Vec::new(); count];
    for &operation in order {
        if draft.operations[operation].frozen.is_none() {
            parts[number[operation]].push(operation);
        }
    }
    parts.retain(|part| !part.is_empty());
    let mut part_of = vec![usize::MAX; number.len()];
    for (at, part) in parts.iter().enumerate() {
        for operation in part {
            part_of[*operation] = at;
        }
    }
    (parts, part_of)
}
