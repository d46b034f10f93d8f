//! Pictures: pure functions from plain data to SVG text.
//!
//! Each picture takes a [`Frame`] (id, title, description, width) and one plain struct, and gives
//! one `<svg>` element to stand inline in a page, in print or in a PDF. It carries a `<title>` and
//! a `<desc>`, a `viewBox`, no script and no outside reference. Colours are CSS custom properties
//! with fallbacks ([`palette`]), so a page sets light and dark by setting the properties.
//!
//! Text is laid out for `frame.width` CSS pixels: draw a picture once for each width it is read at
//! (see [`at_both_widths`]) instead of letting one drawing shrink until nobody can read it.
//! The same input gives the same bytes. Numbers that are not finite, empty lists and negative
//! amounts never panic: what cannot be drawn is left out, and a picture with nothing left says so.

mod certainty_curve;
mod cost_stack;
mod frame;
mod ink;
mod interval_dots;
mod lettering;
mod line_balance;
mod load_bars;
mod mass_flow;
pub mod palette;
mod route_map;
mod scale;
mod tornado;
mod week_strip;

pub use certainty_curve::{CertaintyCurve, CertaintyMark, certainty_curve};
pub use cost_stack::{CostColumn, CostStack, cost_stack};
pub use frame::{Frame, PAGE, PHONE, at_both_widths};
pub use interval_dots::{IntervalDots, IntervalRow, interval_dots};
pub use line_balance::{BalanceStation, LineBalance, line_balance};
pub use load_bars::{LoadBars, LoadKind, LoadRow, load_bars};
pub use mass_flow::{MassFlow, Outlet, OutletKind, Stream, mass_flow};
pub use route_map::{Direction, Edge, EdgeKind, Node, NodeKind, RouteMap, route_map};
pub use tornado::{Tornado, TornadoBar, tornado};
pub use week_strip::{WeekRow, WeekStrip, week_strip};
