//! Files written and read back: what is right is passed, and every kind of harm done to a file is caught.

use std::f64::consts::PI;

use drilling::export::program::{
    DwellWord, Event, Machine, MoveKind, ProgramFault, Retract, Style, program, read, verify,
};
use drilling::export::{Cutting, Drawing, ExportFault, Heading, Stroke, dxf, svg, table};
use drilling::outline::{Ellipse, Next, Outline, Point, Vertex};
use drilling::pattern::{Bore, Hole, Rules};
use proptest::prelude::*;

fn at(x: f64, y: f64) -> Point {
    Point::new(x, y)
}

fn heading() -> Heading {
    Heading {
        part: "nest block (ash)".to_owned(),
        route: "routes/nest-block".to_owned(),
        operation: "drill; front\nface".to_owned(),
        revision: "r12".to_owned(),
        face: "front".to_owned(),
    }
}

const MACHINE: Machine = Machine {
    low_m: [-0.05, -0.05, -0.1],
    high_m: [0.5, 0.5, 0.15],
    clear_m: 0.005,
    safe_m: 0.05,
    park: Point::new(0.0, 0.4),
    spindle_max_rpm: 18_000.0,
};

const CUTTING: Cutting = Cutting {
    feed_m_per_s: 0.02,
    spindle_rpm: 3000.0,
    peck_m: None,
    reentry_m_per_s: None,
    dwell_s: 0.0,
};

fn stroke(x: f64, y: f64) -> Stroke {
    Stroke {
        at: at(x, y),
        tip_depth_m: 0.052,
        diameter_m: 0.008,
        tool: 1,
        cutting: CUTTING,
    }
}

fn strokes() -> Vec<Stroke> {
    vec![
        stroke(0.01, 0.01),
        stroke(0.03, 0.01),
        Stroke {
            tool: 2,
            diameter_m: 0.006,
            cutting: Cutting {
                peck_m: Some(0.02),
                dwell_s: 0.25,
                reentry_m_per_s: Some(0.1),
                ..CUTTING
            },
            ..stroke(0.03, 0.04)
        },
    ]
}

const TOLERANCE_M: f64 = 0.5e-6 + 1e-9;

fn faults(text: &str) -> Vec<ProgramFault> {
    verify(text, &strokes(), &MACHINE, DwellWord::PSeconds, TOLERANCE_M)
}

fn written(style: &Style) -> String {
    program(&heading(), &strokes(), &MACHINE, style).expect("all in reach")
}

/// The program with the first occurrence of some text changed.
fn harmed(from: &str, to: &str) -> Vec<ProgramFault> {
    let text = written(&Style::default());
    assert!(text.contains(from), "the program has no {from}:\n{text}");
    faults(&text.replacen(from, to, 1))
}

#[test]
fn the_program_is_what_a_setter_expects() {
    let text = written(&Style::default());
    let moves: Vec<&str> = text.lines().filter(|line| !line.starts_with('(')).collect();
    let expected = "\
% G21 G17 G90 G94 G40 G49 G80 M5 G53·G0·Z0.
T1·M6 S3000·M3 G4·P3.000 G0·X10.000·Y10.000 G43·H1·G0·Z50.000
G0·X10.000·Y10.000 G0·Z5.000 G1·Z-52.000·F1200.000 G0·Z5.000
G0·X30.000·Y10.000 G0·Z5.000 G1·Z-52.000·F1200.000 G0·Z5.000
G0·Z50.000 M5 G4·P3.000 G53·G0·Z0.
T2·M6 S3000·M3 G4·P3.000 G0·X30.000·Y40.000 G43·H2·G0·Z50.000
G0·X30.000·Y40.000 G0·Z5.000 G1·Z-20.000·F1200.000 G0·Z5.000
G1·Z-19.500·F6000.000 G1·Z-40.000·F1200.000 G0·Z5.000
G1·Z-39.500·F6000.000 G1·Z-52.000·F1200.000 G4·P0.250 G0·Z5.000
G0·Z50.000 M5 G4·P3.000 G53·G0·Z0. G0·X0.000·Y400.000 M30 %";
    let expected: Vec<String> = expected
        .split_whitespace()
        .map(|words| words.replace('·', " "))
        .collect();
    assert_eq!(moves, expected);
    assert!(text.contains("(PART NEST BLOCK -ASH-)\n(ROUTE ROUTES/NEST-BLOCK)"));
    assert!(text.contains("(OPERATION DRILL- FRONT FACE)\n(REVISION R12)"));
    assert!(
        text.contains("WARNING") && text.contains("DRY RUN") && text.contains("COMPETENT PERSON")
    );
    assert_eq!(faults(&text), []);
}

