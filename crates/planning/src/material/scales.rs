//! What one unit of everything weighs.
//!
//! A stated mass holds where the item is made: at the operation whose `makes` names it, for a product
//! at the last of its route. Anywhere else one unit passed on weighs what one attempted takes in less
//! what it gives beside; a loss that only has a name is not taken off there, for nobody knows how
//! much it is: it shows where a mass is next stated.
//!
//! An operation beside the line passes on the mass that is sent to it. Where it names a loss (paint
//! rubbed off, tubes pulled), it brings a unit down to what units fed to the next operation weigh.
//! Units that come back make masses depend on each other. With m for one unit passed on, w for what
//! of each goes into one attempted and b for what is taken less given beside, m = W m + b, where the
//! shares that come back add up to less than one, so that repeated substitution converges
//! (Banach 1922, theorem 6; from memory).

use works::{ItemId, OperationId, RejectTo, Works};

use super::Ground;
use crate::flow::{label, last_operation};
use crate::reason::{Ledger, NodeId, Shown, Source};

/// What one unit of everything weighs, kg; none where it is not known.
pub(super) struct Scales {
    pub(super) items: Vec<Option<NodeId>>,
    /// One unit passed on, by operation.
    pub(super) outputs: Vec<Option<NodeId>>,
    /// Losses named at or before an operation whose own output was not weighed.
    pub(super) pending: Vec<Vec<String>>,
}

impl Scales {
    /// Weighs every item and every output.
    pub(super) fn new(ledger: &mut Ledger, ground: Ground<'_>) -> Self {
        let items = ground.works.items.iter();
        let items = items.map(|item| stated_mass(ledger, item)).collect();
        let count = ground.works.operations.len();
        let mut scales = Self {
            items,
            outputs: vec![None; count],
            pending: vec![Vec::new(); count],
        };
        let recipes: Vec<Recipe> = (0..count)
            .map(|index| scales.recipe(ground, OperationId(index)))
            .collect();
        let values = scales.solve(ledger, ground.works, &recipes);
        scales.enter(ledger, ground.works, &recipes, &values);
        scales.name_losses(ground.works, &recipes);
        scales
    }
}

/// Of what something is a share.
#[derive(Clone, Copy, Debug)]
enum Of {
    Item(ItemId),
    Output(OperationId),
}

/// How much of it goes into one unit attempted.
#[derive(Clone, Copy, Debug)]
enum Weight {
    Stated(f64),
    /// So much over so many attempted.
    Share(NodeId, NodeId),
}

type Terms = Vec<(Weight, Of)>;

/// What the mass of one unit passed on follows from.
#[derive(Clone, Debug)]
enum Recipe {
    /// The stated mass of the item, if any.
    Stated,
    /// All of these together, and no more than those where there are any.
    Follows { terms: Terms, at_most: Terms },
}

/// Whether an operation makes the item that it passes on, rather than passing it on unnamed.
fn makes(works: &Works, id: OperationId) -> bool {
    let operation = works.operation(id);
    let item = operation.output.item;
    if let Some(route) = works.item(item).route {
        return last_operation(works, route) == Some(id);
    }
    let route = &works.route(operation.route).operations;
    let first = route.iter().find(|&&other| {
        let other = works.operation(other);
        other.output.item == item && !other.off_line && other.uses_up == operation.uses_up
    });
    first == Some(&id)
}

/// Operations whose rejects or output come back to one, beside those that feed it.
fn senders(works: &Works, to: OperationId) -> impl Iterator<Item = OperationId> + '_ {
    let route = &works.route(works.operation(to).route).operations;
    route.iter().copied().filter(move |&from| {
        let operation = works.operation(from);
        let mut rejects = operation.rejects.iter();
        operation.then == Some(to) || rejects.any(|reject| reject.to == RejectTo::Rework(to))
    })
}

/// Operations that something comes from inside the route.
pub(super) fn before(works: &Works, id: OperationId) -> Vec<OperationId> {
    let operation = works.operation(id);
    let mut list: Vec<OperationId> = senders(works, id).collect();
    if !operation.off_line {
        list.extend(operation.feeds.iter().map(|feed| feed.from));
    }
    list
}

/// Rounds of substitution.
const ROUNDS: usize = 100_000;
/// A share of a mass that no longer matters.
const SETTLED: f64 = 1e-15;

impl Scales {
    fn recipe(&self, ground: Ground<'_>, id: OperationId) -> Recipe {
        let works = ground.works;
        let operation = works.operation(id);
        let is_mass = *operation.output.unit.dimension() == quantity::Dimension::MASS;
        let stated = self.items[operation.output.item.0].is_some();
        // Beside the line nothing is made, whatever the product weighs.
        if is_mass || (stated && !operation.off_line && makes(works, id)) {
            return Recipe::Stated;
        }
        let mut terms = came(ground, id);
        terms.extend(taken(ground, id));
        let also = operation.also.iter();
        terms.extend(also.map(|also| (Weight::Stated(-also.amount.mean()), Of::Item(also.item))));
        if terms.is_empty() {
            return Recipe::Stated;
        }
        let next = operation.then.filter(|_| operation.lost_as.is_some());
        let at_most = next.map_or_else(Terms::new, |next| fed(works, next));
        Recipe::Follows { terms, at_most }
    }

