//! The works as it was written, checked and linked: immutable, unit-safe, names replaced by ids.
//!
//! Every number is kept in base units (m, kg, s, K, one of each count, one of the currency) with the
//! unit it was written in and the place where it was written.

mod cut;
mod drill;
mod heat;
mod item;
mod log;
mod material;
mod moisture;
mod mould;
mod order;
mod people;
mod route;
mod station;

use jiff::civil::Date;
use jiff::tz::TimeZone;
use quantity::{Spread, Unit, Units};
use serde::Serialize;

use crate::calendar::Calendar;
use crate::source::Span;

pub use cut::{
    BarKind, Board, Boards, Clear, Cut, CutOrder, CutPart, CutStock, Face, FaultRate, FrameFold,
    Keep, Kerf, Mark, Numbers, PartLength, SheetKind, Stages, Trim,
};
pub use drill::{
    Corner, Drill, DrillingMachine, FaceOutline, Fibre, Fill, FillKind, HolePattern, Layout,
    ListedHole,
};
pub use heat::{
    Body, BodyForm, BodyLayer, BodyUnit, Bounds, Chamber, Cover, Faces, Heat, HeatStage, Lasts,
    Level, Measure, Need, Place, Surface,
};
pub use item::{Buy, Item, PriceBreak};
pub use log::{Probe, ProbeLog, WeighedPiece, Weighing};
pub use material::{Food, Material, MaterialName, Mention, Phased};
pub use moisture::{Damp, Dose, Drying, Liquid, Salt, SaltNeed, SaltShare, Solvent};
pub use mould::{Conducts, Mould, MouldingMachine};
pub use order::{Order, Reading, ReadingOf, Stock};
pub use people::{Crew, Skill};
pub use route::{
    Also, Alternative, Check, CheckEvery, Feed, Limit, Load, Operation, Output, Pace, Recovered,
    Reject, RejectTo, Route, Setting, Take, Task, Tool, ToolLife, Wait, Yield,
};
pub use station::{Changeover, Station, Stops};

/// Makes a numbered id for one kind of thing.
macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
        pub struct $name(pub usize);
    )*};
}

ids! {
    /// A calendar of [`Works::calendars`].
    CalendarId;
    /// A crew of [`Works::crews`].
    CrewId;
    /// A skill of [`Works::skills`].
    SkillId;
    /// A station of [`Works::stations`].
    StationId;
    /// An item of [`Works::items`].
    ItemId;
    /// A hazard of [`Works::hazards`].
    HazardId;
    /// A route of [`Works::routes`].
    RouteId;
    /// An operation of [`Works::operations`]; routes name theirs in order.
    OperationId;
    /// A material of [`Works::materials`].
    MaterialId;
    /// A measured load of [`Works::logs`].
    LogId;
    /// A table of weighed pieces of [`Works::weighings`].
    WeighingId;
}

/// A number as it was stated.
#[derive(Clone, Debug, PartialEq)]
pub struct Stated {
    /// Value or spread in base units.
    pub spread: Spread,
    /// The unit it was written in.
    pub unit: Unit,
    /// A note on where the number is from, when one was written.
    pub source: Option<String>,
    /// Where it stands.
    pub at: Span,
}

impl Stated {
    /// The mean, in base units.
    pub fn mean(&self) -> f64 {
        self.spread.mean()
    }
}

/// A hazard that operations and stations name, and the caution that goes with it.
#[derive(Clone, Debug)]
pub struct Hazard {
    /// Its name.
    pub name: String,
    /// What to do about it, shown wherever the hazard applies.
    pub caution: String,
    /// Who decides: the code, data sheet or competent person the caution defers to.
    pub defer_to: String,
}

/// What the plan should assume unless a command says otherwise.
#[derive(Clone, Debug)]
pub struct Assumptions {
    /// First day of the horizon; the earliest order or today is taken by planning when absent.
    pub from: Option<Date>,
    /// Last day of the horizon; the latest due date when absent.
    pub until: Option<Date>,
    /// Certainty with which an order shall be filled, 0 to 1.
    pub certainty: f64,
    /// Quantities for which a price is asked, of each product in its own unit.
    pub quantities: Vec<f64>,
    /// Overhead as a share of conversion cost (machine, labour, set-up and changeovers, tools).
    pub overhead: Option<Stated>,
    /// Price of energy, money per joule.
    pub energy: Option<Stated>,
    /// Whether measured numbers replace stated ones where both exist.
    pub prefer_measured: bool,
    /// Seed of everything drawn at random.
    pub seed: u64,
}

/// A whole works.
#[derive(Clone, Debug)]
pub struct Works {
    /// Its name.
    pub name: String,
    /// A free note.
    pub note: Option<String>,
    /// The zone its clocks show.
    pub time_zone: TimeZone,
    /// ISO 4217 code of the currency that costs are kept in.
    pub currency: String,
    /// The units it counts in, its own among them.
    pub units: Units,
    /// Shift calendars.
    pub calendars: Vec<Calendar>,
    /// Skills that crews have and stations need.
    pub skills: Vec<Skill>,
    /// Crews.
    pub crews: Vec<Crew>,
    /// Stations.
    pub stations: Vec<Station>,
    /// Items: bought, made, in between and left over.
    pub items: Vec<Item>,
    /// Hazards.
    pub hazards: Vec<Hazard>,
    /// Routes, one product each.
    pub routes: Vec<Route>,
    /// Every operation of every route.
    pub operations: Vec<Operation>,
    /// The order book.
    pub orders: Vec<Order>,
    /// What is on hand.
    pub stock: Vec<Stock>,
    /// What was measured.
    pub readings: Vec<Reading>,
    /// Substances that the works declares.
    pub materials: Vec<Material>,
    /// Measured loads.
    pub logs: Vec<ProbeLog>,
    /// Weighed pieces.
    pub weighings: Vec<Weighing>,
    /// What the plan should assume.
    pub assumptions: Assumptions,
}

macro_rules! lookup {
    ($($(#[$doc:meta])* $fn:ident, $list:ident, $id:ident => $what:ty;)*) => {
        impl Works {$(
            $(#[$doc])*
            pub fn $fn(&self, id: $id) -> &$what {
                &self.$list[id.0]
            }
        )*}
    };
}

lookup! {
    /// A calendar.
    calendar, calendars, CalendarId => Calendar;
    /// A skill.
    skill, skills, SkillId => Skill;
    /// A crew.
    crew, crews, CrewId => Crew;
    /// A station.
    station, stations, StationId => Station;
    /// An item.
    item, items, ItemId => Item;
    /// A hazard.
    hazard, hazards, HazardId => Hazard;
    /// A route.
    route, routes, RouteId => Route;
    /// An operation.
    operation, operations, OperationId => Operation;
    /// A material.
    material, materials, MaterialId => Material;
    /// A measured load.
    log, logs, LogId => ProbeLog;
    /// A table of weighed pieces.
    weighing, weighings, WeighingId => Weighing;
}
