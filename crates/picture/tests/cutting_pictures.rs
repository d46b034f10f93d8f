//! Pictures of cutting and drilling: sound whatever the data, words apart, shapes in the frame.

mod common;

use common::{NASTY, assert_shapes_inside, assert_sound, assert_words_apart, words};
use picture::{
    BarPattern, BarPatterns, BarPiece, BoardCut, BoardCutKind, BoardCuts, BoardMark, BoardPiece,
    DrawnBoard, DrawnHole, DrillPattern, FoldedFrame, Frame, FrameStrip, Grain, HoleSide, MarkFace,
    OutlineLoop, OutlineStep, PAGE, PHONE, PieceKind, ScaleBar, SheetCut, SheetLayout,
    SheetLayouts, SheetPiece, StripDimension, StripNotch, YieldBars, YieldMark, YieldRow,
    bar_patterns, board_cuts, drill_pattern, frame_strip, sheet_layouts, yield_bars,
};
use proptest::prelude::*;

type Draw = fn(&Frame, f64, &str) -> String;

const KINDS: [PieceKind; 4] = [
    PieceKind::Part,
    PieceKind::Kept,
    PieceKind::Waste,
    PieceKind::Trim,
];

fn scale_bar(length: f64, label: &str) -> ScaleBar {
    ScaleBar {
        length,
        label: label.into(),
    }
}

fn board(name: &str, v: f64, length: f64) -> DrawnBoard {
    let mark = |face, sound| BoardMark {
        along: (v, 400.0),
        across: (20.0, v),
        face,
        sound,
        margin: v,
        label: name.into(),
    };
    let piece = |kind| BoardPiece {
        along: (v, 900.0),
        across: (0.0, v),
        kind,
        letter: name.chars().take(2).collect(),
        label: name.into(),
    };
    let cut = |kind| BoardCut {
        kind,
        at: v,
        span: (0.0, v),
        kerf: v,
        label: name.into(),
    };
    DrawnBoard {
        name: name.into(),
        note: name.into(),
        length,
        width: 150.0,
        marks: vec![
            mark(MarkFace::Face, true),
            mark(MarkFace::Back, false),
            mark(MarkFace::Through, false),
        ],
        pieces: KINDS.into_iter().map(piece).collect(),
        cuts: vec![cut(BoardCutKind::Rip), cut(BoardCutKind::Cross)],
    }
}

/// Every picture from one number and one name, so that a bad one reaches every field.
const ALL: [Draw; 6] = [
    |f, v, name| {
        let boards = vec![board(name, v, v), board(name, v, 3000.0)];
        let scale_bar = Some(scale_bar(v, name));
        board_cuts(f, &BoardCuts { boards, scale_bar })
    },
    |f, v, name| {
        let piece = |kind| BarPiece {
            span: (v, 900.0),
            kind,
            letter: name.into(),
            label: name.into(),
        };
        let pattern = |length| BarPattern {
            stock: name.into(),
            count: 14,
            note: name.into(),
            length,
            pieces: KINDS.into_iter().map(piece).collect(),
            splices: vec![v, 500.0],
        };
        let patterns = vec![pattern(v), pattern(1000.0)];
        let scale_bar = Some(scale_bar(v, name));
        bar_patterns(
            f,
            &BarPatterns {
                patterns,
                scale_bar,
            },
        )
    },
    |f, v, name| {
        let piece = |kind| SheetPiece {
            x: (v, 900.0),
            y: (100.0, v),
            kind,
            letter: name.into(),
            label: name.into(),
            turned: true,
        };
        let cut = |stage| SheetCut {
            from: (v, 0.0),
            to: (v, 1200.0),
            kerf: v,
            stage,
        };
        let layout = |length| SheetLayout {
            stock: name.into(),
            count: 3,
            note: name.into(),
            length,
            width: 1200.0,
            grain: Some(Grain::Across),
            pieces: KINDS.into_iter().map(piece).collect(),
            cuts: vec![cut(1), cut(2)],
        };
        let layouts = vec![layout(v), layout(2400.0)];
        let scale_bar = Some(scale_bar(v, name));
        sheet_layouts(f, &SheetLayouts { layouts, scale_bar })
    },
    |f, v, name| {
        let hole = |at, diameter, side| DrawnHole {
            at,
            diameter,
            tool: 1,
            side,
            name: name.into(),
            fault: name.into(),
        };
        let arc = OutlineStep::Arc {
            to: (v, 50.0),
            radii: (v, 30.0),
            turn_deg: v,
            large: true,
            counter_clockwise: false,
        };
        let mut outline = OutlineLoop::ellipse((50.0, 50.0), (40.0, 30.0));
        outline.steps.push(arc);
        let pattern = DrillPattern {
            outline: vec![outline, OutlineLoop::polygon(&[(0.0, 0.0), (v, v)])],
            holes: vec![
                hole((v, 20.0), 8.0, HoleSide::Front),
                hole((30.0, 40.0), v, HoleSide::Back),
                hole((30.0, 60.0), 5.0, HoleSide::Through),
            ],
            tools: vec![name.into(), name.into()],
            order: vec![2, 0, 1, 99],
            start: Some((v, 0.0)),
            park: Some((0.0, v)),
            length_label: name.into(),
            width_label: name.into(),
            scale_bar: Some(scale_bar(v, name)),
        };
        drill_pattern(f, &pattern)
    },
    |f, v, name| {
        let notch = |at| StripNotch {
            at,
            opening: v,
            depth: v,
            label: name.into(),
        };
        let dimension = |span| StripDimension {
            span,
            label: name.into(),
        };
        let strip = FrameStrip {
            length: 2000.0,
            width: if v == 1.0 { v } else { 30.0 },
            length_label: name.into(),
            notches: vec![notch(v), notch(500.0), notch(510.0)],
            dimensions: vec![dimension((0.0, v)), dimension((500.0, 900.0))],
            lap: Some((v, 2000.0)),
            folded: Some(FoldedFrame {
                corners: vec![(0.0, 0.0), (v, 0.0), (600.0, 400.0), (0.0, 400.0)],
                side_labels: vec![name.into(); 6],
                joint: Some((v, 0.0)),
                note: name.into(),
            }),
        };
        frame_strip(f, &strip)
    },
    |f, v, name| {
        let mark = |share| YieldMark {
            share,
            label: name.into(),
        };
        let row = |plan| YieldRow {
            name: name.into(),
            note: name.into(),
            plan: mark(plan),
            simple: Some(mark(v)),
            bound: Some(mark(v)),
        };
        let rows = vec![row(v), row(0.7)];
        yield_bars(f, &YieldBars { rows })
    },
];