#[test]
fn long_names_go_on_in_the_next_line() {
    let long = Heading {
        part: "ä".repeat(200),
        ..heading()
    };
    let text = program(&long, &strokes(), &MACHINE, &Style::default()).unwrap();
    assert!(text.is_ascii() && text.lines().all(|line| line.len() <= 80));
    assert_eq!(text.matches('_').count(), 200);
    assert_eq!(faults(&text), []);
}

#[test]
fn every_style_is_read_back_whole() {
    for canned in [false, true] {
        for line_number_step in [0, 10] {
            for dwell in [DwellWord::PSeconds, DwellWord::PMilliseconds] {
                for retract in [Retract::MachineTop, Retract::SafeHeight] {
                    for length_offset in [false, true] {
                        let style = Style {
                            canned,
                            line_number_step,
                            dwell,
                            retract,
                            length_offset,
                            ..Style::default()
                        };
                        let text = written(&style);
                        let faults = verify(&text, &strokes(), &MACHINE, dwell, TOLERANCE_M);
                        assert_eq!(faults, [], "{style:?}\n{text}");
                    }
                }
            }
        }
    }
}

#[test]
fn a_hole_moved_dropped_doubled_or_added_is_caught() {
    let moved = harmed("G0 X30.000 Y10.000\nG0 Z5", "G0 X30.010 Y10.000\nG0 Z5");
    assert!(matches!(
        moved[..],
        [
            ProgramFault::NotAsked { .. },
            ProgramFault::NotDrilled { hole: 1, .. }
        ]
    ));
    let dropped = harmed("G0 X30.000 Y10.000\nG0 Z5.000\nG1 Z-52.000 F1200.000\n", "");
    assert!(matches!(
        dropped[..],
        [ProgramFault::NotDrilled { hole: 1, .. }]
    ));
    let once = "G0 X30.000 Y10.000\nG0 Z5.000\nG1 Z-52.000 F1200.000\nG0 Z5.000\n";
    let away = "G0 X31.000 Y10.000\n";
    let twice = harmed(once, &format!("{once}{away}{once}"));
    assert!(matches!(twice[..], [ProgramFault::NotAsked { .. }]));
    let added = harmed(once, &format!("{once}{}", once.replace("X30", "X50")));
    assert!(matches!(added[..], [ProgramFault::NotAsked { .. }]));
}

#[test]
fn a_plunge_at_rapid_is_caught() {
    let plunge = harmed("G1 Z-52.000 F1200.000", "G0 Z-52.000");
    assert!(
        matches!(plunge[0], ProgramFault::RapidBelowClear { .. }),
        "{plunge:?}"
    );
    // Sideways before the drill is out; and a rapid that stops short of the clear height.
    let dragged = harmed("F1200.000\nG0 Z5.000\n", "F1200.000\n");
    assert!(
        dragged
            .iter()
            .any(|fault| matches!(fault, ProgramFault::SidewaysBelowClear { .. }))
    );
    let low = harmed("G0 Z5.000", "G0 Z4.900");
    assert!(matches!(low[0], ProgramFault::RapidBelowClear { .. }));
    // Feeding sideways through the part.
    let milled = harmed("G1 Z-52.000", "G1 X12.000 Z-52.000");
    assert!(
        milled
            .iter()
            .any(|fault| matches!(fault, ProgramFault::SidewaysBelowClear { .. }))
    );
    // Without the lift at the start, nobody knows how low the first sideways move is.
    assert!(matches!(
        harmed("G53 G0 Z0.\n(TOOL 1", "(TOOL 1")[..],
        [
            ProgramFault::ChangeLow { .. },
            ProgramFault::SidewaysBelowClear { .. },
            ..
        ]
    ));
}

