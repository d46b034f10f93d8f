//! Staffed time: the part of a station's open time in which its people are there.
//!
//! An operation that is paced by the piece or by a flow needs its people all the time: it runs only
//! while, for every skill it needs, some crew that has it is at work. Loads run by themselves; people
//! only load and unload them, so that an oven with a tenth of a person stays open at night. A station
//! is staffed while at least one of the operations that it runs could run. A skill that no crew has
//! shuts nothing here: it is a fault of its own.

use std::collections::{BTreeMap, BTreeSet};

use jiff::Timestamp;
use jiff::civil::Date;
use works::{CalendarId, OperationId, Pace, StationId, Works};

use super::open::Week;
use super::places;

type Interval = (Timestamp, Timestamp);

/// For each skill needed, the calendars of the crews that have it.
type Needs = BTreeSet<BTreeSet<CalendarId>>;

/// Open seconds in which people are there.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Hours {
    pub(super) total_s: f64,
    pub(super) weekly_s: Vec<f64>,
}

/// Staffed time of all stations.
#[derive(Clone, Debug, Default)]
pub(super) struct Staffed {
    /// By [`StationId`]; none where all of its calendar is staffed.
    pub(super) hours: Vec<Option<Hours>>,
    /// Operations with stations whose people are never there while the station is open.
    pub(super) never: BTreeSet<(OperationId, StationId)>,
}

impl Staffed {
    /// Looks at every operation with work at every station that can do it.
    pub(super) fn of(works: &Works, levels: &[f64], weeks: &[Week]) -> Self {
        let mut rota = Rota {
            works,
            weeks,
            known: BTreeMap::new(),
            at_work: BTreeMap::new(),
        };
        let mut needs: Vec<BTreeSet<Needs>> = vec![BTreeSet::new(); works.stations.len()];
        let mut never = BTreeSet::new();
        let busy = levels.iter().take(works.operations.len()).enumerate();
        for (index, _) in busy.filter(|(_, level)| **level > 0.0) {
            let id = OperationId(index);
            for (station, pace) in places(works, id) {
                let Some(station) = station else { continue };
                let need = needs_of(works, id, station, pace);
                let alone = BTreeSet::from([need.clone()]);
                if rota
                    .hours(station, &alone)
                    .is_some_and(|hours| hours.total_s <= 0.0)
                {
                    never.insert((id, station));
                }
                needs[station.0].insert(need);
            }
        }
        let all = needs.iter().enumerate();
        let hours = all.map(|(station, needs)| rota.hours(StationId(station), needs));
        Self {
            hours: hours.collect(),
            never,
        }
    }
}

/// What an operation needs of crews at a station, apart from those with the station's own calendar.
fn needs_of(works: &Works, id: OperationId, station: StationId, pace: &Pace) -> Needs {
    if matches!(pace, Pace::Load(_)) {
        return Needs::new();
    }
    let station = works.station(station);
    let people = works
        .operation(id)
        .people
        .as_ref()
        .unwrap_or(&station.people);
    let crews = people
        .iter()
        .filter(|(_, count)| *count > 0.0)
        .map(|(skill, _)| {
            let able = works
                .crews
                .iter()
                .filter(|crew| crew.people > 0 && crew.skills.contains(skill));
            able.map(|crew| crew.calendar).collect::<BTreeSet<_>>()
        });
    crews
        .filter(|crews| !crews.is_empty() && !crews.contains(&station.calendar))
        .collect()
}

/// Looks up when crews are at work, once for each set of calendars.
struct Rota<'a> {
    works: &'a Works,
    weeks: &'a [Week],
    known: BTreeMap<(CalendarId, BTreeSet<Needs>), Hours>,
    at_work: BTreeMap<BTreeSet<CalendarId>, Vec<Interval>>,
}

