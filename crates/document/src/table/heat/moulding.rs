//! Moulding: the verdict, and the tables behind it.

use planning::heat::words;
use planning::moulding::{MouldPlan, ShotLine};

use super::{Kind, degrees_cell, yes_no};
use crate::block::{Cell, Column, Table, Value};
use crate::table::{columns, rounded, title};

pub(super) fn telling(plan: &MouldPlan) -> super::Telling<'_> {
    let tables = vec![cycles(plan), machine(plan)];
    super::Telling {
        kind: Kind::Moulding,
        operation: plan.operation,
        name: &plan.name,
        does: Some(plan.does_its_job()),
        good: plan.does_its_job() && plan.stated.as_ref().is_none_or(|stated| stated.for_all),
        verdict: verdict(plan),
        lines: plan
            .sentences
            .iter()
            .map(|words| format!("{}.", title(words)))
            .collect(),
        limits: Vec::new(),
        short: tables.first().cloned(),
        tables,
        cautions: &plan.cautions,
    }
}

fn kilonewtons(newtons: f64) -> f64 {
    rounded(newtons / 1e3, 10.0)
}

fn grams(kg: f64) -> f64 {
    rounded(kg * 1e3, 100.0)
}

/// The cycle that is found: `21.9 s (20.2 s to 24.3 s)`.
fn found(plan: &MouldPlan) -> String {
    let likely = words::time(plan.likely().cycle_s);
    let shortest = plan.sides.iter().map(|side| side.cycle_s);
    let shortest = shortest.fold(f64::INFINITY, f64::min);
    if plan.sides.len() < 2 {
        return format!("{likely} is found");
    }
    format!(
        "{likely} is found ({} to {})",
        words::time(shortest),
        words::time(plan.longest_s())
    )
}

/// `does its job: a cycle of 24.5 s is stated, 21.9 s is found (20.2 s to 24.3 s)`, or what is missed.
fn verdict(plan: &MouldPlan) -> String {
    let cycle = match &plan.stated {
        None => format!("no cycle is stated, {}", found(plan)),
        Some(stated) => {
            let slow = if stated.met && !stated.for_all {
                ", too short for the slowest wall"
            } else {
                ""
            };
            let stated = words::time(stated.cycle_s);
            format!("a cycle of {stated} is stated, {}{slow}", found(plan))
        }
    };
    if plan.does_its_job() {
        return format!("does its job: {cycle}");
    }
    let mut missed = Vec::new();
    if plan.is_too_short() {
        missed.push(cycle);
    }
    let force = |newtons: f64| quantity::show_number(kilonewtons(newtons));
    if let Some(clamp) = plan.clamp.filter(|clamp| clamp.met == Some(false)) {
        missed.push(format!(
            "{} kN is wanted to hold the mould shut and the machine has {} kN",
            force(clamp.needed_n),
            clamp.machine_n.map_or_else(String::new, force)
        ));
    }
    let shot = plan.shot;
    if let Some(shot) = shot.filter(ShotLine::is_too_large) {
        let number = |kg: f64| quantity::show_number(grams(kg));
        missed.push(format!(
            "a shot is {} g and the barrel holds {} g",
            number(shot.shot_kg),
            shot.barrel_kg.map_or_else(String::new, number)
        ));
    }
    let stays = shot.filter(|shot| shot.residence_met == Some(false));
    if let Some((stays_s, (least, most))) =
        stays.and_then(|shot| shot.residence_s.zip(shot.allowed_s))
    {
        missed.push(format!(
            "melt stays {} in the barrel, and {} to {} are allowed",
            words::time(stays_s),
            words::time(least),
            words::time(most)
        ));
    }
    format!("does not do its job: {}", missed.join("; "))
}

/// Walls with their cooling and cycle.
fn cycles(plan: &MouldPlan) -> Table {
    let stated = plan.stated.as_ref();
    let mut columns = columns(
        &["Wall"],
        &[
            ("Thick", "mm"),
            ("Diffusivity", "mm2/s"),
            ("Melt", "degC"),
            ("Mould", "degC"),
            ("Out at", "degC"),
            ("Cooling", "s"),
            ("Cycle", "s"),
        ],
    );
    if stated.is_some() {
        columns.push(Column::numbers("Out at, in the stated cycle", "degC"));
    }
    let mut table = Table::new(format!("Cycle of {}", plan.name), columns);
    for (at, side) in plan.sides.iter().enumerate() {
        let mut cells: Vec<Cell> = vec![
            side.name.as_str().into(),
            rounded(side.wall_m * 1e3, 100.0).into(),
            rounded(side.diffusivity_m2_s * 1e6, 1e4).into(),
            degrees_cell(side.melt_k),
            degrees_cell(side.mould_k),
            degrees_cell(side.eject_k),
            rounded(side.cool_s, 10.0).into(),
            Cell::from(rounded(side.cycle_s, 10.0))
                .warn_if(stated.is_some_and(|stated| stated.cycle_s < side.cycle_s)),
        ];
        if let Some(stated) = stated {
            cells.push(stated.ends_k.get(at).copied().map(degrees_cell).into());
        }
        table.push(cells);
    }
    table
}

/// What the machine must hold, wanted against what there is.
fn machine(plan: &MouldPlan) -> Table {
    let columns = columns(&["What", "Wanted", "There is", "Does"], &[]);
    let mut table = Table::new(format!("Machine of {}", plan.name), columns);
    let amount =
        |value: f64, unit: &str| Value::text(format!("{} {unit}", quantity::show_number(value)));
    let met = |met: Option<bool>| Cell::from(met.map(yes_no));
    if let Some(clamp) = plan.clamp {
        table.push([
            "clamp force, with a tenth to spare".into(),
            amount(kilonewtons(clamp.needed_n), "kN").into(),
            clamp.machine_n.map(|n| amount(kilonewtons(n), "kN")).into(),
            met(clamp.met),
        ]);
    }
    if let Some(shot) = plan.shot {
        table.push([
            "shot, in the barrel".into(),
            amount(grams(shot.shot_kg), "g").into(),
            shot.barrel_kg.map(|kg| amount(grams(kg), "g")).into(),
            met(shot.barrel_kg.map(|_| !shot.is_too_large())),
        ]);
        let allowed = shot.allowed_s.map(|(least, most)| {
            Value::text(format!("{} to {}", words::time(least), words::time(most)))
        });
        if let Some(stays_s) = shot.residence_s {
            table.push([
                "time of melt in the barrel".into(),
                allowed.into(),
                Value::text(words::time(stays_s)).into(),
                met(shot.residence_met),
            ]);
        }
    }
    table
}
