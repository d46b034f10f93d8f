//! The search tree over the pool.

use std::collections::BTreeMap;

use effort::Meter;

use super::super::core::{Core, Shape};
use super::Verdict;
use super::cuts;
use super::pool::{Node, Pool, Undo};
use crate::linear::Sense;

/// Rounds of cuts at the root, and at each other node.
const ROOT_ROUNDS: usize = 60;
const NODE_ROUNDS: usize = 3;
/// Cuts in the programme at most.
const MOST_CUTS: usize = 600;
/// Branches below each other at most; no honest search comes near.
const DEEPEST: usize = 400;
/// A round of cuts that lifts the bound by less than this, in money units over the unit of costs, is poor.
const POOR_ROUND: f64 = 1e-4;
/// So many poor rounds end the cutting.
const POOR_ROUNDS: usize = 6;
/// A value so near to a whole number is one.
const WHOLE: f64 = 1e-6;

/// Searches the pool for a plan that costs no more than the target.
pub(super) fn search(
    core: &Core,
    shapes: Vec<Shape>,
    start: &[Shape],
    scale: i64,
    target: u64,
    meter: &mut Meter<'_>,
) -> Verdict {
    let known: std::collections::BTreeSet<&Shape> = start.iter().collect();
    let first: Vec<usize> = (shapes.iter().enumerate())
        .filter(|(_, shape)| known.contains(shape))
        .map(|(index, _)| index)
        .collect();
    let mut pool = Pool::new(core, shapes, scale, target);
    pool.take_in(&first);
    let mut tree = Tree {
        pool,
        unit: scale as f64 * core.unit as f64,
        depth: 0,
    };
    tree.node(ROOT_ROUNDS, meter)
}

struct Tree<'a> {
    pool: Pool<'a>,
    /// Small units in the unit of costs.
    unit: f64,
    /// Nodes above the present one.
    depth: usize,
}

/// What to branch on.
enum Branch {
    /// Two items, and how often they share a stretch in the fractional answer.
    Pair(u32, u32, f64),
    /// A pattern and its value.
    Pattern(usize, f64),
    /// Pieces of a kind with several stretches, and their value.
    Kind(usize, f64),
}

