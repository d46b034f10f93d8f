//! The yield of a process from its lots: the mean, and how much lots differ beyond chance.
//!
//! Each lot's count is beta-binomial. Mean and lot-to-lot sd are those of greatest likelihood
//! (Griffiths 1973, Biometrics 29:637; from memory); intervals are profile-likelihood intervals
//! with the small-sample threshold of the module `fit`, the lots being the sample. Where the
//! likelihood does not rise above that of the plain binomial, lots are taken as alike.

use crate::beta_binomial::BetaBinomial;
use crate::binomial;
use crate::error::{ChanceError, require};
use crate::estimate::{Estimate, require_confidence};
use crate::fit::{FEWEST, allowed_fall};
use crate::search::{crossing, maximum};
use crate::special::{logistic, normal_quantile};
use serde::{Deserialize, Serialize};

/// Logits of the mean yield searched: 10⁻⁶ to 1 − 10⁻⁶.
const LOGIT_REACH: f64 = 14.0;
/// Logits searched of the correlation ρ = sd²/(mean·(1−mean)) between pieces of one lot.
const TIES: (f64, f64) = (-18.0, 6.0);
/// A gain in log-likelihood below this is rounding, not a difference between lots.
const GAIN: f64 = 1e-6;
/// No share has an sd of a half or more.
const MOST_SD: f64 = 0.499;

/// The yield of a process whose lots differ.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LotYield {
    /// Mean yield over lots. Where lots do not differ it is the pooled share of all pieces, by
    /// Clopper & Pearson, and its `n` counts pieces instead of lots.
    pub mean: Estimate,
    /// Lot-to-lot sd of the yield; 0 when lots do not differ beyond chance.
    pub lots_sd: Estimate,
    /// Whether the likelihood favours lots that differ.
    pub lots_differ: bool,
    /// Logarithm of the greatest likelihood.
    pub log_likelihood: f64,
    /// The same with lots taken as alike (binomial).
    pub log_likelihood_alike: f64,
}

/// Estimates the yield from rows of (made, good), one for each lot; at least three lots.
pub fn lot_yield(rows: &[(u64, u64)], confidence: f64) -> Result<LotYield, ChanceError> {
    check(rows, confidence)?;
    let made: u64 = rows.iter().map(|row| row.0).sum();
    let good: u64 = rows.iter().map(|row| row.1).sum();
    let share = good as f64 / made as f64;
    let alike: f64 = rows
        .iter()
        .map(|(made, good)| libm::log(binomial::pmf(*made, *good, share)))
        .sum();
    let fall = allowed_fall(rows.len() as f64, confidence);
    let best = if good == 0 || good == made {
        None
    } else {
        best_tied(rows)
    };
    let Some((mean, sd, top)) = best.filter(|(_, _, top)| *top > alike + GAIN) else {
        let upper = upper_sd(rows, 1e-4, alike - fall);
        return Ok(LotYield {
            mean: Estimate::of_proportion(good, made, confidence)?,
            lots_sd: interval(0.0, 0.0, upper, confidence, rows),
            lots_differ: false,
            log_likelihood: alike,
            log_likelihood_alike: alike,
        });
    };
    let floor = top - fall;
    let lower = if alike >= floor {
        0.0
    } else {
        lower_sd(rows, sd, floor)
    };
    let (low, high) = mean_interval(rows, mean, sd, floor);
    Ok(LotYield {
        mean: interval(mean, low, high, confidence, rows),
        lots_sd: interval(sd, lower, upper_sd(rows, sd, floor), confidence, rows),
        lots_differ: true,
        log_likelihood: top,
        log_likelihood_alike: alike,
    })
}

