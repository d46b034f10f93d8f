//! What holds for every brick and can: heat is kept, no temperature beyond its causes, bigger is never faster; and a
//! chamber of finite power against a closed form.

use heat::ICE_POINT_K;
use heat::block::follow;
use heat::body::{Body, Form, Layer};
use heat::fault::Fault;
use heat::material::{Material, Phase};
use heat::programme::{Face, Programme, Ramp, Stage};
use heat::run::{Accuracy, Case, Chamber, Run};
use proptest::prelude::*;

const ROUGH: Accuracy = Accuracy {
    cells: 6,
    step_k: 0.05,
};

fn body(form: Form, thick_m: f64, material: Material) -> Body {
    Body::new(form, vec![Layer { thick_m, material }]).expect("a sound question")
}

fn plain() -> Material {
    let phase = Phase {
        heat_capacity_j_kg_k: 3_000.0,
        conductivity_w_m_k: 0.5,
    };
    Material::constant(1_000.0, phase).expect("a sound question")
}

fn melting() -> Material {
    let solid = Phase {
        heat_capacity_j_kg_k: 2_000.0,
        conductivity_w_m_k: 2.0,
    };
    let liquid = Phase {
        heat_capacity_j_kg_k: 4_000.0,
        conductivity_w_m_k: 0.5,
    };
    Material::melting(1_000.0, solid, liquid, ICE_POINT_K, 250e3).expect("a sound question")
}

fn form() -> impl Strategy<Value = Form> {
    let side = || 0.02..0.3_f64;
    prop_oneof![
        (side(), side()).prop_map(|(y_m, z_m)| Form::Brick { y_m, z_m }),
        side().prop_map(|height_m| Form::Can { height_m }),
    ]
}

fn ramp() -> impl Strategy<Value = Ramp> {
    (240.0..320.0_f64, 240.0..320.0_f64).prop_map(|(from_k, to_k)| Ramp { from_k, to_k })
}

fn face() -> impl Strategy<Value = Face> {
    let open = (ramp(), ramp(), 0.0..3.0_f64, 0.0..1.0_f64).prop_map(
        |(air, walls, digits, emissivity)| Face::Open {
            air,
            walls,
            coefficient_w_m2_k: 10.0_f64.powf(digits),
            emissivity,
        },
    );
    prop_oneof![4 => open, 2 => ramp().prop_map(Face::Held), 1 => Just(Face::Insulated)]
}

fn case() -> impl Strategy<Value = Case> {
    let stages = prop::collection::vec((100.0..10_000.0_f64, face()), 1..4);
    (
        form(),
        0.01..0.1_f64,
        any::<bool>(),
        240.0..320.0_f64,
        stages,
    )
        .prop_map(|(form, thick_m, melts, from_k, stages)| Case {
            body: body(form, thick_m, if melts { melting() } else { plain() }),
            from_k,
            programme: Programme::new(
                stages
                    .into_iter()
                    .map(|(lasts_s, face)| Stage::around(lasts_s, face))
                    .collect(),
            )
            .expect("a sound question"),
            chamber: None,
        })
}

