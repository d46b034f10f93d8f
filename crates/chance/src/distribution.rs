//! The distributions a stated or fitted spread can have.
//!
//! Parameters carry the unit of the quantity they describe. Standard densities: Johnson, Kotz &
//! Balakrishnan, *Continuous Univariate Distributions*, vols 1–2 (from memory).

use crate::beta_binomial::BetaBinomial;
use crate::error::{ChanceError, require};
use crate::special::{
    beta_inc, beta_quantile, gamma_inc, gamma_quantile, ln_gamma, normal_cdf, normal_density,
    normal_quantile, normal_tail,
};
use crate::stream::Stream;
use serde::{Deserialize, Serialize};

/// A distribution of one quantity. `check` tells whether the parameters make one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Distribution {
    /// Always the same value.
    Constant {
        /// The value.
        value: f64,
    },
    /// Anywhere between two ends alike.
    Uniform {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// Low, likely and high guesses.
    Triangular {
        /// Lower end.
        low: f64,
        /// The peak.
        likely: f64,
        /// Upper end.
        high: f64,
    },
    /// Normal.
    Normal {
        /// Mean.
        mean: f64,
        /// Standard deviation.
        sd: f64,
    },
    /// A normal of which only the part above zero is left.
    TruncatedNormal {
        /// Mean of the normal before it is cut.
        centre: f64,
        /// Standard deviation of the normal before it is cut.
        spread: f64,
    },
    /// The logarithm is normal.
    LogNormal {
        /// Mean of the natural logarithm.
        log_mean: f64,
        /// Standard deviation of the natural logarithm.
        log_sd: f64,
    },
    /// Weibull: survival exp(−(x/scale)^shape).
    Weibull {
        /// Shape; below 1 early failures, above 1 wear.
        shape: f64,
        /// Scale: 63.2 % lie below it.
        scale: f64,
    },
    /// Gamma with mean shape·scale.
    Gamma {
        /// Shape.
        shape: f64,
        /// Scale.
        scale: f64,
    },
    /// A share between 0 and 1.
    Beta {
        /// First shape.
        alpha: f64,
        /// Second shape.
        beta: f64,
    },
    /// Times between events that keep no memory.
    Exponential {
        /// Mean.
        mean: f64,
    },
}

use Distribution::{
    Beta, Constant, Exponential, Gamma, LogNormal, Normal, Triangular, TruncatedNormal, Uniform,
    Weibull,
};

/// Constructors from what people state: a mean and a standard deviation.
impl Distribution {
    /// The lognormal with this mean and sd: log_sd² = ln(1 + sd²/mean²).
    pub fn log_normal_from_mean_sd(mean: f64, sd: f64) -> Result<Self, ChanceError> {
        require_mean_sd(mean, sd)?;
        let square = libm::log1p((sd / mean) * (sd / mean));
        let log_mean = libm::log(mean) - 0.5 * square;
        LogNormal {
            log_mean,
            log_sd: libm::sqrt(square),
        }
        .checked()
    }

    /// The gamma with this mean and sd: shape mean²/sd², scale sd²/mean.
    pub fn gamma_from_mean_sd(mean: f64, sd: f64) -> Result<Self, ChanceError> {
        require_mean_sd(mean, sd)?;
        Gamma {
            shape: (mean / sd) * (mean / sd),
            scale: sd / mean * sd,
        }
        .checked()
    }

    /// The beta with this mean and sd, refused when sd² ≥ mean·(1 − mean).
    pub fn beta_from_mean_sd(mean: f64, sd: f64) -> Result<Self, ChanceError> {
        let lots = BetaBinomial::from_mean_sd(mean, sd)?;
        Ok(Beta {
            alpha: lots.alpha(),
            beta: lots.beta(),
        })
    }

    /// Itself, when the parameters make a distribution.
    pub fn checked(self) -> Result<Self, ChanceError> {
        self.check().map(|()| self)
    }

