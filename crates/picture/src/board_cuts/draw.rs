//! One row of a board: pieces, marks with their margins, cuts and the words about them.

use std::fmt::Write as _;

use super::fold::Row;
use super::{BoardCut, BoardCutKind, BoardMark, BoardPiece, DrawnBoard, MarkFace};
use crate::ink::{Area, Num, Ruling, Sheet, Style, Words};
use crate::lettering;
use crate::palette::{INK, PAPER, SOFT};
use crate::room::Taken;
use crate::scale::amount;
use crate::stock::{Look, Stock, span_within, write_on};

/// Marks, pieces and cuts of one board that are drawn; no board on paper has more.
pub(super) const MOST_EACH: usize = 400;
/// How far cuts stand out over the edges of the board.
const OVERHANG: f64 = 4.0;
/// Least width of a kerf in pixels.
const THINNEST: f64 = 1.4;

/// The six rulings of marks: way of the lines by face, weight by soundness.
pub(super) struct MarkInks([String; 6]);

const FACES: [(MarkFace, Ruling, &str); 3] = [
    (MarkFace::Face, Ruling::Rising, "face"),
    (MarkFace::Back, Ruling::Falling, "back"),
    (MarkFace::Through, Ruling::Both, "through"),
];

impl MarkInks {
    pub(super) fn of(sheet: &mut Sheet) -> Self {
        let mut ruled = |at: usize, sound: bool| {
            let (_, way, name) = FACES[at];
            let (token, weight) = if sound { (SOFT, 0.7) } else { (INK, 2.0) };
            let name = format!("{name}-{}", if sound { "sound" } else { "unsound" });
            sheet.ruled(&name, way, (token, weight), PAPER)
        };
        Self([
            ruled(0, false),
            ruled(1, false),
            ruled(2, false),
            ruled(0, true),
            ruled(1, true),
            ruled(2, true),
        ])
    }

    fn style(&self, face: MarkFace, sound: bool) -> Style {
        let at = FACES.iter().position(|entry| entry.0 == face).unwrap_or(0);
        let style = Style::pattern(&self.0[at + if sound { 3 } else { 0 }]);
        if sound {
            style.edged(SOFT, 0.9)
        } else {
            style.edged(INK, 1.3)
        }
    }

    /// Explains the marks that occur; gives the height it took.
    pub(super) fn draw_key(&self, sheet: &mut Sheet, top: f64, boards: &[&DrawnBoard]) -> f64 {
        let occurs = |face, sound| {
            let mut marks = boards.iter().flat_map(|board| &board.marks);
            marks.any(|mark| mark.face == face && mark.sound == sound)
        };
        let mut samples = Vec::new();
        for (face, _, word) in FACES {
            for sound in [false, true] {
                if occurs(face, sound) {
                    let soundness = if sound { "sound" } else { "unsound" };
                    let meaning = format!("{} {word}, {soundness}", code(face, sound));
                    samples.push((self.style(face, sound), meaning));
                }
            }
        }
        let room = sheet.width() - 1.0;
        let wide = 16.0;
        sheet.key_of((1.0, top), room, wide, &samples, |sheet, area, style| {
            sheet.rect(area, style);
        })
    }
}

/// One letter for the face, a capital when unsound.
fn code(face: MarkFace, sound: bool) -> &'static str {
    match (face, sound) {
        (MarkFace::Face, false) => "F",
        (MarkFace::Face, true) => "f",
        (MarkFace::Back, false) => "B",
        (MarkFace::Back, true) => "b",
        (MarkFace::Through, false) => "T",
        (MarkFace::Through, true) => "t",
    }
}

/// Draws one row of a board.
pub(super) fn draw_row(
    sheet: &mut Sheet,
    board: &DrawnBoard,
    row: &Row,
    (stock, inks): (&Stock, &MarkInks),
) {
    sheet.rect(row.area, &Style::filled(PAPER).edged(INK, 1.2));
    let pieces = || board.pieces.iter().take(MOST_EACH);
    let marks = || board.marks.iter().take(MOST_EACH);
    for piece in pieces() {
        if let Some(area) = area_of_piece(board, row, piece) {
            stock.draw(sheet, area, look(piece));
        }
    }
    for mark in marks() {
        draw_margin(sheet, board, row, mark);
    }
    for mark in marks() {
        if let Some(area) = area_of_mark(board, row, mark) {
            sheet.rect_told(area, &inks.style(mark.face, mark.sound), &told(mark));
        }
    }
    let mut taken = Taken::default();
    for cut in board.cuts.iter().take(MOST_EACH) {
        draw_cut(sheet, board, row, cut, &mut taken);
    }
    draw_breaks(sheet, row);
    for mark in marks() {
        write_mark(sheet, board, row, mark, &mut taken);
    }
    for piece in pieces() {
        write_piece(sheet, board, row, piece, &mut taken);
    }
}

