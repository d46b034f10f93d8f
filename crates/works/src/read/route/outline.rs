//! The outline of each route: what every operation passes on, in which unit, and who feeds it.

use std::collections::BTreeMap;

use quantity::{Expect, Unit};

use super::super::amounts::Basis;
use super::super::table::{Notes, Table, Value, Word, unit};
use super::super::works::{Declared, attributes, by_name, each, mass, price};
use super::{OperationOutline, Parsed, Role, RouteOutline};
use crate::diagnostic::Diagnostic;
use crate::format;
use crate::model::{ItemId, OperationId, RouteId};
use crate::source::Span;

/// Outlines every route and declares the items that routes make.
pub(in super::super) fn outline<'t>(
    notes: &mut Notes,
    parsed: &'t [Parsed<'t>],
    declared: &mut Declared,
) -> Vec<RouteOutline<'t>> {
    let mut outlines = Vec::new();
    let mut first = 0;
    // Products first, so that one route may take what another makes whatever the order of files.
    let heads: Vec<_> = parsed
        .iter()
        .filter(|p| p.path.contains('/'))
        .filter_map(|p| head(notes, p, declared))
        .collect();
    for (top, head, makes) in heads {
        let id = RouteId(outlines.len());
        declared.items[makes.0].route = Some(id);
        let operations = Chain::new(makes, first).outline(notes, &top, declared);
        first += operations.len();
        let made_by = made_by(&operations, makes);
        outlines.push(RouteOutline {
            head,
            makes,
            first: first - operations.len(),
            operations,
            made_by,
        });
    }
    outlines
}

/// Items on the way through a route and the first operation of the main line that passes each on.
fn made_by(operations: &[OperationOutline<'_>], product: ItemId) -> BTreeMap<ItemId, usize> {
    let mut made_by = BTreeMap::new();
    for (position, operation) in operations.iter().enumerate() {
        if operation.role == Role::Main && operation.item != product {
            made_by.entry(operation.item).or_insert(position);
        }
    }
    made_by
}

/// Reads the `[route]` table and declares its product.
fn head<'t>(
    notes: &mut Notes,
    parsed: &'t Parsed<'t>,
    declared: &mut Declared,
) -> Option<(Table<'t>, Table<'t>, ItemId)> {
    let at = Span::new(parsed.file, 0..0);
    let top = Table::open(
        notes,
        &format::ROUTE,
        parsed.file,
        at,
        parsed.table.get_ref(),
    );
    let head = top
        .need(notes, "route")?
        .table(notes, by_name(&format::ROUTE, "route"))?;
    let makes = head.need_text(notes, "makes")?;
    let stated = head.text(notes, "unit").and_then(|word| unit(notes, &word));
    let id = product(notes, declared, makes.clone(), stated);
    if let Some(other) = declared.product_at.insert(id, makes.at) {
        notes.push(
            Diagnostic::fault(
                "made-twice",
                makes.at,
                format!("two routes make `{}`", makes.text),
            )
            .other(other, "the other one")
            .help("give the products names of their own"),
        );
        return None;
    }
    let unit = declared.items[id.0].unit.clone();
    let item_mass = mass(notes, &head, &unit);
    let worth = price(notes, &head, "worth", declared, &unit);
    let time = Expect::Dimension(&quantity::Dimension::TIME);
    let keeps_for = head.positive(notes, "keeps_for", time);
    let more = head
        .get("attributes")
        .map(|value| attributes(notes, value))
        .unwrap_or_default();
    let item = &mut declared.items[id.0];
    item.mass = item_mass;
    item.worth = worth;
    item.keeps_for = keeps_for;
    item.attributes.extend(more);
    Some((top, head, id))
}