#[test]
fn a_cycle_that_starts_too_low_is_caught() {
    let style = Style {
        canned: true,
        ..Style::default()
    };
    let text = written(&style);
    assert!(text.contains("G99 G81 X10.000 Y10.000 Z-52.000 R5.000 F1200.000"));
    let low = faults(&text.replacen("R5.000", "R1.000", 1));
    assert!(
        low.iter()
            .any(|fault| matches!(fault, ProgramFault::RapidBelowClear { .. }))
    );
    // Left on, the cycle drills wherever the next line goes.
    let left_on = faults(&text.replace("G80\nG0 Z50.000\nM5", "X70.000\nG80\nG0 Z50.000\nM5"));
    assert!(
        left_on
            .iter()
            .any(|fault| matches!(fault, ProgramFault::NotAsked { .. }))
    );
}

#[test]
fn wrong_depth_tool_speed_feed_bite_and_wait_are_caught() {
    let differs = |from: &str, to: &str, what: &str| {
        let found = harmed(from, to);
        let named = found
            .iter()
            .any(|fault| matches!(fault, ProgramFault::Differs { what: of, .. } if *of == what));
        assert!(named, "{what}: {found:?}");
    };
    differs("Z-52.000", "Z-51.000", "depth in m");
    differs("F1200.000", "F1300.000", "fastest feed in m/s");
    differs("F1200.000", "F100.000", "slowest feed in m/s");
    differs("S3000", "S2000", "spindle speed");
    differs("T2 M6", "T3 M6", "tool");
    differs("G4 P0.250\n", "", "wait in s");
    differs("G4 P0.250", "G4 P250.000", "wait in s");
    differs("G1 Z-20.000 F1200.000\nG0 Z5.000\n", "", "bite in m");
    assert!(matches!(
        harmed("H2", "H1")[0],
        ProgramFault::WrongOffset { tool: 2, .. }
    ));
    assert!(matches!(
        harmed("S3000", "S30000")[0],
        ProgramFault::TooFast { .. }
    ));
}

#[test]
fn a_spindle_in_the_wrong_state_is_caught() {
    assert!(matches!(
        harmed("S3000 M3", "S3000")[0],
        ProgramFault::SpindleOff { .. }
    ));
    assert!(matches!(
        harmed(
            "M5\nG4 P3.000\nG53 G0 Z0.\n(TOOL 2",
            "G4 P3.000\nG53 G0 Z0.\n(TOOL 2"
        )[..],
        [ProgramFault::ChangeTurning { .. }]
    ));
    assert!(matches!(
        harmed("G53 G0 Z0.\n(TOOL 2", "G0 Z5.\n(TOOL 2")[..],
        [ProgramFault::ChangeLow { .. }]
    ));
    let text = written(&Style::default());
    let place = text.rfind("M5\n").expect("it stops at the end");
    let mut turning = text.clone();
    turning.replace_range(place..place + 3, "");
    assert!(matches!(
        faults(&turning)[..],
        [ProgramFault::EndsTurning { .. }]
    ));
    assert!(faults(&text.replace("M30\n", "")).contains(&ProgramFault::NoEnd));
    assert!(matches!(
        faults(&text.replace("M30\n", "M30\nG0 X1.\n"))[..],
        [ProgramFault::AfterEnd { .. }]
    ));
}

#[test]
fn places_out_of_reach_are_caught_and_not_written() {
    let far = harmed("G0 X0.000 Y400.000", "G0 X0.000 Y4000.000");
    assert!(matches!(
        far[..],
        [ProgramFault::OutOfReach { axis: 'y', .. }]
    ));
    let refuse =
        |stroke: Stroke| program(&heading(), &[stroke], &MACHINE, &Style::default()).unwrap_err();
    assert!(matches!(
        refuse(stroke(0.6, 0.0)),
        ExportFault::OutOfReach { axis: 'x', .. }
    ));
    let deep = Stroke {
        tip_depth_m: 0.11,
        ..stroke(0.0, 0.0)
    };
    assert!(matches!(
        refuse(deep),
        ExportFault::OutOfReach { axis: 'z', .. }
    ));
    let fast = Cutting {
        spindle_rpm: 20_000.0,
        ..CUTTING
    };
    assert!(matches!(
        refuse(Stroke {
            cutting: fast,
            ..stroke(0.0, 0.0)
        }),
        ExportFault::HoleSize { .. }
    ));
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(
            refuse(Stroke {
                tip_depth_m: bad,
                ..stroke(0.0, 0.0)
            }),
            ExportFault::HoleSize { .. }
        ));
        let feed = Cutting {
            feed_m_per_s: bad,
            ..CUTTING
        };
        assert!(matches!(
            refuse(Stroke {
                cutting: feed,
                ..stroke(0.0, 0.0)
            }),
            ExportFault::HoleSize { .. }
        ));
    }
    assert_eq!(
        program(&heading(), &[], &MACHINE, &Style::default()),
        Err(ExportFault::NoHoles)
    );
    let low = Machine {
        safe_m: 0.001,
        ..MACHINE
    };
    assert!(program(&heading(), &strokes(), &low, &Style::default()).is_err());
}

