//! Solvent in the air: an estimate of the fresh air that thins it. Nothing here permits anything.

use planning::moisture::SolventPlan;

use super::{Kind, degrees_cell};
use crate::block::{Cell, Table};
use crate::table::{columns, rounded};

pub(super) fn telling(plan: &SolventPlan) -> super::Telling<'_> {
    super::Telling {
        kind: Kind::Solvent,
        operation: plan.operation,
        name: &plan.name,
        // Enough air by an estimate is no leave to run: it is never told to do its job.
        does: None,
        good: plan.met,
        verdict: plan.sentence.trim_end_matches('.').to_owned(),
        lines: vec![format!(
            "With the stated air the vapour comes to {} of its lower limit in the heat, if it goes off evenly.",
            quantity::show_share(rounded(plan.comes_to, 1000.0))
        )],
        limits: vec![format!(
            "Limits: {}. Share of the lower limit: {}. {}.",
            plan.source,
            plan.share_by,
            crate::table::title(super::SCREENING)
        )],
        short: None,
        tables: vec![estimate(plan)],
        cautions: &plan.cautions,
    }
}

fn estimate(plan: &SolventPlan) -> Table {
    let columns = columns(
        &["What goes off"],
        &[
            ("Goes off", "g/min"),
            ("Vapour", "m3/h"),
            ("Air inside", "degC"),
            ("Lower limit, listed", "%"),
            ("Lower limit, hot", "%"),
            ("Not to pass", "% of it"),
            ("Fresh air estimated", "m3/h"),
            ("Fresh air stated", "m3/h"),
            ("Comes to", "% of it"),
        ],
    );
    let mut table = Table::new(format!("Solvent of {}: estimate", plan.name), columns);
    let hourly = |m3_s: f64, parts: f64| rounded(m3_s * 3600.0, parts);
    table.push([
        plan.words.as_str().into(),
        rounded(plan.goes_off_kg_s * 6e4, 10.0).into(),
        hourly(plan.vapour_m3_s, 100.0).into(),
        degrees_cell(plan.air_k),
        rounded(plan.listed_limit * 100.0, 100.0).into(),
        rounded(plan.hot_limit * 100.0, 100.0).into(),
        rounded(plan.share * 100.0, 10.0).into(),
        hourly(plan.needed_m3_s, 1.0).into(),
        Cell::from(hourly(plan.stated_m3_s, 1.0)).warn_if(!plan.met),
        Cell::from(rounded(plan.comes_to * 100.0, 10.0)).warn_if(!plan.met),
    ]);
    table
}
