//! The one-dimensional solver against published benchmarks, textbook problems and steady states.

#![allow(clippy::unwrap_used, clippy::print_stdout)]

use heat::body::{Body, Form, Layer};
use heat::material::{Material, Phase, Point};
use heat::programme::{Face, Programme, Ramp, Stage};
use heat::run::{Accuracy, Case, Chamber, Run};
use heat::{Fault, ICE_POINT_K};

fn stuff(density: f64, heat_capacity_j_kg_k: f64, conductivity_w_m_k: f64) -> Material {
    Material::constant(
        density,
        Phase {
            heat_capacity_j_kg_k,
            conductivity_w_m_k,
        },
    )
    .unwrap()
}

fn case(body: Body, from_k: f64, stages: Vec<Stage>) -> Case {
    Case {
        body,
        from_k,
        programme: Programme::new(stages).unwrap(),
        chamber: None,
    }
}

fn follow(case: &Case) -> Run {
    let run = heat::solve::follow(case, &Accuracy::default()).unwrap();
    assert!(run.unexplained < 1e-8, "{}", run.unexplained);
    run
}

/// Straight between the nodes.
fn at_depth(run: &Run, depth: f64) -> f64 {
    let nodes = &run.profiles.last().unwrap().temperatures;
    let right = nodes.partition_point(|n| n.0 < depth).max(1);
    let ((x0, t0), (x1, t1)) = (nodes[right - 1], nodes[right]);
    t0 + (depth - x0) / (x1 - x0) * (t1 - t0)
}

/// When a trace rises (or falls) through a level.
fn when(trace: &heat::trace::Trace, level: f64, from_s: f64, to_s: f64) -> f64 {
    let (mut low, mut high) = (from_s, to_s);
    let starts_below = trace.at(low).unwrap() < level;
    for _ in 0..60 {
        let mid = 0.5 * (low + high);
        if (trace.at(mid).unwrap() < level) == starts_below {
            low = mid;
        } else {
            high = mid;
        }
    }
    high
}

/// NAFEMS T3 (Cameron, Casey and Simpson 1986, as read in a list of reference values): bar of 0.1 m, k 35, c 440.5,
/// rho 7200, 0 degC at one end and 100 sin(πt/40) at the other: 36.60 degC at 0.08 m after 32 s. Ramps of 0.25 s
/// are off the sine by 100·(π/40·0.25)²/8 = 0.005 K at most; the value is given to 0.005 K.
#[test]
fn a_bar_with_a_swinging_end() {
    let sine = |t: f64| ICE_POINT_K + 100.0 * libm::sin(core::f64::consts::PI * t / 40.0);
    let stages = (0..128).map(|i| {
        let from = 0.25 * f64::from(i);
        Stage {
            lasts_s: 0.25,
            first: Face::Held(Ramp::hold(ICE_POINT_K)),
            last: Face::Held(Ramp {
                from_k: sine(from),
                to_k: sine(from + 0.25),
            }),
        }
    });
    let bar = Body::slab(0.1, stuff(7_200.0, 440.5, 35.0)).unwrap();
    let asked = case(bar, ICE_POINT_K, stages.collect());
    let accuracy = Accuracy {
        cells: 96,
        step_k: 0.005,
    };
    let run = heat::solve::follow(&asked, &accuracy).unwrap();
    let found = at_depth(&run, 0.08) - ICE_POINT_K;
    assert!((found - 36.60).abs() < 0.01, "{found}");
}

/// Incropera and DeWitt, Example 5.3 (read): coating cured on an aluminium panel of 3 mm, as a lump. Times to 0.001 s by
/// integration of the lump, computed by this project with scipy at rtol 1e-10: 123.075 s to 423 K, 447.754 K after
/// 423.075 s, 563.255 s more to 310 K. A conductivity of 1e5 makes the panel a lump. That integration took
/// 5.67e-8 for the Stefan-Boltzmann constant, ours is 7e-5 above: 0.01 s of 123 s.
#[test]
fn a_panel_cured_by_air_and_walls() {
    let face = |t: f64, coefficient: f64| Face::Open {
        air: Ramp::hold(t),
        walls: Ramp::hold(t),
        coefficient_w_m2_k: coefficient,
        emissivity: 0.8,
    };
    let panel = Body::slab(0.003, stuff(2_770.0, 875.0, 1e5)).unwrap();
    let run = follow(&case(
        panel,
        298.0,
        vec![
            Stage::around(423.075, face(448.0, 40.0)),
            Stage::around(700.0, face(298.0, 10.0)),
        ],
    ));
    let mean = &run.history.mean;
    let cured = when(mean, 423.0, 0.0, 423.0);
    assert!((cured - 123.075).abs() < 0.02, "{cured}");
    let held = mean.at(423.075).unwrap();
    assert!((held - 447.754).abs() < 0.002, "{held}");
    let cooled = when(mean, 310.0, 423.075, 1_123.0) - 423.075;
    assert!((cooled - 563.255).abs() < 0.05, "{cooled}");
    assert!(run.steps < 400, "{} steps for a stiff sheet", run.steps);
}

