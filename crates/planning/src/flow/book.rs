//! The balance of the works as reasons: every level, amount taken and amount given with the
//! arithmetic that makes it.
//!
//! Levels and recovered shares are entered as the solver found them; then every flow follows from
//! them by rule; at last each level is closed with the balance that fixes it.

use balance::network::{CommodityId, Driven, Otherwise, Source as Closing};
use works::{Operation, OperationId, RejectTo, Works};

use super::build::lot_samples;
use super::{Flow, Wanted, WantedFor, in_main_line};
use crate::reason::{Ledger, NodeId, Rule, Shown, Source, number};

/// Flows of one operation over the horizon.
#[derive(Clone, Debug)]
pub struct OperationNodes {
    /// Units attempted.
    pub attempted: NodeId,
    /// Units attempted of which the feeds were taken (others came back from rework).
    pub fed: NodeId,
    /// Units that went on.
    pub passed: NodeId,
    /// Amounts taken from operations before, in the order of the operation's feeds.
    pub feeds: Vec<NodeId>,
    /// Amounts taken from elsewhere, in the order of the operation's takes.
    pub takes: Vec<TakeNodes>,
    /// The left-over item used up, where the operation does not name it among its takes.
    pub used_up: Option<NodeId>,
    /// Amounts given beside, in the order of the operation's `also`.
    pub also: Vec<NodeId>,
    /// Units kept by measure but not passed.
    pub rejected: Option<NodeId>,
    /// Where they went.
    pub rejects: Vec<RejectNode>,
    /// Units of what passed that tests use up.
    pub samples: Vec<NodeId>,
}

/// An amount taken from outside the route.
#[derive(Clone, Debug)]
pub struct TakeNodes {
    /// The whole amount.
    pub total: NodeId,
    /// The part that is not recovered.
    pub virgin: NodeId,
    /// The recovered part, where there may be one.
    pub recovered: Option<NodeId>,
}

/// Rejects that go one way.
#[derive(Clone, Debug)]
pub struct RejectNode {
    /// Rejected units that go there.
    pub units: NodeId,
    /// What they become there, in its own unit.
    pub becomes: NodeId,
}

/// The balance of one item.
#[derive(Clone, Debug, Default)]
pub struct ItemNodes {
    /// Asked for from outside the routes.
    pub wanted: Option<NodeId>,
    /// Asked for in all.
    pub needed: Option<NodeId>,
    /// Given by stock, by-products and rejects.
    pub given: Option<NodeId>,
    /// Bought.
    pub bought: Option<NodeId>,
    /// Left over.
    pub surplus: Option<NodeId>,
}

/// All flows of the works.
#[derive(Clone, Debug)]
pub struct Book {
    /// By operation.
    pub operations: Vec<OperationNodes>,
    /// By item.
    pub items: Vec<ItemNodes>,
}

impl Book {
    /// Enters the flows of a works into the ledger.
    pub fn enter(ledger: &mut Ledger, works: &Works, flow: &Flow, wanted: &[Wanted]) -> Self {
        let count = flow.layout.network.commodities.len();
        let mut writer = Writer {
            ledger,
            works,
            flow,
            taken: vec![Vec::new(); count],
            given: vec![Vec::new(); count],
            wanted: vec![None; count],
            yields: Vec::new(),
            blends: Vec::new(),
            looped: vec![false; count],
        };
        for commodity in flow.solution.loops.iter().flatten() {
            writer.looped[commodity.0] = true;
        }
        writer.write(wanted)
    }
}

/// The leaves of an operation's yield.
#[derive(Clone, Copy)]
struct Yields {
    keeps: Option<NodeId>,
    good: Option<NodeId>,
}

/// A blend to be closed: the recovered part, its cap, the commodity it comes from.
struct OpenBlend {
    used: NodeId,
    cap: NodeId,
    from: CommodityId,
}

