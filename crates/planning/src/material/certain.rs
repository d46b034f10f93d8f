//! Amounts that suffice with a certainty.
//!
//! For every operation of a main line: as many units are attempted there that the rest of the route
//! fills the demand with the certainty. To the mean level comes the difference between the certain
//! and the mean start of the chain from there, times the visits that one fresh unit makes (more than
//! one where units come back from rework). What one route then asks for beyond its mean is added to
//! the demand of the routes that make it. Operations beside the line follow in proportion.

use works::{OperationId, RouteId, Works};

use super::{Ground, Regrind};
use crate::flow::{in_main_line, label, last_operation};
use crate::reason::{Ledger, NodeId, Shown};
use crate::start::{Chain, ChainLeaves, From, Memory, start_of};

/// Levels and needs with the certainty of the plan.
#[derive(Clone, Debug)]
pub struct Certain {
    /// Units attempted, by operation; the mean where an operation takes nothing from outside its
    /// route, for there nobody need be sure.
    pub attempted: Vec<NodeId>,
    /// Amount needed, by item; none where it is not needed.
    pub needed: Vec<Option<NodeId>>,
    /// What the main line of each route must give so that all who take it are sure of it; none where
    /// it does not run. What its own last tests use up is not among it.
    pub asked: Vec<Option<NodeId>>,
    /// Operations for which no start is certain enough, however large.
    pub out_of_reach: Vec<OperationId>,
}

impl Certain {
    /// Works out every level and need.
    pub fn work_out(
        ledger: &mut Ledger,
        memory: &mut Memory,
        ground: Ground<'_>,
        certainty: NodeId,
        regrind: &[Regrind],
    ) -> Self {
        let attempted = ground
            .book
            .operations
            .iter()
            .map(|nodes| nodes.attempted)
            .collect();
        let items = ground.works.items.len();
        let out_of_reach = Vec::new();
        let result = Self {
            attempted,
            needed: vec![None; items],
            asked: vec![None; ground.works.routes.len()],
            out_of_reach,
        };
        let extra = vec![Vec::new(); items];
        let mut writer = Writer {
            ledger,
            memory,
            ground,
            certainty,
            regrind,
            result,
            extra,
        };
        for route in parents_first(ground.works) {
            writer.route(route);
        }
        for item in 0..items {
            writer.need(item);
        }
        writer.result
    }
}

struct Writer<'a> {
    ledger: &'a mut Ledger,
    memory: &'a mut Memory,
    ground: Ground<'a>,
    certainty: NodeId,
    regrind: &'a [Regrind],
    result: Certain,
    /// What is asked of each item beyond its mean, by takes.
    extra: Vec<Vec<NodeId>>,
}

/// A share below which a difference of levels is rounding.
const SAME: f64 = 1e-9;