    /// The mass of one unit passed on by every operation, by substitution from nothing on.
    fn solve(&self, ledger: &Ledger, works: &Works, recipes: &[Recipe]) -> Vec<Option<f64>> {
        let stated = |index: usize| {
            let item = works.operations[index].output.item;
            self.items[item.0].map(|node| ledger.value(node))
        };
        let mut values: Vec<Option<f64>> = recipes
            .iter()
            .enumerate()
            .map(|(index, recipe)| match recipe {
                Recipe::Stated => stated(index),
                Recipe::Follows { .. } => Some(0.0),
            })
            .collect();
        for _ in 0..ROUNDS {
            let mut moved = false;
            for (index, recipe) in recipes.iter().enumerate() {
                let (Recipe::Follows { terms, at_most }, Some(old)) = (recipe, values[index])
                else {
                    continue;
                };
                let mut new = self.total(ledger, terms, &values);
                if !at_most.is_empty()
                    && let (Some(value), Some(most)) = (new, self.total(ledger, at_most, &values))
                {
                    new = Some(value.min(most));
                }
                let differs = |new: f64| (new - old).abs() > SETTLED * old.abs();
                moved |= new.is_none_or(differs);
                values[index] = new;
            }
            if !moved {
                break;
            }
        }
        values
    }

    fn total(&self, ledger: &Ledger, terms: &Terms, values: &[Option<f64>]) -> Option<f64> {
        let mut total = 0.0;
        for &(weight, of) in terms {
            let weight = match weight {
                Weight::Stated(amount) => amount,
                Weight::Share(part, all) => ledger.value(part) / ledger.value(all),
            };
            let mass = match of {
                Of::Item(item) => ledger.value(self.items[item.0]?),
                Of::Output(id) => values[id.0]?,
            };
            total += weight * mass;
        }
        Some(total)
    }

    /// Enters the masses that follow, those that depend on later ones as solved.
    fn enter(
        &mut self,
        ledger: &mut Ledger,
        works: &Works,
        recipes: &[Recipe],
        values: &[Option<f64>],
    ) {
        let mut ahead = vec![false; recipes.len()];
        for (index, recipe) in recipes.iter().enumerate() {
            let Recipe::Follows { terms, at_most } = recipe else {
                continue;
            };
            for (_, of) in terms.iter().chain(at_most) {
                if let Of::Output(id) = of {
                    ahead[id.0] |= id.0 >= index;
                }
            }
        }
        let name = |index| {
            format!(
                "mass of one unit after {}",
                label(works, OperationId(index))
            )
        };
        for (index, recipe) in recipes.iter().enumerate() {
            let follows = matches!(recipe, Recipe::Follows { .. });
            self.outputs[index] = match values[index] {
                Some(value) if follows && ahead[index] => {
                    Some(ledger.solved(name(index), value, Shown::kilograms()))
                }
                Some(_) if follows => None,
                _ => self.items[works.operations[index].output.item.0],
            };
        }
        for pass in [false, true] {
            for (index, recipe) in recipes.iter().enumerate() {
                let Recipe::Follows { terms, at_most } = recipe else {
                    continue;
                };
                if values[index].is_none() || ahead[index] != pass {
                    continue;
                }
                let at = Source::at(works.operations[index].at);
                let equation = self.equation(ledger, &name(index), &at, (terms, at_most));
                match (pass, self.outputs[index], equation) {
                    (true, Some(solved), Some(equation)) => ledger.close(solved, equation),
                    (_, _, equation) => self.outputs[index] = equation,
                }
            }
        }
    }

    fn equation(
        &self,
        ledger: &mut Ledger,
        name: &str,
        at: &Source,
        (terms, at_most): (&Terms, &Terms),
    ) -> Option<NodeId> {
        let all = self.weighted(ledger, name, at, terms)?;
        if at_most.is_empty() {
            return Some(all);
        }
        match self.weighted(ledger, "mass of one unit fed where it goes on", at, at_most) {
            Some(most) => Some(ledger.min(name.to_owned(), Shown::kilograms(), &[all, most])),
            None => Some(all),
        }
    }

