//! Cutting: what an operation cuts up, into which parts, and by which rules.

use super::{ItemId, Stated};
use crate::source::Span;

/// How an operation cuts its stock up. Lengths in m.
#[derive(Clone, Debug)]
pub struct Cut {
    /// Where it was written.
    pub at: Span,
    /// What is cut up.
    pub stock: CutStock,
    /// The cutting list.
    pub parts: Vec<CutPart>,
    /// Width of the cut.
    pub kerf: Kerf,
    /// What is taken off before anything else.
    pub trim: Trim,
    /// Left-overs worth keeping, if any are.
    pub keep: Option<Keep>,
    /// At most so many different patterns.
    pub patterns: Option<u64>,
    /// At most so many parts out of one bar or reel (knives, stops).
    pub pieces: Option<u64>,
    /// Whether what the cutting plan finds replaces what the route states.
    pub numbers: Numbers,
}

/// Which number is planned with when one is stated and one computed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Numbers {
    /// What is written in the route.
    Stated,
    /// What the engine finds.
    Computed,
}

/// What is cut up.
#[derive(Clone, Debug)]
pub enum CutStock {
    /// Boards with faults.
    Boards(Box<Boards>),
    /// Bars, strip or reels.
    Bars(Vec<BarKind>),
    /// Sheets.
    Sheets {
        /// The sizes to be had.
        kinds: Vec<SheetKind>,
        /// How the cuts follow each other.
        stages: Stages,
    },
}

impl CutStock {
    /// The items that are cut up.
    pub fn items(&self) -> Vec<ItemId> {
        match self {
            Self::Boards(boards) => vec![boards.item],
            Self::Bars(kinds) => kinds.iter().map(|kind| kind.item).collect(),
            Self::Sheets { kinds, .. } => kinds.iter().map(|kind| kind.item).collect(),
        }
    }
}

/// Boards with faults: those that were measured, and what is expected of those that were not.
#[derive(Clone, Debug)]
pub struct Boards {
    /// The item that a board is.
    pub item: ItemId,
    /// Length and width of a board that nobody has measured yet.
    pub length: Stated,
    /// Its width.
    pub width: Stated,
    /// Measured boards, when there are any.
    pub measured: Vec<Board>,
    /// The table they stand in.
    pub file: Option<String>,
    /// Faults in each metre, when they are stated and not taken from the measured boards.
    pub faults: Option<FaultRate>,
    /// Which cut comes first.
    pub order: CutOrder,
    /// What is cut off on either side of a fault, along the board.
    pub margin_along: Stated,
    /// The same across the board.
    pub margin_across: Stated,
}

/// Faults of boards that nobody has measured yet.
#[derive(Clone, Debug)]
pub struct FaultRate {
    /// Faults per metre.
    pub per_metre: Stated,
    /// Standard deviation of that rate from lot to lot, faults per metre.
    pub lots: Option<Stated>,
    /// Length of one, without margins, m.
    pub long: Stated,
}

/// Which cut comes first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CutOrder {
    /// Only across: the part is as wide as the board.
    AcrossOnly,
    /// First along the whole board, then each strip across.
    RipFirst,
    /// First across the whole width, then each piece along.
    CrossFirst,
    /// Whichever is better for the board.
    Either,
}

/// A measured board.
#[derive(Clone, Debug)]
pub struct Board {
    /// Its name or number.
    pub name: String,
    /// The lot it came in.
    pub lot: Option<String>,
    /// Length, m.
    pub length_m: f64,
    /// Width, m.
    pub width_m: f64,
    /// Its faults.
    pub marks: Vec<Mark>,
    /// Where it first stands.
    pub at: Span,
}

/// A marked fault, without margins; m from the board's left end and lower edge.
#[derive(Clone, Debug)]
pub struct Mark {
    /// Which faces it shows on.
    pub face: Face,
    /// What it is, as the marker wrote it.
    pub fault: Option<String>,
    /// Whether wood is sound there (a tight knot, a stain).
    pub sound: bool,
    /// From, along the board.
    pub from_m: f64,
    /// To, along the board.
    pub to_m: f64,
    /// From, across the board.
    pub low_m: f64,
    /// To, across the board.
    pub high_m: f64,
}

