//! Shift calendars: when a station runs and when people are there.
//!
//! A calendar is a week of shifts less their breaks, days on which no shift starts, and shifts
//! added on single days. Everything belongs to the day on which a shift starts: the night shift of
//! Friday is worked although Saturday is closed, and a break at 02:00 on Friday is the one in the
//! night from Friday to Saturday.
//!
//! Times are those of the clock on the wall. A time that the clock skips in spring is read as the
//! moment of the change, a time that it shows twice in autumn as the first of the two, so that
//! shifts end where the next ones begin and a night shift is as long as it truly is.
//!
//! | file | what |
//! |---|---|
//! | `text` | the lines a calendar is written in |
//! | `build` | from lines to a calendar, with what is odd about it |
//! | `stretch` | sets of stretches: join, cut |
//! | `time` | open intervals, adding and taking off work |
//! | `follow` | whether one calendar can follow another within a wait |

mod build;
mod follow;
mod stretch;
#[cfg(test)]
mod tests;
mod text;
mod time;

use std::collections::BTreeMap;

use jiff::civil::{Date, Weekday};

use crate::source::Span;
use stretch::Stretches;

pub use build::{Builder, CalendarText, Line};
pub use follow::{Failing, Follow, can_follow};
pub use text::TextFault;

/// A shift calendar.
#[derive(Clone, Debug)]
pub struct Calendar {
    /// Its name.
    pub name: String,
    /// Where it was declared.
    pub at: Span,
    /// The days of the week from Monday.
    week: [Day; 7],
    /// Whole days on which no shift of the week starts.
    closed: Closed,
    /// Days with added shifts, complete: with those of the week unless the day is closed.
    extra: BTreeMap<Date, Day>,
}

/// What starts on one day.
#[derive(Clone, Debug, Default, PartialEq)]
struct Day {
    /// Shifts, joined where they overlap, s from midnight on the clock.
    shifts: Stretches,
    /// The same less the breaks.
    open: Stretches,
}

/// Days that are closed.
#[derive(Clone, Debug, Default)]
struct Closed {
    /// First and last days, sorted and disjoint.
    dated: Vec<(Date, Date)>,
    /// Every year: by day of a leap year from 0.
    yearly: Vec<bool>,
}

impl Closed {
    fn contains(&self, date: Date) -> bool {
        let upto = self.dated.partition_point(|&(first, _)| first <= date);
        let dated = upto > 0 && self.dated[upto - 1].1 >= date;
        dated || self.yearly.get(leap_day(date.month(), date.day())) == Some(&true)
    }
}

/// Position of a day in a leap year, from 0.
fn leap_day(month: i8, day: i8) -> usize {
    const BEFORE: [usize; 12] = [0, 31, 60, 91, 121, 152, 182, 213, 244, 274, 305, 335];
    BEFORE[month as usize - 1] + day as usize - 1
}

/// Position of a day in the week, Monday 0.
fn position(day: Weekday) -> usize {
    day.to_monday_zero_offset() as usize
}

impl Calendar {
    /// Open day and night.
    pub fn always(name: impl Into<String>, at: Span) -> Self {
        let mut builder = Builder::new(name, at);
        builder
            .add(Line::Work, "always", at)
            .expect("the line is right");
        builder.finish().0
    }

    /// A calendar from its lines; the first fault ends it. For a file, where every fault counts
    /// and lines have places, use [`Builder`].
    pub fn written(
        name: impl Into<String>,
        at: Span,
        text: &CalendarText<'_>,
    ) -> Result<Self, TextFault> {
        let mut builder = Builder::new(name, at);
        for (kind, lines) in [
            (Line::Work, &text.work),
            (Line::Break, &text.breaks),
            (Line::Closed, &text.closed),
            (Line::Extra, &text.extra),
        ] {
            lines
                .iter()
                .try_for_each(|line| builder.add(kind, line, at))?;
        }
        Ok(builder.finish().0)
    }

    /// Whether no shift is ever worked in an ordinary week nor added on any day.
    pub fn never_opens(&self) -> bool {
        self.week
            .iter()
            .chain(self.extra.values())
            .all(|day| day.open.is_empty())
    }

    /// Shifts that start on days of `from` to `until`, both inclusive. Shifts that overlap count
    /// as one, shifts that touch as two.
    pub fn shifts_between(&self, from: Date, until: Date) -> usize {
        days(from, until)
            .map(|date| self.day(date).map_or(0, |day| day.shifts.len()))
            .sum()
    }

    /// Days of `from` to `until`, both inclusive, on which a shift starts.
    pub fn days_worked(&self, from: Date, until: Date) -> usize {
        days(from, until)
            .filter(|&date| self.day(date).is_some())
            .count()
    }

    /// Open seconds of an ordinary week: nothing closed or added, no change of the clock.
    pub fn typical_week_seconds(&self) -> f64 {
        // One week on a line; what Sunday's shifts reach into Monday is joined with Monday's.
        let week = 7 * stretch::DAY;
        let mut all = Vec::new();
        for (number, day) in self.week.iter().enumerate() {
            let midnight = number as i64 * stretch::DAY;
            for &(start, end) in &day.open {
                let (start, end) = (start + midnight, end + midnight);
                all.push((start.min(week), end.min(week)));
                all.push((0, (end - week).max(0)));
            }
        }
        stretch::length(&stretch::joined(all)) as f64
    }

    /// The calendar of an ordinary week: nothing closed, nothing added; as it stands when its week
    /// is empty.
    fn ordinary(&self) -> Self {
        if self.week.iter().all(|day| day.open.is_empty()) {
            return self.clone();
        }
        Self {
            closed: Closed::default(),
            extra: BTreeMap::new(),
            ..self.clone()
        }
    }

    /// What starts on a day; none when nothing does.
    fn day(&self, date: Date) -> Option<&Day> {
        let day = match self.extra.get(&date) {
            Some(day) => day,
            None if self.closed.contains(date) => return None,
            None => &self.week[position(date.weekday())],
        };
        (!day.shifts.is_empty()).then_some(day)
    }
}

/// Every day from one to another, both inclusive.
fn days(from: Date, until: Date) -> impl Iterator<Item = Date> {
    std::iter::successors(Some(from), |date| date.tomorrow().ok())
        .take_while(move |&date| date <= until)
}
