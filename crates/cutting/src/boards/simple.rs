//! What a saw hand does by eye: from the left end, the longest part that fits clear. For comparison.

use super::board::{Board, BoardFault, Part, Saw, Span, check_board, check_parts, check_saw};
use super::crosscut::crosscut_plan;
use super::ground::{Ground, Shape, shapes, starts};
use super::plan::BoardPlan;

/// Crosscuts from the left: where the blade stands the longest part that can be had there is cut (of two as
/// long, the more valuable); if none can, the blade goes to the nearest point where one can. Needs are not
/// looked at.
pub fn left_to_right(board: &Board, parts: &[Part], saw: &Saw) -> Result<BoardPlan, BoardFault> {
    check_board(0, board)?;
    check_parts(parts)?;
    check_saw(saw)?;
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
