//! Whether work under one calendar can be followed by work under another within a wait.

use jiff::civil::Date;
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
pub struct Follow {
    /// Open time of the first calendar in the week, s. At 0 nothing can be said of that week.
    pub working_s: f64,
    /// Share of it, 0 to 1, at whose every moment the wait can be met; 0 when `working_s` is.
    pub share: f64,
    /// The stretches of it for which the wait cannot be met, in order.
    pub fails: Vec<(Timestamp, Timestamp)>,
}

impl Follow {
    /// Whether the wait can be met from some moment.
    pub fn possible(&self) -> bool {
        self.share > 0.0
    }

    /// The first stretch of the week for which the wait cannot be met.
    pub fn first_failing(&self) -> Option<(Timestamp, Timestamp)> {
        self.fails.first().copied()
    }
}

/// Looks at every moment of a week (Monday to Sunday, the one that `week_of` lies in, by start of
/// shift) at which `first` is open, and whether `then` is open at some moment between `at_least_s`
/// and `at_most_s` later. Without `at_most_s` any later moment will do.
///
/// Waits are taken in whole seconds, the least one up and the most one down.
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
    let working = first.stretches(zone, monday, sunday);
    let least = at_least_s.clamp(0.0, LONGEST_S).ceil() as i64;
    let most = at_most_s.map(|most| most.clamp(0.0, LONGEST_S).floor() as i64);
    let fails = stretch::less(&working, &good_starts(&working, then, zone, least, most));
    let (all, failing) = (stretch::length(&working), stretch::length(&fails));
    Follow {
        working_s: all as f64,
        share: if all == 0 {
            0.0
        } else {
            (all - failing) as f64 / all as f64
        },
        fails: fails.into_iter().map(super::time::timestamps).collect(),
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
