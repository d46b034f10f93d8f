//! Routes: how one product is made, operation by operation.
//!
//! # The arithmetic of an operation
//! An operation's *level* is counted in units of its output before losses ("attempted"). For one
//! unit attempted it takes [`Operation::feeds`] and [`Operation::takes`], yields
//! [`Operation::also`] beside, and passes on `keeps × good` units. `keeps` is a yield of measure
//! (trim, drip, drying: everything keeps that share), `good` a chance that a unit passes. What does
//! not pass goes where [`Operation::rejects`] says.

use quantity::{Spread, Unit};

use super::{
    Cut, Drill, Drying, Fill, HazardId, Heat, ItemId, Mould, OperationId, RouteId, Salt, SkillId,
    Solvent, Stated, StationId,
};
use crate::source::Span;

/// How one product is made.
#[derive(Clone, Debug)]
pub struct Route {
    /// The product.
    pub makes: ItemId,
    /// Where it was written.
    pub at: Span,
    /// Units of the product made in one go, when the works fixes it; else each order is one lot.
    pub lot: Option<Stated>,
    /// Units handed on to the next station together; else the whole lot.
    pub transfer: Option<Stated>,
    /// Its operations in the order written.
    pub operations: Vec<OperationId>,
    /// Its revision, when one is written.
    pub revision: Option<String>,
    /// A free note.
    pub note: Option<String>,
}

/// One step of a route.
#[derive(Clone, Debug)]
pub struct Operation {
    /// Its name, unique in the route.
    pub name: String,
    /// Its route.
    pub route: RouteId,
    /// Where its name is written.
    pub at: Span,
    /// Where it happens; none for a step outside any station (a wait, a carrier).
    pub station: Option<StationId>,
    /// Other stations that can do it, with a pace of their own if stated.
    pub alternatives: Vec<Alternative>,
    /// What comes from earlier operations of the same route, per unit attempted.
    pub feeds: Vec<Feed>,
    /// What comes from elsewhere: bought, made by another route, left over somewhere.
    pub takes: Vec<Take>,
    /// What it passes on.
    pub output: Output,
    /// What it yields beside its product, per unit attempted.
    pub also: Vec<Also>,
    /// Yield of measure.
    pub keeps: Yield,
    /// Chance that a unit passes.
    pub good: Yield,
    /// Where units that do not pass go; shares add up to 1.
    pub rejects: Vec<Reject>,
    /// The left-over item that this operation runs on all there is of.
    pub uses_up: Option<ItemId>,
    /// For an operation outside the main line (rework): where its output goes.
    pub then: Option<OperationId>,
    /// Whether it stands outside the main line.
    pub off_line: bool,
    /// What mass that goes missing here is (drip, sawdust, water), when stated.
    pub lost_as: Option<String>,
    /// What else one base unit attempted counts as (holes, strokes, length), per base unit.
    pub does: Vec<Stated>,
    /// How long it takes.
    pub pace: Pace,
    /// People tied up while it runs, when other than the station's.
    pub people: Option<Vec<(SkillId, f64)>>,
    /// Set-up before each lot, s.
    pub setup: Option<Stated>,
    /// Times that must or may pass since the operation before.
    pub wait: Wait,
    /// Settings of the station.
    pub settings: Vec<Setting>,
    /// What is tested.
    pub checks: Vec<Check>,
    /// Tools that wear.
    pub tools: Vec<Tool>,
    /// Hazards.
    pub hazards: Vec<HazardId>,
    /// Energy beyond the station's power, J per unit attempted.
    pub energy: Option<Stated>,
    /// Elements of manual work that may be split over several people.
    pub tasks: Vec<Task>,
    /// How it cuts its stock up.
    pub cut: Option<Box<Cut>>,
    /// The holes that it drills.
    pub drill: Option<Box<Drill>>,
    /// What it puts into holes.
    pub fill: Option<Box<Fill>>,
    /// What it does by heat or cold.
    pub heat: Option<Box<Heat>>,
    /// Salt that goes into the piece.
    pub salt: Option<Box<Salt>>,
    /// Loss of weight by drying.
    pub drying: Option<Box<Drying>>,
    /// The cooling of a moulded part.
    pub mould: Option<Box<Mould>>,
    /// Solvent that goes into the air.
    pub solvent: Option<Box<Solvent>>,
    /// A free note.
    pub note: Option<String>,
}

/// Another station for an operation.
#[derive(Clone, Debug)]
pub struct Alternative {
    /// The station.
    pub station: StationId,
    /// Its pace, if it differs.
    pub pace: Option<Pace>,
}

/// What an operation takes from an earlier operation of its route.
#[derive(Clone, Debug)]
pub struct Feed {
    /// The earlier operation.
    pub from: OperationId,
    /// Base units of its output for one base unit attempted.
    pub amount: Spread,
    /// Where the amount was written, if it was.
    pub stated: Option<Stated>,
}

/// What an operation takes from outside its route.
#[derive(Clone, Debug)]
pub struct Take {
    /// The item.
    pub item: ItemId,
    /// Base units of it for one base unit attempted.
    pub amount: Spread,
    /// As it was written.
    pub stated: Stated,
    /// A left-over item that may replace part of it.
    pub recovered: Option<Recovered>,
}

/// Regrind and its like: a left-over item that may replace part of a bought one.
#[derive(Clone, Debug)]
pub struct Recovered {
    /// The left-over item.
    pub item: ItemId,
    /// Largest share of the amount that it may make up, 0 to 1.
    pub at_most: Stated,
}

