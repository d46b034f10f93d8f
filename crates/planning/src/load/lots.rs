//! Lots: what is started for the orders, in the sequence of their due dates.
//!
//! A route's product is wanted by orders and by the lots of other routes that take it. Wants are
//! served by due date. Where the route fixes a lot, an order first takes what is left of the last
//! lot with the same attributes and due in the
//! same week (ISO 8601), because what is due a month later is not started with it; otherwise each order is one lot of its own.

use std::collections::BTreeMap;

use jiff::civil::Date;
use works::{Operation, Order, RouteId, Works};

use crate::flow::last_operation;

/// Alike lots started one after the other for one order.
#[derive(Clone, Debug, PartialEq)]
pub struct Lot {
    /// What is made.
    pub route: RouteId,
    /// The order that starts it, by position in [`Works::orders`]; none where nobody ordered.
    pub order: Option<usize>,
    /// When that order is due.
    pub due: Date,
    /// Base units of the product that wants draw from these lots.
    pub amount: f64,
    /// How many lots.
    pub count: f64,
}

/// Every lot of the horizon.
#[derive(Clone, Debug, Default)]
pub struct Lots {
    /// In order of due date, order and route.
    pub lots: Vec<Lot>,
    /// Product wanted from each route's lots.
    pub wanted: Vec<f64>,
    /// Lots of each route.
    pub count: Vec<f64>,
    /// For each route the positions of its lots.
    pub of_route: Vec<Vec<usize>>,
}

/// An amount of a product that an order needs.
#[derive(Clone, Copy, Debug)]
struct Want {
    order: Option<usize>,
    due: Date,
    amount: f64,
}

impl Lots {
    /// Plans the lots of all orders due by `until`, given the level of each operation.
    pub fn plan(works: &Works, levels: &[f64], until: Date) -> Self {
        let mut wants = ordered(works, until);
        let pulls = Pulls::of(works, levels);
        let mut lots = Vec::new();
        for route in pulls.sequence() {
            let made = made(works, levels, route);
            let stream = &mut wants[route.0];
            stream.sort_by_key(|want| (want.due, want.order));
            take_from_stock(stream, made);
            if stream.is_empty() && made > 0.0 {
                stream.push(Want {
                    order: None,
                    due: until,
                    amount: made,
                });
            }
            let stream = std::mem::take(stream);
            pulls.pass_on(route, &stream, &mut wants);
            start_lots(works, route, &stream, &mut lots);
        }
        Self::collect(works, lots)
    }

    fn collect(works: &Works, mut lots: Vec<Lot>) -> Self {
        lots.sort_by_key(|lot| (lot.due, lot.order, lot.route));
        let routes = works.routes.len();
        let mut all = Self {
            wanted: vec![0.0; routes],
            count: vec![0.0; routes],
            of_route: vec![Vec::new(); routes],
            lots,
        };
        for (position, lot) in all.lots.iter().enumerate() {
            all.wanted[lot.route.0] += lot.amount;
            all.count[lot.route.0] += lot.count;
            all.of_route[lot.route.0].push(position);
        }
        all
    }

    /// The lots of a route, in sequence.
    pub fn of(&self, route: RouteId) -> impl Iterator<Item = &Lot> {
        self.of_route[route.0]
            .iter()
            .map(|&position| &self.lots[position])
    }

    /// Squared coefficient of variation of the sizes of a route's lots.
    pub fn size_scv(&self, route: RouteId) -> f64 {
        let count = self.count[route.0];
        let mean = self.wanted[route.0] / count;
        let squares: f64 = self
            .of(route)
            .map(|lot| lot.amount * lot.amount / lot.count)
            .sum();
        let scv = squares / (count * mean * mean) - 1.0;
        if scv.is_finite() { scv.max(0.0) } else { 0.0 }
    }

    /// The share of a route's amount that each of its lots is, in sequence.
    pub fn shares(&self, route: RouteId) -> impl Iterator<Item = (&Lot, f64)> {
        let total = self.wanted[route.0];
        self.of(route)
            .map(move |lot| (lot, if total > 0.0 { lot.amount / total } else { 0.0 }))
    }
}

/// What a lot says about an attribute: its order over its item. `product` is the item's name.
///
/// A part that is made on the way to an order takes from that order only attributes that the part
/// itself has: the colour of a sign is not the colour of its screws.
pub fn attribute<'a>(works: &'a Works, lot: &Lot, on: &str) -> Option<&'a str> {
    let makes = works.route(lot.route).makes;
    let item = works.item(makes);
    if on == "product" {
        return Some(&item.name);
    }
    let own = item.attributes.get(on);
    let ordered = lot
        .order
        .map(|order| &works.orders[order])
        .filter(|order| order.item == makes || own.is_some())
        .and_then(|order| order.attributes.get(on));
    ordered.or(own).map(String::as_str)
}

/// Product that comes out of a route when its operations run at these levels.
pub fn made(works: &Works, levels: &[f64], route: RouteId) -> f64 {
    let Some(id) = last_operation(works, route) else {
        return 0.0;
    };
    let operation = works.operation(id);
    levels[id.0] * operation.keeps.mean * operation.good.mean
}

