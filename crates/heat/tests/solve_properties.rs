//! What holds for any piece in any programme: heat is kept, no temperature lies beyond its causes, a thicker piece is
//! never faster, half a slab is half of the whole.

#![allow(clippy::unwrap_used, clippy::print_stdout)]

use heat::body::{Body, Form, Layer};
use heat::material::{Material, Phase, Point};
use heat::programme::{Face, Programme, Ramp, Stage};
use heat::run::{Accuracy, Case, History};
use heat::trace::Trace;
use proptest::prelude::*;

fn plain() -> impl Strategy<Value = Material> {
    (100.0..8_000.0f64, 400.0..4_000.0f64, -2.0..2.3f64).prop_map(|(density, capacity, power)| {
        Material::constant(
            density,
            Phase {
                heat_capacity_j_kg_k: capacity,
                conductivity_w_m_k: libm::pow(10.0, power),
            },
        )
        .unwrap()
    })
}

fn melting() -> impl Strategy<Value = Material> {
    (260.0..340.0f64, 1e4..4e5f64, 0.1..3.0f64, 0.1..3.0f64).prop_map(|(at, latent, ks, kl)| {
        let phase = |c, k| Phase {
            heat_capacity_j_kg_k: c,
            conductivity_w_m_k: k,
        };
        Material::melting(1_000.0, phase(2_000.0, ks), phase(4_000.0, kl), at, latent).unwrap()
    })
}

/// Freezes over some degrees, most of it at once.
fn food() -> impl Strategy<Value = Material> {
    (265.0..273.0f64, 5e4..3e5f64).prop_map(|(start, latent)| {
        let points = [
            (200.0, 0.0, 1.6),
            (start - 20.0, 2_000.0 * (start - 220.0), 1.5),
            (start - 5.0, 2_000.0 * (start - 205.0) + 0.2 * latent, 1.2),
            (start, 2_000.0 * (start - 200.0) + latent, 0.5),
            (
                start + 60.0,
                2_000.0 * (start - 200.0) + latent + 210_000.0,
                0.55,
            ),
        ];
        let point = |(temperature_k, enthalpy_j_kg, conductivity_w_m_k)| Point {
            temperature_k,
            enthalpy_j_kg,
            conductivity_w_m_k,
        };
        Material::new(1_050.0, points.map(point).to_vec()).unwrap()
    })
}

fn body() -> impl Strategy<Value = Body> {
    let material = prop_oneof![2 => plain(), 1 => melting(), 1 => food()];
    let layer =
        (0.0005..0.05f64, material).prop_map(|(thick_m, material)| Layer { thick_m, material });
    let form = prop_oneof![
        2 => Just(Form::Slab),
        1 => Just(Form::Cylinder),
        1 => Just(Form::Sphere)
    ];
    (form, prop::collection::vec(layer, 1..4))
        .prop_map(|(form, layers)| Body::new(form, layers).unwrap())
}

fn ramp() -> impl Strategy<Value = Ramp> {
    let hold = (230.0..500.0f64).prop_map(Ramp::hold);
    let goes = (230.0..500.0f64, 230.0..500.0f64).prop_map(|(from_k, to_k)| Ramp { from_k, to_k });
    prop_oneof![hold, goes]
}

fn face() -> impl Strategy<Value = Face> {
    let open =
        (ramp(), ramp(), 0.0..3.5f64, 0.0..1.0f64).prop_map(|(air, walls, power, e)| Face::Open {
            air,
            walls,
            coefficient_w_m2_k: libm::pow(10.0, power),
            emissivity: if e < 0.5 { 0.0 } else { e },
        });
    prop_oneof![1 => Just(Face::Insulated), 1 => ramp().prop_map(Face::Held), 3 => open]
}

fn stages() -> impl Strategy<Value = Vec<Stage>> {
    let stage = (1.0..4.0f64, face(), face()).prop_map(|(power, first, last)| Stage {
        lasts_s: libm::pow(10.0, power),
        first,
        last,
    });
    prop::collection::vec(stage, 1..4)
}

fn any_case() -> impl Strategy<Value = Case> {
    (body(), 240.0..420.0f64, stages()).prop_map(|(body, from_k, stages)| Case {
        body,
        from_k,
        programme: Programme::new(stages).unwrap(),
        chamber: None,
    })
}

/// Lowest and highest of all that can act on the piece.
fn causes(case: &Case) -> (f64, f64) {
    let mut found = vec![case.from_k];
    for stage in case.programme.stages() {
        let faces = if case.body.form() == Form::Slab {
            vec![stage.first, stage.last]
        } else {
            vec![stage.last]
        };
        for face in faces {
            let ramps = match face {
                Face::Insulated => vec![],
                Face::Held(ramp) => vec![ramp],
                Face::Open {
                    air,
                    walls,
                    emissivity,
                    ..
                } if emissivity > 0.0 => vec![air, walls],
                Face::Open { air, .. } => vec![air],
            };
            found.extend(ramps.iter().flat_map(|r| [r.from_k, r.to_k]));
        }
    }
    let low = found.iter().copied().fold(f64::INFINITY, f64::min);
    (low, found.iter().copied().fold(0.0, f64::max))
}

