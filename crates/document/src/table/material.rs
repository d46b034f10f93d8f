//! What to buy, what to start, what is left over, and whether the kilograms add up.

use planning::material::{OperationMass, ProductStart, Purchase, RouteMass, StartFigure};

use super::{Ground, columns};
use crate::block::{Cell, Column, Role, Row, Table, Value};

/// Purchases, the earliest order-by date first.
pub(crate) fn by_order_date<'a>(ground: &Ground<'a>) -> Vec<&'a Purchase> {
    let mut list: Vec<&Purchase> = ground.plan.material.purchases.iter().collect();
    list.sort_by_key(|line| (line.order_by.is_none(), line.order_by, line.item));
    list
}

/// What is to be said about an order-by date.
pub(crate) fn remark(line: &Purchase) -> Cell {
    let words = line.late.then_some("has passed");
    Cell::from(words).role(Role::Warning)
}

/// The purchase list.
pub(crate) fn purchases(ground: &Ground<'_>) -> Table {
    let certain = format!("Needed at {}", ground.certainty());
    let columns = [
        Column::words("Item"),
        Column::words("Unit"),
        Column::numbers("Needed in the mean", ""),
        Column::numbers(&certain, ""),
        Column::numbers("On hand", ""),
        Column::numbers("To buy", ""),
        Column::numbers("Packs", ""),
        Column::numbers("Cost", &ground.plan.currency),
        Column::words("Order by"),
        Column::words("Remark"),
        Column::words("From"),
    ];
    let mut table = Table::new("What to buy, by the day to order it", columns);
    for line in by_order_date(ground) {
        table.push([
            line.name.as_str().into(),
            ground.unit(line.to_buy).into(),
            ground.cell(line.mean_need),
            ground.cell(line.certain_need),
            ground.maybe(line.covered),
            ground.cell(line.to_buy).role(Role::Strong),
            line.packs.into(),
            ground.money(line.cost),
            Cell::from(line.order_by).warn_if(line.late),
            remark(line),
            line.supplier.clone().into(),
        ]);
    }
    if let Some(total) = ground.plan.material.purchase_total {
        let mut cells = vec![Cell::from("All purchases")];
        cells.extend((0..6).map(|_| Value::None.into()));
        cells.push(ground.money(total));
        cells.extend((0..3).map(|_| Cell::from(Value::None)));
        table.rows.push(Row::of(cells).role(Role::Total));
    }
    table
}

/// The odds of a start, with what they are worth.
fn odds(figure: Option<&StartFigure>) -> Cell {
    figure.map_or_else(
        || Value::None.into(),
        |figure| Value::Share(figure.odds).into(),
    )
}

fn start(ground: &Ground<'_>, figure: Option<&StartFigure>) -> Cell {
    figure.map_or_else(|| Value::None.into(), |figure| ground.cell(figure.quantity))
}

/// How the odds of a start were worked out.
pub(crate) fn method(start: &ProductStart) -> String {
    match (&start.certain, &start.why_not) {
        (Some(figure), _) if figure.standard_error > 0.0 => {
            let error = Value::Share(figure.standard_error).show();
            format!("{} (standard error {error})", figure.method)
        }
        (Some(figure), _) => figure.method.to_owned(),
        (None, Some(why)) => why.clone(),
        (None, None) => String::new(),
    }
}

/// Start quantities of products.
pub(crate) fn starts(ground: &Ground<'_>) -> Table {
    let certain = format!("At {}", ground.certainty());
    let words = ["Product", "What is started", "Unit"];
    let numbers = [
        ("To deliver", ""),
        ("By mean yield", ""),
        ("At 50 %", ""),
        (&certain, ""),
        ("Odds", ""),
    ];
    let mut columns = columns(&words, &numbers);
    columns.push(Column::words("How the odds were worked out"));
    let mut table = Table::new("What to start for all orders together", columns);
    for product in &ground.plan.material.starts {
        table.push([
            product.product.as_str().into(),
            product.start_of.as_str().into(),
            product.unit.symbol.to_string().into(),
            ground.amount(product.demand),
            ground.cell(product.mean),
            start(ground, product.even.as_ref()),
            start(ground, product.certain.as_ref()).role(Role::Strong),
            odds(product.certain.as_ref()),
            Cell::from(method(product)).warn_if(product.certain.is_none()),
        ]);
    }
    table
}

/// By-products and waste.
pub(crate) fn left_over(ground: &Ground<'_>) -> Table {
    let numbers = [
        ("Given", ""),
        ("Used again", ""),
        ("Left over", ""),
        ("Brings", &*ground.plan.currency),
    ];
    let mut table = Table::new(
        "By-products and waste",
        columns(&["Item", "Unit"], &numbers),
    );
    for left in &ground.plan.material.left_over {
        table.push([
            left.name.as_str().into(),
            ground.unit(left.given).into(),
            ground.cell(left.given),
            ground.maybe(left.used),
            ground.maybe(left.surplus),
            left.value
                .map_or_else(|| Value::None.into(), |node| ground.money(node)),
        ]);
    }
    if let Some(total) = ground.plan.material.left_over_total {
        let none = || Cell::from(Value::None);
        let cells = [
            Cell::from("All left-overs"),
            none(),
            none(),
            none(),
            none(),
            ground.money(total),
        ];
        table.rows.push(Row::of(cells).role(Role::Total));
    }
    table
}

