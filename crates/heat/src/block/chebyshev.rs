//! The Runge-Kutta-Chebyshev method of second order: explicit steps with as many parts as stability asks for.
//!
//! Source: Sommeijer, Shampine & Verwer 1998, J. Comput. Appl. Math. 88, 315-326 (coefficients, bound of
//! stability, estimate of the error; from memory, and checked in the tests by order and stability).

/// Damping: how far the method stays inside its bound.
const DAMPING: f64 = 2.0 / 13.0;

/// Most parts of a step.
pub(super) const MOST_PARTS: usize = 500;

/// One part: weights of the beginning, the last two parts, the last rate and the first, and the time of the part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Part {
    pub(super) start: f64,
    pub(super) last: f64,
    pub(super) before: f64,
    pub(super) rate: f64,
    pub(super) first_rate: f64,
    /// Share of the step that this part reaches.
    pub(super) reaches: f64,
}

/// Parts needed for a step when the fastest of what goes on dies out as exp(-fastest t).
pub(super) fn parts_needed(step_s: f64, fastest_per_s: f64) -> usize {
    // Stable to (s² - 1)·2/3·(1 - 2/15·damping), which is 0.653 (s² - 1).
    let parts = libm::ceil(libm::sqrt(1.0 + 1.54 * step_s * fastest_per_s));
    (parts as usize).max(2)
}

/// The longest step for a number of parts.
pub(super) fn longest_step(parts: usize, fastest_per_s: f64) -> f64 {
    let parts = parts as f64;
    (parts * parts - 1.0) / (1.54 * fastest_per_s)
}

/// The parts of a step.
pub(super) fn parts(count: usize) -> Vec<Part> {
    let s = count as f64;
    let w0 = 1.0 + DAMPING / (s * s);
    // Chebyshev polynomials at w0 with their first and second derivatives.
    let mut t = vec![[1.0, 0.0, 0.0], [w0, 1.0, 0.0]];
    for j in 2..=count {
        let ([a, b, c], [d, e, f]) = (t[j - 1], t[j - 2]);
        t.push([
            2.0 * w0 * a - d,
            2.0 * a + 2.0 * w0 * b - e,
            4.0 * b + 2.0 * w0 * c - f,
        ]);
    }
    let w1 = t[count][1] / t[count][2];
    let weight = |j: usize| match j {
        0 => t[2][2] / (t[2][1] * t[2][1]),
        1 => 1.0 / w0,
        _ => t[j][2] / (t[j][1] * t[j][1]),
    };
    let mut parts = vec![Part {
        start: 1.0,
        last: 0.0,
        before: 0.0,
        rate: 0.0,
        first_rate: w1 * weight(1),
        reaches: w1 * weight(1),
    }];
    let mut earlier = [0.0, parts[0].reaches];
    for j in 2..=count {
        let (b, b1, b2) = (weight(j), weight(j - 1), weight(j - 2));
        let (last, before) = (2.0 * b * w0 / b1, -b / b2);
        let rate = 2.0 * b * w1 / b1;
        let first_rate = -(1.0 - b1 * t[j - 1][0]) * rate;
        let reaches = last * earlier[1] + before * earlier[0] + rate + first_rate;
        earlier = [earlier[1], reaches];
        parts.push(Part {
            start: 1.0 - last - before,
            last,
            before,
            rate,
            first_rate,
            reaches,
        });
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    /// y' = -a y + cos t from 0, stepped from 0 to 1.
    fn follow(a: f64, steps: usize, count: usize) -> f64 {
        let h = 1.0 / steps as f64;
        let rate = |t: f64, y: f64| libm::cos(t) - a * y;
        let mut y = 0.0;
        for step in 0..steps {
            let t0 = step as f64 * h;
            let first = rate(t0, y);
            let (mut before, mut last, mut time) = (y, y, t0);
            for part in parts(count) {
                let now = part.start * y
                    + part.last * last
                    + part.before * before
                    + h * (part.rate * rate(time, last) + part.first_rate * first);
                (before, last, time) = (last, now, t0 + h * part.reaches);
            }
            y = last;
        }
        y
    }

    /// y = (a cos t + sin t - a exp(-a t)) / (a² + 1): twice the steps, a quarter of the error.
    #[test]
    fn second_order() {
        let exact =
            |a: f64| (a * libm::cos(1.0) + libm::sin(1.0) - a * libm::exp(-a)) / (a * a + 1.0);
        for count in [2, 3, 7, 20] {
            let errors = [20, 40].map(|steps| (follow(2.0, steps, count) - exact(2.0)).abs());
            let ratio = errors[0] / errors[1];
            assert!((3.6..4.6).contains(&ratio), "{count}: {ratio}");
        }
    }

    /// With the parts told, what is fast dies out, to the cos t / a that drives it; with a quarter fewer it explodes.
    #[test]
    fn as_stable_as_told() {
        let fastest = 1e4;
        let count = parts_needed(1.0, fastest);
        assert!(follow(fastest, 1, count).abs() < 1e-3);
        assert!(follow(fastest, 1, count * 3 / 4).abs() > 1e3);
        for parts in [2, 5, 50, MOST_PARTS] {
            let step = 0.999 * longest_step(parts, fastest);
            assert!(parts_needed(step, fastest) <= parts);
        }
    }

    #[test]
    fn a_step_reaches_its_end() {
        for count in 2..=MOST_PARTS {
            let reaches = parts(count)[count - 1].reaches;
            assert!((reaches - 1.0).abs() < 1e-9, "{count}: {reaches}");
        }
    }
}