#[test]
fn bad_numbers_and_names_are_drawn_without_a_fault() {
    let long = "a very long name of a board ".repeat(30);
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
            for name in ["", "rail", NASTY, long.as_str()] {
                for width in [360.0, 760.0, f64::NAN, -5.0] {
                    let frame = Frame::new("cut", NASTY).described(NASTY).at_width(width);
                    assert_sound(&draw(&frame, number, name), "cut");
                }
            }
        }
    }
}

#[test]
fn empty_pictures_say_that_there_is_nothing() {
    let frame = Frame::new("x", "x");
    let blank = [
        board_cuts(&frame, &BoardCuts::default()),
        bar_patterns(&frame, &BarPatterns::default()),
        sheet_layouts(&frame, &SheetLayouts::default()),
        drill_pattern(&frame, &DrillPattern::default()),
        frame_strip(&frame, &FrameStrip::default()),
        yield_bars(&frame, &YieldBars::default()),
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
        assert_eq!(draw(&frame, 250.5, "rail"), draw(&frame, 250.5, "rail"));
    }
}

/// What cannot all be drawn is bounded in bytes, and the picture says what it left out.
#[test]
fn huge_input_is_bounded_and_said_so() {
    let frame = Frame::new("x", "x");
    let boards = vec![board("rail", 300.0, 3000.0); 5000];
    let svg = board_cuts(
        &frame,
        &BoardCuts {
            boards,
            scale_bar: None,
        },
    );
    assert!(words(&svg).contains("4,960 more boards are not drawn"));
    assert!(svg.len() < 600_000, "{}", svg.len());

    let pieces = (0..100_000).map(|at| BarPiece {
        span: (f64::from(at) * 10.0, f64::from(at) * 10.0 + 9.0),
        kind: PieceKind::Part,
        letter: "A".into(),
        label: "tape".into(),
    });
    let reel = BarPattern {
        length: 1e6,
        count: 1,
        pieces: pieces.collect(),
        ..BarPattern::default()
    };
    let bars = BarPatterns {
        patterns: vec![reel; 100],
        scale_bar: None,
    };
    let svg = bar_patterns(&frame, &bars);
    let shown = words(&svg);
    assert!(shown.contains("40 more patterns are not drawn"), "{shown}");
    assert!(shown.contains("A \u{d7} 100,000"), "{shown}");
    assert!(svg.len() < 200_000, "{}", svg.len());

    let hole = |at: u32| DrawnHole {
        at: (f64::from(at % 300) * 10.0, f64::from(at / 300) * 10.0),
        diameter: 4.0,
        tool: 0,
        side: HoleSide::Front,
        name: String::new(),
        fault: "too near".into(),
    };
    let pattern = DrillPattern {
        holes: (0..10_000).map(hole).collect(),
        order: (0..10_000).collect(),
        ..DrillPattern::default()
    };
    let svg = drill_pattern(&frame, &pattern);
    let shown = words(&svg);
    assert!(shown.contains("6,000 more holes are not drawn"), "{shown}");
    assert!(shown.contains("more faults"), "{shown}");
    assert!(svg.len() < 1_500_000, "{}", svg.len());
}

