//! Load: hours per station and crew over the horizon, the bottleneck, waits and lead times.
//!
//! The levels of the material balance say how much each operation attempts; this module turns
//! them into time. Rooms, in reading order:
//!
//! | file | what |
//! |---|---|
//! | `open` | what the calendars give, in all and by week |
//! | `staffed` | the part of it in which a station's people are there |
//! | `lots` | what is started for the orders, in which sequence |
//! | `work` | the time one operation takes of one station |
//! | `changeover` | time lost between unlike lots |
//! | `spread` | sharing work among stations that can all do it |
//! | `people` | hours wanted of each skill, given to crews |
//! | `queue` | the queue before each station |
//! | `lead` | waits and lead times |
//! | `line` | manual work split over people |
//! | `explain` | the figures' derivations |
//!
//! What it takes for granted, and says in its answer: work is counted in the week its order is
//! due; loads are not shared between lots; the sequence is that of due dates; people are tied up
//! for all of a station's time, stops included.

mod changeover;
mod explain;
mod lead;
mod line;
mod lots;
mod open;
mod people;
mod queue;
mod spread;
mod staffed;
#[cfg(test)]
mod tests;
mod work;

use jiff::civil::Date;
use serde::Serialize;
use works::{Diagnostic, ItemId, OperationId, Pace, RouteId, StationId, Works};

pub use changeover::{Changeovers, RuleCount, matching};
pub use explain::explain;
pub use lead::{LeadTime, Piece, PieceKind};
pub use line::{LineAnswer, ManualLine};
pub use lots::{Lot, Lots, attribute, made};
pub use open::{Open, Week};
pub use people::{CrewLoad, People, SkillLoad};
pub use queue::{Queue, vut, with_stops};
pub use work::{Loads, Samples, Seconds, Shift, Work, loads_of, tool_lives};

/// The load of one station.
#[derive(Clone, Debug, Serialize)]
pub struct StationLoad {
    /// The station.
    pub station: StationId,
    /// Its name.
    pub name: String,
    /// How many alike.
    pub count: u32,
    /// Time wanted, by what takes it.
    pub seconds: Seconds,
    /// Time wanted, all together.
    pub wanted_s: f64,
    /// Open time of one over the horizon, by its own calendar.
    pub open_s: f64,
    /// The part of it in which people who can run it are there; all of it where it needs nobody.
    pub staffed_s: f64,
    /// Staffed time of all.
    pub available_s: f64,
    /// Wanted over available; none where the station never opens.
    pub utilisation: Option<f64>,
    /// How many would be needed; none where the station never opens.
    pub needed: Option<u32>,
    /// Time left; below zero where too much is wanted.
    pub left_s: f64,
    /// Changeovers by rule.
    pub changeovers: Vec<RuleCount>,
    /// Utilisation in each week of [`LoadAnswer::weeks`]; none where it is closed.
    pub by_week: Vec<Option<f64>>,
    /// Whether it is the bottleneck.
    pub bottleneck: bool,
}

/// How often a changeover rule applied.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct ChangeoverCount {
    /// The station.
    pub station: StationId,
    /// The route changed over to.
    pub route: RouteId,
    /// Position of the rule among the station's.
    pub rule: usize,
    /// Times it applied.
    pub count: u32,
}

/// Items used up by changeovers.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ChangeoverUse {
    /// The station.
    pub station: StationId,
    /// The route changed over to.
    pub route: RouteId,
    /// What is used up.
    pub item: ItemId,
    /// How much, base units.
    pub amount: f64,
}

/// How work was shared among stations that can all do it.
#[derive(Clone, Debug, Serialize)]
pub struct Shared {
    /// The method, as a footnote names it.
    pub method: &'static str,
    /// Highest utilisation with all work at its usual station.
    pub usual_highest: f64,
    /// Highest utilisation as shared.
    pub highest: f64,
}

