//! Measures along a temperature history: how long above, how much cure, how much kill, how much growth.
//!
//! A history is a [`crate::trace::Trace`]: cubic between samples (Hermite), nothing before its first or after
//! its last. Where it meets a value is found between brackets, to the rounding of numbers; what is
//! added up along it is integrated on each cubic to a share of 1e-10 of itself (see [`total`]).
//! Times are in s of the trace. Every measure is additive: a history cut in two gives the sum of both.

pub mod above;
pub mod crossing;
pub mod cure;
pub mod exposure;
pub mod growth;
pub mod lethality;
mod piece;
pub mod total;
