//! How far it is between two points: in length, or in time of a machine.

use crate::motion::Axis;

use super::Point;

/// A distance that is the same both ways, nought between equal points, and never falls when the points move
/// apart along x or along y. (Searches for neighbours and bounds lean on the last.)
pub trait Metric: Sync {
    /// How far it is between two points.
    fn between(&self, from: Point, to: Point) -> f64;

    /// Whether all distances are whole numbers, so that a lower bound may be rounded up.
    fn whole(&self) -> bool {
        false
    }
}

/// Straight-line distance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Euclidean;

impl Metric for Euclidean {
    #[inline]
    fn between(&self, from: Point, to: Point) -> f64 {
        let (dx, dy) = (from[0] - to[0], from[1] - to[1]);
        (dx * dx + dy * dy).sqrt()
    }
}

/// Straight-line distance rounded to the nearest whole number: `EUC_2D` of Reinelt 1991, TSPLIB.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EuclideanRounded;

impl Metric for EuclideanRounded {
    #[inline]
    fn between(&self, from: Point, to: Point) -> f64 {
        // A cast truncates towards zero, which is the `nint` of the source, and is far faster than `floor`.
        (Euclidean.between(from, to) + 0.5) as i64 as f64
    }

    fn whole(&self) -> bool {
        true
    }
}

/// Time of a rapid move of two axes that run independently: that of the slower one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AxisTime {
    /// Along x.
    pub x: Axis,
    /// Along y.
    pub y: Axis,
}

impl Metric for AxisTime {
    #[inline]
    fn between(&self, from: Point, to: Point) -> f64 {
        let x = self.x.move_s(from[0] - to[0]);
        let y = self.y.move_s(from[1] - to[1]);
        x.max(y)
    }
}
