//! Holding a solution to the network, without the solver.
//!
//! Every rule is re-derived here from the network and the flows alone: balances, caps,
//! non-negativity, who may close what, and the order of service (nothing is surplus while somebody
//! who may take it is below the cap; nobody is served before an earlier one is full).

use super::{ActivityId, CommodityId, Driven, Network, Otherwise, Solution, Source, Taker};

/// A rule that a solution breaks.
#[derive(Debug, Clone, PartialEq)]
pub enum Violation {
    /// The vectors of the solution do not have the network's lengths.
    WrongShape,
    /// A flow or level that is not finite or is negative.
    Negative {
        /// Which flow.
        what: &'static str,
        /// Index of the commodity or activity.
        index: usize,
        /// The value.
        value: f64,
    },
    /// Supply and use differ.
    Unbalanced {
        /// The commodity.
        commodity: CommodityId,
        /// Given, bought and substituted.
        supply: f64,
        /// Demand, taken and surplus.
        used: f64,
    },
    /// The stated gross amount is not demand plus everything taken.
    WrongGross {
        /// The commodity.
        commodity: CommodityId,
        /// As stated.
        stated: f64,
        /// As derived.
        derived: f64,
    },
    /// A blend holds more recovered stuff than its cap.
    BeyondCap {
        /// The activity.
        activity: ActivityId,
        /// Index of the blend.
        blend: usize,
        /// Recovered part.
        used: f64,
        /// The cap at this level.
        cap: f64,
    },
    /// Bought or substituted although the source does not allow it.
    WrongSource {
        /// The commodity.
        commodity: CommodityId,
    },
    /// Bought, made or substituted while some of it is left over.
    NeedlessSupply {
        /// The commodity.
        commodity: CommodityId,
    },
    /// An activity driven by demand runs although everything it leads is left over.
    NeedlessLevel {
        /// The activity.
        activity: ActivityId,
    },
    /// Left over, or given to a later taker or stand-in, while an earlier taker is below its cap.
    OutOfTurn {
        /// The recovered commodity.
        commodity: CommodityId,
        /// The taker passed over.
        passed: Taker,
    },
    /// Takers are served while demand and plain takes had to be covered otherwise.
    ServedWhileShort {
        /// The recovered commodity.
        commodity: CommodityId,
        /// The taker served.
        served: Taker,
    },
}

/// Checks a solution against a network; `tolerance` is relative to what passes each balance.
pub fn check(network: &Network, solution: &Solution, tolerance: f64) -> Result<(), Vec<Violation>> {
    if !shapes_agree(network, solution) {
        return Err(vec![Violation::WrongShape]);
    }
    let mut audit = Audit::new(network, solution, tolerance);
    audit.signs();
    for index in 0..network.commodities.len() {
        audit.balance(index);
        audit.source(index);
    }
    for index in 0..network.activities.len() {
        audit.activity(index);
    }
    if audit.found.is_empty() {
        Ok(())
    } else {
        Err(audit.found)
    }
}

fn shapes_agree(network: &Network, solution: &Solution) -> bool {
    let (n, m) = (network.commodities.len(), network.activities.len());
    let blends_agree = || {
        let pairs = network.activities.iter().zip(&solution.recovered_used);
        pairs
            .into_iter()
            .all(|(activity, used)| activity.blends.len() == used.len())
    };
    solution.level.len() == m
        && solution.recovered_used.len() == m
        && [
            &solution.bought,
            &solution.surplus,
            &solution.substituted,
            &solution.gross,
        ]
        .iter()
        .all(|flow| flow.len() == n)
        && blends_agree()
}

struct Audit<'a> {
    network: &'a Network,
    solution: &'a Solution,
    tolerance: f64,
    given: Vec<f64>,
    taken: Vec<f64>,
    found: Vec<Violation>,
}

