//! Streams, evenly spread points, estimates and distributions against known values.

use chance::estimate::{mean, proportion_upper, quantile, sd};
use chance::stream::fnv_1a;
use chance::{ChanceError, Distribution, Estimate, EvenPoints, Lattice, Stream};
use proptest::prelude::*;

#[track_caller]
fn near(found: f64, expected: f64, relative: f64) {
    let gap = (found - expected).abs();
    assert!(
        gap <= relative * expected.abs(),
        "found {found:e}, expected {expected:e}"
    );
}

#[test]
fn clopper_pearson() {
    // CHECKS.md AS-43 (C), 95 % two-sided.
    for (hits, n, low, high) in [
        (0, 10, 0.0, 0.308_497_107_8),
        (3, 100, 0.006_229_971_538, 0.085_176_052_97),
        (10, 200, 0.024_234_165_47, 0.090_027_537_7),
        (2, 2, 0.158_113_883, 1.0),
    ] {
        let found = Estimate::of_proportion(hits, n, 0.95).unwrap();
        near(found.low, low, 1e-8);
        near(found.high, high, 1e-8);
    }
    // CHECKS.md AS-44 (C): 1 − 0.05^(1/30).
    near(
        proportion_upper(0, 30, 0.95).unwrap(),
        0.095_033_852_86,
        1e-9,
    );
}

#[test]
fn means_and_spreads_that_upset_naive_sums() {
    // CHECKS.md CC-53 (R): NIST StRD NumAcc1 (three values) and NumAcc3/4 (1.2 ± 0.1 on a large
    // base, 1001 values: the base itself, then alternating ±0.1).
    let one = [10_000_001.0, 10_000_003.0, 10_000_002.0];
    near(mean(&one), 10_000_002.0, 1e-15);
    near(sd(&one), 1.0, 1e-15);
    for (base, tolerance) in [(1.2, 1e-13), (1_000_000.2, 1e-9), (10_000_000.2, 1e-8)] {
        let mut values = vec![base];
        for _ in 0..500 {
            values.extend([base - 0.1, base + 0.1]);
        }
        near(mean(&values), base, 1e-15);
        near(sd(&values), 0.1, tolerance);
    }
}

#[test]
fn mean_with_an_interval() {
    // 4, 6, 8: mean 6, sd 2. With two degrees of freedom t(p) = (2p−1)/√(2p(1−p)) in closed form:
    // 0.95/√(2·0.975·0.025) = 4.302653; half width 4.302653·2/√3 = 4.968275.
    let t = 0.95 / (2.0 * 0.975 * 0.025_f64).sqrt();
    let found = Estimate::of_mean(&[4.0, 6.0, 8.0], 0.95).unwrap();
    near(found.mean, 6.0, 1e-15);
    near(found.high - found.mean, t * 2.0 / 3.0_f64.sqrt(), 1e-12);
    let few = Estimate::of_mean(&[4.0], 0.95);
    assert_eq!(
        few,
        Err(ChanceError::TooFew {
            needed: 2,
            found: 1
        })
    );
    assert!(matches!(
        Estimate::of_mean(&[4.0, f64::NAN], 0.95),
        Err(ChanceError::NotFinite { index: 1, .. })
    ));
}

#[test]
fn sample_quantiles() {
    // Type 7 of 1, 2, 3, 4 at 0.9: place 0.9·3 = 2.7, so 3 + 0.7 = 3.7.
    near(quantile(&[4.0, 1.0, 3.0, 2.0], 0.9).unwrap(), 3.7, 1e-15);
    assert!(quantile(&[], 0.5).is_err());
}

#[test]
fn name_hash_is_the_published_one() {
    // FNV-1a 64 test vectors of the authors (from memory): "", "a", "foobar".
    assert_eq!(fnv_1a(b""), 0xcbf2_9ce4_8422_2325);
    assert_eq!(fnv_1a(b"a"), 0xaf63_dc4c_8601_ec8c);
    assert_eq!(fnv_1a(b"foobar"), 0x8594_4171_f739_67e8);
}

