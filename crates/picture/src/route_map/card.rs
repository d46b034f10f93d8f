//! What stands in a box, and how large the box must be for it.

use super::Node;
use crate::lettering;

pub(super) const LABEL: f64 = 12.0;
pub(super) const SMALL: f64 = 10.5;
const LABEL_LINE: f64 = 15.0;
const SMALL_LINE: f64 = 13.5;

/// The lines of a box.
#[derive(Clone, Debug)]
pub(super) struct Card {
    pub(super) label: Vec<String>,
    pub(super) sub: String,
    pub(super) amount: String,
    /// All words in full, when some had to be cut.
    pub(super) told: String,
    pub(super) width: f64,
    pub(super) height: f64,
}

impl Card {
    pub(super) fn of(node: &Node, width: f64) -> Self {
        let room = width - 18.0;
        let (label, mut cut) = lettering::wrap(&node.label, LABEL, true, room, 3);
        let mut small = |words: &str| {
            let short = lettering::elide(words.trim(), SMALL, false, room);
            cut |= short != words.trim();
            short
        };
        let (sub, amount) = (small(&node.sub), small(&node.amount));
        let lines = |words: &str| if words.is_empty() { 0.0 } else { SMALL_LINE };
        let height = 15.0 + label.len() as f64 * LABEL_LINE + lines(&sub) + lines(&amount);
        let told = if cut {
            let all = [node.label.trim(), node.sub.trim(), node.amount.trim()];
            all.into_iter()
                .filter(|words| !words.is_empty())
                .collect::<Vec<_>>()
                .join(" · ")
        } else {
            String::new()
        };
        Self {
            label,
            sub,
            amount,
            told,
            width,
            height: height.max(34.0),
        }
    }

    /// The lines with the distance of each base line from the top of the box, and whether bold.
    pub(super) fn lines(&self) -> Vec<(&str, f64, bool)> {
        let small = [self.sub.as_str(), self.amount.as_str()];
        let filled = small.iter().filter(|words| !words.is_empty()).count() as f64;
        let text = self.label.len() as f64 * LABEL_LINE + filled * SMALL_LINE;
        let mut top = (self.height - text) / 2.0;
        let mut out = Vec::new();
        for line in &self.label {
            out.push((line.as_str(), top + 11.5, true));
            top += LABEL_LINE;
        }
        for line in small.into_iter().filter(|words| !words.is_empty()) {
            out.push((line, top + 10.0, false));
            top += SMALL_LINE;
        }
        out
    }
}
