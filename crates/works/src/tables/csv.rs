//! CSV (RFC 4180, and what is sent instead of it): separated by comma, semicolon or tab.

use std::borrow::Cow;
use std::ops::Range;

use csv_core::{ReadFieldResult, Reader, ReaderBuilder};

use super::{Assembly, Cell, Piece, Table, unreadable};
use crate::diagnostic::Diagnostic;
use crate::source::{FileId, Sources, Span};

/// Starts of files that are something else, and what to say about them.
const OTHER_KINDS: [(&[u8], &str, &str); 4] = [
    (
        b"PK\x03\x04",
        "a spreadsheet",
        "give the file the ending .xlsx, or save it as CSV",
    ),
    (
        b"\xd0\xcf\x11\xe0",
        "an old spreadsheet",
        "save it as XLSX or CSV",
    ),
    (b"\xff\xfe", "UTF-16 text", "save it as UTF-8"),
    (b"\xfe\xff", "UTF-16 text", "save it as UTF-8"),
];

pub(super) fn read(
    path: &str,
    bytes: &[u8],
    sources: &mut Sources,
    out: &mut Vec<Diagnostic>,
) -> Option<Table> {
    let file = text(path, bytes, sources, out)?;
    let mut assembly = Assembly::new(file);
    each_row(file, &sources.get(file).text, out, |row| {
        let cells = row.iter().map(|piece| Cell {
            text: piece.text.to_string(),
            at: piece.at,
        });
        let cells = cells.collect();
        assembly.row(cells);
    });
    assembly.finish(out)
}

/// Puts the text of a file into the sources; none when it is no CSV text at all.
pub(super) fn text(
    path: &str,
    bytes: &[u8],
    sources: &mut Sources,
    out: &mut Vec<Diagnostic>,
) -> Option<FileId> {
    for (start, what, help) in OTHER_KINDS {
        if bytes.starts_with(start) {
            out.push(unreadable(
                path,
                sources,
                format!("expected CSV text, found {what}"),
                help,
            ));
            return None;
        }
    }
    if u32::try_from(bytes.len()).is_err() {
        let headline = "cannot read a table of more than 4 GiB".to_owned();
        out.push(unreadable(
            path,
            sources,
            headline,
            "split it into several files",
        ));
        return None;
    }
    let text = String::from_utf8_lossy(bytes);
    let flawed = matches!(text, Cow::Owned(_));
    let file = sources.add(path, text.trim_start_matches('\u{feff}'));
    if flawed {
        out.push(not_utf8(file, &sources.get(file).text, bytes));
    }
    Some(file)
}

/// The fault at the first byte that is no UTF-8.
fn not_utf8(file: FileId, text: &str, bytes: &[u8]) -> Diagnostic {
    let places = bytes
        .utf8_chunks()
        .filter(|chunk| !chunk.invalid().is_empty())
        .count();
    // The text before the first replaced byte is as it was, but for a byte-order mark.
    let before = bytes.utf8_chunks().next().map_or("", |chunk| chunk.valid());
    let start = before.trim_start_matches('\u{feff}').len().min(text.len());
    let end = start + text[start..].chars().next().map_or(0, char::len_utf8);
    let found = super::count(places, "place") + " with other bytes";
    Diagnostic::fault(
        "not-utf8",
        Span::new(file, start..end),
        "expected UTF-8 text",
    )
    .label("not UTF-8 from here")
    .sides("UTF-8", found)
    .help("save the file as UTF-8; the bytes are read as � until then")
}

/// The separator: of comma, semicolon and tab the one that stands most often, outside of quotes,
/// in the first line that is neither empty nor a comment.
fn separator(text: &str) -> u8 {
    let first = text
        .lines()
        .find(|line| !line.trim().is_empty() && !line.starts_with('#'));
    let mut counts = [(b',', 0), (b';', 0), (b'\t', 0)];
    let mut quoted = false;
    for byte in first.unwrap_or("").bytes() {
        quoted ^= byte == b'"';
        if let Some(count) = counts.iter_mut().find(|(b, _)| *b == byte && !quoted) {
            count.1 += 1;
        }
    }
    // The last of equals wins: a tab is the least likely to be part of a name.
    let used = counts.into_iter().filter(|(_, count)| *count > 0);
    used.max_by_key(|(_, count)| *count)
        .map_or(b',', |(byte, _)| byte)
}

