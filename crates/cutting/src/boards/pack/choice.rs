//! Picks boards and plans from those met while the prices were climbed: at most one plan a board.
//!
//! Simulated annealing (Kirkpatrick et al. 1983) on area opened plus what is short at somewhat more than the
//! prices of the bound: near the bound both balance, so a shortage may come and go while boards are exchanged.
//! What is still short at the end is made from boards cut for just that.

use chance::Stream;
use effort::Meter;

use super::opening::Opening;
use super::prices::{Climb, Column, Yard};

/// Annealings, and moves of each per board of the pack.
const RUNS: u64 = 12;
const MOVES: u64 = 30_000;
/// Moves that count as one step.
const MOVES_A_STEP: u64 = 64;
/// Plans of a board to choose from, at most, from one annealing to the next.
const PLANS: [usize; 3] = [5, 8, 12];
/// A shortage costs this much more than its price.
const SHORT_COSTS: f64 = 1.2;
/// Temperatures at start and end, in mean areas of a board.
const HOT: f64 = 0.03;
const COLD: f64 = 0.003;

/// The best opening found, `first` included.
pub(super) fn choose(
    yard: &Yard<'_>,
    climb: &Climb<'_>,
    first: Opening,
    meter: &mut Meter<'_>,
) -> Opening {
    let mut best = first;
    let again = Opening::greedy(yard, &climb.best, meter);
    if again.area_if_met(yard) < best.area_if_met(yard) || !best.met(yard) {
        best = again;
    }
    for run in 0..RUNS {
        let known = best.area_if_met(yard) <= climb.best.bound * (1.0 + 1e-9);
        if meter.over() || known || !best.met(yard) {
            break;
        }
        let mut choice = Choice::new(yard, climb, PLANS[run as usize % PLANS.len()]);
        if choice.usable.is_empty() {
            break;
        }
        choice.anneal(&mut Stream::new(run, "boards opened"), meter);
        for plan in [&choice.best.1, &choice.best_met.1] {
            if plan.is_empty() {
                continue;
            }
            let found = choice.opening(plan, climb, meter);
            if found.area_if_met(yard) < best.area_if_met(yard) {
                best = found;
            }
        }
    }
    best
}

/// The plans of a board worth most at the prices of the bound, best first.
fn best_few<'a>(columns: &'a [Column], prices: &[f64], most: usize) -> Vec<&'a Column> {
    let worth = |column: &Column| -> f64 {
        let counts = column.counts.iter().zip(prices);
        counts.map(|(&count, price)| f64::from(count) * price).sum()
    };
    let mut best: Vec<(f64, &Column)> = columns
        .iter()
        .map(|column| (worth(column), column))
        .collect();
    best.sort_by(|a, b| b.0.total_cmp(&a.0));
    best.truncate(most);
    best.into_iter().map(|(_, column)| column).collect()
}

/// Which plan each board has, if it is opened, and what that makes and costs.
struct Choice<'a> {
    yard: &'a Yard<'a>,
    columns: Vec<Vec<&'a Column>>,
    /// Boards that have plans to choose from.
    usable: Vec<usize>,
    plan: Vec<Option<usize>>,
    short: Vec<i64>,
    costs: Vec<f64>,
    cost: f64,
    /// The choice of least cost, and that of least area with nothing short.
    best: (f64, Vec<Option<usize>>),
    best_met: (f64, Vec<Option<usize>>),
}

/// A change: this board gets this plan, or none.
type Change = (usize, Option<usize>);

impl<'a> Choice<'a> {
    /// Starts from the boards that are worth opening, each with its plan at the prices of the bound.
    fn new(yard: &'a Yard<'a>, climb: &'a Climb<'a>, most: usize) -> Self {
        let parts = yard.pack.parts.iter().zip(&climb.best.prices);
        let columns: Vec<Vec<&Column>> = climb
            .columns
            .iter()
            .map(|of| best_few(of, &climb.best.prices, most))
            .collect();
        let boards = columns.len();
        let mut choice = Self {
            yard,
            usable: (0..boards)
                .filter(|&board| !columns[board].is_empty())
                .collect(),
            columns,
            plan: vec![None; boards],
            // Half the range leaves room for what boards make beyond.
            short: yard
                .needs
                .iter()
                .map(|&need| need.min(1 << 62) as i64)
                .collect(),
            // A part without a price is in surplus at the bound, but must not be forgotten.
            costs: parts
                .map(|(part, price)| SHORT_COSTS * price.max(0.2 * part.area()))
                .collect(),
            cost: 0.0,
            best: (f64::INFINITY, Vec::new()),
            best_met: (f64::INFINITY, Vec::new()),
        };
        for board in 0..boards {
            if climb.best.worth[board] > yard.areas[board] {
                choice.put((board, Some(0)));
            }
        }
        choice.cost = choice.counted();
        choice
    }

