//! Two schedules of the same operations, side by side.

use super::lists::{orders, waits};
use crate::calendar::Tick;
use crate::problem::{Placed, Problem};

/// An operation that lies elsewhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Move {
    /// The operation.
    pub operation: usize,
    /// Where it lay; none if it is new.
    pub before: Option<Placed>,
    /// Where it lies.
    pub after: Placed,
    /// Whether it changes unit or station.
    pub elsewhere: bool,
}

/// A job that is finished at another time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Shift {
    /// The job.
    pub job: usize,
    /// Its finish before; none if some of it is new.
    pub before: Option<Tick>,
    /// Its finish now.
    pub after: Tick,
    /// Ticks late before; 0 if in time.
    pub late_before: Tick,
    /// Ticks late now.
    pub late_after: Tick,
}

/// What differs between two schedules.
#[derive(Clone, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Difference {
    /// Operations that lie elsewhere or start at another time.
    pub moved: Vec<Move>,
    /// How many lie where they lay.
    pub kept: usize,
    /// Share of all work (ticks) that lies where it lay.
    pub kept_ticks: Tick,
    /// All work, ticks.
    pub all_ticks: Tick,
    /// Jobs that are finished at another time.
    pub shifts: Vec<Shift>,
    /// Jobs that were in time and are late now.
    pub newly_late: Vec<usize>,
    /// Jobs that were late and are in time now.
    pub in_time_again: Vec<usize>,
    /// Links whose longest wait is passed now and was not before (what spoils).
    pub spoils: Vec<usize>,
    /// Links whose longest wait was passed before and is not now.
    pub saved: Vec<usize>,
}

/// What differs from an earlier schedule, which may lack operations, to a later one.
pub fn compare(problem: &Problem, before: &[Option<Placed>], after: &[Placed]) -> Difference {
    let mut found = Difference::default();
    for (operation, now) in after.iter().enumerate() {
        let old = before.get(operation).copied().flatten();
        let station = |place: Placed| {
            let modes = &problem.draft.operations[operation].modes;
            modes.get(place.mode).map(|mode| mode.station)
        };
        let ticks = problem.way(operation, now.mode).ticks;
        found.all_ticks += ticks;
        let elsewhere = old.is_none_or(|old| (station(old), old.unit) != (station(*now), now.unit));
        if !elsewhere && old.is_some_and(|old| old.start == now.start) {
            found.kept += 1;
            found.kept_ticks += ticks;
        } else {
            found.moved.push(Move {
                operation,
                before: old,
                after: *now,
                elsewhere,
            });
        }
    }
    shifts(problem, before, after, &mut found);
    passed(problem, before, after, &mut found);
    found
}

fn shifts(problem: &Problem, before: &[Option<Placed>], after: &[Placed], found: &mut Difference) {
    for order in orders(problem, after) {
        let old = order.operations.iter();
        let old: Option<Vec<Tick>> = old
            .map(|at| before.get(*at).copied().flatten().map(|place| place.finish))
            .collect();
        let old = old.and_then(|finishes| finishes.into_iter().max());
        let late = |finish: Tick| order.due.map_or(0, |due| (finish - due).max(0));
        let shift = Shift {
            job: order.job,
            before: old,
            after: order.finish,
            late_before: old.map_or(0, late),
            late_after: late(order.finish),
        };
        if old == Some(order.finish) {
            continue;
        }
        if shift.late_before == 0 && shift.late_after > 0 {
            found.newly_late.push(order.job);
        }
        if shift.late_before > 0 && shift.late_after == 0 {
            found.in_time_again.push(order.job);
        }
        found.shifts.push(shift);
    }
}

fn passed(problem: &Problem, before: &[Option<Placed>], after: &[Placed], found: &mut Difference) {
    let over = |placed: &[Placed]| -> Vec<usize> {
        let waits = waits(problem, placed).into_iter();
        let mut links: Vec<usize> = waits.filter(|w| w.left < 0).map(|w| w.link).collect();
        links.sort_unstable();
        links
    };
    // Where something is new there is no earlier wait: the later place stands in for it and tells nothing.
    let filled: Vec<Placed> = (0..after.len())
        .map(|at| before.get(at).copied().flatten().unwrap_or(after[at]))
        .collect();
    let (old, new) = (over(&filled), over(after));
    found.spoils = new.iter().filter(|at| !old.contains(at)).copied().collect();
    found.saved = old.iter().filter(|at| !new.contains(at)).copied().collect();
}