/// Geankoplis, Example 5.3-2 (read): butter 46.2 mm, insulated below, 277.6 K in air of 297.1 K for 5 h, h 8.52, k 0.197,
/// rho 998, c 2300. Series computed by this project: 292.389 K on top, 288.313 K 25.4 mm down, 287.169 K below.
#[test]
fn butter_that_warms_from_above() {
    let butter = Body::slab(0.0462, stuff(998.0, 2_300.0, 0.197)).unwrap();
    let run = follow(&case(
        butter,
        277.6,
        vec![Stage {
            lasts_s: 18_000.0,
            first: Face::air(297.1, 8.52),
            last: Face::Insulated,
        }],
    ));
    for (found, expected) in [
        (run.history.first.at(18_000.0).unwrap(), 292.389),
        (at_depth(&run, 0.0254), 288.313),
        (run.history.last.at(18_000.0).unwrap(), 287.169),
    ] {
        assert!((found - expected).abs() < 0.005, "{found}, not {expected}");
    }
}

/// Three layers between faces at 400 and 300 K: resistances 0.002/0.2 + 0.01/2 + 0.004/0.08 = 0.01 + 0.005 + 0.05, so
/// 100/0.065 W/m² and interfaces at 400 - 15.3846 and 300 + 76.9231 K.
#[test]
fn layers_come_to_their_steady_state() {
    let layers = [(0.002, 0.2), (0.01, 2.0), (0.004, 0.08)].map(|(thick_m, k)| Layer {
        thick_m,
        material: stuff(1_000.0, 1_000.0, k),
    });
    let body = Body::new(Form::Slab, layers.to_vec()).unwrap();
    let run = follow(&case(
        body,
        300.0,
        vec![Stage {
            lasts_s: 20_000.0,
            first: Face::Held(Ramp::hold(400.0)),
            last: Face::Held(Ramp::hold(300.0)),
        }],
    ));
    for (depth, expected) in [
        (0.001, 400.0 - 0.5 * 1_000.0 / 65.0),
        (0.002, 400.0 - 1_000.0 / 65.0),
        (0.007, 400.0 - 1_250.0 / 65.0),
        (0.012, 300.0 + 5_000.0 / 65.0),
        (0.014, 300.0 + 2_500.0 / 65.0),
    ] {
        let found = at_depth(&run, depth);
        assert!((found - expected).abs() < 1e-6, "{found}, not {expected}");
    }
}

/// Conductivity that doubles from 300 to 400 K: the integral is straight along depth, so that with T = 300 + 100 u,
/// u + u²/2 = 1.5 (1 - x); half way u = √2.5 - 1.
#[test]
fn a_conductivity_that_changes_is_taken_exactly() {
    let point = |t: f64, k: f64| Point {
        temperature_k: t,
        enthalpy_j_kg: 1_000.0 * t,
        conductivity_w_m_k: k,
    };
    let material = Material::new(1_000.0, vec![point(300.0, 1.0), point(400.0, 2.0)]).unwrap();
    let run = follow(&case(
        Body::slab(0.01, material).unwrap(),
        300.0,
        vec![Stage {
            lasts_s: 5_000.0,
            first: Face::Held(Ramp::hold(400.0)),
            last: Face::Held(Ramp::hold(300.0)),
        }],
    ));
    let found = run.history.middle.at(5_000.0).unwrap();
    let expected = 300.0 + 100.0 * (2.5f64.sqrt() - 1.0);
    assert!((found - expected).abs() < 1e-6, "{found}, not {expected}");
}

/// A slab told as four layers of its own stuff is the same slab, and so is a ball told as two.
#[test]
fn splitting_a_piece_into_layers_changes_nothing() {
    for (form, parts) in [
        (Form::Slab, vec![0.005, 0.015, 0.008, 0.012]),
        (Form::Cylinder, vec![0.025, 0.015]),
        (Form::Sphere, vec![0.02, 0.02]),
    ] {
        let layer = |thick_m: f64| Layer {
            thick_m,
            material: stuff(1_000.0, 3_500.0, 0.5),
        };
        let stages = vec![Stage::around(1_800.0, Face::air(450.0, 40.0))];
        let one = Body::new(form, vec![layer(parts.iter().sum())]).unwrap();
        let many = Body::new(form, parts.iter().map(|&p| layer(p)).collect()).unwrap();
        let one = follow(&case(one, 280.0, stages.clone()));
        let many = follow(&case(many, 280.0, stages));
        for share in [0.1, 0.3, 1.0] {
            let at = 1_800.0 * share;
            for (a, b) in [
                (&one.history.middle, &many.history.middle),
                (&one.history.last, &many.history.last),
                (&one.history.mean, &many.history.mean),
            ] {
                let (a, b) = (a.at(at).unwrap(), b.at(at).unwrap());
                assert!((a - b).abs() < 0.03, "{form:?} at {at}: {a} and {b}");
            }
        }
    }
}

