//! A board seen both ways, ready to be cut again and again at different prices.

use super::board::{Board, Saw, Span};
use super::crosscut::strip_of;
use super::ground::{Ground, Shape, turned};
use super::plan::{BoardPlan, Order, Placed, Section, Strip};
use super::stages::{Cell, Staged, three_stage, two_stage};
use super::strip::Group;
use super::whole::{Orders, Wish};

impl Orders {
    /// The order of an empty plan.
    pub(crate) fn first(self) -> Order {
        match self {
            Self::Crosscut => Order::Crosscut,
            Self::CrosscutFirst => Order::CrosscutFirst,
            Self::RipFirst | Self::Either => Order::RipFirst,
        }
    }

    /// The orders with two stages.
    fn staged(self) -> &'static [Order] {
        match self {
            Self::Crosscut => &[],
            Self::RipFirst => &[Order::RipFirst],
            Self::CrosscutFirst => &[Order::CrosscutFirst],
            Self::Either => &[Order::RipFirst, Order::CrosscutFirst],
        }
    }
}

/// The two views of a board.
#[derive(Clone, Debug)]
pub(crate) struct Views {
    plain: Ground,
    side: Ground,
}

impl Views {
    pub(crate) fn new(board: &Board, saw: &Saw) -> Self {
        let plain = Ground::new(board, saw);
        Self {
            side: plain.turned(),
            plain,
        }
    }

    /// The best plans for parts of these values, whatever their needs; best first, each with its value. Empty
    /// if no part can be cut.
    pub(crate) fn best(&self, shapes: &[Shape], wish: &Wish) -> Vec<BoardPlan> {
        let mut plans: Vec<BoardPlan> = Vec::new();
        if wish.orders == Orders::Crosscut {
            plans.extend(self.crosscut(shapes));
        }
        for &order in wish.orders.staged() {
            let found = self.staged(order, shapes, wish);
            plans.extend(found.iter().map(|staged| plan(staged, order)));
        }
        for plan in &mut plans {
            plan.value = plan.placed().map(|placed| value(shapes, placed.part)).sum();
        }
        plans.sort_by(|a, b| b.value.total_cmp(&a.value));
        plans.truncate(wish.keep.max(1));
        plans
    }

    fn staged(&self, order: Order, shapes: &[Shape], wish: &Wish) -> Vec<Staged> {
        let turned_shapes;
        let (view, other, shapes) = if order == Order::CrosscutFirst {
            turned_shapes = turned(shapes);
            (&self.side, &self.plain, turned_shapes.as_slice())
        } else {
            (&self.plain, &self.side, shapes)
        };
        let mut found = two_stage(view, shapes, wish.keep);
        if wish.salvage {
            found.extend(three_stage(view, other, shapes, wish.keep));
        }
        found
    }

    /// The best crosscuts over the full width.
    fn crosscut(&self, shapes: &[Shape]) -> Option<BoardPlan> {
        let ground = &self.plain;
        let fits = |shape: &&Shape| shape.cross <= ground.cross.length();
        let group = Group::new(
            shapes.iter().filter(fits).copied().collect(),
            ground.long_kerf,
            ground.long.length(),
        );
        let pieces = group.pieces(ground.long, ground.obstacles.iter());
        let strip = strip_of(ground.cross, pieces.into_iter())?;
        Some(BoardPlan {
            strips: vec![strip],
            ..BoardPlan::empty(Order::Crosscut)
        })
    }
}

/// Value of a part of the list among these.
fn value(shapes: &[Shape], part: usize) -> f64 {
    let shape = shapes.iter().find(|shape| shape.part == part);
    shape.map_or(0.0, |shape| shape.value)
}

/// A staged plan in the words of the answer.
fn plan(staged: &Staged, order: Order) -> BoardPlan {
    let turn = order == Order::CrosscutFirst;
    let strip = |(cross, cells): &(Span, Vec<Cell>)| Strip {
        span: *cross,
        sections: cells.iter().map(|cell| section(cell, turn)).collect(),
    };
    BoardPlan {
        strips: staged.strips.iter().map(strip).collect(),
        ..BoardPlan::empty(order)
    }
}

fn section(cell: &Cell, turn: bool) -> Section {
    let place = |&(part, cross): &(usize, Span)| {
        let (along, across) = if turn {
            (cross, cell.long)
        } else {
            (cell.long, cross)
        };
        Placed {
            part,
            along,
            across,
        }
    };
    Section {
        span: cell.long,
        parts: cell.parts.iter().map(place).collect(),
    }
}
