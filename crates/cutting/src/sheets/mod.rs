//! Cutting rectangles from sheets by cuts from edge to edge.
//!
//! Two questions: [`most_valuable`], the most valuable set of parts from one sheet with limits on copies; and
//! [`least_cost`], all needs met at the least cost of sheets. Both answer with rectangles, a tree of cuts, a bound that
//! holds, and whether it is met. [`check_best`] and [`check_plan`] re-derive every rule from the problem alone.
//!
//! A reader may begin with [`problem`](self), then `core` (how the kerf vanishes), `axis` (where cuts can
//! be), `relaxed` and `prices` (bounds), `labels` (layouts within limits), `build` (back to the saw).

mod answer;
mod axis;
mod blocks;
mod build;
mod check;
mod core;
mod filling;
mod knapsack;
mod labels;
mod prices;
mod problem;
mod relaxed;
mod sequence;
mod stock;
mod supply;

use effort::Effort;

pub use answer::{Axis, Best, Layout, Placed, Plan, Rect, Region, Use};
pub use check::{Broken, check_best, check_layout, check_plan};
pub use problem::{Fault, FirstCut, MOST_MONEY, MOST_SIDE, Part, Problem, Scheme, Sheet, Trims};

use self::core::{MOST_CELLS, View};

/// The most valuable set of parts that one sheet of this kind gives. A step is about four thousand joins of
/// two rectangles looked at.
///
/// # Errors
/// What is wrong with the problem.
pub fn most_valuable(problem: &Problem, sheet: usize, effort: Effort<'_>) -> Result<Best, Fault> {
    if let Some(fault) = problem.fault() {
        return Err(fault);
    }
    if sheet >= problem.sheets.len() {
        return Err(Fault::NoSheet(sheet));
    }
    let limit = |part: &Part| {
        let most = part.at_most.unwrap_or(u64::MAX);
        u32::try_from(most).unwrap_or(u32::MAX)
    };
    let worth: Vec<u64> = problem.parts.iter().map(|part| part.value).collect();
    let limits: Vec<u32> = problem.parts.iter().map(limit).collect();
    let view = View {
        problem,
        worth: &worth,
        limits: &limits,
        together: true,
        most_cells: MOST_CELLS,
        seed: 0,
        used: &[],
    };
    let (core, block, value, bound) = knapsack::best(view, sheet, &mut effort.meter());
    let layout = build::layout(problem, &core, &block, 1);
    Ok(Best {
        layout,
        value,
        bound,
        proved: value == bound,
    })
}

/// All needs met, each exactly, at the least cost of sheets. A step is as in [`most_valuable`].
///
/// # Errors
/// What is wrong with the problem; a part that fits nowhere; too few sheets.
pub fn least_cost(problem: &Problem, effort: Effort<'_>) -> Result<Plan, Fault> {
    if let Some(fault) = problem.fault() {
        return Err(fault);
    }
    let searched = stock::solve(problem, &mut effort.meter());
    if searched.as_ref().is_ok_and(|plan| plan.proved) {
        return searched;
    }
    let mut best = searched;
    for other in [
        filling::fill(problem, effort),
        in_two_stages(problem, effort),
    ] {
        best = cheaper(best, other);
    }
    best
}

/// A plan with fewer stages than allowed: a smaller question, which a long list can be answered in.
fn in_two_stages(problem: &Problem, effort: Effort<'_>) -> Option<Plan> {
    let first = match problem.scheme {
        Scheme::TwoStage { .. } => return None,
        Scheme::ThreeStage { first, .. } => first,
        Scheme::Free => FirstCut::Either,
    };
    let smaller = Problem {
        scheme: Scheme::TwoStage {
            first,
            trimming: true,
        },
        ..problem.clone()
    };
    stock::solve(&smaller, &mut effort.meter()).ok()
}

/// The cheaper of what was found and another plan, with the bound of what was found.
fn cheaper(found: Result<Plan, Fault>, other: Option<Plan>) -> Result<Plan, Fault> {
    match (found, other) {
        (Ok(plan), Some(other)) if other.cost < plan.cost => Ok(Plan {
            bound: plan.bound,
            proved: other.cost == plan.bound,
            ..other
        }),
        (Err(Fault::TooFewSheets), Some(other)) => Ok(Plan {
            bound: 0,
            proved: false,
            ..other
        }),
        (found, _) => found,
    }
}