impl Writer<'_> {
    fn route(&mut self, route: RouteId) {
        let works = self.ground.works;
        let Some(last) = last_operation(works, route) else {
            return;
        };
        if self.ground.flow.attempted(last) <= 0.0 {
            return;
        }
        let demand = self.demand(route, last);
        self.result.asked[route.0] = Some(demand);
        let operations = &works.route(route).operations;
        let (main, beside): (Vec<_>, Vec<_>) = operations
            .iter()
            .copied()
            .partition(|&id| in_main_line(works, id));
        for id in main {
            if !works.operation(id).takes.is_empty() {
                self.main(id, demand);
            }
        }
        for id in beside {
            self.beside(id, route);
        }
        for &id in operations {
            self.start_up(id);
            self.pass_on(id);
        }
    }

    /// What the route must give: its mean, and what others ask beyond their mean.
    fn demand(&mut self, route: RouteId, last: OperationId) -> NodeId {
        let product = self.ground.works.route(route).makes;
        let passed = goes_on(self.ledger, self.ground, last);
        if self.extra[product.0].is_empty() {
            return passed;
        }
        let item = self.ground.works.item(product);
        let mut parts = vec![passed];
        parts.extend(&self.extra[product.0]);
        let name = format!("{} asked for with certainty", item.name);
        self.ledger.sum(name, Shown::from(&item.unit), &parts)
    }

    fn main(&mut self, id: OperationId, demand: NodeId) {
        let works = self.ground.works;
        let level = self.ground.flow.attempted(id);
        let Some(chain) = Chain::new(works, self.ground.flow, start_of(works, id)) else {
            return;
        };
        let asked = self.ledger.value(demand);
        let passed = self.passed_at_end(id);
        let mean_asked = self.ledger.value(passed);
        if level <= 0.0 || (chain.is_certain() && (asked - mean_asked).abs() <= SAME * asked) {
            return;
        }
        let Ok(start) = self.memory.smallest(&chain, asked, self.ground.certainty) else {
            self.result.out_of_reach.push(id);
            return;
        };
        let leaves = ChainLeaves::enter(self.ledger, works, &chain);
        let start = leaves.start(self.ledger, works, &chain, (demand, self.certainty), &start);
        let unit = Shown::from(&works.operation(id).output.unit);
        let name = format!("{} fresh with certainty", label(works, id));
        let fresh = self.in_units(id, chain.from, start, name, unit.clone());
        let mean = chain.mean_start(mean_asked) * self.recipe_size(id, chain.from);
        if (level - mean).abs() <= SAME * level {
            let name = format!("{} attempted with certainty", label(works, id));
            self.result.attempted[id.0] = self.ledger.same(name, unit, &[fresh]);
            return;
        }
        let mean = leaves.mean_start(self.ledger, works, &chain, passed);
        let name = format!("{} fresh in the mean", label(works, id));
        let mean = self.in_units(id, chain.from, mean, name, unit.clone());
        self.result.attempted[id.0] = self.add(id, fresh, mean, unit);
    }

    fn passed_at_end(&mut self, id: OperationId) -> NodeId {
        let route = self.ground.works.operation(id).route;
        let end = last_operation(self.ground.works, route).unwrap_or(id);
        goes_on(self.ledger, self.ground, end)
    }

    fn recipe_size(&self, id: OperationId, from: From) -> f64 {
        match from {
            From::Units(_) => 1.0,
            From::Recipes(_) => self.ground.works.operation(id).output.per_recipe,
        }
    }

    /// A start in units of output.
    fn in_units(
        &mut self,
        id: OperationId,
        from: From,
        start: NodeId,
        name: String,
        unit: Shown,
    ) -> NodeId {
        let From::Recipes(_) = from else { return start };
        let output = &self.ground.works.operation(id).output;
        let source = output.stated.as_ref().map_or_else(
            || crate::reason::Source::assumed("one unit for each"),
            crate::reason::Source::of,
        );
        let recipe = self.ledger.given(
            "units of one recipe",
            output.per_recipe,
            unit.clone(),
            source,
        );
        self.ledger.product(name, unit, &[start, recipe])
    }

    /// The mean level with what certainty adds to it.
    fn add(&mut self, id: OperationId, fresh: NodeId, mean: NodeId, unit: Shown) -> NodeId {
        let name = format!("{} attempted with certainty", label(self.ground.works, id));
        let nodes = &self.ground.book.operations[id.0];
        let (attempted, fed) = (nodes.attempted, nodes.fed);
        let beyond = self
            .ledger
            .difference("beyond the mean", unit.clone(), &[fresh, mean]);
        let beyond = self
            .ledger
            .positive("beyond the mean", unit.clone(), &[beyond]);
        if fed == attempted || self.ledger.value(fed) <= 0.0 {
            return self.ledger.sum(name, unit, &[attempted, beyond]);
        }
        let visits =
            self.ledger
                .quotient("visits of a fresh unit", Shown::plain(), &[attempted, fed]);
        let beyond =
            self.ledger
                .product("attempts beyond the mean", unit.clone(), &[beyond, visits]);
        self.ledger.sum(name, unit, &[attempted, beyond])
    }

    /// An operation beside the line follows the first of the main line that is raised.
    fn beside(&mut self, id: OperationId, route: RouteId) {
        let works = self.ground.works;
        let levels = |id: OperationId| {
            (
                self.ground.book.operations[id.0].attempted,
                self.result.attempted[id.0],
            )
        };
        let mut operations = works.route(route).operations.iter().copied();
        let moved = |&id: &OperationId| in_main_line(works, id) && levels(id).0 != levels(id).1;
        let Some(first) = operations.find(moved) else {
            return;
        };
        let (mean, certain) = levels(first);
        if self.ground.flow.attempted(id) <= 0.0 {
            return;
        }
        let ratio = self.ledger.quotient(
            format!("{} with certainty against the mean", label(works, first)),
            Shown::plain(),
            &[certain, mean],
        );
        let unit = Shown::from(&works.operation(id).output.unit);
        let name = format!("{} attempted with certainty", label(works, id));
        let attempted = self.ground.book.operations[id.0].attempted;
        self.result.attempted[id.0] = self.ledger.product(name, unit, &[attempted, ratio]);
    }

    /// Until the first lot has left something over, fresh stuff stands in for it.
    fn start_up(&mut self, id: OperationId) {
        let attempted = self.ground.book.operations[id.0].attempted;
        let certain = self.result.attempted[id.0];
        for line in self.regrind.iter().filter(|line| line.operation == id.0) {
            let Some(start_up) = line.start_up.filter(|&node| self.ledger.value(node) > 0.0) else {
                continue;
            };
            let mut asked = start_up;
            if certain != attempted {
                let name = format!(
                    "{} with certainty against the mean",
                    label(self.ground.works, id)
                );
                let ratio = self
                    .ledger
                    .quotient(name, Shown::plain(), &[certain, attempted]);
                let name = format!(
                    "fresh in place of {} at the start, with certainty",
                    line.recovered
                );
                let unit = self.ledger.node(start_up).unit.clone();
                asked = self.ledger.product(name, unit, &[start_up, ratio]);
            }
            self.extra[line.fresh_item].push(asked);
        }
    }

    /// What an operation takes beyond its mean, asked of the items it takes.
    fn pass_on(&mut self, id: OperationId) {
        let works = self.ground.works;
        let nodes = &self.ground.book.operations[id.0];
        let certain = self.result.attempted[id.0];
        if certain == nodes.attempted {
            return;
        }
        let mean = self.ledger.value(nodes.attempted);
        let label = label(works, id);
        for (taken, take) in nodes.takes.iter().zip(&works.operation(id).takes) {
            let item = works.item(take.item);
            let unit = Shown::from(&item.unit);
            if mean <= 0.0 || self.ledger.value(taken.virgin) <= 0.0 {
                continue;
            }
            let per = self.ledger.quotient(
                format!("{} per {label}", item.name),
                unit.per(&Shown::from(&works.operation(id).output.unit)),
                &[taken.virgin, nodes.attempted],
            );
            let name = format!("{} into {label} with certainty", item.name);
            let all = self.ledger.product(name, unit.clone(), &[certain, per]);
            let name = format!("{} into {label} beyond the mean", item.name);
            let beyond = self.ledger.difference(name, unit, &[all, taken.virgin]);
            self.extra[take.item.0].push(beyond);
        }
    }

    fn need(&mut self, item: usize) {
        let Some(mean) = self.ground.book.items[item].needed else {
            return;
        };
        if self.extra[item].is_empty() {
            self.result.needed[item] = Some(mean);
            return;
        }
        let name = format!(
            "{} needed with certainty",
            self.ground.works.items[item].name
        );
        let unit = Shown::from(&self.ground.works.items[item].unit);
        let mut parts = vec![mean];
        parts.extend(&self.extra[item]);
        self.result.needed[item] = Some(self.ledger.sum(name, unit, &parts));
    }
}

