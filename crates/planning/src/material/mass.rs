//! The mass balance: kilograms in against kilograms out, by operation and by route.
//!
//! What one unit weighs is stated or follows along the flow (see `scales`). Where a mass is missing
//! the balance is *not known*; nothing is made up.
//!
//! in = product + by-products + scrap + tests + reworked + lost (named) + unexplained

use std::collections::BTreeMap;

use serde::Serialize;
use works::{ItemId, OperationId, RejectTo};

use super::Ground;
use super::scales::Scales;
use crate::figure::Figures;
use crate::flow::label;
use crate::reason::{Ledger, NodeId, Shown, Source};

/// The masses of one operation over the horizon, kg.
#[derive(Clone, Debug, Serialize)]
pub struct OperationMass {
    /// Index of the operation.
    pub operation: usize,
    /// Its name.
    pub name: String,
    /// From operations before, rework among it.
    pub fed: NodeId,
    /// From outside the route.
    pub taken: NodeId,
    /// Passed on, units lost to tests not among it.
    pub passed: NodeId,
    /// By-products, rejects that become items among them.
    pub by_products: NodeId,
    /// Thrown away.
    pub scrap: NodeId,
    /// Used up by tests.
    pub tests: NodeId,
    /// Sent to rework.
    pub reworked: NodeId,
    /// Lost under a name.
    pub lost: NodeId,
    /// What the loss is.
    pub lost_as: Option<String>,
    /// Everything in less everything above: below zero more comes out than goes in.
    pub unexplained: NodeId,
}

impl OperationMass {
    /// Everything that goes in, kg.
    pub fn in_kg(&self, ledger: &Ledger) -> f64 {
        ledger.value(self.fed) + ledger.value(self.taken)
    }
}

/// The masses of one route over the horizon, kg.
#[derive(Clone, Debug, Serialize)]
pub struct RouteMass {
    /// Index of the route.
    pub route: usize,
    /// The product.
    pub product: String,
    /// Its operations; none where a mass is not known.
    pub operations: Vec<OperationMass>,
    /// Items and operations whose mass is not known.
    pub unknown: Vec<String>,
    /// The sums; none where something is not known.
    pub sums: Option<RouteSums>,
}

/// The masses of a whole route, kg.
#[derive(Clone, Debug, Serialize)]
pub struct RouteSums {
    /// Taken from outside the route.
    pub taken: NodeId,
    /// Product.
    pub product: NodeId,
    /// By-products.
    pub by_products: NodeId,
    /// Thrown away.
    pub scrap: NodeId,
    /// Used up by tests.
    pub tests: NodeId,
    /// Lost, by name.
    pub lost: Vec<(String, NodeId)>,
    /// Unexplained.
    pub unexplained: NodeId,
    /// Taken less all of the above: what goes on between operations from stock, to stock, or to
    /// other routes.
    pub in_between: NodeId,
    /// Product, by-products, scrap, tests and named losses as a share of what was taken.
    pub explained: Option<NodeId>,
}

/// The mass balance of the works.
#[derive(Clone, Debug, Default, Serialize)]
pub struct MassBalance {
    /// By route; routes that nothing is asked of are left out.
    pub routes: Vec<RouteMass>,
}

/// The balance of every route that something is asked of.
pub(super) fn balance(
    ledger: &mut Ledger,
    figures: &mut Figures,
    ground: Ground<'_>,
) -> MassBalance {
    let scales = Scales::new(ledger, ground);
    let mut routes = Vec::new();
    for (index, route) in ground.works.routes.iter().enumerate() {
        let runs = route
            .operations
            .iter()
            .any(|&id| ground.flow.attempted(id) > 0.0);
        if runs {
            routes.push(scales.route(ledger, figures, ground, index));
        }
    }
    MassBalance { routes }
}

