//! The line that stays a distance inside the outer edge.

use std::f64::consts::{FRAC_PI_2, PI};

use crate::outline::{Arc, Contour, Edge, Ellipse, FARTHEST_M, Line, Outline, Point, meets};

use super::curve::{JOIN_M, lines};
use super::fault::PatternFault;

/// A place of the line may be nearer to the edge than asked by this much, m: above rounding, and so small that what
/// lies beyond the crossing of two nearly parallel pieces is seen to be too near.
const NEAR_M: f64 = 1e-11;

/// Pieces shorter than this are crumbs of rounding, m.
const CRUMB_M: f64 = 1e-7;

/// Largest distance between the line inside an ellipse and the straight steps it is drawn by, m.
const FLAT_M: f64 = 1e-6;

/// The line `inset_m` inside the outer edge, where it is no nearer to any other edge: closed loops, or open
/// pieces where islands cut it. At 0 it is the edge itself.
///
/// Each edge is moved inward by the inset, corners that point inward are rounded, everything is cut where it
/// crosses, and the pieces whose middle is too near an edge are dropped. Inside an ellipse the line is drawn by
/// straight steps within a thousandth of a millimetre.
pub fn inset(outline: &Outline, inset_m: f64) -> Result<Vec<Vec<Edge>>, PatternFault> {
    if !((0.0..=FARTHEST_M).contains(&inset_m)) {
        return Err(PatternFault::Size {
            what: "inset",
            value: inset_m,
            expected: "zero or more",
        });
    }
    let raw = moved(outline.outer(), inset_m, Side::Inside)?;
    // The line can only come too near where it crosses itself or the line round an island.
    let mut cutters = match outline.outer() {
        Contour::Edges(_) => raw.clone(),
        Contour::Ellipse(_) => Vec::new(),
    };
    for island in outline.islands() {
        cutters.extend(moved(island, inset_m, Side::Outside)?);
    }
    let clear = |edge: &Edge| {
        edge.length_m() > CRUMB_M && outline.edge_distance(edge.at(0.5)) >= inset_m - NEAR_M
    };
    let kept: Vec<Edge> = raw
        .iter()
        .flat_map(|edge| cut(edge, &cutters))
        .filter(clear)
        .collect();
    if kept.is_empty() {
        return Err(PatternFault::NothingInside { inset_m });
    }
    Ok(chains(kept))
}

/// Which side of a loop the line runs on.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Inside,
    Outside,
}

/// The line at a distance from one loop, before what comes too near is cut away.
fn moved(contour: &Contour, by_m: f64, side: Side) -> Result<Vec<Edge>, PatternFault> {
    match contour {
        Contour::Edges(edges) => Ok(moved_edges(edges, by_m, side)),
        Contour::Ellipse(ellipse) => moved_ellipse(ellipse, by_m, side),
    }
}

/// The edges, run so that the side is on their left and moved to it, with arcs round the corners that point to it.
fn moved_edges(edges: &[Edge], by_m: f64, side: Side) -> Vec<Edge> {
    let area: f64 = edges.iter().map(Edge::swept_area).sum();
    let run: Vec<Edge> = if (area > 0.0) == (side == Side::Inside) {
        edges.to_vec()
    } else {
        edges.iter().rev().map(Edge::reversed).collect()
    };
    let mut moved = Vec::with_capacity(2 * edges.len());
    for (i, edge) in run.iter().enumerate() {
        moved.extend(moved_left(edge, by_m));
        let next = &run[(i + 1) % run.len()];
        moved.extend(round_corner(edge, next, by_m));
    }
    moved
}

/// An edge moved to its left; an arc that would turn inside out is gone.
fn moved_left(edge: &Edge, by_m: f64) -> Option<Edge> {
    match edge {
        Edge::Line(line) => {
            let shift = left_of(direction(edge, 0.0)) * by_m;
            Some(Edge::Line(Line {
                from: line.from + shift,
                to: line.to + shift,
            }))
        }
        Edge::Arc(arc) => arc.moved_left(by_m, CRUMB_M).map(Edge::Arc),
    }
}

/// The arc round the end of an edge where the loop turns right, which is a corner pointing inward.
fn round_corner(edge: &Edge, next: &Edge, radius_m: f64) -> Option<Edge> {
    let (into, out) = (direction(edge, 1.0), direction(next, 0.0));
    let turn = libm::atan2(into.cross(out), into.dot(out));
    // A turn this small moves the line by less than its own tolerance.
    (turn < -1e-9 && radius_m > CRUMB_M).then(|| {
        let start = left_of(into).angle_rad();
        Edge::Arc(Arc::about(edge.to(), radius_m, start, turn))
    })
}

/// The unit direction of an edge at its start (0) or end (1).
fn direction(edge: &Edge, share: f64) -> Point {
    match edge {
        Edge::Line(line) => (line.to - line.from) * (1.0 / line.length_m()),
        Edge::Arc(arc) => {
            let out = Point::at_angle(arc.start_rad + arc.sweep_rad * share);
            left_of(out) * arc.sweep_rad.signum()
        }
    }
}

fn left_of(direction: Point) -> Point {
    Point::new(-direction.y, direction.x)
}

