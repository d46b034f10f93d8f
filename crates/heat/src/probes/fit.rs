//! The coefficient of heat transfer that makes the engine's piece follow a measured one.

use std::ops::Range;

use serde::Serialize;

use super::Probe;
use crate::fault::Fault;
use crate::need::Place;
use crate::programme::{Face, Programme, Ramp, Stage};
use crate::run::{Accuracy, Case};

/// Coefficients looked at, W/(m² K): from still air with no help to boiling water.
const LOW: f64 = 0.5;
const HIGH: f64 = 20_000.0;

/// Places looked at along the logarithm before the best is halved in on.
const LOOKS: usize = 41;

/// Points to which a measured air is thinned: each is a stage of its own.
const AIR_POINTS: usize = 160;

/// Moments at which computed and measured temperatures are compared.
const MOMENTS: usize = 200;

/// A fitted coefficient.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FittedCoefficient {
    /// W/(m² K).
    pub coefficient_w_m2_k: f64,
    /// Root mean square of computed less measured, K.
    pub off_k: f64,
    /// Whether the data tell: doubling or halving the coefficient makes the fit worse by a tenth at least.
    pub telling: bool,
}

/// Fits the coefficient of every open face of a case so that its temperature at a place follows the probe.
///
/// With `air`, the measured air replaces that of the programme. Least squares over evenly spaced moments; the
/// logarithm of the coefficient is searched on a grid and then by golden section (Kiefer 1953).
pub fn fit_coefficient(
    case: &Case,
    probe: &Probe,
    place: Place,
    air: Option<&Probe>,
    accuracy: &Accuracy,
) -> Result<FittedCoefficient, Fault> {
    let samples = probe.trace.samples();
    let (Some(first), Some(last)) = (samples.first(), samples.last()) else {
        return Err(Fault::Missing("reading of the probe"));
    };
    if last.time_s <= first.time_s {
        return Err(Fault::Missing("second reading of the probe"));
    }
    let base = match air {
        Some(air) => under_air(case, air, first.time_s..last.time_s)?,
        None => case.clone(),
    };
    let base = Case {
        from_k: first.value,
        ..base
    };
    let lasts_s = (last.time_s - first.time_s).min(base.programme.lasts_s());
    let off = |log: f64| -> Result<f64, Fault> {
        let run = crate::follow(&with_coefficient(&base, libm::exp(log))?, accuracy)?;
        let trace = place.of(&run.history);
        let mut sum = 0.0;
        for moment in 0..MOMENTS {
            let since_s = lasts_s * moment as f64 / (MOMENTS - 1) as f64;
            let computed = trace.at(since_s).unwrap_or(f64::NAN);
            let measured = probe.trace.at(first.time_s + since_s).unwrap_or(f64::NAN);
            sum += (computed - measured) * (computed - measured);
        }
        Ok((sum / MOMENTS as f64).sqrt())
    };
    let (log, off_k) = least(libm::log(LOW), libm::log(HIGH), off)?;
    let worse = |factor: f64| -> Result<bool, Fault> {
        Ok(off(log + libm::log(factor))? > 1.1 * off_k + 1e-9)
    };
    Ok(FittedCoefficient {
        coefficient_w_m2_k: libm::exp(log),
        off_k,
        telling: worse(0.5)? && worse(2.0)?,
    })
}

/// The least of a function: a grid, then golden section around its best point. Returns place and value.
fn least(low: f64, high: f64, of: impl Fn(f64) -> Result<f64, Fault>) -> Result<(f64, f64), Fault> {
    let step = (high - low) / (LOOKS - 1) as f64;
    let mut best = (low, f64::INFINITY);
    for look in 0..LOOKS {
        let at = low + step * look as f64;
        let value = of(at)?;
        if value < best.1 {
            best = (at, value);
        }
    }
    let shrink = 0.5 * (5.0_f64.sqrt() - 1.0);
    let (mut a, mut b) = ((best.0 - step).max(low), (best.0 + step).min(high));
    let (mut c, mut d) = (b - shrink * (b - a), a + shrink * (b - a));
    let (mut at_c, mut at_d) = (of(c)?, of(d)?);
    while b - a > 1e-5 {
        if at_c < at_d {
            (b, d, at_d) = (d, c, at_c);
            c = b - shrink * (b - a);
            at_c = of(c)?;
        } else {
            (a, c, at_c) = (c, d, at_d);
            d = a + shrink * (b - a);
            at_d = of(d)?;
        }
    }
    Ok(if at_c < at_d { (c, at_c) } else { (d, at_d) })
}

/// The case with this coefficient on every open face.
fn with_coefficient(case: &Case, coefficient: f64) -> Result<Case, Fault> {
    let set = |face: Face| match face {
        Face::Open {
            air,
            walls,
            emissivity,
            ..
        } => Face::Open {
            air,
            walls,
            coefficient_w_m2_k: coefficient,
            emissivity,
        },
        other => other,
    };
    let stages = case.programme.stages().iter().map(|stage| Stage {
        lasts_s: stage.lasts_s,
        first: set(stage.first),
        last: set(stage.last),
    });
    Ok(Case {
        programme: Programme::new(stages.collect())?,
        ..case.clone()
    })
}

/// The case in the measured air over a time, with faces as in its first stage.
fn under_air(case: &Case, air: &Probe, over_s: Range<f64>) -> Result<Case, Fault> {
    let stage = case.programme.stages()[0];
    let samples = air.trace.samples();
    let last_s = samples
        .last()
        .map(|last| last.time_s.min(over_s.end))
        .filter(|last_s| *last_s > over_s.start)
        .ok_or(Fault::Missing(
            "reading of the air while the probe was read",
        ))?;
    let span = last_s - over_s.start;
    let pieces = AIR_POINTS.min(samples.len());
    let reading = |point: usize| {
        let time_s = over_s.start + span * point as f64 / pieces as f64;
        air.trace.at(time_s).unwrap_or(f64::NAN)
    };
    let stages = (0..pieces).map(|point| {
        let ramp = Ramp {
            from_k: reading(point),
            to_k: reading(point + 1),
        };
        let set = |face: Face| match face {
            Face::Open {
                coefficient_w_m2_k,
                emissivity,
                ..
            } => Face::Open {
                air: ramp,
                walls: ramp,
                coefficient_w_m2_k,
                emissivity,
            },
            other => other,
        };
        Stage {
            lasts_s: span / pieces as f64,
            first: set(stage.first),
            last: set(stage.last),
        }
    });
    Ok(Case {
        programme: Programme::new(stages.collect())?,
        chamber: None,
        ..case.clone()
    })
}
