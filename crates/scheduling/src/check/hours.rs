//! Hours as the checker sees them: a span cut wherever anything opens, closes, stops or changes shift.

use crate::calendar::{Span, Tick};
use crate::problem::{Draft, Mode};

/// A part of a span in which nothing changes.
pub(super) struct Piece {
    pub(super) span: Span,
    pub(super) open: bool,
    pub(super) stopped: bool,
}

/// People of a crew at a tick: what its steps say, and all it ever has from the horizon on.
pub(super) fn people(draft: &Draft, crew: usize, at: Tick) -> u32 {
    let steps = &draft.crews[crew].people;
    if at >= draft.horizon {
        return steps.iter().map(|step| step.1).max().unwrap_or(0);
    }
    let next = steps.partition_point(|step| step.0 <= at);
    next.checked_sub(1).map_or(0, |last| steps[last].1)
}

/// Cuts a span on a unit of a mode's station; people count only if `with_crews`.
pub(super) fn pieces(
    draft: &Draft,
    mode: &Mode,
    unit: usize,
    span: Span,
    with_crews: bool,
) -> Vec<Piece> {
    let station = &draft.stations[mode.station];
    let calendar = draft.calendars[station.calendar].spans();
    let mut cuts = vec![span.from, span.until, draft.horizon];
    let near = calendar.partition_point(|open| open.until < span.from);
    for open in calendar[near..]
        .iter()
        .take_while(|open| open.from <= span.until)
    {
        cuts.extend([open.from, open.until]);
    }
    let stops = station.stops.iter().filter(|stop| stop.0 == unit);
    cuts.extend(stops.flat_map(|stop| [stop.1.from, stop.1.until]));
    if with_crews {
        for (crew, _) in &mode.crews {
            let steps = &draft.crews[*crew].people;
            let near = steps.partition_point(|step| step.0 < span.from);
            let inside = steps[near..].iter().take_while(|s| s.0 < span.until);
            cuts.extend(inside.map(|step| step.0));
        }
    }
    cuts.retain(|cut| span.from <= *cut && *cut <= span.until);
    cuts.sort_unstable();
    cuts.dedup();
    let piece = |pair: &[Tick]| {
        let at = pair[0];
        let hit = calendar.partition_point(|open| open.until <= at);
        let in_calendar =
            at >= draft.horizon || calendar.get(hit).is_some_and(|open| open.from <= at);
        let stopped = station
            .stops
            .iter()
            .any(|stop| stop.0 == unit && stop.1.from <= at && at < stop.1.until);
        let staffed = !with_crews
            || mode
                .crews
                .iter()
                .all(|(crew, need)| people(draft, *crew, at) >= *need);
        Piece {
            span: Span::new(at, pair[1]),
            open: in_calendar && !stopped && staffed,
            stopped,
        }
    };
    cuts.windows(2).map(piece).collect()
}

/// Open ticks of all pieces, and the most in one go.
pub(super) fn open_ticks(pieces: &[Piece]) -> (Tick, Tick) {
    let (mut all, mut run, mut most) = (0, 0, 0);
    for piece in pieces {
        if piece.open {
            all += piece.span.ticks();
            run += piece.span.ticks();
            most = most.max(run);
        } else {
            run = 0;
        }
    }
    (all, most)
}
