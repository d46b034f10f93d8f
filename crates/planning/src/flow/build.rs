//! Building the network.

use balance::network::{
    Activity, ActivityId, Blend, Commodity, CommodityId, Driven, Network, Otherwise, Source,
};
use works::{Check, CheckEvery, ItemId, Operation, OperationId, Pace, RejectTo, Works};

use super::{Layout, LotTests, Wanted, in_main_line, last_operation};

/// Length of a shift where the number of shifts must be guessed from running time, s.
const SHIFT_S: f64 = 8.0 * 3600.0;

impl Layout {
    /// The network of a works. `stock`: whether what is on hand counts.
    pub(super) fn new(works: &Works, wanted: &[Wanted], stock: bool, tests: &LotTests) -> Self {
        let mut layout = Self::commodities(works);
        layout.operations(works, tests);
        layout.feeds(works);
        for ask in wanted {
            layout.network.commodities[ask.item.0].demand += ask.amount.max(0.0);
        }
        for (operation, &amount) in layout.sampled_fixed.iter().enumerate() {
            layout.network.commodities[layout.out[operation].0].demand += amount;
        }
        if stock {
            layout.issues(works);
        }
        layout
    }

    /// Items, outputs without an item of their own, arrivals.
    fn commodities(works: &Works) -> Self {
        let mut commodities: Vec<Commodity> = (0..works.items.len())
            .map(|_| Commodity {
                demand: 0.0,
                source: Source::Bought,
            })
            .collect();
        let mut add = |source| {
            commodities.push(Commodity {
                demand: 0.0,
                source,
            });
            CommodityId(commodities.len() - 1)
        };
        let mut arrivals = vec![None; works.operations.len()];
        for target in rework_targets(works) {
            let slot: &mut Option<CommodityId> = &mut arrivals[target.0];
            if slot.is_none() {
                *slot = Some(add(recovered(Otherwise::Buy)));
            }
        }
        let out: Vec<CommodityId> = (0..works.operations.len())
            .map(
                |index| match output_of(works, OperationId(index), &arrivals) {
                    Some(commodity) => commodity,
                    None => add(Source::Made(ActivityId(index))),
                },
            )
            .collect();
        let mut layout = Self {
            network: Network {
                commodities,
                activities: Vec::new(),
            },
            feed: vec![None; works.operations.len()],
            issues: Vec::new(),
            sampled: vec![0.0; works.operations.len()],
            sampled_fixed: vec![0.0; works.operations.len()],
            lots: Vec::new(),
            out,
            arrivals,
        };
        layout.sources(works);
        layout
    }

    /// What closes the balance of every item.
    fn sources(&mut self, works: &Works) {
        let wanted_when_there = recovered_items(works);
        for (index, item) in works.items.iter().enumerate() {
            let maker = maker_of(works, ItemId(index));
            let source = match maker {
                Some(maker) if wanted_when_there[index] => self.made_beside(index, maker),
                Some(maker) => Source::Made(ActivityId(maker.0)),
                None if item.left_over_somewhere || wanted_when_there[index] => {
                    recovered(Otherwise::Buy)
                }
                None => Source::Bought,
            };
            self.network.commodities[index].source = source;
        }
    }

    /// A recovered item that a route can also make: what is made on purpose is a commodity of its
    /// own, so that a blend takes what is left over without driving the route.
    fn made_beside(&mut self, item: usize, maker: OperationId) -> Source {
        let source = Source::Made(ActivityId(maker.0));
        self.network.commodities.push(Commodity {
            demand: 0.0,
            source,
        });
        let made = CommodityId(self.network.commodities.len() - 1);
        debug_assert_eq!(self.out[maker.0], CommodityId(item));
        self.out[maker.0] = made;
        recovered(Otherwise::Substitute(made))
    }

    fn operations(&mut self, works: &Works, tests: &LotTests) {
        self.lots.clone_from(&tests.lots);
        for index in 0..works.operations.len() {
            let id = OperationId(index);
            self.sampled[index] = samples(works, id) + tests.share[index];
            self.sampled_fixed[index] = tests.fixed[index];
            let activity = self.operation(works, id);
            self.network.activities.push(activity);
        }
    }

