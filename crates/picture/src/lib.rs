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

mod bar_patterns;
mod board_cuts;
mod certainty_curve;
mod chart;
mod cost_stack;
mod dimension;
mod drill_pattern;
mod frame;
mod frame_strip;
mod heat_history;
mod ink;
mod interval_dots;
mod lettering;
mod line_balance;
mod load_bars;
mod load_pull_down;
mod loss_curve;
mod mass_flow;
pub mod palette;
mod probe_judgement;
mod profile_curves;
mod room;
mod route_map;
mod scale;
mod sheet_layouts;
mod stock;
mod tornado;
mod week_strip;
mod window_map;
mod yield_bars;

pub use bar_patterns::{BarPattern, BarPatterns, BarPiece, bar_patterns};
pub use board_cuts::{
    BoardCut, BoardCutKind, BoardCuts, BoardMark, BoardPiece, DrawnBoard, MarkFace, board_cuts,
};
pub use certainty_curve::{CertaintyCurve, CertaintyMark, certainty_curve};
pub use chart::{Axis, LimitSide};
pub use cost_stack::{CostColumn, CostStack, cost_stack};
pub use drill_pattern::{
    DrawnHole, DrillPattern, HoleSide, OutlineLoop, OutlineStep, drill_pattern,
};
pub use frame::{Frame, PAGE, PHONE, at_both_widths};
pub use frame_strip::{FoldedFrame, FrameStrip, StripDimension, StripNotch, frame_strip};
pub use heat_history::{
    HeatHistory, HeatLimit, HeatLine, HeatLineKind, HeatNeed, HeatStage, NeedKind, heat_history,
};
pub use interval_dots::{IntervalDots, IntervalRow, interval_dots};
pub use line_balance::{BalanceStation, LineBalance, line_balance};
pub use load_bars::{LoadBars, LoadKind, LoadRow, load_bars};
pub use load_pull_down::{LoadPullDown, PullDownLoad, load_pull_down};
pub use loss_curve::{LossCurve, LossPiece, LossReached, loss_curve};
pub use mass_flow::{MassFlow, Outlet, OutletKind, Stream, mass_flow};
pub use probe_judgement::{ProbeJudgement, ProbeRow, probe_judgement};
pub use profile_curves::{ProfileCurve, ProfileCurves, ProfileLevel, ProfilePiece, profile_curves};
pub use route_map::{Direction, Edge, EdgeKind, Node, NodeKind, RouteMap, route_map};
pub use sheet_layouts::{Grain, SheetCut, SheetLayout, SheetLayouts, SheetPiece, sheet_layouts};
pub use stock::{PieceKind, ScaleBar};
pub use tornado::{Tornado, TornadoBar, tornado};
pub use week_strip::{WeekRow, WeekStrip, week_strip};
pub use window_map::{DwellEdge, WindowMap, WindowRow, WindowSetting, window_map};
pub use yield_bars::{YieldBars, YieldMark, YieldRow, yield_bars};
