//! Bars, strip and reels: which lengths to cut from which stock (one-dimensional cutting stock).
//!
//! A piece of stock is a bar, or a reel or strip of which only some stretches are clear (splices and
//! faults lie between them). Parts are cut from the clear stretches with a kerf between neighbours.
//! [`plan`] looks for the cheapest plan that meets the needs and proves how good it is; [`check`] holds a
//! plan against the problem alone.
//!
//! # Lengths
//! All lengths are whole numbers of one small unit. On a clear stretch of length `l` (after the trim at the
//! ends of the stock), n parts fit if the sum of their lengths and n - 1 kerfs is at most `l`. What is left
//! is `l` less the parts and n kerfs (the last cut frees it), or nothing if that is below nothing. A gap that
//! must stay between parts (on tape, say) enters as kerf. A trim counts with its own cut.
//!
//! # Method
//! Patterns are made as they are needed (Gilmore & Gomory 1961): `master` solves the linear programme, `pricing` finds new
//! patterns by a bounded knapsack, all in whole numbers so that the bound holds exactly (Farley 1990; Held,
//! Cook & Sewell 2012). `greedy` and `dive` look for whole-number plans. What is left open is closed by
//! `exact`: all patterns that a better plan could use are listed by their reduced cost (Baldacci,
//! Christofides & Mingozzi 2008), and a branch-and-bound over the list, with subset-row
//! cuts (Jepsen et al. 2008) and branching on pairs (Ryan & Foster 1981), finds one or proves that there is none.

mod answer;
mod check;
mod core;
mod dive;
mod exact;
mod few;
mod greedy;
mod master;
mod pricing;
mod solve;

use effort::Effort;
use thiserror::Error;

pub use check::{Fault, check};

/// What is to be cut from what.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Problem {
    /// The kinds of stock.
    pub stocks: Vec<Stock>,
    /// The parts wanted.
    pub parts: Vec<Part>,
    /// What the saw takes.
    pub saw: Saw,
    /// What becomes of long rests; none: every rest is waste.
    pub leftovers: Option<Leftovers>,
    /// At most so many different patterns, if limited. Such a plan is sought, seldom proved; when none is
    /// found, the plan has more and says so.
    pub most_patterns: Option<u64>,
    /// At most so many parts on one clear stretch (knives of a slitter), if limited.
    pub most_pieces: Option<u64>,
}

/// One kind of stock, or one measured reel (then one is available).
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Stock {
    /// Clear stretches in order; a plain bar has one. Length units.
    pub stretches: Vec<u64>,
    /// Cost of one piece, money units.
    pub cost: u64,
    /// Pieces that may be used, if limited.
    pub available: Option<u64>,
}

impl Stock {
    /// A plain bar, as many as wanted.
    pub fn bar(length: u64, cost: u64) -> Self {
        Self {
            stretches: vec![length],
            cost,
            available: None,
        }
    }
}

/// A part to be cut.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Part {
    /// Length, length units.
    pub length: u64,
    /// Pieces wanted.
    pub need: u64,
    /// Pieces that may be made at most; none: not one more than needed. More than needed is only made
    /// where patterns are limited.
    pub at_most: Option<u64>,
}

impl Part {
    /// So many of one length, none over.
    pub fn new(length: u64, need: u64) -> Self {
        Self {
            length,
            need,
            at_most: None,
        }
    }
}

/// What the saw takes, length units.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Saw {
    /// Lost between two parts, and between a part and what is left.
    pub kerf: u64,
    /// Lost at the start of the first stretch of a piece of stock.
    pub head_trim: u64,
    /// Lost at the end of the last stretch of a piece of stock.
    pub tail_trim: u64,
}

/// Rests that are kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Leftovers {
    /// A rest of this length or more is kept, length units.
    pub at_least: u64,
    /// A kept rest of length r is worth `r * worth / per`, rounded down, money units. Nought: kept, not valued.
    pub worth: u64,
    /// The length that `worth` is for, length units.
    pub per: u64,
}

impl Leftovers {
    /// Worth of one rest, money units.
    pub fn value(self, rest: u64) -> u64 {
        if rest < self.at_least.max(1) {
            return 0;
        }
        let value = u128::from(rest) * u128::from(self.worth) / u128::from(self.per.max(1));
        u64::try_from(value).unwrap_or(u64::MAX)
    }
}

