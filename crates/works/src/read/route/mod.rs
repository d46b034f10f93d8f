//! Reading routes in two goes: first what each operation passes on and who feeds it (the outline),
//! then everything else, with every item's name and unit known.

mod body;
mod cut;
mod drill;
mod heat;
mod level;
mod moisture;
mod mould;
mod needs;
mod operation;
mod outline;
mod watch;

use std::collections::BTreeMap;

use super::Parsed;
use super::names::Names;
use super::shelves::Shelves;
use super::table::{Notes, Table, Word};
use super::works::Declared;
use crate::model::{ItemId, Operation, OperationId, Route, RouteId};

pub(super) use drill::machine as drilling_machine;
pub(super) use outline::outline;

/// How an operation stands in its route.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Role {
    /// On the main line.
    Main,
    /// Beside it, fed by rework.
    OffLine,
    /// Beside it, running on a left-over item.
    UsesUp,
}

/// An operation whose output and feeders are known.
pub(super) struct OperationOutline<'t> {
    name: Word,
    table: Table<'t>,
    role: Role,
    /// The item passed on.
    item: ItemId,
    basis: super::amounts::Basis,
    /// Whether `makes` gives an amount, so that amounts are for one recipe.
    recipe: bool,
    /// Operations of the route (by position) that feed it because `takes` names what they pass on.
    named_feeds: Vec<(String, usize)>,
    /// The operation before, when it feeds this one without being named.
    feed: Option<usize>,
}

/// A route whose operations are outlined.
pub(super) struct RouteOutline<'t> {
    head: Table<'t>,
    makes: ItemId,
    first: usize,
    operations: Vec<OperationOutline<'t>>,
    /// Items on the way and the first operation of the main line that passes each on.
    made_by: BTreeMap<ItemId, usize>,
}

/// Routes as read, with what is needed to find an operation by name.
#[expect(
    clippy::struct_field_names,
    reason = "the routes are the first of what is read"
)]
pub(crate) struct Routes {
    pub(crate) routes: Vec<Route>,
    pub(crate) operations: Vec<Operation>,
    pub(crate) route_names: Names,
    /// Names of operations, by route.
    pub(crate) operation_names: Vec<Names>,
}

/// Reads every route.
pub(super) fn read(
    notes: &mut Notes,
    outlines: &[RouteOutline<'_>],
    declared: &mut Declared,
    shelves: &Shelves,
) -> Routes {
    let mut routes = Routes {
        routes: Vec::new(),
        operations: Vec::new(),
        route_names: Names::new("route", "a route is called by what it makes"),
        operation_names: Vec::new(),
    };
    for (number, outline) in outlines.iter().enumerate() {
        let id = RouteId(number);
        let makes = &declared.items[outline.makes.0];
        let word = Word {
            text: makes.name.clone(),
            at: outline.head.at,
        };
        routes.route_names.insert(&word, number);
        let mut names = Names::new(
            "operation of this route",
            "write it as an [[operation]] of the route",
        );
        for (position, operation) in outline.operations.iter().enumerate() {
            names.declare(notes, &operation.name, position);
        }
        for position in 0..outline.operations.len() {
            let operation = operation::read(notes, declared, outline, &names, id, position);
            routes.operations.push(operation);
        }
        for position in 0..outline.operations.len() {
            shapes(
                notes,
                &mut routes.operations,
                outline,
                declared,
                shelves,
                &names,
                position,
            );
            let operation = &mut routes.operations[outline.first + position];
            let table = &outline.operations[position].table;
            warmth(notes, operation, table, declared, shelves);
        }
        routes.operation_names.push(names);
        routes.routes.push(route(notes, outline, declared));
    }
    routes
}

fn route(notes: &mut Notes, outline: &RouteOutline<'_>, declared: &Declared) -> Route {
    let head = &outline.head;
    let unit = declared.items[outline.makes.0].unit.clone();
    let amount = quantity::Expect::Dimension(unit.dimension());
    Route {
        makes: outline.makes,
        at: head.at,
        lot: head.positive(notes, "lot", amount),
        transfer: head.positive(notes, "transfer", amount),
        operations: (0..outline.operations.len())
            .map(|i| OperationId(outline.first + i))
            .collect(),
        revision: head.text(notes, "revision").map(|word| word.text),
        note: head.text(notes, "note").map(|word| word.text),
    }
}

/// Reads what an operation cuts, drills and fills, once its flow and that of the route is known.
fn shapes(
    notes: &mut Notes,
    operations: &mut [Operation],
    outline: &RouteOutline<'_>,
    declared: &Declared,
    shelves: &Shelves,
    names: &Names,
    position: usize,
) {
    let table = &outline.operations[position].table;
    let number = outline.first + position;
    let cut = cut::read(
        notes,
        table,
        &operations[number],
        operations,
        declared,
        shelves,
    );
    let drill = drill::read(notes, table, shelves);
    let fill = drill::fill(
        notes,
        table,
        &operations[number],
        declared,
        names,
        outline.first,
    );
    let operation = &mut operations[number];
    operation.cut = cut.map(Box::new);
    operation.drill = drill.map(Box::new);
    operation.fill = fill.map(Box::new);
}

/// Reads what an operation does by heat, salt and drying, once its settings are known.
fn warmth(
    notes: &mut Notes,
    operation: &mut Operation,
    table: &Table<'_>,
    declared: &Declared,
    shelves: &Shelves,
) {
    let context = level::Context {
        table,
        operation,
        declared,
        shelves,
    };
    let heat = heat::read(notes, &context);
    let salt = moisture::salt(notes, &context);
    let drying = moisture::drying(notes, &context);
    let solvent = moisture::solvent(notes, &context);
    let mould = mould::read(notes, &context);
    operation.heat = heat.map(Box::new);
    operation.salt = salt.map(Box::new);
    operation.drying = drying.map(Box::new);
    operation.solvent = solvent.map(Box::new);
    operation.mould = mould.map(Box::new);
}
