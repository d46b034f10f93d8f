//! Reasons: every figure carries the arithmetic that made it.
//!
//! A [`Ledger`] is an arena of nodes. A node is a leaf (stated, measured or assumed) or follows from
//! earlier nodes by a [`Rule`]. Values are computed *by the ledger* from the inputs, so a derivation
//! cannot disagree with its figure. Values are in base units; [`Shown`] says how to show them.
//!
//! Levels of a network with loops follow from each other: such a node is entered with the level that
//! the solver found ([`Ledger::solved`]) and closed with its own balance equation
//! ([`Ledger::close`]); [`Ledger::faults`] checks that the equation holds.
//!
//! ```
//! use planning::reason::{Ledger, Shown, Source};
//! let mut ledger = Ledger::default();
//! let length = ledger.given("strip", 0.19, Shown::new("m", 1.0), Source::assumed("drawing"));
//! let blanks = ledger.given("blanks", 400.0, Shown::count("each"), Source::assumed("order"));
//! let total = ledger.product("strip to rip", Shown::new("m", 1.0), &[length, blanks]);
//! assert_eq!(ledger.value(total), 76.0);
//! ```

mod rule;
mod tree;
mod written;

use std::borrow::Cow;
use std::sync::Arc;

use serde::Serialize;
use works::{Span, Stated};

pub use rule::{Engine, Formula, Rule, ceil_to};
pub use tree::{Line, number};

/// The number of a node.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct NodeId(pub u32);

/// How a value is shown: a symbol, and base units in one of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    /// The unit as people write it; empty for a plain number.
    pub symbol: Arc<str>,
    /// Base units in one.
    pub factor: f64,
}

impl Shown {
    /// A unit of a symbol and the base units in it.
    pub fn new(symbol: impl Into<Arc<str>>, factor: f64) -> Self {
        Self {
            symbol: symbol.into(),
            factor,
        }
    }

    /// A plain number.
    pub fn plain() -> Self {
        Self::new("", 1.0)
    }

    /// A count, or any unit that is its own base unit.
    pub fn count(symbol: impl Into<Arc<str>>) -> Self {
        Self::new(symbol, 1.0)
    }

    /// A share, shown in per cent.
    pub fn percent() -> Self {
        Self::new("%", 0.01)
    }

    /// A time, shown in hours.
    pub fn hours() -> Self {
        Self::new("h", 3600.0)
    }

    /// A time, shown in seconds.
    pub fn seconds() -> Self {
        Self::new("s", 1.0)
    }

    /// A mass, shown in kilograms.
    pub fn kilograms() -> Self {
        Self::new("kg", 1.0)
    }

    /// This unit for one of another (`m` per `each`).
    #[must_use]
    pub fn per(&self, other: &Self) -> Self {
        let symbol = match (&*self.symbol, &*other.symbol) {
            (own, "") => own.to_owned(),
            ("", other) => format!("1/{other}"),
            (own, other) => format!("{own}/{other}"),
        };
        Self::new(symbol, self.factor / other.factor)
    }

    /// A value in base units, as a number of this unit.
    pub fn of(&self, base: f64) -> f64 {
        base / self.factor
    }
}

impl From<&quantity::Unit> for Shown {
    fn from(unit: &quantity::Unit) -> Self {
        Self::new(unit.symbol(), unit.factor())
    }
}

/// Where the value of a node is from.
#[derive(Clone, Debug, PartialEq)]
pub enum Source {
    /// Written in the works folder.
    Stated {
        /// Where.
        at: Span,
        /// The note that was written with it.
        note: Option<String>,
    },
    /// Fitted to readings.
    Measured {
        /// From how many readings.
        readings: usize,
        /// In words: how it was fitted, and with what interval.
        how: String,
        /// The first of them, where it was written.
        at: Option<Span>,
    },
    /// Follows from the inputs of the node by its rule.
    Computed {
        /// What to add to the rule's own words.
        note: Option<Cow<'static, str>>,
    },
    /// Taken for granted.
    Assumed {
        /// Why.
        why: Cow<'static, str>,
    },
}

impl Source {
    /// An assumption and its reason.
    pub fn assumed(why: impl Into<Cow<'static, str>>) -> Self {
        Self::Assumed { why: why.into() }
    }

    /// Written at a place.
    pub fn at(at: Span) -> Self {
        Self::Stated { at, note: None }
    }

    /// Where a stated number was written, and its note.
    pub fn of(stated: &Stated) -> Self {
        Self::Stated {
            at: stated.at,
            note: stated.source.clone(),
        }
    }
}

/// One figure and how it came about.
#[derive(Clone, Debug)]
pub struct Node {
    /// What it is.
    pub name: Cow<'static, str>,
    /// Its value, base units.
    pub value: f64,
    /// How to show it.
    pub unit: Shown,
    /// How it follows from its inputs.
    pub rule: Rule,
    /// Where it is from.
    pub source: Source,
    /// Whether a solver found it together with others.
    pub solved: bool,
    first_input: u32,
    inputs: u32,
}

