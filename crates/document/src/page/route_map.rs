//! From a route to its map.

use std::collections::BTreeMap;

use picture::{Direction, Edge, EdgeKind, Node, NodeKind, RouteMap};
use planning::material::OperationLevel;
use planning::reason::number;
use works::{ItemId, Operation, OperationId, RejectTo, RouteId};

use crate::block::Value;
use crate::table::Ground;

/// The map of a route: its operations, what they take, what they give beside, what comes back.
pub(super) fn route_map(ground: &Ground<'_>, route: RouteId) -> RouteMap {
    let mut map = Mapper {
        ground,
        map: RouteMap::default(),
        items: BTreeMap::new(),
        most: 0.0,
    };
    let operations = &ground.works.route(route).operations;
    map.most = operations
        .iter()
        .map(|&id| map.level(id))
        .fold(0.0, f64::max);
    for &id in operations {
        map.station(id);
    }
    for &id in operations {
        map.arrows(id);
    }
    map.product(route);
    map.finish()
}

struct Mapper<'a> {
    ground: &'a Ground<'a>,
    map: RouteMap,
    /// Items on the map: what they are and how much of them, base units.
    items: BTreeMap<ItemId, (NodeKind, f64)>,
    most: f64,
}

fn box_of(id: OperationId) -> String {
    format!("operation-{}", id.0)
}

fn item_box(item: ItemId) -> String {
    format!("item-{}", item.0)
}

