//! Each node's neighbours: the nodes that a good tour may well go on to.
//!
//! Where holes come in clusters, the nearest few all lie in the same cluster and no list leads out of it. So a
//! list holds the nearest of all and, besides, the nearest in each quadrant (Johnson & McGeoch 1997, section 3.3).

use super::Metric;
use super::nodes::{Node, Nodes};
use super::tree::{Area, Tree};

/// A neighbour and how far it is.
#[derive(Clone, Copy)]
pub(super) struct Neighbour {
    pub(super) node: Node,
    pub(super) cost: f64,
}

/// The neighbours of every node, nearest first.
pub(super) struct Near {
    first: Vec<u32>,
    all: Vec<Neighbour>,
}

impl Near {
    /// Neighbours among all nodes that have a place: so many nearest, and so many in each quadrant.
    pub(super) fn new<M: Metric>(nodes: &Nodes<'_, M>, nearest: usize, quadrant: usize) -> Self {
        let placed = |node: &Node| Some(*node) != nodes.gap();
        let members: Vec<Node> = (0..nodes.len() as Node).filter(placed).collect();
        let tree = Tree::new(nodes, members);
        let mut near = Self {
            first: vec![0],
            all: Vec::new(),
        };
        for node in 0..nodes.len() as Node {
            if placed(&node) {
                near.all
                    .extend(neighbours(nodes, &tree, node, nearest, quadrant));
            }
            near.first.push(near.all.len() as u32);
        }
        near
    }

    /// Neighbours of a node, nearest first; the gap has none.
    #[inline]
    pub(super) fn of(&self, node: Node) -> &[Neighbour] {
        let node = node as usize;
        &self.all[self.first[node] as usize..self.first[node + 1] as usize]
    }
}

/// The list of one node.
fn neighbours<M: Metric>(
    nodes: &Nodes<'_, M>,
    tree: &Tree<'_, '_, M>,
    node: Node,
    nearest: usize,
    quadrant: usize,
) -> impl Iterator<Item = Neighbour> {
    let mut found = tree.nearest(node, nearest, &Area::PLANE);
    let [x, y] = nodes.at(node);
    let [out, far] = [f64::NEG_INFINITY, f64::INFINITY];
    for (low, high) in [
        ([x, y], [far, far]),
        ([out, y], [x, far]),
        ([out, out], [x, y]),
        ([x, out], [far, y]),
    ] {
        found.extend(tree.nearest(node, quadrant, &Area { low, high }));
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    found.dedup_by_key(|found| found.1);
    found
        .into_iter()
        .map(|(cost, node)| Neighbour { node, cost })
}