fn ordered(works: &Works, until: Date) -> Vec<Vec<Want>> {
    let mut wants = vec![Vec::new(); works.routes.len()];
    for (position, order) in works
        .orders
        .iter()
        .enumerate()
        .filter(|(_, order)| order.due <= until)
    {
        if let Some(route) = works.item(order.item).route {
            let amount = order.quantity.mean();
            wants[route.0].push(Want {
                order: Some(position),
                due: order.due,
                amount,
            });
        }
    }
    wants
}

/// What is made is less than what is wanted: the first wants are served from stock.
fn take_from_stock(stream: &mut Vec<Want>, made: f64) {
    let wanted: f64 = stream.iter().map(|want| want.amount).sum();
    let mut on_hand = wanted - made;
    if on_hand <= 1e-9 * wanted {
        return;
    }
    for want in stream.iter_mut() {
        let taken = want.amount.min(on_hand);
        want.amount -= taken;
        on_hand -= taken;
    }
    stream.retain(|want| want.amount > 1e-9 * wanted);
}

fn start_lots(works: &Works, route: RouteId, stream: &[Want], lots: &mut Vec<Lot>) {
    let size = works
        .route(route)
        .lot
        .as_ref()
        .map(works::Stated::mean)
        .filter(|&size| size > 0.0);
    let week = |day: Date| {
        let iso = day.iso_week_date();
        (iso.year(), iso.week())
    };
    let mut open: BTreeMap<_, (usize, f64)> = BTreeMap::new();
    for want in stream {
        let new = |amount, count| Lot {
            route,
            order: want.order,
            due: want.due,
            amount,
            count,
        };
        let Some(size) = size else {
            lots.push(new(want.amount, 1.0));
            continue;
        };
        let (lot, room) = open
            .entry((week(want.due), kind_of(works, route, want.order)))
            .or_insert((usize::MAX, 0.0));
        let drawn = want.amount.min(*room);
        if drawn > 0.0 {
            lots[*lot].amount += drawn;
            *room -= drawn;
        }
        let rest = want.amount - drawn;
        let whole = (rest / size * (1.0 + 1e-12)).floor();
        if whole >= 1.0 {
            lots.push(new((whole * size).min(rest), whole));
        }
        let rest = rest - whole * size;
        if rest > 1e-9 * size {
            *lot = lots.len();
            *room = size - rest;
            lots.push(new(rest, 1.0));
        }
    }
}

/// The attributes in which two orders must agree to share a lot.
fn kind_of(works: &Works, route: RouteId, order: Option<usize>) -> Vec<(&str, &str)> {
    let makes = works.route(route).makes;
    let shown = |order: &Order, name: &str| {
        order.item == makes || works.item(makes).attributes.contains_key(name)
    };
    let order = order.map(|order| &works.orders[order]);
    let pairs = order.into_iter().flat_map(|order| {
        let told = order
            .attributes
            .iter()
            .filter(move |(name, _)| shown(order, name));
        told.map(|(name, value)| (name.as_str(), value.as_str()))
    });
    pairs.collect()
}

/// How much of one route's product the operations of another take.
struct Pulls {
    /// For each route: routes it takes from, with the amount over the horizon.
    takes: Vec<BTreeMap<RouteId, f64>>,
}

impl Pulls {
    fn of(works: &Works, levels: &[f64]) -> Self {
        let mut takes = vec![BTreeMap::new(); works.routes.len()];
        for (operation, level) in works.operations.iter().zip(levels) {
            for (route, amount) in made_elsewhere(works, operation) {
                *takes[operation.route.0].entry(route).or_insert(0.0) += level * amount;
            }
        }
        Self { takes }
    }

    /// Routes, each after all that take from it. Routes in a ring follow as they are written.
    fn sequence(&self) -> Vec<RouteId> {
        let mut open = vec![0usize; self.takes.len()];
        for route in self.takes.iter().flat_map(BTreeMap::keys) {
            open[route.0] += 1;
        }
        let mut ready: Vec<usize> = (0..open.len()).filter(|&route| open[route] == 0).collect();
        let mut done = vec![false; open.len()];
        let mut sequence = Vec::with_capacity(open.len());
        while let Some(route) = ready.pop() {
            done[route] = true;
            sequence.push(RouteId(route));
            for next in self.takes[route].keys() {
                open[next.0] -= 1;
                if open[next.0] == 0 {
                    ready.push(next.0);
                }
            }
        }
        sequence.extend((0..open.len()).filter(|&route| !done[route]).map(RouteId));
        sequence
    }

    /// Adds what the lots of a route want of the others.
    fn pass_on(&self, route: RouteId, stream: &[Want], wants: &mut [Vec<Want>]) {
        let total: f64 = stream.iter().map(|want| want.amount).sum();
        if total <= 0.0 {
            return;
        }
        for (&from, &amount) in self.takes[route.0]
            .iter()
            .filter(|(from, _)| **from != route)
        {
            let scale = amount / total;
            let pulled = stream.iter().map(|want| Want {
                amount: want.amount * scale,
                ..*want
            });
            wants[from.0].extend(pulled.filter(|want| want.amount > 0.0));
        }
    }
}

/// What one unit of an operation takes of other routes' products.
pub(super) fn made_elsewhere<'a>(
    works: &'a Works,
    operation: &'a Operation,
) -> impl Iterator<Item = (RouteId, f64)> + 'a {
    let takes = operation.takes.iter();
    takes.filter_map(|take| Some((works.item(take.item).route?, take.amount.mean())))
}
