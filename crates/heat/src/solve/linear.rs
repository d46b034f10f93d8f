//! Equations in which every unknown meets its two neighbours only, with one more unknown (the air of a
//! chamber) that meets both ends.

/// A tridiagonal matrix, eliminated once and used for several right sides (Thomas's algorithm).
///
/// Its columns are dominated by the diagonal (heat that leaves a node arrives at a neighbour), so that no
/// rows have to change places.
#[derive(Clone, Debug, Default)]
pub(super) struct Tridiagonal {
    /// Row i, column i - 1; the first is not used.
    pub(super) lower: Vec<f64>,
    /// The diagonal; after `eliminate` its inverse pivots.
    pub(super) diagonal: Vec<f64>,
    /// Row i, column i + 1; the last is not used.
    pub(super) upper: Vec<f64>,
}

impl Tridiagonal {
    pub(super) fn new(rows: usize) -> Self {
        Self {
            lower: vec![0.0; rows],
            diagonal: vec![1.0; rows],
            upper: vec![0.0; rows],
        }
    }

    pub(super) fn eliminate(&mut self) {
        self.diagonal[0] = 1.0 / self.diagonal[0];
        for i in 1..self.diagonal.len() {
            self.lower[i] *= self.diagonal[i - 1];
            self.diagonal[i] = 1.0 / (self.diagonal[i] - self.lower[i] * self.upper[i - 1]);
        }
    }

    /// After `eliminate`, in place.
    pub(super) fn solve(&self, right: &mut [f64]) {
        for i in 1..right.len() {
            right[i] -= self.lower[i] * right[i - 1];
        }
        let last = right.len() - 1;
        right[last] *= self.diagonal[last];
        for i in (0..last).rev() {
            right[i] = (right[i] - self.upper[i] * right[i + 1]) * self.diagonal[i];
        }
    }
}

/// The one more unknown: its column at both ends, its row at both ends, and its own place.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Border {
    pub(super) column: [f64; 2],
    pub(super) row: [f64; 2],
    pub(super) corner: f64,
}

/// Solves with the border by elimination of blocks; `through` is room for the solution with its column.
pub(super) fn solve_bordered(
    matrix: &Tridiagonal,
    border: &Border,
    right: &mut [f64],
    more: f64,
    through: &mut [f64],
) -> f64 {
    let last = right.len() - 1;
    matrix.solve(right);
    through.fill(0.0);
    through[0] = border.column[0];
    through[last] += border.column[1];
    matrix.solve(through);
    let along = |x: &[f64]| border.row[0] * x[0] + border.row[1] * x[last];
    let extra = (more - along(right)) / (border.corner - along(through));
    for (x, t) in right.iter_mut().zip(through.iter()) {
        *x -= extra * t;
    }
    extra
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Multiplied out again by hand: 4x + y + u, x + 5y + 2z, y + 6z + 3u and 2x + z + 7u of (1, -2, 3, 4).
    #[test]
    fn the_solution_solves() {
        let mut matrix = Tridiagonal {
            lower: vec![0.0, 1.0, 1.0],
            diagonal: vec![4.0, 5.0, 6.0],
            upper: vec![1.0, 2.0, 0.0],
        };
        let border = Border {
            column: [1.0, 3.0],
            row: [2.0, 1.0],
            corner: 7.0,
        };
        matrix.eliminate();
        let mut right = [6.0, -3.0, 28.0];
        let extra = solve_bordered(&matrix, &border, &mut right, 33.0, &mut [0.0; 3]);
        for (found, expected) in right.iter().zip([1.0, -2.0, 3.0]) {
            assert!((found - expected).abs() < 1e-12);
        }
        assert!((extra - 4.0).abs() < 1e-12);
    }
}
