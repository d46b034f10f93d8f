//! Gaussian elimination of one block, pivots of least fill first.

use std::collections::BTreeSet;

/// A pivot must be at least this share of the largest entry left in its row.
const THRESHOLD: f64 = 0.1;
/// How many of the shortest rows are searched for a pivot (Zlatev 1980, from memory).
const ROWS_SEARCHED: usize = 4;
/// A pivot below this, in a block whose rows and columns were scaled to one, counts as none.
const NO_PIVOT: f64 = 1e-13;

/// The power of two nearest below a number: scaling by it costs no rounding.
fn power_of_two(value: f64) -> f64 {
    libm::exp2(libm::floor(libm::log2(value)))
}

/// Gaussian elimination of one block, in progress.
pub(super) struct Elimination {
    /// Rows still to be eliminated lose their pivot columns; finished rows keep what follows.
    rows: Vec<Vec<(usize, f64)>>,
    right: Vec<f64>,
    /// Rows that may hold a column; a superset, since cancelled entries are not hunted down.
    holders: Vec<Vec<usize>>,
    /// Unfinished rows by length.
    by_length: BTreeSet<(usize, usize)>,
    finished: Vec<bool>,
    column_scale: Vec<f64>,
    merged: Vec<(usize, f64)>,
}

impl Elimination {
    /// Scales columns, then rows, to a largest entry near one. None if a row or column is empty.
    pub(super) fn new(mut rows: Vec<Vec<(usize, f64)>>, mut right: Vec<f64>) -> Option<Self> {
        let order = rows.len();
        let mut largest = vec![0.0_f64; order];
        for &(column, value) in rows.iter().flatten() {
            largest[column] = largest[column].max(value.abs());
        }
        if largest.iter().any(|&l| l == 0.0 || !l.is_finite()) {
            return None;
        }
        let column_scale: Vec<f64> = largest.iter().map(|&l| 1.0 / power_of_two(l)).collect();
        let mut holders = vec![Vec::new(); order];
        let mut by_length = BTreeSet::new();
        for (index, row) in rows.iter_mut().enumerate() {
            row.retain(|cell| cell.1 != 0.0);
            for cell in row.iter_mut() {
                cell.1 *= column_scale[cell.0];
            }
            let top = row.iter().fold(0.0_f64, |top, cell| top.max(cell.1.abs()));
            if top == 0.0 {
                return None;
            }
            let scale = 1.0 / power_of_two(top);
            for cell in row.iter_mut() {
                cell.1 *= scale;
            }
            right[index] *= scale;
            for cell in row.iter() {
                holders[cell.0].push(index);
            }
            by_length.insert((row.len(), index));
        }
        let finished = vec![false; order];
        let merged = Vec::new();
        Some(Self {
            rows,
            right,
            holders,
            by_length,
            finished,
            column_scale,
            merged,
        })
    }

    /// Eliminates all rows and substitutes back; none if the block is singular.
    pub(super) fn run(mut self) -> Option<Vec<f64>> {
        let mut order = Vec::with_capacity(self.rows.len());
        while !self.by_length.is_empty() {
            let (row, column) = self.pivot()?;
            self.by_length.remove(&(self.rows[row].len(), row));
            self.finished[row] = true;
            self.clear_column(row, column);
            order.push((row, column));
        }
        Some(self.substitute_back(&order))
    }

    /// The cheapest pivot that is large enough in its row, by Markowitz's count of fill.
    fn pivot(&self) -> Option<(usize, usize)> {
        let mut best: Option<(usize, f64, usize, usize)> = None;
        for &(length, row) in self.by_length.iter().take(ROWS_SEARCHED) {
            let cells = &self.rows[row];
            let top = cells
                .iter()
                .fold(0.0_f64, |top, cell| top.max(cell.1.abs()));
            if top < NO_PIVOT {
                return None;
            }
            for &(column, value) in cells.iter().filter(|cell| cell.1.abs() >= THRESHOLD * top) {
                let cost = (length - 1) * (self.holders[column].len().max(1) - 1);
                let better = best.is_none_or(|(least, size, ..)| {
                    cost < least || (cost == least && value.abs() > size)
                });
                if better {
                    best = Some((cost, value.abs(), row, column));
                }
            }
            if length == 1 {
                break;
            }
        }
        best.map(|(_, _, row, column)| (row, column))
    }

    fn clear_column(&mut self, pivot_row: usize, column: usize) {
        let pivot_cells = std::mem::take(&mut self.rows[pivot_row]);
        let pivot_right = self.right[pivot_row];
        let pivot = cell_of(&pivot_cells, column);
        for row in std::mem::take(&mut self.holders[column]) {
            if self.finished[row] {
                continue;
            }
            let value = cell_of(&self.rows[row], column);
            if value == 0.0 {
                continue;
            }
            let factor = value / pivot;
            let before = self.rows[row].len();
            self.subtract(row, &pivot_cells, factor, column);
            self.right[row] -= factor * pivot_right;
            self.by_length.remove(&(before, row));
            self.by_length.insert((self.rows[row].len(), row));
        }
        // Columns of the finished row are held by one row fewer, which Markowitz's count must see.
        for &(other, _) in &pivot_cells {
            self.holders[other].retain(|&row| row != pivot_row);
        }
        self.rows[pivot_row] = pivot_cells;
    }

    /// `row -= factor * pivot_cells`, dropping the eliminated column.
    fn subtract(&mut self, row: usize, pivot_cells: &[(usize, f64)], factor: f64, dropped: usize) {
        let mut merged = std::mem::take(&mut self.merged);
        merged.clear();
        let mut own = self.rows[row].iter().copied().peekable();
        for &(column, value) in pivot_cells {
            while let Some(cell) = own.next_if(|cell| cell.0 < column) {
                merged.push(cell);
            }
            let change = -factor * value;
            match own.next_if(|cell| cell.0 == column) {
                _ if column == dropped => {}
                Some(cell) => merged.push((column, cell.1 + change)),
                None => {
                    merged.push((column, change));
                    self.holders[column].push(row);
                }
            }
        }
        merged.extend(own);
        self.merged = std::mem::replace(&mut self.rows[row], merged);
    }

    fn substitute_back(self, order: &[(usize, usize)]) -> Vec<f64> {
        let mut found = vec![0.0; self.rows.len()];
        for &(row, column) in order.iter().rev() {
            let mut rest = self.right[row];
            let mut pivot = 1.0;
            for &(other, value) in &self.rows[row] {
                if other == column {
                    pivot = value;
                } else {
                    rest -= value * found[other];
                }
            }
            found[column] = rest / pivot;
        }
        found
            .iter()
            .zip(&self.column_scale)
            .map(|(value, scale)| value * scale)
            .collect()
    }
}

/// The value a sorted row holds in a column.
fn cell_of(row: &[(usize, f64)], column: usize) -> f64 {
    row.binary_search_by_key(&column, |cell| cell.0)
        .map_or(0.0, |at| row[at].1)
}
