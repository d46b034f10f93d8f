//! Invented boards, bars, sheets, hole patterns and frames.

use picture::{
    BarPattern, BarPatterns, BarPiece, BoardCut, BoardCutKind, BoardCuts, BoardMark, BoardPiece,
    DrawnBoard, DrawnHole, DrillPattern, FoldedFrame, FrameStrip, Grain, HoleSide, MarkFace,
    OutlineLoop, OutlineStep, PieceKind, ScaleBar, SheetCut, SheetLayout, SheetLayouts, SheetPiece,
    StripDimension, StripNotch, YieldBars, YieldMark, YieldRow,
};

fn scale_bar(length: f64, label: &str) -> ScaleBar {
    ScaleBar {
        length,
        label: label.into(),
    }
}

/// From, to, lower, upper edge; kind; letter; label.
type Cut<'a> = ((f64, f64), (f64, f64), PieceKind, &'a str, &'a str);

fn board_piece(&(along, across, kind, letter, label): &Cut<'_>) -> BoardPiece {
    BoardPiece {
        along,
        across,
        kind,
        letter: letter.into(),
        label: label.into(),
    }
}

fn mark(
    along: (f64, f64),
    across: (f64, f64),
    face: MarkFace,
    sound: bool,
    label: &str,
) -> BoardMark {
    BoardMark {
        along,
        across,
        face,
        sound,
        margin: if sound { 0.0 } else { 12.0 },
        label: label.into(),
    }
}

fn cross(at: f64, span: (f64, f64)) -> BoardCut {
    BoardCut {
        kind: BoardCutKind::Cross,
        at,
        span,
        kerf: 4.0,
        label: format!("{at}"),
    }
}

/// Two ash boards: one cross-cut first, one ripped first.
pub(crate) fn boards() -> BoardCuts {
    use MarkFace::{Back, Face, Through};
    use PieceKind::{Kept, Part, Trim, Waste};
    let full = (0.0, 152.0);
    let first = DrawnBoard {
        name: "board 12".into(),
        note: "3,050 × 152 mm, yield 83 %, clear both faces".into(),
        length: 3050.0,
        width: 152.0,
        marks: vec![
            mark((0.0, 42.0), (60.0, 80.0), Through, false, "end split"),
            mark((690.0, 735.0), (88.0, 126.0), Face, false, "knot"),
            mark((1180.0, 1205.0), (20.0, 42.0), Back, true, "pin knot"),
            mark((1995.0, 2070.0), (0.0, 34.0), Through, false, "wane"),
            mark((2300.0, 2420.0), (70.0, 84.0), Back, false, "gum"),
        ],
        pieces: [
            ((0.0, 58.0), full, Trim, "", ""),
            ((62.0, 662.0), full, Part, "A", "stile 600 mm"),
            ((666.0, 750.0), full, Waste, "", ""),
            ((754.0, 1174.0), full, Part, "B", "rail 420 mm"),
            ((1178.0, 1598.0), full, Part, "B", "rail 420 mm"),
            ((1602.0, 1872.0), full, Part, "C", "stretcher 270 mm"),
            ((1876.0, 2084.0), full, Waste, "", ""),
            ((2088.0, 2272.0), full, Part, "D", "block 184 mm"),
            ((2276.0, 2436.0), full, Waste, "", ""),
            ((2440.0, 3040.0), full, Part, "A", "stile 600 mm"),
            ((3044.0, 3050.0), full, Trim, "", ""),
        ]
        .iter()
        .map(board_piece)
        .collect(),
        cuts: [
            60., 664., 752., 1176., 1600., 1874., 2086., 2274., 2438., 3042.,
        ]
        .map(|at| cross(at, full))
        .to_vec(),
    };
    let (low, high) = ((0.0, 74.0), (78.0, 140.0));
    let second = DrawnBoard {
        name: "board 13".into(),
        note: "2,400 × 152 mm, ripped first, yield 71 %".into(),
        length: 2400.0,
        width: 152.0,
        marks: vec![
            mark((400.0, 470.0), (100.0, 128.0), Through, false, "knot"),
            mark((1500.0, 1560.0), (20.0, 50.0), Face, false, "tear-out"),
            mark((1900.0, 1960.0), (90.0, 120.0), Through, true, "tight knot"),
        ],
        pieces: [
            ((0.0, 2400.0), (144.0, 152.0), Trim, "", ""),
            ((0.0, 380.0), high, Waste, "", ""),
            ((384.0, 486.0), high, Waste, "", ""),
            ((490.0, 1090.0), high, Part, "A", "stile 600 mm"),
            ((1094.0, 1694.0), high, Part, "A", "stile 600 mm"),
            ((1698.0, 2118.0), high, Part, "B", "rail 420 mm"),
            ((2122.0, 2400.0), high, Kept, "", "278 mm"),
            ((0.0, 600.0), low, Part, "A", "stile 600 mm"),
            ((604.0, 1024.0), low, Part, "B", "rail 420 mm"),
            ((1028.0, 1448.0), low, Part, "B", "rail 420 mm"),
            ((1452.0, 1580.0), low, Waste, "", ""),
            ((1584.0, 2184.0), low, Part, "A", "stile 600 mm"),
            ((2188.0, 2400.0), low, Waste, "", ""),
        ]
        .iter()
        .map(board_piece)
        .collect(),
        cuts: [76.0, 142.0]
            .map(|at| BoardCut {
                kind: BoardCutKind::Rip,
                at,
                span: (0.0, 2400.0),
                kerf: 4.0,
                label: format!("rip {at}"),
            })
            .into_iter()
            .chain([602., 1026., 1450., 1582., 2186.].map(|at| cross(at, low)))
            .chain([382., 488., 1092., 1696., 2120.].map(|at| cross(at, high)))
            .collect(),
    };
    BoardCuts {
        boards: vec![first, second],
        scale_bar: Some(scale_bar(500.0, "500 mm")),
    }
}

