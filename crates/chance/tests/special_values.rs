//! Special functions and tails against published values, closed forms and 30-digit arithmetic.
//!
//! "mpmath" marks a value computed for this test with 30 digits; "scipy" with scipy 1.17.1.

use chance::special::{
    beta_inc, beta_quantile, beta_tails, chi_square_quantile, digamma, gamma_inc, gamma_quantile,
    gamma_tails, ln_beta, ln_choose, ln_gamma, normal_cdf, normal_quantile, normal_tail,
    stirling_error, student_t_cdf, student_t_quantile, trigamma,
};
use chance::{BetaBinomial, binomial};
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
fn normal_tails_in_parts_per_million() {
    // CHECKS.md CC-32 (C).
    for (z, ppm, relative) in [
        (3.0, 1349.898, 5e-7),
        (4.0, 31.67124, 5e-7),
        (4.5, 3.397_673, 5e-7),
        (5.0, 0.286_651_6, 5e-7),
        (6.0, 0.000_986_588, 5e-7),
    ] {
        near(1e6 * normal_tail(z), ppm, relative);
        near(normal_quantile(1e-6 * ppm), -z, 1e-6);
    }
}

#[test]
fn normal_quantiles() {
    // scipy ndtri.
    near(normal_quantile(0.95), 1.644_853_626_951_472_2, 1e-15);
    near(normal_quantile(0.999), 3.090_232_306_167_813, 1e-14);
    near(normal_quantile(1e-300), -37.047_096_299_361_2, 1e-14);
}

#[test]
fn binomial_of_ten_million() {
    // mpmath, by direct summation.
    let n = 10_000_000;
    near(
        binomial::pmf(n, 9_202_000, 0.92),
        3.068_459_102_393_08e-5,
        1e-11,
    );
    near(
        binomial::at_least(n, 9_202_000, 0.92),
        0.009_866_050_933_318_061,
        1e-11,
    );
    near(
        binomial::pmf(n, 9_190_000, 0.92),
        1.874_341_901_554_016e-33,
        1e-11,
    );
    near(
        binomial::at_least(n, 5_000_000, 0.5),
        0.500_126_156_622_947_1,
        1e-11,
    );
    near(
        binomial::at_least(1000, 999, 0.9),
        1.959_557_881_097_950_5e-44,
        1e-12,
    );
}

#[test]
fn beta_binomial_terms_and_tails() {
    // mpmath, by direct summation; the figures of TRADE.md section 0.
    let two = BetaBinomial::from_mean_sd(0.92, 0.02).unwrap();
    near(two.pmf(5655, 5000), 0.000_723_644_345_695_999_7, 1e-11);
    near(two.at_least(5655, 5000), 0.950_135_108_498_954_6, 1e-11);
    near(two.at_least(5654, 5000), 0.949_495_281_491_265_8, 1e-11);
    let four = BetaBinomial::from_mean_sd(0.92, 0.04).unwrap();
    near(four.pmf(5918, 5000), 0.000_293_211_471_405_954_2, 1e-11);
    near(four.at_least(5917, 5000), 0.949_874_013_545_265_6, 1e-11);
}

/// Demands far from both ends, where the first chances of either tail are too small for a double.
/// scipy 1.17.1 `betabinom.sf`, computed; it agrees to ten digits.
#[test]
fn beta_binomial_tails_far_from_both_ends() {
    let lots = BetaBinomial::from_mean_sd(0.3, 0.00685).unwrap();
    for (made, expected) in [(2515, 0.299_517_822_565), (2695, 0.902_952_567_795)] {
        let found = lots.at_least(made, 770);
        assert!((found - expected).abs() < 1e-10, "{made}: {found}");
    }
}

#[test]
fn beta_binomial_with_uniform_lots_is_uniform() {
    // Beta(1, 1): every count from 0 to n has chance 1/(n+1).
    let even = BetaBinomial::new(1.0, 1.0).unwrap();
    for good in 0..=10 {
        near(even.pmf(10, good), 1.0 / 11.0, 1e-14);
        near(even.at_least(10, good), (11 - good) as f64 / 11.0, 1e-14);
    }
}

