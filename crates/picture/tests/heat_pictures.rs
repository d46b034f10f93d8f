//! Pictures of heat: sound whatever the data, words apart, margins and regions as the numbers say.

mod common;

use common::{NASTY, assert_shapes_inside, assert_sound, assert_words_apart, words};
use picture::{
    Axis, DwellEdge, Frame, HeatHistory, HeatLimit, HeatLine, HeatLineKind, HeatNeed, HeatStage,
    LimitSide, LoadPullDown, LossCurve, LossPiece, LossReached, NeedKind, PAGE, PHONE,
    ProbeJudgement, ProbeRow, ProfileCurve, ProfileCurves, ProfileLevel, ProfilePiece,
    PullDownLoad, WindowMap, WindowRow, WindowSetting, heat_history, load_pull_down, loss_curve,
    probe_judgement, profile_curves, window_map,
};
use proptest::prelude::*;
use roxmltree::Document;

type Draw = fn(&Frame, f64, &str) -> String;

const KINDS: [HeatLineKind; 7] = [
    HeatLineKind::Air,
    HeatLineKind::SlowestCore,
    HeatLineKind::SlowestSurface,
    HeatLineKind::FastestCore,
    HeatLineKind::FastestSurface,
    HeatLineKind::Probe,
    HeatLineKind::OddProbe,
];
const SIDES: [LimitSide; 2] = [LimitSide::AtLeast, LimitSide::AtMost];

fn axis(v: f64, name: &str) -> Axis {
    Axis {
        clock_at_zero: (v < 0.0).then_some(v),
        ..Axis::new(name, name)
    }
}

fn history(v: f64, name: &str) -> HeatHistory {
    let line = |kind| HeatLine {
        kind,
        name: name.into(),
        points: vec![(0.0, 20.0), (v, 90.0), (5.0, v), (20.0, 180.0)],
    };
    let need = |kind, at| HeatNeed {
        kind,
        name: name.into(),
        at,
    };
    let stage = |span| HeatStage {
        span,
        name: name.into(),
    };
    let limit = |side| HeatLimit {
        value: v,
        side,
        label: name.into(),
    };
    HeatHistory {
        time: axis(v, name),
        temperature: axis(v, name),
        lines: KINDS.map(line).to_vec(),
        stages: [(0.0, v), (v, 9.0), (9.0, 9.1), (9.1, 20.0)]
            .map(stage)
            .to_vec(),
        limits: SIDES.map(limit).to_vec(),
        needs: vec![
            need(NeedKind::Enough, Some(v)),
            need(NeedKind::Enough, None),
            need(NeedKind::NotTooMuch, Some(v)),
            need(NeedKind::NotTooMuch, None),
        ],
        stated_end: Some(v),
        stated_label: name.into(),
    }
}

fn window(v: f64, name: &str) -> WindowMap {
    use DwellEdge::{At, Never, Unknown};
    let edges = [
        (v, At(v), At(3.0)),
        (150.0, At(22.0), Never),
        (v, Never, At(v)),
        (170.0, At(12.0), At(30.0)),
        (190.0, Unknown, At(v)),
        (200.0, At(9.0), At(v)),
        (220.0, At(8.0), At(2.0)),
    ];
    let row = |(level, enough, safe)| WindowRow {
        level,
        enough,
        safe,
    };
    WindowMap {
        dwell: axis(v, name),
        level: axis(v, name),
        rows: edges.map(row).to_vec(),
        enough_label: name.into(),
        safe_label: name.into(),
        stated: Some(WindowSetting {
            name: name.into(),
            dwell: v,
            level: 165.0,
            dwell_limits: Some((v, 14.0)),
            level_limits: Some((160.0, v)),
        }),
    }
}

fn profiles(v: f64, name: &str) -> ProfileCurves {
    let curve = |lift: f64| ProfileCurve {
        time: name.into(),
        points: vec![(0.0, 6.0 - lift), (v, v), (10.0, lift), (20.0, 6.0 - lift)],
    };
    let piece = |count: u32| ProfilePiece {
        name: name.into(),
        curves: (0..count).map(|at| curve(f64::from(at) * 0.4)).collect(),
    };
    let level = |side| ProfileLevel {
        value: v,
        side,
        label: name.into(),
    };
    ProfileCurves {
        depth: axis(v, name),
        value: axis(v, name),
        pieces: vec![piece(3), piece(0), piece(9), piece(1)],
        levels: SIDES.map(level).to_vec(),
    }
}

