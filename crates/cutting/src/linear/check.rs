//! The checker: holds values and duals against the rows and columns alone.

use thiserror::Error;

use super::{Programme, Sense};

/// What is wrong with an answer that claims to be optimal.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum Fault {
    /// A row's sum is on the wrong side of its right side.
    #[error("row {row}: sum {sum} against {right}")]
    Row {
        /// The row.
        row: usize,
        /// Its sum.
        sum: f64,
        /// Its right side.
        right: f64,
    },
    /// A value is outside its bounds.
    #[error("column {column}: value {value} outside its bounds")]
    Bound {
        /// The column.
        column: usize,
        /// Its value.
        value: f64,
    },
    /// A dual has the wrong sign for its row.
    #[error("row {row}: dual {dual} has the wrong sign")]
    Sign {
        /// The row.
        row: usize,
        /// Its dual.
        dual: f64,
    },
    /// A reduced cost has the wrong sign where its column stands, or a dual is not zero on a slack row.
    #[error("complementary slackness broken by {amount} at {place}")]
    Slackness {
        /// Row or column, in words.
        place: String,
        /// The product that should be zero.
        amount: f64,
    },
    /// The two objectives differ.
    #[error("primal {primal} and dual {dual} objectives differ")]
    Gap {
        /// Cost of the values.
        primal: f64,
        /// Worth of the right sides and bounds at the duals.
        dual: f64,
    },
}

/// Whether the programme's values and duals prove each other optimal, each number to within `tolerance`.
pub fn check(programme: &Programme, tolerance: f64) -> Result<(), Fault> {
    let values = programme.values();
    let sums = row_sums(programme, &values);
    check_bounds(programme, &values, tolerance)?;
    check_rows(programme, &sums, tolerance)?;
    let dual = check_columns(programme, &values, tolerance)?
        + programme
            .rows
            .iter()
            .zip(programme.duals())
            .map(|(row, dual)| row.right * dual)
            .sum::<f64>();
    let primal = programme.value();
    if (primal - dual).abs() > tolerance * (1.0 + primal.abs()) {
        return Err(Fault::Gap { primal, dual });
    }
    Ok(())
}

fn row_sums(programme: &Programme, values: &[f64]) -> Vec<f64> {
    let mut sums = vec![0.0; programme.rows.len()];
    for (column, value) in values.iter().enumerate() {
        for (row, coefficient) in programme.columns.entries(column) {
            sums[row] += coefficient * value;
        }
    }
    sums
}

fn check_bounds(programme: &Programme, values: &[f64], tolerance: f64) -> Result<(), Fault> {
    for (column, &value) in values.iter().enumerate() {
        let (lower, upper) = programme.bounds(column);
        if value < lower - tolerance || value > upper + tolerance || value.is_nan() {
            return Err(Fault::Bound { column, value });
        }
    }
    Ok(())
}

fn check_rows(programme: &Programme, sums: &[f64], tolerance: f64) -> Result<(), Fault> {
    for (row, (rule, &sum)) in programme.rows.iter().zip(sums).enumerate() {
        let dual = programme.duals()[row];
        let over = sum - rule.right;
        let scaled = tolerance * (1.0 + rule.right.abs());
        let (broken, sign) = match rule.sense {
            Sense::AtLeast => (over < -scaled, dual < -tolerance),
            Sense::Equal => (over.abs() > scaled, false),
            Sense::AtMost => (over > scaled, dual > tolerance),
        };
        if broken || sum.is_nan() {
            let right = rule.right;
            return Err(Fault::Row { row, sum, right });
        }
        if sign {
            return Err(Fault::Sign { row, dual });
        }
        if (dual * over).abs() > scaled * (1.0 + dual.abs()) {
            return Err(Fault::Slackness {
                place: format!("row {row}"),
                amount: dual * over,
            });
        }
    }
    Ok(())
}

/// Checks each reduced cost where its column stands; returns the worth of the bounds at the reduced costs.
fn check_columns(programme: &Programme, values: &[f64], tolerance: f64) -> Result<f64, Fault> {
    let mut worth = 0.0;
    for (column, &value) in values.iter().enumerate() {
        let (lower, upper) = programme.bounds(column);
        let reduced = programme.reduced_cost(column);
        let bound = if reduced > 0.0 { lower } else { upper };
        let off = if reduced.abs() <= tolerance {
            0.0
        } else {
            reduced * (value - bound)
        };
        if off.abs() > tolerance * (1.0 + reduced.abs()) {
            return Err(Fault::Slackness {
                place: format!("column {column}"),
                amount: off,
            });
        }
        if bound.is_finite() {
            worth += reduced * bound;
        }
    }
    Ok(worth)
}
