//! Holes as solids in the body: where a face sits, the axis of a hole, the material between two holes.

use crate::outline::{FARTHEST_M, Point};

use super::{Hole, Panel, Rules};

/// A place or direction in the body, m.
type Place = [f64; 3];

/// Where a face sits in the body: the place of its origin and the directions of its axes. Seen from outside,
/// y lies to the left of x, so the material is on the side away from x × y.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Frame {
    /// The face's origin in the body, m.
    pub origin: [f64; 3],
    /// Direction of the face's x axis, of length 1.
    pub x: [f64; 3],
    /// Direction of the face's y axis, of length 1, square to the x axis.
    pub y: [f64; 3],
}

/// The solid of a hole, never smaller than the hole in the material: all places within a radius of a segment.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Axis {
    /// Where the segment starts, m: where the axis meets the face, or above it when the hole leans.
    pub from: [f64; 3],
    /// Where the segment ends, m.
    pub to: [f64; 3],
    /// Radius, m.
    pub radius_m: f64,
}

impl Frame {
    /// The upper face: its axes are those of the body, the material is below.
    pub fn top() -> Self {
        Self {
            origin: [0.0; 3],
            x: [1.0, 0.0, 0.0],
            y: [0.0, 1.0, 0.0],
        }
    }

    /// The place in the body of a point of the face, and so far below it.
    pub fn place(&self, point: Point, below_m: f64) -> [f64; 3] {
        let out = cross(self.x, self.y);
        std::array::from_fn(|i| {
            self.origin[i] + self.x[i] * point.x + self.y[i] * point.y - out[i] * below_m
        })
    }

    /// Whether the axes have length 1 and are square to each other, to a millionth.
    pub fn is_square(&self) -> bool {
        let off = [
            dot(self.x, self.x) - 1.0,
            dot(self.y, self.y) - 1.0,
            dot(self.x, self.y),
        ];
        off.iter().all(|off| off.abs() <= 1e-6)
            && self.origin.iter().all(|part| part.abs() <= FARTHEST_M)
    }
}

impl Hole {
    /// Length along the axis, m. The point is counted so far as a ball of the hole's radius about the end does not
    /// already hold it.
    fn length_m(&self, rules: &Rules) -> f64 {
        let radius = 0.5 * self.bore.diameter_m;
        let beyond = (rules.point_length_m(self.bore.diameter_m) - radius).max(0.0);
        self.bore.depth_m + beyond
    }

    /// Length along the axis to the back of the body, m.
    fn back_m(&self, panel: &Panel) -> f64 {
        panel.thickness_m / libm::cos(self.bore.tilt_rad)
    }

    /// How far the hole goes along its axis before its end or the back of the body, m.
    pub(super) fn reach_m(&self, panel: &Panel, rules: &Rules) -> f64 {
        self.length_m(rules).min(self.back_m(panel))
    }

    /// The point of the face right above the place so far along the axis.
    pub(super) fn above(&self, along_m: f64) -> Point {
        self.at + Point::at_angle(self.bore.bearing_rad) * (along_m * libm::sin(self.bore.tilt_rad))
    }

    /// The deepest place of the hole below its face, m: the rim of its end or the tip of its point.
    pub fn deepest_m(&self, rules: &Rules) -> f64 {
        let (sin, cos) = (libm::sin(self.bore.tilt_rad), libm::cos(self.bore.tilt_rad));
        let rim = self.bore.depth_m * cos + 0.5 * self.bore.diameter_m * sin;
        let tip = (self.bore.depth_m + rules.point_length_m(self.bore.diameter_m)) * cos;
        rim.max(tip)
    }

    /// The solid of the hole in the body. A leaning cylinder reaches the face on one side before its axis does, so
    /// the segment starts r·tan(tilt) above the face, and ends as far beyond the back if it comes out there.
    pub fn axis(&self, panel: &Panel, rules: &Rules) -> Axis {
        let slant = 0.5 * self.bore.diameter_m * libm::tan(self.bore.tilt_rad);
        let back = self.back_m(panel) + slant;
        let place = |along: f64| {
            let below = along * libm::cos(self.bore.tilt_rad);
            panel.frame.place(self.above(along), below)
        };
        Axis {
            from: place(-slant),
            to: place(self.length_m(rules).min(back)),
            radius_m: 0.5 * self.bore.diameter_m,
        }
    }
}

/// Material between two holes, m: the distance of their axes as segments in space less both radii. Negative
/// when they run into each other.
pub fn web_between(one: &Axis, other: &Axis) -> f64 {
    segments_apart(one, other) - one.radius_m - other.radius_m
}

/// Distance between two segments: between their lines where both feet lie inside, else from an end.
fn segments_apart(one: &Axis, other: &Axis) -> f64 {
    let ends = [
        apart_from(one.from, other),
        apart_from(one.to, other),
        apart_from(other.from, one),
        apart_from(other.to, one),
    ];
    let (u, v, w) = (
        minus(one.to, one.from),
        minus(other.to, other.from),
        minus(other.from, one.from),
    );
    let (uu, uv, vv, uw, vw) = (dot(u, u), dot(u, v), dot(v, v), dot(u, w), dot(v, w));
    let square = uu * vv - uv * uv;
    let mut nearest = ends.into_iter().fold(f64::INFINITY, f64::min);
    // Nearly parallel segments have an end at their nearest pair, or as near as makes no difference.
    if square > 1e-12 * uu * vv {
        let (s, t) = ((uw * vv - uv * vw) / square, (uv * uw - uu * vw) / square);
        if (0.0..=1.0).contains(&s) && (0.0..=1.0).contains(&t) {
            let between: Place = std::array::from_fn(|i| w[i] + v[i] * t - u[i] * s);
            nearest = nearest.min(length(between));
        }
    }
    nearest
}

/// Distance from a place to a segment.
fn apart_from(place: Place, axis: &Axis) -> f64 {
    let (along, to) = (minus(axis.to, axis.from), minus(place, axis.from));
    let squared = dot(along, along);
    let share = if squared > 0.0 {
        (dot(to, along) / squared).clamp(0.0, 1.0)
    } else {
        0.0
    };
    length(std::array::from_fn(|i| to[i] - along[i] * share))
}

pub(super) fn minus(one: Place, other: Place) -> Place {
    std::array::from_fn(|i| one[i] - other[i])
}

fn dot(one: Place, other: Place) -> f64 {
    one[0] * other[0] + one[1] * other[1] + one[2] * other[2]
}

fn cross(one: Place, other: Place) -> Place {
    [
        one[1] * other[2] - one[2] * other[1],
        one[2] * other[0] - one[0] * other[2],
        one[0] * other[1] - one[1] * other[0],
    ]
}

pub(super) fn length(place: Place) -> f64 {
    libm::sqrt(dot(place, place))
}
