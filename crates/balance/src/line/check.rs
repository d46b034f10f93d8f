//! The rules of a line once more, written apart from the search.
//!
//! Nothing here is shared with the solvers but the public structs: loads, order and figures are worked
//! out again from the problem as the caller gave it.

use std::collections::BTreeMap;

use super::{Balance, Goal, LineProblem};

/// Figures may differ by this much, relative to 1 or to the figure, for rounding alone.
const ROUNDING: f64 = 1e-9;

/// A way a balance breaks the rules. Tasks and stations count from 0.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Violation {
    /// Not one station for each task.
    #[error("{tasks} tasks but {stations} stations named")]
    WrongLength {
        /// Tasks of the problem.
        tasks: usize,
        /// Entries of [`Balance::station_of`].
        stations: usize,
    },
    /// A station beyond the end of the line.
    #[error("task {task} is at station {station}, beyond the end of the line")]
    NoSuchStation {
        /// The task.
        task: usize,
        /// The station it is given.
        station: usize,
    },
    /// A station that works longer than the cycle.
    #[error("station {station} works {load} ticks, more than the cycle")]
    Overload {
        /// The station.
        station: usize,
        /// Its work in ticks.
        load: u128,
    },
    /// A task that stands before one it comes after.
    #[error("task {task} stands before task {after}, which it comes after")]
    OutOfOrder {
        /// The task.
        task: usize,
        /// The task it comes after.
        after: usize,
    },
    /// A station without work where the count is meant to be least.
    #[error("station {station} has no task")]
    EmptyStation {
        /// The station.
        station: usize,
    },
    /// A cycle that is not the longest station where it is meant to be shortest.
    #[error("the cycle is not the longest station, {longest} ticks")]
    SlackCycle {
        /// The longest station in ticks.
        longest: u128,
    },
    /// A bound above what was reached, below what the work content alone proves, or not in accord with `proved`.
    #[error("the bound {lower_bound} cannot be right beside what was reached")]
    Bound {
        /// The bound stated.
        lower_bound: u64,
    },
    /// A figure that does not follow from the line.
    #[error("{figure} is {stated}, should be {found}")]
    Figure {
        /// Its name.
        figure: &'static str,
        /// As stated.
        stated: f64,
        /// As worked out here.
        found: f64,
    },
}

/// Checks a balance against its problem and gives every fault.
pub fn check(problem: &LineProblem, balance: &Balance) -> Result<(), Vec<Violation>> {
    let mut faults = Vec::new();
    places(problem, balance, &mut faults);
    if faults.is_empty() {
        let loads = loads_of(problem, balance);
        order(problem, balance, &mut faults);
        stations(balance, &loads, &mut faults);
        bounds(problem, balance, &mut faults);
        figures(balance, &loads, &mut faults);
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}

fn places(problem: &LineProblem, balance: &Balance, faults: &mut Vec<Violation>) {
    if problem.tasks.len() != balance.station_of.len() {
        faults.push(Violation::WrongLength {
            tasks: problem.tasks.len(),
            stations: balance.station_of.len(),
        });
    }
    for (task, &station) in balance.station_of.iter().enumerate() {
        if station >= balance.stations {
            faults.push(Violation::NoSuchStation { task, station });
        }
    }
}

fn loads_of(problem: &LineProblem, balance: &Balance) -> BTreeMap<usize, u128> {
    let mut loads = BTreeMap::new();
    for (task, station) in problem.tasks.iter().zip(&balance.station_of) {
        *loads.entry(*station).or_insert(0) += u128::from(task.time);
    }
    loads
}

fn order(problem: &LineProblem, balance: &Balance, faults: &mut Vec<Violation>) {
    for (task, given) in problem.tasks.iter().enumerate() {
        for &after in &given.after {
            let earlier = balance.station_of.get(after);
            if earlier.is_none_or(|&station| station > balance.station_of[task]) {
                faults.push(Violation::OutOfOrder { task, after });
            }
        }
    }
}

fn stations(balance: &Balance, loads: &BTreeMap<usize, u128>, faults: &mut Vec<Violation>) {
    for (&station, &load) in loads {
        if load > u128::from(balance.cycle) {
            faults.push(Violation::Overload { station, load });
        }
    }
    if balance.goal == Goal::FewestStations {
        // One missing station is enough to say; the count may be anything when tampered with.
        if let Some(station) = (0..balance.stations).find(|station| !loads.contains_key(station)) {
            faults.push(Violation::EmptyStation { station });
        }
    } else {
        let longest = loads.values().copied().max().unwrap_or(0);
        if longest != u128::from(balance.cycle) {
            faults.push(Violation::SlackCycle { longest });
        }
    }
}

fn bounds(problem: &LineProblem, balance: &Balance, faults: &mut Vec<Violation>) {
    let work: u128 = problem.tasks.iter().map(|task| u128::from(task.time)).sum();
    let (reached, share) = match balance.goal {
        Goal::FewestStations => (balance.stations as u128, u128::from(balance.cycle)),
        Goal::ShortestCycle => (u128::from(balance.cycle), balance.stations as u128),
    };
    let stated = u128::from(balance.lower_bound);
    let by_content = work.div_ceil(share.max(1));
    if stated > reached || stated < by_content || balance.proved != (stated == reached) {
        faults.push(Violation::Bound {
            lower_bound: balance.lower_bound,
        });
    }
}

fn figures(balance: &Balance, loads: &BTreeMap<usize, u128>, faults: &mut Vec<Violation>) {
    let work: u128 = loads.values().sum();
    let longest = loads.values().copied().max().unwrap_or(0);
    let paid = balance.stations as f64 * balance.cycle as f64;
    let empty = balance.stations - loads.len();
    let gaps = loads.values().map(|&load| (longest - load) as f64);
    let squares: f64 = gaps.map(|gap| gap * gap).sum();
    let squares = squares + empty as f64 * (longest as f64) * (longest as f64);
    let figures = [
        ("efficiency", balance.efficiency, work as f64 / paid),
        (
            "balance delay",
            balance.balance_delay,
            (paid - work as f64) / paid,
        ),
        ("smoothness", balance.smoothness, libm::sqrt(squares)),
    ];
    for (figure, stated, found) in figures {
        let off = (stated - found).abs();
        if off.is_nan() || off > ROUNDING * found.abs().max(1.0) {
            faults.push(Violation::Figure {
                figure,
                stated,
                found,
            });
        }
    }
}
