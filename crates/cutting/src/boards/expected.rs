//! What a board yields before it is seen: faults at random, so many to a length, and how lots differ.
//!
//! A board is a line of usable length X with faults at random (a Poisson process of rate λ), each costing c
//! along it: its own length and the margins on both sides. The clear length x between two faults is worth
//! F(x), the step function of `steps`, whose steps Δⱼ stand at bⱼ. Given n faults, the n + 1 gaps are the
//! spacings of n uniform points, which are exchangeable with P(one ≥ s, another ≥ t) = (1 − (s + t)/X)₊ⁿ
//! (Feller, vol. II, I.7). Summed over the Poisson n, this gives mean and variance in closed form; both are
//! derived here and held against simulation in the tests. Gaps within the board lose c, the two at its ends
//! lose c/2, a board without faults loses nothing. For a board without end and one length it becomes
//! [`endless_yield`].
//!
//! The rate of a lot is gamma distributed, so counts are negative binomial (Greenwood & Yule 1920); it is
//! fitted by maximum likelihood with the length looked at as exposure (Lawless 1987).

use chance::Distribution;
use chance::special::ln_gamma;
use thiserror::Error;

use super::board::{LONGEST, MOST_PARTS};
use super::steps::Steps;

/// Points at which the spread of lots is looked at: middles of equal shares.
const LOTS: usize = 256;

/// Most steps of which all pairs are looked at; more are first gathered on this many points.
const POINTS: usize = 1024;

/// A board nobody has seen yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Unseen {
    /// Usable length, after end trims.
    pub length: u64,
    /// What one fault costs along it: its own length and the margins on both sides.
    pub fault: u64,
    /// Width of a crosscut.
    pub kerf: u64,
}

/// A length wanted, and what one is worth.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Wanted {
    /// Length of the part.
    pub length: u64,
    /// What one is worth.
    pub value: f64,
}

/// Faults counted on boards of one lot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct LotCount {
    /// Length looked at.
    pub length: u64,
    /// Faults found on it.
    pub faults: u64,
}

/// Faults per unit of length, and how lots differ: a lot's rate is gamma distributed.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct FaultRate {
    /// Mean over lots.
    pub mean: f64,
    /// Standard deviation from lot to lot; zero if they do not differ.
    pub lot_sd: f64,
}

/// A fitted rate, and how well the samples tell it.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct RateFit {
    /// The rate.
    pub rate: FaultRate,
    /// Standard error of its mean.
    pub mean_error: f64,
    /// Lots it rests on. From one lot nothing can be learnt about how lots differ.
    pub lots: usize,
}

/// So many from one board: the mean, and the spread in two parts. From n boards of one lot,
/// n·mean − z·√(n·`within_sd`² + n²·`lot_sd`²) come out with the certainty that z stands for.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct PerBoard {
    /// Mean over boards and lots.
    pub mean: f64,
    /// Standard deviation from board to board within a lot (root of the mean variance over lots).
    pub within_sd: f64,
    /// Standard deviation of the lot mean from lot to lot.
    pub lot_sd: f64,
}

/// What one board yields when every clear length is cut for most value.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Expected {
    /// Value of the parts of a board.
    pub value: PerBoard,
    /// How many of each length.
    pub parts: Vec<PerBoard>,
}

/// Why there is no answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum ExpectedFault {
    /// A rate or value is negative or not a number, or a length is zero or beyond the longest.
    #[error("a rate or value is negative or not a number, or a length is zero or too long")]
    BadNumber,
    /// No length was looked at.
    #[error("no length was looked at, so there is no rate")]
    NothingCounted,
    /// So many parts to a board that the steps of its worth are too many.
    #[error("the parts are too short for the board")]
    TooManyParts,
}

/// Share of a strip without end that comes out as parts of one length.
///
/// Y = λ·L·e^(−λ(c−k))·q/(1−q), q = e^(−λ(L+k)): gaps between faults are exponential with rate λ, a gap x gives
/// ⌊(x − c + k)/(L + k)⌋ parts, and there are λ gaps to a unit of length (TRADE.md 1.1, derived). For λ = 0 it
/// is L/(L+k).
pub fn endless_yield(rate: f64, fault: f64, kerf: f64, length: f64) -> f64 {
    if rate == 0.0 {
        return length / (length + kerf);
    }
    let q = libm::exp(-rate * (length + kerf));
    rate * length * libm::exp(-rate * (fault - kerf)) * q / (1.0 - q)
}

