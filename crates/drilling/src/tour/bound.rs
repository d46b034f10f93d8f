//! How short any way must be at least: the 1-tree bound of Held & Karp 1970, raised by subgradient steps (1971).
//!
//! A round tour without one node is a path, hence a tree over the others, and the node left out has two legs. So the
//! shortest tree and the two shortest legs are together no longer than any tour. A price π for each leg at a node
//! adds 2·Σπ to every tour alike, but moves the tree: prices rise at nodes where the tree has more than two legs and
//! fall where it has one, until it looks as much like a tour as it can.
//!
//! Trees over neighbours only are quick to find but prove nothing, as the shortest tree might use another leg. So prices
//! are sought with them, and then a tree over all legs gives the bound. That also holds for an open way: there
//! the node left out is the gap, whose two legs cost nothing and are those to start and park where they are given.

use effort::{Effort, Meter};

use super::near::Near;
use super::nodes::{Node, Nodes};
use super::{Ends, Metric, Question};

/// Neighbours of each node in the quick trees.
const NEAREST: usize = 8;
const QUADRANT: usize = 2;

/// Prices of a whole-number metric are multiples of this, so that every sum is exact.
const PRICE_UNIT: f64 = 1.0 / 256.0;

/// Sums of such multiples below this are exact in the 53 bits of an f64.
const EXACT_MAX: f64 = (1_u64 << 44) as f64;

/// Trees with one size of step, to begin with.
const PERIOD: u32 = 100;

/// The first size of a step, and the last worth making, as shares of an average leg.
const FIRST_STEP: f64 = 1e-2;
const LAST_STEP: f64 = 1e-6;

/// Prices that settled are stirred up again, with twice the patience, if the last time raised the bound by this share.
const WORTH_MORE: f64 = 1e-4;

/// Weight of this tree's excess legs against those of the tree before (Helsgaun 2000, section 4.1).
const NEW_WEIGHT: f64 = 0.7;

/// A length below which no way exists: nought at worst. `upper` is the length of the best way known; it guides the
/// steps, but is not trusted. A step of the effort is a leg looked at.
///
/// Rounding is allowed for: what is left after the largest error it can have made. With a whole-number metric sums are
/// exact, and the bound is rounded up to a whole number.
pub fn bound<M: Metric>(question: &Question<'_, M>, upper: f64, effort: Effort<'_>) -> f64 {
    let fixed = match question.ends() {
        Ends::Closed => 0,
        Ends::Open { start, park } => usize::from(start.is_some()) + usize::from(park.is_some()),
    };
    // Two places: there and back, or one leg. Fewer: nothing. The trees below want three places.
    if question.points().len() + fixed < 3 {
        return question.length(&(0..question.points().len()).collect::<Vec<_>>());
    }
    let nodes = Nodes::new(question);
    let mut meter = effort.meter();
    Ascent::new(&nodes, upper).run(&mut meter).max(0.0)
}

/// A tree with two more legs.
#[derive(Clone, Default)]
struct OneTree {
    /// Tree and legs at their prices, less twice all prices.
    length: f64,
    /// The sum of everything added up, without signs: rounding is a tiny share of it.
    magnitude: f64,
    /// Legs at each node, less two.
    excess: Vec<i32>,
    /// Each node's leg towards the root of the tree.
    parent: Vec<Node>,
}

impl OneTree {
    /// Whether it is a tour.
    fn is_tour(&self) -> bool {
        self.excess.iter().all(|&excess| excess == 0)
    }
}

/// Legs of the quick trees, from both ends.
struct Legs {
    of: Vec<Vec<(Node, f64)>>,
}

impl Legs {
    /// The neighbours, and never without the legs of a tree over all.
    fn new(near: &Near, tree: &OneTree, cost: impl Fn(Node, Node) -> f64) -> Self {
        let mut legs = Self {
            of: vec![Vec::new(); tree.parent.len()],
        };
        for node in 0..tree.parent.len() as Node {
            for neighbour in near.of(node) {
                legs.add(node, neighbour.node, neighbour.cost);
            }
        }
        legs.add_tree(tree, cost);
        legs
    }

    fn add(&mut self, a: Node, b: Node, cost: f64) -> bool {
        let new = self.of[a as usize].iter().all(|&(other, _)| other != b);
        if new {
            self.of[a as usize].push((b, cost));
            self.of[b as usize].push((a, cost));
        }
        new
    }

    /// Adds the legs of a tree; whether any was new.
    fn add_tree(&mut self, tree: &OneTree, cost: impl Fn(Node, Node) -> f64) -> bool {
        let mut any = false;
        for (node, &parent) in tree.parent.iter().enumerate() {
            if parent != NONE {
                any |= self.add(node as Node, parent, cost(node as Node, parent));
            }
        }
        any
    }

