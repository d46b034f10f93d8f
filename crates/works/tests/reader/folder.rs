//! Whole folders: works for goods of many kinds, and the example works.

use std::path::{Path, PathBuf};

use crate::support::{cases, load, tests_folder};
use works::{Files, Outcome, Works};

pub(crate) fn goods() -> Vec<(String, Files)> {
    let cases = cases(&tests_folder().join("goods"));
    cases
        .into_iter()
        .map(|(name, path)| (name, load(&path).files))
        .collect()
}

/// A folder from the disk, by paths with forward slashes.
fn folder(root: &Path) -> Files {
    let mut files = Files::new();
    let mut open = vec![PathBuf::new()];
    while let Some(under) = open.pop() {
        for entry in std::fs::read_dir(root.join(&under)).expect("the folder is in the repository")
        {
            let name = under.join(entry.expect("a folder can be listed").file_name());
            let path = root.join(&name);
            if path.is_dir() {
                open.push(name);
            } else {
                let name = name.to_string_lossy().replace('\\', "/");
                files.insert(
                    name,
                    std::fs::read(path).expect("the file is in the repository"),
                );
            }
        }
    }
    files
}

pub(crate) fn fenmoor() -> Files {
    folder(&tests_folder().join("../../../examples/fenmoor"))
}

/// Complaints, one a line.
fn told(outcome: &Outcome) -> String {
    works::render::render(
        &outcome.diagnostics,
        &outcome.sources,
        works::render::Form::Line,
    )
}

#[test]
fn goods_of_every_kind_read_without_a_complaint() {
    let goods = goods();
    assert_eq!(goods.len(), 5);
    for (name, files) in goods {
        let outcome = works::read(&files);
        assert!(outcome.diagnostics.is_empty(), "{name}\n{}", told(&outcome));
        let works = outcome.works.expect("there is a works.toml");
        assert!(
            !works.orders.is_empty() && works.operations.len() >= 4,
            "{name}"
        );
        assert!(
            works.operations.iter().all(|o| o.station.is_some()),
            "{name}"
        );
    }
}

#[test]
fn the_example_works_reads_without_a_fault() {
    let outcome = works::read(&fenmoor());
    // Its food must be timed, since cold rooms work at night and the hall does not; that it is told.
    let told = told(&outcome);
    assert!(
        told.lines()
            .all(|line| line.contains("warning[wait-needs-planning]")),
        "\n{told}"
    );
    let works: Works = outcome.works.expect("there is a works.toml");
    assert_eq!(works.routes.len(), 5);
    assert!(works.orders.len() >= 40, "{} orders", works.orders.len());
    let dues = works.orders.iter().map(|order| order.due);
    let (first, last) = (dues.clone().min(), dues.max());
    let days = last
        .zip(first)
        .map_or(0, |(last, first)| (last - first).get_days());
    assert!(days >= 7 * 7, "the book reaches over {days} days"); // eight weeks, first to last due
    assert!(!works.readings.is_empty() && !works.stock.is_empty());
}