impl Rota<'_> {
    /// None where something that the station does needs nobody else's calendar.
    fn hours(&mut self, station: StationId, needs: &BTreeSet<Needs>) -> Option<Hours> {
        if needs.is_empty() || needs.iter().any(BTreeSet::is_empty) {
            return None;
        }
        let key = (self.works.station(station).calendar, needs.clone());
        if !self.known.contains_key(&key) {
            let hours = self.count(key.0, needs);
            self.known.insert(key.clone(), hours);
        }
        self.known.get(&key).cloned()
    }

    fn count(&mut self, calendar: CalendarId, needs: &BTreeSet<Needs>) -> Hours {
        let mut there = Vec::new();
        for need in needs {
            let mut crews = need.iter();
            let Some(first) = crews.next() else { continue };
            let first = self.at_work(first).to_vec();
            there.extend(crews.fold(first, |both, crew| meet(&both, self.at_work(crew))));
        }
        let there = join(there);
        let calendar = self.works.calendar(calendar);
        let week_s = |week: &Week| {
            let open = calendar.intervals(&self.works.time_zone, week.from, week.until);
            length_s(&meet(&open, &there))
        };
        let weekly_s: Vec<f64> = self.weeks.iter().map(week_s).collect();
        Hours {
            total_s: weekly_s.iter().sum(),
            weekly_s,
        }
    }

    /// When any of these calendars is open, with a day before and after for shifts over midnight.
    fn at_work(&mut self, calendars: &BTreeSet<CalendarId>) -> &[Interval] {
        let (works, span) = (self.works, span(self.weeks));
        self.at_work.entry(calendars.clone()).or_insert_with(|| {
            let Some((from, until)) = span else {
                return Vec::new();
            };
            let of = |id: &CalendarId| works.calendar(*id).intervals(&works.time_zone, from, until);
            join(calendars.iter().flat_map(of).collect())
        })
    }
}

fn span(weeks: &[Week]) -> Option<(Date, Date)> {
    let (first, last) = (weeks.first()?.from, weeks.last()?.until);
    Some((
        first.yesterday().unwrap_or(first),
        last.tomorrow().unwrap_or(last),
    ))
}

/// Sorted and disjoint, with what overlaps or touches made one.
fn join(mut all: Vec<Interval>) -> Vec<Interval> {
    all.sort_unstable();
    let mut joined: Vec<Interval> = Vec::with_capacity(all.len());
    for (start, end) in all {
        match joined.last_mut() {
            Some(last) if start <= last.1 => last.1 = last.1.max(end),
            _ => joined.push((start, end)),
        }
    }
    joined
}

/// What two sorted, disjoint lists have in common.
fn meet(a: &[Interval], b: &[Interval]) -> Vec<Interval> {
    let (mut i, mut j) = (0, 0);
    let mut common = Vec::new();
    while let (Some(one), Some(other)) = (a.get(i), b.get(j)) {
        let (start, end) = (one.0.max(other.0), one.1.min(other.1));
        if start < end {
            common.push((start, end));
        }
        if one.1 <= other.1 {
            i += 1;
        } else {
            j += 1;
        }
    }
    common
}

fn length_s(all: &[Interval]) -> f64 {
    all.iter()
        .map(|(start, end)| end.duration_since(*start).as_secs_f64())
        .sum()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn at(second: i64) -> Timestamp {
        Timestamp::from_second(second).expect("a second of 1970")
    }

    fn list() -> impl Strategy<Value = Vec<(i64, i64)>> {
        prop::collection::vec(
            (0..60i64, 1..9i64).prop_map(|(from, long)| (from, from + long)),
            0..12,
        )
    }

    proptest! {
        /// Second by second: in what is joined when in any, in what meets when in both.
        #[test]
        fn join_and_meet_hold_second_by_second(a in list(), b in list()) {
            let inside = |list: &[(i64, i64)], s: i64| list.iter().any(|&(from, until)| from <= s && s < until);
            let stamps = |list: &[(i64, i64)]| join(list.iter().map(|&(from, until)| (at(from), at(until))).collect());
            let both = meet(&stamps(&a), &stamps(&b));
            let count = (0..80).filter(|&s| inside(&a, s) && inside(&b, s)).count();
            prop_assert_eq!(length_s(&both), count as f64);
            let any = (0..80).filter(|&s| inside(&a, s)).count();
            prop_assert_eq!(length_s(&stamps(&a)), any as f64);
            prop_assert!(both.windows(2).all(|pair| pair[0].1 <= pair[1].0));
        }
    }
}
