//! What is answered: the cuts of one board as a nest, first cuts outermost.

use super::board::{Part, Span};

/// In which order a board is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub enum Order {
    /// Crosscut only: one strip, the full usable width; parts may be narrower than what is cut for them.
    Crosscut,
    /// Ripped into strips over the full length, each then crosscut.
    RipFirst,
    /// Crosscut into sections over the full width, each then ripped.
    CrosscutFirst,
}

/// A part in its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Placed {
    /// Which part of the list, from 0.
    pub part: usize,
    /// Where along the board.
    pub along: Span,
    /// Where across the board.
    pub across: Span,
}

/// A piece after the second cut. Without salvage it is one part; with salvage it may hold parts stacked in
/// the direction of the first cut, told apart by a third cut.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Section {
    /// Along the board for rip first and crosscut only, across it for crosscut first.
    pub span: Span,
    /// The parts in it.
    pub parts: Vec<Placed>,
}

/// A piece after the first cut: the full usable length or width.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub struct Strip {
    /// Across the board for rip first and crosscut only, along it for crosscut first.
    pub span: Span,
    /// What the second cut leaves, in order.
    pub sections: Vec<Section>,
}

/// The cuts of one board.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct BoardPlan {
    /// Which cut comes first.
    pub order: Order,
    /// Pieces of the first cut, in order; strips without a part are left out.
    pub strips: Vec<Strip>,
    /// Value of the parts, none counted beyond its need.
    pub value: f64,
}

impl BoardPlan {
    /// A plan that cuts nothing.
    pub fn empty(order: Order) -> Self {
        Self {
            order,
            strips: Vec::new(),
            value: 0.0,
        }
    }

    /// The parts in their places, in cutting order.
    pub fn placed(&self) -> impl Iterator<Item = &Placed> {
        let sections = self.strips.iter().flat_map(|strip| &strip.sections);
        sections.flat_map(|section| &section.parts)
    }

    /// How many of each part of the list.
    pub fn counts(&self, parts: usize) -> Vec<u64> {
        let mut counts = vec![0; parts];
        for placed in self.placed() {
            if let Some(count) = counts.get_mut(placed.part) {
                *count += 1;
            }
        }
        counts
    }

    /// Widths of the first cuts, narrowest first: along the board for crosscut first, across it otherwise.
    pub fn first_widths(&self) -> Vec<u64> {
        let mut widths: Vec<u64> = self
            .strips
            .iter()
            .map(|strip| strip.span.length())
            .collect();
        widths.sort_unstable();
        widths
    }

    /// Leaves parts beyond their need in the wood, and what then holds no part.
    pub(crate) fn leave_out_beyond(&mut self, parts: &[Part]) {
        let mut left: Vec<u64> = parts
            .iter()
            .map(|part| part.need.unwrap_or(u64::MAX))
            .collect();
        for strip in &mut self.strips {
            for section in &mut strip.sections {
                section.parts.retain(|placed| {
                    let wanted = left[placed.part] > 0;
                    left[placed.part] -= u64::from(wanted);
                    wanted
                });
            }
            strip.sections.retain(|section| !section.parts.is_empty());
        }
        self.strips.retain(|strip| !strip.sections.is_empty());
    }

    /// Area of the parts as the list has them, in units².
    pub fn area(&self, parts: &[Part]) -> f64 {
        let areas = self.placed().filter_map(|placed| parts.get(placed.part));
        areas.map(Part::area).sum()
    }
}

/// Value of so many of each part, none counted beyond its need.
pub fn value_of(parts: &[Part], counts: &[u64]) -> f64 {
    let value =
        |(part, &count): (&Part, &u64)| part.value * count.min(part.need.unwrap_or(count)) as f64;
    parts.iter().zip(counts).map(value).sum()
}
