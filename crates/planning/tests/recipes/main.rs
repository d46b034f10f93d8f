//! Heat bound to the works: small works as text, held to closed forms with the arithmetic beside each number.

#[path = "../common/mod.rs"]
mod common;
mod load;
mod sheet;
mod start;

use planning::Plan;
use planning::heat::HeatPlan;
use works::Works;

use common::{codes, options, plan_of};

/// A steel that is easy to reckon with: 8000 kg/m³, 500 J/(kg K), and it conducts so well that it is even inside.
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

[material."plain steel"]
density = "8,000 kg/m3"
heat_capacity = "500 J/(kg K)"
conductivity = "60 W/(m K)"
source = "round numbers for a test"

[item.blank]
unit = "each"
mass = "1.6 kg/each"
buy = { price = "2 GBP" }
"#;

/// Reads [`HEAD`] and the rest without a complaint.
fn read(rest: &str) -> Works {
    common::read(&format!("{HEAD}{rest}"))
}

fn only(plan: &Plan) -> &HeatPlan {
    assert_eq!(plan.heat.len(), 1, "{:?}", codes(plan));
    &plan.heat[0]
}

/// A works of one operation with heat. Braces in `heat` are as in TOML.
fn oven(station: &str, pace: &str, heat: &str) -> String {
    format!(
        r#"
[station.oven]
calendar = "days"
{station}
--- routes/part.toml
[route]
makes = "part"
unit = "each"

[[operation]]
name = "bake"
at = "oven"
takes = {{ blank = "1 each" }}
pace = {pace}
settings = {{ air = {{ aim = "200 degC", within = "10 degC" }} }}
{heat}
--- orders.csv
order,item,quantity,due
7,part,40 each,2026-12-14
"#
    )
}

#[track_caller]
fn near(found: f64, expected: f64, share: f64) {
    assert!(
        (found - expected).abs() <= share * expected.abs(),
        "{found} against {expected}"
    );
}
