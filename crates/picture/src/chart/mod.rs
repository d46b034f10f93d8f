//! What pictures with two axes share: axes, the field between them, lines thinned to what can be
//! seen, names beside lines, limits and verdicts.

mod axis;
mod label;
mod limit;
mod trail;
mod verdict;

pub use axis::Axis;
pub use limit::LimitSide;

pub(crate) use label::{Beside, beside};
pub(crate) use limit::{block_teeth, draw_limit, draw_limit_upright};
pub(crate) use trail::{Trail, block};
pub(crate) use verdict::{CROSS, TICK, draw_mark, draw_verdict};

use crate::ink::{Area, Sheet, Style, Words};
use crate::lettering;
use crate::palette::{RULE, SOFT};
use crate::room::Taken;
use crate::scale::Scale;

/// Size of numbers along axes.
pub(crate) const SMALL: f64 = 10.5;

/// A field between two axes, x to the right and y upwards.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Plot {
    pub(crate) area: Area,
    pub(crate) x: Scale,
    pub(crate) y: Scale,
    pub(crate) x_range: (f64, f64),
    pub(crate) y_range: (f64, f64),
}

impl Plot {
    pub(crate) fn new(area: Area, x_range: (f64, f64), y_range: (f64, f64)) -> Self {
        Self {
            area,
            x: Scale::new(x_range, (area.x, area.x + area.w)),
            y: Scale::new(y_range, (area.y + area.h, area.y)),
            x_range,
            y_range,
        }
    }

    pub(crate) fn right(&self) -> f64 {
        self.area.x + self.area.w
    }

    pub(crate) fn bottom(&self) -> f64 {
        self.area.y + self.area.h
    }

    pub(crate) fn at(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (self.x.held(x), self.y.held(y))
    }

    /// Rules across the field with their numbers at its left.
    pub(crate) fn draw_levels(&self, sheet: &mut Sheet, axis: &Axis, numbered: bool) {
        for (value, words) in axis.ticks(self.y_range, level_count(self.area.h)) {
            let y = self.y.held(value);
            sheet.segment((self.area.x, y), (self.right(), y), &Style::line(RULE, 0.7));
            if numbered {
                let place = Words::at(self.area.x - 6.0, y + 3.5).size(SMALL).soft();
                sheet.words(place.end(), &words);
            }
        }
    }

    /// Ticks below the field with their numbers, as many as stand apart, and the name of the axis
    /// under them; gives the height.
    pub(crate) fn draw_feet(&self, sheet: &mut Sheet, axis: &Axis, top: f64) -> f64 {
        let mut taken = Taken::default();
        let wanted = (self.area.w / 90.0).clamp(2.0, 10.0) as usize;
        for (value, words) in axis.ticks(self.x_range, wanted) {
            let x = self.x.held(value);
            sheet.segment((x, top), (x, top + 4.0), &Style::line(SOFT, 0.8));
            let place = Words::at(x, top + 15.0).size(SMALL).soft().middle();
            taken.write(sheet, place, &words);
        }
        let heading = axis.heading();
        if heading.is_empty() {
            return 20.0;
        }
        let place = Words::at(self.right(), top + 30.0).size(SMALL).soft();
        sheet.words_within(place.end(), &heading, self.area.w);
        36.0
    }
}

/// How many rules a field of a height takes.
fn level_count(height: f64) -> usize {
    (height / 40.0).clamp(3.0, 8.0) as usize
}

/// Room for the numbers at the left of a field of a height.
pub(crate) fn left_room(axis: &Axis, y_range: (f64, f64), height: f64) -> f64 {
    let ticks = axis.ticks(y_range, level_count(height));
    let widest = ticks
        .iter()
        .map(|(_, words)| lettering::width(words, SMALL, false))
        .fold(0.0, f64::max);
    widest + 8.0
}

/// Lowest and highest of the values with air at both ends, never an empty span; `None` without
/// values.
pub(crate) fn range(values: impl Iterator<Item = f64>, air: f64) -> Option<(f64, f64)> {
    let (low, high) = values.fold(None, |found: Option<(f64, f64)>, value| {
        let (low, high) = found.unwrap_or((value, value));
        Some((low.min(value), high.max(value)))
    })?;
    let least = (low.abs().max(high.abs()) * 1e-3).max(1e-6);
    let (low, high) = if high - low < least {
        let middle = f64::midpoint(low, high);
        (middle - least * 2.0, middle + least * 2.0)
    } else {
        (low, high)
    };
    let air = (high - low) * air;
    Some((low - air, high + air))
}

/// Height of a field of a width.
pub(crate) fn field_height(width: f64) -> f64 {
    (width * 0.42).clamp(190.0, 420.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_is_never_empty() {
        assert_eq!(range([1.0, 3.0].into_iter(), 0.5), Some((0.0, 4.0)));
        let (low, high) = range([180.0, 180.0].into_iter(), 0.0).expect("there are values");
        assert!(low < 180.0 && 180.0 < high);
        assert_eq!(range([].into_iter(), 0.1), None);
    }

    #[test]
    fn places_follow_the_values() {
        let plot = Plot::new(
            Area::new(40.0, 10.0, 300.0, 100.0),
            (0.0, 30.0),
            (20.0, 220.0),
        );
        // A third along and a half up: 40 + 100, 10 + 100 - 50.
        assert_eq!(plot.at((10.0, 120.0)), (140.0, 60.0));
        assert!(plot.at((11.0, 0.0)).0 > 140.0 && plot.at((0.0, 121.0)).1 < 60.0);
    }
}
