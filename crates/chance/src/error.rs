//! What can be wrong with the numbers handed to this crate.

/// Why a figure cannot be worked out.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ChanceError {
    /// A sample smaller than the method can use.
    #[error("expected at least {needed} values, found {found}")]
    TooFew {
        /// Least number of values the method needs.
        needed: usize,
        /// Number of values given.
        found: usize,
    },
    /// A value that is infinite or not a number.
    #[error("value {} is {value}, expected a finite number", .index + 1)]
    NotFinite {
        /// Place of the value in the sample, from 0.
        index: usize,
        /// The value itself.
        value: f64,
    },
    /// A value that must be above zero and is not.
    #[error("value {} is {value}, expected a number above zero", .index + 1)]
    NotPositive {
        /// Place of the value in the sample, from 0.
        index: usize,
        /// The value itself.
        value: f64,
    },
    /// Values that are all the same, where a spread is to be fitted.
    #[error("all values are {value}: there is no spread to fit")]
    NoSpread {
        /// The value they share.
        value: f64,
    },
    /// A lot with more good pieces than pieces made.
    #[error("lot {} has {good} good of {made} made", .index + 1)]
    MoreGoodThanMade {
        /// Place of the lot in the table, from 0.
        index: usize,
        /// Pieces made.
        made: u64,
        /// Pieces good.
        good: u64,
    },
    /// A parameter outside the range its formula allows.
    #[error("{what} is {value}, expected {expected}")]
    Parameter {
        /// Which parameter.
        what: &'static str,
        /// The value given.
        value: f64,
        /// The range in words.
        expected: &'static str,
    },
    /// A lot-to-lot spread no share between 0 and 1 can have.
    #[error(
        "lot-to-lot sd {sd} is too large for a mean yield of {mean}: expected below {limit:.4}"
    )]
    LotSpread {
        /// Mean yield.
        mean: f64,
        /// Standard deviation asked for.
        sd: f64,
        /// The largest sd possible, √(mean·(1 − mean)).
        limit: f64,
    },
}

/// Refuses a parameter unless `holds`; NaN fails every comparison and so is refused.
pub(crate) fn require(
    holds: bool,
    what: &'static str,
    value: f64,
    expected: &'static str,
) -> Result<(), ChanceError> {
    if holds {
        Ok(())
    } else {
        Err(ChanceError::Parameter {
            what,
            value,
            expected,
        })
    }
}

/// Refuses a sample that is too small or holds a value that is not finite.
pub(crate) fn require_sample(values: &[f64], needed: usize) -> Result<(), ChanceError> {
    if values.len() < needed {
        return Err(ChanceError::TooFew {
            needed,
            found: values.len(),
        });
    }
    match values.iter().position(|value| !value.is_finite()) {
        Some(index) => Err(ChanceError::NotFinite {
            index,
            value: values[index],
        }),
        None => Ok(()),
    }
}
