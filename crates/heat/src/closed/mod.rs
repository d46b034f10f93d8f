//! Closed forms: what can be written down without stepping through time, for quick answers and to hold the solver
//! against.
//!
//! Properties are constant here and surroundings jump once. What changes with temperature or time is the solver's.

pub mod freezing;
pub mod front;
pub mod half_space;
pub mod lumped;
pub mod series;

mod complex;
mod eigen;
mod root;
mod scaled;
mod short;
