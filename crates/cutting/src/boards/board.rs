//! What is asked: a board with its marks, the parts wanted from it, and the saw.
//!
//! Lengths are whole numbers in one small unit of the caller's, so that sums of kerfs and parts are exact.
//! *Along* is the length of the board (the grain), *across* its width.

use thiserror::Error;

/// Longest length taken, in units: far above any board, and low enough that no sum here overflows.
pub const LONGEST: u64 = 1 << 40;

/// A stretch from `from` up to `to`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
pub struct Span {
    /// Where it starts.
    pub from: u64,
    /// Where it ends.
    pub to: u64,
}

impl Span {
    /// From `from` up to `to`.
    pub fn new(from: u64, to: u64) -> Self {
        Self { from, to }
    }

    /// Its length; 0 if it is reversed.
    pub fn length(self) -> u64 {
        self.to.saturating_sub(self.from)
    }

    /// Whether the two share more than an end.
    pub fn overlaps(self, other: Self) -> bool {
        self.from < other.to && other.from < self.to
    }

    /// Whether `inner` lies in it, ends allowed.
    pub fn holds(self, inner: Self) -> bool {
        self.from <= inner.from && inner.to <= self.to
    }

    /// Both ends pushed out by `margin`; not below 0.
    #[must_use]
    pub fn grown(self, margin: u64) -> Self {
        Self::new(
            self.from.saturating_sub(margin),
            self.to.saturating_add(margin),
        )
    }

    /// Both ends pulled in by `trim`; empty (from = to) if nothing is left.
    #[must_use]
    pub fn shrunk(self, trim: u64) -> Self {
        let from = self.from.saturating_add(trim);
        Self::new(from, self.to.saturating_sub(trim).max(from))
    }
}

/// Where a mark is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub enum Face {
    /// On the front face.
    Front,
    /// On the back face.
    Back,
    /// On both: a hole, wane, a void.
    Through,
}

/// How bad a mark is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub enum Severity {
    /// A tight knot, a stain: allowed where a part need only be sound.
    Sound,
    /// A hole, a split, wane, decay: allowed in no part, whatever its face.
    Unsound,
}

/// A fault marked as a rectangle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Mark {
    /// Where along the board.
    pub along: Span,
    /// Where across the board.
    pub across: Span,
    /// On which face.
    pub face: Face,
    /// How bad.
    pub severity: Severity,
}

/// A board with its marks. Both faces use the same coordinates.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Board {
    /// Length, along the grain.
    pub length: u64,
    /// Width.
    pub width: u64,
    /// Faults, in any order; they may overlap.
    pub marks: Vec<Mark>,
}

impl Board {
    /// Area in units².
    pub fn area(&self) -> f64 {
        self.length as f64 * self.width as f64
    }
}

/// What a part must be free of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub enum Quality {
    /// No mark on either face.
    ClearBoth,
    /// No mark on one face, whichever, and no unsound mark at all.
    ClearOne,
    /// No unsound mark.
    Sound,
}

/// A part wanted. Its length lies along the grain; it is never turned.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Part {
    /// Length along the board.
    pub length: u64,
    /// Width across the board.
    pub width: u64,
    /// What it must be free of.
    pub quality: Quality,
    /// What one is worth; zero or more. Its area is a fair choice where yield is the aim.
    pub value: f64,
    /// How many are wanted at most (of one board) or are needed (of a pack); `None` for any number.
    pub need: Option<u64>,
}

impl Part {
    /// Area in units².
    pub fn area(&self) -> f64 {
        self.length as f64 * self.width as f64
    }
}

/// What the saw takes, and what is left round marks and edges.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Saw {
    /// Width of a rip cut (along the board).
    pub rip_kerf: u64,
    /// Width of a crosscut.
    pub cross_kerf: u64,
    /// Lost at each end of the board; the trim cut's own kerf lies within it.
    pub end_trim: u64,
    /// Lost at each edge of the board; the edging cut's own kerf lies within it.
    pub edge_trim: u64,
    /// Kept clear before and behind each mark, along the board.
    pub margin_along: u64,
    /// Kept clear on each side of each mark, across the board.
    pub margin_across: u64,
}

impl Saw {
    /// What the trims leave of the board's length.
    pub fn usable_along(&self, board: &Board) -> Span {
        Span::new(0, board.length).shrunk(self.end_trim)
    }