/// What comes back to be put right.
pub(crate) fn rework(ground: &Ground<'_>) -> Table {
    let mut table = Table::new(
        "Sent back to be put right",
        columns(&["From", "To"], &[("Units", "")]),
    );
    for flow in &ground.plan.material.rework {
        table.push([
            flow.from_name.as_str().into(),
            flow.to_name.as_str().into(),
            ground.amount(flow.units),
        ]);
    }
    table
}

/// Recovered stuff fed in place of fresh.
pub(crate) fn regrind(ground: &Ground<'_>) -> Table {
    let words = ["Where", "Recovered", "In place of"];
    let numbers = [
        ("Whole feed", ""),
        ("Recovered in it", ""),
        ("Share", ""),
        ("Allowed", ""),
        ("Finds no use", ""),
        ("Fresh for the first lot", ""),
    ];
    let mut table = Table::new("Recovered material fed again", columns(&words, &numbers));
    let maybe =
        |node: Option<_>| node.map_or_else(|| Value::None.into(), |node| ground.amount(node));
    for feed in &ground.plan.material.regrind {
        table.push([
            feed.operation_name.as_str().into(),
            feed.recovered.as_str().into(),
            feed.fresh.as_str().into(),
            ground.amount(feed.feed),
            ground.amount(feed.used),
            maybe(feed.share),
            Value::Share(feed.at_most).into(),
            maybe(feed.surplus),
            maybe(feed.start_up),
        ]);
    }
    table
}

/// The mass balance in one row for each route.
pub(crate) fn mass(ground: &Ground<'_>) -> Table {
    let numbers = [
        ("Taken in", "kg"),
        ("Product", "kg"),
        ("By-products", "kg"),
        ("Thrown away", "kg"),
        ("Used by tests", "kg"),
        ("Named losses", "kg"),
        ("Stays in between", "kg"),
        ("Unexplained", "kg"),
        ("Explained", ""),
    ];
    let mut table = Table::new(
        "Mass in and out of each route",
        columns(&["Product"], &numbers),
    );
    for route in &ground.plan.material.mass.routes {
        table.push(mass_row(ground, route));
    }
    table
}

fn mass_row(ground: &Ground<'_>, route: &RouteMass) -> Vec<Cell> {
    let Some(sums) = &route.sums else {
        let mut cells = vec![Cell::from(route.product.as_str())];
        cells.extend((0..8).map(|_| Cell::from(Value::None)));
        cells.push("not known".into());
        return cells;
    };
    let lost: f64 = sums.lost.iter().map(|(_, node)| ground.number(*node)).sum();
    let taken = ground.number(sums.taken);
    let kg = |node| whole_kg(ground, node, taken);
    let unexplained = ground.number(sums.unexplained);
    vec![
        route.product.as_str().into(),
        kg(sums.taken),
        kg(sums.product),
        kg(sums.by_products),
        kg(sums.scrap),
        kg(sums.tests),
        lost.into(),
        kg(sums.in_between),
        kg(sums.unexplained).warn_if(is_unexplained(unexplained, taken)),
        sums.explained
            .map_or_else(|| Value::None.into(), |node| ground.amount(node)),
    ]
}

/// A mass whose rounding noise beside the whole is nothing.
fn whole_kg(ground: &Ground<'_>, node: planning::NodeId, whole: f64) -> Cell {
    let value = ground.number(node);
    let noise = value.abs() <= 1e-9 * whole.abs();
    Cell::from(if noise { 0.0 } else { value }).why(node)
}

/// Whether so much of a whole is worth a word: more than a thousandth.
pub(crate) fn is_unexplained(kg: f64, whole: f64) -> bool {
    kg.abs() > 1e-3 * whole.abs()
}

/// The mass balance of one route, operation by operation.
pub(crate) fn mass_of(ground: &Ground<'_>, route: &RouteMass) -> Table {
    let numbers = [
        ("From before", "kg"),
        ("Taken in", "kg"),
        ("Passed on", "kg"),
        ("By-products", "kg"),
        ("Thrown away", "kg"),
        ("Tests", "kg"),
        ("Sent back", "kg"),
        ("Lost", "kg"),
        ("Unexplained", "kg"),
    ];
    let mut columns = columns(&["Operation"], &numbers);
    columns.push(Column::words("Lost as"));
    let mut table = Table::new(
        format!("Mass at each operation of {}", route.product),
        columns,
    );
    for operation in &route.operations {
        table.push(operation_mass(ground, operation));
    }
    table
}

fn operation_mass(ground: &Ground<'_>, operation: &OperationMass) -> Vec<Cell> {
    let whole = operation.in_kg(&ground.plan.ledger);
    let kg = |node| whole_kg(ground, node, whole);
    let unexplained = ground.number(operation.unexplained);
    vec![
        operation.name.as_str().into(),
        kg(operation.fed),
        kg(operation.taken),
        kg(operation.passed),
        kg(operation.by_products),
        kg(operation.scrap),
        kg(operation.tests),
        kg(operation.reworked),
        kg(operation.lost),
        kg(operation.unexplained).warn_if(is_unexplained(unexplained, whole)),
        operation.lost_as.clone().into(),
    ]
}
