//! Averages over drawn lots.
//!
//! Every lot and varying step is an axis of the draws. The first lots, as many as the demand
//! needs at the mean yield, are drawn together; further ones one at a time, so that an order
//! that grows keeps its draws. Running sums over lots make a look at any quantity cost the number
//! of draws only. The tabulated lots add an error of 10⁻⁸ to 10⁻⁶ to the standard error given.

use super::Method;
use super::draws::{Draws, POINTS, REPEATS, spread_axis};
use super::law::{Link, chain};
use super::shares::Kernel;
use chance::binomial;
use chance::special::normal_cdf;

/// So many sd from a count of variance above a hundred, the tail is below 10⁻¹² (Chernoff's bound
/// for the Poisson: exp(−100·(1.85·ln 1.85 − 0.85)) = 3·10⁻¹³).
const FAR: f64 = 8.5;
const LARGE: f64 = 100.0;

/// Running sums of a draw after some number of whole lots of one unit each.
#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    mean: f64,
    variance: f64,
}

/// The drawn lots of a chain.
#[derive(Debug)]
pub(super) struct Mixture {
    links: Vec<Link>,
    /// Places of the steps whose lots differ.
    varying: Vec<usize>,
    /// The step whose first lot is integrated exactly where all steps are measured yields.
    pivot: usize,
    kernel: Kernel,
    continuity: f64,
    /// Sizes of the lots drawn together, as shares of a whole one.
    first_lots: Vec<f64>,
    seed: u64,
    weights: Vec<f64>,
    /// For each lot drawn so far and each draw: the sums over this lot and those before it.
    sums: Vec<Vec<Sums>>,
    /// For the first lot of each draw: what one unit becomes through all steps but the pivot.
    beside_pivot: Vec<f64>,
}

impl Mixture {
    pub(super) fn new(links: Vec<Link>, counted: bool, first_lots: Vec<f64>, seed: u64) -> Self {
        let varying: Vec<usize> = (0..links.len())
            .filter(|place| links[*place].lot.varies())
            .collect();
        let kernel = Kernel::of(&links);
        let widest = |a: &&usize, b: &&usize| spread(&links[**a]).total_cmp(&spread(&links[**b]));
        let pivot = varying.iter().max_by(widest).copied().unwrap_or(0);
        let continuity = if counted { 0.5 } else { 0.0 };
        let (weights, sums, beside_pivot) = (Vec::new(), Vec::new(), Vec::new());
        Self {
            links,
            varying,
            pivot,
            kernel,
            continuity,
            first_lots,
            seed,
            weights,
            sums,
            beside_pivot,
        }
    }

    pub(super) fn method(&self) -> Method {
        match self.kernel {
            Kernel::Binomial => Method::BinomialMixture,
            Kernel::Lot => Method::LotMixture,
            Kernel::Normal => Method::NormalMixture,
        }
    }

    /// The odds and their standard error.
    pub(super) fn odds(&mut self, demand: f64, made: f64, lot: Option<f64>) -> (f64, f64) {
        let full = lot.map_or(0.0, |lot| libm::floor(made / lot));
        let lot = lot.filter(|_| full > 0.0).unwrap_or(0.0);
        self.draw_to(full as usize + 1);
        let mut means = [0.0; REPEATS];
        for (draw, weight) in self.weights.iter().enumerate() {
            let odds = self.odds_of(draw, demand, full as usize, lot, made - full * lot);
            means[draw / POINTS] += weight * odds;
        }
        let error = chance::estimate::sd(&means) / libm::sqrt(REPEATS as f64);
        (chance::estimate::mean(&means), error)
    }

    /// The chance of filling the order when the lots are those of one draw: `full` lots of size
    /// `lot` and one of size `rest`.
    fn odds_of(&self, draw: usize, demand: f64, full: usize, lot: f64, rest: f64) -> f64 {
        let before = if full == 0 {
            Sums::default()
        } else {
            self.sums[full - 1][draw]
        };
        let after = self.sums[full][draw];
        let total = |before: f64, after: f64| lot * before + rest * (after - before);
        let mean = total(before.mean, after.mean);
        let variance = total(before.variance, after.variance);
        match self.kernel {
            Kernel::Binomial => matched_binomial(mean, variance, demand),
            Kernel::Normal => normal(mean - demand + self.continuity, variance),
            Kernel::Lot => {
                let first = if full == 0 { rest } else { lot };
                let others = mean - first * self.sums[0][draw].mean;
                let needed = (demand - others) / (first * self.beside_pivot[draw]);
                self.links[self.pivot].lot.at_least(needed)
            }
        }
    }

