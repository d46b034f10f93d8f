//! The corpus of faults: one tiny works for each code, with every complaint expected and none else.

use std::collections::BTreeSet;

use crate::support::{case, cases, compare, load, rendered, tests_folder};
use works::Severity;
use works::codes::{CODES, explain};

/// Codes that need an engine; their cases lie in `faults/planning` and are run there.
const BY_PLANNING: &[(&str, &str)] = &[
    (
        "certainty-out-of-reach",
        "the odds of a start come from the start engine",
    ),
    (
        "clamp-short",
        "the force on a mould is found by the moulding engine",
    ),
    (
        "cut-impossible",
        "whether a list can be cut is a question to the cutting engine",
    ),
    (
        "demand-beyond-capacity",
        "hours are counted from the balance of the order book",
    ),
    (
        "drill-not-timed",
        "whether holes can be timed is seen when they are put in order",
    ),
    (
        "drying-untold",
        "what weighed pieces tell is found by the drying engine",
    ),
    (
        "patterns-not-kept",
        "how many patterns a plan needs is a question to the cutting engine",
    ),
    (
        "fill-impossible",
        "what a hole takes is worked out with the holes that are laid",
    ),
    (
        "fresh-air-short",
        "the air that thins solvent is estimated by the solvent engine",
    ),
    (
        "hole-breaks-rule",
        "patterns are laid and held against edges by the drilling engine",
    ),
    (
        "holes-impossible",
        "patterns are laid by the drilling engine",
    ),
    (
        "left-over-short",
        "how much arises and how much is taken are flows of the balance",
    ),
    (
        "load-too-empty",
        "lots and their loads follow from the balance of the order book",
    ),
    (
        "loop-no-exit",
        "whether a loop lets anything out is a question to the balance",
    ),
    (
        "loop-unsettled",
        "whether amounts settle is a question to the balance",
    ),
    (
        "heat-cannot",
        "whether physics has an answer is known to the heat engine",
    ),
    ("load-held", "measured loads are judged by the heat engine"),
    (
        "mass-gain",
        "masses are compared after the balance has settled amounts and yields",
    ),
    (
        "mass-unexplained",
        "masses are compared after the balance has settled amounts and yields",
    ),
    (
        "need-missed",
        "what a piece goes through is worked out by the heat engine",
    ),
    (
        "never-staffed",
        "which operations run at all is known from the balance of the order book",
    ),
    (
        "nothing-ordered",
        "the horizon begins on the day the plan is made",
    ),
    (
        "order-date-passed",
        "what stock covers and how long making takes follow from the load",
    ),
    (
        "regrind-unused",
        "how much arises and how much is taken are flows of the balance",
    ),
    (
        "salt-uneven",
        "where salt is after a time is found by the salt engine",
    ),
    (
        "shot-too-large",
        "the shot of a mould is counted with its recipe by planning",
    ),
    (
        "stated-not-computed",
        "the number to hold against comes from a cutting or drilling plan",
    ),
    (
        "stock-too-little",
        "how much stock a list takes is found by the cutting engine",
    ),
    (
        "thin-margin",
        "the window of a recipe is found by the heat engine",
    ),
    (
        "unknown-material",
        "the library of materials belongs to the heat engine",
    ),
];

/// The code that a case is named for: `wrong-kind` of `wrong-kind--takes`.
fn code_of(name: &str) -> &str {
    name.split("--").next().unwrap_or(name)
}

#[test]
fn every_complaint_is_expected_and_every_expected_one_comes() {
    let mut wrong = Vec::new();
    for (name, path) in cases(&tests_folder().join("faults")) {
        let case = load(&path);
        let outcome = works::read(&case.files);
        let odd = compare(&case.expected, &outcome.diagnostics, &outcome.sources);
        if !odd.is_empty() {
            wrong.push(format!("{name}\n{odd}"));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.concat());
}

#[test]
fn a_case_shows_the_code_it_is_named_for() {
    for (name, path) in cases(&tests_folder().join("faults")) {
        let code = code_of(&name);
        let expected = load(&path).expected;
        assert!(
            expected.iter().any(|e| e.code == code),
            "{name} does not expect its own code"
        );
        for expected in expected {
            let entry = explain(&expected.code);
            let warning = entry.expect("an expected code is in the table").warning;
            let stated = expected.severity.unwrap_or(severity(warning));
            assert_eq!(stated, severity(warning), "{name}: {}", expected.code);
        }
    }
}

fn severity(warning: bool) -> Severity {
    if warning {
        Severity::Warning
    } else {
        Severity::Fault
    }
}

#[test]
fn every_code_has_a_case() {
    let here: BTreeSet<String> = named(&tests_folder().join("faults"));
    let by_planning: BTreeSet<String> = named(&tests_folder().join("faults/planning"));
    for code in CODES.iter().map(|entry| entry.code) {
        let planned = BY_PLANNING
            .iter()
            .any(|(by_planning, _)| *by_planning == code);
        let folder = if planned { &by_planning } else { &here };
        assert!(folder.contains(code), "no case for `{code}`");
    }
    for code in here.iter().chain(&by_planning) {
        assert!(
            explain(code).is_some(),
            "a case is named for `{code}`, which is no code"
        );
    }
}

fn named(folder: &std::path::Path) -> BTreeSet<String> {
    cases(folder)
        .iter()
        .map(|(name, _)| code_of(name).to_owned())
        .collect()
}

#[test]
fn the_table_of_codes_is_in_order_and_says_something() {
    assert!(
        CODES.windows(2).all(|pair| pair[0].code < pair[1].code),
        "not in alphabetical order"
    );
    for entry in CODES {
        assert!(
            entry.meaning.len() > 10 && entry.meaning.ends_with('.'),
            "{}",
            entry.code
        );
    }
}

#[test]
fn cases_for_planning_read_without_fault() {
    for (name, path) in cases(&tests_folder().join("faults/planning")) {
        let outcome = works::read(&load(&path).files);
        assert!(
            outcome.diagnostics.is_empty(),
            "{name}: {:?}",
            outcome.diagnostics
        );
    }
}

/// Rewritten by `cargo run -p works --example rewrite_faults`; read the difference.
#[test]
fn complaints_look_as_they_did() {
    for (name, path) in cases(&tests_folder().join("faults")) {
        let kept = std::fs::read_to_string(path.with_extension("rendered")).unwrap_or_default();
        assert_eq!(rendered(&load(&path)), kept, "{name}");
    }
}

/// The comparison itself must be able to fail, both ways.
#[test]
fn a_wrong_expectation_is_noticed() {
    let text = b"[works]\nname = \"Tiny\"\ntime_zone = \"UTC\"\ncurrency = \"QQQ\" #! fault[unknown-unit] no\n";
    let case = case(text, b"");
    let outcome = works::read(&case.files);
    let told = compare(&case.expected, &outcome.diagnostics, &outcome.sources);
    assert!(
        told.contains("not expected: works.toml:4:12 unknown-currency"),
        "{told}"
    );
    assert!(
        told.contains("missing: works.toml:4 unknown-unit no"),
        "{told}"
    );
}