    /// Cost from scratch.
    fn counted(&self) -> f64 {
        let opened = self
            .plan
            .iter()
            .zip(&self.yard.areas)
            .filter(|(plan, _)| plan.is_some());
        let area: f64 = opened.map(|(_, area)| area).sum();
        let short = self.short.iter().zip(&self.costs);
        area + short
            .map(|(&short, cost)| short.max(0) as f64 * cost)
            .sum::<f64>()
    }

    fn put(&mut self, (board, plan): Change) {
        let columns = &self.columns[board];
        if let Some(old) = self.plan[board] {
            for (short, &count) in self.short.iter_mut().zip(&columns[old].counts) {
                *short += i64::from(count);
            }
        }
        if let Some(new) = plan {
            for (short, &count) in self.short.iter_mut().zip(&columns[new].counts) {
                *short -= i64::from(count);
            }
        }
        self.plan[board] = plan;
    }

    /// What the changes add to the cost; they are made.
    fn make(&mut self, changes: &[Change]) -> f64 {
        let area = |plan: Option<usize>, board: usize| plan.map_or(0.0, |_| self.yard.areas[board]);
        let more: f64 = changes
            .iter()
            .map(|&(board, plan)| area(plan, board) - area(self.plan[board], board))
            .sum();
        let before = self.shortage();
        for &change in changes {
            self.put(change);
        }
        more + self.shortage() - before
    }

    fn shortage(&self) -> f64 {
        let short = self.short.iter().zip(&self.costs);
        short.map(|(&short, cost)| short.max(0) as f64 * cost).sum()
    }

    fn anneal(&mut self, stream: &mut Stream, meter: &mut Meter<'_>) {
        let mean = self.yard.area() / self.yard.areas.len() as f64;
        let moves = MOVES * self.usable.len() as u64;
        let cooling = libm::pow(COLD / HOT, 1.0 / moves as f64);
        let mut temperature = HOT * mean;
        for number in 0..moves {
            if number % MOVES_A_STEP == 0 && !meter.spend(1) {
                return;
            }
            temperature *= cooling;
            let (changes, count) = self.some_change(stream);
            let back = changes.map(|(board, _)| (board, self.plan[board]));
            let more = self.make(&changes[..count]);
            if more <= 0.0 || stream.uniform() < libm::exp(-more / temperature) {
                self.cost += more;
                self.remember();
            } else {
                for &change in &back[..count] {
                    self.put(change);
                }
            }
        }
    }

    fn remember(&mut self) {
        if self.cost < self.best.0 * (1.0 - 1e-12) {
            self.best = (self.cost, self.plan.clone());
        }
        let better = self.cost < self.best_met.0 * (1.0 - 1e-12);
        if better && self.short.iter().all(|&short| short <= 0) {
            self.best_met = (self.cost, self.plan.clone());
        }
    }

    /// Another plan for an opened board, two boards exchanged, or one opened or closed; and how many changes
    /// that is.
    fn some_change(&self, stream: &mut Stream) -> ([Change; 2], usize) {
        let board = self.some_board(stream);
        let opened = self.plan[board].is_some();
        let kind = stream.index(8);
        let first = if opened && kind >= 4 {
            None
        } else {
            Some(self.some_plan(board, stream))
        };
        let other = self.some_board(stream);
        let exchanges = kind >= 5 && other != board && self.plan[other].is_some() != opened;
        let second = if opened {
            Some(self.some_plan(other, stream))
        } else {
            None
        };
        (
            [(board, first), (other, second)],
            1 + usize::from(exchanges),
        )
    }

    fn some_board(&self, stream: &mut Stream) -> usize {
        self.usable[stream.index(self.usable.len() as u64) as usize]
    }

    fn some_plan(&self, board: usize, stream: &mut Stream) -> usize {
        stream.index(self.columns[board].len() as u64) as usize
    }

    /// A choice as an opening, completed if something is short.
    fn opening(&self, plan: &[Option<usize>], climb: &Climb<'_>, meter: &mut Meter<'_>) -> Opening {
        let mut opening = Opening::none(self.yard);
        for (board, plan) in plan.iter().enumerate() {
            let Some(column) = plan.map(|plan| &self.columns[board][plan]) else {
                continue;
            };
            let shapes = self.yard.priced(&climb.seen[column.seen]);
            if let Some(plan) = self.yard.cut(board, &shapes) {
                opening.open(board, plan);
            }
        }
        opening.complete(self.yard, &climb.best, meter);
        opening
    }
}
