//! Straight and round edges: length, points along them, the nearest point, what they add to an area.

use std::f64::consts::{FRAC_PI_2, TAU};

use super::meet::meets;
use super::place::{Bounds, Point};

/// A straight edge.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Line {
    /// Where it starts.
    pub from: Point,
    /// Where it ends.
    pub to: Point,
}

/// A round edge: part of a circle, or all of it.
///
/// A nearly straight edge has a centre kilometres away, and what is reckoned from there is only good to the
/// rounding of kilometres. Places on the arc and distances to it are therefore reckoned from its start.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Arc {
    /// Where it starts.
    pub from: Point,
    /// Where it ends.
    pub to: Point,
    /// Centre of the circle.
    pub centre: Point,
    /// Radius of the circle, m.
    pub radius_m: f64,
    /// Angle of the start, seen from the centre, rad.
    pub start_rad: f64,
    /// Angle run through, rad: positive anticlockwise, at most a full turn.
    pub sweep_rad: f64,
}

/// One edge of a loop or of a curve.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub enum Edge {
    /// Straight.
    Line(Line),
    /// Round.
    Arc(Arc),
}

impl Line {
    /// Length, m.
    pub fn length_m(&self) -> f64 {
        self.from.distance(self.to)
    }

    /// The point of the segment nearest to a point.
    pub fn nearest(&self, point: Point) -> Point {
        let along = self.to - self.from;
        let squared = along.dot(along);
        if squared == 0.0 {
            return self.from;
        }
        let share = (point - self.from).dot(along) / squared;
        self.from.toward(self.to, share.clamp(0.0, 1.0))
    }
}

impl Arc {
    /// The arc between two points with a bulge: the tangent of a quarter of the angle, positive anticlockwise,
    /// 1 for a half circle (the convention of drawing exchange files).
    ///
    /// With chord c and bulge b: radius c(1 + b²)/(4|b|); the centre lies c(1 − b²)/(4b) to the left of the
    /// middle of the chord.
    pub fn by_bulge(from: Point, to: Point, bulge: f64) -> Self {
        let chord = to - from;
        let left = Point::new(-chord.y, chord.x);
        let centre = from.toward(to, 0.5) + left * ((1.0 - bulge * bulge) / (4.0 * bulge));
        Self {
            from,
            to,
            centre,
            radius_m: chord.length() * (1.0 + bulge * bulge) / (4.0 * bulge.abs()),
            start_rad: (from - centre).angle_rad(),
            sweep_rad: 4.0 * libm::atan(bulge),
        }
    }

    /// The arc about a centre from one angle through another; the angle is cut to a full turn.
    pub fn about(centre: Point, radius_m: f64, start_rad: f64, sweep_rad: f64) -> Self {
        let sweep_rad = sweep_rad.clamp(-TAU, TAU);
        let from = centre + Point::at_angle(start_rad) * radius_m;
        let to = if sweep_rad.abs() == TAU {
            from
        } else {
            centre + Point::at_angle(start_rad + sweep_rad) * radius_m
        };
        Self {
            from,
            to,
            centre,
            radius_m,
            start_rad,
            sweep_rad,
        }
    }

    /// The whole circle, anticlockwise from its rightmost point.
    pub fn circle(centre: Point, radius_m: f64) -> Self {
        Self::about(centre, radius_m, 0.0, TAU)
    }

    /// Whether it runs all the way round.
    pub fn is_circle(&self) -> bool {
        self.sweep_rad.abs() == TAU
    }

    /// Length, m.
    pub fn length_m(&self) -> f64 {
        self.radius_m * self.sweep_rad.abs()
    }

    /// How far round from the start an angle lies, going the way of the arc: 0 to 2π.
    pub(crate) fn turn_to(&self, angle_rad: f64) -> f64 {
        let turn = (angle_rad - self.start_rad) * self.sweep_rad.signum();
        turn - TAU * libm::floor(turn / TAU)
    }

