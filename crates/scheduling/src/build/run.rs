//! When work can run on a line and how long it then takes, whatever else is booked there.

use crate::calendar::{FAR, LONG_AGO, Span, Tick};
use crate::problem::{Over, Problem, Way};

/// The first run of so many ticks that starts at or after a tick.
pub(crate) fn earliest(
    problem: &Problem,
    way: &Way,
    ticks: Tick,
    line: usize,
    from: Tick,
) -> (Tick, Tick) {
    let hours = problem.hours(way.crew, line);
    match way.over {
        Over::Pauses => {
            let start = hours.next_open(from).unwrap_or(FAR);
            (start, hours.finish(start, ticks).unwrap_or(FAR))
        }
        Over::Whole => {
            let start = hours.whole(from, ticks).unwrap_or(FAR);
            (start, start + ticks)
        }
        Over::RunsOn => {
            let stops = &problem.lines[line].stops;
            let mut start = hours.next_open(from).unwrap_or(FAR);
            while let Some(stop) = stops.pieces(Span::new(start, start + ticks)).next() {
                // Nothing within the stop is open, so this is past it.
                start = hours.next_open(stop.from).unwrap_or(FAR);
            }
            (start, start + ticks)
        }
    }
}

/// When a run has so many of its ticks behind it.
pub(crate) fn progress(problem: &Problem, way: &Way, line: usize, start: Tick, done: Tick) -> Tick {
    match way.over {
        Over::Pauses => {
            let hours = problem.hours(way.crew, line);
            hours.finish(start, done).unwrap_or(FAR)
        }
        Over::Whole | Over::RunsOn => start + done,
    }
}

/// The earliest start from which the tick after so many is not begun before a tick.
pub(crate) fn start_for(problem: &Problem, way: &Way, line: usize, at: Tick, done: Tick) -> Tick {
    match way.over {
        Over::Pauses => {
            let hours = problem.hours(way.crew, line);
            hours.start(at, done).unwrap_or(LONG_AGO)
        }
        Over::Whole | Over::RunsOn => at - done,
    }
}

/// When a set-up that may begin at a tick is done.
pub(crate) fn set_up_done(problem: &Problem, line: usize, from: Tick, ticks: Tick) -> Tick {
    if ticks == 0 {
        return from;
    }
    let line = &problem.lines[line];
    if problem.draft.stations[line.station].setups.pauses {
        line.hours.finish(from, ticks).unwrap_or(FAR)
    } else {
        line.hours.whole(from, ticks).unwrap_or(FAR) + ticks
    }
}
