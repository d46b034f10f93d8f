//! Small works built by hand, for tests of the arithmetic.

use std::collections::BTreeMap;

use jiff::civil::Date;
use quantity::{Dimension, Spread, Unit, Units};
use works::*;

/// A date of the tests.
pub(crate) fn day(text: &str) -> Date {
    text.parse().unwrap()
}

/// The unit of a count.
pub(crate) fn count(name: &str) -> Unit {
    Unit::base(&Dimension::count(name))
}

/// Kilograms.
pub(crate) fn kg() -> Unit {
    Unit::base(&Dimension::MASS)
}

/// Metres.
pub(crate) fn metre() -> Unit {
    Unit::base(&Dimension::LENGTH)
}

/// Nowhere in particular.
pub(crate) fn nowhere() -> Span {
    Span::new(FileId(0), 0..0)
}

/// A stated number without spread.
pub(crate) fn stated(value: f64) -> Stated {
    Stated {
        spread: Spread::Exact(value),
        unit: Unit::one(),
        source: None,
        at: nowhere(),
    }
}

/// A stated yield.
pub(crate) fn share(mean: f64, lots_sd: f64) -> Yield {
    Yield {
        mean,
        lots_sd,
        stated: Some(stated(mean)),
    }
}

/// A take of an item.
pub(crate) fn take(item: ItemId, amount: f64) -> Take {
    Take {
        item,
        amount: Spread::Exact(amount),
        stated: stated(amount),
        recovered: None,
    }
}

/// A by-product.
pub(crate) fn also(item: ItemId, amount: f64) -> Also {
    Also {
        item,
        amount: Spread::Exact(amount),
        stated: stated(amount),
    }
}

/// All or a share of the rejects.
pub(crate) fn reject(share: f64, to: RejectTo) -> Reject {
    Reject {
        share,
        to,
        at: None,
    }
}

/// A works being built.
pub(crate) struct Build(pub(crate) Works);

impl Build {
    /// An empty works.
    pub(crate) fn new() -> Self {
        Self(Works {
            name: "test works".into(),
            note: None,
            time_zone: jiff::tz::TimeZone::UTC,
            currency: "GBP".into(),
            units: Units::standard(),
            calendars: vec![],
            skills: vec![],
            crews: vec![],
            stations: vec![],
            items: vec![],
            hazards: vec![],
            routes: vec![],
            operations: vec![],
            orders: vec![],
            stock: vec![],
            readings: vec![],
            materials: vec![],
            logs: vec![],
            weighings: vec![],
            assumptions: Assumptions {
                from: None,
                until: None,
                certainty: 0.95,
                quantities: vec![],
                overhead: None,
                energy: None,
                prefer_measured: false,
                seed: 1,
            },
        })
    }

    /// An item.
    pub(crate) fn item(&mut self, name: &str, unit: Unit) -> ItemId {
        self.0.items.push(Item {
            name: name.into(),
            at: nowhere(),
            unit,
            buy: None,
            worth: None,
            mass: None,
            attributes: BTreeMap::new(),
            keeps_for: None,
            route: None,
            made_by: None,
            left_over_somewhere: false,
            note: None,
        });
        ItemId(self.0.items.len() - 1)
    }

    /// An item that is bought.
    pub(crate) fn bought(&mut self, name: &str, unit: Unit, price: f64) -> ItemId {
        let id = self.item(name, unit);
        self.0.items[id.0].buy = Some(Buy {
            price: stated(price),
            pack: None,
            minimum: None,
            lead: None,
            breaks: vec![],
            supplier: None,
        });
        id
    }

    /// A route without operations yet.
    pub(crate) fn route(&mut self, makes: ItemId) -> RouteId {
        let id = RouteId(self.0.routes.len());
        self.0.routes.push(Route {
            makes,
            at: nowhere(),
            lot: None,
            transfer: None,
            operations: vec![],
            revision: None,
            note: None,
        });
        self.0.items[makes.0].route = Some(id);
        id
    }

    /// An operation fed by nothing.
    pub(crate) fn starts(&mut self, route: RouteId, name: &str, item: ItemId) -> OperationId {
        let id = OperationId(self.0.operations.len());
        self.0.operations.push(Operation {
            name: name.into(),
            route,
            at: nowhere(),
            station: None,
            alternatives: vec![],
            feeds: vec![],
            takes: vec![],
            output: Output {
                item,
                unit: self.0.items[item.0].unit.clone(),
                per_recipe: 1.0,
                within_cv: 0.0,
                lots_cv: 0.0,
                stated: None,
            },
            also: vec![],
            keeps: Yield::whole(),
            good: Yield::whole(),
            rejects: vec![],
            uses_up: None,
            then: None,
            off_line: false,
            lost_as: None,
            does: Vec::new(),
            pace: Pace::None,
            people: None,
            setup: None,
            wait: Wait::default(),
            settings: vec![],
            checks: vec![],
            tools: vec![],
            hazards: vec![],
            energy: None,
            tasks: vec![],
            cut: None,
            drill: None,
            fill: None,
            heat: None,
            salt: None,
            drying: None,
            mould: None,
            solvent: None,
            note: None,
        });
        self.0.routes[route.0].operations.push(id);
        if self.0.items[item.0].route.is_none() {
            self.0.items[item.0].made_by = Some(id);
        }
        id
    }

    /// An operation fed by another, so many of it for each.
    pub(crate) fn follows(
        &mut self,
        route: RouteId,
        name: &str,
        item: ItemId,
        from: OperationId,
        amount: f64,
    ) -> OperationId {
        let id = self.starts(route, name, item);
        let feed = Feed {
            from,
            amount: Spread::Exact(amount),
            stated: None,
        };
        self.op(id).feeds.push(feed);
        id
    }

    /// An operation, to be changed.
    pub(crate) fn op(&mut self, id: OperationId) -> &mut Operation {
        &mut self.0.operations[id.0]
    }

    /// An order.
    pub(crate) fn order(&mut self, item: ItemId, quantity: f64, due: &str) {
        let number = format!("{}", self.0.orders.len() + 1);
        self.0.orders.push(Order {
            number,
            item,
            quantity: stated(quantity),
            due: day(due),
            release: None,
            customer: None,
            priority: 1.0,
            attributes: BTreeMap::new(),
            at: nowhere(),
        });
    }

    /// Something on hand.
    pub(crate) fn stock(&mut self, item: ItemId, amount: f64) {
        self.0.stock.push(Stock {
            item,
            amount: stated(amount),
            lot: None,
            received: None,
            more: BTreeMap::new(),
            at: nowhere(),
        });
    }

    /// The works, with left-overs marked as the reader marks them.
    pub(crate) fn finish(mut self) -> Works {
        let mut left_over = vec![false; self.0.items.len()];
        for operation in &self.0.operations {
            for also in &operation.also {
                left_over[also.item.0] = true;
            }
            for reject in &operation.rejects {
                if let RejectTo::Item(item, _) = reject.to {
                    left_over[item.0] = true;
                }
            }
            if operation.uses_up.is_some() {
                left_over[operation.output.item.0] = true;
            }
        }
        for (item, left_over) in self.0.items.iter_mut().zip(left_over) {
            item.left_over_somewhere = left_over;
            if left_over
                && item
                    .made_by
                    .is_some_and(|id| self.0.operations[id.0].uses_up.is_some())
            {
                item.made_by = None;
            }
        }
        self.0
    }
}
