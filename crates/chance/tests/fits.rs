//! Fits against published data and an outside library (scipy 1.17.1, its optimisers to 1e-12).

use chance::fit::{best, fit, ranked};
use chance::special::{logistic, student_t_quantile};
use chance::{BetaBinomial, ChanceError, Distribution, Family, Stream, binomial, lot_yield};
use proptest::prelude::*;

/// Millions of revolutions to failure of 23 deep-groove ball bearings (Lieblein & Zelen 1956,
/// J. Res. NBS 57:273).
const BEARINGS: [f64; 23] = [
    17.88, 28.92, 33.0, 41.52, 42.12, 45.6, 48.4, 51.84, 51.96, 54.12, 55.56, 67.8, 68.64, 68.64,
    68.88, 84.12, 93.12, 98.64, 105.12, 105.84, 127.92, 128.04, 173.4,
];
/// Hours between failures of an aircraft's air conditioning (Proschan 1963, Technometrics 5:375).
const AIR: [f64; 12] = [
    3.0, 5.0, 7.0, 18.0, 43.0, 85.0, 91.0, 98.0, 100.0, 130.0, 230.0, 487.0,
];

#[track_caller]
fn near(found: f64, expected: f64, relative: f64) {
    let gap = (found - expected).abs();
    assert!(
        gap <= relative * expected.abs(),
        "found {found:e}, expected {expected:e}"
    );
}

#[test]
fn ball_bearings_by_every_family() {
    // Weibull 2.10 and 81.9 are the values printed with these data (CHECKS data index, C).
    let weibull = fit(&BEARINGS, Family::Weibull, 0.95).unwrap();
    let Distribution::Weibull { shape, scale } = weibull.distribution else {
        panic!()
    };
    near(shape, 2.101_846_863_764_878_4, 1e-9);
    near(scale, 81.874_558_724_108_11, 1e-9);
    near(weibull.log_likelihood, -113.691_959_087_690_1, 1e-11);
    near(weibull.aicc, 231.983_918_175_380_18, 1e-11);
    near(weibull.anderson_darling, 0.328_509_845_975_467_84, 1e-8);
    near(weibull.mean.mean, 72.515_355_240_510_4, 1e-9);
    near(weibull.mean.low, 57.982_629_502_865_16, 1e-6);
    near(weibull.mean.high, 90.022_397_679_703_7, 1e-6);

    let gamma = fit(&BEARINGS, Family::Gamma, 0.95).unwrap();
    let Distribution::Gamma { shape, scale } = gamma.distribution else {
        panic!()
    };
    near(shape, 4.024_706_49, 1e-7);
    near(scale, 17.944_381_5, 1e-7);
    near(gamma.log_likelihood, -113.029_818_839_703_07, 1e-11);
    near(gamma.anderson_darling, 0.215_296_26, 1e-7);
    near(gamma.mean.low, 58.433_418_664_741_31, 1e-6);
    near(gamma.mean.high, 90.709_395_737_430_81, 1e-6);

    let log_normal = fit(&BEARINGS, Family::LogNormal, 0.95).unwrap();
    let Distribution::LogNormal { log_mean, log_sd } = log_normal.distribution else {
        panic!()
    };
    near(log_mean, 4.150_382_688_326_942, 1e-13);
    near(log_sd, 0.521_686_511_301_740_5, 1e-12);
    near(log_normal.anderson_darling, 0.188_644_952_807_695_9, 1e-10);
    near(log_normal.mean.low, 58.295_911_624_140_05, 1e-6);
    near(log_normal.mean.high, 95.878_327_948_318_16, 1e-6);

    let normal = fit(&BEARINGS, Family::Normal, 0.95).unwrap();
    near(normal.log_likelihood, -115.478_714_393_588_97, 1e-12);
    near(normal.anderson_darling, 0.610_843_124_604_478_8, 1e-9);
}

