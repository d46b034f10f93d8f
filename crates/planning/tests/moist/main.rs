//! Salt, drying, solvent and moulding bound to the works: small works as text, held to closed forms with the arithmetic beside
//! each number.

#[path = "../common/mod.rs"]
mod common;
mod drying;
mod example;
mod moulding;
mod salt;
mod solvent;

use planning::Plan;
use works::Works;

use common::{codes, plan_of};

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

[item.fillet]
unit = "kg"
buy = { price = "9 GBP/kg" }

[item."fine salt"]
unit = "kg"
buy = { price = "1 GBP/kg" }

[item.pellets]
unit = "kg"
buy = { price = "2 GBP/kg" }

[item.sheet]
unit = "each"
mass = "1 kg"
buy = { price = "4 GBP" }

[item.lacquer]
unit = "L"
mass = "0.8 kg"
buy = { price = "9 GBP/L" }
"#;

/// Reads [`HEAD`] and the rest without a complaint.
fn read(rest: &str) -> Works {
    common::read(&format!("{HEAD}{rest}"))
}

/// The plan of [`HEAD`] and the rest.
fn planned(rest: &str) -> Plan {
    plan_of(&read(rest))
}

fn figure(plan: &Plan, key: &str) -> f64 {
    let figure = plan.figures.get(key);
    figure.unwrap_or_else(|| panic!("no figure `{key}`")).value
}

/// Within a share of what is expected.
#[track_caller]
fn near(found: f64, expected: f64, within: f64) {
    assert!(
        (found / expected - 1.0).abs() <= within,
        "{found} against {expected}"
    );
}