fn pull_down(v: f64, name: &str) -> LoadPullDown {
    let load = |amount, reached| PullDownLoad {
        name: name.into(),
        amount,
        air: vec![(0.0, v), (9.0, -34.0)],
        core: vec![(0.0, 6.0), (v, 2.0), (9.0, -24.0)],
        reached,
    };
    LoadPullDown {
        time: axis(v, name),
        temperature: axis(v, name),
        loads: vec![load(v, Some(v)), load(300.0, Some(7.0)), load(400.0, None)],
        target: v,
        side: LimitSide::AtMost,
        target_label: name.into(),
        deadline: Some(v),
        deadline_label: name.into(),
    }
}

fn loss(v: f64, name: &str) -> LossCurve {
    let piece = |lift: f64| LossPiece {
        name: name.into(),
        weighed: vec![(0.0, 0.0), (v, 4.0), (4.0, v), (9.0, 8.0 + lift)],
        curve: vec![(0.0, 0.0), (v, 5.0), (11.0, 9.0 + lift)],
    };
    LossCurve {
        time: axis(v, name),
        loss: axis(v, name),
        pieces: (0..14).map(|at| piece(f64::from(at) * 0.1)).collect(),
        load: vec![(0.0, 0.0), (5.0, v), (11.0, 9.5)],
        wanted: Some(v),
        wanted_label: name.into(),
        reached: Some(LossReached {
            at: v,
            low: v - 1.0,
            high: (v < 10.0).then_some(v + 1.0),
        }),
        stated: Some(v),
        stated_label: name.into(),
        verdict: (v < 4.0, name.into()),
    }
}

fn probes(v: f64, name: &str) -> ProbeJudgement {
    let row = |value, pass| ProbeRow {
        name: name.into(),
        value,
        pass,
        reason: name.into(),
    };
    ProbeJudgement {
        measure: axis(v, name),
        rows: vec![row(v, true), row(14.0, false), row(f64::NAN, false)],
        at_least: Some(v),
        at_most: Some(v),
        pass: v > 1.0,
        reason: name.into(),
    }
}

/// Every picture from one number and one name, so that a bad one reaches every field.
const ALL: [Draw; 6] = [
    |f, v, name| heat_history(f, &history(v, name)),
    |f, v, name| window_map(f, &window(v, name)),
    |f, v, name| profile_curves(f, &profiles(v, name)),
    |f, v, name| load_pull_down(f, &pull_down(v, name)),
    |f, v, name| loss_curve(f, &loss(v, name)),
    |f, v, name| probe_judgement(f, &probes(v, name)),
];

#[test]
fn bad_numbers_and_names_are_drawn_without_a_fault() {
    let long = "a very long name of a piece ".repeat(30);
    let numbers = [
        0.0,
        -0.0,
        1.0,
        -3.5,
        1e-300,
        1e300,
        -1e300,
        f64::NAN,
        f64::INFINITY,
        f64::NEG_INFINITY,
    ];
    for draw in ALL {
        for number in numbers {
            for name in ["", "oven", NASTY, long.as_str()] {
                for width in [360.0, 760.0, f64::NAN, -5.0] {
                    let frame = Frame::new("heat", NASTY).described(NASTY).at_width(width);
                    assert_sound(&draw(&frame, number, name), "heat");
                }
            }
        }
    }
}

#[test]
fn empty_pictures_say_that_there_is_nothing() {
    let frame = Frame::new("x", "x");
    let silent = HeatHistory {
        lines: vec![HeatLine {
            kind: HeatLineKind::Air,
            name: "air".into(),
            points: vec![(f64::NAN, 1.0), (1.0, f64::NAN)],
        }],
        stated_end: Some(4.0),
        ..HeatHistory::default()
    };
    let blank = [
        heat_history(&frame, &HeatHistory::default()),
        heat_history(&frame, &silent),
        window_map(&frame, &WindowMap::default()),
        profile_curves(&frame, &ProfileCurves::default()),
        load_pull_down(&frame, &LoadPullDown::default()),
        loss_curve(&frame, &LossCurve::default()),
        probe_judgement(&frame, &ProbeJudgement::default()),
    ];
    for svg in blank {
        assert_sound(&svg, "x");
        assert!(words(&svg).starts_with("Nothing to draw: "), "{svg}");
    }
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let frame = Frame::new("x", "x");
    for draw in ALL {
        assert_eq!(draw(&frame, 12.5, "oven"), draw(&frame, 12.5, "oven"));
    }
}

