//! Engines for schedules: what runs when, on shared machines, with set-ups, ovens, crews, calendars and waits.
//!
//! Plain numbers in, plain answers out: no works, files, clocks or units in here. Times are whole ticks from the
//! beginning of the horizon, so that sums are exact. Every schedule has an independent checker that re-derives the rules
//! from the problem alone; every search counts its own steps (`effort`) and is the same for a seed.
//!
//! A reader may begin with [`problem`] (what a works asks), then [`calendar`] (when things are open), [`build`] (one
//! schedule from an order of work), [`improve`] (the search for a better one), [`check`] and [`answer`].

pub mod answer;
pub mod build;
pub mod calendar;
pub mod check;
pub mod improve;
pub mod problem;
