//! By-products and waste with their value; rework; regrind and what it starts up with.

use balance::network::{CommodityId, Source as Closing};
use serde::Serialize;
use works::{OperationId, RejectTo};

use super::Ground;
use super::purchase::money;
use crate::figure::Figures;
use crate::flow::label;
use crate::reason::{Ledger, NodeId, Shown};

/// An item that is left over.
#[derive(Clone, Debug, Serialize)]
pub struct LeftOver {
    /// Index of the item in the works.
    pub item: usize,
    /// Its name.
    pub name: String,
    /// Given by operations and stock.
    pub given: NodeId,
    /// Used again inside the works or ordered.
    pub used: Option<NodeId>,
    /// Left over; none when all of it is used.
    pub surplus: Option<NodeId>,
    /// What the surplus brings (below zero: costs), where stated.
    pub value: Option<NodeId>,
}

/// Units that come back to an operation.
#[derive(Clone, Debug, Serialize)]
pub struct Rework {
    /// Index of the operation that sends.
    pub from: usize,
    /// Its name and product.
    pub from_name: String,
    /// Index of the operation that receives.
    pub to: usize,
    /// Its name and product.
    pub to_name: String,
    /// Units.
    pub units: NodeId,
}

/// A recovered item fed in place of a fresh one.
#[derive(Clone, Debug, Serialize)]
pub struct Regrind {
    /// Index of the operation.
    pub operation: usize,
    /// Its name and product.
    pub operation_name: String,
    /// Index of the fresh item in the works.
    #[serde(skip)]
    pub fresh_item: usize,
    /// The fresh item.
    pub fresh: String,
    /// The recovered item.
    pub recovered: String,
    /// The whole feed.
    pub feed: NodeId,
    /// The recovered part.
    pub used: NodeId,
    /// Its share.
    pub share: Option<NodeId>,
    /// The largest share allowed.
    pub at_most: f64,
    /// Recovered stuff that finds no taker.
    pub surplus: Option<NodeId>,
    /// Fresh stuff wanted in place of recovered until the loop is filled: the recovered part of one
    /// lot (or of everything, where the route has no lot), less what is on hand.
    pub start_up: Option<NodeId>,
}

/// By-products and waste that arise.
pub(super) fn list(
    ledger: &mut Ledger,
    figures: &mut Figures,
    ground: Ground<'_>,
) -> Vec<LeftOver> {
    let mut list = Vec::new();
    for (index, item) in ground.works.items.iter().enumerate() {
        let nodes = &ground.book.items[index];
        let (true, Some(given)) = (item.left_over_somewhere, nodes.given) else {
            continue;
        };
        let name = &item.name;
        let mut value = None;
        if let Some(surplus) = nodes.surplus {
            figures.add(
                ledger,
                &format!("{name} left over"),
                &format!("{name} left over"),
                surplus,
            );
            if let Some(worth) = &item.worth {
                let rate = money(ground.works).per(&Shown::from(&item.unit));
                let worth = ledger.stated(format!("{name} worth"), worth, rate);
                let total = ledger.product(
                    format!("value of {name} left over"),
                    money(ground.works),
                    &[surplus, worth],
                );
                value = Some(total);
            }
        }
        list.push(LeftOver {
            item: index,
            name: name.clone(),
            given,
            used: nodes.needed,
            surplus: nodes.surplus,
            value,
        });
    }
    list
}

/// What all left-overs bring.
pub(super) fn total(
    ledger: &mut Ledger,
    figures: &mut Figures,
    ground: Ground<'_>,
    list: &[LeftOver],
) -> Option<NodeId> {
    let values: Vec<NodeId> = list.iter().filter_map(|line| line.value).collect();
    if values.is_empty() {
        return None;
    }
    let total = ledger.sum("value of all left-overs", money(ground.works), &values);
    figures.add(ledger, "left-overs value", "value of all left-overs", total);
    Some(total)
}

