//! The linear programme behind a cutting plan: rows are needs, columns are added as they are found.
//!
//! Minimise `c·x` with one `>=`, `=` or `<=` per row and bounds on each column. The programme is made to be
//! asked again and again: columns may be added, bounds and right sides moved, rows added and dropped, and
//! the next [`Programme::solve`] starts from the basis of the last. It is sized for some hundred rows, up to
//! about a thousand, and tens of thousands of sparse columns.
//!
//! Method: bounded revised simplex with an explicit dense inverse of the basis (Dantzig 1963, ch. 18;
//! Chvátal 1983, ch. 7, 8 and 10): dual simplex where the basis is dual feasible, else primal simplex, whose first
//! phase brings down the sum of infeasibilities (Maros 2003, ch. 9) and whose second prices by reference
//! weights (Devex: Harris 1973). Ratio tests have two passes (Harris 1973); after a long stall Bland's rule (1977) takes over. Everything is floating point: whoever
//! needs a bound that holds exactly must make it from the duals in whole numbers.

mod check;
mod columns;
mod devex;
mod dual;
mod inverse;
mod primal;
mod state;
#[cfg(test)]
mod tests;

use effort::Meter;

pub use check::{Fault, check};
use columns::Columns;
use state::State;

/// How far a value may lie outside its bound and still count as on it.
pub(crate) const FEASIBLE: f64 = 1e-9;
/// Below this a pivot is not trusted.
pub(crate) const PIVOT: f64 = 1e-8;

/// How a row's sum is held against its right side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub enum Sense {
    /// `a·x >= b`; its dual is not negative.
    AtLeast,
    /// `a·x = b`.
    Equal,
    /// `a·x <= b`; its dual is not positive.
    AtMost,
}

/// How a solve ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub enum Outcome {
    /// Values and duals are optimal (to the tolerances of this module).
    Optimal,
    /// No values meet all rows and bounds.
    Infeasible,
    /// The objective has no lower limit.
    Unbounded,
    /// The effort ran out, or the arithmetic could not be trusted any more.
    Stopped,
}

/// One row without its coefficients.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Row {
    pub(crate) sense: Sense,
    pub(crate) right: f64,
}

/// A linear programme that keeps its basis from one solve to the next.
#[derive(Clone, Debug)]
pub struct Programme {
    rows: Vec<Row>,
    columns: Columns,
    state: State,
}

impl Programme {
    /// A programme with these rows and no columns yet.
    pub fn new(rows: &[(Sense, f64)]) -> Self {
        Self {
            rows: (rows.iter())
                .map(|&(sense, right)| Row { sense, right })
                .collect(),
            columns: Columns::default(),
            state: State::of_logicals(rows.len()),
        }
    }

    /// Number of rows.
    pub fn rows(&self) -> usize {
        self.rows.len()
    }

    /// Number of columns.
    pub fn columns(&self) -> usize {
        self.columns.len()
    }

    /// Adds a row over the columns there are, as (column, coefficient) with each column at most once;
    /// returns its index.
    pub fn add_row(&mut self, sense: Sense, right: f64, entries: &[(usize, f64)]) -> usize {
        let row = self.rows.len();
        self.rows.push(Row { sense, right });
        self.columns.add_row(row, entries);
        self.state.row_added(entries);
        row
    }

    /// Drops the rows from this index on. Where they held the basis, others take their place.
    pub fn drop_rows(&mut self, from: usize) {
        while self.rows.len() > from {
            let row = self.rows.len() - 1;
            self.state.drop_last_row(&self.columns);
            self.rows.pop();
            self.columns.drop_row(row);
        }
    }

    /// Adds a column with bounds 0 and infinity, as (row, coefficient) with each row at most once; returns its index.
    pub fn add_column(&mut self, cost: f64, entries: &[(usize, f64)]) -> usize {
        self.state.column_added();
        self.columns.add(cost, entries)
    }

    /// Sets the bounds of a column; the lower one must be finite, the upper one not below it.
    pub fn set_bounds(&mut self, column: usize, lower: f64, upper: f64) {
        debug_assert!(lower.is_finite() && lower <= upper);
        if self.columns.bounds(column) != (lower, upper) {
            self.columns.set_bounds(column, lower, upper);
            self.state.moved(column, upper);
        }
    }

    /// The bounds of a column.
    pub fn bounds(&self, column: usize) -> (f64, f64) {
        self.columns.bounds(column)
    }

    /// Sets the cost of a column.
    pub fn set_cost(&mut self, column: usize, cost: f64) {
        self.columns.set_cost(column, cost);
    }

    /// Sets the right side of a row.
    pub fn set_right(&mut self, row: usize, right: f64) {
        self.rows[row].right = right;
    }

    /// Solves from the basis of the last solve. One pivot is one step of the meter.
    pub fn solve(&mut self, meter: &mut Meter<'_>) -> Outcome {
        state::solve(&self.rows, &self.columns, &mut self.state, meter)
    }

    /// Cost of the values of the last solve.
    pub fn value(&self) -> f64 {
        (0..self.columns())
            .map(|column| self.columns.cost(column) * self.at(column))
            .sum()
    }

    /// Value of one column after the last solve.
    pub fn at(&self, column: usize) -> f64 {
        self.state.value(&self.columns, column)
    }

    /// Values of all columns after the last solve.
    pub fn values(&self) -> Vec<f64> {
        (0..self.columns()).map(|column| self.at(column)).collect()
    }

    /// Duals of all rows after the last solve: what one more on the right side would cost.
    pub fn duals(&self) -> &[f64] {
        self.state.duals()
    }

    /// Cost of a column less what its entries are worth at the duals.
    pub fn reduced_cost(&self, column: usize) -> f64 {
        self.columns.cost(column) - self.columns.dot(column, self.duals())
    }
}
