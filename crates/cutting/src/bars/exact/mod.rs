//! Is there a plan at this cost? All patterns it could use are listed, then searched to the end.
//!
//! With a bound B and its prices, a plan of cost at most T can only use patterns whose reduced cost is at
//! most T - B (Baldacci, Christofides & Mingozzi 2008). The list is a pool; the linear programme over it takes in what it
//! prices out. Bounds at the nodes are made from duals in whole numbers over the whole pool, so a
//! node is only dropped when that is certain. Cuts: `cuts`. Branching: on how often two items share
//! a stretch (Ryan & Foster 1981; for items needed more than once as a row, Vance 1998), then on
//! single patterns.

mod cuts;
mod pool;
mod tree;

use effort::Meter;

use super::core::{Core, Residual, Shape, Solution};
use super::master::lagrange;
use super::pricing::{Pricer, Prices};

/// Patterns a list may have.
const MOST_SHAPES: usize = 150_000;
/// Nodes of the search for the list.
const LIST_NODES: u64 = 20_000_000;
/// Cells of the table behind the list.
const LIST_CELLS: u64 = 1 << 23;

/// What the search found out.
#[derive(Debug)]
pub(super) enum Verdict {
    /// A plan at the cost or below.
    Found(Solution),
    /// There is none.
    None,
    /// The list would be too long, or the effort ran out.
    Open,
}

/// Looks for a plan that costs no more than `target`.
pub(super) fn decide(
    core: &Core,
    prices: &Prices,
    start: &[Shape],
    target: u64,
    meter: &mut Meter<'_>,
) -> Verdict {
    let Some(shapes) = list(core, prices, target, meter) else {
        return Verdict::Open;
    };
    tree::search(core, shapes, start, prices.scale, target, meter)
}

/// All patterns that a plan of this cost can use; none if there are too many.
fn list(core: &Core, prices: &Prices, target: u64, meter: &mut Meter<'_>) -> Option<Vec<Shape>> {
    let residual = Residual::new(core);
    let pricer = Pricer::new(core, prices, &residual.needs, true, Some(LIST_CELLS));
    if !meter.spend(pricer.effort()) {
        return None;
    }
    let mut nodes = LIST_NODES;
    let worth: Vec<i64> = (0..core.classes.len())
        .map(|class| {
            let least = core.rest_value(core.classes[class].capacity) as i64 * prices.scale;
            let floor = class_cost(core, class, prices.scale).unwrap_or(least);
            let found = pricer.best(class, floor, 1, &mut nodes);
            found.upper.min(pricer.upper(class))
        })
        .collect();
    let small = lagrange(core, prices, &worth, &residual);
    let gap = i128::from(target) * i128::from(prices.scale) - small;
    let mut shapes = Vec::new();
    if gap < 0 {
        return Some(shapes);
    }
    for (class, &worth) in worth.iter().enumerate() {
        let reference = class_cost(core, class, prices.scale).map_or(worth, |cost| cost.max(worth));
        let floor = i128::from(reference) - gap - 1;
        let floor = i64::try_from(floor).ok()?.max(-1);
        let most = MOST_SHAPES - shapes.len().min(MOST_SHAPES);
        let found = pricer.all(class, floor, most, &mut nodes);
        if !meter.spend((LIST_NODES - nodes) / 256) {
            return None;
        }
        shapes.extend(found?);
    }
    Some(shapes)
}

/// Cost of the piece where the class is a whole piece, in small units.
fn class_cost(core: &Core, class: usize, scale: i64) -> Option<i64> {
    let kind = core.classes[class].sole?;
    Some(core.kinds[kind].cost as i64 * scale)
}
