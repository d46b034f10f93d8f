//! Does everything that is taken come from somewhere, and everything that is made go somewhere?

use std::collections::BTreeSet;

use crate::diagnostic::Diagnostic;
use crate::model::{ItemId, OperationId, RejectTo, Works};

/// Operations that nothing feeds: they take nothing and no operation goes before them.
pub(super) fn unfed(works: &Works, out: &mut Vec<Diagnostic>) {
    for operation in &works.operations {
        let fed = !operation.feeds.is_empty() || !operation.takes.is_empty();
        if fed || operation.off_line || operation.uses_up.is_some() {
            continue;
        }
        out.push(
            Diagnostic::fault(
                "operation-unfed",
                operation.at,
                format!("nothing feeds `{}`", operation.name),
            )
            .sides("`takes`, or an operation before it", "neither")
            .help("say what it takes, for example takes = { \"steel strip\" = \"0.4 m\" }"),
        );
    }
}

/// Operations whose output no later operation takes.
pub(super) fn dead_ends(works: &Works, out: &mut Vec<Diagnostic>) {
    let taken: BTreeSet<OperationId> = works
        .operations
        .iter()
        .flat_map(|o| o.feeds.iter().map(|feed| feed.from))
        .collect();
    let items_taken = items_taken(works);
    for route in &works.routes {
        for &id in &route.operations {
            let operation = works.operation(id);
            let ends_route = operation.output.item == route.makes;
            let beside = operation.off_line || operation.uses_up.is_some();
            if ends_route
                || beside
                || taken.contains(&id)
                || items_taken.contains(&operation.output.item)
            {
                continue;
            }
            let item = &works.item(operation.output.item).name;
            out.push(
                Diagnostic::fault(
                    "dead-end",
                    operation.at,
                    format!("nothing takes what `{}` makes", operation.name),
                )
                .label(format!("makes `{item}`"))
                .help(
                    "let a later operation take it, or drop `starts` from the operation after it",
                ),
            );
        }
    }
}

/// Every item taken from outside a route, regrind and left-overs among them.
fn items_taken(works: &Works) -> BTreeSet<ItemId> {
    works
        .operations
        .iter()
        .flat_map(|operation| {
            let takes = operation.takes.iter().flat_map(|take| {
                std::iter::once(take.item).chain(take.recovered.as_ref().map(|r| r.item))
            });
            takes.chain(operation.uses_up)
        })
        .collect()
}

/// Items that are taken but that nobody buys, makes or leaves over.
pub(super) fn from_nowhere(works: &Works, out: &mut Vec<Diagnostic>) {
    for operation in &works.operations {
        for take in &operation.takes {
            let item = works.item(take.item);
            if has_origin(works, take.item) {
                continue;
            }
            out.push(
                Diagnostic::fault("item-from-nowhere", take.stated.at, format!("nobody buys or makes `{}`", item.name))
                    .label("taken here")
                    .other(item.at, "declared here")
                    .help(format!("give it a price, [item.\"{}\"] buy = {{ price = … }}, or a route that makes it", item.name)),
            );
        }
    }
}

fn has_origin(works: &Works, id: ItemId) -> bool {
    let item = works.item(id);
    item.buy.is_some()
        || item.route.is_some()
        || item.made_by.is_some()
        || item.left_over_somewhere
        || works.stock.iter().any(|stock| stock.item == id)
}

/// Regrind, or a left-over used up, that no operation leaves over.
pub(super) fn regrind_unmade(works: &Works, out: &mut Vec<Diagnostic>) {
    for operation in &works.operations {
        let regrind = operation.takes.iter().filter_map(|take| {
            take.recovered
                .as_ref()
                .map(|recovered| (recovered.item, recovered.at_most.at))
        });
        let used_up = operation.uses_up.map(|item| (item, operation.at));
        for (id, at) in regrind.chain(used_up) {
            let item = works.item(id);
            if item.left_over_somewhere {
                continue;
            }
            out.push(
                Diagnostic::fault("regrind-unmade", at, format!("no operation leaves over `{}`", item.name))
                    .help("name it in `also` or `rejects` of the operation where it arises, or make it with `uses_up`"),
            );
        }
    }
}

/// Orders for something that is neither made, bought nor left over.
pub(super) fn orders_for_unmade(works: &Works, out: &mut Vec<Diagnostic>) {
    for order in &works.orders {
        if has_origin(works, order.item) {
            continue;
        }
        let item = works.item(order.item);
        let headline = format!(
            "order {} is for `{}`, which nobody makes or buys",
            order.number, item.name
        );
        out.push(
            Diagnostic::fault("order-for-unmade", order.at, headline)
                .other(item.at, "declared here"),
        );
    }
}

/// Operations beside the line to which no rejects go.
pub(super) fn off_line_unfed(works: &Works, out: &mut Vec<Diagnostic>) {
    let reworked: BTreeSet<OperationId> = works
        .operations
        .iter()
        .flat_map(|operation| &operation.rejects)
        .filter_map(|reject| match reject.to {
            RejectTo::Rework(id) => Some(id),
            _ => None,
        })
        .collect();
    for (number, operation) in works.operations.iter().enumerate() {
        if operation.off_line && !reworked.contains(&OperationId(number)) {
            out.push(
                Diagnostic::fault(
                    "off-line-unfed",
                    operation.at,
                    format!("no rejects go to `{}`", operation.name),
                )
                .help(format!(
                    "rejects = {{ rework = \"{}\" }} on the operation whose rejects it mends",
                    operation.name
                )),
            );
        }
    }
}