/// The product's item, with its unit from the route or from the item.
fn product(
    notes: &mut Notes,
    declared: &mut Declared,
    makes: Word,
    stated: Option<Unit>,
) -> ItemId {
    if let Some(number) = declared.item_names.get(&makes.text) {
        let id = ItemId(number);
        let pending = declared.without_unit.remove(&id);
        match stated {
            Some(unit) if pending => declared.items[number].unit = unit,
            Some(unit) if unit.dimension() != declared.items[number].unit.dimension() => {
                notes.push(
                    Diagnostic::fault(
                        "wrong-dimension",
                        makes.at,
                        format!("route and item disagree about the unit of `{}`", makes.text),
                    )
                    .sides(declared.items[number].unit.symbol(), unit.symbol()),
                );
            }
            None if pending => {
                declared.without_unit.insert(id);
            }
            _ => {}
        }
        return id;
    }
    if stated.is_none() {
        notes.push(
            Diagnostic::fault("missing-key", makes.at, "route needs `unit`")
                .help("for example unit = \"each\""),
        );
    }
    let unit = stated.unwrap_or_else(|| each(&notes.units));
    declared.add_item(notes, makes, unit)
}

/// A route being outlined operation by operation.
struct Chain {
    product: ItemId,
    first: usize,
    /// The last operation that passes on an item of this name.
    passes_on: BTreeMap<String, usize>,
    /// The last operation of the main line.
    last: Option<usize>,
}

/// What `makes` says.
struct Makes<'t> {
    name: Word,
    amount: Option<Value<'t>>,
}

impl Chain {
    fn new(product: ItemId, first: usize) -> Self {
        Self {
            product,
            first,
            passes_on: BTreeMap::new(),
            last: None,
        }
    }

