//! The likelihood of lots under a beta-binomial, and its slopes.
//!
//! Places are given by the logit of the mean and by the tie, the logit of the correlation
//! ρ = 1/(α+β+1) between pieces of one lot, so that α + β = e^−tie. In these the likelihood is
//! near a parabola and nothing needs a bound (Griffiths 1973, Biometrics 29:637, in other
//! letters; from memory). Every search is Newton's method on the score, begun where the last ended.

use crate::beta_binomial::BetaBinomial;
use crate::search::falling_root;
use crate::special::{digamma_rise, logistic, trigamma};

/// Logits of the mean yield searched: 10⁻⁶ to 1 − 10⁻⁶.
const LOGITS: (f64, f64) = (-14.0, 14.0);
/// Ties searched.
const TIES: (f64, f64) = (-18.0, 6.0);
/// Cells of the ties in each of which one peak at most is sought.
const CELLS: u32 = 16;
/// A tie this well known is exact for the likelihood, which is flat at its peak.
const CLOSE: f64 = 1e-9;

/// Lots as (made, good).
pub(crate) struct Lots<'a> {
    rows: &'a [(u64, u64)],
}

/// Where the likelihood is taken: logit of the mean and tie.
#[derive(Clone, Copy)]
pub(crate) struct Place {
    pub(crate) logit: f64,
    pub(crate) tie: f64,
}

impl Place {
    pub(crate) fn mean(self) -> f64 {
        logistic(self.logit)
    }

    /// Standard deviation of the lots' yield: √(mean·(1−mean)·ρ).
    pub(crate) fn sd(self) -> f64 {
        libm::sqrt(variance(self.logit) * logistic(self.tie))
    }

    fn shapes(self) -> (f64, f64) {
        let total = libm::exp(-self.tie);
        (logistic(self.logit) * total, logistic(-self.logit) * total)
    }
}

/// mean·(1−mean), without forming one less a mean near one.
fn variance(logit: f64) -> f64 {
    logistic(logit) * logistic(-logit)
}

/// A curve through the plane of shapes (α, β): first and second derivatives.
struct Path {
    alpha: (f64, f64),
    beta: (f64, f64),
}

/// α, β and the path through them that changes the logit of the mean and keeps the sd.
fn at_fixed_sd(logit: f64, sd: f64) -> (f64, f64, Path) {
    let (p, q) = (logistic(logit), logistic(-logit));
    let (v, skew, square) = (p * q, q - p, sd * sd);
    // α = p·s with s = v/sd² − 1, and dp = v, dv = v·skew, dskew = −2v.
    let total = v / square - 1.0;
    let (rise, bend) = (v * skew / square, v * (skew * skew - 2.0 * v) / square);
    let (first, second) = (v * total, v * skew * total + 2.0 * v * rise);
    let path = Path {
        alpha: (first + p * rise, second + p * bend),
        beta: (-first + q * rise, -second + q * bend),
    };
    (p * total, q * total, path)
}

impl<'a> Lots<'a> {
    pub(crate) fn of(rows: &'a [(u64, u64)]) -> Self {
        Self { rows }
    }

    /// Log-likelihood; −∞ where no Beta of positive shapes is there.
    pub(crate) fn likelihood(&self, place: Place) -> f64 {
        let (alpha, beta) = place.shapes();
        BetaBinomial::new(alpha, beta).map_or(f64::NEG_INFINITY, |lots| {
            self.rows
                .iter()
                .map(|(made, good)| lots.ln_pmf(*made, *good))
                .sum()
        })
    }

    /// Derivatives of the log-likelihood by α and β.
    fn score(&self, alpha: f64, beta: f64) -> (f64, f64) {
        let (mut by_alpha, mut by_beta) = (0.0, 0.0);
        for (made, good) in self.rows {
            let both = digamma_rise(alpha + beta, *made as f64);
            by_alpha += digamma_rise(alpha, *good as f64) - both;
            by_beta += digamma_rise(beta, (*made - *good) as f64) - both;
        }
        (by_alpha, by_beta)
    }

    /// First and second derivative of the log-likelihood along a path.
    fn along(&self, alpha: f64, beta: f64, path: &Path) -> (f64, f64) {
        let (by_alpha, by_beta) = self.score(alpha, beta);
        let n = self.rows.len() as f64;
        let (mut aa, mut bb, mut ab) = (
            -n * trigamma(alpha),
            -n * trigamma(beta),
            n * trigamma(alpha + beta),
        );
        for (made, good) in self.rows {
            aa += trigamma(alpha + *good as f64);
            bb += trigamma(beta + (*made - *good) as f64);
            ab -= trigamma(alpha + beta + *made as f64);
        }
        let (a, b) = (path.alpha.0, path.beta.0);
        (
            by_alpha * a + by_beta * b,
            aa * a * a
                + bb * b * b
                + ab * (a + b) * (a + b)
                + by_alpha * path.alpha.1
                + by_beta * path.beta.1,
        )
    }

    /// The likeliest tie at a mean.
    pub(crate) fn at_mean(&self, logit: f64, near: f64) -> Place {
        let tie = falling_root(TIES, near, |tie| {
            let (alpha, beta) = Place { logit, tie }.shapes();
            let path = Path {
                alpha: (-alpha, alpha),
                beta: (-beta, beta),
            };
            self.along(alpha, beta, &path)
        });
        Place { logit, tie }
    }

