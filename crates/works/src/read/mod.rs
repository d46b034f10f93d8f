//! Reading a works folder into a [`Works`] and every complaint about it.
//!
//! Names are declared first (all files are parsed, items and operations listed), then values are
//! read and names resolved, so that the order of files does not matter.

mod amounts;
mod calendar;
mod chambers;
mod clock;
mod logs;
mod materials;
mod names;
mod orders;
mod route;
mod rows;
mod shelves;
mod table;
mod weighed;
mod works;

use toml::Spanned;
use toml::de::DeTable;

use crate::diagnostic::Diagnostic;
use crate::model::Works;
use crate::source::{FileId, Files, Sources, Span};
use table::Notes;

/// What came of reading a folder.
#[derive(Debug)]
pub struct Reading {
    /// The works, when `works.toml` was there to begin with. With faults among the diagnostics it
    /// is what could be made out, good enough to look for more faults but not to plan by.
    pub works: Option<Works>,
    /// Every complaint, in order of place.
    pub diagnostics: Vec<Diagnostic>,
    /// The texts, to show complaints with.
    pub sources: Sources,
}

impl Reading {
    /// Whether anything found forbids planning.
    pub fn has_faults(&self) -> bool {
        self.diagnostics
            .iter()
            .any(|d| d.severity == crate::Severity::Fault)
    }
}

/// One parsed TOML file.
struct Parsed<'t> {
    path: &'t str,
    file: FileId,
    table: Spanned<DeTable<'t>>,
}

/// Reads a works folder.
pub fn read(files: &Files) -> Reading {
    let mut sources = Sources::default();
    let mut notes = Notes {
        units: quantity::Units::standard(),
        diagnostics: Vec::new(),
    };
    let texts = texts(files, &mut sources, &mut notes);
    let parsed: Vec<Parsed<'_>> = texts
        .iter()
        .map(|(path, file, text)| parse(path, *file, text, &mut notes))
        .collect();
    let main = parsed.iter().find(|p| p.path == "works.toml");
    if main.is_none() {
        no_works(files, &mut sources, &mut notes);
    }
    let works = main.and_then(|main| works::read(files, main, &parsed, &mut sources, &mut notes));
    let mut diagnostics = notes.diagnostics;
    if let Some(works) = &works {
        crate::check::check(works, &mut diagnostics);
    }
    crate::render::sort(&mut diagnostics);
    // The outline of a route looks at some values that are read again once every unit is known.
    diagnostics.dedup();
    Reading {
        works,
        diagnostics,
        sources,
    }
}

/// The TOML texts of the folder: those at its top and the routes.
fn texts<'f>(
    files: &'f Files,
    sources: &mut Sources,
    notes: &mut Notes,
) -> Vec<(&'f str, FileId, String)> {
    let mut texts = Vec::new();
    for (path, bytes) in files.iter() {
        let is_ours = match path.split_once('/') {
            None => is_toml(path),
            Some(("routes", name)) => is_toml(name) && !name.contains('/'),
            Some(_) => false,
        };
        if !is_ours {
            continue;
        }
        let text = String::from_utf8_lossy(bytes).into_owned();
        let file = sources.add(path, text.clone());
        if let Err(error) = std::str::from_utf8(bytes) {
            let at = error.valid_up_to().min(text.len());
            notes.push(Diagnostic::fault(
                "not-utf8",
                Span::new(file, at..at),
                "expected UTF-8 text, found other bytes",
            ));
        }
        texts.push((path, file, text));
    }
    texts
}

fn is_toml(name: &str) -> bool {
    std::path::Path::new(name)
        .extension()
        .is_some_and(|e| e.eq_ignore_ascii_case("toml"))
}

/// Places of one file shown that are no TOML. A picture renamed to `.toml` has millions of them, and
/// whoever has more than this mends the first and looks again.
const MOST_NOT_TOML: usize = 50;

fn parse<'t>(path: &'t str, file: FileId, text: &'t str, notes: &mut Notes) -> Parsed<'t> {
    let (table, errors) = DeTable::parse_recoverable(text);
    for error in errors.iter().take(MOST_NOT_TOML) {
        let range = error.span().unwrap_or(0..0);
        notes.push(Diagnostic::fault(
            "not-toml",
            Span::new(file, range),
            error.message().trim(),
        ));
    }
    if let Some(next) = errors.get(MOST_NOT_TOML) {
        let range = next.span().unwrap_or(0..0);
        let left = errors.len() - MOST_NOT_TOML;
        notes.push(Diagnostic::fault(
            "not-toml",
            Span::new(file, range),
            format!(
                "this and {} more places behind it are no TOML either",
                left - 1
            ),
        ));
    }
    Parsed { path, file, table }
}

fn no_works(files: &Files, sources: &mut Sources, notes: &mut Notes) {
    let file = sources.add("works.toml", "");
    let found: Vec<&str> = files.iter().map(|(path, _)| path).take(5).collect();
    notes.push(
        Diagnostic::fault(
            "no-works",
            Span::new(file, 0..0),
            "cannot find works.toml in the folder",
        )
        .sides(
            "a file works.toml",
            if found.is_empty() {
                "an empty folder".to_owned()
            } else {
                found.join(", ")
            },
        )
        .help("`linewright start DIR` writes an example works to begin from"),
    );
}
