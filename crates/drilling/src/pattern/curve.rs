//! Curves that holes follow, and how far apart they stand on them.

use std::f64::consts::PI;

use crate::outline::{Arc, Edge, Line, Point, is_size};

use super::fault::PatternFault;

/// The most places one layout may have.
pub(super) const MOST_PLACES: usize = 200_000;

/// Ends nearer than this meet, m.
pub(super) const JOIN_M: f64 = 2e-6;

/// Largest distance between a spline and the straight steps it is measured by, m.
const FLAT_M: f64 = 1e-6;

/// Deepest halving of one span of a spline.
const DEEPEST: u32 = 12;

/// A length that is whole on paper must not lose a hole to rounding.
const HAIR: f64 = 1e-9;

/// A curve on the face. It is closed when its end meets its start.
#[derive(Clone, Debug, PartialEq)]
pub enum Curve {
    /// Straight from point to point.
    Polyline(Vec<Point>),
    /// Straight and round edges, each starting where the one before ended.
    Edges(Vec<Edge>),
    /// A smooth curve through the points: centripetal Catmull-Rom (Yuksel, Schaefer and Keyser, 2011; from
    /// memory), which makes no loops between neighbouring points.
    Spline(Vec<Point>),
}

/// How far apart holes stand. On a ring the distance is straight from centre to centre, on a curve it is
/// measured along the curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Spacing {
    /// At this pitch from the start; what does not fit is left at the end.
    Exactly(f64),
    /// As many as fit at no less than this pitch, m, opened out evenly.
    Even(f64),
    /// So many, evenly.
    Count(usize),
}

impl Curve {
    /// The edges of the curve, a spline as short straight steps.
    pub fn edges(&self) -> Result<Vec<Edge>, PatternFault> {
        let edges = match self {
            Self::Polyline(points) => lines(points)?,
            Self::Edges(edges) => joined(edges)?,
            Self::Spline(points) => lines(&spline(points)?)?,
        };
        if edges.iter().map(Edge::length_m).sum::<f64>() <= JOIN_M {
            return Err(PatternFault::NoCurve);
        }
        Ok(edges)
    }
}

/// Places along edges that follow each other.
pub(super) fn places_along(edges: &[Edge], spacing: Spacing) -> Result<Vec<Point>, PatternFault> {
    let (Some(first), Some(last)) = (edges.first(), edges.last()) else {
        return Err(PatternFault::NoCurve);
    };
    let closed = first.from().distance(last.to()) <= JOIN_M;
    let length_m: f64 = edges.iter().map(Edge::length_m).sum();
    let distances = distances(length_m, closed, spacing)?;
    Ok(walk(edges, &distances))
}

/// Distances from the start at which holes stand on a line of some length.
fn distances(length_m: f64, closed: bool, spacing: Spacing) -> Result<Vec<f64>, PatternFault> {
    let gaps = |pitch_m: f64| libm::floor(length_m / pitch_m + HAIR);
    let (count, step_m) = match spacing {
        Spacing::Count(count) => (count as f64, None),
        Spacing::Exactly(pitch_m) => (gaps(pitch(pitch_m)?), Some(pitch_m)),
        Spacing::Even(pitch_m) => (gaps(pitch(pitch_m)?), None),
    };
    let count = match spacing {
        Spacing::Count(_) => count,
        _ if closed => count.max(1.0),
        _ => count + 1.0,
    };
    if count > MOST_PLACES as f64 {
        let pitch_m = length_m / count;
        return Err(PatternFault::TooMany {
            most: MOST_PLACES,
            pitch_m,
        });
    }
    // One hole of an even row stands in the middle.
    if count == 1.0 && !closed && step_m.is_none() {
        return Ok(vec![0.5 * length_m]);
    }
    let spans = if closed { count } else { count - 1.0 };
    let step_m = step_m.unwrap_or(length_m / spans.max(1.0));
    Ok((0..count as usize).map(|i| i as f64 * step_m).collect())
}

/// The points at rising distances from the start.
fn walk(edges: &[Edge], distances: &[f64]) -> Vec<Point> {
    let mut points = Vec::with_capacity(distances.len());
    let (mut edge, mut before) = (0, 0.0);
    for distance in distances {
        while edge + 1 < edges.len() && before + edges[edge].length_m() < *distance {
            before += edges[edge].length_m();
            edge += 1;
        }
        let length = edges[edge].length_m();
        let share = if length > 0.0 {
            ((distance - before) / length).clamp(0.0, 1.0)
        } else {
            0.0
        };
        points.push(edges[edge].at(share));
    }
    points
}

/// Angles of the holes of a ring, from its first.
///
/// Holes a straight distance p apart on radius R stand 2·asin(p/2R) apart, so ⌊π/asin(p/2R)⌋ fit.
pub(super) fn ring_angles(radius_m: f64, spacing: Spacing) -> Result<Vec<f64>, PatternFault> {
    let turn = 2.0 * PI;
    let step_at = |pitch_m: f64| {
        let half = pitch_m / (2.0 * radius_m);
        if half < 1.0 {
            2.0 * libm::asin(half)
        } else {
            turn
        }
    };
    if radius_m == 0.0 {
        return Ok(vec![0.0]);
    }
    let fit = |pitch_m: f64| libm::floor(turn / step_at(pitch_m) + HAIR).max(1.0);
    let (count, step) = match spacing {
        Spacing::Count(count) => (count as f64, turn / count.max(1) as f64),
        Spacing::Exactly(pitch_m) => (fit(pitch(pitch_m)?), step_at(pitch_m)),
        Spacing::Even(pitch_m) => {
            let count = fit(pitch(pitch_m)?);
            (count, turn / count)
        }
    };
    if count > MOST_PLACES as f64 {
        let pitch_m = radius_m * step;
        return Err(PatternFault::TooMany {
            most: MOST_PLACES,
            pitch_m,
        });
    }
    Ok((0..count as usize).map(|i| i as f64 * step).collect())
}

