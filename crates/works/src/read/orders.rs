//! Reading the order book, the stock and the readings from CSV or XLSX.

use std::collections::BTreeMap;

use jiff::civil::{Date, DateTime};
use quantity::{Dimension, Expect};

use super::names::Names;
use super::route::Routes;
use super::rows::{Row, amount, need_columns, quantity_in, rows};
use super::shelves;
use super::table::{Notes, Word};
use super::works::Declared;
use crate::diagnostic::Diagnostic;
use crate::model::{
    ItemId, Operation, OperationId, Order, Reading, ReadingOf, Stated, StationId, Stock,
};
use crate::source::{Files, Sources, Span};
use crate::suggest::nearest;
use crate::tables::{self, Table};

/// What the tables of the folder hold.
#[derive(Default)]
pub(crate) struct Books {
    pub(crate) orders: Vec<Order>,
    pub(crate) stock: Vec<Stock>,
    pub(crate) readings: Vec<Reading>,
}

/// What rows are read against.
struct Context<'a> {
    declared: &'a Declared,
    routes: &'a Routes,
}

/// Reads every table of the folder.
pub(crate) fn read(
    files: &Files,
    sources: &mut Sources,
    notes: &mut Notes,
    declared: &Declared,
    routes: &Routes,
) -> Books {
    let context = Context { declared, routes };
    let mut books = Books::default();
    for (path, bytes) in files.iter() {
        let Some(kind) = kind(path) else { continue };
        let Some(table) = tables::read(path, bytes, sources, &mut notes.diagnostics) else {
            continue;
        };
        match kind {
            Kind::Orders => books.orders.extend(context.orders(notes, &table)),
            Kind::Stock => books.stock.extend(context.stock(notes, &table)),
            Kind::Readings => books.readings.extend(context.readings(notes, &table)),
        }
    }
    order_numbers(notes, &books.orders);
    books
}

#[derive(Clone, Copy)]
enum Kind {
    Orders,
    Stock,
    Readings,
}

/// What a file holds, by its place in the folder.
fn kind(path: &str) -> Option<Kind> {
    if path.starts_with(shelves::LOGS) || path.starts_with(shelves::WEIGHED) {
        return None;
    }
    let (stem, ending) = path.rsplit_once('.')?;
    if !matches!(ending.to_ascii_lowercase().as_str(), "csv" | "xlsx") {
        return None;
    }
    match stem.split_once('/') {
        None if stem == "orders" => Some(Kind::Orders),
        Some(("orders", _)) => Some(Kind::Orders),
        Some(("stock", _)) => Some(Kind::Stock),
        Some(("readings", _)) => Some(Kind::Readings),
        _ => None,
    }
}

fn order_numbers(notes: &mut Notes, orders: &[Order]) {
    let mut seen: BTreeMap<(&str, ItemId, Date), Span> = BTreeMap::new();
    for order in orders {
        let line = (order.number.as_str(), order.item, order.due);
        if let Some(&first) = seen.get(&line) {
            notes.push(
                Diagnostic::warning(
                    "order-twice",
                    order.at,
                    format!(
                        "order {} stands twice with the same item and date",
                        order.number
                    ),
                )
                .other(first, "first here"),
            );
        }
        seen.insert(line, order.at);
    }
}

const ORDER_COLUMNS: [&str; 7] = [
    "order", "item", "quantity", "due", "release", "customer", "priority",
];
const STOCK_COLUMNS: [&str; 4] = ["item", "amount", "lot", "received"];

