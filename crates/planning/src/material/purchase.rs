//! The purchase list.

use jiff::civil::Date;
use serde::Serialize;
use works::{Buy, Item, Works};

use super::{Certain, Ground, Timing, timings};
use crate::figure::Figures;
use crate::reason::{Ledger, NodeId, Shown, number};

/// One line of the purchase list.
#[derive(Clone, Debug, Serialize)]
pub struct Purchase {
    /// Index of the item in the works.
    pub item: usize,
    /// Its name.
    pub name: String,
    /// Who sells it.
    pub supplier: Option<String>,
    /// Needed in the mean.
    pub mean_need: NodeId,
    /// Needed with the certainty of the plan.
    pub certain_need: NodeId,
    /// Covered by what is on hand and by left-overs.
    pub covered: Option<NodeId>,
    /// To buy with the certainty, before packs.
    pub net: NodeId,
    /// To buy, in whole packs and at least the minimum.
    pub to_buy: NodeId,
    /// Number of packs, where it comes in packs.
    pub packs: Option<f64>,
    /// Price of one unit at that amount.
    pub price: NodeId,
    /// What it costs.
    pub cost: NodeId,
    /// When the first order is due whose making what is on hand does not cover.
    pub first_due: Option<Date>,
    /// The last day to order it.
    pub order_by: Option<Date>,
    /// Whether that day has passed.
    pub late: bool,
    /// How that day was found.
    pub timing: Option<Timing>,
}

/// The list, in order of item.
pub(super) fn list(
    ledger: &mut Ledger,
    figures: &mut Figures,
    ground: Ground<'_>,
    certain: &Certain,
) -> Vec<Purchase> {
    let mut timings = timings(ground.works, ground.flow, ground.load, ground.today);
    let mut list = Vec::new();
    for (index, item) in ground.works.items.iter().enumerate() {
        let (Some(buy), Some(mean), Some(needed)) = (
            &item.buy,
            ground.book.items[index].needed,
            certain.needed[index],
        ) else {
            continue;
        };
        if item.route.is_some() || item.made_by.is_some() {
            continue;
        }
        let given = ground.book.items[index].given;
        let timing = timings[index].take();
        if let Some(line) = line(
            ledger,
            figures,
            ground,
            (index, item, buy),
            (mean, needed, given),
            timing,
        ) {
            list.push(line);
        }
    }
    list
}

fn line(
    ledger: &mut Ledger,
    figures: &mut Figures,
    ground: Ground<'_>,
    (index, item, buy): (usize, &Item, &Buy),
    (mean, needed, given): (NodeId, NodeId, Option<NodeId>),
    timing: Option<Timing>,
) -> Option<Purchase> {
    let unit = Shown::from(&item.unit);
    let name = &item.name;
    let net = match given {
        Some(given) => {
            let short = ledger.difference(
                format!("{name} less what is there"),
                unit.clone(),
                &[needed, given],
            );
            ledger.positive(
                format!("{name} to buy before packs"),
                unit.clone(),
                &[short],
            )
        }
        None => needed,
    };
    if ledger.value(net) <= 1e-9 * ledger.value(needed) {
        return None;
    }
    let to_buy = in_packs(ledger, (item, buy), net, &unit);
    let price = price_at(ledger, ground.works, (item, buy), to_buy, &unit);
    let cost = ledger.product(
        format!("{name} cost"),
        money(ground.works),
        &[to_buy, price],
    );
    let amount = ledger.value(to_buy);
    let mean_net = (ledger.value(mean) - given.map_or(0.0, |given| ledger.value(given))).max(0.0);
    let figure = figures.add(
        ledger,
        &format!("{name} to buy"),
        &format!("{name} to buy"),
        to_buy,
    );
    figure.low = Some(mean_net);
    figure.odds = Some(ground.certainty);
    figures.add(
        ledger,
        &format!("{name} needed"),
        &format!("{name} needed in the mean"),
        mean,
    );
    let odds = number(ground.certainty * 100.0);
    let key = format!("{name} needed at {odds} %");
    figures.add(ledger, &key, &key, needed).odds = Some(ground.certainty);
    figures.add(
        ledger,
        &format!("{name} cost"),
        &format!("cost of {name}"),
        cost,
    );
    Some(Purchase {
        item: index,
        name: name.clone(),
        supplier: buy.supplier.clone(),
        mean_need: mean,
        certain_need: needed,
        covered: given,
        net,
        to_buy,
        packs: buy.pack.as_ref().map(|pack| (amount / pack.mean()).round()),
        price,
        cost,
        first_due: timing.as_ref().map(|timing| timing.due),
        order_by: timing.as_ref().map(|timing| timing.order_by),
        late: timing.as_ref().is_some_and(|timing| timing.late),
        timing,
    })
}

/// The amount in whole packs, at least the minimum.
fn in_packs(ledger: &mut Ledger, (item, buy): (&Item, &Buy), net: NodeId, unit: &Shown) -> NodeId {
    let name = format!("{} to buy", item.name);
    let mut amount = net;
    if let Some(minimum) = &buy.minimum {
        let least = ledger.stated(
            format!("{} least purchase", item.name),
            minimum,
            unit.clone(),
        );
        amount = ledger.max(name.clone(), unit.clone(), &[amount, least]);
    }
    if let Some(pack) = &buy.pack {
        let pack = ledger.stated(format!("{} pack", item.name), pack, unit.clone());
        amount = ledger.ceil_to(name, unit.clone(), &[amount, pack]);
    } else if item.unit.dimension().as_count().is_some() {
        let one = ledger.given(
            "one",
            1.0,
            unit.clone(),
            crate::reason::Source::assumed("it is counted, so bought whole"),
        );
        amount = ledger.ceil_to(name, unit.clone(), &[amount, one]);
    }
    amount
}

/// The price of one unit when so much is bought at once.
fn price_at(
    ledger: &mut Ledger,
    works: &Works,
    (item, buy): (&Item, &Buy),
    to_buy: NodeId,
    unit: &Shown,
) -> NodeId {
    let amount = ledger.value(to_buy);
    let chosen = buy
        .breaks
        .iter()
        .filter(|step| step.from.mean() <= amount * (1.0 + 1e-12))
        .max_by(|a, b| a.from.mean().total_cmp(&b.from.mean()));
    let stated = chosen.map_or(&buy.price, |step| &step.price);
    let rate = money(works).per(unit);
    let price = ledger.stated(format!("{} price", item.name), stated, rate.clone());
    match chosen {
        Some(step) => {
            let from = ledger.stated(
                format!("{} price holds from", item.name),
                &step.from,
                unit.clone(),
            );
            ledger.same(
                format!("{} price at this amount", item.name),
                rate,
                &[price, to_buy, from],
            )
        }
        None => price,
    }
}

/// The currency of the works.
pub(super) fn money(works: &Works) -> Shown {
    Shown::count(&*works.currency)
}

/// What the whole list costs.
pub(super) fn total(
    ledger: &mut Ledger,
    figures: &mut Figures,
    ground: Ground<'_>,
    list: &[Purchase],
) -> Option<NodeId> {
    let costs: Vec<NodeId> = list.iter().map(|line| line.cost).collect();
    if costs.is_empty() {
        return None;
    }
    let total = ledger.sum("purchases", money(ground.works), &costs);
    figures.add(ledger, "purchases", "all purchases", total);
    Some(total)
}
