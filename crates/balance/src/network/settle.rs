//! Finding the choices (who is marginal, what an activity runs for) that agree with the balances.
//!
//! With the choices fixed, each commodity has one unknown that closes its balance, so the balances
//! are as many linear equations as unknowns:
//!
//! | commodity | choice | unknown |
//! | --- | --- | --- |
//! | bought | – | purchase less surplus |
//! | made | its lead runs for it | level of the lead |
//! | made | its lead runs for another, or not at all | surplus |
//! | recovered | short | what stands in |
//! | recovered | a blend is marginal | recovered part of that blend |
//! | recovered | an activity uses up the rest | level of that activity |
//! | recovered | all takers at their caps | surplus |
//!
//! An answer with a negative unknown, or a blend beyond its cap, contradicts a choice. All
//! contradicted choices are changed at once as long as that reduces their number, else one at a
//! time, lowest index first: block principal pivoting with Murty's least-index rule as the safe
//! harbour (Kostreva 1978; Júdice and Pires 1994, from memory). It is finite where the
//! complementarity problem has one answer; elsewhere a repeated set of choices ends it.

use std::collections::VecDeque;

use super::fault::{given_and_taken, inspect};
use super::{
    Activity, ActivityId, Blend, CommodityId, Driven, Network, NetworkError, Otherwise, Solution,
    Source, Taker,
};
use crate::linear::{Entry, Matrix, Solved};

/// Amounts below this share of what passes through a balance are rounding.
const ROUNDING: f64 = 1e-10;
/// Rounds without fewer contradictions before choices change one at a time.
const PATIENCE: usize = 10;

/// Choices kept for explaining why none settled.
const REMEMBERED: usize = 40;

/// Solves the balance of a network.
///
/// The answer passes [`check`](super::check) with a tolerance near 1e-9. Errors name the place or
/// the loop at fault.
pub fn solve(network: &Network) -> Result<Solution, NetworkError> {
    inspect(network)?;
    let frame = Frame::new(network);
    let first = frame.settle(frame.start_at_caps());
    let answer = match first {
        Err(Stuck { .. }) => {
            // The other end of every range may lead out of a cycle, or past a singular choice.
            let second = frame.settle(frame.start_at_rest());
            second.or(first).map_err(|stuck| frame.explain(&stuck))?
        }
        Ok(answer) => answer,
    };
    frame.finish(&answer)
}

/// The network with its orders of service worked out.
struct Frame<'a> {
    network: &'a Network,
    /// Commodities each activity leads, ascending, with what a unit of level gives net.
    leads: Vec<Vec<(usize, f64)>>,
    /// Takers of each recovered commodity in order of service.
    takers: Vec<Vec<Taker>>,
    /// Place of each blend in that order; none where the supply is unlimited.
    blend_rank: Vec<Vec<Option<usize>>>,
    /// Place of each activity that uses up a commodity.
    uses_rank: Vec<usize>,
}

/// What each commodity and activity is assumed to do.
#[derive(Debug, Clone, PartialEq)]
struct Choices {
    /// Commodity that sets the level of an activity driven by demand.
    runs_for: Vec<Option<usize>>,
    /// Recovered commodities: 0 short, j the j-th taker is marginal, beyond the last surplus.
    marginal: Vec<usize>,
}

/// Choices and what follows from them.
struct Answer {
    choices: Choices,
    solved: Solved,
    flows: Flows,
    rounds: usize,
}

/// What the unknowns say in terms of the network.
struct Flows {
    level: Vec<f64>,
    recovered_used: Vec<Vec<f64>>,
    substituted: Vec<f64>,
    gross: Vec<f64>,
}

/// One contradicted choice and what should be chosen instead.
enum Change {
    RunsFor(usize, Option<usize>),
    Marginal(usize, usize),
}

/// No settled choices were found.
struct Stuck {
    /// The choices last tried.
    tried: VecDeque<Choices>,
    singular: Option<Vec<usize>>,
    open: Vec<CommodityId>,
    rounds: usize,
}

