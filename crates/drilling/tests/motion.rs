//! Moves, drilling cycles and cutting speeds against closed forms and worked examples.

use drilling::motion::{
    Axis, Breakdown, Cycle, Feed, MotionError, Peck, Retreat, drilling_torque_nm, estimate,
    feed_speed_m_s, removal_rate_m3_s, spindle_rev_s,
};
use drilling::tour::{AxisTime, Metric};
use proptest::prelude::*;

fn near(found: f64, expected: f64) {
    let close = (found - expected).abs() <= 1e-9 * expected.abs().max(1.0);
    assert!(close, "{found} is not {expected}");
}

/// 1 m/s, 4 m/s².
fn axis() -> Axis {
    Axis::new(1.0, 4.0).expect("above zero")
}

#[test]
fn a_move_speeds_up_runs_and_slows_down() {
    // Top speed takes 1/4 s and 1/8 m each way. 1 m: 1/4 + (1 − 1/4)/1 + 1/4 = 1.25 s.
    near(axis().move_s(1.0), 1.25);
    // Exactly to top speed and back: 1/4 m in 1/2 s, by either formula.
    near(axis().move_s(0.25), 0.5);
    // Half way 1/32 m at 4 m/s²: √(2/32/4) = 1/8 s, and as long to slow down.
    near(axis().move_s(0.0625), 0.25);
    near(axis().move_s(-1.0), 1.25);
    assert_eq!(axis().move_s(0.0), 0.0);
}

#[test]
fn a_limit_on_jerk_makes_four_kinds_of_move() {
    // 40 m/s³: full acceleration after 4/40 = 0.1 s, so a ramp to 1 m/s takes 0.1 + 1/4 = 0.35 s.
    let axis = axis().with_jerk(40.0).expect("above zero");
    // Top speed: 1 m in 1/1 + 0.35 s.
    near(axis.move_s(1.0), 1.35);
    // Just reached at 1 m/s × 0.35 s = 0.35 m: two ramps.
    near(axis.move_s(0.35), 0.7);
    // Full acceleration just reached with ramps of 2 × 0.1 s to 4 × 0.1 = 0.4 m/s: 0.4 × 0.2 = 0.08 m in 0.4 s.
    near(axis.move_s(0.08), 0.4);
    // Between: a ramp of 0.3 s peaks at 4 × (0.3 − 0.1) = 0.8 m/s: 0.24 m in 0.6 s.
    near(axis.move_s(0.24), 0.6);
    // Below: four stretches of 0.05 s, 2 × 40 × 0.05³ = 0.01 m.
    near(axis.move_s(0.01), 0.2);
    // 10 m/s³ never gets to 4 m/s² below 1 m/s: ramp 2·√(1/10).
    let soft = self::axis().with_jerk(10.0).expect("above zero");
    near(soft.move_s(2.0), 2.0 + 2.0 * 0.1_f64.sqrt());
}

#[test]
fn the_slower_axis_decides() {
    let slow = Axis::new(0.5, 4.0).expect("above zero");
    let axes = AxisTime { x: axis(), y: slow };
    // x: 1.25 s for 1 m; y: 0.5 m at 0.5 m/s = 1 + 1/8 s.
    near(axes.between([0.0, 0.0], [1.0, 0.5]), 1.25);
    near(axes.between([0.0, 0.0], [0.1, 0.5]), 1.125);
}

fn cycle(peck: Option<Peck>) -> Cycle {
    Cycle {
        clear_m: 0.005,
        feed: Feed::PerTurn {
            m_rev: 0.0002,
            rev_s: 50.0,
        },
        peck,
        dwell_s: 0.25,
    }
}

#[test]
fn one_go_feeds_from_the_clear_plane_and_comes_back_rapidly() {
    // 0.2 mm × 50 turns = 10 mm/s. 5 + 45 mm: 5 s. Back 50 mm: 2·√(0.05/4) s.
    let time = cycle(None).stroke(0.045, &axis()).expect("a good cycle");
    near(time.feed_s, 5.0);
    near(time.retract_s, 2.0 * (0.05_f64 / 4.0).sqrt());
    near(time.dwell_s, 0.25);
    assert_eq!((time.plunge_s, time.pecks), (0.0, 1));
}

#[test]
fn pecks_come_out_and_go_back_to_just_above_the_bottom() {
    let peck = Peck {
        depth_m: 0.02,
        retreat: Retreat::Full { gap_m: 0.001 },
    };
    // 45 mm in steps of 20: three. Fed 50 mm and 1 mm twice more: 5.2 s.
    let time = cycle(Some(peck))
        .stroke(0.045, &axis())
        .expect("a good cycle");
    assert_eq!(time.pecks, 3);
    near(time.feed_s, 5.2);
    // Out from 20, 40 and 45 mm, 5 mm above each; back down 1 mm less than the first two.
    let rapid = |mm: f64| 2.0 * (mm / 1000.0 / 4.0).sqrt();
    near(time.retract_s, rapid(25.0) + rapid(45.0) + rapid(50.0));
    near(time.plunge_s, rapid(24.0) + rapid(44.0));
}

#[test]
fn breaking_the_chip_backs_off_a_little_and_feeds_that_again() {
    let peck = Peck {
        depth_m: 0.015,
        retreat: Retreat::ChipBreak { by_m: 0.002 },
    };
    // 45 mm in steps of 15 is exactly three. Fed 50 mm and 2 mm twice more: 5.4 s.
    let time = cycle(Some(peck))
        .stroke(0.045, &axis())
        .expect("a good cycle");
    assert_eq!(time.pecks, 3);
    near(time.feed_s, 5.4);
    let rapid = |mm: f64| 2.0 * (mm / 1000.0 / 4.0).sqrt();
    near(time.retract_s, 2.0 * rapid(2.0) + rapid(50.0));
    assert_eq!(time.plunge_s, 0.0);
}

