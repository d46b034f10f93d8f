//! Diffusion into (or out of) a piece whose surface is held: closed forms for plate, rod and ball.
//!
//! Crank, *The Mathematics of Diffusion*, 2nd ed. (1975), chapters 4 to 6, cited from memory; the forms for short and
//! long times are held against each other in the tests. Time enters as the Fourier number `Fo = D t / l²`, `l` the
//! half thickness of a plate that both faces serve (the whole, if one face does) or the radius. Constant D, no
//! shrinking, no resistance at the surface. The same forms cool a piece whose surface is held, with the thermal diffusivity for D.

use std::f64::consts::PI;

use serde::Serialize;

use crate::fault::{Fault, positive, within};

/// The form of a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Shape {
    /// A plate; `l` is half its thickness.
    Plate,
    /// A long rod; `l` is its radius.
    Rod,
    /// A ball; `l` is its radius.
    Ball,
}

/// Exponents beyond this leave nothing of a term.
const SPENT: f64 = 40.0;
/// Below this the series for short times are used for plates and balls.
const SHORT: f64 = 0.02;
/// Below this a rod uses its expansion for short times; the term left out is about Fo²/8, or 1e-9.
const SHORT_ROD: f64 = 1e-4;
/// Below this nothing has gone deeper than a thousandth of a rod's radius.
const NO_TIME: f64 = 1e-8;
/// 1/√π.
const ROOT_PI_INVERSE: f64 = std::f64::consts::FRAC_2_SQRT_PI / 2.0;

fn fourier(fo: f64) -> Result<f64, Fault> {
    within("Fourier number", fo, 0.0, f64::MAX)
}

/// Share of the final uptake that is in at a Fourier number, 0 to 1. Right to 1e-9.
pub fn uptake(shape: Shape, fo: f64) -> Result<f64, Fault> {
    let fo = fourier(fo)?;
    if fo == 0.0 {
        return Ok(0.0);
    }
    Ok(match shape {
        Shape::Plate if fo < SHORT => 2.0 * fo.sqrt() * images(fo, true),
        Shape::Ball if fo < SHORT => 6.0 * fo.sqrt() * images(fo, false) - 3.0 * fo,
        Shape::Rod if fo < SHORT_ROD => {
            let root = fo.sqrt();
            ROOT_PI_INVERSE * root * (4.0 - fo / 3.0) - fo
        }
        _ => 1.0 - left(shape, fo),
    })
}

/// `1/√π + 2 Σ (±1)ⁿ ierfc(n/√Fo)`: the half space and its images.
fn images(fo: f64, signs: bool) -> f64 {
    let mut sum = ROOT_PI_INVERSE;
    for n in 1_i32..=8 {
        let x = f64::from(n) / fo.sqrt();
        let ierfc = ROOT_PI_INVERSE * libm::exp(-x * x) - x * libm::erfc(x);
        let sign = if signs && n % 2 == 1 { -1.0 } else { 1.0 };
        sum += 2.0 * sign * ierfc;
    }
    sum
}

/// Mean share that is still missing, by the series for long times.
fn left(shape: Shape, fo: f64) -> f64 {
    roots(shape, fo)
        .map(|root| {
            let weight = match shape {
                Shape::Plate => 2.0,
                Shape::Rod => 4.0,
                Shape::Ball => 6.0,
            };
            weight / (root * root) * libm::exp(-root * root * fo)
        })
        .sum()
}

/// The roots whose terms are not spent at a Fourier number.
fn roots(shape: Shape, fo: f64) -> impl Iterator<Item = f64> {
    (0..)
        .map(move |n| match shape {
            Shape::Plate => (f64::from(n) + 0.5) * PI,
            Shape::Rod => bessel_root(n),
            Shape::Ball => (f64::from(n) + 1.0) * PI,
        })
        .take_while(move |root| root * root * fo < SPENT)
}

/// Roots of J0, from nought: McMahon's expansion (Abramowitz & Stegun 9.5.12), then Newton.
fn bessel_root(n: i32) -> f64 {
    let b = (f64::from(n) + 0.75) * PI;
    let mut root = b + 1.0 / (8.0 * b) - 124.0 / (3.0 * (8.0 * b) * (8.0 * b) * (8.0 * b));
    for _ in 0..3 {
        root += libm::j0(root) / libm::j1(root);
    }
    root
}

/// Share of the surface's value at a depth, given as the share of `l` from the middle (0) to the surface (1).
/// Right to 1e-9, where Fo is above 1e-8; below that nothing has entered but at the surface.
pub fn share_at(shape: Shape, fo: f64, position: f64) -> Result<f64, Fault> {
    let fo = fourier(fo)?;
    let x = within("position", position, 0.0, 1.0)?;
    if x == 1.0 {
        return Ok(1.0);
    }
    if fo < NO_TIME {
        return Ok(0.0);
    }
    Ok(match shape {
        Shape::Plate if fo < SHORT => plate_short(fo, x),
        Shape::Ball if fo < SHORT => ball_short(fo, x),
        _ => {
            1.0 - roots(shape, fo)
                .map(|root| term(shape, root, x) * libm::exp(-root * root * fo))
                .sum::<f64>()
        }
    })
}

