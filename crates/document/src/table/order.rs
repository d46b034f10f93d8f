//! Orders: what to start for each, and what endangers them.

use std::collections::BTreeSet;

use jiff::civil::Date;
use works::{ItemId, Order, RouteId};

use super::{Ground, columns};
use crate::block::{Cell, Column, Role, Table, Value};

/// An order that may not leave in time, and why.
pub(crate) struct Risk {
    /// Index of the order.
    pub(crate) order: usize,
    /// Reasons, in plain words.
    pub(crate) why: Vec<String>,
}

/// Start quantities of orders, the earliest due first.
pub(crate) fn orders(ground: &Ground<'_>) -> Table {
    let certain = format!("Start at {}", ground.certainty());
    let words = ["Order", "For", "Product"];
    let mut columns = columns(&words, &[("Wanted", "")]);
    columns.extend([
        Column::words("Due"),
        Column::words("What is started"),
        Column::numbers("Start at 50 %", ""),
        Column::numbers(&certain, ""),
        Column::numbers("Odds", ""),
        Column::words("At risk"),
    ]);
    let mut table = Table::new("Orders in the plan, by due date", columns);
    let risks = at_risk(ground);
    for index in by_due(ground) {
        let order = &ground.works.orders[index];
        let start = ground.plan.material.orders.iter().find(|start| start.order == index);
        let why = risks.iter().find(|risk| risk.order == index).map(|risk| risk.why.join("; "));
        let in_unit = |base: f64| {
            start.map_or(Value::None, |start| Value::Amount(start.unit.of(base), start.unit.symbol.to_string()))
        };
        let figure = start.and_then(|start| start.certain.as_ref());
        let certain = figure.map_or_else(|| Value::None.into(), |figure| ground.amount(figure.quantity));
        let even = start.and_then(|start| start.even).map_or(Value::None, in_unit);
        table.push([
            order.number.as_str().into(),
            order.customer.clone().into(),
            ground.item(order.item.0).into(),
            wanted(ground, order).into(),
            order.due.into(),
            start.map(|start| start.start_of.clone()).into(),
            even.into(),
            certain.role(Role::Strong),
            figure.map_or_else(|| Value::None.into(), |figure| Value::Share(figure.odds).into()),
            Cell::from(why).role(Role::Warning),
        ]);
    }
    table
}

/// Orders of the plan, the earliest due first.
pub(crate) fn by_due(ground: &Ground<'_>) -> Vec<usize> {
    let orders = ground.plan.horizon.orders.iter().copied();
    let mut orders: Vec<usize> = orders.filter(|&order| order < ground.works.orders.len()).collect();
    orders.sort_by_key(|&order| (ground.works.orders[order].due, order));
    orders
}

/// What an order wants.
pub(crate) fn wanted(ground: &Ground<'_>, order: &Order) -> Value {
    let unit = &ground.works.item(order.item).unit;
    Value::Amount(unit.from_base(order.quantity.mean()), unit.symbol().to_owned())
}

/// Orders that may not leave in time.
pub(crate) fn at_risk(ground: &Ground<'_>) -> Vec<Risk> {
    let risk = |order: usize| {
        let why = why_at_risk(ground, &ground.works.orders[order]);
        (!why.is_empty()).then_some(Risk { order, why })
    };
    by_due(ground).into_iter().filter_map(risk).collect()
}

fn why_at_risk(ground: &Ground<'_>, order: &Order) -> Vec<String> {
    let mut why = Vec::new();
    if ground.has_passed(order.due) {
        why.push("due before the plan begins".to_owned());
    }
    let routes = routes_behind(ground, order.item);
    why.extend(late_purchases(ground, order, &routes));
    why.extend(full_weeks(ground, order.due, &routes));
    why.extend(too_long(ground, order));
    why
}

/// Routes that make an item, those of its parts among them.
fn routes_behind(ground: &Ground<'_>, item: ItemId) -> BTreeSet<RouteId> {
    let mut routes = BTreeSet::new();
    let mut open: Vec<RouteId> = ground.works.item(item).route.into_iter().collect();
    while let Some(route) = open.pop() {
        if routes.insert(route) {
            let operations = ground.works.route(route).operations.iter();
            let takes = operations.flat_map(|&operation| &ground.works.operation(operation).takes);
            open.extend(takes.filter_map(|take| ground.works.item(take.item).route));
        }
    }
    routes
}

/// Things to buy that would have had to be ordered already.
fn late_purchases(ground: &Ground<'_>, order: &Order, routes: &BTreeSet<RouteId>) -> Option<String> {
    let takes = |item: usize| {
        let operations = routes.iter().flat_map(|&route| &ground.works.route(route).operations);
        let mut taken = operations.flat_map(|&operation| &ground.works.operation(operation).takes);
        taken.any(|take| take.item.0 == item)
    };
    let late = ground.plan.material.purchases.iter().filter(|line| {
        line.late && line.first_due.is_some_and(|first| order.due <= first) && takes(line.item)
    });
    let names: Vec<&str> = late.map(|line| line.name.as_str()).collect();
    (!names.is_empty()).then(|| format!("{} would have to be ordered already", names.join(", ")))
}

/// A station on the way that is asked for more than it has in the week the order is due.
fn full_weeks(ground: &Ground<'_>, due: Date, routes: &BTreeSet<RouteId>) -> Option<String> {
    let load = &ground.plan.load;
    let week = load.weeks.iter().position(|week| week.from <= due && due <= week.until)?;
    let passes = |station: works::StationId| {
        load.work.iter().any(|piece| {
            piece.station == Some(station) && piece.level > 0.0 && routes.contains(&piece.route)
        })
    };
    let full = load.stations.iter().filter_map(|station| {
        let share = station.by_week.get(week).copied().flatten()?;
        (share > 1.0 && passes(station.station)).then_some((share, &station.name))
    });
    let (share, name) = full.max_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(format!("{name} at {} in its week", Value::Share(share).show()))
}

/// Less time than a lot takes.
fn too_long(ground: &Ground<'_>, order: &Order) -> Option<String> {
    let route = ground.works.item(order.item).route?;
    let lead = ground.plan.load.routes.get(route.0)?;
    let start = order.release.unwrap_or(ground.plan.horizon.from).max(ground.plan.horizon.from);
    // The whole of the due day counts.
    let days = f64::from((order.due - start).get_days()) + 1.0;
    let takes = lead.total_s / 86_400.0;
    (days > 0.0 && takes > days).then(|| {
        let takes = planning::reason::number(super::rounded(takes, 10.0));
        format!("a lot takes about {takes} days, there are {days}")
    })
}
