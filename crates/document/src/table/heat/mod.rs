//! Recipes held against what they must do: verdicts, and the tables behind them. Heat here; salt, drying, solvent and
//! moulding each in a room of its own.
//!
//! Temperatures are shown in degC, times in the unit that fits the longest of a column.

mod beside;
mod drying;
mod moulding;
mod salt;
mod solvent;
mod verdict;
mod window;

use planning::heat::{Counted, HeatPlan, NeedLine, words};

use super::{Ground, columns, rounded};
use crate::block::{Cell, Column, Role, Table, Value};

pub(crate) use beside::*;
pub(crate) use verdict::*;
pub(crate) use window::*;

/// 0 degC in kelvin.
const ICE_POINT_K: f64 = 273.15;

/// What is said of every estimate that sorts out and proves nothing.
pub(crate) const SCREENING: &str = "screening estimate; a competent person decides";

/// What stands under every answer about heat.
pub(crate) const WHO_DECIDES: &str = "Local codes and licensed or competent persons decide. These are planning figures: limits are those that the works states, with their source; nothing here sets one or permits anything.";

/// A unit in which the times of a table or a picture are told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct TimeUnit {
    /// `min`.
    pub(crate) symbol: &'static str,
    /// Seconds in one.
    pub(crate) seconds: f64,
}

impl TimeUnit {
    /// The unit that fits the longest of some times.
    pub(crate) fn of(times_s: impl IntoIterator<Item = f64>) -> Self {
        let longest = times_s
            .into_iter()
            .filter(|time| time.is_finite())
            .map(f64::abs)
            .fold(0.0, f64::max);
        let (symbol, seconds) = match longest {
            s if s < 180.0 => ("s", 1.0),
            s if s < 10_800.0 => ("min", 60.0),
            s if s < 96.0 * 3600.0 => ("h", 3600.0),
            _ => ("d", 86_400.0),
        };
        Self { symbol, seconds }
    }

    /// How many of it a time is.
    pub(crate) fn count(self, time_s: f64) -> f64 {
        time_s / self.seconds
    }

    fn cell(self, time_s: f64) -> Cell {
        fine(self.count(time_s), 100.0).into()
    }

    fn maybe(self, time_s: Option<f64>) -> Cell {
        time_s.map(|time_s| self.cell(time_s)).into()
    }
}

/// K in degC.
pub(crate) fn degrees(kelvin: f64) -> f64 {
    kelvin - ICE_POINT_K
}

fn degrees_cell(kelvin: f64) -> Cell {
    rounded(degrees(kelvin), 10.0).into()
}

/// Rounded, unless that makes nothing of something: then to two figures.
fn fine(value: f64, parts: f64) -> f64 {
    let plain = rounded(value, parts);
    if plain != 0.0 || value == 0.0 || !value.is_finite() {
        return plain;
    }
    let power = 10_f64.powf(1.0 - value.abs().log10().floor());
    rounded(value, power)
}

/// A value of a need, with its unit.
pub(crate) fn need_value(counted: Counted, value: f64, unit: TimeUnit) -> Value {
    match counted {
        Counted::Temperature => Value::Amount(rounded(degrees(value), 10.0), "degC".to_owned()),
        _ => need_span(counted, value, unit),
    }
}

/// A margin or an error of a need: a difference for temperatures.
fn need_span(counted: Counted, value: f64, unit: TimeUnit) -> Value {
    match counted {
        // Less than a tenth of a degree is nothing that anybody sets or reads.
        Counted::Temperature => Value::Amount(rounded(value, 10.0), "degC".to_owned()),
        Counted::Time => Value::Amount(fine(unit.count(value), 10.0), unit.symbol.to_owned()),
        Counted::Tens => Value::Amount(fine(value, 100.0), "powers of ten".to_owned()),
    }
}

