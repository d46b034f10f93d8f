//! XLSX: one sheet, read cell by cell, since a single cell far out would make a full grid of it
//! immense.

use std::io::Cursor;

use calamine::{Data, DataRef, ExcelDateTime, Reader, Sheet, SheetType, SheetVisible, Xlsx};

use super::{Assembly, Cell, Table, unreadable};
use crate::diagnostic::Diagnostic;
use crate::source::{FileId, Sources, Span};

pub(super) fn read(
    path: &str,
    bytes: &[u8],
    sources: &mut Sources,
    out: &mut Vec<Diagnostic>,
) -> Option<Table> {
    let rows = match rows(path, bytes) {
        Ok(rows) => rows,
        Err(why) => {
            let headline = format!("cannot read this spreadsheet: {why}");
            let help = "save it again as XLSX, or as CSV";
            out.push(unreadable(path, sources, headline, help));
            return None;
        }
    };
    let Laid { text, rows, errors } = lay(rows);
    let file = sources.add(path, text);
    let place = |range: (u32, u32)| Span {
        file,
        start: range.0,
        end: range.1,
    };
    for (range, error) in errors {
        out.push(
            Diagnostic::fault(
                "bad-table",
                place(range),
                format!("this cell holds the error {error}"),
            )
            .help("repair the formula in the spreadsheet"),
        );
    }
    let mut assembly = Assembly::new(file);
    for row in rows {
        let mut cells: Vec<Cell> = row
            .into_iter()
            .map(|(text, range)| Cell {
                text,
                at: place(range),
            })
            .collect();
        pad(&mut cells, assembly.columns.len(), file);
        assembly.row(cells);
    }
    assembly.finish(out)
}

/// A sheet has no separators: a short row has empty cells at its end.
fn pad(cells: &mut Vec<Cell>, columns: usize, file: FileId) {
    let end = cells.last().map_or(0, |cell| cell.at.end);
    while cells.len() < columns {
        cells.push(Cell {
            text: String::new(),
            at: Span {
                file,
                start: end,
                end,
            },
        });
    }
}

/// The cells with something in them, row by row: number from 0, then column and content.
type Rows = Vec<(u32, Vec<(u32, Content)>)>;

/// What a cell holds.
enum Content {
    Text(String),
    Error(String),
}

fn rows(path: &str, bytes: &[u8]) -> Result<Rows, String> {
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(|why| why.to_string())?;
    let name = sheet_name(path, book.sheets_metadata()).ok_or("it has no sheet")?;
    let mut cells = book
        .worksheet_cells_reader(&name)
        .map_err(|why| why.to_string())?;
    let mut rows: Rows = Vec::new();
    while let Some(cell) = cells.next_cell().map_err(|why| why.to_string())? {
        let (row, column) = cell.get_position();
        let Some(content) = content(cell.get_value()) else {
            continue;
        };
        match rows.last_mut() {
            Some((last, cells)) if *last == row => cells.push((column, content)),
            _ => rows.push((row, vec![(column, content)])),
        }
    }
    Ok(in_order(rows))
}

/// Rows and cells in rising order, each once: a damaged file may hold them in any.
fn in_order(mut rows: Rows) -> Rows {
    rows.sort_by_key(|(row, _)| *row);
    rows.dedup_by(|next, last| {
        let same = next.0 == last.0;
        if same {
            last.1.append(&mut next.1);
        }
        same
    });
    for (_, cells) in &mut rows {
        cells.sort_by_key(|(column, _)| *column);
        cells.dedup_by_key(|(column, _)| *column);
    }
    rows
}

/// The sheet named like the file, else the first that is shown, else the first.
fn sheet_name(path: &str, sheets: &[Sheet]) -> Option<String> {
    let file = path.rsplit('/').next().unwrap_or(path);
    let stem = file
        .rsplit_once('.')
        .map_or(file, |(stem, _)| stem)
        .to_lowercase();
    let mut sheets = sheets
        .iter()
        .filter(|sheet| sheet.typ == SheetType::WorkSheet);
    let named = sheets
        .clone()
        .find(|sheet| sheet.name.to_lowercase() == stem);
    let shown = || {
        sheets
            .clone()
            .find(|sheet| sheet.visible == SheetVisible::Visible)
    };
    let sheet = named.or_else(shown).or_else(|| sheets.next())?;
    Some(sheet.name.clone())
}

