//! Open time: what the calendars give over the horizon, and week by week.

use jiff::ToSpan;
use jiff::civil::{Date, Weekday};
use serde::Serialize;
use works::{CalendarId, OperationId, StationId, Works};

use super::staffed::Staffed;

/// An ISO week, as far as it lies in the horizon.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Week {
    /// As a heading shows it: `2026-W49`.
    pub label: String,
    /// First day in the horizon.
    pub from: Date,
    /// Last day in the horizon.
    pub until: Date,
}

/// Open seconds of every calendar.
#[derive(Clone, Debug)]
pub struct Open {
    /// First day.
    pub from: Date,
    /// Last day.
    pub until: Date,
    /// The weeks from first to last day.
    pub weeks: Vec<Week>,
    /// Open seconds of each calendar over the horizon.
    total_s: Vec<f64>,
    /// The same by week.
    weekly_s: Vec<Vec<f64>>,
    /// Mean length of a shift of each calendar.
    shift_s: Vec<f64>,
    elapsed_s: f64,
    /// What of it is staffed, once [`Open::staff`] has looked.
    staffed: Staffed,
}

impl Open {
    /// Looks at the calendars from one day to another, both inclusive.
    pub fn between(works: &Works, from: Date, until: Date) -> Self {
        let weeks = weeks(from, until);
        let zone = &works.time_zone;
        let each = |measure: &dyn Fn(&works::calendar::Calendar) -> f64| {
            works.calendars.iter().map(measure).collect::<Vec<_>>()
        };
        let total_s = each(&|calendar| calendar.seconds(zone, from, until));
        let shifts = each(&|calendar| calendar.shifts_between(from, until) as f64);
        let shift_s = total_s
            .iter()
            .zip(&shifts)
            .map(|(s, n)| if *n > 0.0 { s / n } else { 0.0 });
        let weekly_s = works.calendars.iter().map(|calendar| {
            weeks
                .iter()
                .map(|week| calendar.seconds(zone, week.from, week.until))
                .collect()
        });
        Self {
            from,
            until,
            shift_s: shift_s.collect(),
            weekly_s: weekly_s.collect(),
            total_s,
            elapsed_s: elapsed_s(works, from, until),
            weeks,
            staffed: Staffed::default(),
        }
    }

    /// Looks when the people of stations are there, given the level of each operation. Until then
    /// stations count as staffed in all their hours.
    pub fn staff(&mut self, works: &Works, levels: &[f64]) {
        self.staffed = Staffed::of(works, levels, &self.weeks);
    }

    /// Time over the horizon in which one of a station is open and its people are there.
    pub fn staffed_s(&self, works: &Works, station: StationId) -> f64 {
        match self.staffed.hours.get(station.0) {
            Some(Some(hours)) => hours.total_s,
            _ => self.seconds(works.station(station).calendar),
        }
    }

    /// The same in a week.
    pub fn staffed_week_s(&self, works: &Works, station: StationId, week: usize) -> f64 {
        match self.staffed.hours.get(station.0) {
            Some(Some(hours)) => hours.weekly_s[week],
            _ => self.week_s(works.station(station).calendar, week),
        }
    }

    /// Whether an operation can never run at a station, because its people are never there while
    /// the station is open.
    pub fn never_staffed(&self, operation: OperationId, station: StationId) -> bool {
        self.staffed.never.contains(&(operation, station))
    }

    /// Open time of one place over the horizon.
    pub fn seconds(&self, calendar: CalendarId) -> f64 {
        self.total_s[calendar.0]
    }

    /// Open time of one place in a week.
    pub fn week_s(&self, calendar: CalendarId, week: usize) -> f64 {
        self.weekly_s[calendar.0][week]
    }

    /// Mean length of a shift.
    pub fn shift_s(&self, calendar: CalendarId) -> f64 {
        self.shift_s[calendar.0]
    }

    /// Share of all time that a station is open and staffed, 0 to 1.
    pub fn fraction(&self, works: &Works, station: StationId) -> f64 {
        if self.elapsed_s > 0.0 {
            (self.staffed_s(works, station) / self.elapsed_s).min(1.0)
        } else {
            0.0
        }
    }

    /// The week a day lies in; the first for days before the horizon, the last for days after.
    pub fn week_of(&self, day: Date) -> usize {
        let after = self.weeks.partition_point(|week| week.from <= day);
        after.saturating_sub(1)
    }
}

/// Seconds from the first midnight to the last, with changes of the clock.
fn elapsed_s(works: &Works, from: Date, until: Date) -> f64 {
    let midnight = |day: Date| works.time_zone.to_timestamp(day.at(0, 0, 0, 0)).ok();
    let start = midnight(from);
    let end = until.tomorrow().ok().and_then(midnight);
    match (start, end) {
        (Some(start), Some(end)) => end.duration_since(start).as_secs_f64().max(0.0),
        _ => 0.0,
    }
}

/// ISO weeks (ISO 8601: Monday to Sunday) of a stretch of days.
fn weeks(from: Date, until: Date) -> Vec<Week> {
    let mut weeks = Vec::new();
    let mut first = from;
    while first <= until {
        let iso = first.iso_week_date();
        let to_sunday = i64::from(
            Weekday::Sunday.to_monday_zero_offset() - first.weekday().to_monday_zero_offset(),
        );
        let sunday = first.checked_add(to_sunday.days()).unwrap_or(until);
        let label = format!("{}-W{:02}", iso.year(), iso.week());
        weeks.push(Week {
            label,
            from: first,
            until: sunday.min(until),
        });
        let Ok(next) = sunday.tomorrow() else { break };
        first = next;
    }
    weeks
}
