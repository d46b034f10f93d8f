//! Machine programs in the words of ISO 6983 (G and M words), read back and verified.
//!
//! The words used are those that most controllers share (common practice, from memory): G0 G1 G4 G17 G21 G40 G43
//! G49 G53 G80 G81 G82 G83 G90 G94 G98, M3 M5 M6 M30, T S F H. Millimetres, millimetres a minute, absolute. The
//! origin is that of the face, z is 0 on the face and positive away from it.

mod check;
mod fault;
mod run;
mod trace;
mod words;
mod write;

use crate::outline::Point;

pub use check::verify;
pub use fault::ProgramFault;
pub use run::read;
pub use trace::{Drilled, Event, Move, MoveKind, Trace};
pub use write::program;

/// What the machine can reach, in the axes of the face, and the heights it keeps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Machine {
    /// Lower ends of x, y and z that the tip may reach, m.
    pub low_m: [f64; 3],
    /// Upper ends of x, y and z that the tip may reach, m.
    pub high_m: [f64; 3],
    /// Height above the face down to which the tip may move at rapid, m.
    pub clear_m: f64,
    /// Height above the face that clears all clamps, m; taken before and after each tool.
    pub safe_m: f64,
    /// Where the spindle goes at the end.
    pub park: Point,
    /// The fastest the spindle may turn, 1/min.
    pub spindle_max_rpm: f64,
}

/// What the number after a wait (G4, G82) counts; controllers differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DwellWord {
    /// P in seconds, with a decimal point.
    PSeconds,
    /// P in whole milliseconds.
    PMilliseconds,
}

/// How the drill is taken out of the way before anything else and at each tool change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Retract {
    /// To z 0 of the machine itself (G53), commonly its top: holds whatever tool is in the spindle.
    MachineTop,
    /// To the safe height only; right only when all tools are the same length or the offset is always on.
    SafeHeight,
}

/// How the program is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Style {
    /// Drill with the controller's own cycles (G81, G82, G83) instead of spelled-out moves.
    pub canned: bool,
    /// Decimals of a millimetre, at most 6.
    pub decimals: u8,
    /// Step of the line numbers; 0 for none.
    pub line_number_step: u32,
    /// What the number after a wait counts.
    pub dwell: DwellWord,
    /// How the drill gets out of the way.
    pub retract: Retract,
    /// Switch the tool's length offset on (G43) after each tool change.
    pub length_offset: bool,
    /// Wait for the spindle after each start and stop, whole seconds.
    pub spindle_wait_s: u32,
}

impl Default for Style {
    fn default() -> Self {
        Self {
            canned: false,
            decimals: 3,
            line_number_step: 0,
            dwell: DwellWord::PSeconds,
            retract: Retract::MachineTop,
            length_offset: true,
            spindle_wait_s: 3,
        }
    }
}