/// Pieces one after another with a kerf between.
fn in_row(start: f64, kerf: f64, pieces: &[(f64, PieceKind, &str, &str)]) -> Vec<BarPiece> {
    let mut at = start;
    let mut out = Vec::new();
    for &(long, kind, letter, label) in pieces {
        out.push(BarPiece {
            span: (at, at + long),
            kind,
            letter: letter.into(),
            label: label.into(),
        });
        at += long + kerf;
    }
    out
}

/// Aluminium section from two bar lengths, and a reel of tape with splices.
pub(crate) fn bars() -> BarPatterns {
    use PieceKind::{Kept, Part, Trim, Waste};
    let bar = |stock: &str, count, note: &str, length, pieces, splices: &[f64]| BarPattern {
        stock: stock.into(),
        count,
        note: note.into(),
        length,
        pieces,
        splices: splices.to_vec(),
    };
    let a = (1840.0, Part, "A", "stile 1,840 mm");
    let b = (912.0, Part, "B", "rail 912 mm");
    let c = (118.0, Part, "C", "corner 118 mm");
    let trim = (20.0, Trim, "", "");
    let mut reel = vec![trim];
    reel.extend([c; 22]);
    reel.push((300.0, Waste, "", ""));
    reel.extend([c; 19]);
    reel.push((160.0, Waste, "", ""));
    let patterns = vec![
        bar(
            "bar 6,000 mm",
            14,
            "left 421 mm kept, yield 92 %",
            6000.0,
            in_row(0.0, 5.0, &[trim, a, a, a, (429.0, Kept, "", "429 mm")]),
            &[],
        ),
        bar(
            "bar 6,000 mm",
            3,
            "yield 97 %",
            6000.0,
            in_row(
                0.0,
                5.0,
                &[trim, a, b, b, b, b, c, c, (221.0, Waste, "", "")],
            ),
            &[],
        ),
        bar(
            "bar 4,500 mm",
            120,
            "yield 96 %",
            4500.0,
            in_row(
                0.0,
                5.0,
                &[trim, b, b, b, b, c, c, c, c, c, (226.0, Waste, "", "")],
            ),
            &[],
        ),
        bar(
            "reel end",
            1,
            "41 pieces past one splice, no piece holds it",
            5500.0,
            in_row(0.0, 4.0, &reel),
            &[2860.0],
        ),
    ];
    BarPatterns {
        patterns,
        scale_bar: Some(scale_bar(1000.0, "1 m")),
    }
}

