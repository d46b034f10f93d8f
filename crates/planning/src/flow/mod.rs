//! From a works to the network of its material, and back.
//!
//! The whole works is one [`Network`], because routes feed each other. Its commodities are
//!
//! * every item; an item made on the way through a route is what the last operation that passes it
//!   on gives;
//! * the output of every operation that has no item of its own;
//! * *arrivals* at every operation that takes rework: what was fed from before and what comes back.
//!
//! Its activities are every operation (level: units attempted), a *feed* for every main-line
//! operation with arrivals (a unit that comes back takes the operation's materials again, but not
//! what fed it), and an *issue* for each item on hand (its level is the amount on hand).
//!
//! Per unit attempted an operation passes on `keeps × good`; see `works::model`, module `route`. A
//! unit sent to rework counts as one unit where it arrives when both are counted in the same
//! dimension; else as the amount that the feeds between the two operations ask for.

mod book;
mod build;
mod lot_tests;

use balance::network::{ActivityId, CommodityId, Network, NetworkError, Solution, solve};
use works::{ItemId, OperationId, Works};

pub(crate) use book::label;
pub use book::{Book, OperationNodes, RejectNode, TakeNodes};
use lot_tests::LotTests;

/// An amount asked for from outside the routes.
#[derive(Clone, Debug, PartialEq)]
pub struct Wanted {
    /// Of what.
    pub item: ItemId,
    /// How much, base units.
    pub amount: f64,
    /// What for.
    pub source: WantedFor,
}

/// What an amount is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WantedFor {
    /// An order of [`Works::orders`], by index.
    Order(usize),
    /// So many of it at once, as for a price of a quantity.
    Quantity,
    /// What changeovers of a station use up.
    Changeovers(works::StationId),
    /// Stock for parts on an operation's cutting list that belong to no route.
    Cutting(OperationId),
}

/// The network of a works.
#[derive(Clone, Debug)]
pub struct Layout {
    /// The network; activity `i` is operation `i`, commodity `i` is item `i`, others follow.
    pub network: Network,
    /// What each operation passes on becomes this commodity.
    pub out: Vec<CommodityId>,
    /// Arrivals at operations that take rework.
    pub arrivals: Vec<Option<CommodityId>>,
    /// The feed of main-line operations that take rework.
    pub feed: Vec<Option<ActivityId>>,
    /// Items on hand with the activity that issues them.
    pub issues: Vec<(ItemId, ActivityId)>,
    /// Units of each operation's output lost to tests, per unit attempted.
    pub sampled: Vec<f64>,
    /// Units of each operation's output lost to tests whatever the quantity.
    pub sampled_fixed: Vec<f64>,
    /// Lots of each route over which tests of lots were counted; empty where there are none such.
    pub lots: Vec<f64>,
}

/// A network with its answer.
#[derive(Clone, Debug)]
pub struct Flow {
    /// The network.
    pub layout: Layout,
    /// Its answer.
    pub solution: Solution,
}

/// Rounds after which lots and levels are taken as they are.
const LOT_ROUNDS: usize = 8;

/// Why there is no flow: the solver's complaint, and the network it was about.
#[derive(Debug)]
pub struct NoFlow {
    /// The network.
    pub layout: Box<Layout>,
    /// What the solver said of it.
    pub error: NetworkError,
}

impl Flow {
    /// The balance of the whole works for what is wanted.
    ///
    /// Samples that every lot loses are counted over the lots that the load counts; these follow
    /// from the levels, so the balance is solved until they agree.
    pub fn solve(works: &Works, wanted: &[Wanted], stock: bool) -> Result<Self, NoFlow> {
        let mut tests = LotTests::none(works);
        let mut flow = Self::with(works, wanted, stock, &tests)?;
        if !LotTests::any(works) {
            return Ok(flow);
        }
        for _ in 0..LOT_ROUNDS {
            let next = LotTests::over(works, wanted, &flow);
            if next.lots == tests.lots {
                break;
            }
            tests = next;
            flow = Self::with(works, wanted, stock, &tests)?;
        }
        tests.share_out(works, &flow);
        Self::with(works, wanted, stock, &tests)
    }

    fn with(
        works: &Works,
        wanted: &[Wanted],
        stock: bool,
        tests: &LotTests,
    ) -> Result<Self, NoFlow> {
        let layout = Layout::new(works, wanted, stock, tests);
        match solve(&layout.network) {
            Ok(solution) => Ok(Self { layout, solution }),
            Err(error) => Err(NoFlow {
                layout: Box::new(layout),
                error,
            }),
        }
    }

    /// Units attempted at an operation.
    pub fn attempted(&self, operation: OperationId) -> f64 {
        self.solution.level[operation.0]
    }

    /// Share of the units attempted at an operation that tests use up.
    pub fn tested(&self, operation: OperationId) -> f64 {
        let (share, level) = (self.layout.sampled[operation.0], self.attempted(operation));
        if level > 0.0 {
            share + self.layout.sampled_fixed[operation.0] / level
        } else {
            share
        }
    }

    /// Base units of an item asked for: by orders, operations and tests.
    pub fn needed(&self, item: ItemId) -> f64 {
        self.solution.gross[item.0]
    }

    /// Base units of an item to buy.
    pub fn bought(&self, item: ItemId) -> f64 {
        self.solution.bought[item.0]
    }

    /// Base units of an item left over.
    pub fn surplus(&self, item: ItemId) -> f64 {
        self.solution.surplus[item.0]
    }
}

/// Whether an operation stands in the main line of its route.
pub fn in_main_line(works: &Works, operation: OperationId) -> bool {
    let operation = works.operation(operation);
    !operation.off_line && operation.uses_up.is_none()
}

/// The operation whose output is the product: the last of the main line.
pub fn last_operation(works: &Works, route: works::RouteId) -> Option<OperationId> {
    let operations = &works.route(route).operations;
    operations
        .iter()
        .rev()
        .copied()
        .find(|&id| in_main_line(works, id))
}

#[cfg(test)]
mod tests;
