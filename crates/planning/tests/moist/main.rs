//! Salt, drying, solvent and moulding bound to the works: small works as text, held to closed forms with the arithmetic beside
//! each number.

mod drying;
mod example;
mod moulding;
mod salt;
mod solvent;

use planning::{Options, Plan};
use works::{Files, Works};

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

/// A folder from one text: lines `--- path` begin its files.
fn files(text: &str) -> Files {
    let mut files = Files::new();
    for part in text.split("--- ").filter(|part| !part.trim().is_empty()) {
        let (path, rest) = part.split_once('\n').expect("a path and a text");
        files.insert(path.trim(), rest.as_bytes());
    }
    files
}

fn options() -> Options {
    Options::new("2026-11-25".parse().expect("a date"))
}

fn read(rest: &str) -> Works {
    let outcome = works::read(&files(&format!("{HEAD}{rest}")));
    assert!(outcome.diagnostics.is_empty(), "{:#?}", outcome.diagnostics);
    outcome.works.expect("a works without faults")
}

/// Plans, and holds what must be so of every plan: reasons that add up, the complaints of the check, the same bytes again.
fn planned(rest: &str) -> Plan {
    let works = read(rest);
    let plan = planning::plan(&works, &options(), &mut |_| {}).expect("a balance");
    assert_eq!(plan.ledger.faults(1e-9), vec![]);
    assert_eq!(plan.notices, planning::check(&works, &options()));
    let again = planning::plan(&works, &options(), &mut |_| {}).expect("a balance");
    let bytes = |plan: &Plan| serde_json::to_string(plan).expect("JSON");
    assert!(
        bytes(&plan) == bytes(&again),
        "two plans of one works differ"
    );
    plan
}

/// Codes of the notices, in order.
fn codes(plan: &Plan) -> Vec<&str> {
    plan.notices.iter().map(|notice| notice.code).collect()
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
