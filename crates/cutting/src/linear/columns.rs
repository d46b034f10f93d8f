//! The columns, packed one after another.

/// Sparse columns with cost and bounds.
#[derive(Clone, Debug)]
pub(crate) struct Columns {
    /// Where each column's entries start; one more than there are columns.
    starts: Vec<usize>,
    rows: Vec<u32>,
    values: Vec<f64>,
    costs: Vec<f64>,
    bounds: Vec<(f64, f64)>,
}

impl Default for Columns {
    fn default() -> Self {
        Self {
            starts: vec![0],
            rows: Vec::new(),
            values: Vec::new(),
            costs: Vec::new(),
            bounds: Vec::new(),
        }
    }
}

impl Columns {
    pub(crate) fn len(&self) -> usize {
        self.costs.len()
    }

    pub(crate) fn cost(&self, column: usize) -> f64 {
        self.costs[column]
    }

    pub(crate) fn set_cost(&mut self, column: usize, cost: f64) {
        self.costs[column] = cost;
    }

    pub(crate) fn bounds(&self, column: usize) -> (f64, f64) {
        self.bounds[column]
    }

    pub(crate) fn set_bounds(&mut self, column: usize, lower: f64, upper: f64) {
        self.bounds[column] = (lower, upper);
    }

    /// The middle of the costs in size, at least one: the scale of the reduced costs. A few dear
    /// stand-ins do not coarsen it.
    pub(crate) fn cost_scale(&self) -> f64 {
        let mut sizes: Vec<f64> = self.costs.iter().map(|c| c.abs()).collect();
        if sizes.is_empty() {
            return 1.0;
        }
        let middle = sizes.len() / 2;
        let (_, median, _) = sizes.select_nth_unstable_by(middle, f64::total_cmp);
        median.max(1.0)
    }

    /// The entries of a column as (row, coefficient).
    pub(crate) fn entries(&self, column: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let range = self.starts[column]..self.starts[column + 1];
        let rows = &self.rows[range.clone()];
        rows.iter()
            .map(|&row| row as usize)
            .zip(self.values[range].iter().copied())
    }

    /// The number of entries of a column.
    pub(crate) fn count(&self, column: usize) -> usize {
        self.starts[column + 1] - self.starts[column]
    }

    /// The scalar product of a column with one number per row.
    pub(crate) fn dot(&self, column: usize, by_row: &[f64]) -> f64 {
        let range = self.starts[column]..self.starts[column + 1];
        let mut sum = 0.0;
        for (&row, &value) in self.rows[range.clone()].iter().zip(&self.values[range]) {
            sum += by_row[row as usize] * value;
        }
        sum
    }

    pub(crate) fn add(&mut self, cost: f64, entries: &[(usize, f64)]) -> usize {
        for &(row, value) in entries {
            self.rows.push(row as u32);
            self.values.push(value);
        }
        self.starts.push(self.rows.len());
        self.costs.push(cost);
        self.bounds.push((0.0, f64::INFINITY));
        self.costs.len() - 1
    }

    /// Puts the entries of a new row at the end of their columns.
    pub(crate) fn add_row(&mut self, row: usize, entries: &[(usize, f64)]) {
        if entries.is_empty() {
            return;
        }
        let mut new = vec![0.0; self.len()];
        for &(column, value) in entries {
            new[column] = value;
        }
        let fresh = self.rows.len() + entries.len();
        let fresh = self.empty_copy(fresh);
        let old = std::mem::replace(self, fresh);
        for (column, &value) in new.iter().enumerate() {
            let range = old.starts[column]..old.starts[column + 1];
            self.rows.extend_from_slice(&old.rows[range.clone()]);
            self.values.extend_from_slice(&old.values[range]);
            if value != 0.0 {
                self.rows.push(row as u32);
                self.values.push(value);
            }
            self.starts.push(self.rows.len());
        }
    }

    /// Takes the entries of the last row away; they stand last in their columns.
    pub(crate) fn drop_row(&mut self, row: usize) {
        let fresh = self.empty_copy(self.rows.len());
        let old = std::mem::replace(self, fresh);
        for column in 0..self.costs.len() {
            for at in old.starts[column]..old.starts[column + 1] {
                if old.rows[at] as usize != row {
                    self.rows.push(old.rows[at]);
                    self.values.push(old.values[at]);
                }
            }
            self.starts.push(self.rows.len());
        }
    }

    /// The same costs and bounds, room for so many entries, and none of them.
    fn empty_copy(&mut self, room: usize) -> Self {
        let mut starts = Vec::with_capacity(self.starts.len());
        starts.push(0);
        Self {
            starts,
            rows: Vec::with_capacity(room),
            values: Vec::with_capacity(room),
            costs: std::mem::take(&mut self.costs),
            bounds: std::mem::take(&mut self.bounds),
        }
    }
}
