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
