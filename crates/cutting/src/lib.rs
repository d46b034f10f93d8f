//! Engines for cutting plans: boards with faults, bars, strip and reels, sheets, frames folded from strip.
//!
//! Plain numbers in, plain answers out: no works, files, clocks or units in here. Every plan has an
//! independent checker beside its solver that re-derives the rules from the problem alone.

pub mod bars;
pub mod boards;
pub mod frame;
pub mod linear;
pub mod sheets;
