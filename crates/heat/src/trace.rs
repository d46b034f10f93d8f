//! A quantity along time, with its slope, so that what lies between two samples is known as well.

use serde::Serialize;

/// A value and its slope at a time. Where the slope jumps, two samples share a time.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Sample {
    /// s from the beginning.
    pub time_s: f64,
    /// The value: K for temperatures.
    pub value: f64,
    /// Its change, per s.
    pub slope_per_s: f64,
}

/// Samples in order of time, cubic in between (Hermite).
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Trace {
    samples: Vec<Sample>,
}

impl Trace {
    /// Samples in order of time.
    pub fn new(samples: Vec<Sample>) -> Self {
        debug_assert!(
            samples
                .windows(2)
                .all(|pair| pair[0].time_s <= pair[1].time_s)
        );
        Self { samples }
    }

    /// Straight lines between points, as a logger writes them.
    pub fn straight(points: &[(f64, f64)]) -> Self {
        let mut samples = Vec::with_capacity(2 * points.len());
        for pair in points.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            let slope_per_s = if b.0 > a.0 {
                (b.1 - a.1) / (b.0 - a.0)
            } else {
                0.0
            };
            for (time_s, value) in [a, b] {
                samples.push(Sample {
                    time_s,
                    value,
                    slope_per_s,
                });
            }
        }
        Self::new(samples)
    }

    /// The samples.
    pub fn samples(&self) -> &[Sample] {
        &self.samples
    }

    /// Adds a sample at or after the last.
    pub fn push(&mut self, sample: Sample) {
        debug_assert!(
            self.samples
                .last()
                .is_none_or(|last| last.time_s <= sample.time_s)
        );
        self.samples.push(sample);
    }

    /// As far as a time; all of it if it ends before.
    #[must_use]
    pub fn until(&self, time_s: f64) -> Self {
        let right = self.samples.partition_point(|s| s.time_s <= time_s);
        let mut samples = self.samples[..right].to_vec();
        if let (Some(&before), Some(&after)) = (samples.last(), self.samples.get(right))
            && before.time_s < time_s
        {
            let (value, slope_per_s) = between_with_slope(before, after, time_s);
            samples.push(Sample {
                time_s,
                value,
                slope_per_s,
            });
        }
        Self { samples }
    }

    /// The value at a time; the first or last value outside. `None` without samples.
    pub fn at(&self, time_s: f64) -> Option<f64> {
        let right = self.samples.partition_point(|s| s.time_s < time_s);
        let Some(b) = self.samples.get(right) else {
            return self.samples.last().map(|s| s.value);
        };
        if right == 0 {
            return Some(b.value);
        }
        Some(between(self.samples[right - 1], *b, time_s))
    }
}

/// Cubic Hermite interpolation between two samples.
pub(crate) fn between(a: Sample, b: Sample, time_s: f64) -> f64 {
    let span = b.time_s - a.time_s;
    if span <= 0.0 {
        return b.value;
    }
    let s = (time_s - a.time_s) / span;
    let (s2, s3) = (s * s, s * s * s);
    (2.0 * s3 - 3.0 * s2 + 1.0) * a.value
        + (s3 - 2.0 * s2 + s) * span * a.slope_per_s
        + (3.0 * s2 - 2.0 * s3) * b.value
        + (s3 - s2) * span * b.slope_per_s
}

/// Value and slope of the cubic between two samples.
fn between_with_slope(a: Sample, b: Sample, time_s: f64) -> (f64, f64) {
    let span = b.time_s - a.time_s;
    let s = (time_s - a.time_s) / span;
    let slope = 6.0 * s * (1.0 - s) * (b.value - a.value) / span
        + (1.0 - s) * (1.0 - 3.0 * s) * a.slope_per_s
        + s * (3.0 * s - 2.0) * b.slope_per_s;
    (between(a, b, time_s), slope)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// t³ on two samples is its own cubic; cut anywhere it stays t³, slope 3 t² included.
    #[test]
    fn a_cut_trace_is_the_same_cubic() {
        let sample = |t: f64| Sample {
            time_s: t,
            value: t * t * t,
            slope_per_s: 3.0 * t * t,
        };
        let cut = Trace::new(vec![sample(0.0), sample(4.0)]).until(3.0);
        let end = cut.samples()[1];
        assert!((end.value - 27.0).abs() < 1e-12 && (end.slope_per_s - 27.0).abs() < 1e-12);
        assert!((cut.at(2.0).expect("covered") - 8.0).abs() < 1e-12);
    }
}
