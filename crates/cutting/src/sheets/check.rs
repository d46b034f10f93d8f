//! Rules of a layout, re-derived from the problem and the rectangles alone; and the tree held against them.
//!
//! Whether rectangles can be cut free is found by this module's own recursion: project them on one axis, cut
//! in every gap at least a kerf wide, go on in each group. To cut in every gap is never worse than to cut in some: a
//! group's part of the region only shrinks, and a cut needs nothing but a gap. A cut also takes off what
//! lies beyond the outermost rectangles, so a group fits its region exactly along an axis just cut.

use super::answer::{Axis, Layout, Placed, Rect, Region, Use};
use super::problem::{FirstCut, Problem, Scheme};

/// A rule that a layout breaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub enum Broken {
    /// The layout names a sheet there is not.
    NoSuchSheet(usize),
    /// A placed rectangle names a part there is not.
    NoSuchPart(usize),
    /// The placed rectangle with this index is not its part's size as turned.
    WrongSize(usize),
    /// The placed rectangle with this index is turned across its grain.
    AcrossGrain(usize),
    /// The placed rectangle with this index (rests follow the parts) lies outside the sheet less trims.
    Outside(usize),
    /// Two placed rectangles (rests follow the parts) overlap or leave less than a kerf.
    TooClose(usize, usize),
    /// Cuts from edge to edge cannot free the rectangles within the stages allowed.
    NotCuttable,
    /// A rest that is kept is smaller than what is useful.
    RestTooSmall(usize),
    /// The waste stated is not what is left of the sheet.
    WrongWaste,
    /// The tree of cuts does not free exactly the rectangles placed.
    TreeDiffers,
    /// More of a part than its limit allows.
    TooMany(usize),
    /// The needs of a part are not met exactly.
    NeedNotMet(usize),
    /// More sheets than there are.
    TooManySheets(usize),
    /// The value or cost stated is not what the layouts sum to.
    WrongSum,
}

/// Everything broken about one layout.
pub fn check_layout(problem: &Problem, layout: &Layout) -> Vec<Broken> {
    let Some(sheet) = problem.sheets.get(layout.sheet) else {
        return vec![Broken::NoSuchSheet(layout.sheet)];
    };
    let Some((length, width)) = sheet.usable() else {
        return vec![Broken::NoSuchSheet(layout.sheet)];
    };
    let (x, y) = (sheet.trims.left, sheet.trims.bottom);
    let usable = Rect {
        x,
        y,
        length,
        width,
    };
    let mut broken = Vec::new();
    for (index, placed) in layout.placed.iter().enumerate() {
        broken.extend(misplaced(problem, index, placed));
    }
    let mut rects: Vec<Rect> = layout.placed.iter().map(|placed| placed.rect).collect();
    let parts = rects.len();
    rects.extend(&layout.leftovers);
    broken.extend(collisions(problem.kerf, &usable, &rects));
    for (index, rest) in layout.leftovers.iter().enumerate() {
        if !useful(problem, rest) {
            broken.push(Broken::RestTooSmall(index));
        }
    }
    let kept: u64 = rects.iter().map(Rect::area).sum();
    if broken.is_empty() {
        if !cuttable(problem, usable, &rects[..parts]) || !free(problem.kerf, &rects) {
            broken.push(Broken::NotCuttable);
        }
        if layout.waste + kept != sheet.length * sheet.width {
            broken.push(Broken::WrongWaste);
        }
        if !tree_agrees(problem.kerf, layout, usable) {
            broken.push(Broken::TreeDiffers);
        }
    }
    broken
}

/// Everything broken about a most valuable layout: the layout's rules, limits of copies and the sum.
pub fn check_best(problem: &Problem, best: &super::answer::Best) -> Vec<Broken> {
    let mut broken = check_layout(problem, &best.layout);
    let counts = counts(problem, &best.layout);
    let mut value = 0;
    for (index, (part, &count)) in problem.parts.iter().zip(&counts).enumerate() {
        value += part.value * count;
        if part.at_most.is_some_and(|limit| count > limit) {
            broken.push(Broken::TooMany(index));
        }
    }
    let honest = value == best.value && value <= best.bound;
    if !honest || best.proved != (best.value == best.bound) {
        broken.push(Broken::WrongSum);
    }
    broken
}

