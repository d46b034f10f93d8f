//! Two stages of cuts in one view of a board: strips, and parts along each.
//!
//! Both stages are laid by `line`: what a strip is worth is a best line of parts along it, and depends on where
//! the strip lies only through the marks it meets, so the strip is in turn an item whose worth is constant over
//! stretches. The best two-stage plan is thus found exactly, positions of the first cuts included.

use super::board::Span;
use super::ground::{Ground, Obstacle, Shape};
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

/// The best two-stage plans of a view that differ in their strips.
pub(crate) fn two_stage(ground: &Ground, shapes: &[Shape], keep: usize) -> Vec<Staged> {
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