    /// The likeliest mean at a tie; at a fixed α + β the likelihood has one peak.
    fn at_tie(&self, tie: f64, near: f64) -> Place {
        let total = libm::exp(-tie);
        let logit = falling_root(LOGITS, near, |logit| {
            let (alpha, beta) = Place { logit, tie }.shapes();
            let first = variance(logit) * total;
            let second = first * (logistic(-logit) - logistic(logit));
            let path = Path {
                alpha: (first, second),
                beta: (-first, -second),
            };
            self.along(alpha, beta, &path)
        });
        Place { logit, tie }
    }

    /// The likeliest mean at a standard deviation of the lots' yield, and the likelihood there.
    ///
    /// A few lots far apart can have peaks besides the one near the last: means towards 0 or 1,
    /// of lots that are nearly all or nothing. So every cell is climbed in which the score turns.
    pub(crate) fn at_sd(&self, sd: f64, near: f64) -> (Place, f64) {
        // mean·(1−mean) > sd² between the roots ½ ± √(¼ − sd²); at the roots α + β is zero.
        let root = 0.5 - libm::sqrt((0.25 - sd * sd).max(0.0));
        let edge = libm::log((1.0 - root) / root.max(1e-12)).clamp(0.0, LOGITS.1);
        let edge = edge * (1.0 - 1e-7);
        let rise = |logit: f64| {
            let (alpha, beta, path) = at_fixed_sd(logit, sd);
            let (by_alpha, by_beta) = self.score(alpha, beta);
            by_alpha * path.alpha.0 + by_beta * path.beta.0
        };
        let mut best: Option<(Place, f64)> = None;
        // Beyond the edges there is nothing, so an end towards which it rises is a peak too.
        let (mut left, mut left_rises) = (-edge, true);
        for cell in 1..=CELLS {
            let right = edge * (2.0 * f64::from(cell) / f64::from(CELLS) - 1.0);
            let right_rises = cell < CELLS && rise(right) > 0.0;
            if left_rises && !right_rises {
                let place = self.climb_at_sd(sd, (left, right), near);
                let value = self.likelihood(place);
                if best.is_none_or(|best| value > best.1) {
                    best = Some((place, value));
                }
            }
            (left, left_rises) = (right, right_rises);
        }
        best.expect("from a rise at the first end to a fall at the last there is a turn")
    }

    fn climb_at_sd(&self, sd: f64, cell: (f64, f64), near: f64) -> Place {
        let logit = falling_root(cell, near, |logit| {
            let (alpha, beta, path) = at_fixed_sd(logit, sd);
            self.along(alpha, beta, &path)
        });
        Place {
            logit,
            tie: -libm::log(variance(logit) / (sd * sd) - 1.0),
        }
    }

    /// The place of the greatest likelihood of all and the value there: of every cell of ties in
    /// which the score turns from rise to fall, the peak; the best of these.
    pub(crate) fn best(&self, logit: f64) -> (Place, f64) {
        let width = (TIES.1 - TIES.0) / f64::from(CELLS);
        let rise = |place: Place| {
            let (alpha, beta) = place.shapes();
            let (by_alpha, by_beta) = self.score(alpha, beta);
            -(alpha * by_alpha + beta * by_beta)
        };
        let mut left = self.at_tie(TIES.0, logit);
        let mut left_rise = rise(left);
        let mut best = (left, self.likelihood(left));
        for cell in 1..=CELLS {
            let right = self.at_tie(TIES.0 + width * f64::from(cell), left.logit);
            let right_rise = rise(right);
            let turns = left_rise > 0.0 && right_rise <= 0.0;
            let peak = if turns {
                self.peak((left, left_rise), (right, right_rise), rise)
            } else {
                right
            };
            if turns || cell == CELLS {
                let value = self.likelihood(peak);
                if value > best.1 {
                    best = (peak, value);
                }
            }
            (left, left_rise) = (right, right_rise);
        }
        best
    }

    /// Where the score along the ridge is zero between a rise and a fall: regula falsi with the
    /// Illinois halving (Dowell & Jarratt 1971).
    fn peak(
        &self,
        mut left: (Place, f64),
        mut right: (Place, f64),
        rise: impl Fn(Place) -> f64,
    ) -> Place {
        let mut last_was_right = None;
        let mut found = left.0;
        for _ in 0..60 {
            let share = left.1 / (left.1 - right.1);
            let tie = left.0.tie + share * (right.0.tie - left.0.tie);
            let step = (tie - found.tie).abs();
            found = self.at_tie(tie, found.logit);
            let value = rise(found);
            if step < CLOSE || value == 0.0 {
                break;
            }
            let is_right = value < 0.0;
            let again = last_was_right == Some(is_right);
            if is_right {
                right = (found, value);
                left.1 *= if again { 0.5 } else { 1.0 };
            } else {
                left = (found, value);
                right.1 *= if again { 0.5 } else { 1.0 };
            }
            last_was_right = Some(is_right);
        }
        found
    }
}