    fn count(&self) -> u64 {
        self.of.iter().map(|legs| legs.len() as u64).sum()
    }
}

/// The size of the steps (Helsgaun 2000, section 4.1): doubled while that pays, then halved after each period, and a
/// period is half as long as the one before unless its last step still paid.
struct Pace {
    step: f64,
    last_step: f64,
    /// The first period, and this one.
    patience: u32,
    period: u32,
    done: u32,
    doubling: bool,
    /// Excess legs of the tree before.
    before: Vec<i32>,
    /// The tree that it began with, the best quick tree so far, and its prices.
    begun_at: f64,
    best: f64,
    best_price: Vec<f64>,
}

impl Pace {
    fn new(tree: &OneTree, price: &[f64], patience: u32) -> Self {
        let leg = tree.length / price.len() as f64;
        Self {
            step: FIRST_STEP * leg,
            last_step: LAST_STEP * leg,
            patience,
            period: patience,
            done: 0,
            doubling: true,
            before: tree.excess.clone(),
            begun_at: tree.length,
            best: tree.length,
            best_price: price.to_vec(),
        }
    }

    fn over(&self) -> bool {
        self.period == 0 || self.step <= self.last_step
    }

    /// After a step, which paid or did not.
    fn on(&mut self, better: bool) {
        self.done += 1;
        if better && self.doubling {
            self.step *= 2.0;
        } else if !better && self.doubling && self.done > self.period / 2 {
            self.doubling = false;
            self.done = 0;
            self.step *= 0.75;
        }
        if self.done >= self.period {
            self.period = if better {
                (self.period * 2).min(self.patience)
            } else {
                self.period / 2
            };
            self.done = 0;
            self.step /= 2.0;
        }
    }
}

/// Stands for "no leg".
const NONE: Node = Node::MAX;

/// The search for prices.
struct Ascent<'a, 'q, M> {
    nodes: &'a Nodes<'q, M>,
    /// The node left out of the tree.
    apart: Node,
    upper: f64,
    whole: bool,
    price: Vec<f64>,
    best: f64,
}

impl<'a, 'q, M: Metric> Ascent<'a, 'q, M> {
    fn new(nodes: &'a Nodes<'q, M>, upper: f64) -> Self {
        Self {
            nodes,
            apart: nodes.gap().unwrap_or(0),
            upper,
            whole: nodes.whole(),
            price: vec![0.0; nodes.len()],
            best: 0.0,
        }
    }

    /// Quick trees and trees over all in turn, about as long for the one as for the other, until the effort ends, the
    /// bound meets the upper one, or the steps are too small to pay.
    fn run(mut self, meter: &mut Meter<'_>) -> f64 {
        let Some(mut full) = self.tree_over_all(meter) else {
            return self.best;
        };
        self.note(&full);
        let near = Near::new(self.nodes, NEAREST, QUADRANT);
        let nodes = self.nodes;
        let cost = |a: Node, b: Node| nodes.between(a, b);
        let mut legs = Legs::new(&near, &full, cost);
        let mut pace = Pace::new(&full, &self.price, PERIOD);
        while self.best < self.upper && !full.is_tour() {
            let places = nodes.len() as u64;
            let quick_trees = 10 + places * places / 2 / legs.count().max(1);
            let steps = self.climb(&legs, quick_trees, &mut pace, meter);
            let here = std::mem::replace(&mut self.price, pace.best_price.clone());
            let Some(tree) = self.tree_over_all(meter) else {
                break;
            };
            self.note(&tree);
            let new_legs = legs.add_tree(&tree, cost);
            // With these legs the quick tree at these prices is the tree over all.
            pace.best = tree.length;
            if !pace.over() && steps > 0 {
                self.price = here;
            } else if new_legs {
                // The prices had settled for legs that do not show the whole picture.
                pace = Pace::new(&tree, &self.price, pace.patience);
            } else if tree.length > pace.begun_at * (1.0 + WORTH_MORE) {
                pace = Pace::new(&tree, &self.price, 2 * pace.patience);
            } else {
                break;
            }
            full = tree;
        }
        self.best
    }

    /// Keeps the bound that a tree over all legs proves.
    fn note(&mut self, tree: &OneTree) {
        // A naive sum of m terms errs by at most (m − 1)·ε/2 times the sum of their sizes (Higham 2002, section 4.2). Here
        // m is below 3n, each term is itself a sum of three, and a comparison may have picked the longer of two
        // legs by as much: six times the share of one sum is more than all of it.
        let sums = 3.0 * self.nodes.len() as f64;
        let proved = if self.whole && tree.magnitude < EXACT_MAX {
            tree.length.ceil()
        } else {
            tree.length - 6.0 * sums * f64::EPSILON * tree.magnitude
        };
        self.best = self.best.max(proved);
    }

