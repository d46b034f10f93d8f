//! Blocks: parts joined side by side, as a list of nodes in which children come before their parent.

use super::answer::Axis;
use super::core::Core;

/// One part, or two blocks side by side along an axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Node {
    Part {
        kind: u32,
        shape: u32,
    },
    Join {
        divides: Axis,
        first: u32,
        second: u32,
    },
}

/// A block; the last node is the whole. No node: nothing is cut.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Block {
    pub(super) nodes: Vec<Node>,
}

impl Block {
    pub(super) fn part(&mut self, kind: usize, shape: usize) -> u32 {
        self.push(Node::Part {
            kind: kind as u32,
            shape: shape as u32,
        })
    }

    pub(super) fn push(&mut self, node: Node) -> u32 {
        self.nodes.push(node);
        self.nodes.len() as u32 - 1
    }

    /// Two blocks, each perhaps empty, side by side.
    pub(super) fn join(
        &mut self,
        divides: Axis,
        first: Option<u32>,
        second: Option<u32>,
    ) -> Option<u32> {
        match (first, second) {
            (Some(first), Some(second)) => Some(self.push(Node::Join {
                divides,
                first,
                second,
            })),
            (one, other) => one.or(other),
        }
    }

    /// How many of each kind.
    pub(super) fn counts(&self, core: &Core) -> Vec<u32> {
        let mut counts = vec![0; core.kinds.len()];
        for node in &self.nodes {
            if let Node::Part { kind, .. } = node {
                counts[*kind as usize] += 1;
            }
        }
        counts
    }

    /// The same block without the parts above their kinds' limits.
    pub(super) fn within_limits(&self, core: &Core) -> Self {
        self.within(core.kinds.iter().map(|kind| kind.most).collect())
    }

    /// The same block without the parts above so many of each kind.
    pub(super) fn within(&self, mut left: Vec<u32>) -> Self {
        let mut kept = Self::default();
        let mut moved: Vec<Option<u32>> = Vec::with_capacity(self.nodes.len());
        for &node in &self.nodes {
            let new = match node {
                Node::Part { kind, .. } if left[kind as usize] == 0 => None,
                Node::Part { kind, .. } => {
                    left[kind as usize] -= 1;
                    Some(kept.push(node))
                }
                Node::Join {
                    divides,
                    first,
                    second,
                } => kept.join(divides, moved[first as usize], moved[second as usize]),
            };
            moved.push(new);
        }
        kept
    }

    /// The same block with kinds named anew.
    pub(super) fn renamed(mut self, name: impl Fn(u32) -> u32) -> Self {
        for node in &mut self.nodes {
            if let Node::Part { kind, .. } = node {
                *kind = name(*kind);
            }
        }
        self
    }

    /// Length and width of each node, grown.
    pub(super) fn extents(&self, core: &Core) -> Vec<(u32, u32)> {
        let mut extents: Vec<(u32, u32)> = Vec::with_capacity(self.nodes.len());
        for node in &self.nodes {
            let extent = match *node {
                Node::Part { kind, shape } => {
                    let shape = core.kinds[kind as usize].shapes[shape as usize];
                    (shape.length, shape.width)
                }
                Node::Join {
                    divides,
                    first,
                    second,
                } => {
                    let (one, other) = (extents[first as usize], extents[second as usize]);
                    match divides {
                        Axis::Length => (one.0 + other.0, one.1.max(other.1)),
                        Axis::Width => (one.0.max(other.0), one.1 + other.1),
                    }
                }
            };
            extents.push(extent);
        }
        extents
    }
}
