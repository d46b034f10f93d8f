//! Tables: order books, stock lists and readings out of CSV or XLSX files, cell by cell with the
//! place of each.
//!
//! The first row that says anything names the columns. Space around a cell does not count, rows
//! without any text are left out, and so are rows that begin with `#`. A row with too few or too
//! many cells is a fault of that row alone.

mod csv;
mod sheet;
#[cfg(test)]
mod tests;

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::diagnostic::Diagnostic;
use crate::source::{FileId, Sources, Span};

/// Rows of a wrong length that are complained about one by one; the rest are counted.
const MOST_COMPLAINTS: usize = 20;

/// A table.
#[derive(Clone, Debug)]
pub struct Table {
    /// The file.
    pub file: FileId,
    /// Names of the columns.
    pub columns: Vec<Cell>,
    /// The rows below them, each with a cell for every column.
    pub rows: Vec<Vec<Cell>>,
}

/// A cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cell {
    /// Its text without space around it. Numbers of a spreadsheet are in the shortest form that
    /// means the same, dates as `2026-12-24`, or `2026-12-24T06:30:00` with a time.
    pub text: String,
    /// Where that text stands, without quotes.
    pub at: Span,
}

/// Reads a table, XLSX by the ending of its path, else CSV. None when no columns can be made out.
///
/// The text is put into `sources`: a CSV file without its byte-order mark, a sheet as its rows with
/// tabs between the cells, so that the line of a span is the number of the row.
pub fn read(
    path: &str,
    bytes: &[u8],
    sources: &mut Sources,
    out: &mut Vec<Diagnostic>,
) -> Option<Table> {
    let ending = path.rsplit_once('.').map_or("", |(_, ending)| ending);
    if ending.eq_ignore_ascii_case("xlsx") {
        sheet::read(path, bytes, sources, out)
    } else {
        csv::read(path, bytes, sources, out)
    }
}

/// A cell of a table that is read row by row.
pub(crate) struct Piece<'t> {
    /// Its text without space around it.
    pub(crate) text: Cow<'t, str>,
    /// Where that text stands.
    pub(crate) at: Span,
}

