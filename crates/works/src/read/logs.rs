//! Reading measured loads (`readings/logs`: a column of times and one for each probe) and weighed pieces
//! (`readings/weighed`: piece, time, weight).
//!
//! What loggers write is taken as it is: irregular times, empty cells and error words do not forbid
//! anything; they are counted and told in one warning, with the lines where they stand.

use std::collections::BTreeMap;

use jiff::civil::DateTime;
use quantity::{Dimension, Expect, Unit};

use super::rows::{Row, need_columns, rows};
use super::table::{Notes, Word, choice, positive};
use crate::diagnostic::Diagnostic;
use crate::model::{Place, Probe, ProbeLog, WeighedPiece, Weighing};
use crate::source::{FileId, Sources, Span};
use crate::tables::{self, Piece, Table};

/// Lines that are listed in a warning; the rest are counted.
const MOST_LINES: usize = 5;

/// Probes in one log beyond which it is no log of a load.
const MOST_PROBES: usize = 500;

/// Readings outside of this are a logger's way to say that there is none: an open thermocouple, a full scale.
const POSSIBLE_K: std::ops::Range<f64> = 50.0..3000.0;

/// Half a day, s: a clock without a date that goes back by more has passed midnight.
const HALF_DAY_S: f64 = 12.0 * 3600.0;
const DAY_S: f64 = 24.0 * 3600.0;

/// A time as it was written.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Moment {
    /// Since some beginning, s.
    Since(f64),
    /// A clock without a date, s since midnight.
    Clock(f64),
    /// A date with a time.
    At(DateTime),
}

/// A time: a number in the unit of its column, `h:min` or `h:min:s`, or a date with a time.
fn moment(text: &str, second: f64) -> Option<Moment> {
    if let Ok(number) = text.parse::<f64>() {
        return number.is_finite().then_some(Moment::Since(number * second));
    }
    if let Some(clock_s) = clock(text) {
        return Some(Moment::Clock(clock_s));
    }
    let text = text.trim_end_matches('Z').replacen(' ', "T", 1);
    text.parse::<DateTime>().ok().map(Moment::At)
}

/// `h:min` or `h:min:s`, s.
fn clock(text: &str) -> Option<f64> {
    let mut parts = text.split(':');
    let hours: u32 = parts.next()?.trim().parse().ok()?;
    let minutes: u32 = parts.next()?.parse().ok()?;
    let seconds: f64 = parts.next().map_or(Ok(0.0), str::parse).ok()?;
    let fits = minutes < 60 && (0.0..60.0).contains(&seconds) && parts.next().is_none();
    fits.then(|| f64::from(hours) * 3600.0 + f64::from(minutes) * 60.0 + seconds)
}

/// Turns times as written into seconds since the first one.
#[derive(Default)]
struct Clockwork {
    first: Option<Moment>,
    /// Days that a clock without a date has passed, and the last time it showed.
    days: f64,
    last_clock_s: f64,
}

impl Clockwork {
    /// s since the first time; none for one of another kind than the first.
    fn since_first(&mut self, moment: Moment) -> Option<f64> {
        if let Moment::Clock(clock_s) = moment {
            if clock_s + HALF_DAY_S < self.last_clock_s {
                self.days += 1.0;
            }
            self.last_clock_s = clock_s;
        }
        let first = *self.first.get_or_insert(moment);
        match (first, moment) {
            (Moment::Since(first), Moment::Since(now)) => Some(now - first),
            (Moment::Clock(first), Moment::Clock(now)) => Some(now + self.days * DAY_S - first),
            (Moment::At(first), Moment::At(now)) => Some(now.duration_since(first).as_secs_f64()),
            _ => None,
        }
    }

    fn starts(&self) -> Option<DateTime> {
        match self.first {
            Some(Moment::At(at)) => Some(at),
            _ => None,
        }
    }
}

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
fn column<'t>(notes: &Notes, text: &'t str) -> (&'t str, Option<Unit>) {
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
pub(super) fn probes(
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

fn bad_log(at: Span, headline: impl Into<String>) -> Diagnostic {
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

/// Reads weighed pieces; none when nothing can be made of them.
pub(super) fn weighed(
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
        Some(unit) => super::rows::in_unit(notes, word, unit)?,
        None => super::rows::quantity_in(notes, word, Expect::Dimension(dimension))?,
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