#[test]
fn nothing_unknown_is_skipped() {
    let with = |line: &str| harmed("M30", &format!("{line}\nM30"));
    for line in [
        "G2 X1. Y1. R3.",
        "G20",
        "G54",
        "M8",
        "M98 P100",
        "X1. A3.",
        "#1=4",
        "G91.1",
        "GOTO 5",
        "/G0 X1.",
    ] {
        let found = with(line);
        assert!(
            matches!(
                found[..],
                [ProgramFault::Unknown { .. } | ProgramFault::Unreadable { .. }]
            ),
            "{line}: {found:?}"
        );
    }
    assert!(matches!(
        with("(not closed")[..],
        [ProgramFault::Comment { .. }]
    ));
    assert!(matches!(
        with("G0 G1 X1.")[..],
        [ProgramFault::Contradiction { .. }]
    ));
    assert!(matches!(
        with("G0 X1. X2.")[..],
        [ProgramFault::Contradiction { .. }]
    ));
    assert!(matches!(with("G0 X10")[..], [ProgramFault::NoPoint { .. }]));
    assert!(matches!(with("G0 Q1.")[..], [ProgramFault::Unused { .. }]));
    assert!(matches!(
        with("G4")[..],
        [ProgramFault::Missing { word: 'P', .. }]
    ));
    assert!(matches!(
        with("G43")[..],
        [ProgramFault::Missing { word: 'H', .. }]
    ));
    assert!(matches!(
        with("G53 G0 X0. Y0.")[..],
        [ProgramFault::Unknown { .. }]
    ));
    // A preamble with a hole in it.
    for word in [
        "G21\n", "G17\n", "G90\n", "G94\n", "G40\n", "G49\n", "G80\n",
    ] {
        assert!(
            matches!(harmed(word, "")[0], ProgramFault::NotStated { .. }),
            "{word}"
        );
    }
}

#[test]
fn programs_of_others_are_followed() {
    // Lower case, no zeros before the point, spaces, comments after a semicolon, cycles held from line to line,
    // incremental moves.
    let text = "g21 g17 g90 g94 g40 g49 g80 ; known state\nm5\nG53 G0 Z0\nT1 M6\nS3000 M3\n\
                G0 X 10. Y10.\nZ50.\nG98 G81 Z-52. R5. F1200.\nX30.\nG80\nG0 Z50.\nM5\n\
                T2 M6\nM3\nG90 G0 X0. Y0.\nG91 G0 X30. Y40. (there)\nG90 Z5.\n\
                G91 G1 Z-.5\nZ-56.5\nG90 G0 Z50.\nM5\nM2\n";
    let text = &text.replace("G53 G0 Z0\n", "G53 G0 Z0.\n");
    let wanted = [
        stroke(0.01, 0.01),
        stroke(0.03, 0.01),
        Stroke {
            tool: 2,
            ..stroke(0.03, 0.04)
        },
    ];
    let found = verify(text, &wanted, &MACHINE, DwellWord::PSeconds, TOLERANCE_M);
    assert_eq!(found, [], "{text}");
    // Back to the height the cycle began at (G98), not to the clear height.
    let (trace, _) = read(text);
    let lifts: Vec<f64> = trace
        .moves()
        .filter(|step| step.kind == MoveKind::CycleRapid)
        .filter_map(|step| step.to_m[2])
        .collect();
    assert_eq!(lifts, [0.05, 0.05]);
}

#[test]
fn incremental_moves_from_an_unknown_place_are_refused() {
    let text = "G21 G17 G91 G94 G40 G49 G80\nG0 Z5.\nM30\n";
    assert!(matches!(read(text).1[..], [ProgramFault::NotStated { .. }]));
    // The top of the machine is no height to count from.
    let text = "G21 G17 G91 G94 G40 G49 G80\nG53 G0 Z0.\nG0 Z-10.\nM30\n";
    assert!(matches!(read(text).1[..], [ProgramFault::NotStated { .. }]));
    // Nor may a feed start where nobody knows.
    let text = "G21 G17 G90 G94 G40 G49 G80\nG0 Z5.\nG1 Z-5. F100.\nM30\n";
    assert!(matches!(read(text).1[..], [ProgramFault::NotStated { .. }]));
}