impl Scales {
    fn route(
        &self,
        ledger: &mut Ledger,
        figures: &mut Figures,
        ground: Ground<'_>,
        index: usize,
    ) -> RouteMass {
        let works = ground.works;
        let route = &works.routes[index];
        let product = works.item(route.makes).name.clone();
        let mut unknown = Vec::new();
        let mut operations = Vec::new();
        for &id in &route.operations {
            let mut scale = Weighing {
                scales: self,
                ledger,
                ground,
                id,
                unknown: &mut unknown,
            };
            operations.extend(scale.operation());
        }
        unknown.sort();
        unknown.dedup();
        if !unknown.is_empty() {
            return RouteMass {
                route: index,
                product,
                operations,
                unknown,
                sums: None,
            };
        }
        let sums = sums(ledger, ground, &product, &operations);
        let key = format!("{product} mass explained");
        if let Some(explained) = sums.explained {
            figures.add(ledger, &key, &key, explained);
        }
        RouteMass {
            route: index,
            product,
            operations,
            unknown,
            sums: Some(sums),
        }
    }
}

/// One operation on the scales.
struct Weighing<'a, 'g> {
    scales: &'a Scales,
    ledger: &'a mut Ledger,
    ground: Ground<'g>,
    id: OperationId,
    unknown: &'a mut Vec<String>,
}

impl Weighing<'_, '_> {
    fn operation(&mut self) -> Option<OperationMass> {
        let before = self.unknown.len();
        let (fed, taken) = (self.fed(), self.taken());
        let tests = self.tests();
        let passed = self.passed();
        let (by_products, scrap, reworked) = self.beside();
        if self.unknown.len() > before {
            return None;
        }
        let works = self.ground.works;
        let operation = works.operation(self.id);
        let label = label(works, self.id);
        let kg = Shown::kilograms();
        let (fed, taken) = (self.sum("fed", &fed), self.sum("taken", &taken));
        let by_products = self.sum("by-products", &by_products);
        let scrap = self.sum("scrap", &scrap);
        let reworked = self.sum("reworked", &reworked);
        let tests = self.sum("tests", &tests);
        let all = self
            .ledger
            .sum(format!("mass into {label}"), kg.clone(), &[fed, taken]);
        let mut passed = passed?;
        if self.ledger.value(tests) > 0.0 {
            let name = format!("mass passed on by {label}");
            passed = self.ledger.difference(name, kg.clone(), &[passed, tests]);
        }
        let inputs = [all, passed, by_products, scrap, reworked, tests];
        let rest = self
            .ledger
            .difference(format!("mass not found after {label}"), kg, &inputs);
        let pending = &self.scales.pending[self.id.0];
        // What is lost beside the line under a name of its own is that and nothing else.
        let own = operation.off_line && operation.lost_as.is_some();
        let names = if pending.is_empty() && !own {
            self.scales.loss_names(works, self.id)
        } else {
            operation.lost_as.iter().cloned().collect()
        };
        let (lost, unexplained, lost_as) = self.explain(rest, &names, operation.keeps.mean);
        Some(OperationMass {
            operation: self.id.0,
            name: operation.name.clone(),
            fed,
            taken,
            passed,
            by_products,
            scrap,
            tests,
            reworked,
            lost,
            lost_as,
            unexplained,
        })
    }

    /// What of the rest is a named loss, and what is not explained. A stated yield of measure
    /// explains as much as it says.
    fn explain(
        &mut self,
        rest: NodeId,
        names: &[String],
        keeps: f64,
    ) -> (NodeId, NodeId, Option<String>) {
        let kg = Shown::kilograms();
        let zero = self.ledger.given(
            "nothing",
            0.0,
            kg.clone(),
            Source::assumed("no such loss was stated"),
        );
        if !names.is_empty() {
            let lost = self.ledger.positive(names.join(", "), kg.clone(), &[rest]);
            if !self.scales.pending[self.id.0].is_empty() {
                let words = "how much is not known here; it shows where a mass is next stated";
                self.ledger.note(lost, words);
            }
            let unexplained =
                self.ledger
                    .difference("mass that is not explained", kg, &[rest, lost]);
            return (lost, unexplained, Some(names.join(", ")));
        }
        let attempted = self.ground.book.operations[self.id.0].attempted;
        let Some(mass) = self.scales.outputs[self.id.0].filter(|_| keeps < 1.0) else {
            return (zero, rest, None);
        };
        let share = self.ledger.given(
            "share not kept",
            1.0 - keeps,
            Shown::percent(),
            Source::at(self.ground.works.operation(self.id).at),
        );
        let stated = self
            .ledger
            .product("mass not kept", kg.clone(), &[attempted, share, mass]);
        let there = self.ledger.positive("mass not found", kg.clone(), &[rest]);
        let lost = self
            .ledger
            .min("mass not kept", kg.clone(), &[stated, there]);
        let unexplained = self
            .ledger
            .difference("mass that is not explained", kg, &[rest, lost]);
        (lost, unexplained, Some("not kept".to_owned()))
    }

