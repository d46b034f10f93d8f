//! One-dimensional searches shared by the fits.

/// The root of a falling function between two ends, from its value and slope, by Newton's method
/// kept inside a shrinking bracket; the end nearest to it where it lies outside.
///
/// The derivative of a function of one peak falls through zero at the peak. Where the slope is
/// not falling, or the steps do not shrink by half, the bracket is halved instead (as Press et al.,
/// *Numerical Recipes*, section 9.4, do; from memory).
pub(crate) fn falling_root(
    (mut low, mut high): (f64, f64),
    near: f64,
    f: impl Fn(f64) -> (f64, f64),
) -> f64 {
    let mut place = near.clamp(low, high);
    let (mut low_seen, mut high_seen) = (false, false);
    let mut before = f64::INFINITY;
    for _ in 0..100 {
        let (value, slope) = f(place);
        if value > 0.0 {
            if place >= high {
                return place;
            }
            (low, low_seen) = (place, true);
        } else if value < 0.0 {
            if place <= low {
                return place;
            }
            (high, high_seen) = (place, true);
        } else {
            return place;
        }
        let newton = -value / slope;
        // Past an end that was never looked at, the end itself decides.
        let next = if slope < 0.0 && place + newton <= low && !low_seen {
            low
        } else if slope < 0.0 && place + newton >= high && !high_seen {
            high
        } else if slope < 0.0 && newton.abs() <= 0.5 * before {
            (place + newton).clamp(low, high)
        } else {
            0.5 * (low + high)
        };
        before = (next - place).abs();
        if before <= CLOSE * (1.0 + place.abs()) {
            return next;
        }
        place = next;
    }
    place
}

/// A Newton step this small leaves an error of its square, below the last digit.
const CLOSE: f64 = 1e-9;

/// Where a function that is positive at `peak` first falls to zero, going in steps that double
/// from `step` (whose sign gives the direction) up to `reach` away; `None` if it does not.
pub(crate) fn crossing(peak: f64, step: f64, reach: f64, f: impl Fn(f64) -> f64) -> Option<f64> {
    let mut inside = (peak, f(peak));
    let mut stride = step;
    let mut outside = loop {
        let place = peak + stride;
        let value = f(place);
        if value <= 0.0 {
            break (place, value);
        }
        if stride.abs() >= reach || !value.is_finite() {
            return None;
        }
        inside = (place, value);
        stride *= 2.0;
    };
    // Regula falsi with the Illinois halving (Dowell & Jarratt 1971).
    let mut last_was_outside = None;
    for _ in 0..60 {
        let share = inside.1 / (inside.1 - outside.1);
        let place = inside.0 + share * (outside.0 - inside.0);
        let place = if place.is_finite() {
            place
        } else {
            0.5 * (inside.0 + outside.0)
        };
        let value = f(place);
        let was_outside = value <= 0.0;
        if was_outside {
            outside = (place, value);
            if last_was_outside == Some(true) {
                inside.1 *= 0.5;
            }
        } else {
            inside = (place, value);
            if last_was_outside == Some(false) {
                outside.1 *= 0.5;
            }
        }
        last_was_outside = Some(was_outside);
        if value.abs() < 1e-9 || (outside.0 - inside.0).abs() < 1e-10 * step.abs() {
            return Some(place);
        }
    }
    Some(0.5 * (inside.0 + outside.0))
}