impl<'a> Frame<'a> {
    fn new(network: &'a Network) -> Self {
        let mut leads = vec![Vec::new(); network.activities.len()];
        for (index, commodity) in network.commodities.iter().enumerate() {
            if let Source::Made(lead) = commodity.source {
                let (given, taken) = given_and_taken(network, lead, CommodityId(index));
                leads[lead.0].push((index, given - taken));
            }
        }
        let takers = all_takers(network);
        let mut blend_rank: Vec<Vec<_>> = network
            .activities
            .iter()
            .map(|activity| vec![None; activity.blends.len()])
            .collect();
        let mut uses_rank = vec![usize::MAX; network.activities.len()];
        for order in &takers {
            for (rank, taker) in order.iter().enumerate() {
                match *taker {
                    Taker::Blend(id, blend) => blend_rank[id.0][blend] = Some(rank),
                    Taker::UsesUp(id) => uses_rank[id.0] = rank,
                }
            }
        }
        Self {
            network,
            leads,
            takers,
            blend_rank,
            uses_rank,
        }
    }

    /// Every blend at its cap, every use of the rest running: the usual case.
    fn start_at_caps(&self) -> Choices {
        let last = |order: &Vec<Taker>| {
            let uses_up = order
                .iter()
                .position(|taker| matches!(taker, Taker::UsesUp(_)));
            uses_up.map_or(order.len() + 1, |rank| rank + 1)
        };
        let runs_for = self
            .leads
            .iter()
            .map(|led| led.first().map(|&(index, _)| index))
            .collect();
        Choices {
            runs_for,
            marginal: self.takers.iter().map(last).collect(),
        }
    }

    /// Nothing runs and every recovered commodity is short. From here levels only grow, as in
    /// policy iteration (Howard 1960, from memory), unless by-products interfere.
    fn start_at_rest(&self) -> Choices {
        Choices {
            runs_for: vec![None; self.leads.len()],
            marginal: vec![0; self.takers.len()],
        }
    }

    /// Walks from choices to choices until none is contradicted.
    fn settle(&self, mut choices: Choices) -> Result<Answer, Stuck> {
        let mut pace = Pace::new(self.takers.len() + self.leads.len());
        loop {
            let solved = match self.matrix(&choices).solve(&self.demand()) {
                Ok(solved) => solved,
                Err(singular) => return Err(pace.stuck(Some(singular.block), Vec::new())),
            };
            let flows = self.flows(&choices, &solved.unknowns);
            let changes = self.contradicted(&choices, &solved.unknowns, &flows);
            if changes.is_empty() {
                let rounds = pace.rounds + 1;
                return Ok(Answer {
                    choices,
                    solved,
                    flows,
                    rounds,
                });
            }
            let Some(count) = pace.next(&choices, changes.len()) else {
                return Err(pace.stuck(None, self.open(&changes)));
            };
            for change in &changes[..count] {
                choices.make(change);
            }
        }
    }

    fn open(&self, changes: &[Change]) -> Vec<CommodityId> {
        let mut open: Vec<_> = changes
            .iter()
            .flat_map(|change| match *change {
                Change::RunsFor(activity, _) => self.leads[activity]
                    .iter()
                    .map(|&(index, _)| CommodityId(index))
                    .collect(),
                Change::Marginal(commodity, _) => vec![CommodityId(commodity)],
            })
            .collect();
        open.sort_unstable();
        open.dedup();
        open
    }

    /// The unknown that is the level of an activity, if it runs at all.
    fn unknown_of(&self, choices: &Choices, activity: usize) -> Option<usize> {
        match self.network.activities[activity].driven {
            Driven::ByDemand => choices.runs_for[activity],
            Driven::UsesUp(commodity) => {
                let marginal = choices.marginal[commodity.0] == self.uses_rank[activity] + 1;
                marginal.then_some(commodity.0)
            }
        }
    }

