//! Start quantities of products and orders, and the certainty curve.

use balance::start::{CurvePoint, Method, Start, StartError};
use serde::Serialize;
use works::RouteId;

use super::certain::goes_on;
use super::{Certain, Ground};
use crate::figure::Figures;
use crate::flow::{WantedFor, last_operation};
use crate::reason::{Ledger, NodeId, Shown, Source};
use crate::start::{Chain, ChainLeaves, Memory};

/// A start quantity with its odds.
#[derive(Clone, Debug, Serialize)]
pub struct StartFigure {
    /// How much to start.
    pub quantity: NodeId,
    /// The certainty asked for.
    pub certainty: f64,
    /// The odds that it reaches.
    pub odds: f64,
    /// How the odds were worked out, in words.
    pub method: &'static str,
    /// Whether the odds are exact for the model.
    pub exact: bool,
    /// Standard error of the odds; 0 when nothing was drawn.
    pub standard_error: f64,
}

/// What to start for all that is asked of a product.
#[derive(Clone, Debug, Serialize)]
pub struct ProductStart {
    /// Index of the route.
    pub route: usize,
    /// The product.
    pub product: String,
    /// What is started (an item, or units of the first operation).
    pub start_of: String,
    /// How the start is counted.
    pub unit: Shown,
    /// What must come out.
    pub demand: NodeId,
    /// The start that gives it in the mean: demand over yields.
    pub mean: NodeId,
    /// At even odds.
    pub even: Option<StartFigure>,
    /// At the certainty of the plan.
    pub certain: Option<StartFigure>,
    /// Why there is no certain start, when there is none.
    pub why_not: Option<String>,
    /// Start quantity against odds.
    pub curve: Vec<CurvePoint>,
}

/// What to start for one order.
#[derive(Clone, Debug, Serialize)]
pub struct OrderStart {
    /// Index of the order in the works.
    pub order: usize,
    /// Its number.
    pub number: String,
    /// The product.
    pub product: String,
    /// What is started.
    pub start_of: String,
    /// How the start is counted.
    pub unit: Shown,
    /// At even odds, start units.
    pub even: Option<f64>,
    /// At the certainty of the plan, with its reason.
    pub certain: Option<StartFigure>,
}

/// A product for which no start is certain enough.
#[derive(Clone, Debug, PartialEq)]
pub struct Unreached {
    /// Index of the route.
    pub route: usize,
    /// Why, in words.
    pub why: String,
}

/// Products for which no start is certain enough. Only chains that vary a great deal need to be
/// worked out.
pub(super) fn unreached(ledger: &mut Ledger, ground: Ground<'_>) -> Vec<Unreached> {
    let mut memory = Memory::default();
    let mut list = Vec::new();
    for (route, chain) in chains(ground).into_iter().enumerate() {
        let last = last_operation(ground.works, RouteId(route));
        let (Some(chain), Some(last)) = (chain, last) else {
            continue;
        };
        let demand = goes_on(ledger, ground, last);
        let demand = ledger.value(demand);
        if demand <= 0.0 || chain.surely_reaches(demand, ground.certainty) {
            continue;
        }
        if let Err(why) = memory.smallest(&chain, demand, ground.certainty) {
            let why = why.to_string();
            list.push(Unreached { route, why });
        }
    }
    list
}

/// Points of a certainty curve.
const POINTS: usize = 41;
/// Even odds.
const EVEN: f64 = 0.5;

/// The chains of every route, with their leaves.
fn chains(ground: Ground<'_>) -> Vec<Option<Chain>> {
    let routes = (0..ground.works.routes.len()).map(RouteId);
    routes
        .map(|route| Chain::of_route(ground.works, ground.flow, route))
        .collect()
}

/// Start quantities of every product that is asked for.
pub(super) fn products(
    ledger: &mut Ledger,
    figures: &mut Figures,
    memory: &mut Memory,
    ground: Ground<'_>,
    (certainty, certain): (NodeId, &Certain),
) -> Vec<ProductStart> {
    let mut list = Vec::new();
    for (index, chain) in chains(ground).into_iter().enumerate() {
        // What other routes take for their own certain starts is part of it.
        let (Some(chain), Some(demand)) = (chain, certain.asked[index]) else {
            continue;
        };
        if ledger.value(demand) > 0.0 {
            let maker = Maker {
                ledger,
                memory,
                ground,
                chain: &chain,
            };
            list.push(maker.product(figures, index, demand, certainty));
        }
    }
    list
}

