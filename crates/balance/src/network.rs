//! The steady-state material balance of any production network.
//!
//! *Commodities* (bought stock, work in progress, by-products, regrind, goods) are connected by
//! *activities* (operations, each running at some level per horizon). Every commodity has one
//! balance,
//!
//! `given + bought + substituted = demand + taken + surplus`,
//!
//! and one thing that closes it: a purchase, the level of the activity that leads it, or, for what
//! is only recovered (sprue, mince, regrind), the taker that happens to be marginal. That choice
//! is a complementarity problem; [`solve`] walks through choices, solving one sparse linear system
//! for each, until no choice is contradicted. [`check`] knows nothing of
//! that: it re-derives every balance, cap and order of service from the network.
//!
//! Everything is in the commodity's own unit per horizon, whatever the caller chose; levels are
//! whatever the activity's coefficients are per.
//!
//! Sanding that sends 4 % back to be sanded again: 960 good need 1,000 sandings of 960 blanks.
//!
//! ```
//! use balance::network::{
//!     Activity, ActivityId, Commodity, CommodityId, Driven, Network, Source, check, solve,
//! };
//!
//! let commodity = |demand, source| Commodity { demand, source };
//! let activity = |takes, gives| {
//!     Activity { takes, gives, blends: Vec::new(), driven: Driven::ByDemand }
//! };
//! let [blank, to_sand, good] = [0, 1, 2].map(CommodityId);
//! let network = Network {
//!     commodities: vec![
//!         commodity(0.0, Source::Bought),
//!         commodity(0.0, Source::Made(ActivityId(0))),
//!         commodity(960.0, Source::Made(ActivityId(1))),
//!     ],
//!     activities: vec![
//!         activity(vec![(blank, 1.0)], vec![(to_sand, 1.0)]),
//!         activity(vec![(to_sand, 1.0)], vec![(good, 0.96), (to_sand, 0.04)]),
//!     ],
//! };
//! let solution = solve(&network)?;
//! assert!((solution.level[1] - 1000.0).abs() < 1e-9);
//! assert!((solution.bought[blank.0] - 960.0).abs() < 1e-9);
//! assert_eq!(check(&network, &solution, 1e-9), Ok(()));
//! # Ok::<(), balance::network::NetworkError>(())
//! ```

mod check;
mod equations;
mod fault;
mod refusal;
mod settle;

pub use check::{Violation, check};
pub use fault::{NetworkError, Place};
pub use settle::solve;

use serde::Serialize;

/// The index of a commodity in [`Network::commodities`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct CommodityId(pub usize);

/// The index of an activity in [`Network::activities`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct ActivityId(pub usize);

/// A production network.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct Network {
    /// What is bought, made, recovered and asked for.
    pub commodities: Vec<Commodity>,
    /// What is done.
    pub activities: Vec<Activity>,
}

/// Anything that has a balance.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Commodity {
    /// What leaves the network, per horizon, in the commodity's unit; not negative.
    pub demand: f64,
    /// What closes the balance.
    pub source: Source,
}

/// What closes the balance of a commodity.
///
/// Activities may give any commodity, whatever its source: rework returned to a made commodity, a
/// by-product that is otherwise bought. Only what they do not cover is bought or made; what is
/// over is surplus.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub enum Source {
    /// Any amount may be bought.
    Bought,
    /// The level of this activity, which must be driven by demand and give more of the commodity
    /// than it takes. An activity that leads several commodities runs for the one that needs most.
    Made(ActivityId),
    /// Comes only as a by-product: the supply is what it is.
    ///
    /// Demand and plain takes are served first. What is left goes to the takers in order: blends up
    /// to their caps, an activity that uses up the rest. What they leave is surplus.
    Recovered {
        /// The order of service. Takers not named follow in order of activity, blends first.
        takers_in_order: Vec<Taker>,
        /// What closes a balance in which even demand and plain takes are not covered.
        otherwise: Otherwise,
    },
}

/// One that takes from a recovered commodity what there is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum Taker {
    /// A blend, by activity and index in [`Activity::blends`].
    Blend(ActivityId, usize),
    /// An activity that is [`Driven::UsesUp`] by the commodity. Takers after it get nothing.
    UsesUp(ActivityId),
}

/// What stands in for a recovered commodity that does not cover demand and plain takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Otherwise {
    /// The rest is bought.
    Buy,
    /// The rest is drawn, one for one, from this commodity (the virgin material).
    Substitute(CommodityId),
    /// Nothing does: the network is refused as short.
    Nothing,
}

/// An operation, running at a level.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Activity {
    /// What it takes per unit of level.
    pub takes: Vec<(CommodityId, f64)>,
    /// What it gives per unit of level.
    pub gives: Vec<(CommodityId, f64)>,
    /// Feeds in which a recovered commodity may replace part of a virgin one.
    pub blends: Vec<Blend>,
    /// What sets its level.
    pub driven: Driven,
}

/// A feed made up of virgin and recovered stuff.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Blend {
    /// Makes up the feed.
    pub virgin: CommodityId,
    /// Replaces part of it, as far as there is any. If its source is not
    /// [`Source::Recovered`] there always is, and the blend runs at its cap.
    pub recovered: CommodityId,
    /// The whole feed per unit of level, in the unit both share.
    pub amount: f64,
    /// The largest share of the feed, 0 to 1, that may be recovered.
    pub at_most: f64,
}

/// What sets the level of an activity.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub enum Driven {
    /// What is asked of the commodities it leads.
    ByDemand,
    /// What there is of this recovered commodity, which it must take.
    UsesUp(CommodityId),
}

/// The balance of a network. Vectors are indexed as the network's.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Solution {
    /// Level per activity.
    pub level: Vec<f64>,
    /// Bought per commodity.
    pub bought: Vec<f64>,
    /// Left over per commodity: by-products, waste, regrind beyond its caps.
    pub surplus: Vec<f64>,
    /// Drawn from the substitute because the recovered commodity did not cover plain takes.
    pub substituted: Vec<f64>,
    /// Recovered part of each blend's feed, by activity and index of blend.
    pub recovered_used: Vec<Vec<f64>>,
    /// Demand and everything taken, per commodity. What was supplied is this plus the surplus.
    pub gross: Vec<f64>,
    /// Commodities whose balances had to be solved together, loop by loop.
    pub loops: Vec<Vec<CommodityId>>,
    /// Linear systems solved until no choice was contradicted.
    pub rounds: usize,
}

impl Solution {
    /// The virgin part of a blend's feed.
    pub fn virgin_used(&self, network: &Network, activity: ActivityId, blend: usize) -> f64 {
        let feed = network.activities[activity.0].blends[blend].amount * self.level[activity.0];
        feed - self.recovered_used[activity.0][blend]
    }
}

#[cfg(test)]
mod tests;
