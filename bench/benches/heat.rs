//! How long it takes to follow one piece, with the estimate of its error.
//!
//! `cargo bench -p bench --bench heat`, from the root of the repository. The pieces are invented.

use heat::body::{Body, Form, Layer};
use heat::material::{Material, Phase, Point};
use heat::programme::{Face, Programme, Ramp, Stage};
use heat::run::{Accuracy, Case, Chamber, Run};

fn main() {
    divan::main();
}

fn stuff(density: f64, heat_capacity_j_kg_k: f64, conductivity_w_m_k: f64) -> Material {
    let phase = Phase {
        heat_capacity_j_kg_k,
        conductivity_w_m_k,
    };
    Material::constant(density, phase).expect("it is possible")
}

/// Freezes from -1 degC on, ice in ideal dilution, in points 1 % apart.
fn food() -> Material {
    let point = |t: f64| Point {
        temperature_k: t + 273.15,
        enthalpy_j_kg: if t >= -1.0 {
            3_500.0 * (t + 1.0)
        } else {
            2_000.0 * (t + 1.0) + 250e3 * (-1.0 / t - 1.0)
        },
        conductivity_w_m_k: if t >= -1.0 { 0.48 } else { 1.5 + 1.02 / t },
    };
    let mut temperatures: Vec<f64> = (0..=415).rev().map(|i| -1.01f64.powi(i)).collect();
    temperatures.push(60.0);
    Material::new(1_050.0, temperatures.into_iter().map(point).collect()).expect("it is possible")
}

fn case(body: Body, from_k: f64, stages: Vec<Stage>) -> Case {
    Case {
        body,
        from_k,
        programme: Programme::new(stages).expect("it is possible"),
        chamber: None,
    }
}

fn follow(case: &Case) -> Run {
    heat::solve::follow(case, &Accuracy::default()).expect("it can be followed")
}

fn round(form: Form, radius_m: f64, material: Material) -> Body {
    let layer = Layer {
        thick_m: radius_m,
        material,
    };
    Body::new(form, vec![layer]).expect("it is possible")
}

fn freezing() -> Case {
    let slab = Body::slab(0.05, food()).expect("it is possible");
    let stages = vec![Stage::around(16_000.0, Face::air(243.15, 30.0))];
    case(slab, 283.15, stages)
}

#[divan::bench]
fn food_slab_freezes(bencher: divan::Bencher<'_, '_>) {
    let case = freezing();
    bencher.bench(|| follow(&case));
}

#[divan::bench]
fn food_ball_freezes(bencher: divan::Bencher<'_, '_>) {
    let stages = vec![Stage::around(4_000.0, Face::air(233.15, 50.0))];
    let case = case(round(Form::Sphere, 0.035, food()), 283.15, stages);
    bencher.bench(|| follow(&case));
}

/// In the cold, then on a tray: cold room below, air above.
#[divan::bench]
fn tray_thaws(bencher: divan::Bencher<'_, '_>) {
    let slab = Body::slab(0.04, food()).expect("it is possible");
    let stages = vec![
        Stage::around(36_000.0, Face::air(277.15, 12.0)),
        Stage {
            lasts_s: 18_000.0,
            first: Face::air(275.15, 60.0),
            last: Face::air(278.15, 8.0),
        },
    ];
    let case = case(slab, 253.15, stages);
    bencher.bench(|| follow(&case));
}

/// A painted sheet of aluminium: ramp, dwell, cooling.
#[divan::bench]
fn sheet_in_the_oven(bencher: divan::Bencher<'_, '_>) {
    let face = |from_k: f64, to_k: f64, coefficient_w_m2_k: f64| Face::Open {
        air: Ramp { from_k, to_k },
        walls: Ramp { from_k, to_k },
        coefficient_w_m2_k,
        emissivity: 0.8,
    };
    let sheet = Body::slab(0.003, stuff(2_770.0, 875.0, 177.0)).expect("it is possible");
    let stages = vec![
        Stage::around(120.0, face(300.0, 450.0, 30.0)),
        Stage::around(600.0, face(450.0, 450.0, 30.0)),
        Stage::around(600.0, face(298.0, 298.0, 10.0)),
    ];
    let case = case(sheet, 298.0, stages);
    bencher.bench(|| follow(&case));
}

/// Film, board, film under a hot plate.
#[divan::bench]
fn layers_under_a_plate(bencher: divan::Bencher<'_, '_>) {
    let layer = |thick_m: f64, material: &Material| Layer {
        thick_m,
        material: material.clone(),
    };
    let (film, board) = (stuff(1_200.0, 1_500.0, 0.2), stuff(650.0, 1_700.0, 0.12));
    let layers = vec![
        layer(0.0005, &film),
        layer(0.018, &board),
        layer(0.0005, &film),
    ];
    let body = Body::new(Form::Slab, layers).expect("it is possible");
    let stages = vec![
        Stage {
            lasts_s: 180.0,
            first: Face::Held(Ramp::hold(450.0)),
            last: Face::Held(Ramp::hold(430.0)),
        },
        Stage::around(1_800.0, Face::air(295.0, 12.0)),
    ];
    let case = case(body, 295.0, stages);
    bencher.bench(|| follow(&case));
}

/// A freezer that its load heats up.
#[divan::bench]
fn load_in_a_weak_freezer(bencher: divan::Bencher<'_, '_>) {
    let mut case = freezing();
    case.chamber = Some(Chamber {
        pieces: 60.0,
        area_m2: 0.1,
        stores_j_k: 1e5,
        heating_w: 0.0,
        cooling_w: 3_000.0,
        loses_w_k: 20.0,
        around_k: 293.15,
        band_k: 2.0,
        starts_k: 243.15,
    });
    bencher.bench(|| follow(&case));
}

/// Wax that melts at one temperature: the front jumps from node to node.
#[divan::bench]
fn wax_melts(bencher: divan::Bencher<'_, '_>) {
    let phase = |heat_capacity_j_kg_k, conductivity_w_m_k| Phase {
        heat_capacity_j_kg_k,
        conductivity_w_m_k,
    };
    let wax = Material::melting(
        880.0,
        phase(2_000.0, 0.24),
        phase(2_200.0, 0.15),
        331.0,
        180e3,
    )
    .expect("it is possible");
    let slab = Body::slab(0.02, wax).expect("it is possible");
    let stages = vec![Stage::around(10_000.0, Face::air(363.15, 40.0))];
    let case = case(slab, 295.0, stages);
    bencher.bench(|| follow(&case));
}
