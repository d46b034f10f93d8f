//! One-dimensional searches shared by the fits.

/// The root of a rising function between two ends, by halving; an end if it lies outside.
pub(crate) fn rising_root(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..64 {
        let middle = 0.5 * (low + high);
        if f(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Where a function of one peak is largest between two ends, and its value there: a coarse grid,
/// then the golden section (Kiefer 1953). Values that are not numbers count as lowest.
pub(crate) fn maximum(low: f64, high: f64, f: impl Fn(f64) -> f64) -> (f64, f64) {
    const CELLS: u32 = 16;
    const SHRINK: f64 = 0.618_033_988_749_894_8;
    let f = |x: f64| {
        let value = f(x);
        if value.is_nan() {
            f64::NEG_INFINITY
        } else {
            value
        }
    };
    let cell = (high - low) / f64::from(CELLS);
    let best = (0..=CELLS)
        .map(|index| low + cell * f64::from(index))
        .map(|x| (x, f(x)))
        .fold((low, f64::NEG_INFINITY), |best, next| {
            if next.1 > best.1 { next } else { best }
        });
    let (mut a, mut b) = ((best.0 - cell).max(low), (best.0 + cell).min(high));
    let (mut left, mut right) = (b - SHRINK * (b - a), a + SHRINK * (b - a));
    let (mut at_left, mut at_right) = (f(left), f(right));
    // The peak is flat: 10⁻⁷ of the range in place is 10⁻¹⁴ of it in value.
    for _ in 0..30 {
        if at_left > at_right {
            b = right;
            (right, at_right) = (left, at_left);
            left = b - SHRINK * (b - a);
            at_left = f(left);
        } else {
            a = left;
            (left, at_left) = (right, at_right);
            right = a + SHRINK * (b - a);
            at_right = f(right);
        }
    }
    let found = if at_left > at_right {
        (left, at_left)
    } else {
        (right, at_right)
    };
    if found.1 >= best.1 { found } else { best }
}

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