impl<'a> Audit<'a> {
    fn new(network: &'a Network, solution: &'a Solution, tolerance: f64) -> Self {
        let n = network.commodities.len();
        let (mut given, mut taken) = (vec![0.0; n], vec![0.0; n]);
        for (index, activity) in network.activities.iter().enumerate() {
            let level = solution.level[index];
            activity
                .gives
                .iter()
                .for_each(|&(id, amount)| given[id.0] += amount * level);
            activity
                .takes
                .iter()
                .for_each(|&(id, amount)| taken[id.0] += amount * level);
            for (blend, used) in activity.blends.iter().zip(&solution.recovered_used[index]) {
                taken[blend.recovered.0] += used;
                taken[blend.virgin.0] += blend.amount * level - used;
            }
        }
        for (index, commodity) in network.commodities.iter().enumerate() {
            if let Source::Recovered {
                otherwise: Otherwise::Substitute(other),
                ..
            } = commodity.source
            {
                taken[other.0] += solution.substituted[index];
            }
        }
        Self {
            network,
            solution,
            tolerance,
            given,
            taken,
            found: Vec::new(),
        }
    }

    /// An amount of a commodity that is no more than rounding.
    fn slack(&self, commodity: usize) -> f64 {
        let passing = self.given[commodity]
            + self.solution.bought[commodity]
            + self.solution.substituted[commodity]
            + self.network.commodities[commodity].demand
            + self.taken[commodity];
        self.tolerance * passing.abs()
    }

    fn signs(&mut self) {
        let solution = self.solution;
        let flows = [
            ("level", &solution.level),
            ("bought", &solution.bought),
            ("surplus", &solution.surplus),
            ("substituted", &solution.substituted),
        ];
        for (what, values) in flows {
            for (index, &value) in values.iter().enumerate() {
                if !value.is_finite() || value < 0.0 {
                    self.found.push(Violation::Negative { what, index, value });
                }
            }
        }
    }

    fn balance(&mut self, index: usize) {
        let solution = self.solution;
        let commodity = CommodityId(index);
        let supply = self.given[index] + solution.bought[index] + solution.substituted[index];
        let derived = self.network.commodities[index].demand + self.taken[index];
        let used = derived + solution.surplus[index];
        let slack = self.slack(index);
        // Written so that a NaN is a violation.
        if !matches!((supply - used).abs().partial_cmp(&slack), Some(o) if o.is_le()) {
            self.found.push(Violation::Unbalanced {
                commodity,
                supply,
                used,
            });
        }
        let stated = solution.gross[index];
        if !matches!((stated - derived).abs().partial_cmp(&slack), Some(o) if o.is_le()) {
            self.found.push(Violation::WrongGross {
                commodity,
                stated,
                derived,
            });
        }
    }

    fn source(&mut self, index: usize) {
        let commodity = CommodityId(index);
        let solution = self.solution;
        let (bought, substituted) = (solution.bought[index], solution.substituted[index]);
        let (may_buy, may_substitute) = match &self.network.commodities[index].source {
            Source::Bought => (true, false),
            Source::Made(_) => (false, false),
            Source::Recovered { otherwise, .. } => {
                self.service(index);
                (
                    *otherwise == Otherwise::Buy,
                    matches!(otherwise, Otherwise::Substitute(_)),
                )
            }
        };
        if (bought > 0.0 && !may_buy) || (substituted > 0.0 && !may_substitute) {
            self.found.push(Violation::WrongSource { commodity });
        }
        let slack = self.slack(index);
        if solution.surplus[index] > slack && bought + substituted > slack {
            self.found.push(Violation::NeedlessSupply { commodity });
        }
    }