/// Hands out row after row, so that a long table need not be held whole.
pub(super) fn each_row<'t>(
    file: FileId,
    text: &'t str,
    out: &mut Vec<Diagnostic>,
    mut take: impl FnMut(&[Piece<'t>]),
) {
    let separator = separator(text);
    let reader = ReaderBuilder::new()
        .delimiter(separator)
        .comment(Some(b'#'))
        .build();
    let mut fields = Fields {
        reader,
        text,
        at: 0,
        buffer: vec![0; 1024],
    };
    let mut row = Vec::new();
    while let Some(field) = fields.next(row.is_empty()) {
        let (range, text) = field.inner();
        if let Some(start) = field.unclosed_quote() {
            out.push(
                Diagnostic::fault("bad-table", Span::new(file, start..start + 1), "this quote is never closed")
                    .label("opened here")
                    .help("close it, or write the quote twice if it is part of the cell; the rest of the file is left out"),
            );
            break;
        }
        row.push(Piece {
            text,
            at: Span::new(file, range),
        });
        if field.ends_record {
            take(&row);
            row.clear();
        }
    }
}

/// A text cut into fields, each with its place.
struct Fields<'t> {
    reader: Reader,
    text: &'t str,
    /// Bytes read so far.
    at: usize,
    buffer: Vec<u8>,
}

/// One field.
struct Field<'t> {
    /// The whole text of the file.
    text: &'t str,
    /// Its bytes as written, without what separates it from others.
    raw: Range<usize>,
    /// What it means, when it is written with quotes.
    unquoted: Option<String>,
    ends_record: bool,
}

impl<'t> Fields<'t> {
    /// The next field; `first` if it begins a record, with blank lines and comments before it.
    fn next(&mut self, first: bool) -> Option<Field<'t>> {
        let start = self.at;
        let mut filled = 0;
        let ends_record = loop {
            let rest = &self.text.as_bytes()[self.at..];
            let (result, read, wrote) = self.reader.read_field(rest, &mut self.buffer[filled..]);
            self.at += read;
            filled += wrote;
            match result {
                ReadFieldResult::InputEmpty => {} // once more with nothing ends the last record
                ReadFieldResult::OutputFull => self.buffer.resize(2 * self.buffer.len(), 0),
                ReadFieldResult::Field { record_end } => break record_end,
                ReadFieldResult::End => return None,
            }
        };
        let raw = raw(self.text, start..self.at, first, ends_record);
        let quoted = self.text.as_bytes().get(raw.start) == Some(&b'"');
        let unquoted = quoted.then(|| String::from_utf8_lossy(&self.buffer[..filled]).into_owned());
        Some(Field {
            text: self.text,
            raw,
            unquoted,
            ends_record,
        })
    }
}

/// A field's own bytes among those read for it.
fn raw(text: &str, read: Range<usize>, first: bool, ends_record: bool) -> Range<usize> {
    let bytes = text.as_bytes();
    let Range { mut start, mut end } = read;
    while first && start < end {
        match bytes[start] {
            b'\r' | b'\n' => start += 1,
            b'#' => {
                let line = bytes[start..end].iter().position(|&byte| byte == b'\n');
                start += line.unwrap_or(end - start);
            }
            _ => break,
        }
    }
    if start < end && (!ends_record || matches!(bytes[end - 1], b'\r' | b'\n')) {
        end -= 1;
    }
    start..end
}

impl<'t> Field<'t> {
    /// The place and the text of what is inside quotes and space.
    fn inner(&self) -> (Range<usize>, Cow<'t, str>) {
        let Range { mut start, mut end } = self.raw;
        if self.unquoted.is_some() {
            start += 1;
            end -= usize::from(end > start && self.text.as_bytes()[end - 1] == b'"');
        }
        let Some(raw) = self.text.get(start..end) else {
            return (self.raw.clone(), Cow::Borrowed(""));
        };
        let left = raw.trim_start();
        let from = end - left.len();
        let range = from..from + left.trim_end().len();
        let value = match &self.unquoted {
            Some(value) => Cow::Owned(value.trim().to_owned()),
            None => Cow::Borrowed(&self.text[range.clone()]),
        };
        (range, value)
    }

    /// Where a quote is opened that nothing closes.
    fn unclosed_quote(&self) -> Option<usize> {
        self.unquoted.as_ref()?;
        let raw = &self.text.as_bytes()[self.raw.clone()];
        let open = raw.iter().fold(false, |open, &byte| open ^ (byte == b'"'));
        (open && self.ends_record && self.raw.end + 1 >= self.text.len()).then_some(self.raw.start)
    }
}
