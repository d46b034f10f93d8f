//! How many of n pass when the chance itself differs from lot to lot as a Beta variable.
//!
//! Skellam (1948), *A probability distribution derived from the binomial distribution by
//! regarding the probability of success as variable between the sets of trials*, J. R. Stat.
//! Soc. B 10:257. One `BetaBinomial` is one lot; its spread does not shrink with the lot's size.

use crate::error::{ChanceError, require};
use crate::special::{Tails, ln_binomial_term};

/// Terms summed by the ratio of neighbours before the sum is anchored afresh.
const RUN: u64 = 4096;
/// A term this small against the sum, and shrinking, adds nothing to a double.
const NEGLIGIBLE: f64 = 1e-18;

/// The lot-to-lot distribution of a yield: Beta(alpha, beta).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BetaBinomial {
    alpha: f64,
    beta: f64,
}

impl BetaBinomial {
    /// From the shape parameters, both above zero and finite.
    pub fn new(alpha: f64, beta: f64) -> Result<Self, ChanceError> {
        let fine = |x: f64| x > 0.0 && x.is_finite();
        require(fine(alpha), "alpha", alpha, "a number above zero")?;
        require(fine(beta), "beta", beta, "a number above zero")?;
        Ok(Self { alpha, beta })
    }

    /// From the mean and the standard deviation of the lots' yield, by moments:
    /// alpha + beta = mean·(1−mean)/sd² − 1.
    pub fn from_mean_sd(mean: f64, sd: f64) -> Result<Self, ChanceError> {
        require(
            mean > 0.0 && mean < 1.0,
            "mean yield",
            mean,
            "between 0 and 1",
        )?;
        require(sd > 0.0, "lot-to-lot sd", sd, "above zero")?;
        let most = mean * (1.0 - mean);
        if sd * sd >= most {
            return Err(ChanceError::LotSpread {
                mean,
                sd,
                limit: libm::sqrt(most),
            });
        }
        let total = most / (sd * sd) - 1.0;
        Self::new(mean * total, (1.0 - mean) * total)
    }

    /// First shape parameter.
    pub fn alpha(&self) -> f64 {
        self.alpha
    }

    /// Second shape parameter.
    pub fn beta(&self) -> f64 {
        self.beta
    }

    /// Natural logarithm of the chance of exactly `good` of `made`; −∞ when good > made.
    ///
    /// C(n,k)·B(k+α, n−k+β)/B(α,β), each factor written as a binomial term at the same share so
    /// that the large logarithms cancel before they are formed (as Loader 2000 does for the
    /// hypergeometric).
    pub fn ln_pmf(&self, made: u64, good: u64) -> f64 {
        if good > made {
            return f64::NEG_INFINITY;
        }
        let (k, rest) = (good as f64, (made - good) as f64);
        let (a, b) = (self.alpha, self.beta);
        let total = k + rest + a + b;
        let (p, q) = ((k + a) / total, (rest + b) / total);
        let scale = libm::log(a / (a + b) * b) - libm::log((k + a) / total * (rest + b));
        ln_binomial_term(k, rest, p, q) + ln_binomial_term(a, b, p, q)
            - ln_binomial_term(k + a, rest + b, p, q)
            + scale
    }

    /// Chance of exactly `good` of `made`.
    pub fn pmf(&self, made: u64, good: u64) -> f64 {
        libm::exp(self.ln_pmf(made, good))
    }

    /// Chance of at most `good` of `made`.
    pub fn cdf(&self, made: u64, good: u64) -> f64 {
        if good >= made {
            1.0
        } else {
            self.tails(made, good + 1).lower
        }
    }

    /// Chance of at least `good` of `made`.
    pub fn at_least(&self, made: u64, good: u64) -> f64 {
        self.tails(made, good).upper
    }

    /// `upper` is the chance of at least `good`, `lower` of fewer. The side that falls away from the
    /// mean is summed, outwards, so that no sum begins where the chances are too small for a double.
    fn tails(&self, made: u64, good: u64) -> Tails {
        if good == 0 {
            return Tails {
                lower: 0.0,
                upper: 1.0,
            };
        }
        if good > made {
            return Tails {
                lower: 1.0,
                upper: 0.0,
            };
        }
        let mean = made as f64 * self.alpha / (self.alpha + self.beta);
        if good as f64 > mean {
            let upper = self.sum(made, good, made).min(1.0);
            Tails {
                lower: 1.0 - upper,
                upper,
            }
        } else {
            // Fewer than `good` are good when more than `made − good` are not.
            let bad = Self {
                alpha: self.beta,
                beta: self.alpha,
            };
            let lower = bad.sum(made, made - good + 1, made).min(1.0);
            Tails {
                lower,
                upper: 1.0 - lower,
            }
        }
    }

    /// Sum of the chances from `first` to `last`, both included.
    fn sum(&self, made: u64, first: u64, last: u64) -> f64 {
        let mut total = 0.0;
        let mut anchor = first;
        while anchor <= last {
            let end = last.min(anchor.saturating_add(RUN - 1));
            total += self.pmf(made, anchor) * self.run(made, anchor, end);
            if self.has_faded(made, end, total) {
                break;
            }
            anchor = end + 1;
        }
        total
    }

    /// Sum of the chances from `first` to `last`, as a multiple of the first.
    fn run(&self, made: u64, first: u64, last: u64) -> f64 {
        let mut term = 1.0;
        let mut sum = 1.0;
        for k in first..last {
            let (k, rest) = (k as f64, (made - k) as f64);
            term *= rest * (k + self.alpha) / ((k + 1.0) * (rest - 1.0 + self.beta));
            sum += term;
        }
        sum
    }

    /// Whether the terms past `k` are below the last bit of the sum and still falling.
    fn has_faded(&self, made: u64, k: u64, total: f64) -> bool {
        let mean = made as f64 * self.alpha / (self.alpha + self.beta);
        self.beta > 1.0
            && k as f64 > mean
            && self.pmf(made, k) * ((made - k) as f64) < total * NEGLIGIBLE
    }
}
