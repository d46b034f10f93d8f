//! How much to start so that an order is filled with a stated certainty.
//!
//! A route is a chain of steps, each of which loses pieces, keeps a share of a mass or length,
//! or turns one unit into a varying number of others. Two kinds of chance act in it: *within* a
//! lot every piece stands alone, and its effect shrinks with the size of the order; *between*
//! lots a whole lot is better or worse together, and that does not shrink however much is
//! started. Dividing the demand by the mean yield fills the order about half the time.
//!
//! | chain | method |
//! | --- | --- |
//! | pieces, lots alike | binomial with the product of the chances, exact |
//! | one step of pieces, one lot, lots differ | beta-binomial (Skellam 1948), exact |
//! | one measured yield, one lot, lots differ | the lots' own distribution, exact |
//! | nothing varies | division |
//! | one step that gives numbers, or several with lots alike | normal, n·μ − z·√(nσ² + n²τ²) ≥ D |
//! | the rest, one lot | the exact or normal answer for known lots, integrated over how lots differ |
//! | the rest, several lots | the same, lots added by their characteristic function |
//! | lots too rough for that | the answer for known lots, averaged over drawn lots |
//!
//! Mean and variance go down a chain by the recursion of branching processes,
//! `Var' = E·v + Var·m²`, `E' = E·m` (Harris 1963, *The Theory of Branching Processes*, ch. I;
//! Athreya & Ney 1972, ch. I; from memory). Averaging the conditional chance instead of counting
//! hits (Rao–Blackwell) makes the odds smooth in the quantity.

mod draws;
mod gauss;
mod grid;
mod inversion;
mod law;
mod lots;
mod mixture;
mod search;
mod shares;
mod table;

use law::Law;
use serde::{Deserialize, Serialize};

/// The largest quantity looked at.
pub const MOST: f64 = 1e9;

/// One step of the chain, in the order the material meets them.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Step {
    /// What the step does to what enters it.
    pub kind: StepKind,
}

/// What a step does. Shares are fractions of one; `lots_sd` is the standard deviation, between
/// lots, of the lot's own mean (0: lots alike).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum StepKind {
    /// Each piece passes on its own with the lot's chance; the chances of lots are Beta.
    Pieces {
        /// Mean chance to pass, above 0 and up to 1.
        good: f64,
        /// Lot-to-lot sd of that chance.
        lots_sd: f64,
    },
    /// A mass or length of which each lot keeps its own share, without noise inside the lot.
    /// Lots are Beta up to a mean of 1 and normal above it (salt or glaze picked up).
    Measure {
        /// Mean share kept, above 0.
        keeps: f64,
        /// Lot-to-lot sd of that share.
        lots_sd: f64,
    },
    /// One unit in gives a varying number or amount out: planks to blanks.
    Gives {
        /// Mean out per unit in, above 0.
        mean: f64,
        /// Sd from unit to unit inside a lot.
        sd: f64,
        /// Lot-to-lot sd of the mean; lots are normal.
        lots_sd: f64,
    },
    /// Pieces of which a reject may still recover: a piece ends good with chance
    /// `first_pass + (1 − first_pass)·recovered`.
    Rework {
        /// Mean chance to pass at first, above 0 and up to 1.
        first_pass: f64,
        /// Lot-to-lot sd of that chance; lots are Beta.
        lots_sd: f64,
        /// Chance that a reject ends good, 0 to 1. For a loop run again and again with chance g
        /// to pass and s to be scrapped each time round it is g/(g + s).
        recovered: f64,
    },
}

/// What is asked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Question {
    /// How much must come out good, in units of the last step; above 0.
    pub demand: f64,
    /// The chain; empty means that everything started comes out.
    pub steps: Vec<Step>,
    /// Size of a production lot in start units; `None`: the whole order is one lot.
    pub lot: Option<f64>,
    /// Whether only whole units can be started. A chain of pieces alone always is.
    pub whole_units: bool,
    /// Seed of the drawn lots.
    pub seed: u64,
}