/// Everything broken about a plan: its layouts, needs met exactly, sheets available and the sum.
pub fn check_plan(problem: &Problem, plan: &super::answer::Plan) -> Vec<Broken> {
    let mut broken = Vec::new();
    let mut made = vec![0; problem.parts.len()];
    let mut used = vec![0; problem.sheets.len()];
    for layout in &plan.layouts {
        broken.extend(check_layout(problem, layout));
        if !broken.is_empty() {
            return broken;
        }
        used[layout.sheet] += layout.count;
        for (sum, count) in made.iter_mut().zip(counts(problem, layout)) {
            *sum += count * layout.count;
        }
    }
    for (index, part) in problem.parts.iter().enumerate() {
        if made[index] != part.need {
            broken.push(Broken::NeedNotMet(index));
        }
    }
    let mut cost = 0;
    for (index, (sheet, &count)) in problem.sheets.iter().zip(&used).enumerate() {
        cost += sheet.cost * count;
        if sheet.available.is_some_and(|limit| count > limit) {
            broken.push(Broken::TooManySheets(index));
        }
    }
    let honest = cost == plan.cost && plan.bound <= cost && plan.sheets == used.iter().sum::<u64>();
    if !honest || plan.proved != (plan.cost == plan.bound) {
        broken.push(Broken::WrongSum);
    }
    broken
}

/// How often each part lies on the layout.
fn counts(problem: &Problem, layout: &Layout) -> Vec<u64> {
    let mut counts = vec![0; problem.parts.len()];
    for placed in &layout.placed {
        if let Some(count) = counts.get_mut(placed.part) {
            *count += 1;
        }
    }
    counts
}

/// What is wrong with one placed part by itself.
fn misplaced(problem: &Problem, index: usize, placed: &Placed) -> Option<Broken> {
    let Some(part) = problem.parts.get(placed.part) else {
        return Some(Broken::NoSuchPart(index));
    };
    let size = (placed.rect.length, placed.rect.width);
    let expected = if placed.turned {
        (part.width, part.length)
    } else {
        (part.length, part.width)
    };
    if size != expected {
        return Some(Broken::WrongSize(index));
    }
    (placed.turned && !part.may_turn).then_some(Broken::AcrossGrain(index))
}

/// Whether a rest is at least as large as asked, either way round.
fn useful(problem: &Problem, rest: &Rect) -> bool {
    let (long, short) = (rest.length.max(rest.width), rest.length.min(rest.width));
    (problem.useful).is_some_and(|(one, other)| long >= one.max(other) && short >= one.min(other))
}

/// Rectangles outside the region, and pairs nearer than the kerf.
fn collisions(kerf: u64, region: &Rect, rects: &[Rect]) -> Vec<Broken> {
    let mut broken = Vec::new();
    let apart = |start: u64, side: u64, other: u64| start + side + kerf <= other;
    for (index, rect) in rects.iter().enumerate() {
        let inside = rect.x >= region.x
            && rect.y >= region.y
            && rect.x + rect.length <= region.x + region.length
            && rect.y + rect.width <= region.y + region.width;
        if !inside {
            broken.push(Broken::Outside(index));
        }
        for (second, other) in rects.iter().enumerate().skip(index + 1) {
            let clear = apart(rect.x, rect.length, other.x)
                || apart(other.x, other.length, rect.x)
                || apart(rect.y, rect.width, other.y)
                || apart(other.y, other.width, rect.y);
            if !clear {
                broken.push(Broken::TooClose(index, second));
            }
        }
    }
    broken
}

/// Start and end of a rectangle along an axis.
fn span(rect: &Rect, axis: Axis) -> (u64, u64) {
    match axis {
        Axis::Length => (rect.x, rect.x + rect.length),
        Axis::Width => (rect.y, rect.y + rect.width),
    }
}

fn across(axis: Axis) -> Axis {
    match axis {
        Axis::Length => Axis::Width,
        Axis::Width => Axis::Length,
    }
}

/// Groups that cuts dividing this axis part from each other, each with its reach along the axis.
fn groups(kerf: u64, rects: &[Rect], axis: Axis) -> Vec<(Vec<Rect>, (u64, u64))> {
    let mut sorted = rects.to_vec();
    sorted.sort_by_key(|rect| span(rect, axis));
    let mut groups: Vec<(Vec<Rect>, (u64, u64))> = Vec::new();
    for rect in sorted {
        let (start, end) = span(&rect, axis);
        match groups.last_mut() {
            Some((group, reach)) if start < reach.1 + kerf => {
                group.push(rect);
                reach.1 = reach.1.max(end);
            }
            _ => groups.push((vec![rect], (start, end))),
        }
    }
    groups
}