/// An estimated error; a small one is told as such.
fn error_cell(counted: Counted, error: f64, unit: TimeUnit) -> Cell {
    let shown = need_span(counted, error, unit);
    match &shown {
        Value::Amount(amount, symbol) if *amount < 0.1 && error > 0.0 => {
            Value::text(format!("<0.1\u{a0}{symbol}")).into()
        }
        _ => shown.into(),
    }
}

/// The unit of the times that a need counts.
pub(crate) fn unit_of_need(need: &NeedLine) -> TimeUnit {
    let limits = [need.at_least, need.at_most].into_iter().flatten();
    let values = need.values.iter().map(|value| value.0);
    TimeUnit::of(limits.chain(values))
}

/// Where a limit is from, and what kind of answer stands against it.
pub(crate) fn source_words(need: &NeedLine) -> String {
    sourced(need.source.as_ref(), need.screening)
}

fn sourced(source: Option<&String>, screening: bool) -> String {
    let source = source.map_or_else(
        || "no source stated".to_owned(),
        |source| format!("source: {source}"),
    );
    if screening {
        format!("{source}; {SCREENING}")
    } else {
        source
    }
}

/// Every recipe on a line.
pub(crate) fn recipes(ground: &Ground<'_>) -> Table {
    let plans = &ground.plan.heat;
    let mut columns = columns(&["Where", "Does its job"], &[]);
    for title in ["Stated", "Shortest", "Longest", "To spare"] {
        columns.push(Column::numbers(title, ""));
    }
    columns.extend([Column::words("Loads held"), Column::words("In words")]);
    let mut table = Table::new("Recipes", columns);
    for plan in plans {
        let unit = TimeUnit::of(
            [Some(plan.dwell_s), plan.window.longest_s.map(|end| end.0)]
                .into_iter()
                .flatten(),
        );
        let time = |time_s: f64| {
            Cell::from(Value::Amount(
                fine(unit.count(time_s), 10.0),
                unit.symbol.to_owned(),
            ))
        };
        let maybe = |time_s: Option<f64>| Cell::from(time_s.map(time));
        let spare = plan.spare();
        let held = plan.logs.iter().filter(|log| !log.passes).count();
        table.push([
            plan.name.as_str().into(),
            yes_no(plan.does_its_job()),
            time(plan.dwell_s),
            maybe(
                plan.window
                    .shortest_by
                    .and(plan.window.shortest_s)
                    .map(|end| end.0),
            ),
            maybe(plan.window.longest_s.map(|end| end.0)),
            maybe(spare.least_s()).warn_if(!good(plan)),
            match plan.logs.len() {
                0 => Value::None.into(),
                logs => Cell::from(format!("{held} of {logs}")).warn_if(held > 0),
            },
            recipe_verdict(plan).into(),
        ]);
    }
    table
}

fn yes_no(met: bool) -> Cell {
    if met {
        "yes".into()
    } else {
        Cell::from("no").role(Role::Warning)
    }
}

/// Every need held against every piece.
pub(crate) fn heat_needs(plan: &HeatPlan) -> Table {
    let mut columns = vec![Column::words("What it must do")];
    for piece in &plan.pieces {
        columns.push(Column::numbers(&super::title(&piece.name), ""));
    }
    for title in ["Margin", "May be off by", "Met after"] {
        columns.push(Column::numbers(title, ""));
    }
    columns.extend([Column::words("Met"), Column::words("Limit")]);
    let mut table = Table::new(format!("Needs of {}", plan.name), columns);
    for need in &plan.needs {
        let unit = unit_of_need(need);
        let mut cells: Vec<Cell> = vec![need.words.as_str().into()];
        for at in 0..plan.pieces.len() {
            let value = need.values.get(at);
            let value = value.map(|&(value, _)| need_value(need.counted, value, unit));
            cells.push(Cell::from(value).warn_if(!need.met && need.worst == at));
        }
        let error = need.values.iter().map(|value| value.1).fold(0.0, f64::max);
        cells.push(
            Cell::from(need_span(need.counted, need.margin, unit))
                .warn_if(!need.met || need.too_close),
        );
        cells.push(error_cell(need.counted, error, unit));
        cells.push(
            need.met_after_s
                .map(|time_s| Value::text(words::time(time_s)))
                .into(),
        );
        cells.push(if need.met && need.too_close {
            Cell::from("too close to tell").role(Role::Warning)
        } else {
            yes_no(need.met)
        });
        cells.push(source_words(need).into());
        table.push(cells);
    }
    table
}

