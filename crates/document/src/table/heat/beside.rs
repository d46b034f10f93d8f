//! What stands beside heat in the same section: salt, drying, solvent and moulding, each told in the same order.

use planning::Plan;
use planning::heat::HeatPlan;

use super::{attention, salt, solvent, yes_no};
use super::{drying, moulding};
use crate::block::{Cell, Column, Role, Table};
use crate::table::{Ground, columns};

/// What is done to the pieces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Salt goes in.
    Salt,
    /// Weight goes off.
    Drying,
    /// Solvent goes into the air: an estimate, never a permission.
    Solvent,
    /// Melt cools in a mould.
    Moulding,
}

impl Kind {
    const ALL: [Self; 4] = [Self::Salt, Self::Drying, Self::Solvent, Self::Moulding];

    /// As headings and tables say it.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Salt => "salt",
            Self::Drying => "drying",
            Self::Solvent => "solvent",
            Self::Moulding => "moulding",
        }
    }

    /// Whether the operations of a works ask for it.
    fn is_asked(self, operation: &works::Operation) -> bool {
        match self {
            Self::Salt => operation.salt.is_some(),
            Self::Drying => operation.drying.is_some(),
            Self::Solvent => operation.solvent.is_some(),
            Self::Moulding => operation.mould.is_some(),
        }
    }

    /// Every answer of this kind.
    fn tellings(self, plan: &Plan) -> Vec<Telling<'_>> {
        match self {
            Self::Salt => plan.salting.iter().map(salt::telling).collect(),
            Self::Drying => plan.drying.iter().map(drying::telling).collect(),
            Self::Solvent => plan.solvents.iter().map(solvent::telling).collect(),
            Self::Moulding => plan.mouldings.iter().map(moulding::telling).collect(),
        }
    }
}

/// One answer, ready to be told: the verdict first, then what stands behind it.
pub(crate) struct Telling<'p> {
    /// What is done.
    pub(crate) kind: Kind,
    /// The operation.
    pub(crate) operation: works::OperationId,
    /// Its name in the plan.
    pub(crate) name: &'p str,
    /// Whether it does its job; none where that cannot be told, or must not.
    pub(crate) does: Option<bool>,
    /// Whether nothing about it needs attention.
    pub(crate) good: bool,
    /// The verdict, without a full stop.
    pub(crate) verdict: String,
    /// What was found, in sentences.
    pub(crate) lines: Vec<String>,
    /// Where limits are from.
    pub(crate) limits: Vec<String>,
    /// What a short report shows.
    pub(crate) short: Option<Table>,
    /// All tables.
    pub(crate) tables: Vec<Table>,
    /// Cautions.
    pub(crate) cautions: &'p [String],
}

impl Telling<'_> {
    /// `Salt: dry cure (smoked duck breast)`.
    pub(crate) fn heading(&self) -> String {
        format!("{}: {}", super::super::title(self.kind.word()), self.name)
    }

    /// Whether it is among the recipes that do their job or do not: an estimate of fresh air never is.
    pub(crate) fn counts(&self) -> bool {
        self.kind != Kind::Solvent
    }

    /// As a cell: whether it does its job.
    fn told(&self) -> Cell {
        match (self.kind, self.does) {
            (Kind::Solvent, _) => Cell::from("estimate only").warn_if(!self.good),
            (_, Some(does)) => yes_no(does),
            (_, None) => Cell::from("not told").role(Role::Warning),
        }
    }
}

/// Every answer beside those of heat with its number among its kind.
pub(crate) fn tellings<'p>(ground: &Ground<'p>) -> Vec<(usize, Telling<'p>)> {
    let plan = ground.plan;
    let of = |kind: &Kind| kind.tellings(plan).into_iter().enumerate();
    Kind::ALL.iter().flat_map(of).collect()
}

/// The anchor of an answer on the page.
pub(crate) fn anchor(kind: Kind, number: usize) -> String {
    format!("{}-{number}", kind.word())
}

/// Every answer beside those of heat on a line.
pub(crate) fn beside_heat(ground: &Ground<'_>) -> Table {
    let mut columns = columns(&["Where", "What", "Does its job"], &[]);
    columns.push(Column::words("In words"));
    let mut table = Table::new("Salt, drying, solvent and moulding", columns);
    for (_, telling) in tellings(ground) {
        table.push([
            telling.name.into(),
            telling.kind.word().into(),
            telling.told(),
            telling.verdict.into(),
        ]);
    }
    table
}

/// A recipe that needs attention.
pub(crate) struct ToLookAt {
    /// Its anchor on the page.
    pub(crate) anchor: String,
    /// Its name.
    pub(crate) name: String,
    /// Why.
    pub(crate) why: String,
    fails: bool,
}

/// Recipes that need attention, those that do not do their job first.
pub(crate) fn recipes_to_look_at(ground: &Ground<'_>) -> Vec<ToLookAt> {
    let heat = ground.plan.heat.iter().enumerate();
    let heat = heat.filter_map(|(number, plan)| {
        Some(ToLookAt {
            anchor: format!("heat-{number}"),
            name: plan.name.clone(),
            why: attention(plan)?,
            fails: !plan.does_its_job(),
        })
    });
    let others = tellings(ground).into_iter();
    let others = others.filter(|(_, telling)| !telling.good);
    let others = others.map(|(number, telling)| ToLookAt {
        anchor: anchor(telling.kind, number),
        name: format!("{}, {}", telling.name, telling.kind.word()),
        fails: telling.does == Some(false),
        why: telling.verdict,
    });
    let mut found: Vec<ToLookAt> = heat.chain(others).collect();
    found.sort_by_key(|one| !one.fails);
    found
}

/// How many recipes do their job, of how many that were worked out.
pub(crate) fn doing_their_job(ground: &Ground<'_>) -> (usize, usize) {
    let heat = ground.plan.heat.iter().map(HeatPlan::does_its_job);
    let others = tellings(ground);
    let others = others.iter().filter(|(_, telling)| telling.counts());
    let all = heat.chain(others.map(|(_, telling)| telling.does == Some(true)));
    let all: Vec<bool> = all.collect();
    (all.iter().filter(|does| **does).count(), all.len())
}

/// What the works asks for beside heat and the plan has no answer to, with whether it counts as a recipe.
pub(crate) fn beside_without_answer(ground: &Ground<'_>, of: Option<&str>) -> Vec<(Kind, String)> {
    let answered = tellings(ground);
    let has = |kind: Kind, id: works::OperationId| {
        let mut all = answered.iter();
        all.any(|(_, telling)| telling.kind == kind && telling.operation == id)
    };
    let mut without = Vec::new();
    for (id, name) in planning::heat::recipes(ground.works) {
        if of.is_some_and(|of| of != name) {
            continue;
        }
        let operation = ground.works.operation(id);
        let asked = Kind::ALL
            .into_iter()
            .filter(|kind| kind.is_asked(operation));
        without.extend(asked.filter(|kind| !has(*kind, id)).map(|kind| {
            let word = kind.word();
            (
                kind,
                format!("{name}, {word}: could not be worked out; the faults say why"),
            )
        }));
    }
    without
}

/// Whether an operation heats, salts, dries, moulds or lets solvent go.
pub(crate) fn heats_or_the_like(ground: &Ground<'_>, id: works::OperationId) -> bool {
    let told = |(_, telling): &(usize, Telling<'_>)| telling.operation == id;
    super::heats(ground, id) || tellings(ground).iter().any(told)
}
