//! From lines to a calendar, with what is odd about it.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::stretch::{self, DAY, Stretch, Stretches};
use super::text::{self, Dated, Days, TextFault, Weekly, part};
use super::{Calendar, Closed, Day, days, leap_day, position};
use crate::diagnostic::Diagnostic;
use crate::source::Span;

/// The lines of a calendar.
#[derive(Clone, Debug, Default)]
pub struct CalendarText<'a> {
    /// Shifts: `Mon..Fri 06:00-14:00`, `daily 22:00-06:00`, `always`.
    pub work: Vec<&'a str>,
    /// Breaks, written like shifts.
    pub breaks: Vec<&'a str>,
    /// Days without shifts: `2026-12-25`, `2026-12-24..2027-01-01`, `12-25` for every year.
    pub closed: Vec<&'a str>,
    /// Shifts on single days: `2026-12-05 06:00-12:00`.
    pub extra: Vec<&'a str>,
}

/// What a line of a calendar says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Line {
    /// Shifts.
    Work,
    /// Breaks.
    Break,
    /// Closed days.
    Closed,
    /// Extra shifts.
    Extra,
}

/// Takes the lines of a calendar one by one. A faulty line is left out, and the rest goes on.
#[derive(Clone, Debug)]
pub struct Builder {
    name: String,
    at: Span,
    work: Vec<Placed>,
    breaks: Vec<Placed>,
    closed: Vec<Days>,
    extra: Vec<Dated>,
}

/// A shift or break, and where it is written.
#[derive(Clone, Debug)]
struct Placed {
    weekly: Weekly,
    at: Span,
}

impl Builder {
    /// A calendar without shifts.
    pub fn new(name: impl Into<String>, at: Span) -> Self {
        Self {
            name: name.into(),
            at,
            work: Vec::new(),
            breaks: Vec::new(),
            closed: Vec::new(),
            extra: Vec::new(),
        }
    }

    /// Adds a line that stands at a span (with its quotes, if it has any). The fault says where in
    /// the line it is; [`TextFault::diagnostic`] puts it into the file.
    pub fn add(&mut self, line: Line, text: &str, at: Span) -> Result<(), TextFault> {
        let placed = |list: Vec<Weekly>| {
            list.into_iter().map(move |weekly| Placed {
                at: part(text, at, weekly.range.clone()),
                weekly,
            })
        };
        match line {
            Line::Work => self.work.extend(placed(text::week(text)?)),
            Line::Break => self.breaks.extend(placed(text::breaks(text)?)),
            Line::Closed => self.closed.extend(text::closed(text)?),
            Line::Extra => self.extra.extend(text::extra(text)?),
        }
        Ok(())
    }

    /// The calendar, and what is odd about it.
    pub fn finish(self) -> (Calendar, Vec<Diagnostic>) {
        let closed = closed_days(&self.closed);
        let week = std::array::from_fn(|day| self.day(day, on_day(&self.work, day)));
        let extra = self.extra_days(&closed);
        let mut warnings = overlaps(&self.work);
        warnings.extend(self.idle_breaks(&week, &extra));
        (
            Calendar {
                name: self.name,
                at: self.at,
                week,
                closed,
                extra,
            },
            warnings,
        )
    }

    /// Shifts that start on a day of the week, less its breaks.
    fn day(&self, day: usize, shifts: Stretches) -> Day {
        let shifts = stretch::joined_where_overlapping(shifts);
        let breaks = on_day(&self.breaks, day)
            .into_iter()
            .flat_map(in_shift_days)
            .collect();
        let open = stretch::less(&stretch::joined(shifts.clone()), &stretch::joined(breaks));
        Day { shifts, open }
    }

    fn extra_days(&self, closed: &Closed) -> BTreeMap<Date, Day> {
        let mut shifts: BTreeMap<Date, Stretches> = BTreeMap::new();
        for extra in &self.extra {
            for date in days(extra.first, extra.last) {
                shifts.entry(date).or_default().push(extra.clock);
            }
        }
        let complete = |(date, mut shifts): (Date, Stretches)| {
            let day = position(date.weekday());
            if !closed.contains(date) {
                shifts.extend(on_day(&self.work, day));
            }
            (date, self.day(day, shifts))
        };
        shifts.into_iter().map(complete).collect()
    }

