//! Windows, line speeds, largest loads and probes, held against closed forms.

use heat::ICE_POINT_K;
use heat::body::Body;
use heat::material::{Material, Phase};
use heat::need::{Measure, Need, Place};
use heat::probes::{Probe, fit_coefficient, judge, offsets};
use heat::programme::{Face, Programme, Stage};
use heat::run::{Accuracy, Case, Chamber};
use heat::trace::Trace;
use heat::window::{Vary, largest_load, map, outlook, speeds};

const STEEL_DENSITY: f64 = 7850.0;
const STEEL_CAPACITY: f64 = 470.0;
const COEFFICIENT: f64 = 25.0;

fn celsius(t: f64) -> f64 {
    t + ICE_POINT_K
}

/// A steel sheet from 20 degC in air, both faces open: lumped to a ten-thousandth (Biot below 5e-4).
fn sheet(thick_m: f64, air: f64, lasts_s: f64) -> Case {
    let steel = Phase {
        heat_capacity_j_kg_k: STEEL_CAPACITY,
        conductivity_w_m_k: 50.0,
    };
    let steel = Material::constant(STEEL_DENSITY, steel).expect("steel is a material");
    let face = Face::air(celsius(air), COEFFICIENT);
    Case {
        body: Body::slab(thick_m, steel).expect("a sheet is a body"),
        from_k: celsius(20.0),
        programme: Programme::new(vec![Stage::around(lasts_s, face)]).expect("a stage"),
        chamber: None,
    }
}

/// Time at which a lumped sheet comes to a temperature: tau ln((Ta - T0)/(Ta - T)), tau = rho c d / 2h.
fn lumped_s(thick_m: f64, air: f64, to: f64) -> f64 {
    let tau = STEEL_DENSITY * STEEL_CAPACITY * thick_m / (2.0 * COEFFICIENT);
    tau * ((air - 20.0) / (air - to)).ln()
}

fn above(temperature: f64, at_least: Option<f64>, at_most: Option<f64>) -> Need {
    Need {
        place: Place::Core,
        measure: Measure::TimeAbove {
            temperature_k: celsius(temperature),
        },
        at_least,
        at_most,
    }
}

#[test]
fn the_window_of_two_thicknesses_is_the_closed_form() {
    // Ten minutes at 180 degC at least for the thick one, twenty-five at most for the thin one.
    let cases = [sheet(1.5e-3, 190.0, 1500.0), sheet(0.7e-3, 190.0, 1500.0)];
    let needs = [above(180.0, Some(600.0), Some(1500.0))];
    let found = outlook(&cases, &needs, Vary::Stage(0), &Accuracy::default()).expect("an answer");
    let window = found.window.expect("together");
    let shortest = lumped_s(1.5e-3, 190.0, 180.0) + 600.0;
    let longest = lumped_s(0.7e-3, 190.0, 180.0) + 1500.0;
    // Lumped is off by Bi/3 of a time constant at most: 25 * 0.75e-3 / 50 / 3 = 1.3e-4.
    assert!(
        (window.shortest_s / shortest - 1.0).abs() < 3e-4,
        "{window:?} {shortest}"
    );
    let found_longest = window.longest_s.expect("bounded");
    assert!(
        (found_longest / longest - 1.0).abs() < 3e-4,
        "{window:?} {longest}"
    );
    assert!(window.shortest_error_s < 0.5, "{window:?}");
    let speed = speeds(&found, 30.0).expect("a length").expect("together");
    assert!((speed.fastest_m_s - 30.0 / window.shortest_s).abs() < 1e-12);
    assert_eq!(window.shortest_by.expect("bounded").piece, 0);
    assert_eq!(window.longest_by.expect("bounded").piece, 1);
}

#[test]
fn unlike_pieces_do_not_go_together() {
    // 6 mm needs 6 times as long as 1 mm to warm up; the thin one may be hot for one minute only.
    let cases = [sheet(6e-3, 190.0, 1500.0), sheet(1e-3, 190.0, 1500.0)];
    let needs = [above(180.0, Some(60.0), Some(120.0))];
    let found = outlook(&cases, &needs, Vary::Stage(0), &Accuracy::default()).expect("an answer");
    assert!(found.window.is_none(), "{:?}", found.window);
    assert!(!found.holds());
    // Each by itself has a window.
    for case in cases {
        let alone = outlook(&[case], &needs, Vary::Stage(0), &Accuracy::default());
        assert!(alone.expect("an answer").window.is_some());
    }
}

/// A conveyor with two zones: dwell in proportion. Lumped, both zones in closed form.
#[test]
fn zones_in_proportion_agree_with_the_closed_form() {
    let mut case = sheet(1e-3, 150.0, 300.0);
    let second = Face::air(celsius(200.0), COEFFICIENT);
    let mut stages = case.programme.stages().to_vec();
    stages.push(Stage::around(300.0, second));
    case.programme = Programme::new(stages).expect("two stages");
    let needs = [Need {
        place: Place::Core,
        measure: Measure::Highest,
        at_least: Some(celsius(185.0)),
        at_most: None,
    }];
    let found = outlook(&[case], &needs, Vary::All, &Accuracy::default()).expect("an answer");
    let window = found.window.expect("a window");
    // After equal times t in both zones: 200 - (200 - T1) e^(-t/tau) = 185, T1 = 150 - 130 e^(-t/tau). With
    // x = e^(-t/tau): (50 + 130 x) x = 15.
    let tau = STEEL_DENSITY * STEEL_CAPACITY * 1e-3 / (2.0 * COEFFICIENT);
    let x = (-50.0 + (50.0_f64 * 50.0 + 4.0 * 130.0 * 15.0).sqrt()) / 260.0;
    let dwell = -2.0 * tau * x.ln();
    assert!(
        (window.shortest_s / dwell - 1.0).abs() < 3e-4,
        "{window:?} {dwell}"
    );
    assert!(window.longest_s.is_none());
}

