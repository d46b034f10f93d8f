//! What comes back: rectangles placed, the tree of cuts that frees them, and how good it is.

/// A rectangle on a sheet: corner nearest the origin, and sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub struct Rect {
    /// Start along the length.
    pub x: u64,
    /// Start along the width.
    pub y: u64,
    /// Extent along the length of the sheet.
    pub length: u64,
    /// Extent along the width of the sheet.
    pub width: u64,
}

impl Rect {
    /// Length times width.
    pub fn area(&self) -> u64 {
        self.length * self.width
    }
}

/// A part on a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub struct Placed {
    /// Index of the part.
    pub part: usize,
    /// Where it lies.
    pub rect: Rect,
    /// Whether it is turned by a quarter.
    pub turned: bool,
}

/// What a cut divides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub enum Axis {
    /// The length: the blade runs along the width.
    Length,
    /// The width: the blade runs along the length.
    Width,
}

/// What becomes of a region of the sheet.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub enum Use {
    /// It is the part with this index among those placed.
    Part(usize),
    /// It is kept.
    Leftover,
    /// It is thrown away.
    Waste,
    /// It is cut by parallel cuts into these, in order; a kerf lies between neighbours.
    Cut {
        /// What the cuts divide.
        divides: Axis,
        /// The pieces.
        pieces: Vec<Region>,
    },
}

/// A node of the tree of cuts.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Region {
    /// Where it lies.
    pub rect: Rect,
    /// What becomes of it.
    pub becomes: Use,
}

/// How sheets of one kind are cut.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Layout {
    /// Index of the sheet.
    pub sheet: usize,
    /// How many sheets are cut so.
    pub count: u64,
    /// Parts.
    pub placed: Vec<Placed>,
    /// Rests kept.
    pub leftovers: Vec<Rect>,
    /// The sheet less its trims, and how it is cut up: for the operator.
    pub cuts: Region,
    /// Area of the raw sheet that is neither part nor kept.
    pub waste: u64,
}

/// The most valuable set of parts found for one sheet.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Best {
    /// How the sheet is cut.
    pub layout: Layout,
    /// Worth of its parts.
    pub value: u64,
    /// No layout is worth more.
    pub bound: u64,
    /// Whether the value meets the bound.
    pub proved: bool,
}

/// A plan that meets all needs.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Plan {
    /// Layouts and how often each is cut.
    pub layouts: Vec<Layout>,
    /// Cost of all sheets.
    pub cost: u64,
    /// Sheets in all.
    pub sheets: u64,
    /// No plan costs less.
    pub bound: u64,
    /// Whether the cost meets the bound.
    pub proved: bool,
}
