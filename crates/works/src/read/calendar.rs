//! Reading a calendar's lines.

use super::table::{Notes, Table, Word};
use crate::calendar::{Builder, Calendar, Line};

/// A calendar from its table.
pub(crate) fn read(notes: &mut Notes, name: &Word, table: &Table<'_>) -> Calendar {
    table.need(notes, "work");
    let mut builder = Builder::new(&name.text, name.at);
    let keys = [
        ("work", Line::Work),
        ("breaks", Line::Break),
        ("closed", Line::Closed),
        ("extra", Line::Extra),
    ];
    for (key, line) in keys {
        for word in table.texts(notes, key) {
            if let Err(fault) = builder.add(line, &word.text, word.at) {
                notes.push(fault.diagnostic(&word.text, word.at));
            }
        }
    }
    let (calendar, warnings) = builder.finish();
    notes.diagnostics.extend(warnings);
    calendar
}
