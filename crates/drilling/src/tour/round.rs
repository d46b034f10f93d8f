//! A round tour in an array: next, previous and between at once, and stretches turned round.
//!
//! Which way the array is read is a flag. Turning a long stretch is the same as turning the rest and reading the
//! other way, so no turn moves more than half the nodes. Every turn is noted and can be taken back.

use super::nodes::Node;

/// A turned stretch: its first and last place, and whether the reading direction changed with it.
#[derive(Clone, Copy)]
struct Turn {
    first: u32,
    last: u32,
    backwards: bool,
}

/// The tour.
pub(super) struct Round {
    order: Vec<Node>,
    place: Vec<u32>,
    backwards: bool,
    turns: Vec<Turn>,
}

impl Round {
    /// A tour in a given order: every number below the length once.
    pub(super) fn new(order: Vec<Node>) -> Self {
        let mut place = vec![0; order.len()];
        for (number, &node) in order.iter().enumerate() {
            place[node as usize] = number as u32;
        }
        Self {
            order,
            place,
            backwards: false,
            turns: Vec::new(),
        }
    }

    /// The nodes in the order of the array.
    pub(super) fn order(&self) -> &[Node] {
        &self.order
    }

    /// Where a node is in that order.
    pub(super) fn place(&self, node: Node) -> usize {
        self.place[node as usize] as usize
    }

    /// Number of nodes.
    fn len(&self) -> u32 {
        self.order.len() as u32
    }

    /// Reads the tour in the direction of the array.
    pub(super) fn read_forwards(&mut self) {
        self.backwards = false;
    }

    /// Reads the tour the other way.
    pub(super) fn mirror(&mut self) {
        self.backwards = !self.backwards;
    }

    /// The node after this one.
    #[inline]
    pub(super) fn next(&self, node: Node) -> Node {
        self.beside(node, self.backwards)
    }

    /// The node before this one.
    #[inline]
    pub(super) fn previous(&self, node: Node) -> Node {
        self.beside(node, !self.backwards)
    }

    #[inline]
    fn beside(&self, node: Node, lower: bool) -> Node {
        let place = self.place[node as usize];
        let last = self.len() - 1;
        let beside = match (lower, place) {
            (true, 0) => last,
            (true, _) => place - 1,
            (false, _) if place == last => 0,
            (false, _) => place + 1,
        };
        self.order[beside as usize]
    }

    /// Whether, going on from `from`, one meets `node` no later than `to`.
    #[inline]
    pub(super) fn between(&self, from: Node, node: Node, to: Node) -> bool {
        let [mut from, node, mut to] = [from, node, to].map(|node| self.place[node as usize]);
        if self.backwards {
            (from, to) = (to, from);
        }
        if from <= to {
            from <= node && node <= to
        } else {
            from <= node || node <= to
        }
    }

    /// How many nodes there are from one on to another, both counted.
    #[inline]
    pub(super) fn count(&self, from: Node, to: Node) -> u32 {
        let [mut from, mut to] = [from, to].map(|node| self.place[node as usize]);
        if self.backwards {
            (from, to) = (to, from);
        }
        if from <= to {
            to - from + 1
        } else {
            to + self.len() - from + 1
        }
    }

    /// Turns the stretch from one node on to another round: what came before `from` is now followed by `to`.
    pub(super) fn turn(&mut self, from: Node, to: Node) {
        let [mut first, mut last] = [from, to].map(|node| self.place[node as usize]);
        if self.backwards {
            (first, last) = (last, first);
        }
        let count = if first <= last {
            last - first + 1
        } else {
            last + self.len() - first + 1
        };
        let backwards = 2 * count > self.len();
        if backwards {
            let end = self.len() - 1;
            let before = if first == 0 { end } else { first - 1 };
            let after = if last == end { 0 } else { last + 1 };
            (first, last) = (after, before);
        }
        let turn = Turn {
            first,
            last,
            backwards,
        };
        self.apply(turn);
        self.turns.push(turn);
    }

    /// How many turns are noted.
    pub(super) fn noted(&self) -> usize {
        self.turns.len()
    }

    /// Forgets what was noted: the tour stays as it is.
    pub(super) fn settle(&mut self) {
        self.turns.clear();
    }

    /// Takes turns back until only so many are noted.
    pub(super) fn take_back(&mut self, noted: usize) {
        while self.turns.len() > noted {
            if let Some(turn) = self.turns.pop() {
                self.apply(turn);
            }
        }
    }

    /// Turns a stretch of the array, which may run over its end.
    fn apply(&mut self, turn: Turn) {
        self.backwards ^= turn.backwards;
        let (first, last) = (turn.first as usize, turn.last as usize);
        if first <= last {
            self.order[first..=last].reverse();
            for (place, &node) in self.order.iter().enumerate().take(last + 1).skip(first) {
                self.place[node as usize] = place as u32;
            }
        } else {
            self.apply_over_the_end(first, last);
        }
    }

    fn apply_over_the_end(&mut self, mut first: usize, mut last: usize) {
        let len = self.order.len();
        for _ in 0..(last + len - first).div_ceil(2) {
            self.order.swap(first, last);
            self.place[self.order[first] as usize] = first as u32;
            self.place[self.order[last] as usize] = last as u32;
            first = if first + 1 == len { 0 } else { first + 1 };
            last = if last == 0 { len - 1 } else { last - 1 };
        }
    }
}
