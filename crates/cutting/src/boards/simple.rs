//! What a saw hand does by eye: from the left end, the longest part that fits clear. For comparison.

use super::board::{Board, BoardFault, Part, Saw, Span, check_question};
use super::crosscut::{crosscut_plan, strip_of};
use super::ground::{Ground, Shape, shapes, starts};
use super::plan::{BoardPlan, Order, value_of};

/// Crosscuts from the left: where the blade stands the longest part that can be had there is cut (of two as
/// long, the more valuable); if none can, the blade goes to the nearest point where one can. Needs are not
/// looked at.
pub fn left_to_right(board: &Board, parts: &[Part], saw: &Saw) -> Result<BoardPlan, BoardFault> {
    check_question(0, board, parts, saw)?;
    let ground = Ground::new(board, saw);
    let mut shapes = shapes(parts);
    shapes.retain(|shape| shape.cross <= ground.cross.length());
    let laid = greedy(&ground, &shapes);
    Ok(crosscut_plan(parts, ground.cross, laid.into_iter()))
}

/// The parts in turn, with where they lie.
fn greedy(ground: &Ground, shapes: &[Shape]) -> Vec<(usize, Span)> {
    let mut laid = Vec::new();
    let mut blade = ground.long.from;
    let starts: Vec<_> = shapes
        .iter()
        .map(|s| starts(ground.long, &ground.obstacles, s.long, s.quality, s.value))
        .collect();
    let next = |shape: usize, blade: u64| {
        let stretch = starts[shape].iter().find(|stretch| stretch.to >= blade)?;
        Some(stretch.from.max(blade))
    };
    loop {
        let options = (0..shapes.len()).filter_map(|shape| Some((next(shape, blade)?, shape)));
        let better = |a: &(u64, usize), b: &(u64, usize)| {
            let (x, y) = (&shapes[a.1], &shapes[b.1]);
            let longer = y.long.cmp(&x.long).then(y.value.total_cmp(&x.value));
            a.0.cmp(&b.0).then(longer)
        };
        let Some((start, shape)) = options.min_by(better) else {
            return laid;
        };
        let end = start + shapes[shape].long;
        laid.push((shapes[shape].part, Span::new(start, end)));
        blade = end + ground.long_kerf;
    }
}

/// Rips from one edge, always the widest part that still fits in what is left, and crosscuts each strip from
/// the left. Needs are not looked at.
pub fn rip_and_left_to_right(
    board: &Board,
    parts: &[Part],
    saw: &Saw,
) -> Result<BoardPlan, BoardFault> {
    check_question(0, board, parts, saw)?;
    let ground = Ground::new(board, saw);
    let shapes = shapes(parts);
    let mut plan = BoardPlan::empty(Order::RipFirst);
    let mut from = ground.cross.from;
    let widest = |room: u64| {
        shapes
            .iter()
            .map(|shape| shape.cross)
            .filter(|&width| width <= room)
            .max()
    };
    while let Some(width) = widest(ground.cross.to.saturating_sub(from)) {
        let across = Span::new(from, from + width);
        let of_width: Vec<Shape> = shapes
            .iter()
            .filter(|shape| shape.cross == width)
            .copied()
            .collect();
        let laid = greedy(&ground.strip(across), &of_width);
        plan.strips.extend(strip_of(across, laid.into_iter()));
        from = across.to + ground.cross_kerf;
    }
    plan.value = value_of(parts, &plan.counts(parts.len()));
    Ok(plan)
}