/// What one board yields on average, and how that spreads within and between lots.
pub fn expected(
    board: &Unseen,
    wanted: &[Wanted],
    rate: &FaultRate,
) -> Result<Expected, ExpectedFault> {
    check_numbers(board, wanted, rate)?;
    let items: Vec<(u64, f64)> = wanted.iter().map(|w| (w.length, w.value)).collect();
    let steps = Steps::new(&items, board.kerf, board.length);
    let at: Vec<f64> = steps.all().map(|(at, _)| at as f64).collect();
    let values: Vec<f64> = steps.all().map(|(_, value)| value).collect();
    let rates = lot_rates(rate)?;
    let of = |heights: &[f64]| Worth::new(board, &at, heights).over_lots(&rates);
    let count = |item: usize| -> Vec<f64> {
        let counts = steps.counts(item);
        counts.into_iter().map(|n| n as f64).collect()
    };
    Ok(Expected {
        value: of(&values),
        parts: (0..wanted.len()).map(|item| of(&count(item))).collect(),
    })
}

fn check_numbers(board: &Unseen, wanted: &[Wanted], rate: &FaultRate) -> Result<(), ExpectedFault> {
    let good = |number: f64| number.is_finite() && number >= 0.0;
    let lengths = [board.length, board.fault, board.kerf];
    let part_good = |w: &Wanted| w.length > 0 && w.length <= LONGEST && good(w.value);
    let all = lengths.iter().all(|&length| length <= LONGEST)
        && board.length > 0
        && wanted.iter().all(part_good)
        && good(rate.mean)
        && good(rate.lot_sd);
    if !all {
        return Err(ExpectedFault::BadNumber);
    }
    // Steps are merged in time and kept in space; a board in crumbs would want too much of both.
    let shortest = wanted.iter().map(|w| w.length + board.kerf).min();
    match shortest {
        Some(shortest) if board.length / shortest > MOST_PARTS => Err(ExpectedFault::TooManyParts),
        _ => Ok(()),
    }
}

/// Rates that stand for equal shares of the lots.
fn lot_rates(rate: &FaultRate) -> Result<Vec<f64>, ExpectedFault> {
    if rate.lot_sd == 0.0 || rate.mean == 0.0 {
        return Ok(vec![rate.mean]);
    }
    let lots = Distribution::gamma_from_mean_sd(rate.mean, rate.lot_sd)
        .map_err(|_| ExpectedFault::BadNumber)?;
    let middle = |share: usize| lots.quantile((share as f64 + 0.5) / LOTS as f64);
    Ok((0..LOTS).map(middle).collect())
}

/// A step function of clear lengths on a board with random faults.
struct Worth {
    length: f64,
    fault: f64,
    /// Steps (where, how high).
    rises: Vec<(f64, f64)>,
    /// Steps of its square.
    square_rises: Vec<(f64, f64)>,
    /// For pairs of gaps: products of steps, by the sum of where they are.
    pairs: Vec<(f64, f64)>,
}

impl Worth {
    fn new(board: &Unseen, at: &[f64], heights: &[f64]) -> Self {
        let rises = rises(at, heights);
        let squares: Vec<f64> = heights.iter().map(|height| height * height).collect();
        let length = board.length as f64;
        Self {
            length,
            fault: board.fault as f64,
            pairs: pairs(&rises, length),
            square_rises: self::rises(at, &squares),
            rises,
        }
    }

    /// Mean and spread over lots of these rates.
    fn over_lots(&self, rates: &[f64]) -> PerBoard {
        let lots = rates.len() as f64;
        let means: Vec<f64> = rates
            .iter()
            .map(|&rate| self.mean(rate, &self.rises))
            .collect();
        let mean = means.iter().sum::<f64>() / lots;
        let between = means.iter().map(|m| (m - mean) * (m - mean)).sum::<f64>() / lots;
        let variance = |(&rate, m): (&f64, &f64)| (self.mean_square(rate) - m * m).max(0.0);
        let within = rates.iter().zip(&means).map(variance).sum::<f64>() / lots;
        PerBoard {
            mean,
            within_sd: libm::sqrt(within),
            lot_sd: libm::sqrt(between),
        }
    }

