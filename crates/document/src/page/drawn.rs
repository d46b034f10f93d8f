//! From plans to the pictures' plain data: cutting and drilling in millimetres here, heat in its own room.

pub(super) mod beside;
pub(super) mod heat;

use drilling::outline::{Arc, Contour, Edge, Outline};
use picture::{
    BarPattern, BarPatterns, BarPiece, BoardCut, BoardCutKind, BoardCuts, BoardMark, BoardPiece,
    DrawnBoard, DrawnHole, DrillPattern, FoldedFrame, FrameStrip, Grain, HoleSide, MarkFace,
    OutlineLoop, OutlineStep, PieceKind, ScaleBar, SheetCut, SheetLayout, SheetLayouts, SheetPiece,
    StripDimension, StripNotch, YieldBars, YieldMark, YieldRow,
};
use planning::cutting::{
    self, BarWork, BoardLine, BoardWork, CutPlan, FrameBlank, PartLine, Rectangle, SheetWork,
};
use planning::drilling::DrillPlan;
use works::{Cut, CutStock, Face, Stated, Works};

use crate::block::Value;
use crate::table;

/// Boards that are drawn: more than a page of them is read in the cut list.
const BOARDS: usize = 8;

fn mm(metres: f64) -> f64 {
    metres * 1e3
}

/// Name and size of a part.
fn label(part: &PartLine) -> String {
    match part.width_m {
        Some(width) => format!(
            "{} {} × {}",
            part.name,
            table::length_words(part.length_m),
            table::length_words(width)
        ),
        None => format!("{} {}", part.name, table::length_words(part.length_m)),
    }
}

/// A round length near a fifth of what is drawn, to measure by.
fn scale_bar(longest_mm: f64) -> Option<ScaleBar> {
    let aim = longest_mm / 5.0;
    if !(aim.is_finite() && aim > 0.0) {
        return None;
    }
    let power = 10_f64.powf(aim.log10().floor());
    let steps = [5.0, 2.0, 1.0];
    let length = steps
        .iter()
        .map(|step| step * power)
        .find(|length| *length <= aim)
        .unwrap_or(power);
    Some(ScaleBar {
        length,
        label: table::length_words(length / 1e3),
    })
}

/// Yields of boards: best cuts, from the left end, and what no cutting exceeds.
pub(super) fn yields(plan: &CutPlan, work: &BoardWork) -> YieldBars {
    let mark = |share: f64| YieldMark {
        share,
        label: Value::Share(share).show(),
    };
    let row = YieldRow {
        name: plan.name.clone(),
        note: format!("{} measured boards", work.measured),
        plan: mark(work.best_share),
        simple: Some(mark(work.simple_share)),
        bound: Some(mark(work.bound_share.min(1.0))),
    };
    YieldBars { rows: vec![row] }
}

/// The measured boards with most cuts to think about, drawn with their marks.
pub(super) fn boards(works: &Works, plan: &CutPlan, work: &BoardWork) -> BoardCuts {
    let operation = works.operation(plan.operation);
    let Some((cut, CutStock::Boards(stock))) =
        operation.cut.as_deref().map(|cut| (cut, &cut.stock))
    else {
        return BoardCuts::default();
    };
    let faulty = |line: &&BoardLine| !stock.measured[line.number].marks.is_empty();
    let drawn: Vec<DrawnBoard> = work
        .boards
        .iter()
        .filter(faulty)
        .take(BOARDS)
        .map(|line| board(plan, cut, stock, line))
        .collect();
    let longest = drawn.iter().map(|board| board.length).fold(0.0, f64::max);
    BoardCuts {
        boards: drawn,
        scale_bar: scale_bar(longest),
    }
}

