//! A fitted drying curve and what it tells: weights, errors, the time to a wanted loss.

use chance::special::student_t_quantile;
use serde::Serialize;

use crate::fault::{Fault, positive, within};

/// The drying curve of one piece.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Curve {
    /// We: the weight that it tends to.
    pub end_weight: f64,
    /// W0 - We at time 0.
    pub to_lose: f64,
    /// k, 1/s.
    pub rate_per_s: f64,
    /// Covariance of these three, in their order.
    pub covariance: [[f64; 3]; 3],
    /// Standard deviation of the weighings about the curve.
    pub scatter: f64,
    /// Weighings less figures fitted.
    pub spare: usize,
}

/// A figure and its interval.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct When {
    /// s from the start of drying.
    pub time_s: f64,
    /// Lower end, s.
    pub low_s: f64,
    /// Upper end, s; `None` where the end weight is not known well enough to say that it ever comes.
    pub high_s: Option<f64>,
    /// It lies beyond the last weighing.
    pub beyond: bool,
}

impl Curve {
    /// Weight at the beginning by the curve.
    pub fn start_weight(&self) -> f64 {
        self.end_weight + self.to_lose
    }

    /// Weight at a time, s.
    pub fn weight_at(&self, time_s: f64) -> f64 {
        self.end_weight + self.to_lose * libm::exp(-self.rate_per_s * time_s)
    }

    /// Standard errors of end weight, weight to lose and rate.
    pub fn standard_errors(&self) -> [f64; 3] {
        [0, 1, 2].map(|at| self.covariance[at][at].sqrt())
    }

    /// When a piece that weighed `green` has lost a share of that, with an interval of so much confidence.
    pub fn loses(
        &self,
        share: f64,
        green: f64,
        confidence: f64,
        last_s: f64,
    ) -> Result<When, Fault> {
        positive("green weight", green)?;
        within("share lost", share, 0.0, 1.0)?;
        within("confidence", confidence, 0.01, 0.9999)?;
        let wanted = green * (1.0 - share);
        let over = wanted - self.end_weight;
        if over <= 0.0 {
            return Err(Fault::Impossible {
                asked: "dry so far",
                why: format!(
                    "a weight of {wanted:.4} is wanted and the curve ends at {:.4}",
                    self.end_weight
                ),
            });
        }
        let (k, time_s) = (
            self.rate_per_s,
            libm::log(self.to_lose / over) / self.rate_per_s,
        );
        if time_s < 0.0 {
            return Err(Fault::Impossible {
                asked: "find when that much is lost",
                why: format!(
                    "a weight of {wanted:.4} is wanted and the curve begins at {:.4}",
                    self.start_weight()
                ),
            });
        }
        let slopes = [1.0 / (k * over), 1.0 / (k * self.to_lose), -time_s / k];
        let mut variance = 0.0;
        for (i, left) in slopes.iter().enumerate() {
            for (j, right) in slopes.iter().enumerate() {
                variance += left * self.covariance[i][j] * right;
            }
        }
        let quantile = student_t_quantile(self.spare as f64, 0.5 + 0.5 * confidence);
        let half = quantile * variance.max(0.0).sqrt();
        let sure = over > quantile * self.standard_errors()[0];
        Ok(When {
            time_s,
            low_s: (time_s - half).max(0.0),
            high_s: sure.then_some(time_s + half),
            beyond: time_s > last_s,
        })
    }
}
