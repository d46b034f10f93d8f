//! Taking parts out of a timetable so that what stays is a schedule still.
//!
//! With an operation goes what follows it, the rest of a load that would become shorter without it, and what would lack
//! room for its set-up.

use crate::build::run;
use crate::build::table::{Spot, Table};
use crate::problem::{After, Problem};

/// What was taken out: operations with their old spots, in the order of taking; and their parts.
#[derive(Default)]
pub(crate) struct Removed {
    pub(crate) spots: Vec<(usize, Spot)>,
    pub(crate) parts: Vec<usize>,
}

/// Marks for parts, cleared by counting up.
pub(crate) struct Marks {
    stamp: Vec<u32>,
    now: u32,
}

impl Marks {
    pub(crate) fn new(parts: usize) -> Self {
        Self {
            stamp: vec![0; parts],
            now: 1,
        }
    }

    fn clear(&mut self) {
        self.now += 1;
        if self.now == u32::MAX {
            self.stamp.fill(0);
            self.now = 1;
        }
    }

    /// Marks a part; whether it was not marked before.
    fn mark(&mut self, part: usize) -> bool {
        std::mem::replace(&mut self.stamp[part], self.now) != self.now
    }

    fn has(&self, part: usize) -> bool {
        self.stamp[part] == self.now
    }
}

/// Takes parts out, with all that must go with them; nothing if that would be more than `most` operations.
pub(crate) fn remove(
    table: &mut Table<'_>,
    marks: &mut Marks,
    seeds: &[usize],
    most: usize,
) -> Option<Removed> {
    let problem = table.problem;
    marks.clear();
    let mut removed = Removed::default();
    add(problem, marks, &mut removed.parts, seeds);
    let mut done = 0;
    loop {
        shrinking_loads(table, marks, &mut removed.parts);
        let count: usize = removed.parts.iter().map(|p| problem.parts[*p].len()).sum();
        if count > most {
            restore(table, &removed);
            return None;
        }
        let first = removed.spots.len();
        for part in &removed.parts[done..] {
            for &operation in &problem.parts[*part] {
                if table.spots[operation].is_some() {
                    removed.spots.push((operation, table.take(operation)));
                }
            }
        }
        done = removed.parts.len();
        let crowded = crowded(table, &removed.spots[first..]);
        if crowded.is_empty() {
            return Some(removed);
        }
        add(problem, marks, &mut removed.parts, &crowded);
    }
}

/// Puts what was taken out back where it was.
pub(crate) fn restore(table: &mut Table<'_>, removed: &Removed) {
    for (operation, spot) in removed.spots.iter().rev() {
        table.put(*operation, *spot);
    }
}

/// Adds parts and all that follows them.
fn add(problem: &Problem, marks: &mut Marks, parts: &mut Vec<usize>, seeds: &[usize]) {
    let mut next = parts.len();
    for &seed in seeds {
        if marks.mark(seed) {
            parts.push(seed);
        }
    }
    while let Some(&part) = parts.get(next) {
        next += 1;
        for &operation in &problem.parts[part] {
            for &link in &problem.out_of[operation] {
                let to = problem.part_of[problem.draft.links[link as usize].to];
                if to != usize::MAX && marks.mark(to) {
                    parts.push(to);
                }
            }
        }
    }
}

/// Adds the rest of each load whose longest operation goes.
fn shrinking_loads(table: &Table<'_>, marks: &mut Marks, parts: &mut Vec<usize>) {
    let problem = table.problem;
    let mut at = 0;
    while let Some(&part) = parts.get(at) {
        at += 1;
        let mut more = Vec::new();
        for &operation in &problem.parts[part] {
            let Some(spot) = table.spots[operation] else {
                continue;
            };
            if problem.way(operation, spot.mode as usize).pool.is_none() {
                continue;
            }
            let load = &table.loads[table.load_at(spot) as usize];
            let stay = || {
                let members = load.members.iter().map(|member| *member as usize);
                members.filter(|member| !marks.has(problem.part_of[*member]))
            };
            let ticks = |member: usize| {
                let spot = table.spots[member].map_or(0, |spot| spot.mode);
                problem.way(member, spot as usize).ticks
            };
            if stay().next().is_some() && stay().map(ticks).max() < Some(load.ticks) {
                more.extend(stay().map(|member| problem.part_of[member]));
            }
        }
        add(problem, marks, parts, &more);
    }
}