    /// So many steps on quick trees, or fewer if they come to an end; how many.
    fn climb(
        &mut self,
        legs: &Legs,
        quick_trees: u64,
        pace: &mut Pace,
        meter: &mut Meter<'_>,
    ) -> u64 {
        let mut tree = self.quick_tree(legs);
        for steps in 0..quick_trees {
            if !meter.spend(legs.count()) || tree.is_tour() || pace.over() {
                return steps;
            }
            self.step(&tree, pace);
            pace.before = std::mem::take(&mut tree.excess);
            tree = self.quick_tree(legs);
            let better = tree.length > pace.best;
            if better {
                pace.best = tree.length;
                pace.best_price.clone_from(&self.price);
            }
            pace.on(better);
        }
        quick_trees
    }

    /// Moves the prices along the excess legs.
    fn step(&mut self, tree: &OneTree, pace: &Pace) {
        for (node, price) in self.price.iter_mut().enumerate() {
            let (new, old) = (f64::from(tree.excess[node]), f64::from(pace.before[node]));
            *price += pace.step * (NEW_WEIGHT * new + (1.0 - NEW_WEIGHT) * old);
            if self.whole {
                *price = (*price / PRICE_UNIT).round() * PRICE_UNIT;
            }
        }
        // The gap's legs cost what they cost.
        if let Some(gap) = self.nodes.gap() {
            self.price[gap as usize] = 0.0;
        }
    }

    /// The shortest tree over the neighbours' legs (Prim 1957 with a heap), and the two legs of the node apart.
    fn quick_tree(&self, legs: &Legs) -> OneTree {
        let root = Node::from(self.apart == 0);
        let mut growth = Growth::new(self, root);
        let mut heap = Heap::new(self.nodes.len());
        let mut node = root;
        loop {
            let price = self.price[node as usize];
            for &(other, cost) in &legs.of[node as usize] {
                let other_place = other as usize;
                if growth.waiting[other_place] {
                    let key = cost + price + self.price[other_place];
                    if key < growth.key[other_place] {
                        growth.key[other_place] = key;
                        growth.parent[other_place] = node;
                        heap.lower(other, &growth.key);
                    }
                }
            }
            let Some(next) = heap.pop(&growth.key) else {
                break;
            };
            growth.take(next);
            node = next;
        }
        let near = &legs.of[self.apart as usize];
        growth.finish(near.iter().copied())
    }

    /// The shortest tree over all legs, each looked at; none if the effort ended before.
    fn tree_over_all(&self, meter: &mut Meter<'_>) -> Option<OneTree> {
        let root = Node::from(self.apart == 0);
        let mut growth = Growth::new(self, root);
        let mut waiting: Vec<Node> = (0..self.nodes.len() as Node)
            .filter(|&node| node != root && node != self.apart)
            .collect();
        let mut node = root;
        while !waiting.is_empty() {
            if !meter.spend(waiting.len() as u64) {
                return None;
            }
            let price = self.price[node as usize];
            let (mut nearest, mut least) = (0, f64::INFINITY);
            for (number, &other) in waiting.iter().enumerate() {
                let place = other as usize;
                let key = self.nodes.between(node, other) + price + self.price[place];
                if key < growth.key[place] {
                    growth.key[place] = key;
                    growth.parent[place] = node;
                }
                if growth.key[place] < least {
                    (nearest, least) = (number, growth.key[place]);
                }
            }
            node = waiting.swap_remove(nearest);
            growth.take(node);
        }
        let apart = self.apart;
        let others = (0..self.nodes.len() as Node).filter(|&node| node != apart);
        let legs = others.map(|node| (node, self.nodes.between(apart, node)));
        Some(growth.finish(legs))
    }
}

/// A tree growing from its root.
struct Growth<'g, 'a, 'q, M> {
    ascent: &'g Ascent<'a, 'q, M>,
    tree: OneTree,
    key: Vec<f64>,
    parent: Vec<Node>,
    waiting: Vec<bool>,
}

impl<'g, 'a, 'q, M: Metric> Growth<'g, 'a, 'q, M> {
    fn new(ascent: &'g Ascent<'a, 'q, M>, root: Node) -> Self {
        let count = ascent.nodes.len();
        let mut waiting = vec![true; count];
        waiting[root as usize] = false;
        waiting[ascent.apart as usize] = false;
        Self {
            ascent,
            tree: OneTree {
                excess: vec![-2; count],
                ..OneTree::default()
            },
            key: vec![f64::INFINITY; count],
            parent: vec![NONE; count],
            waiting,
        }
    }