/// The load of a works over a horizon.
#[derive(Clone, Debug, Serialize)]
pub struct LoadAnswer {
    /// First day.
    pub from: Date,
    /// Last day.
    pub until: Date,
    /// By [`StationId`].
    pub stations: Vec<StationLoad>,
    /// The work of every operation at every station that gets some of it, by operation.
    pub work: Vec<Work>,
    /// Skills and crews.
    pub people: People,
    /// Weeks of the horizon.
    pub weeks: Vec<Week>,
    /// The station with the highest utilisation.
    pub bottleneck: Option<StationId>,
    /// Queues, by [`StationId`]; none where there is no work.
    pub queues: Vec<Option<Queue>>,
    /// Lead times, by [`RouteId`].
    pub routes: Vec<LeadTime>,
    /// Manual work that may be split.
    pub lines: Vec<ManualLine>,
    /// How work was shared, where there was a choice.
    pub shared: Option<Shared>,
    /// How often each changeover rule applied, by route changed over to.
    pub changeovers: Vec<ChangeoverCount>,
    /// Items used up by changeovers.
    pub changeover_uses: Vec<ChangeoverUse>,
    /// Lots of each route, by [`RouteId`].
    pub lots_of: Vec<f64>,
    /// What this answer takes for granted, in plain sentences.
    pub assumes: Vec<&'static str>,
    /// What cannot be done.
    pub diagnostics: Vec<Diagnostic>,
    /// The lots themselves.
    #[serde(skip)]
    pub lots: Lots,
}

const ASSUMES: [&str; 8] = [
    "work is counted in the week in which its order is due",
    "loads are not shared between lots",
    "orders share a lot only where they are due in the same week and agree in their attributes",
    "a station paced by the piece or by a flow runs only while its people are there; loads run on by themselves",
    "changeovers are counted over the sequence of due dates",
    "people are tied up for all of a station's time, stops included",
    "jobs arrive at stations with a squared coefficient of variation of 1",
    "a set-up is paid once a lot at each operation",
];

/// Works out the load. `levels` are units attempted at each operation over the horizon, base units;
/// `line_nodes` limits the search for the best split of each line of manual work.
pub fn load(works: &Works, levels: &[f64], from: Date, until: Date, line_nodes: u64) -> LoadAnswer {
    let mut open = Open::between(works, from, until);
    open.staff(works, levels);
    let lots = Lots::plan(works, levels, until);
    let (mut work, shared) = share_out(works, levels, &lots, &open);
    let changes = changeovers(works, &work, &lots);
    let counts = counts(&changes);
    charge_changeovers(works, &mut work, &counts);
    let mut stations = station_loads(works, &work, &changes, &open);
    weekly(works, &mut stations, &work, &changes, &lots, &open);
    let bottleneck = bottleneck(&mut stations);
    let people = people::people(works, &work, &lots, &open);
    let queues = queue::queues(works, &work, &stations, &lots);
    let routes = lead::lead_times(works, &work, &stations, &queues, &lots, &open);
    let lines = line::lines(works, levels, &open, line_nodes);
    let diagnostics = diagnose(works, &stations, &people, &work, &open);
    LoadAnswer {
        from,
        until,
        changeovers: counts,
        changeover_uses: uses(&changes),
        lots_of: lots.count.clone(),
        weeks: open.weeks,
        assumes: ASSUMES.to_vec(),
        stations,
        work,
        people,
        bottleneck,
        queues,
        routes,
        lines,
        shared,
        diagnostics,
        lots,
    }
}

/// Stations that can do an operation, with their paces, the usual one first.
pub fn places(works: &Works, id: OperationId) -> Vec<(Option<StationId>, &Pace)> {
    let operation = works.operation(id);
    let others = operation.alternatives.iter();
    let others = others.map(|other| {
        (
            Some(other.station),
            other.pace.as_ref().unwrap_or(&operation.pace),
        )
    });
    std::iter::once((operation.station, &operation.pace))
        .chain(others)
        .collect()
}

