//! Growth along a history, for screening only: which of two histories is worse, and by how much.
//!
//! Square-root model: `√rate = b (T - Tmin)` above Tmin, nothing below (Ratkowsky, Olley, McMeekin & Ball 1982,
//! J. Bacteriol. 149, 1-5), and with an upper end `√rate = b (T - Tmin)(1 - exp(c (T - Tmax)))` (Ratkowsky and others
//! 1983, J. Bacteriol. 154, 1222-1226); both cited from memory. No lag is counted, which errs to the safe side;
//! nothing dies. Salt, pH, packaging and competitors are not in it: a challenge study decides.

use serde::Serialize;

use super::total::along;
use crate::fault::{Fault, positive};
use crate::trace::Trace;

/// What every figure of growth is to be read with.
pub const CAUTION: &str = "screening estimate, no lag counted: b and Tmin are those that were stated; it compares \
                           histories and never shows that a food is safe; a competent person decides";

/// What the rate of a stated b counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Counts {
    /// Natural logarithm of the number: the μmax of most papers.
    NaturalLog,
    /// Powers of ten.
    PowersOfTen,
    /// Doublings.
    Doublings,
}

/// The warm end of growth.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct WarmEnd {
    /// Above it nothing grows, K.
    pub most_k: f64,
    /// c, how sharply growth ends, 1/K.
    pub sharpness_per_k: f64,
}

/// How fast something grows.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SquareRoot {
    /// b, in 1/(K √s).
    pub b_per_k_root_s: f64,
    /// What the rate counts.
    pub counts: Counts,
    /// Tmin: the intercept, below which the model says nothing grows, K.
    pub least_k: f64,
    /// The warm end, where one is stated.
    pub warm_end: Option<WarmEnd>,
}

impl SquareRoot {
    fn check(&self) -> Result<(), Fault> {
        positive("growth constant b", self.b_per_k_root_s)?;
        positive("absolute temperature", self.least_k)?;
        if let Some(end) = self.warm_end {
            positive("sharpness c of the warm end", end.sharpness_per_k)?;
            if end.most_k <= self.least_k {
                return Err(Fault::NotRising {
                    what: "the range of growth",
                    before: self.least_k,
                    found: end.most_k,
                });
            }
        }
        Ok(())
    }

    /// Natural logarithm per s at a temperature, K.
    pub fn rate_at(&self, temperature_k: f64) -> f64 {
        if temperature_k <= self.least_k {
            return 0.0;
        }
        let mut root = self.b_per_k_root_s * (temperature_k - self.least_k);
        if let Some(end) = self.warm_end {
            if temperature_k >= end.most_k {
                return 0.0;
            }
            root *= -libm::expm1(end.sharpness_per_k * (temperature_k - end.most_k));
        }
        let per_s = root * root;
        match self.counts {
            Counts::NaturalLog => per_s,
            Counts::PowersOfTen => per_s * std::f64::consts::LN_10,
            Counts::Doublings => per_s * std::f64::consts::LN_2,
        }
    }
}

/// What a history let grow, if nothing but temperature counts.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Growth {
    /// Powers of ten.
    pub powers_of_ten: f64,
    /// Doublings.
    pub generations: f64,
    /// Powers of ten, growing along the history.
    pub running: Trace,
    /// When the stated rise in powers of ten is reached, s.
    pub reached_s: Option<f64>,
    /// What the answer is to be read with.
    pub caution: &'static str,
}

/// Growth along a history in K, and when it comes to a stated rise in powers of ten.
pub fn growth(trace: &Trace, model: &SquareRoot, powers_of_ten: f64) -> Result<Growth, Fault> {
    model.check()?;
    positive("rise in powers of ten", powers_of_ten)?;
    let mut kinks = vec![model.least_k];
    kinks.extend(model.warm_end.map(|end| end.most_k));
    let tens = |t: f64| model.rate_at(t) / std::f64::consts::LN_10;
    let total = along(trace, &tens, &kinks, &[powers_of_ten])?;
    Ok(Growth {
        powers_of_ten: total.total,
        generations: total.total * std::f64::consts::LOG2_10,
        running: total.running,
        reached_s: total.reached_s[0],
        caution: CAUTION,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const HOUR: f64 = 3600.0;

    /// Invented: b 0.02 per K and √h, Tmin -1.5 degC.
    fn model(counts: Counts) -> SquareRoot {
        SquareRoot {
            b_per_k_root_s: 0.02 / 60.0,
            counts,
            least_k: 271.65,
            warm_end: None,
        }
    }

    #[test]
    fn a_hold_and_a_ramp_by_hand() {
        // 10 K above Tmin: rate (0.02·10)² = 0.04 per h; 50 h give 2 in natural logs, 0.868589 powers of ten.
        let hold = Trace::straight(&[(0.0, 281.65), (50.0 * HOUR, 281.65)]);
        let found = growth(&hold, &model(Counts::NaturalLog), 0.5).unwrap();
        assert!((found.powers_of_ten - 2.0 / std::f64::consts::LN_10).abs() < 1e-12);
        assert!((found.generations - 2.0 / std::f64::consts::LN_2).abs() < 1e-12);
        let tens = growth(&hold, &model(Counts::PowersOfTen), 0.5).unwrap();
        assert!((tens.powers_of_ten - 2.0).abs() < 1e-12);
        assert!((tens.reached_s.unwrap() / HOUR - 12.5).abs() < 1e-9);
        let doublings = growth(&hold, &model(Counts::Doublings), 0.5).unwrap();
        assert!((doublings.generations - 2.0).abs() < 1e-12);
        // From 10 K below Tmin to 20 K above in 30 h: ∫ (0.02 u)² du over 0..20 = 0.0004·8000/3.
        let ramp = Trace::straight(&[(0.0, 261.65), (30.0 * HOUR, 291.65)]);
        let found = growth(&ramp, &model(Counts::PowersOfTen), 0.5).unwrap();
        assert!((found.powers_of_ten - 0.0004 * 8000.0 / 3.0).abs() < 1e-12);
    }

    #[test]
    fn the_warm_end_ends_it() {
        let mut warm = model(Counts::NaturalLog);
        warm.warm_end = Some(WarmEnd {
            most_k: 318.15,
            sharpness_per_k: 0.3,
        });
        assert_eq!(warm.rate_at(318.15), 0.0);
        assert_eq!(warm.rate_at(330.0), 0.0);
        // Far below the end the factor is 1 - e^(0.3·(-36.5)) = 1 - 1.76e-5 and the rate that of the cold law.
        let share = warm.rate_at(281.65) / model(Counts::NaturalLog).rate_at(281.65);
        assert!((share - (1.0 - libm::exp(-0.3 * 36.5)).powi(2)).abs() < 1e-12);
        let hot = Trace::straight(&[(0.0, 330.0), (HOUR, 330.0)]);
        assert_eq!(growth(&hot, &warm, 1.0).unwrap().powers_of_ten, 0.0);
    }
}
