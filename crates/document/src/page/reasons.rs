//! Derivations: one for each headline figure, and links to them from everywhere else.

use std::collections::{BTreeMap, BTreeSet};

use maud::{Markup, html};
use planning::reason::Line;
use planning::{Figure, NodeId};
use works::Sources;

use crate::block::Value;
use crate::table::Ground;

/// Levels of a derivation that the page carries.
const DEPTH: usize = 4;

/// Lines of one derivation that the page carries.
const LINES: usize = 40;

/// Where each headline figure's derivation stands.
pub(crate) struct Reasons<'a> {
    ground: &'a Ground<'a>,
    /// The anchor of each figure, in their order.
    anchors: Vec<String>,
    /// The first figure of a node.
    of_node: BTreeMap<NodeId, usize>,
}

impl<'a> Reasons<'a> {
    pub(crate) fn new(ground: &'a Ground<'a>) -> Self {
        let mut anchors = Vec::new();
        let mut taken = BTreeSet::new();
        let mut of_node = BTreeMap::new();
        for (at, figure) in ground.plan.figures.iter().enumerate() {
            let mut anchor = slug("why", &figure.key);
            if !taken.insert(anchor.clone()) {
                anchor = format!("{anchor}-{at}");
                taken.insert(anchor.clone());
            }
            anchors.push(anchor);
            of_node.entry(figure.node).or_insert(at);
        }
        Self {
            ground,
            anchors,
            of_node,
        }
    }

    /// The anchor of a node's derivation, if it is a headline figure.
    pub(crate) fn anchor(&self, node: NodeId) -> Option<&str> {
        self.of_node.get(&node).map(|&at| self.anchors[at].as_str())
    }

    /// All derivations.
    pub(crate) fn all(&self, sources: &Sources) -> Markup {
        html! {
            @for (at, figure) in self.ground.plan.figures.iter().enumerate() {
                (self.one(figure, &self.anchors[at], sources))
            }
        }
    }

    fn one(&self, figure: &Figure, anchor: &str, sources: &Sources) -> Markup {
        let mut lines = self.ground.plan.ledger.tree(figure.node, DEPTH, sources);
        self.stop_at_figures(figure.node, &mut lines);
        let cut = lines.len() > LINES;
        lines.truncate(LINES);
        let value = self.ground.in_unit(figure.value, &figure.unit).show();
        let (Some(first), rest) = (lines.first(), lines.get(1..).unwrap_or_default()) else {
            return html! {};
        };
        html! {
            details.reason {
                summary { span.name { (figure.label) } " " b.value { (value) } @if let Some(numbers) = first.numbers.as_ref().or(first.formula.as_ref()) { " " span.sum { "= " (numbers) } } }
                div.tree id=(anchor) {
                    (formula(first))
                    (range(self.ground, figure))
                    @if !rest.is_empty() { (self.branches(rest, 1)) }
                    @if cut { p.note { "and more below" } }
                }
            }
        }
    }

    /// Takes out what stands below a line that is a headline figure itself.
    fn stop_at_figures(&self, own: NodeId, lines: &mut Vec<Line>) {
        let mut above: Option<usize> = None;
        lines.retain(|line| {
            if above.is_some_and(|depth| line.depth > depth) {
                return false;
            }
            let is_figure =
                line.depth > 0 && line.node != own && self.of_node.contains_key(&line.node);
            above = is_figure.then_some(line.depth);
            true
        });
    }

    /// Lines of a depth, each with what stands below it.
    fn branches(&self, lines: &[Line], depth: usize) -> Markup {
        let starts: Vec<usize> = (0..lines.len())
            .filter(|&at| lines[at].depth == depth)
            .collect();
        let ends = starts.iter().skip(1).copied().chain([lines.len()]);
        html! {
            ul {
                @for (start, end) in starts.iter().copied().zip(ends) {
                    li { (self.branch(&lines[start], &lines[start + 1..end], depth)) }
                }
            }
        }
    }

    fn branch(&self, line: &Line, below: &[Line], depth: usize) -> Markup {
        let head = html! {
            @match self.anchor(line.node) {
                Some(anchor) if below.is_empty() => a href={ "#" (anchor) } { (line.name) },
                _ => (line.name),
            }
            " " b.value { (line.value) }
            @if line.repeated && self.anchor(line.node).is_none() { " " span.note { "as above" } }
        };
        if below.is_empty() {
            let is_figure = self.anchor(line.node).is_some();
            return html! { (head) @if !is_figure && !line.repeated { (formula(line)) } };
        }
        html! {
            details open[depth < 2] { summary { (head) } (formula(line)) (self.branches(below, depth + 1)) }
        }
    }
}

fn formula(line: &Line) -> Markup {
    html! {
        @if let Some(words) = line.formula.as_ref().filter(|words| !words.is_empty()) { div.formula { "= " (words) } }
        @if let Some(numbers) = line.numbers.as_ref().filter(|numbers| !numbers.is_empty() && Some(*numbers) != line.formula.as_ref()) {
            div.formula { "= " (numbers) }
        }
        @if let Some(source) = &line.source { div.source { (source) } }
    }
}

/// Low, high and odds of a figure, where it has them.
fn range(ground: &Ground<'_>, figure: &Figure) -> Markup {
    let show = |base: f64| ground.in_unit(base, &figure.unit).show();
    let mut words = Vec::new();
    words.extend(figure.low.map(|low| format!("low {}", show(low))));
    words.extend(figure.high.map(|high| format!("high {}", show(high))));
    words.extend(
        figure
            .odds
            .map(|odds| format!("odds {}", Value::Share(odds).show())),
    );
    html! { @if !words.is_empty() { div.source { (words.join(", ")) } } }
}

/// A name for an anchor: the prefix and the words, letters and digits only.
pub(crate) fn slug(prefix: &str, words: &str) -> String {
    let mut text = prefix.to_owned();
    for word in words
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
    {
        text.push('-');
        text.push_str(&word.to_lowercase());
    }
    text
}
