//! A first round tour: the greedy one, shortest legs first (Bentley 1992, "greedy edge").
//!
//! Legs between neighbours are taken from short to long wherever they neither fork nor close a ring too early. What
//! is left are pieces; the same is done again with the ends of the pieces only, until one piece is left.

use super::Metric;
use super::nodes::{Node, Nodes};
use super::tree::{Area, Tree};

/// Legs looked at from each end of a piece. One leads to its other end at most, so two would do to go on.
const LEGS: usize = 6;

/// Stands for "no link".
const NONE: Node = Node::MAX;

/// Pieces of a tour, as up to two links for each node; `end` leads from each end of a piece to its other end.
struct Pieces {
    links: Vec<[Node; 2]>,
    end: Vec<Node>,
    legs: usize,
}

impl Pieces {
    fn new(count: usize) -> Self {
        Self {
            links: vec![[NONE; 2]; count],
            end: (0..count as Node).collect(),
            legs: 0,
        }
    }

    fn is_end(&self, node: Node) -> bool {
        self.links[node as usize][1] == NONE
    }

    /// Links two nodes if both are ends, and of different pieces.
    fn link(&mut self, a: Node, b: Node) {
        let (far_a, far_b) = (self.end[a as usize], self.end[b as usize]);
        if !self.is_end(a) || !self.is_end(b) || far_a == b {
            return;
        }
        for (from, to) in [(a, b), (b, a)] {
            let links = &mut self.links[from as usize];
            links[usize::from(links[0] != NONE)] = to;
        }
        self.end[far_a as usize] = far_b;
        self.end[far_b as usize] = far_a;
        self.legs += 1;
    }

    /// The only piece, from one end to the other.
    fn walk(&self) -> Vec<Node> {
        let ends = (0..self.links.len() as Node).filter(|&node| self.is_end(node));
        let Some(mut here) = ends.into_iter().next() else {
            return Vec::new();
        };
        let mut before = NONE;
        let mut round = vec![here];
        while round.len() < self.links.len() {
            let [a, b] = self.links[here as usize];
            let next = if a == before { b } else { a };
            before = here;
            here = next;
            round.push(here);
        }
        round
    }
}

/// The greedy tour.
pub(super) fn greedy<M: Metric>(nodes: &Nodes<'_, M>) -> Vec<Node> {
    let count = nodes.len();
    let mut pieces = Pieces::new(count);
    if let Some(gap) = nodes.gap() {
        for anchor in nodes.anchors().into_iter().flatten() {
            pieces.link(gap, anchor);
        }
    }
    // The gap fits anywhere, so an end without an anchor waits until all else is one piece.
    let all = count
        - usize::from(
            nodes
                .gap()
                .is_some_and(|gap| pieces.end[gap as usize] == gap),
        );
    while pieces.legs + 1 < all {
        for (_, a, b) in short_legs(nodes, &pieces) {
            pieces.link(a, b);
        }
    }
    if let Some(gap) = nodes.gap()
        && let Some(end) = (0..count as Node).find(|&node| node != gap && pieces.is_end(node))
    {
        pieces.link(gap, end);
    }
    pieces.walk()
}

/// Legs between ends of pieces, shortest first.
fn short_legs<M: Metric>(nodes: &Nodes<'_, M>, pieces: &Pieces) -> Vec<(f64, Node, Node)> {
    let open = |node: &Node| Some(*node) != nodes.gap() && pieces.is_end(*node);
    let ends: Vec<Node> = (0..nodes.len() as Node).filter(open).collect();
    let tree = Tree::new(nodes, ends.clone());
    let mut legs = Vec::with_capacity(ends.len() * LEGS);
    for &end in &ends {
        let near = tree.nearest(end, LEGS, &Area::PLANE).into_iter();
        legs.extend(near.map(|(cost, other)| (cost, end.min(other), end.max(other))));
    }
    legs.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    legs.dedup();
    legs
}
