//! Reading weighed pieces (`readings/weighed`: piece, time, weight).

use std::collections::BTreeMap;

use quantity::{Dimension, Expect, Unit};

use super::clock::{Clockwork, Moment, moment};
use super::logs::{bad_log, column};
use super::rows::{self, Row, need_columns, rows};
use super::table::{Notes, Word, positive};
use crate::diagnostic::Diagnostic;
use crate::model::{WeighedPiece, Weighing};
use crate::source::{Sources, Span};
use crate::tables::{self, Table};

/// Reads weighed pieces; none when nothing can be made of them.
pub(super) fn read(
    name: &str,
    path: &str,
    bytes: &[u8],
    sources: &mut Sources,
    notes: &mut Notes,
) -> Option<Weighing> {
    let mut table = tables::read(path, bytes, sources, &mut notes.diagnostics)?;
    let (mut time, mut weight) = (None, None);
    for cell in &mut table.columns {
        let (bare, unit) = column(notes, &cell.text);
        let bare = bare.to_owned();
        match bare.as_str() {
            "time" => time = unit,
            "weight" => weight = unit,
            _ => {}
        }
        cell.text = bare;
    }
    if !need_columns(notes, &table, &["piece", "time", "weight"]) {
        return None;
    }
    let mut pieces: Vec<(WeighedPiece, Clockwork)> = Vec::new();
    let mut places: BTreeMap<String, usize> = BTreeMap::new();
    for row in rows(&table) {
        let Some(piece) = row.need(notes, "piece") else {
            continue;
        };
        let place = *places.entry(piece.text.clone()).or_insert_with(|| {
            let weighed = WeighedPiece {
                name: piece.text.clone(),
                at: piece.at,
                weights: Vec::new(),
            };
            pieces.push((weighed, Clockwork::default()));
            pieces.len() - 1
        });
        let (weighed, clockwork) = &mut pieces[place];
        weigh(
            notes,
            &row,
            (time.as_ref(), weight.as_ref()),
            weighed,
            clockwork,
        );
    }
    let pieces: Vec<WeighedPiece> = pieces.into_iter().map(|(piece, _)| piece).collect();
    enough(notes, &table, &pieces).then(|| Weighing {
        name: name.to_owned(),
        file: table.file,
        pieces,
    })
}

/// Adds the weight of a row to its piece.
fn weigh(
    notes: &mut Notes,
    row: &Row<'_>,
    units: (Option<&Unit>, Option<&Unit>),
    piece: &mut WeighedPiece,
    clockwork: &mut Clockwork,
) {
    let time = row.need(notes, "time").and_then(|word| {
        let bare = word.text.parse::<f64>().is_ok() && units.0.is_none();
        let written = moment(&word.text, units.0.map_or(1.0, Unit::factor)).filter(|_| !bare);
        let moment = match written {
            Some(moment) => moment,
            None => Moment::Since(in_unit(notes, &word, units.0, &Dimension::TIME)?),
        };
        Some((word, moment))
    });
    let weight = row
        .need(notes, "weight")
        .and_then(|word| in_unit(notes, &word, units.1, &Dimension::MASS));
    let (Some((word, moment)), Some(weight)) = (time, weight) else {
        return;
    };
    let last = piece.weights.last().map(|weight| weight.0);
    match clockwork.since_first(moment) {
        Some(now) if last.is_none_or(|last| now > last) => piece.weights.push((now, weight)),
        _ => notes.push(
            Diagnostic::fault(
                "bad-log",
                word.at,
                format!("piece {} is not weighed after the row before", piece.name),
            )
            .sides("a later time, written alike", format!("`{}`", word.text)),
        ),
    }
}

/// A number above or at zero in the unit of its column, or with its own.
fn in_unit(
    notes: &mut Notes,
    word: &Word,
    unit: Option<&Unit>,
    dimension: &Dimension,
) -> Option<f64> {
    let stated = match unit {
        Some(unit) => rows::in_unit(notes, word, unit)?,
        None => rows::quantity_in(notes, word, Expect::Dimension(dimension))?,
    };
    if *stated.unit.dimension() != *dimension {
        let (expected, found) = (dimension.describe(), stated.unit.dimension().describe());
        let headline = format!("expected {expected}, found {found}");
        notes.push(Diagnostic::fault("wrong-dimension", word.at, headline));
        return None;
    }
    let stated = if *dimension == Dimension::MASS {
        positive(notes, "weight", stated)?
    } else {
        stated
    };
    Some(stated.mean())
}

/// Whether every piece was weighed twice at least.
fn enough(notes: &mut Notes, table: &Table, pieces: &[WeighedPiece]) -> bool {
    let poor = pieces.iter().find(|piece| piece.weights.len() < 2);
    if let Some(piece) = poor {
        let headline = format!("piece {} is weighed only once", piece.name);
        notes.push(bad_log(piece.at, headline).help("a loss of weight needs two weights or more"));
    }
    if pieces.is_empty() {
        let at = table
            .columns
            .first()
            .map_or(Span::new(table.file, 0..0), |column| column.at);
        notes.push(bad_log(at, "no piece is weighed in this table"));
    }
    poor.is_none() && !pieces.is_empty()
}