struct Writer<'a> {
    ledger: &'a mut Ledger,
    works: &'a Works,
    flow: &'a Flow,
    /// Demand and plain takes of every commodity.
    taken: Vec<Vec<NodeId>>,
    /// What it is given by others than its lead.
    given: Vec<Vec<NodeId>>,
    wanted: Vec<Option<NodeId>>,
    yields: Vec<Yields>,
    blends: Vec<OpenBlend>,
    /// Commodities whose balances were solved together.
    looped: Vec<bool>,
}

/// Amounts below this share of what passes are rounding, not purchases or left-overs.
const NOTHING: f64 = 1e-9;

impl Writer<'_> {
    fn write(&mut self, wanted: &[Wanted]) -> Book {
        self.wanted(wanted);
        self.stock();
        let mut operations: Vec<OperationNodes> = (0..self.works.operations.len())
            .map(|i| self.levels(OperationId(i)))
            .collect();
        for (index, nodes) in operations.iter_mut().enumerate() {
            self.flows(OperationId(index), nodes);
        }
        self.close_blends();
        let items = self.balances();
        for (index, nodes) in operations.iter().enumerate() {
            self.close_level(OperationId(index), nodes);
        }
        Book { operations, items }
    }

    /// Orders, or quantities asked after.
    fn wanted(&mut self, wanted: &[Wanted]) {
        let mut parts: Vec<Vec<NodeId>> = vec![Vec::new(); self.works.items.len()];
        for ask in wanted.iter().filter(|ask| ask.amount > 0.0) {
            let unit = self.item_unit(ask.item.0);
            let (name, source) = match ask.source {
                WantedFor::Order(order) => {
                    let order = &self.works.orders[order];
                    (
                        format!("order {}", order.number),
                        Source::of(&order.quantity),
                    )
                }
                WantedFor::Changeovers(station) => {
                    let station = self.works.station(station);
                    let name = format!("used up by changeovers of {}", station.name);
                    let why = "changeovers over the sequence of due dates";
                    (name, Source::assumed(why))
                }
                WantedFor::Cutting(operation) => {
                    let name = format!(
                        "for other parts on the list of {}",
                        label(self.works, operation)
                    );
                    (
                        name,
                        Source::assumed("their share by size of what the plan cuts up"),
                    )
                }
                WantedFor::Quantity => {
                    let name = format!("{} asked for", self.works.item(ask.item).name);
                    (name, Source::assumed("the quantity the price is asked for"))
                }
            };
            parts[ask.item.0].push(self.ledger.given(name, ask.amount, unit, source));
        }
        for (item, parts) in parts
            .into_iter()
            .enumerate()
            .filter(|(_, parts)| !parts.is_empty())
        {
            let unit = self.item_unit(item);
            let name = format!("{} wanted", self.works.items[item].name);
            let total = self.ledger.sum(name, unit, &parts);
            self.wanted[item] = Some(total);
            self.taken[item].push(total);
        }
    }

    /// What is on hand, given to each item's balance.
    fn stock(&mut self) {
        for &(item, _) in &self.flow.layout.issues {
            let name = &self.works.item(item).name;
            let unit = self.item_unit(item.0);
            let lines = self.works.stock.iter().filter(|stock| stock.item == item);
            let leaves: Vec<NodeId> = lines
                .map(|stock| {
                    let label = match &stock.lot {
                        Some(lot) => format!("{name} on hand, lot {lot}"),
                        None => format!("{name} on hand"),
                    };
                    let amount = stock.amount.mean().max(0.0);
                    self.ledger
                        .given(label, amount, unit.clone(), Source::of(&stock.amount))
                })
                .collect();
            let total = match *leaves.as_slice() {
                [one] => one,
                _ => self.ledger.sum(format!("{name} on hand"), unit, &leaves),
            };
            self.given[item.0].push(total);
        }
    }

    /// The levels of one operation as solved, to be closed later.
    fn levels(&mut self, id: OperationId) -> OperationNodes {
        let label = label(self.works, id);
        let unit = self.output_unit(id);
        let level = self.flow.attempted(id);
        let attempted = self
            .ledger
            .solved(format!("{label} attempted"), level, unit.clone());
        let fed = match self.flow.layout.feed[id.0] {
            Some(feed) => {
                let level = self.flow.solution.level[feed.0];
                self.ledger.solved(format!("{label} fed"), level, unit)
            }
            None => attempted,
        };
        if !self.in_loop(id) {
            self.ledger.alone(attempted);
            self.ledger.alone(fed);
        }
        let operation = self.works.operation(id);
        let keeps = self.yield_leaf(&format!("{label} keeps"), &operation.keeps);
        let good = self.yield_leaf(&format!("{label} good"), &operation.good);
        self.yields.push(Yields { keeps, good });
        OperationNodes {
            attempted,
            fed,
            passed: attempted,
            feeds: Vec::new(),
            takes: Vec::new(),
            used_up: None,
            also: Vec::new(),
            rejected: None,
            rejects: Vec::new(),
            samples: Vec::new(),
        }
    }

    /// Whether the balances at an operation were solved together with others.
    fn in_loop(&self, id: OperationId) -> bool {
        let layout = &self.flow.layout;
        self.looped[layout.out[id.0].0] || layout.arrivals[id.0].is_some_and(|c| self.looped[c.0])
    }

    fn yield_leaf(&mut self, name: &str, value: &works::Yield) -> Option<NodeId> {
        if value.mean == 1.0 && value.stated.is_none() {
            return None;
        }
        let source = match &value.stated {
            Some(stated) => Source::of(stated),
            None => Source::assumed("nothing was said"),
        };
        Some(
            self.ledger
                .given(name.to_owned(), value.mean, Shown::percent(), source),
        )
    }

    /// Everything that flows in and out of one operation.
    fn flows(&mut self, id: OperationId, nodes: &mut OperationNodes) {
        let operation = self.works.operation(id);
        let label = label(self.works, id);
        self.feeds(id, operation, &label, nodes);
        self.takes(id, operation, &label, nodes);
        self.also(id, operation, &label, nodes);
        self.outputs(id, operation, &label, nodes);
        self.rejects(id, operation, &label, nodes);
        self.samples(id, &label, nodes);
    }

    fn feeds(
        &mut self,
        id: OperationId,
        operation: &Operation,
        label: &str,
        nodes: &mut OperationNodes,
    ) {
        if let Some(arrivals) = self.flow.layout.arrivals[id.0] {
            if in_main_line(self.works, id) {
                self.taken[arrivals.0].push(nodes.attempted);
            }
            if operation.off_line {
                return;
            }
        }
        for feed in &operation.feeds {
            let unit = self.output_unit(feed.from);
            let from = &self.works.operation(feed.from).name;
            let amount = feed.amount.mean();
            let taken = if amount == 1.0 && feed.stated.is_none() {
                nodes.fed
            } else {
                let source = match &feed.stated {
                    Some(stated) => Source::of(stated),
                    None => Source::assumed("one unit goes on as one"),
                };
                let rate = unit.per(&self.output_unit(id));
                let per = self
                    .ledger
                    .given(format!("{from} per {label}"), amount, rate, source);
                let name = format!("{from} into {label}");
                self.ledger.product(name, unit, &[nodes.fed, per])
            };
            nodes.feeds.push(taken);
            self.taken[self.flow.layout.out[feed.from.0].0].push(taken);
        }
    }

    fn takes(
        &mut self,
        id: OperationId,
        operation: &Operation,
        label: &str,
        nodes: &mut OperationNodes,
    ) {
        if let Some(item) = operation.uses_up
            && !operation.takes.iter().any(|take| take.item == item)
        {
            nodes.used_up = Some(nodes.attempted);
            self.taken[item.0].push(nodes.attempted);
        }
        let mut blend = 0;
        for take in &operation.takes {
            let item = &self.works.item(take.item).name;
            let unit = self.item_unit(take.item.0);
            let rate = unit.per(&self.output_unit(id));
            let source = Source::of(&take.stated);
            let amount = take.amount.mean();
            let per = self
                .ledger
                .given(format!("{item} per {label}"), amount, rate, source);
            let name = format!("{item} into {label}");
            let total = self
                .ledger
                .product(name, unit.clone(), &[nodes.attempted, per]);
            let mut virgin = total;
            let mut recovered = None;
            if let Some(other) = &take.recovered {
                let used = self.flow.solution.recovered_used[id.0][blend];
                blend += 1;
                let name = &self.works.item(other.item).name;
                let part = self
                    .ledger
                    .solved(format!("{name} into {label}"), used, unit.clone());
                let share = self.ledger.stated(
                    format!("largest share of {name} in {label}"),
                    &other.at_most,
                    Shown::percent(),
                );
                let cap = self.ledger.product(
                    format!("most {name} into {label}"),
                    unit.clone(),
                    &[total, share],
                );
                let virgin_name = format!("fresh {item} into {label}");
                virgin = self.ledger.difference(virgin_name, unit, &[total, part]);
                let from = CommodityId(other.item.0);
                self.blends.push(OpenBlend {
                    used: part,
                    cap,
                    from,
                });
                recovered = Some(part);
            }
            self.taken[take.item.0].push(virgin);
            nodes.takes.push(TakeNodes {
                total,
                virgin,
                recovered,
            });
        }
    }

    fn also(
        &mut self,
        id: OperationId,
        operation: &Operation,
        label: &str,
        nodes: &mut OperationNodes,
    ) {
        for also in &operation.also {
            let item = &self.works.item(also.item).name;
            let unit = self.item_unit(also.item.0);
            let rate = unit.per(&self.output_unit(id));
            let source = Source::of(&also.stated);
            let amount = also.amount.mean();
            let per = self
                .ledger
                .given(format!("{item} from {label}"), amount, rate, source);
            let name = format!("{item} given by {label}");
            let total = self.ledger.product(name, unit, &[nodes.attempted, per]);
            self.given[also.item.0].push(total);
            nodes.also.push(total);
        }
    }

    fn outputs(
        &mut self,
        id: OperationId,
        _operation: &Operation,
        label: &str,
        nodes: &mut OperationNodes,
    ) {
        let unit = self.output_unit(id);
        let Yields { keeps, good } = self.yields[id.0];
        let factors: Vec<NodeId> = [Some(nodes.attempted), keeps, good]
            .into_iter()
            .flatten()
            .collect();
        if factors.len() > 1 {
            nodes.passed = self
                .ledger
                .product(format!("{label} passed"), unit, &factors);
        }
        let out = self.flow.layout.out[id.0];
        if !self.leads(id, out) {
            self.given[out.0].push(nodes.passed);
        }
    }

    /// Whether an operation's level is what closes the balance of a commodity.
    fn leads(&self, id: OperationId, commodity: CommodityId) -> bool {
        let source = &self.flow.layout.network.commodities[commodity.0].source;
        matches!(source, Closing::Made(lead) if lead.0 == id.0)
    }

    fn rejects(
        &mut self,
        id: OperationId,
        operation: &Operation,
        label: &str,
        nodes: &mut OperationNodes,
    ) {
        let Yields { keeps, good } = self.yields[id.0];
        let Some(good) = good.filter(|_| operation.good.mean < 1.0) else {
            return;
        };
        let unit = self.output_unit(id);
        let bad = self
            .ledger
            .complement(format!("{label} not good"), Shown::percent(), &[good]);
        let factors: Vec<NodeId> = [Some(nodes.attempted), keeps, Some(bad)]
            .into_iter()
            .flatten()
            .collect();
        let rejected = self
            .ledger
            .product(format!("{label} rejected"), unit, &factors);
        nodes.rejected = Some(rejected);
        for reject in &operation.rejects {
            let node = self.reject(id, reject, rejected, label);
            nodes.rejects.push(node);
        }
    }

    fn reject(
        &mut self,
        id: OperationId,
        reject: &works::Reject,
        rejected: NodeId,
        label: &str,
    ) -> RejectNode {
        let unit = self.output_unit(id);
        let source = match reject.at {
            Some(at) => Source::at(at),
            None => Source::assumed("what is rejected is thrown away unless stated"),
        };
        let units = if reject.share == 1.0 {
            rejected
        } else {
            let share = self.ledger.given(
                format!("share of {label} rejects"),
                reject.share,
                Shown::percent(),
                source.clone(),
            );
            let to = match reject.to {
                RejectTo::Scrap => "scrap".to_owned(),
                RejectTo::Item(item, _) => self.works.item(item).name.clone(),
                RejectTo::Rework(to) => self.works.operation(to).name.clone(),
            };
            self.ledger.product(
                format!("{label} rejects to {to}"),
                unit.clone(),
                &[rejected, share],
            )
        };
        let Some((commodity, factor)) = self.flow.layout.destination(self.works, id, &reject.to)
        else {
            return RejectNode {
                units,
                becomes: units,
            };
        };
        let becomes = if factor == 1.0 {
            units
        } else {
            let (name, shown) = match reject.to {
                RejectTo::Item(item, _) => {
                    (self.works.item(item).name.clone(), self.item_unit(item.0))
                }
                RejectTo::Rework(to) => {
                    (self.works.operation(to).name.clone(), self.output_unit(to))
                }
                RejectTo::Scrap => (String::new(), unit.clone()),
            };
            let rate = shown.per(&unit);
            let per = self.ledger.given(
                format!("{name} per reject of {label}"),
                factor,
                rate,
                source,
            );
            self.ledger.product(
                format!("{name} from rejects of {label}"),
                shown,
                &[units, per],
            )
        };
        self.given[commodity.0].push(becomes);
        RejectNode { units, becomes }
    }

    /// Units lost to tests.
    fn samples(&mut self, id: OperationId, label: &str, nodes: &mut OperationNodes) {
        let unit = self.output_unit(id);
        let out = self.flow.layout.out[id.0];
        let rate = self.flow.layout.sampled[id.0];
        let source = |works: &Works| {
            let checks = &works.operation(id).checks;
            let check = checks.iter().find(|check| check.destroys);
            check.map_or(Source::assumed("tests that use samples up"), |check| {
                Source::at(check.at)
            })
        };
        if rate > 0.0 {
            let per = self.ledger.given(
                self.samples_name(id, label),
                rate,
                Shown::plain(),
                source(self.works),
            );
            let name = format!("samples of {label} used up");
            let lost = self
                .ledger
                .product(name, unit.clone(), &[nodes.attempted, per]);
            self.taken[out.0].push(lost);
            nodes.samples.push(lost);
        }
        let fixed = self.flow.layout.sampled_fixed[id.0];
        if fixed > 0.0 {
            let name = format!("samples of {label} used up, one set for each lot");
            let lost = self.ledger.given(name, fixed, unit, source(self.works));
            self.taken[out.0].push(lost);
            nodes.samples.push(lost);
        }
    }

    fn samples_name(&self, id: OperationId, label: &str) -> String {
        let each = lot_samples(self.works, id);
        let route = self.works.operation(id).route;
        match self.flow.layout.lots.get(route.0) {
            Some(&lots) if each > 0.0 => {
                let (lots, each) = (number(lots), number(each));
                format!("samples used up per {label}, {each} in each of {lots} lots among them")
            }
            _ => format!("samples used up per {label}"),
        }
    }

    /// Each recovered part is its cap or what is still there when its turn comes.
    fn close_blends(&mut self) {
        for blend in std::mem::take(&mut self.blends) {
            let from = blend.from.0;
            let recovered = matches!(
                self.flow.layout.network.commodities[from].source,
                Closing::Recovered { .. }
            );
            if recovered {
                let unit = self.item_unit(from);
                let name = self.works.items[from].name.clone();
                let given = self.total(format!("{name} given"), unit.clone(), from, true);
                let mut parts = vec![given];
                parts.extend(&self.taken[from]);
                let there = self
                    .ledger
                    .difference(format!("{name} left"), unit.clone(), &parts);
                let there = self
                    .ledger
                    .positive(format!("{name} there"), unit.clone(), &[there]);
                let least = self.ledger.min(name, unit, &[blend.cap, there]);
                self.ledger.close(blend.used, least);
            } else {
                self.ledger.close(blend.used, blend.cap);
            }
            self.taken[from].push(blend.used);
        }
    }

    /// The total given to, or taken of, a commodity.
    fn total(&mut self, name: String, unit: Shown, commodity: usize, given: bool) -> NodeId {
        let parts = if given {
            &self.given[commodity]
        } else {
            &self.taken[commodity]
        };
        match *parts.as_slice() {
            [one] => one,
            _ => self.ledger.by(name, unit, Rule::Sum, parts),
        }
    }

    /// What is needed, given, bought and left over of each item.
    fn balances(&mut self) -> Vec<ItemNodes> {
        (0..self.works.items.len())
            .map(|item| self.balance(item))
            .collect()
    }

    fn balance(&mut self, item: usize) -> ItemNodes {
        let mut nodes = ItemNodes {
            wanted: self.wanted[item],
            ..ItemNodes::default()
        };
        let (taken, given) = (!self.taken[item].is_empty(), !self.given[item].is_empty());
        let unit = self.item_unit(item);
        let name = self.works.items[item].name.clone();
        if taken {
            let total = self.total(format!("{name} needed"), unit.clone(), item, false);
            nodes.needed = Some(total);
        }
        if given {
            nodes.given = Some(self.total(format!("{name} given"), unit.clone(), item, true));
        }
        self.substitute(item, &nodes);
        let solution = &self.flow.solution;
        let noise = NOTHING * solution.gross[item].max(solution.surplus[item]);
        if solution.bought[item] > noise
            && let Some(needed) = nodes.needed
        {
            let name = format!("{name} not covered otherwise");
            nodes.bought = Some(match nodes.given {
                Some(given) => self.ledger.difference(name, unit.clone(), &[needed, given]),
                None => needed,
            });
        }
        if solution.surplus[item] > noise
            && let Some(given) = nodes.given
        {
            nodes.surplus = Some(match nodes.needed {
                Some(needed) => {
                    self.ledger
                        .difference(format!("{name} left over"), unit, &[given, needed])
                }
                None => given,
            });
        }
        nodes
    }

    /// What is made on purpose where left-overs do not cover what is asked for.
    fn substitute(&mut self, item: usize, nodes: &ItemNodes) {
        let source = &self.flow.layout.network.commodities[item].source;
        let Closing::Recovered {
            otherwise: Otherwise::Substitute(made),
            ..
        } = source
        else {
            return;
        };
        let made = made.0;
        let Some(needed) = nodes.needed else { return };
        let unit = self.item_unit(item);
        let name = format!("{} made on purpose", self.works.items[item].name);
        let short = match nodes.given {
            Some(given) => {
                let short = self
                    .ledger
                    .difference(name.clone(), unit.clone(), &[needed, given]);
                self.ledger.positive(name, unit, &[short])
            }
            None => needed,
        };
        self.taken[made].push(short);
    }

    /// The balance that fixes the level of an operation.
    fn close_level(&mut self, id: OperationId, nodes: &OperationNodes) {
        if let (Some(_), Some(arrivals)) =
            (self.flow.layout.feed[id.0], self.flow.layout.arrivals[id.0])
        {
            let net = self.net(arrivals, &label(self.works, id), self.output_unit(id));
            self.ledger.close(nodes.fed, net);
        }
        let driven = self.flow.layout.network.activities[id.0].driven;
        match driven {
            Driven::ByDemand => self.close_by_demand(id, nodes),
            Driven::UsesUp(commodity) => self.close_by_supply(id, nodes, commodity),
        }
    }

    fn close_by_demand(&mut self, id: OperationId, nodes: &OperationNodes) {
        let out = self.flow.layout.out[id.0];
        let unit = self.output_unit(id);
        let label = label(self.works, id);
        let net = self.net(out, &label, unit.clone());
        let Yields { keeps, good } = self.yields[id.0];
        let parts: Vec<NodeId> = [Some(net), keeps, good].into_iter().flatten().collect();
        let equation = if parts.len() > 1 {
            self.ledger.quotient(label, unit, &parts)
        } else {
            self.ledger.same(label, unit, &parts)
        };
        self.ledger.close(nodes.attempted, equation);
    }

    /// What is asked of the lead of a commodity: what is needed less what others give.
    fn net(&mut self, commodity: CommodityId, label: &str, unit: Shown) -> NodeId {
        let needed = self.total(
            format!("asked of {label}"),
            unit.clone(),
            commodity.0,
            false,
        );
        if self.given[commodity.0].is_empty() {
            return needed;
        }
        let given = self.total(
            format!("given otherwise than by {label}"),
            unit.clone(),
            commodity.0,
            true,
        );
        let name = format!("still asked of {label}");
        let net = self
            .ledger
            .difference(name.clone(), unit.clone(), &[needed, given]);
        self.ledger.positive(name, unit, &[net])
    }

    /// An operation that runs on all there is.
    fn close_by_supply(&mut self, id: OperationId, nodes: &OperationNodes, commodity: CommodityId) {
        let label = label(self.works, id);
        let unit = match self.works.operation(id).uses_up {
            Some(item) => self.item_unit(item.0),
            None => self.output_unit(id),
        };
        let own = nodes.takes.iter().zip(&self.works.operation(id).takes);
        let own: Vec<NodeId> = own
            .filter(|(_, take)| take.item.0 == commodity.0)
            .map(|(taken, _)| taken.total)
            .collect();
        let supply = self.total(
            format!("there for {label}"),
            unit.clone(),
            commodity.0,
            true,
        );
        let mut parts = vec![supply];
        parts.extend(
            self.taken[commodity.0]
                .iter()
                .filter(|node| !own.contains(node) && Some(**node) != nodes.used_up),
        );
        let mut there = supply;
        if parts.len() > 1 {
            let left = self.ledger.difference(label.clone(), unit.clone(), &parts);
            there = self
                .ledger
                .positive(format!("left for {label}"), unit, &[left]);
        }
        let shown = self.output_unit(id);
        let per: Vec<NodeId> = own
            .iter()
            .filter_map(|&node| self.ledger.inputs(node).get(1).copied())
            .collect();
        let equation = match *per.as_slice() {
            [] => self.ledger.same(label, shown, &[there]),
            [one] => self.ledger.quotient(label, shown, &[there, one]),
            _ => {
                let each = self
                    .ledger
                    .sum(format!("taken by {label}"), Shown::plain(), &per);
                self.ledger.quotient(label, shown, &[there, each])
            }
        };
        self.ledger.close(nodes.attempted, equation);
    }

    fn item_unit(&self, item: usize) -> Shown {
        Shown::from(&self.works.items[item].unit)
    }

    fn output_unit(&self, id: OperationId) -> Shown {
        Shown::from(&self.works.operation(id).output.unit)
    }
}

/// An operation with the product of its route.
pub(crate) fn label(works: &Works, id: OperationId) -> String {
    let operation = works.operation(id);
    let product = &works.item(works.route(operation.route).makes).name;
    format!("{} ({product})", operation.name)
}
