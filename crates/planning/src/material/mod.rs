//! Material: what to buy and to start, what is left over, and whether the kilograms add up.
//!
//! | file | what |
//! | --- | --- |
//! | `certain` | amounts that suffice with the certainty asked for, not only in the mean |
//! | `purchase` | the purchase list: packs, minimum, price breaks |
//! | `timing` | by when to order: which order's making stock no longer covers |
//! | `starts` | start quantities of products and orders, certainty curves |
//! | `leftover` | by-products, waste, rework and regrind |
//! | `mass` | the mass balance of operations and routes |
//! | `scales` | what one unit of everything weighs |

mod certain;
mod leftover;
mod mass;
mod purchase;
mod scales;
mod starts;
mod timing;

use jiff::civil::Date;
use serde::Serialize;
use works::Works;

use crate::figure::Figures;
use crate::flow::{Book, Flow, Wanted, label};
use crate::load::LoadAnswer;
use crate::reason::{Ledger, NodeId, Shown, Source};
use crate::start::Memory;

pub use certain::Certain;
pub use leftover::{LeftOver, Regrind, Rework};
pub use mass::{MassBalance, OperationMass, RouteMass};
pub use purchase::Purchase;
pub use starts::{OrderStart, ProductStart, StartFigure, Unreached};
pub use timing::{Timing, timings};

/// What the questions about material are asked of.
#[derive(Clone, Copy)]
pub struct Ground<'a> {
    /// The works.
    pub works: &'a Works,
    /// Its balance.
    pub flow: &'a Flow,
    /// The reasons of the balance.
    pub book: &'a Book,
    /// What was asked for.
    pub wanted: &'a [Wanted],
    /// The load that follows: lots and lead times.
    pub load: &'a LoadAnswer,
    /// Certainty with which demand shall be filled.
    pub certainty: f64,
    /// The day the plan is made.
    pub today: Date,
}

/// The level of one operation.
#[derive(Clone, Debug, Serialize)]
pub struct OperationLevel {
    /// Index of the operation in the works.
    pub operation: usize,
    /// Its name.
    pub name: String,
    /// Units attempted in the mean.
    pub attempted: NodeId,
    /// Units that went on.
    pub passed: NodeId,
    /// Units attempted so that the demand is filled with the certainty, where the operation takes
    /// something from outside the route and that differs from the mean.
    pub attempted_certain: Option<NodeId>,
}

/// The levels of one route.
#[derive(Clone, Debug, Serialize)]
pub struct RouteLevels {
    /// Index of the route in the works.
    pub route: usize,
    /// The product.
    pub product: String,
    /// Product asked for by orders.
    pub wanted: Option<NodeId>,
    /// Product asked for in all, by orders, other routes and tests.
    pub needed: Option<NodeId>,
    /// Its operations in order.
    pub operations: Vec<OperationLevel>,
}

/// Everything about material.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Material {
    /// Levels by route.
    pub routes: Vec<RouteLevels>,
    /// The purchase list.
    pub purchases: Vec<Purchase>,
    /// What all purchases cost.
    pub purchase_total: Option<NodeId>,
    /// By-products and waste.
    pub left_over: Vec<LeftOver>,
    /// What all left-overs bring (below zero: cost).
    pub left_over_total: Option<NodeId>,
    /// Rework flows.
    pub rework: Vec<Rework>,
    /// Regrind flows.
    pub regrind: Vec<Regrind>,
    /// The mass balance.
    pub mass: MassBalance,
    /// Start quantities and certainty curve of each product.
    pub starts: Vec<ProductStart>,
    /// Start quantities of each order.
    pub orders: Vec<OrderStart>,
    /// Items and operations whose balances had to be solved together.
    pub solved_together: Vec<Vec<String>>,
}

