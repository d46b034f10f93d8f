//! Cooling time of a moulded plate or rod between walls of one temperature.
//!
//! First term of the series for a held surface, as the trade uses it: plate `h²/(π² α) ln(C (Tm - Tw)/(Te - Tw))` with
//! C = 8/π² for the mean and 4/π for the middle; rod `d²/(23.13 α)` with 0.692 and 1.602. The whole
//! series (Carslaw & Jaeger 1959; [`crate::mass::diffusion`]) is solved beside it: for thick parts ejected hot the first term is too
//! short or below nought. The wall counts as held at its temperature from the start; α is an effective one that
//! carries the heat of crystallising, from a maker's data or a trial. Gates, runners, corners and air gaps are not in it.

use std::f64::consts::PI;

use serde::Serialize;

use crate::fault::{Fault, positive};
use crate::mass::diffusion::{Shape, fourier_for_middle, fourier_for_uptake};

/// The thickest part of a moulding, or its runner.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum Part {
    /// A wall of so much thickness, m, cooled on both sides.
    Plate(f64),
    /// A rod of so much diameter, m.
    Rod(f64),
}

/// Melt and mould.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Melt {
    /// Effective thermal diffusivity, m²/s.
    pub diffusivity_m2_s: f64,
    /// Melt, K.
    pub melt_k: f64,
    /// Wall of the mould, K.
    pub mould_k: f64,
    /// Ejection, K.
    pub eject_k: f64,
}

/// A cooling time in two ways.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Time {
    /// By the whole series, s: the answer.
    pub exact_s: f64,
    /// By its first term, s, for comparison with hand figures; may lie below nought.
    pub first_term_s: f64,
}

/// Cooling times from the end of filling.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Cooling {
    /// Until the mean over the section is down to ejection.
    pub mean: Time,
    /// Until the middle is.
    pub middle: Time,
}

/// First root of J0, and `4/j²` and `2/(j J1(j))` with it (Abramowitz & Stegun, table 9.5; computed here with 30 digits).
const ROD_ROOT: f64 = 2.404_825_557_695_773;
const ROD_MEAN: f64 = 0.691_660_276_122_579_7;
const ROD_MIDDLE: f64 = 1.601_974_696_928_046_6;

