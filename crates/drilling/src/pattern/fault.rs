//! What can be wrong with a hole, and with a question about holes.

use crate::outline::Point;
use crate::words::{mm, short};

/// A rule that a hole breaks. Holes and faces count from 0 in the fields and from 1 in the message; gaps are
/// metres in the fields and millimetres in the message, negative where material is missing.
#[derive(Clone, Debug, PartialEq, thiserror::Error, serde::Serialize)]
#[non_exhaustive]
pub enum Fault {
    /// A number of the rules or of a face that makes no sense: nothing was checked.
    #[error("{what} is {}, expected {expected}: nothing was checked", short(*.value))]
    Question {
        /// Which number.
        what: &'static str,
        /// The value given.
        value: f64,
        /// The range in words.
        expected: &'static str,
    },
    /// A number of the hole that cannot be drilled at all.
    #[error("hole {}: its {what} is {}, expected {expected}", .hole + 1, short(*.value))]
    Size {
        /// Which hole.
        hole: usize,
        /// Which number.
        what: &'static str,
        /// The value given.
        value: f64,
        /// The range in words.
        expected: &'static str,
    },
    /// The hole names a face that is not there.
    #[error("hole {}: there is no face {}, there are {faces}", .hole + 1, .face + 1)]
    NoSuchFace {
        /// Which hole.
        hole: usize,
        /// The face it names.
        face: usize,
        /// How many faces there are.
        faces: usize,
    },
    /// The hole's centre is off the face, or in an island.
    #[error("hole {}: its centre is {:.2} mm off the face", .hole + 1, .off_m * 1e3)]
    OffFace {
        /// Which hole.
        hole: usize,
        /// How far off.
        off_m: f64,
    },
    /// Too little material between the mouth (in front, or at the back of a through hole) and the edge.
    #[error(
        "hole {}: {:.2} mm between its mouth and the edge, {:.2} mm needed",
        .hole + 1, .gap_m * 1e3, .needed_m * 1e3
    )]
    NearEdge {
        /// Which hole.
        hole: usize,
        /// Material there is.
        gap_m: f64,
        /// Material asked for.
        needed_m: f64,
    },
    /// A leaning hole comes too near the side of the body below the face.
    #[error(
        "hole {}: leaning, it comes to {:.2} mm from the side of the body, {:.2} mm needed",
        .hole + 1, .gap_m * 1e3, .needed_m * 1e3
    )]
    NearSide {
        /// Which hole.
        hole: usize,
        /// Material there is.
        gap_m: f64,
        /// Material asked for.
        needed_m: f64,
    },
    /// A leaning hole comes out of the side of the body.
    #[error("hole {}: leaning, it breaks out of the side of the body by {:.2} mm", .hole + 1, .by_m * 1e3)]
    BreaksSide {
        /// Which hole.
        hole: usize,
        /// How far at least.
        by_m: f64,
    },
    /// Too little material below a blind hole.
    #[error(
        "hole {}: {:.2} mm left below it, its point included, {:.2} mm needed",
        .hole + 1, .left_m * 1e3, .needed_m * 1e3
    )]
    ThinFloor {
        /// Which hole.
        hole: usize,
        /// Material there is.
        left_m: f64,
        /// Material asked for.
        needed_m: f64,
    },
    /// A hole meant to be blind comes out of the back.
    #[error("hole {}: blind, it breaks out of the back by {:.2} mm, its point included", .hole + 1, .by_m * 1e3)]
    BreaksBack {
        /// Which hole.
        hole: usize,
        /// How far.
        by_m: f64,
    },
    /// A hole meant to go through does not come out with its full diameter.
    #[error("hole {}: through, it is {:.2} mm too short to come out full", .hole + 1, .short_m * 1e3)]
    NotThrough {
        /// Which hole.
        hole: usize,
        /// How much longer along its axis it would have to be.
        short_m: f64,
    },
    /// Too little material between two holes.
    #[error(
        "holes {} and {}: {:.2} mm between them, {:.2} mm needed",
        .hole + 1, .other + 1, .web_m * 1e3, .needed_m * 1e3
    )]
    ThinWeb {
        /// The first hole.
        hole: usize,
        /// The second hole.
        other: usize,
        /// Material there is.
        web_m: f64,
        /// Material asked for.
        needed_m: f64,
    },
    /// Two holes of a face at the same place.
    #[error("holes {} and {} are at the same place", .hole + 1, .other + 1)]
    Twice {
        /// The first hole.
        hole: usize,
        /// The second hole.
        other: usize,
    },
}

/// Why a layout cannot be laid.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PatternFault {
    /// A number outside what can be laid.
    #[error("{what} is {}, expected {expected}", short(*.value))]
    Size {
        /// Which number.
        what: &'static str,
        /// The value given.
        value: f64,
        /// The range in words.
        expected: &'static str,
    },
    /// A place of a curve or list that is not a number or far too large.
    #[error("point {} is not a place within 10 km", .point + 1)]
    NotFinite {
        /// Which point, from 0.
        point: usize,
    },
    /// A curve with fewer points than it needs, or without length.
    #[error("the curve has no length")]
    NoCurve,
    /// The edges of a curve do not follow each other.
    #[error("the curve breaks after edge {} at x {}, y {}", .edge + 1, mm(.at.x), mm(.at.y))]
    Broken {
        /// The edge before the break, from 0.
        edge: usize,
        /// Where it ends.
        at: Point,
    },
    /// A pitch so small that the places cannot be counted out in reason.
    #[error("more than {most} places: the pitch of {} is too small for the face", mm(*.pitch_m))]
    TooMany {
        /// The most places that are laid.
        most: usize,
        /// The pitch asked for.
        pitch_m: f64,
    },
    /// Nothing is left of the outline at that inset.
    #[error("nothing is left {} inside the edge", mm(*.inset_m))]
    NothingInside {
        /// The inset asked for.
        inset_m: f64,
    },
    /// A layout without a pitch to open.
    #[error("this layout has no pitch that could be opened")]
    NoPitch,
    /// So many holes do not fit at any pitch down to the smallest tried.
    #[error("{wanted} holes do not fit: {most} do at the smallest pitch tried, {}", mm(*.pitch_m))]
    DoNotFit {
        /// Holes asked for.
        wanted: usize,
        /// The most that did fit.
        most: usize,
        /// The smallest pitch tried.
        pitch_m: f64,
    },
}
