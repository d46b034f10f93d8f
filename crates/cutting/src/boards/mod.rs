//! Boards with marked faults: the best cuts of one board, of a pack, and of boards as they come.
//!
//! One board is a rectangle with marks on its faces; parts are rectangles with a quality and a value. Every
//! plan is a nest of cuts from edge to edge, as a saw makes them, and is held by [`check()`] against the board
//! alone. Reading order: [`board`] (what is asked), [`plan`] (what is answered), `line` (the dynamic programme
//! everything rests on), [`crosscut`], [`whole`], [`mod@bound`], then [`pack`], [`live`] and
//! [`expected`].

pub mod board;
pub mod bound;
pub mod check;
pub mod crosscut;
pub mod expected;
mod ground;
mod line;
pub mod live;
pub mod mix;
pub mod pack;
pub mod plan;
pub mod simple;
mod stages;
mod steps;
mod strip;
mod views;
pub mod whole;

pub use board::{Board, BoardFault, Face, Mark, Part, Quality, Saw, Severity, Span};
pub use bound::upper_bound;
pub use check::{PlanFault, check};
pub use crosscut::{Crosscutter, best_crosscut};
pub use live::{LiveRun, LiveSaw, run_live};
pub use mix::{Mix, mix};
pub use pack::{BoardCut, Pack, PackFault, PackPlan, check_pack, cut_pack};
pub use plan::{BoardPlan, Order, Placed, Section, Strip};
pub use simple::{left_to_right, rip_and_left_to_right};
pub use whole::{Answer, Orders, Wish, best_plans};