#[test]
fn beta_binomial_moments() {
    // mean n·m; variance n·m(1−m)·(1 + (n−1)/(α+β+1)): n 60, Beta(9, 3): 45 and
    // 60·0.1875·(1 + 59/13) = 62.307692…
    let lots = BetaBinomial::new(9.0, 3.0).unwrap();
    let mean: f64 = (0..=60).map(|k| k as f64 * lots.pmf(60, k)).sum();
    let square: f64 = (0..=60)
        .map(|k| (k as f64 - 45.0).powi(2) * lots.pmf(60, k))
        .sum();
    near(mean, 45.0, 1e-12);
    near(square, 60.0 * 0.1875 * (1.0 + 59.0 / 13.0), 1e-12);
}

#[test]
fn too_wide_a_lot_spread_is_refused() {
    // sd² = 0.25 = 0.5·0.5 is the coin that is always heads or always tails; no Beta has it.
    assert!(BetaBinomial::from_mean_sd(0.5, 0.5).is_err());
    assert!(BetaBinomial::from_mean_sd(0.5, 0.499).is_ok());
    assert!(BetaBinomial::from_mean_sd(f64::NAN, 0.1).is_err());
    assert!(BetaBinomial::from_mean_sd(0.5, f64::NAN).is_err());
}

#[test]
fn beta_and_gamma_functions() {
    near(ln_beta(1e8, 0.5), -8.637_975_427_801_483, 1e-14); // mpmath
    near(ln_beta(168.36, 14.64), -51.390_313_569_198_77, 1e-14); // mpmath
    near(ln_choose(1e7, 3e6), 6_108_634.822_886_419, 1e-15); // mpmath
    near(ln_choose(30.0, 15.0), 155_117_520.0_f64.ln(), 1e-14); // closed form
    near(stirling_error(0.5), 0.153_426_409_720_027_35, 1e-13); // mpmath
    near(ln_gamma(0.5), 0.5 * std::f64::consts::PI.ln(), 1e-15); // Γ(½) = √π
    near(digamma(0.3), -3.502_524_222_200_133, 1e-13); // scipy
    near(digamma(7.25), 1.910_453_526_883_736_2, 1e-14); // scipy
    let square = std::f64::consts::PI * std::f64::consts::PI;
    near(trigamma(1.0), square / 6.0, 1e-14); // A&S 6.4.2
    near(trigamma(0.5), square / 2.0, 1e-14); // A&S 6.4.4
    // The next term of the series is past the last digit.
    near(trigamma(1e4), 1e-4 + 0.5e-8 + 1e-12 / 6.0, 1e-15);
    near(
        gamma_tails(5.0, 60.0).upper,
        5.060_046_065_842_574e-21,
        1e-13,
    ); // mpmath
    near(gamma_inc(1e6, 998_000.0), 0.022_696_114_006_736_803, 1e-11); // mpmath
}

#[test]
fn quantiles() {
    // scipy.
    near(
        student_t_quantile(22.0, 0.975),
        2.073_873_067_904_025_4,
        1e-12,
    );
    near(
        student_t_quantile(1.0, 0.975),
        12.706_204_736_174_694,
        1e-12,
    );
    near(student_t_quantile(3.0, 0.9999), 22.203_742_273_205, 1e-12);
    near(
        student_t_quantile(7.5, 0.6),
        0.262_501_898_804_294_86,
        1e-12,
    );
    near(
        student_t_quantile(7.5, 0.4),
        -0.262_501_898_804_294_86,
        1e-12,
    );
    near(chi_square_quantile(1.0, 0.95), 3.841_458_820_694_124, 1e-12);
    near(
        chi_square_quantile(49.0, 0.025),
        31.554_916_462_667_126,
        1e-12,
    );
    near(chi_square_quantile(0.5, 0.99), 4.867_770_844_394_062, 1e-12);
    near(
        chi_square_quantile(8.0, 1e-10),
        0.014_018_176_914_359_057,
        1e-12,
    );
    near(
        beta_quantile(0.01, 0.02, 0.3),
        2.028_941_631_264_954_7e-35,
        1e-10,
    );
    near(
        beta_quantile(168.36, 14.64, 0.05),
        0.884_685_134_470_003_5,
        1e-12,
    );
    near(
        beta_quantile(2.0, 3.0, 1e-12),
        4.082_484_015_750_327e-7,
        1e-12,
    );
}

