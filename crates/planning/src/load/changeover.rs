//! Changeovers: time lost at a station between unlike lots, counted over the sequence of due dates.
//!
//! A station remembers for each attribute the value it last ran. A lot that says nothing about an
//! attribute leaves that memory alone. When a value changes, one rule applies: the one that names
//! both values, before one that names either, before one that names neither; the first written
//! among equals. Changes of several attributes are added up. The sequence is that of due dates as
//! if the station were one machine; a scheduler that groups alike lots will do better.

use std::collections::BTreeMap;

use jiff::civil::Date;
use serde::Serialize;
use works::{Changeover, ItemId, RouteId, Station, Works};

use super::lots::{Lot, attribute};

/// How often one rule applied.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RuleCount {
    /// Position of the rule among the station's.
    pub rule: usize,
    /// The attribute.
    pub on: String,
    /// Times it applied.
    pub count: u32,
    /// Time lost, s.
    pub seconds: f64,
}

/// All changeovers of a station.
#[derive(Clone, Debug, Default)]
pub struct Changeovers {
    /// By rule; only rules that applied.
    pub rules: Vec<RuleCount>,
    /// How often each rule applied, by the route of the lot changed over to.
    pub by_route: BTreeMap<(RouteId, usize), u32>,
    /// By the due date of the lot changed over to.
    pub by_due_s: BTreeMap<Date, f64>,
    /// Items used up, by route of the lot changed over to.
    pub uses: BTreeMap<(RouteId, ItemId), f64>,
}

impl Changeovers {
    /// Time lost, s.
    pub fn total_s(&self) -> f64 {
        self.rules.iter().map(|rule| rule.seconds).sum()
    }
}

/// Walks the lots of a station in sequence.
pub(super) fn count<'a>(
    works: &Works,
    station: &Station,
    sequence: impl Iterator<Item = &'a Lot>,
) -> Changeovers {
    let mut all = Changeovers::default();
    let attributes = attributes_of(station);
    let mut memory: Vec<Option<&str>> = vec![None; attributes.len()];
    let mut times = vec![0u32; station.changeovers.len()];
    for lot in sequence {
        for (on, last) in attributes.iter().zip(memory.iter_mut()) {
            let Some(value) = attribute(works, lot, on) else {
                continue;
            };
            if let Some(from) = last.replace(value).filter(|from| *from != value)
                && let Some(rule) = matching(&station.changeovers, on, from, value)
            {
                times[rule] += 1;
                all.note(lot, rule, &station.changeovers[rule]);
            }
        }
    }
    all.rules = counted(station, &times);
    all
}

impl Changeovers {
    fn note(&mut self, lot: &Lot, number: usize, rule: &Changeover) {
        *self.by_route.entry((lot.route, number)).or_default() += 1;
        *self.by_due_s.entry(lot.due).or_default() += rule.time.mean();
        for (item, amount) in &rule.uses {
            *self.uses.entry((lot.route, *item)).or_default() += amount.mean();
        }
    }
}

fn counted(station: &Station, times: &[u32]) -> Vec<RuleCount> {
    let rules = station.changeovers.iter().zip(times).enumerate();
    let applied = rules.filter(|(_, (_, count))| **count > 0);
    applied
        .map(|(rule, (changeover, &count))| RuleCount {
            rule,
            on: changeover.on.clone(),
            count,
            seconds: f64::from(count) * changeover.time.mean(),
        })
        .collect()
}

fn attributes_of(station: &Station) -> Vec<&str> {
    let mut names: Vec<&str> = station
        .changeovers
        .iter()
        .map(|rule| rule.on.as_str())
        .collect();
    names.sort_unstable();
    names.dedup();
    names
}

/// The rule for a change of an attribute: the most particular that fits, the first among equals.
pub fn matching(rules: &[Changeover], on: &str, from: &str, to: &str) -> Option<usize> {
    let fits = |named: &Option<String>, value: &str| named.as_deref().is_none_or(|n| n == value);
    let particular =
        |rule: &Changeover| usize::from(rule.from.is_some()) + usize::from(rule.to.is_some());
    let fitting = rules
        .iter()
        .enumerate()
        .filter(|(_, rule)| rule.on == on && fits(&rule.from, from) && fits(&rule.to, to));
    // `max_by_key` keeps the last of equals, so walk backwards.
    fitting
        .rev()
        .max_by_key(|(_, rule)| particular(rule))
        .map(|(position, _)| position)
}
