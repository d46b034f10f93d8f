//! Tables that routes refer to by name: measured boards in `boards/`, hole lists in `holes/`, measured
//! loads in `readings/logs/`, weighed pieces in `readings/weighed/`.

use std::collections::BTreeMap;

use quantity::Unit;

use super::rows::{Row, in_unit, need_columns, rows};
use super::table::{Notes, Word, choice, not_negative, positive};
use super::{logs, weighed};
use crate::diagnostic::Diagnostic;
use crate::model::{Board, Face, ListedHole, LogId, Mark, ProbeLog, Stated, Weighing, WeighingId};
use crate::source::{Files, Sources};
use crate::tables::{self, Table};

/// What the tables hold, by the name of the file.
#[derive(Default)]
pub(crate) struct Shelves {
    pub(crate) boards: BTreeMap<String, Vec<Board>>,
    pub(crate) holes: BTreeMap<String, Vec<ListedHole>>,
    /// None for a log that is there but could not be read.
    pub(crate) logs: BTreeMap<String, Option<LogId>>,
    pub(crate) log_list: Vec<ProbeLog>,
    /// None for a table that is there but could not be read.
    pub(crate) weighings: BTreeMap<String, Option<WeighingId>>,
    pub(crate) weighing_list: Vec<Weighing>,
}

/// Folders of measured loads and of weighed pieces, inside that of the readings.
pub(super) const LOGS: &str = "readings/logs/";
pub(super) const WEIGHED: &str = "readings/weighed/";

/// Reads every table of these folders.
pub(super) fn read(files: &Files, sources: &mut Sources, notes: &mut Notes) -> Shelves {
    let mut shelves = Shelves::default();
    for (path, bytes) in files.iter() {
        if let Some(name) = path.strip_prefix(LOGS) {
            let log = logs::read(name, path, bytes, sources, notes);
            let id = log.is_some().then_some(LogId(shelves.log_list.len()));
            shelves.log_list.extend(log);
            shelves.logs.insert(name.to_owned(), id);
            continue;
        }
        if let Some(name) = path.strip_prefix(WEIGHED) {
            let weighing = weighed::read(name, path, bytes, sources, notes);
            let id = weighing
                .is_some()
                .then_some(WeighingId(shelves.weighing_list.len()));
            shelves.weighing_list.extend(weighing);
            shelves.weighings.insert(name.to_owned(), id);
            continue;
        }
        let Some((folder @ ("boards" | "holes"), name)) = path.split_once('/') else {
            continue;
        };
        let Some(table) = tables::read(path, bytes, sources, &mut notes.diagnostics) else {
            continue;
        };
        if folder == "boards" {
            let boards = boards(notes, &table);
            shelves.boards.insert(name.to_owned(), boards);
        } else {
            let holes = holes(notes, &table);
            shelves.holes.insert(name.to_owned(), holes);
        }
    }
    shelves
}

/// The unit of bare numbers in these tables, as shops write them.
fn millimetre(notes: &Notes) -> Unit {
    notes
        .units
        .parse_unit("mm")
        .expect("millimetres are a standard unit")
}

/// Boards, one row for each mark; a clear board has one row without a mark.
fn boards(notes: &mut Notes, table: &Table) -> Vec<Board> {
    if !need_columns(notes, table, &["board", "length", "width"]) {
        return Vec::new();
    }
    let mut boards: Vec<Board> = Vec::new();
    let mut places: BTreeMap<String, usize> = BTreeMap::new();
    for row in rows(table) {
        let Some(name) = row.need(notes, "board") else {
            continue;
        };
        if let Some(&place) = places.get(&name.text) {
            same_size(notes, &row, &boards[place]);
        } else if let Some(board) = board(notes, &row, &name) {
            places.insert(name.text.clone(), boards.len());
            boards.push(board);
        }
        let Some(&place) = places.get(&name.text) else {
            continue;
        };
        if let Some(mark) = mark(notes, &row, &boards[place]) {
            boards[place].marks.push(mark);
        }
    }
    boards
}

fn board(notes: &mut Notes, row: &Row<'_>, name: &Word) -> Option<Board> {
    let length = size(notes, row, "length");
    let width = size(notes, row, "width");
    Some(Board {
        name: name.text.clone(),
        lot: row.get("lot").map(|word| word.text),
        length_m: length?,
        width_m: width?,
        marks: Vec::new(),
        at: row.at(),
    })
}

/// A size above zero that must be there.
fn size(notes: &mut Notes, row: &Row<'_>, column: &'static str) -> Option<f64> {
    let word = row.need(notes, column)?;
    let unit = millimetre(notes);
    let stated = in_unit(notes, &word, &unit)?;
    positive(notes, column, stated).map(|stated| stated.mean())
}

