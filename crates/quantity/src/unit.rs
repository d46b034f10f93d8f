//! A unit: its symbol as written, its dimension, and the way to coherent base units.

use crate::Dimension;

/// A unit of measure, count or money, simple or compound.
#[derive(Clone, Debug, PartialEq)]
pub struct Unit {
    symbol: String,
    dimension: Dimension,
    factor: f64,
    /// Base value of zero on this scale: 273.15 for degC, 0 for all but temperature scales.
    offset: f64,
}

impl Unit {
    pub(crate) fn new(symbol: String, dimension: Dimension, factor: f64, offset: f64) -> Self {
        Self {
            symbol,
            dimension,
            factor,
            offset,
        }
    }

    /// The unit of a bare number; its symbol is empty.
    pub fn one() -> Self {
        Self::new(String::new(), Dimension::NONE, 1.0, 0.0)
    }

    /// The coherent base unit of a dimension, for example `kg/m2` or `GBP/each`.
    pub fn base(dimension: &Dimension) -> Self {
        Self::new(dimension.base_symbol(), dimension.clone(), 1.0, 0.0)
    }

    /// As written: `m/min`, `degC`; empty for a bare number.
    pub fn symbol(&self) -> &str {
        &self.symbol
    }

    /// What it measures.
    pub fn dimension(&self) -> &Dimension {
        &self.dimension
    }

    /// A value on this scale in base units.
    pub fn to_base(&self, value: f64) -> f64 {
        value * self.factor + self.offset
    }

    /// A value in base units on this scale.
    pub fn from_base(&self, value: f64) -> f64 {
        (value - self.offset) / self.factor
    }

    /// Base units per one of this unit, for differences: no offset.
    pub fn factor(&self) -> f64 {
        self.factor
    }

    /// True for a temperature scale whose zero is not absolute.
    pub fn has_offset(&self) -> bool {
        self.offset != 0.0
    }

    /// The same unit for differences: degC becomes a size of one kelvin.
    #[must_use]
    pub fn difference(&self) -> Self {
        Self {
            offset: 0.0,
            ..self.clone()
        }
    }

    /// This unit divided by another; temperatures become differences.
    #[must_use]
    pub fn over(&self, other: &Self) -> Self {
        let under = bracketed(&other.symbol, &['/', '.', ' ', '*', '·', '×', '⋅']);
        let symbol = match (self.symbol.as_str(), under.as_str()) {
            (top, "") => top.to_owned(),
            (top, under) => format!("{top}/{under}"),
        };
        let dimension = self.dimension.over(&other.dimension);
        Self::new(symbol, dimension, self.factor / other.factor, 0.0)
    }

    /// This unit times another; temperatures become differences.
    #[must_use]
    pub fn times(&self, other: &Self) -> Self {
        let (a, b) = (
            dividing_bracketed(&self.symbol),
            dividing_bracketed(&other.symbol),
        );
        let join = if a.is_empty() || b.is_empty() {
            ""
        } else {
            "."
        };
        let dimension = self.dimension.times(&other.dimension);
        Self::new(
            format!("{a}{join}{b}"),
            dimension,
            self.factor * other.factor,
            0.0,
        )
    }
}

fn bracketed(symbol: &str, marks: &[char]) -> String {
    if symbol.contains(marks) {
        format!("({symbol})")
    } else {
        symbol.to_owned()
    }
}

/// Brackets a symbol that divides, with a slash or the word.
fn dividing_bracketed(symbol: &str) -> String {
    let divides = symbol.contains('/') || symbol.split_whitespace().any(|word| word == "per");
    if divides {
        format!("({symbol})")
    } else {
        symbol.to_owned()
    }
}

impl serde::Serialize for Unit {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.symbol)
    }
}
