//! Measured times into whole ticks.

/// A time that cannot be counted in ticks.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TickError {
    /// A tick that is not a positive, finite length.
    #[error("a tick must be a positive time; found {resolution_s} s")]
    Resolution {
        /// The tick asked for.
        resolution_s: f64,
    },
    /// A time that is negative, not a number, infinite or beyond 2^53 ticks.
    #[error("time {place} is {time_s} s, which cannot be counted in ticks")]
    Time {
        /// Its place in the list.
        place: usize,
        /// The time given.
        time_s: f64,
    },
}

/// Above this a float no longer tells one tick from the next.
const MOST_TICKS: f64 = 9_007_199_254_740_992.0;

/// Seconds to ticks of `resolution_s`, each rounded **up**.
///
/// Rounding up is the safe side: a station that fits in ticks also fits in seconds, provided the cycle
/// itself is rounded down. A time within one part in 10^9 of a whole tick is taken as that tick,
/// so that 0.3 s at 0.1 s is 3 ticks though 0.3 / 0.1 is a hair above 3 for some such pairs in binary.
pub fn from_seconds(times_s: &[f64], resolution_s: f64) -> Result<Vec<u64>, TickError> {
    if !(resolution_s.is_finite() && resolution_s > 0.0) {
        return Err(TickError::Resolution { resolution_s });
    }
    let tick = |(place, &time_s): (usize, &f64)| {
        let ticks = round_up(time_s / resolution_s);
        let countable = time_s >= 0.0 && ticks <= MOST_TICKS;
        countable
            .then_some(ticks as u64)
            .ok_or(TickError::Time { place, time_s })
    };
    times_s.iter().enumerate().map(tick).collect()
}

fn round_up(ticks: f64) -> f64 {
    let nearest = libm::round(ticks);
    if libm::fabs(ticks - nearest) <= 1e-9 * libm::fabs(nearest) {
        nearest
    } else {
        libm::ceil(ticks)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_rounded_up_and_whole_ticks_kept() {
        // 12.0 s / 0.1 s = 120; 0.31 -> 3.1 -> 4; 0 stays 0; 0.7 / 0.1 = 6.999... is seven ticks.
        assert_eq!(
            from_seconds(&[12.0, 0.31, 0.0, 0.7], 0.1),
            Ok(vec![120, 4, 0, 7])
        );
        // 1.1 / 0.1 = 11.000000000000002 in binary: eleven, not twelve.
        assert_eq!(from_seconds(&[1.1], 0.1), Ok(vec![11]));
    }

    #[test]
    fn what_cannot_be_counted_is_refused() {
        for bad in [-1.0, f64::NAN, f64::INFINITY, 1e300] {
            assert!(matches!(
                from_seconds(&[1.0, bad], 0.1),
                Err(TickError::Time { place: 1, .. })
            ));
        }
        for bad in [0.0, -0.1, f64::NAN, f64::INFINITY] {
            assert!(matches!(
                from_seconds(&[1.0], bad),
                Err(TickError::Resolution { .. })
            ));
        }
    }
}
