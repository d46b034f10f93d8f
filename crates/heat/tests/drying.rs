//! The drying fit against an independent optimiser, and the drying periods against worked examples.

use heat::mass::diffusion::Shape;
use heat::mass::drying::{
    Curve, FallingRate, Weighed, constant_rate_kg_m2_s, constant_rate_s, falling_rate_s, fit_each,
    fit_together,
};
use proptest::prelude::*;

const HOUR: f64 = 3600.0;
const HOURS: [f64; 9] = [0.0, 1.0, 2.0, 4.0, 6.0, 9.0, 12.0, 16.0, 20.0];
/// Two invented sides, kg.
const SMALL: [f64; 9] = [
    2.504, 2.452, 2.411, 2.347, 2.298, 2.253, 2.222, 2.201, 2.187,
];
const LARGE: [f64; 9] = [
    4.011, 3.953, 3.904, 3.824, 3.768, 3.706, 3.667, 3.635, 3.615,
];

fn weighed(weights: &[f64]) -> Weighed {
    Weighed {
        weighings: HOURS
            .iter()
            .map(|h| h * HOUR)
            .zip(weights.iter().copied())
            .collect(),
    }
}

fn close(found: f64, known: f64, share: f64) {
    assert!((found / known - 1.0).abs() < share, "{found} for {known}");
}

/// The optimiser stops at steps of 1e-8 or so of a figure and takes its slopes by differences, from which the
/// standard errors come: 1e-7 on the figures, 1e-5 on the errors.
fn same(curve: &Curve, figures: [f64; 3], errors: [f64; 3], scatter: f64) {
    for (found, known) in [curve.end_weight, curve.to_lose, curve.rate_per_s]
        .into_iter()
        .zip(figures)
    {
        close(found, known, 1e-7);
    }
    for (found, known) in curve.standard_errors().into_iter().zip(errors) {
        close(found, known, 1e-5);
    }
    close(curve.scatter, scatter, 1e-7);
}

#[test]
fn each_piece_as_by_scipy() {
    // scipy 1.17.1 curve_fit (Levenberg-Marquardt, tolerances 1e-15) of we + a exp(-k t 1e-5) to these weighings,
    // standard errors from its covariance, computed for this test.
    let curves = fit_each(&[weighed(&SMALL), weighed(&LARGE)]).unwrap();
    same(
        &curves[0],
        [
            2.175_684_996_641_381,
            0.326_819_492_214_124_8,
            4.513_648_019_345_751e-5,
        ],
        [1.530_171_29e-3, 1.568_238_53e-3, 6.295_920_82e-7],
        0.001_418_115_376_211_563,
    );
    same(
        &curves[1],
        [
            3.594_214_604_196_342,
            0.415_773_332_014_200_4,
            4.064_833_011_077_842e-5,
        ],
        [1.551_473_44e-3, 1.509_230_85e-3, 4.236_616_92e-7],
        0.001_253_990_942_958_054,
    );
    // Off the diagonal, same source: We with W0 - We, We with k.
    close(curves[0].covariance[0][1], -1.763_782_44e-6, 1e-5);
    close(curves[0].covariance[0][2], 8.277_305_17e-10, 1e-5);
    close(curves[0].covariance[1][2], -4.205_890_52e-10, 1e-4);
    // A tenth of 2.5 kg: time, and half the 95 % interval by the propagation of errors with t of 6, computed there.
    let when = curves[0].loses(0.1, 2.5, 0.95, 20.0 * HOUR).unwrap();
    close(when.time_s, 32_813.705_006_7, 1e-7);
    close(when.time_s - when.low_s, 491.027_041_18, 1e-4);
    close(when.high_s.unwrap() - when.time_s, 491.027_041_18, 1e-4);
    assert!(!when.beyond);
}

#[test]
fn pieces_that_share_a_rate_as_by_scipy() {
    // scipy least_squares ('lm') on all eighteen residuals and five figures; errors from (JᵀJ)⁻¹ s², s² over 13.
    let curves = fit_together(&[weighed(&SMALL), weighed(&LARGE)]).unwrap();
    let (k, k_error, scatter) = (
        4.237_172_546_457_546e-5,
        6.928_909_29e-7,
        0.002_576_388_039_790_225,
    );
    same(
        &curves[0],
        [2.169_552_246_403_299, 0.330_042_594_900_244_2, k],
        [2.202_045_68e-3, 2.760_478_01e-3, k_error],
        scatter,
    );
    same(
        &curves[1],
        [3.599_575_766_137_846, 0.412_683_123_582_593_9, k],
        [2.525_449_28e-3, 2.845_065_61e-3, k_error],
        scatter,
    );
    assert_eq!(curves[0].spare, 13);
}

