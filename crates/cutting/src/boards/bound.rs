//! What no cutting of a board can exceed, in whatever order and number of cuts.
//!
//! Grow every part by a kerf on its far side: grown parts do not overlap. Spread a part's value evenly over its
//! grown width; then a line along the board at height y carries, from the parts it crosses, no more than the
//! best line of parts with values v/(w + k), each kept to starts it can have in some strip that y crosses. The
//! sum over all heights bounds the board (the bar relaxation of two-dimensional packing, Scheithauer 1999,
//! sharpened by the marks). The same is done across the board, and the smaller taken.
//!
//! The best line changes only where the strips that can cross it do, so there are as many as marks and widths,
//! not heights.

use super::board::Span;
use super::board::{Board, BoardFault, Part, Saw, check_question};
use super::ground::{Ground, Obstacle, Shape, shapes, starts, turned, united};
use super::line::{Item, Line, Stretch};
use super::stages::{met, same_marks};
use super::steps::Steps;

/// No plan of any kind is worth more than this.
pub fn upper_bound(board: &Board, parts: &[Part], saw: &Saw) -> Result<f64, BoardFault> {
    check_question(0, board, parts, saw)?;
    let ground = Ground::new(board, saw);
    let shapes = shapes(parts);
    let along = by_lines(&ground, &shapes);
    let across = by_lines(&ground.turned(), &turned(&shapes));
    let most = |part: &Part| {
        part.need
            .map_or(f64::INFINITY, |need| part.value * need as f64)
    };
    let needs: f64 = parts.iter().filter(|part| part.value > 0.0).map(most).sum();
    Ok(along.min(across).min(needs))
}

/// Sum over all heights of the best line there.
fn by_lines(ground: &Ground, shapes: &[Shape]) -> f64 {
    let kerf = ground.cross_kerf;
    let density = |shape: &Shape| Shape {
        value: shape.value / (shape.cross + kerf) as f64,
        ..*shape
    };
    let crossings: Vec<Crossing> = shapes
        .iter()
        .map(|shape| Crossing::new(ground, density(shape)))
        .collect();
    let mut heights: Vec<u64> = crossings.iter().flat_map(Crossing::changes).collect();
    heights.extend([ground.cross.from, ground.cross.to + kerf]);
    heights.sort_unstable();
    heights.dedup();
    let items: Vec<(u64, f64)> = crossings
        .iter()
        .map(|c| (c.shape.long, c.shape.value))
        .collect();
    let steps = Steps::new(&items, ground.long_kerf, ground.long.length());
    let band =
        |pair: &[u64]| (pair[1] - pair[0]) as f64 * best_line(ground, &crossings, &steps, pair[0]);
    heights.windows(2).map(band).sum()
}

/// Most value density along the line at this height.
fn best_line(ground: &Ground, crossings: &[Crossing], steps: &Steps, height: u64) -> f64 {
    let items: Vec<Item> = crossings
        .iter()
        .map(|crossing| crossing.at(height))
        .collect();
    let line = Line {
        items: &items,
        kerf: ground.long_kerf,
        end: ground.long.to,
    };
    let rest = |from: u64| steps.value(ground.long.to.saturating_sub(from.max(ground.long.from)));
    line.best(1, rest)[0].value
}

/// A part, and where it can start along the board in each strip that may be cut for it.
struct Crossing {
    shape: Shape,
    /// Width of the part with its kerf.
    grown: u64,
    /// First and last place of the strip, and the starts along it.
    strips: Vec<(u64, u64, Vec<Stretch>)>,
}

impl Crossing {
    fn new(ground: &Ground, shape: Shape) -> Self {
        let strip = |(from, to): (u64, u64)| {
            let marks: Vec<Obstacle> = met(ground, Span::new(from, from + shape.cross))
                .copied()
                .collect();
            let starts = starts(ground.long, &marks, shape.long, shape.quality, shape.value);
            (from, to, starts)
        };
        let strips = same_marks(ground, shape.cross).into_iter().map(strip);
        Self {
            shape,
            grown: shape.cross + ground.cross_kerf,
            strips: strips.filter(|(_, _, starts)| !starts.is_empty()).collect(),
        }
    }

    /// Heights at which the strips that cross the line change.
    fn changes(&self) -> impl Iterator<Item = u64> {
        self.strips
            .iter()
            .flat_map(|&(from, to, _)| [from, to + self.grown])
    }

    /// The part as an item of the line at this height.
    fn at(&self, height: u64) -> Item {
        let crosses =
            |(from, to, _): &&(u64, u64, Vec<Stretch>)| *from <= height && height < to + self.grown;
        let starts = self
            .strips
            .iter()
            .filter(crosses)
            .flat_map(|(_, _, starts)| starts);
        Item {
            length: self.shape.long,
            starts: united(starts.copied().collect()),
        }
    }
}
