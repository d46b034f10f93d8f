//! What lies over a surface, and what a surface radiates.

use crate::STEFAN_BOLTZMANN;
use crate::fault::{Fault, positive, within};

/// The coefficient that is left behind a cover (film, carton, air gap) of a thermal resistance, m² K/W: thickness /
/// conductivity, summed over what lies on top of each other. An air gap of 1 mm is about 0.04.
pub fn through_cover(coefficient_w_m2_k: f64, resists_m2_k_w: f64) -> Result<f64, Fault> {
    positive("coefficient of heat transfer", coefficient_w_m2_k)?;
    within("thermal resistance", resists_m2_k_w, 0.0, f64::MAX)?;
    Ok(1.0 / (1.0 / coefficient_w_m2_k + resists_m2_k_w))
}

/// Radiation as a coefficient, W/(m² K): exact at these two temperatures, `e σ (T1² + T2²) (T1 + T2)`. For a small
/// piece in a large room of its own.
pub fn radiation(emissivity: f64, surface_k: f64, walls_k: f64) -> Result<f64, Fault> {
    within("emissivity", emissivity, 0.0, 1.0)?;
    positive("absolute temperature", surface_k)?;
    positive("absolute temperature", walls_k)?;
    let squares = surface_k * surface_k + walls_k * walls_k;
    Ok(emissivity * STEFAN_BOLTZMANN * squares * (surface_k + walls_k))
}