/// The pieces looked at.
pub(crate) fn heat_pieces(plan: &HeatPlan) -> Table {
    let mut columns = columns(&["Piece", "What it is"], &[]);
    for title in ["Core, highest", "Core, lowest", "Core, at the end"] {
        columns.push(Column::numbers(title, "degC"));
    }
    let mut table = Table::new(format!("Pieces of {}", plan.name), columns);
    for piece in &plan.pieces {
        let values = || piece.core.iter().map(|point| point.1);
        table.push([
            piece.name.as_str().into(),
            piece.words.as_str().into(),
            values().reduce(f64::max).map(degrees_cell).into(),
            values().reduce(f64::min).map(degrees_cell).into(),
            values().next_back().map(degrees_cell).into(),
        ]);
    }
    table
}

/// What surrounds the pieces, stage after stage.
pub(crate) fn heat_stages(plan: &HeatPlan) -> Table {
    let unit = TimeUnit::of(plan.stages.iter().map(|stage| stage.lasts_s));
    let mut columns = columns(
        &["Stage"],
        &[
            ("Lasts", unit.symbol),
            ("Air at first", "degC"),
            ("Air at the end", "degC"),
            ("Coefficient, least", "W/(m2 K)"),
            ("Coefficient, most", "W/(m2 K)"),
        ],
    );
    columns.push(Column::words("Coefficient from"));
    let mut table = Table::new(format!("Stages of {}", plan.name), columns);
    for stage in &plan.stages {
        let coefficient = |of: fn((f64, f64)) -> f64| {
            let value = stage.coefficient.map(of);
            Cell::from(value.map(|value| rounded(value, 10.0)))
        };
        table.push([
            stage.name.as_str().into(),
            unit.cell(stage.lasts_s),
            degrees_cell(stage.air_k.0),
            degrees_cell(stage.air_k.1),
            coefficient(|both| both.0),
            coefficient(|both| both.1),
            stage.coefficient_by.as_str().into(),
        ]);
    }
    table
}

/// The cautions of every recipe of the section.
pub(crate) fn heat_cautions(ground: &Ground<'_>) -> Table {
    let mut table = Table::new("Cautions", columns(&["Where", "Caution"], &[]));
    for plan in &ground.plan.heat {
        for caution in &plan.cautions {
            table.push([plan.name.as_str().into(), caution.as_str().into()]);
        }
    }
    for (_, telling) in tellings(ground) {
        let place = format!("{}, {}", telling.name, telling.kind.word());
        for caution in telling.cautions {
            table.push([place.as_str().into(), caution.as_str().into()]);
        }
    }
    table.push(["everywhere".into(), WHO_DECIDES.into()]);
    table
}

/// The heat plan of an operation.
pub(crate) fn heat_plan<'p>(
    ground: &Ground<'p>,
    operation: works::OperationId,
) -> Option<&'p HeatPlan> {
    let mut plans = ground.plan.heat.iter();
    plans.find(|plan| plan.operation == operation)
}

/// Whether an operation has a heat plan.
pub(crate) fn heats(ground: &Ground<'_>, operation: works::OperationId) -> bool {
    heat_plan(ground, operation).is_some()
}

/// Whether there is anything to say of heat, salt, drying, solvent or moulding.
pub(crate) fn does_heat(ground: &Ground<'_>) -> bool {
    let answered = !ground.plan.heat.is_empty() || !tellings(ground).is_empty();
    answered || !planning::heat::recipes(ground.works).is_empty()
}
