//! From a works to the engines and back: figures with reasons.

pub mod figure;
pub mod reason;

pub use figure::{Figure, Figures, NoSuchFigure};
pub use reason::{Ledger, NodeId};
