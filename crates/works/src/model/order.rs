//! The order book, what is on hand, and what was measured.

use std::collections::BTreeMap;

use jiff::civil::{Date, DateTime};

use super::{ItemId, OperationId, Stated};
use crate::source::Span;

/// One line of the order book.
#[derive(Clone, Debug)]
pub struct Order {
    /// Its number.
    pub number: String,
    /// What is wanted.
    pub item: ItemId,
    /// How much, in base units.
    pub quantity: Stated,
    /// When it must leave.
    pub due: Date,
    /// The earliest day it may be started.
    pub release: Option<Date>,
    /// For whom.
    pub customer: Option<String>,
    /// Weight of being late; 1 where nothing is said.
    pub priority: f64,
    /// What the order says beyond the item (colour, size …), for changeovers and families.
    pub attributes: BTreeMap<String, String>,
    /// Where it was written.
    pub at: Span,
}

/// An amount on hand.
#[derive(Clone, Debug)]
pub struct Stock {
    /// Of what.
    pub item: ItemId,
    /// How much, in base units.
    pub amount: Stated,
    /// Its lot, if it has one.
    pub lot: Option<String>,
    /// When it came in.
    pub received: Option<Date>,
    /// Other columns as they stand.
    pub more: BTreeMap<String, String>,
    /// Where it was written.
    pub at: Span,
}

/// What one reading is a measurement of.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ReadingOf {
    /// Time for one unit at an operation, s.
    Pace(OperationId),
    /// Pieces good out of pieces made, at an operation.
    Good(OperationId),
    /// Share of the measure kept at an operation.
    Keeps(OperationId),
    /// Units out for one recipe of the operation (blanks from a plank).
    Makes(OperationId),
    /// Time between runs and stops of a station: running time to a stop, s.
    Run(super::StationId),
    /// Time to repair at a station, s.
    Repair(super::StationId),
    /// Mass of one unit of an item, kg.
    Mass(ItemId),
    /// A named characteristic that an operation checks.
    Check(OperationId, String),
}

/// One measurement.
#[derive(Clone, Debug)]
pub struct Reading {
    /// Of what.
    pub of: ReadingOf,
    /// The value in base units; for [`ReadingOf::Good`] the number of good pieces.
    pub value: f64,
    /// For [`ReadingOf::Good`], pieces made.
    pub out_of: Option<f64>,
    /// When it was taken.
    pub when: Option<DateTime>,
    /// The lot it belongs to.
    pub lot: Option<String>,
    /// Where it was written.
    pub at: Span,
}
