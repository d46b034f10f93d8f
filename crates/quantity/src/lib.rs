//! Quantities with units as people write them.
//!
//! `"14 m/min"`, `"12..18 s"`, `"12 / 14 / 19 s"`, `"14 s +- 2 s"`, `"5 ft 6 in"`, `"£12.50/kg"`,
//! `"96 %"`: [`read()`] turns such a text into a [`Written`], a number or spread in coherent base
//! units (m, kg, s, K, A, mol, cd, one of each currency and each named count) with the unit it was
//! written in. What can't be read gives a [`Fault`] with the place, both sides and a repair.
//!
//! ```
//! use quantity::{read, Dimension, Expect, Units};
//! let units = Units::standard();
//! let speed = Dimension::LENGTH.over(&Dimension::TIME);
//! let belt = read("15 m/min", &units, Expect::Dimension(&speed))?;
//! assert_eq!(belt.mean(), 0.25); // metres per second
//! let fault = read("15 min/m", &units, Expect::Dimension(&speed)).unwrap_err();
//! assert_eq!(fault.kind.code(), "wrong-dimension");
//! # Ok::<(), quantity::Fault>(())
//! ```
//!
//! # Conventions
//! - Everything after `/` or `per` up to the next `/` divides: `W/m2.K` and `W/m2 K` are
//!   W/(m² K), as written on the page. (UCUM reads strictly left to right; write brackets if in doubt.)
//! - A temperature alone on its scale (`190 degC`) is absolute; inside a compound unit
//!   (`J/kg/degC`), as the spread of a temperature, and where a difference is expected it is a difference.
//! - A comma groups thousands and is never a decimal mark; the decimal mark is a point.
//! - Turns and radians have no dimension here; `rpm` is turns counted per time.

mod currency;
mod dimension;
mod expect;
mod fault;
mod number;
mod print;
mod read;
mod registry;
mod shape;
mod spread;
mod symbols;
mod table;
mod unit;
mod written;

pub use dimension::Dimension;
pub use expect::Expect;
pub use fault::{Fault, FaultKind};
pub use print::{show, show_hours, show_money, show_number, show_share};
pub use read::read;
pub use registry::{Units, UnitsFault};
pub use spread::Spread;
pub use unit::Unit;
pub use written::Written;
