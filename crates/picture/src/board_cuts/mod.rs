//! Board cuts: boards to scale with their marks, the cuts and what each cut gives.

mod draw;
mod fold;

use draw::{MOST_EACH, MarkInks};
use fold::{Fold, Row};

use crate::frame::{Frame, nothing_to_draw};
use crate::ink::{Area, Sheet, Words};
use crate::lettering::{self, figure};
use crate::scale::amount;
use crate::stock::{Look, PieceKind, ScaleBar, Stock, draw_heading, draw_left_out, draw_scale_bar};

/// Which faces of the board a mark shows on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MarkFace {
    /// The face that is drawn.
    Face,
    /// The face that lies down.
    Back,
    /// Both.
    Through,
}

/// A fault marked on a board.
#[derive(Clone, Debug, PartialEq)]
pub struct BoardMark {
    /// From and to along the board.
    pub along: (f64, f64),
    /// From and to across the board, from its lower edge.
    pub across: (f64, f64),
    /// Where it shows.
    pub face: MarkFace,
    /// Whether it may stay in a part that need only be sound (a tight knot, stain).
    pub sound: bool,
    /// Kept free on every side of it; drawn lightly.
    pub margin: f64,
    /// A word or two, for example `knot`; may be empty.
    pub label: String,
}

/// Along or across the grain.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BoardCutKind {
    /// Along the board, at a distance from its lower edge.
    Rip,
    /// Across the board, at a distance from its left end.
    Cross,
}

/// One saw cut.
#[derive(Clone, Debug, PartialEq)]
pub struct BoardCut {
    /// Along or across.
    pub kind: BoardCutKind,
    /// Middle of the kerf.
    pub at: f64,
    /// From and to in the direction of the cut.
    pub span: (f64, f64),
    /// Width of the kerf.
    pub kerf: f64,
    /// Its place as text, for example `1,240`; shown where there is room. May be empty.
    pub label: String,
}

/// What lies between the cuts.
#[derive(Clone, Debug, PartialEq)]
pub struct BoardPiece {
    /// From and to along the board.
    pub along: (f64, f64),
    /// From and to across the board, from its lower edge.
    pub across: (f64, f64),
    /// What becomes of it.
    pub kind: PieceKind,
    /// Short mark of the part, for example `A`; the key explains it.
    pub letter: String,
    /// Name and size, for example `rail 420 × 60 mm`.
    pub label: String,
}

/// One board.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DrawnBoard {
    /// Which board, for example `board 12`.
    pub name: String,
    /// Size, yield and the like, for example `3.05 m × 152 mm, yield 78 %`; may be empty.
    pub note: String,
    /// Length along the grain.
    pub length: f64,
    /// Width.
    pub width: f64,
    /// Faults.
    pub marks: Vec<BoardMark>,
    /// Parts, waste and trims.
    pub pieces: Vec<BoardPiece>,
    /// Saw cuts.
    pub cuts: Vec<BoardCut>,
}

/// Boards to one scale. All lengths are in one unit of the caller's choice.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BoardCuts {
    /// Boards from top to bottom.
    pub boards: Vec<DrawnBoard>,
    /// A known length to measure by.
    pub scale_bar: Option<ScaleBar>,
}

/// Boards that are drawn; the picture says how many more there are.
const MOST_BOARDS: usize = 40;
/// Room left and right of a board for cuts and breaks.
const SIDE: f64 = 5.0;

/// Draws boards to scale with marks, margins, cuts and parts. A long board goes on in further rows,
/// with the break lines of a workshop drawing, rather than shrink until its parts cannot be read.
pub fn board_cuts(frame: &Frame, cuts: &BoardCuts) -> String {
    let real = |board: &&DrawnBoard| amount(board.length) > 0.0 && amount(board.width) > 0.0;
    let boards: Vec<&DrawnBoard> = cuts.boards.iter().filter(real).take(MOST_BOARDS).collect();
    if boards.is_empty() {
        return nothing_to_draw(frame, "no boards");
    }
    let left_out = cuts.boards.len() - boards.len();
    let mut sheet = Sheet::new(frame);
    let most_rows = if sheet.narrow() { 5.0 } else { 3.0 };
    let right = right_room(&boards);
    let fold = Fold::of(&boards, sheet.width() - 2.0 * SIDE - right, most_rows);
    let inks = (
        Stock::of(&mut sheet, boards.iter().flat_map(|board| looks(board))),
        MarkInks::of(&mut sheet),
    );
    let mut top = 0.0;
    for board in &boards {
        top += draw_board(&mut sheet, board, &fold, (&inks.0, &inks.1), top) + 8.0;
    }
    top += draw_left_out(&mut sheet, top, left_out, "boards are not drawn");
    top += inks.1.draw_key(&mut sheet, top, &boards);
    top += draw_remarks(&mut sheet, top, &boards, &fold);
    top += inks.0.draw_key(&mut sheet, top);
    top += draw_scale_bar(&mut sheet, top, cuts.scale_bar.as_ref(), fold.px);
    sheet.finish(frame, top + 2.0)
}

