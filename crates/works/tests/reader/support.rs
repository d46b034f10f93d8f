//! Works folders written as one text, with what is expected of them beside the input.
//!
//! A line `--- path` begins a file; what stands before the first one is `works.toml`. A first line
//! `#include prelude` stands for the shared beginning `prelude.toml`. A TOML line may end in
//! `#! fault[code] beginning of the headline` (or `warning[code]`), more than once; a section
//! `--- expect` holds lines `path:line:column code` for files that have no comments.

use std::path::{Path, PathBuf};

use works::{Diagnostic, Files, Severity, Sources};

/// A complaint that should come.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Expected {
    /// The file it is about.
    pub(crate) path: String,
    /// Its line, from 1.
    pub(crate) line: usize,
    /// Its column, where the case says it.
    pub(crate) column: Option<usize>,
    /// Fault or warning, where the case says it.
    pub(crate) severity: Option<Severity>,
    /// Its code.
    pub(crate) code: String,
    /// How its headline begins; empty when the case does not say.
    pub(crate) headline: String,
}

/// A folder and the complaints that should come of it.
#[derive(Default)]
pub(crate) struct Case {
    /// The folder, without the expectations.
    pub(crate) files: Files,
    /// Every complaint, in the order written.
    pub(crate) expected: Vec<Expected>,
}

/// The folder of the tests.
pub(crate) fn tests_folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../crates/works/tests")
}

/// A case from its text.
pub(crate) fn case(bytes: &[u8], prelude: &[u8]) -> Case {
    let mut case = Case::default();
    let mut path = String::from("works.toml");
    let mut text: Vec<u8> = Vec::new();
    for line in bytes.split_inclusive(|&b| b == b'\n') {
        if line.trim_ascii_end() == b"#include prelude" {
            text.extend_from_slice(prelude);
        } else if let Some(name) = line.strip_prefix(b"--- ") {
            case.close(&path, &text);
            text.clear();
            path = String::from_utf8_lossy(name).trim().into();
        } else {
            text.extend_from_slice(line);
        }
    }
    case.close(&path, &text);
    case
}

impl Case {
    fn close(&mut self, path: &str, text: &[u8]) {
        if path == "works.toml" && text.is_empty() {
            // The text begins with another file: there is no works.toml.
        } else if path == "expect" {
            let text = String::from_utf8_lossy(text);
            self.expected
                .extend(text.lines().filter(|l| !l.trim().is_empty()).map(listed));
        } else if Path::new(path)
            .extension()
            .is_some_and(|ending| ending == "toml")
        {
            let bare = self.notes(path, text);
            self.files.insert(path, bare);
        } else {
            self.files.insert(path, text.to_vec());
        }
    }

    /// Takes the expectations out of a TOML text.
    fn notes(&mut self, path: &str, text: &[u8]) -> Vec<u8> {
        let mut bare = Vec::new();
        for (number, line) in text.split_inclusive(|&b| b == b'\n').enumerate() {
            let Some(mark) = line.windows(3).position(|w| w == b"#! ") else {
                bare.extend_from_slice(line);
                continue;
            };
            bare.extend_from_slice(line[..mark].trim_ascii_end());
            bare.push(b'\n');
            let words = String::from_utf8_lossy(&line[mark..]);
            let notes = words.split("#! ").filter(|note| !note.trim().is_empty());
            self.expected
                .extend(notes.map(|note| noted(path, number + 1, note.trim())));
        }
        bare
    }
}

/// `fault[code] headline`
fn noted(path: &str, line: usize, note: &str) -> Expected {
    let (kind, rest) = note.split_once('[').expect("a note has a code in brackets");
    let (code, headline) = rest.split_once(']').expect("a note has a code in brackets");
    let severity = match kind {
        "fault" => Severity::Fault,
        "warning" => Severity::Warning,
        _ => panic!("`{kind}` is neither fault nor warning"),
    };
    Expected {
        path: path.to_owned(),
        line,
        column: None,
        severity: Some(severity),
        code: code.to_owned(),
        headline: headline.trim().to_owned(),
    }
}

/// `path:line:column code`
fn listed(line: &str) -> Expected {
    let (place, code) = line.trim().rsplit_once(' ').expect("a place and a code");
    let mut parts = place.rsplitn(3, ':');
    let column = parts.next().and_then(|n| n.parse().ok());
    let number = parts.next().and_then(|n| n.parse().ok());
    Expected {
        path: parts.next().expect("a path").to_owned(),
        line: number.expect("a line number"),
        column: Some(column.expect("a column number")),
        severity: None,
        code: code.to_owned(),
        headline: String::new(),
    }
}

/// What is wrong with the complaints that came: those missing and those not expected, one a line.
pub(crate) fn compare(expected: &[Expected], found: &[Diagnostic], sources: &Sources) -> String {
    let mut open: Vec<&Expected> = expected.iter().collect();
    let mut wrong = Vec::new();
    for diagnostic in found {
        let (line, column) = sources.line_column(diagnostic.at);
        let path = &sources.get(diagnostic.at.file).path;
        let meant = open.iter().position(|e| {
            e.path == *path
                && e.line == line
                && e.column.is_none_or(|c| c == column)
                && e.severity.is_none_or(|s| s == diagnostic.severity)
                && e.code == diagnostic.code
                && diagnostic.headline.starts_with(&e.headline)
        });
        if let Some(position) = meant {
            open.remove(position);
        } else {
            let (code, headline) = (diagnostic.code, &diagnostic.headline);
            wrong.push(format!(
                "  not expected: {path}:{line}:{column} {code} {headline}\n"
            ));
        }
    }
    for Expected {
        path,
        line,
        code,
        headline,
        ..
    } in open
    {
        wrong.push(format!("  missing: {path}:{line} {code} {headline}\n"));
    }
    wrong.concat()
}

/// The cases of a folder by name, in order.
pub(crate) fn cases(folder: &Path) -> Vec<(String, PathBuf)> {
    let mut cases: Vec<(String, PathBuf)> = std::fs::read_dir(folder)
        .expect("the folder of cases is in the repository")
        .map(|entry| entry.expect("a folder can be listed").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "txt"))
        .map(|path| {
            let name = path
                .file_stem()
                .expect("a file has a name")
                .to_string_lossy()
                .into_owned();
            (name, path)
        })
        .collect();
    cases.sort();
    cases
}

/// One case from its file.
pub(crate) fn load(path: &Path) -> Case {
    let prelude = tests_folder().join("faults/prelude.toml");
    let prelude = std::fs::read(prelude).expect("the prelude is in the repository");
    case(
        &std::fs::read(path).expect("the case is in the repository"),
        &prelude,
    )
}

/// What a person sees of a case, in full.
pub(crate) fn rendered(case: &Case) -> String {
    let outcome = works::read(&case.files);
    let form = works::render::Form::Full { colour: false };
    let text = works::render::render(&outcome.diagnostics, &outcome.sources, form);
    format!("{}\n", text.trim_end())
}
