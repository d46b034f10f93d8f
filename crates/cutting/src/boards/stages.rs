//! Two stages of cuts in one view of a board: strips, and parts along each.
//!
//! Both stages are laid by `line`: what a strip is worth is a best line of parts along it, and depends on where
//! the strip lies only through the marks it meets, so the strip is in turn an item whose worth is constant over
//! stretches. The best two-stage plan is thus found exactly, positions of the first cuts included.
//!
//! With a third stage a strip is a narrow board cut in two stages the other way round, and its worth is found so.
//! Strips are then as wide as parts side by side, up to [`WIDTHS`] widths; that choice of widths is the only
//! thing not exact (a strip may be wanted a little wider, to go round a mark between two parts).

use super::board::Span;
use super::ground::{Ground, Obstacle, Shape, turned};
use super::line::{Item, Laid, Laying, Line, Stretch};
use super::strip::{Group, Piece};

/// A piece after the second cut, with the parts in it and where they lie across the strip.
#[derive(Clone, Debug)]
pub(crate) struct Cell {
    pub(crate) long: Span,
    pub(crate) parts: Vec<(usize, Span)>,
}

/// A plan in one view: strips, each with its cells.
#[derive(Clone, Debug)]
pub(crate) struct Staged {
    pub(crate) strips: Vec<(Span, Vec<Cell>)>,
}

/// Widths of strip tried with a third stage, at most.
const WIDTHS: usize = 48;

/// The best two-stage plans of a view that differ in their strips.
pub(crate) fn two_stage(ground: &Ground, shapes: &[Shape], keep: usize) -> Vec<Staged> {
    let groups = groups(ground, shapes);
    let found = lay_strips(ground, &strip_items(ground, &groups), keep);
    found
        .iter()
        .map(|laying| staged(ground, &groups, laying))
        .collect()
}

/// The best three-stage plans of a view that differ in their strips; `side` is the view from the side.
pub(crate) fn three_stage(
    ground: &Ground,
    side: &Ground,
    shapes: &[Shape],
    keep: usize,
) -> Vec<Staged> {
    let groups = groups(side, &turned(shapes));
    let item = |&width: &u64| {
        let worth = |cross: Span| {
            let narrow = side.narrowed(cross);
            lay_strips(&narrow, &strip_items(&narrow, &groups), 1)[0].value
        };
        strip_item(ground, width, worth)
    };
    let items: Vec<Item> = strip_widths(ground, shapes).iter().map(item).collect();
    let found = lay_strips(ground, &items, keep);
    let strip = |laying: &Laid| {
        let cross = Span::new(laying.start, laying.start + items[laying.item].length);
        let narrow = side.narrowed(cross);
        let best = lay_strips(&narrow, &strip_items(&narrow, &groups), 1).swap_remove(0);
        (cross, cells(staged(&narrow, &groups, &best)))
    };
    let plan = |laying: &Laying| Staged {
        strips: laying.laid.iter().map(strip).collect(),
    };
    found.iter().map(plan).collect()
}

/// Strips seen from the side are cells.
fn cells(side: Staged) -> Vec<Cell> {
    let cell = |(long, parts): (Span, Vec<Cell>)| Cell {
        long,
        parts: parts
            .into_iter()
            .map(|cell| (cell.parts[0].0, cell.long))
            .collect(),
    };
    side.strips.into_iter().map(cell).collect()
}

/// Widths of parts side by side, as few parts as possible first.
fn strip_widths(ground: &Ground, shapes: &[Shape]) -> Vec<u64> {
    let mut single: Vec<u64> = shapes.iter().map(|shape| shape.cross).collect();
    single.retain(|&width| width <= ground.cross.length());
    single.sort_unstable();
    single.dedup();
    let mut widths = single.clone();
    let mut last = single.clone();
    while !last.is_empty() && widths.len() < WIDTHS {
        let wider = |&width: &u64| {
            single
                .iter()
                .map(move |more| width + ground.cross_kerf + more)
        };
        let mut next: Vec<u64> = last.iter().flat_map(wider).collect();
        next.retain(|width| *width <= ground.cross.length() && !widths.contains(width));
        next.sort_unstable();
        next.dedup();
        widths.extend(&next);
        last = next;
    }
    widths.truncate(WIDTHS);
    widths
}

/// The best ways to lay strips side by side.
fn lay_strips(ground: &Ground, items: &[Item], keep: usize) -> Vec<Laying> {
    let line = Line {
        items,
        kerf: ground.cross_kerf,
        end: ground.cross.to,
    };
    line.best(keep, |_| f64::INFINITY)
}

/// Strips of each group's width as items.
fn strip_items(ground: &Ground, groups: &[(u64, Group)]) -> Vec<Item> {
    let item = |(width, group): &(u64, Group)| {
        strip_item(ground, *width, |cross| {
            group.value(ground.long, met(ground, cross))
        })
    };
    groups.iter().map(item).collect()
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
        let cell = |(part, long): Piece| Cell {
            long,
            parts: vec![(part, cross)],
        };
        let pieces = group.pieces(ground.long, met(ground, cross));
        (cross, pieces.into_iter().map(cell).collect())
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
fn strip_item(ground: &Ground, width: u64, worth: impl Fn(Span) -> f64) -> Item {
    let mut starts: Vec<Stretch> = Vec::new();
    for (from, to) in same_marks(ground, width) {
        let value = worth(Span::new(from, from + width));
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