fn looks(board: &DrawnBoard) -> impl Iterator<Item = Look<'_>> {
    board.pieces.iter().take(MOST_EACH).map(|piece| Look {
        kind: piece.kind,
        letter: &piece.letter,
        label: &piece.label,
    })
}

/// Room for the places of rip cuts at the right ends.
fn right_room(boards: &[&DrawnBoard]) -> f64 {
    let rips = boards.iter().flat_map(|board| &board.cuts);
    rips.filter(|cut| cut.kind == BoardCutKind::Rip)
        .map(|cut| lettering::width(&cut.label, 10.0, false) + 4.0)
        .fold(0.0, f64::max)
        .min(64.0)
}

/// Draws a board with its heading; gives the height it took.
fn draw_board(
    sheet: &mut Sheet,
    board: &DrawnBoard,
    fold: &Fold,
    (stock, inks): (&Stock, &MarkInks),
    top: f64,
) -> f64 {
    let room = sheet.width();
    let mut y = top + draw_heading(sheet, (0.0, top), room, (&board.name, None), &board.note);
    let height = fold.height(board);
    let above = if board.marks.is_empty() { 7.0 } else { 27.0 };
    let below = if board.cuts.iter().any(names_a_place) {
        19.0
    } else {
        7.0
    };
    let rows = fold.rows(board);
    for (at, &span) in rows.iter().enumerate() {
        let row = Row {
            span,
            broken: (at > 0, at + 1 < rows.len()),
            area: Area::new(SIDE, y + above, (span.1 - span.0) * fold.px, height),
            px: (fold.px, height / amount(board.width)),
        };
        draw::draw_row(sheet, board, &row, (stock, inks));
        y += above + height + below;
    }
    y += draw_cut_short(sheet, y, board);
    y - top
}

fn names_a_place(cut: &BoardCut) -> bool {
    cut.kind == BoardCutKind::Cross && !cut.label.is_empty()
}

/// Says what of an overfull board is not drawn; gives the height it took.
fn draw_cut_short(sheet: &mut Sheet, top: f64, board: &DrawnBoard) -> f64 {
    let counts = [board.marks.len(), board.pieces.len(), board.cuts.len()];
    let beyond: usize = counts
        .iter()
        .map(|count| count.saturating_sub(MOST_EACH))
        .sum();
    draw_left_out(
        sheet,
        top,
        beyond,
        "marks, pieces and cuts of this board are not drawn",
    )
}

/// What the eye cannot know: margins, breaks, widths that are not to scale.
fn draw_remarks(sheet: &mut Sheet, top: f64, boards: &[&DrawnBoard], fold: &Fold) -> f64 {
    let mut remarks = Vec::new();
    let mut marks = boards.iter().flat_map(|board| &board.marks);
    if marks.any(|mark| amount(mark.margin) > 0.0) {
        remarks.push("dotted: margin kept free about a mark".to_owned());
    }
    if boards.iter().any(|board| fold.rows(board).len() > 1) {
        remarks.push("zigzag: the board goes on in the next row".to_owned());
    }
    if fold.stretch > 1.05 {
        remarks.push(format!(
            "widths drawn {} times too large",
            figure(fold.stretch)
        ));
    }
    let room = sheet.width();
    for (at, remark) in remarks.iter().enumerate() {
        let y = top + 11.0 + 15.0 * at as f64;
        sheet.words_within(Words::at(0.0, y).size(11.0).soft(), remark, room);
    }
    15.0 * remarks.len() as f64 + if remarks.is_empty() { 0.0 } else { 4.0 }
}
