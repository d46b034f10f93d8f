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

/// The crossings of a segment with an arc.
fn line_and_arc(line: &Line, arc: &Arc) -> Vec<Point> {
    let along = line.to - line.from;
    let squared = along.dot(along);
    if squared == 0.0 {
        return Vec::new();
    }
    let middle = (arc.centre - line.from).dot(along) / squared;
    let foot = line.from + along * middle;
    let off = foot.distance(arc.centre);
    if off > arc.radius_m {
        return Vec::new();
    }
    let half = libm::sqrt((arc.radius_m * arc.radius_m - off * off) / squared);
    [middle - half, middle + half]
        .into_iter()
        .filter(|share| (0.0..=1.0).contains(share))
        .map(|share| line.from + along * share)
        .filter(|point| arc.covers((*point - arc.centre).angle_rad()))
        .collect()
}

/// The crossings of two arcs of different circles.
fn arcs(one: &Arc, other: &Arc) -> Vec<Point> {
    let between = other.centre - one.centre;
    let apart = between.length();
    let (r, s) = (one.radius_m, other.radius_m);
    if apart == 0.0 || apart > r + s || apart < (r - s).abs() {
        return Vec::new();
    }
    // Distance from the first centre to the common chord, and half that chord.
    let along = (apart * apart + r * r - s * s) / (2.0 * apart);
    let half = libm::sqrt((r * r - along * along).max(0.0));
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