    /// E Σ over gaps: n − 1 gaps within the board, one at either end, or the whole board.
    fn mean(&self, rate: f64, rises: &[(f64, f64)]) -> f64 {
        let gaps = Gaps {
            rate,
            length: self.length,
        };
        let (whole, half) = (self.fault, self.fault / 2.0);
        let of = |&(at, rise): &(f64, f64)| {
            let untouched = if at <= self.length {
                gaps.no_fault()
            } else {
                0.0
            };
            rise * (gaps.within(at + whole) + 2.0 * gaps.once(at + half) + untouched)
        };
        rises.iter().map(of).sum()
    }

    /// E (Σ over gaps)²: each gap with itself, and twice each pair of gaps.
    fn mean_square(&self, rate: f64) -> f64 {
        let gaps = Gaps {
            rate,
            length: self.length,
        };
        let c = self.fault;
        let of = |&(sum, product): &(f64, f64)| {
            let with_an_end = 2.0 * gaps.within(sum + 1.5 * c);
            let both_ends = gaps.once(sum + c);
            product * (with_an_end + both_ends + gaps.pairs_within(sum + 2.0 * c))
        };
        self.mean(rate, &self.square_rises) + 2.0 * self.pairs.iter().map(of).sum::<f64>()
    }
}

/// Expected numbers of gaps, n faults being Poisson with mean λX and z = 1 − t/X, so that
/// e^(−λX)·e^(λXz) = e^(−λt) and λXz = λ(X − t).
struct Gaps {
    rate: f64,
    length: f64,
}

impl Gaps {
    fn no_fault(&self) -> f64 {
        libm::exp(-self.rate * self.length)
    }

    /// E zⁿ over n ≥ 1.
    fn once(&self, t: f64) -> f64 {
        if t >= self.length {
            return 0.0;
        }
        libm::exp(-self.rate * t) - self.no_fault()
    }

    /// E (n−1)·zⁿ over n ≥ 1.
    fn within(&self, t: f64) -> f64 {
        if t >= self.length {
            return 0.0;
        }
        let expected = self.rate * (self.length - t);
        (expected - 1.0) * libm::exp(-self.rate * t) + self.no_fault()
    }

    /// E (n−1)(n−2)/2·zⁿ over n ≥ 1.
    fn pairs_within(&self, t: f64) -> f64 {
        if t >= self.length {
            return 0.0;
        }
        let expected = self.rate * (self.length - t);
        let inner = expected * expected / 2.0 - expected + 1.0;
        inner * libm::exp(-self.rate * t) - self.no_fault()
    }
}

/// Where the heights change, and by how much.
fn rises(at: &[f64], heights: &[f64]) -> Vec<(f64, f64)> {
    let steps = heights.windows(2).zip(&at[1..]);
    let rise = steps.map(|(pair, &at)| (at, pair[1] - pair[0]));
    rise.filter(|&(_, rise)| rise != 0.0).collect()
}

/// Products of every two steps by the sum of where they are. Many steps are first gathered on [`POINTS`] points
/// and many products on as many, each shared between its two neighbours so that its place is kept on average.
fn pairs(rises: &[(f64, f64)], length: f64) -> Vec<(f64, f64)> {
    let gathered;
    let few: &[(f64, f64)] = if rises.len() > POINTS {
        gathered = gather(rises.iter().copied(), length);
        &gathered
    } else {
        rises
    };
    let products = few.iter().flat_map(|&(a, x)| {
        let partners = few.iter().take_while(move |&&(b, _)| a + b < length);
        partners.map(move |&(b, y)| (a + b, x * y))
    });
    if few.len() * few.len() > POINTS {
        gather(products, length)
    } else {
        products.collect()
    }
}

/// Weights on even points over the length.
fn gather(weights: impl Iterator<Item = (f64, f64)>, length: f64) -> Vec<(f64, f64)> {
    let apart = length / POINTS as f64;
    let mut points = vec![0.0; POINTS + 2];
    for (at, weight) in weights {
        let place = (at / apart).min(POINTS as f64);
        let below = place as usize;
        let share = place - below as f64;
        points[below] += weight * (1.0 - share);
        points[below + 1] += weight * share;
    }
    let at = |(point, weight): (usize, f64)| (point as f64 * apart, weight);
    points.into_iter().enumerate().map(at).collect()
}