/// Parts that lack room for their set-up since something beside them was taken out.
fn crowded(table: &Table<'_>, taken: &[(usize, Spot)]) -> Vec<usize> {
    let problem = table.problem;
    let mut found = Vec::new();
    for (_, spot) in taken {
        let line = spot.line as usize;
        let row = &table.rows[line];
        let cursor = row.after(spot.start);
        let Some(next) = row.slot(cursor) else {
            continue;
        };
        let before = row.before(cursor);
        let free = before.map_or(problem.draft.begin, |slot| {
            slot.finish.max(problem.draft.begin)
        });
        let ticks = table.set_up_ticks(line, before, next.family as usize, next.own);
        if run::set_up_done(problem, line, free, ticks) <= next.start {
            continue;
        }
        let movable = |what: u32| movable_parts(table, line, what);
        let mut parts = movable(next.what);
        if parts.is_empty() {
            parts = before.map_or(Vec::new(), |slot| movable(slot.what));
        }
        found.extend(parts);
    }
    found
}

/// The parts that lie in a slot, frozen ones left out.
pub(crate) fn movable_parts(table: &Table<'_>, line: usize, what: u32) -> Vec<usize> {
    let problem = table.problem;
    let station = &problem.draft.stations[problem.lines[line].station];
    let parts = |operation: usize| {
        let part = problem.part_of[operation];
        (part != usize::MAX).then_some(part)
    };
    match station.kind {
        crate::problem::Kind::Oven { .. } => {
            let members = &table.loads[what as usize].members;
            members
                .iter()
                .filter_map(|at| parts(*at as usize))
                .collect()
        }
        _ => parts(what as usize).into_iter().collect(),
    }
}

/// The slot before an operation on its line, if it ends (with the set-up between) when the operation starts or if nothing
/// else held it: the parts in it.
pub(crate) fn blockers(table: &Table<'_>, operation: usize, count: usize) -> Vec<usize> {
    let Some(spot) = table.spots[operation] else {
        return Vec::new();
    };
    let line = spot.line as usize;
    let mut found = Vec::new();
    let mut before = spot.start;
    for _ in 0..count {
        let row = &table.rows[line];
        let Some(slot) = row.before(row.after(before - 1)) else {
            break;
        };
        found.extend(movable_parts(table, line, slot.what));
        before = slot.start;
    }
    found
}

/// Whether an operation starts right when what comes before it allows.
pub(crate) fn pushed_by(table: &Table<'_>, operation: usize) -> Option<usize> {
    let problem = table.problem;
    let start = table.spots[operation]?.start;
    problem.into[operation].iter().find_map(|link| {
        let link = &problem.draft.links[*link as usize];
        let from = table.spots[link.from]?;
        let at = match link.after {
            After::Finish { least } => from.finish + least,
            After::Start { least } => from.start + least,
            After::Lots { .. } => from.start,
        };
        (at == start).then_some(link.from)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::build::fit::Genes;
    use crate::build::in_order_of;
    use crate::calendar::Calendar;
    use crate::problem::{Draft, Job, Mode, Operation, Over, SetUps, Station};

    /// Three operations of 3 ticks in families 0, 2, 1. From 0 to 1 takes 100, but 1 to 2 and 1 from there.
    fn uneven() -> Problem {
        let mut station = Station::single(0);
        station.setups = SetUps {
            families: 3,
            ticks: vec![0, 100, 1, 100, 0, 1, 1, 1, 0],
            first: vec![0, 0, 0],
            pauses: true,
        };
        let operation = |family| {
            let mut mode = Mode::on(0, 3);
            mode.family = family;
            Operation {
                job: 0,
                release: 0,
                modes: vec![mode],
                size: 1,
                over: Over::Whole,
                frozen: None,
            }
        };
        let draft = Draft {
            horizon: 1000,
            jobs: vec![Job {
                release: 0,
                due: None,
                weight: 1,
            }],
            operations: [0, 2, 1].map(operation).to_vec(),
            stations: vec![station],
            calendars: vec![Calendar::always()],
            ..Draft::default()
        };
        Problem::new(draft).expect("sound")
    }

    #[test]
    fn what_would_lack_room_for_its_set_up_goes_too_and_all_comes_back() {
        let problem = uneven();
        let genes = Genes::free(3);
        let mut table = in_order_of(&problem, &[0, 1, 2], &genes, &mut 0);
        // 0-3, set-up 1, 4-7, set-up 1, 8-11.
        let starts = [0, 1, 2].map(|at| table.spots[at].map(|spot| spot.start));
        assert_eq!(starts, [Some(0), Some(4), Some(8)]);
        let before = (table.spots.clone(), table.score());
        let mut marks = Marks::new(problem.parts.len());
        let middle = problem.part_of[1];
        let removed = remove(&mut table, &mut marks, &[middle], 9).expect("few");
        let taken: Vec<usize> = removed.spots.iter().map(|(at, _)| *at).collect();
        assert_eq!(taken, [1, 2], "from family 0 to 1 there is no room for 100");
        restore(&mut table, &removed);
        assert_eq!((table.spots.clone(), table.score()), before);
        // The last one alone goes alone.
        let last = problem.part_of[2];
        let removed = remove(&mut table, &mut marks, &[last], 9).expect("few");
        assert_eq!(removed.spots.len(), 1);
    }
}
