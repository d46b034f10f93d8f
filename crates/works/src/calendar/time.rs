//! Open intervals of a calendar in true time, and work added to and taken off a moment.

use jiff::civil::Date;
use jiff::tz::{AmbiguousOffset, TimeZone};
use jiff::{SignedDuration, Timestamp, ToSpan};

use super::stretch::{self, DAY, Stretch, Stretches};
use super::{Calendar, days};

/// How far ahead or back an open moment is looked for: a hundred years.
const FARTHEST_DAYS: usize = 36_525;

/// The moment a clock shows a time, s since 1970; the time is counted from midnight of a day and
/// may lie on the next. None beyond the years that can be reckoned with.
fn moment(zone: &TimeZone, day: Date, clock_s: i64) -> Option<i64> {
    let day = match clock_s.div_euclid(DAY) {
        0 => day,
        1 => day.tomorrow().ok()?,
        more => day.checked_add(more.days()).ok()?,
    };
    let s = clock_s.rem_euclid(DAY);
    let time = day.at((s / 3600) as i8, (s / 60 % 60) as i8, (s % 60) as i8, 0);
    match zone.to_ambiguous_timestamp(time).offset() {
        AmbiguousOffset::Unambiguous { offset } | AmbiguousOffset::Fold { before: offset, .. } => {
            Some(offset.to_timestamp(time).ok()?.as_second())
        }
        AmbiguousOffset::Gap { after, .. } => {
            let before_change = after.to_timestamp(time).ok()?;
            Some(
                zone.following(before_change)
                    .next()?
                    .timestamp()
                    .as_second(),
            )
        }
    }
}

/// Timestamps of an interval that came from timestamps.
pub(super) fn timestamps((start, end): Stretch) -> (Timestamp, Timestamp) {
    let back = |s| Timestamp::from_second(s).expect("the second was a timestamp's before");
    (back(start), back(end))
}

impl Calendar {
    /// When it is open: the shifts that start on days of `from` to `until`, both inclusive, less
    /// their breaks, sorted and disjoint. Shifts that touch make one interval. Time that a shift of
    /// the day before `from` covers already is that day's, so that days add up.
    pub fn intervals(
        &self,
        zone: &TimeZone,
        from: Date,
        until: Date,
    ) -> Vec<(Timestamp, Timestamp)> {
        self.stretches(zone, from, until)
            .into_iter()
            .map(timestamps)
            .collect()
    }

    /// Open time of the shifts that start on days of `from` to `until`, both inclusive, s.
    pub fn seconds(&self, zone: &TimeZone, from: Date, until: Date) -> f64 {
        stretch::length(&self.stretches(zone, from, until)) as f64
    }

    /// Whether it is open at a moment; at the end of an interval it is not.
    pub fn is_open(&self, zone: &TimeZone, at: Timestamp) -> bool {
        let s = at.as_second() - i64::from(at.subsec_nanosecond() < 0);
        self.clock_day(zone, zone.to_datetime(at).date())
            .iter()
            .any(|&(a, b)| a <= s && s < b)
    }

    /// The first open moment from `at` on; none when there is none within a hundred years.
    pub fn after(&self, zone: &TimeZone, at: Timestamp) -> Option<Timestamp> {
        let (start, _) = self.forward(zone, at).next()?;
        Some(start)
    }

    /// When work of so many seconds is done that is begun at `start` and goes on whenever it is
    /// open: the earliest moment with that much open time behind it. No work is done at the first
    /// open moment. None when it would take over a hundred years, or when `seconds` is no
    /// duration (below zero, not finite).
    pub fn add_work(&self, zone: &TimeZone, start: Timestamp, seconds: f64) -> Option<Timestamp> {
        let mut left = duration(seconds)?;
        for (open, close) in self.forward(zone, start) {
            let here = close.duration_since(open);
            if left <= here {
                return open.checked_add(left).ok();
            }
            left -= here;
        }
        None
    }

