//! The whole plan: balance, material, load, cost, measured against stated, with every figure's
//! reasons.

use std::borrow::Cow;

use jiff::civil::Date;
use serde::Serialize;
use works::{Diagnostic, Severity, Works};

use crate::checks::{self, Looked};
use crate::computed::Computed;
use crate::cost::{self, CostAnswer};
use crate::cutting::CutPlan;
use crate::drilling::{DrillPlan, FillWork};
use crate::figure::Figures;
use crate::flow::{Book, Flow, NoFlow, Wanted, WantedFor};
use crate::heat::{HeatPlan, Suppose};
use crate::horizon::Horizon;
use crate::load::{self, LoadAnswer};
use crate::material::{Ground, Material, Seen, Unreached, timings};
use crate::measured::{self, Held};
use crate::moisture::{DryingPlan, SaltPlan, SolventPlan};
use crate::moulding::MouldPlan;
use crate::reason::{Ledger, NodeId};
use crate::shapes::Shapes;
use crate::start::Memory;

/// What a command asks for beyond what the works states.
#[derive(Clone, Debug)]
pub struct Options {
    /// The day the plan is made.
    pub today: Date,
    /// Certainty in place of that of the works.
    pub certainty: Option<f64>,
    /// Quantities to price in place of those of the works, in each product's own unit.
    pub quantities: Option<Vec<f64>>,
    /// First day in place of that of the works.
    pub from: Option<Date>,
    /// Last day in place of that of the works.
    pub until: Option<Date>,
    /// Most nodes of the search for the best split of each line of manual work.
    pub line_nodes: u64,
    /// Most steps of the search for each cutting plan and each order of holes.
    pub search_steps: u64,
    /// Asked now and then by long searches: whether to end with the best so far.
    pub stop: fn() -> bool,
    /// What is supposed of a recipe of heat.
    pub suppose: Option<Suppose>,
}

impl Options {
    /// The plan as the works states it, made on a day.
    pub fn new(today: Date) -> Self {
        Self {
            today,
            certainty: None,
            quantities: None,
            from: None,
            until: None,
            line_nodes: 200_000,
            search_steps: 20_000,
            stop: || false,
            suppose: None,
        }
    }
}

/// Where the work on a plan has got to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum Stage {
    /// What was measured against what was stated.
    Measured,
    /// Cutting and drilling plans, recipes of heat.
    Shapes,
    /// The material balance.
    Balance,
    /// Purchases, starts, mass.
    Material,
    /// Hours of stations and people.
    Load,
    /// Unit costs.
    Cost,
    /// Everything is there.
    Done,
}

impl Stage {
    /// In words, for a progress bar.
    pub fn words(self) -> &'static str {
        match self {
            Self::Measured => "holding readings against what is stated",
            Self::Shapes => "cutting, drilling and heat",
            Self::Balance => "balancing material",
            Self::Material => "working out purchases and starts",
            Self::Load => "loading stations and crews",
            Self::Cost => "rolling up costs",
            Self::Done => "done",
        }
    }
}

/// A whole plan.
#[derive(Clone, Debug, Serialize)]
pub struct Plan {
    /// The works.
    pub name: String,
    /// The currency of every amount of money.
    pub currency: String,
    /// The days it covers, and the orders.
    pub horizon: Horizon,
    /// The certainty it is made with.
    pub certainty: f64,
    /// What to buy and to start, what is left over, the mass balance.
    pub material: Material,
    /// Hours of stations and people.
    pub load: LoadAnswer,
    /// Unit costs.
    pub cost: CostAnswer,
    /// What was measured, held against what was stated.
    pub measured: Vec<Held>,
    /// Cutting plans.
    pub cutting: Vec<CutPlan>,
    /// Drilling plans.
    pub drilling: Vec<DrillPlan>,
    /// Recipes of heat, held against what they must do.
    pub heat: Vec<HeatPlan>,
    /// Salt in pieces, held against what it must come to.
    pub salting: Vec<SaltPlan>,
    /// Drying, found from weighed pieces.
    pub drying: Vec<DryingPlan>,
    /// Fresh air that thins solvent: estimates, never permissions.
    pub solvents: Vec<SolventPlan>,
    /// Cooling, cycle, clamp and shot of mouldings.
    pub mouldings: Vec<MouldPlan>,
    /// What goes into holes.
    pub fillings: Vec<FillWork>,
    /// What cutting, drilling, filling, heat, drying and moulding say of the route's numbers, held against them.
    pub computed: Vec<Computed>,
    /// Headline figures by name.
    pub figures: Figures,
    /// The reasons of every figure.
    pub ledger: Ledger,
    /// What is wrong or odd.
    pub notices: Vec<Diagnostic>,
}

