//! Solvent vapour and the fresh air that thins it: estimates to be checked, never a permission.
//!
//! Ideal gas; vapour evenly mixed with the air; limits as stated. Sources: Le Chatelier's rule of mixtures (1891); dilution volume of
//! US 29 CFR 1910.94(c), Table G-11, `4 (100 - LEL) V/LEL`; fall of the lower limit with temperature by Zabetakis (1965),
//! US Bureau of Mines Bulletin 627, modified Burgess-Wheeler law; all from memory. The share of 25 % of the limit
//! is that of NFPA 86 for ovens (read about, not read). None replaces the edition in force where the oven stands.

use serde::Serialize;

use crate::fault::{Fault, positive, within};
use crate::measure::cure::GAS_CONSTANT;

/// What every answer of this room is to be read with.
pub const CAUTION: &str = "screening estimate; check the local code and the safety data sheet; a competent person \
                           decides";
/// Where the estimate comes from.
pub const SOURCE: &str = "ideal gas; Le Chatelier; dilution as in 29 CFR 1910.94(c) Table G-11; limit falling with temperature after \
                          Zabetakis 1965; 25 % of the lower limit as in NFPA 86 (quoted from memory, editions differ)";

/// Air temperature to which fresh air is stated, K: 21 degC, the 70 degF of the rules of thumb.
pub const FRESH_AIR_K: f64 = 294.15;
/// Temperature at which limits are listed, K.
const LISTED_AT_K: f64 = 298.15;
/// Share of itself by which the lower limit falls per K (Zabetakis 1965).
const FALL_PER_K: f64 = 0.000_721;
/// The rule of thumb: 10 000 ft³ of fresh air for a US gallon.
const CUBIC_FOOT_M3: f64 = 0.028_316_846_592;
const US_GALLON_M3: f64 = 0.003_785_411_784;

/// A liquid that evaporates.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Solvent {
    /// Density of the liquid, kg/m³.
    pub density_kg_m3: f64,
    /// Molar mass, kg/mol.
    pub molar_mass_kg_mol: f64,
    /// Lower limit of flammability in air as listed at 25 degC, share of the volume (0.014 for 1.4 %).
    pub lower_limit: f64,
}

impl Solvent {
    fn check(&self) -> Result<(), Fault> {
        positive("density", self.density_kg_m3)?;
        positive("molar mass", self.molar_mass_kg_mol)?;
        limit(self.lower_limit)?;
        Ok(())
    }

    /// mol in a m³ of the liquid.
    fn mol_m3(&self) -> f64 {
        self.density_kg_m3 / self.molar_mass_kg_mol
    }
}

fn limit(share: f64) -> Result<f64, Fault> {
    positive("lower limit of flammability", share)?;
    within("lower limit of flammability", share, 0.0, 0.5)
}

/// Vapour of a m³ of liquid, m³, at a temperature and pressure.
pub fn vapour_m3_per_m3(
    solvent: &Solvent,
    temperature_k: f64,
    pressure_pa: f64,
) -> Result<f64, Fault> {
    solvent.check()?;
    positive("absolute temperature", temperature_k)?;
    positive("pressure", pressure_pa)?;
    Ok(solvent.mol_m3() * GAS_CONSTANT * temperature_k / pressure_pa)
}

/// Lower limit of a mixture of vapours (Le Chatelier): parts by volume of vapour, and each one's limit.
pub fn mixture_limit(parts: &[(f64, f64)]) -> Result<f64, Fault> {
    let (mut parts_sum, mut spent) = (0.0, 0.0);
    for (part, lower) in parts {
        within("part of a mixture", *part, 0.0, f64::MAX)?;
        parts_sum += part;
        spent += part / limit(*lower)?;
    }
    if parts_sum <= 0.0 {
        return Err(Fault::Missing("vapour in the mixture"));
    }
    Ok(parts_sum / spent)
}

/// How the lower limit is lowered for heat.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum Derating {
    /// `1 - 0.000721 (T - 25 degC)` (Zabetakis 1965), nothing below 25 degC.
    Zabetakis,
    /// By a factor that the works states, above 0 to 1.
    Stated(f64),
}

impl Derating {
    fn factor(self, temperature_k: f64) -> Result<f64, Fault> {
        match self {
            Self::Zabetakis => {
                let factor = 1.0 - FALL_PER_K * (temperature_k - LISTED_AT_K).max(0.0);
                within(
                    "share left of the lower limit in the heat",
                    factor,
                    0.1,
                    1.0,
                )
            }
            Self::Stated(factor) => {
                positive("factor on the lower limit", factor)?;
                within("factor on the lower limit", factor, 0.0, 1.0)
            }
        }
    }
}