#[test]
fn data_that_cannot_tell_are_refused_with_the_reason() {
    let refused = |weights: &[f64]| fit_each(&[weighed(weights)]).unwrap_err().to_string();
    // Straight line: the end is not in sight.
    let straight: Vec<f64> = HOURS.iter().map(|h| 2.5 - 0.01 * h).collect();
    assert!(
        refused(&straight).contains("weigh on"),
        "{}",
        refused(&straight)
    );
    // All is gone by the second weighing.
    let at_once = [2.5, 2.2, 2.2, 2.2, 2.2, 2.2, 2.2, 2.2, 2.2];
    assert!(
        refused(&at_once).contains("weigh sooner"),
        "{}",
        refused(&at_once)
    );
    // Noise only.
    let noise = [2.5, 2.4, 2.55, 2.42, 2.51, 2.43, 2.52, 2.45, 2.5];
    let why = refused(&noise);
    assert!(why.starts_with("cannot fit a drying curve"), "{why}");
    // Growing heavier.
    let heavier: Vec<f64> = SMALL.iter().map(|w| 5.0 - w).collect();
    assert!(
        refused(&heavier).contains("heavier"),
        "{}",
        refused(&heavier)
    );
    // Three weighings for three figures.
    let few = Weighed {
        weighings: vec![(0.0, 2.5), (HOUR, 2.4), (2.0 * HOUR, 2.35)],
    };
    assert!(
        fit_each(std::slice::from_ref(&few))
            .unwrap_err()
            .to_string()
            .contains("takes 4")
    );
    assert!(
        fit_together(&[few])
            .unwrap_err()
            .to_string()
            .contains("none to judge by")
    );
}

#[test]
fn a_loss_beyond_the_end_weight_never_comes() {
    let curve = fit_each(&[weighed(&SMALL)]).unwrap()[0];
    let fault = curve.loses(0.2, 2.5, 0.95, 20.0 * HOUR).unwrap_err();
    assert!(fault.to_string().starts_with("cannot dry so far"));
    // A loss to within its own error of the end weight has no upper end.
    let share = 1.0 - (curve.end_weight + 0.002) / 2.5;
    let when = curve.loses(share, 2.5, 0.95, 20.0 * HOUR).unwrap();
    assert!(when.beyond && when.high_s.is_none());
}

#[test]
fn periods_of_geankoplis() {
    // Example 9.6-2 (read): 21.5 kg/m², 0.38 to 0.25, 1.51 kg/(m² h): 1.85 h.
    let hours = constant_rate_s(21.5, 0.38, 0.25, 1.51 / HOUR).unwrap() / HOUR;
    close(hours, 1.850_993_377, 1e-9);
    // Example 9.9-1 (read): 30.8 h; the full series computed by the project's checks.
    let wood = FallingRate {
        shape: Shape::Plate,
        l_m: 0.0127,
        diffusivity_m2_s: 2.97e-6 / HOUR,
        from_moisture: 0.29,
        end_moisture: 0.04,
    };
    close(
        falling_rate_s(&wood, 0.09).unwrap() / HOUR,
        30.800_636_41,
        1e-8,
    );
    assert!(falling_rate_s(&wood, 0.03).is_err());
    // Geankoplis Example 9.6-3 (from memory): h 62.45 W/(m² K), 65.6 and 28.9 degC, λ 2433 kJ/kg: 3.39 kg/(m² h).
    let rate = constant_rate_kg_m2_s(62.45, 338.75, 302.05).unwrap() * HOUR;
    close(rate, 3.39, 0.002);
}

proptest! {
    /// Weighings without scatter give back the curve they were made of.
    #[test]
    fn a_curve_is_found_again(
        end in 0.5..4.0_f64,
        to_lose in 0.05..1.0_f64,
        k in 1.5e-5..2e-4_f64,
    ) {
        let weights: Vec<f64> = HOURS.iter().map(|h| end + to_lose * libm::exp(-k * h * HOUR)).collect();
        let curve = fit_each(&[weighed(&weights)]).unwrap()[0];
        // Weights carry 16 digits, and the loss is at least a hundredth of the weight.
        prop_assert!((curve.rate_per_s / k - 1.0).abs() < 1e-9);
        prop_assert!((curve.end_weight - end).abs() < 1e-9);
        let share = 0.5 * to_lose / (end + to_lose);
        let when = curve.loses(share, end + to_lose, 0.9, 20.0 * HOUR).unwrap();
        prop_assert!((when.time_s * k / std::f64::consts::LN_2 - 1.0).abs() < 1e-7);
    }
}