    fn operation(&self, works: &Works, id: OperationId) -> Activity {
        let operation = works.operation(id);
        let mut activity = Activity {
            takes: vec![],
            gives: vec![],
            blends: vec![],
            driven: Driven::ByDemand,
        };
        match self.arrivals[id.0] {
            Some(arrivals) => activity.takes.push((arrivals, 1.0)),
            None => activity.takes.extend(self.fed(works, id)),
        }
        for take in &operation.takes {
            let commodity = CommodityId(take.item.0);
            let amount = take.amount.mean();
            match &take.recovered {
                Some(other) => activity.blends.push(Blend {
                    virgin: commodity,
                    recovered: CommodityId(other.item.0),
                    amount,
                    at_most: other.at_most.mean().clamp(0.0, 1.0),
                }),
                None => activity.takes.push((commodity, amount)),
            }
        }
        if let Some(item) = operation.uses_up
            && !operation.takes.iter().any(|take| take.item == item)
        {
            // Nothing more was said: one unit of it for one unit attempted.
            activity.takes.push((CommodityId(item.0), 1.0));
        }
        let (keeps, good) = (operation.keeps.mean, operation.good.mean);
        activity.gives.push((self.out[id.0], keeps * good));
        if self.sampled[id.0] > 0.0 {
            activity.takes.push((self.out[id.0], self.sampled[id.0]));
        }
        for also in &operation.also {
            activity
                .gives
                .push((CommodityId(also.item.0), also.amount.mean()));
        }
        for reject in &operation.rejects {
            let amount = keeps * (1.0 - good) * reject.share;
            if let Some((commodity, factor)) = self.destination(works, id, &reject.to) {
                activity.gives.push((commodity, amount * factor));
            }
        }
        activity.driven = self.driven(works, id);
        activity
    }

    /// What feeds a unit attempted from operations before.
    fn fed(&self, works: &Works, id: OperationId) -> Vec<(CommodityId, f64)> {
        let operation = works.operation(id);
        if operation.off_line {
            return Vec::new();
        }
        let feeds = operation.feeds.iter();
        feeds
            .map(|feed| (self.out[feed.from.0], feed.amount.mean()))
            .collect()
    }

    fn driven(&self, works: &Works, id: OperationId) -> Driven {
        let operation = works.operation(id);
        match (operation.uses_up, self.arrivals[id.0]) {
            (Some(item), _) => Driven::UsesUp(CommodityId(item.0)),
            (None, Some(arrivals)) if operation.off_line => Driven::UsesUp(arrivals),
            _ => Driven::ByDemand,
        }
    }

    /// The commodity that rejects become, and how much of it one rejected unit is.
    pub(crate) fn destination(
        &self,
        works: &Works,
        from: OperationId,
        to: &RejectTo,
    ) -> Option<(CommodityId, f64)> {
        match *to {
            RejectTo::Scrap => None,
            RejectTo::Item(item, per) => Some((CommodityId(item.0), per)),
            RejectTo::Rework(target) => {
                let arrivals = self.arrivals[target.0]?;
                Some((arrivals, rework_factor(works, from, target)))
            }
        }
    }

    /// What fills up arrivals: a feed for the main line, nothing but rework beside it.
    fn feeds(&mut self, works: &Works) {
        for index in 0..works.operations.len() {
            let id = OperationId(index);
            let Some(arrivals) = self.arrivals[index] else {
                continue;
            };
            if !in_main_line(works, id) {
                continue;
            }
            let activity = ActivityId(self.network.activities.len());
            self.network.activities.push(Activity {
                takes: self.fed(works, id),
                gives: vec![(arrivals, 1.0)],
                blends: vec![],
                driven: Driven::ByDemand,
            });
            self.network.commodities[arrivals.0].source = Source::Made(activity);
            self.feed[index] = Some(activity);
        }
    }

    /// What is on hand: an activity that must run at just that level, because a ticket for each unit
    /// is asked for.
    fn issues(&mut self, works: &Works) {
        let mut on_hand = vec![0.0; works.items.len()];
        for stock in &works.stock {
            on_hand[stock.item.0] += stock.amount.mean().max(0.0);
        }
        for (item, amount) in on_hand
            .into_iter()
            .enumerate()
            .filter(|(_, amount)| *amount > 0.0)
        {
            let ticket = CommodityId(self.network.commodities.len());
            let activity = ActivityId(self.network.activities.len());
            let source = Source::Made(activity);
            self.network.commodities.push(Commodity {
                demand: amount,
                source,
            });
            self.network.activities.push(Activity {
                takes: vec![],
                gives: vec![(ticket, 1.0), (CommodityId(item), 1.0)],
                blends: vec![],
                driven: Driven::ByDemand,
            });
            self.issues.push((ItemId(item), activity));
        }
    }
}

fn recovered(otherwise: Otherwise) -> Source {
    Source::Recovered {
        takers_in_order: Vec::new(),
        otherwise,
    }
}