/// The work of every operation, shared among its stations.
fn share_out(
    works: &Works,
    levels: &[f64],
    lots: &Lots,
    open: &Open,
) -> (Vec<Work>, Option<Shared>) {
    let mut problem = spread::Problem {
        fixed: vec![0.0; works.stations.len()],
        available: available(works, open),
        choices: Vec::new(),
    };
    let mut candidates: Vec<Vec<Work>> = Vec::with_capacity(works.operations.len());
    for (index, &level) in levels.iter().enumerate().take(works.operations.len()) {
        let at = |(station, pace): (Option<StationId>, &Pace)| {
            let calendar = station.map(|id| works.station(id).calendar);
            let shift = Shift {
                length_s: calendar.map_or(8.0 * 3600.0, |c| open.shift_s(c)),
            };
            work::work_at(works, OperationId(index), station, pace, level, lots, shift)
        };
        let mut all: Vec<Work> = places(works, OperationId(index))
            .into_iter()
            .map(at)
            .collect();
        let opens = |w: &Work| w.station.is_none_or(|s| problem.available[s.0] > 0.0);
        if all.iter().any(opens) {
            all.retain(opens);
        }
        match (&all[..], all[0].station) {
            ([only], Some(station)) => problem.fixed[station.0] += only.seconds.total(),
            ([_], None) | ([], _) => {}
            _ => problem.choices.push(choice(&all)),
        }
        candidates.push(all);
    }
    let (shares, shared) = shares(&problem);
    let mut shares = shares.into_iter();
    let dealt = candidates.into_iter().flat_map(|all| {
        if all.len() == 1 {
            all
        } else {
            deal(all, &shares.next().unwrap_or_default())
        }
    });
    (dealt.collect(), shared)
}

fn choice(all: &[Work]) -> spread::Choice {
    let at = all
        .iter()
        .filter_map(|work| Some((work.station?.0, work.seconds.total())));
    spread::Choice { at: at.collect() }
}

fn available(works: &Works, open: &Open) -> Vec<f64> {
    let all = works.stations.iter().enumerate();
    all.map(|(id, station)| open.staffed_s(works, StationId(id)) * f64::from(station.count))
        .collect()
}

fn shares(problem: &spread::Problem) -> (Vec<Vec<f64>>, Option<Shared>) {
    let usual: Vec<Vec<f64>> = problem
        .choices
        .iter()
        .map(|choice| {
            (0..choice.at.len())
                .map(|at| f64::from(u8::from(at == 0)))
                .collect()
        })
        .collect();
    if problem.choices.is_empty() {
        return (usual, None);
    }
    let usual_highest = spread::highest(problem, &usual);
    let solved = spread::least_highest(problem);
    let method = match solved {
        Some(_) => {
            "linear program (simplex): shares of work so that the highest utilisation is least"
        }
        None => "all work at the usual station: too many choices for the linear program",
    };
    let shares = solved.unwrap_or(usual);
    let highest = spread::highest(problem, &shares);
    (
        shares,
        Some(Shared {
            method,
            usual_highest,
            highest,
        }),
    )
}

/// Deals an operation's work to its stations.
fn deal(all: Vec<Work>, shares: &[f64]) -> Vec<Work> {
    let dealt = all
        .into_iter()
        .zip(shares.iter().copied().chain(std::iter::repeat(0.0)));
    let some = dealt.filter(|(_, share)| *share > 1e-9);
    some.map(|(work, share)| Work {
        share,
        level: work.level * share,
        lots: work.lots * share,
        loads: work.loads.map(|loads| Loads {
            count: loads.count * share,
            ..loads
        }),
        seconds: work.seconds.times(share),
        ..work
    })
    .collect()
}

/// Changeovers of every station.
fn changeovers(works: &Works, work: &[Work], lots: &Lots) -> Vec<Changeovers> {
    let mut visits: Vec<Vec<(RouteId, f64)>> = vec![Vec::new(); works.stations.len()];
    for piece in work.iter().filter(|piece| piece.level > 0.0) {
        let Some(station) = piece.station else {
            continue;
        };
        match visits[station.0]
            .iter_mut()
            .find(|(route, _)| *route == piece.route)
        {
            Some((_, share)) => *share = share.max(piece.share),
            None => visits[station.0].push((piece.route, piece.share)),
        }
    }
    let of = |(station, visits): (&works::Station, Vec<(RouteId, f64)>)| {
        if station.changeovers.is_empty() {
            return Changeovers::default();
        }
        let sequence = sequence(lots, &visits);
        changeover::count(
            works,
            station,
            sequence.into_iter().map(|position| &lots.lots[position]),
        )
    };
    works.stations.iter().zip(visits).map(of).collect()
}

/// Lots that come to a station, in sequence. Where it gets a share of a route's work, so many of
/// its lots, evenly picked.
fn sequence(lots: &Lots, visits: &[(RouteId, f64)]) -> Vec<usize> {
    let mut all = Vec::new();
    for &(route, share) in visits {
        let picked = |number: usize| {
            let turns = |n: usize| (n as f64 * share * (1.0 + 1e-12)).floor();
            share >= 1.0 - 1e-9 || turns(number + 1) > turns(number)
        };
        let of = lots.of_route[route.0].iter().enumerate();
        all.extend(
            of.filter(|(number, _)| picked(*number))
                .map(|(_, &position)| position),
        );
    }
    all.sort_unstable();
    all
}

