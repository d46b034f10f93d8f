//! Reading measured loads (`readings/logs`): a column of times and one for each probe.
//!
//! What loggers write is taken as it is: irregular times, empty cells and error words do not forbid
//! anything; they are counted and told in one warning, with the lines where they stand.

use quantity::{Dimension, Expect, Unit};

use super::clock::{Clockwork, moment};
use super::table::{Notes, Word, choice};
use crate::diagnostic::Diagnostic;
use crate::model::{Place, Probe, ProbeLog};
use crate::source::{FileId, Sources, Span};
use crate::tables::{self, Piece};

/// Lines that are listed in a warning; the rest are counted.
const MOST_LINES: usize = 5;

/// Probes in one log beyond which it is no log of a load.
const MOST_PROBES: usize = 500;

/// Readings outside of this are a logger's way to say that there is none: an open thermocouple, a full scale.
const POSSIBLE_K: std::ops::Range<f64> = 50.0..3000.0;

/// The name of a column and the unit behind it: `probe 1 (degF)`, `time [min]`.
fn named_unit(text: &str) -> (&str, Option<&str>) {
    let inner = |open: char, close: char| {
        let (name, rest) = text.rsplit_once(open)?;
        Some((name.trim(), rest.trim().strip_suffix(close)?.trim()))
    };
    inner('(', ')')
        .or_else(|| inner('[', ']'))
        .map_or((text, None), |(name, unit)| (name, Some(unit)))
}

/// What a column measures: its name, and its unit when brackets behind the name hold one.
pub(super) fn column<'t>(notes: &Notes, text: &'t str) -> (&'t str, Option<Unit>) {
    let (name, inner) = named_unit(text);
    let inner = match inner {
        // A column in C or F is one of temperatures: nobody logs coulombs or farads here.
        Some("C") => Some("degC"),
        Some("F") => Some("degF"),
        other => other,
    };
    match inner.map(|inner| notes.units.parse_unit(inner)) {
        Some(Ok(unit)) => (name, Some(unit)),
        // Brackets without a unit are part of the name: `probe 1 (left)`.
        _ => (text, None),
    }
}

/// Places of a log where something is amiss: how many, the first, and the first lines.
#[derive(Clone, Default)]
struct Amiss {
    count: usize,
    first: Option<(Span, String)>,
    lines: Vec<u32>,
}

impl Amiss {
    fn add(&mut self, piece: &Piece<'_>, line: u32) {
        self.count += 1;
        if self.lines.len() < MOST_LINES {
            self.lines.push(line);
        }
        if self.first.is_none() {
            self.first = Some((piece.at, piece.text.chars().take(40).collect()));
        }
    }

    /// `line 12`, `lines 12, 15 and 3 more`.
    fn lines(&self) -> String {
        let listed: Vec<String> = self.lines.iter().map(u32::to_string).collect();
        let more = self.count - listed.len();
        let word = if self.count == 1 { "line" } else { "lines" };
        let tail = if more > 0 {
            format!(" and {more} more")
        } else {
            String::new()
        };
        format!("{word} {}{tail}", listed.join(", "))
    }
}

/// A column of readings.
struct Column {
    position: usize,
    unit: Unit,
    gaps: Amiss,
}

/// A log being read, row by row.
struct LogReader<'n> {
    notes: &'n mut Notes,
    name: &'n str,
    /// Cells of a row.
    width: usize,
    /// The column of times, and s in one of its units.
    time: (usize, f64),
    columns: Vec<Column>,
    clockwork: Clockwork,
    log: Option<ProbeLog>,
    values_k: Vec<f64>,
    /// Rows that are left out.
    lost: Amiss,
    failed: bool,
}

/// Reads a measured load; none when nothing can be made of it.
pub(super) fn read(
    name: &str,
    path: &str,
    bytes: &[u8],
    sources: &mut Sources,
    notes: &mut Notes,
) -> Option<ProbeLog> {
    let mut complaints = Vec::new();
    let mut reader = LogReader {
        notes,
        name,
        width: 0,
        time: (0, 1.0),
        columns: Vec::new(),
        clockwork: Clockwork::default(),
        log: None,
        values_k: Vec::new(),
        lost: Amiss::default(),
        failed: false,
    };
    let file = tables::stream(path, bytes, sources, &mut complaints, |line, row| {
        reader.row(line, row);
    });
    let log = file.and_then(|file| reader.finish(file));
    notes.diagnostics.append(&mut complaints);
    log
}

