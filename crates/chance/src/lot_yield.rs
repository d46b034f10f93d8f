//! The yield of a process from its lots: the mean, and how much lots differ beyond chance.
//!
//! Each lot's count is beta-binomial. Mean and lot-to-lot sd are those of greatest likelihood
//! (Griffiths 1973, Biometrics 29:637; from memory); intervals are profile-likelihood intervals
//! with the small-sample threshold of the module `fit`, the lots being the sample. Where the
//! likelihood does not rise above that of the plain binomial, lots are taken as alike.

use crate::binomial;
use crate::error::{ChanceError, require};
use crate::estimate::{Estimate, require_confidence};
use crate::fit::{FEWEST, allowed_fall};
use crate::lot_likelihood::{Lots, Place};
use crate::search::crossing;
use crate::special::{logistic, normal_quantile};
use serde::{Deserialize, Serialize};
use std::cell::Cell;

/// Logits of the mean yield searched for the ends of its interval.
const LOGIT_REACH: f64 = 42.0;
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
    let lots = Lots::of(rows);
    let pooled = libm::log(share / (1.0 - share)).clamp(-14.0, 14.0);
    let best = (good > 0 && good < made).then(|| lots.best(pooled));
    let Some((place, top)) = best.filter(|(_, top)| top.is_finite() && *top > alike + GAIN) else {
        // Begun where the spread adds a hundredth to the variance that chance makes, or less.
        let chance = share * (1.0 - share) + 1.0 / made as f64;
        let start = (0.1 * libm::sqrt(chance / made as f64)).min(1e-4);
        let upper = upper_sd(&lots, start, pooled, alike - fall);
        return Ok(LotYield {
            mean: Estimate::of_proportion(good, made, confidence)?,
            lots_sd: interval(0.0, 0.0, upper, confidence, rows),
            lots_differ: false,
            log_likelihood: alike,
            log_likelihood_alike: alike,
        });
    };
    let floor = top - fall;
    let sd = place.sd();
    let lower = if alike >= floor {
        0.0
    } else {
        lower_sd(&lots, place, floor)
    };
    let upper = upper_sd(&lots, sd, place.logit, floor);
    let (low, high) = mean_interval(&lots, rows.len(), place, floor);
    Ok(LotYield {
        mean: interval(place.mean(), low, high, confidence, rows),
        lots_sd: interval(sd, lower, upper, confidence, rows),
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

/// How far the greatest likelihood at an sd, by its logarithm, lies above the floor. Each place is
/// sought from the last, because neighbours are alike.
fn above_at_sd(lots: &Lots<'_>, logit: f64, floor: f64) -> impl Fn(f64) -> f64 {
    let near = Cell::new(logit);
    move |log| {
        let (place, value) = lots.at_sd(libm::exp(log).min(MOST_SD), near.get());
        near.set(place.logit);
        value - floor
    }
}

fn lower_sd(lots: &Lots<'_>, best: Place, floor: f64) -> f64 {
    let profile = above_at_sd(lots, best.logit, floor);
    crossing(libm::log(best.sd()), -0.3, 20.0, profile).map_or(0.0, libm::exp)
}

fn upper_sd(lots: &Lots<'_>, sd: f64, logit: f64, floor: f64) -> f64 {
    let profile = above_at_sd(lots, logit, floor);
    let reach = libm::log(MOST_SD / sd);
    crossing(libm::log(sd), 0.3, reach, profile).map_or(0.5, |log| libm::exp(log).min(0.5))
}

fn mean_interval(lots: &Lots<'_>, count: usize, best: Place, floor: f64) -> (f64, f64) {
    let (mean, sd) = (best.mean(), best.sd());
    // Of the order of the interval's half width: two standard errors, as a change of logit.
    let error = sd / libm::sqrt(count as f64) + 1e-9;
    let step = -normal_quantile(0.025) * error / (mean * (1.0 - mean));
    let end = |step: f64| {
        let near = Cell::new(best.tie);
        crossing(best.logit, step, LOGIT_REACH, |logit| {
            let place = lots.at_mean(logit, near.get());
            near.set(place.tie);
            lots.likelihood(place) - floor
        })
    };
    (
        end(-step).map_or(0.0, logistic),
        end(step).map_or(1.0, logistic),
    )
}