    /// Draws lots until there are at least `count`.
    fn draw_to(&mut self, count: usize) {
        if self.sums.is_empty() {
            self.draw_first_lots();
        }
        let axes = self.varying.len();
        while self.sums.len() < count {
            let first = self.sums.len() * axes;
            let scores: Vec<_> = (first..first + axes)
                .map(|axis| spread_axis(axis, self.seed))
                .collect();
            self.add_lot(&scores);
        }
    }

    fn draw_first_lots(&mut self) {
        let draws = Draws::along(&self.line(), self.seed);
        self.weights = draws.weights;
        let lots = draws.scores.chunks(self.varying.len().max(1));
        if let Some(first) = lots.clone().next() {
            self.beside_pivot = self.through_all_but_pivot(first);
        }
        lots.for_each(|scores| self.add_lot(scores));
    }

    /// How much each axis moves the outcome: the lot's size times the spread of the step. What
    /// is integrated exactly is not drawn and does not count.
    fn line(&self) -> Vec<f64> {
        let mut line = Vec::new();
        for (lot, size) in self.first_lots.iter().enumerate() {
            line.extend(self.varying.iter().map(|place| {
                let exact = self.kernel == Kernel::Lot && lot == 0 && *place == self.pivot;
                if exact {
                    0.0
                } else {
                    size * spread(&self.links[*place])
                }
            }));
        }
        line
    }

    /// Adds one lot, whose scores are given for each varying step and draw.
    fn add_lot(&mut self, scores: &[Vec<f64>]) {
        let running = |draw: usize| {
            let unit = chain(&self.links, |place, link| {
                self.drawn(place, link, scores, draw)
            });
            let before = self.sums.last().map_or(Sums::default(), |sums| sums[draw]);
            Sums {
                mean: before.mean + unit.mean,
                variance: before.variance + unit.variance,
            }
        };
        let next = (0..REPEATS * POINTS).map(running).collect();
        self.sums.push(next);
    }

    fn through_all_but_pivot(&self, scores: &[Vec<f64>]) -> Vec<f64> {
        let value = |place: usize, link: &Link, draw: usize| {
            if place == self.pivot {
                1.0
            } else {
                self.drawn(place, link, scores, draw)
            }
        };
        let mean = |draw| chain(&self.links, |place, link| value(place, link, draw)).mean;
        (0..REPEATS * POINTS).map(mean).collect()
    }

    /// The mean of this step's lot in a draw.
    fn drawn(&self, place: usize, link: &Link, scores: &[Vec<f64>], draw: usize) -> f64 {
        let axis = self.varying.iter().position(|varying| *varying == place);
        link.lot.at(axis.map_or(0.0, |axis| scores[axis][draw]))
    }
}

/// Relative lot-to-lot spread of what a step gives: about the change of ln(mean) for one score.
fn spread(link: &Link) -> f64 {
    let mean = |score| link.moments(link.lot.at(score)).mean.max(f64::MIN_POSITIVE);
    libm::log(mean(0.5) / mean(-0.5))
}

/// P(X ≥ demand) for the binomial with this mean and variance.
///
/// Exact when every piece has the same chance. For a sum over several lots it is the binomial
/// approximation of a Poisson-binomial sum matched in two moments (Ehm 1991; from memory), whose
/// size is real; its number never exceeds the pieces started (Cauchy–Schwarz).
fn matched_binomial(mean: f64, variance: f64, demand: f64) -> f64 {
    let gap = mean - demand;
    if variance > LARGE && gap * gap > FAR * FAR * variance {
        return f64::from(u8::from(gap > 0.0));
    }
    let fails = variance / mean;
    if fails < 1e-14 {
        return f64::from(u8::from(mean >= demand - 1e-9 * demand));
    }
    let made = mean / (1.0 - fails);
    // The last bits of the division must not cost a piece.
    let whole = libm::round(made);
    let made = if (made - whole).abs() < 1e-9 * made {
        whole
    } else {
        made
    };
    if made <= demand - 1.0 {
        return 0.0;
    }
    binomial::tails_at_least(made, demand, 1.0 - fails).upper
}

fn normal(gap: f64, variance: f64) -> f64 {
    if variance > 0.0 {
        normal_cdf(gap / libm::sqrt(variance))
    } else {
        f64::from(u8::from(gap >= 0.0))
    }
}
