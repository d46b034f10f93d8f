//! One chain of the search: parts of the schedule are taken out and put back in another order, again and again.
//!
//! Acceptance is late acceptance (Burke & Bykov 2017): a step is taken if the schedule is no worse than the present
//! one or than the one some steps ago. It needs an order only, no scale, and so works for objectives
//! in order of importance.

use chance::Stream;
use effort::Meter;

use super::choose::{choose, keys, mutate};
use super::remove::{Marks, remove, restore};
use crate::build::fit::Genes;
use crate::build::table::{Score, Spot, Table};
use crate::calendar::Tick;

/// How many steps back a step is compared with.
const MEMORY: usize = 60;

/// Most operations that one step takes out of a large schedule.
const MOST_TAKEN: usize = 400;

/// Up to so many operations, a step now and then takes everything out.
const SMALL: usize = 1500;

/// The best schedule that a chain has seen.
#[derive(Clone)]
pub(super) struct Best {
    pub(super) score: Score,
    pub(super) spots: Vec<Option<Spot>>,
    pub(super) genes: Genes,
}

/// A chain.
pub(super) struct Chain<'p> {
    table: Table<'p>,
    genes: Genes,
    score: Score,
    best: Best,
    /// Whether the present schedule is the best and not yet noted.
    unsaved: bool,
    memory: Vec<Score>,
    step: usize,
    stream: Stream,
    marks: Marks,
}

impl<'p> Chain<'p> {
    pub(super) fn new(mut table: Table<'p>, genes: Genes, stream: Stream) -> Self {
        let score = table.score();
        let best = Best {
            score,
            spots: table.spots.clone(),
            genes: genes.clone(),
        };
        let marks = Marks::new(table.problem.parts.len());
        Self {
            table,
            genes,
            score,
            best,
            unsaved: false,
            memory: vec![score; MEMORY],
            step: 0,
            stream,
            marks,
        }
    }

    /// The best so far.
    pub(super) fn best(&mut self) -> &Best {
        self.save();
        &self.best
    }

    /// Goes on from a schedule found elsewhere.
    pub(super) fn adopt(&mut self, other: &Best) {
        self.save();
        load(&mut self.table, &other.spots);
        self.genes = other.genes.clone();
        self.score = self.table.score();
        debug_assert_eq!(self.score, other.score);
        self.memory.fill(self.score);
        if self.score < self.best.score {
            self.unsaved = true;
            self.best.score = self.score;
        }
    }

    fn save(&mut self) {
        if std::mem::take(&mut self.unsaved) {
            self.best.spots.clone_from(&self.table.spots);
            self.best.genes = self.genes.clone();
        }
    }

    /// Searches until the meter is over.
    pub(super) fn run(&mut self, meter: &mut Meter<'_>) {
        if self.table.problem.parts.is_empty() {
            return;
        }
        let mut spent = 1;
        while meter.spend(spent) {
            spent = 1 + self.one_step();
        }
    }

    /// One step; returns how many operations were placed.
    fn one_step(&mut self) -> u64 {
        let problem = self.table.problem;
        let small = problem.len() <= SMALL;
        let everything = small && self.stream.index(problem.len() as u64 + 8) < 4;
        let (seeds, first, most) = if everything {
            ((0..problem.parts.len()).collect(), None, usize::MAX)
        } else {
            let size = 2 + self.stream.index(if small { 16 } else { 24 }) as usize;
            let choice = choose(&self.table, &mut self.stream, size);
            (choice.seeds, choice.first, MOST_TAKEN.max(problem.len() / 20))
        };
        let Some(removed) = remove(&mut self.table, &mut self.marks, &seeds, most) else {
            return 8;
        };
        let old = mutate(&self.table, &mut self.genes, &removed.spots, &mut self.stream);
        let keys = keys(problem, &removed.spots, &removed.parts, first, &mut self.stream);
        let mut order: Vec<(i64, usize)> = keys.into_iter().zip(removed.parts.clone()).collect();
        order.sort_unstable();
        let order: Vec<usize> = order.into_iter().map(|(_, part)| part).collect();
        let mut steps = removed.spots.len() as u64 / 2;
        self.table.place_all(&order, &self.genes, &mut steps);
        let score = self.table.score();
        if self.accept(score, &removed.spots, &old) {
            return steps;
        }
        for (operation, _) in &removed.spots {
            self.table.take(*operation);
        }
        restore(&mut self.table, &removed);
        self.table.score();
        for (operation, hold, only) in old {
            self.genes.hold[operation] = hold;
            self.genes.only[operation] = only;
        }
        steps
    }

    /// Whether a step to this score stands. If the best is left by it, the best is noted: what lies now, but for what
    /// was taken out.
    fn accept(&mut self, score: Score, taken: &[(usize, Spot)], old: &[(usize, Tick, u32)]) -> bool {
        let slot = self.step % self.memory.len();
        self.step += 1;
        let stands = score <= self.score || score <= self.memory[slot];
        if stands {
            self.score = score;
            if score < self.best.score {
                self.best.score = score;
                self.unsaved = true;
            } else if self.unsaved {
                self.save();
                for (operation, spot) in taken {
                    self.best.spots[*operation] = Some(*spot);
                }
                for (operation, hold, only) in old {
                    self.best.genes.hold[*operation] = *hold;
                    self.best.genes.only[*operation] = *only;
                }
            }
        }
        self.memory[slot] = self.memory[slot].min(self.score);
        stands
    }
}

/// Makes a timetable hold just these spots.
pub(super) fn load(table: &mut Table<'_>, spots: &[Option<Spot>]) {
    let mut fresh = Table::new(table.problem);
    for &operation in &table.problem.order {
        if let (Some(spot), None) = (spots[operation], fresh.spots[operation]) {
            fresh.put(operation, spot);
        }
    }
    *table = fresh;
}
