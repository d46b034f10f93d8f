//! Tables as they are sent, and bytes that are none.

use std::io::{Cursor, Read as _, Write as _};

use proptest::prelude::*;
use rust_xlsxwriter::{Format, Workbook};

use super::*;

/// A read table with its sources and complaints.
struct Tried {
    table: Option<Table>,
    sources: Sources,
    out: Vec<Diagnostic>,
}

impl Tried {
    fn columns(&self) -> Vec<&str> {
        self.table
            .as_ref()
            .unwrap()
            .columns
            .iter()
            .map(|c| c.text.as_str())
            .collect()
    }

    fn rows(&self) -> Vec<Vec<&str>> {
        let rows = &self.table.as_ref().unwrap().rows;
        rows.iter()
            .map(|row| row.iter().map(|c| c.text.as_str()).collect())
            .collect()
    }

    /// Complaints as `line:column code: headline`.
    fn told(&self) -> Vec<String> {
        let place = |d: &Diagnostic| self.sources.line_column(d.at);
        self.out
            .iter()
            .map(|d| format!("{}:{} {}: {}", place(d).0, place(d).1, d.code, d.headline))
            .collect()
    }

    /// The text of the source at a cell.
    fn source(&self, cell: &Cell) -> &str {
        self.sources
            .get(cell.at.file)
            .text
            .get(cell.at.range())
            .unwrap()
    }
}

fn read_as(path: &str, bytes: &[u8]) -> Tried {
    let (mut sources, mut out) = (Sources::default(), Vec::new());
    sources.add("works.toml", "something read before");
    let table = read(path, bytes, &mut sources, &mut out);
    Tried {
        table,
        sources,
        out,
    }
}

fn csv(text: &str) -> Tried {
    read_as("orders.csv", text.as_bytes())
}

#[test]
fn cells_with_their_places() {
    let tried =
        csv("number,item,quantity\n1001, plot sign ,\"1,200\"\n1002,\"nest \"\"A\"\"\",3\n");
    assert_eq!(tried.columns(), ["number", "item", "quantity"]);
    assert_eq!(
        tried.rows(),
        [["1001", "plot sign", "1,200"], ["1002", "nest \"A\"", "3"]]
    );
    assert!(tried.out.is_empty());
    let table = tried.table.as_ref().unwrap();
    assert_eq!(tried.source(&table.rows[0][1]), "plot sign");
    assert_eq!(tried.source(&table.rows[0][2]), "1,200");
    assert_eq!(tried.source(&table.rows[1][1]), "nest \"\"A\"\"");
    assert_eq!(tried.sources.line_column(table.rows[1][2].at), (3, 19));
    assert_eq!(column(table, "quantity"), Some(2));
    assert_eq!(column(table, "Quantity"), None);
}

#[test]
fn as_spreadsheets_send_it() {
    // Byte-order mark, semicolons, CRLF, empty cells behind the last column, a blank line.
    let tried = csv("\u{feff}number;item;;\r\n\r\n7;\"a\r\nb\";;\r\n;;;\r\n8;c;;\r\n");
    assert_eq!(tried.columns(), ["number", "item"]);
    assert_eq!(tried.rows(), [["7", "a\r\nb"], ["8", "c"]]);
    assert!(tried.out.is_empty(), "{:?}", tried.told());
    let table = tried.table.as_ref().unwrap();
    assert_eq!(tried.sources.line_column(table.columns[0].at), (1, 1));
    assert_eq!(tried.sources.line_column(table.rows[1][0].at), (6, 1));
    assert_eq!(csv("a\tb,c\n1\t2\n").columns(), ["a", "b,c"]);
}

#[test]
fn comments_and_blank_lines() {
    let tried =
        csv("# order book; as of Monday\n\n  \nnumber,item\n# none yet, really\n1,x\n\n#2,y");
    assert_eq!(tried.rows(), [["1", "x"]]);
    assert!(tried.out.is_empty());
    assert_eq!(
        tried
            .sources
            .line_column(tried.table.as_ref().unwrap().rows[0][0].at),
        (6, 1)
    );
}

#[test]
fn a_ragged_row_is_its_own_fault() {
    let tried = csv("a,b,c\n1,2,3\n4,5\n6,7,8,9\n10,11,12");
    assert_eq!(tried.rows(), [["1", "2", "3"], ["10", "11", "12"]]);
    assert_eq!(
        tried.told(),
        [
            "3:1 bad-table: expected 3 cells, found 2",
            "4:1 bad-table: expected 3 cells, found 4",
        ]
    );
    let many = format!("a,b\n{}", "1\n".repeat(1000));
    let told = csv(&many).told();
    assert_eq!(told.len(), 21);
    // The 21st stands in line 22: the head, 20 before it. 1000 − 20 = 980.
    assert_eq!(
        told[20],
        "22:1 bad-table: 980 more rows with a wrong number of cells"
    );
}

