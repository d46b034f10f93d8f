//! How long above and below a temperature, how high and how low.

use serde::Serialize;

use super::piece::{pieces, sides};
use crate::fault::Fault;
use crate::trace::Trace;

/// A stretch of time.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Stretch {
    /// Beginning, s.
    pub from_s: f64,
    /// End, s.
    pub to_s: f64,
}

impl Stretch {
    /// How long, s.
    pub fn lasts_s(&self) -> f64 {
        self.to_s - self.from_s
    }
}

/// A history told apart at one temperature.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Above {
    /// Time at or above, s.
    pub above_s: f64,
    /// Time below, s.
    pub below_s: f64,
    /// When it is first at or above, s.
    pub first_above_s: Option<f64>,
    /// When it is first below, s.
    pub first_below_s: Option<f64>,
    /// Longest unbroken stretch at or above; the first of equals.
    pub longest_above: Option<Stretch>,
    /// Longest unbroken stretch below; the first of equals.
    pub longest_below: Option<Stretch>,
    /// When the time at or above, all stretches together, comes to what is wanted, s.
    pub enough_above_s: Option<f64>,
    /// When an unbroken stretch at or above first lasts as long as wanted, s.
    pub enough_unbroken_s: Option<f64>,
}

/// Time at or above and below a temperature (in units of the trace), and when the time at or above comes to
/// `wanted_s`.
pub fn above(trace: &Trace, temperature_k: f64, wanted_s: f64) -> Result<Above, Fault> {
    let sides = sides(trace, temperature_k, true)?;
    let stretches = |above: bool| {
        sides
            .iter()
            .filter(move |side| side.above == above)
            .map(|side| Stretch {
                from_s: side.from_s,
                to_s: side.to_s,
            })
    };
    let sum = |above: bool| stretches(above).map(|s| s.lasts_s()).sum();
    let (mut so_far, mut enough_above_s) = (0.0, None);
    for stretch in stretches(true) {
        let missing = wanted_s - so_far;
        if enough_above_s.is_none() && missing <= stretch.lasts_s() {
            enough_above_s = Some(stretch.from_s + missing.max(0.0));
        }
        so_far += stretch.lasts_s();
    }
    Ok(Above {
        above_s: sum(true),
        below_s: sum(false),
        first_above_s: stretches(true).next().map(|s| s.from_s),
        first_below_s: stretches(false).next().map(|s| s.from_s),
        longest_above: longest(stretches(true)),
        longest_below: longest(stretches(false)),
        enough_above_s,
        enough_unbroken_s: stretches(true)
            .find(|s| s.lasts_s() >= wanted_s)
            .map(|s| s.from_s + wanted_s.max(0.0)),
    })
}

pub(crate) fn longest(stretches: impl Iterator<Item = Stretch>) -> Option<Stretch> {
    stretches.fold(None, |best: Option<Stretch>, next| match best {
        Some(best) if best.lasts_s() >= next.lasts_s() => Some(best),
        _ => Some(next),
    })
}

/// A value and when it is met first.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Extreme {
    /// The value, K for temperatures.
    pub value: f64,
    /// When, s.
    pub time_s: f64,
}

/// Lowest and highest of a history, bends between samples included.
pub fn extremes(trace: &Trace) -> Result<(Extreme, Extreme), Fault> {
    let mut met: Vec<Extreme> = trace
        .samples()
        .iter()
        .map(|sample| Extreme {
            value: sample.value,
            time_s: sample.time_s,
        })
        .collect();
    for piece in pieces(trace)? {
        met.extend(piece.bends().into_iter().map(|share| Extreme {
            value: piece.at(share),
            time_s: piece.time_s(share),
        }));
    }
    met.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
    let Some(first) = met.first().copied() else {
        return Err(Fault::Missing("sample of the history"));
    };
    let pick = |better: fn(f64, f64) -> bool| {
        met.iter().fold(first, |best, next| {
            if better(next.value, best.value) {
                *next
            } else {
                best
            }
        })
    };
    Ok((pick(|a, b| a < b), pick(|a, b| a > b)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trace::Sample;

    /// Triangle up and down twice: 0 - 10 - 0 - 20 - 0 over 10 s legs.
    fn teeth() -> Trace {
        Trace::straight(&[
            (0.0, 0.0),
            (10.0, 10.0),
            (20.0, 0.0),
            (30.0, 20.0),
            (40.0, 0.0),
        ])
    }

    #[test]
    fn teeth_are_measured_as_by_hand() {
        // Above 5: 5..15 and 22.5..37.5, so 25 s; 12 s of it are over 2 s into the second stretch.
        let found = above(&teeth(), 5.0, 12.0).unwrap();
        assert!((found.above_s - 25.0).abs() < 1e-12);
        assert!((found.below_s - 15.0).abs() < 1e-12);
        assert!((found.first_above_s.unwrap() - 5.0).abs() < 1e-12);
        assert_eq!(found.first_below_s, Some(0.0));
        assert!((found.enough_above_s.unwrap() - 24.5).abs() < 1e-12);
        assert!((found.enough_unbroken_s.unwrap() - 34.5).abs() < 1e-12);
        let longest = found.longest_above.unwrap();
        assert!((longest.from_s - 22.5).abs() < 1e-12 && (longest.to_s - 37.5).abs() < 1e-12);
        let below = found.longest_below.unwrap();
        assert!((below.from_s - 15.0).abs() < 1e-12 && (below.to_s - 22.5).abs() < 1e-12);
    }

    #[test]
    fn a_hold_at_the_very_limit_counts_as_reached() {
        let hold = Trace::straight(&[(0.0, 423.15), (600.0, 423.15)]);
        let found = above(&hold, 423.15, 600.0).unwrap();
        assert_eq!((found.above_s, found.below_s), (600.0, 0.0));
        assert_eq!(found.enough_above_s, Some(600.0));
    }

    #[test]
    fn the_top_between_two_samples_is_found() {
        // 4 s (1 - s) over 10 s: highest 1 at 5 s.
        let sample = |time_s: f64, slope_per_s: f64| Sample {
            time_s,
            value: 0.0,
            slope_per_s,
        };
        let hump = Trace::new(vec![sample(0.0, 0.4), sample(10.0, -0.4)]);
        let (low, high) = extremes(&hump).unwrap();
        assert_eq!((low.value, low.time_s), (0.0, 0.0));
        assert!((high.value - 1.0).abs() < 1e-15 && (high.time_s - 5.0).abs() < 1e-14);
    }

    #[test]
    fn a_history_of_no_length_is_refused() {
        for trace in [Trace::default(), Trace::straight(&[(1.0, 2.0), (1.0, 3.0)])] {
            assert_eq!(
                above(&trace, 0.0, 0.0),
                Err(Fault::Missing("stretch of time in the history"))
            );
        }
    }
}
