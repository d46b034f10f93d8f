//! Distributions fitted to measured times and weights by maximum likelihood.
//!
//! Four families of two parameters are tried and ranked by the corrected Akaike criterion
//! (Hurvich & Tsai 1989). The interval of the mean is the profile-likelihood interval, with the
//! threshold n·ln(1 + t²/(n−1)) in place of chi-square: for the normal family that is exactly
//! Student's interval, and for the others it widens small samples alike.

use crate::distribution::Distribution;
use crate::error::{ChanceError, require_sample};
use crate::estimate::{Estimate, mean, require_confidence, sd};
use crate::search::{crossing, falling_root};
use crate::special::{
    Tails, digamma, gamma_tails, ln_gamma, normal_cdf, normal_tail, student_t_quantile, trigamma,
};
use serde::{Deserialize, Serialize};
use std::cell::Cell;

/// Fewest values a fit is made from.
pub const FEWEST: usize = 3;
/// ln(2π).
const LN_TWO_PI: f64 = 1.837_877_066_409_345_3;
/// How far a shape is sought around the one before it, in its logarithm.
const SHAPE_REACH: f64 = 4.0;
/// How far an end of the mean's interval is sought, in its logarithm.
const MEAN_REACH: f64 = 40.0;

/// A family of distributions with two parameters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Family {
    /// Normal.
    Normal,
    /// Lognormal; values above zero.
    LogNormal,
    /// Gamma; values above zero.
    Gamma,
    /// Weibull; values above zero.
    Weibull,
}

impl Family {
    /// All families, in the order ties are broken.
    pub const ALL: [Self; 4] = [Self::Normal, Self::LogNormal, Self::Gamma, Self::Weibull];
}

/// A fitted distribution.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Fit {
    /// The distribution with the parameters of greatest likelihood.
    pub distribution: Distribution,
    /// Its family.
    pub family: Family,
    /// Natural logarithm of the likelihood.
    pub log_likelihood: f64,
    /// Corrected Akaike criterion; lower is better. With three values, where the correction is
    /// infinite, the uncorrected one: all families have two parameters, so the ranking is the same.
    pub aicc: f64,
    /// Anderson–Darling distance A² (1952) between the sample and the fit.
    pub anderson_darling: f64,
    /// Mean of the fitted distribution; the upper end is infinite when the sample sets none.
    pub mean: Estimate,
}

/// The sums every likelihood here is made of.
struct Sample<'a> {
    values: &'a [f64],
    n: f64,
    logs: Vec<f64>,
    mean: f64,
    log_mean: f64,
    log_square: f64,
}

impl<'a> Sample<'a> {
    fn of(values: &'a [f64]) -> Self {
        let n = values.len() as f64;
        let logs: Vec<f64> = values.iter().map(|value| libm::log(*value)).collect();
        let log_mean = mean(&logs);
        let log_square = logs
            .iter()
            .map(|log| (log - log_mean) * (log - log_mean))
            .sum::<f64>()
            / n;
        Self {
            values,
            n,
            logs,
            mean: mean(values),
            log_mean,
            log_square,
        }
    }
}

/// Fits one family. At least three values, finite, not all the same, and above zero for all
/// families but the normal.
pub fn fit(values: &[f64], family: Family, confidence: f64) -> Result<Fit, ChanceError> {
    require_readings(values, confidence)?;
    let sample = Sample::of(values);
    Likeliest::of(&sample, family)?.fit(&sample, confidence)
}

/// Fits every family the values allow, the best first.
pub fn ranked(values: &[f64], confidence: f64) -> Result<Vec<Fit>, ChanceError> {
    require_readings(values, confidence)?;
    let sample = Sample::of(values);
    let fits = by_likelihood(&sample)?;
    fits.iter()
        .map(|likeliest| likeliest.fit(&sample, confidence))
        .collect()
}

/// The best fit of all families the values allow: the first of [`ranked`], without the intervals
/// of the others, which are most of the work.
pub fn best(values: &[f64], confidence: f64) -> Result<Fit, ChanceError> {
    require_readings(values, confidence)?;
    let sample = Sample::of(values);
    by_likelihood(&sample)?[0].fit(&sample, confidence)
}