    /// Where a blend stands under the choices.
    fn stand(&self, choices: &Choices, activity: usize, blend: usize) -> Stand {
        let Some(rank) = self.blend_rank[activity][blend] else {
            return Stand::AtCap;
        };
        let recovered = self.network.activities[activity].blends[blend].recovered;
        match (rank + 1).cmp(&choices.marginal[recovered.0]) {
            std::cmp::Ordering::Less => Stand::AtCap,
            std::cmp::Ordering::Equal => Stand::Marginal,
            std::cmp::Ordering::Greater => Stand::Unserved,
        }
    }

    fn demand(&self) -> Vec<f64> {
        self.network
            .commodities
            .iter()
            .map(|commodity| commodity.demand)
            .collect()
    }

    /// The balances under the choices, supply positive, demand on the right.
    fn matrix(&self, choices: &Choices) -> Matrix {
        let mut entries = Vec::with_capacity(8 * self.takers.len());
        for activity in 0..self.network.activities.len() {
            if let Some(column) = self.unknown_of(choices, activity) {
                self.add_activity(choices, activity, column, &mut entries);
            }
        }
        for commodity in 0..self.takers.len() {
            self.add_closing(choices, commodity, &mut entries);
        }
        Matrix::new(self.takers.len(), &entries)
    }

    fn add_activity(
        &self,
        choices: &Choices,
        index: usize,
        column: usize,
        entries: &mut Vec<Entry>,
    ) {
        let activity = &self.network.activities[index];
        let mut add = |commodity: CommodityId, value: f64| {
            if value != 0.0 {
                entries.push(Entry {
                    row: commodity.0,
                    column,
                    value,
                });
            }
        };
        activity
            .gives
            .iter()
            .for_each(|&(commodity, amount)| add(commodity, amount));
        activity
            .takes
            .iter()
            .for_each(|&(commodity, amount)| add(commodity, -amount));
        for (at, blend) in activity.blends.iter().enumerate() {
            let recovered = match self.stand(choices, index, at) {
                Stand::AtCap => cap_of(blend),
                Stand::Marginal | Stand::Unserved => 0.0,
            };
            add(blend.recovered, -recovered);
            add(blend.virgin, recovered - blend.amount);
        }
    }

    /// The unknown of a commodity where it is not the level of an activity.
    fn add_closing(&self, choices: &Choices, commodity: usize, entries: &mut Vec<Entry>) {
        let mut add = |row, value| {
            entries.push(Entry {
                row,
                column: commodity,
                value,
            });
        };
        match &self.network.commodities[commodity].source {
            Source::Bought => add(commodity, 1.0),
            Source::Made(lead) => {
                if choices.runs_for[lead.0] != Some(commodity) {
                    add(commodity, -1.0);
                }
            }
            Source::Recovered { otherwise, .. } => match choices.marginal[commodity] {
                0 => {
                    add(commodity, 1.0);
                    if let Otherwise::Substitute(other) = otherwise {
                        add(other.0, -1.0);
                    }
                }
                at => match self.takers[commodity].get(at - 1) {
                    Some(&Taker::Blend(id, blend)) => {
                        add(commodity, -1.0);
                        add(self.network.activities[id.0].blends[blend].virgin.0, 1.0);
                    }
                    Some(Taker::UsesUp(_)) => {}
                    None => add(commodity, -1.0),
                },
            },
        }
    }

