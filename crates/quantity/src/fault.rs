//! What can be wrong with a written quantity: kind, place, both sides, repair.

use std::ops::Range;

/// The kind of a fault; [`FaultKind::code`] is stable.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FaultKind {
    /// Nothing but space.
    EmptyQuantity,
    /// No number, or one written in a way that could be misread.
    NotANumber,
    /// A unit that is not in the registry, or a unit text that does not parse.
    UnknownUnit,
    /// A quantity of another dimension than the place needs.
    WrongDimension,
    /// A temperature scale used where only a difference makes sense, or below absolute zero.
    OffsetTemperature,
    /// A range, triple or deviation that is incomplete or out of order.
    BadSpread,
    /// A share below 0 or above 1.
    ShareOutOfRange,
    /// Infinite or too large to hold.
    NotFinite,
    /// A number without the unit it needs.
    MissingUnit,
}

impl FaultKind {
    /// A stable slug for the kind.
    pub fn code(self) -> &'static str {
        match self {
            Self::EmptyQuantity => "empty-quantity",
            Self::NotANumber => "not-a-number",
            Self::UnknownUnit => "unknown-unit",
            Self::WrongDimension => "wrong-dimension",
            Self::OffsetTemperature => "offset-temperature",
            Self::BadSpread => "bad-spread",
            Self::ShareOutOfRange => "share-out-of-range",
            Self::NotFinite => "not-finite",
            Self::MissingUnit => "missing-unit",
        }
    }
}

/// One fault in a written quantity.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{headline}")]
pub struct Fault {
    /// What kind of fault.
    pub kind: FaultKind,
    /// Bytes of the text it concerns; always on character boundaries.
    pub range: Range<usize>,
    /// A sentence that stands alone, without a full stop.
    pub headline: String,
    /// What the place needs.
    pub expected: Option<String>,
    /// What stands there.
    pub found: Option<String>,
    /// A repair, where there is a likely one.
    pub help: Option<String>,
}

impl Fault {
    pub(crate) fn new(kind: FaultKind, range: Range<usize>, headline: impl Into<String>) -> Self {
        let headline = headline.into();
        Self {
            kind,
            range,
            headline,
            expected: None,
            found: None,
            help: None,
        }
    }

    pub(crate) fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    pub(crate) fn sides(mut self, expected: impl Into<String>, found: impl Into<String>) -> Self {
        self.expected = Some(expected.into());
        self.found = Some(found.into());
        self
    }
}