fn look(piece: &BoardPiece) -> Look<'_> {
    Look {
        kind: piece.kind,
        letter: &piece.letter,
        label: &piece.label,
    }
}

fn area_of_piece(board: &DrawnBoard, row: &Row, piece: &BoardPiece) -> Option<Area> {
    let along = span_within(piece.along, amount(board.length))?;
    let across = span_within(piece.across, amount(board.width))?;
    row.area_of(along, across)
}

/// The mark as drawn: never too small to be seen.
fn area_of_mark(board: &DrawnBoard, row: &Row, mark: &BoardMark) -> Option<Area> {
    let along = span_within(mark.along, amount(board.length))?;
    let across = span_within(mark.across, amount(board.width))?;
    let area = row.area_of(along, across)?;
    let (w, h) = (area.w.max(3.0), area.h.max(3.0));
    let right = row.area.x + row.area.w;
    let bottom = row.area.y + row.area.h;
    Some(Area::new(
        (area.x - (w - area.w) / 2.0).min(right - w).max(row.area.x),
        (area.y - (h - area.h) / 2.0)
            .min(bottom - h)
            .max(row.area.y),
        w,
        h,
    ))
}

fn draw_margin(sheet: &mut Sheet, board: &DrawnBoard, row: &Row, mark: &BoardMark) {
    let margin = amount(mark.margin);
    let wider = |(a, b): (f64, f64)| (a.min(b) - margin, a.max(b) + margin);
    let along = span_within(wider(mark.along), amount(board.length));
    let across = span_within(wider(mark.across), amount(board.width));
    let area = along.zip(across).and_then(|(u, v)| row.area_of(u, v));
    if let Some(area) = area.filter(|_| margin > 0.0) {
        sheet.rect(area, &Style::line(SOFT, 0.8).dashed("1.5 1.5"));
    }
}

/// The kerf to scale, and its place where there is room.
fn draw_cut(sheet: &mut Sheet, board: &DrawnBoard, row: &Row, cut: &BoardCut, taken: &mut Taken) {
    let half = amount(cut.kerf) / 2.0;
    let kerf = (cut.at - half, cut.at + half);
    match cut.kind {
        BoardCutKind::Rip => draw_rip(sheet, board, row, (cut, kerf), taken),
        BoardCutKind::Cross => draw_cross(sheet, board, row, (cut, kerf), taken),
    }
}

/// A rip cut; its place stands at the right end of the board.
fn draw_rip(
    sheet: &mut Sheet,
    board: &DrawnBoard,
    row: &Row,
    (cut, kerf): (&BoardCut, (f64, f64)),
    taken: &mut Taken,
) {
    let length = amount(board.length);
    let spans = span_within(cut.span, length).zip(span_within(kerf, amount(board.width)));
    let Some(area) = spans.and_then(|(along, across)| row.area_of(along, across)) else {
        return;
    };
    let high = area.h.max(THINNEST);
    let middle = area.y + area.h / 2.0;
    let area = Area::new(area.x, middle - high / 2.0, area.w, high);
    sheet.rect_told(area, &Style::filled(INK), &told_of_cut(cut));
    if row.holds(cut.span.0.max(cut.span.1).min(length)) {
        let right = row.area.x + row.area.w + 4.0;
        let place = Words::at(right, middle + 3.5).size(10.0).soft();
        taken.write(sheet, place, &cut.label);
    }
}

/// A cross cut, standing out over the edges it reaches; its place stands below the board.
fn draw_cross(
    sheet: &mut Sheet,
    board: &DrawnBoard,
    row: &Row,
    (cut, kerf): (&BoardCut, (f64, f64)),
    taken: &mut Taken,
) {
    let length = amount(board.length);
    let spans = span_within(kerf, length).zip(span_within(cut.span, amount(board.width)));
    let area = spans.and_then(|(along, across)| row.area_of(along, across));
    let Some(area) = area.filter(|_| row.holds(cut.at.clamp(0.0, length))) else {
        return;
    };
    let bottom = row.area.y + row.area.h;
    let over = |reaches: bool| if reaches { OVERHANG } else { 0.0 };
    let above = over(area.y <= row.area.y + 0.5);
    let below = over(area.y + area.h >= bottom - 0.5);
    let wide = area.w.max(THINNEST);
    let middle = area.x + area.w / 2.0;
    let (top, high) = (area.y - above, area.h + above + below);
    let area = Area::new(middle - wide / 2.0, top, wide, high);
    sheet.rect_told(area, &Style::filled(INK), &told_of_cut(cut));
    if below > 0.0 {
        let place = Words::at(middle, bottom + 14.0).size(10.0).soft();
        taken.write(sheet, place.middle(), &cut.label);
    }
}

