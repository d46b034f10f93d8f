//! From a works to the engines and back: figures with reasons.

pub mod figure;
pub mod flow;
pub mod material;
pub mod reason;
pub mod start;
#[cfg(test)]
mod testing;

pub use figure::{Figure, Figures, NoSuchFigure};
pub use reason::{Ledger, NodeId};
