//! The derivations of unit costs.

use works::Works;

use super::terms::{Factor, Term};
use super::{CostAnswer, Element, ProductCost, UnitCost};
use crate::figure::Figures;
use crate::reason::{Ledger, NodeId, Shown, Source, number};

/// Enters `{product} unit cost` (in the plan) and `{product} unit cost at {quantity}`, and
/// `total cost`.
pub fn explain(works: &Works, answer: &CostAnswer, ledger: &mut Ledger, figures: &mut Figures) {
    let money = Shown::new(works.currency.clone(), 1.0);
    let mut terms = Vec::new();
    for product in &answer.products {
        let key = format!("{} unit cost", product.name);
        let node = figure(works, &money, product, &product.plan, &key, ledger, figures);
        let unit = Shown::from(&works.item(product.item).unit);
        for cost in &product.at {
            let key = format!("{key} at {}", number(unit.of(cost.quantity)));
            figure(works, &money, product, cost, &key, ledger, figures);
        }
        if product.sold > 0.0 {
            let why = "orders in the plan";
            let sold = Source::assumed(why);
            terms.push(ledger.given(format!("{} sold", product.name), product.sold, unit, sold));
            terms.push(node);
        }
    }
    let total = ledger.weighted_sum("total cost", money, &terms);
    figures.add(ledger, "total cost", "cost of all that is sold", total);
}

fn figure(
    works: &Works,
    money: &Shown,
    product: &ProductCost,
    cost: &UnitCost,
    key: &str,
    ledger: &mut Ledger,
    figures: &mut Figures,
) -> NodeId {
    let unit = Shown::from(&works.item(product.item).unit);
    let per_unit = money.per(&unit);
    let mut parts = vec![material(works, money, &unit, cost, ledger)];
    let mut conversion = Vec::new();
    for element in Element::ALL {
        let node = match element {
            Element::Material => continue,
            Element::Overhead => overhead(works, &per_unit, &conversion, ledger),
            _ => added_up(element, &per_unit, cost, ledger),
        };
        if CONVERSION.contains(&element) {
            conversion.extend(node);
        }
        parts.extend(node);
    }
    let node = ledger.sum(key.to_owned(), per_unit, &parts);
    let figure = figures.add(ledger, key, key, node);
    figure.low = Some(cost.low);
    figure.high = Some(cost.high);
    node
}

/// Amount × price of everything bought; what went into samples is shown under test.
fn material(
    works: &Works,
    money: &Shown,
    product: &Shown,
    cost: &UnitCost,
    ledger: &mut Ledger,
) -> NodeId {
    let per_unit = &money.per(product);
    let mut terms = Vec::new();
    let mut all = 0.0;
    for &(item, amount, price) in &cost.bought {
        let item = works.item(item);
        let note = "levels of the operations for one unit × what they take";
        let source = Source::Computed {
            note: Some(note.into()),
        };
        let unit = Shown::from(&item.unit);
        terms.push(ledger.given(
            format!("{} for one", item.name),
            amount,
            Shown::new(unit.symbol.clone(), unit.factor / product.factor),
            source,
        ));
        let source = item
            .buy
            .as_ref()
            .map_or(Source::assumed("no price is stated"), |buy| {
                let tier = buy.breaks.iter().find(|step| step.price.mean() == price);
                Source::of(tier.map_or(&buy.price, |step| &step.price))
            });
        terms.push(ledger.given(
            format!("price of {}", item.name),
            price,
            money.per(&unit),
            source,
        ));
        all += amount * price;
    }
    let bought = ledger.weighted_sum("bought", per_unit.clone(), &terms);
    let in_tests = all - cost.elements.get(Element::Material);
    if in_tests.abs() <= 1e-12 * all.abs() {
        return bought;
    }
    let note = "material of samples that tests destroy, counted under test";
    let source = Source::Computed {
        note: Some(note.into()),
    };
    let lost = ledger.given("in samples", in_tests, per_unit.clone(), source);
    ledger.difference("material", per_unit.clone(), &[bought, lost])
}