fn told_of_cut(cut: &BoardCut) -> String {
    format!("saw cut {}", cut.label).trim().to_owned()
}

/// The zigzag of a drawing where a long thing is broken off.
fn draw_breaks(sheet: &mut Sheet, row: &Row) {
    let right = row.area.x + row.area.w;
    if row.broken.0 {
        draw_break(sheet, row, row.area.x, -6.0);
    }
    if row.broken.1 {
        draw_break(sheet, row, right, 6.0);
    }
}

/// A zigzag at `x`; what lies beyond it, up to `beyond`, is covered with paper.
fn draw_break(sheet: &mut Sheet, row: &Row, x: f64, beyond: f64) {
    let (top, bottom) = (row.area.y - 2.0, row.area.y + row.area.h + 2.0);
    let teeth = ((bottom - top) / 9.0).round().max(2.0);
    let step = (bottom - top) / teeth;
    let mut line = format!("M{} {}", Num(x), Num(top));
    for tooth in 0..teeth as u32 {
        let y = top + step * f64::from(tooth);
        let inward = x - beyond.signum() * 3.5;
        let _ = write!(
            line,
            "L{} {}L{} {}",
            Num(inward),
            Num(y + step / 2.0),
            Num(x),
            Num(y + step)
        );
    }
    let cover = format!("{line}H{}V{}z", Num(x + beyond / 3.0), Num(top));
    sheet.path(&cover, &Style::filled(PAPER));
    sheet.path(&line, &Style::line(INK, 1.0));
}

/// Letter and size; a part that is broken off is marked so on both sides of the break.
fn write_piece(
    sheet: &mut Sheet,
    board: &DrawnBoard,
    row: &Row,
    piece: &BoardPiece,
    taken: &mut Taken,
) {
    let Some(area) = area_of_piece(board, row, piece) else {
        return;
    };
    let (from, to) = (
        piece.along.0.min(piece.along.1),
        piece.along.0.max(piece.along.1),
    );
    let goes_on = row.broken.1 && to > row.span.1;
    let came_from = row.broken.0 && from < row.span.0;
    let extra = if goes_on || came_from { "\u{2026}" } else { "" };
    // Words over a mark, or over the line that leads down to one, need a rim to be read.
    let mut marks = Taken::default();
    for mark in board.marks.iter().take(MOST_EACH) {
        if let Some(mark) = area_of_mark(board, row, mark) {
            let leader = mark.y - row.area.y;
            marks.block(mark);
            marks.block(Area::new(mark.x + mark.w / 2.0, row.area.y, 0.8, leader));
        }
    }
    let patterned = !marks.is_free(area);
    write_on(sheet, taken, area, (look(piece), extra), patterned);
}

/// The code of a mark above the board with its word where that fits, and a fine line down to it.
fn write_mark(
    sheet: &mut Sheet,
    board: &DrawnBoard,
    row: &Row,
    mark: &BoardMark,
    taken: &mut Taken,
) {
    let Some(area) = area_of_mark(board, row, mark) else {
        return;
    };
    let middle_along = f64::midpoint(mark.along.0, mark.along.1);
    if !row.holds(middle_along.clamp(0.0, amount(board.length))) {
        return;
    }
    let x = area.x + area.w / 2.0;
    let code = code(mark.face, mark.sound);
    let long = format!("{code} {}", mark.label);
    let short = lettering::elide(&long, 10.0, false, 110.0);
    for y in [row.area.y - 6.5, row.area.y - 18.0] {
        let place = Words::at(x, y).size(10.0).middle();
        if taken.write(sheet, place, short.trim()) || taken.write(sheet, place.bold(), code) {
            let line = Style::line(SOFT, 0.8);
            sheet.segment((x, y + 1.5), (x, area.y), &line);
            return;
        }
    }
}

fn told(mark: &BoardMark) -> String {
    let soundness = if mark.sound { "sound" } else { "unsound" };
    let face = FACES.iter().find(|entry| entry.0 == mark.face);
    let face = face.map_or("", |entry| entry.2);
    format!("{} {face}, {soundness}", mark.label)
        .trim()
        .to_owned()
}
