//! Samples that every lot loses to tests.
//!
//! A lot is counted in units of the product, whatever the unit of the operation that is tested; how
//! many there are, [`Lots`] says for the load as for the balance.

use jiff::civil::Date;
use works::{OperationId, RouteId, Works};

use super::build::lot_samples;
use super::{Flow, Wanted, WantedFor};
use crate::load::Lots;

/// Units lost by operation to tests of lots.
#[derive(Clone, Debug)]
pub(super) struct LotTests {
    /// Lots of each route; empty before any were counted.
    pub(super) lots: Vec<f64>,
    /// Per unit attempted.
    pub(super) share: Vec<f64>,
    /// Whatever is attempted.
    pub(super) fixed: Vec<f64>,
}

impl LotTests {
    /// Nothing is lost.
    pub(super) fn none(works: &Works) -> Self {
        let none = vec![0.0; works.operations.len()];
        Self {
            lots: Vec::new(),
            share: none.clone(),
            fixed: none,
        }
    }

    /// Whether any lot loses samples.
    pub(super) fn any(works: &Works) -> bool {
        (0..works.operations.len()).any(|index| lot_samples(works, OperationId(index)) > 0.0)
    }

    /// What the lots lose that follow from the levels of a balance.
    pub(super) fn over(works: &Works, wanted: &[Wanted], flow: &Flow) -> Self {
        let lots = lots(works, wanted, flow);
        let lost = |(index, operation): (usize, &works::Operation)| {
            if flow.attempted(OperationId(index)) <= 0.0 {
                return 0.0;
            }
            lot_samples(works, OperationId(index)) * lots[operation.route.0]
        };
        let fixed = works.operations.iter().enumerate().map(lost).collect();
        Self {
            lots,
            fixed,
            ..Self::none(works)
        }
    }

    /// Where the works fixes a lot, what is lost grows with what is made: it becomes a share.
    pub(super) fn share_out(&mut self, works: &Works, flow: &Flow) {
        for (index, operation) in works.operations.iter().enumerate() {
            let level = flow.attempted(OperationId(index));
            if works.route(operation.route).lot.is_some() && level > 0.0 {
                self.share[index] = std::mem::take(&mut self.fixed[index]) / level;
            }
        }
    }
}

/// Lots of each route, as the load counts them. What no order asks for (a price is asked after) is
/// a share of a lot.
fn lots(works: &Works, wanted: &[Wanted], flow: &Flow) -> Vec<f64> {
    let dues = wanted.iter().filter_map(|ask| match ask.source {
        WantedFor::Order(order) => Some(works.orders[order].due),
        WantedFor::Quantity | WantedFor::Changeovers(_) | WantedFor::Cutting(_) => None,
    });
    let until = dues.max().unwrap_or(Date::MIN);
    let lots = Lots::plan(works, &flow.solution.level[..works.operations.len()], until);
    let count = |route: usize| {
        let size = works.routes[route].lot.as_ref().map(works::Stated::mean);
        let size = size.filter(|&size| size > 0.0);
        let counted = lots.of(RouteId(route)).map(|lot| match (lot.order, size) {
            (None, Some(size)) => lot.amount / size,
            _ => lot.count,
        });
        counted.sum()
    };
    (0..works.routes.len()).map(count).collect()
}
