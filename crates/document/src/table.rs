//! Every table of the plan, made once: the page, the workbook and the terminal show the same rows.

mod cost;
mod cut;
mod drill;
mod figure;
mod heat;
mod load;
mod material;
mod measured;
mod order;
mod risk;
mod route;

use jiff::civil::Date;
use planning::reason::Shown;
use planning::{NodeId, Plan};
use works::Works;

pub(crate) use cost::*;
pub(crate) use cut::*;
pub(crate) use drill::*;
pub(crate) use figure::*;
pub(crate) use heat::*;
pub(crate) use load::*;
pub(crate) use material::*;
pub(crate) use measured::*;
pub(crate) use order::*;
pub(crate) use risk::*;
pub(crate) use route::*;

use crate::block::{Cell, Column, Value};

/// What the tables are made from.
#[derive(Clone, Copy)]
pub(crate) struct Ground<'a> {
    /// The works.
    pub(crate) works: &'a Works,
    /// Its plan.
    pub(crate) plan: &'a Plan,
}

impl Ground<'_> {
    /// A node's value in the unit it is shown in.
    pub(crate) fn number(&self, node: NodeId) -> f64 {
        let node = self.plan.ledger.node(node);
        node.unit.of(node.value)
    }

    /// A node as a number whose unit stands elsewhere.
    pub(crate) fn cell(&self, node: NodeId) -> Cell {
        Cell::from(self.number(node)).why(node)
    }

    /// A node as a number, when there is one.
    pub(crate) fn maybe(&self, node: Option<NodeId>) -> Cell {
        node.map_or_else(|| Value::None.into(), |node| self.cell(node))
    }

    /// A node with its unit.
    pub(crate) fn amount(&self, node: NodeId) -> Cell {
        let value = self.plan.ledger.value(node);
        Cell::from(self.in_unit(value, &self.plan.ledger.node(node).unit)).why(node)
    }

    /// A node as money.
    pub(crate) fn money(&self, node: NodeId) -> Cell {
        Cell::from(self.price(self.plan.ledger.value(node))).why(node)
    }

    /// An amount of money of the works.
    pub(crate) fn price(&self, amount: f64) -> Value {
        Value::Money(amount, self.plan.currency.clone())
    }

    /// A base value in a unit: money, share, plain number or amount.
    pub(crate) fn in_unit(&self, base: f64, unit: &Shown) -> Value {
        match &*unit.symbol {
            "" => Value::Number(unit.of(base)),
            "%" => Value::Share(base),
            symbol if symbol == self.plan.currency => {
                Value::Money(unit.of(base), symbol.to_owned())
            }
            symbol => Value::Amount(unit.of(base), symbol.to_owned()),
        }
    }

    /// The symbol of a node's unit.
    pub(crate) fn unit(&self, node: NodeId) -> String {
        self.plan.ledger.node(node).unit.symbol.to_string()
    }

    /// The name of an item.
    pub(crate) fn item(&self, item: usize) -> &str {
        self.works.items.get(item).map_or("", |item| &item.name)
    }

    /// The certainty of the plan in per cent, for headings.
    pub(crate) fn certainty(&self) -> String {
        Value::Share(self.plan.certainty).show()
    }

    /// Whether a day lies before the day the plan is made.
    pub(crate) fn has_passed(&self, day: Date) -> bool {
        day < self.plan.horizon.from
    }
}

/// A share, when there is one, that needs attention above a limit.
pub(crate) fn share_cell(share: Option<f64>, limit: f64) -> Cell {
    match share {
        Some(share) => Cell::from(Value::Share(share)).warn_if(share > limit),
        None => "closed".into(),
    }
}

/// Hours of seconds.
pub(crate) fn hours(seconds: f64) -> Cell {
    Cell::from(rounded(seconds / 3600.0, 10.0))
}

/// A number in so many parts of one.
pub(crate) fn rounded(value: f64, parts: f64) -> f64 {
    // Adding nothing makes a negative nothing plain.
    (value * parts).round() / parts + 0.0
}

/// A time as people say it.
pub(crate) fn time_words(seconds: f64) -> Cell {
    let days = seconds / 86_400.0;
    let words = match () {
        () if !seconds.is_finite() => "not known".to_owned(),
        () if days >= 4.0 => format!("{} days", planning::reason::number(rounded(days, 10.0))),
        () => quantity::show_hours(seconds),
    };
    Cell::from(words.replace(' ', "\u{a0}"))
}

/// Words and then numbers.
fn columns(words: &[&str], numbers: &[(&str, &str)]) -> Vec<Column> {
    let words = words.iter().map(|title| Column::words(title));
    words
        .chain(
            numbers
                .iter()
                .map(|(title, unit)| Column::numbers(title, unit)),
        )
        .collect()
}