#[test]
fn empty_head_only_and_columns_twice() {
    for empty in ["", "\n\n", "# nothing\n", "\u{feff}"] {
        let tried = csv(empty);
        assert!(tried.table.is_none());
        assert_eq!(
            tried.told(),
            ["1:1 bad-table: expected a row of column names, found none"]
        );
    }
    let tried = csv("number,item");
    assert_eq!(
        (tried.columns().len(), tried.rows().len(), tried.out.len()),
        (2, 0, 0)
    );
    let tried = csv("item,due,item\n");
    assert_eq!(
        tried.told(),
        ["1:10 column-twice: cannot tell two columns `item` apart"]
    );
    assert_eq!(tried.out[0].others[0].0.range(), 0..4);
}

#[test]
fn a_quote_that_is_never_closed() {
    let tried = csv("a,b\n1,2\n3,\"4\n5,6\n");
    assert_eq!(tried.rows(), [["1", "2"]]);
    assert_eq!(tried.told(), ["3:3 bad-table: this quote is never closed"]);
}

#[test]
fn bytes_that_are_no_utf8() {
    let tried = read_as("orders.csv", b"\xef\xbb\xbfitem,n\nK\xe4se,1\nK\xe4se,2\n");
    assert_eq!(tried.told(), ["2:2 not-utf8: expected UTF-8 text"]);
    assert_eq!(
        tried.out[0].found.as_deref(),
        Some("2 places with other bytes")
    );
    assert_eq!(tried.rows().len(), 2);
    let tried = read_as("orders.csv", b"\xff\xfea\0");
    assert_eq!(
        tried.told(),
        ["1:1 bad-table: expected CSV text, found UTF-16 text"]
    );
}

/// A workbook with a note in front and the orders in a sheet of that name.
fn workbook() -> Vec<u8> {
    let mut book = Workbook::new();
    book.add_worksheet()
        .set_name("notes")
        .unwrap()
        .write(0, 0, "not this one")
        .unwrap();
    let sheet = book.add_worksheet().set_name("Orders").unwrap();
    let (day, time) = (
        Format::new().set_num_format("yyyy-mm-dd"),
        Format::new().set_num_format("yyyy-mm-dd hh:mm"),
    );
    for (column, name) in ["number", "item", "quantity", "due", "flag"]
        .into_iter()
        .enumerate()
    {
        sheet.write(1, column as u16, name).unwrap();
    }
    sheet.write(2, 0, 1001).unwrap();
    sheet.write(2, 1, " plot\tsign ").unwrap();
    sheet.write(2, 2, 0.1).unwrap();
    // 2026-12-24 is day 46,380 of the count that has 1900-01-01 as day 1 and a 29 February 1900.
    sheet.write_with_format(2, 3, 46_380, &day).unwrap();
    sheet.write(2, 4, true).unwrap();
    sheet.write(4, 0, "1002").unwrap();
    sheet
        .write_with_format(4, 3, 46_380.270_833_333_333, &time)
        .unwrap();
    sheet.write(5, 0, "# a remark").unwrap();
    book.save_to_buffer().unwrap()
}

#[test]
fn a_sheet_named_like_the_file() {
    let tried = read_as("orders.xlsx", &workbook());
    assert!(tried.out.is_empty(), "{:?}", tried.told());
    assert_eq!(
        tried.columns(),
        ["number", "item", "quantity", "due", "flag"]
    );
    assert_eq!(
        tried.rows(),
        [
            ["1001", "plot\tsign", "0.1", "2026-12-24", "true"],
            // 0.2708333 days are 6.5 h.
            ["1002", "", "", "2026-12-24T06:30:00", ""],
        ]
    );
    let table = tried.table.as_ref().unwrap();
    assert_eq!(tried.source(&table.rows[0][1]), "plot sign"); // a tab would part two cells
    assert_eq!(tried.sources.line_column(table.rows[0][3].at).0, 3);
    assert_eq!(tried.sources.line_column(table.rows[1][0].at), (5, 1));
    assert_eq!(tried.sources.get(table.file).path, "orders.xlsx");
    assert_eq!(
        read_as("stock/may.xlsx", &workbook()).columns(),
        ["not this one"]
    );
}

