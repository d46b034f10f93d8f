//! A complaint about what was written: a fact with places, worded once, rendered at the edge.

use serde::Serialize;

use crate::source::Span;

/// How grave a complaint is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// The works cannot be used as written.
    Fault,
    /// The works can be used, but this is probably not what was meant.
    Warning,
}

/// One complaint.
///
/// Wording: the headline stands alone, lower case, without a full stop: *expected … found …* or
/// *cannot …*. Both sides and the repair are separate so that every output can show them its way.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Diagnostic {
    /// A stable name, listed in [`crate::codes`].
    pub code: &'static str,
    /// Fault or warning.
    pub severity: Severity,
    /// The fault in one line.
    pub headline: String,
    /// Where it stands.
    pub at: Span,
    /// A word or two under the caret.
    pub label: String,
    /// Other places that matter, each with its own words.
    pub others: Vec<(Span, String)>,
    /// What was expected.
    pub expected: Option<String>,
    /// What was found.
    pub found: Option<String>,
    /// What to do about it.
    pub help: Option<String>,
}

impl Diagnostic {
    /// A fault.
    pub fn fault(code: &'static str, at: Span, headline: impl Into<String>) -> Self {
        Self {
            code,
            severity: Severity::Fault,
            headline: headline.into(),
            at,
            label: String::new(),
            others: Vec::new(),
            expected: None,
            found: None,
            help: None,
        }
    }

    /// A warning.
    pub fn warning(code: &'static str, at: Span, headline: impl Into<String>) -> Self {
        Self {
            severity: Severity::Warning,
            ..Self::fault(code, at, headline)
        }
    }

    /// The words under the caret.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = label.into();
        self
    }

    /// Another place.
    #[must_use]
    pub fn other(mut self, at: Span, words: impl Into<String>) -> Self {
        self.others.push((at, words.into()));
        self
    }

    /// Both sides of a disagreement.
    #[must_use]
    pub fn sides(mut self, expected: impl Into<String>, found: impl Into<String>) -> Self {
        self.expected = Some(expected.into());
        self.found = Some(found.into());
        self
    }

    /// What to do about it.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// What to do about it, where there is something to say.
    #[must_use]
    pub fn maybe_help(mut self, help: Option<String>) -> Self {
        self.help = help.or(self.help);
        self
    }
}
