//! Still air: what moves only because it is warmer or colder than the rest.

use serde::Serialize;

use super::{Coefficient, Fluid};
use crate::fault::{Fault, positive};

/// m/s², as textbooks round it.
const GRAVITY: f64 = 9.81;

/// A surface in still air.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Natural {
    /// An upright plate; its length is its height.
    Upright,
    /// Hot face up or cold face down: the layer gets away. Its length is area / rim.
    Free,
    /// Hot face down or cold face up: the layer is held. Its length is area / rim.
    Held,
    /// A lying cylinder; its length is its diameter.
    Cylinder,
    /// A sphere; its length is its diameter.
    Sphere,
}

/// Rayleigh number of a gas: `g |ΔT| length³ / (T viscosity diffusivity)`, expansion as of an ideal gas at
/// `film_k`, the mean of surface and air.
pub fn rayleigh(
    surface_k: f64,
    air_k: f64,
    length_m: f64,
    film_k: f64,
    fluid: &Fluid,
) -> Result<f64, Fault> {
    positive("absolute temperature", surface_k)?;
    positive("absolute temperature", air_k)?;
    positive("absolute temperature", film_k)?;
    positive("length", length_m)?;
    fluid.check()?;
    let diffusivity = fluid.viscosity_m2_s / fluid.prandtl;
    let cube = length_m * length_m * length_m;
    Ok(GRAVITY * (surface_k - air_k).abs() * cube / (film_k * fluid.viscosity_m2_s * diffusivity))
}

/// The coefficient for a Rayleigh number; length and fluid as for [`rayleigh`].
pub fn natural(
    surface: Natural,
    rayleigh: f64,
    length_m: f64,
    fluid: &Fluid,
) -> Result<Coefficient, Fault> {
    positive("difference of surface and air", rayleigh)?;
    positive("length", length_m)?;
    fluid.check()?;
    let pr = fluid.prandtl;
    let (nusselt, within, source) = match surface {
        Natural::Upright => (
            squared(0.825, rayleigh, 0.492 / pr),
            rayleigh <= 1e12,
            "upright plate: Churchill & Chu 1975; Ra up to 1e12",
        ),
        Natural::Cylinder => (
            squared(0.60, rayleigh, 0.559 / pr),
            rayleigh <= 1e12,
            "lying cylinder: Churchill & Chu 1975; Ra up to 1e12",
        ),
        Natural::Free if rayleigh <= 1e7 => (
            0.54 * fourth_root(rayleigh),
            rayleigh >= 1e4,
            "hot face up or cold face down: McAdams 1954, length after Lloyd & Moran 1974; Ra 1e4 to 1e7",
        ),
        Natural::Free => (
            0.15 * libm::cbrt(rayleigh),
            rayleigh <= 1e11,
            "hot face up or cold face down: Lloyd & Moran 1974; Ra 1e7 to 1e11",
        ),
        Natural::Held => (
            0.27 * fourth_root(rayleigh),
            (1e5..=1e10).contains(&rayleigh),
            "hot face down or cold face up: McAdams 1954, length after Lloyd & Moran 1974; Ra 1e5 to 1e10",
        ),
        Natural::Sphere => (
            2.0 + 0.589 * fourth_root(rayleigh) / libm::pow(spread(0.469 / pr), 4.0 / 9.0),
            rayleigh <= 1e11 && pr >= 0.7,
            "sphere: Churchill 1983; Ra up to 1e11, Pr 0.7 or more",
        ),
    };
    Ok(Coefficient::new(
        rayleigh, nusselt, fluid, length_m, within, source,
    ))
}

fn fourth_root(x: f64) -> f64 {
    x.sqrt().sqrt()
}

fn spread(ratio: f64) -> f64 {
    1.0 + libm::pow(ratio, 9.0 / 16.0)
}

/// The form of Churchill & Chu: `(a + 0.387 Ra^⅙ / [1 + (c/Pr)^(9/16)]^(8/27))²`.
fn squared(a: f64, rayleigh: f64, ratio: f64) -> f64 {
    let root = a + 0.387 * libm::pow(rayleigh, 1.0 / 6.0) / libm::pow(spread(ratio), 8.0 / 27.0);
    root * root
}