    /// The order of service of a recovered commodity.
    fn service(&mut self, index: usize) {
        let commodity = CommodityId(index);
        let slack = self.slack(index);
        let short = self.solution.bought[index] + self.solution.substituted[index];
        let takers = self.takers(commodity);
        let mut passed = None;
        for &taker in &takers {
            let (served, cap) = self.served(commodity, taker);
            if served > slack {
                if short > slack {
                    self.found.push(Violation::ServedWhileShort {
                        commodity,
                        served: taker,
                    });
                }
                if let Some(passed) = passed {
                    self.found.push(Violation::OutOfTurn { commodity, passed });
                }
            }
            if served < cap - slack && passed.is_none() {
                passed = Some(taker);
            }
        }
        if let Some(passed) = passed
            && self.solution.surplus[index] > slack
        {
            self.found.push(Violation::OutOfTurn { commodity, passed });
        }
    }

    /// The takers in order, those not named last; found again, not taken from the solver.
    fn takers(&self, commodity: CommodityId) -> Vec<Taker> {
        let Source::Recovered {
            takers_in_order, ..
        } = &self.network.commodities[commodity.0].source
        else {
            return Vec::new();
        };
        let (mut blends, mut users) = (Vec::new(), Vec::new());
        for (index, activity) in self.network.activities.iter().enumerate() {
            let id = ActivityId(index);
            for (at, blend) in activity.blends.iter().enumerate() {
                if blend.recovered == commodity {
                    blends.push(Taker::Blend(id, at));
                }
            }
            if activity.driven == Driven::UsesUp(commodity) {
                users.push(Taker::UsesUp(id));
            }
        }
        let mut order = takers_in_order.clone();
        order.extend(
            blends
                .into_iter()
                .chain(users)
                .filter(|t| !takers_in_order.contains(t)),
        );
        order
    }

    /// What a taker gets and what it could get at most.
    fn served(&self, commodity: CommodityId, taker: Taker) -> (f64, f64) {
        match taker {
            Taker::Blend(id, at) => {
                let blend = self.network.activities[id.0].blends[at];
                let cap = blend.at_most * blend.amount * self.solution.level[id.0];
                (self.solution.recovered_used[id.0][at], cap)
            }
            Taker::UsesUp(id) => {
                let takes = &self.network.activities[id.0].takes;
                let per_level: f64 = takes.iter().filter(|t| t.0 == commodity).map(|t| t.1).sum();
                (per_level * self.solution.level[id.0], f64::INFINITY)
            }
        }
    }

    fn activity(&mut self, index: usize) {
        let id = ActivityId(index);
        let activity = &self.network.activities[index];
        let level = self.solution.level[index];
        for (at, blend) in activity.blends.iter().enumerate() {
            let used = self.solution.recovered_used[index][at];
            let cap = blend.at_most * blend.amount * level;
            let slack = self.tolerance * blend.amount * level.abs();
            if !(used >= -slack && used <= cap + slack) {
                self.found.push(Violation::BeyondCap {
                    activity: id,
                    blend: at,
                    used,
                    cap,
                });
            }
            let unlimited = !matches!(
                self.network.commodities[blend.recovered.0].source,
                Source::Recovered { .. }
            );
            if unlimited && used < cap - slack {
                let passed = Taker::Blend(id, at);
                self.found.push(Violation::OutOfTurn {
                    commodity: blend.recovered,
                    passed,
                });
            }
        }
        if activity.driven == Driven::ByDemand && self.runs_for_nothing(id) {
            self.found.push(Violation::NeedlessLevel { activity: id });
        }
    }

    /// Whether an activity runs although all it leads is left over.
    fn runs_for_nothing(&self, id: ActivityId) -> bool {
        let led =
            self.network.commodities.iter().enumerate().filter(
                |(_, commodity)| matches!(commodity.source, Source::Made(lead) if lead == id),
            );
        let mut running = false;
        for (index, _) in led {
            let given: f64 = self.network.activities[id.0]
                .gives
                .iter()
                .filter(|give| give.0.0 == index)
                .map(|give| give.1 * self.solution.level[id.0])
                .sum();
            running |= given > self.slack(index);
            if self.solution.surplus[index] <= self.slack(index) {
                return false;
            }
        }
        running
    }
}
