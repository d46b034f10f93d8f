//! The balances of a network as linear equations, once it is chosen who closes each.
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

use super::fault::given_and_taken;
use super::{ActivityId, Blend, CommodityId, Driven, Network, Otherwise, Source, Taker};
use crate::linear::{Entry, Matrix};

/// The network with its orders of service worked out.
pub(super) struct Frame<'a> {
    pub(super) network: &'a Network,
    /// Commodities each activity leads, ascending, with what a unit of level gives net.
    pub(super) leads: Vec<Vec<(usize, f64)>>,
    /// Takers of each recovered commodity in order of service.
    pub(super) takers: Vec<Vec<Taker>>,
    /// Place of each blend in that order; none where the supply is unlimited.
    pub(super) blend_rank: Vec<Vec<Option<usize>>>,
    /// Place of each activity that uses up a commodity.
    pub(super) uses_rank: Vec<usize>,
}

/// What each commodity and activity is assumed to do.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Choices {
    /// Commodity that sets the level of an activity driven by demand.
    pub(super) runs_for: Vec<Option<usize>>,
    /// Recovered commodities: 0 short, j the j-th taker is marginal, beyond the last surplus.
    pub(super) marginal: Vec<usize>,
}

/// What the unknowns say in terms of the network.
pub(super) struct Flows {
    pub(super) level: Vec<f64>,
    pub(super) recovered_used: Vec<Vec<f64>>,
    pub(super) substituted: Vec<f64>,
    pub(super) gross: Vec<f64>,
}

/// Where a blend stands in the service of its recovered commodity.
#[derive(Clone, Copy)]
enum Stand {
    AtCap,
    Marginal,
    Unserved,
}

impl<'a> Frame<'a> {
    pub(super) fn new(network: &'a Network) -> Self {
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
    pub(super) fn start_at_caps(&self) -> Choices {
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
    pub(super) fn start_at_rest(&self) -> Choices {
        Choices {
            runs_for: vec![None; self.leads.len()],
            marginal: vec![0; self.takers.len()],
        }
    }

    /// The unknown that is the level of an activity, if it runs at all.
    pub(super) fn unknown_of(&self, choices: &Choices, activity: usize) -> Option<usize> {
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

    pub(super) fn demand(&self) -> Vec<f64> {
        self.network
            .commodities
            .iter()
            .map(|commodity| commodity.demand)
            .collect()
    }

    /// The balances under the choices, supply positive, demand on the right.
    pub(super) fn matrix(&self, choices: &Choices) -> Matrix {
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
    pub(super) fn flows(&self, choices: &Choices, unknowns: &[f64]) -> Flows {
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
}

pub(super) fn cap_of(blend: &Blend) -> f64 {
    blend.at_most * blend.amount
}

/// Takers of each recovered commodity: those named, then the others, blends first.
fn all_takers(network: &Network) -> Vec<Vec<Taker>> {
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
