//! Folded frames: published bend deductions, a worked rectangle, and folding the blank up again.

use cutting::frame::{Blank, FoldedStrip, Frame, FrameFault, corner_gap, fold_up};
use proptest::prelude::*;

const INCH: f64 = 0.0254;

fn strip() -> FoldedStrip {
    FoldedStrip {
        thickness_m: 0.0008,
        inside_radius_m: 0.001,
        k_factor: 0.4,
        flange_m: 0.025,
        lap_m: 0.015,
        angle_error_deg: 1.0,
    }
}

fn near(a: f64, b: f64, within: f64) -> bool {
    (a - b).abs() <= within
}

/// R: shop table of cold-rolled steel, 90° (prototekmetals.com/benddeductions.html): thickness, inside radius,
/// K, bend deduction, all in inches to a thousandth. Say 0.120, 0.030, K 0.3866:
/// 2·(0.030 + 0.120) − (π/2)·(0.030 + 0.3866·0.120) = 0.3 − 0.1200 = 0.180.
/// The shop tested its deductions and rounded them and K apart, so that its rows hold to 1.5 thousandths
/// (worst: 0.1107 by the formula where the table has 0.112).
#[test]
fn bend_deductions_are_those_of_a_published_table() {
    let table = [
        (0.060, 0.030, 0.4762, 0.088),
        (0.060, 0.060, 0.4218, 0.106),
        (0.060, 1.000, 0.4160, 0.510),
        (0.074, 0.030, 0.4318, 0.112),
        (0.090, 0.125, 0.4361, 0.172),
        (0.120, 0.030, 0.3866, 0.180),
        (0.134, 0.030, 0.3795, 0.201),
        (0.187, 0.060, 0.3226, 0.305),
    ];
    for (thickness, radius, k_factor, deduction) in table {
        let strip = FoldedStrip {
            thickness_m: thickness * INCH,
            inside_radius_m: radius * INCH,
            k_factor,
            ..strip()
        };
        let found = strip.deduction_m(90.0) / INCH;
        assert!(near(found, deduction, 0.0015), "{found} for {deduction}");
    }
}

/// C: 600 × 420 mm, t 0.8, R 1, K 0.4, lap 15 mm. BD = 2·1.8 − (π/2)·(1 + 0.32) = 3.6 − 2.073451 = 1.526549 mm.
/// Blank 2·(600 + 420) − 4·1.526549 + 15 = 2048.893804 mm. First notch 300 − 0.763275 = 299.236725,
/// second 299.236725 + 420 − 1.526549 = 717.710176 mm.
#[test]
fn a_rectangle_worked_by_hand() {
    let blank = Frame::rectangle(0.6, 0.42, strip()).blank().unwrap();
    assert!(
        near(blank.length_m, 2.048_893_804, 1e-9),
        "{}",
        blank.length_m
    );
    let at = |fold: usize| blank.folds[fold].position_m;
    assert!(near(at(0), 0.299_236_725, 1e-9) && near(at(1), 0.717_710_176, 1e-9));
    assert_eq!(blank.folds.len(), 4);
    for fold in &blank.folds {
        // Mitre at a right angle: 90° in all, 2·25·tan 45° = 50 mm wide at the edge.
        assert_eq!(fold.notch_deg, 90.0);
        assert!(near(fold.notch_width_m, 0.05, 1e-12));
    }
}

/// TRADE.md 2.4: 1° on 25 mm = 0.44 mm.
#[test]
fn an_angle_error_opens_the_corner() {
    assert!(near(corner_gap(0.025, 1.0), 0.000_44, 0.000_005));
    assert_eq!(corner_gap(0.025, 0.0), 0.0);
}

#[test]
fn frames_that_cannot_be_folded_are_refused() {
    let open = Frame {
        sides_m: vec![0.6, 0.42, 0.6, 0.40],
        turns_deg: vec![90.0; 4],
        strip: strip(),
    };
    assert!(matches!(open.blank(), Err(FrameFault::Open { gap_m }) if near(gap_m, 0.02, 1e-9)));
    let tiny = Frame::rectangle(0.6, 0.003, strip());
    assert_eq!(tiny.blank(), Err(FrameFault::TooShort(1)));
    let two = Frame::regular(2, 0.6, strip());
    assert_eq!(two.blank(), Err(FrameFault::BadShape));
    let nan = Frame::rectangle(f64::NAN, 0.3, strip());
    assert_eq!(nan.blank(), Err(FrameFault::BadNumber));
    let flat = Frame {
        sides_m: vec![1.0; 3],
        turns_deg: vec![180.0, 90.0, 90.0],
        strip: strip(),
    };
    assert_eq!(flat.blank(), Err(FrameFault::BadTurn(0)));
}

/// The check of the check: a blank with its deductions forgotten does not fold up to the frame.
#[test]
fn a_blank_without_deductions_does_not_fold_up() {
    let frame = Frame::rectangle(0.6, 0.42, strip());
    let blank = frame.blank().unwrap();
    let mut broken: Blank = blank.clone();
    for (number, fold) in broken.folds.iter_mut().enumerate() {
        fold.position_m = [0.3, 0.72, 1.32, 1.74][number];
    }
    let sides = fold_up(&frame.strip, &broken).sides_m;
    assert!(
        sides
            .iter()
            .zip(&frame.sides_m)
            .any(|(a, b)| !near(*a, *b, 1e-4))
    );
}

fn some_strip() -> impl Strategy<Value = FoldedStrip> {
    (
        0.0003..0.004_f64,
        0.0..0.005_f64,
        0.3..0.5_f64,
        0.0..0.03_f64,
        0.0..0.03_f64,
    )
        .prop_map(
            |(thickness_m, inside_radius_m, k_factor, flange_m, lap_m)| FoldedStrip {
                thickness_m,
                inside_radius_m,
                k_factor,
                flange_m,
                lap_m,
                angle_error_deg: 0.5,
            },
        )
}

proptest! {
    #[test]
    fn a_blank_folds_up_to_its_frame(w in 0.1..2.0_f64, h in 0.1..2.0_f64, n in 3..12_usize, strip in some_strip()) {
        for frame in [Frame::rectangle(w, h, strip), Frame::regular(n, w, strip)] {
            let blank = frame.blank().unwrap();
            let folded = fold_up(&strip, &blank);
            prop_assert!(folded.gap_m < 1e-9, "ends {} m apart", folded.gap_m);
            for (found, side) in folded.sides_m.iter().zip(&frame.sides_m) {
                prop_assert!(near(*found, *side, 1e-9), "{} for {}", found, side);
            }
            let perimeter: f64 = frame.sides_m.iter().sum();
            let deductions: f64 = blank.folds.iter().map(|fold| fold.deduction_m).sum();
            prop_assert!(near(blank.length_m, perimeter - deductions + strip.lap_m, 1e-9));
        }
    }
}