fn board(plan: &CutPlan, cut: &Cut, stock: &works::Boards, line: &BoardLine) -> DrawnBoard {
    let board = &stock.measured[line.number];
    let margin = mm(stock.margin_along.mean());
    let mark = |mark: &works::Mark| BoardMark {
        along: (mm(mark.from_m), mm(mark.to_m)),
        across: (mm(mark.low_m), mm(mark.high_m)),
        face: match mark.face {
            Face::Front => MarkFace::Face,
            Face::Back => MarkFace::Back,
            Face::Through => MarkFace::Through,
        },
        sound: mark.sound,
        margin,
        label: mark.fault.clone().unwrap_or_default(),
    };
    let kerf = mm(cut.kerf.cross.as_ref().map_or(0.0, Stated::mean));
    DrawnBoard {
        name: format!("board {}", line.name),
        note: format!(
            "{} × {}, {} used",
            table::length_words(board.length_m),
            table::length_words(board.width_m),
            Value::Share(line.share).show()
        ),
        length: mm(board.length_m),
        width: mm(board.width_m),
        marks: board.marks.iter().map(mark).collect(),
        pieces: pieces(plan, line, mm(board.length_m), mm(board.width_m)),
        cuts: cross_cuts(line, mm(board.length_m), kerf),
    }
}

/// Parts in their places, and for boards cut across only the waste between them.
fn pieces(plan: &CutPlan, line: &BoardLine, length: f64, width: f64) -> Vec<BoardPiece> {
    let part = |placed: &cutting::PlacedPart| {
        let part = &plan.parts[placed.part];
        BoardPiece {
            along: (mm(placed.from_m), mm(placed.to_m)),
            across: (mm(placed.low_m), mm(placed.high_m)),
            kind: PieceKind::Part,
            letter: part.letter.clone(),
            label: label(part),
        }
    };
    let mut pieces: Vec<BoardPiece> = line.parts.iter().map(part).collect();
    if line.order_words() != "across only" && line.parts.iter().any(|p| mm(p.high_m) < width - 1.0)
    {
        return pieces;
    }
    let mut from = 0.0;
    let mut ends: Vec<(f64, f64)> = pieces.iter().map(|piece| piece.along).collect();
    ends.push((length, length));
    for (start, end) in ends {
        if start - from > 1.0 {
            pieces.push(BoardPiece {
                along: (from, start),
                across: (0.0, width),
                kind: PieceKind::Waste,
                letter: String::new(),
                label: String::new(),
            });
        }
        from = end;
    }
    pieces
}

/// Cuts across at both ends of every part.
fn cross_cuts(line: &BoardLine, length: f64, kerf: f64) -> Vec<BoardCut> {
    let mut at: Vec<(f64, (f64, f64))> = Vec::new();
    for placed in &line.parts {
        let span = (mm(placed.low_m), mm(placed.high_m));
        let (start, end) = (mm(placed.from_m), mm(placed.to_m));
        if start > 0.0 {
            at.push((start - kerf / 2.0, span));
        }
        if end < length {
            at.push((end + kerf / 2.0, span));
        }
    }
    at.sort_by(|a, b| a.0.total_cmp(&b.0));
    at.dedup_by(|a, b| (a.0 - b.0).abs() < 0.05 && a.1 == b.1);
    at.into_iter()
        .map(|(at, span)| BoardCut {
            kind: BoardCutKind::Cross,
            at,
            span,
            kerf,
            label: quantity::show_number(at.round()),
        })
        .collect()
}

/// The patterns of bars.
pub(super) fn bars(plan: &CutPlan, work: &BarWork) -> BarPatterns {
    let pattern = |pattern: &cutting::BarPattern| {
        let stock = &plan.stock[pattern.stock];
        let rest: f64 = pattern.stretches.iter().map(|stretch| stretch.rest_m).sum();
        BarPattern {
            stock: format!("length of {}", table::length_words(stock.length_m)),
            count: pattern.count,
            note: format!("{} left", table::length_words(rest)),
            length: mm(stock.length_m),
            pieces: pattern
                .stretches
                .iter()
                .flat_map(|stretch| bar_pieces(plan, work, stretch))
                .collect(),
            splices: pattern
                .stretches
                .iter()
                .skip(1)
                .map(|stretch| mm(stretch.from_m))
                .collect(),
        }
    };
    let patterns: Vec<BarPattern> = work.patterns.iter().map(pattern).collect();
    let longest = patterns.iter().map(|p| p.length).fold(0.0, f64::max);
    BarPatterns {
        patterns,
        scale_bar: scale_bar(longest),
    }
}

