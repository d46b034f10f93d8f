//! The best cuts of one whole board: ripped first, crosscut first, or whichever is better.
//!
//! First cuts make strips as wide as some part; the second make parts of that width. Both stages are laid by
//! `line`: what a strip is worth is a best line of parts along it, and depends on where the strip lies
//! only through the marks it meets, so the strip is in turn an item whose worth is constant over stretches.
//! The best two-stage plan is thus found exactly, rip positions included. Crosscut first is the same seen from
//! the side.

use effort::Effort;

use super::board::{Board, BoardFault, Part, Saw, Span, check_board, check_parts, check_saw};
use super::ground::{Ground, Obstacle, Shape, shapes, turned};
use super::line::{Item, Laid, Laying, Line, Stretch};
use super::plan::{BoardPlan, Order, Placed, Section, Strip, value_of};
use super::strip::{Group, Piece};

/// Which orders of cutting to try.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub enum Orders {
    /// Only rip first.
    RipFirst,
    /// Only crosscut first.
    CrosscutFirst,
    /// Both, and the better is taken.
    Either,
}

/// How a board is to be cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Wish {
    /// Orders to try.
    pub orders: Orders,
    /// Whether a third cut may win smaller parts where no full one fits.
    pub salvage: bool,
    /// How many alternatives, which differ in their first cuts.
    pub keep: usize,
}

impl Default for Wish {
    fn default() -> Self {
        Self {
            orders: Orders::Either,
            salvage: false,
            keep: 1,
        }
    }
}

/// Ranked plans of one board, and what no plan of the orders asked for can exceed.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Answer {
    /// Best first; at least one, if only an empty one.
    pub plans: Vec<BoardPlan>,
    /// No plan within the wish is worth more.
    pub bound: f64,
    /// Whether the first plan is worth the bound.
    pub proved: bool,
}

/// The best plans of one board.
pub fn best_plans(
    board: &Board,
    parts: &[Part],
    saw: &Saw,
    wish: &Wish,
    effort: Effort<'_>,
) -> Result<Answer, BoardFault> {
    check_board(0, board)?;
    check_parts(parts)?;
    check_saw(saw)?;
    let _ = effort;
    let ground = Ground::new(board, saw);
    let shapes = shapes(parts);
    let mut plans = Vec::new();
    if wish.orders != Orders::CrosscutFirst {
        plans.extend(
            two_stage(&ground, &shapes, wish.keep)
                .into_iter()
                .map(|stage| stage.plan(Order::RipFirst, parts)),
        );
    }
    if wish.orders != Orders::RipFirst {
        let found = two_stage(&ground.turned(), &turned(&shapes), wish.keep);
        plans.extend(
            found
                .into_iter()
                .map(|stage| stage.plan(Order::CrosscutFirst, parts)),
        );
    }
    plans.sort_by(|a, b| b.value.total_cmp(&a.value));
    plans.truncate(wish.keep.max(1));
    let bound = plans.first().map_or(0.0, |plan| plan.value);
    Ok(Answer {
        plans,
        bound,
        proved: true,
    })
}

/// A two-stage plan in one view.
struct Staged {
    strips: Vec<(Span, Vec<Piece>)>,
}

impl Staged {
    fn plan(&self, order: Order, parts: &[Part]) -> BoardPlan {
        let turn = order == Order::CrosscutFirst;
        let strip = |(cross, laid): &(Span, Vec<Piece>)| Strip {
            span: *cross,
            sections: laid
                .iter()
                .map(|&(part, long)| section(part, long, *cross, turn))
                .collect(),
        };
        let mut plan = BoardPlan {
            order,
            strips: self.strips.iter().map(strip).collect(),
            value: 0.0,
        };
        plan.value = value_of(parts, &plan.counts(parts.len()));
        plan
    }
}

fn section(part: usize, long: Span, cross: Span, turn: bool) -> Section {
    let (along, across) = if turn { (cross, long) } else { (long, cross) };
    Section {
        span: long,
        parts: vec![Placed {
            part,
            along,
            across,
        }],
    }
}

/// The best two-stage plans of a view that differ in their strips.
fn two_stage(ground: &Ground, shapes: &[Shape], keep: usize) -> Vec<Staged> {
    let groups = groups(ground, shapes);
    let items: Vec<Item> = groups
        .iter()
        .map(|(width, group)| strip_item(ground, *width, group))
        .collect();
    let line = Line {
        items: &items,
        kerf: ground.cross_kerf,
        end: ground.cross.to,
    };
    let found = line.best(keep, |_| f64::INFINITY);
    found
        .iter()
        .map(|laying| staged(ground, &groups, laying))
        .collect()
}

/// The parts by width, each with its width.
fn groups(ground: &Ground, shapes: &[Shape]) -> Vec<(u64, Group)> {
    let mut widths: Vec<u64> = shapes.iter().map(|shape| shape.cross).collect();
    widths.sort_unstable();
    widths.dedup();
    let group = |width: u64| {
        let of_width = shapes.iter().filter(|shape| shape.cross == width).copied();
        (
            width,
            Group::new(of_width.collect(), ground.long_kerf, ground.long.length()),
        )
    };
    widths.into_iter().map(group).collect()
}

fn staged(ground: &Ground, groups: &[(u64, Group)], laying: &Laying) -> Staged {
    let strip = |laid: &Laid| {
        let (width, group) = &groups[laid.item];
        let cross = Span::new(laid.start, laid.start + width);
        (cross, group.pieces(ground.long, met(ground, cross)))
    };
    Staged {
        strips: laying.laid.iter().map(strip).collect(),
    }
}

/// The marks a strip meets.
pub(crate) fn met(ground: &Ground, cross: Span) -> impl Iterator<Item = &Obstacle> {
    ground
        .obstacles
        .iter()
        .filter(move |o| o.cross.overlaps(cross))
}

/// A strip of this width as an item: where it may lie, and what it is then worth.
fn strip_item(ground: &Ground, width: u64, group: &Group) -> Item {
    let mut starts: Vec<Stretch> = Vec::new();
    for (from, to) in same_marks(ground, width) {
        let value = group.value(ground.long, met(ground, Span::new(from, from + width)));
        match starts.last_mut() {
            Some(last) if last.value == value && last.to + 1 == from => last.to = to,
            _ => starts.push(Stretch { from, to, value }),
        }
    }
    starts.retain(|stretch| stretch.value > 0.0);
    Item {
        length: width,
        starts,
    }
}

/// Places of a strip of this width, cut where the marks it meets change.
pub(crate) fn same_marks(ground: &Ground, width: u64) -> Vec<(u64, u64)> {
    let room = ground.cross;
    if room.length() < width {
        return Vec::new();
    }
    let last = room.to - width;
    let changes = ground.obstacles.iter().flat_map(|o| {
        // It is met from the first start whose end passes its own start, and no longer from its end on.
        [(o.cross.from + 1).saturating_sub(width), o.cross.to]
    });
    let mut firsts: Vec<u64> = changes.filter(|&at| room.from < at && at <= last).collect();
    firsts.push(room.from);
    firsts.sort_unstable();
    firsts.dedup();
    let ends = firsts.iter().skip(1).map(|&next| next - 1).chain([last]);
    firsts.iter().copied().zip(ends).collect()
}