fn require_readings(values: &[f64], confidence: f64) -> Result<(), ChanceError> {
    require_sample(values, FEWEST)?;
    require_confidence(confidence)?;
    if values.iter().all(|value| *value == values[0]) {
        return Err(ChanceError::NoSpread { value: values[0] });
    }
    Ok(())
}

/// The likeliest of every family the values allow, the best first; never none.
fn by_likelihood(sample: &Sample<'_>) -> Result<Vec<Likeliest>, ChanceError> {
    let mut found = vec![Likeliest::of(sample, Family::Normal)?];
    found.extend(
        Family::ALL[1..]
            .iter()
            .filter_map(|family| Likeliest::of(sample, *family).ok()),
    );
    found.sort_by(|a, b| b.log_likelihood.total_cmp(&a.log_likelihood));
    Ok(found)
}

/// The likeliest member of a family, before anything is asked of it.
struct Likeliest {
    family: Family,
    distribution: Distribution,
    log_likelihood: f64,
}

impl Likeliest {
    fn of(sample: &Sample<'_>, family: Family) -> Result<Self, ChanceError> {
        if family != Family::Normal
            && let Some(index) = sample.values.iter().position(|value| *value <= 0.0)
        {
            return Err(ChanceError::NotPositive {
                index,
                value: sample.values[index],
            });
        }
        let distribution = greatest_likelihood(sample, family).checked()?;
        Ok(Self {
            family,
            distribution,
            log_likelihood: log_likelihood(sample, &distribution),
        })
    }

    /// With its interval and its distance from the sample.
    fn fit(&self, sample: &Sample<'_>, confidence: f64) -> Result<Fit, ChanceError> {
        let (distribution, top) = (self.distribution, self.log_likelihood);
        Ok(Fit {
            distribution,
            family: self.family,
            log_likelihood: top,
            aicc: aicc(top, sample.n),
            anderson_darling: anderson_darling(sample.values, &distribution),
            mean: match self.family {
                Family::Normal => Estimate::of_mean(sample.values, confidence)?,
                _ => profile_mean(sample, &distribution, top, confidence),
            },
        })
    }
}

/// The Akaike criterion for two parameters with the correction 2k(k+1)/(n−k−1).
fn aicc(log_likelihood: f64, n: f64) -> f64 {
    let correction = if n > 3.0 { 12.0 / (n - 3.0) } else { 0.0 };
    4.0 - 2.0 * log_likelihood + correction
}

fn greatest_likelihood(sample: &Sample<'_>, family: Family) -> Distribution {
    match family {
        Family::Normal => Distribution::Normal {
            mean: sample.mean,
            sd: sd(sample.values) * libm::sqrt(1.0 - 1.0 / sample.n),
        },
        Family::LogNormal => Distribution::LogNormal {
            log_mean: sample.log_mean,
            log_sd: libm::sqrt(sample.log_square),
        },
        Family::Gamma => {
            let shape = gamma_shape(libm::log(sample.mean) - sample.log_mean);
            Distribution::Gamma {
                shape,
                scale: sample.mean / shape,
            }
        }
        Family::Weibull => {
            // ln x of a Weibull is a Gumbel variable, of sd π/√6 over the shape.
            let start = 0.5 * libm::log(LOG_VARIANCE / sample.log_square);
            let shape = libm::exp(falling_root((-9.0, 14.0), start, |t| {
                weibull_score(sample, libm::exp(t))
            }));
            Distribution::Weibull {
                shape,
                scale: weibull_scale(sample, shape),
            }
        }
    }
}

/// π²/6, the variance of the logarithm of a Weibull variable of shape 1.
const LOG_VARIANCE: f64 = 1.644_934_066_848_226_4;

/// The shape k at which ln k − ψ(k) is `gap`, from the approximation of Minka (2002), which is
/// good to 1.5 %.
fn gamma_shape(gap: f64) -> f64 {
    let start = (3.0 - gap + libm::sqrt((gap - 3.0) * (gap - 3.0) + 24.0 * gap)) / (12.0 * gap);
    libm::exp(falling_root((-14.0, 23.0), libm::log(start), |t| {
        let shape = libm::exp(t);
        (t - digamma(shape) - gap, 1.0 - shape * trigamma(shape))
    }))
}