/// Solvent that goes into the air of an oven or a room.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Evaporation {
    /// Each solvent and how much of its liquid evaporates, m³/s, on average over the time that it does.
    pub solvents: Vec<(Solvent, f64)>,
    /// How much faster at its peak than on average: 1 for a steady line, more for a batch that flashes off.
    pub peak_factor: f64,
    /// Air of the oven, K.
    pub air_k: f64,
    /// Pressure, Pa.
    pub pressure_pa: f64,
    /// Share of the lower limit not to be passed, such as 0.25.
    pub share_of_limit: f64,
    /// How heat lowers the limit.
    pub derating: Derating,
}

/// Fresh air for that.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FreshAir {
    /// Vapour at its peak, at 21 degC and the stated pressure, m³/s.
    pub vapour_m3_s: f64,
    /// Lower limit of the mixture as listed, share of the volume.
    pub listed_limit: f64,
    /// Lower limit of the mixture in the heat, share of the volume.
    pub hot_limit: f64,
    /// Fresh air as it comes in, at 21 degC and the stated pressure, m³/s.
    pub fresh_m3_s: f64,
    /// The same air at the temperature of the oven, where an exhaust fan in the hot stream meets it, m³/s.
    pub hot_m3_s: f64,
    /// What the answer is to be read with.
    pub caution: &'static str,
    /// Where the estimate comes from.
    pub source: &'static str,
}

/// Fresh air that keeps vapour at a share of the lower limit: `V (1 - L)/L / share`, the form of 1910.94(c) with
/// its factor of 4 for a share of 25 %. An estimate to be checked, not a permission.
pub fn fresh_air(evaporation: &Evaporation) -> Result<FreshAir, Fault> {
    within("peak factor", evaporation.peak_factor, 1.0, 1000.0)?;
    positive("share of the lower limit", evaporation.share_of_limit)?;
    within(
        "share of the lower limit",
        evaporation.share_of_limit,
        0.0,
        1.0,
    )?;
    positive("absolute temperature", evaporation.air_k)?;
    let mut vapours = Vec::with_capacity(evaporation.solvents.len());
    for (solvent, liquid_m3_s) in &evaporation.solvents {
        within("solvent evaporated", *liquid_m3_s, 0.0, f64::MAX)?;
        let each = vapour_m3_per_m3(solvent, FRESH_AIR_K, evaporation.pressure_pa)?;
        vapours.push((each * liquid_m3_s, solvent.lower_limit));
    }
    let listed_limit = mixture_limit(&vapours)?;
    let hot_limit = listed_limit * evaporation.derating.factor(evaporation.air_k)?;
    let mean: f64 = vapours.iter().map(|(vapour, _)| vapour).sum();
    let vapour_m3_s = evaporation.peak_factor * mean;
    let fresh_m3_s = vapour_m3_s * (1.0 - hot_limit) / hot_limit / evaporation.share_of_limit;
    Ok(FreshAir {
        vapour_m3_s,
        listed_limit,
        hot_limit,
        fresh_m3_s,
        hot_m3_s: fresh_m3_s * evaporation.air_k / FRESH_AIR_K,
        caution: CAUTION,
        source: SOURCE,
    })
}

/// The rule of thumb for a continuous oven, 10 000 ft³ of air at 70 degF for a US gallon, as m³ of fresh air for a
/// m³ of liquid: 74 800. For comparison only; solvents with a low limit or much vapour need more.
pub fn rule_of_thumb_m3_per_m3() -> f64 {
    10_000.0 * CUBIC_FOOT_M3 / US_GALLON_M3
}

