//! Engines for material, load, queues, crews and line balancing.
//!
//! Every engine here takes plain structs and returns plain structs. None knows of works, files,
//! clocks or units: the caller has already turned everything into one unit per quantity.

pub mod cost;
pub mod crew;
pub mod line;
pub mod linear;
pub mod load;
pub mod network;
pub mod queue;
pub mod start;
pub mod startup;
