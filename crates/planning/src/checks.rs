//! What only the engines can find wrong with a works: loops with no way out, regrind that piles up,
//! mass from nowhere, certainty out of reach.
//!
//! Codes given here: `loop-no-exit`, `loop-unsettled`, `left-over-short`, `regrind-unused`,
//! `mass-gain`, `mass-unexplained`, `certainty-out-of-reach`, `order-date-passed`,
//! `nothing-ordered`. The load adds those about capacity.

use balance::network::{ActivityId, CommodityId, NetworkError, Place};
use works::{Diagnostic, FileId, ItemId, OperationId, Span, Works};

use crate::flow::{Flow, Layout, NoFlow, label};
use crate::horizon::Horizon;
use crate::material::{MassBalance, OperationMass, Rework, Timing, Unreached, commodity_words};
use crate::reason::{Ledger, number};

/// More than this share of what goes in coming out beyond it is a fault; less is what rounded masses
/// come to.
const GAIN: f64 = 0.02;
/// More than this share of what goes in going missing without a name is a warning (TRADE.md section
/// 7.7: explain outside 97 to 103 %).
const MISSING: f64 = 0.03;

/// Why the works has no balance.
pub fn no_flow(works: &Works, no_flow: &NoFlow) -> Diagnostic {
    let layout = &no_flow.layout;
    match &no_flow.error {
        NetworkError::NoWayOut { commodities } => no_exit(
            works,
            commodities
                .iter()
                .filter_map(|&c| operation_at(works, layout, c)),
        ),
        NetworkError::LoopFeedsItself { activities, .. } => {
            let operations = activities
                .iter()
                .filter_map(|&a| operation_of(works, layout, a));
            no_exit(works, operations)
        }
        NetworkError::LeadGivesNone { lead, .. } => {
            no_exit(works, operation_of(works, layout, *lead).into_iter())
        }
        NetworkError::NobodyGives { commodity, wanted }
        | NetworkError::Short {
            commodity,
            short: wanted,
            ..
        } => short(works, layout, *commodity, *wanted),
        NetworkError::NotSettled { commodities, .. } => unsettled(works, layout, commodities),
        other => no_balance(works, layout, other),
    }
}

/// A loop from which nothing comes out.
fn no_exit(works: &Works, operations: impl Iterator<Item = OperationId>) -> Diagnostic {
    let mut ring: Vec<OperationId> = operations.collect();
    ring.sort();
    ring.dedup();
    let Some(&first) = ring.first() else {
        let words = "material goes round a loop from which nothing comes out";
        return Diagnostic::fault("loop-no-exit", top(works), words);
    };
    let names: Vec<String> = ring.iter().map(|&id| label(works, id)).collect();
    let operation = works.operation(first);
    let passes = operation.keeps.mean * operation.good.mean;
    let mut diagnostic = Diagnostic::fault(
        "loop-no-exit",
        operation.at,
        format!("nothing comes out of the loop through {}", names.join(", ")),
    )
    .label("in this loop")
    .sides(
        "a share that leaves the loop good",
        format!(
            "{} % of what `{}` attempts passes",
            number(passes * 100.0),
            operation.name
        ),
    )
    .help("raise `good` or `keeps`, or send part of the rejects elsewhere than round again");
    for &other in &ring[1..] {
        diagnostic = diagnostic.other(works.operation(other).at, "and this");
    }
    diagnostic
}

/// Left-overs that are wanted beyond what arises.
fn short(works: &Works, layout: &Layout, commodity: CommodityId, short: f64) -> Diagnostic {
    let name = commodity_words(works, layout, commodity.0);
    let (at, unit) = match works.items.get(commodity.0) {
        Some(item) => (item.at, item.unit.clone()),
        None => (top(works), quantity::Unit::one()),
    };
    Diagnostic::fault(
        "left-over-short",
        at,
        format!("more `{name}` is wanted than arises"),
    )
    .sides(
        "enough left over",
        format!("{} missing", quantity::show(short, &unit)),
    )
    .help(format!(
        "say how `{name}` is bought, or make more of what leaves it over"
    ))
}

fn unsettled(works: &Works, layout: &Layout, commodities: &[CommodityId]) -> Diagnostic {
    let names: Vec<String> = commodities
        .iter()
        .map(|c| commodity_words(works, layout, c.0))
        .collect();
    let at = commodities
        .iter()
        .find_map(|c| works.items.get(c.0))
        .map_or(top(works), |item| item.at);
    Diagnostic::fault(
        "loop-unsettled",
        at,
        format!("no balance settles for {}", names.join(", ")),
    )
    .help("two left-overs stand in for each other in a ring; let one of them go first")
}

