//! Orders that may not leave in time: bought too late, more hours asked for than there are until
//! then, or less time than a lot takes. What can be seen without a schedule, and no more.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use planning::load::StationLoad;
use planning::material::Purchase;
use works::{ItemId, Order, RouteId};

use super::{Ground, by_due};
use crate::block::Value;

/// An order that may not leave in time, and why.
pub(crate) struct Risk {
    /// Index of the order.
    pub(crate) order: usize,
    /// Reasons, in plain words.
    pub(crate) why: Vec<String>,
}

/// Orders that may not leave in time, the earliest due first.
pub(crate) fn at_risk(ground: &Ground<'_>) -> Vec<Risk> {
    let orders = by_due(ground);
    let judge = Judge::new(
        ground,
        orders.iter().map(|&order| ground.works.orders[order].item),
    );
    let risk = |order: usize| {
        let why = judge.why(&ground.works.orders[order]);
        (!why.is_empty()).then_some(Risk { order, why })
    };
    orders.into_iter().filter_map(risk).collect()
}

/// What stands behind an item that is ordered.
struct Behind<'a> {
    /// Things to buy whose order-by date has passed.
    late: Vec<&'a Purchase>,
    /// Stations on the way, by position.
    stations: Vec<usize>,
}

/// All that is asked of every order, worked out once.
struct Judge<'a> {
    ground: &'a Ground<'a>,
    behind: BTreeMap<ItemId, Behind<'a>>,
    /// Hours wanted over hours open from the first week on, by station and last week.
    until: Vec<Vec<Option<f64>>>,
}

impl<'a> Judge<'a> {
    fn new(ground: &'a Ground<'a>, items: impl Iterator<Item = ItemId>) -> Self {
        let items: BTreeSet<ItemId> = items.collect();
        let behind = items
            .into_iter()
            .map(|item| (item, behind(ground, item)))
            .collect();
        let stations = ground.plan.load.stations.iter();
        let until = stations
            .map(|station| until_weeks(ground, station))
            .collect();
        Self {
            ground,
            behind,
            until,
        }
    }

    fn why(&self, order: &Order) -> Vec<String> {
        let passed = self.ground.has_passed(order.due);
        let mut why: Vec<String> = passed
            .then(|| "due before the plan begins".to_owned())
            .into_iter()
            .collect();
        if let Some(behind) = self.behind.get(&order.item) {
            why.extend(late(behind, order.due));
            why.extend(self.too_full(behind, order.due));
        }
        why.extend(self.too_long(order));
        why
    }

    /// A station on the way that is asked for more hours, by all that is due until then, than it is
    /// open.
    fn too_full(&self, behind: &Behind<'_>, due: Date) -> Option<String> {
        let load = &self.ground.plan.load;
        let week = load
            .weeks
            .iter()
            .position(|week| week.from <= due && due <= week.until)?;
        let full = behind.stations.iter().filter_map(|&station| {
            let share = self.until.get(station)?.get(week).copied().flatten()?;
            (share > 1.0 + 1e-9).then_some((share, &load.stations[station].name))
        });
        let (share, name) = full.max_by(|a, b| a.0.total_cmp(&b.0))?;
        let share = Value::Share(share).show();
        Some(format!(
            "{name} is asked for {share} of its open hours until then"
        ))
    }

    /// Less time than a lot takes.
    fn too_long(&self, order: &Order) -> Option<String> {
        let route = self.ground.works.item(order.item).route?;
        let lead = self.ground.plan.load.routes.get(route.0)?;
        let from = self.ground.plan.horizon.from;
        let start = order.release.unwrap_or(from).max(from);
        // The whole of the due day counts.
        let days = f64::from((order.due - start).get_days()) + 1.0;
        let takes = lead.total_s / 86_400.0;
        (days > 0.0 && takes > days).then(|| {
            let takes = planning::reason::number(super::rounded(takes, 10.0));
            format!("a lot takes about {takes} days, there are {days}")
        })
    }
}

/// Things to buy that would have had to be ordered already for the first order that needs them.
fn late(behind: &Behind<'_>, due: Date) -> Option<String> {
    let first = |line: &&&Purchase| line.first_due.is_some_and(|first| due <= first);
    let names: Vec<&str> = behind
        .late
        .iter()
        .filter(first)
        .map(|line| &*line.name)
        .collect();
    (!names.is_empty()).then(|| format!("{} would have to be ordered already", names.join(", ")))
}

fn behind<'a>(ground: &Ground<'a>, item: ItemId) -> Behind<'a> {
    let routes = routes_behind(ground, item);
    let operations = routes
        .iter()
        .flat_map(|&route| &ground.works.route(route).operations);
    let takes = operations.flat_map(|&operation| &ground.works.operation(operation).takes);
    let taken: BTreeSet<usize> = takes.map(|take| take.item.0).collect();
    let purchases = ground.plan.material.purchases.iter();
    let work = ground.plan.load.work.iter();
    let on_the_way = work.filter(|piece| piece.level > 0.0 && routes.contains(&piece.route));
    let stations: BTreeSet<usize> = on_the_way
        .filter_map(|piece| Some(piece.station?.0))
        .collect();
    Behind {
        late: purchases
            .filter(|line| line.late && taken.contains(&line.item))
            .collect(),
        stations: stations.into_iter().collect(),
    }
}

/// Routes that make an item, those of its parts among them.
fn routes_behind(ground: &Ground<'_>, item: ItemId) -> BTreeSet<RouteId> {
    let mut routes = BTreeSet::new();
    let mut open: Vec<RouteId> = ground.works.item(item).route.into_iter().collect();
    while let Some(route) = open.pop() {
        if routes.insert(route) {
            let operations = ground.works.route(route).operations.iter();
            let takes = operations.flat_map(|&operation| &ground.works.operation(operation).takes);
            open.extend(takes.filter_map(|take| ground.works.item(take.item).route));
        }
    }
    routes
}

/// Hours wanted of a station up to and with each week, over the hours it is open until then.
fn until_weeks(ground: &Ground<'_>, station: &StationLoad) -> Vec<Option<f64>> {
    let calendar = ground
        .works
        .calendar(ground.works.station(station.station).calendar);
    let (mut wanted_s, mut open_s) = (0.0, 0.0);
    let weeks = ground.plan.load.weeks.iter().zip(&station.by_week);
    let share = |(week, share): (&planning::load::Week, &Option<f64>)| {
        let open = calendar.seconds(&ground.works.time_zone, week.from, week.until);
        open_s += open;
        wanted_s += share.unwrap_or(0.0) * open;
        (open_s > 0.0).then(|| wanted_s / open_s)
    };
    weeks.map(share).collect()
}
