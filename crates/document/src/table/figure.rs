//! All headline figures with their formula and source.

use planning::Figure;
use planning::reason::Line;
use works::Sources;

use super::Ground;
use crate::block::{Cell, Column, Table, Value};

/// Every headline figure: key, value, unit, low, high, odds, formula, source.
pub(crate) fn figures(ground: &Ground<'_>, sources: &Sources) -> Table {
    let columns = [
        Column::words("Figure"),
        Column::numbers("Value", ""),
        Column::words("Unit"),
        Column::numbers("Low", ""),
        Column::numbers("High", ""),
        Column::numbers("Odds", ""),
        Column::words("Formula"),
        Column::words("Source"),
    ];
    let mut table = Table::new("Headline figures and how they were made", columns);
    for figure in ground.plan.figures.iter() {
        let line = ground
            .plan
            .ledger
            .tree(figure.node, 0, sources)
            .into_iter()
            .next();
        table.push(row(figure, line));
    }
    table
}

fn row(figure: &Figure, line: Option<Line>) -> Vec<Cell> {
    let number = |base: f64| {
        let value = figure.unit.of(base);
        if value.is_finite() {
            Value::Number(value)
        } else {
            Value::Text(planning::reason::number(value))
        }
    };
    let (formula, source) = line.map_or((None, None), |line| (line.formula, line.source));
    vec![
        figure.key.as_str().into(),
        Cell::from(number(figure.value)).why(figure.node),
        figure.unit.symbol.to_string().into(),
        figure.low.map(number).map(Cell::from).into(),
        figure.high.map(number).map(Cell::from).into(),
        figure.odds.map(Value::Share).map(Cell::from).into(),
        formula.into(),
        source.into(),
    ]
}
