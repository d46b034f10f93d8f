//! The state of moist air from its temperature, pressure and one other thing.
//!
//! ASHRAE Handbook - Fundamentals (2017), chapter 1, with the saturation pressure of Hyland & Wexler (1983): ideal
//! mixture, over ice at and below the triple point of water (0.01 degC), enthalpy from dry air and liquid water at
//! 0 degC. Formulas read in the source of a public psychrometric library that cites the equations by number.
//! -100 to 200 degC; close to 1 bar within about 0.5 % of real-gas properties.

use serde::Serialize;

use crate::ICE_POINT_K;
use crate::fault::{Fault, positive, within};

/// What is known of the air besides its temperature and pressure.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum Known {
    /// Relative humidity, 0 to 1.
    RelativeHumidity(f64),
    /// Thermodynamic wet-bulb temperature, K.
    WetBulb(f64),
    /// Dew point (frost point below 0 degC), K.
    DewPoint(f64),
    /// kg water per kg dry air.
    HumidityRatio(f64),
}

/// Moist air.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct MoistAir {
    /// Dry bulb, K.
    pub dry_bulb_k: f64,
    /// Pressure, Pa.
    pub pressure_pa: f64,
    /// kg water per kg dry air.
    pub humidity_ratio: f64,
    /// Pressure of the vapour, Pa.
    pub vapour_pa: f64,
    /// Relative humidity, 0 to 1; over ice below 0 degC.
    pub relative_humidity: f64,
    /// Thermodynamic wet bulb, K; of ice below 0 degC.
    pub wet_bulb_k: f64,
    /// Dew point, frost point below 0 degC, K; -100 degC stands for all that is drier.
    pub dew_point_k: f64,
    /// J per kg dry air.
    pub enthalpy_j_kg: f64,
    /// m³ per kg dry air.
    pub volume_m3_kg: f64,
}

/// Molar mass of water over that of dry air.
const WATER_TO_AIR: f64 = 0.621_945;
/// Triple point of water, degC: liquid above, ice at and below.
const TRIPLE_C: f64 = 0.01;
/// Gas constant of dry air, J/(kg K).
const DRY_AIR: f64 = 287.042;
const COLDEST_C: f64 = -100.0;
const HOTTEST_C: f64 = 200.0;

/// Saturation pressure of water, ice at and below 0.01 degC, Pa. Equations 5 and 6.
fn saturation(c: f64) -> f64 {
    let t = c + ICE_POINT_K;
    let ln = libm::log(t);
    libm::exp(if c <= TRIPLE_C {
        -5.674_535_9e3 / t
            + 6.392_524_7
            + t * (-9.677_843e-3 + t * (6.221_570_1e-7 + t * (2.074_782_5e-9 - t * 9.484_024e-13)))
            + 4.163_501_9 * ln
    } else {
        -5.800_220_6e3 / t
            + 1.391_499_3
            + t * (-4.864_023_9e-2 + t * (4.176_476_8e-5 - t * 1.445_209_3e-8))
            + 6.545_967_3 * ln
    })
}

/// Saturation pressure of water at a temperature in K, over ice at and below 0.01 degC, Pa.
pub fn saturation_pa(temperature_k: f64) -> Result<f64, Fault> {
    Ok(saturation(celsius("temperature of air", temperature_k)?))
}

fn celsius(what: &'static str, temperature_k: f64) -> Result<f64, Fault> {
    let (low, high) = (COLDEST_C + ICE_POINT_K, HOTTEST_C + ICE_POINT_K);
    Ok(within(what, temperature_k, low, high)? - ICE_POINT_K)
}

/// Humidity ratio from the vapour's pressure. Equation 20.
fn ratio(vapour_pa: f64, pressure_pa: f64) -> f64 {
    WATER_TO_AIR * vapour_pa / (pressure_pa - vapour_pa)
}

