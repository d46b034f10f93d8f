//! Why a network is refused: turning a failed search, or a settled answer that makes no sense, into
//! the loop or the commodity at fault.

use super::equations::{Choices, Frame, cap_of};
use super::fault::given_and_taken;
use super::settle::{ROUNDING, Stuck};
use super::{Activity, ActivityId, CommodityId, Driven, Network, NetworkError, Source};
use crate::linear::{Entry, Matrix};

impl Frame<'_> {
    /// Turns being stuck into the best account of why.
    pub(super) fn explain(&self, stuck: &Stuck) -> NetworkError {
        let named = |block: &[usize]| block.iter().map(|&index| CommodityId(index)).collect();
        if let Some(index) = stuck.too_large {
            return NetworkError::TooLarge {
                commodity: CommodityId(index),
            };
        }
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

    pub(super) fn refuse_short(
        &self,
        index: usize,
        short: f64,
        wanted: f64,
    ) -> Result<(), NetworkError> {
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
    pub(super) fn refuse_self_feeding(
        &self,
        level: &[f64],
        gross: &[f64],
    ) -> Result<(), NetworkError> {
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
