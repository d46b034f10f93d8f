//! Laying long boards out in rows, so that a part can be read on a phone without leaving the scale.

use super::DrawnBoard;
use crate::ink::Area;
use crate::scale::amount;
use crate::stock::{PieceKind, span_within};

/// Least height of the widest board, and least length of the shortest part, in pixels.
const LEGIBLE: (f64, f64) = (32.0, 13.0);
/// Greatest height of the widest board in pixels: a short wide board does not fill the page.
const HIGHEST: f64 = 150.0;
/// How far widths may be stretched when even the greatest number of rows leaves them too thin.
const MOST_STRETCH: f64 = 12.0;

/// The scale of a picture and where its boards break.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Fold {
    /// Pixels per unit along the board.
    pub(super) px: f64,
    /// How many times more pixels per unit across it.
    pub(super) stretch: f64,
    /// Units of length in one row.
    pub(super) row_length: f64,
}

impl Fold {
    /// The fewest rows at which widest board and shortest part can be read.
    pub(super) fn of(boards: &[&DrawnBoard], room: f64, most_rows: f64) -> Self {
        let longest = most(boards, |board| board.length);
        let widest = most(boards, |board| board.width);
        let shortest = shortest_part(boards).unwrap_or(longest);
        let most_px = HIGHEST / widest;
        let wanted_px = (LEGIBLE.0 / widest).max(LEGIBLE.1 / shortest).min(most_px);
        let rows = (wanted_px * longest / room).ceil().clamp(1.0, most_rows);
        let px = (room * rows / longest).min(most_px);
        Self {
            px,
            stretch: (LEGIBLE.0 * 0.75 / (widest * px)).clamp(1.0, MOST_STRETCH),
            row_length: room / px,
        }
    }

    pub(super) fn height(&self, board: &DrawnBoard) -> f64 {
        (amount(board.width) * self.px * self.stretch).clamp(6.0, HIGHEST)
    }

    /// From and to of each row of a board. The last one is never a sliver.
    pub(super) fn rows(&self, board: &DrawnBoard) -> Vec<(f64, f64)> {
        let length = amount(board.length);
        let count = (length / self.row_length - 0.02).ceil().clamp(1.0, 12.0);
        let part = if count > 1.0 { self.row_length } else { length };
        (0..count as u32)
            .map(|row| {
                (
                    f64::from(row) * part,
                    (f64::from(row + 1) * part).min(length),
                )
            })
            .collect()
    }
}

fn most(boards: &[&DrawnBoard], side: impl Fn(&DrawnBoard) -> f64) -> f64 {
    boards
        .iter()
        .map(|board| amount(side(board)))
        .fold(1e-9, f64::max)
}

/// Length of the shortest part, apart from slips too short to be meant.
fn shortest_part(boards: &[&DrawnBoard]) -> Option<f64> {
    let pieces = boards.iter().flat_map(|board| {
        let length = amount(board.length);
        let parts = board
            .pieces
            .iter()
            .filter(|piece| piece.kind == PieceKind::Part);
        parts.filter_map(move |piece| span_within(piece.along, length))
    });
    pieces
        .map(|(from, to)| to - from)
        .filter(|part| *part > 0.0)
        .min_by(f64::total_cmp)
}

/// A row of a board on the sheet.
#[derive(Clone, Copy, Debug)]
pub(super) struct Row {
    /// From and to along the board.
    pub(super) span: (f64, f64),
    /// Whether the board began before and goes on after.
    pub(super) broken: (bool, bool),
    /// Where it stands.
    pub(super) area: Area,
    /// Pixels per unit along and across.
    pub(super) px: (f64, f64),
}

impl Row {
    pub(super) fn x(&self, along: f64) -> f64 {
        self.area.x + (along - self.span.0) * self.px.0
    }

    /// The area of a rectangle of the board, as far as it lies in this row.
    pub(super) fn area_of(&self, along: (f64, f64), across: (f64, f64)) -> Option<Area> {
        let (from, to) = (along.0.max(self.span.0), along.1.min(self.span.1));
        let bottom = self.area.y + self.area.h;
        let high = (across.1 - across.0) * self.px.1;
        (from <= to).then(|| {
            Area::new(
                self.x(from),
                bottom - across.1 * self.px.1,
                (to - from) * self.px.0,
                high,
            )
        })
    }

    pub(super) fn holds(&self, along: f64) -> bool {
        self.span.0 <= along && (along < self.span.1 || !self.broken.1 && along <= self.span.1)
    }
}