/// What overhead is a share of.
const CONVERSION: [Element; 5] = [
    Element::Machine,
    Element::Labour,
    Element::SetUp,
    Element::Changeover,
    Element::Tool,
];

/// An element as the sum of its terms; none where it has none.
fn added_up(
    element: Element,
    per_unit: &Shown,
    cost: &UnitCost,
    ledger: &mut Ledger,
) -> Option<NodeId> {
    let terms = cost.terms.iter().filter(|term| term.element == element);
    let nodes: Vec<NodeId> = terms
        .map(|term| multiplied(term, per_unit, ledger))
        .collect();
    if nodes.is_empty() {
        return None;
    }
    let sum = ledger.sum(element.name(), per_unit.clone(), &nodes);
    ledger.note(sum, words(element));
    Some(sum)
}

/// A term: its factors multiplied.
fn multiplied(term: &Term, per_unit: &Shown, ledger: &mut Ledger) -> NodeId {
    let factors = term.product.times.iter();
    let nodes: Vec<NodeId> = factors.map(|factor| divided(factor, ledger)).collect();
    ledger.product(term.name.clone(), per_unit.clone(), &nodes)
}

/// A factor: its number, divided.
fn divided(factor: &Factor, ledger: &mut Ledger) -> NodeId {
    let mut inputs = vec![leaf(factor, ledger)];
    let (mut name, mut unit) = (factor.name.clone(), factor.unit.clone());
    for over in &factor.over {
        inputs.push(leaf(over, ledger));
        name = format!("{name} ÷ {}", over.name);
        unit = match &*over.unit.symbol {
            "" | "%" => unit,
            symbol if *symbol == *unit.symbol => Shown::plain(),
            _ => unit.per(&over.unit),
        };
    }
    if factor.over.is_empty() {
        return inputs[0];
    }
    match &factor.quotient {
        Some((name, unit)) => ledger.quotient(name.clone(), unit.clone(), &inputs),
        None => ledger.quotient(name, unit, &inputs),
    }
}

fn leaf(factor: &Factor, ledger: &mut Ledger) -> NodeId {
    ledger.given(
        factor.name.clone(),
        factor.value,
        factor.unit.clone(),
        factor.source.clone(),
    )
}

/// Overhead as its share of conversion.
fn overhead(
    works: &Works,
    per_unit: &Shown,
    conversion: &[NodeId],
    ledger: &mut Ledger,
) -> Option<NodeId> {
    let share = works.assumptions.overhead.as_ref()?;
    if conversion.is_empty() || share.mean() == 0.0 {
        return None;
    }
    let share = ledger.stated("overhead share", share, Shown::percent());
    let base = ledger.sum("conversion", per_unit.clone(), conversion);
    let overhead = ledger.product(Element::Overhead.name(), per_unit.clone(), &[share, base]);
    ledger.note(overhead, words(Element::Overhead));
    Some(overhead)
}

fn words(element: Element) -> &'static str {
    match element {
        Element::Material => "amounts bought × prices",
        Element::Recovered => "left over for one unit × worth (credit method)",
        Element::Machine => "Σ level × time, stops in it, × cost of the station",
        Element::Labour => "Σ level × time × people × cost ÷ attendance",
        Element::SetUp => "Σ set-up × (station + people) × lots ÷ quantity",
        Element::Changeover => {
            "changeovers of a lot in the plan × (station + people + items used) × lots ÷ quantity"
        }
        Element::Tool => "Σ lives used × (edge + change × (station + people))",
        Element::Energy => "Σ level × (power × running time + energy of a unit) × energy price",
        Element::Test => "Σ samples × (cost + time × rate) + samples lost × what they cost so far",
        Element::Overhead => "share × (machine + labour + set-up + changeovers + tools)",
    }
}