/// Good and degenerate cases: one sample, equal limits, all values the same, a single row.
fn sensible(frame: &Frame) -> Vec<String> {
    let long = "thickest bracket of the order, core";
    let one = HeatHistory {
        lines: vec![HeatLine {
            kind: HeatLineKind::SlowestCore,
            name: "core".into(),
            points: vec![(4.0, 70.0)],
        }],
        ..HeatHistory::default()
    };
    let row = WindowMap {
        rows: vec![WindowRow {
            level: 180.0,
            enough: DwellEdge::At(10.0),
            safe: DwellEdge::At(10.0),
        }],
        ..WindowMap::default()
    };
    ALL.iter()
        .flat_map(|draw| {
            [12.5, 3.0, -3.5, 160.0]
                .into_iter()
                .flat_map(|v| [draw(frame, v, "core"), draw(frame, v, long)])
        })
        .chain([
            heat_history(frame, &one),
            heat_history(frame, &cure(14.06)),
            window_map(frame, &row),
            probe_judgement(frame, &probes(0.0, "")),
        ])
        .collect()
}

#[test]
fn words_stand_apart_and_within_the_frame() {
    for width in [PHONE, PAGE, 1200.0] {
        for svg in sensible(&Frame::new("x", "x").at_width(width)) {
            assert_words_apart(&svg);
        }
    }
}

#[test]
fn shapes_stay_within_the_frame() {
    for width in [PHONE, PAGE, 1200.0] {
        for svg in sensible(&Frame::new("x", "x").at_width(width)) {
            assert_shapes_inside(&svg);
        }
    }
}

/// A cure of 18 min in which the need is met at a time.
fn cure(met: f64) -> HeatHistory {
    let rise = |t: f64| (t, 20.0 + 9.0 * t);
    HeatHistory {
        time: Axis::new("time", "min"),
        temperature: Axis::new("temperature", "°C"),
        lines: vec![HeatLine {
            kind: HeatLineKind::SlowestCore,
            name: "slowest".into(),
            points: (0..=20).map(|at| rise(f64::from(at))).collect(),
        }],
        limits: vec![HeatLimit {
            value: 160.0,
            side: LimitSide::AtLeast,
            label: "160 °C".into(),
        }],
        needs: vec![HeatNeed {
            kind: NeedKind::Enough,
            name: "cure".into(),
            at: Some(met),
        }],
        stated_end: Some(18.0),
        stated_label: "stated 18 min".into(),
        ..HeatHistory::default()
    }
}

/// 18 - 14.06 = 3.94; 20.1 - 18 = 2.1; 18.01 - 18 rounds to nothing, which would read as met.
#[test]
fn the_margin_is_told_with_its_sign() {
    let frame = Frame::new("x", "x");
    let shown = |met| words(&heat_history(&frame, &cure(met)));
    assert!(shown(14.06).contains("met at 14.1 min, 3.9 min to spare"));
    assert!(shown(20.1).contains("not met: 2.1 min short"));
    assert!(shown(18.01).contains("not met: less than 0.1 min short"));
    assert!(shown(900.0).contains("not met: 882.0 min short"));
    let shown = shown(14.06);
    assert!(shown.contains("at least 160 °C") && shown.contains("stated 18 min"));
}

/// Larger values stand higher, later ones farther right.
#[test]
fn a_rising_line_rises_on_the_page() {
    let svg = heat_history(&Frame::new("x", "x"), &cure(14.0));
    let document = Document::parse(&svg).expect("a picture is XML");
    let heavy = document
        .descendants()
        .find(|n| n.tag_name().name() == "path" && n.attribute("stroke-width") == Some("2.6"))
        .and_then(|node| node.attribute("d"))
        .expect("the slowest core is drawn");
    let places: Vec<(f64, f64)> = heavy
        .split(['M', 'L'])
        .filter(|part| !part.is_empty())
        .map(|part| {
            let (x, y) = part.split_once(' ').expect("two numbers");
            (x.parse().expect("x"), y.parse().expect("y"))
        })
        .collect();
    assert!(places.len() >= 2, "{heavy}");
    for pair in places.windows(2) {
        assert!(pair[1].0 > pair[0].0 && pair[1].1 < pair[0].1, "{pair:?}");
    }
}