/// What an operation passes on.
#[derive(Clone, Debug)]
pub struct Output {
    /// The item: the route's product, or one on the way.
    pub item: ItemId,
    /// The unit of the flow.
    pub unit: Unit,
    /// Base units in one recipe as written (1 unless the operation says `makes = { … }`).
    pub per_recipe: f64,
    /// Standard deviation of the units of one recipe, inside a lot (relative to the mean).
    pub within_cv: f64,
    /// Standard deviation of the lot mean (relative to the mean).
    pub lots_cv: f64,
    /// As it was written.
    pub stated: Option<Stated>,
}

/// A yield or chance: mean and spread between lots.
#[derive(Clone, Debug)]
pub struct Yield {
    /// The mean.
    pub mean: f64,
    /// Standard deviation from lot to lot; 0 if nothing was said.
    pub lots_sd: f64,
    /// As it was written; none when left out (then the mean is 1).
    pub stated: Option<Stated>,
}

impl Yield {
    /// Nothing is lost.
    pub fn whole() -> Self {
        Self {
            mean: 1.0,
            lots_sd: 0.0,
            stated: None,
        }
    }
}

/// A by-product or co-product.
#[derive(Clone, Debug)]
pub struct Also {
    /// The item.
    pub item: ItemId,
    /// Base units for one base unit attempted.
    pub amount: Spread,
    /// As it was written.
    pub stated: Stated,
}

/// Where some of the rejects go.
#[derive(Clone, Debug)]
pub struct Reject {
    /// Share of the rejects, 0 to 1.
    pub share: f64,
    /// Where they go.
    pub to: RejectTo,
    /// Where it was written, if it was.
    pub at: Option<Span>,
}

/// A destination of rejects.
#[derive(Clone, Debug, PartialEq)]
pub enum RejectTo {
    /// Thrown away.
    Scrap,
    /// Becomes an item: base units of it for one base unit rejected.
    Item(ItemId, f64),
    /// Goes (back) to an operation of the same route.
    Rework(OperationId),
}

/// How long an operation takes. All per base unit of output attempted.
#[derive(Clone, Debug)]
#[expect(
    clippy::large_enum_variant,
    reason = "one stands in each operation, and a load is as common as a time"
)]
pub enum Pace {
    /// Nothing was said: it takes no station time.
    None,
    /// A time for each unit, s.
    Each(Stated),
    /// A flow, base units per second; `through_s` is the time a unit needs to pass.
    Flow {
        /// Base units per second.
        rate: Stated,
        /// Time in the machine beyond the flow itself, s.
        through: Option<Stated>,
    },
    /// Loads: everything in a load starts and ends together.
    Load(Load),
}

/// A batch load.
#[derive(Clone, Debug)]
pub struct Load {
    /// Base units that one load holds.
    pub holds: Stated,
    /// Time inside, s.
    pub dwell: Stated,
    /// Time to take out and put in, s.
    pub turn: Option<Stated>,
    /// Least share of a full load that is worth starting.
    pub at_least: Option<Stated>,
}

/// Times since the operation before, s.
#[derive(Clone, Debug, Default)]
pub struct Wait {
    /// At least.
    pub at_least: Option<Stated>,
    /// At most.
    pub at_most: Option<Stated>,
}

/// A setting of the station.
#[derive(Clone, Debug)]
pub struct Setting {
    /// What is set.
    pub name: String,
    /// The aim, in base units.
    pub aim: Stated,
    /// Allowed to either side, in base units.
    pub within: Option<Stated>,
    /// Whether the product depends on it so that it must be checked.
    pub critical: bool,
    /// Where it was written.
    pub at: Span,
}

/// Limits of a checked value, base units.
#[derive(Clone, Debug)]
pub struct Limit {
    /// At least.
    pub low: Option<f64>,
    /// At most.
    pub high: Option<f64>,
    /// The unit they were written in.
    pub unit: Unit,
}

/// How often something is checked.
#[derive(Clone, Debug)]
pub enum CheckEvery {
    /// Every unit.
    Unit,
    /// Once in each lot.
    Lot,
    /// Once in each load.
    Load,
    /// Once in each shift.
    Shift,
    /// Once in so many base units.
    Amount(Stated),
    /// Once in so many seconds of running.
    Time(Stated),
}

/// Something that is tested.
#[derive(Clone, Debug)]
pub struct Check {
    /// What is tested: the name of a setting, or of a characteristic.
    pub what: String,
    /// Its limits.
    pub limit: Option<Limit>,
    /// How often.
    pub every: CheckEvery,
    /// Units in one sample.
    pub sample: f64,
    /// Whether the sample is lost.
    pub destroys: bool,
    /// Time for one sample, s.
    pub time: Option<Stated>,
    /// Money for one sample.
    pub cost: Option<Stated>,
    /// Who does it, by skill.
    pub by: Option<SkillId>,
    /// Where it was written.
    pub at: Span,
}

/// A tool that wears.
#[derive(Clone, Debug)]
pub struct Tool {
    /// Its name.
    pub name: String,
    /// How long it lasts.
    pub life: ToolLife,
    /// Time to change it, s.
    pub change: Option<Stated>,
    /// Money for one edge, set or regrind.
    pub cost: Option<Stated>,
}

/// How long a tool lasts.
#[derive(Clone, Debug)]
pub enum ToolLife {
    /// Base units of output attempted.
    Units(Stated),
    /// Seconds of running.
    Time(Stated),
}

impl ToolLife {
    /// The number as it was stated.
    pub fn stated(&self) -> &Stated {
        match self {
            Self::Units(stated) | Self::Time(stated) => stated,
        }
    }
}

/// An element of manual work.
#[derive(Clone, Debug)]
pub struct Task {
    /// Its name, unique in the operation.
    pub name: String,
    /// Time for one unit, s.
    pub time: Stated,
    /// Tasks of the same operation that must be done before, by position.
    pub after: Vec<usize>,
    /// Where it was written.
    pub at: Span,
}