#[test]
fn a_pecking_cycle_takes_its_bites() {
    let text =
        "G21 G17 G90 G94 G40 G49 G80\nG0 Z50.\nG0 X1. Y1.\nG99 G83 Z-20. R5. Q10. F100.\nM30\n";
    let (trace, faults) = read(text);
    assert_eq!(faults, []);
    // From 5 in bites of 10: to −5, −15 and −20; the deepest bite below the face is 10 deep.
    let bottoms: Vec<f64> = trace
        .moves()
        .filter(|step| step.kind == MoveKind::Feed)
        .filter_map(|step| step.to_m[2])
        .map(|z| (z * 1e6).round())
        .collect();
    assert_eq!(bottoms, [-5000.0, -15000.0, -20000.0]);
    let hole = trace.drilled()[0];
    assert!((hole.bite_m - 0.01).abs() < 1e-12 && (hole.tip_depth_m - 0.02).abs() < 1e-12);
    assert!(matches!(
        trace.events.last(),
        Some(Event::End { turning: false, .. })
    ));
}

const RULES: Rules = Rules {
    edge_m: 0.003,
    web_m: 0.002,
    floor_m: 0.004,
    point_rad: 118.0 * PI / 180.0,
};

fn hole(x: f64, y: f64, tilt_rad: f64) -> Hole {
    Hole {
        at: at(x, y),
        bore: Bore {
            diameter_m: 0.008,
            depth_m: 0.05,
            through: false,
            tilt_rad,
            bearing_rad: 0.7,
            tool: 1,
            face: 0,
        },
    }
}

#[test]
fn a_stroke_goes_as_deep_as_the_point() {
    // 50 mm and the point of 118° on 8 mm: 2.403 mm more.
    let square = Stroke::square(&hole(0.01, 0.01, 0.0), &RULES, CUTTING).unwrap();
    assert!((square.tip_depth_m - 0.05 - 0.004 / 59.0_f64.to_radians().tan()).abs() < 1e-12);
    let leaning = Stroke::square(&hole(0.01, 0.01, 0.1), &RULES, CUTTING);
    assert!(matches!(leaning, Err(ExportFault::Leaning { .. })));
}

fn outlines() -> Vec<Outline> {
    let rounded = Outline::rectangle(at(0.0, 0.0), at(0.12, 0.06), 0.01).expect("a sound outline");
    let ellipse = Ellipse {
        centre: at(0.06, 0.03),
        half_x_m: 0.07,
        half_y_m: 0.04,
        turn_rad: 0.3,
    };
    let island = Outline::circle(at(0.09, 0.04), 0.008).expect("a sound outline");
    let slot = Outline::ellipse(Ellipse {
        half_x_m: 0.01,
        half_y_m: 0.005,
        ..ellipse
    })
    .expect("a sound outline");
    let bulged = Outline::polygon(&[
        Vertex {
            at: at(0.0, 0.0),
            next: Next::Bulge(-0.3),
        },
        Vertex::corner(at(0.1, 0.0)),
        Vertex {
            at: at(0.12, 0.06),
            next: Next::Bulge(0.5),
        },
        Vertex::corner(at(0.0, 0.06)),
    ]);
    vec![
        rounded.clone(),
        rounded
            .with_islands([island, slot])
            .expect("a sound outline"),
        Outline::ellipse(ellipse).expect("a sound outline"),
        Outline::circle(at(0.05, 0.03), 0.06).expect("a sound outline"),
        bulged.expect("a sound outline"),
    ]
}

fn dxf_faults(text: &str, drawing: &Drawing<'_>) -> Vec<dxf::DxfFault> {
    dxf::verify(text, drawing, 0.5e-7 + 1e-10, 5e-6)
}