/// All nodes of a plan.
#[derive(Clone, Debug, Default)]
pub struct Ledger {
    nodes: Vec<Node>,
    links: Vec<NodeId>,
}

/// A node whose value does not follow from its inputs: our own fault, which tests look for.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// The node.
    pub node: NodeId,
    /// Its name.
    pub name: String,
    /// Its value.
    pub value: f64,
    /// What the rule gives.
    pub recomputed: f64,
}

/// Makes constructors for the rules that need nothing but inputs.
macro_rules! rules {
    ($($(#[$doc:meta])* $fn:ident => $rule:ident;)*) => {$(
        $(#[$doc])*
        pub fn $fn(
            &mut self,
            name: impl Into<Cow<'static, str>>,
            unit: Shown,
            inputs: &[NodeId],
        ) -> NodeId {
            self.by(name, unit, Rule::$rule, inputs)
        }
    )*};
}

impl Ledger {
    /// A leaf.
    pub fn given(
        &mut self,
        name: impl Into<Cow<'static, str>>,
        value: f64,
        unit: Shown,
        source: Source,
    ) -> NodeId {
        self.push(name.into(), value, unit, Rule::Given, &[], source)
    }

    /// The mean of a number that was stated, in the unit given.
    pub fn stated(
        &mut self,
        name: impl Into<Cow<'static, str>>,
        stated: &Stated,
        unit: Shown,
    ) -> NodeId {
        self.given(name, stated.mean(), unit, Source::of(stated))
    }

    /// A node that follows from others by a rule; its value is computed here.
    pub fn by(
        &mut self,
        name: impl Into<Cow<'static, str>>,
        unit: Shown,
        rule: Rule,
        inputs: &[NodeId],
    ) -> NodeId {
        let values: Vec<f64> = inputs.iter().map(|&id| self.value(id)).collect();
        let value = rule.value(&values, f64::NAN);
        self.push(
            name.into(),
            value,
            unit,
            rule,
            inputs,
            Source::Computed { note: None },
        )
    }

    rules! {
        /// The first input under another name; the others led to choosing it.
        same => Same;
        /// All inputs added up.
        sum => Sum;
        /// The first less the others.
        difference => Difference;
        /// All inputs multiplied.
        product => Product;
        /// The first divided by each of the others.
        quotient => Quotient;
        /// The largest.
        max => Max;
        /// The smallest.
        min => Min;
        /// The first in whole multiples of the second.
        ceil_to => CeilTo;
        /// One less the input.
        complement => Complement;
        /// The first raised to the second.
        power => Power;
        /// The square root.
        root => Root;
        /// The input, not below zero.
        positive => Positive;
        /// w1 × x1 + w2 × x2 + …
        weighted_sum => WeightedSum;
    }

    /// A named formula of the inputs.
    pub fn formula(
        &mut self,
        name: impl Into<Cow<'static, str>>,
        unit: Shown,
        formula: &'static Formula,
        inputs: &[NodeId],
    ) -> NodeId {
        self.by(name, unit, Rule::Formula(formula), inputs)
    }

    /// The answer of an engine to the inputs.
    pub fn engine(
        &mut self,
        name: impl Into<Cow<'static, str>>,
        unit: Shown,
        engine: Arc<dyn Engine>,
        inputs: &[NodeId],
    ) -> NodeId {
        self.by(name, unit, Rule::Engine(engine), inputs)
    }

    /// The same where the engine has just been run and need not run again: `value` must be its
    /// answer to these inputs (which [`Self::faults`] checks).
    pub fn answered(
        &mut self,
        name: impl Into<Cow<'static, str>>,
        value: f64,
        unit: Shown,
        engine: Arc<dyn Engine>,
        inputs: &[NodeId],
    ) -> NodeId {
        let source = Source::Computed { note: None };
        self.push(
            name.into(),
            value,
            unit,
            Rule::Engine(engine),
            inputs,
            source,
        )
    }

    /// A leaf that an engine found, with how.
    pub fn found(
        &mut self,
        name: impl Into<Cow<'static, str>>,
        value: f64,
        unit: Shown,
        how: impl Into<Cow<'static, str>>,
    ) -> NodeId {
        let note = Some(how.into());
        let source = Source::Computed { note };
        self.push(name.into(), value, unit, Rule::Given, &[], source)
    }

    /// Enters a level that a solver found together with others; [`Self::close`] gives its equation.
    pub fn solved(
        &mut self,
        name: impl Into<Cow<'static, str>>,
        value: f64,
        unit: Shown,
    ) -> NodeId {
        let source = Source::Computed { note: None };
        let id = self.push(name.into(), value, unit, Rule::Given, &[], source);
        self.nodes[id.0 as usize].solved = true;
        id
    }

    /// Says that a solved level depends on itself through no other: it follows from its inputs alone.
    pub fn alone(&mut self, id: NodeId) {
        self.nodes[id.0 as usize].solved = false;
    }

    /// Closes a solved level with its balance equation: the rule and inputs of `equation`, which
    /// must have been the last node entered and is taken out again.
    pub fn close(&mut self, solved: NodeId, equation: NodeId) {
        if equation.0 as usize + 1 == self.nodes.len() && solved != equation {
            if let Some(last) = self.nodes.pop() {
                let node = &mut self.nodes[solved.0 as usize];
                node.rule = last.rule;
                node.first_input = last.first_input;
                node.inputs = last.inputs;
            }
        } else {
            let first = self.links.len() as u32;
            self.links.push(equation);
            let node = &mut self.nodes[solved.0 as usize];
            node.rule = Rule::Same;
            node.first_input = first;
            node.inputs = 1;
        }
    }

    /// Adds words to a computed node.
    pub fn note(&mut self, id: NodeId, words: impl Into<Cow<'static, str>>) {
        if let Source::Computed { note } = &mut self.nodes[id.0 as usize].source {
            *note = Some(words.into());
        }
    }

    /// One node.
    pub fn node(&self, id: NodeId) -> &Node {
        &self.nodes[id.0 as usize]
    }

    /// The value of one node, base units.
    pub fn value(&self, id: NodeId) -> f64 {
        self.node(id).value
    }

    /// The inputs of one node.
    pub fn inputs(&self, id: NodeId) -> &[NodeId] {
        let node = self.node(id);
        &self.links[node.first_input as usize..(node.first_input + node.inputs) as usize]
    }

    /// How many nodes there are.
    pub fn len(&self) -> usize {
        self.nodes.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.nodes.is_empty()
    }

    /// Every node, in the order they were entered.
    pub fn ids(&self) -> impl Iterator<Item = NodeId> {
        (0..self.nodes.len() as u32).map(NodeId)
    }

    /// The value of a node computed again from its leaves. Where levels were solved together, the
    /// loop is cut at the first of them that is met twice.
    pub fn recompute(&self, id: NodeId) -> f64 {
        let mut done: Vec<Option<f64>> = vec![None; self.nodes.len()];
        let mut open = vec![false; self.nodes.len()];
        let mut stack = vec![id];
        while let Some(&top) = stack.last() {
            let at = top.0 as usize;
            let inputs = self.inputs(top);
            if done[at].is_none() && !open[at] {
                open[at] = true;
                let waits = |id: &NodeId| done[id.0 as usize].is_none() && !open[id.0 as usize];
                stack.extend(inputs.iter().copied().filter(waits));
            } else {
                stack.pop();
                if done[at].is_none() {
                    let value = |input: &NodeId| {
                        done[input.0 as usize].unwrap_or_else(|| self.value(*input))
                    };
                    let values: Vec<f64> = inputs.iter().map(value).collect();
                    done[at] = Some(self.nodes[at].rule.value(&values, self.nodes[at].value));
                }
            }
        }
        done[id.0 as usize].unwrap_or(f64::NAN)
    }

    /// Every node whose value differs from what its rule gives for its inputs by more than a
    /// relative `tolerance`. Empty is the promise of this module.
    pub fn faults(&self, tolerance: f64) -> Vec<Fault> {
        let mut values = Vec::new();
        self.ids()
            .filter_map(|id| {
                let node = self.node(id);
                values.clear();
                values.extend(self.inputs(id).iter().map(|&input| self.value(input)));
                let recomputed = node.rule.value(&values, node.value);
                let scale = self.scale(id, 4);
                let same = node.value == recomputed
                    || (node.value.is_nan() && recomputed.is_nan())
                    || (node.value - recomputed).abs() <= tolerance * scale.max(1e-12);
                (!same).then(|| Fault {
                    node: id,
                    name: node.name.to_string(),
                    value: node.value,
                    recomputed,
                })
            })
            .collect()
    }

    /// The size by which a difference of a node from its rule is judged: its own, and for what is
    /// left over of larger amounts theirs.
    fn scale(&self, id: NodeId, depth: usize) -> f64 {
        let node = self.node(id);
        let left_over = matches!(
            node.rule,
            Rule::Difference | Rule::Positive | Rule::Min | Rule::Same | Rule::Sum | Rule::Quotient
        );
        if depth == 0 || !left_over {
            return node.value.abs();
        }
        let inputs = self.inputs(id).iter().take(64);
        inputs.fold(node.value.abs(), |most, &input| {
            most.max(self.scale(input, depth - 1))
        })
    }

    fn push(
        &mut self,
        name: Cow<'static, str>,
        value: f64,
        unit: Shown,
        rule: Rule,
        inputs: &[NodeId],
        source: Source,
    ) -> NodeId {
        let first_input = self.links.len() as u32;
        self.links.extend_from_slice(inputs);
        let inputs = inputs.len() as u32;
        let node = Node {
            name,
            value,
            unit,
            rule,
            source,
            solved: false,
            first_input,
            inputs,
        };
        self.nodes.push(node);
        NodeId(self.nodes.len() as u32 - 1)
    }
}

#[cfg(test)]
mod tests;