#[test]
fn streams_keep_their_numbers() {
    // A fixed record: if it changes, every stored trial changes with it.
    let mut oven = Stream::new(7, "oven");
    let first: Vec<u64> = (0..3).map(|_| oven.bits()).collect();
    let again: Vec<u64> = {
        let mut oven = Stream::new(7, "oven");
        (0..3).map(|_| oven.bits()).collect()
    };
    assert_eq!(first, again);
    assert_ne!(first[0], Stream::new(8, "oven").bits());
    assert_ne!(first[0], Stream::new(7, "saw").bits());
}

#[test]
fn differently_named_streams_do_not_follow_each_other() {
    // Correlation of 20 000 pairs has a standard error of 1/√20000 = 0.0071.
    let (mut a, mut b) = (Stream::new(1, "lot 1"), Stream::new(1, "lot 2"));
    let n = 20_000;
    let sum: f64 = (0..n).map(|_| a.normal() * b.normal()).sum();
    assert!((sum / f64::from(n)).abs() < 4.0 * 0.0071);
}

#[test]
fn index_is_even() {
    // Chi-square of 6 faces, 60 000 throws; 5 degrees of freedom, 99.99 % point 25.7.
    let mut die = Stream::new(3, "die");
    let mut counts = [0.0_f64; 6];
    for _ in 0..60_000 {
        counts[die.index(6) as usize] += 1.0;
    }
    let chi: f64 = counts
        .iter()
        .map(|n| (n - 10_000.0).powi(2) / 10_000.0)
        .sum();
    assert!(chi < 25.7, "{chi}");
    assert_eq!(die.index(0), 0);
}

#[test]
fn even_points_are_more_even_than_chance() {
    // ∫x·y over the unit square is ¼. Plain chance has sd √(7/144)/√4096 = 0.0034.
    let points = EvenPoints::new(&[0.5, 0.5]);
    let n = 4096;
    let sum: f64 = (0..n)
        .map(|i| points.coordinate(i, 0) * points.coordinate(i, 1))
        .sum();
    assert!((sum / n as f64 - 0.25).abs() < 0.0005);
    // In one dimension the step is the golden ratio's inverse: 0 + 1/φ.
    near(
        EvenPoints::new(&[0.0]).coordinate(0, 0),
        0.618_033_988_749_894_8,
        1e-14,
    );
}

#[test]
fn the_lattice_integrates_smooth_functions_closely() {
    // ∫∫ e^(x+y) = (e − 1)² = 2.952492…; plain chance with 251 points is off by about 0.06.
    let n = Lattice::POINTS;
    let value = |i| (Lattice::coordinate(i, 0, 0.3) + Lattice::coordinate(i, 1, 0.8)).exp();
    let mean = (0..n).map(value).sum::<f64>() / n as f64;
    near(mean, (std::f64::consts::E - 1.0).powi(2), 1e-4);
}

#[test]
fn the_lattice_generator_is_the_best_found_component_by_component() {
    // Sloan & Reztsov (2002): each multiplier in turn makes the least of
    // Σ over points Π over axes (1 + 2π²·B₂(x)), B₂(x) = x² − x + 1/6.
    let n = Lattice::POINTS as u64;
    let kernel = |i: u64, z: u64| {
        let x = (i * z % n) as f64 / n as f64;
        1.0 + 2.0 * std::f64::consts::PI.powi(2) * (x * x - x + 1.0 / 6.0)
    };
    let mut product = vec![1.0; Lattice::POINTS];
    for chosen in Lattice::GENERATOR {
        let error = |z: u64| {
            (0..n)
                .zip(&product)
                .map(|(i, p)| p * kernel(i, z))
                .sum::<f64>()
        };
        let best = (1..=n / 2).map(error).fold(f64::INFINITY, f64::min);
        near(error(chosen), best, 1e-12);
        product = (0..n)
            .zip(&product)
            .map(|(i, p)| p * kernel(i, chosen))
            .collect();
    }
}

