//! Measured loads: temperatures along time, and weights of pieces along time.

use jiff::civil::DateTime;

use super::Place;
use crate::source::{FileId, Span};

/// Temperatures of several probes along time.
///
/// A million rows is an hour of ten probes in a fast logger and more; values lie row after row in one list.
#[derive(Clone, Debug)]
pub struct ProbeLog {
    /// The name of its file in the folder `readings/logs`.
    pub name: String,
    /// The file.
    pub file: FileId,
    /// When the first row was written, if times are dates.
    pub starts: Option<DateTime>,
    /// The probes, in order of column.
    pub probes: Vec<Probe>,
    /// s since the first row, rising.
    times_s: Vec<f64>,
    /// The line of each row in its file, from 1.
    lines: Vec<u32>,
    /// K, row after row; no number where nothing was read.
    values_k: Vec<f64>,
}

/// A probe.
#[derive(Clone, Debug)]
pub struct Probe {
    /// Its name.
    pub name: String,
    /// Where its name stands.
    pub at: Span,
    /// Where it was put, if the log says so.
    pub place: Option<Place>,
}

impl ProbeLog {
    /// A log without rows.
    pub fn new(name: &str, file: FileId, probes: Vec<Probe>) -> Self {
        Self {
            name: name.to_owned(),
            file,
            starts: None,
            probes,
            times_s: Vec::new(),
            lines: Vec::new(),
            values_k: Vec::new(),
        }
    }

    /// Adds a row after the last.
    pub fn push(&mut self, time_s: f64, line: u32, values_k: &[f64]) {
        debug_assert_eq!(values_k.len(), self.probes.len());
        debug_assert!(self.times_s.last().is_none_or(|&last| last < time_s));
        self.times_s.push(time_s);
        self.lines.push(line);
        self.values_k.extend_from_slice(values_k);
    }

    /// s since the first row, rising.
    pub fn times_s(&self) -> &[f64] {
        &self.times_s
    }

    /// The line of a row in its file, from 1.
    pub fn line(&self, row: usize) -> u32 {
        self.lines[row]
    }

    /// What a probe read in a row, K.
    pub fn value_k(&self, row: usize, probe: usize) -> Option<f64> {
        let value = self.values_k[row * self.probes.len() + probe];
        (!value.is_nan()).then_some(value)
    }

    /// What a probe read, s and K, missing readings left out.
    pub fn readings(&self, probe: usize) -> impl Iterator<Item = (f64, f64)> {
        (0..self.times_s.len())
            .filter_map(move |row| Some((self.times_s[row], self.value_k(row, probe)?)))
    }
}

/// Weights of pieces along time.
#[derive(Clone, Debug)]
pub struct Weighing {
    /// The name of its file in the folder `readings/weighed`.
    pub name: String,
    /// The file.
    pub file: FileId,
    /// The pieces, in order of first mention.
    pub pieces: Vec<WeighedPiece>,
}

/// A piece that was weighed again and again.
#[derive(Clone, Debug)]
pub struct WeighedPiece {
    /// Its name.
    pub name: String,
    /// Where it is first named.
    pub at: Span,
    /// s since its first weighing, rising, and kg; at least two.
    pub weights: Vec<(f64, f64)>,
}
