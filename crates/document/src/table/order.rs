//! Orders: what to start for each.

use std::collections::BTreeMap;

use planning::material::OrderStart;
use works::Order;

use super::{Ground, at_risk, columns};
use crate::block::{Cell, Column, Role, Table, Value};

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
    let risks: BTreeMap<usize, String> = at_risk(ground)
        .into_iter()
        .map(|risk| (risk.order, risk.why.join("; ")))
        .collect();
    let starts = ground
        .plan
        .material
        .orders
        .iter()
        .map(|start| (start.order, start));
    let starts: BTreeMap<usize, &OrderStart> = starts.collect();
    for index in by_due(ground) {
        let order = &ground.works.orders[index];
        let start = starts.get(&index).copied();
        let why = risks.get(&index).cloned();
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
