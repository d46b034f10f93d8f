//! Stations: machines, benches, ovens, rooms where operations happen.

use super::{
    CalendarId, Chamber, DrillingMachine, HazardId, ItemId, MouldingMachine, SkillId, Stated,
};
use crate::source::Span;

/// A place with one or more alike machines.
#[derive(Clone, Debug)]
pub struct Station {
    /// Its name.
    pub name: String,
    /// Where it was declared.
    pub at: Span,
    /// How many alike machines or places.
    pub count: u32,
    /// When it runs.
    pub calendar: CalendarId,
    /// People that each running machine ties up, by skill.
    pub people: Vec<(SkillId, f64)>,
    /// Money per second and machine.
    pub cost: Option<Stated>,
    /// Power while running, W.
    pub power: Option<Stated>,
    /// How it breaks down.
    pub stops: Option<Stops>,
    /// What it costs in time to go from one thing to another.
    pub changeovers: Vec<Changeover>,
    /// Attributes in which everything in one load must agree.
    pub mixes_only: Vec<String>,
    /// What it can do as a drilling machine.
    pub drilling: Option<Box<DrillingMachine>>,
    /// What it is as an oven, a freezer or a room.
    pub heat: Option<Box<Chamber>>,
    /// What it is as a moulding machine.
    pub moulding: Option<Box<MouldingMachine>>,
    /// Hazards of the place itself.
    pub hazards: Vec<HazardId>,
    /// A free note.
    pub note: Option<String>,
}

/// Breakdowns: mean time of running to a stop, mean time to repair.
#[derive(Clone, Debug)]
pub struct Stops {
    /// Mean running time between stops, s.
    pub run: Stated,
    /// Mean time to repair, s.
    pub repair: Stated,
}

impl Stops {
    /// Share of wanted time that the station runs: run / (run + repair).
    pub fn availability(&self) -> f64 {
        let (run, repair) = (self.run.mean(), self.repair.mean());
        run / (run + repair)
    }
}

/// Time and material lost when an attribute changes between two jobs.
#[derive(Clone, Debug)]
pub struct Changeover {
    /// The attribute; `product` means any change of product.
    pub on: String,
    /// Only from this value, if stated.
    pub from: Option<String>,
    /// Only to this value, if stated.
    pub to: Option<String>,
    /// Time taken, s.
    pub time: Stated,
    /// Items used up or spoiled, in base units.
    pub uses: Vec<(ItemId, Stated)>,
    /// Where it was written.
    pub at: Span,
}