/// Eight logs of 50,000 samples, one of them with a single spike that has to be seen.
#[test]
fn long_logs_are_thinned_but_keep_their_peak() {
    let log = |peak: bool| {
        let value = move |at: u32| {
            let noise = f64::from((at * 7919) % 101) / 50.0;
            if peak && at == 31_337 {
                140.0
            } else {
                70.0 + noise
            }
        };
        (0..50_000)
            .map(|at| (f64::from(at), value(at)))
            .collect::<Vec<_>>()
    };
    let line = |points| HeatLine {
        kind: HeatLineKind::Probe,
        name: "probe".into(),
        points,
    };
    let mut lines = vec![line(log(false)); 7];
    lines.push(line(log(true)));
    lines.extend(vec![line(vec![(0.0, 70.0), (5e4, 70.0)]); 50]);
    let history = HeatHistory {
        lines,
        ..HeatHistory::default()
    };
    let svg = heat_history(&Frame::new("x", "x"), &history);
    assert!(svg.len() < 500_000, "{}", svg.len());
    assert!(words(&svg).contains("18 more lines are not drawn"));
    // The peak is 70 above a floor of 70, with 6 % of air: near the top of a field 319 px high.
    let top: f64 = 20.0 + 319.2 * 0.06 / 1.12;
    let peak = format!(" {}", (top * 100.0).round() / 100.0);
    assert!(svg.contains(&peak), "no point at {peak}");
}

/// At 180: enough from 10, safe to 30. A setting of 18 ± 2 works; 11 ± 2 may be too little; at 220
/// slow pieces need 20 and fast ones bear 5, so that 12 is both too little and too much.
#[test]
fn the_setting_is_told_by_what_it_meets() {
    let rows = [(160.0, 20.0, 60.0), (200.0, 0.0, 0.0), (220.0, 20.0, 5.0)];
    let row = |(level, enough, safe)| WindowRow {
        level,
        enough: DwellEdge::At(enough),
        safe: DwellEdge::At(safe),
    };
    let shown = |dwell: f64, level: f64| {
        let map = WindowMap {
            dwell: Axis::new("dwell", "min"),
            level: Axis::new("air", "°C"),
            rows: rows.map(row).to_vec(),
            enough_label: "enough".into(),
            safe_label: "safe".into(),
            stated: Some(WindowSetting {
                name: "stated".into(),
                dwell,
                level,
                dwell_limits: Some((dwell - 2.0, dwell + 2.0)),
                level_limits: None,
            }),
        };
        words(&window_map(&Frame::new("x", "x"), &map))
    };
    let good = shown(18.0, 180.0);
    assert!(good.contains("works, all over its tolerances"), "{good}");
    assert!(
        good.contains("At 180 °C dwells from 10.0 min to 30.0 min work."),
        "{good}"
    );
    let near = shown(11.0, 180.0);
    let said = "works; within its tolerances also too little";
    assert!(near.contains(said), "{near}");
    let unlike = shown(12.0, 220.0);
    assert!(
        unlike.contains("not together, all over its tolerances"),
        "{unlike}"
    );
    assert!(unlike.contains("At 220 °C no dwell works"), "{unlike}");
}

/// 400 kg is there at 05:00, 550 kg at 06:30; the deadline is 06:00.
#[test]
fn the_largest_load_that_makes_it_is_named() {
    let load = |amount: f64, reached| PullDownLoad {
        name: format!("{amount} kg"),
        amount,
        core: vec![(0.0, 6.0), (9.0, -24.0)],
        reached: Some(reached),
        ..PullDownLoad::default()
    };
    let loads = LoadPullDown {
        time: Axis::clock("time of day", 22.0),
        loads: vec![load(550.0, 8.5), load(400.0, 7.0), load(200.0, 4.0)],
        target: -18.0,
        target_label: "−18 °C".into(),
        deadline: Some(8.0),
        deadline_label: "06:00".into(),
        ..LoadPullDown::default()
    };
    let shown = words(&load_pull_down(&Frame::new("x", "x"), &loads));
    assert!(
        shown.contains("largest load that makes it: 400 kg"),
        "{shown}"
    );
    assert!(shown.contains("at 05:00, 1 h to spare"), "{shown}");
    assert!(shown.contains("only at 06:30, 30 min late"), "{shown}");
}

