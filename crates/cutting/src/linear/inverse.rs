//! The explicit inverse of the basis, dense, stored by columns.

/// A square matrix that follows the basis pivot by pivot.
#[derive(Clone, Debug, Default)]
pub(crate) struct Inverse {
    size: usize,
    /// `cells[k * size + i]` is row i, column k.
    cells: Vec<f64>,
}

impl Inverse {
    pub(crate) fn identity(size: usize) -> Self {
        let mut cells = vec![0.0; size * size];
        for k in 0..size {
            cells[k * size + k] = 1.0;
        }
        Self { size, cells }
    }

    fn column(&self, k: usize) -> &[f64] {
        &self.cells[k * self.size..(k + 1) * self.size]
    }

    /// Adds `factor` times column k to `sum`.
    pub(crate) fn add_column_to(&self, k: usize, factor: f64, sum: &mut [f64]) {
        if factor != 0.0 {
            for (cell, total) in self.column(k).iter().zip(sum) {
                *total += factor * cell;
            }
        }
    }

    /// Row r.
    pub(crate) fn row(&self, r: usize) -> Vec<f64> {
        (0..self.size)
            .map(|k| self.cells[k * self.size + r])
            .collect()
    }

    /// Weighted sum of rows: `weights · inverse`.
    pub(crate) fn weigh(&self, weights: &[f64]) -> Vec<f64> {
        let heavy: Vec<(usize, f64)> = weights
            .iter()
            .copied()
            .enumerate()
            .filter(|&(_, weight)| weight != 0.0)
            .collect();
        (0..self.size)
            .map(|k| {
                let column = self.column(k);
                heavy.iter().map(|&(i, weight)| weight * column[i]).sum()
            })
            .collect()
    }

    /// Basis position r takes a column whose image under the inverse is `alpha`.
    pub(crate) fn pivot(&mut self, r: usize, alpha: &[f64]) {
        let touched: Vec<(usize, f64)> = alpha
            .iter()
            .copied()
            .enumerate()
            .filter(|&(i, a)| i != r && a != 0.0)
            .collect();
        let sparse = touched.len() * 3 < self.size;
        for column in self.cells.chunks_exact_mut(self.size) {
            let factor = column[r] / alpha[r];
            if factor == 0.0 {
                continue;
            }
            if sparse {
                for &(i, a) in &touched {
                    column[i] -= a * factor;
                }
            } else {
                for (cell, a) in column.iter_mut().zip(alpha) {
                    *cell -= a * factor;
                }
            }
            column[r] = factor;
        }
    }

    /// A new last row whose coefficients on the basic columns are `on_basis`, with its own logical basic.
    pub(crate) fn grow(&mut self, on_basis: &[f64]) {
        let old = self.size;
        let last: Vec<f64> = self.weigh(on_basis);
        let mut cells = Vec::with_capacity((old + 1) * (old + 1));
        for (k, bottom) in last.iter().enumerate() {
            cells.extend_from_slice(self.column(k));
            cells.push(-bottom);
        }
        cells.resize((old + 1) * (old + 1), 0.0);
        cells[(old + 1) * (old + 1) - 1] = 1.0;
        self.size = old + 1;
        self.cells = cells;
    }

    /// Takes out row `position` and the last column: the last row's logical was basic there.
    pub(crate) fn shrink(&mut self, position: usize) {
        let old = self.size;
        let mut cells = Vec::with_capacity((old - 1) * (old - 1));
        for k in 0..old - 1 {
            let column = self.column(k);
            cells.extend_from_slice(&column[..position]);
            cells.extend_from_slice(&column[position + 1..]);
        }
        self.size = old - 1;
        self.cells = cells;
    }
}
