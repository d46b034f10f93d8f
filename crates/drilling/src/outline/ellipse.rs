//! Ellipses: inside, the nearest point, distance to a segment, even steps along the edge.

use super::edge::Line;
use super::place::{Bounds, Point};

/// Newton's steps at most. Far left of the root each makes s half as large again, so this is never reached.
const MOST_STEPS: usize = 2000;

/// An ellipse; metres and radians.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Ellipse {
    /// The centre.
    pub centre: Point,
    /// Half the extent along its own first axis, m.
    pub half_x_m: f64,
    /// Half the extent along its own second axis, m.
    pub half_y_m: f64,
    /// Turn of the first axis from the x axis of the face, anticlockwise, rad.
    pub turn_rad: f64,
}

impl Ellipse {
    /// A point of the face in the ellipse's own axes.
    fn own(&self, point: Point) -> Point {
        (point - self.centre).turned(-self.turn_rad)
    }

    /// A point in the ellipse's own axes on the face.
    fn on_face(&self, own: Point) -> Point {
        self.centre + own.turned(self.turn_rad)
    }

    /// The point at a parameter (not an angle): (a cos t, b sin t) in its own axes.
    pub fn at(&self, parameter_rad: f64) -> Point {
        let unit = Point::at_angle(parameter_rad);
        self.on_face(Point::new(self.half_x_m * unit.x, self.half_y_m * unit.y))
    }

    /// The unit normal pointing inward at a parameter.
    pub(crate) fn inward(&self, parameter_rad: f64) -> Point {
        let unit = Point::at_angle(parameter_rad);
        let normal = Point::new(self.half_y_m * unit.x, self.half_x_m * unit.y);
        (normal * (-1.0 / normal.length())).turned(self.turn_rad)
    }

    /// Whether a point lies inside.
    pub fn contains(&self, point: Point) -> bool {
        let own = self.own(point);
        let (x, y) = (own.x / self.half_x_m, own.y / self.half_y_m);
        x * x + y * y < 1.0
    }

    /// Area inside, m².
    pub fn area_m2(&self) -> f64 {
        std::f64::consts::PI * self.half_x_m * self.half_y_m
    }

    /// Length of the edge, m, by the trapezium rule, which for a smooth periodic function converges faster than any
    /// power of the step (Trefethen and Weideman, 2014; from memory).
    pub fn length_m(&self) -> f64 {
        let (long, short) = (
            self.half_x_m.max(self.half_y_m),
            self.half_x_m.min(self.half_y_m),
        );
        // The thinner the ellipse, the sharper the turn that a step must see.
        let steps = (64.0 * libm::ceil(long / short)).min(1e6) as u32;
        let step = std::f64::consts::TAU / f64::from(steps);
        let speed = |i: u32| {
            let unit = Point::at_angle(step * f64::from(i));
            libm::hypot(self.half_x_m * unit.y, self.half_y_m * unit.x)
        };
        step * (0..steps).map(speed).sum::<f64>()
    }

    /// The smallest upright box around it: half extents √(a²cos²φ + b²sin²φ) and √(a²sin²φ + b²cos²φ).
    pub fn bounds(&self) -> Bounds {
        let turn = Point::at_angle(self.turn_rad);
        let half = Point::new(
            libm::hypot(self.half_x_m * turn.x, self.half_y_m * turn.y),
            libm::hypot(self.half_x_m * turn.y, self.half_y_m * turn.x),
        );
        Bounds::of(self.centre - half, self.centre + half)
    }

    /// The point of the ellipse nearest to a point.
    pub fn nearest(&self, point: Point) -> Point {
        let own = self.own(point);
        let (x, y) = (own.x.abs(), own.y.abs());
        let near = if self.half_x_m >= self.half_y_m {
            nearest_in_quarter(self.half_x_m, self.half_y_m, x, y)
        } else {
            let (y, x) = nearest_in_quarter(self.half_y_m, self.half_x_m, y, x);
            (x, y)
        };
        let signed = Point::new(libm::copysign(near.0, own.x), libm::copysign(near.1, own.y));
        self.on_face(signed)
    }

    /// Distance to a straight segment, m; 0 when they meet. Where they do not, the nearest pair has an end of
    /// the segment, or a point of the ellipse whose tangent runs along the segment.
    pub fn distance_to_segment(&self, segment: &Line) -> f64 {
        if self.crosses(segment) {
            return 0.0;
        }
        let ends = [segment.from, segment.to].map(|end| self.nearest(end).distance(end));
        let along = (segment.to - segment.from).turned(-self.turn_rad);
        // Tangent (−a sin t, b cos t) along (u, v): tan t = −b u / (a v).
        let abreast = libm::atan2(-self.half_y_m * along.x, self.half_x_m * along.y);
        let abreast = [abreast, abreast + std::f64::consts::PI].map(|parameter| {
            let on_ellipse = self.at(parameter);
            segment.nearest(on_ellipse).distance(on_ellipse)
        });
        ends.into_iter()
            .chain(abreast)
            .fold(f64::INFINITY, f64::min)
    }

    /// Whether a segment meets the ellipse: in axes stretched so that the ellipse is the unit circle, an end is
    /// on either side, or both are outside and the nearest point of the segment is not.
    fn crosses(&self, segment: &Line) -> bool {
        let stretched = |point: Point| {
            let own = self.own(point);
            Point::new(own.x / self.half_x_m, own.y / self.half_y_m)
        };
        let (from, to) = (stretched(segment.from), stretched(segment.to));
        let nearest = Line { from, to }.nearest(Point::default());
        nearest.length() <= 1.0 && from.length().max(to.length()) >= 1.0
    }
}

/// The nearest point of (x/a)² + (y/b)² = 1 to a point, all in the first quarter and a ≥ b > 0.
///
/// The foot is (a²x/(t + a²), b²y/(t + b²)) where t is the only root above −b² of
/// (ax/(t + a²))² + (by/(t + b²))² = 1 (D. Eberly, "Distance from a Point to an Ellipse, an Ellipsoid, or a
/// Hyperellipsoid", 2013, section 2; from memory). The unknown here is s = t/b² + 1, which stays exact near the long
/// axis where t is all but −b². The left side falls and is convex in s, so that Newton's steps from a place too far
/// left never overshoot; such places are y/b, where the second square alone is 1, and the like for the first.
fn nearest_in_quarter(a: f64, b: f64, x: f64, y: f64) -> (f64, f64) {
    if y == 0.0 {
        // On the long axis: the foot is off the axis while the point is nearer than (a² − b²)/a to the centre.
        let reach = a * a - b * b;
        if a * x < reach {
            let share = a * x / reach;
            return (a * share, b * libm::sqrt((1.0 - share * share).max(0.0)));
        }
        return (a, 0.0);
    }
    if x == 0.0 {
        return (0.0, b);
    }
    let ratio = (a / b) * (a / b);
    let more = (a - b) * (a + b) / (b * b);
    let (p, q) = (x / a, y / b);
    let mut s = q.max(ratio * p - more);
    for _ in 0..MOST_STEPS {
        let (u, v) = (ratio * p / (s + more), q / s);
        let excess = u * u + v * v - 1.0;
        let slope = 2.0 * (u * u / (s + more) + v * v / s);
        let next = s + excess / slope;
        // The steps grow smaller until rounding ends them.
        if next <= s {
            break;
        }
        s = next;
    }
    (ratio * x / (s + more), y / s)
}
