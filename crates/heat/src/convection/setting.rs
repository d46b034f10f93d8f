//! From the setting to the coefficient: the air's properties and the right correlation together.

use serde::Serialize;

use super::{
    Coefficient, Natural, air, churchill_bernstein, flat_plate, natural, rayleigh, whitaker,
};
use crate::fault::Fault;

/// A piece in an air stream.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Streamed {
    /// A plate the air goes along; its length is along the stream.
    Plate,
    /// A round piece across the stream; its length is the diameter.
    Cylinder,
    /// A ball; its length is the diameter.
    Sphere,
}

/// Surface and air, K, and the pressure, Pa (101 325 at the sea).
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Surroundings {
    /// The piece's surface, K.
    pub surface_k: f64,
    /// The air, K.
    pub air_k: f64,
    /// Pa.
    pub pressure_pa: f64,
}

impl Surroundings {
    fn film_k(&self) -> f64 {
        0.5 * (self.surface_k + self.air_k)
    }
}

/// In air that only the piece itself moves. The coefficient falls as the piece comes near the air's temperature, so take a
/// difference that is usual on the way.
pub fn still_air(
    surface: Natural,
    length_m: f64,
    around: Surroundings,
) -> Result<Coefficient, Fault> {
    let fluid = air(around.film_k(), around.pressure_pa)?;
    let ra = rayleigh(
        around.surface_k,
        around.air_k,
        length_m,
        around.film_k(),
        &fluid,
    )?;
    natural(surface, ra, length_m, &fluid)
}

/// In an air stream: plate, Churchill & Bernstein, Whitaker. Speed in m/s, that of the free stream before the piece.
pub fn air_stream(
    piece: Streamed,
    speed_m_s: f64,
    length_m: f64,
    around: Surroundings,
) -> Result<Coefficient, Fault> {
    let film = air(around.film_k(), around.pressure_pa)?;
    match piece {
        Streamed::Plate => flat_plate(speed_m_s, length_m, &film),
        Streamed::Cylinder => churchill_bernstein(speed_m_s, length_m, &film),
        Streamed::Sphere => {
            let stream = air(around.air_k, around.pressure_pa)?;
            let surface = air(around.surface_k, around.pressure_pa)?;
            // At one pressure the dynamic viscosity goes as the kinematic over the temperature.
            let ratio =
                stream.viscosity_m2_s / surface.viscosity_m2_s * around.surface_k / around.air_k;
            whitaker(speed_m_s, length_m, &stream, ratio)
        }
    }
}