/// A term of the series for long times at a position, without its decay.
fn term(shape: Shape, root: f64, x: f64) -> f64 {
    match shape {
        Shape::Plate => 2.0 * libm::cos(root * x) / (root * libm::sin(root)),
        Shape::Rod => 2.0 * libm::j0(root * x) / (root * libm::j1(root)),
        Shape::Ball => {
            let shape = if x * root < 1e-8 {
                1.0
            } else {
                libm::sin(root * x) / (root * x)
            };
            -2.0 * libm::cos(root) * shape
        }
    }
}

fn plate_short(fo: f64, x: f64) -> f64 {
    let scale = 2.0 * fo.sqrt();
    let mut sum = 0.0;
    for n in 0_i32..4 {
        let far = f64::from(2 * n + 1);
        let both = libm::erfc((far - x) / scale) + libm::erfc((far + x) / scale);
        sum += if n % 2 == 0 { both } else { -both };
    }
    sum
}

fn ball_short(fo: f64, x: f64) -> f64 {
    let scale = 2.0 * fo.sqrt();
    let mut sum = 0.0;
    for n in 0_i32..4 {
        let far = f64::from(2 * n + 1);
        sum += if x < 1e-6 {
            // The limit of what follows in the middle.
            4.0 * ROOT_PI_INVERSE / scale * libm::exp(-(far / scale) * (far / scale))
        } else {
            (libm::erfc((far - x) / scale) - libm::erfc((far + x) / scale)) / x
        };
    }
    sum
}

/// Fourier number at which a share of the final uptake is in.
pub fn fourier_for_uptake(shape: Shape, share: f64) -> Result<f64, Fault> {
    fourier_for("share of the final uptake", share, &|fo| uptake(shape, fo))
}

/// Fourier number at which the middle has a share of the surface's value.
pub fn fourier_for_middle(shape: Shape, share: f64) -> Result<f64, Fault> {
    fourier_for("share in the middle", share, &|fo| share_at(shape, fo, 0.0))
}