    fn sum(&mut self, what: &str, parts: &[NodeId]) -> NodeId {
        let name = format!("mass {what} at {}", label(self.ground.works, self.id));
        self.ledger.sum(name, Shown::kilograms(), parts)
    }

    fn item(&mut self, item: ItemId) -> Option<NodeId> {
        let mass = self.scales.items[item.0];
        if mass.is_none() {
            self.unknown.push(self.ground.works.item(item).name.clone());
        }
        mass
    }

    fn output(&mut self, id: OperationId) -> Option<NodeId> {
        let mass = self.scales.outputs[id.0];
        if mass.is_none() {
            self.unknown
                .push(format!("one unit after {}", label(self.ground.works, id)));
        }
        mass
    }

    /// An amount times the mass of one, when something flows and the mass is known.
    fn weigh(&mut self, amount: NodeId, mass: Option<NodeId>) -> Option<NodeId> {
        let name = format!("mass of {}", self.ledger.node(amount).name);
        mass.map(|mass| {
            self.ledger
                .product(name, Shown::kilograms(), &[amount, mass])
        })
    }

    fn fed(&mut self) -> Vec<NodeId> {
        let works = self.ground.works;
        let nodes = &self.ground.book.operations[self.id.0];
        let mut parts = Vec::new();
        if !works.operation(self.id).off_line {
            for (&amount, feed) in nodes.feeds.iter().zip(&works.operation(self.id).feeds) {
                let mass = self.output(feed.from);
                parts.extend(self.weigh(amount, mass));
            }
        }
        parts.extend(self.arrivals());
        parts
    }

    /// What comes back: rejects of others sent here, and the output of operations beside the line.
    fn arrivals(&mut self) -> Vec<NodeId> {
        let works = self.ground.works;
        let route = works.operation(self.id).route;
        let mut parts = Vec::new();
        for &from in &works.route(route).operations {
            let operation = works.operation(from);
            let nodes = &self.ground.book.operations[from.0];
            for (reject, node) in operation.rejects.iter().zip(&nodes.rejects) {
                if reject.to == RejectTo::Rework(self.id) {
                    let mass = self.output(from);
                    parts.extend(self.weigh(node.units, mass));
                }
            }
            if operation.then == Some(self.id) {
                let mass = self.output(from);
                parts.extend(self.weigh(nodes.passed, mass));
            }
        }
        parts
    }

    fn taken(&mut self) -> Vec<NodeId> {
        let works = self.ground.works;
        let nodes = &self.ground.book.operations[self.id.0];
        let mut parts = Vec::new();
        if let (Some(amount), Some(item)) = (nodes.used_up, works.operation(self.id).uses_up) {
            let mass = self.item(item);
            parts.extend(self.weigh(amount, mass));
        }
        for (taken, take) in nodes.takes.iter().zip(&works.operation(self.id).takes) {
            let mass = self.item(take.item);
            parts.extend(self.weigh(taken.virgin, mass));
            if let (Some(amount), Some(other)) = (taken.recovered, &take.recovered) {
                let mass = self.item(other.item);
                parts.extend(self.weigh(amount, mass));
            }
        }
        parts
    }

    fn passed(&mut self) -> Option<NodeId> {
        let mass = self.output(self.id);
        self.weigh(self.ground.book.operations[self.id.0].passed, mass)
    }

