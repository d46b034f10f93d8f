//! The order of holes: shortest way through points in the plane, from a start to a park or round and back.
//!
//! [`solve`] finds a good order, [`bound`] says how short any order must be at least, [`exact`] settles small
//! ones, and [`check`] holds an answer against its question without using anything of the search. What "short"
//! means is a [`Metric`] of the caller: metres, or the seconds that a machine takes between two holes.
//! [`job`] builds on this for whole drilling jobs: gangs of heads, several tools and faces.

mod bound;
mod check;
mod climb;
mod exact;
pub mod gang;
pub mod job;
mod job_check;
mod metric;
mod near;
mod nodes;
mod round;
mod search;
mod start;
mod tree;

use effort::Effort;
use serde::Serialize;

pub use bound::bound;
pub use check::{TourFault, check};
pub use exact::{EXACT_POINTS_MAX, exact};
pub use job_check::{JobFault, check_plan};
pub use metric::{AxisTime, Euclidean, EuclideanRounded, Metric};

/// A place: x and y.
pub type Point = [f64; 2];

/// Coordinates beyond this are refused, so that no square of a distance can leave the range of f64.
const COORDINATE_MAX: f64 = 1e100;

/// Why a question about a tour has no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TourError {
    /// A coordinate is not a number, or is beyond all measure.
    #[error("expected coordinates within ±1e100, found {x}, {y}")]
    Coordinate {
        /// As given.
        x: f64,
        /// As given.
        y: f64,
    },
    /// More points than the search can number.
    #[error("expected at most {limit} points, found {found}")]
    TooMany {
        /// How many were given.
        found: usize,
        /// How many are let through.
        limit: usize,
    },
}

/// Where the way begins and ends.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum Ends {
    /// Through all points and back to the first.
    Closed,
    /// From a start through all points to a park. They may be the same place. Without a start (or park) the way
    /// begins (or ends) at whichever point suits it.
    Open {
        /// Where the tool is before the first point.
        start: Option<Point>,
        /// Where it has to be after the last.
        park: Option<Point>,
    },
}

/// Points to be visited once each, and how to measure the way.
#[derive(Clone, Debug)]
pub struct Question<'a, M> {
    points: &'a [Point],
    ends: Ends,
    metric: M,
}

/// More points than this cannot be numbered by the search.
const POINTS_MAX: usize = 10_000_000;

impl<'a, M: Metric> Question<'a, M> {
    /// Checks the coordinates once; everything after trusts them.
    pub fn new(points: &'a [Point], ends: Ends, metric: M) -> Result<Self, TourError> {
        if points.len() > POINTS_MAX {
            return Err(TourError::TooMany {
                found: points.len(),
                limit: POINTS_MAX,
            });
        }
        let fixed = match ends {
            Ends::Closed => [None, None],
            Ends::Open { start, park } => [start, park],
        };
        for &[x, y] in points.iter().chain(fixed.iter().flatten()) {
            // A NaN is in no range.
            if !(x.abs() <= COORDINATE_MAX && y.abs() <= COORDINATE_MAX) {
                return Err(TourError::Coordinate { x, y });
            }
        }
        Ok(Self {
            points,
            ends,
            metric,
        })
    }

    /// The points.
    pub fn points(&self) -> &'a [Point] {
        self.points
    }

    /// Where the way begins and ends.
    pub fn ends(&self) -> Ends {
        self.ends
    }

    /// The measure.
    pub fn metric(&self) -> &M {
        &self.metric
    }

    /// Length of the way through the points in an order: with the closing leg, or with those from the start and
    /// to the park. An order may leave points out; numbers beyond the points are the caller's mistake.
    pub fn length(&self, order: &[usize]) -> f64 {
        let between = |a: Point, b: Point| self.metric.between(a, b);
        let inner: f64 = order
            .windows(2)
            .map(|pair| between(self.points[pair[0]], self.points[pair[1]]))
            .sum();
        let (Some(&first), Some(&last)) = (order.first(), order.last()) else {
            return match self.ends {
                Ends::Open {
                    start: Some(start),
                    park: Some(park),
                } => between(start, park),
                _ => 0.0,
            };
        };
        let (first, last) = (self.points[first], self.points[last]);
        let outer = match self.ends {
            Ends::Closed => between(last, first),
            Ends::Open { start, park } => {
                start.map_or(0.0, |start| between(start, first))
                    + park.map_or(0.0, |park| between(last, park))
            }
        };
        inner + outer
    }
}

/// What the search is to do.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Setting {
    /// Same seed, same answer.
    pub seed: u64,
    /// The search ends by itself after so many perturbations for each point.
    pub kicks_per_point: u64,
}

impl Default for Setting {
    /// Enough for most works: about a second for a thousand holes.
    fn default() -> Self {
        Self {
            seed: 1,
            kicks_per_point: 100,
        }
    }
}

/// An order of the points.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Tour {
    /// Every point once. A closed tour begins with the lowest number, and its lower neighbour comes second.
    pub order: Vec<usize>,
    /// Length of the way.
    pub length: f64,
    /// Length of the first way that the search improved on.
    pub start_length: f64,
    /// Steps of the effort that it took.
    pub steps: u64,
    /// Whether the limit or a stop ended the search before it was through.
    pub stopped: bool,
}

/// A short way through all points: the best found within the effort.
///
/// A step is one point whose surroundings are tried for a better way. Up to [`EXACT_POINTS_MAX`] points the
/// answer is the shortest way there is.
pub fn solve<M: Metric>(question: &Question<'_, M>, setting: Setting, effort: Effort<'_>) -> Tour {
    exact(question).unwrap_or_else(|| search::search(question, setting, effort))
}
