//! Cost: what one unit of each product costs, in the plan and at other quantities.
//!
//! | file | what |
//! |---|---|
//! | `numbers` | every number in one row, and how those that vary do |
//! | `elements` | what a cost is made of |
//! | `compile` | the works as a system of prices |
//! | `evaluate` | prices and costs from one row of numbers |
//! | `terms` | what every element is added up from |
//! | `odds` | draws, and what drives a cost |
//! | `explain` | the figures' derivations |
//!
//! Conventions, said in the answer: a person's time costs the crew's cost ÷ attendance, the mean of
//! the crews that have the skill; stops are paid at the rate of running; overhead is taken on
//! machine, labour, set-up and changeovers, tools; by-products are credited (credit method); all of an item
//! is bought at once at the price of that amount; what is on hand costs what new stuff costs.

mod compile;
mod elements;
mod evaluate;
mod explain;
mod numbers;
mod odds;
mod terms;
#[cfg(test)]
mod tests;

use serde::Serialize;
use works::{ItemId, RouteId, Works};

use compile::{Compiled, Row};
use evaluate::{Evaluator, Scope, Situation};
use numbers::Num;
use odds::{Draws, quantile};

pub use elements::{Element, Elements};
pub use explain::explain;
pub use numbers::Varied;

use crate::flow::{Flow, NoFlow, Wanted, WantedFor, last_operation};
use crate::load::LoadAnswer;

/// The cost of one unit at a quantity.
#[derive(Clone, Debug, Serialize)]
pub struct UnitCost {
    /// How many are made.
    pub quantity: f64,
    /// Lots they are made in.
    pub lots: f64,
    /// Cost of one by element, at the means of all numbers.
    pub elements: Elements,
    /// All together: the likely cost.
    pub likely: f64,
    /// One in ten draws costs less.
    pub low: f64,
    /// One in ten draws costs more.
    pub high: f64,
    /// What one unit takes of everything bought: item, amount, price of one.
    pub bought: Vec<(ItemId, f64, f64)>,
    /// What would be left of whole packs and least amounts, were all bought for this quantity alone
    /// and the rest of no use: money for one unit, on top.
    pub pack_remainder: f64,
    /// What the elements are added up from.
    #[serde(skip)]
    terms: Vec<terms::Term>,
}

/// A number that drives a cost.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Driver {
    /// The number.
    pub number: Varied,
    /// Unit cost with it at its 10 % point, all others at their means.
    pub at_low: f64,
    /// Unit cost with it at its 90 % point.
    pub at_high: f64,
}

/// The cost of one product.
#[derive(Clone, Debug, Serialize)]
pub struct ProductCost {
    /// Its route.
    pub route: RouteId,
    /// The product.
    pub item: ItemId,
    /// Its name.
    pub name: String,
    /// Amount that leaves the works in the plan.
    pub sold: f64,
    /// In the plan; for a product that nobody ordered, one lot or one unit.
    pub plan: UnitCost,
    /// At the quantities asked for.
    pub at: Vec<UnitCost>,
    /// What drives the cost in the plan, the strongest first.
    pub drivers: Vec<Driver>,
    /// The same cost with joint products sharing it by sales value instead of being credited; none
    /// where the product's own worth is not stated or it has no joint products.
    pub by_sales_value: Option<f64>,
}

/// A number of lots without the rounding noise of having been spread over units.
fn whole(lots: f64) -> f64 {
    if (lots - lots.round()).abs() <= 1e-9 * lots {
        lots.round()
    } else {
        lots
    }
}

/// Costs of all products.
#[derive(Clone, Debug, Serialize)]
pub struct CostAnswer {
    /// By [`RouteId`].
    pub products: Vec<ProductCost>,
    /// ISO 4217 code.
    pub currency: String,
    /// What all that is sold in the plan costs: Σ sold × unit cost.
    pub total: f64,
    /// The same by element.
    pub elements: Elements,
    /// Items that are bought for which nobody states a price; they count as nothing.
    pub unpriced: Vec<ItemId>,
    /// Draws behind low and high.
    pub draws: usize,
    /// Conventions, in plain sentences.
    pub assumes: Vec<&'static str>,
}