/// The rate of faults from counted samples, one count a lot (counts of one lot are added first).
///
/// Maximum likelihood of the gamma–Poisson mixture. Lots are taken not to differ when they spread no more
/// than chance: Σ((y − μm)² − y) ≤ 0, where the likelihood falls from the Poisson limit on.
pub fn fit_rate(lots: &[LotCount]) -> Result<RateFit, ExpectedFault> {
    let seen: Vec<(f64, f64)> = lots
        .iter()
        .filter(|lot| lot.length > 0)
        .map(|lot| (lot.length as f64, lot.faults as f64))
        .collect();
    let length: f64 = seen.iter().map(|lot| lot.0).sum();
    if length == 0.0 {
        return Err(ExpectedFault::NothingCounted);
    }
    let pooled = seen.iter().map(|lot| lot.1).sum::<f64>() / length;
    let excess = |&(m, y): &(f64, f64)| (y - pooled * m) * (y - pooled * m) - y;
    let spread = if seen.iter().map(excess).sum::<f64>() > 0.0 {
        likeliest_spread(&seen, pooled)
    } else {
        0.0
    };
    let mean = likeliest_mean(&seen, pooled, spread);
    let information: f64 = seen
        .iter()
        .map(|&(m, _)| m / (mean * (1.0 + spread * mean * m)))
        .sum();
    let mean_error = if mean > 0.0 {
        1.0 / libm::sqrt(information)
    } else {
        0.0
    };
    Ok(RateFit {
        rate: FaultRate {
            mean,
            lot_sd: mean * libm::sqrt(spread),
        },
        mean_error,
        lots: seen.len(),
    })
}

/// The spread α (variance of a lot's rate over its mean squared) of greatest likelihood, by golden section on
/// its logarithm; the mean is the likeliest for each α.
fn likeliest_spread(seen: &[(f64, f64)], pooled: f64) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_9;
    let profile = |log_spread: f64| {
        let spread = libm::exp(log_spread);
        ln_likelihood(seen, likeliest_mean(seen, pooled, spread), spread)
    };
    // From a spread of a hundredth of a percent to a hundredfold.
    let (mut low, mut high) = (libm::log(1e-8), libm::log(1e4));
    let (mut a, mut b) = (high - GOLDEN * (high - low), low + GOLDEN * (high - low));
    let (mut at_a, mut at_b) = (profile(a), profile(b));
    while high - low > 1e-9 {
        if at_a < at_b {
            (low, a, at_a) = (a, b, at_b);
            b = low + GOLDEN * (high - low);
            at_b = profile(b);
        } else {
            (high, b, at_b) = (b, a, at_a);
            a = high - GOLDEN * (high - low);
            at_a = profile(a);
        }
    }
    libm::exp(f64::midpoint(low, high))
}

/// The mean that solves Σ (y − μm)/(1 + αμm) = 0, by bisection: the sum falls as μ grows.
fn likeliest_mean(seen: &[(f64, f64)], pooled: f64, spread: f64) -> f64 {
    if spread == 0.0 || pooled == 0.0 {
        return pooled;
    }
    let score = |mean: f64| -> f64 {
        let one = |&(m, y): &(f64, f64)| (y - mean * m) / (1.0 + spread * mean * m);
        seen.iter().map(one).sum()
    };
    // No lot's own rate lies outside; the answer is a weighted mean of them.
    let (mut low, mut high) = (0.0, seen.iter().map(|&(m, y)| y / m).fold(0.0, f64::max));
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if score(middle) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// Log-likelihood of negative binomial counts, terms without mean or spread left out.
fn ln_likelihood(seen: &[(f64, f64)], mean: f64, spread: f64) -> f64 {
    let shape = 1.0 / spread;
    let one = |&(m, y): &(f64, f64)| {
        let expected = mean * m;
        ln_gamma(y + shape) - ln_gamma(shape) - shape * libm::log1p(expected * spread)
            + y * libm::log(expected / (shape + expected))
    };
    seen.iter().map(one).sum()
}
