//! Lattices of holes: rows and columns, straight or staggered, moved to where most of them fit.

use crate::outline::{Bounds, Outline, Point};

use super::Align;
use super::curve::{MOST_PLACES, pitch};
use super::fault::PatternFault;

/// Positions tried in each direction for the fullest lattice.
const FINE_STEPS: usize = 8;

/// A lattice before it has a position.
#[derive(Clone, Copy)]
pub(super) struct Lattice {
    /// Distance between holes of a row, m.
    pub(super) pitch_m: f64,
    /// Distance between rows, m.
    pub(super) row_m: f64,
    /// Whether every other row is moved by half a pitch.
    pub(super) staggered: bool,
    /// Turn of the rows, rad.
    pub(super) turn_rad: f64,
}

impl Lattice {
    /// The places that `fits` allows, in the position asked for.
    pub(super) fn places(
        &self,
        outline: &Outline,
        align: Align,
        fits: &dyn Fn(Point) -> bool,
    ) -> Result<Vec<Point>, PatternFault> {
        pitch(self.pitch_m)?;
        pitch(self.row_m)?;
        if !self.turn_rad.is_finite() {
            return Err(PatternFault::Size {
                what: "turn",
                value: self.turn_rad,
                expected: "a finite angle",
            });
        }
        let bounds = self.own_bounds(outline);
        self.countable(&bounds)?;
        let mut best = Vec::new();
        for origin in self.origins(&bounds, align)? {
            let places = self.at(origin, &bounds, fits);
            if places.len() > best.len() {
                best = places;
            }
        }
        Ok(best)
    }

    /// The face's box in the axes of the lattice.
    fn own_bounds(&self, outline: &Outline) -> Bounds {
        let Bounds { low, high } = outline.bounds();
        [
            low,
            Point::new(high.x, low.y),
            high,
            Point::new(low.x, high.y),
        ]
        .map(|corner| corner.turned(-self.turn_rad))
        .map(|corner| Bounds::of(corner, corner))
        .into_iter()
        .reduce(Bounds::around)
        .unwrap_or_default()
    }

    fn countable(&self, bounds: &Bounds) -> Result<(), PatternFault> {
        let columns = bounds.width_m() / self.pitch_m + 2.0;
        let rows = bounds.height_m() / self.row_m + 2.0;
        if columns * rows <= MOST_PLACES as f64 {
            return Ok(());
        }
        Err(PatternFault::TooMany {
            most: MOST_PLACES,
            pitch_m: self.pitch_m.min(self.row_m),
        })
    }

    /// Positions to try, each the place of one hole, in the axes of the lattice.
    ///
    /// About the centre: a hole or a gap on each centre line. A staggered lattice is also symmetric, in the
    /// middle of two rows, about lines a quarter pitch off.
    fn origins(&self, bounds: &Bounds, align: Align) -> Result<Vec<Point>, PatternFault> {
        let across = if self.staggered { 4 } else { 2 };
        let mut shifts = shifts(across, 2);
        match align {
            Align::At(place) if place.is_place() => {
                return Ok(vec![place.turned(-self.turn_rad)]);
            }
            Align::At(_) => return Err(PatternFault::NotFinite { point: 0 }),
            Align::Centred => (),
            Align::Fullest => shifts.extend(self::shifts(FINE_STEPS, FINE_STEPS)),
        }
        let origin = |(x, y)| bounds.centre() + Point::new(x * self.pitch_m, y * self.row_m);
        Ok(shifts.into_iter().map(origin).collect())
    }

    /// The places with one hole at an origin, row by row.
    fn at(&self, origin: Point, bounds: &Bounds, fits: &dyn Fn(Point) -> bool) -> Vec<Point> {
        let mut places = Vec::new();
        let rows = steps(bounds.low.y, bounds.high.y, origin.y, self.row_m);
        for row in rows {
            let moved = if self.staggered && row.rem_euclid(2) == 1 {
                0.5 * self.pitch_m
            } else {
                0.0
            };
            let first = origin.x + moved;
            let y = origin.y + row as f64 * self.row_m;
            places.extend(
                steps(bounds.low.x, bounds.high.x, first, self.pitch_m)
                    .map(|column| Point::new(first + column as f64 * self.pitch_m, y))
                    .map(|place| place.turned(self.turn_rad))
                    .filter(|place| fits(*place)),
            );
        }
        places
    }
}

/// Shares of a pitch and of a row, so many of each.
fn shifts(across: usize, up: usize) -> Vec<(f64, f64)> {
    let share = |i: usize, of: usize| i as f64 / of as f64;
    (0..across)
        .flat_map(|x| (0..up).map(move |y| (share(x, across), share(y, up))))
        .collect()
}

/// The whole numbers of steps from an origin that stay between two bounds.
fn steps(low: f64, high: f64, origin: f64, step: f64) -> std::ops::RangeInclusive<i64> {
    libm::ceil((low - origin) / step) as i64..=libm::floor((high - origin) / step) as i64
}
