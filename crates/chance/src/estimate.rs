//! What a sample says about the value behind it, with an interval.

use crate::error::{ChanceError, require, require_sample};
use crate::special::{beta_quantile, student_t_quantile};
use serde::{Deserialize, Serialize};

/// An estimate with its interval, in the unit of the values.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Estimate {
    /// Best estimate.
    pub mean: f64,
    /// Lower end of the interval.
    pub low: f64,
    /// Upper end of the interval.
    pub high: f64,
    /// Chance that such an interval holds the true value, e.g. 0.95.
    pub confidence: f64,
    /// Number of values behind it.
    pub n: u64,
}

impl Estimate {
    /// The mean by Student's t (Student 1908): mean ± t·sd/√n. At least two values.
    pub fn of_mean(values: &[f64], confidence: f64) -> Result<Self, ChanceError> {
        require_sample(values, 2)?;
        require_confidence(confidence)?;
        let n = values.len() as f64;
        let middle = mean(values);
        let t = student_t_quantile(n - 1.0, 0.5 + 0.5 * confidence);
        let half = t * sd(values) / libm::sqrt(n);
        Ok(Self {
            mean: middle,
            low: middle - half,
            high: middle + half,
            confidence,
            n: values.len() as u64,
        })
    }

    /// A share by Clopper & Pearson (1934), Biometrika 26:404: never covers less than it says.
    pub fn of_proportion(hits: u64, n: u64, confidence: f64) -> Result<Self, ChanceError> {
        let outside = 0.5 - 0.5 * confidence;
        Ok(Self {
            mean: hits as f64 / n as f64,
            low: proportion_lower(hits, n, 1.0 - outside)?,
            high: proportion_upper(hits, n, 1.0 - outside)?,
            confidence,
            n,
        })
    }
}

/// One-sided upper Clopper–Pearson bound of a share: the Beta(hits+1, n−hits) quantile.
pub fn proportion_upper(hits: u64, n: u64, confidence: f64) -> Result<f64, ChanceError> {
    require_share(hits, n, confidence)?;
    if hits == n {
        return Ok(1.0);
    }
    Ok(beta_quantile(
        hits as f64 + 1.0,
        (n - hits) as f64,
        confidence,
    ))
}

/// One-sided lower Clopper–Pearson bound of a share: the Beta(hits, n−hits+1) quantile.
pub fn proportion_lower(hits: u64, n: u64, confidence: f64) -> Result<f64, ChanceError> {
    require_share(hits, n, confidence)?;
    if hits == 0 {
        return Ok(0.0);
    }
    Ok(beta_quantile(
        hits as f64,
        (n - hits) as f64 + 1.0,
        1.0 - confidence,
    ))
}

fn require_share(hits: u64, n: u64, confidence: f64) -> Result<(), ChanceError> {
    require_confidence(confidence)?;
    require(n > 0, "number tried", n as f64, "at least 1")?;
    require(
        hits <= n,
        "number of hits",
        hits as f64,
        "no more than the number tried",
    )
}

pub(crate) fn require_confidence(confidence: f64) -> Result<(), ChanceError> {
    require(
        confidence > 0.0 && confidence < 1.0,
        "confidence",
        confidence,
        "between 0 and 1",
    )
}

/// Arithmetic mean, corrected once for rounding; NaN of an empty sample.
pub fn mean(values: &[f64]) -> f64 {
    let n = values.len() as f64;
    let first = values.iter().sum::<f64>() / n;
    first + values.iter().map(|value| value - first).sum::<f64>() / n
}

/// Sample standard deviation (n − 1), by the corrected two-pass algorithm (Chan, Golub & LeVeque
/// 1983); 0 below two values.
pub fn sd(values: &[f64]) -> f64 {
    if values.len() < 2 {
        return 0.0;
    }
    let n = values.len() as f64;
    let middle = mean(values);
    let squares: f64 = values
        .iter()
        .map(|value| (value - middle) * (value - middle))
        .sum();
    let left: f64 = values.iter().map(|value| value - middle).sum();
    libm::sqrt((squares - left * left / n) / (n - 1.0))
}

/// Sample quantile by linear interpolation between order statistics (Hyndman & Fan 1996, type 7).
/// `p` from 0 to 1; at least one value.
pub fn quantile(values: &[f64], p: f64) -> Result<f64, ChanceError> {
    require_sample(values, 1)?;
    require((0.0..=1.0).contains(&p), "share", p, "from 0 to 1")?;
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let place = p * (sorted.len() - 1) as f64;
    let below = libm::floor(place) as usize;
    let above = (below + 1).min(sorted.len() - 1);
    let part = place - below as f64;
    Ok(sorted[below] + part * (sorted[above] - sorted[below]))
}
