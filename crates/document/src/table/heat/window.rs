//! Windows at other temperatures, what a change does, loads, measured loads and starts.

use planning::heat::{HeatPlan, LoadLine, LogLine, words};

use super::{
    TimeUnit, degrees_cell, fine, log_verdict, need_span, need_value, unit_of_need, yes_no,
};
use crate::block::{Cell, Column, Role, Table, Value};
use crate::table::{Ground, columns, rounded};

/// Dwells that do at other temperatures of the air.
pub(crate) fn heat_map(plan: &HeatPlan) -> Table {
    let times = plan.map.iter().flat_map(|row| [row.enough_s, row.most_s]);
    let unit = TimeUnit::of(times.flatten());
    let mut columns = columns(
        &[],
        &[
            ("Air", "degC"),
            ("Enough for every piece after", unit.symbol),
            ("Too much for some after", unit.symbol),
        ],
    );
    columns.push(Column::words("Some time does for all"));
    let mut table = Table::new(format!("Windows of {}", plan.name), columns);
    for row in &plan.map {
        table.push([
            degrees_cell(row.air_k),
            unit.maybe(row.enough_s),
            if row.never_safe {
                unit.maybe(Some(0.0))
            } else {
                unit.maybe(row.most_s)
            },
            yes_no(row.together),
        ]);
    }
    table
}

/// What a change does, each by itself.
pub(crate) fn heat_changes(plan: &HeatPlan) -> Table {
    let times = plan
        .changes
        .iter()
        .flat_map(|line| [line.shortest_s, line.longest_s]);
    let unit = TimeUnit::of(times.flatten());
    let mut columns = columns(
        &["Change"],
        &[
            ("Shortest", unit.symbol),
            ("Longest", unit.symbol),
            ("Margin", ""),
        ],
    );
    columns.extend([
        Column::words("Does its job"),
        Column::words("What is nearest to its limit"),
    ]);
    let mut table = Table::new(format!("What a change does to {}", plan.name), columns);
    for line in &plan.changes {
        let need = plan.needs.get(line.need);
        let margin = need.map(|need| need_span(need.counted, line.margin, unit_of_need(need)));
        table.push([
            line.change.as_str().into(),
            unit.maybe(line.shortest_s),
            unit.maybe(line.longest_s),
            Cell::from(margin).warn_if(!line.met),
            yes_no(line.met),
            need.map(|need| Value::text(need.words.as_str())).into(),
        ]);
    }
    table
}

/// The chamber with loads of several sizes.
pub(crate) fn heat_loads(plan: &HeatPlan, load: &LoadLine) -> Table {
    let columns = columns(
        &["Load", "Does its job"],
        &[("Air at the end", "degC"), ("Core at the end", "degC")],
    );
    let mut table = Table::new(format!("Loads of {}", plan.name), columns);
    for trace in &load.traces {
        let last = |points: &[(f64, f64)]| Cell::from(points.last().map(|p| degrees_cell(p.1)));
        table.push([
            load_words(load, trace.units).into(),
            yes_no(trace.met),
            last(&trace.air),
            last(&trace.core),
        ]);
    }
    table
}

/// So many units in the load's own unit.
pub(crate) fn load_words(load: &LoadLine, units: f64) -> String {
    let value = rounded(units / load.factor, 10.0);
    format!("{} {}", quantity::show_number(value), load.unit)
}

/// What the heat of a full load comes to.
pub(crate) fn energy_words(load: &LoadLine) -> String {
    let energy = |joules: f64| {
        let (value, unit) = match joules.abs() / 3.6e6 {
            kwh if kwh < 1.0 => (joules / 3600.0, "Wh"),
            _ => (joules / 3.6e6, "kWh"),
        };
        format!("{} {unit}", quantity::show_number(fine(value, 100.0)))
    };
    let way = if load.into_pieces_j < 0.0 {
        "out of"
    } else {
        "into"
    };
    let (heating, cooling) = load.spent_j;
    let spent = [(heating, "heating"), (cooling, "cooling")]
        .into_iter()
        .filter(|(joules, _)| *joules > 0.0)
        .map(|(joules, what)| format!("{} of {what}", energy(joules)));
    let spent: Vec<String> = spent.collect();
    let spent = if spent.is_empty() {
        "no power is spent".to_owned()
    } else {
        format!("the chamber spends {}", spent.join(" and "))
    };
    format!(
        "A full load: {} {way} the pieces; {spent}.",
        energy(load.into_pieces_j.abs())
    )
}