/// Doors and shelves from veneered board.
pub(crate) fn sheets() -> SheetLayouts {
    use PieceKind::{Kept, Part, Trim, Waste};
    let piece = |x, y, kind, letter: &str, label: &str, turned| SheetPiece {
        x,
        y,
        kind,
        letter: letter.into(),
        label: label.into(),
        turned,
    };
    let cut = |from, to, stage| SheetCut {
        from,
        to,
        kerf: 4.0,
        stage,
    };
    let mut pieces = vec![piece((0.0, 10.0), (0.0, 1220.0), Trim, "", "", false)];
    let mut cuts = vec![cut((12.0, 0.0), (12.0, 1220.0), 1)];
    for column in 0..2 {
        let x = 14.0 + 724.0 * f64::from(column);
        for row in 0..3 {
            let y = 401.0 * f64::from(row);
            let label = "door 720 × 397 mm";
            pieces.push(piece(
                (x, x + 720.0),
                (y, y + 397.0),
                Part,
                "A",
                label,
                false,
            ));
            cuts.push(cut((x, y + 399.0), (x + 720.0, y + 399.0), 2));
        }
        let rest = (1203.0, 1220.0);
        pieces.push(piece((x, x + 720.0), rest, Waste, "", "", false));
        cuts.push(cut((x + 722.0, 0.0), (x + 722.0, 1220.0), 1));
    }
    for row in 0..4 {
        let y = 284.0 * f64::from(row);
        let label = "shelf 560 × 280 mm";
        pieces.push(piece(
            (1462.0, 2022.0),
            (y, y + 280.0),
            Part,
            "B",
            label,
            row == 3,
        ));
        cuts.push(cut((1462.0, y + 282.0), (2022.0, y + 282.0), 2));
    }
    pieces.push(piece(
        (1462.0, 2022.0),
        (1136.0, 1220.0),
        Waste,
        "",
        "",
        false,
    ));
    pieces.push(piece(
        (2026.0, 2440.0),
        (0.0, 1220.0),
        Kept,
        "",
        "414 × 1,220 mm",
        false,
    ));
    cuts.push(cut((2024.0, 0.0), (2024.0, 1220.0), 1));
    let layout = |count, pieces, cuts| SheetLayout {
        stock: "board 2,440 × 1,220 mm".into(),
        count,
        note: "yield 77 %, one remainder kept".into(),
        length: 2440.0,
        width: 1220.0,
        grain: Some(Grain::Along),
        pieces,
        cuts,
    };
    let strips = [(0.0, 600.0), (604.0, 1204.0)];
    let small = strips.into_iter().flat_map(|y| {
        (0..12).map(move |at| {
            let x = 200.0 * f64::from(at);
            piece((x, x + 196.0), y, Part, "C", "side 600 × 196 mm", true)
        })
    });
    let mut small: Vec<SheetPiece> = small.collect();
    small.push(piece((0.0, 2440.0), (1208.0, 1220.0), Waste, "", "", false));
    let level = |y| cut((0.0, y), (2440.0, y), 1);
    let mut small_cuts = vec![level(602.0), level(1206.0)];
    for at in 1..=12 {
        let x = 200.0 * f64::from(at) - 2.0;
        small_cuts.push(cut((x, 0.0), (x, 1204.0), 2));
    }
    SheetLayouts {
        layouts: vec![layout(9, pieces, cuts), layout(2, small, small_cuts)],
        scale_bar: Some(scale_bar(500.0, "500 mm")),
    }
}

/// A block with a rounded end and a slot, staggered holes and two faults.
pub(crate) fn holes() -> DrillPattern {
    let outline = OutlineLoop {
        start: (0.0, 0.0),
        steps: vec![
            OutlineStep::Line { to: (180.0, 0.0) },
            OutlineStep::Arc {
                to: (180.0, 120.0),
                radii: (50.0, 60.0),
                turn_deg: 0.0,
                large: false,
                counter_clockwise: true,
            },
            OutlineStep::Line { to: (0.0, 120.0) },
        ],
    };
    let mut holes = Vec::new();
    let mut order = Vec::new();
    for row in 0..5 {
        let shift = if row % 2 == 1 { 11.0 } else { 0.0 };
        let first = holes.len();
        for column in 0..8 {
            let at = (
                16.0 + 22.0 * f64::from(column) + shift,
                16.0 + 22.0 * f64::from(row),
            );
            let (tool, diameter) = [(0, 8.0), (1, 10.0), (2, 5.0)][row as usize % 3];
            let fault = match (row, column) {
                (2, 0) => "10 mm from the edge, 12 mm needed",
                (3, 5) => "web 2.4 mm to hole 21, 3 mm needed",
                _ => "",
            };
            holes.push(DrawnHole {
                at,
                diameter,
                tool,
                side: [HoleSide::Front, HoleSide::Through, HoleSide::Back][row as usize % 3],
                name: format!("hole {}", holes.len() + 1),
                fault: fault.into(),
            });
        }
        let mut own: Vec<usize> = (first..holes.len()).collect();
        if row % 2 == 1 {
            own.reverse();
        }
        order.extend(own);
    }
    DrillPattern {
        outline: vec![outline, OutlineLoop::ellipse((208.0, 60.0), (8.0, 18.0))],
        holes,
        tools: [
            "T1, 8 mm brad point",
            "T2, 10 mm brad point",
            "T3, 5 mm twist",
        ]
        .map(String::from)
        .to_vec(),
        order,
        start: Some((-14.0, -10.0)),
        park: Some((-14.0, 130.0)),
        length_label: "230 mm".into(),
        width_label: "120 mm".into(),
        scale_bar: Some(scale_bar(50.0, "50 mm")),
    }
}

