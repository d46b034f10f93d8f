//! The zero of a function between two places where its signs differ.

/// Steps before the best so far is taken; bisection alone would need some 60.
const STEPS: usize = 200;

/// A zero between two places, to rounding. Chandrupatla's method (1997, as in Scherer's Computational
/// Physics, memory): inverse quadratic where that is safe, bisection elsewhere.
///
/// Where rounding hides the change of sign, the end with the smaller value is the zero.
pub(crate) fn between(f: impl Fn(f64) -> f64, low: f64, high: f64) -> f64 {
    let (mut x1, mut x2) = (low, high);
    let (mut f1, mut f2) = (f(x1), f(x2));
    if f1 * f2 > 0.0 {
        return if f1.abs() < f2.abs() { x1 } else { x2 };
    }
    let mut share = 0.5;
    for _ in 0..STEPS {
        let x = x1 + share * (x2 - x1);
        let value = f(x);
        let (x3, f3);
        if (value > 0.0) == (f1 > 0.0) {
            (x3, f3) = (x1, f1);
        } else {
            (x3, f3) = (x2, f2);
            (x2, f2) = (x1, f1);
        }
        (x1, f1) = (x, value);
        let best = if f1.abs() < f2.abs() { x1 } else { x2 };
        let closest = 2.0 * f64::EPSILON * best.abs() / (x2 - x1).abs();
        if f1 == 0.0 || f2 == 0.0 || closest.is_nan() || closest > 0.5 {
            return best;
        }
        let along = (x1 - x2) / (x3 - x2);
        let risen = (f1 - f2) / (f3 - f2);
        let safe = risen * risen < along && (1.0 - risen) * (1.0 - risen) < 1.0 - along;
        share = if safe {
            f1 / (f2 - f1) * (f3 / (f2 - f3))
                + (x3 - x1) / (x2 - x1) * (f1 / (f3 - f1)) * (f2 / (f3 - f2))
        } else {
            0.5
        };
        share = share.clamp(closest, 1.0 - closest);
    }
    if f1.abs() < f2.abs() { x1 } else { x2 }
}

#[cfg(test)]
mod tests {
    use super::between;

    #[test]
    fn zeros_are_right_to_rounding() {
        // The cosine's first zero and the cube root of 2, whatever the order of the ends.
        let quarter = between(libm::cos, 0.0, 3.0);
        assert!((quarter - std::f64::consts::FRAC_PI_2).abs() < 4e-16);
        let cube = between(|x| x * x * x - 2.0, 4.0, 0.0);
        assert!((cube - libm::cbrt(2.0)).abs() < 5e-16);
    }

    #[test]
    fn a_zero_at_an_end_is_found() {
        assert_eq!(between(|x| x, 0.0, 1.0), 0.0);
        assert_eq!(between(|x| x - 1.0, 0.0, 1.0), 1.0);
    }
}
