//! Headline figures: what one can ask the reason of, by name.

use std::collections::BTreeMap;

use serde::Serialize;
use works::Sources;

use crate::reason::{Ledger, Line, NodeId, Shown};

/// A headline figure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figure {
    /// What one asks for: "ash plank to buy".
    pub key: String,
    /// What a heading calls it.
    pub label: String,
    /// Its derivation.
    pub node: NodeId,
    /// How it is shown.
    pub unit: Shown,
    /// Its value, base units.
    pub value: f64,
    /// A low value, base units, where it is uncertain.
    pub low: Option<f64>,
    /// A high value, base units.
    pub high: Option<f64>,
    /// The odds that it suffices or holds, 0 to 1.
    pub odds: Option<f64>,
}

/// All headline figures of a plan, by key.
#[derive(Clone, Debug, Default, Serialize)]
#[serde(transparent)]
pub struct Figures {
    list: Vec<Figure>,
    #[serde(skip)]
    by_key: BTreeMap<String, usize>,
}

impl Figures {
    /// Adds a figure whose value and unit are those of its node. A key that is taken gets a number.
    pub fn add(&mut self, ledger: &Ledger, key: &str, label: &str, node: NodeId) -> &mut Figure {
        let at = self.list.len();
        let key = self.free_key(key);
        self.by_key.insert(key.to_lowercase(), at);
        self.list.push(Figure {
            key,
            label: label.to_owned(),
            node,
            unit: ledger.node(node).unit.clone(),
            value: ledger.value(node),
            low: None,
            high: None,
            odds: None,
        });
        &mut self.list[at]
    }

    fn free_key(&self, key: &str) -> String {
        let taken = |key: &str| self.by_key.contains_key(&key.to_lowercase());
        if !taken(key) {
            return key.to_owned();
        }
        let numbered = (2_usize..).map(|n| format!("{key} ({n})"));
        numbered
            .into_iter()
            .find(|key| !taken(key))
            .unwrap_or_default()
    }

    /// A figure by its key; case does not matter.
    pub fn get(&self, key: &str) -> Option<&Figure> {
        self.by_key
            .get(&key.trim().to_lowercase())
            .map(|&at| &self.list[at])
    }

    /// Every figure, in the order they were added.
    pub fn iter(&self) -> impl Iterator<Item = &Figure> {
        self.list.iter()
    }

    /// Keys near to what was asked, best first: those that hold all its words, then those that are
    /// spelt alike.
    pub fn nearest(&self, asked: &str) -> Vec<&str> {
        let asked = asked.trim().to_lowercase();
        let mut ranked: Vec<(usize, &str)> = self
            .list
            .iter()
            .filter_map(|figure| {
                Some((distance(&asked, &figure.key.to_lowercase())?, &*figure.key))
            })
            .collect();
        ranked.sort_unstable();
        ranked.into_iter().take(5).map(|(_, key)| key).collect()
    }
}

/// How far a key is from what was asked; `None` when there is no likeness.
fn distance(asked: &str, key: &str) -> Option<usize> {
    if !asked.is_empty() && asked.split_whitespace().all(|word| key.contains(word)) {
        return Some(key.len().abs_diff(asked.len()) / 4);
    }
    let edits = strsim::osa_distance(asked, key);
    (edits * 5 <= asked.chars().count().max(5) * 2).then_some(edits + 10)
}

/// No figure has the key that was asked for.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("no figure is called `{asked}`")]
pub struct NoSuchFigure {
    /// What was asked.
    pub asked: String,
    /// Keys that are near to it, best first.
    pub nearest: Vec<String>,
}

/// The derivation of one figure as lines, `depth` levels deep.
pub fn why(
    ledger: &Ledger,
    figures: &Figures,
    sources: &Sources,
    key: &str,
    depth: usize,
) -> Result<Vec<Line>, NoSuchFigure> {
    match figures.get(key) {
        Some(figure) => Ok(ledger.tree(figure.node, depth, sources)),
        None => Err(NoSuchFigure {
            asked: key.to_owned(),
            nearest: figures
                .nearest(key)
                .into_iter()
                .map(str::to_owned)
                .collect(),
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reason::Source;

    #[test]
    fn found_by_key_or_nearly() {
        let mut ledger = Ledger::default();
        let node = ledger.given("x", 1.0, Shown::plain(), Source::assumed("test"));
        let mut figures = Figures::default();
        figures.add(&ledger, "ash plank to buy", "ash plank", node);
        figures.add(&ledger, "paper tube to buy", "paper tube", node);
        assert_eq!(figures.get("Ash plank to buy").unwrap().label, "ash plank");
        assert_eq!(figures.nearest("ash plnak to buy"), ["ash plank to buy"]);
        assert_eq!(figures.nearest("tube"), ["paper tube to buy"]);
        assert!(figures.nearest("oven hours").is_empty());
        let fault = why(&ledger, &figures, &Sources::default(), "plank", 3).unwrap_err();
        assert_eq!(fault.nearest, ["ash plank to buy"]);
    }

    #[test]
    fn a_taken_key_is_numbered() {
        let mut ledger = Ledger::default();
        let node = ledger.given("x", 1.0, Shown::plain(), Source::assumed("test"));
        let mut figures = Figures::default();
        figures.add(&ledger, "a", "a", node);
        assert_eq!(figures.add(&ledger, "a", "a", node).key, "a (2)");
    }
}
