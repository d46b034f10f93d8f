//! Building outlines, and the checks that make them fit for use.

use std::f64::consts::TAU;

use super::edge::{Arc, Edge, Line};
use super::ellipse::Ellipse;
use super::fault::OutlineFault;
use super::meet::meets;
use super::place::{Point, is_size};
use super::{Contour, Outline};

/// Vertices nearer than this are the same place, m: a thousandth of a millimetre.
const SAME_PLACE_M: f64 = 1e-6;

/// Largest difference of the two radii of an arc given by its centre, m: drawings round to 0.01 mm or finer
/// (common practice).
const RADIUS_SLACK_M: f64 = 1e-5;

/// Neighbouring edges that part and meet again this close to their common vertex only differ by rounding of
/// the drawing, m.
const CUSP_M: f64 = 1e-4;

/// Flatter arcs are drawn straight: they bulge by less than 0.05 µm a metre, and their far centre would cost more
/// digits than that.
const LEAST_BULGE: f64 = 1e-7;

/// An arc with a larger bulge is a circle but for an unseen gap.
const MOST_BULGE: f64 = 1e4;

/// How the edge after a vertex runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Next {
    /// Straight to the next vertex.
    Straight,
    /// Round, with the tangent of a quarter of the angle: positive anticlockwise, 1 a half circle.
    Bulge(f64),
    /// Round about a centre.
    About {
        /// The centre of the circle.
        centre: Point,
        /// Which way round.
        clockwise: bool,
    },
}

/// A vertex of a loop, and the edge that leaves it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vertex {
    /// Where it is.
    pub at: Point,
    /// How the edge to the next vertex runs (from the last, to the first).
    pub next: Next,
}

impl Vertex {
    /// A vertex with a straight edge after it.
    pub const fn corner(at: Point) -> Self {
        Self {
            at,
            next: Next::Straight,
        }
    }
}

impl Outline {
    /// A polygon with straight and round edges, without islands; either way round.
    pub fn polygon(vertices: &[Vertex]) -> Result<Self, OutlineFault> {
        Ok(Self::without_islands(loop_of(vertices, 0)?))
    }

    /// An upright rectangle between two opposite corners, its corners rounded (radius 0: sharp).
    pub fn rectangle(one: Point, other: Point, radius_m: f64) -> Result<Self, OutlineFault> {
        require(
            one.is_place() && other.is_place(),
            "corner",
            f64::NAN,
            "a place within 10 km",
        )?;
        require(radius_m >= 0.0, "corner radius", radius_m, "zero or more")?;
        let low = Point::new(one.x.min(other.x), one.y.min(other.y));
        let high = Point::new(one.x.max(other.x), one.y.max(other.y));
        let side_m = (high.x - low.x).min(high.y - low.y);
        if 2.0 * radius_m > side_m {
            return Err(OutlineFault::CornerRadius { radius_m, side_m });
        }
        Self::polygon(&rounded_corners(low, high, radius_m))
    }

    /// A circle.
    pub fn circle(centre: Point, radius_m: f64) -> Result<Self, OutlineFault> {
        require(
            centre.is_place(),
            "centre",
            f64::NAN,
            "a place within 10 km",
        )?;
        require(usable(radius_m), "radius", radius_m, "above zero")?;
        let circle = Edge::Arc(Arc::circle(centre, radius_m));
        Ok(Self::without_islands(Contour::Edges(vec![circle])))
    }

    /// An ellipse with its half extents along its own axes, the first turned from the x axis.
    pub fn ellipse(ellipse: Ellipse) -> Result<Self, OutlineFault> {
        let Ellipse {
            centre,
            half_x_m,
            half_y_m,
            turn_rad,
        } = ellipse;
        require(
            centre.is_place(),
            "centre",
            f64::NAN,
            "a place within 10 km",
        )?;
        require(
            usable(half_x_m),
            "half extent along x",
            half_x_m,
            "above zero",
        )?;
        require(
            usable(half_y_m),
            "half extent along y",
            half_y_m,
            "above zero",
        )?;
        require(turn_rad.is_finite(), "turn", turn_rad, "a finite angle")?;
        Ok(Self::without_islands(Contour::Ellipse(ellipse)))
    }

