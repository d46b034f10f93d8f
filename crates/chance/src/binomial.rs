//! How many of n pass when each passes on its own with the same chance.
//!
//! Tails go through the incomplete beta function: P(X ≥ k) = I_p(k, n−k+1) (Abramowitz & Stegun
//! 26.5.24), exact to about thirteen digits for n up to ten million and beyond.

use crate::special::{Tails, beta_tails, ln_binomial_term};

/// Chance of exactly `good` of `made`, each with chance `p`.
pub fn pmf(made: u64, good: u64, p: f64) -> f64 {
    if good > made {
        return 0.0;
    }
    if p <= 0.0 || p >= 1.0 {
        let sure = if p <= 0.0 { 0 } else { made };
        return f64::from(u8::from(good == sure));
    }
    libm::exp(ln_binomial_term(
        good as f64,
        (made - good) as f64,
        p,
        1.0 - p,
    ))
}

/// Chance of at most `good` of `made`.
pub fn cdf(made: u64, good: u64, p: f64) -> f64 {
    if good >= made {
        return 1.0;
    }
    tails_at_least(made as f64, (good + 1) as f64, p).lower
}

/// Chance of at least `good` of `made`.
pub fn at_least(made: u64, good: u64, p: f64) -> f64 {
    if good == 0 {
        return 1.0;
    }
    if good > made {
        return 0.0;
    }
    tails_at_least(made as f64, good as f64, p).upper
}

/// Tails of "at least `good`" for real `made` ≥ `good` > 0: `upper` is the chance of reaching it.
///
/// A real `made` is meant for binomials matched to the mean and variance of another count.
pub fn tails_at_least(made: f64, good: f64, p: f64) -> Tails {
    let reached = beta_tails(good, made - good + 1.0, p, 1.0 - p);
    Tails {
        lower: reached.upper,
        upper: reached.lower,
    }
}