fn chamber() -> Chamber {
    Chamber {
        pieces: 50.0,
        area_m2: 0.2,
        stores_j_k: 4e4,
        heating_w: 0.0,
        cooling_w: 0.0,
        loses_w_k: 0.0,
        around_k: 293.15,
        band_k: 2.0,
        starts_k: 450.0,
    }
}

fn sheets(chamber: Chamber, lasts_s: f64) -> Run {
    let sheet = Body::slab(0.002, stuff(2_700.0, 900.0, 1e5)).unwrap();
    let mut asked = case(
        sheet,
        300.0,
        vec![Stage::around(lasts_s, Face::air(450.0, 25.0))],
    );
    asked.chamber = Some(chamber);
    follow(&asked)
}

/// No power, no loss: 50 sheets of 0.2 m² of face (0.1 m² in plan, 486 J/K) and 40 kJ/K of chamber meet at one
/// temperature; the difference dies out as exp(-hA (1/C + 1/M) t).
#[test]
fn a_chamber_without_power_shares_its_heat() {
    let run = sheets(chamber(), 2_000.0);
    let (air, load) = (4e4, 50.0 * 0.1 * 0.002 * 2_700.0 * 900.0);
    let end = (air * 450.0 + load * 300.0) / (air + load);
    let rate = 25.0 * 50.0 * 0.2 * (1.0 / air + 1.0 / load);
    for t in [20.0, 100.0, 400.0, 2_000.0] {
        let left = 150.0 * libm::exp(-rate * t);
        let expected_air = end + left * load / (air + load);
        let expected_load = end - left * air / (air + load);
        let found = (
            run.history.air.at(t).unwrap(),
            run.history.mean.at(t).unwrap(),
        );
        assert!((found.0 - expected_air).abs() < 0.01, "{t}: {found:?}");
        assert!((found.1 - expected_load).abs() < 0.01, "{t}: {found:?}");
    }
}

/// All that the heaters put in is in the air, in the pieces, or lost.
#[test]
fn a_chamber_keeps_its_books() {
    let heated = Chamber {
        heating_w: 9_000.0,
        cooling_w: 3_000.0,
        loses_w_k: 15.0,
        starts_k: 400.0,
        ..chamber()
    };
    let run = sheets(heated, 1_500.0);
    let spent = run.spent.unwrap();
    let rise = run.history.air.at(1_500.0).unwrap() - 400.0;
    let heat = 50.0 * 0.1 * run.history.heat.at(1_500.0).unwrap();
    let sum = 4e4 * rise + heat + spent.lost_j;
    // The traces are moved towards the limit, the sums are those of the fine grid: 1e-5 apart.
    assert!((sum / (spent.heating_j - spent.cooling_j) - 1.0).abs() < 1e-4);
    let slow = when(&run.history.mean, 440.0, 0.0, 1_500.0);
    let free = sheets(
        Chamber {
            heating_w: 1e6,
            ..heated
        },
        1_500.0,
    );
    let fast = when(&free.history.mean, 440.0, 0.0, 1_500.0);
    assert!(fast < 0.9 * slow, "{fast} s and {slow} s");
    let air = run.history.air.samples();
    assert!(air.iter().all(|s| s.value < 450.0 + 2.0));
}

/// A chamber with plenty of power and no band to speak of is the programme itself.
#[test]
fn a_strong_chamber_is_the_programme() {
    let strong = Chamber {
        heating_w: 1e9,
        cooling_w: 1e9,
        band_k: 0.1,
        ..chamber()
    };
    let run = sheets(strong, 600.0);
    let mass = 0.002 * 2_700.0 * 900.0 / 50.0;
    for t in [30.0, 100.0, 600.0] {
        let expected = 450.0 - 150.0 * libm::exp(-t / mass);
        let found = run.history.mean.at(t).unwrap();
        assert!((found - expected).abs() < 0.02, "{found}, not {expected}");
    }
}

#[test]
fn bad_questions_get_a_fault() {
    let body = || Body::slab(0.01, stuff(1_000.0, 1_000.0, 1.0)).unwrap();
    let stage = |face| vec![Stage::around(10.0, face)];
    let good = case(body(), 300.0, stage(Face::air(400.0, 10.0)));
    let ask = |case: &Case, cells, step_k| heat::solve::follow(case, &Accuracy { cells, step_k });
    let cold = Case {
        from_k: -3.0,
        ..good.clone()
    };
    assert!(matches!(
        ask(&cold, 24, 0.02),
        Err(Fault::NotPositive { .. })
    ));
    assert!(matches!(ask(&good, 1, 0.02), Err(Fault::OutOfRange { .. })));
    assert!(matches!(
        ask(&good, 24, f64::NAN),
        Err(Fault::NotPositive { .. })
    ));
    let mut weak = good.clone();
    weak.chamber = Some(Chamber {
        heating_w: -1.0,
        ..chamber()
    });
    assert!(matches!(
        ask(&weak, 24, 0.02),
        Err(Fault::OutOfRange { .. })
    ));
    let mut shut = case(body(), 300.0, stage(Face::Insulated));
    shut.chamber = Some(chamber());
    assert!(matches!(
        ask(&shut, 24, 0.02),
        Err(Fault::Impossible { .. })
    ));
}