#[test]
fn numbers_that_make_no_sense_are_refused() {
    assert!(matches!(
        Axis::new(0.0, 1.0),
        Err(MotionError::NotPositive { .. })
    ));
    assert!(matches!(
        Axis::new(1.0, f64::NAN),
        Err(MotionError::NotPositive { .. })
    ));
    assert!(matches!(
        axis().with_jerk(-1.0),
        Err(MotionError::NotPositive { .. })
    ));
    assert!(cycle(None).stroke(f64::INFINITY, &axis()).is_err());
    let peck = Peck {
        depth_m: 1e-9,
        retreat: Retreat::Full { gap_m: 0.0 },
    };
    let refused = cycle(Some(peck)).stroke(0.045, &axis());
    assert!(matches!(refused, Err(MotionError::TooManyPecks { .. })));
}

#[test]
fn a_gang_takes_as_many_strokes_as_holes_by_heads_rounded_up() {
    // TRADE 1.3: 50 holes under 4 heads are ⌈50/4⌉ = 13 strokes.
    let stroke = cycle(None).stroke(0.045, &axis()).expect("a good cycle");
    let time = estimate(50, 4, 0.5, &stroke, 12.0);
    near(time.travel_s, 6.5);
    near(time.feed_s, 13.0 * 5.0);
    near(time.total_s(), 12.0 + 13.0 * (0.5 + stroke.total_s()));
    near(time.per_part(2).total_s(), time.total_s() / 2.0);
    assert_eq!(estimate(0, 4, 0.5, &stroke, 0.0), Breakdown::default());
}

/// MA-07 (read: Sharma, example 4.14): drill 12.7 mm, 50 mm deep, 75 m/min, 0.175 mm/rev, approach 2 × 0.29 D: 0.17438 min.
#[test]
fn time_of_one_hole() {
    let rev_s = spindle_rev_s(75.0 / 60.0, 0.0127);
    let cycle = Cycle {
        clear_m: 2.0 * 0.29 * 0.0127,
        feed: Feed::PerTurn {
            m_rev: 0.175e-3,
            rev_s,
        },
        peck: None,
        dwell_s: 0.0,
    };
    let time = cycle.stroke(0.05, &axis()).expect("a good cycle");
    assert!((time.feed_s / 60.0 - 0.17438).abs() < 5e-6);
}

/// MA-08 (read: Kalpakjian & Schmid, example 22.2): 10 mm, 0.2 mm/rev, 800 rpm, 0.5 W·s/mm³: 209.44 mm³/s, 1.25 N·m.
#[test]
fn chip_volume_and_torque() {
    let rev_s = 800.0 / 60.0;
    let rate = removal_rate_m3_s(0.01, feed_speed_m_s(rev_s, 1, 0.2e-3));
    assert!((rate * 1e9 - 209.44).abs() < 5e-3);
    assert!((drilling_torque_nm(0.5e9, rate, rev_s) - 1.25).abs() < 5e-3);
}

/// MA-12 (computed): 6 mm at 200 m/min, two edges of 0.05 mm: 10 610.33 rpm, 1 061.03 mm/min.
#[test]
fn spindle_speed_and_feed() {
    let rev_s = spindle_rev_s(200.0 / 60.0, 0.006);
    assert!((rev_s * 60.0 - 10_610.33).abs() < 5e-3);
    assert!((feed_speed_m_s(rev_s, 2, 0.05e-3) * 60e3 - 1061.03).abs() < 5e-3);
}

/// How far two mirrored ramps get, by small steps: acceleration builds up at the jerk to its limit and falls again,
/// then the same downwards.
fn stepped_distance_m(ramp_s: f64, acceleration: f64, jerk: f64) -> f64 {
    let steps = 20_000;
    let dt = ramp_s / f64::from(steps);
    let (mut speed, mut way) = (0.0, 0.0);
    for sign in [1.0, -1.0] {
        for step in 0..steps {
            let t = (f64::from(step) + 0.5) * dt;
            let a = sign * (jerk * t).min(jerk * (ramp_s - t)).min(acceleration);
            way += speed * dt + a * dt * dt / 2.0;
            speed += a * dt;
        }
    }
    way
}

proptest! {
    #[test]
    fn a_ramp_of_half_the_time_covers_the_way(d in 0.001_f64..0.5, v in 0.2_f64..3.0, a in 0.5_f64..20.0, j in 5.0_f64..500.0) {
        // When top speed is not reached the move is two ramps: integrate the acceleration and get the way back.
        let axis = Axis::new(v, a).and_then(|axis| axis.with_jerk(j)).expect("above zero");
        let ramp_s = axis.move_s(d) / 2.0;
        let way = stepped_distance_m(ramp_s, a, j);
        let peak = way / ramp_s;
        if peak < v * (1.0 - 1e-6) {
            prop_assert!((way - d).abs() < 1e-5 * d, "{} {}", way, d);
        } else {
            prop_assert!(way >= d * (1.0 - 1e-5));
        }
    }

    #[test]
    fn farther_never_takes_less_and_jerk_never_helps(d in 0.0_f64..5.0, more in 0.0_f64..1.0, v in 0.1_f64..3.0, a in 0.1_f64..20.0, j in 0.1_f64..500.0) {
        let plain = Axis::new(v, a).expect("above zero");
        let soft = plain.with_jerk(j).expect("above zero");
        for axis in [plain, soft] {
            prop_assert!(axis.move_s(d + more) >= axis.move_s(d) * (1.0 - 1e-12));
            prop_assert!(axis.move_s(d) >= d / v);
        }
        prop_assert!(soft.move_s(d) >= plain.move_s(d) * (1.0 - 1e-12));
    }
}
