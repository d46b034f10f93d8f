//! From a works to the engines and back: figures with reasons.

pub mod checks;
pub mod computed;
pub mod cost;
pub mod cutting;

pub mod drilling;
pub mod figure;
pub mod flow;
pub mod heat;
pub mod horizon;
pub mod load;
pub mod material;
pub mod measured;
pub mod moisture;
pub mod moulding;
pub mod plan;
pub mod reason;
mod shapes;
pub mod start;
#[cfg(test)]
mod testing;

pub use figure::{Figure, Figures, NoSuchFigure};
pub use horizon::Horizon;
pub use plan::{NoPlan, Options, Plan, Stage, check, plan};
pub use reason::{Ledger, NodeId};