    /// Reads the unknowns.
    fn flows(&self, choices: &Choices, unknowns: &[f64]) -> Flows {
        let mut flows = Flows {
            level: Vec::with_capacity(self.leads.len()),
            recovered_used: Vec::with_capacity(self.leads.len()),
            substituted: vec![0.0; unknowns.len()],
            gross: self.demand(),
        };
        for (index, activity) in self.network.activities.iter().enumerate() {
            let level = self
                .unknown_of(choices, index)
                .map_or(0.0, |column| unknowns[column]);
            for &(commodity, amount) in &activity.takes {
                flows.gross[commodity.0] += amount * level.abs();
            }
            let mut used = Vec::with_capacity(activity.blends.len());
            for (at, blend) in activity.blends.iter().enumerate() {
                let recovered = match self.stand(choices, index, at) {
                    Stand::AtCap => cap_of(blend) * level,
                    Stand::Marginal => unknowns[blend.recovered.0],
                    Stand::Unserved => 0.0,
                };
                flows.gross[blend.recovered.0] += recovered.abs();
                flows.gross[blend.virgin.0] += (blend.amount * level - recovered).abs();
                used.push(recovered);
            }
            flows.level.push(level);
            flows.recovered_used.push(used);
        }
        self.add_substitution(choices, unknowns, &mut flows);
        flows
    }

    fn add_substitution(&self, choices: &Choices, unknowns: &[f64], flows: &mut Flows) {
        for (index, commodity) in self.network.commodities.iter().enumerate() {
            if let Source::Recovered {
                otherwise: Otherwise::Substitute(other),
                ..
            } = commodity.source
                && choices.marginal[index] == 0
            {
                flows.substituted[index] = unknowns[index];
                flows.gross[other.0] += unknowns[index].abs();
            }
        }
    }

    fn contradicted(&self, choices: &Choices, unknowns: &[f64], flows: &Flows) -> Vec<Change> {
        let by_lead = (0..self.leads.len())
            .filter_map(|activity| self.better_lead(choices, activity, unknowns, flows));
        let by_split = (0..self.takers.len()).filter_map(|commodity| {
            let better = self.better_split(choices, commodity, unknowns, flows)?;
            Some(Change::Marginal(commodity, better))
        });
        by_lead.chain(by_split).collect()
    }

    /// What the activity should run for, if its level is negative or leaves a commodity uncovered.
    fn better_lead(
        &self,
        choices: &Choices,
        activity: usize,
        unknowns: &[f64],
        flows: &Flows,
    ) -> Option<Change> {
        let now = choices.runs_for[activity];
        let mut wrong = false;
        let mut most: (f64, Option<usize>) = (0.0, None);
        for &(commodity, gives) in &self.leads[activity] {
            let tolerance = ROUNDING * flows.gross[commodity] / gives;
            let missing = if now == Some(commodity) {
                0.0
            } else {
                -unknowns[commodity] / gives
            };
            let need = flows.level[activity] + missing;
            wrong |= missing > tolerance || (now == Some(commodity) && need < -tolerance);
            if need > most.0 {
                most = (need, Some(commodity));
            }
        }
        (wrong && most.1 != now).then_some(Change::RunsFor(activity, most.1))
    }

    /// Who should be marginal, if the closing unknown is out of its range.
    fn better_split(
        &self,
        choices: &Choices,
        commodity: usize,
        unknowns: &[f64],
        flows: &Flows,
    ) -> Option<usize> {
        if !matches!(
            self.network.commodities[commodity].source,
            Source::Recovered { .. }
        ) {
            return None;
        }
        let now = choices.marginal[commodity];
        let tolerance = ROUNDING * flows.gross[commodity];
        let caps: Vec<f64> = self.takers[commodity]
            .iter()
            .map(|taker| self.cap(taker, &flows.level))
            .collect();
        let closing = match self.takers[commodity].get(now.wrapping_sub(1)) {
            Some(Taker::UsesUp(id)) => {
                let (given, taken) = given_and_taken(self.network, *id, CommodityId(commodity));
                unknowns[commodity] * (taken - given)
            }
            _ => unknowns[commodity],
        };
        let room = now.checked_sub(1).and_then(|rank| caps.get(rank)).copied();
        if closing >= -tolerance && closing <= room.unwrap_or(f64::INFINITY) + tolerance {
            return None;
        }
        let served: f64 = caps.iter().take(now.saturating_sub(1)).sum();
        let available = if now == 0 { -closing } else { served + closing };
        let better = marginal_for(available, &caps);
        (better != now).then_some(better)
    }