fn every_kind() -> Vec<Distribution> {
    vec![
        Distribution::Uniform {
            low: 2.0,
            high: 5.0,
        },
        Distribution::Triangular {
            low: 12.0,
            likely: 14.0,
            high: 19.0,
        },
        Distribution::Normal {
            mean: 14.0,
            sd: 2.0,
        },
        Distribution::TruncatedNormal {
            centre: 1.0,
            spread: 1.5,
        },
        Distribution::TruncatedNormal {
            centre: -3.0,
            spread: 1.0,
        },
        Distribution::log_normal_from_mean_sd(10.0, 4.0).expect("the moments are possible"),
        Distribution::Weibull {
            shape: 2.1,
            scale: 81.9,
        },
        Distribution::Weibull {
            shape: 0.7,
            scale: 3.0,
        },
        Distribution::gamma_from_mean_sd(10.0, 4.0).expect("the moments are possible"),
        Distribution::Gamma {
            shape: 0.4,
            scale: 2.0,
        },
        Distribution::beta_from_mean_sd(0.92, 0.04).expect("the moments are possible"),
        Distribution::Exponential { mean: 3.0 },
    ]
}

#[test]
fn moments_stated_are_moments_given() {
    for kind in [
        Distribution::log_normal_from_mean_sd(10.0, 4.0).unwrap(),
        Distribution::gamma_from_mean_sd(10.0, 4.0).unwrap(),
    ] {
        near(kind.mean(), 10.0, 1e-13);
        near(kind.sd(), 4.0, 1e-13);
    }
    let share = Distribution::beta_from_mean_sd(0.92, 0.04).unwrap();
    near(share.mean(), 0.92, 1e-13);
    near(share.sd(), 0.04, 1e-13);
}

#[test]
fn samples_have_the_mean_and_spread_of_the_formulas() {
    // 40 000 samples: the mean within 4.5 standard errors; the sd within 6 % (the heaviest tail
    // here has kurtosis about 18, so its sd has a relative standard error of √(17/4/40000) = 1 %).
    for (i, kind) in every_kind().iter().enumerate() {
        kind.check().unwrap();
        let mut stream = Stream::new(11, &format!("{} {i}", kind.name()));
        let values: Vec<f64> = (0..40_000).map(|_| kind.sample(&mut stream)).collect();
        let off = (mean(&values) - kind.mean()).abs();
        assert!(off < 4.5 * kind.sd() / 200.0, "{kind:?}: mean off by {off}");
        near(sd(&values), kind.sd(), 0.06);
    }
}

#[test]
fn nonsense_is_refused() {
    for kind in [
        Distribution::Constant { value: f64::NAN },
        Distribution::Uniform {
            low: 2.0,
            high: 2.0,
        },
        Distribution::Triangular {
            low: 1.0,
            likely: 5.0,
            high: 4.0,
        },
        Distribution::Normal {
            mean: 1.0,
            sd: -1.0,
        },
        Distribution::Weibull {
            shape: 0.0,
            scale: 1.0,
        },
        Distribution::Exponential {
            mean: f64::INFINITY,
        },
    ] {
        assert!(kind.check().is_err(), "{kind:?}");
    }
}

proptest! {
    /// The distribution function of a quantile is the share asked for.
    #[test]
    fn quantile_and_cdf_are_inverse(p in 0.0005_f64..0.9995, which in 0_usize..12) {
        let kind = every_kind()[which];
        prop_assert!((kind.cdf(kind.quantile(p)) - p).abs() < 1e-9, "{:?}", kind);
    }

    /// Every index is below the count.
    #[test]
    fn index_stays_inside(seed: u64, count in 1_u64..u64::MAX) {
        prop_assert!(Stream::new(seed, "x").index(count) < count);
    }

    /// The Clopper–Pearson interval holds the observed share and narrows with n.
    #[test]
    fn proportion_interval_holds_the_share(hits in 0_u64..200, more in 0_u64..200) {
        let n = hits + more.max(1);
        let small = Estimate::of_proportion(hits, n, 0.95).unwrap();
        let large = Estimate::of_proportion(10 * hits, 10 * n, 0.95).unwrap();
        prop_assert!(small.low <= small.mean && small.mean <= small.high);
        prop_assert!(large.high - large.low < small.high - small.low);
    }
}
