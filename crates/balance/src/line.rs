//! Balancing a line of manual work: which task goes to which station.
//!
//! Two questions, both answered exactly when the work limit allows (names after Scholl & Becker 2006):
//!
//! * [`fewest_stations`] (SALBP-1): the takt is given, how few stations hold the work?
//! * [`shortest_cycle`] (SALBP-2): the stations are given, how short can the cycle be?
//!
//! Every task goes to one station; a task never stands before one it follows; no station works longer
//! than the cycle. Times are whole ticks so that "fits" has one meaning; [`from_seconds`] makes ticks of
//! measured times, rounding up.
//!
//! # Method
//! Branch, bound and remember over station loads (Sewell & Jacobson 2012; Morrison, Sewell & Jacobson
//! 2014): a partial line is the set of tasks on its first stations; lines are extended by one maximal
//! load at a time, taking the best open line of each length in turn; a set met before with as few
//! stations is dropped. The rooms of this folder, in reading order:
//!
//! | room | holds |
//! | --- | --- |
//! | `ticks` | seconds to whole ticks |
//! | `model` | the tasks checked once, and the graph seen from one end of the line |
//! | `tighten` | times raised to what a station can really use |
//! | `bounds` | how many stations a set of tasks needs at least |
//! | `loads` | all maximal loads of the next station |
//! | `hoffmann` | a good line to start from |
//! | `memory` | the sets met so far |
//! | `search` | the search itself, from both ends of the line |
//! | `cycle` | the search for the shortest cycle |
//! | `check` | the rules again, by another route |
//!
//! # Sources
//! A. Scholl & C. Becker, "State-of-the-art exact and heuristic solution procedures for simple assembly
//! line balancing", EJOR 168 (2006) 666-693. E. C. Sewell & S. H. Jacobson, "A branch, bound, and
//! remember algorithm for the simple assembly line balancing problem", INFORMS J. Computing 24 (2012)
//! 433-442. D. R. Morrison, E. C. Sewell & S. H. Jacobson, "An application of the branch, bound, and
//! remember algorithm to a new simple assembly line balancing dataset", EJOR 236 (2014) 403-409.
//! J. R. Jackson, Management Science 2 (1956) 261-271. T. R. Hoffmann, Management Science 9 (1963)
//! 551-562. All from memory; the code is written from the ideas, not from any program.

mod bits;
mod bounds;
mod check;
mod cycle;
mod hoffmann;
mod loads;
mod memory;
mod meter;
mod model;
mod search;
mod ticks;
mod tighten;

#[cfg(test)]
mod published;
#[cfg(test)]
mod tests;

use serde::{Deserialize, Serialize};

pub use check::{Violation, check};
pub use cycle::shortest_cycle;
pub use search::fewest_stations;
pub use ticks::{TickError, from_seconds};

/// One piece of manual work that is not split between stations.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Task {
    /// How long it takes, in whole ticks.
    pub time: u64,
    /// Places in [`LineProblem::tasks`] of the tasks this one comes after.
    pub after: Vec<usize>,
}

/// The work of one line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LineProblem {
    /// The tasks, in any order.
    pub tasks: Vec<Task>,
}

/// The most tasks one line may have: the table of who follows whom grows with the square.
pub const MOST_TASKS: usize = 5000;

/// How much work an answer may cost.
///
/// There is no clock here: the caller's `stop` may look at one.
pub struct Limit<'a> {
    /// Most search nodes. A node is one task tried in one station, the unit all work is counted in;
    /// some millions a second for lines of 50 tasks, a few hundred thousand for lines of 1000. The tables
    /// made before the search are not counted: nothing for 50 tasks, seconds for [`MOST_TASKS`].
    pub nodes: u64,
    /// Most partial lines remembered, over both directions. Each takes about `50 + n / 8` bytes for `n` tasks.
    pub states: usize,
    /// Asked now and then; `true` ends the search with the best line so far.
    pub stop: &'a dyn Fn() -> bool,
}

impl Limit<'_> {
    /// A limit on nodes alone, with room for four million partial lines (some 250 MB when all are used).
    pub fn nodes(nodes: u64) -> Limit<'static> {
        Limit {
            nodes,
            states: 4_000_000,
            stop: &|| false,
        }
    }
}

/// Which of the two questions a [`Balance`] answers; it gives [`Balance::lower_bound`] its unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Goal {
    /// Fewest stations for a cycle; the bound counts stations.
    FewestStations,
    /// Shortest cycle for a number of stations; the bound is in ticks.
    ShortestCycle,
}

/// A balanced line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Balance {
    /// The question answered.
    pub goal: Goal,
    /// The station of each task, counted from 0 at the start of the line.
    pub station_of: Vec<usize>,
    /// Number of stations. Under [`Goal::ShortestCycle`] the number given, even when some stay empty.
    pub stations: usize,
    /// The cycle in ticks: as given, or the longest station under [`Goal::ShortestCycle`].
    pub cycle: u64,
    /// No line can do better than this: stations or ticks, as [`Goal`] says.
    pub lower_bound: u64,
    /// Whether the bound is reached, so the line is best.
    pub proved: bool,
    /// Work over time paid for, sum of times / (stations x cycle), 0 to 1.
    pub efficiency: f64,
    /// The rest: 1 - efficiency (Kilbridge & Wester 1961).
    pub balance_delay: f64,
    /// Smoothness index in ticks: root of the sum of squares of (longest station - station), after
    /// Moodie & Young (1965); 0 is a perfectly even line. From memory.
    pub smoothness: f64,
    /// Search nodes spent, in the unit of [`Limit::nodes`].
    pub nodes: u64,
}

impl Balance {
    /// The work of each station in ticks, in line order.
    ///
    /// A task or station the balance does not know is left out; [`check`] reports it.
    pub fn loads(&self, problem: &LineProblem) -> Vec<u64> {
        let mut loads = vec![0_u64; self.stations];
        for (task, &station) in problem.tasks.iter().zip(&self.station_of) {
            if let Some(load) = loads.get_mut(station) {
                *load = load.saturating_add(task.time);
            }
        }
        loads
    }
}

/// Why a line cannot be balanced as asked. Tasks are named by their place in [`LineProblem::tasks`].
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LineError {
    /// No tasks.
    #[error("the line has no tasks")]
    Empty,
    /// Every task takes no time, so a cycle or an efficiency means nothing.
    #[error("no task of the line takes any time")]
    NoWork,
    /// More tasks than [`MOST_TASKS`].
    #[error("the line has {count} tasks; at most {MOST_TASKS} are handled")]
    TooManyTasks {
        /// Tasks given.
        count: usize,
    },
    /// Times whose sum leaves no headroom in 64 bits.
    #[error("the task times add up to more than can be counted; use a coarser tick")]
    TimesTooLarge,
    /// A predecessor that is not in the list.
    #[error("task {task} comes after task {after}, which does not exist")]
    UnknownTask {
        /// The task that names it.
        task: usize,
        /// The place named.
        after: usize,
    },
    /// Tasks that wait for one another.
    #[error("tasks wait for one another in a ring: {ring:?}")]
    Ring {
        /// The tasks of one ring, each after the one before it, the first after the last.
        ring: Vec<usize>,
    },
    /// A task that alone outlasts the cycle. It is refused, never shortened.
    #[error("task {task} takes {time} ticks, longer than the cycle of {cycle}")]
    TaskTooLong {
        /// The longest task.
        task: usize,
        /// Its time in ticks.
        time: u64,
        /// The cycle asked for in ticks.
        cycle: u64,
    },
    /// A line of no stations.
    #[error("a line needs at least one station")]
    NoStations,
}
