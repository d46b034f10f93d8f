//! One stretch of a trace as a cubic: where it bends, where it meets a value.

use crate::fault::Fault;
use crate::trace::{Sample, Trace};

/// A cubic in the share of its span, 0 to 1.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Piece {
    pub(crate) start_s: f64,
    pub(crate) span_s: f64,
    end_s: f64,
    coefficients: [f64; 4],
}

/// Halvings that take a share of 1 below the spacing of numbers near 1.
const HALVINGS: usize = 60;

impl Piece {
    fn between(a: Sample, b: Sample) -> Self {
        let span = b.time_s - a.time_s;
        let (left, right) = (span * a.slope_per_s, span * b.slope_per_s);
        let rise = b.value - a.value;
        Self {
            start_s: a.time_s,
            span_s: span,
            end_s: b.time_s,
            coefficients: [
                a.value,
                left,
                3.0 * rise - 2.0 * left - right,
                left + right - 2.0 * rise,
            ],
        }
    }

    /// The value at a share of the span.
    pub(crate) fn at(&self, share: f64) -> f64 {
        let [a, b, c, d] = self.coefficients;
        a + share * (b + share * (c + share * d))
    }

    /// The time at a share of the span, s: never after the end, at which the next piece begins, however it rounds.
    pub(crate) fn time_s(&self, share: f64) -> f64 {
        if share >= 1.0 {
            return self.end_s;
        }
        (self.start_s + share * self.span_s).min(self.end_s)
    }

    /// Shares strictly inside the span at which the slope is nought, rising.
    pub(crate) fn bends(&self) -> Vec<f64> {
        let [_, c, b2, a3] = self.coefficients;
        let (a, b) = (3.0 * a3, 2.0 * b2);
        let discriminant = b * b - 4.0 * a * c;
        if discriminant < 0.0 {
            return Vec::new();
        }
        // The stable pair: no difference of nearly equal numbers.
        let q = -0.5 * (b + discriminant.sqrt().copysign(b));
        let mut found: Vec<f64> = [q / a, c / q]
            .into_iter()
            .filter(|share| *share > 0.0 && *share < 1.0)
            .collect();
        found.sort_by(f64::total_cmp);
        found
    }

    /// Shares of the span, ends included, at which it passes a value, rising. Where it lies on the value
    /// all along there is none.
    pub(crate) fn meets(&self, value: f64) -> Vec<f64> {
        let mut marks = vec![0.0];
        marks.extend(self.bends());
        marks.push(1.0);
        let mut found = Vec::new();
        for pair in marks.windows(2) {
            let (low, high) = (self.at(pair[0]) - value, self.at(pair[1]) - value);
            if (low < 0.0) == (high < 0.0) {
                continue;
            }
            found.push(self.bisect(value, pair[0], pair[1], low < 0.0));
        }
        found
    }

    /// The share between two marks, on which the piece is monotone, where it leaves the side it begins on.
    fn bisect(&self, value: f64, low: f64, high: f64, begins_below: bool) -> f64 {
        let (mut low, mut high) = (low, high);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if (self.at(middle) < value) == begins_below {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }
}

/// The stretches of a trace that take time. Refuses a trace without two samples at different times, and
/// values that are no numbers.
pub(crate) fn pieces(trace: &Trace) -> Result<Vec<Piece>, Fault> {
    let samples = trace.samples();
    for sample in samples {
        let all = [sample.time_s, sample.value, sample.slope_per_s];
        if let Some(found) = all.into_iter().find(|number| !number.is_finite()) {
            return Err(Fault::OutOfRange {
                what: "sample of a history",
                found,
                low: f64::MIN,
                high: f64::MAX,
            });
        }
    }
    let found: Vec<Piece> = samples
        .windows(2)
        .filter(|pair| pair[1].time_s > pair[0].time_s)
        .map(|pair| Piece::between(pair[0], pair[1]))
        .collect();
    if found.is_empty() {
        return Err(Fault::Missing("stretch of time in the history"));
    }
    Ok(found)
}

/// A stretch of time on one side of a value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Side {
    pub(crate) from_s: f64,
    pub(crate) to_s: f64,
    pub(crate) above: bool,
}

/// The whole trace, told apart by the side of a value on which it lies; neighbours differ in side. A hold at
/// the very value counts as above if `ties_above`, as below otherwise.
pub(crate) fn sides(trace: &Trace, value: f64, ties_above: bool) -> Result<Vec<Side>, Fault> {
    let mut found: Vec<Side> = Vec::new();
    for piece in pieces(trace)? {
        let mut marks = vec![0.0];
        marks.extend(piece.meets(value));
        marks.push(1.0);
        for pair in marks.windows(2) {
            let middle = piece.at(0.5 * (pair[0] + pair[1]));
            let next = Side {
                from_s: piece.time_s(pair[0]),
                to_s: piece.time_s(pair[1]),
                above: middle > value || (ties_above && middle == value),
            };
            if next.to_s <= next.from_s {
                continue;
            }
            match found.last_mut() {
                Some(last) if last.above == next.above => last.to_s = next.to_s,
                _ => found.push(next),
            }
        }
    }
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn piece(values: [f64; 2], slopes: [f64; 2]) -> Piece {
        let sample = |time_s: f64, at: usize| Sample {
            time_s,
            value: values[at],
            slope_per_s: slopes[at],
        };
        Piece::between(sample(2.0, 0), sample(4.0, 1))
    }

    #[test]
    fn three_roots_of_a_cubic_are_found() {
        // (s - 1/4)(s - 1/2)(s - 3/4) = s³ - 1.5 s² + 0.6875 s - 0.09375, s = (t - 2)/2, by hand.
        let cubic = piece([-0.093_75, 0.093_75], [0.687_5 / 2.0, 0.687_5 / 2.0]);
        let found = cubic.meets(0.0);
        assert_eq!(found.len(), 3);
        for (share, known) in found.into_iter().zip([0.25, 0.5, 0.75]) {
            // A few roundings of a number near 1/10, over a slope near 1/10.
            assert!((share - known).abs() < 1e-14, "{share} for {known}");
        }
    }

    #[test]
    fn a_piece_ends_where_the_next_begins() {
        // from + (to - from) rounds to other than `to` for a share of such times, as often later as sooner; a running
        // total must not go back in time there.
        for at in 1..2000 {
            let (from, to) = (0.1 * f64::from(at), 0.37 * f64::from(at));
            let sample = |time_s: f64| Sample {
                time_s,
                value: 0.0,
                slope_per_s: 0.0,
            };
            let own = Piece::between(sample(from), sample(to));
            assert!(own.time_s(1.0).to_bits() == to.to_bits(), "{from} to {to}");
            assert!(own.time_s(1.0 - f64::EPSILON) <= to, "{from} to {to}");
        }
    }

    #[test]
    fn a_parabola_that_touches_has_no_crossing() {
        // (s - 1/2)² has its bend at 1/2 and never goes below nought.
        let touching = piece([0.25, 0.25], [-0.5, 0.5]);
        assert_eq!(touching.bends(), vec![0.5]);
        assert!(touching.meets(0.0).is_empty());
    }
}
