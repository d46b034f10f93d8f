//! Boards that come one at a time: each is cut at once, for what is still needed.
//!
//! The rule: a part is worth its first price, raised or lowered by how far it lags behind the list or leads,
//! πᵢ = πᵢ⁰·exp(η·(p̄ − pᵢ)), where pᵢ is the share of its need that is made and p̄ the share of the whole list
//! (by first prices); nothing once it is done. These are multiplicative weights for covering all needs at the
//! same pace (Arora, Hazan & Kale 2012, section 3.3; dual mirror descent with an entropy, Balseiro, Lu & Mirrokni
//! 2020, with what is left per what is made as its target), with the board at the saw cut for the most value.
//! The first prices are areas, or what an earlier pack taught ([`super::pack::PackPlan::prices`]).

use effort::Effort;

use super::board::{Board, BoardFault, Part, Saw, check_parts, check_saw};
use super::pack::BoardCut;
use super::plan::{BoardPlan, value_of};
use super::whole::{Wish, best_plans};

/// How sharply prices follow a part that lags behind: η.
const SHARPNESS: f64 = 1.0;

/// A saw at work on a list: knows what is still needed and what a part is worth just now.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct LiveSaw {
    parts: Vec<Part>,
    saw: Saw,
    wish: Wish,
    left: Vec<u64>,
    first_prices: Vec<f64>,
    prices: Vec<f64>,
}

impl LiveSaw {
    /// A saw at the start of its list; every part has a need. A part's area is its first price.
    pub fn new(parts: &[Part], saw: &Saw, wish: &Wish) -> Result<Self, BoardFault> {
        check_parts(parts)?;
        check_saw(saw)?;
        if let Some(part) = parts.iter().position(|part| part.need.is_none()) {
            return Err(BoardFault::NoNeed(part));
        }
        let areas: Vec<f64> = parts.iter().map(Part::area).collect();
        Ok(Self {
            parts: parts.to_vec(),
            saw: *saw,
            wish: *wish,
            left: parts.iter().map(|part| part.need.unwrap_or(0)).collect(),
            prices: areas.clone(),
            first_prices: areas,
        })
    }

    /// The same saw with other first prices, one for each part; those that are not positive stay as they were.
    #[must_use]
    pub fn with_first_prices(mut self, prices: &[f64]) -> Self {
        for (first, &price) in self.first_prices.iter_mut().zip(prices) {
            if price.is_finite() && price > 0.0 {
                *first = price;
            }
        }
        self.reprice();
        self
    }

    /// Prices by the rule above.
    fn reprice(&mut self) {
        let need = |part: usize| self.parts[part].need.unwrap_or(0) as f64;
        let made = |part: usize| need(part) - self.left[part] as f64;
        let worth = |count: &dyn Fn(usize) -> f64| -> f64 {
            (0..self.parts.len())
                .map(|part| count(part) * self.first_prices[part])
                .sum()
        };
        let whole = worth(&need);
        let pace = if whole > 0.0 {
            worth(&made) / whole
        } else {
            1.0
        };
        let price = |part: usize| {
            if self.left[part] == 0 {
                return 0.0;
            }
            let lag = pace - made(part) / need(part);
            self.first_prices[part] * libm::exp(SHARPNESS * lag)
        };
        self.prices = (0..self.parts.len()).map(price).collect();
    }

    /// How many of each part are still needed.
    pub fn left(&self) -> &[u64] {
        &self.left
    }

    /// What a part is worth just now, in area of board; zero for one that is done.
    pub fn prices(&self) -> &[f64] {
        &self.prices
    }

    /// Whether nothing is needed any more.
    pub fn done(&self) -> bool {
        self.left.iter().all(|&n| n == 0)
    }

    /// Decides the cuts of the board at the saw, and counts its parts as made.
    pub fn cut(&mut self, board: &Board, effort: Effort<'_>) -> Result<BoardPlan, BoardFault> {
        let wanted: Vec<Part> = (0..self.parts.len())
            .map(|part| Part {
                need: Some(self.left[part]),
                value: self.prices[part],
                ..self.parts[part]
            })
            .collect();
        let mut plan = best_plans(board, &wanted, &self.saw, &self.wish, effort)?
            .plans
            .swap_remove(0);
        let counts = plan.counts(self.parts.len());
        for (left, count) in self.left.iter_mut().zip(&counts) {
            *left = left.saturating_sub(*count);
        }
        self.reprice();
        plan.value = value_of(&self.parts, &counts);
        Ok(plan)
    }
}

/// What a saw did with boards in the order they came, until the list was done.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct LiveRun {
    /// Boards cut, in the order they came.
    pub cuts: Vec<BoardCut>,
    /// How many of each part were cut.
    pub made: Vec<u64>,
    /// How many of each part are short after the last board.
    pub short: Vec<u64>,
    /// Area of the boards cut, in units².
    pub area: f64,
}

/// Cuts the boards in the order they come until the list is done or they run out.
pub fn run_live(
    boards: &[Board],
    parts: &[Part],
    saw: &Saw,
    wish: &Wish,
    effort: Effort<'_>,
) -> Result<LiveRun, BoardFault> {
    let mut live = LiveSaw::new(parts, saw, wish)?;
    let mut run = LiveRun {
        cuts: Vec::new(),
        made: vec![0; parts.len()],
        short: Vec::new(),
        area: 0.0,
    };
    for (number, board) in boards.iter().enumerate() {
        if live.done() {
            break;
        }
        let plan = live.cut(board, effort)?;
        for (total, count) in run.made.iter_mut().zip(plan.counts(parts.len())) {
            *total += count;
        }
        run.area += board.area();
        run.cuts.push(BoardCut {
            board: number,
            plan,
        });
    }
    run.short = live.left().to_vec();
    Ok(run)
}