#[test]
fn a_dxf_drawing_shows_its_holes_and_outline() {
    let heading = heading();
    let holes = [
        hole(0.03, 0.02, 0.0),
        hole(0.05, 0.03, 0.2),
        hole(0.08, 0.02, 0.0),
    ];
    for outline in outlines() {
        let drawing = Drawing {
            heading: &heading,
            outline: &outline,
            holes: &holes,
        };
        let text = dxf::drawing(&drawing, &dxf::DxfStyle::default()).unwrap();
        assert_eq!(dxf_faults(&text, &drawing), []);
        let read = dxf::read(&text).unwrap();
        assert_eq!(read.holes.len(), 3);
        assert!((read.holes[2].depth_m - 0.05).abs() < 1e-12);
        // Lines in pairs: a code and a value.
        assert_eq!(text.lines().count() % 2, 0);
        assert!(text.contains("AC1009") && text.contains("HOLES_8_0000MM"));
        let other = Outline::rectangle(at(0.0, 0.0), at(0.12, 0.061), 0.01).unwrap();
        let wrong = Drawing {
            outline: &other,
            ..drawing
        };
        assert!(!dxf_faults(&text, &wrong).is_empty());
    }
}

#[test]
fn harm_to_a_dxf_drawing_is_caught() {
    let heading = heading();
    let holes = [hole(0.03, 0.02, 0.0), hole(0.08, 0.02, 0.0)];
    let outline = &outlines()[0];
    let drawing = Drawing {
        heading: &heading,
        outline,
        holes: &holes,
    };
    let text = dxf::drawing(&drawing, &dxf::DxfStyle::default()).unwrap();
    let after = |from: &str, to: &str| {
        assert!(text.contains(from), "{from}");
        dxf_faults(&text.replacen(from, to, 1), &drawing)
    };
    let moved = after("\n80.0000\n", "\n80.0010\n");
    assert!(matches!(
        moved[..],
        [
            dxf::DxfFault::NotAsked { .. },
            dxf::DxfFault::NotDrawn { hole: 1 }
        ]
    ));
    let shallow = after("\n-50.0000\n", "\n-49.0000\n");
    assert!(matches!(
        shallow[..],
        [
            dxf::DxfFault::NotAsked { .. },
            dxf::DxfFault::NotDrawn { hole: 0 }
        ]
    ));
    let start = text.find("0\nCIRCLE").unwrap();
    let next = start + 8 + text[start + 8..].find("0\nCIRCLE").unwrap();
    let dropped = format!("{}{}", &text[..start], &text[next..]);
    assert_eq!(
        dxf_faults(&dropped, &drawing),
        [dxf::DxfFault::NotDrawn { hole: 0 }]
    );
    let start = text.find("0\nLINE").unwrap();
    let next = start + 6 + text[start + 6..].find("0\nARC").unwrap();
    let open = format!("{}{}", &text[..start], &text[next..]);
    assert!(matches!(
        dxf_faults(&open, &drawing)[..],
        [dxf::DxfFault::Length { .. }]
    ));
    assert!(matches!(
        after("0\nCIRCLE", "0\nSPLINE")[..],
        [dxf::DxfFault::Unknown { .. }]
    ));
    assert!(matches!(
        after("0\nEOF", "0\nENDSEC")[..],
        [dxf::DxfFault::Expected { .. }]
    ));
    assert!(matches!(
        after("AC1009", "AC1015")[..],
        [dxf::DxfFault::Expected { .. }]
    ));
}

#[test]
fn a_table_is_read_back() {
    let holes = [hole(0.03, 0.02, 0.0), hole(0.05, 0.03, 0.2)];
    let text = table::table(&holes, 3).unwrap();
    let lines: Vec<&str> = text.split("\r\n").collect();
    assert_eq!(
        lines[0],
        "hole,face,tool,x_mm,y_mm,diameter_mm,depth_mm,through,tilt_deg,bearing_deg"
    );
    // 0.2 rad is 11.459156°, 0.7 rad 40.107046°.
    assert_eq!(
        lines[2],
        "2,1,1,50.000,30.000,8.000,50.000,no,11.459156,40.107046"
    );
    assert_eq!(table::verify(&text, &holes, TOLERANCE_M), []);
    let found = table::verify(
        &text.replace("50.000,30.000", "50.002,30.000"),
        &holes,
        TOLERANCE_M,
    );
    assert_eq!(found, [table::TableFault::Differs { hole: 1, what: "x" }]);
    assert!(matches!(
        table::verify(&text, &holes[..1], TOLERANCE_M)[..],
        [table::TableFault::Count { .. }]
    ));
    assert!(matches!(
        table::read(&text.replace("no", "perhaps")),
        Err(table::TableFault::Cell { line: 2, .. })
    ));
    // A line lost shows in the numbers.
    let lost = format!("{}\r\n{}\r\n", lines[0], lines[2]);
    assert!(matches!(
        table::read(&lost),
        Err(table::TableFault::Cell { column: "hole", .. })
    ));
    let bad = Hole {
        at: at(f64::NAN, 0.0),
        ..holes[0]
    };
    assert!(table::table(&[bad], 3).is_err());
}