impl Tree<'_> {
    fn node(&mut self, rounds: usize, meter: &mut Meter<'_>) -> Verdict {
        if self.depth == DEEPEST {
            return Verdict::Open;
        }
        self.depth += 1;
        let mut undo = Vec::new();
        let extras = self.pool.extras();
        let verdict = self.bound_and_branch(rounds, &mut undo, meter);
        self.depth -= 1;
        self.pool.drop_extras(extras);
        self.pool.restore(undo);
        verdict
    }

    fn bound_and_branch(
        &mut self,
        rounds: usize,
        undo: &mut Vec<Undo>,
        meter: &mut Meter<'_>,
    ) -> Verdict {
        let mut last = f64::NEG_INFINITY;
        let mut poor = 0;
        for round in 0.. {
            match self.pool.solve(meter) {
                Node::Hopeless => return Verdict::None,
                Node::Stopped => return Verdict::Open,
                Node::Open { bound, useless } => {
                    for index in useless {
                        self.pool.limit(index, 0, Some(0), undo);
                    }
                    let gain = (bound as f64 - last) / self.unit;
                    poor = if gain < POOR_ROUND { poor + 1 } else { 0 };
                    last = last.max(bound as f64);
                }
            }
            if let Some(solution) = self.pool.whole() {
                return Verdict::Found(solution);
            }
            if round >= rounds || poor >= POOR_ROUNDS || !self.cut() {
                break;
            }
        }
        match self.choose() {
            Some(Branch::Pair(i, j, value)) => self.branch_on_pair(i, j, value, meter),
            Some(Branch::Pattern(index, value)) => self.branch_on_pattern(index, value, meter),
            Some(Branch::Kind(kind, value)) => self.branch_on_kind(kind, value, meter),
            // Whole values that are no plan: the arithmetic is in doubt.
            None => Verdict::Open,
        }
    }

    /// Adds cuts that the answer breaks; false if there are none.
    fn cut(&mut self) -> bool {
        if self.pool.extras() > MOST_CUTS {
            return false;
        }
        let used = self.pool.used();
        let used: Vec<(&Shape, f64)> = (used.iter())
            .map(|&(index, value)| (&self.pool.members[index].shape, value))
            .collect();
        let core = self.pool.core;
        let cuts = cuts::broken(core, &used);
        for cut in &cuts {
            self.pool.add_row(Sense::AtMost, cut.right(core), |shape| {
                cut.coefficient(shape)
            });
        }
        !cuts.is_empty()
    }

    fn choose(&self) -> Option<Branch> {
        if let Some((kind, value)) = self.pool.fractional_kind() {
            return Some(Branch::Kind(kind, value));
        }
        let used = self.pool.used();
        let mut pairs: BTreeMap<(u32, u32), f64> = BTreeMap::new();
        for &(index, value) in &used {
            let items = &self.pool.members[index].shape.items;
            for (position, &(i, _)) in items.iter().enumerate() {
                for &(j, _) in &items[position + 1..] {
                    *pairs.entry((i, j)).or_default() += value;
                }
            }
        }
        let pair = (pairs.into_iter())
            .map(|(pair, value)| (fraction_score(value), pair, value))
            .filter(|&(score, _, _)| score > WHOLE)
            .max_by(|x, y| x.0.total_cmp(&y.0).then(y.1.cmp(&x.1)));
        if let Some((_, (i, j), value)) = pair {
            return Some(Branch::Pair(i, j, value));
        }
        (used.into_iter())
            .map(|(index, value)| (fraction_score(value), index, value))
            .filter(|&(score, _, _)| score > WHOLE)
            .max_by(|x, y| x.0.total_cmp(&y.0).then(y.1.cmp(&x.1)))
            .map(|(_, index, value)| Branch::Pattern(index, value))
    }

    fn branch_on_pair(&mut self, i: u32, j: u32, value: f64, meter: &mut Meter<'_>) -> Verdict {
        let once = |item: u32| self.pool.core.items[item as usize].need == 1;
        if once(i) && once(j) {
            let first = self.restrict(|i_in, j_in| i_in == j_in, i, j, meter);
            return first.or_else(|| self.restrict(|i_in, j_in| !(i_in && j_in), i, j, meter));
        }
        let floor = value.floor() as i64;
        let both = |shape: &Shape| i32::from(has(shape, i) && has(shape, j));
        let extras = self.pool.extras();
        self.pool.add_row(Sense::AtLeast, floor + 1, both);
        let first = self.node(NODE_ROUNDS, meter);
        self.pool.drop_extras(extras);
        first.or_else(|| {
            self.pool.add_row(Sense::AtMost, floor, both);
            let second = self.node(NODE_ROUNDS, meter);
            self.pool.drop_extras(extras);
            second
        })
    }

    /// The node with only patterns that keep a rule on which of two items they hold.
    fn restrict(
        &mut self,
        keeps: impl Fn(bool, bool) -> bool,
        i: u32,
        j: u32,
        meter: &mut Meter<'_>,
    ) -> Verdict {
        let mut undo = Vec::new();
        for index in 0..self.pool.members.len() {
            let shape = &self.pool.members[index].shape;
            if self.pool.alive(index) && !keeps(has(shape, i), has(shape, j)) {
                self.pool.limit(index, 0, Some(0), &mut undo);
            }
        }
        let verdict = self.node(NODE_ROUNDS, meter);
        self.pool.restore(undo);
        verdict
    }

    fn branch_on_pattern(&mut self, index: usize, value: f64, meter: &mut Meter<'_>) -> Verdict {
        let floor = value.floor() as u64;
        let upper = self.pool.members[index].upper;
        let lower = self.pool.members[index].lower;
        let most = upper.map_or(floor, |upper| upper.min(floor));
        self.between(index, floor + 1, upper, meter)
            .or_else(|| self.between(index, lower, Some(most), meter))
    }

    /// The part of the tree where a pattern is used so often. A value that rounding has pushed past its bounds leaves
    /// one side with nothing in it.
    fn between(
        &mut self,
        index: usize,
        lower: u64,
        upper: Option<u64>,
        meter: &mut Meter<'_>,
    ) -> Verdict {
        if upper.is_some_and(|upper| lower > upper) {
            return Verdict::None;
        }
        let mut undo = Vec::new();
        self.pool.limit(index, lower, upper, &mut undo);
        let verdict = self.node(NODE_ROUNDS, meter);
        self.pool.restore(undo);
        verdict
    }

    fn branch_on_kind(&mut self, kind: usize, value: f64, meter: &mut Meter<'_>) -> Verdict {
        let whole = self.pool.kind_bounds(kind);
        let (lower, upper) = whole;
        self.kind_between(kind, (value.ceil(), upper), whole, meter)
            .or_else(|| self.kind_between(kind, (lower, value.floor().min(upper)), whole, meter))
    }

    /// The same for the pieces of a kind; `whole` are its bounds outside of this part.
    fn kind_between(
        &mut self,
        kind: usize,
        (lower, upper): (f64, f64),
        whole: (f64, f64),
        meter: &mut Meter<'_>,
    ) -> Verdict {
        if lower > upper {
            return Verdict::None;
        }
        self.pool.limit_kind(kind, lower, upper);
        let verdict = self.node(NODE_ROUNDS, meter);
        self.pool.limit_kind(kind, whole.0, whole.1);
        verdict
    }
}

impl Verdict {
    /// The second branch is only needed when the first has none.
    fn or_else(self, second: impl FnOnce() -> Self) -> Self {
        match self {
            Self::None => second(),
            found_or_open => found_or_open,
        }
    }
}

fn has(shape: &Shape, item: u32) -> bool {
    shape.items.iter().any(|&(i, _)| i == item)
}

/// How far a value is from whole numbers, at most 1/4.
fn fraction_score(value: f64) -> f64 {
    let fraction = value - value.floor();
    fraction * (1.0 - fraction)
}
