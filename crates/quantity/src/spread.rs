//! A number that may be spread: exact, between two bounds, with a likely value, or normal.

use serde::{Deserialize, Serialize};

/// The 99 % point of the standard normal distribution: `low` and `high` of a normal spread are its
/// 1 % and 99 % points. (NIST/SEMATECH e-Handbook, table 1.3.6.7.1 gives 2.326.)
const Z_99: f64 = 2.326_347_874_040_841;

/// A number with what is known of its spread.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Spread {
    /// One value.
    Exact(f64),
    /// Anywhere between two bounds: the uniform distribution.
    Range {
        /// Lower bound.
        low: f64,
        /// Upper bound.
        high: f64,
    },
    /// Bounds and the likeliest value: the triangular distribution.
    Triple {
        /// Lower bound.
        low: f64,
        /// Mode.
        likely: f64,
        /// Upper bound.
        high: f64,
    },
    /// The normal distribution; `sd` is one standard deviation.
    Normal {
        /// Mean.
        mean: f64,
        /// Standard deviation.
        sd: f64,
    },
}

impl Spread {
    /// Expected value. Triangular: (a + b + c)/3.
    pub fn mean(&self) -> f64 {
        match *self {
            Self::Exact(value) => value,
            Self::Range { low, high } => f64::midpoint(low, high),
            Self::Triple { low, likely, high } => low / 3.0 + likely / 3.0 + high / 3.0,
            Self::Normal { mean, .. } => mean,
        }
    }

    /// Standard deviation. Uniform: (b − a)/√12. Triangular: the variance is
    /// (a² + b² + c² − ab − ac − bc)/18, here written in differences so that nothing cancels.
    pub fn sd(&self) -> f64 {
        match *self {
            Self::Exact(_) => 0.0,
            Self::Range { low, high } => (high - low) / 12.0_f64.sqrt(),
            Self::Triple { low, likely, high } => {
                let (ab, bc, ac) = (likely - low, high - likely, high - low);
                ((ab * ab + bc * bc + ac * ac) / 36.0).sqrt()
            }
            Self::Normal { sd, .. } => sd,
        }
    }

    /// Lower bound; for a normal spread its 1 % point.
    pub fn low(&self) -> f64 {
        match *self {
            Self::Exact(value) => value,
            Self::Range { low, .. } | Self::Triple { low, .. } => low,
            Self::Normal { mean, sd } => mean - Z_99 * sd,
        }
    }

    /// Upper bound; for a normal spread its 99 % point.
    pub fn high(&self) -> f64 {
        match *self {
            Self::Exact(value) => value,
            Self::Range { high, .. } | Self::Triple { high, .. } => high,
            Self::Normal { mean, sd } => mean + Z_99 * sd,
        }
    }

    /// The likeliest value; for a range its middle.
    pub fn likely(&self) -> f64 {
        match *self {
            Self::Triple { likely, .. } => likely,
            _ => self.mean(),
        }
    }

    /// True when there is no spread.
    pub fn is_exact(&self) -> bool {
        matches!(self, Self::Exact(_))
    }

    /// Every value through a monotone function. Exact for affine ones; under any other the kept
    /// shape is an approximation (the deviation becomes half the image of mean ± sd).
    /// A falling function swaps the bounds.
    #[must_use]
    pub fn map(self, f: impl Fn(f64) -> f64) -> Self {
        match self {
            Self::Exact(value) => Self::Exact(f(value)),
            Self::Range { low, high } => {
                let (a, b) = ordered(f(low), f(high));
                Self::Range { low: a, high: b }
            }
            Self::Triple { low, likely, high } => {
                let (a, b) = ordered(f(low), f(high));
                Self::Triple {
                    low: a,
                    likely: f(likely),
                    high: b,
                }
            }
            Self::Normal { mean, sd } => Self::Normal {
                mean: f(mean),
                sd: (f(mean + sd) - f(mean - sd)).abs() / 2.0,
            },
        }
    }

    /// Every value times a factor: exact for each shape.
    #[must_use]
    pub fn scale(self, factor: f64) -> Self {
        match self {
            Self::Normal { mean, sd } => Self::Normal {
                mean: mean * factor,
                sd: sd * factor.abs(),
            },
            other => other.map(|value| value * factor),
        }
    }

    pub(crate) fn is_finite(&self) -> bool {
        self.numbers().iter().all(|number| number.is_finite())
    }

    /// Whether products and squares of its numbers with those of others stay far from what a
    /// number can hold, above and below.
    pub(crate) fn is_moderate(&self) -> bool {
        let moderate = |number: &f64| *number == 0.0 || (1e-21..=1e21).contains(&number.abs());
        self.numbers().iter().all(moderate)
    }

    /// The numbers it is written with, the last ones repeated.
    fn numbers(&self) -> [f64; 3] {
        match *self {
            Self::Exact(value) => [value; 3],
            Self::Range { low, high } => [low, high, high],
            Self::Triple { low, likely, high } => [low, likely, high],
            Self::Normal { mean, sd } => [mean, sd, sd],
        }
    }
}

fn ordered(a: f64, b: f64) -> (f64, f64) {
    if a <= b { (a, b) } else { (b, a) }
}
