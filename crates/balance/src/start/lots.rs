//! What a lot's own mean can be: its distribution as a function of a standard normal score.

use std::sync::OnceLock;

use chance::BetaBinomial;
use chance::special::{
    Tails, beta_logit_quantile_from, beta_tails, ln_binomial_term, logistic, normal_cdf,
    normal_density, normal_tail,
};

/// Scores tabulated: from −REACH to REACH. Beyond, the table is held flat; the chance of that is
/// 2·10⁻¹⁷.
const REACH: f64 = 8.5;
/// Step of the table for lots of one peak, and for lots that pile up at an end.
const STEP: f64 = 0.25;
const FINE_STEP: f64 = 0.125;

/// The lot-to-lot distribution of a step's mean.
#[derive(Debug, Clone)]
pub(super) enum LotValue {
    /// Lots alike.
    Fixed(f64),
    /// A share between 0 and 1.
    Share(Box<ShareTable>),
    /// A normal, of which what would fall below zero is zero.
    Normal { mean: f64, sd: f64 },
}

impl LotValue {
    pub(super) fn varies(&self) -> bool {
        !matches!(self, Self::Fixed(_))
    }

    /// The lot at standard normal score `z`; larger for larger.
    pub(super) fn at(&self, z: f64) -> f64 {
        match self {
            Self::Fixed(value) => *value,
            Self::Share(table) => table.at(z),
            Self::Normal { mean, sd } => (mean + sd * z).max(0.0),
        }
    }

    /// Chance of a lot at or above `x`.
    pub(super) fn at_least(&self, x: f64) -> f64 {
        match self {
            Self::Fixed(value) => f64::from(u8::from(*value >= x)),
            Self::Share(table) => {
                beta_tails(table.lots.alpha(), table.lots.beta(), x, 1.0 - x).upper
            }
            Self::Normal { .. } if x <= 0.0 => 1.0,
            Self::Normal { mean, sd } => normal_tail((x - mean) / sd),
        }
    }
}

/// A Beta quantile tabulated on the normal score: as a logit it is nearly a straight line, so
/// cubic pieces with exact slopes (Hermite) reproduce the share to 10⁻⁸ for
/// bell-shaped lots and 10⁻⁶ for lots that pile up at an end.
#[derive(Debug, Clone)]
pub(super) struct ShareTable {
    lots: BetaBinomial,
    step: f64,
    /// Logit and its slope at each tabulated score; worked out when lots are drawn.
    nodes: OnceLock<Vec<(f64, f64)>>,
}

impl ShareTable {
    pub(super) fn new(lots: BetaBinomial) -> Self {
        let piled = lots.alpha().min(lots.beta()) < 1.0;
        let step = if piled { FINE_STEP } else { STEP };
        Self {
            lots,
            step,
            nodes: OnceLock::new(),
        }
    }

    pub(super) fn lots(&self) -> BetaBinomial {
        self.lots
    }

    fn at(&self, z: f64) -> f64 {
        let place = (z.clamp(-REACH, REACH) + REACH) / self.step;
        let nodes = self.nodes.get_or_init(|| tabulate(&self.lots, self.step));
        let left = (place as usize).min(nodes.len() - 2);
        let t = place - left as f64;
        let ((p0, m0), (p1, m1)) = (nodes[left], nodes[left + 1]);
        let (square, rest) = (t * t, 1.0 - t);
        let logit = rest * rest * ((1.0 + 2.0 * t) * p0 + t * self.step * m0)
            + square * ((3.0 - 2.0 * t) * p1 - rest * self.step * m1);
        logistic(logit)
    }
}

fn tabulate(lots: &BetaBinomial, step: f64) -> Vec<(f64, f64)> {
    let count = (2.0 * REACH / step) as usize;
    let mut nodes: Vec<(f64, f64)> = vec![(0.0, 0.0); count + 1];
    // From the middle outwards, each node sought from where its neighbour points.
    let middle = count / 2;
    nodes[middle] = node(lots, 0.0, libm::log(lots.alpha() / lots.beta()));
    for away in 1..=count - middle {
        let z = away as f64 * step;
        let (logit, slope) = nodes[middle + away - 1];
        nodes[middle + away] = node(lots, z, logit + slope * step);
        let (logit, slope) = nodes[middle - away + 1];
        nodes[middle - away] = node(lots, -z, logit - slope * step);
    }
    nodes
}

/// The logit of the quantile at score `z`, and its slope dlogit/dz = φ(z)/density.
fn node(lots: &BetaBinomial, z: f64, near: f64) -> (f64, f64) {
    let at = Tails {
        lower: normal_cdf(z),
        upper: normal_tail(z),
    };
    let logit = beta_logit_quantile_from(lots.alpha(), lots.beta(), at, near);
    let slope = normal_density(z) / logit_density(lots, logit);
    (logit, if slope.is_finite() { slope } else { 0.0 })
}

/// Density of the logit of a Beta variable.
fn logit_density(lots: &BetaBinomial, logit: f64) -> f64 {
    let (a, b) = (lots.alpha(), lots.beta());
    let term = ln_binomial_term(a, b, logistic(logit), logistic(-logit));
    a / (a + b) * b * libm::exp(term)
}

#[cfg(test)]
mod tests {
    use super::*;
    use chance::special::beta_quantile;

    #[test]
    fn the_table_is_the_quantile() {
        // The table serves odds, so what counts is its absolute error as a share.
        for (mean, sd, allowed) in [
            (0.92, 0.02, 1e-8),
            (0.92, 0.04, 1e-8),
            (0.99, 0.03, 1e-6),
            (0.5, 0.4, 1e-6),
        ] {
            let lots = BetaBinomial::from_mean_sd(mean, sd).unwrap();
            let table = ShareTable::new(lots);
            for index in -60..=60 {
                let z = f64::from(index) / 20.0 + 0.013;
                let exact = beta_quantile(lots.alpha(), lots.beta(), normal_cdf(z));
                let gap = (table.at(z) - exact).abs();
                assert!(gap < allowed, "mean {mean} sd {sd} z {z}: {gap}");
            }
        }
    }
}
