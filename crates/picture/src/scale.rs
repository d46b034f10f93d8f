//! Mapping values to places, and round numbers for axes.

/// A straight map from a span of values to a span of places.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Scale {
    low: f64,
    high: f64,
    start: f64,
    end: f64,
}

impl Scale {
    /// A scale; an empty span of values is widened so that nothing divides by zero.
    pub(crate) fn new((low, high): (f64, f64), (start, end): (f64, f64)) -> Self {
        let high = if high - low > 0.0 {
            high
        } else {
            low + low.abs().max(1.0) * 0.1
        };
        Self {
            low,
            high,
            start,
            end,
        }
    }

    pub(crate) fn at(&self, value: f64) -> f64 {
        self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)
    }

    /// The place of a value, kept inside the span.
    pub(crate) fn held(&self, value: f64) -> f64 {
        self.at(value.clamp(self.low, self.high))
    }

    /// Round values inside the span, about `wanted` of them.
    pub(crate) fn ticks(&self, wanted: usize) -> Vec<f64> {
        let step = round_step((self.high - self.low) / wanted.max(1) as f64);
        let first = (self.low / step - 1e-9).ceil();
        let last = (self.high / step + 1e-9).floor();
        let count = (last - first).clamp(-1.0, 50.0);
        (0..=count as i64)
            .filter(|_| count >= 0.0)
            .map(|i| (first + i as f64) * step)
            .collect()
    }
}

/// The smallest of 1, 2, 5 times a power of ten that is not below the value.
pub(crate) fn round_step(value: f64) -> f64 {
    if !(value.is_finite() && value > 0.0) {
        return 1.0;
    }
    let power = libm::pow(10.0, libm::floor(libm::log10(value)));
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|digit| digit * power)
        .find(|step| *step >= value * (1.0 - 1e-9))
        .unwrap_or(10.0 * power)
}

/// A value that can be drawn as an amount: finite and above zero, else 0. Kept below 1e12 so that
/// sums stay finite.
pub(crate) fn amount(value: f64) -> f64 {
    if value.is_finite() {
        value.clamp(0.0, 1e12)
    } else {
        0.0
    }
}

/// A value that can be drawn: finite and within ±1e12.
pub(crate) fn drawable(value: f64) -> Option<f64> {
    value.is_finite().then(|| value.clamp(-1e12, 1e12))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_inside() {
        assert_eq!(
            Scale::new((0.0, 103.0), (0.0, 1.0)).ticks(5),
            [0.0, 50.0, 100.0]
        );
        assert_eq!(
            Scale::new((0.0, 10.0), (0.0, 1.0)).ticks(5),
            [0.0, 2.0, 4.0, 6.0, 8.0, 10.0]
        );
        assert!(Scale::new((3.0, 3.0), (0.0, 1.0)).at(3.0).is_finite());
        assert_eq!(round_step(0.03), 0.05);
    }
}
