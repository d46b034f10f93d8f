//! Two grids compared: what their difference says of the error, and the answer moved towards the limit.

use crate::solve::mesh::Mesh;
use crate::solve::track::{Row, TRACES, Track};
use crate::trace::{Sample, between};

/// Temperatures of the piece among the traces, and its heat.
const COMPARED: [usize; 5] = [0, 1, 2, 3, HEAT];
const MIDDLE: usize = 1;
const MEAN: usize = 3;
const HEAT: usize = 5;

/// A coarse stage read at rising times.
struct Reader<'a> {
    rows: &'a [Row],
    at: usize,
}

impl Reader<'_> {
    /// Values and slopes at a time not before the one asked for last.
    fn read(&mut self, time_s: f64) -> ([f64; TRACES], [f64; TRACES]) {
        while self.at + 2 < self.rows.len() && self.rows[self.at + 1].time_s < time_s {
            self.at += 1;
        }
        let (a, b) = (
            &self.rows[self.at],
            &self.rows[(self.at + 1).min(self.rows.len() - 1)],
        );
        if time_s <= a.time_s || b.time_s <= a.time_s {
            return (a.value, a.slope);
        }
        if time_s >= b.time_s {
            return (b.value, b.slope);
        }
        let mut found = ([0.0; TRACES], [0.0; TRACES]);
        let share = (time_s - a.time_s) / (b.time_s - a.time_s);
        for i in 0..TRACES {
            let sample = |row: &Row| Sample {
                time_s: row.time_s,
                value: row.value[i],
                slope_per_s: row.slope[i],
            };
            found.0[i] = between(sample(a), sample(b), time_s);
            found.1[i] = slope_between(sample(a), sample(b), share);
        }
        found
    }
}

/// Slope of the cubic between two samples.
fn slope_between(a: Sample, b: Sample, s: f64) -> f64 {
    let even = (b.value - a.value) / (b.time_s - a.time_s);
    6.0 * s * (1.0 - s) * even
        + (1.0 - s) * (1.0 - 3.0 * s) * a.slope_per_s
        + s * (3.0 * s - 2.0) * b.slope_per_s
}

/// How fast the piece goes through a stage, K/s: the rate of the mean, the middle or the heat, whichever is
/// fastest, each weighted with what it covers, so that a long rest at the end does not count.
fn pace(rows: &[Row], kelvin_per_joule: f64) -> f64 {
    let of = |trace: usize| {
        let (mut covered, mut weighted) = (0.0, 0.0);
        for pair in rows.windows(2) {
            let span = pair[1].time_s - pair[0].time_s;
            let change = (pair[1].value[trace] - pair[0].value[trace]).abs();
            if span > 0.0 {
                covered += change;
                weighted += change * change / span;
            }
        }
        if covered > 0.0 {
            weighted / covered
        } else {
            0.0
        }
    };
    of(MIDDLE).max(of(MEAN)).max(of(HEAT) * kelvin_per_joule)
}

/// The average rate of every trace in a stage, K/s and W.
fn averages(rows: &[Row]) -> [f64; TRACES] {
    let lasts = rows.last().map_or(0.0, |r| r.time_s) - rows.first().map_or(0.0, |r| r.time_s);
    let mut covered = [0.0; TRACES];
    for pair in rows.windows(2) {
        for (i, covered) in covered.iter_mut().enumerate() {
            *covered += (pair[1].value[i] - pair[0].value[i]).abs();
        }
    }
    covered.map(|c| if lasts > 0.0 { c / lasts } else { 0.0 })
}

/// The greatest difference of a temperature between two runs, K. Where a trace runs faster than the piece as a
/// whole and than its own average, as a face does just after a jump, the difference counts as the time by which
/// the two are apart, at the faster of these paces. Heat counts as the temperature it stands for over the whole range, so that a piece which
/// melts at one temperature has an error too.
pub(crate) fn difference(fine: &Track, coarse: &Track, kelvin_per_joule: f64) -> f64 {
    let mut most: f64 = 0.0;
    for (rows, coarse_rows) in fine.stages.iter().zip(&coarse.stages) {
        let whole = pace(rows, kelvin_per_joule);
        let averages = averages(rows);
        let mut reader = Reader {
            rows: coarse_rows,
            at: 0,
        };
        for row in rows {
            let (value, _) = reader.read(row.time_s);
            for i in COMPARED {
                let unit = if i == HEAT { kelvin_per_joule } else { 1.0 };
                let apart = unit * (row.value[i] - value[i]).abs();
                let slope = unit * row.slope[i].abs();
                let pace = whole.max(unit * averages[i]);
                let counts = if pace > 0.0 && slope > pace {
                    pace / slope
                } else {
                    1.0
                };
                most = most.max(apart * counts);
            }
        }
    }
    most
}

/// Moves the fine run by a third of its difference from the coarse one (Richardson 1911), which takes away the
/// leading error of a scheme of second order. Temperatures stay in the range there can be.
pub(crate) fn improve(fine: &mut Track, coarse: &Track, range_k: [f64; 2]) {
    for (rows, coarse_rows) in fine.stages.iter_mut().zip(&coarse.stages) {
        let mut reader = Reader {
            rows: coarse_rows,
            at: 0,
        };
        for row in rows {
            let (value, slope) = reader.read(row.time_s);
            for i in 0..TRACES {
                row.value[i] += (row.value[i] - value[i]) / 3.0;
                row.slope[i] += (row.slope[i] - slope[i]) / 3.0;
                if i != HEAT {
                    row.value[i] = row.value[i].clamp(range_k[0], range_k[1]);
                }
            }
        }
    }
    for (profile, coarse) in fine.profiles.iter_mut().zip(&coarse.profiles) {
        improve_profile(profile, coarse, range_k);
    }
}

/// Every second node of the fine grid is one of the coarse; those between move with their neighbours.
fn improve_profile(fine: &mut [f64], coarse: &[f64], [low, high]: [f64; 2]) {
    let moves: Vec<f64> = coarse
        .iter()
        .enumerate()
        .map(|(i, t)| (fine[2 * i] - t) / 3.0)
        .collect();
    for (i, t) in fine.iter_mut().enumerate() {
        *t += 0.5 * (moves[i / 2] + moves[i.div_ceil(2)]);
        *t = t.clamp(low, high);
    }
}

/// Whether the leading error can be taken away: not where a front of melting jumps from node to node.
pub(super) fn smooth(mesh: &Mesh, range_k: [f64; 2]) -> bool {
    !mesh.stands_still(range_k)
}