impl Mapper<'_> {
    fn levels(&self, id: OperationId) -> Option<&OperationLevel> {
        let route = self.ground.works.operation(id).route;
        let routes = &self.ground.plan.material.routes;
        let levels = routes.iter().find(|levels| levels.route == route.0)?;
        levels
            .operations
            .iter()
            .find(|level| level.operation == id.0)
    }

    /// Units attempted, base units; nothing where the route is not in the plan.
    fn level(&self, id: OperationId) -> f64 {
        self.levels(id)
            .map_or(0.0, |level| self.ground.plan.ledger.value(level.attempted))
    }

    /// Units that went on.
    fn passed(&self, id: OperationId) -> f64 {
        self.levels(id)
            .map_or(0.0, |level| self.ground.plan.ledger.value(level.passed))
    }

    fn weight(&self, id: OperationId) -> f64 {
        if self.most > 0.0 {
            (self.level(id) / self.most).clamp(0.15, 1.0)
        } else {
            0.5
        }
    }

    fn station(&mut self, id: OperationId) {
        let operation = self.ground.works.operation(id);
        let station = operation
            .station
            .map(|station| self.ground.works.station(station).name.clone());
        let kind = if station.is_none() {
            NodeKind::Store
        } else {
            NodeKind::Station
        };
        self.map.nodes.push(Node {
            id: box_of(id),
            label: operation.name.clone(),
            sub: station.unwrap_or_default(),
            kind,
            amount: amount(self.level(id), &operation.output.unit),
        });
    }

    fn edge(&mut self, from: String, to: String, label: String, kind: EdgeKind, weight: f64) {
        self.map.edges.push(Edge {
            from,
            to,
            label,
            kind,
            weight,
        });
    }

    fn item(&mut self, item: ItemId, kind: NodeKind, base: f64) {
        self.items.entry(item).or_insert((kind, 0.0)).1 += base;
    }

    fn arrows(&mut self, id: OperationId) {
        let operation = self.ground.works.operation(id);
        let (level, weight) = (self.level(id), self.weight(id));
        for feed in &operation.feeds {
            self.edge(
                box_of(feed.from),
                box_of(id),
                String::new(),
                EdgeKind::Flow,
                weight,
            );
        }
        for take in &operation.takes {
            let made = self.ground.works.item(take.item).route.is_some();
            let kind = if made {
                NodeKind::Item
            } else {
                NodeKind::Bought
            };
            self.item(take.item, kind, level * take.amount.mean());
            self.edge(
                item_box(take.item),
                box_of(id),
                String::new(),
                EdgeKind::Flow,
                0.2,
            );
            if let Some(recovered) = &take.recovered {
                self.item(recovered.item, NodeKind::ByProduct, 0.0);
                let label = format!("up to {}", Value::Share(recovered.at_most.mean()).show());
                self.edge(
                    item_box(recovered.item),
                    box_of(id),
                    label,
                    EdgeKind::Regrind,
                    0.2,
                );
            }
        }
        if let Some(item) = operation.uses_up {
            self.item(item, NodeKind::ByProduct, 0.0);
            self.edge(
                item_box(item),
                box_of(id),
                String::new(),
                EdgeKind::Regrind,
                0.2,
            );
        }
        for also in &operation.also {
            self.item(also.item, NodeKind::ByProduct, level * also.amount.mean());
            self.edge(
                box_of(id),
                item_box(also.item),
                String::new(),
                EdgeKind::ByProduct,
                0.2,
            );
        }
        self.rejects(id, operation, level);
        if let Some(then) = operation.then {
            self.edge(
                box_of(id),
                box_of(then),
                String::new(),
                EdgeKind::Rework,
                0.1,
            );
        }
    }

    fn rejects(&mut self, id: OperationId, operation: &Operation, level: f64) {
        let rejected = 1.0 - operation.good.mean;
        for reject in operation
            .rejects
            .iter()
            .filter(|reject| rejected * reject.share > 0.0)
        {
            let label = Value::Share(rejected * reject.share).show();
            match &reject.to {
                RejectTo::Rework(to) => {
                    self.edge(box_of(id), box_of(*to), label, EdgeKind::Rework, 0.1);
                }
                RejectTo::Item(item, per) => {
                    self.item(
                        *item,
                        NodeKind::ByProduct,
                        level * operation.keeps.mean * rejected * reject.share * per,
                    );
                    self.edge(box_of(id), item_box(*item), label, EdgeKind::Reject, 0.1);
                }
                // The table of operations tells what is thrown away; a box for each would hide the way.
                RejectTo::Scrap => {}
            }
        }
    }

    /// The product at the end: of every operation that feeds no other.
    fn product(&mut self, route: RouteId) {
        let item = self.ground.works.route(route).makes;
        let operations = &self.ground.works.route(route).operations;
        let feeds = |id: OperationId| {
            operations.iter().any(|&other| {
                self.ground
                    .works
                    .operation(other)
                    .feeds
                    .iter()
                    .any(|feed| feed.from == id)
            })
        };
        let ends: Vec<OperationId> = operations
            .iter()
            .copied()
            .filter(|&id| self.ground.works.operation(id).output.item == item)
            .filter(|&id| !feeds(id) && self.ground.works.operation(id).then.is_none())
            .collect();
        let made: f64 = ends.iter().map(|&id| self.passed(id)).sum();
        self.item(item, NodeKind::Item, made);
        for id in ends {
            self.edge(
                box_of(id),
                item_box(item),
                String::new(),
                EdgeKind::Flow,
                self.weight(id),
            );
        }
    }

    fn finish(mut self) -> RouteMap {
        for (item, (kind, base)) in std::mem::take(&mut self.items) {
            let item_of = self.ground.works.item(item);
            self.map.nodes.push(Node {
                id: item_box(item),
                label: item_of.name.clone(),
                sub: String::new(),
                kind,
                amount: amount(base, &item_of.unit),
            });
        }
        self.map.direction = Direction::Fit;
        self.map
    }
}

fn amount(base: f64, unit: &quantity::Unit) -> String {
    if base <= 0.0 {
        String::new()
    } else {
        format!("{} {}", short(unit.from_base(base)), unit.symbol())
    }
}

/// Three figures are enough on a map.
fn short(value: f64) -> String {
    if value.abs() < 1.0 {
        return number(value);
    }
    let step = 10_f64.powf((value.abs().log10().floor() - 2.0).min(0.0));
    number((value / step).round() * step)
}