impl Context<'_> {
    fn orders(&self, notes: &mut Notes, table: &Table) -> Vec<Order> {
        if !need_columns(notes, table, &["order", "item", "quantity", "due"]) {
            return Vec::new();
        }
        rows(table)
            .filter_map(|row| self.order(notes, &row))
            .collect()
    }

    fn order(&self, notes: &mut Notes, row: &Row<'_>) -> Option<Order> {
        let number = row.need(notes, "order");
        let item = row
            .need(notes, "item")
            .and_then(|word| self.item(notes, &word));
        let quantity = row.need(notes, "quantity");
        let due = row.need(notes, "due").and_then(|word| date(notes, &word));
        let release = row.get("release").and_then(|word| date(notes, &word));
        let priority = row
            .get("priority")
            .map_or(Some(1.0), |word| priority(notes, &word));
        let item = item?;
        let unit = &self.declared.items[item.0].unit;
        let quantity = quantity.and_then(|word| amount(notes, &word, unit))?;
        let due = due?;
        if let Some(release) = release.filter(|&release| release > due) {
            notes.push(
                Diagnostic::fault(
                    "release-after-due",
                    row.at(),
                    "the order is due before it may be started",
                )
                .sides(format!("a release on or before {due}"), release.to_string()),
            );
        }
        Some(Order {
            number: number?.text,
            item,
            quantity,
            due,
            release,
            customer: row.get("customer").map(|word| word.text),
            priority: priority?,
            attributes: row.more(&ORDER_COLUMNS),
            at: row.at(),
        })
    }

    fn stock(&self, notes: &mut Notes, table: &Table) -> Vec<Stock> {
        if !need_columns(notes, table, &["item", "amount"]) {
            return Vec::new();
        }
        rows(table)
            .filter_map(|row| {
                let item = row
                    .need(notes, "item")
                    .and_then(|word| self.item(notes, &word));
                let amount_word = row.need(notes, "amount");
                let received = row.get("received").and_then(|word| date(notes, &word));
                let item = item?;
                let amount = amount(notes, &amount_word?, &self.declared.items[item.0].unit)?;
                let lot = row.get("lot").map(|word| word.text);
                let more = row.more(&STOCK_COLUMNS);
                Some(Stock {
                    item,
                    amount,
                    lot,
                    received,
                    more,
                    at: row.at(),
                })
            })
            .collect()
    }

    fn item(&self, notes: &mut Notes, word: &Word) -> Option<ItemId> {
        self.declared.item_names.find(notes, word).map(ItemId)
    }

    fn readings(&self, notes: &mut Notes, table: &Table) -> Vec<Reading> {
        if !need_columns(notes, table, &["what", "value"]) {
            return Vec::new();
        }
        rows(table)
            .filter_map(|row| self.reading(notes, &row))
            .collect()
    }

    fn reading(&self, notes: &mut Notes, row: &Row<'_>) -> Option<Reading> {
        let what = row.need(notes, "what")?;
        let of = self.reading_of(notes, row, &what)?;
        let value = row.need(notes, "value")?;
        let (value, out_of) = self.value(notes, row, &of, &value)?;
        let when = row.get("when").and_then(|word| moment(notes, &word));
        let lot = row.get("lot").map(|word| word.text);
        Some(Reading {
            of,
            value,
            out_of,
            when,
            lot,
            at: row.at(),
        })
    }

    /// What a row measures, from its columns `what`, `route`, `operation`, `station` and `item`.
    fn reading_of(&self, notes: &mut Notes, row: &Row<'_>, what: &Word) -> Option<ReadingOf> {
        match what.text.as_str() {
            "run" | "repair" => {
                let word = row.need(notes, "station")?;
                let id = StationId(self.declared.station_names.find(notes, &word)?);
                Some(if what.text == "run" {
                    ReadingOf::Run(id)
                } else {
                    ReadingOf::Repair(id)
                })
            }
            "mass" => {
                let word = row.need(notes, "item")?;
                Some(ReadingOf::Mass(self.item(notes, &word)?))
            }
            "pace" => Some(ReadingOf::Pace(self.operation(notes, row)?)),
            "good" => Some(ReadingOf::Good(self.operation(notes, row)?)),
            "keeps" => Some(ReadingOf::Keeps(self.operation(notes, row)?)),
            "makes" => Some(ReadingOf::Makes(self.operation(notes, row)?)),
            _ => self.checked(notes, row, what),
        }
    }

    /// A reading of a characteristic that the operation checks.
    fn checked(&self, notes: &mut Notes, row: &Row<'_>, what: &Word) -> Option<ReadingOf> {
        let id = self.operation(notes, row)?;
        let operation = &self.routes.operations[id.0];
        let known = operation.checks.iter().map(|check| check.what.as_str());
        if known.clone().any(|name| name == what.text) {
            return Some(ReadingOf::Check(id, what.text.clone()));
        }
        let kinds = ["pace", "good", "keeps", "makes", "run", "repair", "mass"];
        let help =
            nearest(&what.text, known.chain(kinds)).map(|name| format!("did you mean `{name}`?"));
        notes.push(
            Diagnostic::fault(
                "unknown-name",
                what.at,
                format!("`{}` does not check `{}`", operation.name, what.text),
            )
            .maybe_help(help.or_else(|| {
                Some(format!(
                    "one of {}, or what the operation checks",
                    kinds.join(", ")
                ))
            })),
        );
        None
    }

    fn operation(&self, notes: &mut Notes, row: &Row<'_>) -> Option<OperationId> {
        let route = row.need(notes, "route");
        let operation = row.need(notes, "operation");
        let number = self.routes.route_names.find(notes, &route?)?;
        let names: &Names = &self.routes.operation_names[number];
        let position = names.find(notes, &operation?)?;
        Some(self.routes.routes[number].operations[position])
    }

    /// The value of a reading in base units; for pieces, the good ones out of those made.
    fn value(
        &self,
        notes: &mut Notes,
        row: &Row<'_>,
        of: &ReadingOf,
        word: &Word,
    ) -> Option<(f64, Option<f64>)> {
        let stated = match of {
            ReadingOf::Pace(id) => return self.pace(notes, *id, word).map(|pace| (pace, None)),
            ReadingOf::Good(_) => return pieces(notes, row, word),
            ReadingOf::Keeps(_) => quantity_in(notes, word, Expect::Share),
            ReadingOf::Makes(id) => amount(notes, word, &self.routes.operations[id.0].output.unit),
            ReadingOf::Run(_) | ReadingOf::Repair(_) => {
                quantity_in(notes, word, Expect::Dimension(&Dimension::TIME))
            }
            ReadingOf::Mass(_) => quantity_in(notes, word, Expect::Dimension(&Dimension::MASS)),
            ReadingOf::Check(id, what) => self.characteristic(notes, *id, what, word),
        }?;
        let mut value = stated.mean();
        if let ReadingOf::Mass(item) = of {
            value /= self.declared.items[item.0].unit.factor();
        }
        Some((value, None))
    }

    /// Seconds for one base unit of output.
    fn pace(&self, notes: &mut Notes, id: OperationId, word: &Word) -> Option<f64> {
        let operation: &Operation = &self.routes.operations[id.0];
        let unit = &operation.output.unit;
        let time = Dimension::TIME;
        let (per, rate) = (time.over(unit.dimension()), unit.dimension().over(&time));
        let stated = quantity_in(
            notes,
            word,
            Expect::OneOf(&[time.clone(), per, rate.clone()]),
        )?;
        let mean = stated.mean();
        if mean <= 0.0 {
            notes.push(Diagnostic::fault(
                "not-positive",
                word.at,
                "a measured pace must be above zero",
            ));
            return None;
        }
        Some(if *stated.unit.dimension() == time {
            mean / operation.output.per_recipe
        } else if *stated.unit.dimension() == rate {
            1.0 / mean
        } else {
            mean
        })
    }

    fn characteristic(
        &self,
        notes: &mut Notes,
        id: OperationId,
        what: &str,
        word: &Word,
    ) -> Option<Stated> {
        let check = self.routes.operations[id.0]
            .checks
            .iter()
            .find(|check| check.what == what)?;
        let unit = check.limit.as_ref().map(|limit| limit.unit.clone());
        match unit {
            Some(unit) => amount(notes, word, &unit),
            None => quantity_in(notes, word, Expect::Any),
        }
    }
}