/// Which face of a board a fault shows on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Face {
    /// The face that is looked at first.
    Front,
    /// The other.
    Back,
    /// Both.
    Through,
}

/// One length of bar, strip or reel to be had.
#[derive(Clone, Debug)]
pub struct BarKind {
    /// The item.
    pub item: ItemId,
    /// Its length.
    pub length: Stated,
    /// How many there are, if not as many as wanted.
    pub at_most: Option<u64>,
    /// Places of splices or faults to be cut out: from and to, m.
    pub splices: Vec<(Stated, Stated)>,
    /// Where it was written.
    pub at: Span,
}

/// One size of sheet to be had.
#[derive(Clone, Debug)]
pub struct SheetKind {
    /// The item.
    pub item: ItemId,
    /// Its length, along the grain.
    pub length: Stated,
    /// Its width.
    pub width: Stated,
    /// How many there are, if not as many as wanted.
    pub at_most: Option<u64>,
    /// Where it was written.
    pub at: Span,
}

/// How the cuts of a sheet follow each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stages {
    /// Strips, then parts out of them, and a trimming cut.
    Two,
    /// One stage more.
    Three,
    /// Any cuts from edge to edge.
    Free,
}

/// One line of the cutting list.
#[derive(Clone, Debug)]
pub struct CutPart {
    /// Its name.
    pub name: String,
    /// The item that it is, when the route passes it on; then the plan says how many are needed.
    pub item: Option<ItemId>,
    /// How long.
    pub length: PartLength,
    /// How wide; needed for sheets and for boards that are ripped.
    pub width: Option<Stated>,
    /// How many are needed, when the plan does not say.
    pub need: Option<u64>,
    /// What its faces must be like.
    pub clear: Clear,
    /// Whether it may be turned by a quarter.
    pub turn: bool,
    /// What one is worth, money; its length or area when left out.
    pub worth: Option<Stated>,
    /// Where it was written.
    pub at: Span,
}

/// How long a part is.
#[derive(Clone, Debug)]
pub enum PartLength {
    /// As stated.
    Stated(Stated),
    /// The blank of a frame that is folded from it.
    Frame(Box<FrameFold>),
}

/// A frame folded from notched strip. Lengths in m, angles in radians.
#[derive(Clone, Debug)]
pub struct FrameFold {
    /// Outer width.
    pub width: Stated,
    /// Outer height.
    pub height: Stated,
    /// Thickness of the strip.
    pub thick: Stated,
    /// Inner radius of the fold.
    pub radius: Stated,
    /// Where the neutral line lies, as a share of the thickness.
    pub k: Stated,
    /// Depth of the flange that is notched.
    pub flange: Stated,
    /// Overlap at the join.
    pub lap: Stated,
    /// What a fold may be off its angle.
    pub within: Option<Stated>,
    /// Where it was written.
    pub at: Span,
}

/// What the faces of a part must be like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clear {
    /// No fault on either face.
    Both,
    /// One face clear, the other sound.
    One,
    /// Sound faults only.
    Sound,
}

/// Width of the cut, m.
#[derive(Clone, Debug)]
pub struct Kerf {
    /// Along the board or sheet.
    pub rip: Option<Stated>,
    /// Across it, and on bars.
    pub cross: Option<Stated>,
}

/// What is taken off all round, m.
#[derive(Clone, Debug)]
pub struct Trim {
    /// At each end.
    pub ends: Option<Stated>,
    /// At each edge.
    pub edges: Option<Stated>,
}

/// Left-overs worth keeping.
#[derive(Clone, Debug)]
pub struct Keep {
    /// At least so long.
    pub length: Stated,
    /// At least so wide (sheets).
    pub width: Option<Stated>,
    /// What it is worth, as a share of new stock of its size.
    pub worth: Option<Stated>,
}
