//! Bricks and cans of constant properties against the product of the exact series of slab and cylinder.
//!
//! With one start and one air all round, theta = (T - T_air)/(T_start - T_air) of a brick is the product of those of
//! three slabs, of a can that of a cylinder and a slab (Carslaw & Jaeger 1959, section 1.15; from memory). The series are
//! worked out here, apart from the engine.

use std::f64::consts::{FRAC_PI_2, PI};

use heat::ICE_POINT_K;
use heat::block::follow;
use heat::body::{Body, Form, Layer};
use heat::material::{Material, Phase};
use heat::programme::{Face, Programme, Ramp, Stage};
use heat::run::{Accuracy, Case, Run};

/// The root of a function that rises through nothing between two places.
fn root(low: f64, high: f64, of: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (low, high);
    for _ in 0..200 {
        let mid = 0.5 * (low + high);
        if of(mid) < 0.0 { low = mid } else { high = mid }
    }
    0.5 * (low + high)
}

/// theta of middle, face and mean of a slab (half thickness) by 60 terms: z tan z = Bi.
fn slab(biot: f64, fourier: f64) -> [f64; 3] {
    (0..60).fold([0.0; 3], |sum, i| {
        let from = f64::from(i) * PI;
        let z = if biot.is_infinite() {
            from + FRAC_PI_2
        } else {
            root(from, from + FRAC_PI_2, |z| {
                z * z.sin() * from.cos() - biot * z.cos() * from.cos()
            })
        };
        let share = 4.0 * z.sin() / (2.0 * z + (2.0 * z).sin()) * (-z * z * fourier).exp();
        let at = [1.0, z.cos(), z.sin() / z];
        [0, 1, 2].map(|k| sum[k] + share * at[k])
    })
}

/// The same of a long cylinder: z J1(z) = Bi J0(z). The n-th root lies between those of J1.
fn cylinder(biot: f64, fourier: f64) -> [f64; 3] {
    let (j0, j1) = (libm::j0, libm::j1);
    let mut before = 0.0;
    (0..60).fold([0.0; 3], |sum, i| {
        let sign = if i % 2 == 0 { 1.0 } else { -1.0 };
        // Roots of J1 lie just above (n + 1/4) pi.
        let near = (f64::from(i) + 1.25) * PI;
        let next = root(near - 0.5, near + 0.5, |z| -sign * j1(z));
        let z = root(before, next, |z| sign * (z * j1(z) - biot * j0(z)));
        before = next;
        let weight = 2.0 * j1(z) / (z * (j0(z) * j0(z) + j1(z) * j1(z)));
        let share = weight * (-z * z * fourier).exp();
        let at = [1.0, j0(z), 2.0 * j1(z) / z];
        [0, 1, 2].map(|k| sum[k] + share * at[k])
    })
}

struct Problem {
    name: &'static str,
    form: Form,
    thick_m: f64,
    start_k: f64,
    air_k: f64,
    coefficient: f64,
    conductivity: f64,
    diffusivity: f64,
    lasts_s: f64,
}

impl Problem {
    fn case(&self, face: Face) -> Case {
        let phase = Phase {
            heat_capacity_j_kg_k: self.conductivity / self.diffusivity / 1_000.0,
            conductivity_w_m_k: self.conductivity,
        };
        let layers = vec![Layer {
            thick_m: self.thick_m,
            material: Material::constant(1_000.0, phase).expect("a sound question"),
        }];
        Case {
            body: Body::new(self.form, layers).expect("a sound question"),
            from_k: self.start_k,
            programme: Programme::new(vec![Stage::around(self.lasts_s, face)])
                .expect("a sound question"),
            chamber: None,
        }
    }

    fn run(&self, accuracy: &Accuracy) -> Run {
        follow(
            &self.case(Face::air(self.air_k, self.coefficient)),
            accuracy,
        )
        .expect("a sound question")
    }

    /// theta of middle, corner and mean.
    fn theta(&self, time_s: f64) -> [f64; 3] {
        let slab = |length: f64| {
            let half = 0.5 * length;
            slab(
                self.coefficient * half / self.conductivity,
                self.diffusivity * time_s / half / half,
            )
        };
        let factors = match self.form {
            Form::Brick { y_m, z_m } => vec![slab(self.thick_m), slab(y_m), slab(z_m)],
            Form::Can { height_m } => {
                let r = self.thick_m;
                let round = cylinder(
                    self.coefficient * r / self.conductivity,
                    self.diffusivity * time_s / r / r,
                );
                vec![round, slab(height_m)]
            }
            Form::Slab | Form::Cylinder | Form::Sphere => panic!("blocks only"),
        };
        [0, 1, 2].map(|k| factors.iter().map(|f| f[k]).product())
    }