fn priority(notes: &mut Notes, word: &Word) -> Option<f64> {
    let stated = quantity_in(notes, word, Expect::Number)?;
    if stated.mean() < 0.0 {
        notes.push(Diagnostic::fault(
            "negative",
            word.at,
            "`priority` cannot be below zero",
        ));
        return None;
    }
    Some(stated.mean())
}

/// Pieces good (`value`) out of pieces made (`made`).
fn pieces(notes: &mut Notes, row: &Row<'_>, word: &Word) -> Option<(f64, Option<f64>)> {
    let made = row.get("made");
    let Some(made) = made else {
        notes.push(
            Diagnostic::fault(
                "empty-cell",
                row.at(),
                "a count of good pieces needs the number made",
            )
            .help("put the good ones into `value` and all that were made into `made`"),
        );
        return None;
    };
    let good = quantity_in(notes, word, Expect::Number)?.mean();
    let out_of = quantity_in(notes, &made, Expect::Number)?.mean();
    let whole = |x: f64| x >= 0.0 && x.fract() == 0.0;
    if !whole(good) || !whole(out_of) || good > out_of || out_of == 0.0 {
        notes.push(
            Diagnostic::fault(
                "counts-impossible",
                word.at,
                "more good pieces than were made, or no whole count",
            )
            .sides(
                format!("a whole number from 0 to {}", made.text),
                word.text.clone(),
            ),
        );
        return None;
    }
    Some((good, Some(out_of)))
}

fn date(notes: &mut Notes, word: &Word) -> Option<Date> {
    // A spreadsheet may give a date with a time of midnight.
    let day = word.text.split(['T', ' ']).next().unwrap_or(&word.text);
    let date = day.parse::<Date>().ok();
    if date.is_none() {
        notes.push(super::works::bad_date(word));
    }
    date
}

fn moment(notes: &mut Notes, word: &Word) -> Option<DateTime> {
    let text = word.text.replacen(' ', "T", 1);
    let parsed = text
        .parse::<DateTime>()
        .or_else(|_| text.parse::<Date>().map(DateTime::from));
    if parsed.is_err() {
        notes.push(
            Diagnostic::fault("bad-date", word.at, "expected a date, perhaps with a time").sides(
                "such as 2026-12-24 or 2026-12-24 06:30",
                format!("`{}`", word.text),
            ),
        );
    }
    parsed.ok()
}