    fn cap(&self, taker: &Taker, level: &[f64]) -> f64 {
        match *taker {
            Taker::Blend(id, blend) => {
                cap_of(&self.network.activities[id.0].blends[blend]) * level[id.0].max(0.0)
            }
            Taker::UsesUp(_) => f64::INFINITY,
        }
    }

    /// Turns being stuck into the best account of why.
    fn explain(&self, stuck: &Stuck) -> NetworkError {
        let named = |block: &[usize]| block.iter().map(|&index| CommodityId(index)).collect();
        if let Some(block) = &stuck.singular {
            return NetworkError::NoWayOut {
                commodities: named(block),
            };
        }
        if let Some(block) = stuck
            .tried
            .iter()
            .find_map(|tried| self.growing_loop(tried))
        {
            return NetworkError::NoWayOut {
                commodities: named(&block),
            };
        }
        NetworkError::NotSettled {
            commodities: stuck.open.clone(),
            rounds: stuck.rounds,
        }
    }

    /// A loop in which one unit asked of each commodity needs a negative level somewhere.
    ///
    /// With non-positive coefficients off the diagonal that is the test for a gain of one or more
    /// (non-singular M-matrices: Berman and Plemmons 1979, chapter 6, from memory).
    fn growing_loop(&self, choices: &Choices) -> Option<Vec<usize>> {
        let matrix = self.matrix(choices);
        let mut place = vec![usize::MAX; self.takers.len()];
        matrix.blocks().into_iter().find(|block| {
            for (at, &index) in block.iter().enumerate() {
                place[index] = at;
            }
            let cells = block.iter().flat_map(|&index| {
                matrix
                    .row(index)
                    .map(move |(column, value)| (index, column, value))
            });
            let inside: Vec<Entry> = cells
                .filter(|&(_, column, _)| place[column] != usize::MAX)
                .map(|(row, column, value)| Entry {
                    row: place[row],
                    column: place[column],
                    value,
                })
                .collect();
            for &index in block {
                place[index] = usize::MAX;
            }
            let answer = Matrix::new(block.len(), &inside).solve(&vec![1.0; block.len()]);
            let runs = |index: usize| match self.network.commodities[index].source {
                Source::Made(lead) => choices.runs_for[lead.0] == Some(index),
                _ => false,
            };
            answer.map_or(true, |solved| {
                let levels = block.iter().zip(&solved.unknowns);
                levels
                    .into_iter()
                    .any(|(&index, &level)| runs(index) && level < 0.0)
            })
        })
    }

    /// Turns a settled answer into a solution, refusing what is short.
    fn finish(&self, answer: &Answer) -> Result<Solution, NetworkError> {
        let Flows {
            level,
            recovered_used,
            substituted,
            gross,
        } = &answer.flows;
        let mut bought = vec![0.0; gross.len()];
        let mut surplus = vec![0.0; gross.len()];
        for (index, commodity) in self.network.commodities.iter().enumerate() {
            let closing = answer.solved.unknowns[index];
            let marginal = answer.choices.marginal[index];
            match &commodity.source {
                Source::Bought => {
                    bought[index] = closing.max(0.0);
                    surplus[index] = (-closing).max(0.0);
                }
                Source::Made(lead) if answer.choices.runs_for[lead.0] != Some(index) => {
                    surplus[index] = closing.max(0.0);
                }
                Source::Recovered { otherwise, .. } if marginal == 0 => match otherwise {
                    Otherwise::Buy => bought[index] = closing.max(0.0),
                    Otherwise::Substitute(_) => {}
                    Otherwise::Nothing => self.refuse_short(index, closing, gross[index])?,
                },
                Source::Recovered { .. } if marginal > self.takers[index].len() => {
                    surplus[index] = closing.max(0.0);
                }
                Source::Made(_) | Source::Recovered { .. } => {}
            }
        }
        self.refuse_self_feeding(level, gross)?;
        let not_negative = |values: &Vec<f64>| values.iter().map(|v| v.max(0.0)).collect();
        Ok(Solution {
            level: not_negative(level),
            bought,
            surplus,
            substituted: not_negative(substituted),
            recovered_used: recovered_used.iter().map(not_negative).collect(),
            gross: gross.clone(),
            loops: named_loops(&answer.solved.loops),
            rounds: answer.rounds,
        })
    }

