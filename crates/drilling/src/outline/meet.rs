//! Where two edges meet: crossings, touches and overlaps.

use super::edge::{Arc, Edge, Line};
use super::place::Point;

/// Edges nearer than this touch, m.
const TOUCH_M: f64 = 1e-9;

/// The points where two edges cross or touch. Of a common stretch, its ends are given.
pub(crate) fn meets(one: &Edge, other: &Edge) -> Vec<Point> {
    if !one.bounds().near(&other.bounds(), TOUCH_M) {
        return Vec::new();
    }
    let touching = |of: &Edge, on: &Edge| {
        [of.from(), of.to()]
            .into_iter()
            .filter(|end| on.nearest(*end).distance(*end) <= TOUCH_M)
            .collect::<Vec<_>>()
    };
    let mut points = touching(one, other);
    points.extend(touching(other, one));
    points.extend(match (one, other) {
        (Edge::Line(one), Edge::Line(other)) => lines(one, other),
        (Edge::Line(line), Edge::Arc(arc)) | (Edge::Arc(arc), Edge::Line(line)) => {
            line_and_arc(line, arc)
        }
        (Edge::Arc(one), Edge::Arc(other)) => arcs(one, other),
    });
    points
}

/// The crossing of two segments that are not parallel.
fn lines(one: &Line, other: &Line) -> Vec<Point> {
    let (u, v) = (one.to - one.from, other.to - other.from);
    let across = u.cross(v);
    if across == 0.0 {
        return Vec::new();
    }
    let between = other.from - one.from;
    let (s, t) = (between.cross(v) / across, between.cross(u) / across);
    let inside = (0.0..=1.0).contains(&s) && (0.0..=1.0).contains(&t);
    inside
        .then(|| one.from.toward(one.to, s))
        .into_iter()
        .collect()
}

/// The crossings of a segment with an arc. With u along the segment and p the power of its start, the shares of
/// the way are the roots of u² t² + 2 b t + p, b = u·(start - centre); neither is the difference of large numbers.
fn line_and_arc(line: &Line, arc: &Arc) -> Vec<Point> {
    let along = line.to - line.from;
    let squared = along.dot(along);
    let half = along.dot(line.from - arc.centre);
    let power = arc.power(line.from);
    let root = half * half - squared * power;
    if squared == 0.0 || root < 0.0 {
        return Vec::new();
    }
    let larger = -(half + libm::copysign(libm::sqrt(root), half));
    if larger == 0.0 {
        // The segment starts where it touches, which the ends have told.
        return Vec::new();
    }
    [larger / squared, power / larger]
        .into_iter()
        .filter(|share| (0.0..=1.0).contains(share))
        .map(|share| line.from + along * share)
        .filter(|point| arc.covers((*point - arc.centre).angle_rad()))
        .collect()
}

/// The crossings of two arcs of different circles.
fn arcs(one: &Arc, other: &Arc) -> Vec<Point> {
    // From the smaller, whose common chord is the better known.
    let (one, other) = if one.radius_m <= other.radius_m {
        (one, other)
    } else {
        (other, one)
    };
    let between = other.centre - one.centre;
    let apart = between.length();
    if apart == 0.0 {
        return Vec::new();
    }
    // Distance from the first centre to the common chord, and half that chord.
    let r = one.radius_m;
    let along = (other.power(one.centre) + r * r) / (2.0 * apart);
    if along.abs() > r {
        return Vec::new();
    }
    let half = libm::sqrt((r - along) * (r + along));
    let unit = between * (1.0 / apart);
    let foot = one.centre + unit * along;
    let left = Point::new(-unit.y, unit.x);
    [half, -half]
        .into_iter()
        .map(|off| foot + left * off)
        .filter(|point| {
            one.covers((*point - one.centre).angle_rad())
                && other.covers((*point - other.centre).angle_rad())
        })
        .collect()
}