fn fourier_for(
    what: &'static str,
    share: f64,
    rises: &dyn Fn(f64) -> Result<f64, Fault>,
) -> Result<f64, Fault> {
    // The ends are never reached, or at once; close to 1 no digits are left to find the time by.
    within(what, share, 1e-9, 1.0 - 1e-9)?;
    let (mut low, mut high) = (libm::log(1e-20), libm::log(20.0));
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if rises(libm::exp(middle))? < share {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(libm::exp(0.5 * (low + high)))
}

/// Time until a share of the final uptake is in, s. `l_m` as in [`Shape`], D in m²/s.
pub fn time_for_uptake_s(
    shape: Shape,
    l_m: f64,
    diffusivity_m2_s: f64,
    share: f64,
) -> Result<f64, Fault> {
    positive("thickness", l_m)?;
    positive("diffusivity", diffusivity_m2_s)?;
    Ok(fourier_for_uptake(shape, share)? * l_m * l_m / diffusivity_m2_s)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHAPES: [Shape; 3] = [Shape::Plate, Shape::Rod, Shape::Ball];

    #[test]
    fn uptakes_of_the_projects_checks() {
        // MT-01, MT-02 and all of crank_uptake.csv, to eight decimals; Crank's series computed with another program.
        for (fo, plate, rod, ball) in [
            (0.001, 0.035_682_48, 0.070_358_89, 0.104_047_45),
            (0.005, 0.079_788_46, 0.154_507_07, 0.224_365_37),
            (0.01, 0.112_837_92, 0.215_473_94, 0.308_513_75),
            (0.02, 0.159_576_91, 0.298_563_91, 0.418_730_74),
            (0.05, 0.252_313_25, 0.452_121_00, 0.606_939_76),
            (0.1, 0.356_823_40, 0.605_824_19, 0.770_478_74),
            (0.15, 0.436_949_96, 0.708_136_63, 0.861_266_35),
            (0.2, 0.504_087_82, 0.782_147_55, 0.915_495_57),
            (0.3, 0.613_236_07, 0.877_971_53, 0.968_524_54),
            (0.4, 0.697_881_91, 0.931_568_70, 0.988_269_23),
            (0.5, 0.763_950_33, 0.961_621_29, 0.995_627_86),
            (0.7, 0.855_892_96, 0.987_928_29, 0.999_392_66),
            (1.0, 0.931_259_68, 0.997_870_45, 0.999_968_56),
            (1.5, 0.979_981_93, 0.999_881_84, 0.999_999_77),
            (2.0, 0.994_170_48, 0.999_993_44, 1.0),
        ] {
            for (shape, known) in SHAPES.into_iter().zip([plate, rod, ball]) {
                let found = uptake(shape, fo).unwrap();
                // Half a unit of the last decimal printed.
                assert!(
                    (found - known).abs() < 5.1e-9,
                    "{shape:?} {fo}: {found} for {known}"
                );
            }
        }
    }

    #[test]
    fn middles_of_the_projects_checks() {
        // MT-04 and all of crank_centre.csv.
        for (fo, plate, ball) in [
            (0.05, 0.003_130_80, 0.034_001_47),
            (0.1, 0.050_694_64, 0.292_899_65),
            (0.2, 0.227_688_39, 0.722_922_39),
            (0.3, 0.393_196_18, 0.896_467_83),
            (0.5, 0.629_222_57, 0.985_616_24),
            (0.8, 0.823_132_86, 0.999_255_31),
            (1.0, 0.892_022_96, 0.999_896_55),
            (1.5, 0.968_555_69, 0.999_999_26),
        ] {
            for (shape, known) in [(Shape::Plate, plate), (Shape::Ball, ball)] {
                let found = share_at(shape, fo, 0.0).unwrap();
                assert!(
                    (found - known).abs() < 5.1e-9,
                    "{shape:?} {fo}: {found} for {known}"
                );
            }
        }
    }

    #[test]
    fn half_and_most_of_the_uptake() {
        // MT-03 and crank_halftimes.csv, ten digits, found there by a root finder of another program.
        let known = [
            [0.196_730_739_5, 0.848_085_408, 1.781_287_994],
            [0.063_058_194_19, 0.334_413_248_5, 0.732_556_387],
            [0.030_546_524_3, 0.182_985_374_7, 0.416_173_823_1],
        ];
        for (shape, row) in SHAPES.into_iter().zip(known) {
            for (share, known) in [0.5, 0.9, 0.99].into_iter().zip(row) {
                let found = fourier_for_uptake(shape, share).unwrap();
                assert!(
                    (found / known - 1.0).abs() < 1e-8,
                    "{shape:?}: {found} for {known}"
                );
            }
        }
    }

    #[test]
    fn short_and_long_series_meet() {
        // Two different expansions of the same solution: they check each other where both converge.
        for fo in [0.003, 0.01, 0.0199] {
            let plate = 2.0 * f64::sqrt(fo) * images(fo, true);
            assert!((plate - (1.0 - left(Shape::Plate, fo))).abs() < 1e-13);
            let ball = 6.0 * f64::sqrt(fo) * images(fo, false) - 3.0 * fo;
            assert!((ball - (1.0 - left(Shape::Ball, fo))).abs() < 1e-13);
            for x in [0.0, 1e-4, 0.3, 0.9, 0.999] {
                for (shape, short) in [
                    (Shape::Plate, plate_short(fo, x)),
                    (Shape::Ball, ball_short(fo, x)),
                ] {
                    let long: f64 = roots(shape, fo)
                        .map(|root| term(shape, root, x) * libm::exp(-root * root * fo))
                        .sum();
                    assert!((short - (1.0 - long)).abs() < 1e-12, "{shape:?} {fo} {x}");
                }
            }
        }
        let fo = 0.999 * SHORT_ROD;
        let short = uptake(Shape::Rod, fo).unwrap();
        // The term left out is about Fo²/8 = 1.2e-9.
        assert!((short - (1.0 - left(Shape::Rod, fo))).abs() < 2e-9);
    }

    #[test]
    fn the_mean_of_a_profile_is_the_uptake() {
        // Midpoint rule on 2000 layers: its error is h²/24 times the slopes' difference, below 1e-6 at these Fo.
        for shape in SHAPES {
            for fo in [0.01, 0.1, 0.6] {
                let (mut sum, mut volume) = (0.0, 0.0);
                for layer in 0..2000_i32 {
                    let x = (f64::from(layer) + 0.5) / 2000.0;
                    let weight = match shape {
                        Shape::Plate => 1.0,
                        Shape::Rod => x,
                        Shape::Ball => x * x,
                    };
                    sum += weight * share_at(shape, fo, x).unwrap();
                    volume += weight;
                }
                let mean = sum / volume;
                assert!(
                    (mean - uptake(shape, fo).unwrap()).abs() < 2e-6,
                    "{shape:?} {fo}"
                );
            }
        }
    }

    #[test]
    fn wood_dries_as_in_geankoplis() {
        // Example 9.9-1 (read): 25.4 mm, D 2.97e-6 m²/h, 0.29 to 0.09 with 0.04 at the end, both faces: 30.8 h by
        // the first term; 30.800 636 h by the full series (project check MT-05).
        let share = (0.29 - 0.09) / (0.29 - 0.04);
        let hours = time_for_uptake_s(Shape::Plate, 0.0127, 2.97e-6, share).unwrap();
        assert!((hours - 30.800_636_41).abs() < 1e-6, "{hours}");
    }

    #[test]
    fn nonsense_is_refused() {
        assert!(uptake(Shape::Plate, -1.0).is_err());
        assert!(uptake(Shape::Plate, f64::NAN).is_err());
        assert!(share_at(Shape::Ball, 0.1, 1.5).is_err());
        assert!(fourier_for_uptake(Shape::Rod, 1.0).is_err());
        assert!(time_for_uptake_s(Shape::Rod, -0.01, 1e-9, 0.5).is_err());
    }
}