const ASSUMES: [&str; 7] = [
    "by-products and left-overs are credited at their worth to what yields them (credit method)",
    "left-overs that are all used again are valued at what they replace",
    "a person's time costs the crew's cost divided by attendance; a skill costs the mean of its crews",
    "stops cost what running costs",
    "overhead is a share of machine, labour, set-up and changeovers, tools",
    "all of an item is bought at once at the price of that amount; remainders of packs are shown apart",
    "low and high are the 10 % and 90 % points when every number with a spread moves by itself",
];

/// Strongest drivers kept for each product.
const DRIVERS: usize = 12;

/// Works out the costs for what is wanted, with set-ups, changeovers and fills as the load has them.
pub fn cost(works: &Works, wanted: &[Wanted], load: &LoadAnswer) -> Result<CostAnswer, NoFlow> {
    let sold = sold(works, wanted);
    let flow = Flow::solve(works, &with_one_of_each(works, wanted, &sold), false)?;
    let compiled = Compiled::new(works, &flow, load);
    let draws = Draws::new(&compiled.numbers, works.assumptions.seed);
    let ground = Ground {
        works,
        flow: &flow,
        load,
        compiled: &compiled,
        draws: &draws,
        sold: &sold,
    };
    let products: Vec<ProductCost> = (0..works.routes.len())
        .map(|route| ground.product(RouteId(route)))
        .collect();
    let mut elements = Elements::default();
    for product in &products {
        elements.add_times(&product.plan.elements, product.sold);
    }
    Ok(CostAnswer {
        total: elements.total(),
        elements,
        products,
        currency: works.currency.clone(),
        unpriced: unpriced(works, &compiled, &flow),
        draws: draws.count,
        assumes: ASSUMES.to_vec(),
    })
}

/// What leaves the works of each route's product.
fn sold(works: &Works, wanted: &[Wanted]) -> Vec<f64> {
    let mut sold = vec![0.0; works.routes.len()];
    // What changeovers use up is paid by the lots that are changed over to; stock for parts of no route is no
    // product that is sold.
    let leaves = |ask: &&Wanted| {
        !matches!(
            ask.source,
            WantedFor::Changeovers(_) | WantedFor::Cutting(_)
        )
    };
    for ask in wanted.iter().filter(leaves) {
        if let Some(route) = works.item(ask.item).route {
            sold[route.0] += ask.amount.max(0.0);
        }
    }
    sold
}

/// What is wanted, and a lot or one unit of every product that nobody asks for, so that it has a
/// cost as well.
fn with_one_of_each(works: &Works, wanted: &[Wanted], sold: &[f64]) -> Vec<Wanted> {
    let mut all = wanted.to_vec();
    for (route, _) in works
        .routes
        .iter()
        .zip(sold)
        .filter(|(_, sold)| **sold <= 0.0)
    {
        let amount = route.lot.as_ref().map_or(1.0, works::Stated::mean);
        all.push(Wanted {
            item: route.makes,
            amount,
            source: WantedFor::Quantity,
        });
    }
    all
}

fn unpriced(works: &Works, compiled: &Compiled, flow: &Flow) -> Vec<ItemId> {
    let none =
        |&item: &usize| compiled.prices[item].tiers.is_empty() && flow.bought(ItemId(item)) > 0.0;
    (0..works.items.len()).filter(none).map(ItemId).collect()
}

/// What every product's cost is worked out from.
struct Ground<'a> {
    works: &'a Works,
    flow: &'a Flow,
    load: &'a LoadAnswer,
    compiled: &'a Compiled,
    draws: &'a Draws,
    sold: &'a [f64],
}