    /// By-products, scrap, reworked.
    fn beside(&mut self) -> (Vec<NodeId>, Vec<NodeId>, Vec<NodeId>) {
        let works = self.ground.works;
        let operation = works.operation(self.id);
        let nodes = &self.ground.book.operations[self.id.0];
        let (mut by_products, mut scrap, mut reworked) = (Vec::new(), Vec::new(), Vec::new());
        for (&amount, also) in nodes.also.iter().zip(&operation.also) {
            let mass = self.item(also.item);
            by_products.extend(self.weigh(amount, mass));
        }
        for (reject, node) in operation.rejects.iter().zip(&nodes.rejects) {
            match reject.to {
                RejectTo::Item(item, _) => {
                    let mass = self.item(item);
                    by_products.extend(self.weigh(node.becomes, mass));
                }
                RejectTo::Scrap | RejectTo::Rework(_) => {
                    let mass = self.output(self.id);
                    let list = if reject.to == RejectTo::Scrap {
                        &mut scrap
                    } else {
                        &mut reworked
                    };
                    list.extend(self.weigh(node.units, mass));
                }
            }
        }
        if let (Some(rejected), true) = (nodes.rejected, operation.rejects.is_empty()) {
            let mass = self.output(self.id);
            scrap.extend(self.weigh(rejected, mass));
        }
        (by_products, scrap, reworked)
    }

    fn tests(&mut self) -> Vec<NodeId> {
        let lost = self.ground.book.operations[self.id.0].samples.clone();
        let mut parts = Vec::new();
        for amount in lost {
            let mass = self.output(self.id);
            parts.extend(self.weigh(amount, mass));
        }
        parts
    }
}

/// The sums of a route.
fn sums(
    ledger: &mut Ledger,
    ground: Ground<'_>,
    product: &str,
    operations: &[OperationMass],
) -> RouteSums {
    let kg = Shown::kilograms();
    let mut total = |what: &str, pick: &dyn Fn(&OperationMass) -> NodeId| {
        let parts: Vec<NodeId> = operations.iter().map(pick).collect();
        ledger.sum(format!("mass {what} ({product})"), kg.clone(), &parts)
    };
    let taken = total("taken", &|mass| mass.taken);
    let by_products = total("of by-products", &|mass| mass.by_products);
    let scrap = total("scrapped", &|mass| mass.scrap);
    let tests = total("used up by tests", &|mass| mass.tests);
    let unexplained = total("not explained", &|mass| mass.unexplained);
    let passed = product_mass(ledger, ground, product, operations);
    let lost = losses(ledger, product, operations);
    let mut explained = vec![passed, by_products, scrap, tests];
    explained.extend(lost.iter().map(|(_, node)| *node));
    let found = ledger.sum(
        format!("mass found again ({product})"),
        kg.clone(),
        &explained,
    );
    let name = format!("mass in between ({product})");
    let in_between = ledger.difference(name, kg, &[taken, found, unexplained]);
    let share = (ledger.value(taken) > 0.0).then(|| {
        let name = format!("share of the mass that is explained ({product})");
        ledger.quotient(name, Shown::percent(), &[found, taken])
    });
    RouteSums {
        taken,
        product: passed,
        by_products,
        scrap,
        tests,
        lost,
        unexplained,
        in_between,
        explained: share,
    }
}

/// The mass that leaves as product: what ends there, of the last operation of the main line and of
/// operations beside it that pass on to no other.
fn product_mass(
    ledger: &mut Ledger,
    ground: Ground<'_>,
    product: &str,
    operations: &[OperationMass],
) -> NodeId {
    let works = ground.works;
    let ends = |mass: &&OperationMass| {
        let id = OperationId(mass.operation);
        let operation = works.operation(id);
        let last = crate::flow::last_operation(works, operation.route);
        last == Some(id) || (operation.uses_up.is_some() && operation.then.is_none())
    };
    let parts: Vec<NodeId> = operations
        .iter()
        .filter(ends)
        .map(|mass| mass.passed)
        .collect();
    ledger.sum(format!("mass of {product}"), Shown::kilograms(), &parts)
}

/// Losses by name.
fn losses(
    ledger: &mut Ledger,
    product: &str,
    operations: &[OperationMass],
) -> Vec<(String, NodeId)> {
    let mut by_name: BTreeMap<&str, Vec<NodeId>> = BTreeMap::new();
    for mass in operations {
        if let Some(name) = &mass.lost_as {
            by_name.entry(name).or_default().push(mass.lost);
        }
    }
    let unit = Shown::kilograms();
    by_name
        .into_iter()
        .map(|(name, parts)| {
            let label = format!("mass lost as {name} ({product})");
            (name.to_owned(), ledger.sum(label, unit.clone(), &parts))
        })
        .collect()
}
