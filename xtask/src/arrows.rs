//! The arrows between our crates point one way: down. Proved from cargo's own description.
#![cfg(test)]

use std::collections::BTreeMap;
use std::process::Command;

use serde_json::Value;

/// The floor that each crate stands on. A crate may need only crates of lower floors.
const FLOORS: &[(&str, u8)] = &[
    ("quantity", 1),
    ("chance", 1),
    ("effort", 1),
    ("balance", 2),
    ("cutting", 2),
    ("drilling", 2),
    ("heat", 2),
    ("scheduling", 2),
    ("works", 3),
    ("planning", 4),
    ("picture", 5),
    ("document", 6),
    ("linewright", 7),
    // Beside the house: they may look at everything, and nothing may look at them.
    ("bench", 8),
    ("xtask", 8),
];

/// What a crate may not know of, beyond the floors: (crate, unknown crate, why).
const STRANGERS: &[(&str, &str, &str)] = &[
    (
        "balance",
        "quantity",
        "an engine takes plain numbers; units end at its door",
    ),
    (
        "cutting",
        "quantity",
        "an engine takes plain numbers; units end at its door",
    ),
    (
        "drilling",
        "quantity",
        "an engine takes plain numbers; units end at its door",
    ),
    (
        "heat",
        "quantity",
        "an engine takes plain numbers; units end at its door",
    ),
    (
        "scheduling",
        "quantity",
        "an engine takes plain numbers; units end at its door",
    ),
    (
        "picture",
        "planning",
        "a picture is drawn from plain data, so that anything can be drawn",
    ),
    (
        "picture",
        "works",
        "a picture is drawn from plain data, so that anything can be drawn",
    ),
    (
        "works",
        "balance",
        "what needs an engine is checked in planning",
    ),
];

/// What crates of the house need of each other, development needs left out.
fn needs() -> BTreeMap<String, Vec<String>> {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--no-deps"])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("cargo metadata starts");
    let metadata: Value = serde_json::from_slice(&output.stdout).expect("cargo metadata is JSON");
    let packages = metadata["packages"]
        .as_array()
        .expect("packages are listed");
    let name = |value: &Value| value["name"].as_str().unwrap_or_default().to_owned();
    packages
        .iter()
        .map(|package| {
            let dependencies = package["dependencies"]
                .as_array()
                .expect("dependencies are listed");
            let needs = dependencies
                .iter()
                .filter(|d| d["kind"] != "dev")
                .map(name)
                .collect();
            (name(package), needs)
        })
        .collect()
}

fn floor(name: &str) -> Option<u8> {
    FLOORS
        .iter()
        .find(|(crate_name, _)| *crate_name == name)
        .map(|(_, floor)| *floor)
}

#[test]
fn every_crate_stands_on_a_floor() {
    for name in needs().keys() {
        assert!(
            floor(name).is_some(),
            "give `{name}` a floor in xtask/src/arrows.rs"
        );
    }
}

#[test]
fn arrows_point_down() {
    for (name, needs) in needs() {
        let own = floor(&name).expect("every crate stands on a floor");
        for need in needs {
            if let Some(other) = floor(&need) {
                assert!(
                    other < own,
                    "`{name}` (floor {own}) needs `{need}` (floor {other})"
                );
            }
        }
    }
}

#[test]
fn strangers_stay_strangers() {
    let needs = needs();
    for (name, stranger, why) in STRANGERS {
        let known = needs.get(*name).expect("the crate exists");
        assert!(
            !known.iter().any(|need| need == stranger),
            "`{name}` needs `{stranger}`: {why}"
        );
    }
}