/// Puts changeover time on the first operation of the route at the station.
fn charge_changeovers(works: &Works, work: &mut [Work], counts: &[ChangeoverCount]) {
    for count in counts {
        let here = |piece: &&mut Work| {
            piece.route == count.route && piece.station == Some(count.station) && piece.level > 0.0
        };
        if let Some(piece) = work.iter_mut().find(here) {
            let rule = &works.station(count.station).changeovers[count.rule];
            piece.seconds.changeover_s += f64::from(count.count) * rule.time.mean();
        }
    }
}

fn counts(changes: &[Changeovers]) -> Vec<ChangeoverCount> {
    let all = changes.iter().enumerate();
    let of = all.flat_map(|(station, changes)| {
        changes
            .by_route
            .iter()
            .map(move |(&(route, rule), &count)| ChangeoverCount {
                station: StationId(station),
                route,
                rule,
                count,
            })
    });
    of.collect()
}

fn uses(changes: &[Changeovers]) -> Vec<ChangeoverUse> {
    let all = changes.iter().enumerate();
    let of = all.flat_map(|(station, changes)| {
        changes
            .uses
            .iter()
            .map(move |(&(route, item), &amount)| ChangeoverUse {
                station: StationId(station),
                route,
                item,
                amount,
            })
    });
    of.collect()
}

fn station_loads(
    works: &Works,
    work: &[Work],
    changes: &[Changeovers],
    open: &Open,
) -> Vec<StationLoad> {
    let mut seconds = vec![Seconds::default(); works.stations.len()];
    for piece in work {
        if let Some(station) = piece.station {
            seconds[station.0] = seconds[station.0].plus(&piece.seconds);
        }
    }
    let all = works.stations.iter().zip(seconds).zip(changes).enumerate();
    all.map(|(index, ((station, seconds), changes))| {
        let open_s = open.seconds(station.calendar);
        let staffed_s = open.staffed_s(works, StationId(index));
        let available_s = staffed_s * f64::from(station.count);
        let wanted_s = seconds.total();
        StationLoad {
            station: StationId(index),
            name: station.name.clone(),
            count: station.count,
            seconds,
            wanted_s,
            open_s,
            staffed_s,
            available_s,
            utilisation: (available_s > 0.0).then(|| wanted_s / available_s),
            needed: (staffed_s > 0.0).then(|| work::loads_of(wanted_s / staffed_s) as u32),
            left_s: available_s - wanted_s,
            changeovers: changes.rules.clone(),
            by_week: Vec::new(),
            bottleneck: false,
        }
    })
    .collect()
}

/// Utilisation week by week, by due date.
fn weekly(
    works: &Works,
    stations: &mut [StationLoad],
    work: &[Work],
    changes: &[Changeovers],
    lots: &Lots,
    open: &Open,
) {
    let weeks = open.weeks.len();
    let mut wanted = vec![vec![0.0; weeks]; stations.len()];
    let shares: Vec<Vec<f64>> = (0..works.routes.len())
        .map(|route| week_shares(lots, RouteId(route), open))
        .collect();
    for piece in work {
        let Some(station) = piece.station else {
            continue;
        };
        let steady = piece.seconds.total() - piece.seconds.changeover_s;
        for (week, share) in shares[piece.route.0].iter().enumerate() {
            wanted[station.0][week] += steady * share;
        }
    }
    for (station, load) in stations.iter_mut().enumerate() {
        for (&due, &seconds) in &changes[station].by_due_s {
            wanted[station][open.week_of(due)] += seconds;
        }
        let Some(made_at) = works.stations.get(station) else {
            continue;
        };
        let count = f64::from(made_at.count);
        let of = |(week, wanted): (usize, &f64)| {
            let available = open.staffed_week_s(works, StationId(station), week) * count;
            (available > 0.0).then(|| wanted / available)
        };
        load.by_week = wanted[station].iter().enumerate().map(of).collect();
    }
}

/// The share of a route's amount that is due in each week.
fn week_shares(lots: &Lots, route: RouteId, open: &Open) -> Vec<f64> {
    let mut shares = vec![0.0; open.weeks.len()];
    for (lot, share) in lots.shares(route) {
        shares[open.week_of(lot.due)] += share;
    }
    shares
}