    fn weighted(
        &self,
        ledger: &mut Ledger,
        name: &str,
        at: &Source,
        terms: &Terms,
    ) -> Option<NodeId> {
        let mut inputs = Vec::new();
        for &(weight, of) in terms {
            let mass = match of {
                Of::Item(item) => self.items[item.0]?,
                Of::Output(id) => self.outputs[id.0]?,
            };
            inputs.push(match weight {
                Weight::Stated(amount) => {
                    ledger.given("amount for one unit", amount, Shown::plain(), at.clone())
                }
                Weight::Share(part, all) => {
                    let name = format!("{} for one unit", ledger.node(part).name);
                    ledger.quotient(name, Shown::plain(), &[part, all])
                }
            });
            inputs.push(mass);
        }
        Some(ledger.weighted_sum(name.to_owned(), Shown::kilograms(), &inputs))
    }

    /// Hands the names of losses on to where they will show. What comes back from later operations
    /// needs a second round.
    fn name_losses(&mut self, works: &Works, recipes: &[Recipe]) {
        for _ in 0..2 {
            for route in &works.routes {
                for &id in &route.operations {
                    match &recipes[id.0] {
                        Recipe::Follows { at_most, .. } if at_most.is_empty() => {
                            self.pending[id.0] = self.loss_names(works, id);
                        }
                        _ => {}
                    }
                }
            }
        }
    }

    /// Losses named at an operation, or on the way to it since the last mass that is known.
    pub(super) fn loss_names(&self, works: &Works, id: OperationId) -> Vec<String> {
        let operation = works.operation(id);
        let mut names: Vec<String> = operation.lost_as.iter().cloned().collect();
        for from in before(works, id) {
            for name in &self.pending[from.0] {
                if !names.contains(name) {
                    names.push(name.clone());
                }
            }
        }
        names
    }
}

/// What comes into one unit attempted from inside the route.
fn came(ground: Ground<'_>, id: OperationId) -> Terms {
    let (works, book) = (ground.works, ground.book);
    let operation = works.operation(id);
    let nodes = &book.operations[id.0];
    let back: Vec<OperationId> = senders(works, id).collect();
    if ground.flow.attempted(id) <= 0.0 {
        // Nothing comes: what would, weighs what is first sent.
        return match (operation.off_line, back.first()) {
            (true, Some(&from)) => vec![(Weight::Stated(1.0), Of::Output(from))],
            (true, None) => operation
                .then
                .map_or_else(Terms::new, |then| fed(works, then)),
            (false, _) => fed(works, id),
        };
    }
    if !operation.off_line && back.is_empty() {
        return fed(works, id);
    }
    let share = |part, from| (Weight::Share(part, nodes.attempted), Of::Output(from));
    let feeds = nodes.feeds.iter().zip(&operation.feeds);
    let mut terms: Terms = feeds.map(|(&part, feed)| share(part, feed.from)).collect();
    if operation.off_line {
        terms.clear();
    }
    for from in back {
        let sent = &book.operations[from.0];
        let rejects = works.operation(from).rejects.iter().zip(&sent.rejects);
        let here = rejects.filter(|(reject, _)| reject.to == RejectTo::Rework(id));
        terms.extend(here.map(|(_, node)| share(node.units, from)));
        if works.operation(from).then == Some(id) {
            terms.push(share(sent.passed, from));
        }
    }
    terms
}

/// What one unit fed to an operation is made of.
fn fed(works: &Works, id: OperationId) -> Terms {
    let feeds = works.operation(id).feeds.iter();
    let term = |feed: &works::Feed| (Weight::Stated(feed.amount.mean()), Of::Output(feed.from));
    feeds.map(term).collect()
}

/// What one unit attempted takes from outside the route.
fn taken(ground: Ground<'_>, id: OperationId) -> Terms {
    let operation = ground.works.operation(id);
    let nodes = &ground.book.operations[id.0];
    let runs = ground.flow.attempted(id) > 0.0;
    let mut terms = Terms::new();
    if let (Some(_), Some(item)) = (nodes.used_up, operation.uses_up) {
        terms.push((Weight::Stated(1.0), Of::Item(item)));
    }
    for (taken, take) in nodes.takes.iter().zip(&operation.takes) {
        match (taken.recovered, &take.recovered) {
            (Some(part), Some(other)) if runs => {
                let share = |part| Weight::Share(part, nodes.attempted);
                terms.push((share(taken.virgin), Of::Item(take.item)));
                terms.push((share(part), Of::Item(other.item)));
            }
            _ => terms.push((Weight::Stated(take.amount.mean()), Of::Item(take.item))),
        }
    }
    terms
}

/// The mass of one base unit of an item, when stated.
fn stated_mass(ledger: &mut Ledger, item: &works::Item) -> Option<NodeId> {
    let unit = Shown::kilograms();
    if *item.unit.dimension() == quantity::Dimension::MASS {
        let why = Source::assumed("it is counted by mass");
        return Some(ledger.given(format!("mass of one kg of {}", item.name), 1.0, unit, why));
    }
    let mass = item.mass.as_ref()?;
    Some(ledger.stated(
        format!("mass of one {} of {}", item.unit.symbol(), item.name),
        mass,
        unit,
    ))
}
