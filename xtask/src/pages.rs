//! Pages made from the code: the reference of the format, of the diagnostics, and the schemas.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use works::format::{Kind, Section};

/// Writes every generated page.
pub(crate) fn write(root: &Path) -> Result<(), String> {
    for (path, text) in pages() {
        let file = root.join(path);
        if let Some(folder) = file.parent() {
            fs::create_dir_all(folder).map_err(|error| format!("{path}: {error}"))?;
        }
        fs::write(&file, text).map_err(|error| format!("{path}: {error}"))?;
        println!("wrote {path}");
    }
    Ok(())
}

/// Every generated page: its path and its text.
pub(crate) fn pages() -> Vec<(&'static str, String)> {
    vec![
        ("docs/format.md", format_page()),
        ("docs/diagnostics.md", diagnostics_page()),
        (
            "docs/schema/works.schema.json",
            schema(&works::schema::works()),
        ),
        (
            "docs/schema/route.schema.json",
            schema(&works::schema::route()),
        ),
    ]
}

/// JSON as text with a line end, so that the file ends as files should.
fn schema(schema: &serde_json::Value) -> String {
    format!("{schema:#}\n")
}

const INTRODUCTION: &str = include_str!("format_introduction.md");

fn format_page() -> String {
    let mut page =
        String::from("<!-- Made by `cargo xtask pages` from crates/works/src/format/mod.rs. -->\n");
    page.push_str(INTRODUCTION);
    let mut written = Vec::new();
    for section in [
        &works::format::WORKS,
        &works::format::ROUTE,
        &works::format::SOURCED,
        &works::format::YIELD,
    ] {
        write_section(&mut page, section, &mut written);
    }
    page
}

/// A section and every section inside it, each once.
fn write_section(page: &mut String, section: &'static Section, written: &mut Vec<&'static str>) {
    if written.contains(&section.name) {
        return;
    }
    written.push(section.name);
    let _ = writeln!(page, "\n## {}\n\n{}\n", section.name, section.doc);
    page.push_str("| key | holds | meaning | for example |\n| --- | --- | --- | --- |\n");
    for key in section.keys {
        let need = if key.required { " (needed)" } else { "" };
        let example = if key.example.is_empty() {
            String::new()
        } else {
            format!("`{}`", key.example)
        };
        let _ = writeln!(
            page,
            "| `{}`{need} | {} | {} | {example} |",
            key.name,
            holds(&key.kind),
            key.doc
        );
    }
    for key in section.keys {
        for inner in inside(&key.kind) {
            write_section(page, inner, written);
        }
    }
}

/// The sections that a kind leads to.
fn inside(kind: &'static Kind) -> Vec<&'static Section> {
    match kind {
        Kind::Table(section) | Kind::Tables(section) => vec![section],
        Kind::Map(_, kind) => inside(kind),
        Kind::Either(kinds) => kinds.iter().flat_map(inside).collect(),
        _ => Vec::new(),
    }
}

/// What stands behind a key, in words.
fn holds(kind: &Kind) -> String {
    match kind {
        Kind::Text => "text".to_owned(),
        Kind::Flag => "true or false".to_owned(),
        Kind::Whole => "whole number".to_owned(),
        Kind::Date => "date".to_owned(),
        Kind::Quantity(what) => (*what).to_owned(),
        Kind::Share => "share".to_owned(),
        Kind::Yield => "share, or a yield".to_owned(),
        Kind::NameOf(what) => format!("name of a {what}"),
        Kind::Texts => "list of texts".to_owned(),
        Kind::NamesOf(what) => format!("list of names, each of a {what}"),
        Kind::Map(what, kind) => format!("table by {what}: {}", holds(kind)),
        Kind::Table(section) => format!("table: {}", section.name),
        Kind::Tables(section) => format!("list of tables: {}", section.name),
        Kind::Either(kinds) => kinds.iter().map(holds).collect::<Vec<_>>().join("; or "),
    }
}

fn diagnostics_page() -> String {
    let mut page = String::from(
        "<!-- Made by `cargo xtask pages` from crates/works/src/codes.rs. -->\n# Diagnostics\n\nEvery code that `linewright check` may print. A fault forbids planning; a warning does not.\n\n| code | kind | meaning |\n| --- | --- | --- |\n",
    );
    for code in works::codes::CODES {
        let kind = if code.warning { "warning" } else { "fault" };
        let _ = writeln!(page, "| `{}` | {kind} | {} |", code.code, code.meaning);
    }
    page
}