impl LogReader<'_> {
    fn row(&mut self, line: u32, row: &[Piece<'_>]) {
        if self.failed {
            return;
        }
        let Some(log) = &self.log else {
            self.failed = self.head(row).is_none();
            return;
        };
        let first = row.first().map_or("", |piece| piece.text.as_ref());
        if log.times_s().is_empty() && first.eq_ignore_ascii_case("place") {
            self.places(row);
        } else {
            self.data(line, row);
        }
    }

    /// The names of the columns.
    fn head(&mut self, row: &[Piece<'_>]) -> Option<()> {
        let at = row.first()?.at;
        let mut probes: Vec<Probe> = Vec::new();
        let mut time = None;
        self.width = row.len();
        for (position, piece) in row.iter().enumerate() {
            let (name, unit) = column(self.notes, &piece.text);
            if time.is_none() && name.eq_ignore_ascii_case("time") {
                let second = unit.filter(|unit| *unit.dimension() == Dimension::TIME);
                time = Some((position, second.map_or(1.0, |unit| unit.factor())));
                continue;
            }
            if name.is_empty() {
                continue;
            }
            if let Some(unit) = unit
                .as_ref()
                .filter(|u| *u.dimension() != Dimension::TEMPERATURE)
            {
                self.notes.push(no_temperature(piece.at, name, unit));
                continue;
            }
            if let Some(first) = probes.iter().find(|probe| probe.name == name) {
                let first = first.at;
                let headline = format!("cannot tell two columns `{name}` apart");
                self.notes.push(
                    Diagnostic::fault("column-twice", piece.at, headline)
                        .other(first, "first here")
                        .help("rename one of them, or take it out"),
                );
                continue;
            }
            let unit = unit.or_else(|| self.notes.units.parse_unit("degC").ok())?;
            probes.push(Probe {
                name: name.to_owned(),
                at: piece.at,
                place: None,
            });
            self.columns.push(Column {
                position,
                unit,
                gaps: Amiss::default(),
            });
        }
        let Some(time) = time else {
            self.notes.push(
                bad_log(at, "the log has no column `time`")
                    .help("name the columns in the first row: time, probe 1, probe 2"),
            );
            return None;
        };
        if probes.is_empty() || probes.len() > MOST_PROBES {
            let headline = format!("expected 1 to {MOST_PROBES} probes, found {}", probes.len());
            self.notes.push(bad_log(at, headline));
            return None;
        }
        self.time = time;
        self.log = Some(ProbeLog::new(self.name, at.file, probes));
        Some(())
    }

    /// A row that says where each probe is.
    fn places(&mut self, row: &[Piece<'_>]) {
        let places = [Place::Core, Place::Surface, Place::Mean, Place::Air];
        let options = places.map(|place| (place.word(), place));
        let Some(log) = &mut self.log else { return };
        for (column, probe) in self.columns.iter().zip(&mut log.probes) {
            let Some(piece) = row
                .get(column.position)
                .filter(|piece| !piece.text.is_empty())
            else {
                continue;
            };
            let word = Word {
                text: piece.text.to_string(),
                at: piece.at,
            };
            probe.place = choice(self.notes, "place", &word, &options);
        }
    }

    /// A row of readings. One that is longer than the first row is no such row.
    fn data(&mut self, line: u32, row: &[Piece<'_>]) {
        let Some(log) = &mut self.log else { return };
        let (Some(first), Some(last)) = (row.first(), row.last()) else {
            return;
        };
        let (position, second) = self.time;
        let filled = row.iter().rposition(|piece| !piece.text.is_empty());
        let fits = filled.is_none_or(|last| last < self.width);
        let time_s = row
            .get(position)
            .filter(|_| fits)
            .and_then(|piece| moment(&piece.text, second))
            .and_then(|moment| self.clockwork.since_first(moment))
            .filter(|&now| log.times_s().last().is_none_or(|&last| now > last));
        let Some(time_s) = time_s else {
            self.lost.add(row.get(position).unwrap_or(first), line);
            return;
        };
        self.values_k.clear();
        for column in &mut self.columns {
            let piece = row.get(column.position);
            let value = piece.and_then(|piece| reading(self.notes, &piece.text, &column.unit));
            if value.is_none() {
                column.gaps.add(piece.unwrap_or(last), line);
            }
            self.values_k.push(value.unwrap_or(f64::NAN));
        }
        log.push(time_s, line, &self.values_k);
    }

    /// The log, when there is something in it, and one warning for each kind of thing amiss.
    fn finish(self, file: FileId) -> Option<ProbeLog> {
        if self.failed {
            return None;
        }
        let start = Span::new(file, 0..0);
        let Some(mut log) = self.log else {
            self.notes
                .push(bad_log(start, "expected a row of column names, found none"));
            return None;
        };
        log.starts = self.clockwork.starts();
        let rows = log.times_s().len();
        if let Some((at, found)) = &self.lost.first {
            self.notes.push(lost_rows(*at, &self.lost, found));
        }
        let at = log.probes.first().map_or(start, |probe| probe.at);
        if rows < 2 {
            self.notes.push(
                bad_log(at, format!("expected two rows of readings or more, found {rows}"))
                    .help("times are s, h:min:s, or dates as 2026-11-09 07:30:00; the decimal mark is a point"),
            );
            return None;
        }
        if self.columns.iter().all(|column| column.gaps.count == rows) {
            self.notes.push(
                bad_log(at, "no probe of this log has a reading")
                    .help("readings are numbers in degC, or in the unit in brackets behind the probe's name; the decimal mark is a point"),
            );
            return None;
        }
        for (column, probe) in self.columns.iter().zip(&log.probes) {
            if let Some((at, found)) = &column.gaps.first {
                self.notes.push(gap(*at, &probe.name, &column.gaps, found));
            }
        }
        Some(log)
    }
}

/// A reading, K; none where a logger says that it has none.
fn reading(notes: &Notes, text: &str, unit: &Unit) -> Option<f64> {
    let value = match text.parse::<f64>() {
        Ok(number) => unit.to_base(number),
        Err(_) if text.starts_with(|c: char| c.is_ascii_digit() || c == '-') => {
            quantity::read(text, &notes.units, Expect::Temperature)
                .ok()?
                .mean()
        }
        Err(_) => return None,
    };
    POSSIBLE_K.contains(&value).then_some(value)
}

pub(super) fn bad_log(at: Span, headline: impl Into<String>) -> Diagnostic {
    Diagnostic::fault("bad-log", at, headline)
}

fn no_temperature(at: Span, name: &str, unit: &Unit) -> Diagnostic {
    let headline = format!("column `{name}` is left out: it holds no temperatures");
    Diagnostic::warning("log-left-out", at, headline).sides(
        "a temperature, in degC if no unit is said",
        format!("{}, in `{}`", unit.dimension().describe(), unit.symbol()),
    )
}

fn lost_rows(at: Span, lost: &Amiss, found: &str) -> Diagnostic {
    let rows = if lost.count == 1 {
        "row is"
    } else {
        "rows are"
    };
    Diagnostic::warning(
        "log-left-out",
        at,
        format!("{} {rows} left out: {}", lost.count, lost.lines()),
    )
    .sides(
        "a time after that of the row before, and no more cells than columns",
        format!("`{found}`"),
    )
}

fn gap(at: Span, probe: &str, gaps: &Amiss, found: &str) -> Diagnostic {
    let rows = if gaps.count == 1 { "row" } else { "rows" };
    Diagnostic::warning(
        "log-gaps",
        at,
        format!(
            "probe `{probe}` has no reading in {} {rows}: {}",
            gaps.count,
            gaps.lines()
        ),
    )
    .sides(
        "a temperature",
        if found.is_empty() {
            "nothing".to_owned()
        } else {
            format!("`{found}`")
        },
    )
}