impl Material {
    /// Works everything out and enters reasons and figures.
    pub fn work_out(
        ledger: &mut Ledger,
        figures: &mut Figures,
        memory: &mut Memory,
        ground: Ground<'_>,
    ) -> Self {
        let certainty = ledger.given(
            "certainty asked for",
            ground.certainty,
            Shown::percent(),
            Source::assumed("the plan's certainty, or the one asked for"),
        );
        let regrind = leftover::regrind(ledger, figures, ground);
        let certain = Certain::work_out(ledger, memory, ground, certainty, &regrind);
        let purchases = purchase::list(ledger, figures, ground, &certain);
        let purchase_total = purchase::total(ledger, figures, ground, &purchases);
        let left_over = leftover::list(ledger, figures, ground);
        let left_over_total = leftover::total(ledger, figures, ground, &left_over);
        Self {
            routes: levels(ground, &certain),
            purchase_total,
            purchases,
            left_over_total,
            left_over,
            rework: leftover::rework(ledger, figures, ground),
            regrind,
            mass: mass::balance(ledger, figures, ground),
            starts: starts::products(ledger, figures, memory, ground, (certainty, &certain)),
            orders: starts::orders(ledger, memory, ground, certainty),
            solved_together: solved_together(ground),
        }
    }
}

/// What the complaints need of the material, without start quantities and purchases.
#[derive(Clone, Debug)]
pub struct Seen {
    /// The mass balance.
    pub mass: MassBalance,
    /// Rework flows.
    pub rework: Vec<Rework>,
    /// Products for which no start is certain enough.
    pub unreached: Vec<Unreached>,
    /// By when to order, by item; none where nothing is to be ordered.
    pub timings: Vec<Option<Timing>>,
}

impl Seen {
    /// Works out no more than the complaints need.
    pub fn work_out(ledger: &mut Ledger, ground: Ground<'_>) -> Self {
        let mut figures = Figures::default();
        Self {
            mass: mass::balance(ledger, &mut figures, ground),
            rework: leftover::rework(ledger, &mut figures, ground),
            unreached: starts::unreached(ledger, ground),
            timings: timings(ground.works, ground.flow, ground.load, ground.today),
        }
    }
}

fn levels(ground: Ground<'_>, certain: &Certain) -> Vec<RouteLevels> {
    let routes = ground.works.routes.iter().enumerate();
    routes
        .map(|(index, route)| RouteLevels {
            route: index,
            product: ground.works.item(route.makes).name.clone(),
            wanted: ground.book.items[route.makes.0].wanted,
            needed: ground.book.items[route.makes.0].needed,
            operations: route
                .operations
                .iter()
                .map(|&id| OperationLevel {
                    operation: id.0,
                    name: ground.works.operation(id).name.clone(),
                    attempted: ground.book.operations[id.0].attempted,
                    passed: ground.book.operations[id.0].passed,
                    attempted_certain: Some(certain.attempted[id.0])
                        .filter(|node| *node != ground.book.operations[id.0].attempted),
                })
                .collect(),
        })
        .collect()
}

/// The loops of the network, in names.
fn solved_together(ground: Ground<'_>) -> Vec<Vec<String>> {
    let loops = &ground.flow.solution.loops;
    loops
        .iter()
        .map(|ring| ring.iter().map(|c| commodity_name(ground, c.0)).collect())
        .collect()
}

/// The name of a commodity: an item, or the output of or arrivals at an operation.
fn commodity_name(ground: Ground<'_>, commodity: usize) -> String {
    if let Some(item) = ground.works.items.get(commodity) {
        return item.name.clone();
    }
    commodity_words(ground.works, &ground.flow.layout, commodity)
}

/// The name of a commodity that is no item.
pub(crate) fn commodity_words(
    works: &Works,
    layout: &crate::flow::Layout,
    commodity: usize,
) -> String {
    if let Some(item) = works.items.get(commodity) {
        return item.name.clone();
    }
    let operations = (0..works.operations.len()).map(works::OperationId);
    let is = |slot: Option<balance::network::CommodityId>| slot.is_some_and(|c| c.0 == commodity);
    for id in operations {
        if is(layout.arrivals[id.0]) {
            return format!("arrivals at {}", label(works, id));
        }
        if is(Some(layout.out[id.0])) {
            return format!("output of {}", label(works, id));
        }
    }
    "what is on hand".to_owned()
}

#[cfg(test)]
mod tests;