    /// What the trims leave of the board's width.
    pub fn usable_across(&self, board: &Board) -> Span {
        Span::new(0, board.width).shrunk(self.edge_trim)
    }

    /// The rectangle that must be avoided because of this mark: along, across.
    pub fn kept_clear(&self, mark: &Mark) -> (Span, Span) {
        (
            mark.along.grown(self.margin_along),
            mark.across.grown(self.margin_across),
        )
    }
}

/// Most parts in a row that are looked into.
pub const MOST_PARTS: u64 = 20_000;

/// Why a question cannot be answered. Boards, marks and parts are counted from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum BoardFault {
    /// A board has no length or no width.
    #[error("board {0} has no length or no width")]
    EmptyBoard(usize),
    /// A mark ends before it starts.
    #[error("mark {mark} of board {board} ends before it starts")]
    ReversedMark {
        /// Which board.
        board: usize,
        /// Which of its marks.
        mark: usize,
    },
    /// A part has no length or no width.
    #[error("part {0} has no length or no width")]
    EmptyPart(usize),
    /// A part's value is negative or not a number.
    #[error("the value of part {0} is negative or not a number")]
    BadValue(usize),
    /// A length is above [`LONGEST`] units.
    #[error("a length is above {LONGEST} units: choose a larger unit")]
    TooLong,
    /// So many of the smallest part would fit that the answer would be costly and pointless.
    #[error("more than {MOST_PARTS} of the smallest part would fit along or across board {0}")]
    TooManyParts(usize),
    /// A list of needs without a need: a pack is cut for a list with an end.
    #[error("part {0} has no need: a pack is cut for a list with numbers")]
    NoNeed(usize),
}

/// Refuses whatever one board's question cannot be answered for.
pub(crate) fn check_question(
    number: usize,
    board: &Board,
    parts: &[Part],
    saw: &Saw,
) -> Result<(), BoardFault> {
    check_board(number, board)?;
    check_parts(parts)?;
    check_saw(saw)?;
    let rows = most_in_a_row(
        board.length,
        saw.cross_kerf,
        parts.iter().map(|part| part.length),
    );
    let columns = most_in_a_row(
        board.width,
        saw.rip_kerf,
        parts.iter().map(|part| part.width),
    );
    if rows.max(columns) > MOST_PARTS {
        return Err(BoardFault::TooManyParts(number));
    }
    Ok(())
}

/// How many of the shortest fit into a length, about.
pub(crate) fn most_in_a_row(length: u64, kerf: u64, parts: impl Iterator<Item = u64>) -> u64 {
    parts.min().map_or(0, |shortest| length / (shortest + kerf))
}

/// Refuses a board that is empty, too long, or has a reversed mark.
fn check_board(number: usize, board: &Board) -> Result<(), BoardFault> {
    if board.length == 0 || board.width == 0 {
        return Err(BoardFault::EmptyBoard(number));
    }
    let ends = board
        .marks
        .iter()
        .flat_map(|mark| [mark.along.to, mark.across.to]);
    if ends
        .chain([board.length, board.width])
        .any(|length| length > LONGEST)
    {
        return Err(BoardFault::TooLong);
    }
    let reversed =
        |mark: &Mark| mark.along.from > mark.along.to || mark.across.from > mark.across.to;
    match board.marks.iter().position(reversed) {
        Some(mark) => Err(BoardFault::ReversedMark {
            board: number,
            mark,
        }),
        None => Ok(()),
    }
}

/// Refuses parts that are empty, too long, or of no sensible value.
pub(crate) fn check_parts(parts: &[Part]) -> Result<(), BoardFault> {
    for (number, part) in parts.iter().enumerate() {
        if part.length == 0 || part.width == 0 {
            return Err(BoardFault::EmptyPart(number));
        }
        if part.length > LONGEST || part.width > LONGEST {
            return Err(BoardFault::TooLong);
        }
        if !(part.value.is_finite() && part.value >= 0.0) {
            return Err(BoardFault::BadValue(number));
        }
    }
    Ok(())
}

/// Refuses a saw whose kerfs, trims or margins are absurdly long.
pub(crate) fn check_saw(saw: &Saw) -> Result<(), BoardFault> {
    let lengths = [
        saw.rip_kerf,
        saw.cross_kerf,
        saw.end_trim,
        saw.edge_trim,
        saw.margin_along,
        saw.margin_across,
    ];
    if lengths.into_iter().any(|length| length > LONGEST) {
        return Err(BoardFault::TooLong);
    }
    Ok(())
}