/// Operations that rework is sent to, and operations that follow one beside the line; an operation
/// beside the line that is sent nothing still has (no) arrivals.
fn rework_targets(works: &Works) -> Vec<OperationId> {
    let mut targets = Vec::new();
    for (index, operation) in works.operations.iter().enumerate() {
        if operation.off_line && operation.uses_up.is_none() {
            targets.push(OperationId(index));
        }
        targets.extend(operation.then);
        targets.extend(
            operation
                .rejects
                .iter()
                .filter_map(|reject| match reject.to {
                    RejectTo::Rework(to) => Some(to),
                    RejectTo::Scrap | RejectTo::Item(..) => None,
                }),
        );
    }
    targets
}

/// The commodity that an operation's output is, unless it needs one of its own.
fn output_of(
    works: &Works,
    id: OperationId,
    arrivals: &[Option<CommodityId>],
) -> Option<CommodityId> {
    let operation = works.operation(id);
    if !in_main_line(works, id) {
        return match operation.then {
            Some(then) => arrivals[then.0],
            None => Some(CommodityId(operation.output.item.0)),
        };
    }
    (maker_of(works, operation.output.item) == Some(id))
        .then_some(CommodityId(operation.output.item.0))
}

/// The operation that makes an item for whoever asks for it.
fn maker_of(works: &Works, item: ItemId) -> Option<OperationId> {
    match works.item(item).route {
        Some(route) => last_operation(works, route),
        None => works.item(item).made_by,
    }
}

/// Items that some operation takes when there are any: they may not be made or bought for it.
fn recovered_items(works: &Works) -> Vec<bool> {
    let mut marked = vec![false; works.items.len()];
    for operation in &works.operations {
        if let Some(item) = operation.uses_up {
            marked[item.0] = true;
        }
        for other in operation
            .takes
            .iter()
            .filter_map(|take| take.recovered.as_ref())
        {
            marked[other.item.0] = true;
        }
    }
    marked
}

/// Units arriving for one unit sent to rework.
pub(crate) fn rework_factor(works: &Works, from: OperationId, to: OperationId) -> f64 {
    let unit = |id: OperationId| works.operation(id).output.unit.dimension().clone();
    if unit(from) == unit(to) {
        return 1.0;
    }
    path_amount(works, from, to).unwrap_or(1.0)
}

/// Units of `to` in one of `from` along the feeds, the first path found; feeds run backwards through
/// the route, so this ends.
fn path_amount(works: &Works, from: OperationId, to: OperationId) -> Option<f64> {
    if from == to {
        return Some(1.0);
    }
    works
        .operation(from)
        .feeds
        .iter()
        .filter(|feed| feed.from.0 < from.0)
        .find_map(|feed| {
            path_amount(works, feed.from, to).map(|amount| amount * feed.amount.mean())
        })
}

/// Units of output lost per unit attempted to tests that do not go by lots.
fn samples(works: &Works, id: OperationId) -> f64 {
    let lost = destroyed(works, id)
        .filter_map(|check| Some(check.sample / taken_every(works.operation(id), check)?));
    lost.sum()
}

/// Units of output lost to tests of each lot.
pub(super) fn lot_samples(works: &Works, id: OperationId) -> f64 {
    let lost =
        destroyed(works, id).filter(|check| taken_every(works.operation(id), check).is_none());
    lost.map(|check| check.sample).sum()
}

/// Tests that use their samples up.
fn destroyed(works: &Works, id: OperationId) -> impl Iterator<Item = &Check> {
    let checks = works.operation(id).checks.iter();
    checks.filter(|check| check.destroys && check.sample > 0.0)
}

/// Units attempted between two samples; none where they are taken once a lot, whatever its size.
fn taken_every(operation: &Operation, check: &Check) -> Option<f64> {
    let amount = match &check.every {
        CheckEvery::Unit => Some(1.0),
        CheckEvery::Lot => None,
        CheckEvery::Load => match &operation.pace {
            Pace::Load(load) => Some(load.holds.mean()),
            _ => None,
        },
        CheckEvery::Shift => unit_time_s(&operation.pace).map(|time| SHIFT_S / time),
        CheckEvery::Amount(amount) => Some(amount.mean()),
        CheckEvery::Time(time) => unit_time_s(&operation.pace).map(|unit| time.mean() / unit),
    };
    amount.filter(|amount| amount.is_finite() && *amount > 0.0)
}

/// Station time of one unit, s; none where an operation takes none.
pub(crate) fn unit_time_s(pace: &Pace) -> Option<f64> {
    let time = match pace {
        Pace::None => return None,
        Pace::Each(time) => time.mean(),
        Pace::Flow { rate, .. } => 1.0 / rate.mean(),
        Pace::Load(load) => {
            let turn = load.turn.as_ref().map_or(0.0, works::Stated::mean);
            (load.dwell.mean() + turn) / load.holds.mean()
        }
    };
    (time.is_finite() && time > 0.0).then_some(time)
}
