//! When a load must go in to be ready at a time of day.

use heat::window::Outlook;
use jiff::civil::{Date, DateTime};
use jiff::{Timestamp, ToSpan};
use works::Pace;
use works::calendar::Calendar;

use super::Recipe;
use super::answer::StartLine;

/// Days looked at for one on which the load is needed.
const DAYS: i64 = 14;

/// The next time that the load is needed, and when it has to go in for that. None where no time is stated or no dwell
/// does.
pub(super) fn line(recipe: &Recipe<'_>, found: &Outlook, today: Date) -> Option<StartLine> {
    let (needed, _) = recipe.heat.needed?;
    let mut last = None;
    for ahead in 0..DAYS {
        let day = today.checked_add(ahead.days()).ok()?;
        let needed = day.to_datetime(needed);
        if !takes_over(recipe, needed) {
            continue;
        }
        let line = at(recipe, found, needed)?;
        // The first load that can still be put in tomorrow or later: what today holds is under way.
        if line.latest.date() > today {
            return Some(line);
        }
        last = Some(line);
    }
    last
}

/// Longest that a load which is ready may wait for the next station to open, s.
const OPENS_WITHIN_S: i64 = 4 * 3600;

/// Whether the station of the next operation works at that moment, or opens soon after.
fn takes_over(recipe: &Recipe<'_>, at: DateTime) -> bool {
    let works = recipe.works;
    let route = works.route(recipe.operation.route);
    let next = route
        .operations
        .iter()
        .skip_while(|&&id| id != recipe.id)
        .nth(1)
        .and_then(|&id| works.operation(id).station);
    let Some(station) = next else {
        return true;
    };
    let calendar = works.calendar(works.station(station).calendar);
    instant(recipe, at).is_some_and(|at| {
        let opens = calendar.after(&works.time_zone, at);
        opens.is_some_and(|opens| opens.as_second() - at.as_second() <= OPENS_WITHIN_S)
    })
}

fn instant(recipe: &Recipe<'_>, at: DateTime) -> Option<Timestamp> {
    let zone = &recipe.works.time_zone;
    zone.to_ambiguous_timestamp(at).compatible().ok()
}

fn civil(recipe: &Recipe<'_>, at: Timestamp) -> DateTime {
    recipe.works.time_zone.to_datetime(at)
}

/// The start for one time at which the load is needed.
pub(super) fn at(recipe: &Recipe<'_>, found: &Outlook, needed: DateTime) -> Option<StartLine> {
    let window = found.window?;
    let ready = instant(recipe, needed)?;
    let before = |inside_s: f64| -> Option<Timestamp> {
        // Whole seconds, on the side that leaves more time.
        ready.checked_sub((inside_s.ceil() as i64).seconds()).ok()
    };
    let shortest = if window.shortest_by.is_some() {
        recipe.total_s(window.shortest_s)
    } else {
        recipe.dwell.total_s
    };
    let latest = before(shortest)?;
    let earliest = match window.longest_s {
        Some(longest) => Some(before(recipe.total_s(longest).floor())?),
        None => None,
    };
    let go_in = put_in(recipe, latest)
        .filter(|&(_, inside)| earliest.is_none_or(|first| inside >= first))
        .map(|(begin, _)| begin);
    let sentence = sentence(recipe, needed, latest, earliest, go_in);
    Some(StartLine {
        needed,
        latest: civil(recipe, latest),
        earliest: earliest.map(|at| civil(recipe, at)),
        go_in: go_in.map(|at| civil(recipe, at)),
        sentence,
    })
}

/// The latest moment at which loading can begin so that the load is in place by `latest`, and when it is: its turn lies
/// before the dwell, in time that the station works.
fn put_in(recipe: &Recipe<'_>, latest: Timestamp) -> Option<(Timestamp, Timestamp)> {
    let works = recipe.works;
    let station = works.station(recipe.operation.station?);
    let turn = match &recipe.operation.pace {
        Pace::Load(load) => load.turn.as_ref().map_or(0.0, works::Stated::mean),
        _ => 0.0,
    }
    .max(1.0);
    let calendar: &Calendar = works.calendar(station.calendar);
    let begin = calendar.subtract_work(&works.time_zone, latest, turn)?;
    let inside = calendar.add_work(&works.time_zone, begin, turn)?;
    Some((begin, inside))
}

fn sentence(
    recipe: &Recipe<'_>,
    needed: DateTime,
    latest: Timestamp,
    earliest: Option<Timestamp>,
    go_in: Option<Timestamp>,
) -> String {
    let show = |at: DateTime| at.strftime("%a %Y-%m-%d %H:%M").to_string();
    let latest = show(civil(recipe, latest));
    let not_before = earliest.map_or_else(String::new, |first| {
        format!(" and not before {}", show(civil(recipe, first)))
    });
    let people = match go_in {
        Some(at) => format!("begin to load {}", show(civil(recipe, at))),
        None => "the station is shut all that time".to_owned(),
    };
    format!(
        "to be ready {}, it must be inside by {latest}{not_before}: {people}.",
        show(needed)
    )
}
