//! Items: whatever is bought, made, passed on, left over or sold.

use std::collections::BTreeMap;

use quantity::Unit;

use super::{OperationId, RouteId, Stated};
use crate::source::Span;

/// A kind of thing that the works holds an amount of.
#[derive(Clone, Debug)]
pub struct Item {
    /// Its name.
    pub name: String,
    /// Where it was declared, or first made.
    pub at: Span,
    /// The unit it is counted in.
    pub unit: Unit,
    /// How it is bought, if it can be.
    pub buy: Option<Buy>,
    /// What one unit brings when sold or used elsewhere (money per base unit); below zero when
    /// getting rid of it costs.
    pub worth: Option<Stated>,
    /// Mass of one base unit, kg. A unit that is a mass needs none.
    pub mass: Option<Stated>,
    /// Properties that changeovers and batch families look at.
    pub attributes: BTreeMap<String, String>,
    /// How long it keeps, s.
    pub keeps_for: Option<Stated>,
    /// The route whose product it is.
    pub route: Option<RouteId>,
    /// The operation that makes it on the way through a route (the last one that passes it on).
    pub made_by: Option<OperationId>,
    /// Whether some operation yields it beside its product (by-product, sprue, rejects).
    pub left_over_somewhere: bool,
    /// A free note.
    pub note: Option<String>,
}

impl Item {
    /// Kilograms in one base unit, when they are known.
    pub fn kg_per_unit(&self) -> Option<f64> {
        if *self.unit.dimension() == quantity::Dimension::MASS {
            return Some(1.0);
        }
        self.mass.as_ref().map(Stated::mean)
    }
}

/// How an item is bought.
#[derive(Clone, Debug)]
pub struct Buy {
    /// Money per base unit of the item.
    pub price: Stated,
    /// Base units in one pack; it is bought in whole packs.
    pub pack: Option<Stated>,
    /// Least amount of one purchase, base units.
    pub minimum: Option<Stated>,
    /// Time from order to arrival, s.
    pub lead: Option<Stated>,
    /// Lower prices from larger amounts, in rising order of amount.
    pub breaks: Vec<PriceBreak>,
    /// Who sells it.
    pub supplier: Option<String>,
}

/// A price that holds from an amount on.
#[derive(Clone, Debug)]
pub struct PriceBreak {
    /// Least amount, base units.
    pub from: Stated,
    /// Money per base unit.
    pub price: Stated,
}
