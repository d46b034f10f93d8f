//! Where the holes go on a face, and whether they may.
//!
//! [`lay`] places the holes of a [`Layout`] on a [`Panel`] and keeps those that the [`Rules`] about the edge
//! allow; [`check`] holds any holes, laid here or imported, against every rule and says which break which, by
//! how much. [`Layout::opened_to_fit`] answers the other question: how wide a pitch puts so many holes on the face.

mod check;
mod curve;
mod fault;
mod fit;
mod inset;
mod lattice;
mod lay;
mod solid;

use crate::outline::{Outline, Point};

pub use check::check;
pub use curve::{Curve, Spacing};
pub use fault::{Fault, PatternFault};
pub use inset::inset;
pub use lay::lay;
pub use solid::{Axis, Frame, web_between};

/// What is drilled at a place.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Bore {
    /// Diameter, m.
    pub diameter_m: f64,
    /// Depth along the axis, from the face to where the full diameter ends, m. The point of the drill goes on
    /// beyond; see [`Rules::point_rad`].
    pub depth_m: f64,
    /// Whether it is meant to come out at the back.
    pub through: bool,
    /// Lean of the axis from the normal of the face, rad: 0 square to the face, below π/2.
    pub tilt_rad: f64,
    /// Direction in the face towards which a leaning hole goes as it goes down, anticlockwise from x, rad.
    pub bearing_rad: f64,
    /// Number of the tool.
    pub tool: u32,
    /// Which face it is drilled from: the place of its [`Panel`] in the list given to [`check`].
    pub face: usize,
}

/// A hole: a bore at a place of its face (where its axis meets the face).
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Hole {
    /// Where the axis meets the face.
    pub at: Point,
    /// What is drilled there.
    pub bore: Bore,
}

/// A face that can be drilled.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Panel {
    /// Its outline; the sides of the body go straight down from it.
    pub outline: Outline,
    /// Thickness of the body under it, m.
    pub thickness_m: f64,
    /// Where the face lies in the body; matters only when there are several faces.
    pub frame: Frame,
}

/// What the holes must keep.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Rules {
    /// Least material between a hole and the outline or an island, m.
    pub edge_m: f64,
    /// Least material between two holes, m.
    pub web_m: f64,
    /// Least material left below a blind hole, its point included, m.
    pub floor_m: f64,
    /// Full angle of the drill's point, rad: π for a flat bottom; 118° is common practice for twist drills
    /// (from memory).
    pub point_rad: f64,
}

/// Where a lattice of holes sits on the face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Align {
    /// About the middle of the face's box, with a hole or a gap on the centre lines, whichever holds more.
    Centred,
    /// With a hole at a place.
    At(Point),
    /// Wherever the most holes fit, of a fine set of positions; the centred ones win a tie.
    Fullest,
}

/// A ring of holes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ring {
    /// Radius of the circle through the centres, m; 0 for one hole in the middle.
    pub radius_m: f64,
    /// How many, or how far apart (straight from centre to centre).
    pub spacing: Spacing,
    /// Angle of the first hole, anticlockwise from x, rad.
    pub first_rad: f64,
}

/// An arrangement of holes.
#[derive(Clone, Debug, PartialEq)]
pub enum Layout {
    /// Rows and columns.
    Grid {
        /// Distance between columns, m.
        pitch_x_m: f64,
        /// Distance between rows, m.
        pitch_y_m: f64,
        /// Turn of the rows, anticlockwise from x, rad.
        turn_rad: f64,
        /// Where it sits.
        align: Align,
    },
    /// Rows, every other one moved by half a pitch.
    Staggered {
        /// Distance between holes of a row, m.
        pitch_m: f64,
        /// Distance between rows, m; none for equilateral triangles, pitch × √3/2.
        row_m: Option<f64>,
        /// Turn of the rows, anticlockwise from x, rad.
        turn_rad: f64,
        /// Where it sits.
        align: Align,
    },
    /// Concentric rings.
    Rings {
        /// Their centre.
        centre: Point,
        /// The rings, in any order.
        rings: Vec<Ring>,
    },
    /// Along a curve.
    Along {
        /// The curve.
        curve: Curve,
        /// How far apart along it.
        spacing: Spacing,
    },
    /// Around the outer edge, at a distance inside it.
    AroundEdge {
        /// Distance of the centres from the edge, m.
        inset_m: f64,
        /// How far apart along the line of the centres.
        spacing: Spacing,
    },
    /// At given places.
    Points(Vec<Point>),
}

/// The holes of a layout.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Laid {
    /// The holes that keep their distance to the edge, row by row or along the curve.
    pub holes: Vec<Hole>,
    /// Places asked for (on rings, curves or as points) that are too near the edge or off the face. A grid just
    /// ends there, so it has none.
    pub left_out: Vec<Point>,
}

impl Hole {
    /// Half the longer extent of the mouth in the face, m: the cylinder cuts the face in an ellipse.
    pub fn mouth_radius_m(&self) -> f64 {
        0.5 * self.bore.diameter_m / libm::cos(self.bore.tilt_rad)
    }

    /// The point of the face right above where the full diameter ends: a leaning hole drifts sideways.
    pub fn axis_end(&self) -> Point {
        self.above(self.bore.depth_m)
    }
}

impl Rules {
    /// Length of the drill's point beyond the full diameter, m: (D/2)/tan(point angle/2).
    pub fn point_length_m(&self, diameter_m: f64) -> f64 {
        if self.point_rad >= std::f64::consts::PI {
            return 0.0;
        }
        0.5 * diameter_m / libm::tan(0.5 * self.point_rad)
    }
}

impl Panel {
    /// A single face of a body of some thickness.
    pub fn new(outline: Outline, thickness_m: f64) -> Self {
        Self {
            outline,
            thickness_m,
            frame: Frame::top(),
        }
    }
}
