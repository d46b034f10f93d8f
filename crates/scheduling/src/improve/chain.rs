//! One chain of the search: parts of the schedule are taken out and put back in another order, again and again.
//!
//! A step stands if the schedule is no worse than the present one, or worse than the best by no more than a slack
//! (record-to-record travel, Dueck 1993). Objectives come in order of importance, so the slack is on the first that is not at
//! nothing, and those before it may not get worse.

use chance::Stream;
use effort::Meter;

use super::arms::Arms;
use super::choose::{ORDERS, WAYS, choose, keys, mutate};
use super::remove::{Marks, Removed, remove, restore};
use crate::build::count::Score;
use crate::build::fit::Genes;
use crate::build::table::{Spot, Table};
use crate::calendar::Tick;

/// Most operations that one step takes out of a large schedule.
const MOST_TAKEN: usize = 400;

/// Up to so many operations, a step may take everything out.
const SMALL: usize = 1500;

/// Parts that a step takes out, at most, by class.
const SIZES: [u64; 3] = [4, 10, 24];

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
    stream: Stream,
    marks: Marks,
    arms: Arms,
    orders: Arms,
    slack: f64,
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
            stream,
            marks,
            arms: Arms::new(WAYS * SIZES.len()),
            orders: Arms::new(ORDERS * 2),
            slack: 0.0,
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

    /// Searches from its best until the meter is over; a step may be worse than the best by this share.
    pub(super) fn run(&mut self, slack: f64, meter: &mut Meter<'_>) {
        self.slack = slack;
        if self.score > self.best.score {
            let best = self.best().clone();
            self.adopt(&best);
        }
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
        let arm = self.arms.draw(&mut self.stream, 0..WAYS * SIZES.len());
        let (way, class) = (arm % WAYS, arm / WAYS);
        let size = 2 + self.stream.index(SIZES[class]) as usize;
        let choice = choose(&self.table, &mut self.stream, way, size);
        let most = if problem.len() <= SMALL {
            usize::MAX
        } else {
            MOST_TAKEN
        };
        let removed = remove(&mut self.table, &mut self.marks, &choice.seeds, most);
        let Some(removed) = removed else {
            self.arms.learn(arm, 0.0, MOST_TAKEN as f64);
            return MOST_TAKEN as u64 / 8;
        };
        let mut steps = removed.spots.len() as u64 / 2;
        let whole = usize::from(removed.spots.len() * 2 > problem.len());
        let kind = self
            .orders
            .draw(&mut self.stream, whole * ORDERS..(whole + 1) * ORDERS);
        let old = self.put_back(&removed, choice.first, kind % ORDERS, &mut steps);
        let score = self.table.score();
        let gain = f64::from(u8::from(score < self.score))
            + 2.0 * f64::from(u8::from(score < self.best.score));
        self.arms.learn(arm, gain, steps as f64);
        self.orders.learn(kind, gain, 1.0);
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

    /// Puts what was taken out back, with changed genes and in a changed order; returns the old genes.
    fn put_back(
        &mut self,
        removed: &Removed,
        first: Option<usize>,
        kind: usize,
        steps: &mut u64,
    ) -> Vec<(usize, Tick, u32)> {
        let problem = self.table.problem;
        let old = mutate(
            &self.table,
            &mut self.genes,
            &removed.spots,
            &mut self.stream,
        );
        let keys = keys(
            problem,
            &removed.spots,
            &removed.parts,
            first,
            kind,
            &mut self.stream,
        );
        let mut order: Vec<(Tick, usize)> = keys.into_iter().zip(removed.parts.clone()).collect();
        order.sort_unstable();
        let order: Vec<usize> = order.into_iter().map(|(_, part)| part).collect();
        self.table.place_all(&order, &self.genes, steps);
        old
    }

    /// Whether a score is worse than the best by no more than the slack allows, in the first objective that is not at nothing.
    fn near_best(&self, score: &Score) -> bool {
        let best = &self.best.score;
        let Some(first) = best.iter().position(|value| *value != 0) else {
            return false;
        };
        let allowed = best[first] + (self.slack * best[first].abs() as f64) as i64;
        score[..first] == best[..first] && score[first] <= allowed
    }

    /// Whether a step to this score stands. If the best is left by it, the best is noted: what lies now, but for what
    /// was taken out.
    fn accept(
        &mut self,
        score: Score,
        taken: &[(usize, Spot)],
        old: &[(usize, Tick, u32)],
    ) -> bool {
        let stands = score <= self.score || self.near_best(&score);
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