fn bar_pieces(plan: &CutPlan, work: &BarWork, stretch: &cutting::Stretch) -> Vec<BarPiece> {
    let trim = work.head_trim_m(stretch);
    let mut at = stretch.from_m + trim;
    let mut pieces = Vec::new();
    let plain = |span: (f64, f64), kind: PieceKind, label: String| BarPiece {
        span: (mm(span.0), mm(span.1)),
        kind,
        letter: String::new(),
        label,
    };
    if trim > 0.0 {
        pieces.push(plain((stretch.from_m, at), PieceKind::Trim, String::new()));
    }
    for &(number, count) in &stretch.parts {
        let part = &plan.parts[number];
        for _ in 0..count {
            pieces.push(BarPiece {
                span: (mm(at), mm(at + part.length_m)),
                kind: PieceKind::Part,
                letter: part.letter.clone(),
                label: label(part),
            });
            at += part.length_m + work.kerf_m;
        }
    }
    if stretch.rest_m > 0.0 {
        let kept = work
            .kept
            .iter()
            .any(|(length, _)| (length - stretch.rest_m).abs() < 1e-6);
        let kind = if kept {
            PieceKind::Kept
        } else {
            PieceKind::Waste
        };
        let words = table::length_words(stretch.rest_m);
        pieces.push(plain((at, at + stretch.rest_m), kind, words));
    }
    pieces
}

/// The layouts of sheets.
pub(super) fn sheets(works: &Works, plan: &CutPlan, work: &SheetWork) -> SheetLayouts {
    let cut = works.operation(plan.operation).cut.as_deref();
    let grain = cut.is_some_and(|cut| cut.parts.iter().any(|part| !part.turn));
    let layout = |layout: &cutting::SheetLayout| {
        let stock = &plan.stock[layout.stock];
        let width = stock.width_m.unwrap_or(0.0);
        let parts = layout.parts.iter().map(|placed| {
            let part = &plan.parts[placed.part];
            let (letter, words) = (part.letter.clone(), label(part));
            sheet_piece(&placed.at, PieceKind::Part, letter, words, placed.turned)
        });
        let kept = layout.kept.iter().map(|rest| {
            let words = String::from("kept");
            sheet_piece(rest, PieceKind::Kept, String::new(), words, false)
        });
        SheetLayout {
            stock: format!(
                "sheet {} × {}",
                table::length_words(stock.length_m),
                table::length_words(width)
            ),
            count: layout.count,
            note: format!("{} used", Value::Share(layout.share).show()),
            length: mm(stock.length_m),
            width: mm(width),
            grain: grain.then_some(Grain::Along),
            pieces: parts.chain(kept).collect(),
            cuts: layout
                .cuts
                .iter()
                .map(|cut| sheet_cut(cut, mm(work.kerf_m)))
                .collect(),
        }
    };
    let layouts: Vec<SheetLayout> = work.layouts.iter().map(layout).collect();
    let longest = layouts.iter().map(|l| l.length).fold(0.0, f64::max);
    SheetLayouts {
        layouts,
        scale_bar: scale_bar(longest),
    }
}

fn sheet_piece(
    at: &Rectangle,
    kind: PieceKind,
    letter: String,
    label: String,
    turned: bool,
) -> SheetPiece {
    SheetPiece {
        x: (mm(at.x_m), mm(at.x_m + at.length_m)),
        y: (mm(at.y_m), mm(at.y_m + at.width_m)),
        kind,
        letter,
        label,
        turned,
    }
}

fn sheet_cut(cut: &cutting::SheetCut, kerf: f64) -> SheetCut {
    let at = mm(cut.at_m) + kerf / 2.0;
    let (from, to) = (mm(cut.from_m), mm(cut.to_m));
    let (from, to) = if cut.along_length {
        ((from, at), (to, at))
    } else {
        ((at, from), (at, to))
    };
    SheetCut {
        from,
        to,
        kerf,
        stage: u8::try_from(cut.stage).unwrap_or(u8::MAX),
    }
}