    /// Refuses parameters that make no distribution.
    pub fn check(&self) -> Result<(), ChanceError> {
        match *self {
            Constant { value } => require(value.is_finite(), "value", value, "a finite number"),
            Uniform { low, high } => require_ends(low, high),
            Triangular { low, likely, high } => {
                require_ends(low, high)?;
                let inside = (low..=high).contains(&likely);
                require(
                    inside,
                    "likely value",
                    likely,
                    "between the low and the high value",
                )
            }
            Normal { mean, sd } => {
                require(mean.is_finite(), "mean", mean, "a finite number")?;
                require_positive("sd", sd)
            }
            TruncatedNormal { centre, spread } => {
                require_positive("spread", spread)?;
                // Further out nothing of the normal is left above zero to a double.
                require(
                    centre > -37.0 * spread,
                    "centre",
                    centre,
                    "above −37 spreads",
                )?;
                require(centre.is_finite(), "centre", centre, "a finite number")
            }
            LogNormal { log_mean, log_sd } => {
                require(
                    log_mean.is_finite(),
                    "log mean",
                    log_mean,
                    "a finite number",
                )?;
                require_positive("log sd", log_sd)
            }
            Weibull { shape, scale } | Gamma { shape, scale } => {
                require_positive("shape", shape)?;
                require_positive("scale", scale)
            }
            Beta { alpha, beta } => {
                require_positive("alpha", alpha)?;
                require_positive("beta", beta)
            }
            Exponential { mean } => require_positive("mean", mean),
        }
    }
}

fn require_positive(what: &'static str, value: f64) -> Result<(), ChanceError> {
    require(
        value > 0.0 && value.is_finite(),
        what,
        value,
        "a number above zero",
    )
}

fn require_mean_sd(mean: f64, sd: f64) -> Result<(), ChanceError> {
    require_positive("mean", mean)?;
    require_positive("sd", sd)
}

fn require_ends(low: f64, high: f64) -> Result<(), ChanceError> {
    require(low.is_finite(), "low value", low, "a finite number")?;
    require(
        high.is_finite() && high > low,
        "high value",
        high,
        "above the low value",
    )
}

/// What follows from the parameters. All answers are NaN-free for parameters that pass `check`.
impl Distribution {
    /// The trade's name.
    pub fn name(&self) -> &'static str {
        match self {
            Constant { .. } => "constant",
            Uniform { .. } => "uniform",
            Triangular { .. } => "triangular",
            Normal { .. } => "normal",
            TruncatedNormal { .. } => "normal cut at zero",
            LogNormal { .. } => "lognormal",
            Weibull { .. } => "Weibull",
            Gamma { .. } => "gamma",
            Beta { .. } => "beta",
            Exponential { .. } => "exponential",
        }
    }

    /// Mean.
    pub fn mean(&self) -> f64 {
        match *self {
            Constant { value } => value,
            Uniform { low, high } => low + 0.5 * (high - low),
            Triangular { low, likely, high } => (low + likely + high) / 3.0,
            Normal { mean, .. } | Exponential { mean } => mean,
            TruncatedNormal { centre, spread } => centre + spread * hazard(-centre / spread),
            LogNormal { log_mean, log_sd } => libm::exp(log_mean + 0.5 * log_sd * log_sd),
            Weibull { shape, scale } => scale * libm::exp(ln_gamma(1.0 + 1.0 / shape)),
            Gamma { shape, scale } => shape * scale,
            Beta { alpha, beta } => alpha / (alpha + beta),
        }
    }

    /// Standard deviation.
    pub fn sd(&self) -> f64 {
        match *self {
            Constant { .. } => 0.0,
            Uniform { low, high } => (high - low) / libm::sqrt(12.0),
            Triangular { low, likely, high } => triangular_sd(low, likely, high),
            Normal { sd, .. } => sd,
            TruncatedNormal { centre, spread } => {
                let cut = -centre / spread;
                let rate = hazard(cut);
                spread * libm::sqrt((1.0 - rate * (rate - cut)).max(0.0))
            }
            LogNormal { log_sd, .. } => self.mean() * libm::sqrt(libm::expm1(log_sd * log_sd)),
            Weibull { shape, scale } => {
                let (one, two) = (ln_gamma(1.0 + 1.0 / shape), ln_gamma(1.0 + 2.0 / shape));
                scale * libm::exp(one) * libm::sqrt(libm::expm1(two - 2.0 * one).max(0.0))
            }
            Gamma { shape, scale } => scale * libm::sqrt(shape),
            Beta { alpha, beta } => {
                let total = alpha + beta;
                libm::sqrt(alpha / total * (beta / total) / (total + 1.0))
            }
            Exponential { mean } => mean,
        }
    }

    /// Chance of a value at or below `x`.
    pub fn cdf(&self, x: f64) -> f64 {
        match *self {
            Constant { value } => f64::from(u8::from(x >= value)),
            Uniform { low, high } => ((x - low) / (high - low)).clamp(0.0, 1.0),
            Triangular { low, likely, high } => triangular_cdf(low, likely, high, x),
            Normal { mean, sd } => normal_cdf((x - mean) / sd),
            LogNormal { log_mean, log_sd } if x > 0.0 => {
                normal_cdf((libm::log(x) - log_mean) / log_sd)
            }
            TruncatedNormal { centre, spread } if x > 0.0 => {
                let kept = normal_tail(-centre / spread);
                1.0 - (normal_tail((x - centre) / spread) / kept).min(1.0)
            }
            Weibull { shape, scale } if x > 0.0 => -libm::expm1(-libm::pow(x / scale, shape)),
            Gamma { shape, scale } if x > 0.0 => gamma_inc(shape, x / scale),
            Beta { alpha, beta } if x > 0.0 => beta_inc(alpha, beta, x.min(1.0)),
            Exponential { mean } if x > 0.0 => -libm::expm1(-x / mean),
            _ => 0.0,
        }
    }

    /// The value below which a share `p` lies, 0 ≤ p ≤ 1.
    pub fn quantile(&self, p: f64) -> f64 {
        let p = p.clamp(0.0, 1.0);
        match *self {
            Constant { value } => value,
            Uniform { low, high } => low + p * (high - low),
            Triangular { low, likely, high } => triangular_quantile(low, likely, high, p),
            Normal { mean, sd } => mean + sd * normal_quantile(p),
            LogNormal { log_mean, log_sd } => libm::exp(log_mean + log_sd * normal_quantile(p)),
            TruncatedNormal { centre, spread } => {
                let kept = normal_tail(-centre / spread);
                (centre - spread * normal_quantile((1.0 - p) * kept)).max(0.0)
            }
            Weibull { shape, scale } => scale * libm::pow(-libm::log1p(-p), 1.0 / shape),
            Gamma { shape, scale } => scale * gamma_quantile(shape, p),
            Beta { alpha, beta } => beta_quantile(alpha, beta, p),
            Exponential { mean } => -mean * libm::log1p(-p),
        }
    }

    /// One value. All but gamma and beta invert the distribution, so that a larger uniform gives a
    /// larger value and variants can be compared on the same luck.
    pub fn sample(&self, stream: &mut Stream) -> f64 {
        match *self {
            Constant { value } => value,
            Gamma { shape, scale } => scale * sample_gamma(shape, stream),
            Beta { alpha, beta } => {
                let (a, b) = (sample_gamma(alpha, stream), sample_gamma(beta, stream));
                if a + b > 0.0 { a / (a + b) } else { 0.5 }
            }
            _ => self.quantile(stream.uniform()),
        }
    }
}