/// A good case of each picture as a works would give it.
fn sensible(frame: &Frame) -> Vec<String> {
    ALL.iter()
        .flat_map(|draw| [draw(frame, 320.0, "rail 420"), draw(frame, 0.62, "A")])
        .chain([drilled(frame, 12), drilled(frame, 200), dense_board(frame)])
        .collect()
}

fn drilled(frame: &Frame, count: u32) -> String {
    let hole = |at: u32| DrawnHole {
        at: (
            20.0 + f64::from(at % 12) * 14.0,
            20.0 + f64::from(at / 12) * 14.0,
        ),
        diameter: 8.0,
        tool: at as usize % 3,
        side: HoleSide::Through,
        name: format!("hole {}", at + 1),
        fault: if at % 7 == 3 {
            "web 2 mm, 4 mm needed".into()
        } else {
            String::new()
        },
    };
    let corners = [(0.0, 0.0), (200.0, 0.0), (200.0, 300.0), (0.0, 300.0)];
    let pattern = DrillPattern {
        outline: vec![OutlineLoop::polygon(&corners)],
        holes: (0..count).map(hole).collect(),
        order: (0..count as usize).collect(),
        start: Some((-10.0, -10.0)),
        park: Some((210.0, 310.0)),
        length_label: "200 mm".into(),
        width_label: "300 mm".into(),
        tools: vec!["T1, 8 mm".into(), "T2, 8 mm".into(), "T3, 8 mm".into()],
        scale_bar: Some(scale_bar(50.0, "50 mm")),
    };
    drill_pattern(frame, &pattern)
}

/// Cuts and marks every 30 mm, more than there is room to name.
fn dense_board(frame: &Frame) -> String {
    let mark = |at: f64| BoardMark {
        along: (at + 4.0, at + 12.0),
        across: (30.0, 60.0),
        face: MarkFace::Through,
        sound: false,
        margin: 5.0,
        label: "knot".into(),
    };
    let cut = |at: f64| BoardCut {
        kind: BoardCutKind::Cross,
        at,
        span: (0.0, 150.0),
        kerf: 4.0,
        label: format!("{at}"),
    };
    let at = || (1..100).map(|step| f64::from(step) * 30.0);
    let board = DrawnBoard {
        name: "board 1".into(),
        length: 3000.0,
        width: 150.0,
        marks: at().map(mark).collect(),
        cuts: at().map(cut).collect(),
        ..DrawnBoard::default()
    };
    let cuts = BoardCuts {
        boards: vec![board],
        scale_bar: None,
    };
    board_cuts(frame, &cuts)
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

/// 3 m × 150 mm on 340 px would be 17 px high: the board goes on in a second row, and says so.
#[test]
fn a_long_board_breaks_on_a_phone() {
    let draw = |width| {
        let boards = vec![DrawnBoard {
            length: 3000.0,
            width: 150.0,
            ..DrawnBoard::default()
        }];
        board_cuts(
            &Frame::new("x", "x").at_width(width),
            &BoardCuts {
                boards,
                scale_bar: None,
            },
        )
    };
    assert!(words(&draw(PHONE)).contains("goes on in the next row"));
    assert!(!words(&draw(PAGE)).contains("goes on in the next row"));
}

/// First-stage cuts are numbered 1, 2; the second-stage one between them is not.
#[test]
fn first_cuts_are_numbered_in_order() {
    let cut = |at: f64, stage| SheetCut {
        from: (at, 0.0),
        to: (at, 1000.0),
        kerf: 4.0,
        stage,
    };
    let layout = SheetLayout {
        length: 2000.0,
        width: 1000.0,
        count: 7,
        cuts: vec![cut(500.0, 1), cut(900.0, 2), cut(1500.0, 1)],
        ..SheetLayout::default()
    };
    let sheets = SheetLayouts {
        layouts: vec![layout],
        scale_bar: None,
    };
    let shown = words(&sheet_layouts(&Frame::new("x", "x"), &sheets));
    assert!(shown.starts_with("7 \u{d7}|1|2|"), "{shown}");
    assert!(!shown.contains('3'), "{shown}");
}

#[test]
fn a_fault_is_numbered_and_told() {
    let shown = words(&drilled(&Frame::new("x", "x"), 12));
    assert!(shown.contains("hole 4: web 2 mm, 4 mm needed"), "{shown}");
    assert!(shown.contains("start") && shown.contains("park"), "{shown}");
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
}
