//! Fill arithmetic against sums worked by hand.

use drilling::fill::{
    Element, FillFault, Fit, Folded, anchors, bad_hole_for, folded, good_block_odds, interference,
    pins, trim_waste,
};
use proptest::prelude::*;

#[track_caller]
fn near(found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance,
        "found {found}, expected {expected}"
    );
}

fn tuft() -> Folded {
    Folded {
        element: Element {
            diameter_m: 0.2e-3,
            linear_density_kg_per_m: 36e-6,
        },
        hole_m: 4e-3,
        depth_m: 0.014,
        free_height_m: 0.03,
        fold_m: 0.002,
        packing: 0.7,
    }
}

#[test]
fn a_folded_tuft() {
    // n = 0.7·4²/(2·0.2²) = 0.7·16/0.08 = 140; 280 ends; cut 2·(30 + 14) + 2 = 90 mm;
    // mass 140 · 0.09 m · 36 mg/m = 453.6 mg.
    let fill = folded(&tuft()).unwrap();
    near(fill.elements_exact, 140.0, 1e-9);
    assert_eq!((fill.elements, fill.ends), (140, 280));
    near(fill.cut_length_m, 0.09, 1e-15);
    near(fill.mass_kg, 453.6e-6, 1e-15);
    near(fill.packing, 0.7, 1e-12);
}

#[test]
fn part_of_an_element_is_none() {
    // Packing 0.704 is 140.8 elements: 140 go in.
    let fill = folded(&Folded {
        packing: 0.704,
        ..tuft()
    })
    .unwrap();
    assert_eq!(fill.elements, 140);
    near(fill.elements_exact, 140.8, 1e-9);
}

#[test]
fn what_cannot_be_is_refused() {
    // 0.7·0.2²/(2·0.2²) = 0.35 elements.
    let narrow = Folded {
        hole_m: 0.2e-3,
        ..tuft()
    };
    assert!(matches!(folded(&narrow), Err(FillFault::TooNarrow { .. })));
    for packing in [0.0, -1.0, 0.95, f64::NAN] {
        assert!(folded(&Folded { packing, ..tuft() }).is_err());
    }
    assert!(anchors(60, -0.1).is_err());
    assert!(good_block_odds(1.5, 60).is_err());
    assert!(bad_hole_for(0.0, 60).is_err());
    assert!(trim_waste(0.09, 0.1).is_err());
}

#[test]
fn anchors_pins_and_trim() {
    // 12,000 blocks of 60 holes with 0.5 % missed: 720,000 · 1.005 = 723,600.
    near(anchors(720_000, 0.005).unwrap(), 723_600.0, 1e-6);
    near(pins(720_000, 0.02).unwrap(), 734_400.0, 1e-6);
    // Cut 90, trimmed to 81: a tenth.
    near(trim_waste(0.09, 0.081).unwrap(), 0.1, 1e-12);
}

#[test]
fn a_pin_of_8_2_in_a_hole_of_8() {
    let (over, fit) = interference(8.2e-3, 8e-3).unwrap();
    near(over, 0.2e-3, 1e-12);
    assert_eq!(fit, Fit::Usual);
    let fit = |pin| interference(pin, 8e-3).unwrap().1;
    assert_eq!(fit(7.9e-3), Fit::Loose);
    assert_eq!(fit(8.05e-3), Fit::Light);
    assert_eq!(fit(8.1e-3), Fit::Usual);
    assert_eq!(fit(8.3e-3), Fit::Usual);
    assert_eq!(fit(8.4e-3), Fit::Heavy);
}

#[test]
fn sixty_holes_at_one_in_a_thousand() {
    // 0.999^60 = e^(60·ln 0.999) = e^−0.060030 = 0.94174 (TRADE 1.3 says 94 %, computed there).
    near(
        good_block_odds(0.001, 60).unwrap(),
        0.999_f64.powi(60),
        1e-14,
    );
    near(good_block_odds(0.001, 60).unwrap(), 0.9417, 5e-5);
    // For 99 % good blocks: 1 − 0.99^(1/60) = 0.00016749.
    near(bad_hole_for(0.99, 60).unwrap(), 1.6749e-4, 5e-9);
    near(good_block_odds(1.0, 3).unwrap(), 0.0, 0.0);
    near(good_block_odds(0.3, 0).unwrap(), 1.0, 0.0);
}

proptest! {
    #[test]
    fn odds_and_their_inverse_agree(good in 0.001..0.999_f64, holes in 1_u64..5000) {
        let bad = bad_hole_for(good, holes).unwrap();
        let back = good_block_odds(bad, holes).unwrap();
        prop_assert!((back - good).abs() < 1e-11);
    }

    #[test]
    fn a_fill_never_exceeds_its_packing(
        hole in 1e-3..8e-3_f64, element in 0.05e-3..0.5e-3_f64, packing in 0.3..0.9_f64,
    ) {
        let fill = Folded { hole_m: hole, packing, element: Element { diameter_m: element, ..tuft().element }, ..tuft() };
        if let Ok(found) = folded(&fill) {
            // Two cross-sections of each element against the hole's.
            let share = 2.0 * found.elements as f64 * element * element / (hole * hole);
            prop_assert!(share <= packing * (1.0 + 1e-9));
            prop_assert!(share + 2.0 * element * element / (hole * hole) > packing * (1.0 - 1e-9));
        }
    }
}