    /// Breaks that lie in no shift on any of their days.
    fn idle_breaks(&self, week: &[Day; 7], extra: &BTreeMap<Date, Day>) -> Vec<Diagnostic> {
        let meets = |pause: &Weekly, day: &Day| {
            in_shift_days(pause.clock)
                .iter()
                .any(|&at| day.shifts.iter().any(|&shift| stretch::overlap(at, shift)))
        };
        let used = |pause: &Weekly| {
            let weekly = week
                .iter()
                .enumerate()
                .any(|(n, day)| pause.days[n] && meets(pause, day));
            let on = |date: &Date| pause.days[position(date.weekday())];
            weekly
                || extra
                    .iter()
                    .any(|(date, day)| on(date) && meets(pause, day))
        };
        let idle = self.breaks.iter().filter(|pause| !used(&pause.weekly));
        idle.map(|pause| {
            let headline = "this break lies outside every shift";
            Diagnostic::warning("break-outside-shift", pause.at, headline)
                .help("move it into a shift of its days, or take it out")
        })
        .collect()
    }
}

/// What starts on a day of the week.
fn on_day(list: &[Placed], day: usize) -> Stretches {
    list.iter()
        .filter(|one| one.weekly.days[day])
        .map(|one| one.weekly.clock)
        .collect()
}

/// A break by the clock as it may lie in shifts that start on its day: at its own time, past
/// midnight, or begun before it.
fn in_shift_days((start, end): Stretch) -> [Stretch; 3] {
    [-DAY, 0, DAY].map(|shift| (start + shift, end + shift))
}

fn closed_days(list: &[Days]) -> Closed {
    let mut closed = Closed {
        dated: Vec::new(),
        yearly: vec![false; 366],
    };
    for &days in list {
        match days {
            Days::Dated(first, last) => closed.dated.push((first, last)),
            Days::Yearly(first, last) => {
                let (first, last) = (leap_day(first.0, first.1), leap_day(last.0, last.1));
                for step in 0..=(last + 366 - first) % 366 {
                    closed.yearly[(first + step) % 366] = true;
                }
            }
        }
    }
    closed.dated.sort_unstable();
    closed.dated.dedup_by(|next, last| {
        let meets = next.0 <= last.1;
        if meets {
            last.1 = last.1.max(next.1);
        }
        meets
    });
    closed
}

/// Shifts that overlap in an ordinary week, each pair of written times once.
fn overlaps(work: &[Placed]) -> Vec<Diagnostic> {
    // The week on a line, Monday a second time at its end for what reaches over from Sunday.
    let mut all = Vec::new();
    for (source, Placed { weekly: shift, .. }) in work.iter().enumerate() {
        for day in (0..8).filter(|day| shift.days[day % 7]) {
            let midnight = day as i64 * DAY;
            all.push((shift.clock.0 + midnight, shift.clock.1 + midnight, source));
        }
    }
    all.sort_unstable();
    let mut pairs = BTreeSet::new();
    let mut furthest: Option<(i64, usize)> = None;
    for (start, end, source) in all {
        if let Some((_, other)) = furthest.filter(|&(until, _)| start < until) {
            pairs.insert((source.max(other), source.min(other)));
        }
        if furthest.is_none_or(|(until, _)| end > until) {
            furthest = Some((end, source));
        }
    }
    pairs
        .into_iter()
        .map(|(later, earlier)| overlap(&work[later], &work[earlier]))
        .collect()
}

fn overlap(later: &Placed, earlier: &Placed) -> Diagnostic {
    Diagnostic::warning(
        "shifts-overlap",
        later.at,
        "these shifts overlap and are taken as one",
    )
    .other(earlier.at, "with this one")
    .help("a calendar says when a place is open; give two crews a calendar each")
}
