//! A body so thick that its other side does not matter yet: step, constant flux, convection.
//!
//! Carslaw & Jaeger 1959, sections 2.4 to 2.9 (memory); Incropera & DeWitt, semi-infinite solid (memory). Good as
//! long as the warm layer, some 4 √(diffusivity × time), is thinner than the body.

use super::root;
use super::scaled::erfcx;
use crate::fault::{Fault, positive, within};

const ROOT_PI: f64 = 1.772_453_850_905_516;

/// How far the temperature has come at a depth after the surface jumped and is held: `erfc(depth / 2√(a t))`.
/// Depth in m, time in s, diffusivity in m²/s.
pub fn step_share(depth_m: f64, time_s: f64, diffusivity_m2_s: f64) -> Result<f64, Fault> {
    Ok(libm::erfc(
        0.5 * reduced(depth_m, time_s, diffusivity_m2_s)?,
    ))
}

/// The depth at which the temperature has come so far, m; share above 0 and at most 1.
pub fn step_depth_m(share: f64, time_s: f64, diffusivity_m2_s: f64) -> Result<f64, Fault> {
    positive("time", time_s)?;
    positive("diffusivity", diffusivity_m2_s)?;
    within("share of the step", share, f64::MIN_POSITIVE, 1.0)?;
    // erfc(26.6) is the least number there is.
    let eta = root::between(|eta| libm::erfc(eta) - share, 0.0, 26.6);
    Ok(2.0 * eta * (diffusivity_m2_s * time_s).sqrt())
}

/// Heat flux through the surface after a step of the surface temperature, W/m²: `k ΔT / √(π a t)`.
pub fn step_flux_w_m2(
    step_k: f64,
    time_s: f64,
    conductivity_w_m_k: f64,
    diffusivity_m2_s: f64,
) -> Result<f64, Fault> {
    positive("time", time_s)?;
    positive("conductivity", conductivity_w_m_k)?;
    positive("diffusivity", diffusivity_m2_s)?;
    Ok(conductivity_w_m_k * step_k / (ROOT_PI * (diffusivity_m2_s * time_s).sqrt()))
}

/// Rise of temperature at a depth under a constant flux into the surface, K.
pub fn flux_rise_k(
    depth_m: f64,
    time_s: f64,
    flux_w_m2: f64,
    conductivity_w_m_k: f64,
    diffusivity_m2_s: f64,
) -> Result<f64, Fault> {
    let x = 0.5 * reduced(depth_m, time_s, diffusivity_m2_s)?;
    positive("conductivity", conductivity_w_m_k)?;
    let reach = 2.0 * (diffusivity_m2_s * time_s).sqrt();
    // exp(−x²) [1/√π − x erfcx(x)] keeps its digits where exp(−x²)/√π and x erfc(x) nearly cancel in size.
    let share = libm::exp(-x * x) * (1.0 / ROOT_PI - x * erfcx(x));
    Ok(flux_w_m2 * reach / conductivity_w_m_k * share)
}

/// How far the temperature has come at a depth when air takes and gives heat at the surface.
pub fn convection(
    depth_m: f64,
    time_s: f64,
    coefficient_w_m2_k: f64,
    conductivity_w_m_k: f64,
    diffusivity_m2_s: f64,
) -> Result<f64, Fault> {
    let x = reduced(depth_m, time_s, diffusivity_m2_s)?;
    positive("conductivity", conductivity_w_m_k)?;
    within(
        "coefficient of heat transfer",
        coefficient_w_m2_k,
        0.0,
        f64::INFINITY,
    )?;
    let reach = (diffusivity_m2_s * time_s).sqrt();
    Ok(convection_share(
        x,
        coefficient_w_m2_k * reach / conductivity_w_m_k,
    ))
}

/// `erfc(x/2) − exp(h x + h²) erfc(x/2 + h)` with depth x and coefficient h both over √(a t).
///
/// The product is `exp(−x²/4) × scaled erfc`, since the exponential alone runs out of range long before it.
pub(crate) fn convection_share(x: f64, h: f64) -> f64 {
    let half = 0.5 * x;
    libm::erfc(half) - libm::exp(-half * half) * erfcx(half + h)
}

/// Depth over √(a t).
fn reduced(depth_m: f64, time_s: f64, diffusivity_m2_s: f64) -> Result<f64, Fault> {
    within("depth", depth_m, 0.0, f64::MAX)?;
    positive("time", time_s)?;
    positive("diffusivity", diffusivity_m2_s)?;
    Ok(depth_m / (diffusivity_m2_s * time_s).sqrt())
}
