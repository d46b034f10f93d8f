//! Invented ovens, cures, freezers and probes.

use picture::{
    Axis, DwellEdge, HeatHistory, HeatLimit, HeatLine, HeatLineKind, HeatNeed, HeatStage,
    LimitSide, LoadPullDown, LossCurve, LossPiece, LossReached, NeedKind, ProbeJudgement, ProbeRow,
    ProfileCurve, ProfileCurves, ProfileLevel, ProfilePiece, PullDownLoad, WindowMap, WindowRow,
    WindowSetting,
};

/// A value at every step from nothing to an end.
fn sampled(end: f64, count: u32, value: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    (0..=count)
        .map(|at| f64::from(at) / f64::from(count) * end)
        .map(|x| (x, value(x)))
        .collect()
}

/// Air of a powder oven: a ramp, a hold, cooling.
fn oven_air(t: f64) -> f64 {
    match t {
        t if t < 3.0 => 25.0 + 55.0 * t,
        t if t < 18.0 => 190.0,
        t => 60.0 + 130.0 * (-(t - 18.0) / 0.8).exp(),
    }
}

/// A piece that follows the air with a lag.
fn lagging(lag: f64) -> impl Fn(f64) -> f64 {
    move |t| {
        let steps = 400;
        let dt = t / f64::from(steps);
        (0..steps).fold(25.0, |value, at| {
            value + (oven_air((f64::from(at) + 0.5) * dt) - value) * (1.0 - (-dt / lag).exp())
        })
    }
}

fn line(kind: HeatLineKind, name: &str, points: Vec<(f64, f64)>) -> HeatLine {
    HeatLine {
        kind,
        name: name.into(),
        points,
    }
}

fn need(kind: NeedKind, name: &str, at: Option<f64>) -> HeatNeed {
    HeatNeed {
        kind,
        name: name.into(),
        at,
    }
}

fn stage(from: f64, to: f64, name: &str) -> HeatStage {
    HeatStage {
        span: (from, to),
        name: name.into(),
    }
}

/// A cure with time to spare.
pub(crate) fn cure() -> HeatHistory {
    use HeatLineKind::{Air, FastestCore, FastestSurface, SlowestCore, SlowestSurface};
    HeatHistory {
        time: Axis::new("time in the oven", "min"),
        temperature: Axis::new("temperature", "°C"),
        lines: vec![
            line(Air, "air, as set", sampled(22.0, 300, oven_air)),
            line(
                SlowestCore,
                "6 mm bracket, core",
                sampled(22.0, 300, lagging(3.6)),
            ),
            line(
                SlowestSurface,
                "6 mm bracket, surface",
                sampled(22.0, 300, lagging(2.9)),
            ),
            line(
                FastestCore,
                "1 mm panel, core",
                sampled(22.0, 300, lagging(0.8)),
            ),
            line(
                FastestSurface,
                "1 mm panel, surface",
                sampled(22.0, 300, lagging(0.7)),
            ),
        ],
        stages: vec![
            stage(0.0, 3.0, "ramp"),
            stage(3.0, 18.0, "hold 190 °C"),
            stage(18.0, 22.0, "cool in air"),
        ],
        limits: vec![
            HeatLimit {
                value: 160.0,
                side: LimitSide::AtLeast,
                label: "160 °C to start the cure".into(),
            },
            HeatLimit {
                value: 205.0,
                side: LimitSide::AtMost,
                label: "205 °C (powder yellows)".into(),
            },
        ],
        needs: vec![
            need(NeedKind::Enough, "Full cure, slowest piece", Some(14.06)),
            need(NeedKind::NotTooMuch, "Overcure, fastest piece", Some(20.6)),
        ],
        stated_end: Some(18.0),
        stated_label: "stated 18 min".into(),
    }
}

