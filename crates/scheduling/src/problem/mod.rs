//! What a works asks of a schedule, in plain numbers: jobs, operations, waits, stations, ovens, crews, objectives.
//!
//! [`Draft`] is filled in by whoever asks; [`Problem::new`] holds it against every rule once and tells all faults. What
//! passed is trusted afterwards. Everything is known by its position in its list.
//!
//! # The rules of a schedule
//! * An operation runs in one of its modes: on one unit of one station, for so many ticks of work, with people of crews.
//! * Its *hours* are the open time of the station less planned stops, and of each crew it needs with people enough.
//!   [`Over`] says what happens when the hours end while it runs. People are held only during hours; the unit is
//!   held from start to finish.
//! * A unit does one thing at a time; between two, its set-up runs in the open time of the station (no crew is booked for it).
//! * An oven's load holds operations of one group, up to a size; they start and end together and take as long as the longest.
//! * Waits are measured in clock time. Lots of a transfer are equal, and each is passed on when it is done.
//! * From [`Draft::horizon`] on, calendars say nothing and everything is open, so that a schedule always exists; an answer
//!   says what lies out there.

mod derive;
mod fault;
mod graph;

pub use derive::Problem;
pub(crate) use derive::Way;
pub use fault::{Fault, MOST_COST, MOST_LOTS, MOST_TICKS};

use crate::calendar::{Calendar, Span, Tick};

/// A question about a schedule, not yet held against the rules.
#[derive(Clone, Debug, Default)]
pub struct Draft {
    /// Now: what is not frozen starts at this tick or later.
    pub begin: Tick,
    /// Where calendars and crews end; everything is open from here on.
    pub horizon: Tick,
    /// Orders.
    pub jobs: Vec<Job>,
    /// Everything that is to be done.
    pub operations: Vec<Operation>,
    /// What comes before what, and the waits between.
    pub links: Vec<Link>,
    /// Where things are done.
    pub stations: Vec<Station>,
    /// Who does them.
    pub crews: Vec<Crew>,
    /// When stations are open.
    pub calendars: Vec<Calendar>,
    /// What matters, the most important first. Hard waits that cannot be kept always count before these.
    pub objectives: Vec<Objective>,
    /// Where each operation lay in an earlier plan, for [`Objective::Moved`]; empty if there is none.
    pub earlier: Vec<Option<Placed>>,
}

/// An order.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// None of its operations starts before.
    pub release: Tick,
    /// When it should be finished; none if nobody waits for it.
    pub due: Option<Tick>,
    /// What one tick of lateness counts.
    pub weight: i64,
}

/// One thing that is to be done.
#[derive(Clone, Debug)]
pub struct Operation {
    /// Its job.
    pub job: usize,
    /// When its material is there.
    pub release: Tick,
    /// How it can be done; at least one.
    pub modes: Vec<Mode>,
    /// What it takes of an oven: pieces, grams or square millimetres, as the oven counts.
    pub size: i64,
    /// What happens when the hours end while it runs.
    pub over: Over,
    /// Where it lies already, for work that has started or is frozen.
    pub frozen: Option<Placed>,
}

/// What happens to running work when its hours end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Over {
    /// It pauses and goes on when they begin again (also across planned stops).
    Pauses,
    /// It may not be interrupted: it lies wholly in open time.
    Whole,
    /// It goes on by itself: it starts within the hours, then the clock counts (a cure overnight). Not across planned stops.
    RunsOn,
}

/// One way to do an operation.
#[derive(Clone, Debug, PartialEq)]
pub struct Mode {
    /// The station.
    pub station: usize,
    /// Ticks of work; at least 1.
    pub ticks: Tick,
    /// Which of the station's set-up families it belongs to; 0 where the station has no set-ups by family.
    pub family: usize,
    /// In an oven, what may share a load: operations of the same group.
    pub group: usize,
    /// Set-up of its own, beside that between families; once for a load.
    pub setup: Tick,
    /// People that it ties up: crew, how many. In an oven, for the whole load.
    pub crews: Vec<(usize, u32)>,
}

impl Mode {
    /// On a station for so many ticks, nothing else.
    pub fn on(station: usize, ticks: Tick) -> Self {
        Self {
            station,
            ticks,
            family: 0,
            group: 0,
            setup: 0,
            crews: Vec::new(),
        }
    }
}

/// Where an operation lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Placed {
    /// Which of its modes.
    pub mode: usize,
    /// Which unit of the station.
    pub unit: usize,
    /// When it starts.
    pub start: Tick,
    /// When it is finished.
    pub finish: Tick,
}

