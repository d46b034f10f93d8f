//! Stated numbers held against measured ones.

use planning::measured::{Held, Verdict};

use super::{Ground, columns};
use crate::block::{Cell, Column, Role, Table, Value};

/// Whether a number was stated otherwise than it was measured.
pub(crate) fn disagrees(held: &Held) -> bool {
    held.verdict == Verdict::Disagrees
}

/// The verdict in a few words.
pub(crate) fn verdict(held: &Held) -> String {
    match held.verdict {
        Verdict::Agrees => "agrees".to_owned(),
        Verdict::TooFew => "too few readings to say".to_owned(),
        Verdict::NothingStated => "nothing stated".to_owned(),
        Verdict::Disagrees => match held.margin {
            Some(margin) => format!("stated {}", above(margin)),
            None => "disagrees".to_owned(),
        },
    }
}

/// A margin in words.
fn above(margin: f64) -> String {
    let share = Value::Share(margin.abs()).show();
    if margin < 0.0 {
        format!("{share} too low")
    } else {
        format!("{share} too high")
    }
}

/// Every number that was measured.
pub(crate) fn measured(ground: &Ground<'_>) -> Table {
    let words = ["Number", "Unit"];
    let numbers = [
        ("Stated", ""),
        ("Measured", ""),
        ("Low", ""),
        ("High", ""),
        ("Readings", ""),
        ("Margin", ""),
    ];
    let mut columns = columns(&words, &numbers);
    columns.extend([Column::words("Verdict"), Column::words("Fitted")]);
    let mut table = Table::new(
        "Stated and measured, with the 95 % interval of the mean",
        columns,
    );
    for held in &ground.plan.measured {
        let number =
            |base: Option<f64>| Cell::from(base.map(|base| Cell::from(base / held.factor)));
        let role = if disagrees(held) {
            Role::Warning
        } else {
            Role::Plain
        };
        table.push([
            held.name.as_str().into(),
            held.unit.as_str().into(),
            number(held.stated),
            number(Some(held.measured)),
            number(held.low),
            number(held.high),
            (held.readings as f64).into(),
            held.margin.map(Value::Share).map(Cell::from).into(),
            Cell::from(verdict(held)).role(role),
            held.fitted.unwrap_or_default().into(),
        ]);
    }
    table
}
