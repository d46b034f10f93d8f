//! By when to order what is bought.
//!
//! Every lot takes its share of what an operation takes of an item, in the mean. It must be there as
//! many days before the order that starts the lot is due as making takes from that operation on: the
//! lead time of the route from there, and likewise of the routes that its product goes into up to
//! the order's own, in calendar days, rounded up together. Needs are met from what is on hand in the
//! order of those days. The first that is not wholly met says when the item must be there; the
//! supplier's lead (its high value) before that is the day to order by.
//!
//! Amounts are the means of the balance: certainty asks for more to be bought, not sooner. Where
//! only certainty asks for more than is on hand, the last need counts. What left-overs give is
//! spread evenly over the needs.

use std::collections::BTreeMap;

use jiff::ToSpan;
use jiff::civil::Date;
use serde::Serialize;
use works::{Buy, Item, ItemId, Operation, OperationId, RouteId, Works};

use super::certain::parents_first;
use crate::flow::Flow;
use crate::load::{LoadAnswer, Lot, PieceKind};

/// By when to order an item, and how that day was found.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Timing {
    /// The order whose making what is on hand does not cover, as a position in
    /// [`Works::orders`]; none where nobody ordered.
    pub order: Option<usize>,
    /// When it is due.
    pub due: Date,
    /// On hand, base units.
    pub on_hand: f64,
    /// The operation that takes it; none where it is sold as it is.
    pub operation: Option<OperationId>,
    /// Days that making takes from that operation on.
    pub making_days: i64,
    /// When the item must be there: the due date less the days of making.
    pub needed_on: Date,
    /// Days that the supplier takes.
    pub supplier_days: i64,
    /// The last day to order: the day it must be there less the supplier's days.
    pub order_by: Date,
    /// Whether that day has passed.
    pub late: bool,
    /// Whether more than is on hand is needed in the mean already, not only with certainty.
    pub in_mean: bool,
    /// All this in a sentence.
    pub words: String,
}

/// A need of an item.
#[derive(Clone, Copy, Debug)]
struct Need {
    needed_on: Date,
    due: Date,
    order: Option<usize>,
    operation: Option<OperationId>,
    making_days: i64,
    amount: f64,
}

/// A lot's share of whatever its route takes.
#[derive(Clone, Copy, Debug)]
struct Draw {
    due: Date,
    order: Option<usize>,
    /// From the end of the route to the end of the order's own, s.
    after_s: f64,
    share: f64,
}

/// By when to order each item; none where nothing of it is bought or needed.
pub fn timings(works: &Works, flow: &Flow, load: &LoadAnswer, today: Date) -> Vec<Option<Timing>> {
    let needs = needs(works, flow, load);
    let items = works.items.iter().zip(needs).enumerate();
    items
        .map(|(index, (item, needs))| {
            let made = item.route.is_some() || item.made_by.is_some();
            let buy = item.buy.as_ref().filter(|_| !made)?;
            let on_hand = on_hand(flow, ItemId(index));
            let (need, in_mean) = first_short(needs, on_hand, flow.bought(ItemId(index)))?;
            let supplier_days = supplier_days(buy);
            let order_by = before(need.needed_on, supplier_days);
            let mut timing = Timing {
                order: need.order,
                operation: need.operation,
                due: need.due,
                on_hand,
                making_days: need.making_days,
                needed_on: need.needed_on,
                supplier_days,
                order_by,
                late: order_by < today,
                in_mean,
                words: String::new(),
            };
            timing.words = words(works, item, &timing);
            Some(timing)
        })
        .collect()
}