/// Probes of a smoke-house load, one of them low, with more samples than pixels.
pub(crate) fn logged() -> HeatHistory {
    use HeatLineKind::{Air, OddProbe, Probe, SlowestCore};
    let noise = |at: f64, seed: f64| (at * 61.7 + seed * 17.0).sin() * (at * 23.1 + seed).cos();
    let core =
        |lag: f64, level: f64| move |t: f64| 8.0 + (level - 8.0) * (1.0 - (-t / lag).exp()).powi(2);
    let probe = |lag, level, seed| {
        sampled(240.0, 20_000, move |t| {
            core(lag, level)(t) + 0.7 * noise(t, seed)
        })
    };
    let mut lines = vec![
        line(
            Air,
            "chamber air",
            sampled(240.0, 20_000, |t| {
                78.0 - 14.0 * (-t / 12.0).exp() + 1.5 * noise(t, 9.0)
            }),
        ),
        line(
            SlowestCore,
            "computed core",
            sampled(240.0, 400, core(52.0, 76.5)),
        ),
        line(OddProbe, "probe 4, 6 °C low", probe(60.0, 70.0, 4.0)),
    ];
    for seed in [1.0, 2.0, 3.0, 5.0, 6.0] {
        lines.push(line(Probe, "probe", probe(47.0 + seed, 76.0, seed)));
    }
    HeatHistory {
        time: Axis::clock("time of day", 21.5),
        temperature: Axis::new("temperature", "°C"),
        lines: lines
            .into_iter()
            .map(|mut line| {
                line.points.iter_mut().for_each(|point| point.0 /= 60.0);
                line
            })
            .collect(),
        stages: vec![
            stage(0.0, 0.4, "load in"),
            stage(0.4, 1.5, "dry"),
            stage(1.5, 3.2, "smoke"),
            stage(3.2, 4.0, "cook"),
        ],
        limits: vec![HeatLimit {
            value: 68.0,
            side: LimitSide::AtLeast,
            label: "68 °C in the core".into(),
        }],
        needs: vec![
            need(NeedKind::Enough, "10 min at 68 °C, computed", Some(3.05)),
            need(NeedKind::Enough, "10 min at 68 °C, probe 4", Some(4.7)),
            need(NeedKind::Enough, "70 °C, probe 4", None),
        ],
        stated_end: Some(4.0),
        stated_label: "stated end 01:30".into(),
    }
}

/// A window with a good middle, pieces too unlike at high temperature, and a setting near an edge.
pub(crate) fn window() -> WindowMap {
    let row = |level: f64| {
        let enough = 5.5 + 95.0 / (level - 163.0);
        let safe = 4.0 + 11.5 * (-(level - 195.0) / 11.0).exp();
        WindowRow {
            level,
            enough: if level < 164.5 {
                DwellEdge::Never
            } else {
                DwellEdge::At(enough)
            },
            safe: if level < 172.0 {
                DwellEdge::Never
            } else {
                DwellEdge::At(safe)
            },
        }
    };
    WindowMap {
        dwell: Axis::new("dwell in the oven", "min"),
        level: Axis::new("air temperature", "°C"),
        rows: (0..=40)
            .map(|at| row(160.0 + f64::from(at) * 1.5))
            .collect(),
        enough_label: "slowest piece has enough".into(),
        safe_label: "fastest piece at its limit".into(),
        stated: Some(WindowSetting {
            name: "18 min at 188 °C".into(),
            dwell: 18.0,
            level: 188.0,
            dwell_limits: Some((16.5, 19.5)),
            level_limits: Some((183.0, 193.0)),
        }),
    }
}

/// Line speed upwards, one row not worked out.
pub(crate) fn line_speed() -> WindowMap {
    let row = |level: f64| WindowRow {
        level,
        enough: if (2.2..2.5).contains(&level) {
            DwellEdge::Unknown
        } else {
            DwellEdge::At(12.0 + level * 1.2)
        },
        safe: DwellEdge::At(26.0 - 4.5 * level),
    };
    WindowMap {
        dwell: Axis::new("dwell", "min"),
        level: Axis::new("line speed", "m/min"),
        rows: (0..=24).map(|at| row(0.6 + f64::from(at) * 0.15)).collect(),
        enough_label: "enough".into(),
        safe_label: "safe up to here".into(),
        stated: Some(WindowSetting {
            name: "stated".into(),
            dwell: 16.0,
            level: 1.5,
            dwell_limits: None,
            level_limits: Some((1.4, 1.6)),
        }),
    }
}

/// Salt across a thin and a thick piece.
pub(crate) fn salt() -> ProfileCurves {
    let piece = |name: &str, thick: f64| ProfilePiece {
        name: name.into(),
        curves: [
            ("6 h", 6.0),
            ("24 h", 24.0),
            ("3 d", 72.0),
            ("7 d, equalised", 168.0),
        ]
        .map(|(time, hours): (&str, f64)| {
            let reach = (hours * 2.1).sqrt();
            let level = 8.4 / (1.0 + hours / 50.0).min(3.0) * 30.0 / (18.0 + thick * 0.4);
            let value = move |x: f64| {
                level * ((-x / reach).exp() + (-(thick - x) / reach).exp())
                    / (1.0 + (-thick / reach).exp())
            };
            ProfileCurve {
                time: time.into(),
                points: sampled(thick, 80, value),
            }
        })
        .to_vec(),
    };
    ProfileCurves {
        depth: Axis::new("depth from the skin", "mm"),
        value: Axis::new("salt in the water", "%"),
        pieces: vec![
            piece("thinnest, 22 mm", 22.0),
            piece("thickest, 45 mm", 45.0),
        ],
        levels: vec![ProfileLevel {
            value: 3.5,
            side: LimitSide::AtLeast,
            label: "3.5 %".into(),
        }],
    }
}