impl Plan {
    /// Whether something asked for cannot be done.
    pub fn cannot_be_done(&self) -> bool {
        self.notices
            .iter()
            .any(|notice| notice.severity == Severity::Fault)
    }
}

/// No plan: the works has no material balance.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{}", .0.headline)]
pub struct NoPlan(pub Box<Diagnostic>);

/// Plans a works. The same works and options give the same plan.
pub fn plan(
    works: &Works,
    options: &Options,
    progress: &mut dyn FnMut(Stage),
) -> Result<Plan, NoPlan> {
    progress(Stage::Measured);
    let held = measured::hold(works);
    let works = asked(works, options, &held);
    let horizon = Horizon::new(&works, options.today, options.from, options.until);
    progress(Stage::Shapes);
    let shapes = shaped(works, &horizon, options)?;
    let works = &*shapes.works;
    progress(Stage::Balance);
    let balance = Balance::of(works, &horizon, &shapes.wanted, options)?;
    let mut ledger = Ledger::default();
    let mut figures = Figures::default();
    let book = Book::enter(&mut ledger, works, &balance.flow, &balance.wanted);
    levels(works, &book, &ledger, &mut figures);
    progress(Stage::Material);
    let certainty = options.certainty.unwrap_or(works.assumptions.certainty);
    let ground = Ground {
        works,
        flow: &balance.flow,
        book: &book,
        wanted: &balance.wanted,
        load: &balance.load,
        certainty,
        today: options.today,
    };
    let mut memory = Memory::default();
    let material = Material::work_out(&mut ledger, &mut figures, &mut memory, ground);
    progress(Stage::Load);
    let attempted = attempted(&book);
    load::explain(works, &balance.load, &attempted, &mut ledger, &mut figures);
    progress(Stage::Cost);
    let cost =
        cost::cost(works, &balance.wanted, &balance.load).map_err(|no| no_plan(works, &no))?;
    cost::explain(works, &cost, &mut ledger, &mut figures);
    measured::explain(&held, &mut ledger, &mut figures);
    shapes.explain(&mut ledger, &mut figures);
    let notices = notices(
        works, &horizon, options, &balance, &ledger, &material, &shapes,
    );
    progress(Stage::Done);
    Ok(Plan {
        name: works.name.clone(),
        currency: works.currency.clone(),
        certainty,
        material,
        load: balance.load,
        cost,
        measured: held,
        cutting: shapes.cutting,
        drilling: shapes.drilling,
        heat: shapes.heat,
        salting: shapes.moist.salting,
        drying: shapes.moist.drying,
        solvents: shapes.moist.solvents,
        mouldings: shapes.mouldings,
        fillings: shapes.fillings,
        computed: shapes.computed,
        figures,
        ledger,
        notices,
        horizon,
    })
}

/// Units that each operation attempts, as entered.
fn attempted(book: &Book) -> Vec<NodeId> {
    let operations = book.operations.iter();
    operations.map(|nodes| nodes.attempted).collect()
}

/// What is wrong or odd about the whole of it.
fn notices(
    works: &Works,
    horizon: &Horizon,
    options: &Options,
    balance: &Balance,
    ledger: &Ledger,
    material: &Material,
    shapes: &Shapes<'_>,
) -> Vec<Diagnostic> {
    let timings = timings(works, &balance.flow, &balance.load, options.today);
    let mut notices = checks::material(Looked {
        works,
        horizon,
        flow: &balance.flow,
        ledger,
        mass: &material.mass,
        rework: &material.rework,
        unreached: &unreached(material),
        timings: &timings,
    });
    notices.extend(balance.load.diagnostics.iter().cloned());
    notices.extend(shapes.notices.iter().cloned());
    notices
}

fn unreached(material: &Material) -> Vec<Unreached> {
    let starts = material.starts.iter();
    let none = starts.filter_map(|start| {
        let why = start.why_not.clone()?;
        Some(Unreached {
            route: start.route,
            why,
        })
    });
    none.collect()
}

/// Every complaint that needs the engines, for a works that reads without fault: those of [`plan`],
/// without working out what no complaint needs.
pub fn check(works: &Works, options: &Options) -> Vec<Diagnostic> {
    complaints(works, options).unwrap_or_else(|no_plan| vec![*no_plan.0])
}

