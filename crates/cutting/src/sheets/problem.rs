//! What is asked: sheets, parts, saw, and how the cuts may follow each other.

/// Trims on the four edges: what is lost there in all, the trim cut's own kerf included.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Trims {
    /// At the start of the length.
    pub left: u64,
    /// At the end of the length.
    pub right: u64,
    /// At the start of the width.
    pub bottom: u64,
    /// At the end of the width.
    pub top: u64,
}

/// A kind of stock sheet.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Sheet {
    /// Length, raw, before trims.
    pub length: u64,
    /// Width, raw, before trims.
    pub width: u64,
    /// What the edges lose.
    pub trims: Trims,
    /// Cost of one, in a small whole unit.
    pub cost: u64,
    /// How many there are; `None` for as many as wanted.
    pub available: Option<u64>,
}

/// A part to be cut.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Part {
    /// Length: lies along the length of the sheet unless turned.
    pub length: u64,
    /// Width.
    pub width: u64,
    /// How many must be made ([`super::least_cost`] only).
    pub need: u64,
    /// How many one sheet may give ([`super::most_valuable`] only); `None` for any number.
    pub at_most: Option<u64>,
    /// No grain, or none that matters: may be turned by a quarter.
    pub may_turn: bool,
    /// Worth of one, in a small whole unit ([`super::most_valuable`] only).
    pub value: u64,
}

/// Which way the first cuts run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub enum FirstCut {
    /// Along the length: strips as long as the sheet.
    AlongLength,
    /// Along the width.
    AlongWidth,
    /// Whichever is better, sheet by sheet.
    Either,
}

/// How cuts may follow each other. All go from edge to edge of the piece they cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub enum Scheme {
    /// Strips, then parts from strips.
    TwoStage {
        /// Which way the strips run.
        first: FirstCut,
        /// Whether a part narrower than its strip may be trimmed by one more cut.
        trimming: bool,
    },
    /// Strips, then sections from strips, then parts from sections.
    ThreeStage {
        /// Which way the strips run.
        first: FirstCut,
        /// Whether a part shorter than its section may be trimmed by one more cut.
        trimming: bool,
    },
    /// Any cut from edge to edge, as often as it takes.
    Free,
}

/// Sheets, parts and the rules of the saw. All sizes in one small whole unit.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Problem {
    /// Stock.
    pub sheets: Vec<Sheet>,
    /// Parts.
    pub parts: Vec<Part>,
    /// Width of the blade's track: lies between any two neighbours.
    pub kerf: u64,
    /// How cuts may follow each other.
    pub scheme: Scheme,
    /// Least sides of a rest worth keeping, the longer one first; `None`: no rest is kept.
    pub useful: Option<(u64, u64)>,
}

/// Why a problem cannot be worked on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, thiserror::Error)]
pub enum Fault {
    /// A side is zero.
    #[error("part {0}: expected sides above 0")]
    EmptyPart(usize),
    /// Nothing is left of a sheet once it is trimmed.
    #[error("sheet {0}: nothing is left once the edges are trimmed")]
    EmptySheet(usize),
    /// A number beyond exact arithmetic.
    #[error(
        "cannot reckon exactly: sides above {MOST_SIDE} or values and costs above {MOST_MONEY}"
    )]
    TooLarge,
    /// No such sheet.
    #[error("there is no sheet {0}")]
    NoSheet(usize),
    /// A needed part fits on no sheet.
    #[error("part {0} fits on no sheet")]
    PartFitsNowhere(usize),
    /// The numbers available cannot cover the needs, or no plan within them was found.
    #[error("no plan found within the numbers of sheets available")]
    TooFewSheets,
}

/// Longest side.
pub const MOST_SIDE: u64 = 1 << 24;
/// Dearest part or sheet.
pub const MOST_MONEY: u64 = 1 << 40;

impl Sheet {
    /// Length and width left by the trims; `None` if nothing is.
    pub(super) fn usable(&self) -> Option<(u64, u64)> {
        let left = |side: u64, one: u64, other: u64| {
            side.checked_sub(one)?
                .checked_sub(other)
                .filter(|&rest| rest > 0)
        };
        Some((
            left(self.length, self.trims.left, self.trims.right)?,
            left(self.width, self.trims.bottom, self.trims.top)?,
        ))
    }
}

impl Problem {
    /// The first thing wrong with the numbers, if any.
    pub fn fault(&self) -> Option<Fault> {
        let money = |amount: u64| amount > MOST_MONEY;
        let side = |length: u64| length > MOST_SIDE;
        let large = side(self.kerf)
            || (self.sheets.iter())
                .any(|sheet| side(sheet.length) || side(sheet.width) || money(sheet.cost))
            || (self.parts.iter()).any(|part| money(part.value) || money(part.need));
        if large {
            return Some(Fault::TooLarge);
        }
        let empty = |part: &Part| part.length == 0 || part.width == 0;
        if let Some(part) = self.parts.iter().position(empty) {
            return Some(Fault::EmptyPart(part));
        }
        let gone = |sheet: &Sheet| sheet.usable().is_none();
        self.sheets.iter().position(gone).map(Fault::EmptySheet)
    }
}