/// Liquid left after a time of even evaporation in air that stays thin, as a share of what was there: it
/// halves every `half_life_s`, which a weighed panel tells (see the drying fit).
pub fn left_after(time_s: f64, half_life_s: f64) -> Result<f64, Fault> {
    within("time", time_s, 0.0, f64::MAX)?;
    positive("half life", half_life_s)?;
    Ok(libm::exp2(-time_s / half_life_s))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Handbook values from memory, as in the project's checks SF-03 to SF-05.
    const ACETONE: Solvent = Solvent {
        density_kg_m3: 784.0,
        molar_mass_kg_mol: 0.058_08,
        lower_limit: 0.026,
    };
    const ETHANOL: Solvent = Solvent {
        density_kg_m3: 785.0,
        molar_mass_kg_mol: 0.046_07,
        lower_limit: 0.033,
    };

    fn line(share_of_limit: f64, air_k: f64, derating: Derating) -> Evaporation {
        Evaporation {
            solvents: vec![(ACETONE, 1e-6)],
            peak_factor: 1.0,
            air_k,
            pressure_pa: 101_325.0,
            share_of_limit,
            derating,
        }
    }

    #[test]
    fn vapour_of_a_litre() {
        // SF-04: acetone 0.330 m³, ethanol 0.417 m³ at 25 degC and 1 atm; 1 %, property values from memory.
        for (solvent, known) in [(ACETONE, 0.330), (ETHANOL, 0.417)] {
            let found = 1e-3 * vapour_m3_per_m3(&solvent, 298.15, 101_325.0).unwrap();
            assert!((found / known - 1.0).abs() < 0.003, "{found} for {known}");
        }
        // rho/M × 24.465 m³/kmol, the molar volume at 25 degC and 1 atm.
        let molar = vapour_m3_per_m3(&ACETONE, 298.15, 101_325.0).unwrap() / ACETONE.mol_m3();
        assert!((1000.0 * molar - 24.465).abs() < 1e-3);
    }

    #[test]
    fn a_mixture_of_acetone_and_toluene() {
        // SF-05: 1/(0.5/2.6 + 0.5/1.4) = 1.82 %.
        let found = mixture_limit(&[(0.5, 0.026), (0.5, 0.014)]).unwrap();
        assert!((found - 0.0182).abs() < 1e-12);
        assert!(mixture_limit(&[]).is_err());
        assert!(mixture_limit(&[(1.0, 0.0)]).is_err());
    }

    #[test]
    fn dilution_has_the_form_of_table_g_11() {
        // SF-03: 4 (100 - LEL) V/LEL per gallon: toluene V 30.4, 1.4 % -> 8564 ft³; acetone 44.0, 2.6 % -> 6593.
        for (vapour, lower, known) in [(30.4, 0.014, 8564.0), (44.0, 0.026, 6593.0)] {
            let mut case = line(0.25, FRESH_AIR_K, Derating::Stated(1.0));
            case.solvents[0].0.lower_limit = lower;
            let found = fresh_air(&case).unwrap();
            // The same ratio of air to vapour, whatever the amount.
            let air = vapour * found.fresh_m3_s / found.vapour_m3_s;
            assert!((air - known).abs() < 0.6, "{air} for {known}");
        }
    }

    #[test]
    fn the_rule_of_thumb_in_litres() {
        // SF-02: 283.17 m³ per 3.785 L = 74.8 m³/L; within 1e-3.
        assert!((rule_of_thumb_m3_per_m3() / 74_800.0 - 1.0).abs() < 1e-3);
        // SF-01: the cap of 25 % is the factor of 4.
        let whole = fresh_air(&line(1.0, FRESH_AIR_K, Derating::Zabetakis)).unwrap();
        let quarter = fresh_air(&line(0.25, FRESH_AIR_K, Derating::Zabetakis)).unwrap();
        assert!((quarter.fresh_m3_s / whole.fresh_m3_s - 4.0).abs() < 1e-12);
    }

    #[test]
    fn heat_peaks_and_cautions() {
        // SF-06: hot air by (T + 273)/294; limit derated: at 175 degC 1 - 0.000721·150 = 0.891850.
        let hot = fresh_air(&line(0.25, 448.15, Derating::Zabetakis)).unwrap();
        assert!((hot.hot_limit / hot.listed_limit - 0.891_85).abs() < 1e-12);
        assert!((hot.hot_m3_s / hot.fresh_m3_s - 448.15 / 294.15).abs() < 1e-12);
        let mut batch = line(0.25, 448.15, Derating::Zabetakis);
        batch.peak_factor = 3.0;
        let peak = fresh_air(&batch).unwrap();
        assert!((peak.fresh_m3_s / hot.fresh_m3_s - 3.0).abs() < 1e-12);
        for words in [
            "screening estimate",
            "local code",
            "safety data sheet",
            "competent person decides",
        ] {
            assert!(peak.caution.contains(words));
        }
        assert!((left_after(1200.0, 600.0).unwrap() - 0.25).abs() < 1e-15);
    }

    #[test]
    fn nonsense_is_refused() {
        assert!(fresh_air(&line(0.0, 400.0, Derating::Zabetakis)).is_err());
        assert!(fresh_air(&line(1.5, 400.0, Derating::Zabetakis)).is_err());
        assert!(fresh_air(&line(0.25, 400.0, Derating::Stated(1.2))).is_err());
        let mut batch = line(0.25, 400.0, Derating::Zabetakis);
        batch.peak_factor = 0.5;
        assert!(fresh_air(&batch).is_err());
        batch.peak_factor = 1.0;
        batch.solvents.clear();
        assert!(fresh_air(&batch).is_err());
    }
}
