//! Drying by weighed pieces: the verdict, and the tables behind it.

use planning::heat::words;
use planning::moisture::{DriedWhen, DryingPlan, when_words};

use super::{Kind, TimeUnit, degrees_cell};
use crate::block::{Cell, Column, Table, Value};
use crate::table::{columns, rounded, title};

pub(super) fn telling(plan: &DryingPlan) -> super::Telling<'_> {
    let tables = vec![pieces(plan), weighings(plan), air(plan)];
    super::Telling {
        kind: Kind::Drying,
        operation: plan.operation,
        name: &plan.name,
        does: does(plan),
        good: does(plan) == Some(true),
        verdict: verdict(plan),
        lines: lines(plan),
        limits: Vec::new(),
        short: tables.first().cloned(),
        tables,
        cautions: &plan.cautions,
    }
}

fn when(plan: &DryingPlan) -> Option<DriedWhen> {
    plan.load.as_ref()?.when
}

fn does(plan: &DryingPlan) -> Option<bool> {
    if plan.is_too_short() {
        return Some(false);
    }
    when(plan).map(|_| true)
}

/// What the stated time comes to: `9.5 % is lost after 8.6 h (8.5 h to 8.7 h), 9 h is stated`.
fn verdict(plan: &DryingPlan) -> String {
    let until = quantity::show_share(plan.until);
    let refused = || plan.refused.as_deref().unwrap_or("it is never lost");
    let Some(when) = when(plan) else {
        let untold = format!("when {until} is lost cannot be told: {}", refused());
        return if plan.is_too_short() {
            format!("does not do its job: {}", refused())
        } else {
            untold
        };
    };
    let after = format!("{until} is lost after {}", when_words(&when));
    let Some(dwell_s) = plan.dwell_s else {
        return format!("{after}; no time inside is stated");
    };
    let stated = format!("{} is stated", words::time(dwell_s));
    let sure = when.high_s.is_some_and(|high_s| dwell_s >= high_s);
    match (plan.is_too_short(), sure) {
        (true, _) => format!("does not do its job: {after}; {stated}"),
        (false, true) => format!("does its job: {after}; {stated}"),
        (false, false) => {
            format!("does its job as far as the weighings can tell: {after}; {stated}")
        }
    }
}

/// What was found; the first sentence stands in the verdict already, and of the air only what is aimed at is told.
fn lines(plan: &DryingPlan) -> Vec<String> {
    let ends: Vec<&String> = plan.air.iter().skip(1).map(|air| &air.sentence).collect();
    let after_verdict = plan.sentences.iter().skip(1);
    after_verdict
        .filter(|words| !ends.contains(words))
        .map(|words| format!("{}.", title(words)))
        .collect()
}

fn percent(share: f64) -> f64 {
    rounded(share * 100.0, 100.0)
}

/// Every piece with its curve, and all together.
fn pieces(plan: &DryingPlan) -> Table {
    let all = plan.pieces.iter().filter_map(|piece| piece.when);
    let all = all.chain(when(plan));
    let unit = TimeUnit::of(all.map(|when| when.time_s));
    let until = quantity::show_share(plan.until);
    let mut columns = columns(
        &["Piece"],
        &[
            ("Weight at first", "g"),
            ("Rate", "1/h"),
            ("Loses in the end", "%"),
        ],
    );
    columns.push(Column::numbers(&format!("{until} lost after"), unit.symbol));
    columns.push(Column::numbers("At the earliest", unit.symbol));
    columns.push(Column::numbers("At the latest", unit.symbol));
    columns.push(Column::words("Remark"));
    let mut table = Table::new(format!("Weighed pieces of {}", plan.name), columns);
    let times = |when: Option<DriedWhen>| {
        [
            unit.maybe(when.map(|when| when.time_s)),
            unit.maybe(when.map(|when| when.low_s)),
            unit.maybe(when.and_then(|when| when.high_s)),
        ]
    };
    let beyond = |when: Option<DriedWhen>| {
        let beyond = when.is_some_and(|when| when.beyond);
        beyond.then(|| Value::text("beyond the last weighing"))
    };
    for piece in &plan.pieces {
        let rate = piece
            .own
            .map(|own| rounded(own.rate_per_s * 3600.0, 1000.0));
        let mut cells: Vec<Cell> = vec![
            piece.name.as_str().into(),
            rounded(piece.green_kg * 1e3, 10.0).into(),
            rate.into(),
            piece.own.map(|own| percent(own.end_loss)).into(),
        ];
        cells.extend(times(piece.when));
        let refused = piece.own_refused.clone().map(Value::Text);
        cells.push(refused.or_else(|| beyond(piece.when)).into());
        table.push(cells);
    }
    if let Some(load) = &plan.load {
        let green: f64 = plan.pieces.iter().map(|piece| piece.green_kg).sum();
        let mut cells: Vec<Cell> = vec![
            "all together, at one rate".into(),
            rounded(green * 1e3, 10.0).into(),
            rounded(load.curve.rate_per_s * 3600.0, 1000.0).into(),
            percent(load.curve.end_loss).into(),
        ];
        cells.extend(times(load.when));
        cells.push(beyond(load.when).into());
        table.push(cells);
    }
    table
}

/// Every weighing: a piece in each column, a time in each row.
fn weighings(plan: &DryingPlan) -> Table {
    let all = plan.pieces.iter().flat_map(|piece| &piece.weighed);
    let mut times: Vec<f64> = all.map(|point| point.0).collect();
    times.sort_by(f64::total_cmp);
    times.dedup_by(|a, b| (*a - *b).abs() < 1.0);
    let unit = TimeUnit::of(times.iter().copied());
    let mut columns = vec![Column::numbers("After", unit.symbol)];
    let pieces = plan.pieces.iter();
    columns.extend(pieces.map(|piece| Column::numbers(&piece.name, "%")));
    let mut table = Table::new(format!("Lost by each piece of {}", plan.name), columns);
    for time_s in times {
        let mut cells = vec![unit.cell(time_s)];
        for piece in &plan.pieces {
            let mut weighed = piece.weighed.iter();
            let found = weighed.find(|point| (point.0 - time_s).abs() < 1.0);
            cells.push(found.map(|point| percent(point.1)).into());
        }
        table.push(cells);
    }
    table
}

/// The air in which it dries.
fn air(plan: &DryingPlan) -> Table {
    let columns = columns(
        &["Air"],
        &[
            ("Temperature", "degC"),
            ("Humidity", "%"),
            ("Water", "g/kg"),
            ("Wet bulb", "degC"),
            ("Dew point", "degC"),
        ],
    );
    let mut table = Table::new(format!("Air of {}", plan.name), columns);
    for air in &plan.air {
        table.push([
            air.name.as_str().into(),
            degrees_cell(air.dry_bulb_k),
            rounded(air.relative_humidity * 100.0, 10.0).into(),
            rounded(air.humidity_ratio * 1e3, 10.0).into(),
            degrees_cell(air.wet_bulb_k),
            degrees_cell(air.dew_point_k),
        ]);
    }
    table
}
