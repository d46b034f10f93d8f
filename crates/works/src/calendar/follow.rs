//! Whether work under one calendar can be followed by work under another within a wait.

use std::fmt;

use jiff::civil::{Date, DateTime};
use jiff::tz::TimeZone;
use jiff::{Timestamp, ToSpan};

use super::Calendar;
use super::stretch::{self, DAY, Stretches};

/// A calendar that stays shut for longer than this behind the least wait counts as shut for good.
const PATIENCE_S: i64 = 400 * DAY;

/// Longest wait that is reckoned with: a hundred years.
const LONGEST_S: f64 = 36_525.0 * 86_400.0;

/// How far one calendar can follow another within a wait.
#[derive(Clone, Debug, PartialEq)]
pub enum Follow {
    /// From every moment at which the first is open (also when it is never open).
    Always,
    /// From none.
    Never,
    /// From some.
    Partly {
        /// Share of the open time of the first, above 0 and below 1.
        share: f64,
        /// The first stretch of it, from Monday on, for which the wait cannot be met.
        first_failing: Failing,
    },
}

/// A stretch of working time whose work would wait too long.
///
/// Shown as `on Friday from 13:20 to 14:00`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Failing {
    /// Its start on the clock of the works.
    pub from: DateTime,
    /// Its end.
    pub until: DateTime,
}

impl fmt::Display for Failing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (from, until) = (
            self.from.strftime("%A from %H:%M"),
            self.until.strftime("%H:%M"),
        );
        write!(f, "on {from} to {until}")?;
        if self.from.date() == self.until.date() {
            return Ok(());
        }
        write!(f, " on {}", self.until.strftime("%A"))
    }
}

/// Looks at every moment of an ordinary week at which `first` is open, and whether `then` is open
/// at some moment between `at_least_s` and `at_most_s` later. Without `at_most_s` any later moment
/// will do.
///
/// Closed days and extra shifts are left out, since the question is whether the shifts agree;
/// changes of the clock are those of the week (Monday to Sunday, by start of shift) that `week_of`
/// lies in. Waits are taken in whole seconds, the least one up and the most one down.
pub fn can_follow(
    first: &Calendar,
    then: &Calendar,
    zone: &TimeZone,
    at_least_s: f64,
    at_most_s: Option<f64>,
    week_of: Date,
) -> Follow {
    let back = i64::from(week_of.weekday().to_monday_zero_offset());
    let monday = week_of.checked_sub(back.days()).unwrap_or(week_of);
    let sunday = monday.checked_add(6.days()).unwrap_or(monday);
    let working = first.ordinary().stretches(zone, monday, sunday);
    let least = at_least_s.clamp(0.0, LONGEST_S).ceil() as i64;
    let most = at_most_s.map(|most| most.clamp(0.0, LONGEST_S).floor() as i64);
    let good = good_starts(&working, &then.ordinary(), zone, least, most);
    let fails = stretch::less(&working, &good);
    let Some(&failing) = fails.first() else {
        return Follow::Always;
    };
    let (all, failed) = (stretch::length(&working), stretch::length(&fails));
    if failed == all {
        return Follow::Never;
    }
    let (from, until) = super::time::timestamps(failing);
    let (from, until) = (zone.to_datetime(from), zone.to_datetime(until));
    let share = (all - failed) as f64 / all as f64;
    Follow::Partly {
        share,
        first_failing: Failing { from, until },
    }
}

/// Moments from which `then` is open at some moment between the waits: for `then` open from a to
/// b, those from a − most to b − least.
fn good_starts(
    working: &Stretches,
    then: &Calendar,
    zone: &TimeZone,
    least: i64,
    most: Option<i64>,
) -> Stretches {
    let (Some(&(start, _)), Some(&(_, end))) = (working.first(), working.last()) else {
        return Vec::new();
    };
    let most = most.unwrap_or(i64::MAX).min(least + PATIENCE_S);
    if most < least {
        return Vec::new();
    }
    let date = |s: i64| {
        Timestamp::from_second(s)
            .ok()
            .map(|t| zone.to_datetime(t).date())
    };
    // A shift of the day before may still be open.
    let from = date(start + least - DAY);
    let (Some(from), Some(until)) = (from, date(end + most)) else {
        return Vec::new();
    };
    let open = then.stretches(zone, from, until);
    stretch::joined(
        open.into_iter()
            .map(|(a, b)| (a - most, b - least))
            .collect(),
    )
}