fn no_balance(works: &Works, layout: &Layout, error: &NetworkError) -> Diagnostic {
    let at = match error {
        NetworkError::BadNumber {
            place: Place::Activity(id),
            ..
        } => operation_of(works, layout, *id).map(|id| works.operation(id).at),
        NetworkError::BadNumber {
            place: Place::Commodity(id),
            ..
        } => works.items.get(id.0).map(|item| item.at),
        NetworkError::TooLarge { commodity } => operation_at(works, layout, *commodity)
            .map(|id| works.operation(id).at)
            .or(works.items.get(commodity.0).map(|item| item.at)),
        _ => None,
    };
    let why = match error {
        NetworkError::TooLarge { commodity } => {
            let name = commodity_words(works, layout, commodity.0);
            format!("the amount of `{name}` is beyond what a number can hold")
        }
        other => other.to_string(),
    };
    let words = format!("the works has no material balance: {why}");
    Diagnostic::fault("loop-unsettled", at.unwrap_or_else(|| top(works)), words)
}

/// The operation that an activity is, or feeds.
fn operation_of(works: &Works, layout: &Layout, id: ActivityId) -> Option<OperationId> {
    if id.0 < works.operations.len() {
        return Some(OperationId(id.0));
    }
    layout
        .feed
        .iter()
        .position(|feed| *feed == Some(id))
        .map(OperationId)
}

/// The operation whose output or arrivals a commodity is.
fn operation_at(works: &Works, layout: &Layout, id: CommodityId) -> Option<OperationId> {
    let arrivals = layout.arrivals.iter().position(|slot| *slot == Some(id));
    let out = || layout.out.iter().position(|slot| *slot == id);
    arrivals
        .or_else(out)
        .map(OperationId)
        .filter(|id| id.0 < works.operations.len())
}

/// The head of `works.toml`, for what has no place of its own: the file of what only stands there.
fn top(works: &Works) -> Span {
    let calendars = works.calendars.iter().map(|calendar| calendar.at);
    let crews = works.crews.iter().map(|crew| crew.at);
    let stations = works.stations.iter().map(|station| station.at);
    let file = calendars.chain(crews).chain(stations).next();
    Span::new(file.map_or(FileId(0), |at| at.file), 0..0)
}

/// What the complaints look at.
#[derive(Clone, Copy)]
pub struct Looked<'a> {
    /// The works.
    pub works: &'a Works,
    /// The days it is planned for.
    pub horizon: &'a Horizon,
    /// Its balance.
    pub flow: &'a Flow,
    /// The reasons of the masses.
    pub ledger: &'a Ledger,
    /// Its mass balance.
    pub mass: &'a MassBalance,
    /// Its rework.
    pub rework: &'a [Rework],
    /// Products for which no start is certain enough.
    pub unreached: &'a [Unreached],
    /// By when to order, by item.
    pub timings: &'a [Option<Timing>],
}

/// Everything that the balance and the material show to be odd.
pub fn material(looked: Looked<'_>) -> Vec<Diagnostic> {
    let Looked { works, flow, .. } = looked;
    let mut found = Vec::new();
    if looked.horizon.orders.is_empty() {
        found.push(nothing_ordered(works, looked.horizon));
    }
    bought_nowhere(works, flow, &mut found);
    regrind(works, flow, &mut found);
    for route in &looked.mass.routes {
        for mass in &route.operations {
            found.extend(operation_mass(looked, mass));
        }
    }
    starts(works, looked.unreached, &mut found);
    order_dates(works, looked.timings, &mut found);
    found
}

fn nothing_ordered(works: &Works, horizon: &Horizon) -> Diagnostic {
    let words = format!("no order is due until {}", horizon.until);
    let found = match works.orders.len() {
        0 => "an empty order book".to_owned(),
        n => format!("{n} orders, all due later"),
    };
    Diagnostic::warning("nothing-ordered", top(works), words)
        .sides("at least one order", found)
        .help("add orders, or set `until` in [plan] later")
}

/// Items that had to be bought though nobody says how.
fn bought_nowhere(works: &Works, flow: &Flow, found: &mut Vec<Diagnostic>) {
    for (index, item) in works.items.iter().enumerate() {
        let bought = flow.bought(ItemId(index));
        if item.buy.is_none() && bought > 1e-9 * flow.needed(ItemId(index)) {
            found.push(short(works, &flow.layout, CommodityId(index), bought));
        }
    }
}

