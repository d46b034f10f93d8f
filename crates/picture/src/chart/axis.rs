//! An axis: what it measures, and how its numbers are written.

use crate::lettering::fixed;
use crate::scale::{Scale, round_step};

/// What an axis measures; the numbers are in the caller's unit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Axis {
    /// What is measured, for example `time in the oven`.
    pub name: String,
    /// Its unit, for example `min` or `°C`; may be empty.
    pub unit: String,
    /// Hour of the day at value 0, for example 22.0 for ten in the evening. Values are then hours
    /// and are written as times of day.
    pub clock_at_zero: Option<f64>,
}

impl Axis {
    /// An axis of numbers.
    pub fn new(name: impl Into<String>, unit: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            unit: unit.into(),
            clock_at_zero: None,
        }
    }

    /// An axis of hours written as times of day, 0 at the given hour.
    pub fn clock(name: impl Into<String>, hour_at_zero: f64) -> Self {
        Self {
            name: name.into(),
            unit: String::new(),
            clock_at_zero: Some(hour_at_zero),
        }
    }

    /// The same numbers without name and unit.
    pub(crate) fn unnamed(&self) -> Self {
        Self {
            clock_at_zero: self.clock_at_zero,
            ..Self::default()
        }
    }

    fn hour(&self) -> Option<f64> {
        let sound = |hour: &f64| hour.is_finite() && hour.abs() < 1e4;
        self.clock_at_zero.filter(sound)
    }

    pub(crate) fn heading(&self) -> String {
        let parts: Vec<&str> = [self.name.trim(), self.unit.trim()]
            .into_iter()
            .filter(|part| !part.is_empty())
            .collect();
        parts.join(", ")
    }

    /// Round values inside a range, about so many, with their words.
    pub(crate) fn ticks(&self, (low, high): (f64, f64), wanted: usize) -> Vec<(f64, String)> {
        if let Some(hour) = self.hour() {
            return clock_ticks((low, high), hour, wanted);
        }
        let decimals = decimals(round_step((high - low) / wanted.max(1) as f64));
        Scale::new((low, high), (0.0, 1.0))
            .ticks(wanted)
            .into_iter()
            .map(|value| (value, fixed(value, decimals)))
            .collect()
    }

    /// A value with its unit, as fine as a hundredth of the range is worth telling.
    pub(crate) fn moment(&self, value: f64, range: (f64, f64)) -> String {
        self.hour().map_or_else(
            || self.with_unit(fixed(value, fine(range))),
            |hour| time_of_day(value, hour),
        )
    }

    /// A value that somebody stated, without decimals that say nothing.
    pub(crate) fn stated(&self, value: f64, range: (f64, f64)) -> String {
        if self.hour().is_some() {
            return self.moment(value, range);
        }
        let digits = fixed(value, fine(range).max(2));
        let short = if digits.contains('.') {
            digits.trim_end_matches('0').trim_end_matches('.')
        } else {
            &digits
        };
        self.with_unit(short.to_owned())
    }

    /// A length along the axis with its unit; what rounds to nothing but is not is told as such.
    pub(crate) fn span(&self, length: f64, range: (f64, f64)) -> String {
        let length = length.abs();
        if self.hour().is_some() {
            return hours_and_minutes(length);
        }
        let decimals = fine(range);
        let least = libm::pow(10.0, -(decimals as f64));
        if length > 0.0 && length < least / 2.0 {
            return self.with_unit(format!("less than {}", fixed(least, decimals)));
        }
        self.with_unit(fixed(length, decimals))
    }

    fn with_unit(&self, number: String) -> String {
        let unit = self.unit.trim();
        if unit.is_empty() {
            number
        } else {
            format!("{number} {unit}")
        }
    }
}

/// Decimals that tell multiples of a step apart.
fn decimals(step: f64) -> usize {
    let power = libm::floor(libm::log10(step) + 1e-9);
    (-power).clamp(0.0, 9.0) as usize
}

fn fine((low, high): (f64, f64)) -> usize {
    decimals(round_step((high - low) / 100.0))
}

/// Full, half and quarter hours, or days, about so many.
fn clock_ticks((low, high): (f64, f64), hour: f64, wanted: usize) -> Vec<(f64, String)> {
    let least = (high - low) / wanted.max(1) as f64;
    let step = [0.25, 0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 12.0, 24.0]
        .into_iter()
        .find(|step| *step >= least)
        .unwrap_or_else(|| 24.0 * round_step(least / 24.0).max(1.0));
    let first = ((low + hour) / step - 1e-9).ceil();
    let last = ((high + hour) / step + 1e-9).floor();
    let count = (last - first).clamp(-1.0, 50.0);
    (0..=count as i64)
        .filter(|_| count >= 0.0)
        .map(|at| (first + at as f64) * step - hour)
        .map(|value| (value, time_of_day(value, hour)))
        .collect()
}

/// `05:40`, and the days gone by after a full day or more.
fn time_of_day(value: f64, hour: f64) -> String {
    let value = value.clamp(-1e7, 1e7);
    let minutes = libm::round((value + hour) * 60.0) as i64;
    let (h, m) = (minutes.rem_euclid(1440) / 60, minutes.rem_euclid(60));
    let days = (libm::round(value * 60.0) as i64).div_euclid(1440);
    if days == 0 {
        format!("{h:02}:{m:02}")
    } else {
        let sign = if days < 0 { '\u{2212}' } else { '+' };
        format!("{h:02}:{m:02} {sign}{} d", days.abs())
    }
}

/// `3 h 20 min`.
fn hours_and_minutes(length: f64) -> String {
    let minutes = libm::round(length.min(1e7) * 60.0) as i64;
    match (minutes / 60, minutes % 60) {
        (0, 0) if length > 0.0 => "less than 1 min".to_owned(),
        (0, m) => format!("{m} min"),
        (h, 0) => format!("{h} h"),
        (h, m) => format!("{h} h {m} min"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_as_fine_as_their_steps() {
        let axis = Axis::new("time", "min");
        let words = |range, wanted| -> Vec<String> {
            let ticks = axis.ticks(range, wanted).into_iter();
            ticks.map(|(_, words)| words).collect()
        };
        assert_eq!(
            words((100.0, 101.5), 3),
            ["100.0", "100.5", "101.0", "101.5"]
        );
        assert_eq!(words((0.0, 20.0), 2), ["0", "10", "20"]);
        assert_eq!(axis.moment(14.06, (0.0, 22.0)), "14.1 min");
        assert_eq!(axis.span(-0.01, (0.0, 22.0)), "less than 0.1 min");
        assert_eq!(axis.stated(10.0, (0.0, 22.0)), "10 min");
        assert_eq!(axis.stated(2.25, (0.0, 22.0)), "2.25 min");
        assert_eq!(axis.heading(), "time, min");
    }

    #[test]
    fn hours_are_told_as_times_of_day() {
        let axis = Axis::clock("time of day", 22.0);
        assert_eq!(axis.moment(7.67, (0.0, 9.0)), "05:40");
        assert_eq!(axis.moment(32.0, (0.0, 40.0)), "06:00 +1 d");
        assert_eq!(axis.span(1.0 + 50.0 / 60.0, (0.0, 9.0)), "1 h 50 min");
        let ticks = axis.ticks((0.0, 9.0), 4);
        let words: Vec<&str> = ticks.iter().map(|(_, words)| words.as_str()).collect();
        assert_eq!(words, ["00:00", "03:00", "06:00"]);
        assert_eq!(ticks[0].0, 2.0);
    }
}
