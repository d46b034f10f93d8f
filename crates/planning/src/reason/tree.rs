//! The derivation of a figure as an indented tree.

use std::collections::BTreeSet;
use std::fmt;

use serde::Serialize;
use works::Sources;

use super::{Ledger, NodeId, Rule, Shown, Source};

/// One line of a derivation.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Line {
    /// How far in it stands.
    pub depth: usize,
    /// The node it shows.
    pub node: NodeId,
    /// What it is.
    pub name: String,
    /// Its value and unit.
    pub value: String,
    /// The formula over names.
    pub formula: Option<String>,
    /// The formula over numbers, where it says more than the names.
    pub numbers: Option<String>,
    /// Where it is from: a place, a fit, an assumption, a citation.
    pub source: Option<String>,
    /// Whether its own derivation stands further up.
    pub repeated: bool,
    /// Whether there is more below than the depth asked for.
    pub cut: bool,
}

impl fmt::Display for Line {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let indent = "  ".repeat(self.depth);
        write!(f, "{indent}{} = {}", self.name, self.value)?;
        if self.repeated {
            return write!(f, "  (see above)");
        }
        if let Some(formula) = &self.formula {
            write!(f, "\n{indent}    = {formula}")?;
        }
        if let Some(numbers) = &self.numbers {
            write!(f, "\n{indent}    = {numbers}")?;
        }
        if let Some(source) = &self.source {
            write!(f, "\n{indent}    {source}")?;
        }
        if self.cut {
            write!(f, "\n{indent}    …")?;
        }
        Ok(())
    }
}

impl Ledger {
    /// The derivation of a node, `depth` levels deep. A node met again is referred to, not repeated;
    /// long rows of inputs (every order of a year) are cut after the first dozen.
    pub fn tree(&self, id: NodeId, depth: usize, sources: &Sources) -> Vec<Line> {
        let mut lines = Vec::new();
        let mut seen = BTreeSet::new();
        let mut stack = vec![(id, 0_usize)];
        while let Some((id, at)) = stack.pop() {
            let inputs = self.inputs(id);
            let repeated = !seen.insert(id) && !inputs.is_empty();
            let cut = !repeated && (at >= depth && !inputs.is_empty() || inputs.len() > ROW);
            lines.push(self.line(id, at, repeated, cut, sources));
            if !repeated && at < depth {
                let row = inputs.iter().take(ROW).rev();
                stack.extend(row.map(|&input| (input, at + 1)));
            }
        }
        lines
    }

    fn line(&self, id: NodeId, depth: usize, repeated: bool, cut: bool, sources: &Sources) -> Line {
        let node = self.node(id);
        let (formula, numbers) = if repeated {
            (None, None)
        } else {
            self.formula_words(id)
        };
        Line {
            depth,
            node: id,
            name: node.name.to_string(),
            value: amount(node.value, &node.unit),
            formula,
            numbers,
            source: if repeated {
                None
            } else {
                self.source_words(id, sources)
            },
            repeated,
            cut,
        }
    }

    /// The formula over names and over numbers.
    fn formula_words(&self, id: NodeId) -> (Option<String>, Option<String>) {
        let node = self.node(id);
        if matches!(node.rule, Rule::Given) {
            return (None, None);
        }
        let inputs = self.inputs(id);
        let names: Vec<String> = inputs
            .iter()
            .map(|&i| self.node(i).name.to_string())
            .collect();
        let values: Vec<String> = inputs
            .iter()
            .map(|&i| amount(self.node(i).value, &self.node(i).unit))
            .collect();
        let words = node.rule.words(&names);
        let numbers = node.rule.words(&values);
        // A formula's words stand for themselves; a single input says its number on its own line.
        let told = matches!(node.rule, Rule::Formula(_) | Rule::Engine(_) | Rule::Same);
        (Some(words), (!told).then_some(numbers))
    }

    /// Where a node is from, in words.
    pub(crate) fn source_words(&self, id: NodeId, sources: &Sources) -> Option<String> {
        let node = self.node(id);
        let words = match &node.source {
            Source::Stated {
                at,
                note: Some(note),
            } => {
                format!("stated in {} ({note})", sources.place(*at))
            }
            Source::Stated { at, note: None } => format!("stated in {}", sources.place(*at)),
            Source::Measured { readings, how, at } => {
                let place = at
                    .map(|at| format!(", {}", sources.place(at)))
                    .unwrap_or_default();
                format!("measured: {readings} readings, {how}{place}")
            }
            Source::Assumed { why } => format!("assumed: {why}"),
            Source::Computed { note } => return computed(node.solved, note.as_deref(), &node.rule),
        };
        Some(words)
    }
}

/// Most inputs of one node that a tree shows.
const ROW: usize = 12;

fn computed(solved: bool, note: Option<&str>, rule: &Rule) -> Option<String> {
    let mut parts = Vec::new();
    if solved {
        parts.push("solved together with the levels it depends on".to_owned());
    }
    parts.extend(note.map(str::to_owned));
    parts.extend(rule.cite().map(|cite| format!("after {cite}")));
    (!parts.is_empty()).then(|| parts.join("; "))
}

/// A value with its unit.
fn amount(base: f64, unit: &Shown) -> String {
    let value = number(unit.of(base));
    match &*unit.symbol {
        "" => value,
        symbol => format!("{value} {symbol}"),
    }
}

/// A number as people read it: four figures, more only for whole numbers, thousands apart. From a
/// thousand on a number that is not whole keeps one decimal, so that it does not look whole.
pub fn number(value: f64) -> String {
    if !value.is_finite() {
        return if value.is_nan() {
            "not known".into()
        } else {
            "without limit".into()
        };
    }
    let size = value.abs();
    if size > 0.0 && !(1e-6..1e15).contains(&size) {
        return format!("{value:.3e}");
    }
    let whole = (value - value.round()).abs() <= 1e-9 * size.max(1.0) && size >= 1.0;
    let figures = if size > 0.0 {
        size.log10().floor() as i32
    } else {
        0
    };
    let decimals = if whole {
        0
    } else {
        (3 - figures).clamp(1, 9) as usize
    };
    let text = format!("{size:.decimals$}");
    let (before, after) = text.split_once('.').unwrap_or((&text, ""));
    let after = after.trim_end_matches('0');
    let sign = if value < 0.0 && text.bytes().any(|b| (b'1'..=b'9').contains(&b)) {
        "−"
    } else {
        ""
    };
    let point = if after.is_empty() { "" } else { "." };
    format!("{sign}{}{point}{after}", thousands(before))
}

/// Digits with a comma between thousands.
fn thousands(digits: &str) -> String {
    let mut text = String::with_capacity(digits.len() + digits.len() / 3);
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}