/// The first need that what is on hand does not cover, and whether it is one in the mean.
fn first_short(mut needs: Vec<Need>, on_hand: f64, bought: f64) -> Option<(Need, bool)> {
    needs.sort_by_key(|need| (need.needed_on, need.due, need.order));
    let total: f64 = needs.iter().map(|need| need.amount).sum();
    if bought <= 1e-9 * total {
        return needs.last().map(|&need| (need, false));
    }
    // What left-overs give is taken off all alike.
    let scale = (bought + on_hand) / total;
    let mut so_far = 0.0;
    let short = needs.iter().find(|need| {
        so_far += need.amount * scale;
        so_far > on_hand * (1.0 + 1e-9)
    });
    short.or(needs.last()).map(|&need| (need, true))
}

/// All needs, by item.
fn needs(works: &Works, flow: &Flow, load: &LoadAnswer) -> Vec<Vec<Need>> {
    let mut needs = vec![Vec::new(); works.items.len()];
    let draws = draws(works, load);
    let mut add = |item: ItemId, amount: f64, operation: Option<OperationId>, draws: &[Draw]| {
        if amount > 0.0 && works.item(item).buy.is_some() {
            let from_there_s = operation.map_or(0.0, |id| from_there_s(works, load, id));
            let all = draws.iter().map(|draw| {
                let making_days = days(draw.after_s + from_there_s);
                Need {
                    needed_on: before(draw.due, making_days),
                    due: draw.due,
                    order: draw.order,
                    operation,
                    making_days,
                    amount: draw.share * amount,
                }
            });
            needs[item.0].extend(all);
        }
    };
    for (index, operation) in works.operations.iter().enumerate() {
        let id = OperationId(index);
        for (item, amount) in taken(flow, id, operation) {
            add(item, amount, Some(id), &draws[operation.route.0]);
        }
    }
    for used in &load.changeover_uses {
        let first = works.route(used.route).operations.first().copied();
        add(used.item, used.amount, first, &draws[used.route.0]);
    }
    for (position, order) in works.orders.iter().enumerate() {
        let sold = works.item(order.item).route.is_none() && order.due <= load.until;
        let direct = Draw {
            due: order.due,
            order: Some(position),
            after_s: 0.0,
            share: 1.0,
        };
        if sold {
            add(order.item, order.quantity.mean(), None, &[direct]);
        }
    }
    needs
}

/// The part of a route's lead time from an operation on, s.
fn from_there_s(works: &Works, load: &LoadAnswer, id: OperationId) -> f64 {
    let route = works.operation(id).route;
    let operations = &works.route(route).operations;
    let place = |id: OperationId| operations.iter().position(|&other| other == id);
    let pieces = load.routes[route.0].pieces.iter().filter(|piece| {
        let rest = piece.kind == PieceKind::RestOfLot;
        piece.on_path && (rest || place(piece.operation) >= place(id))
    });
    pieces.map(|piece| piece.clock_s).sum()
}

/// What an operation takes over the horizon, recovered parts apart.
fn taken(flow: &Flow, id: OperationId, operation: &Operation) -> Vec<(ItemId, f64)> {
    let level = flow.attempted(id);
    let mut recovered = flow.solution.recovered_used[id.0].iter().copied();
    let mut all = Vec::new();
    for take in &operation.takes {
        let amount = take.amount.mean() * level;
        match &take.recovered {
            None => all.push((take.item, amount)),
            Some(other) => {
                let used = recovered.next().unwrap_or(0.0);
                all.push((take.item, amount - used));
                all.push((other.item, used));
            }
        }
    }
    all
}

/// The lots of every route.
fn draws(works: &Works, load: &LoadAnswer) -> Vec<Vec<Draw>> {
    let above = Above::new(works, load);
    let mut from_top: BTreeMap<usize, Vec<f64>> = BTreeMap::new();
    let mut of = |route: RouteId| {
        let lots = load.lots.shares(route);
        let draw = |(lot, share): (&Lot, f64)| {
            let ordered = lot
                .order
                .and_then(|order| works.item(works.orders[order].item).route);
            let top = ordered.unwrap_or(route).0;
            let after_s = from_top.entry(top).or_insert_with(|| above.after_s(top))[route.0];
            Draw {
                due: lot.due,
                order: lot.order,
                after_s,
                share,
            }
        };
        lots.map(draw).collect()
    };
    (0..works.routes.len())
        .map(|route| of(RouteId(route)))
        .collect()
}