/// How the odds were worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Method {
    /// Nothing varies.
    Division,
    /// Exact binomial.
    Binomial,
    /// Exact beta-binomial.
    BetaBinomial,
    /// The distribution of one measured yield itself.
    LotShare,
    /// Normal with the mean and variance of the chain; no draws.
    Normal,
    /// Binomial for known lots, integrated over how lots differ; several lots are added by their
    /// characteristic function. Tested to 10⁻⁵ of exact sums; 10⁻⁷ unless lots pile up at one.
    BinomialQuadrature,
    /// Measured yields, integrated over how lots differ. Tested to 10⁻⁷ of nested integrals.
    LotQuadrature,
    /// Normal for known lots, integrated over how lots differ.
    NormalQuadrature,
    /// Binomial for known lots, averaged over drawn lots. Exact for one lot apart from the
    /// standard error; for several, a binomial of the same mean and variance stands for their sum.
    BinomialMixture,
    /// Measured yields: all lots drawn but one, whose distribution is integrated exactly.
    LotMixture,
    /// Normal for known lots, averaged over drawn lots.
    NormalMixture,
}

impl Method {
    /// Whether the odds are those of the stated model to all digits shown.
    pub fn is_exact(self) -> bool {
        matches!(
            self,
            Self::Division | Self::Binomial | Self::BetaBinomial | Self::LotShare
        )
    }

    /// Whether a normal distribution stands in for a count.
    pub fn is_approximate(self) -> bool {
        matches!(
            self,
            Self::Normal | Self::NormalQuadrature | Self::NormalMixture
        )
    }

    /// The method in words, for the reasons beside a figure.
    pub fn words(self) -> &'static str {
        match self {
            Self::Division => "demand over yield; nothing varies",
            Self::Binomial => "binomial, exact",
            Self::BetaBinomial => "beta-binomial, exact",
            Self::LotShare => "lot-to-lot distribution, exact",
            Self::Normal => "normal approximation",
            Self::BinomialQuadrature => "binomial, integrated over how lots differ (to 1e-5)",
            Self::LotQuadrature => "lot-to-lot distributions, integrated (to 1e-5)",
            Self::NormalQuadrature => "normal approximation, integrated over how lots differ",
            Self::BinomialMixture => "binomial, averaged over drawn lots",
            Self::LotMixture => "lot-to-lot distributions, averaged over drawn lots",
            Self::NormalMixture => "normal approximation, averaged over drawn lots",
        }
    }
}

/// A quantity to start, with its odds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Start {
    /// How much to start.
    pub quantity: f64,
    /// Chance of filling the order with it.
    pub odds: f64,
    /// How the odds were worked out.
    pub method: Method,
    /// Standard error of the odds; 0 when nothing was drawn.
    pub standard_error: f64,
}

/// A point of the certainty curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct CurvePoint {
    /// How much is started.
    pub quantity: f64,
    /// Chance of filling the order.
    pub odds: f64,
}

/// Why there is no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StartError {
    /// Demand that is zero, negative or not a number.
    #[error("demand is {0}, expected a number above zero and at most a thousand million")]
    Demand(f64),
    /// A certainty outside 0 to 1.
    #[error("certainty is {0}, expected between 0 and 1")]
    Certainty(f64),
    /// A start quantity that is negative or not a number.
    #[error("start quantity is {0}, expected a number from zero up")]
    Quantity(f64),
    /// A lot size that is zero, negative or not a number.
    #[error("lot size is {0}, expected a number above zero")]
    Lot(f64),
    /// A cost that is negative, or both costs zero.
    #[error("{what} is {value}, expected a number above zero")]
    Cost {
        /// Which cost.
        what: &'static str,
        /// The value given.
        value: f64,
    },
    /// A parameter of a step out of range.
    #[error("step {}: {what} is {value}, expected {expected}", .step + 1)]
    Step {
        /// Place in the chain, from 0.
        step: usize,
        /// Which parameter.
        what: &'static str,
        /// The value given.
        value: f64,
        /// The range in words.
        expected: &'static str,
    },
    /// A lot-to-lot spread no share can have.
    #[error("step {}: {source}", .step + 1)]
    LotSpread {
        /// Place in the chain, from 0.
        step: usize,
        /// The reason.
        source: chance::ChanceError,
    },
    /// A chain that makes next to nothing, or beyond measure much, of a unit.
    #[error("the chain makes {mean:e} (sd {sd:e}) of each unit started, expected 1e-12 to 1e12")]
    Chain {
        /// Mean out per start unit.
        mean: f64,
        /// Its standard deviation.
        sd: f64,
    },
    /// No quantity is certain enough.
    #[error(
        "no start up to {most:e} fills the order with certainty {certainty}; the odds there are \
         {ceiling:.4}. Starting more does not help: lots that turn out poor are poor as a whole"
    )]
    OutOfReach {
        /// What was asked.
        certainty: f64,
        /// The best odds found.
        ceiling: f64,
        /// The largest quantity looked at.
        most: f64,
    },
}