/// φ(z)/(1 − Φ(z)): the mean of a standard normal above z.
fn hazard(z: f64) -> f64 {
    normal_density(z) / normal_tail(z)
}

fn triangular_sd(low: f64, likely: f64, high: f64) -> f64 {
    let (rise, fall, whole) = (likely - low, high - likely, high - low);
    libm::sqrt((rise * rise + fall * fall + whole * whole) / 36.0)
}

fn triangular_cdf(low: f64, likely: f64, high: f64, x: f64) -> f64 {
    if x <= low {
        0.0
    } else if x >= high {
        1.0
    } else if x < likely {
        (x - low) / (high - low) * ((x - low) / (likely - low))
    } else {
        1.0 - (high - x) / (high - low) * ((high - x) / (high - likely))
    }
}

fn triangular_quantile(low: f64, likely: f64, high: f64, p: f64) -> f64 {
    let whole = high - low;
    if p * whole < likely - low {
        low + libm::sqrt(p * whole * (likely - low))
    } else {
        high - libm::sqrt((1.0 - p) * whole * (high - likely))
    }
}

/// Gamma of scale 1 (Marsaglia & Tsang 2000, ACM TOMS 26:363; shapes below 1 by their boost).
fn sample_gamma(shape: f64, stream: &mut Stream) -> f64 {
    if shape < 1.0 {
        let boost = libm::pow(stream.uniform(), 1.0 / shape);
        return sample_gamma(shape + 1.0, stream) * boost;
    }
    let d = shape - 1.0 / 3.0;
    let c = 1.0 / libm::sqrt(9.0 * d);
    loop {
        let z = stream.normal();
        let stretched = 1.0 + c * z;
        if stretched <= 0.0 {
            continue;
        }
        let v = stretched * stretched * stretched;
        if libm::log(stream.uniform()) < 0.5 * z * z + d * (1.0 - v + libm::log(v)) {
            return d * v;
        }
    }
}