    fn theta_of(&self, kelvin: f64) -> f64 {
        (kelvin - self.air_k) / (self.start_k - self.air_k)
    }
}

const H07: Problem = Problem {
    name: "brick",
    form: Form::Brick {
        y_m: 0.12,
        z_m: 0.16,
    },
    thick_m: 0.04,
    start_k: 280.0,
    air_k: 350.0,
    coefficient: 40.0,
    conductivity: 0.48,
    diffusivity: 1.3e-7,
    lasts_s: 3_600.0,
};

/// Cengel, examples 4-8 and 4-9: a short brass cylinder in air. Diffusivity as printed there (read).
const H14: Problem = Problem {
    name: "brass",
    form: Form::Can { height_m: 0.12 },
    thick_m: 0.05,
    start_k: 120.0 + ICE_POINT_K,
    air_k: 25.0 + ICE_POINT_K,
    coefficient: 60.0,
    conductivity: 110.0,
    diffusivity: 33.9e-6,
    lasts_s: 900.0,
};

/// Geankoplis, examples 5.3-3 and 5.3-4: a can of pea puree in steam (read).
const H20: Problem = Problem {
    name: "can",
    form: Form::Can { height_m: 0.1016 },
    thick_m: 0.03405,
    start_k: 29.4 + ICE_POINT_K,
    air_k: 115.6 + ICE_POINT_K,
    coefficient: 4_540.0,
    conductivity: 0.83,
    diffusivity: 2.007e-7,
    lasts_s: 2_700.0,
};

/// The series here against the reference of this project (Python with scipy, 120 terms, 1e-8): slab and cylinder
/// with Bi 1 at Fo 0.5, and the centres that the problems ask for.
#[test]
fn the_series_are_those_of_the_reference() {
    let near = |found: f64, expected: f64, tolerance: f64| {
        assert!((found - expected).abs() <= tolerance, "{found} {expected}");
    };
    for (found, expected) in [
        (
            slab(1.0, 0.5),
            [0.772_526_383_4, 0.504_521_927_9, 0.681_104_565_4],
        ),
        (
            cylinder(1.0, 0.5),
            [0.548_586_203_9, 0.352_785_837_5, 0.447_384_263_6],
        ),
    ] {
        for k in 0..3 {
            near(found[k], expected[k], 1e-8);
        }
    }
    near(H07.theta(3_600.0)[0], 0.323_442_955_8, 1e-8);
    near(25.0 + 95.0 * H14.theta(900.0)[0], 62.73, 0.005);
    near(115.6 - 86.2 * H20.theta(2_700.0)[0], 108.391, 0.001);
}

/// Middle, corner and mean along the way within 0.1 % of the whole difference, and within what the run says.
#[test]
fn product_solutions() {
    for problem in [H07, H14, H20] {
        let run = problem.run(&Accuracy {
            cells: 16,
            step_k: 0.02,
        });
        for share in [0.1, 0.25, 0.5, 1.0] {
            let time = share * problem.lasts_s;
            let expected = problem.theta(time);
            let history = &run.history;
            for (k, trace) in [&history.middle, &history.last, &history.mean]
                .into_iter()
                .enumerate()
            {
                let off = (problem.theta_of(trace.at(time).unwrap()) - expected[k]).abs();
                assert!(off < 1e-3, "{} {share} {k}: {off}", problem.name);
            }
        }
        let end = problem.theta_of(run.history.middle.at(problem.lasts_s).unwrap());
        let expected = problem.theta(problem.lasts_s)[0];
        assert!((end - expected).abs() < 1e-3 * expected, "{end} {expected}");
        assert!(run.error_k > 0.0 && run.error_k < 0.5, "{}", run.error_k);
    }
}

