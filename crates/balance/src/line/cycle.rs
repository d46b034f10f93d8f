//! The shortest cycle for a given number of stations (SALBP-2).
//!
//! A line of at most m stations for cycle c is one for any longer cycle, so the shortest cycle is found by
//! halving an interval, each probe being a search for a line of at most m stations (Scholl & Becker 2006,
//! section 3.2). Probes are first given little work and then more, so that easy ones narrow the
//! interval before a hard one can eat the limit.

use super::meter::Meter;
use super::model::Model;
use super::search::{bound, next_fit, solve};
use super::{Balance, Goal, Limit, LineError, LineProblem};

/// Nodes for one probe in each round; the last round has what is left.
const ROUNDS: [u64; 4] = [50_000, 1_000_000, 20_000_000, u64::MAX];

/// The shortest cycle for a given number of stations (SALBP-2).
///
/// The cycle returned is the longest station of the line found. With more stations than the work can use
/// some stay empty. Stops at `limit` with the best line, the bound proved and `proved: false`.
///
/// # Errors
/// [`LineError::NoStations`] for `stations` 0; rings, unknown tasks and no work as for
/// [`fewest_stations`](super::fewest_stations).
pub fn shortest_cycle(
    problem: &LineProblem,
    stations: usize,
    limit: &Limit<'_>,
) -> Result<Balance, LineError> {
    let model = Model::new(problem)?;
    if stations == 0 {
        return Err(LineError::NoStations);
    }
    let mut meter = Meter::new(limit);
    let mut bracket = Bracket::new(&model, stations as u64);
    for share in ROUNDS {
        bracket.narrow(share, limit.states, &mut meter);
    }
    Ok(Balance::of(
        problem,
        Goal::ShortestCycle,
        bracket.station_of,
        (stations, bracket.reached),
        bracket.least,
        meter.used(),
    ))
}

/// What is known of the shortest cycle.
struct Bracket<'a> {
    model: &'a Model,
    stations: u64,
    /// Proved: no cycle below this will do.
    least: u64,
    /// The cycle of the best line.
    reached: u64,
    station_of: Vec<usize>,
}

impl<'a> Bracket<'a> {
    fn new(model: &'a Model, stations: u64) -> Self {
        let content = model.total.div_ceil(stations);
        let mut bracket = Bracket {
            model,
            stations,
            least: content.max(model.longest().1),
            reached: model.total,
            station_of: vec![0; model.times.len()],
        };
        bracket.start();
        bracket.raise_least();
        bracket
    }

    /// A first line by filling stations in order; content + longest task is always long enough.
    fn start(&mut self) {
        let sure = self.least + self.model.longest().1;
        let station_of = next_fit(self.model, sure);
        if station_of
            .iter()
            .all(|&station| (station as u64) < self.stations)
        {
            self.take(station_of);
        }
    }

    /// Halving by bounds alone: a cycle whose bound is too many stations, and all below it, are out.
    fn raise_least(&mut self) {
        let mut high = self.reached;
        while self.least < high {
            let middle = self.least + (high - self.least) / 2;
            if bound(self.model, middle) > self.stations {
                self.least = middle + 1;
            } else {
                high = middle;
            }
        }
    }

    fn take(&mut self, station_of: Vec<usize>) {
        let mut loads = vec![0_u64; self.model.times.len()];
        for (task, &station) in station_of.iter().enumerate() {
            loads[station] += self.model.times[task];
        }
        let cycle = loads.into_iter().max().unwrap_or(0);
        if cycle < self.reached {
            self.reached = cycle;
            self.station_of = station_of;
        }
    }

    /// One round of halving with `share` nodes a probe; a probe that runs out only moves the round on.
    fn narrow(&mut self, share: u64, states: usize, meter: &mut Meter<'_>) {
        let mut low = self.least;
        while low < self.reached && !meter.halted() {
            let middle = low + (self.reached - low) / 2;
            let mut part = meter.part(share);
            let (below, enough) = (self.stations + 1, self.stations);
            let verdict = solve(self.model, middle, below, enough, states, &mut part);
            meter.absorb(&part);
            if let Some(station_of) = verdict.station_of {
                self.take(station_of);
                continue;
            }
            low = middle + 1;
            if verdict.lower > self.stations {
                self.least = self.least.max(low);
            }
        }
    }
}
