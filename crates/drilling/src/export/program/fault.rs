//! What a program read back can be found guilty of.

/// A fault of a program. Lines count from 1; holes from 0 in the fields and from 1 in the message.
#[derive(Clone, Debug, PartialEq, thiserror::Error, serde::Serialize)]
#[non_exhaustive]
pub enum ProgramFault {
    /// Something that is not a letter with a number.
    #[error("line {line}: cannot read `{text}`")]
    Unreadable {
        /// Which line.
        line: usize,
        /// What stands there.
        text: String,
    },
    /// A comment that does not end, or ends without beginning, or holds another.
    #[error("line {line}: a comment bracket has no partner")]
    Comment {
        /// Which line.
        line: usize,
    },
    /// A word outside the words read here: what it does is unknown.
    #[error("line {line}: `{word}` is not among the words that can be verified")]
    Unknown {
        /// Which line.
        line: usize,
        /// The word.
        word: String,
    },
    /// A word that stands twice in a line, or two that exclude each other.
    #[error("line {line}: `{word}` contradicts another word of the line")]
    Contradiction {
        /// Which line.
        line: usize,
        /// The later word.
        word: String,
    },
    /// A word that nothing in its line uses.
    #[error("line {line}: nothing uses `{word}`")]
    Unused {
        /// Which line.
        line: usize,
        /// The word.
        word: String,
    },
    /// A length or feed without a decimal point: controllers read it differently.
    #[error("line {line}: `{word}` has no decimal point, which controllers read differently")]
    NoPoint {
        /// Which line.
        line: usize,
        /// The word.
        word: String,
    },
    /// A move before something it rests on was stated.
    #[error("line {line}: a move before {what} was stated")]
    NotStated {
        /// Which line.
        line: usize,
        /// What is missing.
        what: &'static str,
    },
    /// A word that a move, a cycle or a wait needs is missing or makes no sense.
    #[error("line {line}: `{word}` is missing or makes no sense here")]
    Missing {
        /// Which line.
        line: usize,
        /// Its letter.
        word: char,
    },
    /// Words after the end of the program.
    #[error("line {line}: words after the end of the program")]
    AfterEnd {
        /// Which line.
        line: usize,
    },
    /// The program does not end with M30 or M2.
    #[error("the program has no end (M30 or M2)")]
    NoEnd,
    /// The program ends with the spindle turning.
    #[error("line {line}: the program ends with the spindle on")]
    EndsTurning {
        /// Which line.
        line: usize,
    },
    /// A rapid move goes, or may go, below the clear height.
    #[error("line {line}: rapid move below the clear height, to z {:.3} mm", .z_m * 1e3)]
    RapidBelowClear {
        /// Which line.
        line: usize,
        /// How low it goes.
        z_m: f64,
    },
    /// A sideways move below the clear height, or at a height that was never set.
    #[error("line {line}: sideways move below the clear height")]
    SidewaysBelowClear {
        /// Which line.
        line: usize,
    },
    /// A move beyond the machine's reach.
    #[error("line {line}: {axis} {:.3} mm is beyond the machine's reach", .value_m * 1e3)]
    OutOfReach {
        /// Which line.
        line: usize,
        /// Along which axis.
        axis: char,
        /// Where it goes.
        value_m: f64,
    },
    /// A feed move with the spindle off.
    #[error("line {line}: feed with the spindle off")]
    SpindleOff {
        /// Which line.
        line: usize,
    },
    /// The spindle is asked to turn faster than it may.
    #[error("line {line}: {rpm} turns a minute is faster than the spindle may turn")]
    TooFast {
        /// Which line.
        line: usize,
        /// The speed.
        rpm: f64,
    },
    /// A tool is changed with the spindle on.
    #[error("line {line}: tool change with the spindle on")]
    ChangeTurning {
        /// Which line.
        line: usize,
    },
    /// A tool is changed below the safe height, or at a height that was never set.
    #[error("line {line}: tool change below the safe height")]
    ChangeLow {
        /// Which line.
        line: usize,
    },
    /// A tool drills with the length offset of another, or with none while others have theirs.
    #[error("line {line}: tool {tool} drills without its own length offset")]
    WrongOffset {
        /// Which line.
        line: usize,
        /// The tool.
        tool: u32,
    },
    /// A hole of the list that is not drilled.
    #[error("hole {} at x {:.3} mm, y {:.3} mm is not drilled", .hole + 1, .x_m * 1e3, .y_m * 1e3)]
    NotDrilled {
        /// Which hole.
        hole: usize,
        /// Where it should be.
        x_m: f64,
        /// Where it should be.
        y_m: f64,
    },
    /// A hole that is not on the list, or drilled once too often.
    #[error("line {line}: a hole at x {:.3} mm, y {:.3} mm that nobody asked for", .x_m * 1e3, .y_m * 1e3)]
    NotAsked {
        /// Which line.
        line: usize,
        /// Where it is.
        x_m: f64,
        /// Where it is.
        y_m: f64,
    },
    /// A hole of the list drilled to another depth, tool, speed, feed, bite or wait than asked.
    #[error("line {line}: hole {}: its {what} is {found}, {asked} was asked", .hole + 1)]
    Differs {
        /// Which line.
        line: usize,
        /// Which hole.
        hole: usize,
        /// Which number.
        what: &'static str,
        /// What the program does.
        found: f64,
        /// What was asked.
        asked: f64,
    },
}
