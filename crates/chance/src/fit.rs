//! Distributions fitted to measured times and weights by maximum likelihood.
//!
//! Four families of two parameters are tried and ranked by the corrected Akaike criterion
//! (Hurvich & Tsai 1989). The interval of the mean is the profile-likelihood interval, with the
//! threshold n·ln(1 + t²/(n−1)) in place of chi-square: for the normal family that is exactly
//! Student's interval, and for the others it widens small samples alike.

use crate::distribution::Distribution;
use crate::error::{ChanceError, require_sample};
use crate::estimate::{Estimate, mean, require_confidence, sd};
use crate::search::{crossing, maximum, rising_root};
use crate::special::{
    Tails, digamma, gamma_tails, ln_gamma, normal_cdf, normal_tail, student_t_quantile,
};
use serde::{Deserialize, Serialize};

/// Fewest values a fit is made from.
pub const FEWEST: usize = 3;
/// ln(2π).
const LN_TWO_PI: f64 = 1.837_877_066_409_345_3;
/// How far the shape is sought around its best value, in its logarithm.
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
            mean: mean(values),
            log_mean,
            log_square,
        }
    }
}

/// Fits one family. At least three values, finite, not all the same, and above zero for all
/// families but the normal.
pub fn fit(values: &[f64], family: Family, confidence: f64) -> Result<Fit, ChanceError> {
    require_sample(values, FEWEST)?;
    require_confidence(confidence)?;
    if values.iter().all(|value| *value == values[0]) {
        return Err(ChanceError::NoSpread { value: values[0] });
    }
    if family != Family::Normal
        && let Some(index) = values.iter().position(|value| *value <= 0.0)
    {
        return Err(ChanceError::NotPositive {
            index,
            value: values[index],
        });
    }
    let sample = Sample::of(values);
    let distribution = greatest_likelihood(&sample, family).checked()?;
    let log_likelihood = log_likelihood(&sample, &distribution);
    Ok(Fit {
        distribution,
        family,
        log_likelihood,
        aicc: aicc(log_likelihood, sample.n),
        anderson_darling: anderson_darling(values, &distribution),
        mean: match family {
            Family::Normal => Estimate::of_mean(values, confidence)?,
            _ => profile_mean(&sample, &distribution, log_likelihood, confidence),
        },
    })
}

/// Fits every family the values allow, the best first.
pub fn ranked(values: &[f64], confidence: f64) -> Result<Vec<Fit>, ChanceError> {
    let mut fits = vec![fit(values, Family::Normal, confidence)?];
    fits.extend(
        Family::ALL[1..]
            .iter()
            .filter_map(|family| fit(values, *family, confidence).ok()),
    );
    fits.sort_by(|a, b| a.aicc.total_cmp(&b.aicc));
    Ok(fits)
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
            // ln k − ψ(k) = ln x̄ − mean ln x; the left side falls with k (Minka 2002).
            let gap = libm::log(sample.mean) - sample.log_mean;
            let shape = libm::exp(rising_root(-14.0, 23.0, |t| {
                gap - t + digamma(libm::exp(t))
            }));
            Distribution::Gamma {
                shape,
                scale: sample.mean / shape,
            }
        }
        Family::Weibull => {
            let shape = libm::exp(rising_root(-9.0, 14.0, |t| {
                weibull_score(sample, libm::exp(t))
            }));
            Distribution::Weibull {
                shape,
                scale: weibull_scale(sample, shape),
            }
        }
    }
}

/// Σxᵏ·ln x/Σxᵏ − 1/k − mean ln x, zero at the best shape and rising with it (Cohen 1965).
fn weibull_score(sample: &Sample<'_>, shape: f64) -> f64 {
    let largest = sample.values.iter().copied().fold(0.0, f64::max);
    let (mut weight, mut weighted) = (0.0, 0.0);
    for value in sample.values {
        let log = libm::log(value / largest);
        let power = libm::exp(shape * log);
        weight += power;
        weighted += power * log;
    }
    weighted / weight + libm::log(largest) - 1.0 / shape - sample.log_mean
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
            let powers: f64 = sample
                .values
                .iter()
                .map(|value| libm::pow(value / scale, shape))
                .sum();
            let each = (shape - 1.0) * sample.log_mean - shape * libm::log(scale);
            n * (libm::log(shape) + each) - powers
        }
        _ => f64::NEG_INFINITY,
    }
}

/// The member of the same family with this mean and shape.
fn with_mean(like: &Distribution, mean: f64, shape: f64) -> Distribution {
    match like {
        Distribution::LogNormal { .. } => Distribution::LogNormal {
            log_mean: libm::log(mean) - 0.5 * shape * shape,
            log_sd: shape,
        },
        Distribution::Gamma { .. } => Distribution::Gamma {
            shape,
            scale: mean / shape,
        },
        _ => Distribution::Weibull {
            shape,
            scale: mean / libm::exp(ln_gamma(1.0 + 1.0 / shape)),
        },
    }
}

fn shape_of(distribution: &Distribution) -> f64 {
    match *distribution {
        Distribution::LogNormal { log_sd, .. } => log_sd,
        Distribution::Gamma { shape, .. } | Distribution::Weibull { shape, .. } => shape,
        _ => 1.0,
    }
}

/// Half the fall of the log-likelihood that the interval allows.
pub(crate) fn allowed_fall(n: f64, confidence: f64) -> f64 {
    let t = student_t_quantile(n - 1.0, 0.5 + 0.5 * confidence);
    0.5 * n * libm::log1p(t * t / (n - 1.0))
}

fn profile_mean(sample: &Sample<'_>, best: &Distribution, top: f64, confidence: f64) -> Estimate {
    let middle = libm::log(shape_of(best));
    let fall = allowed_fall(sample.n, confidence);
    let profile = |log_mean: f64| {
        let at = |log_shape: f64| {
            log_likelihood(
                sample,
                &with_mean(best, libm::exp(log_mean), libm::exp(log_shape)),
            )
        };
        maximum(middle - SHAPE_REACH, middle + SHAPE_REACH, at).1 - (top - fall)
    };
    let peak = libm::log(best.mean());
    // A normal guess of the interval's half width, in the logarithm of the mean.
    let step = best.sd() / (best.mean() * libm::sqrt(sample.n)) * libm::sqrt(2.0 * fall);
    let low = crossing(peak, -step, MEAN_REACH, profile);
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
    let pairs = sorted.iter().zip(sorted.iter().rev()).enumerate();
    let sum: f64 = pairs
        .map(|(index, (up, down))| {
            let logs = ln(tails(distribution, *up).lower) + ln(tails(distribution, *down).upper);
            (2.0 * index as f64 + 1.0) * logs
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
