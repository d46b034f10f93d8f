//! Rows of a table by the names of its columns, and quantities in their cells.

use std::collections::BTreeMap;

use quantity::{Expect, Unit};

use super::table::{Notes, Word, quantity_fault};
use crate::diagnostic::Diagnostic;
use crate::model::Stated;
use crate::source::Span;
use crate::suggest::nearest;
use crate::tables::{self, Cell, Table};

/// One row of a table by column name.
pub(super) struct Row<'t> {
    table: &'t Table,
    cells: &'t [Cell],
}

impl Row<'_> {
    /// The text of a cell, none if the column is missing or the cell empty.
    pub(super) fn get(&self, column: &str) -> Option<Word> {
        let position = tables::column(self.table, column)?;
        let cell = self.cells.get(position)?;
        let text = cell.text.trim();
        (!text.is_empty()).then(|| Word {
            text: text.to_owned(),
            at: cell.at,
        })
    }

    pub(super) fn at(&self) -> Span {
        let first = self.cells.first().map_or(
            Span {
                file: self.table.file,
                start: 0,
                end: 0,
            },
            |c| c.at,
        );
        let last = self.cells.last().map_or(first, |cell| cell.at);
        Span {
            file: first.file,
            start: first.start,
            end: last.end,
        }
    }

    pub(super) fn need(&self, notes: &mut Notes, column: &str) -> Option<Word> {
        let word = self.get(column);
        if word.is_none() && tables::column(self.table, column).is_some() {
            notes.push(Diagnostic::fault(
                "empty-cell",
                self.at(),
                format!("this row has no `{column}`"),
            ));
        }
        word
    }

    /// Every column that is not one of the known ones.
    pub(super) fn more(&self, known: &[&str]) -> BTreeMap<String, String> {
        self.table
            .columns
            .iter()
            .zip(self.cells)
            .filter(|(column, cell)| {
                !known.contains(&column.text.trim()) && !cell.text.trim().is_empty()
            })
            .map(|(column, cell)| (column.text.trim().to_owned(), cell.text.trim().to_owned()))
            .collect()
    }
}

pub(super) fn rows(table: &Table) -> impl Iterator<Item = Row<'_>> {
    table
        .rows
        .iter()
        .filter(|cells| cells.iter().any(|cell| !cell.text.trim().is_empty()))
        .map(move |cells| Row { table, cells })
}

/// Complains about columns that must be there.
pub(super) fn need_columns(notes: &mut Notes, table: &Table, needed: &[&str]) -> bool {
    let mut complete = true;
    for &column in needed {
        if tables::column(table, column).is_some() {
            continue;
        }
        complete = false;
        let names: Vec<&str> = table.columns.iter().map(|c| c.text.trim()).collect();
        let at = table.columns.first().map_or(
            Span {
                file: table.file,
                start: 0,
                end: 0,
            },
            |c| c.at,
        );
        let help = nearest(column, names.iter().copied())
            .map(|name| format!("is `{name}` meant? write `{column}`"));
        notes.push(
            Diagnostic::fault(
                "missing-column",
                at,
                format!("the table has no column `{column}`"),
            )
            .sides(needed.join(", "), names.join(", "))
            .maybe_help(help),
        );
    }
    complete
}

pub(super) fn quantity_in(notes: &mut Notes, word: &Word, expect: Expect<'_>) -> Option<Stated> {
    match quantity::read(&word.text, &notes.units, expect) {
        Ok(written) => Some(Stated {
            spread: written.spread,
            unit: written.unit,
            source: None,
            at: word.at,
        }),
        Err(fault) => {
            let at = word.part(&fault.range);
            notes.push(quantity_fault(fault, at));
            None
        }
    }
}

/// An amount above zero; a bare number is counted in the item's own unit.
pub(super) fn amount(notes: &mut Notes, word: &Word, unit: &Unit) -> Option<Stated> {
    let stated = in_unit(notes, word, unit)?;
    super::table::positive(notes, "amount", stated)
}

/// Whether a cell is a number without a unit.
fn is_bare(text: &str) -> bool {
    text.bytes()
        .all(|b| b.is_ascii_digit() || b" .,_-+eE".contains(&b))
}

/// A quantity; a bare number is counted in the given unit, as tables usually have it.
pub(super) fn in_unit(notes: &mut Notes, word: &Word, unit: &Unit) -> Option<Stated> {
    if !is_bare(&word.text) {
        return quantity_in(notes, word, Expect::Dimension(unit.dimension()));
    }
    let number = quantity_in(notes, word, Expect::Number)?;
    let spread = number.spread.map(|x| unit.to_base(x));
    Some(Stated {
        spread,
        unit: unit.clone(),
        ..number
    })
}