/// Left-overs that may be used again, of which more arises than may be.
fn regrind(works: &Works, flow: &Flow, found: &mut Vec<Diagnostic>) {
    for (index, item) in works.items.iter().enumerate() {
        let uses = works.operations.iter().flat_map(|operation| {
            operation
                .takes
                .iter()
                .filter_map(move |take| Some((operation, take.recovered.as_ref()?)))
        });
        let Some((operation, other)) = uses.into_iter().find(|(_, o)| o.item.0 == index) else {
            continue;
        };
        let (surplus, needed) = (flow.surplus(ItemId(index)), flow.needed(ItemId(index)));
        let arises = surplus + needed;
        if surplus <= 1e-6 * arises || item.worth.is_some() {
            continue;
        }
        let show = |amount: f64| quantity::show(amount, &item.unit);
        found.push(
            Diagnostic::warning(
                "regrind-unused",
                other.at_most.at,
                format!("`{}` piles up at `{}`", item.name, operation.name),
            )
            .label("the largest share")
            .sides(
                format!("all {} used again", show(arises)),
                format!("{} used, {} left over", show(needed), show(surplus)),
            )
            .help(format!(
                "say what becomes of it with `worth` on `{}`, raise the share, or cut down what leaves it over",
                item.name
            )),
        );
    }
}

fn operation_mass(looked: Looked<'_>, mass: &OperationMass) -> Option<Diagnostic> {
    let Looked {
        works,
        ledger,
        rework,
        ..
    } = looked;
    let operation = &works.operations[mass.operation];
    let in_kg = mass.in_kg(ledger);
    let unexplained = ledger.value(mass.unexplained);
    let attempted = looked.flow.attempted(OperationId(mass.operation));
    let unit = &operation.output.unit;
    let kg = |value: f64| format!("{} kg", number(value));
    let each = |value: f64| match unit.from_base(attempted) {
        units if units > 0.0 => {
            format!("{} for one {}", kg(value / units), unit.symbol())
        }
        _ => "nothing attempted".to_owned(),
    };
    // A unit that comes back gives its by-products again without having been fed again.
    let visits = rework
        .iter()
        .filter(|rework| rework.to == mass.operation)
        .map(|rework| ledger.value(rework.units))
        .sum::<f64>();
    let allowed = if visits > 0.0 {
        ledger.value(mass.by_products)
    } else {
        0.0
    };
    if -unexplained > GAIN * in_kg + allowed {
        return Some(
            Diagnostic::fault(
                "mass-gain",
                operation.at,
                format!("more comes out of `{}` than goes in", operation.name),
            )
            .sides(
                format!("at most the {} that go in ({})", kg(in_kg), each(in_kg)),
                format!(
                    "{} out ({})",
                    kg(in_kg - unexplained),
                    each(in_kg - unexplained)
                ),
            )
            .help("check the amounts taken, `mass` of what goes in and out, `also` and `keeps`"),
        );
    }
    (unexplained > MISSING * in_kg).then(|| {
        Diagnostic::warning(
            "mass-unexplained",
            operation.at,
            format!("mass goes missing at `{}`", operation.name),
        )
        .sides(
            format!("{} out", kg(in_kg)),
            format!(
                "{} missing, {} % of what goes in",
                kg(unexplained),
                number((unexplained / in_kg * 1000.0).round() / 10.0)
            ),
        )
        .help("name the loss with `lost_as`, or correct the amounts or masses")
    })
}

/// Products for which no start is certain enough.
fn starts(works: &Works, unreached: &[Unreached], found: &mut Vec<Diagnostic>) {
    for start in unreached {
        let route = &works.routes[start.route];
        let product = &works.item(route.makes).name;
        found.push(
            Diagnostic::warning(
                "certainty-out-of-reach",
                route.at,
                format!("no start of `{product}` fills the demand with the certainty asked for"),
            )
            .sides("a start that suffices", start.why.clone())
            .help("ask for less certainty, or make lots differ less"),
        );
    }
}

/// Purchases that should have been ordered already. What only certainty asks for is no complaint:
/// in the mean it is not needed.
fn order_dates(works: &Works, timings: &[Option<Timing>], found: &mut Vec<Diagnostic>) {
    for (item, timing) in works.items.iter().zip(timings) {
        let Some(timing) = timing.as_ref().filter(|t| t.late && t.in_mean) else {
            continue;
        };
        let lead = item.buy.as_ref().and_then(|buy| buy.lead.as_ref());
        found.push(
            Diagnostic::warning(
                "order-date-passed",
                lead.map_or(item.at, |lead| lead.at),
                format!("`{}` can no longer arrive in time", item.name),
            )
            .label("this lead")
            .sides(
                format!("ordered by {}", timing.order_by),
                timing.words.clone(),
            )
            .help("ask for a shorter lead, use stock, or move the order"),
        );
    }
}