/// Cooling time of a part. Ejection must lie between mould and melt.
pub fn cooling(part: Part, melt: &Melt) -> Result<Cooling, Fault> {
    let alpha = positive("thermal diffusivity", melt.diffusivity_m2_s)?;
    for temperature in [melt.melt_k, melt.mould_k, melt.eject_k] {
        positive("absolute temperature", temperature)?;
    }
    if !(melt.mould_k < melt.eject_k && melt.eject_k < melt.melt_k) {
        return Err(Fault::Impossible {
            asked: "cool a part to ejection",
            why: format!(
                "ejection at {:.2} K does not lie between the mould at {:.2} K and the melt at {:.2} K",
                melt.eject_k, melt.mould_k, melt.melt_k
            ),
        });
    }
    let (shape, l, root, first) = match part {
        Part::Plate(thick) => {
            let half = 0.5 * positive("thickness", thick)?;
            (Shape::Plate, half, 0.5 * PI, [8.0 / (PI * PI), 4.0 / PI])
        }
        Part::Rod(diameter) => {
            let radius = 0.5 * positive("diameter", diameter)?;
            (Shape::Rod, radius, ROD_ROOT, [ROD_MEAN, ROD_MIDDLE])
        }
    };
    let left = (melt.eject_k - melt.mould_k) / (melt.melt_k - melt.mould_k);
    let scale = l * l / alpha;
    let time = |fourier: f64, weight: f64| Time {
        exact_s: fourier * scale,
        first_term_s: libm::log(weight / left) / (root * root) * scale,
    };
    Ok(Cooling {
        mean: time(fourier_for_uptake(shape, 1.0 - left)?, first[0]),
        middle: time(fourier_for_middle(shape, 1.0 - left)?, first[1]),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ICE_POINT_K;
    use proptest::prelude::*;

    fn melt(alpha_mm2_s: f64, melt_c: f64, mould_c: f64, eject_c: f64) -> Melt {
        Melt {
            diffusivity_m2_s: 1e-6 * alpha_mm2_s,
            melt_k: melt_c + ICE_POINT_K,
            mould_k: mould_c + ICE_POINT_K,
            eject_k: eject_c + ICE_POINT_K,
        }
    }

    /// First term and whole series of mean and middle, s, found with 30 digits by mpmath's root finder on sixty
    /// terms (plate) and thirty (rod), computed for this test. Temperatures and α were chosen so that the
    /// trade's table of 2 mm walls comes out, which does not state its own.
    #[test]
    fn walls_and_a_rod_by_another_program() {
        let pp = melt(0.09, 230.0, 40.0, 90.0);
        let abs = melt(0.1, 240.0, 60.0, 90.0);
        let pom = melt(0.096, 200.0, 90.0, 130.0);
        for (part, melt, known) in [
            (
                Part::Plate(0.002),
                pp,
                [
                    5.065_981_893_03,
                    7.099_532_746_91,
                    5.066_043_642_59,
                    7.099_527_748_28,
                ],
            ),
            (
                Part::Plate(0.003),
                pp,
                [
                    11.398_459_259_3,
                    15.973_948_680_5,
                    11.398_598_195_8,
                    15.973_937_433_6,
                ],
            ),
            (
                Part::Plate(0.002),
                abs,
                [
                    6.410_555_782_9,
                    8.240_751_551_4,
                    6.410_557_221_65,
                    8.240_751_434_94,
                ],
            ),
            (
                Part::Plate(0.002),
                pom,
                [
                    3.384_054_420_54,
                    5.290_508_346_05,
                    3.384_822_827_94,
                    5.290_446_047_25,
                ],
            ),
            (
                Part::Rod(0.006),
                pp,
                [
                    16.709_486_752_7,
                    31.232_578_930_5,
                    16.761_771_676_2,
                    31.227_422_635_3,
                ],
            ),
        ] {
            let found = cooling(part, &melt).unwrap();
            let found = [
                found.mean.first_term_s,
                found.middle.first_term_s,
                found.mean.exact_s,
                found.middle.exact_s,
            ];
            for (found, known) in found.into_iter().zip(known) {
                // Twelve digits are printed; the series are right to 1e-9 of the difference in temperature.
                assert!(
                    (found / known - 1.0).abs() < 1e-8,
                    "{part:?}: {found} for {known}"
                );
            }
        }
    }

    #[test]
    fn the_table_of_the_trade() {
        // 2 mm, mean and middle: PP 5.1 and 7.1 s, ABS 6.4 and 8.2, POM 3.4 and 5.3; 2.25 times that at 3 mm.
        for (melt, mean, middle) in [
            (melt(0.09, 230.0, 40.0, 90.0), 5.1, 7.1),
            (melt(0.1, 240.0, 60.0, 90.0), 6.4, 8.2),
            (melt(0.096, 200.0, 90.0, 130.0), 3.4, 5.3),
        ] {
            let thin = cooling(Part::Plate(0.002), &melt).unwrap();
            assert!((thin.mean.first_term_s - mean).abs() < 0.05);
            assert!((thin.middle.first_term_s - middle).abs() < 0.05);
            let thick = cooling(Part::Plate(0.003), &melt).unwrap();
            assert!((thick.mean.exact_s / thin.mean.exact_s - 2.25).abs() < 1e-9);
        }
        // Whatever the temperatures, mean and middle lie ln(π/2) h²/(π² α) apart by the first term: the trade's
        // range of 0.08 to 0.11 mm²/s means 2.29 to 1.66 s for 2 mm, and its three pairs differ by 1.8 to 2.0 s.
        for (alpha, apart) in [(0.08, 2.287_744), (0.11, 1.663_814)] {
            let found = cooling(Part::Plate(0.002), &melt(alpha, 230.0, 40.0, 90.0)).unwrap();
            let found = found.middle.first_term_s - found.mean.first_term_s;
            assert!((found - apart).abs() < 1e-6, "{found} for {apart}");
        }
    }

    #[test]
    fn hot_ejection_of_a_thick_wall_needs_the_whole_series() {
        // A tenth of the way down: the first term says less than nought; the half space says
        // Fo = π/4·0.1² = 0.00785398 (30 digits by mpmath: 0.00785398163397), α 0.1 mm²/s, 10 mm.
        let found = cooling(Part::Plate(0.01), &melt(0.1, 200.0, 100.0, 190.0)).unwrap();
        assert!(found.mean.first_term_s < 0.0);
        assert!((found.mean.exact_s / (0.007_853_981_633_97 * 250.0) - 1.0).abs() < 1e-7);
    }

    #[test]
    fn ejection_outside_mould_and_melt_is_refused() {
        for eject in [40.0, 30.0, 230.0, 240.0] {
            let fault = cooling(Part::Plate(0.002), &melt(0.09, 230.0, 40.0, eject)).unwrap_err();
            assert!(fault.to_string().contains("does not lie between"));
        }
        assert!(cooling(Part::Plate(0.0), &melt(0.09, 230.0, 40.0, 90.0)).is_err());
    }

    proptest! {
        #[test]
        fn thicker_hotter_or_cooler_out_is_never_faster(
            thick in 0.5..10.0_f64,
            eject in 60.0..190.0_f64,
            more in 1.0..1.5_f64,
        ) {
            let at = |thick: f64, eject: f64| {
                cooling(Part::Plate(1e-3 * thick), &melt(0.09, 220.0, 40.0, eject)).unwrap()
            };
            let (base, thicker, cooler) = (at(thick, eject), at(thick * more, eject), at(thick, eject - 10.0));
            prop_assert!(thicker.mean.exact_s >= base.mean.exact_s);
            prop_assert!(cooler.mean.exact_s > base.mean.exact_s);
            prop_assert!(base.middle.exact_s > base.mean.exact_s);
        }
    }
}