#[test]
fn extremes_do_not_fail() {
    assert_eq!(beta_tails(2.0, 3.0, 0.0, 1.0).lower, 0.0);
    assert_eq!(beta_tails(2.0, 3.0, 1.0, 0.0).upper, 0.0);
    assert_eq!(binomial::pmf(5, 5, 1.0), 1.0);
    assert_eq!(binomial::pmf(5, 0, 0.0), 1.0);
    assert_eq!(binomial::at_least(5, 6, 0.5), 0.0);
    assert_eq!(binomial::at_least(5, 5, 1.0), 1.0);
    assert_eq!(normal_quantile(0.0), f64::NEG_INFINITY);
    assert_eq!(student_t_quantile(4.0, 1.0), f64::INFINITY);
    assert_eq!(gamma_quantile(2.0, 1.0), f64::INFINITY);
}

proptest! {
    /// The outside library and ours agree where the outside library is good.
    #[test]
    fn agrees_with_statrs(a in 0.05_f64..200.0, b in 0.05_f64..200.0, x in 0.001_f64..0.999) {
        let theirs = statrs::function::beta::beta_reg(a, b, x);
        prop_assert!((beta_inc(a, b, x) - theirs).abs() < 1e-10);
        let theirs = statrs::function::gamma::gamma_lr(a, b);
        prop_assert!((gamma_inc(a, b) - theirs).abs() < 1e-10);
    }

    /// A quantile's distribution function is the probability asked for.
    #[test]
    fn quantiles_invert(a in 0.05_f64..5000.0, b in 0.05_f64..5000.0, p in 1e-6_f64..0.999_999) {
        prop_assert!((gamma_inc(a, gamma_quantile(a, p)) - p).abs() < 1e-11);
        prop_assert!((student_t_cdf(a, student_t_quantile(a, p)) - p).abs() < 1e-11);
        prop_assert!((normal_cdf(normal_quantile(p)) - p).abs() < 1e-14);
        // A beta this lopsided packs most of its chance closer to one than a double can tell.
        if b > 1.0 {
            prop_assert!((beta_inc(a, b, beta_quantile(a, b, p)) - p).abs() < 1e-9);
        }
    }

    /// Tails by the incomplete beta function are the sums of the single chances.
    #[test]
    fn binomial_tail_is_the_sum(made in 1_u64..300, share in 0.0_f64..1.0, p in 0.001_f64..0.999) {
        let good = (share * made as f64) as u64;
        let sum: f64 = (good..=made).map(|k| binomial::pmf(made, k, p)).sum();
        prop_assert!((binomial::at_least(made, good, p) - sum).abs() < 1e-12);
        let below: f64 = (0..=good).map(|k| binomial::pmf(made, k, p)).sum();
        prop_assert!((binomial::cdf(made, good, p) - below).abs() < 1e-12);
    }

    /// The beta-binomial sums to one, and its tail is the average of binomial tails over lots.
    #[test]
    fn beta_binomial_is_a_mixture(made in 1_u64..200, mean in 0.02_f64..0.98, part in 0.05_f64..0.9) {
        let sd = part * (mean * (1.0 - mean)).sqrt();
        let lots = BetaBinomial::from_mean_sd(mean, sd).unwrap();
        let all: f64 = (0..=made).map(|k| lots.pmf(made, k)).sum();
        prop_assert!((all - 1.0).abs() < 1e-11);
        let good = (mean * made as f64) as u64;
        let points = 4000;
        let middle = |i: u32| (f64::from(i) + 0.5) / f64::from(points);
        let average = (0..points)
            .map(|i| beta_quantile(lots.alpha(), lots.beta(), middle(i)))
            .map(|p| binomial::at_least(made, good, p))
            .sum::<f64>() / f64::from(points);
        prop_assert!((lots.at_least(made, good) - average).abs() < 2e-3);
    }
}