#[test]
fn a_map_is_the_same_on_one_thread_and_on_three() {
    let cases = [sheet(1.5e-3, 190.0, 1500.0), sheet(0.7e-3, 190.0, 1500.0)];
    let needs = [above(180.0, Some(600.0), Some(1500.0))];
    let shifts = [-15.0, -5.0, 0.0, 10.0, 20.0];
    let one = map(
        &cases,
        &needs,
        Vary::Stage(0),
        &shifts,
        &Accuracy::default(),
        1,
    );
    let three = map(
        &cases,
        &needs,
        Vary::Stage(0),
        &shifts,
        &Accuracy::default(),
        3,
    );
    let (one, three) = (one.expect("rows"), three.expect("rows"));
    assert_eq!(one, three);
    // Air of 175 degC never takes a piece to 180.
    assert!(one[0].outlook.window.is_none());
    let shortest: Vec<f64> = one[1..]
        .iter()
        .map(|row| row.outlook.window.expect("a window").shortest_s)
        .collect();
    assert!(
        shortest.is_sorted_by(|hotter, colder| hotter > colder),
        "{shortest:?}"
    );
}

/// A freezer whose power alone decides: the heat of the load over the power is the time.
#[test]
fn the_largest_load_spends_the_power() {
    let mut case = sheet(1e-3, -40.0, 3600.0);
    let per_piece_j = STEEL_DENSITY * STEEL_CAPACITY * 1e-3 * 38.0; // 1 m², from 20 to -18 degC
    case.chamber = Some(Chamber {
        pieces: 1.0,
        area_m2: 2.0, // both faces of a piece of 1 m²
        stores_j_k: 1.0,
        heating_w: 0.0,
        cooling_w: 2000.0,
        loses_w_k: 0.0,
        around_k: celsius(20.0),
        band_k: 0.5,
        starts_k: celsius(-40.0),
    });
    let needs = [Need {
        place: Place::Mean,
        measure: Measure::Final,
        at_least: None,
        at_most: Some(celsius(-18.0)),
    }];
    let found = largest_load(&case, &needs, 1000.0, &Accuracy::default()).expect("an answer");
    assert!(!found.all);
    // All power goes into the load while the air lags by power / (2 h A): 2000 W over so many m² is little.
    let by_power = 2000.0 * 3600.0 / per_piece_j;
    assert!(
        (found.pieces / by_power - 1.0).abs() < 0.01,
        "{found:?} {by_power}"
    );
    assert!(case.chamber.is_some_and(|chamber| chamber.pieces == 1.0));
}

/// Six probes of an oven load, one of them 6 K low: found, and the load held for its sake.
#[test]
fn the_odd_probe_is_named_and_the_load_held() {
    let probes: Vec<Probe> = (0..6)
        .map(|number| {
            let tau = 90.0 + 2.0 * f64::from(number);
            let low = if number == 3 {
                6.0
            } else {
                0.3 * f64::from(number)
            };
            let points: Vec<(f64, f64)> = (0..=150)
                .map(|step| {
                    let t = 10.0 * f64::from(step);
                    (t, celsius(20.0 + (170.0 - low) * (1.0 - (-t / tau).exp())))
                })
                .collect();
            Probe {
                name: format!("probe {}", number + 1),
                trace: Trace::straight(&points),
            }
        })
        .collect();
    let found = offsets(&probes, 2.0);
    let odd: Vec<usize> = found.iter().filter(|o| o.odd).map(|o| o.probe).collect();
    assert_eq!(odd, [3]);
    // 6 K below a plateau of which the others lie 0 to 1.5 K low, their median 0.6 K: 5.4 K.
    assert!((found[3].offset_k + 5.4).abs() < 0.2, "{found:?}");
    let verdict = judge(&probes, &[above(185.0, Some(600.0), None)]).expect("a verdict");
    assert!(!verdict.passes);
    let failed: Vec<usize> = verdict
        .judged
        .iter()
        .filter(|j| !j.met)
        .map(|j| j.probe)
        .collect();
    assert_eq!(failed, [3]);
}

#[test]
fn a_coefficient_is_found_again() {
    let tau = STEEL_DENSITY * STEEL_CAPACITY * 2e-3 / (2.0 * 31.0);
    let measured: Vec<(f64, f64)> = (0..=90)
        .map(|step| {
            let t = 10.0 * f64::from(step);
            (t + 40.0, celsius(190.0 - 170.0 * (-t / tau).exp()))
        })
        .collect();
    let probe = Probe {
        name: "panel".into(),
        trace: Trace::straight(&measured),
    };
    let air = Probe {
        name: "air".into(),
        trace: Trace::straight(&[(0.0, celsius(190.0)), (1000.0, celsius(190.0))]),
    };
    let case = sheet(2e-3, 150.0, 100.0);
    let found = fit_coefficient(&case, &probe, Place::Core, Some(&air), &Accuracy::default());
    let found = found.expect("a fit");
    assert!((found.coefficient_w_m2_k - 31.0).abs() < 0.05, "{found:?}");
    assert!(found.telling && found.off_k < 0.2, "{found:?}");
    // A probe that never leaves the air's temperature says nothing of the coefficient.
    let flat = Probe {
        name: "flat".into(),
        trace: Trace::straight(&[(0.0, celsius(190.0)), (900.0, celsius(190.0))]),
    };
    let silent = fit_coefficient(&case, &flat, Place::Core, Some(&air), &Accuracy::default());
    assert!(!silent.expect("a fit").telling);
}
