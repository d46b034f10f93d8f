//! The route map: stations, items and stores as boxes, flow as arrows, drawn in layers.
//!
//! The rooms, in the order of the work: [`graph`] breaks cycles and finds layers, [`net`] orders
//! them, [`place`] gives places across, [`channel`] routes the arrows between two layers, [`shape`]
//! folds the layers into bands and puts all on the sheet, [`draw`] writes it. [`check`] judges it.

mod card;
mod channel;
#[cfg(test)]
mod check;
mod draw;
mod graph;
mod net;
mod place;
mod shape;

use crate::frame::{Frame, nothing_to_draw};
use crate::ink::Sheet;

/// What a box stands for; each kind has its own outline, so colour is never alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum NodeKind {
    /// An operation done at a station.
    Station,
    /// Something made: the product or a part.
    Item,
    /// A store or a buffer.
    Store,
    /// Something bought.
    Bought,
    /// Something of value that comes out beside the product.
    ByProduct,
    /// What is thrown away.
    Scrap,
    /// A check or test.
    Test,
}

/// A box of the map.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Unique name that edges refer to; not shown. A second node of the same id is left out.
    pub id: String,
    /// Main line: operation or item.
    pub label: String,
    /// Second line, for example the station; may be empty.
    pub sub: String,
    /// What the box stands for.
    pub kind: NodeKind,
    /// Amount with its unit as it shall be printed, for example `5,435 planks`; may be empty.
    pub amount: String,
}

/// What moves along an arrow.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum EdgeKind {
    /// The way forward.
    Flow,
    /// Back to an earlier operation to be put right.
    Rework,
    /// Back into the feed after grinding or melting.
    Regrind,
    /// Out beside the product, with a value.
    ByProduct,
    /// Out as rejected.
    Reject,
}

/// An arrow of the map. An edge that names no node is left out.
#[derive(Clone, Debug, PartialEq)]
pub struct Edge {
    /// Id of the node it leaves.
    pub from: String,
    /// Id of the node it enters.
    pub to: String,
    /// Short text beside the arrow, for example `4 %`; may be empty.
    pub label: String,
    /// What moves along it.
    pub kind: EdgeKind,
    /// Share of the largest flow, 0..=1: sets the thickness of the line only.
    pub weight: f64,
}

/// Which way the route runs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Direction {
    /// Left to right when it fits the width; else in turns on a page, downwards on a phone.
    #[default]
    Fit,
    /// Left to right in one line, however wide.
    LeftToRight,
    /// In lines that turn at the margin, as an ox ploughs.
    Turning,
    /// From top to bottom.
    Down,
}

/// A route to draw.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RouteMap {
    /// The boxes.
    pub nodes: Vec<Node>,
    /// The arrows.
    pub edges: Vec<Edge>,
    /// Which way it runs.
    pub direction: Direction,
}

/// Draws the route map.
pub fn route_map(frame: &Frame, map: &RouteMap) -> String {
    if map.nodes.is_empty() {
        return nothing_to_draw(frame, "the route has no operations");
    }
    let layout = shape::lay_out(map, Sheet::new(frame).width());
    draw::draw(frame, map, &layout)
}

#[cfg(test)]
mod tests;
