//! Holes, their order and time, and what goes into them.

use planning::drilling::{DrillPlan, FibreHole, times};

use super::cut::mm;
use super::{Ground, columns, rounded};
use crate::block::{Cell, Column, Role, Table, Value};

/// Holes and time of every operation that drills.
pub(crate) fn drilling(ground: &Ground<'_>) -> Table {
    let mut columns = columns(
        &["Where"],
        &[
            ("Holes", ""),
            ("Tools", ""),
            ("Strokes", ""),
            ("Time for one", "s"),
        ],
    );
    columns.extend([Column::words("Most of it"), Column::words("Rules")]);
    let mut table = Table::new("Drilling", columns);
    for plan in &ground.plan.drilling {
        let most: Vec<String> = plan
            .order
            .iter()
            .flat_map(|order| times(&order.time).into_iter().take(3))
            .map(|(name, seconds)| {
                format!(
                    "{name} {}\u{a0}s",
                    quantity::show_number(rounded(seconds, 10.0))
                )
            })
            .collect();
        let most = if most.is_empty() {
            plan.no_order.clone().unwrap_or_default()
        } else {
            most.join(", ")
        };
        table.push([
            plan.name.as_str().into(),
            (plan.holes.len() as f64).into(),
            (plan.tools.len() as f64).into(),
            plan.order
                .as_ref()
                .map(|order| order.strokes.len() as f64)
                .into(),
            plan.order
                .as_ref()
                .map(|order| rounded(order.time.total_s(), 10.0))
                .into(),
            most.into(),
            rules(plan),
        ]);
    }
    table
}

fn rules(plan: &DrillPlan) -> Cell {
    match plan.broken.len() {
        0 => "kept".into(),
        1 => Cell::from("1 breach").role(Role::Warning),
        many => Cell::from(format!("{many} breaches")).role(Role::Warning),
    }
}

/// The tools of one job.
pub(crate) fn tools(plan: &DrillPlan) -> Table {
    let mut table = Table::new(
        format!("Tools of {}", plan.name),
        columns(
            &["Tool"],
            &[
                ("Across", "mm"),
                ("Holes", ""),
                ("Way in", "m/min"),
                ("Speed", "rpm"),
                ("Bite", "mm"),
                ("Dwell", "s"),
            ],
        ),
    );
    for tool in &plan.tools {
        table.push([
            tool.name.as_str().into(),
            mm(tool.diameter_m),
            (tool.holes as f64).into(),
            tool.advance_m_s
                .map(|speed| rounded(speed * 60.0, 1000.0))
                .into(),
            tool.turns_per_s
                .map(|turns| rounded(turns * 60.0, 1.0))
                .into(),
            tool.peck_m.map(mm).into(),
            tool.dwell_s.into(),
        ]);
    }
    table
}

/// The holes of one job in the order in which they are drilled.
pub(crate) fn holes(plan: &DrillPlan) -> Table {
    let mut table = Table::new(
        format!("Holes of {}", plan.name),
        columns(
            &["Hole"],
            &[
                ("Stroke", ""),
                ("x", "mm"),
                ("y", "mm"),
                ("Across", "mm"),
                ("Deep", "mm"),
                ("Face", ""),
            ],
        ),
    );
    for (stroke, number) in in_order(plan) {
        let hole = &plan.holes[number];
        table.push([
            (number + 1).to_string().into(),
            stroke.map(|stroke| (stroke + 1) as f64).into(),
            mm(hole.x_m),
            mm(hole.y_m),
            mm(hole.diameter_m),
            mm(hole.depth_m),
            (hole.face as f64).into(),
        ]);
    }
    table
}

/// Holes with their strokes, in order; as laid where there is no order.
pub(crate) fn in_order(plan: &DrillPlan) -> Vec<(Option<usize>, usize)> {
    let Some(order) = &plan.order else {
        return (0..plan.holes.len()).map(|hole| (None, hole)).collect();
    };
    let strokes = order.strokes.iter().enumerate();
    strokes
        .flat_map(|(number, stroke)| {
            let holes = stroke.heads.iter().flatten();
            holes.map(move |&hole| (Some(number), hole))
        })
        .collect()
}

/// What goes into holes.
pub(crate) fn filling(ground: &Ground<'_>) -> Table {
    let mut columns = columns(
        &["Where", "Item", "Unit"],
        &[("Holes", ""), ("For one", "")],
    );
    columns.push(Column::words("Fibres in a hole"));
    columns.push(Column::numbers("Odds that all holes are good", ""));
    let mut table = Table::new("Filling", columns);
    for work in &ground.plan.fillings {
        for (number, &(item, amount)) in work.amounts.iter().enumerate() {
            let unit = &ground.works.item(item).unit;
            let fibres: Vec<String> = work.fibres.iter().map(fibres_words).collect();
            // The fibre is the first of the amounts; anchors follow.
            let fibres = if number == 0 {
                fibres.join("; ")
            } else {
                String::new()
            };
            table.push([
                work.name.as_str().into(),
                ground.item(item.0).into(),
                unit.symbol().into(),
                (work.holes as f64).into(),
                rounded(unit.from_base(amount), 1000.0).into(),
                fibres.into(),
                work.good.map(Value::Share).into(),
            ]);
        }
    }
    table
}

/// `89 of 85 mm in 4 mm`.
fn fibres_words(hole: &FibreHole) -> String {
    let mm = |metres: f64| quantity::show_number(rounded(metres * 1e3, 10.0));
    format!(
        "{} of {} mm in {} mm",
        hole.fibres,
        mm(hole.cut_length_m),
        mm(hole.diameter_m)
    )
}