    /// A node and the leg to its parent become part of the tree.
    fn take(&mut self, node: Node) {
        let place = node as usize;
        self.waiting[place] = false;
        self.add(node, self.parent[place], self.key[place]);
    }

    fn add(&mut self, a: Node, b: Node, priced: f64) {
        self.tree.length += priced;
        self.tree.magnitude += priced.abs();
        for node in [a, b] {
            self.tree.excess[node as usize] += 1;
            self.tree.magnitude += self.ascent.price[node as usize].abs();
        }
    }

    /// The tree with the two legs of the node apart, chosen from some.
    fn finish(mut self, legs: impl Iterator<Item = (Node, f64)>) -> OneTree {
        let ascent = self.ascent;
        let apart = ascent.apart;
        if ascent.nodes.gap() == Some(apart) {
            self.finish_with_gap();
        } else {
            let price = |node: Node| ascent.price[apart as usize] + ascent.price[node as usize];
            let priced = legs.map(|(node, cost)| (cost + price(node), node));
            for (cost, node) in two_least(priced).into_iter().flatten() {
                self.add(apart, node, cost);
            }
        }
        let prices: f64 = ascent.price.iter().sum();
        let sizes: f64 = ascent.price.iter().map(|price| price.abs()).sum();
        self.tree.length -= 2.0 * prices;
        self.tree.magnitude += 2.0 * sizes;
        self.tree.parent = self.parent;
        self.tree
    }

    /// The gap's legs go to start and park where they are given, else to the node with the lowest price.
    fn finish_with_gap(&mut self) {
        let ascent = self.ascent;
        let gap = ascent.apart;
        let anchors = ascent.nodes.anchors();
        for anchor in anchors.into_iter().flatten() {
            self.add(gap, anchor, ascent.price[anchor as usize]);
        }
        let free = anchors.iter().filter(|anchor| anchor.is_none()).count();
        let others = (0..ascent.nodes.len() as Node)
            .filter(|&node| node != gap && !anchors.contains(&Some(node)));
        let priced = others.map(|node| (ascent.price[node as usize], node));
        for (price, node) in two_least(priced).into_iter().flatten().take(free) {
            self.add(gap, node, price);
        }
    }
}

/// The two least of some priced nodes, the lesser first.
fn two_least(priced: impl Iterator<Item = (f64, Node)>) -> [Option<(f64, Node)>; 2] {
    let mut least = [None; 2];
    for new in priced {
        let under = |old: Option<(f64, Node)>| old.is_none_or(|old| new.0 < old.0);
        if under(least[0]) {
            least = [Some(new), least[0]];
        } else if under(least[1]) {
            least[1] = Some(new);
        }
    }
    least
}

/// A binary heap of nodes whose keys are kept elsewhere and may fall.
struct Heap {
    nodes: Vec<Node>,
    place: Vec<u32>,
}

impl Heap {
    fn new(count: usize) -> Self {
        Self {
            nodes: Vec::with_capacity(count),
            place: vec![NONE; count],
        }
    }

    /// A node's key has fallen, or it is new.
    fn lower(&mut self, node: Node, key: &[f64]) {
        if self.place[node as usize] == NONE {
            self.place[node as usize] = self.nodes.len() as u32;
            self.nodes.push(node);
        }
        let mut at = self.place[node as usize] as usize;
        while at > 0 {
            let above = (at - 1) / 2;
            if key[self.nodes[above] as usize] <= key[node as usize] {
                break;
            }
            self.put(at, self.nodes[above]);
            at = above;
        }
        self.put(at, node);
    }

    /// Takes out the node with the least key.
    fn pop(&mut self, key: &[f64]) -> Option<Node> {
        let last = self.nodes.pop()?;
        let Some(&least) = self.nodes.first() else {
            return Some(last);
        };
        let mut at = 0;
        loop {
            let below = 2 * at + 1;
            let Some(&left) = self.nodes.get(below) else {
                break;
            };
            let right = self.nodes.get(below + 1).copied();
            let (lesser, child) = match right {
                Some(right) if key[right as usize] < key[left as usize] => (below + 1, right),
                _ => (below, left),
            };
            if key[child as usize] >= key[last as usize] {
                break;
            }
            self.put(at, child);
            at = lesser;
        }
        self.put(at, last);
        Some(least)
    }

    fn put(&mut self, at: usize, node: Node) {
        self.nodes[at] = node;
        self.place[node as usize] = at as u32;
    }
}