/// What passes an operation and is not used up by its tests.
pub(super) fn goes_on(ledger: &mut Ledger, ground: Ground<'_>, id: OperationId) -> NodeId {
    let nodes = &ground.book.operations[id.0];
    if nodes.samples.is_empty() {
        return nodes.passed;
    }
    let name = format!("{} passed, without samples", label(ground.works, id));
    let unit = Shown::from(&ground.works.operation(id).output.unit);
    let mut parts = vec![nodes.passed];
    parts.extend(&nodes.samples);
    ledger.difference(name, unit, &parts)
}

/// Routes in such an order that one comes before those that make what it takes. Routes that take
/// from each other in a ring come last, in their own order.
pub(super) fn parents_first(works: &Works) -> Vec<RouteId> {
    let count = works.routes.len();
    let mut makes: Vec<Vec<usize>> = vec![Vec::new(); count];
    let mut waiting = vec![0_usize; count];
    for operation in &works.operations {
        for take in &operation.takes {
            if let Some(child) = works.item(take.item).route
                && child != operation.route
            {
                makes[operation.route.0].push(child.0);
                waiting[child.0] += 1;
            }
        }
    }
    let mut ready: Vec<usize> = (0..count)
        .rev()
        .filter(|&route| waiting[route] == 0)
        .collect();
    let mut order = Vec::new();
    let mut done = vec![false; count];
    while let Some(route) = ready.pop() {
        done[route] = true;
        order.push(RouteId(route));
        for &child in &makes[route] {
            waiting[child] -= 1;
            if waiting[child] == 0 {
                ready.push(child);
            }
        }
    }
    order.extend((0..count).filter(|&route| !done[route]).map(RouteId));
    order
}