    /// Whether an angle seen from the centre lies on the arc.
    pub(crate) fn covers(&self, angle_rad: f64) -> bool {
        self.is_circle() || self.turn_to(angle_rad) <= self.sweep_rad.abs()
    }

    /// The point a share of the way along, turned about the centre from the start.
    fn at(&self, share: f64) -> Point {
        let turn = self.sweep_rad * share;
        let spoke = self.from - self.centre;
        // 1 - cos t is 2 sin² (t/2), without the loss of digits for a small turn.
        let half = libm::sin(0.5 * turn);
        let left = Point::new(-spoke.y, spoke.x);
        self.from + left * libm::sin(turn) + spoke * (-2.0 * half * half)
    }

    /// The part between two shares of the way along.
    pub(crate) fn part(&self, from: f64, to: f64) -> Self {
        Self {
            from: self.at(from),
            to: self.at(to),
            start_rad: self.start_rad + self.sweep_rad * from,
            sweep_rad: self.sweep_rad * (to - from),
            ..*self
        }
    }

    /// The arc moved to its left; nothing when it would turn inside out or be smaller than the least radius.
    pub(crate) fn moved_left(&self, by_m: f64, least_m: f64) -> Option<Self> {
        let inward_m = by_m * self.sweep_rad.signum();
        let radius_m = self.radius_m - inward_m;
        let moved = |end: Point| end + (self.centre - end) * (inward_m / self.radius_m);
        (radius_m > least_m).then(|| Self {
            from: moved(self.from),
            to: moved(self.to),
            radius_m,
            ..*self
        })
    }

    /// The power of a point: the square of its distance from the centre less that of the radius, m². With the
    /// spoke s to the start and d from there to the point, |s + d|² - |s|² = d·(d + 2s).
    pub(crate) fn power(&self, point: Point) -> f64 {
        let off = point - self.from;
        off.dot(off + (self.from - self.centre) * 2.0)
    }

    /// The point of the arc nearest to a point.
    pub fn nearest(&self, point: Point) -> Point {
        let out = point - self.centre;
        let far = out.length();
        if far > 0.0 && self.covers(out.angle_rad()) {
            let beyond = self.power(point) / (far + self.radius_m);
            return point - out * (beyond / far);
        }
        if point.distance(self.from) <= point.distance(self.to) {
            self.from
        } else {
            self.to
        }
    }

    /// Leftmost, rightmost, lowest and highest points of the circle that lie on the arc, in the order the arc
    /// passes them, with its two ends.
    fn turning_points(&self) -> Vec<Point> {
        let axes = [
            Point::new(1.0, 0.0),
            Point::new(0.0, 1.0),
            Point::new(-1.0, 0.0),
            Point::new(0.0, -1.0),
        ];
        let mut on_arc: Vec<(f64, Point)> = axes
            .iter()
            .enumerate()
            .map(|(quarter, axis)| {
                let turn = self.turn_to(quarter as f64 * FRAC_PI_2);
                (turn, self.centre + *axis * self.radius_m)
            })
            .filter(|(turn, _)| *turn > 0.0 && *turn < self.sweep_rad.abs())
            .collect();
        on_arc.sort_by(|one, other| one.0.total_cmp(&other.0));
        std::iter::once(self.from)
            .chain(on_arc.into_iter().map(|(_, point)| point))
            .chain(std::iter::once(self.to))
            .collect()
    }

    /// Crossings of the arc with the ray from a point along +x. Between two turning points the arc rises or
    /// falls all the way and lies on one side of its centre, so it is crossed once or not at all.
    fn crossings(&self, point: Point) -> usize {
        let height = point.y - self.centre.y;
        let half = libm::sqrt((self.radius_m * self.radius_m - height * height).max(0.0));
        let crossed = |pair: &&[Point]| {
            let right = pair[0].x + pair[1].x > 2.0 * self.centre.x;
            let x = self.centre.x + if right { half } else { -half };
            (pair[0].y > point.y) != (pair[1].y > point.y) && x > point.x
        };
        self.turning_points().windows(2).filter(crossed).count()
    }
}

