//! The best cuts of one whole board: ripped first, crosscut first, or whichever is better.
//!
//! Without needs the best two-stage plan is exact. With needs (at most so many of a part) the parts beyond are
//! priced down: a part i costs a price μᵢ, and best(v − μ) + Σ μᵢ·needᵢ is at least what any plan within the
//! needs is worth (Lagrangian relaxation; Everett 1963). Prices follow the subgradient count − need; each plan on
//! the way, parts beyond their need left out, is a candidate.

use effort::Effort;

use super::board::{Board, BoardFault, Part, Saw, check_question};
use super::bound::upper_bound;
use super::ground::shapes;
use super::plan::{BoardPlan, value_of};
use super::views::Views;

/// Which orders of cutting to try.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub enum Orders {
    /// Only crosscuts over the full usable width; parts no wider than that are cut at that width.
    Crosscut,
    /// Only rip first.
    RipFirst,
    /// Only crosscut first.
    CrosscutFirst,
    /// Rip first and crosscut first, and the better is taken.
    Either,
}

/// How a board is to be cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Wish {
    /// Orders to try.
    pub orders: Orders,
    /// Whether a third cut may win smaller parts where no full one fits (not for crosscuts only).
    pub salvage: bool,
    /// How many alternatives, which differ in their first cuts (for crosscuts only, there is one).
    pub keep: usize,
}

impl Default for Wish {
    fn default() -> Self {
        Self {
            orders: Orders::Either,
            salvage: false,
            keep: 1,
        }
    }
}

/// Ranked plans of one board, and what no plan within the wish can exceed.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Answer {
    /// Best first; at least one, if only an empty one.
    pub plans: Vec<BoardPlan>,
    /// No plan within the wish is worth more.
    pub bound: f64,
    /// Whether the first plan is worth the bound.
    pub proved: bool,
}

/// Rounds in which prices are set for one board; with salvage, which costs a thousandfold, fewer.
const ROUNDS: usize = 60;
const SALVAGE_ROUNDS: usize = 6;

/// The best plans of one board.
///
/// A step is the board solved once; without needs there is one step.
pub fn best_plans(
    board: &Board,
    parts: &[Part],
    saw: &Saw,
    wish: &Wish,
    effort: Effort<'_>,
) -> Result<Answer, BoardFault> {
    check_question(0, board, parts, saw)?;
    let views = Views::new(board, saw);
    let rounds = if wish.salvage { SALVAGE_ROUNDS } else { ROUNDS };
    let mut answer = within_needs(&views, parts, wish, rounds, effort);
    if wish.salvage {
        // Third cuts only add to two stages, so the bound is that of any cutting.
        answer.bound = upper_bound(board, parts, saw)?;
        answer.proved = reaches(answer.plans[0].value, answer.bound);
    }
    Ok(answer)
}

/// Whether a value is the bound, up to the rounding of sums.
pub(crate) fn reaches(value: f64, bound: f64) -> bool {
    value >= bound - 1e-9 * bound.abs()
}

/// The best plans found within the needs, in so many rounds of prices. Bound and proof are those of two stages.
pub(crate) fn within_needs(
    views: &Views,
    parts: &[Part],
    wish: &Wish,
    rounds: usize,
    effort: Effort<'_>,
) -> Answer {
    let mut meter = effort.meter();
    let mut search = Search::new(parts, wish.keep);
    let mut shapes = shapes(parts);
    for round in 0..rounds {
        if !meter.spend(1) && round > 0 {
            break;
        }
        for shape in &mut shapes {
            shape.value = (parts[shape.part].value - search.prices[shape.part]).max(0.0);
        }
        let found = views.best(&shapes, wish);
        if search.learn(found, round) {
            break;
        }
    }
    search.answer(wish)
}

/// The search for prices of one board.
struct Search<'a> {
    parts: &'a [Part],
    keep: usize,
    prices: Vec<f64>,
    plans: Vec<BoardPlan>,
    bound: f64,
}

impl<'a> Search<'a> {
    fn new(parts: &'a [Part], keep: usize) -> Self {
        Self {
            parts,
            keep: keep.max(1),
            prices: vec![0.0; parts.len()],
            plans: Vec::new(),
            bound: f64::INFINITY,
        }
    }

    /// Takes the plans of the present prices in; true if nothing better can come.
    fn learn(&mut self, found: Vec<BoardPlan>, round: usize) -> bool {
        let counts = found
            .first()
            .map_or_else(Vec::new, |plan| plan.counts(self.parts.len()));
        let priced: f64 = found.first().map_or(0.0, |plan| plan.value);
        let needs = self.parts.iter().zip(&self.prices);
        let held: f64 = needs
            .map(|(part, price)| price * part.need.unwrap_or(0) as f64)
            .sum();
        self.bound = self.bound.min(priced + held);
        for plan in found {
            self.keep_plan(plan);
        }
        let best = self.plans.first().map_or(0.0, |plan| plan.value);
        reaches(best, self.bound) || self.reprice(&counts, priced + held - best, round)
    }

    fn keep_plan(&mut self, mut plan: BoardPlan) {
        plan.leave_out_beyond(self.parts);
        plan.value = value_of(self.parts, &plan.counts(self.parts.len()));
        let alike = |other: &BoardPlan| {
            other.order == plan.order && other.first_widths() == plan.first_widths()
        };
        match self.plans.iter().position(alike) {
            Some(at) if self.plans[at].value >= plan.value => return,
            Some(at) => {
                self.plans.remove(at);
            }
            None => {}
        }
        let at = self
            .plans
            .partition_point(|other| other.value >= plan.value);
        self.plans.insert(at, plan);
        self.plans.truncate(self.keep);
    }

    /// A step along count − need (Polyak 1969, with a step that shrinks); true if no part is beyond its need.
    fn reprice(&mut self, counts: &[u64], gap: f64, round: usize) -> bool {
        let slope = |(part, &count): (&Part, &u64)| {
            part.need.map_or(0.0, |need| count as f64 - need as f64)
        };
        let slopes: Vec<f64> = self.parts.iter().zip(counts).map(slope).collect();
        let moves = |(slope, price): (&f64, &f64)| {
            if *slope > 0.0 || *price > 0.0 {
                slope * slope
            } else {
                0.0
            }
        };
        let square: f64 = slopes.iter().zip(&self.prices).map(moves).sum();
        if square == 0.0 {
            return true;
        }
        let step = gap / square / (1.0 + round as f64 / 10.0);
        for (part, slope) in slopes.iter().enumerate() {
            self.prices[part] =
                (self.prices[part] + step * slope).clamp(0.0, self.parts[part].value);
        }
        false
    }

    fn answer(mut self, wish: &Wish) -> Answer {
        if self.plans.is_empty() {
            self.plans.push(BoardPlan::empty(wish.orders.first()));
        }
        Answer {
            proved: reaches(self.plans[0].value, self.bound),
            plans: self.plans,
            bound: self.bound,
        }
    }
}
