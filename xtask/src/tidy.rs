//! House rules as an ordinary test: what grows past a line is stopped, what is long for a reason is
//! listed with its reason.
#![cfg(test)]

use std::fs;
use std::path::{Path, PathBuf};

/// Functions longer than this need a reason in [`LONG_FUNCTIONS`].
const LONGEST_FUNCTION: usize = 70;

/// Functions that are long for a reason: (file ending, function, why).
const LONG_FUNCTIONS: &[(&str, &str, &str)] = &[
    (
        "works/src/read/route/operation.rs",
        "read",
        "one line for each of an operation's fields; splitting it would only scatter them",
    ),
    (
        "planning/src/cost/compile.rs",
        "operation",
        "one line for each cost element of an operation, in the order of the cost table",
    ),
    (
        "planning/src/cost/compile.rs",
        "terms",
        "one arm for each cost element; to be parted when an element is added",
    ),
    (
        "planning/src/material/purchase.rs",
        "line",
        "one field after the other of a purchase, each with its reason",
    ),
    (
        "document/src/table/load.rs",
        "stations",
        "one column after the other of the station table",
    ),
];

/// Words that must not stand in the repository, with why. Split so that this file does not hold them.
const FORBIDDEN: &[(&[&str], &str)] = &[
    (&["/wor", "k/main"], "a path of one machine"),
    (&["/wor", "k/shared"], "a path of one machine"),
    (&["to", "do!("], "an open end"),
    (&["unimpl", "emented!("], "an open end"),
    (&["FIX", "ME"], "an open end"),
    (&["#[ign", "ore]"], "a test that does not run"),
];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .expect("xtask lies in the root")
        .to_path_buf()
}

/// Every file below a folder with one of the endings, build folders left out.
fn files(folder: &Path, endings: &[&str], found: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> = fs::read_dir(folder)
        .map(|entries| {
            entries
                .filter_map(|entry| entry.ok().map(|e| e.path()))
                .collect()
        })
        .unwrap_or_default();
    entries.sort();
    for path in entries {
        let name = path
            .file_name()
            .map(|n| n.to_string_lossy().into_owned())
            .unwrap_or_default();
        if path.is_dir() {
            if !matches!(name.as_str(), "target" | ".git" | "corpus" | "artifacts") {
                files(&path, endings, found);
            }
        } else if endings.iter().any(|ending| name.ends_with(ending)) {
            found.push(path);
        }
    }
}

fn sources() -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    files(&root(), &[".rs"], &mut found);
    found
        .into_iter()
        .map(|path| {
            let text = fs::read_to_string(&path).expect("a source file is UTF-8");
            (path, text)
        })
        .collect()
}

#[test]
fn every_file_says_what_room_it_is() {
    let silent: Vec<_> = sources()
        .into_iter()
        .filter(|(_, text)| !text.trim_start().starts_with("//!"))
        .map(|(path, _)| path)
        .collect();
    assert!(
        silent.is_empty(),
        "these files do not open with a `//!` header: {silent:?}"
    );
}

#[test]
fn nothing_forbidden_stands_in_the_tree() {
    let mut found = Vec::new();
    files(
        &root(),
        &[
            ".rs", ".toml", ".md", ".csv", ".sh", ".js", ".css", ".html", ".json",
        ],
        &mut found,
    );
    for path in found {
        let text = fs::read_to_string(&path).expect("a text file is UTF-8");
        for (parts, why) in FORBIDDEN {
            let word = parts.concat();
            assert!(
                !text.contains(&word),
                "{} holds `{word}`: {why}",
                path.display()
            );
        }
    }
}

/// The functions of a source file with their lengths in lines, test modules left out.
fn functions(text: &str) -> Vec<(String, usize)> {
    let code = text.split("#[cfg(test)]\nmod ").next().unwrap_or(text);
    let lines: Vec<&str> = code.lines().collect();
    let mut found = Vec::new();
    for (start, line) in lines.iter().enumerate() {
        let Some(name) = function_name(line) else {
            continue;
        };
        let indent = line.len() - line.trim_start().len();
        let close = format!("{}}}", " ".repeat(indent));
        let end = lines[start..].iter().position(|l| {
            *l == close || (l.ends_with(';') && l.len() - l.trim_start().len() == indent)
        });
        if let Some(length) = end {
            found.push((name, length + 1));
        }
    }
    found
}

/// The name of the function that a line begins, if it begins one.
fn function_name(line: &str) -> Option<String> {
    let mut words = line.trim_start();
    for prefix in ["pub(crate) ", "pub(super) ", "pub ", "const ", "async "] {
        words = words.strip_prefix(prefix).unwrap_or(words);
    }
    let name = words.strip_prefix("fn ")?;
    Some(name.split(['(', '<']).next().unwrap_or(name).to_owned())
}

#[test]
fn functions_fit_a_screen() {
    let mut long = Vec::new();
    for (path, text) in sources() {
        let path = path.display().to_string();
        if path.contains("/tests") || path.contains("/examples/") {
            continue;
        }
        for (name, length) in functions(&text) {
            let listed = LONG_FUNCTIONS
                .iter()
                .any(|(file, function, _)| path.ends_with(file) && *function == name);
            if length > LONGEST_FUNCTION && !listed {
                long.push(format!("{path}: {name} has {length} lines"));
            }
        }
    }
    assert!(
        long.is_empty(),
        "split these, or list them with a reason:\n{}",
        long.join("\n")
    );
}

#[test]
fn the_measure_of_functions_measures() {
    let text = "impl A {\n    pub fn short(&self) -> u8 {\n        1\n    }\n}\nfn other() {\n}\n";
    assert_eq!(
        functions(text),
        [("short".to_owned(), 3), ("other".to_owned(), 2)]
    );
}

#[test]
fn generated_pages_are_fresh() {
    for (path, text) in crate::pages::pages() {
        let found = fs::read_to_string(root().join(path)).unwrap_or_default();
        assert!(found == text, "{path} is stale: run `cargo xtask pages`");
    }
}
