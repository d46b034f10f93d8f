//! The ends of what was stated as a spread: what the slowest and the fastest piece are made of.

use quantity::Spread;
use works::{Level, Operation, Stated};

/// A normal spread is taken as far as this many standard deviations: 95 of 100 pieces lie between.
const DEVIATIONS: f64 = 1.96;

/// The least and the most of a stated number: its bounds, or where it is normal the ends between which 95 of 100 lie.
pub(crate) fn ends(stated: &Stated) -> (f64, f64) {
    match stated.spread {
        Spread::Exact(value) => (value, value),
        Spread::Range { low, high } | Spread::Triple { low, high, .. } => (low, high),
        Spread::Normal { mean, sd } => (mean - DEVIATIONS * sd, mean + DEVIATIONS * sd),
    }
}

/// The end that makes a piece slow or fast: the high one for what hinders (thickness), the low one for what helps.
pub(crate) fn end(stated: &Stated, high: bool) -> f64 {
    let (low, most) = ends(stated);
    if high { most } else { low }
}

/// The ends of a level as it is met: its aim with what the setting may be off to either side.
pub(crate) fn level_ends(operation: &Operation, level: &Level) -> (f64, f64) {
    let (low, high) = ends(level.aim(operation));
    let within = level
        .setting(operation)
        .and_then(|setting| setting.within.as_ref())
        .map_or(0.0, Stated::mean);
    (low - within, high + within)
}