/// A frame and the strip that it is folded from. The strip begins in the middle of the upper side.
pub(super) fn frame(blank: &FrameBlank) -> FrameStrip {
    let (width, height) = (mm(blank.width_m), mm(blank.height_m));
    let words = |metres: f64| table::length_words(metres);
    let notches: Vec<StripNotch> = blank
        .notches
        .iter()
        .map(|notch| StripNotch {
            at: mm(notch.at_m),
            opening: mm(notch.width_m),
            depth: mm(blank.flange_m),
            label: words(notch.at_m),
        })
        .collect();
    let between = blank.notches.windows(2).map(|pair| StripDimension {
        span: (mm(pair[0].at_m), mm(pair[1].at_m)),
        label: words(pair[1].at_m - pair[0].at_m),
    });
    FrameStrip {
        length: mm(blank.length_m),
        // The flange is what is notched; the face of the strip is drawn as wide again.
        width: mm(blank.flange_m) * 2.0,
        length_label: words(blank.length_m),
        dimensions: between.collect(),
        lap: (blank.lap_m > 0.0).then(|| (mm(blank.length_m - blank.lap_m), mm(blank.length_m))),
        folded: Some(FoldedFrame {
            corners: vec![(width, height), (width, 0.0), (0.0, 0.0), (0.0, height)],
            side_labels: vec![
                words(blank.height_m),
                words(blank.width_m),
                words(blank.height_m),
                words(blank.width_m),
            ],
            joint: Some((width / 2.0, height)),
            note: blank.corner_gap_m.map_or_else(String::new, |gap| {
                format!("a fold at its limit opens {:.2} mm at the mitre", mm(gap))
            }),
        }),
        notches,
    }
}

/// Holes of the first face, in order, with what is wrong.
pub(super) fn drill(plan: &DrillPlan) -> DrillPattern {
    let face = plan.holes.first().map_or(1, |hole| hole.face);
    let here: Vec<usize> = (0..plan.holes.len())
        .filter(|&number| plan.holes[number].face == face)
        .collect();
    let hole = |&number: &usize| {
        let hole = &plan.holes[number];
        let broken = plan
            .broken
            .iter()
            .find(|broken| broken.holes.contains(&number));
        DrawnHole {
            at: (mm(hole.x_m), mm(hole.y_m)),
            diameter: mm(hole.diameter_m),
            tool: hole.tool,
            side: if hole.through {
                HoleSide::Through
            } else {
                HoleSide::Front
            },
            name: format!("hole {}, {} mm", number + 1, mm(hole.diameter_m)),
            fault: broken.map_or_else(String::new, |broken| broken.words.clone()),
        }
    };
    let bounds = plan.outline.outer().bounds();
    let order = way(plan);
    let park = plan
        .order
        .as_ref()
        .map(|order| (mm(order.park_m.0), mm(order.park_m.1)));
    DrillPattern {
        outline: loops(&plan.outline),
        holes: here.iter().map(hole).collect(),
        tools: plan.tools.iter().map(|tool| tool.name.clone()).collect(),
        order: if plan.order.is_some() {
            order
                .iter()
                .filter_map(|hole| here.iter().position(|number| number == hole))
                .collect()
        } else {
            Vec::new()
        },
        start: park,
        park,
        length_label: table::length_words(bounds.width_m()),
        width_label: table::length_words(bounds.height_m()),
        scale_bar: scale_bar(mm(bounds.width_m().max(bounds.height_m()))),
    }
}

/// The holes that the first head in use goes to, in order: all of them where there is one head.
fn way(plan: &DrillPlan) -> Vec<usize> {
    let strokes = plan.order.iter().flat_map(|order| &order.strokes);
    strokes
        .filter_map(|stroke| stroke.heads.iter().flatten().next().copied())
        .collect()
}

fn loops(outline: &Outline) -> Vec<OutlineLoop> {
    let contour = |contour: &Contour| match contour {
        Contour::Ellipse(ellipse) => OutlineLoop::ellipse(
            (mm(ellipse.centre.x), mm(ellipse.centre.y)),
            (mm(ellipse.half_x_m), mm(ellipse.half_y_m)),
        ),
        Contour::Edges(edges) => OutlineLoop {
            start: edges
                .first()
                .map_or((0.0, 0.0), |edge| (mm(edge.from().x), mm(edge.from().y))),
            steps: edges.iter().map(step).collect(),
        },
    };
    outline.contours().map(contour).collect()
}

fn step(edge: &Edge) -> OutlineStep {
    let to = (mm(edge.to().x), mm(edge.to().y));
    match edge {
        Edge::Line(_) => OutlineStep::Line { to },
        Edge::Arc(Arc {
            radius_m,
            sweep_rad,
            ..
        }) => OutlineStep::Arc {
            to,
            radii: (mm(*radius_m), mm(*radius_m)),
            turn_deg: 0.0,
            large: sweep_rad.abs() > std::f64::consts::PI,
            counter_clockwise: *sweep_rad > 0.0,
        },
    }
}