/// Every flow of rework.
pub(super) fn rework(ledger: &Ledger, figures: &mut Figures, ground: Ground<'_>) -> Vec<Rework> {
    let mut list = Vec::new();
    for (index, operation) in ground.works.operations.iter().enumerate() {
        let from = label(ground.works, OperationId(index));
        let nodes = &ground.book.operations[index];
        for (reject, node) in operation.rejects.iter().zip(&nodes.rejects) {
            let RejectTo::Rework(to) = reject.to else {
                continue;
            };
            let to_name = label(ground.works, to);
            let key = format!("{from} reworked");
            figures.add(
                ledger,
                &key,
                &format!("sent from {from} to {to_name}"),
                node.units,
            );
            let from_name = from.clone();
            list.push(Rework {
                from: index,
                from_name,
                to: to.0,
                to_name,
                units: node.units,
            });
        }
    }
    list
}

/// Every feed with a recovered part.
pub(super) fn regrind(
    ledger: &mut Ledger,
    figures: &mut Figures,
    ground: Ground<'_>,
) -> Vec<Regrind> {
    let mut list = Vec::new();
    for (index, operation) in ground.works.operations.iter().enumerate() {
        let id = OperationId(index);
        let taken = &ground.book.operations[index].takes;
        for (take, nodes) in operation.takes.iter().zip(taken) {
            let (Some(other), Some(used)) = (&take.recovered, nodes.recovered) else {
                continue;
            };
            let recovered = ground.works.item(other.item).name.clone();
            let operation_name = label(ground.works, id);
            let share = (ledger.value(nodes.total) > 0.0).then(|| {
                let name = format!("share of {recovered} in {operation_name}");
                let share = ledger.quotient(name.clone(), Shown::percent(), &[used, nodes.total]);
                figures.add(ledger, &name, &name, share);
                share
            });
            list.push(Regrind {
                operation: index,
                fresh_item: take.item.0,
                fresh: ground.works.item(take.item).name.clone(),
                feed: nodes.total,
                used,
                share,
                at_most: other.at_most.mean(),
                surplus: ground.book.items[other.item.0].surplus,
                start_up: start_up(ledger, ground, id, CommodityId(other.item.0), used),
                recovered,
                operation_name,
            });
        }
    }
    list
}

/// Fresh stuff for the first lot, which finds no regrind of its own yet.
fn start_up(
    ledger: &mut Ledger,
    ground: Ground<'_>,
    id: OperationId,
    recovered: CommodityId,
    used: NodeId,
) -> Option<NodeId> {
    let source = &ground.flow.layout.network.commodities[recovered.0].source;
    if !matches!(source, Closing::Recovered { .. }) || ledger.value(used) <= 0.0 {
        return None;
    }
    let works = ground.works;
    let item = &works.items[recovered.0];
    let unit = Shown::from(&item.unit);
    let route = works.operation(id).route;
    let mut first = used;
    if let (Some(lot), Some(needed)) = (
        &works.route(route).lot,
        ground.book.items[works.route(route).makes.0].needed,
    ) {
        let product = Shown::from(&works.item(works.route(route).makes).unit);
        let lot = ledger.stated("lot", lot, product);
        let share = ledger.quotient("share of one lot", Shown::percent(), &[lot, needed]);
        let one = ledger.given(
            "all of it",
            1.0,
            Shown::percent(),
            crate::reason::Source::assumed("a lot may be larger than what is asked for"),
        );
        let share = ledger.min("share of the first lot", Shown::percent(), &[share, one]);
        let name = format!("{} of the first lot", item.name);
        first = ledger.product(name, unit.clone(), &[used, share]);
    }
    let stock: Vec<NodeId> = works
        .stock
        .iter()
        .filter(|stock| stock.item.0 == recovered.0)
        .map(|stock| {
            ledger.stated(
                format!("{} on hand", item.name),
                &stock.amount,
                unit.clone(),
            )
        })
        .collect();
    let mut parts = vec![first];
    parts.extend(stock);
    let name = format!("fresh in place of {} at the start", item.name);
    let short = ledger.difference(name.clone(), unit.clone(), &parts);
    Some(ledger.positive(name, unit, &[short]))
}
