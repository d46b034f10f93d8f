//! The corpus of faults that only the engines can find: one tiny works for each code, with every
//! complaint expected and none else, checked on 25 November 2026.

#[path = "../../works/tests/reader/support.rs"]
#[allow(
    dead_code,
    reason = "shared with the tests of the reader, which use all of it"
)]
mod support;

use planning::Options;
use support::{cases, compare, load, tests_folder};

fn options() -> Options {
    Options::new("2026-11-25".parse().expect("a date"))
}

#[test]
fn every_complaint_is_expected_and_every_expected_one_comes() {
    let cases = cases(&tests_folder().join("faults/planning"));
    assert!(cases.len() >= 10, "{} cases", cases.len());
    let mut wrong = Vec::new();
    for (name, path) in cases {
        let case = load(&path);
        let outcome = works::read(&case.files);
        let works = outcome.works.expect("a case for planning reads");
        let found = planning::check(&works, &options());
        let odd = compare(&case.expected, &found, &outcome.sources);
        if !odd.is_empty() {
            wrong.push(format!("{name}\n{odd}"));
        }
    }
    assert!(wrong.is_empty(), "\n{}", wrong.concat());
}

#[test]
fn a_case_shows_the_code_it_is_named_for_and_the_table_knows_it() {
    for (name, path) in cases(&tests_folder().join("faults/planning")) {
        let code = name.split("--").next().expect("a name");
        let expected = load(&path).expected;
        assert!(expected.iter().any(|e| e.code == code), "{name}");
        assert!(works::codes::explain(code).is_some(), "{name}");
    }
}

#[test]
fn the_plan_complains_as_the_check_does() {
    for (name, path) in cases(&tests_folder().join("faults/planning")) {
        let works = works::read(&load(&path).files).works.expect("it reads");
        let checked = planning::check(&works, &options());
        match planning::plan(&works, &options(), &mut |_| {}) {
            Ok(plan) => assert_eq!(plan.notices, checked, "{name}"),
            Err(no_plan) => assert_eq!(vec![*no_plan.0], checked, "{name}"),
        }
    }
}
