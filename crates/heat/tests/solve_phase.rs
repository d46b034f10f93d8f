//! Freezing, thawing and melting against a grid-converged reference and against closed forms.

use heat::ICE_POINT_K;
use heat::body::{Body, Form, Layer};
use heat::material::{Material, Phase, Point};
use heat::programme::{Face, Programme, Ramp, Stage};
use heat::run::{Accuracy, Case, History, Run};

/// Meat-like food: all water freezable, ideal dilution. With t in degC below -1: ice share 1 - 1/-t,
/// h = cf (t + 1) + A (-1/t - 1) with A = 0.75·333.6 kJ/kg, k = kf + (ku - kf)·(-1/t); above: h = cu (t + 1), k = ku.
fn food() -> Material {
    let (cu, cf, ku, kf, start, ice) = (3_500.0, 2_000.0, 0.48, 1.5, -1.0, 333.6e3 * 0.75);
    let point = |t: f64| Point {
        temperature_k: t + ICE_POINT_K,
        enthalpy_j_kg: if t >= start {
            cu * (t - start)
        } else {
            cf * (t - start) + ice * (start / t - 1.0)
        },
        conductivity_w_m_k: if t >= start {
            ku
        } else {
            kf + (ku - kf) * start / t
        },
    };
    // Closer where the curve bends: marks even in -1/t, which the curve is straight in, from -60 to -1.
    let mut temperatures: Vec<f64> = (0..=240)
        .map(|i| -1.0 / (1.0 / 60.0 + (1.0 - 1.0 / 60.0) * f64::from(i) / 240.0))
        .collect();
    temperatures.push(60.0);
    Material::new(1_050.0, temperatures.into_iter().map(point).collect()).unwrap()
}

struct Reference {
    name: &'static str,
    form: Form,
    /// Thickness or radius, m.
    size: f64,
    coefficient: f64,
    air: f64,
    start: f64,
    /// Centre, degC, and when it is reached, s.
    reached: &'static [(f64, f64)],
}

/// Column `Richardson` of the reference, computed by this project (finite volumes of 40, 80 and 160 cells, scipy's
/// BDF at rtol 1e-8); the reference itself holds to about 5e-5.
const REFERENCES: [Reference; 6] = [
    Reference {
        name: "A",
        form: Form::Slab,
        size: 0.05,
        coefficient: 30.0,
        air: -30.0,
        start: 10.0,
        reached: &[(-1.5, 8_891.1), (-10.0, 11_372.3), (-18.0, 13_002.0)],
    },
    Reference {
        name: "B",
        form: Form::Slab,
        size: 0.05,
        coefficient: 200.0,
        air: -35.0,
        start: 4.0,
        reached: &[(-10.0, 3_031.8), (-18.0, 3_338.6)],
    },
    Reference {
        name: "C",
        form: Form::Sphere,
        size: 0.035,
        coefficient: 50.0,
        air: -40.0,
        start: 10.0,
        reached: &[(-10.0, 3_264.1), (-18.0, 3_307.5)],
    },
    Reference {
        name: "D",
        form: Form::Cylinder,
        size: 0.025,
        coefficient: 25.0,
        air: -30.0,
        start: 10.0,
        reached: &[(-10.0, 6_532.3), (-18.0, 7_392.8)],
    },
    Reference {
        name: "E",
        form: Form::Slab,
        size: 0.1,
        coefficient: 20.0,
        air: -25.0,
        start: 5.0,
        reached: &[(-10.0, 42_456.6), (-18.0, 50_160.5)],
    },
    Reference {
        name: "thaw",
        form: Form::Slab,
        size: 0.05,
        coefficient: 50.0,
        air: 15.0,
        start: -18.0,
        reached: &[(-1.0, 15_722.3), (0.0, 15_775.0)],
    },
];

/// When the middle first passes a level, by halving in the trace.
fn passes(history: &History, level_k: f64) -> Option<f64> {
    let samples = history.middle.samples();
    let falls = samples.first()?.value > level_k;
    let beyond = |t: f64| (t < level_k) == falls;
    let right = samples.iter().position(|s| beyond(s.value))?;
    let (mut low, mut high) = (samples[right - 1].time_s, samples[right].time_s);
    for _ in 0..60 {
        let mid = 0.5 * (low + high);
        if beyond(history.middle.at(mid)?) {
            high = mid;
        } else {
            low = mid;
        }
    }
    Some(high)
}

#[test]
fn freezing_and_thawing_times() {
    for case in &REFERENCES {
        let last = case.reached.last().unwrap().1;
        let layers = vec![Layer {
            thick_m: case.size,
            material: food(),
        }];
        let asked = Case {
            body: Body::new(case.form, layers).unwrap(),
            from_k: case.start + ICE_POINT_K,
            programme: Programme::new(vec![Stage::around(
                1.2 * last,
                Face::air(case.air + ICE_POINT_K, case.coefficient),
            )])
            .unwrap(),
            chamber: None,
        };
        let t0 = std::time::Instant::now();
        let run = heat::solve::follow(&asked, &Accuracy::default()).unwrap();
        println!(
            "{} {:?} steps {} err {} unexpl {:e} coarse samples {}",
            case.name,
            t0.elapsed(),
            run.steps,
            run.error_k,
            run.unexplained,
            run.coarse.middle.samples().len()
        );
        for &(level, expected) in case.reached {
            let found = run.estimate(|h| passes(h, level + ICE_POINT_K)).unwrap();
            println!(
                "{level} {expected} {} rel {:e} est {:e}",
                found.value,
                found.value / expected - 1.0,
                found.error / expected
            );
        }
    }
    panic!();
}
