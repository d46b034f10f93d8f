//! Unit costs by element and quantity.

use planning::cost::{CostAnswer, Element, ProductCost, UnitCost};
use works::Works;

use super::Ground;
use crate::block::{Cell, Column, Role, Row, Table, Value};

/// Elements that some cost of a set has.
pub(crate) fn elements_in<'a>(costs: impl IntoIterator<Item = &'a UnitCost>) -> Vec<Element> {
    let costs: Vec<&UnitCost> = costs.into_iter().collect();
    let has = |element: &Element| costs.iter().any(|cost| cost.elements.get(*element) != 0.0);
    Element::ALL.into_iter().filter(has).collect()
}

/// Unit costs in the plan, one row for each product.
pub(crate) fn unit_costs(ground: &Ground<'_>, cost: &CostAnswer) -> Table {
    let elements = elements_in(cost.products.iter().map(|product| &product.plan));
    let mut columns = vec![
        Column::words("Product"),
        Column::words("Of one"),
        Column::numbers("Quantity", ""),
    ];
    columns.extend(
        elements
            .iter()
            .map(|element| Column::numbers(&title(element.name()), &cost.currency)),
    );
    columns.extend(["Likely", "Low", "High"].map(|what| Column::numbers(what, &cost.currency)));
    let mut table = Table::new(
        "Cost of one unit in the plan, by what it is made of",
        columns,
    );
    for product in &cost.products {
        let unit = &ground.works.item(product.item).unit;
        let mut cells = vec![Cell::from(product.name.as_str()), unit.symbol().into()];
        cells.push(unit.from_base(product.plan.quantity).into());
        let price = |base: f64| Cell::from(ground.price(base * unit.factor()));
        cells.extend(
            elements
                .iter()
                .map(|element| price(product.plan.elements.get(*element))),
        );
        cells.extend([
            likely(ground, product, unit.factor()),
            price(product.plan.low),
            price(product.plan.high),
        ]);
        table.push(cells);
    }
    table
}

/// The likely cost of a product in the plan, with its reasons where the figure is this one.
fn likely(ground: &Ground<'_>, product: &ProductCost, factor: f64) -> Cell {
    let mut cell = Cell::from(ground.price(product.plan.likely * factor)).role(Role::Strong);
    let figure = ground
        .plan
        .figures
        .get(&format!("{} unit cost", product.name));
    cell.why = figure.map(|figure| figure.node);
    cell
}

/// The first letter large.
pub(crate) fn title(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// Cost of one at the quantities asked for, in columns; elements in rows.
pub(crate) fn at_quantities(works: &Works, product: &ProductCost, currency: &str) -> Table {
    let unit = &works.item(product.item).unit;
    let costs = || std::iter::once(&product.plan).chain(&product.at);
    let heading = |(at, cost): (usize, &UnitCost)| {
        let quantity = planning::reason::number(unit.from_base(cost.quantity));
        let title = if at == 0 {
            format!("In the plan: {quantity}")
        } else {
            quantity
        };
        Column::numbers(&title, currency)
    };
    let mut columns = vec![Column::words("For one")];
    columns.extend(costs().enumerate().map(heading));
    let caption = format!(
        "Cost of one {} of {} at several quantities",
        unit.symbol(),
        product.name
    );
    let mut table = Table::new(caption, columns);
    let price = |base: f64| Cell::from(Value::Money(base * unit.factor(), currency.to_owned()));
    let row = |name: &str, of: &dyn Fn(&UnitCost) -> f64| {
        Row::of(std::iter::once(Cell::from(name)).chain(costs().map(|cost| price(of(cost)))))
    };
    for element in elements_in(costs()) {
        table.rows.push(row(&title(element.name()), &|cost| {
            cost.elements.get(element)
        }));
    }
    table
        .rows
        .push(row("Likely", &|cost| cost.likely).role(Role::Total));
    table
        .rows
        .push(row("Low (one in ten below)", &|cost| cost.low));
    table
        .rows
        .push(row("High (one in ten above)", &|cost| cost.high));
    if costs().any(|cost| cost.pack_remainder > 0.0) {
        table.rows.push(row("Remainders of packs, on top", &|cost| {
            cost.pack_remainder
        }));
    }
    table
}

/// What drives a cost.
pub(crate) fn drivers(ground: &Ground<'_>, product: &ProductCost) -> Table {
    let factor = ground.works.item(product.item).unit.factor();
    let columns = [
        Column::words("Number"),
        Column::numbers("From", ""),
        Column::numbers("To", ""),
        Column::words("Unit"),
        Column::numbers("Cost then", &ground.plan.currency),
        Column::numbers("to", &ground.plan.currency),
    ];
    let mut table = Table::new(format!("What drives the cost of {}", product.name), columns);
    for driver in &product.drivers {
        let number = &driver.number;
        table.push([
            number.name.as_str().into(),
            (number.low / number.factor).into(),
            (number.high / number.factor).into(),
            number.unit.as_str().into(),
            ground.price(driver.at_low * factor).into(),
            ground.price(driver.at_high * factor).into(),
        ]);
    }
    table
}
