//! Every question as one round tour: an open way is closed through a node that lies nowhere.
//!
//! Nodes are the points, then the start and the park if given, then, for an open way, the *gap*: the leg from
//! the end of the way back to its beginning. From the gap to any node it costs nothing, but the gap is
//! anchored to start and park: leaving out such a leg costs more than any search could gain by it.

use super::{Ends, Metric, Point, Question};

/// An anchor outweighs so many of the longest legs that no chain of exchanges can afford to give it up.
const ANCHOR_LEGS: f64 = 1_000.0;

/// A node's number; 32 bits keep the lists of the search small.
pub(super) type Node = u32;

/// The nodes of a question and the cost of a leg between any two.
pub(super) struct Nodes<'a, M> {
    metric: &'a M,
    at: Vec<Point>,
    points: usize,
    gap: Node,
    anchors: [Node; 2],
    anchor_cost: f64,
    longest: f64,
}

/// Stands for "there is none".
const NONE: Node = Node::MAX;

impl<'a, M: Metric> Nodes<'a, M> {
    /// The nodes of a question.
    pub(super) fn new(question: &'a Question<'_, M>) -> Self {
        let mut at = question.points().to_vec();
        let points = at.len();
        let mut anchors = [NONE; 2];
        let mut gap = NONE;
        if let Ends::Open { start, park } = question.ends() {
            for (anchor, end) in anchors.iter_mut().zip([start, park]) {
                if let Some(end) = end {
                    *anchor = at.len() as Node;
                    at.push(end);
                }
            }
            gap = at.len() as Node;
            at.push(at.first().copied().unwrap_or_default());
        }
        let (low, high) = corners(&at);
        let longest = question.metric().between(low, high);
        Self {
            metric: question.metric(),
            at,
            points,
            gap,
            anchors,
            anchor_cost: -ANCHOR_LEGS * longest,
            longest,
        }
    }

    /// How many nodes.
    pub(super) fn len(&self) -> usize {
        self.at.len()
    }

    /// Where a node lies; the gap has no place of its own.
    pub(super) fn at(&self, node: Node) -> Point {
        self.at[node as usize]
    }

    /// The node that closes an open way.
    pub(super) fn gap(&self) -> Option<Node> {
        (self.gap != NONE).then_some(self.gap)
    }

    /// Start and park.
    pub(super) fn anchors(&self) -> [Option<Node>; 2] {
        self.anchors.map(|node| (node != NONE).then_some(node))
    }

    /// No leg between places is longer.
    pub(super) fn longest(&self) -> f64 {
        self.longest
    }

    /// Whether all distances are whole numbers.
    pub(super) fn whole(&self) -> bool {
        self.metric.whole()
    }

    /// Distance between two nodes that have a place.
    #[inline]
    pub(super) fn between(&self, a: Node, b: Node) -> f64 {
        self.metric
            .between(self.at[a as usize], self.at[b as usize])
    }

    /// Distance between two places.
    #[inline]
    pub(super) fn apart(&self, a: Point, b: Point) -> f64 {
        self.metric.between(a, b)
    }

    /// Cost of a leg, with that of the gap's.
    #[inline]
    pub(super) fn cost(&self, a: Node, b: Node) -> f64 {
        if a == self.gap {
            self.gap_cost(b)
        } else if b == self.gap {
            self.gap_cost(a)
        } else {
            self.between(a, b)
        }
    }

    #[cold]
    fn gap_cost(&self, other: Node) -> f64 {
        if self.anchors.contains(&other) {
            self.anchor_cost
        } else {
            0.0
        }
    }

    /// The points in the order of a round tour of nodes: from the gap on, away from the park; a closed tour from
    /// the lowest number on, towards its lower neighbour.
    pub(super) fn order(&self, round: &[Node]) -> Vec<usize> {
        let first = self.gap().unwrap_or(0);
        let place = round.iter().position(|&node| node == first).unwrap_or(0);
        let mut turned: Vec<Node> = round[place..]
            .iter()
            .chain(&round[..place])
            .copied()
            .collect();
        let [start, park] = self.anchors();
        let last = turned.last().copied();
        let backwards = match (start, park) {
            (Some(start), _) => last == Some(start) && turned.get(1) != Some(&start),
            (None, Some(park)) => turned.get(1) == Some(&park) && last != Some(park),
            (None, None) => turned.get(1).copied() > last,
        };
        if backwards && turned.len() > 1 {
            turned[1..].reverse();
        }
        let points = turned.iter().map(|&node| node as usize);
        points.filter(|&node| node < self.points).collect()
    }
}

/// The least and greatest of each coordinate.
fn corners(at: &[Point]) -> (Point, Point) {
    let mut low = at.first().copied().unwrap_or_default();
    let mut high = low;
    for place in at {
        for axis in 0..2 {
            low[axis] = low[axis].min(place[axis]);
            high[axis] = high[axis].max(place[axis]);
        }
    }
    (low, high)
}