    fn refuse_short(&self, index: usize, short: f64, wanted: f64) -> Result<(), NetworkError> {
        if short <= ROUNDING * wanted {
            return Ok(());
        }
        let commodity = CommodityId(index);
        let given = self.network.activities.iter().any(|activity| {
            activity
                .gives
                .iter()
                .any(|&(given, amount)| given == commodity && amount > 0.0)
        });
        if given {
            return Err(NetworkError::Short {
                commodity,
                wanted,
                short,
            });
        }
        Err(NetworkError::NobodyGives { commodity, wanted })
    }

    /// Refuses a made commodity whose lead stands still because what needs it returns all it takes.
    fn refuse_self_feeding(&self, level: &[f64], gross: &[f64]) -> Result<(), NetworkError> {
        for (index, commodity) in self.network.commodities.iter().enumerate() {
            let Source::Made(lead) = commodity.source else {
                continue;
            };
            if gross[index] == 0.0 || level[lead.0] > ROUNDING * gross[index] {
                continue;
            }
            let taken = gross[index] - commodity.demand;
            let commodity = CommodityId(index);
            let mut activities = in_need_of(self.network, commodity);
            activities.retain(|&activity| activity != lead);
            let gives =
                |&id: &ActivityId| given_and_taken(self.network, id, commodity).0 * level[id.0];
            let returned: f64 = activities.iter().map(gives).sum();
            if taken > ROUNDING * gross[index] && returned >= taken * (1.0 - ROUNDING) {
                return Err(NetworkError::LoopFeedsItself {
                    commodity,
                    activities,
                    returned,
                    taken,
                });
            }
        }
        Ok(())
    }
}

/// Where a blend stands in the service of its recovered commodity.
#[derive(Clone, Copy)]
enum Stand {
    AtCap,
    Marginal,
    Unserved,
}

impl Choices {
    fn make(&mut self, change: &Change) {
        match *change {
            Change::RunsFor(activity, commodity) => self.runs_for[activity] = commodity,
            Change::Marginal(commodity, at) => self.marginal[commodity] = at,
        }
    }
}

/// How many contradicted choices to change next, and when to give up.
struct Pace {
    rounds: usize,
    limit: usize,
    fewest: usize,
    patience: usize,
    /// Choices seen at the last power of two of single changes (Brent's cycle finding, 1980).
    mark: Option<Choices>,
    singles: usize,
    recent: VecDeque<Choices>,
}

impl Pace {
    fn new(choices: usize) -> Self {
        Self {
            rounds: 0,
            limit: 100 + 2 * choices,
            fewest: usize::MAX,
            patience: PATIENCE,
            mark: None,
            singles: 0,
            recent: VecDeque::new(),
        }
    }

    fn stuck(self, singular: Option<Vec<usize>>, open: Vec<CommodityId>) -> Stuck {
        Stuck {
            tried: self.recent,
            singular,
            open,
            rounds: self.rounds + 1,
        }
    }

    fn next(&mut self, choices: &Choices, contradicted: usize) -> Option<usize> {
        self.rounds += 1;
        if self.recent.len() == REMEMBERED {
            self.recent.pop_front();
        }
        self.recent.push_back(choices.clone());
        if self.rounds >= self.limit {
            return None;
        }
        if contradicted < self.fewest {
            self.fewest = contradicted;
            self.patience = PATIENCE;
            self.mark = None;
            self.singles = 0;
            return Some(contradicted);
        }
        if self.patience > 0 {
            self.patience -= 1;
            return Some(contradicted);
        }
        if self.mark.as_ref() == Some(choices) {
            return None;
        }
        self.singles += 1;
        if self.singles.is_power_of_two() {
            self.mark = Some(choices.clone());
        }
        Some(1)
    }
}

