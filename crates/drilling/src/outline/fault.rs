//! What can be wrong with an outline.

use super::place::Point;
use crate::words::{mm, short};

/// Why an outline cannot be used. Loops, vertices and edges count from 0 in the fields and from 1 in the
/// message; loop 0 is the outer one, the islands follow. Edge i runs from vertex i to the next.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum OutlineFault {
    /// A size that must be above zero, or an angle or place that must be a number.
    #[error("{what} is {}, expected {expected}", short(*.value))]
    Size {
        /// Which size.
        what: &'static str,
        /// The value given.
        value: f64,
        /// The range in words.
        expected: &'static str,
    },
    /// A corner radius that does not fit the rectangle.
    #[error("corner radius {} is more than half the shorter side of {}", mm(*.radius_m), mm(*.side_m))]
    CornerRadius {
        /// The radius given.
        radius_m: f64,
        /// The shorter side.
        side_m: f64,
    },
    /// Fewer vertices than a loop needs: three, or two when an edge is round.
    #[error("loop {}: {found} vertices do not make a loop, expected at least {needed}", .contour + 1)]
    TooFewVertices {
        /// Which loop.
        contour: usize,
        /// Vertices given.
        found: usize,
        /// Least number.
        needed: usize,
    },
    /// A vertex or its bulge is not a number, or far too large.
    #[error("loop {}: vertex {} is not a place within 10 km with a bulge below 10,000", .contour + 1, .vertex + 1)]
    NotFinite {
        /// Which loop.
        contour: usize,
        /// Which vertex.
        vertex: usize,
    },
    /// An edge too short to have a direction.
    #[error("loop {}: vertex {} lies on the vertex after it", .contour + 1, .vertex + 1)]
    Repeated {
        /// Which loop.
        contour: usize,
        /// The first of the two vertices.
        vertex: usize,
    },
    /// The centre of a round edge is not equally far from its two ends.
    #[error(
        "loop {}: the arc after vertex {} starts {} and ends {} from its centre",
        .contour + 1, .vertex + 1, mm(*.from_m), mm(*.to_m)
    )]
    UnevenRadius {
        /// Which loop.
        contour: usize,
        /// The vertex where the arc starts.
        vertex: usize,
        /// Distance from the centre to the start.
        from_m: f64,
        /// Distance from the centre to the end.
        to_m: f64,
    },
    /// Two edges of a loop cross, touch or fold back on each other.
    #[error(
        "loop {}: the edge after vertex {} meets the edge after vertex {} at x {}, y {}",
        .contour + 1, .edge + 1, .other + 1, mm(.at.x), mm(.at.y)
    )]
    SelfCrossing {
        /// Which loop.
        contour: usize,
        /// The first edge, by the vertex it starts from.
        edge: usize,
        /// The second edge, by the vertex it starts from.
        other: usize,
        /// Where they meet.
        at: Point,
    },
    /// A loop with no area to speak of.
    #[error("loop {}: its area of {} m² is nothing", .contour + 1, short(*.area_m2))]
    NoArea {
        /// Which loop.
        contour: usize,
        /// The area found.
        area_m2: f64,
    },
    /// An island that is not wholly inside the outer loop.
    #[error("loop {} is not wholly inside the outer loop: see x {}, y {}", .contour + 1, mm(.at.x), mm(.at.y))]
    IslandOutside {
        /// Which loop.
        contour: usize,
        /// A place of the island on the outer loop or outside it.
        at: Point,
    },
    /// Two islands that meet or lie in each other.
    #[error("loops {} and {} meet or lie in each other at x {}, y {}", .contour + 1, .other + 1, mm(.at.x), mm(.at.y))]
    IslandsMeet {
        /// The first loop.
        contour: usize,
        /// The second loop.
        other: usize,
        /// A place they share.
        at: Point,
    },
}