struct Maker<'a> {
    ledger: &'a mut Ledger,
    memory: &'a mut Memory,
    ground: Ground<'a>,
    chain: &'a Chain,
}

impl Maker<'_> {
    fn product(
        self,
        figures: &mut Figures,
        route: usize,
        demand: NodeId,
        certainty: NodeId,
    ) -> ProductStart {
        let Self {
            ledger,
            memory,
            ground,
            chain,
        } = self;
        let works = ground.works;
        let product = works.item(works.routes[route].makes).name.clone();
        let leaves = ChainLeaves::enter(ledger, works, chain);
        let amount = ledger.value(demand);
        let mean = leaves.mean_start(ledger, works, chain, demand);
        let even_odds = ledger.given(
            "even odds",
            EVEN,
            Shown::percent(),
            Source::assumed("a coin's toss"),
        );
        let mut figure = |odds: NodeId, share: f64| -> Result<StartFigure, StartError> {
            let start = memory.smallest(chain, amount, share)?;
            let node = leaves.start(ledger, works, chain, (demand, odds), &start);
            Ok(start_figure(node, share, &start))
        };
        let even = figure(even_odds, EVEN).ok();
        let certain = figure(certainty, ground.certainty);
        let why_not = certain.as_ref().err().map(ToString::to_string);
        let certain = certain.ok();
        if let Some(start) = &certain {
            let label = format!("{} to start for {product}", chain.what(works));
            let figure = figures.add(
                ledger,
                &format!("{product} to start"),
                &label,
                start.quantity,
            );
            figure.low = even.as_ref().map(|even| ledger.value(even.quantity));
            figure.odds = Some(start.odds);
        }
        let curve = if chain.is_certain() {
            Vec::new()
        } else {
            memory.curve(chain, amount, POINTS).unwrap_or_default()
        };
        ProductStart {
            route,
            start_of: chain.what(works),
            unit: chain.unit(works),
            product,
            demand,
            mean,
            even,
            certain,
            why_not,
            curve,
        }
    }
}

fn start_figure(quantity: NodeId, certainty: f64, start: &Start) -> StartFigure {
    let method: Method = start.method;
    StartFigure {
        quantity,
        certainty,
        odds: start.odds,
        method: method.words(),
        exact: method.is_exact(),
        standard_error: start.standard_error,
    }
}

/// Orders beyond which start quantities are worked out only when asked for one order.
const MOST_ORDERS: usize = 500;

/// Start quantities of every order in the horizon, each a lot of its own.
pub(super) fn orders(
    ledger: &mut Ledger,
    memory: &mut Memory,
    ground: Ground<'_>,
    certainty: NodeId,
) -> Vec<OrderStart> {
    let chains = chains(ground);
    let asked: Vec<_> = ground
        .wanted
        .iter()
        .filter_map(|ask| match ask.source {
            WantedFor::Order(order) => Some((order, ask)),
            WantedFor::Quantity | WantedFor::Changeovers(_) | WantedFor::Cutting(_) => None,
        })
        .collect();
    if asked.len() > MOST_ORDERS {
        return Vec::new();
    }
    let mut leaves: Vec<Option<ChainLeaves>> = vec![None; chains.len()];
    let mut list = Vec::new();
    for (order, ask) in asked {
        let item = ground.works.item(ask.item);
        let Some((route, chain)) = item
            .route
            .and_then(|route| Some((route, chains[route.0].as_ref()?)))
        else {
            continue;
        };
        let works = ground.works;
        let even = memory
            .smallest(chain, ask.amount, EVEN)
            .ok()
            .map(|start| start.quantity);
        let certain = memory
            .smallest(chain, ask.amount, ground.certainty)
            .ok()
            .map(|start| {
                let leaves = leaves[route.0]
                    .get_or_insert_with(|| ChainLeaves::enter(ledger, works, chain))
                    .clone();
                let name = format!("order {}", works.orders[order].number);
                let unit = Shown::from(&item.unit);
                let source = Source::of(&works.orders[order].quantity);
                let demand = ledger.given(name, ask.amount, unit, source);
                let node = leaves.start(ledger, works, chain, (demand, certainty), &start);
                start_figure(node, ground.certainty, &start)
            });
        list.push(OrderStart {
            order,
            number: works.orders[order].number.clone(),
            product: item.name.clone(),
            start_of: chain.what(works),
            unit: chain.unit(works),
            even,
            certain,
        });
    }
    list
}