/// 1/k + mean ln x − Σxᵏ·ln x/Σxᵏ, zero at the best shape k and falling with it (Cohen 1965), and
/// its slope in ln k.
fn weibull_score(sample: &Sample<'_>, shape: f64) -> (f64, f64) {
    let largest = sample
        .logs
        .iter()
        .copied()
        .fold(f64::NEG_INFINITY, f64::max);
    let (mut weight, mut first, mut second) = (0.0, 0.0, 0.0);
    for log in &sample.logs {
        let log = log - largest;
        let power = libm::exp(shape * log);
        weight += power;
        first += power * log;
        second += power * log * log;
    }
    let (middle, square) = (first / weight, second / weight);
    let variance = (square - middle * middle).max(0.0);
    (
        1.0 / shape + (sample.log_mean - largest) - middle,
        -1.0 / shape - shape * variance,
    )
}

/// (mean of xᵏ)^(1/k), scaled by the largest value so that no power overflows.
fn weibull_scale(sample: &Sample<'_>, shape: f64) -> f64 {
    let largest = sample.values.iter().copied().fold(0.0, f64::max);
    let powers = sample
        .values
        .iter()
        .map(|value| libm::pow(value / largest, shape));
    largest * libm::pow(powers.sum::<f64>() / sample.n, 1.0 / shape)
}

/// Natural logarithm of the likelihood of a member of the four families.
fn log_likelihood(sample: &Sample<'_>, distribution: &Distribution) -> f64 {
    let n = sample.n;
    match *distribution {
        Distribution::Normal { mean, sd } => {
            let square = |value: &f64| (value - mean) / sd * ((value - mean) / sd);
            let squares: f64 = sample.values.iter().map(square).sum();
            -0.5 * squares - n * (libm::log(sd) + 0.5 * LN_TWO_PI)
        }
        Distribution::LogNormal { log_mean, log_sd } => {
            let gap = sample.log_mean - log_mean;
            let squares = n * (sample.log_square + gap * gap) / (log_sd * log_sd);
            -0.5 * squares - n * (libm::log(log_sd) + 0.5 * LN_TWO_PI + sample.log_mean)
        }
        Distribution::Gamma { shape, scale } => {
            let each = (shape - 1.0) * sample.log_mean - sample.mean / scale;
            n * (each - shape * libm::log(scale) - ln_gamma(shape))
        }
        Distribution::Weibull { shape, scale } => {
            let log_scale = libm::log(scale);
            let power = |log: &f64| libm::exp(shape * (log - log_scale));
            let powers: f64 = sample.logs.iter().map(power).sum();
            let each = (shape - 1.0) * sample.log_mean - shape * log_scale;
            n * (libm::log(shape) + each) - powers
        }
        _ => f64::NEG_INFINITY,
    }
}

/// The likeliest member of the family of `like` with this mean, sought from the logarithm of a
/// shape thought to be near.
fn likeliest_of_mean(
    sample: &Sample<'_>,
    like: &Distribution,
    log_mean: f64,
    near: f64,
) -> Distribution {
    let mean = libm::exp(log_mean);
    match like {
        Distribution::LogNormal { .. } => {
            // With v = σ² and the mean of ln x at ln μ − v/2, the likelihood is greatest where
            // v² + 4v = 4·(s² + (ln μ − mean ln x)²).
            let gap = log_mean - sample.log_mean;
            let square = sample.log_square + gap * gap;
            let variance = 2.0 * square / (1.0 + libm::sqrt(1.0 + square));
            Distribution::LogNormal {
                log_mean: log_mean - 0.5 * variance,
                log_sd: libm::sqrt(variance),
            }
        }
        Distribution::Gamma { .. } => {
            let gap = sample.mean / mean - 1.0 + (log_mean - sample.log_mean);
            let shape = gamma_shape(gap);
            Distribution::Gamma {
                shape,
                scale: mean / shape,
            }
        }
        _ => {
            let around = (near - SHAPE_REACH, near + SHAPE_REACH);
            let shape = libm::exp(falling_root(around, near, |t| {
                weibull_slope(sample, log_mean, libm::exp(t))
            }));
            Distribution::Weibull {
                shape,
                scale: mean / libm::exp(ln_gamma(1.0 + 1.0 / shape)),
            }
        }
    }
}