#[test]
fn an_svg_drawing_is_in_true_scale() {
    let heading = Heading {
        part: "block <A> & \u{1}lid".to_owned(),
        ..heading()
    };
    let holes = [hole(0.03, 0.02, 0.0), hole(0.05, 0.03, 0.2)];
    let outline = &outlines()[0];
    let text = svg::drawing(
        &Drawing {
            heading: &heading,
            outline,
            holes: &holes,
        },
        3,
    )
    .unwrap();
    // 120 × 60 and 10 all round; y downward: 20 from the lower edge is 10 + 40 from the top.
    assert!(
        text.contains("width=\"140.000mm\" height=\"80.000mm\" viewBox=\"0 0 140.000 80.000\"")
    );
    assert!(text.contains("<circle class=\"hole\" cx=\"40.000\" cy=\"50.000\" r=\"4.000\"/>"));
    assert!(text.contains("block &lt;A&gt; &amp;  lid"));
    // The leaning mouth: 4/cos 0.2 = 4.081, turned the other way since y points down.
    assert!(
        text.contains("rx=\"4.081\" ry=\"4.000\" transform=\"rotate(-40.107046 60.000 40.000)\"")
    );
    // The lower right corner: a quarter circle of 10 in two halves, anticlockwise.
    assert!(
        text.contains("A10.000 10.000 0 0 0 127.071 67.071 A10.000 10.000 0 0 0 130.000 60.000"),
        "{text}"
    );
    for outline in outlines() {
        let text = svg::drawing(
            &Drawing {
                heading: &heading,
                outline: &outline,
                holes: &holes,
            },
            3,
        )
        .unwrap();
        assert!(text.starts_with("<svg ") && text.ends_with("</svg>\n") && !text.contains("NaN"));
    }
}

fn any_stroke() -> impl Strategy<Value = Stroke> {
    let place = (-0.05..0.5_f64, -0.05..0.5_f64);
    let cutting = (
        0.001..0.2_f64,
        1.0..18_000.0_f64,
        proptest::option::of(0.002..0.06_f64),
        proptest::option::of(0.2..0.5_f64),
        prop_oneof![Just(0.0), 0.01..2.0_f64],
    );
    (place, 0.001..0.1_f64, 1_u32..4, cutting).prop_map(|((x, y), tip_depth_m, tool, cutting)| {
        let (feed_m_per_s, spindle_rpm, peck_m, reentry_m_per_s, dwell_s) = cutting;
        Stroke {
            at: at(x, y),
            tip_depth_m,
            diameter_m: 0.008,
            tool,
            cutting: Cutting {
                feed_m_per_s,
                spindle_rpm,
                peck_m,
                reentry_m_per_s,
                dwell_s,
            },
        }
    })
}

/// Lines that look like a program, now and then with anything else.
fn scrap() -> impl Strategy<Value = String> {
    let word = (
        "[GMXYZRQPFSTHN]",
        prop_oneof![
            "(0|1|4|17|21|40|43|49|53|80|81|82|83|90|91|94|98|99|2|3|5|6|30)",
            "-?[0-9]{1,3}\\.[0-9]{0,2}",
            "[-+.0-9]{0,30}",
        ],
    );
    let word = word.prop_map(|(letter, number)| format!("{letter}{number}"));
    let line = proptest::collection::vec(word, 0..6).prop_map(|words| words.join(" "));
    let line = prop_oneof![9 => line, 1 => "\\PC{0,30}"];
    let preamble = "G21 G17 G90 G94 G40 G49 G80\nG0 Z50.\nG0 X1. Y1.\nF100. S1000 M3\nG98\n";
    (any::<bool>(), proptest::collection::vec(line, 0..30)).prop_map(move |(known, lines)| {
        format!("{}{}", if known { preamble } else { "" }, lines.join("\n"))
    })
}