/// Complains when a later row of a board gives it another size.
fn same_size(notes: &mut Notes, row: &Row<'_>, board: &Board) {
    let unit = millimetre(notes);
    for (column, known) in [("length", board.length_m), ("width", board.width_m)] {
        let Some(word) = row.get(column) else {
            continue;
        };
        let Some(stated) = in_unit(notes, &word, &unit) else {
            continue;
        };
        if (stated.mean() - known).abs() > 1e-9 {
            notes.push(
                Diagnostic::fault(
                    "board-two-sizes",
                    word.at,
                    format!("board {} has two sizes", board.name),
                )
                .sides(
                    format!("{} again", quantity::show(known, &unit)),
                    quantity::show(stated.mean(), &unit),
                )
                .other(board.at, "first here"),
            );
        }
    }
}

/// The mark of a row, if it has one. A mark without an end runs to the end of the board.
fn mark(notes: &mut Notes, row: &Row<'_>, board: &Board) -> Option<Mark> {
    const OF_MARK: [&str; 5] = ["from", "to", "low", "high", "fault"];
    OF_MARK.iter().find_map(|column| row.get(column))?;
    let from = place(notes, row, "from", 0.0, board.length_m);
    let to = place(notes, row, "to", board.length_m, board.length_m);
    let low = place(notes, row, "low", 0.0, board.width_m);
    let high = place(notes, row, "high", board.width_m, board.width_m);
    let face = face(notes, row)?;
    let sound = sound(notes, row)?;
    let (from_m, to_m, low_m, high_m) = (from?, to?, low?, high?);
    if from_m >= to_m || low_m >= high_m {
        notes.push(
            Diagnostic::fault(
                "mark-backwards",
                row.at(),
                "this mark ends before it begins, or has no size",
            )
            .help("`from` and `to` go along the board, `low` and `high` across it"),
        );
        return None;
    }
    Some(Mark {
        face,
        fault: row.get("fault").map(|word| word.text),
        sound,
        from_m,
        to_m,
        low_m,
        high_m,
    })
}

/// A place on a board; what is left out is its end. A place beyond the end is a fault.
fn place(
    notes: &mut Notes,
    row: &Row<'_>,
    column: &'static str,
    left_out_m: f64,
    end_m: f64,
) -> Option<f64> {
    let Some(word) = row.get(column) else {
        return Some(left_out_m);
    };
    let unit = millimetre(notes);
    let stated = in_unit(notes, &word, &unit)?;
    let stated = not_negative(notes, column, stated)?;
    let m = stated.mean();
    if m > end_m * (1.0 + 1e-9) {
        notes.push(
            Diagnostic::fault("mark-off-board", word.at, "this mark lies off its board").sides(
                format!("at most {}", quantity::show(end_m, &unit)),
                quantity::show(m, &unit),
            ),
        );
        return None;
    }
    Some(m.min(end_m))
}

fn face(notes: &mut Notes, row: &Row<'_>) -> Option<Face> {
    let Some(word) = row.get("face") else {
        return Some(Face::Through);
    };
    choice(
        notes,
        "face",
        &word,
        &[
            ("front", Face::Front),
            ("back", Face::Back),
            ("through", Face::Through),
        ],
    )
}

fn sound(notes: &mut Notes, row: &Row<'_>) -> Option<bool> {
    let Some(word) = row.get("wood") else {
        return Some(false);
    };
    choice(notes, "wood", &word, &[("sound", true), ("unsound", false)])
}

/// Holes, one a row.
fn holes(notes: &mut Notes, table: &Table) -> Vec<ListedHole> {
    if !need_columns(notes, table, &["x", "y"]) {
        return Vec::new();
    }
    rows(table)
        .filter_map(|row| {
            let x = coordinate(notes, &row, "x");
            let y = coordinate(notes, &row, "y");
            Some(ListedHole {
                diameter_m: optional_size(notes, &row, "diameter"),
                depth_m: optional_size(notes, &row, "depth"),
                tool: row.get("tool").map(|word| word.text),
                x_m: x?,
                y_m: y?,
                at: row.at(),
            })
        })
        .collect()
}

fn coordinate(notes: &mut Notes, row: &Row<'_>, column: &'static str) -> Option<f64> {
    let word = row.need(notes, column)?;
    let unit = millimetre(notes);
    in_unit(notes, &word, &unit).map(|stated: Stated| stated.mean())
}

fn optional_size(notes: &mut Notes, row: &Row<'_>, column: &'static str) -> Option<f64> {
    row.get(column)?;
    size(notes, row, column)
}

/// A table of the given name, or a fault that says which there are.
pub(super) fn named<'s, T>(
    notes: &mut Notes,
    shelf: &'s BTreeMap<String, T>,
    folder: &str,
    word: &Word,
) -> Option<&'s T> {
    let found = shelf.get(&word.text);
    if found.is_none() {
        let names = shelf.keys().map(String::as_str);
        let help = crate::suggest::did_you_mean(&word.text, names)
            .or_else(|| Some(format!("put the table into the folder `{folder}`")));
        notes.push(
            Diagnostic::fault(
                "unknown-table",
                word.at,
                format!("the folder `{folder}` has no table `{}`", word.text),
            )
            .maybe_help(help),
        );
    }
    found
}
