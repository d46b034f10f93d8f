//! Equivalent cure: the time at a reference temperature that does as much as the whole history.
//!
//! One reaction with an activation energy E (Arrhenius): a second at T counts
//! `exp(-(E/R) (1/T - 1/Tref))` seconds at Tref. True of one reaction in one regime; a coating that must first
//! melt, or one past its glass point, follows another law. The data sheet of the product decides.

use serde::Serialize;

use super::total::along;
use crate::fault::{Fault, positive};
use crate::trace::Trace;

/// Gas constant, J/(mol K). CODATA 2018, exact by the SI of 2019.
pub const GAS_CONSTANT: f64 = 8.314_462_618_153_24;

/// How fast a reaction goes along temperature.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Reaction {
    /// Activation energy, J/mol.
    pub activation_j_mol: f64,
    /// Temperature at which times are stated, K.
    pub reference_k: f64,
}

impl Reaction {
    fn check(&self) -> Result<(), Fault> {
        positive("activation energy", self.activation_j_mol)?;
        positive("absolute temperature", self.reference_k)?;
        Ok(())
    }

    /// Seconds at the reference that a second at a temperature counts.
    fn counts(&self, temperature_k: f64) -> f64 {
        // Below absolute zero only a broken history goes; nothing reacts there.
        if temperature_k <= 0.0 {
            return 0.0;
        }
        let over = (temperature_k - self.reference_k) / (temperature_k * self.reference_k);
        libm::exp(self.activation_j_mol / GAS_CONSTANT * over)
    }

    /// Seconds at the reference that a second at a temperature, K, counts.
    pub fn rate_at(&self, temperature_k: f64) -> Result<f64, Fault> {
        self.check()?;
        positive("absolute temperature", temperature_k)?;
        Ok(self.counts(temperature_k))
    }
}

/// Cure wanted, as time at the reference.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Window {
    /// Least, s.
    pub least_s: f64,
    /// Most, s, where there is such a limit.
    pub most_s: Option<f64>,
}

/// What a history cured.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cure {
    /// Time at the reference that does as much, s.
    pub equivalent_s: f64,
    /// The same, growing along the history, s.
    pub running: Trace,
    /// From when on there is enough, s.
    pub enough_from_s: Option<f64>,
    /// From when on there is too much, s.
    pub too_much_from_s: Option<f64>,
}

impl Cure {
    /// Enough by the end of the history and not too much.
    pub fn within_window(&self) -> bool {
        self.enough_from_s.is_some() && self.too_much_from_s.is_none()
    }
}

/// Equivalent cure along a history in K, held against a window.
pub fn cure(trace: &Trace, reaction: &Reaction, window: &Window) -> Result<Cure, Fault> {
    reaction.check()?;
    positive("least cure", window.least_s)?;
    if let Some(most) = window.most_s
        && most < window.least_s
    {
        return Err(Fault::OutOfRange {
            what: "most cure",
            found: most,
            low: window.least_s,
            high: f64::MAX,
        });
    }
    for sample in trace.samples() {
        positive("absolute temperature", sample.value)?;
    }
    let wanted = [window.least_s, window.most_s.unwrap_or(f64::INFINITY)];
    let total = along(trace, &|t| reaction.counts(t), &[], &wanted)?;
    Ok(Cure {
        equivalent_s: total.total,
        running: total.running,
        enough_from_s: total.reached_s[0],
        too_much_from_s: total.reached_s[1],
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ICE_POINT_K;

    fn reaction(kj_mol: f64, reference_c: f64) -> Reaction {
        Reaction {
            activation_j_mol: 1000.0 * kj_mol,
            reference_k: reference_c + ICE_POINT_K,
        }
    }

    const ANY: Window = Window {
        least_s: 1.0,
        most_s: None,
    };

    /// Equivalent time at another temperature of a hold; time in any unit.
    fn moved(kj_mol: f64, time: f64, hold_c: f64, at_c: f64) -> f64 {
        let hold = Trace::straight(&[(0.0, hold_c + ICE_POINT_K), (time, hold_c + ICE_POINT_K)]);
        cure(&hold, &reaction(kj_mol, at_c), &ANY)
            .unwrap()
            .equivalent_s
    }

    #[test]
    fn holds_are_moved_to_other_temperatures() {
        // Project checks H-76 and H-77, computed here with another program; given to ten digits.
        for (kj_mol, time, from_c, to_c, known) in [
            (80.0, 30.0, 150.0, 160.0, 17.747_436_78),
            (80.0, 30.0, 150.0, 140.0, 52.016_763_77),
            (100.0, 10.0, 170.0, 180.0, 5.494_014_444),
            (60.0, 24.0, 25.0, 40.0, 7.528_429_113),
        ] {
            let found = moved(kj_mol, time, from_c, to_c);
            assert!((found / known - 1.0).abs() < 1e-9, "{found} for {known}");
        }
        // Growth of the rate from 20 to 30 degC at 80 kJ/mol, same source.
        let q10 = reaction(80.0, 20.0).rate_at(30.0 + ICE_POINT_K).unwrap();
        assert!((q10 - 2.952_642_357).abs() < 1e-8);
    }

    #[test]
    fn a_ramp_cures_as_computed() {
        // Project check H-78: 25 to 150 degC in 20 min, 80 kJ/mol, minutes at 150 degC.
        let ramp = Trace::straight(&[(0.0, 25.0 + ICE_POINT_K), (20.0, 150.0 + ICE_POINT_K)]);
        let found = cure(&ramp, &reaction(80.0, 150.0), &ANY).unwrap();
        assert!((found.equivalent_s - 2.745_054_311).abs() < 1e-8);
    }

    #[test]
    fn the_window_is_entered_and_left() {
        let hold = Trace::straight(&[(0.0, 450.0), (1000.0, 450.0)]);
        let reaction = Reaction {
            activation_j_mol: 7e4,
            reference_k: 450.0,
        };
        let window = |least_s, most_s| Window { least_s, most_s };
        let found = cure(&hold, &reaction, &window(600.0, Some(900.0))).unwrap();
        // At the reference itself a second counts a second.
        assert!((found.enough_from_s.unwrap() - 600.0).abs() < 1e-6);
        assert!((found.too_much_from_s.unwrap() - 900.0).abs() < 1e-6);
        assert!(!found.within_window());
        let found = cure(&hold, &reaction, &window(600.0, Some(1200.0))).unwrap();
        assert!(found.within_window());
    }

    #[test]
    fn a_window_the_wrong_way_round_is_refused() {
        let hold = Trace::straight(&[(0.0, 450.0), (1000.0, 450.0)]);
        let window = Window {
            least_s: 600.0,
            most_s: Some(500.0),
        };
        let fault = cure(&hold, &reaction(70.0, 150.0), &window).unwrap_err();
        assert!(
            fault
                .to_string()
                .starts_with("expected a most cure from 600")
        );
    }
}