    fn outline<'t>(
        mut self,
        notes: &mut Notes,
        top: &Table<'t>,
        declared: &mut Declared,
    ) -> Vec<OperationOutline<'t>> {
        let tables = operations(notes, top);
        let last_main = tables.iter().rposition(|(_, table, role)| {
            *role == Role::Main || (tables.len() == 1 && table.get("uses_up").is_some())
        });
        let mut outlines: Vec<OperationOutline<'t>> = Vec::new();
        for (position, (name, table, role)) in tables.into_iter().enumerate() {
            let is_last = Some(position) == last_main;
            let outline = self.operation(notes, declared, &outlines, (name, table, role), is_last);
            self.note_output(declared, &outline, position);
            outlines.push(outline);
        }
        settle_off_line(notes, &mut outlines);
        outlines
    }

    fn operation<'t>(
        &self,
        notes: &mut Notes,
        declared: &mut Declared,
        before: &[OperationOutline<'t>],
        (name, table, role): (Word, Table<'t>, Role),
        is_last: bool,
    ) -> OperationOutline<'t> {
        let named_feeds = if role == Role::Main {
            self.named_feeds(notes, &table)
        } else {
            Vec::new()
        };
        let starts = table.flag(notes, "starts");
        let feed = self
            .last
            .filter(|_| role == Role::Main && named_feeds.is_empty() && !starts);
        let makes = makes(notes, &table);
        let incoming = feed.map(|feed| (before[feed].item, before[feed].basis.unit.clone()));
        let recipe = makes.as_ref().is_some_and(|makes| makes.amount.is_some());
        let before_unit = incoming.as_ref().map(|(_, unit)| unit.clone());
        let (item, basis) = match makes {
            Some(makes) => {
                if is_last && makes.name.text != declared.items[self.product.0].name {
                    self.wrong_end(notes, declared, &makes.name);
                }
                self.named_output(notes, declared, &table, makes, incoming)
            }
            None => self.unnamed_output(declared, &name, incoming, is_last),
        };
        if let Some(unit) =
            before_unit.filter(|unit| !recipe && unit.dimension() != basis.unit.dimension())
        {
            unit_changes(notes, &name, &unit, &basis.unit);
        }
        OperationOutline {
            name,
            table,
            role,
            item,
            basis,
            recipe,
            named_feeds,
            feed,
        }
    }

    /// Which earlier operations `takes` names by what they pass on.
    fn named_feeds(&self, notes: &mut Notes, table: &Table<'_>) -> Vec<(String, usize)> {
        let Some(takes) = table.get("takes") else {
            return Vec::new();
        };
        takes
            .entries(notes, "items and amounts")
            .into_iter()
            .filter_map(|(name, _)| {
                self.passes_on
                    .get(&name.text)
                    .map(|&from| (name.text, from))
            })
            .collect()
    }

    /// The output of an operation that names it.
    fn named_output(
        &self,
        notes: &mut Notes,
        declared: &mut Declared,
        table: &Table<'_>,
        makes: Makes<'_>,
        incoming: Option<(ItemId, Unit)>,
    ) -> (ItemId, Basis) {
        let known = declared.item_names.get(&makes.name.text).map(ItemId);
        let known = known.filter(|id| !declared.without_unit.contains(id));
        let stated = makes.amount.and_then(|value| amount(notes, value));
        let unit = match known {
            Some(id) => declared.items[id.0].unit.clone(),
            None => stated
                .as_ref()
                .map(|(_, unit)| unit.clone())
                .or_else(|| uses_up_unit(declared, table, notes))
                .or(incoming.map(|(_, unit)| unit))
                .unwrap_or_else(|| declared.items[self.product.0].unit.clone()),
        };
        let item = match declared.item_names.get(&makes.name.text).map(ItemId) {
            Some(id) => {
                self.made_elsewhere(notes, declared, id, &makes.name);
                declared.without_unit.remove(&id);
                declared.items[id.0].unit = unit.clone();
                id
            }
            None => declared.add_item(notes, makes.name, unit.clone()),
        };
        let amount = stated.map_or(unit.factor(), |(amount, _)| amount);
        (item, Basis { unit, amount })
    }

    /// The output of an operation that does not name it: the product at the end, else what came in.
    fn unnamed_output(
        &self,
        declared: &mut Declared,
        name: &Word,
        incoming: Option<(ItemId, Unit)>,
        is_last: bool,
    ) -> (ItemId, Basis) {
        let product = declared.items[self.product.0].unit.clone();
        if is_last {
            return (
                self.product,
                Basis {
                    amount: product.factor(),
                    unit: product,
                },
            );
        }
        if let Some((item, unit)) = incoming {
            return (
                item,
                Basis {
                    amount: unit.factor(),
                    unit,
                },
            );
        }
        let hidden = format!(
            "{} after {}",
            declared.items[self.product.0].name, name.text
        );
        let item = declared.add_unnamed(
            Word {
                text: hidden,
                at: name.at,
            },
            product.clone(),
        );
        (
            item,
            Basis {
                amount: product.factor(),
                unit: product,
            },
        )
    }

    /// Complains when another route makes the item too: whoever takes it could not tell which.
    fn made_elsewhere(&self, notes: &mut Notes, declared: &Declared, id: ItemId, name: &Word) {
        let item = &declared.items[id.0];
        let product_of_another = item.route.is_some() && id != self.product;
        let on_the_way = item
            .made_by
            .is_some_and(|operation| operation.0 < self.first);
        if !product_of_another && !on_the_way {
            return;
        }
        let fault = Diagnostic::fault(
            "made-twice",
            name.at,
            format!("two routes make `{}`", name.text),
        );
        let fault = match declared.made_at.get(&id).or(declared.product_at.get(&id)) {
            Some(&other) => fault.other(other, "the other one"),
            None => fault,
        };
        notes.push(fault.help(
            "make it in one route and take it in the other, or give the two names of their own",
        ));
    }

    fn wrong_end(&self, notes: &mut Notes, declared: &Declared, makes: &Word) {
        let product = &declared.items[self.product.0].name;
        notes.push(
            Diagnostic::fault(
                "wrong-end",
                makes.at,
                "the last operation does not make the route's product",
            )
            .sides(format!("`{product}`"), format!("`{}`", makes.text))
            .help("leave out `makes` on the last operation, or put the operations in order"),
        );
    }

    /// Remembers what an operation passes on, and who makes which item.
    fn note_output(
        &mut self,
        declared: &mut Declared,
        outline: &OperationOutline<'_>,
        position: usize,
    ) {
        let item = &mut declared.items[outline.item.0];
        let name = item.name.clone();
        if outline.role == Role::UsesUp {
            item.left_over_somewhere = true;
            return;
        }
        if outline.role == Role::OffLine {
            return;
        }
        if item.route.is_none() {
            item.made_by = Some(OperationId(self.first + position));
            declared.made_at.insert(outline.item, outline.name.at);
        }
        self.passes_on.insert(name, position);
        self.last = Some(position);
    }
}