/// 1,600 holes with one head.
pub(crate) fn many_holes() -> DrillPattern {
    let hole = |at: usize| DrawnHole {
        at: (5.0 + (at % 40) as f64 * 10.0, 5.0 + (at / 40) as f64 * 10.0),
        diameter: 4.0,
        tool: 0,
        side: HoleSide::Front,
        name: String::new(),
        fault: String::new(),
    };
    let order = (0..1600).map(|at| match (at / 40) % 2 {
        0 => at,
        _ => at / 40 * 40 + 39 - at % 40,
    });
    DrillPattern {
        outline: vec![OutlineLoop::polygon(&[
            (0.0, 0.0),
            (400.0, 0.0),
            (400.0, 400.0),
            (0.0, 400.0),
        ])],
        holes: (0..1600).map(hole).collect(),
        tools: vec!["T1, 4 mm".into()],
        order: order.collect(),
        start: Some((-10.0, -10.0)),
        park: Some((410.0, 410.0)),
        length_label: "400 mm".into(),
        width_label: "400 mm".into(),
        scale_bar: None,
    }
}

/// A strip folded round a 600 × 400 mm face, the joint in the lower side.
pub(crate) fn strip() -> FrameStrip {
    let at = [297.6, 692.8, 1288.0, 1683.2];
    let notch = |at: f64| StripNotch {
        at,
        opening: 48.0,
        depth: 24.0,
        label: format!("{at:.1}"),
    };
    let dimension = |from: f64, to: f64, label: &str| StripDimension {
        span: (from, to),
        label: label.into(),
    };
    FrameStrip {
        length: 2005.8,
        width: 30.0,
        length_label: "blank 2,005.8 mm".into(),
        notches: at.map(notch).to_vec(),
        dimensions: vec![
            dimension(0.0, at[0], "297.6"),
            dimension(at[0], at[1], "395.2"),
            dimension(at[1], at[2], "595.2"),
            dimension(at[2], at[3], "395.2"),
            dimension(at[3], 1985.8, "302.6"),
        ],
        lap: Some((1985.8, 2005.8)),
        folded: Some(FoldedFrame {
            corners: vec![(600.0, 0.0), (600.0, 400.0), (0.0, 400.0), (0.0, 0.0)],
            side_labels: ["400 mm", "600 mm", "400 mm", "600 mm"]
                .map(String::from)
                .to_vec(),
            joint: Some((300.0, 0.0)),
            note: "0.5° off at a fold opens its corner by 0.3 mm".into(),
        }),
    }
}

/// Three packs of boards.
pub(crate) fn yields() -> YieldBars {
    let mark = |share: f64| YieldMark {
        share,
        label: format!("{:.1} %", share * 100.0),
    };
    let row = |name: &str, note: &str, plan, simple, bound| YieldRow {
        name: name.into(),
        note: note.into(),
        plan: mark(plan),
        simple: Some(mark(simple)),
        bound: Some(mark(bound)),
    };
    YieldBars {
        rows: vec![
            row("pack 1", "84 boards, long list", 0.684, 0.571, 0.702),
            row("pack 2", "112 boards, short list", 0.741, 0.663, 0.744),
            row("pack 3", "40 boards, low grade", 0.412, 0.298, 0.455),
        ],
    }
}