fn check(rows: &[(u64, u64)], confidence: f64) -> Result<(), ChanceError> {
    require_confidence(confidence)?;
    if rows.len() < FEWEST {
        return Err(ChanceError::TooFew {
            needed: FEWEST,
            found: rows.len(),
        });
    }
    for (index, (made, good)) in rows.iter().copied().enumerate() {
        require(
            made > 0,
            "pieces made",
            made as f64,
            "at least 1 in every lot",
        )?;
        require(
            made <= 1 << 40,
            "pieces made",
            made as f64,
            "no more than 2^40",
        )?;
        if good > made {
            return Err(ChanceError::MoreGoodThanMade { index, made, good });
        }
    }
    Ok(())
}

fn interval(mean: f64, low: f64, high: f64, confidence: f64, rows: &[(u64, u64)]) -> Estimate {
    Estimate {
        mean,
        low,
        high,
        confidence,
        n: rows.len() as u64,
    }
}

/// Log-likelihood at a mean and an sd; −∞ where no Beta has them.
fn likelihood(rows: &[(u64, u64)], mean: f64, sd: f64) -> f64 {
    BetaBinomial::from_mean_sd(mean, sd).map_or(f64::NEG_INFINITY, |lots| {
        rows.iter()
            .map(|(made, good)| lots.ln_pmf(*made, *good))
            .sum()
    })
}

/// The greatest likelihood at this mean over all sds, and that sd.
fn best_at_mean(rows: &[(u64, u64)], mean: f64) -> (f64, f64) {
    let sd = |tie: f64| libm::sqrt(mean * (1.0 - mean) * logistic(tie));
    let (tie, top) = maximum(TIES.0, TIES.1, |tie| likelihood(rows, mean, sd(tie)));
    (sd(tie), top)
}

/// The greatest likelihood at this sd over all means that allow it.
fn best_at_sd(rows: &[(u64, u64)], sd: f64) -> f64 {
    // mean·(1−mean) > sd² between the roots ½ ± √(¼ − sd²).
    let root = 0.5 - libm::sqrt((0.25 - sd * sd).max(0.0));
    let edge = libm::log((1.0 - root) / root.max(1e-12)).clamp(0.0, LOGIT_REACH);
    maximum(-edge, edge, |logit| likelihood(rows, logistic(logit), sd)).1
}

fn best_tied(rows: &[(u64, u64)]) -> Option<(f64, f64, f64)> {
    let logit = maximum(-LOGIT_REACH, LOGIT_REACH, |logit| {
        best_at_mean(rows, logistic(logit)).1
    })
    .0;
    let mean = logistic(logit);
    let (sd, top) = best_at_mean(rows, mean);
    top.is_finite().then_some((mean, sd, top))
}

fn lower_sd(rows: &[(u64, u64)], sd: f64, floor: f64) -> f64 {
    let profile = |log: f64| best_at_sd(rows, libm::exp(log)) - floor;
    crossing(libm::log(sd), -0.3, 20.0, profile).map_or(0.0, libm::exp)
}

fn upper_sd(rows: &[(u64, u64)], sd: f64, floor: f64) -> f64 {
    let profile = |log: f64| best_at_sd(rows, libm::exp(log).min(MOST_SD)) - floor;
    let reach = libm::log(MOST_SD / sd);
    crossing(libm::log(sd), 0.3, reach, profile).map_or(0.5, |log| libm::exp(log).min(0.5))
}

fn mean_interval(rows: &[(u64, u64)], mean: f64, sd: f64, floor: f64) -> (f64, f64) {
    let profile = |logit: f64| best_at_mean(rows, logistic(logit)).1 - floor;
    let peak = libm::log(mean / (1.0 - mean));
    // Of the order of the interval's half width: two standard errors, as a change of logit.
    let error = sd / libm::sqrt(rows.len() as f64) + 1e-9;
    let step = -normal_quantile(0.025) * error / (mean * (1.0 - mean));
    let low = crossing(peak, -step, 3.0 * LOGIT_REACH, profile).map_or(0.0, logistic);
    let high = crossing(peak, step, 3.0 * LOGIT_REACH, profile).map_or(1.0, logistic);
    (low, high)
}