#[test]
fn the_best_family_comes_first() {
    let order = |values: &[f64]| -> Vec<Family> {
        ranked(values, 0.95)
            .unwrap()
            .iter()
            .map(|fit| fit.family)
            .collect()
    };
    let bearings = [
        Family::Gamma,
        Family::LogNormal,
        Family::Weibull,
        Family::Normal,
    ];
    assert_eq!(order(&BEARINGS), bearings);
    // AICc 140.5704, 140.6242, 141.4682, 156.2884 (scipy).
    let air = [
        Family::Weibull,
        Family::Gamma,
        Family::LogNormal,
        Family::Normal,
    ];
    assert_eq!(order(&AIR), air);
}

#[test]
fn the_best_alone_is_the_first_of_all() {
    for values in [&BEARINGS[..], &AIR[..]] {
        assert_eq!(best(values, 0.95), Ok(ranked(values, 0.95).unwrap()[0]));
    }
}

#[test]
fn air_conditioning_is_a_gamma_of_mean_108() {
    // Mean 108.083 h; gamma shape 0.7065 (scipy).
    let gamma = fit(&AIR, Family::Gamma, 0.95).unwrap();
    near(gamma.mean.mean, 108.083_333_333_333_33, 1e-12);
    let Distribution::Gamma { shape, .. } = gamma.distribution else {
        panic!()
    };
    near(shape, 0.706_493_174_8, 1e-7);
    near(gamma.log_likelihood, -67.645_424_555_801_94, 1e-11);
}

#[test]
fn values_that_are_not_all_positive_leave_the_normal() {
    let fits = ranked(&[-1.0, 0.5, 2.0, 1.0], 0.95).unwrap();
    assert_eq!(fits.len(), 1);
    let refused = fit(&[1.0, 0.0, 2.0], Family::Weibull, 0.95);
    assert_eq!(
        refused,
        Err(ChanceError::NotPositive {
            index: 1,
            value: 0.0
        })
    );
}

#[test]
fn too_little_to_fit_is_refused() {
    let two = fit(&[1.0, 2.0], Family::Normal, 0.95);
    assert_eq!(
        two,
        Err(ChanceError::TooFew {
            needed: 3,
            found: 2
        })
    );
    let broken = fit(&[1.0, f64::NAN, 2.0], Family::Normal, 0.95);
    assert!(matches!(
        broken,
        Err(ChanceError::NotFinite { index: 1, .. })
    ));
    let same = fit(&[2.0; 5], Family::Gamma, 0.95);
    assert_eq!(same, Err(ChanceError::NoSpread { value: 2.0 }));
    assert!(matches!(
        fit(&AIR, Family::Gamma, 1.0),
        Err(ChanceError::Parameter { .. })
    ));
}

/// Eight lots made up for this test; they differ far beyond the binomial sd of 1.2 points.
const LOTS: [(u64, u64); 8] = [
    (500, 471),
    (480, 452),
    (510, 440),
    (495, 470),
    (505, 481),
    (500, 430),
    (490, 466),
    (500, 455),
];

#[test]
fn yield_of_lots_that_differ() {
    // scipy betabinom with Nelder–Mead and root finding; threshold 4·ln(1 + t²/7).
    let found = lot_yield(&LOTS, 0.95).unwrap();
    assert!(found.lots_differ);
    near(found.mean.mean, 0.921_054_119_913_666_1, 1e-6);
    near(found.lots_sd.mean, 0.032_297_342_742_635_085, 1e-5);
    near(found.log_likelihood, -33.615_884_515_665_09, 1e-11);
    near(found.log_likelihood_alike, -56.006_320_341_662_45, 1e-11);
    near(found.lots_sd.low, 0.017_882_205_522_592_884, 1e-5);
    near(found.lots_sd.high, 0.072_391_433_205_167_51, 1e-5);
    near(found.mean.low, 0.882_688_848_180_178_5, 1e-6);
    near(found.mean.high, 0.945_534_268_552_270_3, 1e-6);
}

