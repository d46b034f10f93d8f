//! Small works as text, planned and held to what must be so of every plan.

use planning::{Options, Plan};
use works::{Files, Works};

/// A folder from one text: lines `--- path` begin its files.
#[allow(dead_code, reason = "each test takes what it needs")]
pub(crate) fn files(text: &str) -> Files {
    let mut files = Files::new();
    for part in text.split("--- ").filter(|part| !part.trim().is_empty()) {
        let (path, rest) = part.split_once('\n').expect("a path and a text");
        files.insert(path.trim(), rest.as_bytes());
    }
    files
}

/// As the works states it, made on Wednesday, 25 November 2026.
#[allow(dead_code, reason = "each test takes what it needs")]
pub(crate) fn options() -> Options {
    Options::new("2026-11-25".parse().expect("a date"))
}

/// Reads a folder without a complaint.
#[allow(dead_code, reason = "each test takes what it needs")]
pub(crate) fn read(text: &str) -> Works {
    let outcome = works::read(&files(text));
    assert!(outcome.diagnostics.is_empty(), "{:#?}", outcome.diagnostics);
    outcome.works.expect("a works without faults")
}

/// Plans, and holds what must be so of every plan: reasons that add up, the complaints of the check, the same
/// bytes for the same input.
#[allow(dead_code, reason = "each test takes what it needs")]
pub(crate) fn plan_of(works: &Works) -> Plan {
    let plan = planning::plan(works, &options(), &mut |_| {}).expect("a balance");
    assert_eq!(plan.ledger.faults(1e-9), vec![]);
    assert_eq!(plan.notices, planning::check(works, &options()));
    let again = planning::plan(works, &options(), &mut |_| {}).expect("a balance");
    let bytes = |plan: &Plan| serde_json::to_string(plan).expect("JSON");
    assert!(
        bytes(&plan) == bytes(&again),
        "two plans of one works differ"
    );
    plan
}

/// Codes of the notices, in order.
#[allow(dead_code, reason = "each test takes what it needs")]
pub(crate) fn codes(plan: &Plan) -> Vec<&str> {
    plan.notices.iter().map(|notice| notice.code).collect()
}