proptest! {
    #[test]
    fn programs_round_trip(
        strokes in proptest::collection::vec(any_stroke(), 1..12), canned in any::<bool>(), decimals in 2_u8..7,
    ) {
        let style = Style { canned, decimals, ..Style::default() };
        let text = program(&heading(), &strokes, &MACHINE, &style).unwrap();
        let tolerance_m = 0.5e-3 * 10.0_f64.powi(-i32::from(decimals)) + 1e-10;
        let found = verify(&text, &strokes, &MACHINE, style.dwell, tolerance_m);
        prop_assert_eq!(found, vec![], "{}", text);
        // Numbers without exponents, coordinates with a point, nothing but plain letters.
        prop_assert!(text.is_ascii() && !text.lines().any(|line| !line.starts_with('(') && line.contains('e')));
    }

    #[test]
    fn a_program_for_other_holes_is_refused(
        strokes in proptest::collection::vec(any_stroke(), 1..8), which in any::<prop::sample::Index>(), off in 1e-5..1e-3_f64,
    ) {
        let text = program(&heading(), &strokes, &MACHINE, &Style::default()).unwrap();
        let index = which.index(strokes.len());
        let harms: [&dyn Fn(&mut Stroke); 4] = [
            &|stroke| stroke.at.x += off,
            &|stroke| stroke.at.y -= off,
            &|stroke| stroke.tip_depth_m += off,
            &|stroke| stroke.tool += 1,
        ];
        for harm in harms {
            let mut other = strokes.clone();
            harm(&mut other[index]);
            prop_assert!(!verify(&text, &other, &MACHINE, DwellWord::PSeconds, TOLERANCE_M).is_empty());
        }
        let mut fewer = strokes.clone();
        fewer.remove(index);
        prop_assert!(!verify(&text, &fewer, &MACHINE, DwellWord::PSeconds, TOLERANCE_M).is_empty());
    }

    #[test]
    fn any_line_lost_or_any_rapid_for_a_feed_is_noticed_or_harmless(line in any::<prop::sample::Index>()) {
        // Without the line, either the verdict changes or the holes drilled do not.
        let text = written(&Style::default());
        let lines: Vec<&str> = text.lines().collect();
        let index = line.index(lines.len());
        let without: Vec<&str> = lines.iter().enumerate().filter(|(i, _)| *i != index).map(|(_, line)| *line).collect();
        let without = without.join("\n");
        if faults(&without).is_empty() {
            let places = |text: &str| read(text).0.drilled().iter().map(|hole| (hole.at, hole.tip_depth_m)).collect::<Vec<_>>();
            prop_assert_eq!(places(&without), places(&text));
        }
        if lines[index].starts_with("G1 ") {
            let mut harmed = lines.clone();
            let rapid = lines[index].replace("G1 ", "G0 ");
            harmed[index] = &rapid;
            prop_assert!(!faults(&harmed.join("\n")).is_empty());
        }
    }

    #[test]
    fn no_text_makes_a_reader_panic(scrap in scrap(), noise in any::<String>()) {
        for text in [&scrap, &noise] {
            let _ = faults(text);
            let _ = dxf::read(text);
            let _ = table::read(text);
        }
    }

    #[test]
    fn drawings_and_tables_round_trip(
        holes in proptest::collection::vec((0.0..0.12_f64, 0.0..0.06_f64, 0.002..0.01_f64, 0.001..0.2_f64, prop_oneof![Just(0.0), 0.0..1.2_f64], -7.0..7.0_f64, any::<bool>()), 0..12),
        decimals in 1_u8..7, which in 0_usize..5,
    ) {
        let holes: Vec<Hole> = holes.into_iter().map(|(x, y, diameter_m, depth_m, tilt_rad, bearing_rad, through)| Hole {
            at: at(x, y),
            bore: Bore { diameter_m, depth_m, through, tilt_rad, bearing_rad, tool: 3, face: 1 },
        }).collect();
        let tolerance_m = 0.5e-3 * 10.0_f64.powi(-i32::from(decimals)) + 1e-10;
        let text = table::table(&holes, decimals).unwrap();
        prop_assert_eq!(table::verify(&text, &holes, tolerance_m), vec![]);
        let (outline, heading) = (&outlines()[which], heading());
        let drawing = Drawing { heading: &heading, outline, holes: &holes };
        let style = dxf::DxfStyle { decimals, ..dxf::DxfStyle::default() };
        let text = dxf::drawing(&drawing, &style).unwrap();
        let found = dxf::verify(&text, &drawing, tolerance_m, style.ellipse_tolerance_m);
        prop_assert_eq!(found, vec![]);
    }
}
