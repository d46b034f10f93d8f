//! Points of the plane, and upright boxes around them.

/// The farthest that anything drilled may lie from its origin, and the largest it may be, m. Squares and products
/// of such numbers stay far from where floating point gives out.
pub const FARTHEST_M: f64 = 1e4;

/// Whether a number is a size: above zero and no larger than [`FARTHEST_M`].
pub(crate) fn is_size(value: f64) -> bool {
    value > 0.0 && value <= FARTHEST_M
}

/// A point of the face, or a direction in it; metres.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
pub struct Point {
    /// Distance along the first axis.
    pub x: f64,
    /// Distance along the second axis.
    pub y: f64,
}

impl Point {
    /// The point at `x`, `y`.
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// The point a distance of 1 from the origin, at an angle.
    pub fn at_angle(angle_rad: f64) -> Self {
        Self::new(libm::cos(angle_rad), libm::sin(angle_rad))
    }

    /// Distance to another point.
    pub fn distance(self, other: Self) -> f64 {
        (self - other).length()
    }

    /// Distance from the origin.
    pub fn length(self) -> f64 {
        libm::hypot(self.x, self.y)
    }

    /// Angle seen from the origin, −π to π.
    pub fn angle_rad(self) -> f64 {
        libm::atan2(self.y, self.x)
    }

    /// Turned anticlockwise about the origin.
    #[must_use]
    pub fn turned(self, angle_rad: f64) -> Self {
        let (sin, cos) = (libm::sin(angle_rad), libm::cos(angle_rad));
        Self::new(self.x * cos - self.y * sin, self.x * sin + self.y * cos)
    }

    /// The point a share of the way to another: 0 here, 1 there.
    #[must_use]
    pub fn toward(self, other: Self, share: f64) -> Self {
        self + (other - self) * share
    }

    /// Scalar product.
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// Third component of the vector product: positive when `other` lies to the left.
    pub fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    /// Whether both parts are numbers no farther out than [`FARTHEST_M`].
    pub fn is_place(self) -> bool {
        self.x.abs() <= FARTHEST_M && self.y.abs() <= FARTHEST_M
    }
}

impl std::ops::Add for Point {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y)
    }
}

impl std::ops::Sub for Point {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.x - other.x, self.y - other.y)
    }
}

impl std::ops::Mul<f64> for Point {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self::new(self.x * factor, self.y * factor)
    }
}

/// An upright box; metres.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
pub struct Bounds {
    /// The corner with the smallest coordinates.
    pub low: Point,
    /// The corner with the largest coordinates.
    pub high: Point,
}

impl Bounds {
    /// The box with two points as opposite corners.
    pub fn of(one: Point, other: Point) -> Self {
        Self {
            low: Point::new(one.x.min(other.x), one.y.min(other.y)),
            high: Point::new(one.x.max(other.x), one.y.max(other.y)),
        }
    }

    /// The box around both.
    #[must_use]
    pub fn around(self, other: Self) -> Self {
        Self {
            low: Self::of(self.low, other.low).low,
            high: Self::of(self.high, other.high).high,
        }
    }

    /// Extent along x.
    pub fn width_m(&self) -> f64 {
        self.high.x - self.low.x
    }

    /// Extent along y.
    pub fn height_m(&self) -> f64 {
        self.high.y - self.low.y
    }

    /// The middle of the box.
    pub fn centre(&self) -> Point {
        self.low.toward(self.high, 0.5)
    }

    /// Whether the boxes come within a distance of each other.
    pub(crate) fn near(&self, other: &Self, distance_m: f64) -> bool {
        self.low.x <= other.high.x + distance_m
            && other.low.x <= self.high.x + distance_m
            && self.low.y <= other.high.y + distance_m
            && other.low.y <= self.high.y + distance_m
    }
}
