//! Holds a plan against the board, the parts and the saw alone, by another route than the solvers.

use super::board::{Board, Face, Mark, Part, Quality, Saw, Severity, Span};
use super::plan::{BoardPlan, Order, Placed, Section, Strip, value_of};

/// What is wrong with a plan. Strips, sections and parts of the list are counted from 0.
#[derive(Clone, Debug, PartialEq, serde::Serialize, thiserror::Error)]
pub enum PlanFault {
    /// A placed part is not on the list.
    #[error("part {0} is not on the list")]
    NoSuchPart(usize),
    /// A placed part has not the size of the list's.
    #[error("{0:?} has not the size on the list")]
    WrongSize(Placed),
    /// A placed part reaches into a trim or beyond the board.
    #[error("{0:?} reaches into a trim or beyond the board")]
    OutsideBoard(Placed),
    /// A placed part meets a mark its quality forbids.
    #[error("{0:?} meets a mark its quality forbids")]
    BadQuality(Placed),
    /// Two placed parts overlap or leave less than a kerf between them.
    #[error("less than a kerf between {0:?} and {1:?}")]
    TooClose(Placed, Placed),
    /// A strip cannot be made by the first cuts.
    #[error("strip {0} cannot be made by the first cuts")]
    BadStrip(usize),
    /// A section cannot be made by the second cuts of its strip.
    #[error("section {section} of strip {strip} cannot be made by the second cuts")]
    BadSection {
        /// Which strip.
        strip: usize,
        /// Which of its sections.
        section: usize,
    },
    /// The parts in a section cannot be told apart by third cuts.
    #[error("the parts in section {section} of strip {strip} cannot be told apart by third cuts")]
    BadParts {
        /// Which strip.
        strip: usize,
        /// Which of its sections.
        section: usize,
    },
    /// The stated value is not that of the parts.
    #[error("the plan says it is worth {stated}, its parts are worth {counted}")]
    WrongValue {
        /// What the plan says.
        stated: f64,
        /// What its parts are worth.
        counted: f64,
    },
}

