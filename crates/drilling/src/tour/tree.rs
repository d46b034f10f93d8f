//! A k-d tree over places in the plane (Bentley 1975): the nearest nodes by any metric that never falls when
//! points move apart along an axis.
//!
//! A box of nodes is passed over when even its point nearest to the asker, coordinate by coordinate, is farther
//! away than what was found already.

use super::nodes::{Node, Nodes};
use super::{Metric, Point};

/// Boxes with fewer nodes are searched one by one.
const LEAF: usize = 8;

/// A rectangle, its edges included.
#[derive(Clone, Copy)]
pub(super) struct Area {
    pub(super) low: Point,
    pub(super) high: Point,
}

impl Area {
    /// The whole plane.
    pub(super) const PLANE: Self = Self {
        low: [f64::NEG_INFINITY; 2],
        high: [f64::INFINITY; 2],
    };

    fn around(places: impl Iterator<Item = Point>) -> Self {
        let mut area = Self {
            low: Self::PLANE.high,
            high: Self::PLANE.low,
        };
        for place in places {
            area.low = [0, 1].map(|axis| area.low[axis].min(place[axis]));
            area.high = [0, 1].map(|axis| area.high[axis].max(place[axis]));
        }
        area
    }

    fn both(&self, other: &Self) -> Option<Self> {
        let both = Self {
            low: [0, 1].map(|axis| self.low[axis].max(other.low[axis])),
            high: [0, 1].map(|axis| self.high[axis].min(other.high[axis])),
        };
        let some = (0..2).all(|axis| both.low[axis] <= both.high[axis]);
        some.then_some(both)
    }

    fn nearest_to(&self, place: Point) -> Point {
        [0, 1].map(|axis| place[axis].clamp(self.low[axis], self.high[axis]))
    }

    fn holds(&self, place: Point) -> bool {
        (0..2).all(|axis| self.low[axis] <= place[axis] && place[axis] <= self.high[axis])
    }
}

/// A box and what lies in it: nodes, or two smaller boxes.
struct Part {
    area: Area,
    inside: Inside,
}

enum Inside {
    Nodes { from: usize, to: usize },
    Parts { left: usize, right: usize },
}

/// The tree.
pub(super) struct Tree<'t, 'q, M> {
    nodes: &'t Nodes<'q, M>,
    sorted: Vec<Node>,
    parts: Vec<Part>,
    root: usize,
}

/// Nodes found, nearest first; equal distances by number, so that the answer does not depend on the tree.
type Found = Vec<(f64, Node)>;

impl<'t, 'q, M: Metric> Tree<'t, 'q, M> {
    /// A tree over some nodes, each of which has a place.
    pub(super) fn new(nodes: &'t Nodes<'q, M>, members: Vec<Node>) -> Self {
        let mut tree = Self {
            nodes,
            sorted: members,
            parts: Vec::new(),
            root: 0,
        };
        let count = tree.sorted.len();
        tree.root = tree.part(0, count);
        tree
    }

    /// Builds the box over a stretch of the sorted nodes, halved at the middle of its longer side.
    fn part(&mut self, from: usize, to: usize) -> usize {
        let stretch = &mut self.sorted[from..to];
        let area = Area::around(stretch.iter().map(|&node| self.nodes.at(node)));
        let inside = if stretch.len() <= LEAF {
            Inside::Nodes { from, to }
        } else {
            let [wide, high] = [0, 1].map(|axis| area.high[axis] - area.low[axis]);
            let axis = usize::from(high > wide);
            let half = stretch.len() / 2;
            let key = |node: Node| self.nodes.at(node)[axis];
            stretch.select_nth_unstable_by(half, |&a, &b| key(a).total_cmp(&key(b)));
            Inside::Parts {
                left: self.part(from, from + half),
                right: self.part(from + half, to),
            }
        };
        self.parts.push(Part { area, inside });
        self.parts.len() - 1
    }

    /// The nearest `count` other nodes within an area.
    pub(super) fn nearest(&self, asker: Node, count: usize, within: &Area) -> Found {
        let mut found = Found::with_capacity(count + 1);
        if count > 0 {
            self.look(self.root, asker, count, within, &mut found);
        }
        found
    }

    fn look(&self, part: usize, asker: Node, count: usize, within: &Area, found: &mut Found) {
        let part = &self.parts[part];
        match part.inside {
            Inside::Nodes { from, to } => {
                for &node in &self.sorted[from..to] {
                    if node != asker && within.holds(self.nodes.at(node)) {
                        keep(found, count, (self.nodes.between(asker, node), node));
                    }
                }
            }
            Inside::Parts { left, right } => {
                let mut both = [left, right].map(|part| (self.reach(part, asker, within), part));
                if both[1].0 < both[0].0 {
                    both.swap(0, 1);
                }
                for (reach, part) in both {
                    let worth =
                        found.len() < count || found.last().is_none_or(|worst| reach <= worst.0);
                    if worth && reach < f64::INFINITY {
                        self.look(part, asker, count, within, found);
                    }
                }
            }
        }
    }

    /// No node of the box within the area is nearer than this.
    fn reach(&self, part: usize, asker: Node, within: &Area) -> f64 {
        let place = self.nodes.at(asker);
        match self.parts[part].area.both(within) {
            Some(area) => self.nodes.apart(place, area.nearest_to(place)),
            None => f64::INFINITY,
        }
    }
}

/// Puts a node among the nearest, if it belongs there.
fn keep(found: &mut Found, count: usize, new: (f64, Node)) {
    let before = |old: &(f64, Node)| old.0.total_cmp(&new.0).then(old.1.cmp(&new.1)).is_lt();
    let place = found.partition_point(before);
    if place < count {
        found.insert(place, new);
        found.truncate(count);
    }
}