/// Heat given off by the brass: capacity times volume times difference times (1 - theta of the mean).
#[test]
fn heat_of_the_brass_cylinder() {
    let run = H14.run(&Accuracy {
        cells: 12,
        step_k: 0.02,
    });
    let whole = 110.0 / 33.9e-6 * PI * 0.05 * 0.05 * 0.12 * 95.0;
    let expected = whole * (1.0 - H14.theta(900.0)[2]);
    let found = -run.history.heat.at(900.0).unwrap();
    assert!(
        (found - expected).abs() < 1e-3 * expected,
        "{found} {expected}"
    );
    // With the book's 8530 kg/m³ and 380 J/(kg K) the same share is 176.35 kJ.
    let book = found / whole * 8_530.0 * 380.0 * PI * 0.05 * 0.05 * 0.12 * 95.0;
    assert!((book - 176_350.0).abs() < 176.0, "{book}");
}

/// Faces held at a temperature are the limit of a coefficient without bounds.
#[test]
fn faces_held_at_a_temperature() {
    let problem = Problem {
        coefficient: f64::INFINITY,
        ..H07
    };
    let case = problem.case(Face::Held(Ramp::hold(problem.air_k)));
    let run = follow(
        &case,
        &Accuracy {
            cells: 16,
            step_k: 0.02,
        },
    )
    .unwrap();
    for share in [0.1, 0.25, 0.5, 1.0] {
        let time = share * problem.lasts_s;
        let expected = problem.theta(time);
        for (k, trace) in [(0, &run.history.middle), (2, &run.history.mean)] {
            let off = (problem.theta_of(trace.at(time).unwrap()) - expected[k]).abs();
            assert!(off < 1e-3, "{share} {k}: {off}");
        }
    }
    assert!(run.unexplained < 1e-8);
}

/// The corner of faces that warm evenly follows them, and far into the ramp the middle trails by the steady lag
/// of a long square bar, which is 0.2947 rate (half side)²/diffusivity (Carslaw & Jaeger 1959, section 5.4: the same series
/// as of torsion, phi(0, 0) = 0.29468; worked out here by 60 terms).
#[test]
fn a_ramp_at_the_faces() {
    let lag: f64 = (0..60).fold(0.5, |sum, n| {
        let odd = f64::from(2 * n + 1);
        let sign = if n % 2 == 0 { -1.0 } else { 1.0 };
        sum + sign * 16.0 / (PI * odd).powi(3) / (odd * FRAC_PI_2).cosh()
    });
    assert!((lag - 0.294_685).abs() < 1e-5, "{lag}");
    let problem = Problem {
        form: Form::Brick {
            y_m: 0.04,
            z_m: 4.0,
        },
        lasts_s: 10_000.0,
        ..H07
    };
    let ramp = Ramp {
        from_k: 280.0,
        to_k: 380.0,
    };
    let run = follow(
        &problem.case(Face::Held(ramp)),
        &Accuracy {
            cells: 16,
            step_k: 0.02,
        },
    )
    .unwrap();
    let behind = 380.0 - run.history.middle.at(10_000.0).unwrap();
    let expected = lag * 0.01 * 0.02 * 0.02 / problem.diffusivity;
    assert!(
        (behind - expected).abs() < 1e-3 * expected,
        "{behind} {expected}"
    );
    assert!((run.history.last.at(5_000.0).unwrap() - 330.0).abs() < 1e-9);
    assert!(
        (run.history.last.at(5_000.0).unwrap() - run.history.air.at(5_000.0).unwrap()).abs() < 1e-9
    );
}

/// Each grid by itself is of second order: half the cells, four times the error at the end. Moved towards the
/// limit, the answer is better still.
#[test]
fn second_order_in_cells() {
    for problem in [H07, H20] {
        let exact = problem.theta(problem.lasts_s);
        let runs = [6, 12].map(|cells| {
            problem.run(&Accuracy {
                cells,
                step_k: 1e-3,
            })
        });
        let off = |trace: &heat::trace::Trace, k: usize| {
            (problem.theta_of(trace.at(problem.lasts_s).unwrap()) - exact[k]).abs()
        };
        for k in [0, 2] {
            let of = |history: &heat::run::History| {
                off(
                    if k == 0 {
                        &history.middle
                    } else {
                        &history.mean
                    },
                    k,
                )
            };
            let ratio = of(&runs[0].coarse) / of(&runs[1].coarse);
            assert!((3.2..5.2).contains(&ratio), "{} {k}: {ratio}", problem.name);
            assert!(
                of(&runs[0].history) < 0.3 * of(&runs[1].coarse),
                "{} {k}",
                problem.name
            );
        }
    }
}