fn temperatures(history: &History) -> [&Trace; 4] {
    [
        &history.first,
        &history.middle,
        &history.last,
        &history.mean,
    ]
}

/// When a trace has gone a share of the way from its start to a level.
fn gone(trace: &Trace, to: f64, share: f64) -> Option<f64> {
    let from = trace.samples().first()?.value;
    let wanted = from + share * (to - from);
    let passed = trace
        .samples()
        .iter()
        .position(|s| (s.value - wanted) * (to - from) >= 0.0)?;
    let (mut low, mut high) = (
        trace.samples()[passed.saturating_sub(1)].time_s,
        trace.samples()[passed].time_s,
    );
    for _ in 0..50 {
        let mid = 0.5 * (low + high);
        if (trace.at(mid)? - wanted) * (to - from) >= 0.0 {
            high = mid;
        } else {
            low = mid;
        }
    }
    Some(high)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(192) })]

    /// The books explain the heat to 1e-8 of what passed (rounding leaves some 1e-13), and no temperature leaves the
    /// range of its causes by more than the error allowed in a step; looked at on the coarse grid, whose samples
    /// are as they were computed.
    #[test]
    fn heat_is_kept_and_temperatures_have_causes(case in any_case()) {
        let accuracy = Accuracy::default();
        let run = heat::solve::follow(&case, &accuracy).unwrap();
        prop_assert!(run.unexplained < 1e-8, "{}", run.unexplained);
        let (low, high) = causes(&case);
        for trace in temperatures(&run.coarse).into_iter().chain(temperatures(&run.history)) {
            for sample in trace.samples() {
                prop_assert!(sample.value > low - accuracy.step_k - 1e-9);
                prop_assert!(sample.value < high + accuracy.step_k + 1e-9);
            }
        }
        prop_assert!(run.error_k.is_finite());
    }

    /// Of the same stuff in the same air, the middle of the thicker piece is never ahead (by more than the errors).
    #[test]
    fn a_thicker_piece_is_never_faster(
        material in prop_oneof![plain(), food()],
        form in prop_oneof![Just(Form::Slab), Just(Form::Cylinder), Just(Form::Sphere)],
        thick_m in 0.001..0.1f64,
        more in 1.0..1.5f64,
        air_k in 230.0..260.0f64,
        coefficient in 5.0..500.0f64,
    ) {
        let cool = |thick_m: f64| {
            let layers = vec![Layer { thick_m, material: material.clone() }];
            let case = Case {
                body: Body::new(form, layers).unwrap(),
                from_k: 290.0,
                programme: Programme::new(vec![Stage::around(20_000.0, Face::air(air_k, coefficient))]).unwrap(),
                chamber: None,
            };
            heat::solve::follow(&case, &Accuracy::default()).unwrap()
        };
        let (thin, thick) = (cool(thick_m), cool(more * thick_m));
        for share in [0.3, 0.6, 0.9] {
            let time = |history: &History| gone(&history.middle, air_k, share);
            if let (Some(a), Some(b)) = (thin.estimate(time), thick.estimate(time)) {
                prop_assert!(a.value <= b.value + a.error + b.error + 1e-4 * b.value, "{a:?} and {b:?}");
            }
        }
    }

    /// A slab that is the same from both sides is cut in half; told so that this is not seen (walls that do not
    /// radiate differ), it goes the same way.
    #[test]
    fn half_a_slab_is_half_of_the_whole(
        outer in plain(),
        core in prop_oneof![plain(), food()],
        thick in (0.001..0.01f64, 0.002..0.04f64),
        air_k in 230.0..450.0f64,
        coefficient in 5.0..500.0f64,
    ) {
        let layer = |thick_m, material: &Material| Layer { thick_m, material: material.clone() };
        let layers = vec![layer(thick.0, &outer), layer(thick.1, &core), layer(thick.0, &outer)];
        let open = |walls_k: f64| Face::Open {
            air: Ramp::hold(air_k),
            walls: Ramp::hold(walls_k),
            coefficient_w_m2_k: coefficient,
            emissivity: 0.0,
        };
        let go = |other_k: f64| {
            let case = Case {
                body: Body::new(Form::Slab, layers.clone()).unwrap(),
                from_k: 285.0,
                programme: Programme::new(vec![Stage { lasts_s: 3_000.0, first: open(300.0), last: open(other_k) }]).unwrap(),
                chamber: None,
            };
            heat::solve::follow(&case, &Accuracy::default()).unwrap()
        };
        let (half, whole) = (go(300.0), go(310.0));
        prop_assert_eq!(half.profiles[0].temperatures.len(), whole.profiles[0].temperatures.len());
        for (a, b) in temperatures(&half.history).into_iter().zip(temperatures(&whole.history)) {
            for t in [30.0, 300.0, 3_000.0] {
                let (a, b) = (a.at(t).unwrap(), b.at(t).unwrap());
                prop_assert!((a - b).abs() < 1e-3, "{a} and {b} at {t}");
            }
        }
        let heat = |run: &heat::run::Run| run.history.heat.at(3_000.0).unwrap();
        prop_assert!((heat(&half) - heat(&whole)).abs() < 1e-4 * heat(&whole).abs() + 1.0);
    }
}