    /// When work of so many seconds must begin to be done by `end`: the latest moment with that
    /// much open time before `end`. None as for [`Calendar::add_work`].
    pub fn subtract_work(
        &self,
        zone: &TimeZone,
        end: Timestamp,
        seconds: f64,
    ) -> Option<Timestamp> {
        let mut left = duration(seconds)?;
        if left.is_zero() && self.is_open(zone, end) {
            return Some(end);
        }
        for (open, close) in self.backward(zone, end) {
            let here = close.duration_since(open);
            if left <= here {
                return close.checked_sub(left).ok();
            }
            left -= here;
        }
        None
    }

    /// Open stretches by the day on which shifts start, s since 1970.
    pub(super) fn stretches(&self, zone: &TimeZone, from: Date, until: Date) -> Stretches {
        let mut list = Vec::new();
        for date in days(from, until) {
            self.push_day(zone, date, &mut list);
        }
        let list = stretch::joined(list);
        let mut before = Vec::new();
        if let Ok(yesterday) = from.yesterday()
            && self.reaches_into_next(yesterday)
        {
            self.push_day(zone, yesterday, &mut before);
        }
        if before.is_empty() {
            list
        } else {
            stretch::less(&list, &before)
        }
    }

    /// Puts what starts on a day onto a list, s since 1970.
    fn push_day(&self, zone: &TimeZone, date: Date, list: &mut Stretches) {
        let Some(day) = self.day(date) else { return };
        for &(start, end) in &day.open {
            if let (Some(start), Some(end)) = (moment(zone, date, start), moment(zone, date, end))
                && start < end
            {
                list.push((start, end));
            }
        }
    }

    fn reaches_into_next(&self, date: Date) -> bool {
        self.day(date)
            .is_some_and(|day| day.open.last().is_some_and(|&(_, end)| end > DAY))
    }

    /// Open stretches between two midnights, whichever day their shift belongs to.
    fn clock_day(&self, zone: &TimeZone, date: Date) -> Stretches {
        let mut list = Vec::new();
        if let Ok(yesterday) = date.yesterday()
            && self.reaches_into_next(yesterday)
        {
            self.push_day(zone, yesterday, &mut list);
        }
        self.push_day(zone, date, &mut list);
        if list.is_empty() {
            return list;
        }
        let first = moment(zone, date, 0).unwrap_or(i64::MIN);
        let last = moment(zone, date, DAY).unwrap_or(i64::MAX);
        let clip = |(start, end): Stretch| (start.max(first), end.min(last));
        stretch::joined(list.into_iter().map(clip).collect())
    }

    /// Open intervals from a moment on, in order, cut at midnights.
    fn forward(
        &self,
        zone: &TimeZone,
        at: Timestamp,
    ) -> impl Iterator<Item = (Timestamp, Timestamp)> {
        let first = zone.to_datetime(at).date();
        let dates = std::iter::successors(Some(first), |date| date.tomorrow().ok());
        let open = dates
            .take(FARTHEST_DAYS)
            .flat_map(|date| self.clock_day(zone, date));
        let rest = move |(open, close): (Timestamp, Timestamp)| (open.max(at), close);
        open.map(timestamps)
            .map(rest)
            .filter(|(open, close)| open < close)
    }

    /// Open intervals before a moment, the latest first, cut at midnights.
    fn backward(
        &self,
        zone: &TimeZone,
        at: Timestamp,
    ) -> impl Iterator<Item = (Timestamp, Timestamp)> {
        let first = zone.to_datetime(at).date();
        let dates = std::iter::successors(Some(first), |date| date.yesterday().ok());
        let open = dates
            .take(FARTHEST_DAYS)
            .flat_map(|d| self.clock_day(zone, d).into_iter().rev());
        let rest = move |(open, close): (Timestamp, Timestamp)| (open, close.min(at));
        open.map(timestamps)
            .map(rest)
            .filter(|(open, close)| open < close)
    }
}

/// Seconds as a duration, unless they are none.
fn duration(seconds: f64) -> Option<SignedDuration> {
    if seconds < 0.0 {
        return None;
    }
    SignedDuration::try_from_secs_f64(seconds).ok()
}