fn bottleneck(stations: &mut [StationLoad]) -> Option<StationId> {
    let used = stations
        .iter_mut()
        .filter(|s| s.wanted_s > 0.0 && s.utilisation.is_some());
    // The first of equals, so walk backwards: `max_by` keeps the last.
    let highest = used.rev().max_by(|a, b| {
        a.utilisation
            .partial_cmp(&b.utilisation)
            .unwrap_or(std::cmp::Ordering::Equal)
    })?;
    highest.bottleneck = true;
    Some(highest.station)
}

fn diagnose(
    works: &Works,
    stations: &[StationLoad],
    people: &People,
    work: &[Work],
    open: &Open,
) -> Vec<Diagnostic> {
    // Where nobody is ever there, more people in its hours are missing, not more hours.
    let short = |s: &&StationLoad| {
        s.wanted_s > s.available_s * (1.0 + 1e-9) && (s.staffed_s > 0.0 || s.open_s <= 0.0)
    };
    let full = stations.iter().filter(short);
    let mut all: Vec<Diagnostic> = full
        .map(|load| beyond(works.station(load.station), load))
        .collect();
    all.extend(people.short(works));
    let busy = work.iter().filter(|piece| piece.level > 0.0);
    for piece in busy {
        all.extend(never_staffed(works, piece, open));
        all.extend(too_empty(works, piece));
    }
    all
}

/// The people of an operation are never there in its station's hours.
fn never_staffed(works: &Works, piece: &Work, open: &Open) -> Option<Diagnostic> {
    let id = piece
        .station
        .filter(|&id| open.never_staffed(piece.operation, id))?;
    let (station, operation) = (works.station(id), works.operation(piece.operation));
    let people = people::people_of(works, operation, piece);
    let skills: Vec<&str> = people
        .iter()
        .map(|(id, _)| works.skill(*id).name.as_str())
        .collect();
    let calendar = &works.calendar(station.calendar).name;
    let headline = format!(
        "the people for `{}` are never there while `{}` is open",
        operation.name, station.name
    );
    let found = format!(
        "crews with {} only outside its hours (`{calendar}`)",
        skills.join(" and ")
    );
    let help = "give it a calendar that its people work in, or the skill to a crew that works in its hours";
    let at = if operation.people.is_some() {
        operation.at
    } else {
        station.at
    };
    let fault = Diagnostic::fault("never-staffed", at, headline);
    Some(fault.sides("people in its hours", found).help(help))
}

/// The last load of some lot is emptier than the works finds worth starting.
fn too_empty(works: &Works, piece: &Work) -> Option<Diagnostic> {
    let loads = piece.loads.filter(|loads| loads.too_empty)?;
    let operation = works.operation(piece.operation);
    let place = piece.station.map_or(String::new(), |id| {
        format!(" of `{}`", works.station(id).name)
    });
    let percent = |share: f64| format!("{:.0} %", share * 100.0);
    let headline = format!(
        "a load{place} for `{}` is emptier than is worth starting",
        operation.name
    );
    let warning = Diagnostic::warning("load-too-empty", operation.at, headline).sides(
        format!("at least {} of a load", percent(loads.at_least)),
        format!("{} in the last load of a lot", percent(loads.emptiest)),
    );
    Some(warning.help("choose a lot that fills its loads, or let orders share a lot"))
}

/// More is wanted of a station than its calendar gives.
fn beyond(station: &works::Station, load: &StationLoad) -> Diagnostic {
    let hours = |s: f64| format!("{:.0} h", s / 3600.0);
    let missing = load.wanted_s - load.available_s;
    let help = match load.needed {
        Some(needed) => format!(
            "{} {} would be needed, or {} more open, or that much work moved, dropped or due later",
            needed,
            if needed == 1 { "of it" } else { "of them" },
            hours(missing),
        ),
        None => "its calendar has no shift in the horizon".to_owned(),
    };
    Diagnostic::fault(
        "demand-beyond-capacity",
        station.at,
        format!(
            "more work is wanted of `{}` than it has hours",
            station.name
        ),
    )
    .label(format!("{} at most", hours(load.available_s)))
    .sides(
        format!("at most {} of work", hours(load.available_s)),
        format!("{} of work", hours(load.wanted_s)),
    )
    .help(help)
}