/// An edge cut where others meet it.
fn cut(edge: &Edge, cutters: &[Edge]) -> Vec<Edge> {
    let mut cuts: Vec<f64> = cutters
        .iter()
        .filter(|other| *other != edge)
        .flat_map(|other| meets(edge, other))
        .map(|point| share_of(edge, point))
        .chain([0.0, 1.0])
        .collect();
    cuts.sort_by(f64::total_cmp);
    cuts.windows(2)
        .map(|pair| part(edge, pair[0], pair[1]))
        .collect()
}

/// How far along an edge a point of it lies: 0 to 1.
fn share_of(edge: &Edge, point: Point) -> f64 {
    match edge {
        Edge::Line(line) => {
            let along = line.to - line.from;
            ((point - line.from).dot(along) / along.dot(along)).clamp(0.0, 1.0)
        }
        Edge::Arc(arc) => {
            let turn = arc.turn_to((point - arc.centre).angle_rad());
            let sweep = arc.sweep_rad.abs();
            // A hair before the start reads as a full turn.
            let past = turn - sweep;
            if past > 0.0 && std::f64::consts::TAU - turn < past {
                0.0
            } else {
                (turn / sweep).min(1.0)
            }
        }
    }
}

/// The part of an edge between two shares of its length.
fn part(edge: &Edge, from: f64, to: f64) -> Edge {
    match edge {
        Edge::Line(_) => Edge::Line(Line {
            from: edge.at(from),
            to: edge.at(to),
        }),
        Edge::Arc(arc) if from == 0.0 && to == 1.0 => Edge::Arc(*arc),
        Edge::Arc(arc) => Edge::Arc(arc.part(from, to)),
    }
}

/// The line beside an ellipse as straight steps: the ellipse's points moved along their normals. Deep inside, those
/// near the ends of the long axis would cross it, and the line has a corner there instead: the speed of the ellipse
/// is then inset × long/short, so with u from the long axis, sin²u = ((inset·long/short)² − short²)/(long² − short²).
///
/// A step du bulges by less than (longest radius of the line) × du²/8.
fn moved_ellipse(ellipse: &Ellipse, by_m: f64, side: Side) -> Result<Vec<Edge>, PatternFault> {
    let (a, b) = (ellipse.half_x_m, ellipse.half_y_m);
    let (long, short) = (a.max(b), a.min(b));
    let inward_m = match side {
        Side::Inside => by_m,
        Side::Outside => -by_m,
    };
    if inward_m >= short {
        return Err(PatternFault::NothingInside { inset_m: by_m });
    }
    let reach = inward_m * long / short;
    let corner = if reach > short {
        let squared = (reach - short) * (reach + short) / ((long - short) * (long + short));
        libm::asin(libm::sqrt(squared.min(1.0)))
    } else {
        0.0
    };
    let widest = long - inward_m.min(0.0);
    let steps = libm::ceil(PI / libm::sqrt(8.0 * FLAT_M / widest)).max(32.0) as usize;
    let axis = if a >= b { 0.0 } else { FRAC_PI_2 };
    let half_turn = |half: f64| {
        (0..=steps).map(move |i| {
            let share = i as f64 / steps as f64;
            axis + half * PI + corner + (PI - 2.0 * corner) * share
        })
    };
    let mut points: Vec<Point> = half_turn(0.0)
        .chain(half_turn(1.0))
        .map(|u| ellipse.at(u) + ellipse.inward(u) * inward_m)
        .collect();
    points.extend(points.first().copied());
    lines(&points)
}

/// Pieces joined end to start into loops and open runs, in the order they come.
fn chains(pieces: Vec<Edge>) -> Vec<Vec<Edge>> {
    let mut waiting: Vec<Option<Edge>> = pieces.into_iter().map(Some).collect();
    let mut chains: Vec<Vec<Edge>> = Vec::new();
    for start in 0..waiting.len() {
        let Some(first) = waiting[start].take() else {
            continue;
        };
        let mut chain = vec![first];
        let mut place = start;
        while let Some(next) = following(&waiting, place, chain[chain.len() - 1].to()) {
            chain.extend(waiting[next].take());
            place = next;
        }
        // A loop cut open by where we began: its end runs on into the first chain's start.
        match chains.iter_mut().find(|before| follows(&chain, before)) {
            Some(before) => {
                chain.append(before);
                *before = chain;
            }
            None => chains.push(chain),
        }
    }
    chains
}

/// Whether the first run ends where the second, which is open, begins.
fn follows(first: &[Edge], second: &[Edge]) -> bool {
    let meets =
        |one: &[Edge], other: &[Edge]| one[one.len() - 1].to().distance(other[0].from()) <= JOIN_M;
    meets(first, second) && !meets(second, second) && !meets(first, first)
}

/// The piece that starts at a place: most often the one after, else any.
fn following(waiting: &[Option<Edge>], place: usize, at: Point) -> Option<usize> {
    let starts_here = |index: &usize| {
        waiting[*index]
            .as_ref()
            .is_some_and(|edge| edge.from().distance(at) <= JOIN_M)
    };
    Some((place + 1) % waiting.len())
        .filter(starts_here)
        .or_else(|| (0..waiting.len()).find(starts_here))
}
