//! From a block of grown parts to a layout: real rectangles, the tree of cuts, and the rests worth keeping.

use super::answer::{Axis, Layout, Placed, Rect, Region, Use};
use super::blocks::{Block, Node};
use super::core::Core;
use super::problem::Problem;

/// A rectangle in grown units.
#[derive(Clone, Copy)]
struct Grown {
    x: u32,
    y: u32,
    length: u32,
    width: u32,
}

struct Builder<'a> {
    problem: &'a Problem,
    core: &'a Core,
    block: &'a Block,
    extents: Vec<(u32, u32)>,
    /// Copies of each part of each kind not yet placed.
    left: Vec<Vec<(usize, u32)>>,
    placed: Vec<Placed>,
    leftovers: Vec<Rect>,
}

/// The layout that a block stands for.
pub(super) fn layout(problem: &Problem, core: &Core, block: &Block, count: u64) -> Layout {
    let sheet = &problem.sheets[core.sheet];
    let mut builder = Builder {
        problem,
        core,
        block,
        extents: block.extents(core),
        left: core.kinds.iter().map(|kind| kind.parts.clone()).collect(),
        placed: Vec::new(),
        leftovers: Vec::new(),
    };
    let whole = Grown {
        x: 0,
        y: 0,
        length: core.length,
        width: core.width,
    };
    let root = block.nodes.len().checked_sub(1);
    let cuts = builder.region(root, whole, core.first).unwrap_or(Region {
        rect: builder.real(whole),
        becomes: Use::Waste,
    });
    let used: u64 = builder.placed.iter().map(|placed| placed.rect.area()).sum();
    let kept: u64 = builder.leftovers.iter().map(Rect::area).sum();
    let waste = sheet.length * sheet.width - used - kept;
    let (placed, leftovers) = (builder.placed, builder.leftovers);
    Layout {
        sheet: core.sheet,
        count,
        placed,
        leftovers,
        cuts,
        waste,
    }
}

impl Builder<'_> {
    fn real(&self, grown: Grown) -> Rect {
        let trims = &self.problem.sheets[self.core.sheet].trims;
        Rect {
            x: u64::from(grown.x) + trims.left,
            y: u64::from(grown.y) + trims.bottom,
            length: u64::from(grown.length).saturating_sub(self.problem.kerf),
            width: u64::from(grown.width).saturating_sub(self.problem.kerf),
        }
    }

    /// What becomes of a region; `None` if the blade leaves nothing of it.
    fn region(&mut self, node: Option<usize>, grown: Grown, next: Option<Axis>) -> Option<Region> {
        let rect = self.real(grown);
        if rect.length == 0 || rect.width == 0 {
            return None;
        }
        let becomes = match node {
            None => self.rest(rect),
            Some(node) => match self.divides(node, grown, next) {
                Some(axis) => self.cut(node, grown, axis, next),
                None => self.place(node, rect),
            },
        };
        Some(Region { rect, becomes })
    }

    fn rest(&mut self, rect: Rect) -> Use {
        let (long, short) = (rect.length.max(rect.width), rect.length.min(rect.width));
        let useful = |(one, other): (u64, u64)| long >= one.max(other) && short >= one.min(other);
        if self.problem.useful.is_some_and(useful) {
            self.leftovers.push(rect);
            return Use::Leftover;
        }
        Use::Waste
    }

    fn place(&mut self, node: usize, rect: Rect) -> Use {
        let Node::Part { kind, shape } = self.block.nodes[node] else {
            unreachable!("a join always has a cut");
        };
        let parts = &mut self.left[kind as usize];
        let at = parts.iter().position(|part| part.1 > 0).unwrap_or(0);
        parts[at].1 = parts[at].1.saturating_sub(1);
        let turned = self.core.kinds[kind as usize].shapes[shape as usize].turned;
        self.placed.push(Placed {
            part: parts[at].0,
            rect,
            turned,
        });
        Use::Part(self.placed.len() - 1)
    }

    /// What lies beyond a node in its region along each axis.
    fn beyond(&self, node: usize, grown: Grown, axis: Axis) -> u32 {
        match axis {
            Axis::Length => grown.length - self.extents[node].0,
            Axis::Width => grown.width - self.extents[node].1,
        }
    }

    /// Which way a region is cut next; `None` if the node is a part that fills it. With stages: as the stage
    /// says where it has anything to cut. Else the cut that takes off the larger rest, or the join's own.
    fn divides(&self, node: usize, grown: Grown, next: Option<Axis>) -> Option<Axis> {
        let join = match self.block.nodes[node] {
            Node::Join { divides, .. } => Some(divides),
            Node::Part { .. } => None,
        };
        let cuts = |axis: Axis| join == Some(axis) || self.beyond(node, grown, axis) > 0;
        let area = |axis: Axis| {
            let side = if axis == Axis::Length {
                grown.width
            } else {
                grown.length
            };
            u64::from(self.beyond(node, grown, axis)) * u64::from(side)
        };
        let order = match next {
            Some(Axis::Length) => [Axis::Length, Axis::Width],
            Some(Axis::Width) => [Axis::Width, Axis::Length],
            None if area(Axis::Length) > area(Axis::Width) => [Axis::Length, Axis::Width],
            None if area(Axis::Length) < area(Axis::Width) => [Axis::Width, Axis::Length],
            None => [join.unwrap_or(Axis::Length), Axis::Width],
        };
        order.into_iter().find(|&axis| cuts(axis)).or(join)
    }

    /// Nodes side by side along an axis.
    fn chain(&self, node: usize, axis: Axis, chain: &mut Vec<usize>) {
        match self.block.nodes[node] {
            Node::Join {
                divides,
                first,
                second,
            } if divides == axis => {
                self.chain(first as usize, axis, chain);
                self.chain(second as usize, axis, chain);
            }
            _ => chain.push(node),
        }
    }

    fn cut(&mut self, node: usize, grown: Grown, axis: Axis, next: Option<Axis>) -> Use {
        let mut chain = Vec::new();
        self.chain(node, axis, &mut chain);
        let other = match axis {
            Axis::Length => Axis::Width,
            Axis::Width => Axis::Length,
        };
        let after = next.map(|_| other);
        let mut pieces = Vec::new();
        let mut rest = grown;
        for piece in chain {
            let extent = self.extents[piece];
            let here = match axis {
                Axis::Length => Grown {
                    length: extent.0,
                    ..rest
                },
                Axis::Width => Grown {
                    width: extent.1,
                    ..rest
                },
            };
            rest = beyond(rest, here, axis);
            pieces.extend(self.region(Some(piece), here, after));
        }
        pieces.extend(self.region(None, rest, after));
        Use::Cut {
            divides: axis,
            pieces,
        }
    }
}

/// What is left of a region once a piece at its start is cut off.
fn beyond(region: Grown, piece: Grown, axis: Axis) -> Grown {
    match axis {
        Axis::Length => Grown {
            x: region.x + piece.length,
            length: region.length - piece.length,
            ..region
        },
        Axis::Width => Grown {
            y: region.y + piece.width,
            width: region.width - piece.width,
            ..region
        },
    }
}
