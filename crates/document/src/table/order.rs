//! Orders: what to start for each, and what endangers them.

use std::collections::BTreeSet;

use jiff::civil::Date;
use planning::load::StationLoad;
use works::{ItemId, Order, RouteId, StationId};

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
        let start = ground
            .plan
            .material
            .orders
            .iter()
            .find(|start| start.order == index);
        let why = risks
            .iter()
            .find(|risk| risk.order == index)
            .map(|risk| risk.why.join("; "));
        let figure = start.and_then(|start| start.certain.as_ref());
        let certain = figure.map_or_else(
            || Value::None.into(),
            |figure| ground.amount(figure.quantity),
        );
        let even = start.and_then(|start| Some(start.unit.of(start.even?)));
        table.push([
            order.number.as_str().into(),
            order.customer.clone().into(),
            ground.item(order.item.0).into(),
            wanted(ground, order).into(),
            order.due.into(),
            start.map(|start| start.start_of.clone()).into(),
            even.into(),
            certain.role(Role::Strong),
            figure.map_or_else(
                || Value::None.into(),
                |figure| Value::Share(figure.odds).into(),
            ),
            Cell::from(why).role(Role::Warning),
        ]);
    }
    table
}

/// Orders of the plan, the earliest due first.
pub(crate) fn by_due(ground: &Ground<'_>) -> Vec<usize> {
    let orders = ground.plan.horizon.orders.iter().copied();
    let mut orders: Vec<usize> = orders
        .filter(|&order| order < ground.works.orders.len())
        .collect();
    orders.sort_by_key(|&order| (ground.works.orders[order].due, order));
    orders
}

/// What an order wants.
pub(crate) fn wanted(ground: &Ground<'_>, order: &Order) -> Value {
    let unit = &ground.works.item(order.item).unit;
    Value::Amount(
        unit.from_base(order.quantity.mean()),
        unit.symbol().to_owned(),
    )
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
    why.extend(too_full(ground, order.due, &routes));
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
fn late_purchases(
    ground: &Ground<'_>,
    order: &Order,
    routes: &BTreeSet<RouteId>,
) -> Option<String> {
    let takes = |item: usize| {
        let operations = routes
            .iter()
            .flat_map(|&route| &ground.works.route(route).operations);
        let mut taken = operations.flat_map(|&operation| &ground.works.operation(operation).takes);
        taken.any(|take| take.item.0 == item)
    };
    let late = ground.plan.material.purchases.iter().filter(|line| {
        line.late && line.first_due.is_some_and(|first| order.due <= first) && takes(line.item)
    });
    let names: Vec<&str> = late.map(|line| line.name.as_str()).collect();
    (!names.is_empty()).then(|| format!("{} would have to be ordered already", names.join(", ")))
}

/// A station on the way that is asked for more hours, by all that is due until then, than it is open.
fn too_full(ground: &Ground<'_>, due: Date, routes: &BTreeSet<RouteId>) -> Option<String> {
    let load = &ground.plan.load;
    let week = load
        .weeks
        .iter()
        .position(|week| week.from <= due && due <= week.until)?;
    let passes = |station: StationId| {
        load.work.iter().any(|piece| {
            piece.station == Some(station) && piece.level > 0.0 && routes.contains(&piece.route)
        })
    };
    let full = load
        .stations
        .iter()
        .filter(|station| passes(station.station))
        .filter_map(|station| {
            let share = until_week(ground, station, week)?;
            (share > 1.0 + 1e-9).then_some((share, &station.name))
        });
    let (share, name) = full.max_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(format!(
        "{name} is asked for {} of its open hours until then",
        Value::Share(share).show()
    ))
}

/// Hours wanted of a station up to and with a week, over the hours it is open until then.
fn until_week(ground: &Ground<'_>, station: &StationLoad, week: usize) -> Option<f64> {
    let calendar = ground
        .works
        .calendar(ground.works.station(station.station).calendar);
    let (mut wanted_s, mut open_s) = (0.0, 0.0);
    for (week, share) in ground
        .plan
        .load
        .weeks
        .iter()
        .zip(&station.by_week)
        .take(week + 1)
    {
        let open = calendar.seconds(&ground.works.time_zone, week.from, week.until);
        open_s += open;
        wanted_s += share.unwrap_or(0.0) * open;
    }
    (open_s > 0.0).then(|| wanted_s / open_s)
}

/// Less time than a lot takes.
fn too_long(ground: &Ground<'_>, order: &Order) -> Option<String> {
    let route = ground.works.item(order.item).route?;
    let lead = ground.plan.load.routes.get(route.0)?;
    let start = order
        .release
        .unwrap_or(ground.plan.horizon.from)
        .max(ground.plan.horizon.from);
    // The whole of the due day counts.
    let days = f64::from((order.due - start).get_days()) + 1.0;
    let takes = lead.total_s / 86_400.0;
    (days > 0.0 && takes > days).then(|| {
        let takes = planning::reason::number(super::rounded(takes, 10.0));
        format!("a lot takes about {takes} days, there are {days}")
    })
}