impl Edge {
    /// Where it starts.
    pub fn from(&self) -> Point {
        match self {
            Self::Line(line) => line.from,
            Self::Arc(arc) => arc.from,
        }
    }

    /// Where it ends.
    pub fn to(&self) -> Point {
        match self {
            Self::Line(line) => line.to,
            Self::Arc(arc) => arc.to,
        }
    }

    /// Length, m.
    pub fn length_m(&self) -> f64 {
        match self {
            Self::Line(line) => line.length_m(),
            Self::Arc(arc) => arc.length_m(),
        }
    }

    /// The point a share of the way along: 0 at the start, 1 at the end.
    pub fn at(&self, share: f64) -> Point {
        match self {
            Self::Line(line) => line.from.toward(line.to, share),
            Self::Arc(arc) => arc.at(share),
        }
    }

    /// The point of the edge nearest to a point.
    pub fn nearest(&self, point: Point) -> Point {
        match self {
            Self::Line(line) => line.nearest(point),
            Self::Arc(arc) => arc.nearest(point),
        }
    }

    /// The smallest upright box around it.
    pub fn bounds(&self) -> Bounds {
        match self {
            Self::Line(line) => Bounds::of(line.from, line.to),
            Self::Arc(arc) => arc
                .turning_points()
                .into_iter()
                .map(|point| Bounds::of(point, point))
                .fold(Bounds::of(arc.from, arc.to), Bounds::around),
        }
    }

    /// Distance to a straight segment, m; 0 when they meet. Where they do not, the nearest pair has an end of
    /// one of the two, or lies on the normal from the centre of the arc to the segment.
    pub fn distance_to_segment(&self, segment: &Line) -> f64 {
        if !meets(self, &Self::Line(*segment)).is_empty() {
            return 0.0;
        }
        let from_segment = [segment.from, segment.to]
            .map(|point| self.nearest(point).distance(point))
            .into_iter();
        let from_edge = [self.from(), self.to()]
            .map(|point| segment.nearest(point).distance(point))
            .into_iter();
        let abreast = match self {
            Self::Line(_) => f64::INFINITY,
            Self::Arc(arc) => {
                let foot = segment.nearest(arc.centre);
                arc.nearest(foot).distance(foot)
            }
        };
        from_segment.chain(from_edge).fold(abreast, f64::min)
    }

    /// Crossings with the ray from a point along +x. An edge owns its lower end and not its upper one, so that
    /// a ray through a vertex counts it once.
    pub(crate) fn crossings(&self, point: Point) -> usize {
        match self {
            Self::Line(line) => {
                let (from, to) = (line.from - point, line.to - point);
                let straddles = (from.y > 0.0) != (to.y > 0.0);
                let right = straddles && from.x - from.y * (to.x - from.x) / (to.y - from.y) > 0.0;
                usize::from(right)
            }
            Self::Arc(arc) => arc.crossings(point),
        }
    }

    /// What the edge adds to ½∮(x dy − y dx), which is the area inside an anticlockwise loop (Green's theorem).
    pub(crate) fn swept_area(&self) -> f64 {
        let chord = 0.5 * self.from().cross(self.to());
        match self {
            Self::Line(_) => chord,
            Self::Arc(arc) => {
                // The chord, and the segment of the circle beyond it.
                let beyond = arc.sweep_rad - libm::sin(arc.sweep_rad);
                chord + 0.5 * arc.radius_m * arc.radius_m * beyond
            }
        }
    }

    /// The same edge run the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        match self {
            Self::Line(line) => Self::Line(Line {
                from: line.to,
                to: line.from,
            }),
            Self::Arc(arc) => Self::Arc(Arc {
                from: arc.to,
                to: arc.from,
                start_rad: arc.start_rad + arc.sweep_rad,
                sweep_rad: -arc.sweep_rad,
                ..*arc
            }),
        }
    }
}