/// A blast freezer at five loads.
pub(crate) fn freezer() -> LoadPullDown {
    let load = |amount: f64| {
        let slow = amount / 420.0;
        let core = move |t: f64| {
            let flat = 1.6 + 3.4 * slow;
            match t {
                t if t < 1.2 => 6.0 - 6.6 * t / 1.2,
                t if t < flat => -0.6 - 1.4 * (t - 1.2) / (flat - 1.2),
                t => -2.0 - 26.0 * (1.0 - (-(t - flat) / (1.2 + slow)).exp()),
            }
        };
        let air = move |t: f64| -34.0 + (32.0 * slow).min(30.0) * (-t / (0.5 + 2.2 * slow)).exp();
        let reached = 1.6 + 3.4 * slow - (1.2 + slow) * (1.0f64 - 16.0 / 26.0).ln();
        PullDownLoad {
            name: format!("{amount} kg"),
            amount,
            air: sampled(9.0, 200, air),
            core: sampled(9.0, 200, core),
            reached: Some(reached),
        }
    };
    LoadPullDown {
        time: Axis::clock("time of day", 22.0),
        temperature: Axis::new("temperature", "°C"),
        loads: [200.0, 400.0, 550.0, 700.0, 900.0].map(load).to_vec(),
        target: -18.0,
        side: LimitSide::AtMost,
        target_label: "−18 °C in the core".into(),
        deadline: Some(8.0),
        deadline_label: "06:00".into(),
    }
}

/// Three pieces weighed every hour in a kiln.
pub(crate) fn kiln() -> LossCurve {
    let lost = |end: f64, t: f64| end * (1.0 - (-0.24 * t).exp());
    let piece = |name: &str, end: f64, off: f64| LossPiece {
        name: name.into(),
        weighed: (0..=8)
            .map(|at| {
                (
                    f64::from(at),
                    lost(end, f64::from(at)) + off * f64::from(at % 3),
                )
            })
            .collect(),
        curve: sampled(11.0, 60, move |t| lost(end, t)),
    };
    LossCurve {
        time: Axis::new("time inside", "h"),
        loss: Axis::new("lost", "%"),
        pieces: vec![
            piece("piece 1", 11.2, 0.12),
            piece("piece 2", 10.4, -0.1),
            piece("piece 3", 9.6, 0.08),
        ],
        load: sampled(11.0, 60, move |t| lost(10.4, t)),
        wanted: Some(9.0),
        wanted_label: "9 % lost".into(),
        reached: Some(LossReached {
            at: 8.34,
            low: 7.9,
            high: Some(8.9),
        }),
        stated: Some(9.0),
        stated_label: "stated 9 h".into(),
        verdict: (
            true,
            "after 8.3 h (7.9 h to 8.9 h): the stated 9 h are enough".into(),
        ),
    }
}

/// Six probes, one low, one without a reading.
pub(crate) fn probes() -> ProbeJudgement {
    let row = |name: &str, value: f64, pass: bool, reason: &str| ProbeRow {
        name: name.into(),
        value,
        pass,
        reason: reason.into(),
    };
    ProbeJudgement {
        measure: Axis::new("equivalent time at 180 °C", "min"),
        rows: vec![
            row("probe 1, top", 13.4, true, ""),
            row("probe 2, door", 11.2, true, "nearest to the least"),
            row("probe 3, middle", 14.9, true, ""),
            row("probe 4, rear low", 7.9, false, "ran 6 °C low"),
            row("probe 5, burner", 21.6, false, "1.6 min over"),
            row("probe 6", f64::NAN, false, "no reading from minute 4"),
        ],
        at_least: Some(10.0),
        at_most: Some(20.0),
        pass: false,
        reason: "probe 4 ran 6 °C low, probe 5 is over, probe 6 gave no reading".into(),
    }
}

/// One that passes, with a least only.
pub(crate) fn passing() -> ProbeJudgement {
    let row = |name: &str, value: f64| ProbeRow {
        name: name.into(),
        value,
        pass: true,
        reason: String::new(),
    };
    ProbeJudgement {
        measure: Axis::new("lethality, z = 10 °C at 70 °C", "min"),
        rows: vec![row("core 1", 3.1), row("core 2", 2.6), row("core 3", 4.8)],
        at_least: Some(2.0),
        at_most: None,
        pass: true,
        reason: "screening estimate; a competent person decides".into(),
    }
}