/// A question made ready, for several answers from the same quadrature (or, where lots pile up
/// at a share of one, from the same draws).
#[derive(Debug)]
pub struct Prepared {
    law: Law,
}

impl Prepared {
    /// Checks the question and chooses the method.
    pub fn new(question: &Question) -> Result<Self, StartError> {
        Ok(Self {
            law: Law::of(question)?,
        })
    }

    /// Asks the same chain for another demand; what is known of the chain is kept.
    pub fn set_demand(&mut self, demand: f64) -> Result<(), StartError> {
        self.law.set_demand(demand)
    }

    /// See [`smallest`].
    pub fn smallest(&mut self, certainty: f64) -> Result<Start, StartError> {
        search::smallest(&mut self.law, certainty)
    }

    /// See [`odds`].
    pub fn odds(&mut self, quantity: f64) -> Result<Start, StartError> {
        if !(quantity >= 0.0 && quantity.is_finite()) {
            return Err(StartError::Quantity(quantity));
        }
        Ok(self.law.odds(quantity))
    }

    /// See [`curve`].
    pub fn curve(&mut self, points: usize) -> Result<Vec<CurvePoint>, StartError> {
        let low = self.smallest(0.01)?.quantity;
        let high = [0.999, 0.99, 0.95, 0.9, 0.75, 0.5, 0.25]
            .into_iter()
            .find_map(|certainty| self.smallest(certainty).ok())
            .map_or(low, |start| start.quantity);
        let mut found: Vec<CurvePoint> = Vec::new();
        for index in 0..points {
            let share = index as f64 / points.saturating_sub(1).max(1) as f64;
            let wish = low * libm::pow(high / low, share);
            let quantity = if self.law.whole_units() {
                libm::round(wish)
            } else {
                wish
            };
            if found.last().is_none_or(|last| quantity > last.quantity) {
                found.push(CurvePoint {
                    quantity,
                    odds: self.law.odds(quantity).odds,
                });
            }
        }
        Ok(found)
    }
}

/// The smallest start whose odds reach `certainty`.
///
/// In whole units the answer carries its proof: its odds reach the certainty and those of one
/// unit less do not, both evaluated.
pub fn smallest(question: &Question, certainty: f64) -> Result<Start, StartError> {
    Prepared::new(question)?.smallest(certainty)
}

/// The chance that starting `quantity` fills the order, the method and its standard error.
pub fn odds(question: &Question, quantity: f64) -> Result<(f64, Method, f64), StartError> {
    let found = Prepared::new(question)?.odds(quantity)?;
    Ok((found.odds, found.method, found.standard_error))
}

/// Certainty against quantity from about 1 % to 99.9 % (or as far as the lots let it rise), at
/// `points` quantities in equal ratios; whole quantities that coincide appear once.
pub fn curve(question: &Question, points: usize) -> Result<Vec<CurvePoint>, StartError> {
    Prepared::new(question)?.curve(points)
}

/// The share of the time an order should be filled when a unit short costs `short_cost` and a
/// unit left over `over_cost`: short/(short + over), the newsvendor's critical ratio (Arrow,
/// Harris & Marschak 1951; from memory).
pub fn critical_ratio(short_cost: f64, over_cost: f64) -> Result<f64, StartError> {
    for (what, value) in [
        ("cost of a unit short", short_cost),
        ("cost of a unit over", over_cost),
    ] {
        if !(value > 0.0 && value.is_finite()) {
            return Err(StartError::Cost { what, value });
        }
    }
    Ok(short_cost / (short_cost + over_cost))
}

/// The start at the newsvendor's critical ratio.
///
/// Exact when the spread of what comes out does not depend on the quantity; where lots differ
/// strongly it starts a little more than the least expected cost would.
pub fn cost_optimal(
    question: &Question,
    short_cost: f64,
    over_cost: f64,
) -> Result<Start, StartError> {
    smallest(question, critical_ratio(short_cost, over_cost)?)
}
