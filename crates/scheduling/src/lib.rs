//! Engines for schedules: what runs when, on shared machines, with set-ups, ovens, crews, calendars and waits.
//!
//! Plain numbers in, plain answers out: no works, files, clocks or units in here. Times are whole ticks from the
//! beginning of the horizon, so that sums are exact. Every schedule has an independent checker that re-derives the rules
//! from the problem alone; every search counts its own steps (`effort`) and is the same for a seed.
