//! Times as loggers write them: numbers, clocks that pass midnight, dates.

use jiff::civil::DateTime;

/// Half a day, s: a clock without a date that goes back by more has passed midnight.
const HALF_DAY_S: f64 = 12.0 * 3600.0;
const DAY_S: f64 = 24.0 * 3600.0;

/// A time as it was written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Moment {
    /// Since some beginning, s.
    Since(f64),
    /// A clock without a date, s since midnight.
    Clock(f64),
    /// A date with a time.
    At(DateTime),
}

/// A time: a number in the unit of its column, `h:min` or `h:min:s`, or a date with a time.
pub(super) fn moment(text: &str, second: f64) -> Option<Moment> {
    if let Ok(number) = text.parse::<f64>() {
        return number.is_finite().then_some(Moment::Since(number * second));
    }
    if let Some(clock_s) = clock(text) {
        return Some(Moment::Clock(clock_s));
    }
    let text = text.trim_end_matches('Z').replacen(' ', "T", 1);
    text.parse::<DateTime>().ok().map(Moment::At)
}

/// `h:min` or `h:min:s`, s.
fn clock(text: &str) -> Option<f64> {
    let mut parts = text.split(':');
    let hours: u32 = parts.next()?.trim().parse().ok()?;
    let minutes: u32 = parts.next()?.parse().ok()?;
    let seconds: f64 = parts.next().map_or(Ok(0.0), str::parse).ok()?;
    let fits = minutes < 60 && (0.0..60.0).contains(&seconds) && parts.next().is_none();
    fits.then(|| f64::from(hours) * 3600.0 + f64::from(minutes) * 60.0 + seconds)
}

/// Turns times as written into seconds since the first one.
#[derive(Default)]
pub(super) struct Clockwork {
    first: Option<Moment>,
    /// Days that a clock without a date has passed, and the last time it showed.
    days: f64,
    last_clock_s: f64,
}

impl Clockwork {
    /// s since the first time; none for one of another kind than the first.
    pub(super) fn since_first(&mut self, moment: Moment) -> Option<f64> {
        if let Moment::Clock(clock_s) = moment {
            if clock_s + HALF_DAY_S < self.last_clock_s {
                self.days += 1.0;
            }
            self.last_clock_s = clock_s;
        }
        let first = *self.first.get_or_insert(moment);
        match (first, moment) {
            (Moment::Since(first), Moment::Since(now)) => Some(now - first),
            (Moment::Clock(first), Moment::Clock(now)) => Some(now + self.days * DAY_S - first),
            (Moment::At(first), Moment::At(now)) => Some(now.duration_since(first).as_secs_f64()),
            _ => None,
        }
    }

    pub(super) fn starts(&self) -> Option<DateTime> {
        match self.first {
            Some(Moment::At(at)) => Some(at),
            _ => None,
        }
    }
}