/// The slope of the Weibull's log-likelihood in the logarithm of the shape k at a fixed mean μ,
/// and the slope of that.
///
/// With z = k·(ln x − ln scale) and ln scale = ln μ − ln Γ(1+1/k) the log-likelihood is
/// Σ (ln k + z − eᶻ − ln x), and dz/d ln k = z − ψ(1+1/k).
fn weibull_slope(sample: &Sample<'_>, log_mean: f64, shape: f64) -> (f64, f64) {
    let inverse = 1.0 / shape;
    let log_scale = log_mean - ln_gamma(1.0 + inverse);
    let (shift, bend) = (digamma(1.0 + inverse), inverse * trigamma(1.0 + inverse));
    let (mut slope, mut curve) = (sample.n, 0.0);
    for log in &sample.logs {
        // Above 600 the sums would overflow; the sign of the slope is the same.
        let z = (shape * (log - log_scale)).min(600.0);
        let power = libm::exp(z);
        let first = z - shift;
        slope += first * (1.0 - power);
        curve += (first + bend) * (1.0 - power) - first * first * power;
    }
    (slope, curve)
}

fn log_shape(distribution: &Distribution) -> f64 {
    match *distribution {
        Distribution::Gamma { shape, .. } | Distribution::Weibull { shape, .. } => libm::log(shape),
        _ => 0.0,
    }
}

/// Half the fall of the log-likelihood that the interval allows.
pub(crate) fn allowed_fall(n: f64, confidence: f64) -> f64 {
    let t = student_t_quantile(n - 1.0, 0.5 + 0.5 * confidence);
    0.5 * n * libm::log1p(t * t / (n - 1.0))
}

fn profile_mean(sample: &Sample<'_>, best: &Distribution, top: f64, confidence: f64) -> Estimate {
    let fall = allowed_fall(sample.n, confidence);
    // The best shape moves little from one mean to the next.
    let near = Cell::new(log_shape(best));
    let profile = |log_mean: f64| {
        let likeliest = likeliest_of_mean(sample, best, log_mean, near.get());
        near.set(log_shape(&likeliest));
        log_likelihood(sample, &likeliest) - (top - fall)
    };
    let peak = libm::log(best.mean());
    // A normal guess of the interval's half width, in the logarithm of the mean.
    let step = best.sd() / (best.mean() * libm::sqrt(sample.n)) * libm::sqrt(2.0 * fall);
    let low = crossing(peak, -step, MEAN_REACH, profile);
    near.set(log_shape(best));
    let high = crossing(peak, step, MEAN_REACH, profile);
    Estimate {
        mean: best.mean(),
        low: low.map_or(0.0, libm::exp),
        high: high.map_or(f64::INFINITY, libm::exp),
        confidence,
        n: sample.values.len() as u64,
    }
}

/// A² = −n − Σ (2i−1)/n·[ln F(xᵢ) + ln(1 − F(xₙ₊₁₋ᵢ))] (Anderson & Darling 1954).
fn anderson_darling(values: &[f64], distribution: &Distribution) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let n = sorted.len() as f64;
    let ln = |p: f64| libm::log(p.max(f64::MIN_POSITIVE));
    let sum: f64 = sorted
        .iter()
        .enumerate()
        .map(|(index, value)| {
            // The i-th from above is the (n+1−i)-th from below: each value's tails serve twice.
            let (tails, below) = (tails(distribution, *value), 2.0 * index as f64 + 1.0);
            below * ln(tails.lower) + (2.0 * n - below) * ln(tails.upper)
        })
        .sum();
    -n - sum / n
}

fn tails(distribution: &Distribution, x: f64) -> Tails {
    let normal = |z: f64| Tails {
        lower: normal_cdf(z),
        upper: normal_tail(z),
    };
    match *distribution {
        Distribution::Normal { mean, sd } => normal((x - mean) / sd),
        Distribution::LogNormal { log_mean, log_sd } => normal((libm::log(x) - log_mean) / log_sd),
        Distribution::Gamma { shape, scale } => gamma_tails(shape, x / scale),
        Distribution::Weibull { shape, scale } => {
            let power = libm::pow(x / scale, shape);
            Tails {
                lower: -libm::expm1(-power),
                upper: libm::exp(-power),
            }
        }
        _ => Tails {
            lower: distribution.cdf(x),
            upper: 1.0 - distribution.cdf(x),
        },
    }
}
