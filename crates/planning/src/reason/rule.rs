//! The rules by which one figure follows from others, and their evaluation.

use std::fmt;
use std::sync::Arc;

/// How a value follows from its inputs, in their order.
#[derive(Clone, Debug)]
pub enum Rule {
    /// It does not: the value is a leaf.
    Given,
    /// The first input itself; any others are shown because they led to choosing it.
    Same,
    /// All inputs added up.
    Sum,
    /// The first less all others.
    Difference,
    /// All inputs multiplied.
    Product,
    /// The first divided by each of the others.
    Quotient,
    /// The largest.
    Max,
    /// The smallest.
    Min,
    /// The first rounded up to whole multiples of the second.
    CeilTo,
    /// One less the input.
    Complement,
    /// The first raised to the second.
    Power,
    /// The square root.
    Root,
    /// The input, or zero when it is below.
    Positive,
    /// Pairs of weight and value, multiplied and added up: w1, x1, w2, x2, …
    WeightedSum,
    /// A named formula.
    Formula(&'static Formula),
    /// An engine, run again on the inputs.
    Engine(Arc<dyn Engine>),
}

/// A named formula of plain numbers.
#[derive(Debug)]
pub struct Formula {
    /// Its name in the field ("waiting before a station (VUT)").
    pub name: &'static str,
    /// The formula as one would write it, naming its inputs in order.
    pub words: &'static str,
    /// Author, year, section.
    pub cite: Option<&'static str>,
    /// The value from the inputs, all in base units.
    pub value: fn(&[f64]) -> f64,
}

/// An engine whose answer depends on more than numbers (a list of kinds of step, say).
///
/// The structure lives in the implementor; every number comes through the inputs, so that the
/// answer can be computed again from the derivation alone.
pub trait Engine: fmt::Debug + Send + Sync {
    /// Its name in the field.
    fn name(&self) -> &'static str;
    /// What it does, in one line.
    fn words(&self) -> String;
    /// Author, year, section.
    fn cite(&self) -> Option<&'static str> {
        None
    }
    /// The value from the inputs, all in base units.
    fn value(&self, inputs: &[f64]) -> f64;
}

/// Slack of a count of packs, relative: rounding noise of a product never buys another pack.
const PACK_SLACK: f64 = 1e-9;

impl Rule {
    /// The value of the rule for these inputs; `given` is the value of a leaf.
    pub fn value(&self, inputs: &[f64], given: f64) -> f64 {
        let first = || inputs.first().copied().unwrap_or(f64::NAN);
        let rest = || inputs.iter().skip(1);
        match self {
            Self::Given => given,
            Self::Same => first(),
            Self::Sum => inputs.iter().sum(),
            Self::Difference => first() - rest().sum::<f64>(),
            Self::Product => inputs.iter().product(),
            Self::Quotient => rest().fold(first(), |value, by| value / by),
            Self::Max => inputs.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            Self::Min => inputs.iter().copied().fold(f64::INFINITY, f64::min),
            Self::CeilTo => ceil_to(first(), inputs.get(1).copied().unwrap_or(1.0)),
            Self::Complement => 1.0 - first(),
            Self::Power => first().powf(inputs.get(1).copied().unwrap_or(1.0)),
            Self::Root => first().sqrt(),
            Self::Positive => first().max(0.0),
            Self::WeightedSum => inputs.chunks_exact(2).map(|pair| pair[0] * pair[1]).sum(),
            Self::Formula(formula) => (formula.value)(inputs),
            Self::Engine(engine) => engine.value(inputs),
        }
    }

    /// A short stable name, for machines.
    pub fn name(&self) -> &'static str {
        match self {
            Self::Given => "given",
            Self::Same => "same",
            Self::Sum => "sum",
            Self::Difference => "difference",
            Self::Product => "product",
            Self::Quotient => "quotient",
            Self::Max => "largest",
            Self::Min => "smallest",
            Self::CeilTo => "rounded up to whole",
            Self::Complement => "complement",
            Self::Power => "power",
            Self::Root => "square root",
            Self::Positive => "not below zero",
            Self::WeightedSum => "weighted sum",
            Self::Formula(formula) => formula.name,
            Self::Engine(engine) => engine.name(),
        }
    }

    /// Author, year and section of the rule, where it has them.
    pub fn cite(&self) -> Option<&'static str> {
        match self {
            Self::Formula(formula) => formula.cite,
            Self::Engine(engine) => engine.cite(),
            _ => None,
        }
    }

    /// The rule written out over the terms of its inputs ("a × b").
    pub fn words(&self, terms: &[String]) -> String {
        let first = || terms.first().cloned().unwrap_or_default();
        let second = || terms.get(1).cloned().unwrap_or_default();
        match self {
            Self::Given => String::new(),
            Self::Same => first(),
            Self::Sum => long(terms, " + "),
            Self::Difference => long(terms, " − "),
            Self::Product => long(terms, " × "),
            Self::Quotient => long(terms, " ÷ "),
            Self::Max => format!("largest of {}", long(terms, ", ")),
            Self::Min => format!("smallest of {}", long(terms, ", ")),
            Self::CeilTo => format!("{} rounded up to whole {}", first(), second()),
            Self::Complement => format!("1 − {}", first()),
            Self::Power => format!("{} ^ {}", first(), second()),
            Self::Root => format!("√ {}", first()),
            Self::Positive => format!("{}, not below 0", first()),
            Self::WeightedSum => {
                let pairs: Vec<String> = terms
                    .chunks_exact(2)
                    .map(|pair| format!("{} × {}", pair[0], pair[1]))
                    .collect();
                long(&pairs, " + ")
            }
            Self::Formula(formula) => format!("{}: {}", formula.name, formula.words),
            Self::Engine(engine) => format!("{}: {}", engine.name(), engine.words()),
        }
    }
}

/// Terms joined, the middle of a long row left out.
fn long(terms: &[String], with: &str) -> String {
    const SHOWN: usize = 6;
    if terms.len() <= SHOWN {
        return terms.join(with);
    }
    let left_out = terms.len() - SHOWN + 1;
    format!("{}{with}… ({left_out} more)", terms[..SHOWN - 1].join(with))
}

/// The amount in whole packs. A pack of nothing rounds nothing.
pub fn ceil_to(amount: f64, pack: f64) -> f64 {
    if pack <= 0.0 || !pack.is_finite() || !amount.is_finite() {
        return amount;
    }
    let packs = amount / pack;
    (packs - PACK_SLACK * packs.abs().max(1.0)).ceil().max(0.0) * pack
}