fn complaints(works: &Works, options: &Options) -> Result<Vec<Diagnostic>, NoPlan> {
    let held = if works.assumptions.prefer_measured {
        measured::hold(works)
    } else {
        Vec::new()
    };
    let works = asked(works, options, &held);
    let horizon = Horizon::new(&works, options.today, options.from, options.until);
    let shapes = shaped(works, &horizon, options)?;
    let works = &*shapes.works;
    // How manual work is split over people is no ground for a complaint.
    let quick = Options {
        line_nodes: 0,
        ..options.clone()
    };
    let balance = Balance::of(works, &horizon, &shapes.wanted, &quick)?;
    let mut ledger = Ledger::default();
    let book = Book::enter(&mut ledger, works, &balance.flow, &balance.wanted);
    let ground = Ground {
        works,
        flow: &balance.flow,
        book: &book,
        wanted: &balance.wanted,
        load: &balance.load,
        certainty: options.certainty.unwrap_or(works.assumptions.certainty),
        today: options.today,
    };
    let seen = Seen::work_out(&mut ledger, ground);
    let mut notices = checks::material(Looked {
        works,
        horizon: &horizon,
        flow: &balance.flow,
        ledger: &ledger,
        mass: &seen.mass,
        rework: &seen.rework,
        unreached: &seen.unreached,
        timings: &seen.timings,
    });
    notices.extend(balance.load.diagnostics);
    notices.extend(shapes.notices);
    Ok(notices)
}

/// The balance of a works with the load that follows from it.
struct Balance {
    wanted: Vec<Wanted>,
    flow: Flow,
    load: LoadAnswer,
}

impl Balance {
    /// What changeovers use up is known only with the load, and then asked for as well.
    fn of(
        works: &Works,
        horizon: &Horizon,
        beside: &[Wanted],
        options: &Options,
    ) -> Result<Self, NoPlan> {
        let mut wanted = horizon.wanted(works);
        wanted.extend_from_slice(beside);
        let mut flow = solve(works, &wanted)?;
        let loaded = |flow: &Flow| {
            let levels = &flow.solution.level[..works.operations.len()];
            load::load(
                works,
                levels,
                horizon.from,
                horizon.until,
                options.line_nodes,
            )
        };
        let mut load = loaded(&flow);
        if !load.changeover_uses.is_empty() {
            wanted.extend(load.changeover_uses.iter().map(|used| Wanted {
                item: used.item,
                amount: used.amount,
                source: WantedFor::Changeovers(used.station),
            }));
            let levels = flow.solution.level[..works.operations.len()].to_vec();
            flow = solve(works, &wanted)?;
            if flow.solution.level[..works.operations.len()] != levels[..] {
                load = loaded(&flow);
            }
        }
        Ok(Self { wanted, flow, load })
    }
}

fn shaped<'w>(
    works: Cow<'w, Works>,
    horizon: &Horizon,
    options: &Options,
) -> Result<Shapes<'w>, NoPlan> {
    // The words of a works without a balance are those of the works as it is asked for.
    let asked = works.clone();
    Shapes::work_out(works, horizon, options).map_err(|no| no_plan(&asked, &no))
}

fn solve(works: &Works, wanted: &[Wanted]) -> Result<Flow, NoPlan> {
    Flow::solve(works, wanted, true).map_err(|no| no_plan(works, &no))
}

fn no_plan(works: &Works, no: &NoFlow) -> NoPlan {
    NoPlan(Box::new(checks::no_flow(works, no)))
}

/// The works to plan: with measured numbers where it prefers them, and the quantities that a
/// command asks prices for.
fn asked<'w>(works: &'w Works, options: &Options, held: &[Held]) -> Cow<'w, Works> {
    let mut works = Cow::Borrowed(works);
    if works.assumptions.prefer_measured && !held.is_empty() {
        works = Cow::Owned(measured::effective(&works, held));
    }
    if let Some(quantities) = &options.quantities {
        works.to_mut().assumptions.quantities.clone_from(quantities);
    }
    works
}

/// Levels and demands as figures.
fn levels(works: &Works, book: &Book, ledger: &Ledger, figures: &mut Figures) {
    for (index, nodes) in book.operations.iter().enumerate() {
        let label = crate::flow::label(works, works::OperationId(index));
        let key = format!("{label} attempted");
        figures.add(
            ledger,
            &key,
            &format!("units attempted at {label}"),
            nodes.attempted,
        );
    }
    for (item, nodes) in works.items.iter().zip(&book.items) {
        if let Some(wanted) = nodes.wanted {
            let key = format!("{} wanted", item.name);
            figures.add(ledger, &key, &key, wanted);
        }
    }
}

#[cfg(test)]
mod tests;