/// How long making goes on after each route, in the routes that take its product.
struct Above {
    /// For each route those it takes from, with its lead time from the operation that takes on, s.
    parts: Vec<Vec<(usize, f64)>>,
    /// Routes, each before those it takes from.
    sequence: Vec<RouteId>,
}

impl Above {
    fn new(works: &Works, load: &LoadAnswer) -> Self {
        let mut parts = vec![Vec::new(); works.routes.len()];
        for (index, operation) in works.operations.iter().enumerate() {
            let taken = operation.takes.iter();
            for part in taken.filter_map(|take| works.item(take.item).route) {
                let from_there_s = from_there_s(works, load, OperationId(index));
                parts[operation.route.0].push((part.0, from_there_s));
            }
        }
        Self {
            parts,
            sequence: parents_first(works),
        }
    }

    /// The longest time from the end of each route to the end of one that its product goes into, s.
    fn after_s(&self, top: usize) -> Vec<f64> {
        let mut after: Vec<Option<f64>> = vec![None; self.parts.len()];
        after[top] = Some(0.0);
        for route in self.sequence.iter().map(|route| route.0) {
            let Some(so_far) = after[route] else {
                continue;
            };
            for &(part, from_there_s) in self.parts[route].iter().filter(|(part, _)| *part != top) {
                let through = so_far + from_there_s;
                after[part] = Some(after[part].map_or(through, |known| known.max(through)));
            }
        }
        after.into_iter().map(|time| time.unwrap_or(0.0)).collect()
    }
}

fn on_hand(flow: &Flow, item: ItemId) -> f64 {
    let issues = flow.layout.issues.iter().filter(|(of, _)| *of == item);
    issues
        .map(|(_, activity)| flow.solution.level[activity.0])
        .sum()
}

/// Seconds of a day.
const DAY_S: f64 = 86_400.0;
/// Days beyond which a time is no longer counted: a century.
const MOST_DAYS: f64 = 36_500.0;

/// Whole days that a time takes; rounding noise makes no day.
fn days(seconds: f64) -> i64 {
    (seconds / DAY_S - 1e-9).ceil().clamp(0.0, MOST_DAYS) as i64
}

fn supplier_days(buy: &Buy) -> i64 {
    buy.lead.as_ref().map_or(0, |lead| days(lead.spread.high()))
}

fn before(day: Date, days: i64) -> Date {
    day.checked_sub(days.days()).unwrap_or(Date::MIN)
}

/// The derivation in a sentence.
fn words(works: &Works, item: &Item, timing: &Timing) -> String {
    let order = match timing.order.map(|order| &works.orders[order]) {
        Some(order) => format!(
            "order {} ({}, due {})",
            order.number,
            works.item(order.item).name,
            timing.due
        ),
        None => format!("what is wanted by {}", timing.due),
    };
    let cover = if !timing.in_mean {
        format!("in the mean what is on hand is enough; {order} is the last that needs it")
    } else if timing.on_hand > 0.0 {
        let on_hand = quantity::show(timing.on_hand, &item.unit);
        format!("the {on_hand} on hand do not cover {order}")
    } else {
        format!("{order} is the first that needs it")
    };
    let making = match (timing.making_days, timing.operation) {
        (0, _) | (_, None) => String::new(),
        (days, Some(id)) => {
            let name = &works.operation(id).name;
            format!(", about {} from `{name}` on", in_days(days))
        }
    };
    let supplier = match timing.supplier_days {
        0 => String::new(),
        days => format!(", {} after it is ordered", in_days(days)),
    };
    format!(
        "{cover}{making}: it must be there on {}{supplier}",
        timing.needed_on
    )
}

fn in_days(days: i64) -> String {
    match days {
        1 => "1 day".to_owned(),
        days => format!("{days} days"),
    }
}