fn cap_of(blend: &Blend) -> f64 {
    blend.at_most * blend.amount
}

/// The marginal taker when so much is left after demand and plain takes.
fn marginal_for(available: f64, caps: &[f64]) -> usize {
    if available < 0.0 {
        return 0;
    }
    let mut left = available;
    for (rank, cap) in caps.iter().enumerate() {
        if left <= *cap {
            return rank + 1;
        }
        left -= cap;
    }
    caps.len() + 1
}

/// Takers of each recovered commodity: those named, then the others, blends first.
pub(super) fn all_takers(network: &Network) -> Vec<Vec<Taker>> {
    let recovered =
        |id: CommodityId| matches!(network.commodities[id.0].source, Source::Recovered { .. });
    let mut all: Vec<Vec<Taker>> = network
        .commodities
        .iter()
        .map(|commodity| match &commodity.source {
            Source::Recovered {
                takers_in_order, ..
            } => takers_in_order.clone(),
            _ => Vec::new(),
        })
        .collect();
    let named: Vec<usize> = all.iter().map(Vec::len).collect();
    let mut append = |commodity: CommodityId, taker: Taker| {
        let order = &mut all[commodity.0];
        if recovered(commodity) && !order[..named[commodity.0]].contains(&taker) {
            order.push(taker);
        }
    };
    for (index, activity) in network.activities.iter().enumerate() {
        for (at, blend) in activity.blends.iter().enumerate() {
            append(blend.recovered, Taker::Blend(ActivityId(index), at));
        }
    }
    for (index, activity) in network.activities.iter().enumerate() {
        if let Driven::UsesUp(commodity) = activity.driven {
            append(commodity, Taker::UsesUp(ActivityId(index)));
        }
    }
    all
}

fn named_loops(loops: &[Vec<usize>]) -> Vec<Vec<CommodityId>> {
    loops
        .iter()
        .map(|block| block.iter().map(|&index| CommodityId(index)).collect())
        .collect()
}

/// Activities that cannot run without a commodity: they take it, take what is made by one that
/// does, or use up what only such activities give. Ascending.
fn in_need_of(network: &Network, commodity: CommodityId) -> Vec<ActivityId> {
    let mut needs = vec![false; network.activities.len()];
    let mut grew = true;
    while grew {
        grew = false;
        for (index, activity) in network.activities.iter().enumerate() {
            if !needs[index] && needs_any(network, activity, commodity, &needs) {
                needs[index] = true;
                grew = true;
            }
        }
    }
    (0..needs.len())
        .filter(|&index| needs[index])
        .map(ActivityId)
        .collect()
}

fn needs_any(
    network: &Network,
    activity: &Activity,
    commodity: CommodityId,
    needs: &[bool],
) -> bool {
    let takes = activity
        .takes
        .iter()
        .filter(|take| take.1 > 0.0)
        .map(|take| take.0);
    let feeds = activity
        .blends
        .iter()
        .filter(|blend| cap_of(blend) < blend.amount);
    let required = |id: CommodityId| {
        let source = &network.commodities[id.0].source;
        id == commodity || matches!(source, Source::Made(lead) if needs[lead.0])
    };
    let by_supply = match activity.driven {
        Driven::ByDemand => false,
        Driven::UsesUp(supply) => {
            let mut givers = network.activities.iter().zip(needs).filter(|(giver, _)| {
                giver
                    .gives
                    .iter()
                    .any(|give| give.0 == supply && give.1 > 0.0)
            });
            givers.clone().next().is_some() && givers.all(|(_, &need)| need)
        }
    };
    by_supply || takes.chain(feeds.map(|blend| blend.virgin)).any(required)
}
