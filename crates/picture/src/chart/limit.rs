//! Limits: a line with teeth on the side that is not allowed.

use std::fmt::Write as _;

use crate::ink::{Area, Num, Sheet, Style};
use crate::palette::ACCENT;
use crate::room::Taken;

/// Which side of a limit is allowed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum LimitSide {
    /// The value and everything above it.
    AtLeast,
    /// The value and everything below it.
    AtMost,
}

impl LimitSide {
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::AtLeast => "at least",
            Self::AtMost => "at most",
        }
    }
}

/// How far the teeth of a limit reach.
const TEETH: f64 = 5.0;

/// Draws a limit across from left to right.
pub(crate) fn draw_limit(sheet: &mut Sheet, (from, to): (f64, f64), y: f64, side: LimitSide) {
    let reach = match side {
        LimitSide::AtLeast => TEETH,
        LimitSide::AtMost => -TEETH,
    };
    let mut data = format!("M{} {}H{}", Num(from), Num(y), Num(to));
    let count = ((to - from - 2.0) / 11.0).clamp(0.0, 400.0) as usize;
    for tooth in 0..count {
        let x = from + 7.0 + tooth as f64 * 11.0;
        let _ = write!(data, "M{} {}l-4 {}", Num(x), Num(y), Num(reach));
    }
    sheet.path(&data, &Style::line(ACCENT, 1.3));
}

/// Takes the places of the line and its teeth, so that words keep clear of them.
pub(crate) fn block_teeth(taken: &mut Taken, (from, to): (f64, f64), y: f64, side: LimitSide) {
    let top = match side {
        LimitSide::AtLeast => y - 1.5,
        LimitSide::AtMost => y - TEETH - 1.0,
    };
    taken.block(Area::new(from, top, to - from, TEETH + 2.5));
}

/// Draws a limit upright, for values that run to the right.
pub(crate) fn draw_limit_upright(
    sheet: &mut Sheet,
    x: f64,
    (top, bottom): (f64, f64),
    side: LimitSide,
) {
    let reach = match side {
        LimitSide::AtLeast => -TEETH,
        LimitSide::AtMost => TEETH,
    };
    let mut data = format!("M{} {}V{}", Num(x), Num(top), Num(bottom));
    let count = ((bottom - top - 2.0) / 11.0).clamp(0.0, 400.0) as usize;
    for tooth in 0..count {
        let y = top + 7.0 + tooth as f64 * 11.0;
        let _ = write!(data, "M{} {}l{} -4", Num(x), Num(y), Num(reach));
    }
    sheet.path(&data, &Style::line(ACCENT, 1.3));
}