/// Humidity ratio from dry and wet bulb in degC. Equations 33 and 35.
fn ratio_of_wet_bulb(dry: f64, wet: f64, pressure_pa: f64) -> f64 {
    let saturated = ratio(saturation(wet), pressure_pa);
    if wet >= 0.0 {
        ((2501.0 - 2.326 * wet) * saturated - 1.006 * (dry - wet))
            / (2501.0 + 1.86 * dry - 4.186 * wet)
    } else {
        ((2830.0 - 0.24 * wet) * saturated - 1.006 * (dry - wet))
            / (2830.0 + 1.86 * dry - 2.1 * wet)
    }
}

/// The highest temperature in degC from which on a rising value lies at or above a wanted one.
fn bracketed(low: f64, high: f64, wanted: f64, rises: &dyn Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (low, high);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if rises(middle) < wanted {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Moist air at a dry bulb in K and a pressure in Pa, from one other thing.
pub fn moist_air(dry_bulb_k: f64, known: Known, pressure_pa: f64) -> Result<MoistAir, Fault> {
    let dry = celsius("temperature of air", dry_bulb_k)?;
    positive("pressure", pressure_pa)?;
    let full = saturation(dry);
    let humidity_ratio = match known {
        Known::RelativeHumidity(share) => {
            let vapour = within("relative humidity", share, 0.0, 1.0)? * full;
            below_boiling(vapour, pressure_pa)?;
            ratio(vapour, pressure_pa)
        }
        Known::DewPoint(k) => {
            within("dew point", k, COLDEST_C + ICE_POINT_K, dry_bulb_k)?;
            let vapour = saturation(k - ICE_POINT_K);
            below_boiling(vapour, pressure_pa)?;
            ratio(vapour, pressure_pa)
        }
        Known::WetBulb(k) => {
            within("wet bulb", k, COLDEST_C + ICE_POINT_K, dry_bulb_k)?;
            let wet = k - ICE_POINT_K;
            below_boiling(saturation(wet), pressure_pa)?;
            let found = ratio_of_wet_bulb(dry, wet, pressure_pa);
            if found < 0.0 {
                return Err(Fault::Impossible {
                    asked: "find the humidity of the air",
                    why: format!(
                        "a wet bulb of {wet:.2} degC lies below that of dry air at {dry:.2} degC"
                    ),
                });
            }
            found
        }
        Known::HumidityRatio(found) => within("humidity ratio", found, 0.0, f64::MAX)?,
    };
    let vapour_pa = pressure_pa * humidity_ratio / (WATER_TO_AIR + humidity_ratio);
    // A rounding above saturation is saturation.
    if vapour_pa > full * (1.0 + 1e-12) {
        return Err(Fault::Impossible {
            asked: "find the state of the air",
            why: format!(
                "{vapour_pa:.1} Pa of vapour is more than the {full:.1} Pa that air at {dry:.2} degC holds"
            ),
        });
    }
    Ok(state(
        dry,
        humidity_ratio,
        vapour_pa.min(full),
        full,
        pressure_pa,
    ))
}

fn below_boiling(vapour_pa: f64, pressure_pa: f64) -> Result<(), Fault> {
    if vapour_pa < pressure_pa {
        return Ok(());
    }
    Err(Fault::Impossible {
        asked: "find the state of the air",
        why: format!(
            "{vapour_pa:.0} Pa of vapour leaves no air at a pressure of {pressure_pa:.0} Pa"
        ),
    })
}

fn state(dry: f64, humidity_ratio: f64, vapour_pa: f64, full: f64, pressure_pa: f64) -> MoistAir {
    let dew = bracketed(COLDEST_C, dry, vapour_pa, &saturation);
    let boiling = |c: f64| saturation(c) >= pressure_pa;
    // Above the boiling point no wet bulb exists; nothing is sought there.
    let top = if boiling(dry) {
        bracketed(COLDEST_C, dry, pressure_pa, &saturation) - 1e-9
    } else {
        dry
    };
    let wet = bracketed(COLDEST_C, top, humidity_ratio, &|wet| {
        ratio_of_wet_bulb(dry, wet, pressure_pa)
    });
    let t = dry + ICE_POINT_K;
    MoistAir {
        dry_bulb_k: t,
        pressure_pa,
        humidity_ratio,
        vapour_pa,
        relative_humidity: vapour_pa / full,
        wet_bulb_k: wet + ICE_POINT_K,
        dew_point_k: dew + ICE_POINT_K,
        enthalpy_j_kg: 1000.0 * (1.006 * dry + humidity_ratio * (2501.0 + 1.86 * dry)),
        volume_m3_kg: DRY_AIR * t * (1.0 + 1.607_858 * humidity_ratio) / pressure_pa,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const SEA_LEVEL: f64 = 101_325.0;

    fn air(dry_c: f64, known: Known) -> MoistAir {
        moist_air(dry_c + ICE_POINT_K, known, SEA_LEVEL).unwrap()
    }

    /// psychrometrics.csv of the project's checks: dry bulb, RH, W, wet bulb, dew point, kJ/kg, m³/kg by
    /// PsychroLib 2.5.0 and W, wet bulb, dew point by CoolProp; both computed there.
    const ROWS: [[f64; 10]; 7] = [
        [
            20.0,
            0.5,
            0.007_261_737_207,
            13.783_369_66,
            9.272_392_288,
            38.551_741_38,
            0.840_156_347_9,
            0.007_293_697_702,
            13.776_468_86,
            9.274_425_815,
        ],
        [
            25.0,
            0.6,
            0.011_895_048_53,
            19.471_051_32,
            16.701_131_85,
            55.452_636_14,
            0.860_778_355_3,
            0.011_949_026_52,
            19.467_430_2,
            16.703_538_68,
        ],
        [
            40.0,
            0.3,
            0.013_900_033_69,
            25.093_415_87,
            19.125_239_9,
            76.038_146_76,
            0.906_944_155_8,
            0.013_970_603_15,
            25.088_842_27,
            19.135_292_11,
        ],
        [
            60.0,
            0.2,
            0.025_486_748_2,
            34.919_865_25,
            28.915_564_22,
            126.946_678_3,
            0.982_450_439,
            0.025_644_142_34,
            34.926_793_44,
            28.939_193_92,
        ],
        [
            30.0,
            0.8,
            0.021_573_339_91,
            27.091_367_35,
            26.168_593_24,
            85.338_715_49,
            0.888_577_565_9,
            0.021_675_772_04,
            27.090_627_97,
            26.170_399_77,
        ],
        [
            -10.0,
            0.9,
            0.001_439_105_685,
            -10.322_755_34,
            -11.181_417_22,
            -6.487_564_048,
            0.747_198_433_6,
            0.001_445_207_59,
            -10.324_134_28,
            -11.181_586_03,
        ],
        [
            60.0,
            0.1,
            0.012_487_510_61,
            28.990_884,
            17.453_476_41,
            92.984_870_21,
            0.962_724_657_2,
            0.012_563_066_25,
            28.985_894_68,
            17.479_007_56,
        ],
    ];

    #[test]
    fn states_of_the_projects_checks() {
        for [dry, rh, w, wet, dew, kj, volume, w_real, wet_real, dew_real] in ROWS {
            let found = air(dry, Known::RelativeHumidity(rh));
            let (found_wet, found_dew) = (
                found.wet_bulb_k - ICE_POINT_K,
                found.dew_point_k - ICE_POINT_K,
            );
            // Ten digits are printed; temperatures were iterated to 0.001 K by that library.
            assert!((found.humidity_ratio / w - 1.0).abs() < 1e-9, "{dry} {rh}");
            assert!((found_wet - wet).abs() < 1e-3, "{dry} {rh}: {found_wet}");
            assert!((found_dew - dew).abs() < 1e-3, "{dry} {rh}: {found_dew}");
            assert!(
                (found.enthalpy_j_kg / 1000.0 - kj).abs() < 1e-7,
                "{dry} {rh}"
            );
            assert!(
                (found.volume_m3_kg / volume - 1.0).abs() < 1e-9,
                "{dry} {rh}"
            );
            // Real-gas properties: the 0.5 % of the checks holds to 30 degC. The enhancement factor that the
            // ideal mixture leaves out parts the two libraries themselves by 0.505 % at 40 and 0.62 % at 60 degC.
            let share = match dry {
                d if d <= 30.0 => 0.005,
                d if d <= 40.0 => 0.0051,
                _ => 0.0063,
            };
            assert!(
                (found.humidity_ratio / w_real - 1.0).abs() < share,
                "{dry} {rh}"
            );
            assert!((found_wet - wet_real).abs() < 0.05 && (found_dew - dew_real).abs() < 0.05);
        }
    }

    #[test]
    fn geankoplis_9_3_1() {
        // Example 9.3-1 (read): pA 2.76 of 101.3 kPa at a saturation of 3.50 kPa: H 0.01742, RH 78.9 %.
        // The book's ratio of molar masses is 18.02/28.97, 1.2e-4 above this one's.
        assert!((ratio(2760.0, 101_300.0) / 0.017_422_192_8 - 1.0).abs() < 2e-4);
        assert!((ratio(3500.0, 101_300.0) / 0.022_260_529_01 - 1.0).abs() < 2e-4);
        let percentage = ratio(2760.0, 101_300.0) / ratio(3500.0, 101_300.0);
        assert!((percentage - 0.782_649_540_4).abs() < 1e-9);
        // Its saturation pressure at 26.7 degC.
        assert!((saturation(26.7) / 3500.0 - 1.0).abs() < 0.002);
    }

    #[test]
    fn air_that_cannot_be_is_refused() {
        let refused = |dry: f64, known| {
            moist_air(dry + ICE_POINT_K, known, SEA_LEVEL)
                .unwrap_err()
                .to_string()
        };
        assert!(refused(20.0, Known::RelativeHumidity(1.2)).contains("relative humidity"));
        assert!(refused(20.0, Known::WetBulb(ICE_POINT_K + 25.0)).contains("wet bulb"));
        assert!(refused(60.0, Known::WetBulb(ICE_POINT_K + 5.0)).contains("dry air"));
        assert!(refused(20.0, Known::HumidityRatio(0.02)).contains("holds"));
        assert!(refused(120.0, Known::RelativeHumidity(0.9)).contains("leaves no air"));
        assert!(refused(250.0, Known::RelativeHumidity(0.1)).contains("temperature of air"));
    }

    proptest! {
        #[test]
        fn wet_bulb_lies_between_dew_point_and_dry_bulb(
            dry in -40.0..150.0_f64,
            rh in 0.02..1.0_f64,
            pressure in 60_000.0..110_000.0_f64,
        ) {
            let known = Known::RelativeHumidity(rh);
            prop_assume!(rh * saturation(dry) < 0.9 * pressure);
            let found = moist_air(dry + ICE_POINT_K, known, pressure).unwrap();
            // Between liquid and ice both laws leave a gap of hundredths of a degree.
            prop_assert!(found.dew_point_k <= found.wet_bulb_k + 0.02);
            prop_assert!(found.wet_bulb_k <= found.dry_bulb_k + 1e-9);
        }

        #[test]
        fn each_way_of_knowing_leads_to_the_same_air(dry in -30.0..90.0_f64, rh in 0.1..1.0_f64) {
            let first = air(dry, Known::RelativeHumidity(rh));
            for known in [
                Known::HumidityRatio(first.humidity_ratio),
                Known::DewPoint(first.dew_point_k.min(first.dry_bulb_k)),
                Known::WetBulb(first.wet_bulb_k.min(first.dry_bulb_k)),
            ] {
                // Where the wet bulb jumps from ice to water several humidities share it.
                if matches!(known, Known::WetBulb(k) if (k - ICE_POINT_K).abs() < 0.02) {
                    continue;
                }
                let again = air(dry, known);
                prop_assert!((again.relative_humidity - rh).abs() < 1e-6, "{known:?}");
            }
        }
    }
}