/// Every rule a plan breaks; none if it holds.
pub fn check(
    board: &Board,
    parts: &[Part],
    saw: &Saw,
    plan: &BoardPlan,
) -> Result<(), Vec<PlanFault>> {
    let mut faults = Vec::new();
    let placed: Vec<Placed> = plan.placed().copied().collect();
    for one in &placed {
        check_one(board, parts, saw, plan.order, *one, &mut faults);
    }
    check_gaps(saw, &placed, &mut faults);
    check_cuts(board, saw, plan, &mut faults);
    let counted = value_of(parts, &plan.counts(parts.len()));
    if (plan.value - counted).abs() > 1e-9 * counted.abs().max(1.0) {
        faults.push(PlanFault::WrongValue {
            stated: plan.value,
            counted,
        });
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}

fn check_one(
    board: &Board,
    parts: &[Part],
    saw: &Saw,
    order: Order,
    one: Placed,
    faults: &mut Vec<PlanFault>,
) {
    let Some(part) = parts.get(one.part) else {
        faults.push(PlanFault::NoSuchPart(one.part));
        return;
    };
    let wide_enough = match order {
        Order::Crosscut => one.across.length() >= part.width,
        Order::RipFirst | Order::CrosscutFirst => one.across.length() == part.width,
    };
    if one.along.length() != part.length || !wide_enough {
        faults.push(PlanFault::WrongSize(one));
    }
    if !(saw.usable_along(board).holds(one.along) && saw.usable_across(board).holds(one.across)) {
        faults.push(PlanFault::OutsideBoard(one));
    }
    if !good_enough(board, saw, part.quality, one) {
        faults.push(PlanFault::BadQuality(one));
    }
}

/// Whether the marks the piece meets, with their margins, are allowed by the quality.
fn good_enough(board: &Board, saw: &Saw, quality: Quality, one: Placed) -> bool {
    let meets = |mark: &&Mark| {
        let (along, across) = saw.kept_clear(mark);
        along.overlaps(one.along) && across.overlaps(one.across)
    };
    let met: Vec<&Mark> = board.marks.iter().filter(meets).collect();
    let clear = |face: Face| {
        met.iter()
            .all(|mark| mark.face != face && mark.face != Face::Through)
    };
    let sound = met.iter().all(|mark| mark.severity == Severity::Sound);
    match quality {
        Quality::ClearBoth => met.is_empty(),
        Quality::ClearOne => sound && (clear(Face::Front) || clear(Face::Back)),
        Quality::Sound => sound,
    }
}

/// Faces of the board on which the piece meets no mark: front, back. Tells which side of a part is to show.
pub fn clear_faces(board: &Board, saw: &Saw, one: &Placed) -> (bool, bool) {
    let meets = |face: Face| {
        board.marks.iter().any(|mark| {
            let (along, across) = saw.kept_clear(mark);
            let seen = mark.face == face || mark.face == Face::Through;
            seen && along.overlaps(one.along) && across.overlaps(one.across)
        })
    };
    (!meets(Face::Front), !meets(Face::Back))
}

/// Whether `second` starts at least `kerf` behind `first`, or the other way round.
fn apart(first: Span, second: Span, kerf: u64) -> bool {
    first.to + kerf <= second.from || second.to + kerf <= first.from
}

fn check_gaps(saw: &Saw, placed: &[Placed], faults: &mut Vec<PlanFault>) {
    for (number, first) in placed.iter().enumerate() {
        for second in &placed[number + 1..] {
            let cut = apart(first.along, second.along, saw.cross_kerf)
                || apart(first.across, second.across, saw.rip_kerf);
            if !cut {
                faults.push(PlanFault::TooClose(*first, *second));
            }
        }
    }
}

/// The nest of cuts: strips apart and on the board, sections apart and in their strip, parts in their section.
fn check_cuts(board: &Board, saw: &Saw, plan: &BoardPlan, faults: &mut Vec<PlanFault>) {
    let turn = plan.order == Order::CrosscutFirst;
    let (long, cross) = (saw.usable_along(board), saw.usable_across(board));
    let (long, cross) = if turn { (cross, long) } else { (long, cross) };
    let kerfs = if turn {
        (saw.rip_kerf, saw.cross_kerf)
    } else {
        (saw.cross_kerf, saw.rip_kerf)
    };
    let mut free_from = cross.from;
    for (number, strip) in plan.strips.iter().enumerate() {
        let whole = plan.order != Order::Crosscut || strip.span == cross;
        if !whole
            || strip.span.from < free_from
            || strip.span.to > cross.to
            || strip.span.length() == 0
        {
            faults.push(PlanFault::BadStrip(number));
        }
        free_from = strip.span.to + kerfs.1;
        check_strip(long, kerfs, turn, number, strip, faults);
    }
}

fn check_strip(
    long: Span,
    kerfs: (u64, u64),
    turn: bool,
    number: usize,
    strip: &Strip,
    faults: &mut Vec<PlanFault>,
) {
    let mut free_from = long.from;
    for (at, section) in strip.sections.iter().enumerate() {
        let span = section.span;
        if span.from < free_from || span.to > long.to || span.length() == 0 {
            faults.push(PlanFault::BadSection {
                strip: number,
                section: at,
            });
        }
        free_from = span.to + kerfs.0;
        if !parts_fit(section, strip.span, kerfs.1, turn) {
            faults.push(PlanFault::BadParts {
                strip: number,
                section: at,
            });
        }
    }
}

/// The parts take the section's full extent and lie a kerf apart within the strip.
fn parts_fit(section: &Section, strip: Span, kerf: u64, turn: bool) -> bool {
    let mut free_from = strip.from;
    section.parts.iter().all(|one| {
        let (long, cross) = if turn {
            (one.across, one.along)
        } else {
            (one.along, one.across)
        };
        let fits = long == section.span && cross.from >= free_from && cross.to <= strip.to;
        free_from = cross.to + kerf;
        fits
    })
}
