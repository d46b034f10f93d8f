//! XLSX: one sheet, read cell by cell, since a single cell far out would make a full grid of it
//! immense.

use std::io::{Cursor, Read};
use std::panic::catch_unwind;

use calamine::{Data, DataRef, ExcelDateTime, Reader, Sheet, SheetType, SheetVisible, Xlsx};
use zip::ZipArchive;

use super::{Assembly, Cell, Table, unreadable};
use crate::diagnostic::Diagnostic;
use crate::source::{FileId, Sources, Span};

/// Most cells of a table, and most bytes of text in it: a small file may ask for far more than any
/// memory holds, since texts are shared and empty cells are not written.
const MOST_CELLS: usize = 64_000_000;
const MOST_TEXT: usize = 1 << 30;

/// Rows of a sheet (ECMA-376 leaves it open; every program has this limit).
const MOST_ROWS: u32 = 1_048_576;

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

/// The rows of the sheet, or why there are none.
///
/// The reader's sums run over on absurd names of cells (`A99999999999`), which is a panic in a
/// build that checks them. All that it holds is dropped then, so that nothing half done remains.
fn rows(path: &str, bytes: &[u8]) -> Result<Rows, String> {
    trusty(bytes)?;
    catch_unwind(|| unguarded_rows(path, bytes)).unwrap_or_else(|_| Err("it is damaged".to_owned()))
}

fn unguarded_rows(path: &str, bytes: &[u8]) -> Result<Rows, String> {
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(|why| why.to_string())?;
    let name = sheet_name(path, book.sheets_metadata()).ok_or("it has no sheet")?;
    let mut cells = book
        .worksheet_cells_reader(&name)
        .map_err(|why| why.to_string())?;
    let mut rows: Rows = Vec::new();
    let mut text = 0;
    while let Some(cell) = cells.next_cell().map_err(|why| why.to_string())? {
        let (row, column) = cell.get_position();
        let Some(content) = content(cell.get_value()) else {
            continue;
        };
        let (Content::Text(more) | Content::Error(more)) = &content;
        text += more.len();
        if text > MOST_TEXT || row >= MOST_ROWS {
            return Err("it is larger than a table may be".to_owned());
        }
        match rows.last_mut() {
            Some((last, cells)) if *last == row => cells.push((column, content)),
            _ => rows.push((row, vec![(column, content)])),
        }
    }
    let rows = in_order(rows);
    if rows.len().saturating_mul(width(&rows) as usize) > MOST_CELLS {
        return Err("it is larger than a table may be".to_owned());
    }
    Ok(rows)
}

/// Refuses a book that claims more shared texts than it has bytes: the reader would set memory
/// aside for as many as are claimed.
fn trusty(bytes: &[u8]) -> Result<(), String> {
    let mut parts = ZipArchive::new(Cursor::new(bytes)).map_err(|why| why.to_string())?;
    for number in 0..parts.len() {
        let Ok(part) = parts.by_index(number) else {
            continue;
        };
        let shared = part
            .name()
            .is_ok_and(|name| name.to_lowercase().ends_with("sharedstrings.xml"));
        if !shared {
            continue;
        }
        // Where a part breaks off, what stands before the break is still looked at.
        let mut text = Vec::new();
        let _ = part.take(MOST_TEXT as u64).read_to_end(&mut text);
        let utf16 = text.iter().take(4).any(|&byte| byte == 0 || byte >= 0xfe);
        if utf16 || claims(&text).any(|claim| claim > text.len()) {
            return Err("its shared texts are damaged".to_owned());
        }
    }
    Ok(())
}

/// Every number that stands behind `uniqueCount`.
fn claims(text: &[u8]) -> impl Iterator<Item = usize> {
    const NAME: &[u8] = b"uniqueCount";
    let names = text
        .windows(NAME.len())
        .enumerate()
        .filter(|(_, window)| *window == NAME);
    names.map(|(at, _)| {
        let behind = text[at + NAME.len()..].iter();
        let digits = behind
            .skip_while(|byte| {
                byte.is_ascii_whitespace() || matches!(byte, b'=' | b'"' | b'\'' | b'+')
            })
            .take_while(|byte| byte.is_ascii_digit());
        digits.fold(0usize, |number, digit| {
            number
                .saturating_mul(10)
                .saturating_add(usize::from(digit - b'0'))
        })
    })
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

/// Columns that are told apart; what lies farther out moves up to the last.
const MOST_COLUMNS: u32 = 2_000;

/// Columns from the first to the last that has a name. What lies farther out in a row moves up to
/// them, so that a stray cell at the far end of a sheet does not cost a thousand empty ones.
fn width(rows: &Rows) -> u32 {
    let head = rows
        .iter()
        .find(|(_, cells)| !is_comment(cells) && cells.iter().any(is_text));
    let last = head.and_then(|(_, cells)| cells.iter().rfind(|cell| is_text(cell)));
    last.map_or(0, |(column, _)| column.saturating_add(1))
        .min(MOST_COLUMNS)
}

fn is_text((_, content): &(u32, Content)) -> bool {
    matches!(content, Content::Text(_))
}

fn is_comment(cells: &[(u32, Content)]) -> bool {
    matches!(cells.first(), Some((0, Content::Text(text))) if text.starts_with('#'))
}

fn lay(rows: Rows) -> Laid {
    let mut laid = Laid::default();
    let width = width(&rows);
    let mut line = 0;
    for (number, cells) in rows {
        while line < number {
            laid.text.push('\n');
            line += 1;
        }
        let comment = is_comment(&cells);
        let row = laid.row(cells, width);
        if !comment {
            laid.rows.push(row);
        }
    }
    laid
}

impl Laid {
    fn row(&mut self, cells: Vec<(u32, Content)>, width: u32) -> Vec<(String, (u32, u32))> {
        let mut row: Vec<(String, (u32, u32))> = Vec::with_capacity(cells.len());
        for (column, content) in cells {
            while row.len() < column.min(width) as usize {
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
