//! Finding the choices (who is marginal, what an activity runs for) that agree with the balances.
//!
//! An answer with a negative unknown, or a blend beyond its cap, contradicts a choice. All
//! contradicted choices are changed at once as long as that reduces their number, else one at a
//! time, lowest index first: block principal pivoting with Murty's least-index rule as the safe
//! harbour (Kostreva 1978; Júdice and Pires 1994, from memory). It is finite where the
//! complementarity problem has one answer; elsewhere a repeated set of choices ends it.

use std::collections::VecDeque;

use super::equations::{Choices, Flows, Frame, cap_of};
use super::fault::{given_and_taken, inspect};
use super::{CommodityId, Network, NetworkError, Otherwise, Solution, Source, Taker};
use crate::linear::Solved;

/// Amounts below this share of what passes through a balance are rounding.
pub(super) const ROUNDING: f64 = 1e-10;
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
    let answer = frame
        .settle(frame.start_at_caps())
        .or_else(|stuck| match stuck.too_large {
            Some(_) => Err(stuck),
            // The other end of every range may lead out of a cycle, or past a singular choice.
            None => frame.settle(frame.start_at_rest()).map_err(|_| stuck),
        });
    let answer = answer.map_err(|stuck| frame.explain(&stuck))?;
    frame.finish(&answer)
}

/// Choices and what follows from them.
struct Answer {
    choices: Choices,
    solved: Solved,
    flows: Flows,
    rounds: usize,
}

/// One contradicted choice and what should be chosen instead.
enum Change {
    RunsFor(usize, Option<usize>),
    Marginal(usize, usize),
}

/// No settled choices were found.
pub(super) struct Stuck {
    /// The choices last tried.
    pub(super) tried: VecDeque<Choices>,
    pub(super) singular: Option<Vec<usize>>,
    pub(super) too_large: Option<usize>,
    pub(super) open: Vec<CommodityId>,
    pub(super) rounds: usize,
}

impl Frame<'_> {
    /// Walks from choices to choices until none is contradicted.
    fn settle(&self, mut choices: Choices) -> Result<Answer, Stuck> {
        let mut pace = Pace::new(self.takers.len() + self.leads.len());
        loop {
            let solved = match self.matrix(&choices).solve(&self.demand()) {
                Ok(solved) => solved,
                Err(singular) => return Err(pace.stuck(Some(singular.block), Vec::new())),
            };
            let too_large = solved
                .unknowns
                .iter()
                .position(|unknown| !unknown.is_finite());
            if let Some(index) = too_large {
                return Err(Stuck {
                    too_large,
                    ..pace.stuck(None, vec![CommodityId(index)])
                });
            }
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
            let tolerance = ROUNDING * flows.gross[commodity];
            let runs_for_it = now == Some(commodity);
            let missing = if runs_for_it {
                0.0
            } else {
                -unknowns[commodity]
            };
            let need = flows.level[activity] + missing / gives;
            wrong |= missing > tolerance || (runs_for_it && need * gives < -tolerance);
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
            too_large: None,
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

fn named_loops(loops: &[Vec<usize>]) -> Vec<Vec<CommodityId>> {
    loops
        .iter()
        .map(|block| block.iter().map(|&index| CommodityId(index)).collect())
        .collect()
}
