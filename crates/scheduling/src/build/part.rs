//! Placing operations one after another, and together those between which a wait has a longest.
//!
//! A part (see `Problem::parts`) is placed forwards. Where the second of two comes later than the wait allows, what
//! was placed since the first is taken out, the first is held back to the last start that would keep
//! the wait, and the part goes on from there. Every repair holds something back further, and in free time everything
//! fits unless hours forbid it; after a number of repairs the wait is left broken, and the score says so.

use super::fit::Genes;
use super::run;
use super::table::{Spot, Table};
use crate::calendar::Tick;
use crate::problem::After;

/// Repairs for each operation of a part before a wait is given up.
const REPAIRS: usize = 40;

/// Repairs for each operation while only waits with a price are passed.
const SOFT_REPAIRS: usize = 6;

impl Table<'_> {
    /// Places a part as its genes say; what it waits for must lie. Counts placings into `steps`.
    pub(crate) fn place_part(&mut self, part: usize, genes: &Genes, steps: &mut u64) {
        let problem = self.problem;
        let members = &problem.parts[part];
        if let [operation] = members[..] {
            let spot = self.fit(operation, genes, self.ready(operation));
            self.put(operation, spot);
            *steps += 1;
            return;
        }
        let mut held: Vec<Tick> = members.iter().map(|at| genes.hold[*at]).collect();
        let (mut repairs, mut soft) = (REPAIRS * members.len(), SOFT_REPAIRS * members.len());
        let mut next = 0;
        while let Some(&operation) = members.get(next) {
            let from = self.ready(operation).max(held[next]);
            let spot = self.fit(operation, genes, from);
            *steps += 1;
            let late = self.held_up(operation, spot, &members[..next], repairs > 0, soft > 0);
            let Some((first, hold, hard)) = late else {
                self.put(operation, spot);
                next += 1;
                continue;
            };
            *(if hard { &mut repairs } else { &mut soft }) -= 1;
            for at in (first..next).rev() {
                self.take(members[at]);
            }
            held[first] = hold;
            next = first;
        }
    }

    /// The member that must start later so that an operation does not wait too long for this spot: its position, the
    /// tick to hold it back to, whether the wait is a hard one.
    fn held_up(
        &self,
        operation: usize,
        spot: Spot,
        placed: &[usize],
        hard_too: bool,
        soft_too: bool,
    ) -> Option<(usize, Tick, bool)> {
        let problem = self.problem;
        for &link in &problem.into[operation] {
            let link = &problem.draft.links[link as usize];
            let (Some(most), Some(from)) = (link.most, self.spots[link.from]) else {
                continue;
            };
            let hard = most.cost.is_none();
            if !(if hard { hard_too } else { soft_too }) {
                continue;
            }
            let since = match link.after {
                After::Start { .. } => from.start,
                After::Finish { .. } | After::Lots { .. } => from.finish,
            };
            let want = spot.start - most.ticks;
            if since >= want {
                continue;
            }
            let Some(first) = placed.iter().position(|at| *at == link.from) else {
                continue;
            };
            let way = problem.way(link.from, from.mode as usize);
            let start = match link.after {
                After::Start { .. } => want,
                After::Finish { .. } | After::Lots { .. } => {
                    run::start_for(problem, way, from.line as usize, want, from.ticks)
                }
            };
            return Some((first, start.max(from.start + 1), hard));
        }
        None
    }

    /// Places parts in this order, each after those of them that it waits for.
    pub(crate) fn place_all(&mut self, parts: &[usize], genes: &Genes, steps: &mut u64) {
        for &part in parts {
            self.place_after_its_parts(part, genes, steps);
        }
    }

    /// Places a part, and before it what it waits for and what is not placed yet.
    fn place_after_its_parts(&mut self, part: usize, genes: &Genes, steps: &mut u64) {
        let mut path = vec![part];
        while let Some(&part) = path.last() {
            if self.lies(part) {
                path.pop();
                continue;
            }
            let waits_for = self.unplaced_before(part);
            if waits_for.is_empty() {
                self.place_part(part, genes, steps);
                path.pop();
            } else {
                path.extend(waits_for);
            }
        }
    }

    /// Whether a part lies in the timetable.
    pub(crate) fn lies(&self, part: usize) -> bool {
        self.spots[self.problem.parts[part][0]].is_some()
    }

    /// The parts that a part waits for and that do not lie yet.
    pub(crate) fn unplaced_before(&self, part: usize) -> Vec<usize> {
        let problem = self.problem;
        let links = problem.parts[part].iter().flat_map(|at| &problem.into[*at]);
        links
            .map(|link| problem.draft.links[*link as usize].from)
            .filter(|from| self.spots[*from].is_none())
            .map(|from| problem.part_of[from])
            .filter(|other| *other != part)
            .collect()
    }
}