/// The region narrowed to a reach along an axis.
fn narrowed(region: Rect, axis: Axis, (start, end): (u64, u64)) -> Rect {
    match axis {
        Axis::Length => Rect {
            x: start,
            length: end - start,
            ..region
        },
        Axis::Width => Rect {
            y: start,
            width: end - start,
            ..region
        },
    }
}

/// Whether the scheme's cuts free the rectangles.
fn cuttable(problem: &Problem, region: Rect, rects: &[Rect]) -> bool {
    let staged = |first: FirstCut, stages: usize, trimming: bool| {
        let starts: &[Axis] = match first {
            FirstCut::AlongLength => &[Axis::Width],
            FirstCut::AlongWidth => &[Axis::Length],
            FirstCut::Either => &[Axis::Width, Axis::Length],
        };
        (starts.iter()).any(|&axis| staged(problem.kerf, region, rects, axis, stages, trimming))
    };
    match problem.scheme {
        Scheme::TwoStage { first, trimming } => staged(first, 2, trimming),
        Scheme::ThreeStage { first, trimming } => staged(first, 3, trimming),
        Scheme::Free => free(problem.kerf, rects),
    }
}

/// Whether so many stages, the first dividing this axis, free the rectangles; after the last one a lone
/// rectangle may still be trimmed if that is allowed.
fn staged(kerf: u64, region: Rect, rects: &[Rect], axis: Axis, stages: usize, trim: bool) -> bool {
    let alone = |region: Rect| matches!(rects, [only] if trim || *only == region);
    if stages == 0 || rects.is_empty() {
        return rects.is_empty() || alone(region);
    }
    groups(kerf, rects, axis).iter().all(|(group, reach)| {
        let region = narrowed(region, axis, *reach);
        staged(kerf, region, group, across(axis), stages - 1, trim)
    })
}

/// Whether cuts from edge to edge free the rectangles, in however many stages. What can be cut free can
/// be with any of it left out, so the first axis with a cut decides.
fn free(kerf: u64, rects: &[Rect]) -> bool {
    if rects.len() <= 1 {
        return true;
    }
    let cut = [Axis::Length, Axis::Width]
        .into_iter()
        .map(|axis| groups(kerf, rects, axis))
        .find(|groups| groups.len() > 1);
    cut.is_some_and(|groups| groups.iter().all(|(group, _)| free(kerf, group)))
}

/// Whether the tree starts at the usable sheet, obeys the kerf and ends in exactly what is placed and kept.
fn tree_agrees(kerf: u64, layout: &Layout, usable: Rect) -> bool {
    let mut parts = Vec::new();
    let mut rests = Vec::new();
    let sound =
        layout.cuts.rect == usable && follow(kerf, layout, &layout.cuts, &mut parts, &mut rests);
    parts.sort_unstable();
    rests.sort_unstable();
    let mut kept = layout.leftovers.clone();
    kept.sort_unstable();
    sound && parts == (0..layout.placed.len()).collect::<Vec<_>>() && rests == kept
}

/// Walks the tree, gathers its leaves, and says whether each cut is sound.
fn follow(
    kerf: u64,
    layout: &Layout,
    region: &Region,
    parts: &mut Vec<usize>,
    rests: &mut Vec<Rect>,
) -> bool {
    match &region.becomes {
        Use::Part(index) => {
            parts.push(*index);
            (layout.placed.get(*index)).is_some_and(|placed| placed.rect == region.rect)
        }
        Use::Leftover => {
            rests.push(region.rect);
            true
        }
        Use::Waste => true,
        Use::Cut { divides, pieces } => {
            let (mut reached, end) = span(&region.rect, *divides);
            for piece in pieces {
                let reach = span(&piece.rect, *divides);
                let full = narrowed(region.rect, *divides, reach) == piece.rect;
                if !full || reach.0 < reached || reach.1 > end {
                    return false;
                }
                reached = reach.1 + kerf;
                if !follow(kerf, layout, piece, parts, rests) {
                    return false;
                }
            }
            !pieces.is_empty()
        }
    }
}
