//! Sheets filled one after another, each with the most valuable parts still needed.
//!
//! No search over the whole list, and no bound: a plan to fall back on where that search ends early, and now and
//! then a better one for few sheets.

use effort::Effort;

use super::answer::Plan;
use super::problem::{Part, Problem};
use super::{Best, most_valuable};

/// Part of the effort that one sheet may take.
const EACH: u64 = 20;
/// Layouts after which the list is given up.
const MOST_LAYOUTS: usize = 400;

/// A plan, or none where the sheets run out or the effort does.
pub(super) fn fill(problem: &Problem, effort: Effort<'_>) -> Option<Plan> {
    let mut left: Vec<u64> = problem.parts.iter().map(|part| part.need).collect();
    let mut stock: Vec<Option<u64>> = problem.sheets.iter().map(|sheet| sheet.available).collect();
    let mut layouts = Vec::new();
    while left.iter().any(|&need| need > 0) {
        if layouts.len() == MOST_LAYOUTS {
            return None;
        }
        let mut best = next(problem, &left, &stock, effort.share_of(EACH))?;
        let kind = best.layout.sheet;
        let mut used = vec![0; left.len()];
        for placed in &best.layout.placed {
            used[placed.part] += 1;
        }
        let often = left.iter().zip(&used).filter(|(_, used)| **used > 0);
        let often = often.map(|(left, used)| left / used).min()?;
        let often = stock[kind].map_or(often, |stock| stock.min(often));
        for (left, used) in left.iter_mut().zip(&used) {
            *left -= used * often;
        }
        stock[kind] = stock[kind].map(|stock| stock - often);
        best.layout.count = often;
        layouts.push(best.layout);
    }
    let cost = |layout: &super::Layout| layout.count * problem.sheets[layout.sheet].cost;
    Some(Plan {
        cost: layouts.iter().map(cost).sum(),
        sheets: layouts.iter().map(|layout| layout.count).sum(),
        layouts,
        bound: 0,
        proved: false,
    })
}

/// The sheet that gives most area for its cost; the cheapest that takes all that is left, where one does.
fn next(
    problem: &Problem,
    left: &[u64],
    stock: &[Option<u64>],
    effort: Effort<'_>,
) -> Option<Best> {
    let wanted = Problem {
        parts: problem
            .parts
            .iter()
            .zip(left)
            .map(|(part, &left)| Part {
                at_most: Some(left),
                value: part.length * part.width,
                ..part.clone()
            })
            .collect(),
        ..problem.clone()
    };
    let parts_left: u64 = left.iter().sum();
    let there = (0..problem.sheets.len()).filter(|&kind| stock[kind] != Some(0));
    let found = there.filter_map(|kind| most_valuable(&wanted, kind, effort).ok());
    let cost = |best: &Best| problem.sheets[best.layout.sheet].cost.max(1) as f64;
    let all = |best: &Best| best.layout.placed.len() as u64 == parts_left;
    found.filter(|best| best.value > 0).max_by(|a, b| {
        let by_cost = cost(b).total_cmp(&cost(a));
        let by_worth = (a.value as f64 / cost(a)).total_cmp(&(b.value as f64 / cost(b)));
        match (all(a), all(b)) {
            (true, true) => by_cost,
            (one, other) => one.cmp(&other).then(by_worth),
        }
    })
}