/// Two pieces weighed three times each are six rings, and one more where it is reached; the stated 9 h lie right of
/// the 8 h at which 9 % are lost, and the curve rises from left to right.
#[test]
fn weighings_and_the_time_that_a_loss_takes_are_drawn() {
    let piece = |off: f64| LossPiece {
        name: "piece".into(),
        weighed: vec![(0.0, 0.0), (4.0, 5.0 + off), (8.0, 9.0 + off)],
        curve: Vec::new(),
    };
    let loss = LossCurve {
        time: Axis::new("time", "h"),
        loss: Axis::new("lost", "%"),
        pieces: vec![piece(0.2), piece(-0.2)],
        load: vec![(0.0, 0.0), (4.0, 5.0), (8.0, 9.0), (10.0, 10.0)],
        wanted: Some(9.0),
        wanted_label: "9 % lost".into(),
        reached: Some(LossReached {
            at: 8.0,
            low: 7.5,
            high: Some(8.5),
        }),
        stated: Some(9.0),
        stated_label: "stated 9 h".into(),
        verdict: (true, "after 8 h".into()),
    };
    let svg = loss_curve(&Frame::new("x", "x"), &loss);
    let document = Document::parse(&svg).expect("a picture is XML");
    let number = |node: &roxmltree::Node<'_, '_>, name: &str| -> f64 {
        let value = node.attribute(name).expect("it has a place");
        value.parse().expect("a number")
    };
    let rings: Vec<_> = document
        .descendants()
        .filter(|node| node.has_tag_name(("http://www.w3.org/2000/svg", "circle")))
        .collect();
    let small: Vec<_> = rings
        .iter()
        .filter(|n| n.attribute("r") == Some("3"))
        .collect();
    // One ring more explains the others in the key; so does one larger one, beside the one in the field.
    assert_eq!(small.len(), 7, "{svg}");
    let large: Vec<_> = rings
        .iter()
        .filter(|n| n.attribute("r") == Some("4.5"))
        .collect();
    assert_eq!(large.len(), 2, "{svg}");
    let reached = number(large[0], "cx");
    let upright = document
        .descendants()
        .filter(|n| n.tag_name().name() == "line" && n.attribute("stroke-width") == Some("1.6"))
        .map(|n| (number(&n, "x1"), number(&n, "x2")))
        .find(|(a, b)| a == b);
    let (stated, _) = upright.expect("the stated time is drawn");
    assert!(
        stated > reached + 10.0,
        "{stated} is not right of {reached}"
    );
    let shown = words(&svg);
    assert!(
        shown.contains("stated 9 h") && shown.contains("after 8 h"),
        "{shown}"
    );
    // Without an answer, nothing is said to be reached.
    let untold = LossCurve {
        reached: None,
        load: Vec::new(),
        ..loss
    };
    let shown = words(&loss_curve(&Frame::new("x", "x"), &untold));
    assert!(
        !shown.contains("reached") && !shown.contains("together"),
        "{shown}"
    );
}

/// Pass and hold differ in shape: rounds for one, squares for the other, and in words.
#[test]
fn pass_and_hold_differ_in_shape_and_words() {
    let count = |svg: &str, name: &str| {
        let document = Document::parse(svg).expect("a picture is XML");
        let all = document.descendants();
        all.filter(|node| node.tag_name().name() == name).count()
    };
    let judged = |pass| {
        let row = ProbeRow {
            name: "probe 1".into(),
            value: 12.0,
            pass,
            reason: String::new(),
        };
        let judgement = ProbeJudgement {
            rows: vec![row],
            pass,
            ..ProbeJudgement::default()
        };
        probe_judgement(&Frame::new("x", "x"), &judgement)
    };
    let (pass, hold) = (judged(true), judged(false));
    assert_eq!((count(&pass, "circle"), count(&pass, "rect")), (2, 0));
    assert_eq!((count(&hold, "circle"), count(&hold, "rect")), (0, 2));
    assert!(words(&pass).contains("pass") && words(&hold).contains("hold"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_number_and_any_name_is_drawn(number in any::<f64>(), name in "\\PC{0,40}", width in 0.0..2000.0) {
        let frame = Frame::new("p", name.as_str()).at_width(width);
        for draw in ALL {
            assert_sound(&draw(&frame, number, &name), "p");
        }
    }

    /// Works of everyday numbers: no words on words, whatever they are. Without letters much narrower
    /// than the 0.45 em that the check reckons with, which would find overlaps that no eye sees.
    #[test]
    fn words_stand_apart_for_any_works(number in 0.5..60.0, name in "[acdeghkmnopqsuvwxyz]{1,12}( [acdeghkmnopqsuvwxyz]{1,9}){0,3}", width in 320.0..1400.0) {
        let frame = Frame::new("p", "p").at_width(width);
        for draw in ALL {
            assert_words_apart(&draw(&frame, number, &name));
        }
    }
}