/// One operation after another.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    /// What comes first.
    pub from: usize,
    /// What comes then.
    pub to: usize,
    /// What of the first is waited for.
    pub after: After,
    /// The longest that may pass, if there is such a limit.
    pub most: Option<Most>,
}

impl Link {
    /// One starts when the other is finished.
    pub fn then(from: usize, to: usize) -> Self {
        Self {
            from,
            to,
            after: After::Finish { least: 0 },
            most: None,
        }
    }

    /// The same link with a limit that must be kept.
    #[must_use]
    pub fn at_most(mut self, ticks: Tick) -> Self {
        self.most = Some(Most { ticks, cost: None });
        self
    }
}

/// What of an earlier operation a later one waits for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum After {
    /// Its finish, and so many ticks more (to cool, to equalise).
    Finish {
        /// Ticks from the finish of the first to the start of the second, at least.
        least: Tick,
    },
    /// Its start, and so many ticks more.
    Start {
        /// Ticks from the start of the first to the start of the second, at least.
        least: Tick,
    },
    /// Its lots, one by one: so many equal lots, each passed on when it is done.
    Lots {
        /// How many.
        lots: i64,
    },
}

/// The longest that may pass between two operations, from what is waited for (of lots: the finish of the first
/// operation) to the start of the second.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Most {
    /// Ticks.
    pub ticks: Tick,
    /// What a tick more costs; none if the limit must be kept.
    pub cost: Option<i64>,
}

/// A place with one or more alike units.
#[derive(Clone, Debug)]
pub struct Station {
    /// How many units; at least 1.
    pub units: usize,
    /// When it is open.
    pub calendar: usize,
    /// How it takes work.
    pub kind: Kind,
    /// What it takes to go from one family to another.
    pub setups: SetUps,
    /// Planned stops: unit and time.
    pub stops: Vec<(usize, Span)>,
}

impl Station {
    /// One unit that does one thing at a time, without set-ups.
    pub fn single(calendar: usize) -> Self {
        Self {
            units: 1,
            calendar,
            kind: Kind::Single,
            setups: SetUps::none(),
            stops: Vec::new(),
        }
    }
}

/// How a station takes work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// One operation at a time on each unit.
    Single,
    /// Loads.
    Oven {
        /// The size that one load holds.
        holds: i64,
        /// The size from which a load is worth starting; a smaller one counts in [`Objective::ShortLoads`].
        least: i64,
    },
    /// Any number at a time (a yard, a subcontractor, a cool room that is never full). Such a station has one unit.
    Open,
}

/// Set-ups between families of a station, clean-downs among them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SetUps {
    /// How many families.
    pub families: usize,
    /// Ticks from each family (row) to each (column); also within one. Empty if it takes none.
    pub ticks: Vec<Tick>,
    /// Ticks to each family at the beginning. Empty if it takes none.
    pub first: Vec<Tick>,
    /// Whether a set-up may pause when the station is closed.
    pub pauses: bool,
}

impl SetUps {
    /// One family, no set-ups.
    pub fn none() -> Self {
        Self {
            families: 1,
            ticks: Vec::new(),
            first: Vec::new(),
            pauses: true,
        }
    }

    /// Ticks from what ran last (none at the beginning) to a family.
    pub fn between(&self, from: Option<usize>, to: usize) -> Tick {
        let found = match from {
            Some(from) => self.ticks.get(from * self.families + to),
            None => self.first.get(to),
        };
        found.copied().unwrap_or(0)
    }
}

/// People with the same skill and hours. A person of several skills is a mode more for each crew that can do it.
#[derive(Clone, Debug)]
pub struct Crew {
    /// People there from a tick on, in order of time; none before the first.
    pub people: Vec<(Tick, u32)>,
}

/// What counts. All are whole numbers, the smaller the better.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub enum Objective {
    /// Σ weight × ticks late.
    WeightedLateness,
    /// Σ weight of the jobs that are late.
    LateJobs,
    /// The most ticks that a job is late; below 0 if all are early.
    WorstLateness,
    /// Σ cost × ticks of waits longer than they may be.
    Spoiled,
    /// Ticks of set-up.
    SetUp,
    /// When the last operation is finished, counted from the beginning.
    Makespan,
    /// Σ ticks from a job's first start to its finish.
    WorkInProcess,
    /// Σ weight × finish, counted from the beginning.
    WeightedFinish,
    /// Σ what loads lack to their minimum.
    ShortLoads,
    /// Ticks of work that lies on another unit or starts at another time than in the earlier plan.
    Moved,
}
