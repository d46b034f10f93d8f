//! What is wrong with a question, before any of it is worked out.

/// A question that has no answer in physics or in this engine.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Fault {
    /// A number that must be above zero is not, or is no number.
    #[error("expected {} {what} above zero, found {found}", article(what))]
    NotPositive {
        /// What it is: `thickness`, `dwell`.
        what: &'static str,
        /// The number.
        found: f64,
    },
    /// A number lies outside what is possible.
    #[error(
        "expected {} {what} from {low} to {high}, found {found}",
        article(what)
    )]
    OutOfRange {
        /// What it is.
        what: &'static str,
        /// The number.
        found: f64,
        /// The least possible.
        low: f64,
        /// The greatest possible.
        high: f64,
    },
    /// A curve does not rise, or has too few points.
    #[error("expected {what} to rise with temperature, found {found} after {before}")]
    NotRising {
        /// What it is.
        what: &'static str,
        /// The value before.
        before: f64,
        /// The value that does not rise.
        found: f64,
    },
    /// Something is missing altogether.
    #[error("expected at least one {0}, found none")]
    Missing(&'static str),
    /// The question asks for what cannot happen.
    #[error("cannot {asked}: {why}")]
    Impossible {
        /// What was asked.
        asked: &'static str,
        /// Why it cannot be, in words with its numbers.
        why: String,
    },
    /// The engine found no answer to the accuracy asked for.
    #[error("cannot follow the temperatures to {wanted} K: {why}")]
    NotConverged {
        /// The accuracy wanted, K.
        wanted: f64,
        /// Why, in words.
        why: String,
    },
}

/// `a thickness`, `an absolute temperature`.
fn article(what: &str) -> &'static str {
    if what.starts_with(['a', 'e', 'i', 'o', 'u']) {
        "an"
    } else {
        "a"
    }
}

/// The number itself if it is above zero and finite.
pub(crate) fn positive(what: &'static str, found: f64) -> Result<f64, Fault> {
    if found > 0.0 && found.is_finite() {
        Ok(found)
    } else {
        Err(Fault::NotPositive { what, found })
    }
}

/// The number itself if it lies in the range, ends included.
pub(crate) fn within(what: &'static str, found: f64, low: f64, high: f64) -> Result<f64, Fault> {
    if (low..=high).contains(&found) {
        Ok(found)
    } else {
        Err(Fault::OutOfRange {
            what,
            found,
            low,
            high,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn faults_read_as_english() {
        let of = |what| positive(what, 0.0).unwrap_err().to_string();
        assert_eq!(
            of("absolute temperature"),
            "expected an absolute temperature above zero, found 0"
        );
        assert_eq!(of("thickness"), "expected a thickness above zero, found 0");
    }
}