#[test]
fn lots_that_hardly_differ_are_taken_as_alike() {
    // 92 of 100 every time: less spread than chance itself would make.
    let found = lot_yield(&[(100, 92); 6], 0.95).unwrap();
    assert!(!found.lots_differ);
    assert_eq!((found.lots_sd.mean, found.lots_sd.low), (0.0, 0.0));
    near(found.mean.mean, 0.92, 1e-15);
    assert!(found.mean.low < 0.92 && found.mean.high > 0.92);
    // What six lots cannot rule out (scipy, same profile and threshold).
    near(found.lots_sd.high, 0.032_387_117_040_313, 1e-8);
}

/// Log-likelihood at an sd, greatest over a fine grid of means: no search to go astray.
fn greatest_at_sd(rows: &[(u64, u64)], sd: f64) -> f64 {
    let at = |logit: f64| {
        BetaBinomial::from_mean_sd(logistic(logit), sd).map_or(f64::NEG_INFINITY, |lots| {
            rows.iter().map(|(n, k)| lots.ln_pmf(*n, *k)).sum()
        })
    };
    (-2000..=2000)
        .map(|step| at(f64::from(step) * 0.004))
        .fold(f64::NEG_INFINITY, f64::max)
}

#[test]
fn the_ends_of_the_lots_sd_lie_on_the_threshold() {
    // Lots alike, whose peak in the mean is narrow; and few lots far apart, with two peaks.
    let tables: [&[(u64, u64)]; 3] = [
        &[(723, 509), (280, 196), (664, 463)],
        &[(37, 30), (18, 14), (27, 9), (28, 0)],
        &[(43, 43), (41, 36), (33, 33), (27, 27)],
    ];
    for rows in tables {
        let found = lot_yield(rows, 0.95).unwrap();
        let n = rows.len() as f64;
        let t = student_t_quantile(n - 1.0, 0.975);
        let floor = found.log_likelihood - 0.5 * n * (t * t / (n - 1.0)).ln_1p();
        for end in [found.lots_sd.low, found.lots_sd.high] {
            // At most (grid/2)²/2 times the curvature, a few hundred, is lost: 1e-3.
            let gap = greatest_at_sd(rows, end.max(1e-6)) - floor;
            assert!(end == 0.0 || gap.abs() < 1e-3, "{end} {gap} {found:?}");
        }
    }
}

#[test]
fn perfect_lots_have_no_lower_doubt() {
    let found = lot_yield(&[(50, 50); 4], 0.95).unwrap();
    assert!(!found.lots_differ);
    assert_eq!((found.mean.mean, found.mean.high), (1.0, 1.0));
    // Clopper–Pearson for 200 of 200: 0.025^(1/200).
    near(found.mean.low, 0.025_f64.powf(0.005), 1e-10);
}

#[test]
fn nonsense_lots_are_refused() {
    assert!(matches!(
        lot_yield(&LOTS[..2], 0.95),
        Err(ChanceError::TooFew { .. })
    ));
    let more = lot_yield(&[(5, 4), (5, 6), (5, 5)], 0.95);
    assert_eq!(
        more,
        Err(ChanceError::MoreGoodThanMade {
            index: 1,
            made: 5,
            good: 6
        })
    );
    assert!(lot_yield(&[(5, 4), (0, 0), (5, 5)], 0.95).is_err());
}

