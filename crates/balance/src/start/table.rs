//! The distribution of a grid, tabulated for looks between its points.

use super::grid::Grid;

/// Points of an interpolation.
const SIX: usize = 6;
/// Weights, times 1440, of the integral over the middle panel of the quintic through six points.
const PANEL: [f64; SIX] = [11.0, -93.0, 802.0, 802.0, -93.0, 11.0];

/// P(M ≥ m) and R against ln m.
#[derive(Debug)]
pub(super) struct Table {
    origin: f64,
    step: f64,
    tails: Vec<f64>,
    ratios: Vec<f64>,
}

impl Table {
    pub(super) fn of(grid: &Grid) -> Self {
        let size = grid.weights.len();
        let weight = |index: i64| {
            let inside = usize::try_from(index).ok();
            inside
                .and_then(|index| grid.weights.get(index))
                .copied()
                .unwrap_or(0.0)
        };
        let panel = |left: usize| {
            let term = |(place, share): (i64, &f64)| share * weight(left as i64 + place - 2);
            (0..).zip(&PANEL).map(term).sum::<f64>() / 1440.0
        };
        let mut tails = vec![0.0; size];
        for index in (0..size.saturating_sub(1)).rev() {
            tails[index] = tails[index + 1] + panel(index);
        }
        let all = tails
            .first()
            .copied()
            .filter(|all| *all > 0.0)
            .unwrap_or(1.0);
        for tail in &mut tails {
            *tail /= all;
        }
        Self {
            origin: grid.origin,
            step: grid.step,
            tails,
            ratios: grid.ratios(),
        }
    }

    pub(super) fn lowest(&self) -> f64 {
        self.origin
    }

    pub(super) fn highest(&self) -> f64 {
        self.origin + self.step * self.tails.len().saturating_sub(1) as f64
    }

    /// P(M ≥ e^log).
    pub(super) fn at_least(&self, log: f64) -> f64 {
        let place = (log - self.origin) / self.step;
        if place <= 0.0 {
            return 1.0;
        }
        if place >= self.tails.len() as f64 - 1.0 {
            return 0.0;
        }
        let last = self.tails.len().saturating_sub(SIX);
        let first = (place as usize).saturating_sub(SIX / 2 - 1).min(last);
        lagrange(
            &self.tails[first..self.tails.len().min(first + SIX)],
            place - first as f64,
        )
        .clamp(0.0, 1.0)
    }

    /// Average R where the mean is e^log; held flat beyond the ends.
    pub(super) fn ratio(&self, log: f64) -> f64 {
        let last = self.ratios.len().saturating_sub(1);
        let place = ((log - self.origin) / self.step).clamp(0.0, last as f64);
        let left = (place as usize).min(last.saturating_sub(1));
        let right = (left + 1).min(last);
        let part = place - left as f64;
        self.ratios[left] * (1.0 - part) + self.ratios[right] * part
    }
}

/// The polynomial through the values at 0, 1, 2, …, at `place`.
fn lagrange(values: &[f64], place: f64) -> f64 {
    if let [a, b, c, d, e, f] = *values {
        let t: [f64; SIX] = std::array::from_fn(|index| place - index as f64);
        let (low, mid, high) = (t[0] * t[1], t[2] * t[3], t[4] * t[5]);
        return (-a * t[1] + 5.0 * b * t[0]) * mid * high / 120.0
            + (-c * t[3] + d * t[2]) * low * high / 12.0
            + (-5.0 * e * t[5] + f * t[4]) * low * mid / 120.0;
    }
    let term = |(index, value): (usize, &f64)| {
        let others = (0..values.len()).filter(|other| *other != index);
        let basis = others.map(|o| (place - o as f64) / (index as f64 - o as f64));
        value * basis.product::<f64>()
    };
    values.iter().enumerate().map(term).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use chance::special::{normal_density, normal_tail};

    #[test]
    fn a_quintic_is_met_exactly() {
        let quintic = |x: f64| ((((x - 2.0) * x + 3.0) * x - 1.0) * x + 0.5) * x + 4.0;
        let values: Vec<f64> = (0..6).map(|i| quintic(f64::from(i))).collect();
        for x in [0.3, 1.7, 2.5, 4.9] {
            assert!((lagrange(&values, x) - quintic(x)).abs() < 1e-10);
        }
        // The same through the general form, with four points of a cubic.
        let cubic: Vec<f64> = (0..4).map(|i| f64::from(i * i * i)).collect();
        assert!((lagrange(&cubic, 1.5) - 3.375).abs() < 1e-12);
    }

    #[test]
    fn a_sampled_normal_keeps_its_tail() {
        // Step a tenth of the sd, as for a chain: the quintic errs by up to
        // (0.1)⁶·max|(t−2)…(t+3)|/6!·max|φ⁽⁵⁾| = 10⁻⁶·0.0049·2.3 = 1.1·10⁻⁸, and the panels by
        // less.
        let step = 0.1;
        let grid = Grid::sampled(-9.0, step, 181, |z| normal_density(z) * step);
        let table = Table::of(&grid);
        for index in -60..60 {
            let z = f64::from(index) * 0.1 + 0.037;
            let gap = (table.at_least(z) - normal_tail(z)).abs();
            assert!(gap < 2e-8, "{z}: {gap:e}");
        }
    }
}