/// Hands out the rows of a table one after the other, the names of its columns first, each with its
/// line from 1. None when it is no table at all.
///
/// Unlike with [`read`], rows may be longer or shorter than the first, and nothing is kept of them.
pub(crate) fn stream(
    path: &str,
    bytes: &[u8],
    sources: &mut Sources,
    out: &mut Vec<Diagnostic>,
    mut take: impl FnMut(u32, &[Piece<'_>]),
) -> Option<FileId> {
    let ending = path.rsplit_once('.').map_or("", |(_, ending)| ending);
    if ending.eq_ignore_ascii_case("xlsx") {
        let table = sheet::read(path, bytes, sources, out)?;
        let mut lines = Lines::new(&sources.get(table.file).text);
        for cells in std::iter::once(&table.columns).chain(&table.rows) {
            let row: Vec<Piece<'_>> = cells
                .iter()
                .map(|cell| Piece {
                    text: Cow::Borrowed(cell.text.as_str()),
                    at: cell.at,
                })
                .collect();
            take(lines.of(&row), &row);
        }
        return Some(table.file);
    }
    let file = csv::text(path, bytes, sources, out)?;
    let text = &sources.get(file).text;
    let mut lines = Lines::new(text);
    csv::each_row(file, text, out, |row| {
        if row.iter().any(|piece| !piece.text.is_empty()) {
            take(lines.of(row), row);
        }
    });
    Some(file)
}

/// Counts lines up to rows that come in order.
struct Lines<'t> {
    text: &'t [u8],
    at: usize,
    line: u32,
}

impl<'t> Lines<'t> {
    fn new(text: &'t str) -> Self {
        Self {
            text: text.as_bytes(),
            at: 0,
            line: 1,
        }
    }

    fn of(&mut self, row: &[Piece<'_>]) -> u32 {
        let start = row.first().map_or(self.at, |piece| piece.at.start as usize);
        if let Some(passed) = self.text.get(self.at..start) {
            self.line += passed.iter().copied().filter(|&byte| byte == b'\n').count() as u32;
            self.at = start;
        }
        self.line
    }
}

/// The position of a column by its exact name.
pub fn column(table: &Table, name: &str) -> Option<usize> {
    table.columns.iter().position(|column| column.text == name)
}

/// Takes rows one by one and keeps those that fit the columns.
struct Assembly {
    file: FileId,
    columns: Vec<Cell>,
    rows: Vec<Vec<Cell>>,
    /// Rows of a wrong length so far.
    misfits: usize,
    complaints: Vec<Diagnostic>,
}

impl Assembly {
    fn new(file: FileId) -> Self {
        let (columns, rows, complaints) = (Vec::new(), Vec::new(), Vec::new());
        Self {
            file,
            columns,
            rows,
            misfits: 0,
            complaints,
        }
    }

    /// Takes the next row; cells behind the last one with text do not matter.
    fn row(&mut self, mut cells: Vec<Cell>) {
        let with_text = cells
            .iter()
            .rposition(|cell| !cell.text.is_empty())
            .map_or(0, |last| last + 1);
        if with_text == 0 {
            return;
        }
        if self.columns.is_empty() {
            cells.truncate(with_text);
            self.head(cells);
        } else if cells.len() < self.columns.len() || with_text > self.columns.len() {
            self.misfit(&cells);
        } else {
            cells.truncate(self.columns.len());
            self.rows.push(cells);
        }
    }

    /// Takes the names of the columns.
    fn head(&mut self, cells: Vec<Cell>) {
        let mut seen: BTreeMap<&str, Span> = BTreeMap::new();
        for cell in cells.iter().filter(|cell| !cell.text.is_empty()) {
            if let Some(&first) = seen.get(cell.text.as_str()) {
                let headline = format!("cannot tell two columns `{}` apart", shortened(&cell.text));
                self.complaints.push(
                    Diagnostic::fault("column-twice", cell.at, headline)
                        .other(first, "first here")
                        .help("rename one of them, or take it out"),
                );
            } else {
                seen.insert(&cell.text, cell.at);
            }
        }
        self.columns = cells;
    }

    fn misfit(&mut self, cells: &[Cell]) {
        self.misfits += 1;
        if self.misfits > MOST_COMPLAINTS + 1 {
            return;
        }
        let (first, last) = (cells[0].at, cells[cells.len() - 1].at);
        let at = Span {
            end: last.end.max(first.start),
            ..first
        };
        let (expected, found) = (self.columns.len(), cells.len());
        let headline = format!("expected {}, found {found}", count(expected, "cell"));
        let names: Vec<&str> = self
            .columns
            .iter()
            .take(12)
            .map(|c| c.text.as_str())
            .collect();
        let more = if expected > names.len() { ", …" } else { "" };
        self.complaints.push(
            Diagnostic::fault("bad-table", at, headline)
                .sides(shortened(&(names.join(", ") + more)), count(found, "cell"))
                .help("this row is left out; a cell that holds the separator must stand in quotes"),
        );
    }

    /// The table, with its complaints put out; none without columns.
    fn finish(mut self, out: &mut Vec<Diagnostic>) -> Option<Table> {
        if self.misfits > MOST_COMPLAINTS {
            let more = self.misfits - MOST_COMPLAINTS;
            if let Some(last) = self.complaints.iter_mut().rfind(|d| d.code == "bad-table") {
                last.headline = format!("{} with a wrong number of cells", count(more, "more row"));
                last.label = String::from("the first of them");
            }
        }
        out.append(&mut self.complaints);
        if self.columns.is_empty() {
            let at = Span::new(self.file, 0..0);
            out.push(
                Diagnostic::fault(
                    "bad-table",
                    at,
                    "expected a row of column names, found none",
                )
                .help("name the columns in the first row"),
            );
            return None;
        }
        self.rows.shrink_to_fit();
        Some(Table {
            file: self.file,
            columns: self.columns,
            rows: self.rows,
        })
    }
}

/// `1 cell`, `3 cells`.
fn count(number: usize, what: &str) -> String {
    format!("{number} {what}{}", if number == 1 { "" } else { "s" })
}

/// A text short enough for a headline.
fn shortened(text: &str) -> String {
    const MOST: usize = 60;
    match text.char_indices().nth(MOST) {
        None => text.to_owned(),
        Some((end, _)) => format!("{}…", &text[..end]),
    }
}

/// A file that is no table at all; it is put into the sources as an empty text.
fn unreadable(path: &str, sources: &mut Sources, headline: String, help: &str) -> Diagnostic {
    let file = sources.add(path, "");
    Diagnostic::fault("bad-table", Span::new(file, 0..0), headline).help(help)
}
