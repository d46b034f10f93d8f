//! Distributions, random streams, fits and estimates with intervals.
//!
//! Everything here is the same on every machine: the elementary functions are `libm`'s, random
//! numbers come from named streams, and nothing reads a clock.

pub mod beta_binomial;
pub mod between;
pub mod binomial;
pub mod distribution;
pub mod error;
pub mod estimate;
pub mod fit;
mod lot_likelihood;
pub mod lot_yield;
mod search;
pub mod special;
pub mod stream;

pub use beta_binomial::BetaBinomial;
pub use between::{Between, between};
pub use distribution::Distribution;
pub use error::ChanceError;
pub use estimate::Estimate;
pub use fit::{Family, Fit};
pub use lot_yield::{LotYield, lot_yield};
pub use stream::{EvenPoints, Lattice, Stream};