/// Why a problem is refused.
#[derive(Clone, Debug, PartialEq, Eq, Error, serde::Serialize)]
pub enum Unfit {
    /// A part of no length.
    #[error("part {part} has no length")]
    PartWithoutLength {
        /// Index of the part.
        part: usize,
    },
    /// A limit below the need.
    #[error("part {part}: at most {at_most} against a need of {need}")]
    LimitBelowNeed {
        /// Index of the part.
        part: usize,
        /// The limit.
        at_most: u64,
        /// The need.
        need: u64,
    },
    /// The rests of an uncut piece would be worth more than the piece: buying would pay without cutting.
    #[error("stock {stock} costs {cost} and would be worth {worth} as a left-over")]
    LeftoverAboveCost {
        /// Index of the stock.
        stock: usize,
        /// Its cost.
        cost: u64,
        /// What its stretches are worth uncut.
        worth: u64,
    },
    /// A number so large that sums could run over.
    #[error("{what} of {amount} is more than {most}")]
    TooLarge {
        /// What is too large.
        what: &'static str,
        /// How large it is.
        amount: u64,
        /// How large it may be.
        most: u64,
    },
}

/// A cutting plan and what is known about it.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Plan {
    /// What is cut, and how often.
    pub patterns: Vec<Pattern>,
    /// Stock cost less the worth of left-overs kept, money units.
    pub cost: u64,
    /// No plan that makes the same number of each part costs less, money units.
    pub bound: u64,
    /// Whether `cost` and `missing_length` are proved least (cost for the parts that are made).
    pub proved: bool,
    /// Value of the linear programme over all patterns, as good as it is known, money units.
    pub linear_bound: f64,
    /// Whether the least cost is the linear bound rounded up.
    pub round_up: RoundUp,
    /// Pieces used of each kind of stock.
    pub used: Vec<u64>,
    /// Rests that are kept.
    pub leftovers: Vec<Leftover>,
    /// Length of the stock used that becomes neither part nor left-over (kerf and trims too), length units.
    pub waste: u64,
    /// Parts that are not all made; empty when all needs are met.
    pub short: Vec<Short>,
    /// Length of all missing parts, length units.
    pub missing_length: u64,
    /// No plan misses less than this, length units.
    pub missing_bound: u64,
    /// Whether the limit on patterns was kept; true when there is none.
    pub patterns_kept: bool,
    /// Whether the search was ended by its limit or from outside before it was done.
    pub stopped: bool,
}

/// The integer round-up property of the problem (Baum & Trotter 1981).
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub enum RoundUp {
    /// The least cost is the linear bound, rounded up.
    Met,
    /// It is proved to be more.
    Missed,
    /// Not known.
    Open,
}

/// One way to cut a piece of stock.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Pattern {
    /// Index of the kind of stock.
    pub stock: usize,
    /// Pieces of stock that are cut so.
    pub count: u64,
    /// What is cut from each stretch, in the order of the stock's stretches.
    pub cuts: Vec<Cut>,
}

/// What is cut from one clear stretch.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Cut {
    /// Index of the part and how many, longest first.
    pub parts: Vec<(usize, u64)>,
    /// What is left at the end, length units.
    pub rest: u64,
}

/// Rests that are kept.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Leftover {
    /// Index of the kind of stock they are left of.
    pub stock: usize,
    /// Their length, length units.
    pub length: u64,
    /// How many.
    pub count: u64,
}

/// A part of which not all are made.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Short {
    /// Index of the part.
    pub part: usize,
    /// Pieces missing.
    pub missing: u64,
    /// Whether it is longer than any clear stretch.
    pub too_long: bool,
}

/// The cheapest plan found for the problem, with its proof as far as it goes.
///
/// A step of `effort` is a pivot of a linear programme, or some hundred cells or nodes of a search for patterns.
pub fn plan(problem: &Problem, effort: Effort<'_>) -> Result<Plan, Unfit> {
    core::refuse(problem)?;
    Ok(solve::plan(problem, effort))
}