    /// The same face with the outer loops of other outlines as islands in it.
    pub fn with_islands(
        mut self,
        islands: impl IntoIterator<Item = Outline>,
    ) -> Result<Self, OutlineFault> {
        for island in islands {
            let contour = self.islands.len() + 1;
            if let Some(at) = strays(&island.outer, |place| self.outer.depth_inside(place)) {
                return Err(OutlineFault::IslandOutside { contour, at });
            }
            for (other, before) in self.islands.iter().enumerate() {
                if let Some(at) = overlap(before, &island.outer) {
                    let other = other + 1;
                    return Err(OutlineFault::IslandsMeet {
                        contour: other,
                        other: contour,
                        at,
                    });
                }
            }
            self.islands.push(island.outer);
        }
        Ok(self)
    }

    fn without_islands(outer: Contour) -> Self {
        Self {
            outer,
            islands: Vec::new(),
        }
    }
}

fn require(
    holds: bool,
    what: &'static str,
    value: f64,
    expected: &'static str,
) -> Result<(), OutlineFault> {
    if holds {
        Ok(())
    } else {
        Err(OutlineFault::Size {
            what,
            value,
            expected,
        })
    }
}

/// A size large enough to be told from rounding.
fn usable(size_m: f64) -> bool {
    size_m > SAME_PLACE_M && is_size(size_m)
}

/// The vertices of a rectangle, anticlockwise, with a quarter circle at each corner.
fn rounded_corners(low: Point, high: Point, radius_m: f64) -> Vec<Vertex> {
    if radius_m <= SAME_PLACE_M {
        return [
            low,
            Point::new(high.x, low.y),
            high,
            Point::new(low.x, high.y),
        ]
        .map(Vertex::corner)
        .to_vec();
    }
    let r = radius_m;
    let centres = [
        (
            Point::new(high.x - r, low.y + r),
            Point::new(0.0, -r),
            Point::new(r, 0.0),
        ),
        (
            Point::new(high.x - r, high.y - r),
            Point::new(r, 0.0),
            Point::new(0.0, r),
        ),
        (
            Point::new(low.x + r, high.y - r),
            Point::new(0.0, r),
            Point::new(-r, 0.0),
        ),
        (
            Point::new(low.x + r, low.y + r),
            Point::new(-r, 0.0),
            Point::new(0.0, -r),
        ),
    ];
    let mut vertices: Vec<Vertex> = Vec::with_capacity(8);
    for (centre, into, out) in centres {
        let about = Next::About {
            centre,
            clockwise: false,
        };
        // A radius of half the side leaves no straight edge: the arcs follow each other.
        if vertices
            .last()
            .is_some_and(|last| last.at.distance(centre + into) <= SAME_PLACE_M)
        {
            vertices.pop();
        }
        vertices.push(Vertex {
            at: centre + into,
            next: about,
        });
        vertices.push(Vertex::corner(centre + out));
    }
    let closes = vertices.len() > 1
        && vertices[0].at.distance(vertices[vertices.len() - 1].at) <= SAME_PLACE_M;
    if closes {
        vertices.pop();
    }
    vertices
}

/// A loop of vertices, checked.
fn loop_of(vertices: &[Vertex], contour: usize) -> Result<Contour, OutlineFault> {
    let round = vertices.iter().any(|vertex| vertex.next != Next::Straight);
    let needed = if round { 2 } else { 3 };
    if vertices.len() < needed {
        let found = vertices.len();
        return Err(OutlineFault::TooFewVertices {
            contour,
            found,
            needed,
        });
    }
    let edges = (0..vertices.len())
        .map(|vertex| edge_after(vertices, vertex, contour))
        .collect::<Result<Vec<_>, _>>()?;
    crossing_free(&edges, contour)?;
    let built = Contour::Edges(edges);
    let area_m2 = built.area_m2();
    if area_m2 <= SAME_PLACE_M * SAME_PLACE_M {
        return Err(OutlineFault::NoArea { contour, area_m2 });
    }
    Ok(built)
}