/// The lowest and highest temperature of all causes.
fn causes(case: &Case) -> [f64; 2] {
    let mut all = vec![case.from_k];
    for stage in case.programme.stages() {
        let ramps = match stage.last {
            Face::Insulated => vec![],
            Face::Held(ramp) => vec![ramp],
            Face::Open { air, walls, .. } => vec![air, walls],
        };
        all.extend(ramps.iter().flat_map(|ramp| [ramp.from_k, ramp.to_k]));
    }
    [
        all.iter().copied().fold(f64::INFINITY, f64::min),
        all.iter().copied().fold(f64::NEG_INFINITY, f64::max),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// A step may be wrong by the error allowed, hence a temperature beyond its causes by that much; the answer
    /// moved towards the limit is kept inside them.
    #[test]
    fn heat_is_kept_and_nothing_is_beyond_its_causes(case in case()) {
        let run = follow(&case, &ROUGH).unwrap();
        prop_assert!(run.unexplained < 1e-8, "{}", run.unexplained);
        let [low, high] = causes(&case);
        let slack = 2.0 * ROUGH.step_k;
        for history in [&run.history, &run.coarse] {
            for trace in [&history.middle, &history.last, &history.mean] {
                for pair in trace.samples().windows(2) {
                    let between = trace.at(0.5 * (pair[0].time_s + pair[1].time_s)).unwrap();
                    prop_assert!(between > low - slack && between < high + slack, "{between} {low} {high}");
                }
                for sample in trace.samples() {
                    prop_assert!(sample.value > low - slack && sample.value < high + slack, "{sample:?} {low} {high}");
                }
            }
        }
        for (_, kelvin) in run.profiles.iter().flat_map(|profile| &profile.temperatures) {
            prop_assert!((low - slack..high + slack).contains(kelvin));
        }
        // The heat that went in is what the mean says of the content.
        let material = &case.body.layers()[0].material;
        if !run.improved {
            return Ok(());
        }
        let thick = case.body.depth_m();
        let volume = match case.body.form() {
            Form::Brick { y_m, z_m } => thick * y_m * z_m,
            Form::Can { height_m } => std::f64::consts::PI * thick * thick * height_m,
            _ => panic!("blocks only"),
        };
        let end = case.programme.lasts_s();
        let mean = run.history.mean.at(end).unwrap();
        let content = volume * material.density_kg_m3() * (material.enthalpy_at(mean) - material.enthalpy_at(case.from_k));
        let heat = run.history.heat.at(end).unwrap();
        let whole = volume * material.density_kg_m3() * 3_000.0 * (high - low);
        prop_assert!((heat - content).abs() <= 1e-6 * whole, "{heat} {content}");
    }

    /// The middle of a piece that is longer in one direction lags behind in one air, but for the errors told.
    #[test]
    fn bigger_is_never_faster(
        form in form(), thick_m in 0.01..0.1_f64, longer in 1.05..2.0_f64, which in 0..3, digits in 0.5..2.5_f64, melts in any::<bool>(),
    ) {
        let bigger = match (form, which) {
            (Form::Brick { y_m, z_m }, 0) => Form::Brick { y_m: longer * y_m, z_m },
            (Form::Brick { y_m, z_m }, 1) => Form::Brick { y_m, z_m: longer * z_m },
            (Form::Can { height_m }, 0) => Form::Can { height_m: longer * height_m },
            (form, _) => form,
        };
        let thicker = if bigger == form { longer * thick_m } else { thick_m };
        let material = || if melts { melting() } else { plain() };
        let through = |form: Form, thick_m: f64| -> Run {
            let lasts_s = 5_000.0;
            let face = Face::air(250.0, 10.0_f64.powf(digits));
            follow(&Case {
                body: body(form, thick_m, material()),
                from_k: 290.0,
                programme: Programme::new(vec![Stage::around(lasts_s, face)]).unwrap(),
                chamber: None,
            }, &ROUGH).unwrap()
        };
        let (small, large) = (through(form, thick_m), through(bigger, thicker));
        let slack = small.error_k + large.error_k + ROUGH.step_k;
        for i in 0..=20 {
            let time = 250.0 * f64::from(i);
            let [a, b] = [&small, &large].map(|run| run.history.middle.at(time).unwrap());
            prop_assert!(b > a - slack, "{time}: {a} {b} {slack}");
            let [a, b] = [&small, &large].map(|run| run.history.mean.at(time).unwrap());
            prop_assert!(b > a - slack, "mean {time}: {a} {b} {slack}");
        }
    }
}

fn chamber(stores_j_k: f64, heating_w: f64) -> Chamber {
    Chamber {
        pieces: 50.0,
        // Not looked at: bricks have their own.
        area_m2: 1.0,
        stores_j_k,
        heating_w,
        cooling_w: 0.0,
        loses_w_k: 0.0,
        around_k: 300.0,
        band_k: 1.0,
        starts_k: 400.0,
    }
}

/// Small cubes of a good conductor, warm all through (Bi 3e-4), in air that no one heats: capacities C of the cubes and S of
/// the air come to one temperature as exp(-hA (1/C + 1/S) t), and meet at (C 300 + S 400)/(C + S).
#[test]
fn a_chamber_without_power_shares_its_heat() {
    let metal = Phase {
        heat_capacity_j_kg_k: 900.0,
        conductivity_w_m_k: 200.0,
    };
    let material = Material::constant(2_700.0, metal).unwrap();
    let cubes = 50.0 * 0.01_f64.powi(3) * 2_700.0 * 900.0;
    let stores = 100.0;
    let ask = |heating_w: f64, aim: f64| {
        let case = Case {
            body: body(
                Form::Brick {
                    y_m: 0.01,
                    z_m: 0.01,
                },
                0.01,
                material.clone(),
            ),
            from_k: 300.0,
            programme: Programme::new(vec![Stage::around(600.0, Face::air(aim, 10.0))]).unwrap(),
            chamber: Some(chamber(stores, heating_w)),
        };
        follow(
            &case,
            &Accuracy {
                cells: 6,
                step_k: 0.002,
            },
        )
        .unwrap()
    };
    let run = ask(0.0, 500.0);
    let passes = 10.0 * 50.0 * 6.0 * 0.01 * 0.01;
    let meet = (cubes * 300.0 + stores * 400.0) / (cubes + stores);
    for time in [60.0, 200.0, 600.0] {
        let left = (-passes * (1.0 / cubes + 1.0 / stores) * time).exp();
        let (piece, air) = (meet + (300.0 - meet) * left, meet + (400.0 - meet) * left);
        let history = &run.history;
        // Bi/3 of the difference is how far the mean of a body warms behind its face.
        assert!(
            (history.mean.at(time).unwrap() - piece).abs() < 0.03,
            "{time}"
        );
        assert!((history.air.at(time).unwrap() - air).abs() < 0.03, "{time}");
    }
    assert!(run.unexplained < 1e-8);
    let spent = run.spent.unwrap();
    assert!(spent.heating_j == 0.0 && spent.cooling_j == 0.0 && spent.lost_j == 0.0);
    // With heaters that are always short of the aim: all their power goes into cubes and air.
    let heated = ask(20.0, 600.0);
    let spent = heated.spent.unwrap();
    assert!(
        (spent.heating_j - 20.0 * 600.0).abs() < 1e-6 * 12_000.0,
        "{spent:?}"
    );
    let into = 50.0 * heated.history.heat.at(600.0).unwrap();
    let air = stores * (heated.history.air.at(600.0).unwrap() - 400.0);
    assert!((into + air - 12_000.0).abs() < 1.0, "{into} {air}");
}

/// A cube that is warm all through (Bi 0.0025, which adds up to Bi/3 to tau, 0.03 K here) in air that warms evenly by r: it trails by r tau (1 - exp(-t/tau)), tau = C/hA. Parts of
/// a step that met the air of another moment would lose the second order, and take many more steps.
#[test]
fn a_ramp_of_the_air_takes_few_steps() {
    let metal = Phase {
        heat_capacity_j_kg_k: 900.0,
        conductivity_w_m_k: 20.0,
    };
    let ramp = Ramp {
        from_k: 300.0,
        to_k: 400.0,
    };
    let air = Face::Open {
        air: ramp,
        walls: ramp,
        coefficient_w_m2_k: 10.0,
        emissivity: 0.0,
    };
    let case = Case {
        body: body(
            Form::Brick {
                y_m: 0.01,
                z_m: 0.01,
            },
            0.01,
            Material::constant(2_700.0, metal).unwrap(),
        ),
        from_k: 300.0,
        programme: Programme::new(vec![Stage::around(1_000.0, air)]).unwrap(),
        chamber: None,
    };
    let run = follow(&case, &ROUGH).unwrap();
    let tau = 2_700.0 * 900.0 * 0.01 / 6.0 / 10.0;
    for time in [100.0_f64, 400.0, 1_000.0] {
        let expected = 300.0 + 0.1 * (time - tau * (1.0 - (-time / tau).exp()));
        let found = run.history.mean.at(time).unwrap();
        assert!(
            (found - expected).abs() < 0.05,
            "{time}: {found} {expected}"
        );
    }
    assert!(run.steps < 40, "{}", run.steps);
}

#[test]
fn questions_that_are_refused() {
    let case = |form: Form| Case {
        body: body(form, 0.02, plain()),
        from_k: 300.0,
        programme: Programme::new(vec![Stage::around(60.0, Face::air(350.0, 20.0))]).unwrap(),
        chamber: None,
    };
    for form in [Form::Slab, Form::Cylinder, Form::Sphere] {
        assert!(matches!(
            follow(&case(form), &ROUGH),
            Err(Fault::Impossible { .. })
        ));
    }
    let can = case(Form::Can { height_m: 0.1 });
    for cells in [0, 3, 81, usize::MAX] {
        let fault = follow(&can, &Accuracy { cells, ..ROUGH });
        assert!(matches!(fault, Err(Fault::OutOfRange { .. })), "{cells}");
    }
    for step_k in [0.0, -1.0, f64::NAN] {
        let fault = follow(&can, &Accuracy { step_k, ..ROUGH });
        assert!(matches!(fault, Err(Fault::NotPositive { .. })));
    }
    let mut held = case(Form::Can { height_m: 0.1 });
    held.programme =
        Programme::new(vec![Stage::around(60.0, Face::Held(Ramp::hold(300.0)))]).unwrap();
    held.chamber = Some(chamber(100.0, 0.0));
    assert!(matches!(
        follow(&held, &ROUGH),
        Err(Fault::Impossible { .. })
    ));
}
