//! Cutting, drilling and filling bound to the works: small works as text, with the arithmetic beside each number.

mod abuse;
#[path = "../common/mod.rs"]
mod common;
mod cutting;
mod drilling;
mod filling;

use planning::Plan;
use planning::computed::Computed;
use planning::cutting::{BarWork, BoardWork, CutPlan, Work};
use works::Works;

use common::{codes, files, options, plan_of};

const HEAD: &str = r#"--- works.toml
[works]
name = "Tiny"
time_zone = "Europe/London"
currency = "GBP"

[plan]
from = "2026-11-30"
until = "2026-12-31"

[calendar.days]
work = ["Mon..Fri 06:00-14:00"]

[station.saw]
calendar = "days"

[station.drill]
calendar = "days"
drilling = { speed = "30 m/min", acceleration = "2 m/s2", clear = "5 mm", tool_change = "12 s", turn = "8 s", load = "9 s" }

[item.tube]
unit = "m"
buy = { price = "2 GBP/m" }

[item.plank]
unit = "each"
buy = { price = "11 GBP" }
"#;

/// Reads [`HEAD`] and the rest without a complaint.
fn read(rest: &str) -> Works {
    common::read(&format!("{HEAD}{rest}"))
}

/// The plan of [`HEAD`] and the rest.
fn planned(rest: &str) -> Plan {
    plan_of(&read(rest))
}

fn bars(cut: &CutPlan) -> &BarWork {
    match &cut.work {
        Work::Bars(work) => work,
        other => panic!("bars, not {other:?}"),
    }
}

fn boards(cut: &CutPlan) -> &BoardWork {
    match &cut.work {
        Work::Boards(work) => work,
        other => panic!("boards, not {other:?}"),
    }
}

/// The number with a name that ends so.
fn number<'p>(plan: &'p Plan, ending: &str) -> &'p Computed {
    let found = plan.computed.iter().find(|one| one.name.ends_with(ending));
    found.unwrap_or_else(|| panic!("no `{ending}` in {:#?}", plan.computed))
}

/// What is bought of an item, in base units.
fn bought(plan: &Plan, name: &str) -> f64 {
    let found = plan.material.purchases.iter().find(|one| one.name == name);
    plan.ledger.value(found.expect("it is bought").to_buy)
}

#[track_caller]
fn near(found: f64, expected: f64) {
    assert!(
        (found - expected).abs() <= 1e-9 * expected.abs().max(1.0),
        "{found} against {expected}"
    );
}