/// A pitch, if it is one.
pub(super) fn pitch(pitch_m: f64) -> Result<f64, PatternFault> {
    if pitch_m > 0.0 && pitch_m.is_finite() {
        return Ok(pitch_m);
    }
    Err(PatternFault::Size {
        what: "pitch",
        value: pitch_m,
        expected: "above zero",
    })
}

/// Refuses points that are not numbers.
pub(super) fn finite(points: &[Point]) -> Result<(), PatternFault> {
    match points.iter().position(|point| !point.is_place()) {
        Some(point) => Err(PatternFault::NotFinite { point }),
        None => Ok(()),
    }
}

pub(super) fn lines(points: &[Point]) -> Result<Vec<Edge>, PatternFault> {
    finite(points)?;
    Ok(points
        .windows(2)
        .map(|pair| {
            Edge::Line(Line {
                from: pair[0],
                to: pair[1],
            })
        })
        .collect())
}

/// The edges, if they are numbers and follow each other.
fn joined(edges: &[Edge]) -> Result<Vec<Edge>, PatternFault> {
    let finite = |edge: &Edge| {
        let round = match edge {
            Edge::Line(_) => true,
            Edge::Arc(Arc {
                centre,
                radius_m,
                start_rad,
                sweep_rad,
                ..
            }) => centre.is_place() && is_size(*radius_m) && (start_rad + sweep_rad).is_finite(),
        };
        round && edge.from().is_place() && edge.to().is_place()
    };
    if let Some(point) = edges.iter().position(|edge| !finite(edge)) {
        return Err(PatternFault::NotFinite { point });
    }
    let apart = |pair: &[Edge]| pair[0].to().distance(pair[1].from()) > JOIN_M;
    match edges.windows(2).position(apart) {
        Some(edge) => Err(PatternFault::Broken {
            edge,
            at: edges[edge].to(),
        }),
        None => Ok(edges.to_vec()),
    }
}

/// A spline as points so close that straight steps between them stay within [`FLAT_M`] of it.
fn spline(points: &[Point]) -> Result<Vec<Point>, PatternFault> {
    finite(points)?;
    let mut points = points.to_vec();
    points.dedup_by(|one, other| one.distance(*other) <= JOIN_M);
    if points.len() < 3 {
        return Ok(points);
    }
    let last = points.len() - 1;
    let closed = points[0].distance(points[last]) <= JOIN_M;
    // The spans at the ends need a neighbour: the one round the seam, or the mirror of the next.
    let (before, after) = if closed {
        (points[last - 1], points[1])
    } else {
        (
            points[0] * 2.0 - points[1],
            points[last] * 2.0 - points[last - 1],
        )
    };
    points.insert(0, before);
    points.push(after);
    let mut flat = vec![points[1]];
    for span in points.windows(4) {
        flatten(span, (0.0, span[1]), (1.0, span[2]), DEEPEST, &mut flat);
    }
    Ok(flat)
}

/// Points of a span of the spline after `from`, up to and with `to`.
fn flatten(
    span: &[Point],
    from: (f64, Point),
    to: (f64, Point),
    depth: u32,
    flat: &mut Vec<Point>,
) {
    let chord = Line {
        from: from.1,
        to: to.1,
    };
    let off = |share: f64| {
        let point = catmull_rom(span, from.0 + (to.0 - from.0) * share);
        chord.nearest(point).distance(point)
    };
    // Three places, so that a wave through the middle of the chord is not taken for a straight line.
    let bent = [0.25, 0.5, 0.75]
        .into_iter()
        .any(|share| off(share) > FLAT_M);
    if depth == 0 || !bent {
        flat.push(to.1);
        return;
    }
    let middle = 0.5 * (from.0 + to.0);
    let middle = (middle, catmull_rom(span, middle));
    flatten(span, from, middle, depth - 1, flat);
    flatten(span, middle, to, depth - 1, flat);
}

/// A point of the span between the second and third of four points, by the pyramid of Barry and Goldman (1988,
/// from memory) with knots at the square roots of the distances.
fn catmull_rom(span: &[Point], share: f64) -> Point {
    let mut knots = [0.0; 4];
    for i in 1..4 {
        knots[i] = knots[i - 1] + libm::sqrt(span[i].distance(span[i - 1]));
    }
    let t = knots[1] + (knots[2] - knots[1]) * share;
    let mut level = [span[0], span[1], span[2], span[3]];
    let between = |one: (f64, Point), other: (f64, Point)| {
        one.1.toward(other.1, (t - one.0) / (other.0 - one.0))
    };
    for i in 0..3 {
        level[i] = between((knots[i], level[i]), (knots[i + 1], level[i + 1]));
    }
    for i in 0..2 {
        level[i] = between((knots[i], level[i]), (knots[i + 2], level[i + 1]));
    }
    between((knots[1], level[0]), (knots[2], level[1]))
}
