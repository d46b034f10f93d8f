//! Freezing, thawing and melting against a grid-converged reference and against closed forms.

#![allow(clippy::unwrap_used, clippy::print_stdout)]

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
    // 1 % apart from each other, from -1 to -62.
    let mut temperatures: Vec<f64> = (0..=415)
        .rev()
        .map(|i| -libm::pow(1.01, f64::from(i)))
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

/// At the usual accuracy, to 0.1 %.
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
        let run = heat::solve::follow(&asked, &Accuracy::default()).unwrap();
        assert!(run.unexplained < 1e-8 && run.improved, "{}", case.name);
        for &(level, expected) in case.reached {
            let found = run.estimate(|h| passes(h, level + ICE_POINT_K)).unwrap();
            let off = (found.value / expected - 1.0).abs();
            assert!(
                off < 1e-3,
                "{} to {level} degC: {} s, not {expected}",
                case.name,
                found.value
            );
            assert!(found.error < 2e-3 * expected, "{}", case.name);
        }
    }
}

/// A half space that melts or freezes from a face held at a temperature.
struct Front {
    solid: Phase,
    liquid: Phase,
    density: f64,
    latent: f64,
    melts_k: f64,
    start_k: f64,
    face_k: f64,
    /// Depth of the front after an hour is 2 λ √(a·3600) with the diffusivity of the growing phase.
    lambda: f64,
}

const fn phase(heat_capacity_j_kg_k: f64, conductivity_w_m_k: f64) -> Phase {
    Phase {
        heat_capacity_j_kg_k,
        conductivity_w_m_k,
    }
}

const THICK_M: f64 = 0.3;

impl Front {
    fn freezes(&self) -> bool {
        self.face_k < self.melts_k
    }

    fn exact_m(&self) -> f64 {
        let grows = if self.freezes() {
            self.solid
        } else {
            self.liquid
        };
        let diffuses = grows.conductivity_w_m_k / (self.density * grows.heat_capacity_j_kg_k);
        2.0 * self.lambda * (diffuses * 3_600.0).sqrt()
    }

    fn run(&self, cells: usize, step_k: f64) -> Run {
        let material = Material::melting(
            self.density,
            self.solid,
            self.liquid,
            self.melts_k,
            self.latent,
        )
        .unwrap();
        let case = Case {
            body: Body::slab(THICK_M, material).unwrap(),
            from_k: self.start_k,
            programme: Programme::new(vec![Stage {
                lasts_s: 3_600.0,
                first: Face::Held(Ramp::hold(self.face_k)),
                last: Face::Insulated,
            }])
            .unwrap(),
            chamber: None,
        };
        heat::solve::follow(&case, &Accuracy { cells, step_k }).unwrap()
    }

    /// Depth of the front from the heat that passed, less what the temperatures explain.
    fn depth_m(&self, run: &Run) -> f64 {
        let nodes = &run.profiles[0].temperatures;
        let mut sensible = 0.0;
        for (i, (x, t)) in nodes.iter().enumerate() {
            let before = x - nodes[i.saturating_sub(1)].0;
            let after = nodes[(i + 1).min(nodes.len() - 1)].0 - x;
            let volume = 0.5 * (before + after);
            let capacity = if *t < self.melts_k {
                self.solid.heat_capacity_j_kg_k
            } else {
                self.liquid.heat_capacity_j_kg_k
            };
            let start = if self.start_k > self.melts_k {
                self.liquid.heat_capacity_j_kg_k
            } else {
                self.solid.heat_capacity_j_kg_k
            };
            sensible += volume * capacity * (t - self.melts_k);
            sensible -= volume * start * (self.start_k - self.melts_k);
        }
        let heat = run.history.heat.at(3_600.0).unwrap();
        (heat / self.density - sensible).abs() / self.latent
    }
}

fn water() -> Front {
    Front {
        solid: phase(2_050.0, 2.22),
        liquid: phase(4_226.0, 0.556),
        density: 1_000.0,
        latent: 333.6e3,
        melts_k: 273.15,
        start_k: 283.15,
        face_k: 263.15,
        lambda: 0.155_612_030_9,
    }
}

/// Neumann's solution of two phases and Stefan's of one: lambda computed by this project to 1e-9 (roots of the
/// transcendental equations, scipy), as is the front after 1 h: 19.43229 and 30.15297 mm.
#[test]
fn fronts_of_freezing_and_melting() {
    let water = water();
    assert!((water.exact_m() - 0.019_432_29).abs() < 1e-8);
    let beef = Front {
        solid: phase(2_000.0, 1.5),
        liquid: phase(3_500.0, 0.48),
        density: 1_050.0,
        latent: 250e3,
        melts_k: 272.15,
        start_k: 283.15,
        face_k: 243.15,
        lambda: 0.297_312_303_3,
    };
    assert!((beef.exact_m() - 0.030_152_97).abs() < 1e-8);
    let mut fronts = vec![water, beef];
    // Stefan: ice at its melting point under a warm face; Ste = c (face - melting) / latent heat.
    for (stefan, lambda) in [
        (0.1, 0.220_016_272_7),
        (0.5, 0.464_785_920_6),
        (1.0, 0.620_062_633_3),
        (2.0, 0.800_601_362_8),
    ] {
        fronts.push(Front {
            solid: phase(4_000.0, 0.6),
            liquid: phase(4_000.0, 0.6),
            density: 1_000.0,
            latent: 100e3,
            melts_k: 300.0,
            start_k: 300.0,
            face_k: 300.0 + stefan * 100e3 / 4_000.0,
            lambda,
        });
    }
    for front in &fronts {
        let run = front.run(200, 0.02);
        assert!(!run.improved && run.unexplained < 1e-8);
        let (found, expected) = (front.depth_m(&run), front.exact_m());
        assert!(
            (found / expected - 1.0).abs() < 1e-3,
            "{found} m, not {expected} m"
        );
    }
}

/// The heat of the front falls towards the exact one as cells are doubled, and the error told covers what is off:
/// heat counts as the temperature it makes over the range, here 20 K of ice, water and melting.
#[test]
fn the_error_of_a_front_is_told() {
    let water = water();
    let range_heat = THICK_M * water.density * (water.latent + 10.0 * (2_050.0 + 4_226.0));
    let mut before = f64::INFINITY;
    for cells in [50, 100, 200] {
        let run = water.run(cells, 0.02);
        let off_m = (water.depth_m(&run) - water.exact_m()).abs();
        let off_k = 20.0 * off_m * water.density * water.latent / range_heat;
        assert!(off_k < run.error_k, "{off_k} K, told {} K", run.error_k);
        assert!(run.error_k < 0.5 * before, "{} after {before}", run.error_k);
        before = run.error_k;
    }
}