/// The operations of a route with their names and roles.
fn operations<'t>(notes: &mut Notes, top: &Table<'t>) -> Vec<(Word, Table<'t>, Role)> {
    let Some(list) = top.need(notes, "operation") else {
        return Vec::new();
    };
    let section = by_name(&format::ROUTE, "operation");
    let mut operations = Vec::new();
    for (position, value) in list.list().into_iter().enumerate() {
        let Some(mut table) = value.table(notes, section) else {
            continue;
        };
        let name = table.need_text(notes, "name").unwrap_or_else(|| Word {
            text: format!("operation {}", position + 1),
            at: table.at,
        });
        table.at = name.at;
        let role = if table.get("uses_up").is_some() {
            Role::UsesUp
        } else if table.flag(notes, "off_line") {
            Role::OffLine
        } else {
            Role::Main
        };
        operations.push((name, table, role));
    }
    operations
}

/// What `makes` says: a name, or a name with an amount.
fn makes<'t>(notes: &mut Notes, table: &Table<'t>) -> Option<Makes<'t>> {
    let value = table.get("makes")?;
    if let Some(name) = value.as_text() {
        return Some(Makes { name, amount: None });
    }
    let mut entries = value.entries(notes, "one item and its amount").into_iter();
    let (name, amount) = entries.next()?;
    for (extra, _) in entries {
        notes.push(
            Diagnostic::fault("makes-two", extra.at, "an operation makes one thing")
                .help("put what comes out beside it into `also`"),
        );
    }
    Some(Makes {
        name,
        amount: Some(amount),
    })
}

/// The mean amount of one recipe and the unit it is written in.
fn amount(notes: &mut Notes, value: Value<'_>) -> Option<(f64, Unit)> {
    // Read again with the item's unit later; faults are noted then, once.
    let mark = notes.diagnostics.len();
    let stated = match value.value.get_ref().get("mean") {
        Some(_) => value
            .table(notes, super::operation::makes_section())
            .and_then(|table| table.stated(notes, "mean", Expect::Any)),
        None => value.stated(notes, Expect::Any),
    };
    notes.diagnostics.truncate(mark);
    let stated = stated.filter(|stated| stated.mean() > 0.0)?;
    Some((stated.mean(), stated.unit))
}

/// The unit of the left-over item that an operation uses up.
fn uses_up_unit(declared: &Declared, table: &Table<'_>, notes: &mut Notes) -> Option<Unit> {
    let word = table.text(notes, "uses_up")?;
    let number = declared.item_names.get(&word.text)?;
    Some(declared.items[number].unit.clone())
}

fn unit_changes(notes: &mut Notes, name: &Word, from: &Unit, to: &Unit) {
    notes.push(
        Diagnostic::fault("unit-changes", name.at, format!("`{}` changes the unit without saying how", name.text))
            .sides(format!("an amount in {} taken for one {}", from.symbol(), to.symbol()), "no such amount")
            .help(format!(
                "name what comes in with `makes` on the operation before and take it here, for example takes = {{ \"…\" = \"0.2 {}\" }}",
                from.symbol()
            )),
    );
}

/// An operation beside the line works in the unit of the operation that it goes on to.
fn settle_off_line(notes: &mut Notes, outlines: &mut [OperationOutline<'_>]) {
    for position in 0..outlines.len() {
        if outlines[position].role != Role::OffLine {
            continue;
        }
        let then = outlines[position].table.text(notes, "then");
        let target = then.and_then(|then| outlines.iter().position(|o| o.name.text == then.text));
        if let Some(target) = target {
            outlines[position].item = outlines[target].item;
            outlines[position].basis = outlines[target].basis.clone();
        }
    }
}