#[test]
fn intervals_cover_what_they_say() {
    // 200 sets of 12 lots of 200 from Beta(mean .9, sd .04). 95 % of 200 is 190 with an sd of
    // 3.1; profile intervals are approximate, so the bound is 90 % less three sd: 180 − 13.
    let lots = Distribution::beta_from_mean_sd(0.9, 0.04).unwrap();
    let mut stream = Stream::new(21, "coverage");
    let (mut means, mut spreads) = (0, 0);
    for _ in 0..200 {
        let rows: Vec<(u64, u64)> = (0..12)
            .map(|_| {
                let p = lots.sample(&mut stream);
                (
                    200,
                    (0..200).filter(|_| stream.uniform() < p).count() as u64,
                )
            })
            .collect();
        let found = lot_yield(&rows, 0.95).unwrap();
        means += i32::from(found.mean.low <= 0.9 && 0.9 <= found.mean.high);
        spreads += i32::from(found.lots_sd.low <= 0.04 && 0.04 <= found.lots_sd.high);
    }
    assert!(means >= 167 && spreads >= 167, "{means} {spreads}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// A fit scales with its unit: minutes or seconds, the same shape and odds.
    #[test]
    fn fits_do_not_depend_on_the_unit(
        values in prop::collection::vec(0.1_f64..1e3, 4..30), factor in 1e-3_f64..1e3,
    ) {
        let scaled: Vec<f64> = values.iter().map(|value| value * factor).collect();
        for family in Family::ALL {
            let (a, b) = (fit(&values, family, 0.9), fit(&scaled, family, 0.9));
            let (a, b) = (a.unwrap(), b.unwrap());
            prop_assert!((b.mean.mean / a.mean.mean / factor - 1.0).abs() < 1e-6);
            prop_assert!((b.anderson_darling - a.anderson_darling).abs() < 1e-6 * (1.0 + a.anderson_darling));
            prop_assert!(a.mean.low <= a.mean.mean && a.mean.mean <= a.mean.high);
        }
    }

    /// No member of a family is likelier than the one fitted.
    #[test]
    fn no_neighbour_is_likelier(
        values in prop::collection::vec(0.1_f64..1e3, 4..30), step in -0.05_f64..0.05,
    ) {
        for family in Family::ALL {
            let best = fit(&values, family, 0.9).unwrap().distribution;
            let nudge = 1.0 + step;
            let other = match best {
                Distribution::Normal { mean, sd } => Distribution::Normal { mean, sd: sd * nudge },
                Distribution::LogNormal { log_mean, log_sd } => {
                    Distribution::LogNormal { log_mean: log_mean + step, log_sd }
                }
                Distribution::Gamma { shape, scale } => {
                    Distribution::Gamma { shape: shape * nudge, scale: scale / nudge }
                }
                Distribution::Weibull { shape, scale } => {
                    Distribution::Weibull { shape: shape * nudge, scale }
                }
                other => other,
            };
            // An independent likelihood: the density by differences of the distribution function.
            let log = |kind: &Distribution| -> f64 {
                let h = |x: f64| 1e-4 * x;
                values.iter()
                    .map(|x| ((kind.cdf(x + h(*x)) - kind.cdf(x - h(*x))) / (2.0 * h(*x))).ln())
                    .sum()
            };
            prop_assert!(log(&best) >= log(&other) - 1e-4);
        }
    }

    /// Any table of lots gives an interval around its estimate, and never a panic.
    #[test]
    fn any_lots_have_a_yield(rows in prop::collection::vec((1_u64..400, 0.0_f64..=1.0), 3..8)) {
        let rows: Vec<(u64, u64)> =
            rows.iter().map(|(made, share)| (*made, (share * *made as f64) as u64)).collect();
        let found = lot_yield(&rows, 0.95).unwrap();
        for estimate in [found.mean, found.lots_sd] {
            prop_assert!(estimate.low <= estimate.mean + 1e-9, "{found:?}");
            prop_assert!(estimate.mean <= estimate.high + 1e-9, "{found:?}");
        }
        // The likelihoods, summed another way.
        if found.lots_differ {
            let lots = BetaBinomial::from_mean_sd(found.mean.mean, found.lots_sd.mean).unwrap();
            let sum: f64 = rows.iter().map(|(made, good)| lots.pmf(*made, *good).ln()).sum();
            prop_assert!((sum - found.log_likelihood).abs() < 1e-6 * (1.0 + sum.abs()));
            prop_assert!(found.log_likelihood > found.log_likelihood_alike);
        } else {
            let p = found.mean.mean;
            let sum: f64 = rows.iter().map(|(made, good)| binomial::pmf(*made, *good, p).ln()).sum();
            prop_assert!((sum - found.log_likelihood_alike).abs() < 1e-6 * (1.0 + sum.abs()));
        }
    }
}