/// The edge from a vertex to the next one round.
fn edge_after(vertices: &[Vertex], vertex: usize, contour: usize) -> Result<Edge, OutlineFault> {
    let from = vertices[vertex].at;
    let to = vertices[(vertex + 1) % vertices.len()].at;
    let finite = match vertices[vertex].next {
        Next::Straight => true,
        Next::Bulge(bulge) => bulge.abs() <= MOST_BULGE,
        Next::About { centre, .. } => centre.is_place(),
    };
    if !from.is_place() || !finite {
        return Err(OutlineFault::NotFinite { contour, vertex });
    }
    if from.distance(to) <= SAME_PLACE_M {
        return Err(OutlineFault::Repeated { contour, vertex });
    }
    match vertices[vertex].next {
        Next::Straight => Ok(Edge::Line(Line { from, to })),
        Next::Bulge(bulge) => Ok(by_bulge(from, to, bulge)),
        Next::About { centre, clockwise } => {
            let (from_m, to_m) = (centre.distance(from), centre.distance(to));
            if (from_m - to_m).abs() > RADIUS_SLACK_M {
                return Err(OutlineFault::UnevenRadius {
                    contour,
                    vertex,
                    from_m,
                    to_m,
                });
            }
            let bulge = bulge_about(from, to, centre, clockwise);
            Ok(by_bulge(from, to, bulge))
        }
    }
}

/// The edge with a bulge, straight when there is next to none.
fn by_bulge(from: Point, to: Point, bulge: f64) -> Edge {
    if bulge.abs() <= LEAST_BULGE {
        return Edge::Line(Line { from, to });
    }
    Edge::Arc(Arc::by_bulge(from, to, bulge))
}

/// The bulge of the arc between two points about a centre. Going through the bulge puts both ends exactly on
/// the arc when the centre was rounded.
fn bulge_about(from: Point, to: Point, centre: Point, clockwise: bool) -> f64 {
    let (from, to) = (from - centre, to - centre);
    let turn = libm::atan2(from.cross(to), from.dot(to));
    let sweep = match (clockwise, turn < 0.0) {
        (false, true) => turn + TAU,
        (true, false) => turn - TAU,
        _ => turn,
    };
    libm::tan(sweep / 4.0)
}

/// Refuses edges that meet elsewhere than at the vertex between neighbours.
fn crossing_free(edges: &[Edge], contour: usize) -> Result<(), OutlineFault> {
    let count = edges.len();
    for edge in 0..count {
        for other in edge + 1..count {
            let mut shared = Vec::new();
            if other == edge + 1 {
                shared.push(edges[edge].to());
            }
            if (other + 1) % count == edge {
                shared.push(edges[edge].from());
            }
            let shorter = edges[edge].length_m().min(edges[other].length_m());
            let cusp = CUSP_M.min(0.25 * shorter);
            let apart = |at: &Point| shared.iter().all(|vertex| vertex.distance(*at) > cusp);
            if let Some(at) = meets(&edges[edge], &edges[other]).into_iter().find(apart) {
                return Err(OutlineFault::SelfCrossing {
                    contour,
                    edge,
                    other,
                    at,
                });
            }
        }
    }
    Ok(())
}

/// A place of a loop where `depth` is not clearly above zero, if there is one. `depth` must change no faster
/// than the place does (as distances do): then a stretch whose middle is deeper than half its length is clear
/// all along, and any other is halved.
fn strays(contour: &Contour, depth: impl Fn(Point) -> f64) -> Option<Point> {
    match contour {
        Contour::Edges(edges) => edges
            .iter()
            .find_map(|edge| strays_between(&|share| edge.at(share), edge.length_m(), &depth)),
        Contour::Ellipse(ellipse) => {
            // The parameter runs through a full turn no faster than the longer half extent.
            let longest = TAU * ellipse.half_x_m.max(ellipse.half_y_m);
            strays_between(&|share| ellipse.at(TAU * share), longest, &depth)
        }
    }
}

fn strays_between(
    at: &dyn Fn(f64) -> Point,
    length_m: f64,
    depth: &dyn Fn(Point) -> f64,
) -> Option<Point> {
    let mut open = vec![(0.0, 1.0)];
    while let Some((from, to)) = open.pop() {
        let middle = 0.5 * (from + to);
        let place = at(middle);
        let half = 0.5 * (to - from) * length_m;
        let deep = depth(place);
        if deep > half {
            continue;
        }
        // Over long edges a gap of a millionth of their length is none: else the halving would take for ever.
        if deep <= 0.0 || half <= SAME_PLACE_M.max(1e-6 * length_m) {
            return Some(place);
        }
        open.push((middle, to));
        open.push((from, middle));
    }
    None
}

/// A place that two loops share, on either loop or inside it.
fn overlap(one: &Contour, other: &Contour) -> Option<Point> {
    strays(other, |place| -one.depth_inside(place))
        .or_else(|| strays(one, |place| -other.depth_inside(place)))
}