/// What a cell holds as text; none for an empty one.
fn content(value: &DataRef<'_>) -> Option<Content> {
    let text = match Data::from(value.clone()) {
        Data::Empty => return None,
        Data::Error(error) => return Some(Content::Error(error.to_string())),
        Data::Int(number) => number.to_string(),
        Data::Float(number) => shortest(number),
        Data::Bool(flag) => flag.to_string(),
        Data::DateTime(time) => date_time(time),
        Data::String(text) | Data::DateTimeIso(text) | Data::DurationIso(text) => {
            text.trim().to_owned()
        }
    };
    (!text.is_empty()).then_some(Content::Text(text))
}

/// The shortest text that reads back as the same number.
fn shortest(number: f64) -> String {
    let size = number.abs();
    if size != 0.0 && !(1e-6..1e16).contains(&size) {
        format!("{number:e}")
    } else {
        number.to_string()
    }
}

/// A date, a date with a time, or a length of time in hours, minutes and seconds.
fn date_time(time: ExcelDateTime) -> String {
    let days = time.as_f64();
    if time.is_duration() || !(1.0..2_958_466.0).contains(&days) {
        let sign = if days < 0.0 { "-" } else { "" };
        let s = (days.abs() * 86_400.0).round() as u64;
        return format!("{sign}{:02}:{:02}:{:02}", s / 3600, s / 60 % 60, s % 60);
    }
    // To the nearest second first, since a fraction of a day cannot hold one exactly.
    let s = (days * 86_400.0).round();
    let exact = ExcelDateTime::new(s / 86_400.0, calamine::ExcelDateTimeType::DateTime, false);
    let whole_days = s % 86_400.0 == 0.0;
    let (year, month, day, ..) = if whole_days { exact } else { time }.to_ymd_hms_milli();
    let date = format!("{year:04}-{month:02}-{day:02}");
    if whole_days {
        return date;
    }
    let s = (s % 86_400.0) as u64;
    format!("{date}T{:02}:{:02}:{:02}", s / 3600, s / 60 % 60, s % 60)
}

/// A sheet as a text with a line for each row and a tab between cells.
#[derive(Default)]
struct Laid {
    text: String,
    /// Every row from its first column to its last, with the place of each cell.
    rows: Vec<Vec<(String, (u32, u32))>>,
    /// Errors and their places.
    errors: Vec<((u32, u32), String)>,
}

/// Columns behind the first that are laid out in full; what lies farther out moves up to them, so
/// that a stray cell at the far end of a sheet does not cost a thousand tabs in each row.
const WIDEST: u32 = 2_000;

fn lay(rows: Rows) -> Laid {
    let mut laid = Laid::default();
    let mut line = 0;
    for (number, cells) in rows {
        while line < number {
            laid.text.push('\n');
            line += 1;
        }
        let comment =
            matches!(cells.first(), Some((0, Content::Text(text))) if text.starts_with('#'));
        let row = laid.row(cells);
        if !comment {
            laid.rows.push(row);
        }
    }
    laid
}

impl Laid {
    fn row(&mut self, cells: Vec<(u32, Content)>) -> Vec<(String, (u32, u32))> {
        let mut row: Vec<(String, (u32, u32))> = Vec::with_capacity(cells.len());
        for (column, content) in cells {
            while row.len() < column.min(WIDEST) as usize {
                let here = self.text.len() as u32;
                row.push((String::new(), (here, here)));
                self.text.push('\t');
            }
            let start = self.text.len() as u32;
            let (text, error) = match content {
                Content::Text(text) => (text, false),
                Content::Error(text) => (text, true),
            };
            let plain = |c: char| {
                if matches!(c, '\t' | '\n' | '\r') {
                    ' '
                } else {
                    c
                }
            };
            self.text.extend(text.chars().map(plain));
            let range = (start, self.text.len() as u32);
            if error {
                self.errors.push((range, text));
                row.push((String::new(), range));
            } else {
                row.push((text, range));
            }
            self.text.push('\t');
        }
        self.text.pop(); // no tab behind the last cell
        row
    }
}