/// Probes of a measured load, each held against every need it can speak for.
pub(crate) fn heat_probes(plan: &HeatPlan, log: &LogLine) -> Table {
    let mut columns = columns(&["Probe", "Where"], &[]);
    for need in &plan.needs {
        columns.push(Column::numbers(&need.words, ""));
    }
    columns.push(Column::numbers("Off the others", "degC"));
    columns.push(Column::words("Odd"));
    let mut table = Table::new(format!("Probes of {}", log.name), columns);
    for probe in &log.probes {
        let mut cells: Vec<Cell> = vec![probe.name.as_str().into(), probe.place.as_str().into()];
        for (at, need) in plan.needs.iter().enumerate() {
            let value = probe.values.get(at).copied().flatten();
            let value = value.map(|(value, met)| {
                let unit = unit_of_need(need);
                Cell::from(need_value(need.counted, value, unit)).warn_if(!met)
            });
            cells.push(value.into());
        }
        cells.push(probe.offset_k.map(|offset| rounded(offset, 10.0)).into());
        cells.push(if probe.odd {
            Cell::from("odd").role(Role::Warning)
        } else {
            Value::None.into()
        });
        table.push(cells);
    }
    table
}

/// Every measured load with its verdict.
pub(crate) fn heat_logs(ground: &Ground<'_>) -> Table {
    let mut columns = columns(&["Where", "Load", "Verdict", "Why"], &[]);
    columns.push(Column::numbers("Coefficient", "W/(m2 K)"));
    columns.push(Column::numbers("Off by", "degC"));
    columns.push(Column::words("Left out"));
    let mut table = Table::new("Measured loads", columns);
    for plan in &ground.plan.heat {
        for log in &plan.logs {
            let verdict = if log.passes { "pass" } else { "hold" };
            table.push([
                plan.name.as_str().into(),
                log.name.as_str().into(),
                Cell::from(verdict).warn_if(!log.passes),
                log.reasons.join("; ").into(),
                log.coefficient
                    .map(|fitted| rounded(fitted.coefficient, 10.0))
                    .into(),
                log.coefficient
                    .map(|fitted| rounded(fitted.off_k, 10.0))
                    .into(),
                log.left_out.join("; ").into(),
            ]);
        }
    }
    table
}

/// When loads must go in to be ready.
pub(crate) fn heat_starts(ground: &Ground<'_>) -> Table {
    let columns = columns(
        &["Where", "Needed", "In not before", "In by", "Begin to load"],
        &[],
    );
    let mut table = Table::new("When to put loads in", columns);
    let show = |at: jiff::civil::DateTime| at.strftime("%a %Y-%m-%d %H:%M").to_string();
    for plan in &ground.plan.heat {
        let Some(start) = &plan.start else { continue };
        table.push([
            plan.name.as_str().into(),
            show(start.needed).into(),
            start.earliest.map(show).into(),
            show(start.latest).into(),
            start.go_in.map_or_else(
                || Cell::from("the station is shut").role(Role::Warning),
                |at| show(at).into(),
            ),
        ]);
    }
    table
}

/// A measured load on a line, for short reports.
pub(crate) fn log_lines(plan: &HeatPlan) -> Vec<(bool, String)> {
    plan.logs
        .iter()
        .map(|log| {
            let mut words = log_verdict(log);
            for left_out in &log.left_out {
                words.push_str("; ");
                words.push_str(left_out);
            }
            (log.passes, format!("Measured load {words}."))
        })
        .collect()
}

/// The time inside as stated.
pub(crate) fn stated_words(plan: &HeatPlan) -> String {
    format!("stated {}", words::time(plan.dwell_s))
}
