//! The two periods of drying of the books: rate set by the air, then by diffusion inside.

use serde::Serialize;

use crate::fault::{Fault, positive, within};
use crate::mass::diffusion::{Shape, time_for_uptake_s};

/// Time of the constant-rate period, s: dry mass per area, kg/m², times the fall of moisture (kg/kg dry) over the rate,
/// kg/(m² s) (Geankoplis, section 9.6).
pub fn constant_rate_s(
    dry_kg_m2: f64,
    from_moisture: f64,
    to_moisture: f64,
    rate_kg_m2_s: f64,
) -> Result<f64, Fault> {
    positive("dry mass per area", dry_kg_m2)?;
    positive("drying rate", rate_kg_m2_s)?;
    within("moisture at the beginning", from_moisture, 0.0, f64::MAX)?;
    within("moisture at the end", to_moisture, 0.0, from_moisture)?;
    Ok(dry_kg_m2 * (from_moisture - to_moisture) / rate_kg_m2_s)
}

/// Rate of the constant-rate period, kg/(m² s): heat from the air to a surface at the wet bulb, no
/// radiation or conduction from below (Geankoplis, section 9.6); water's heat of evaporation there,
/// `2501 - 2.361 Twb` kJ/kg with Twb in degC (straight line through steam-table values, from memory).
pub fn constant_rate_kg_m2_s(
    coefficient_w_m2_k: f64,
    dry_bulb_k: f64,
    wet_bulb_k: f64,
) -> Result<f64, Fault> {
    positive("coefficient of heat transfer", coefficient_w_m2_k)?;
    within("wet bulb", wet_bulb_k, crate::ICE_POINT_K, 373.15)?;
    within("dry bulb", dry_bulb_k, wet_bulb_k, 1000.0)?;
    let latent = 1000.0 * (2501.0 - 2.361 * (wet_bulb_k - crate::ICE_POINT_K));
    Ok(coefficient_w_m2_k * (dry_bulb_k - wet_bulb_k) / latent)
}

/// A piece in the falling-rate period, where diffusion inside governs.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FallingRate {
    /// Form.
    pub shape: Shape,
    /// Half thickness of a plate dried on both faces, or radius, m.
    pub l_m: f64,
    /// Diffusivity of moisture, m²/s.
    pub diffusivity_m2_s: f64,
    /// Moisture, kg/kg dry, when diffusion begins to govern, even throughout.
    pub from_moisture: f64,
    /// Moisture in balance with the air, kg/kg dry.
    pub end_moisture: f64,
}

/// Time of the falling-rate period down to a mean moisture, s (Geankoplis, section 9.9).
pub fn falling_rate_s(piece: &FallingRate, to_moisture: f64) -> Result<f64, Fault> {
    within(
        "moisture at the beginning",
        piece.from_moisture,
        piece.end_moisture,
        f64::MAX,
    )?;
    within(
        "moisture at the end",
        to_moisture,
        piece.end_moisture,
        piece.from_moisture,
    )?;
    let share = (piece.from_moisture - to_moisture) / (piece.from_moisture - piece.end_moisture);
    time_for_uptake_s(piece.shape, piece.l_m, piece.diffusivity_m2_s, share)
}
