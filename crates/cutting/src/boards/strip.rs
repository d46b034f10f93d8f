//! The best parts along one strip, fast.
//!
//! Marks that hinder every part of the list, and are at least as long as a kerf, cut the strip into spans that
//! have nothing to do with each other.
//! A span in which no mark hinders any part is a clear length, looked up in [`Steps`]. Only where some parts may
//! cover a mark and others not is the line swept, and there only as far as the last such mark.

use super::board::{Quality, Span};
use super::ground::{Obstacle, Shape, UNSOUND, starts};
use super::line::{Item, Line};
use super::steps::Steps;

/// Sound on both faces' account: hinders whatever wants one face clear.
const BOTH_FACES: u8 = 3;

/// Parts of one width, ready to be laid along strips.
#[derive(Clone, Debug)]
pub(crate) struct Group {
    pub(crate) shapes: Vec<Shape>,
    kerf: u64,
    steps: Steps,
    /// Whether any part wants: both faces clear, one face clear, sound.
    wants: [bool; 3],
}

/// A part and its place along the strip.
pub(crate) type Piece = (usize, Span);

impl Group {
    /// Ready for strips up to `longest`.
    pub(crate) fn new(shapes: Vec<Shape>, kerf: u64, longest: u64) -> Self {
        let wants = [Quality::ClearBoth, Quality::ClearOne, Quality::Sound];
        let wants = wants.map(|quality| shapes.iter().any(|shape| shape.quality == quality));
        Self {
            steps: steps(&shapes, kerf, longest),
            shapes,
            kerf,
            wants,
        }
    }

    /// Most value of the strip past these marks (by start).
    pub(crate) fn value<'a>(&self, long: Span, marks: impl Iterator<Item = &'a Obstacle>) -> f64 {
        let mut value = 0.0;
        self.each_span(long, marks, |span, soft| {
            value += if self.is_clear(soft) {
                self.steps.value(span.length())
            } else {
                self.sweep(span, soft).0
            };
        });
        value
    }

    /// Parts that make the most value, with their places.
    pub(crate) fn pieces<'a>(
        &self,
        long: Span,
        marks: impl Iterator<Item = &'a Obstacle>,
    ) -> Vec<Piece> {
        let mut pieces = Vec::new();
        self.each_span(long, marks, |span, soft| {
            let known_from = if self.is_clear(soft) {
                span.from
            } else {
                let (_, before, known_from) = self.sweep(span, soft);
                pieces.extend(before);
                known_from
            };
            let clear = span.to.saturating_sub(known_from);
            let rest = self.steps.plan(clear).into_iter();
            pieces.extend(rest.map(|(shape, start)| self.piece(shape, known_from + start)));
        });
        pieces
    }

    fn piece(&self, shape: usize, start: u64) -> Piece {
        let Shape { part, long, .. } = self.shapes[shape];
        (part, Span::new(start, start + long))
    }

    /// Calls with each span between marks that cut the strip in two, and the marks in it that hinder some parts.
    fn each_span<'a>(
        &self,
        long: Span,
        marks: impl Iterator<Item = &'a Obstacle>,
        mut call: impl FnMut(Span, &[Obstacle]),
    ) {
        let mut from = long.from;
        let mut soft: Vec<Obstacle> = Vec::new();
        for mark in marks {
            let cuts = self.hinders_all(mark.kind) && mark.long.length() >= self.kerf;
            if !cuts {
                if self.hinders_some(mark.kind) {
                    soft.push(*mark);
                }
                continue;
            }
            if mark.long.from > from {
                call(Span::new(from, mark.long.from.min(long.to)), &soft);
                soft.retain(|o| o.long.to > mark.long.to);
            }
            from = from.max(mark.long.to);
            if from >= long.to {
                return;
            }
        }
        call(Span::new(from, long.to), &soft);
    }

    fn hinders_all(&self, kind: u8) -> bool {
        let [_, one, sound] = self.wants;
        kind & UNSOUND != 0 || (!sound && (!one || kind == BOTH_FACES))
    }

    fn hinders_some(&self, kind: u8) -> bool {
        let [both, one, _] = self.wants;
        kind & UNSOUND != 0 || both || one
    }

    /// Whether these marks hinder nothing: parts that want one face clear show the other.
    fn is_clear(&self, soft: &[Obstacle]) -> bool {
        let faces = soft.iter().fold(0, |faces, mark| faces | mark.kind);
        faces == 0 || (!self.wants[0] && matches!(faces, 1 | 2))
    }

    /// Value of a span with marks that hinder some, the pieces up to the last of them, and from where on the
    /// rest is clear.
    fn sweep(&self, span: Span, soft: &[Obstacle]) -> (f64, Vec<Piece>, u64) {
        let item = |shape: &Shape| Item {
            length: shape.long,
            starts: starts(span, soft, shape.long, shape.quality, shape.value),
        };
        let items: Vec<Item> = self.shapes.iter().map(item).collect();
        let line = Line {
            items: &items,
            kerf: self.kerf,
            end: span.to,
        };
        let clear_from = soft
            .iter()
            .map(|mark| mark.long.to)
            .fold(span.from, u64::max);
        let rest = |from: u64| {
            self.steps
                .value(span.to.saturating_sub(from.max(span.from)))
        };
        let (laying, known_from) = line.best_before(clear_from, rest);
        let pieces = laying
            .laid
            .iter()
            .map(|laid| self.piece(laid.item, laid.start));
        (laying.value, pieces.collect(), known_from)
    }
}

fn steps(shapes: &[Shape], kerf: u64, longest: u64) -> Steps {
    let items: Vec<(u64, f64)> = shapes
        .iter()
        .map(|shape| (shape.long, shape.value))
        .collect();
    Steps::new(&items, kerf, longest)
}