/// A product's scope with what is known of it before any quantity.
struct Product {
    scope: Scope,
    route: RouteId,
    /// Rows and levels for one unit, samples made good.
    levels: Vec<f64>,
    /// Routes it needs, with the amount of their product for one unit.
    routes: Vec<(usize, f64)>,
    /// Inputs that may move its cost, by position.
    inputs: Vec<usize>,
}

impl Ground<'_> {
    fn product(&self, route: RouteId) -> ProductCost {
        let product = self.scope(route);
        let item = self.works.route(route).makes;
        let plan = self.plan_situation(&product);
        let asked = &self.works.assumptions.quantities;
        let quantity = if self.sold[route.0] > 0.0 {
            self.sold[route.0]
        } else {
            self.lot(route)
        };
        let drivers = self.drivers(&product, &plan);
        let made = |quantity: f64, situation: &Situation| {
            let own = situation.lots_per_unit.iter().find(|(r, _)| *r == route.0);
            self.unit_cost(
                &product,
                situation,
                quantity,
                own.map_or(0.0, |lots| whole(lots.1 * quantity)),
            )
        };
        let at = asked
            .iter()
            .filter(|quantity| **quantity > 0.0)
            .map(|quantity| quantity * self.works.item(item).unit.factor())
            .map(|quantity| made(quantity, &self.situation(&product, quantity)));
        let at = at.collect();
        let plan_cost = made(quantity, &plan);
        ProductCost {
            route,
            item,
            name: self.works.item(item).name.clone(),
            sold: self.sold[route.0],
            by_sales_value: self.by_sales_value(item, &plan_cost.elements),
            plan: plan_cost,
            at,
            drivers,
        }
    }

    fn lot(&self, route: RouteId) -> f64 {
        self.works
            .route(route)
            .lot
            .as_ref()
            .map_or(1.0, works::Stated::mean)
    }

    /// Everything that a product needs, found along the rows.
    fn scope(&self, route: RouteId) -> Product {
        let compiled = self.compiled;
        let commodity = last_operation(self.works, route)
            .map_or(self.works.route(route).makes.0, |last| {
                self.flow.layout.out[last.0].0
            });
        let mut seen = std::collections::BTreeSet::from([commodity]);
        let mut open = vec![commodity];
        while let Some(row) = open.pop() {
            open.extend(compiled.needs(row).filter(|&other| seen.insert(other)));
        }
        let mut blocks: Vec<usize> = seen.iter().map(|&row| compiled.block_of[row]).collect();
        blocks.sort_unstable();
        blocks.dedup();
        let scope = Scope {
            product: commodity,
            blocks,
        };
        let levels = self.levels(&scope, &self.first_situation(), true);
        let routes = self.routes(&levels);
        let inputs = self.inputs(&seen, &routes);
        Product {
            scope,
            route,
            levels,
            routes,
            inputs,
        }
    }

    /// Fills, first prices, no lots: levels do not depend on them.
    fn first_situation(&self) -> Situation {
        let first = |prices: &compile::Prices| prices.tiers.first().map(|tier| tier.1);
        Situation {
            fill: vec![1.0; self.compiled.operations.len()],
            price: self.compiled.prices.iter().map(first).collect(),
            lots_per_unit: Vec::new(),
        }
    }

    fn levels(&self, scope: &Scope, situation: &Situation, sampled: bool) -> Vec<f64> {
        Evaluator::new(self.compiled, &self.compiled.numbers.base, situation).levels(scope, sampled)
    }

    /// Level of an operation among the levels of rows.
    fn level(&self, levels: &[f64], operation: usize) -> f64 {
        let led = |row: &usize| self.compiled.rows[*row] == Row::Activity(operation);
        let out = self.flow.layout.out[operation].0;
        if led(&out) {
            return levels[out];
        }
        // An operation beside the line is led by what it uses up.
        (0..levels.len()).find(led).map_or(0.0, |row| levels[row])
    }

    /// Amount of each route's product for one unit.
    fn routes(&self, levels: &[f64]) -> Vec<(usize, f64)> {
        let amount = |route: usize| {
            let last = last_operation(self.works, RouteId(route))?;
            let operation = self.works.operation(last);
            let level = self.level(levels, last.0);
            let passed =
                operation.keeps.mean * operation.good.mean - self.flow.layout.sampled[last.0];
            (level > 0.0).then_some((route, level * passed))
        };
        (0..self.works.routes.len()).filter_map(amount).collect()
    }

    fn inputs(
        &self,
        rows: &std::collections::BTreeSet<usize>,
        routes: &[(usize, f64)],
    ) -> Vec<usize> {
        let compiled = self.compiled;
        let mut used = vec![false; compiled.numbers.base.len()];
        let mut mark =
            |range: std::ops::Range<Num>| used[range].iter_mut().for_each(|used| *used = true);
        mark(compiled.common.clone());
        for &row in rows {
            if let Some(prices) = compiled.prices.get(row) {
                mark(prices.numbers.clone());
            }
        }
        for &(route, _) in routes {
            for operation in &self.works.routes[route].operations {
                mark(compiled.operations[operation.0].numbers.clone());
            }
            for change in &compiled.changes[route] {
                change
                    .uses
                    .iter()
                    .for_each(|(item, _)| mark(compiled.prices[*item].numbers.clone()));
            }
        }
        let inputs = compiled.numbers.inputs.iter().enumerate();
        inputs
            .filter(|(_, input)| used[input.num])
            .map(|(position, _)| position)
            .collect()
    }

    /// Fills, prices and lots of the plan.
    fn plan_situation(&self, product: &Product) -> Situation {
        let mut fill = vec![1.0; self.compiled.operations.len()];
        for piece in &self.load.work {
            if let Some(loads) = piece.loads.filter(|loads| loads.fill > 0.0) {
                fill[piece.operation.0] = loads.fill;
            }
        }
        let price = self.prices_at(|item| self.flow.bought(ItemId(item)));
        let lots = product.routes.iter().map(|&(route, amount)| {
            let made = self.made(route);
            let lots = self.load.lots_of[route].max(1.0);
            (
                route,
                if made > 0.0 {
                    lots * amount / made
                } else {
                    amount / self.lot(RouteId(route))
                },
            )
        });
        Situation {
            fill,
            price,
            lots_per_unit: lots.collect(),
        }
    }

    /// What the plan makes of a route's product, samples lost taken off.
    fn made(&self, route: usize) -> f64 {
        let Some(last) = last_operation(self.works, RouteId(route)) else {
            return 0.0;
        };
        let operation = self.works.operation(last);
        let passed = operation.keeps.mean * operation.good.mean - self.flow.layout.sampled[last.0];
        self.flow.attempted(last) * passed - self.flow.layout.sampled_fixed[last.0]
    }

    fn prices_at(&self, amount: impl Fn(usize) -> f64) -> Vec<Option<Num>> {
        let of = |(item, prices): (usize, &compile::Prices)| {
            let bought = amount(item) * (1.0 + 1e-12);
            let reached = prices.tiers.iter().filter(|tier| tier.0 <= bought);
            let best = reached.max_by(|a, b| a.0.total_cmp(&b.0));
            best.or(prices.tiers.first()).map(|tier| tier.1)
        };
        self.compiled.prices.iter().enumerate().map(of).collect()
    }

    /// The lots that an amount of a route's product is made in, as the load starts them: how many,
    /// and the share of the amount in each. Whole ones and one of what is left for the product
    /// itself; parts of lots, shared with others, for what goes into it.
    fn lots_for(&self, route: usize, amount: f64, itself: bool) -> Vec<(f64, f64)> {
        let lot = self.works.routes[route]
            .lot
            .as_ref()
            .map(works::Stated::mean);
        let Some(lot) = lot.filter(|lot| *lot > 0.0 && amount > 0.0) else {
            return vec![(1.0, 1.0)];
        };
        if !itself {
            return vec![(amount / lot, lot / amount)];
        }
        let whole = (amount / lot * (1.0 + 1e-12)).floor();
        let rest = (amount - whole * lot) / amount;
        let mut lots = vec![(whole, lot / amount), (1.0, rest)];
        lots.retain(|&(count, share)| count > 0.0 && share > 1e-9);
        lots
    }

    /// Fills, prices and lots when so much of one product is made by itself: its own lots whole,
    /// parts with a lot of their own at their share of it.
    fn situation(&self, product: &Product, quantity: f64) -> Situation {
        let mut fill = vec![1.0; self.compiled.operations.len()];
        let mut lots_per_unit = Vec::new();
        for &(route, per_unit) in &product.routes {
            let lots = self.lots_for(route, per_unit * quantity, route == product.route.0);
            let count: f64 = lots.iter().map(|lot| lot.0).sum();
            lots_per_unit.push((route, count / quantity));
            for operation in &self.works.routes[route].operations {
                let level = self.level(&product.levels, operation.0) * quantity;
                if let works::Pace::Load(load) = &self.works.operation(*operation).pace
                    && level > 0.0
                    && load.holds.mean() > 0.0
                {
                    let full = level / load.holds.mean();
                    let loads = lots.iter().map(|&(count, share)| {
                        count * crate::load::loads_of(full * share).max(1.0)
                    });
                    fill[operation.0] = full / loads.sum::<f64>();
                }
            }
        }
        let price = self.prices_at(|item| product.levels[item].max(0.0) * quantity);
        Situation {
            fill,
            price,
            lots_per_unit,
        }
    }

    /// Cost of one unit for one row of numbers.
    fn evaluate(
        &self,
        product: &Product,
        situation: &Situation,
        x: &[f64],
        prices: &mut [f64],
    ) -> f64 {
        let evaluator = Evaluator::new(self.compiled, x, situation);
        evaluator.prices(&product.scope, prices);
        prices[product.scope.product] + self.fixed(&evaluator, prices).total()
    }

    /// Fixed costs of lots on one unit.
    fn fixed(&self, evaluator: &Evaluator<'_>, prices: &[f64]) -> Elements {
        let mut money = Elements::default();
        for &(route, lots) in &evaluator.situation.lots_per_unit {
            let operations: Vec<usize> = self.works.routes[route]
                .operations
                .iter()
                .map(|id| id.0)
                .collect();
            money.add_times(&evaluator.lots(route, &operations, prices), lots);
        }
        money
    }

    fn unit_cost(
        &self,
        product: &Product,
        situation: &Situation,
        quantity: f64,
        lots: f64,
    ) -> UnitCost {
        let base = &self.compiled.numbers.base;
        let mut prices = vec![0.0; self.compiled.rows.len()];
        let likely = self.evaluate(product, situation, base, &mut prices);
        let (elements, terms) = self.elements(product, situation, &prices);
        debug_assert!((elements.total() - likely).abs() <= 1e-6 * likely.abs().max(1e-9));
        let likely = elements.total();
        let (low, high) = self.low_high(product, situation, likely);
        let bought = self.bought(product, situation);
        UnitCost {
            quantity,
            lots,
            pack_remainder: self.pack_remainder(&bought, quantity),
            bought,
            likely,
            elements,
            low,
            high,
            terms,
        }
    }

    /// Elements of one unit: levels × cost of running, samples made good under `test`, lots on top.
    fn elements(
        &self,
        product: &Product,
        situation: &Situation,
        prices: &[f64],
    ) -> (Elements, Vec<terms::Term>) {
        let evaluator = Evaluator::new(self.compiled, &self.compiled.numbers.base, situation);
        let levels = evaluator.levels(&product.scope, false);
        let mut money = Elements::default();
        for &block in &product.scope.blocks {
            for &row in self.compiled.blocks[block]
                .iter()
                .filter(|&&row| levels[row] != 0.0)
            {
                money.add_times(&evaluator.right_side(row), levels[row]);
                if let Row::Activity(operation) = self.compiled.rows[row]
                    && let Some(operation) = self.compiled.operations.get(operation)
                {
                    let lost = levels[row] * operation.sampled * prices[operation.out];
                    money.add(Element::Test, lost);
                }
            }
        }
        money.add_times(&self.fixed(&evaluator, prices), 1.0);
        let terms = terms::terms(self.works, &evaluator, &levels, prices);
        (money, terms)
    }

    fn low_high(&self, product: &Product, situation: &Situation, likely: f64) -> (f64, f64) {
        if product.inputs.is_empty() {
            return (likely, likely);
        }
        let mut x = self.compiled.numbers.base.clone();
        let mut prices = vec![0.0; self.compiled.rows.len()];
        let mut costs: Vec<f64> = (0..self.draws.count)
            .map(|draw| {
                for &input in &product.inputs {
                    x[self.compiled.numbers.inputs[input].num] = self.draws.values[input][draw];
                }
                self.evaluate(product, situation, &x, &mut prices)
            })
            .collect();
        costs.sort_by(f64::total_cmp);
        (quantile(&costs, 0.1), quantile(&costs, 0.9))
    }

    /// Each number at its 10 % and 90 % point, all others at their means; the strongest first.
    fn drivers(&self, product: &Product, situation: &Situation) -> Vec<Driver> {
        let mut x = self.compiled.numbers.base.clone();
        let mut prices = vec![0.0; self.compiled.rows.len()];
        let mut drivers: Vec<(f64, usize, f64, f64)> = Vec::new();
        for &position in &product.inputs {
            let input = &self.compiled.numbers.inputs[position];
            let mean = x[input.num];
            let mut at = |p: f64| {
                x[input.num] = input.quantile(p);
                self.evaluate(product, situation, &x, &mut prices)
            };
            let (low, high) = (at(0.1), at(0.9));
            x[input.num] = mean;
            if low != high {
                drivers.push(((high - low).abs(), position, low, high));
            }
        }
        drivers.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let kept = drivers.into_iter().take(DRIVERS);
        let driver = |(_, position, at_low, at_high): (f64, usize, f64, f64)| {
            let input: &numbers::Input = &self.compiled.numbers.inputs[position];
            Driver {
                number: input.varied(self.compiled.numbers.base[input.num]),
                at_low,
                at_high,
            }
        };
        kept.map(driver).collect()
    }

    /// What one unit takes of everything bought.
    fn bought(&self, product: &Product, situation: &Situation) -> Vec<(ItemId, f64, f64)> {
        let base = &self.compiled.numbers.base;
        let items =
            (0..self.works.items.len()).filter(|&item| self.compiled.rows[item] == Row::Bought);
        let bought = items.filter(|&item| product.levels[item] > 0.0);
        let priced = |item: usize| situation.price[item].map_or(0.0, |num| base[num]);
        bought
            .map(|item| (ItemId(item), product.levels[item], priced(item)))
            .collect()
    }

    fn pack_remainder(&self, bought: &[(ItemId, f64, f64)], quantity: f64) -> f64 {
        let over = |&(item, amount, price): &(ItemId, f64, f64)| {
            let Some(buy) = &self.works.item(item).buy else {
                return 0.0;
            };
            let wanted = amount * quantity;
            let least = buy
                .minimum
                .as_ref()
                .map_or(wanted, |minimum| minimum.mean().max(wanted));
            let pack = buy.pack.as_ref().map_or(0.0, works::Stated::mean);
            (crate::reason::ceil_to(least, pack) - wanted).max(0.0) * price
        };
        bought.iter().map(over).sum::<f64>() / quantity
    }

    /// Cost before credits, shared between the product and its joint products by what they sell for.
    fn by_sales_value(&self, item: ItemId, elements: &Elements) -> Option<f64> {
        let own = self.works.item(item).worth.as_ref()?.mean();
        let credit = -elements.get(Element::Recovered);
        (own > 0.0 && credit > 0.0).then(|| (elements.total() + credit) * own / (own + credit))
    }
}
