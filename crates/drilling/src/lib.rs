//! Engines for hole patterns, the order and time of drilling, fill counts and machine programs.
//!
//! Plain numbers in, plain answers out: no works, files, clocks or units in here. Lengths are metres, times
//! are seconds, angles are radians unless a name says otherwise. Every answer has a checker of its own.

pub mod export;
pub mod fill;
pub mod motion;
pub mod outline;
pub mod pattern;
pub mod tour;
mod words;