#[test]
fn sheets_that_are_odd() {
    let tried = read_as("orders.xlsx", b"number,item\n1,2\n");
    assert!(tried.table.is_none());
    assert!(
        tried.out[0]
            .headline
            .starts_with("cannot read this spreadsheet")
    );
    let mut book = Workbook::new();
    let sheet = book.add_worksheet();
    sheet.write(0, 0, "a").unwrap();
    sheet.write(1_048_575, 16_383, "far out").unwrap();
    let tried = read_as("orders.xlsx", &book.save_to_buffer().unwrap());
    assert_eq!(tried.rows().len(), 0);
    assert!(
        tried.told()[0].starts_with("1048576:"),
        "{:?}",
        tried.told()
    );
    let mut empty = Workbook::new();
    empty.add_worksheet();
    assert!(
        read_as("orders.xlsx", &empty.save_to_buffer().unwrap())
            .table
            .is_none()
    );
}

/// The workbook with one text of one of its parts replaced by another.
fn forged(part: &str, text: &str, with: &str) -> Vec<u8> {
    let mut parts = zip::ZipArchive::new(Cursor::new(workbook())).unwrap();
    let mut forged = zip::ZipWriter::new(Cursor::new(Vec::new()));
    for number in 0..parts.len() {
        let mut from = parts.by_index(number).unwrap();
        let name = from.name().unwrap().into_owned();
        let mut body = String::new();
        from.read_to_string(&mut body).unwrap();
        if name.ends_with(part) {
            assert!(body.contains(text), "{body}");
            body = body.replace(text, with);
        }
        forged
            .start_file(&*name, zip::write::SimpleFileOptions::default())
            .unwrap();
        forged.write_all(body.as_bytes()).unwrap();
    }
    forged.finish().unwrap().into_inner()
}

#[test]
fn forged_sheets_take_no_memory() {
    let told = |bytes: &[u8]| read_as("orders.xlsx", bytes).told();
    // As it is, to see that the forging itself does no harm.
    assert!(told(&forged("sheet2.xml", "A3", "A3")).is_empty());
    // Claims of 10¹² shared texts, 24 bytes each.
    let body = forged(
        "sharedStrings.xml",
        "uniqueCount=\"",
        "uniqueCount=\"100000000000",
    );
    assert_eq!(
        told(&body),
        ["1:1 bad-table: cannot read this spreadsheet: its shared texts are damaged"]
    );
    // A cell in a row that no number holds.
    let body = forged("sheet2.xml", "\"A3\"", "\"A99999999999\"");
    assert_eq!(told(&body).len(), 1, "{:?}", told(&body));
}

/// What holds for any bytes: no panic, every place in its text, every row as wide as the head.
fn sound(path: &str, bytes: &[u8]) {
    let tried = read_as(path, bytes);
    let inside = |at: Span| tried.sources.get(at.file).text.get(at.range()).is_some();
    assert!(tried.out.iter().all(|d| inside(d.at)), "{:?}", tried.out);
    let Some(table) = &tried.table else {
        assert!(!tried.out.is_empty());
        return;
    };
    for cell in table.columns.iter().chain(table.rows.iter().flatten()) {
        assert!(inside(cell.at));
        assert_eq!(cell.text.trim(), cell.text);
        let source = tried.source(cell);
        if !source.contains('"') && !cell.text.contains(['\t', '\n', '\r']) {
            assert_eq!(source, cell.text);
        }
    }
    assert!(
        table
            .rows
            .iter()
            .all(|row| row.len() == table.columns.len())
    );
}

proptest! {
    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        sound("orders.csv", &bytes);
        sound("orders.xlsx", &bytes);
    }

    #[test]
    fn any_csv_like_text(text in "[ab1#\",;\t\r\n é]{0,60}") {
        sound("orders.csv", text.as_bytes());
    }

    #[test]
    fn damaged_sheets(damage in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..8), cut in any::<Option<prop::sample::Index>>()) {
        let mut bytes = workbook();
        for (at, byte) in damage {
            let at = at.index(bytes.len());
            bytes[at] = byte;
        }
        if let Some(cut) = cut {
            bytes.truncate(cut.index(bytes.len()));
        }
        sound("orders.xlsx", &bytes);
    }

    #[test]
    fn what_is_written_is_read(rows in proptest::collection::vec(proptest::collection::vec("[a-z0-9\",;\n #]{0,6}", 3), 0..8)) {
        // Written by RFC 4180 with every cell in quotes; space at the edges is not kept.
        let quoted = |cell: &String| format!("\"{}\"", cell.replace('"', "\"\""));
        let line = |row: &Vec<String>| row.iter().map(quoted).collect::<Vec<_>>().join(",");
        let body: Vec<String> = rows.iter().map(line).collect();
        let tried = csv(&format!("x,y,z\n{}", body.join("\n")));
        let expected: Vec<Vec<&str>> = rows.iter()
            .map(|row| row.iter().map(|cell| cell.trim()).collect::<Vec<_>>())
            .filter(|row| row.iter().any(|cell| !cell.is_empty()))
            .collect();
        prop_assert_eq!(tried.rows(), expected);
    }
}
