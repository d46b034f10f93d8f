//! A board made ready: usable spans, marks grown by their margins, and what each hinders.
//!
//! The second view of a board has length and width exchanged, so that crosscut first is rip first seen from
//! the side.

use super::board::{Board, Face, Mark, Part, Quality, Saw, Severity, Span};
use super::line::Stretch;

/// What a mark is, as bits.
pub(crate) const UNSOUND: u8 = 4;
const ON_FRONT: u8 = 1;
const ON_BACK: u8 = 2;

/// A mark grown by its margins. `long` lies in the direction of the second cuts' sequence, `cross` in the
/// direction of the first's.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Obstacle {
    pub(crate) long: Span,
    pub(crate) cross: Span,
    pub(crate) kind: u8,
}

/// A part as seen in a view.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Shape {
    pub(crate) part: usize,
    pub(crate) long: u64,
    pub(crate) cross: u64,
    pub(crate) quality: Quality,
    pub(crate) value: f64,
}

/// A board ready to be cut. In the plain view `long` is along the board and strips lie side by side across it.
#[derive(Clone, Debug)]
pub(crate) struct Ground {
    pub(crate) long: Span,
    pub(crate) cross: Span,
    /// By start of `long`.
    pub(crate) obstacles: Vec<Obstacle>,
    pub(crate) long_kerf: u64,
    pub(crate) cross_kerf: u64,
}

impl Ground {
    /// The plain view: strips are rips.
    pub(crate) fn new(board: &Board, saw: &Saw) -> Self {
        let mut ground = Self {
            long: saw.usable_along(board),
            cross: saw.usable_across(board),
            obstacles: board.marks.iter().map(|mark| obstacle(mark, saw)).collect(),
            long_kerf: saw.cross_kerf,
            cross_kerf: saw.rip_kerf,
        };
        ground.tidy();
        ground
    }

    /// The view from the side: strips are crosscut sections.
    pub(crate) fn turned(&self) -> Self {
        let turn = |o: &Obstacle| Obstacle {
            long: o.cross,
            cross: o.long,
            kind: o.kind,
        };
        let mut ground = Self {
            long: self.cross,
            cross: self.long,
            obstacles: self.obstacles.iter().map(turn).collect(),
            long_kerf: self.cross_kerf,
            cross_kerf: self.long_kerf,
        };
        ground.tidy();
        ground
    }

    /// The same ground narrowed to one strip.
    pub(crate) fn strip(&self, cross: Span) -> Self {
        let met = self.obstacles.iter().filter(|o| o.cross.overlaps(cross));
        Self {
            cross,
            obstacles: met.copied().collect(),
            ..*self
        }
    }

    /// The same ground with only this part of its length.
    pub(crate) fn narrowed(&self, long: Span) -> Self {
        let met = self.obstacles.iter().filter(|o| o.long.overlaps(long));
        Self {
            long,
            obstacles: met.copied().collect(),
            ..*self
        }
    }

    /// Leaves out marks that lie in the trims, and puts the rest in order.
    fn tidy(&mut self) {
        let (long, cross) = (self.long, self.cross);
        self.obstacles
            .retain(|o| o.long.overlaps(long) && o.cross.overlaps(cross));
        self.obstacles.sort_by_key(|o| (o.long, o.cross, o.kind));
    }
}

fn obstacle(mark: &Mark, saw: &Saw) -> Obstacle {
    let (long, cross) = saw.kept_clear(mark);
    let kind = match (mark.severity, mark.face) {
        (Severity::Unsound, _) => UNSOUND,
        (Severity::Sound, Face::Front) => ON_FRONT,
        (Severity::Sound, Face::Back) => ON_BACK,
        (Severity::Sound, Face::Through) => ON_FRONT | ON_BACK,
    };
    Obstacle { long, cross, kind }
}

/// The parts of a list in the plain view; those not wanted are left out.
pub(crate) fn shapes(parts: &[Part]) -> Vec<Shape> {
    let wanted = |(_, part): &(usize, &Part)| part.need != Some(0);
    let shape = |(number, part): (usize, &Part)| Shape {
        part: number,
        long: part.length,
        cross: part.width,
        quality: part.quality,
        value: part.value,
    };
    parts.iter().enumerate().filter(wanted).map(shape).collect()
}

/// The same parts in the view from the side.
pub(crate) fn turned(shapes: &[Shape]) -> Vec<Shape> {
    let turn = |shape: &Shape| Shape {
        long: shape.cross,
        cross: shape.long,
        ..*shape
    };
    shapes.iter().map(turn).collect()
}

/// Kinds of mark that hinder a part: it must avoid every mark of one of these sets.
fn hindrances(quality: Quality) -> &'static [u8] {
    match quality {
        Quality::ClearBoth => &[UNSOUND | ON_FRONT | ON_BACK],
        Quality::ClearOne => &[UNSOUND | ON_FRONT, UNSOUND | ON_BACK],
        Quality::Sound => &[UNSOUND],
    }
}

/// Where along `within` a piece of this length and quality may start, past these marks (by start of `long`).
pub(crate) fn starts(
    within: Span,
    marks: &[Obstacle],
    length: u64,
    quality: Quality,
    value: f64,
) -> Vec<Stretch> {
    let mut found: Vec<Stretch> = Vec::new();
    for &kinds in hindrances(quality) {
        for gap in gaps(within, marks, kinds) {
            if gap.length() >= length {
                let (from, to) = (gap.from, gap.to - length);
                found.push(Stretch { from, to, value });
            }
        }
    }
    united(found)
}

/// What is left of `within` between the marks of these kinds.
pub(crate) fn gaps(within: Span, marks: &[Obstacle], kinds: u8) -> impl Iterator<Item = Span> {
    let ends = Span::new(within.to, u64::MAX);
    let blocked = marks
        .iter()
        .filter(move |o| o.kind & kinds != 0)
        .map(|o| o.long);
    let mut free_from = within.from;
    blocked.chain([ends]).filter_map(move |span| {
        let gap = Span::new(free_from, span.from.min(within.to));
        free_from = free_from.max(span.to);
        (gap.from < gap.to).then_some(gap)
    })
}

/// Overlapping and touching stretches of one value made one.
pub(crate) fn united(mut stretches: Vec<Stretch>) -> Vec<Stretch> {
    stretches.sort_by_key(|stretch| (stretch.from, stretch.to));
    let mut united: Vec<Stretch> = Vec::new();
    for stretch in stretches {
        match united.last_mut() {
            Some(last) if stretch.from <= last.to.saturating_add(1) => {
                last.to = last.to.max(stretch.to);
            }
            _ => united.push(stretch),
        }
    }
    united
}
