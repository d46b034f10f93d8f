//! Properties of a food's components along temperature: Choi & Okos 1986.
//!
//! Polynomials in degC from −40 to 150. Coefficients as printed in ASHRAE Refrigeration 2006, chapter 9, and in the
//! food fluids of CoolProp (both read). Two traps: the constant of liquid water's heat capacity is 4.1289 there and
//! 4.1762 kJ/(kg K) in printings after Choi & Okos themselves (read in Ibarz); the slope of fat's conductivity is
//! negative, though a printing has lost its sign. Here it is 4.1289, which joins without a step to the polynomial
//! below 0 degC; real water has 4.18 at 20 degC, so that heat of cooling wet food is 1 % low.

use serde::Serialize;

/// What foods are made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum Component {
    /// Liquid, also below 0 degC.
    Water,
    /// Frozen.
    Ice,
    /// Protein.
    Protein,
    /// Fat.
    Fat,
    /// Sugars and starch, without fibre.
    Carbohydrate,
    /// Fibre.
    Fibre,
    /// Minerals, salt among them.
    Ash,
}

/// Properties at a temperature.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Properties {
    /// kg/m³.
    pub density_kg_m3: f64,
    /// J/(kg K).
    pub heat_capacity_j_kg_k: f64,
    /// W/(m K).
    pub conductivity_w_m_k: f64,
    /// J/kg above the liquid or solid at 0 degC; ice counts from liquid water, so that it is below zero.
    pub enthalpy_j_kg: f64,
}

/// Heat of melting of ice at 0 degC, J/kg (CRC Handbook, memory; 333.22 and 335 are printed as well).
pub(crate) const MELTING_J_KG: f64 = 333.6e3;

type Powers = [f64; 3];

impl Component {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::Water,
        Self::Ice,
        Self::Protein,
        Self::Fat,
        Self::Carbohydrate,
        Self::Fibre,
        Self::Ash,
    ];

    /// At a temperature, K. Beyond −40 and 150 degC the values at these ends hold, enthalpy going on straight.
    pub fn at(self, temperature_k: f64) -> Properties {
        let celsius = temperature_k - crate::ICE_POINT_K;
        let t = celsius.clamp(LOWEST_C, HIGHEST_C);
        let (conductivity, density, capacity) = self.powers(t < 0.0);
        let heat_capacity_j_kg_k = polynomial(capacity, t);
        let melted = if self == Self::Ice { MELTING_J_KG } else { 0.0 };
        Properties {
            density_kg_m3: polynomial(density, t),
            heat_capacity_j_kg_k,
            conductivity_w_m_k: polynomial(conductivity, t),
            enthalpy_j_kg: integral(capacity, t) + heat_capacity_j_kg_k * (celsius - t) - melted,
        }
    }

    /// Conductivity, density and heat capacity (in J) as polynomials of degC.
    #[rustfmt::skip]
    fn powers(self, below_zero: bool) -> (Powers, Powers, Powers) {
        match self {
            Self::Water if below_zero => (
                [0.57109, 1.7625e-3, -6.7036e-6], [997.18, 3.1439e-3, -3.7574e-3], [4128.9, -5.3062, 0.99516],
            ),
            Self::Water => (
                [0.57109, 1.7625e-3, -6.7036e-6], [997.18, 3.1439e-3, -3.7574e-3], [4128.9, -0.090_864, 5.4731e-3],
            ),
            Self::Ice => (
                [2.2196, -6.2489e-3, 1.0154e-4], [916.89, -0.13071, 0.0], [2062.3, 6.0769, 0.0],
            ),
            Self::Protein => (
                [0.17881, 1.1958e-3, -2.7178e-6], [1329.9, -0.5184, 0.0], [2008.2, 1.2089, -1.3129e-3],
            ),
            Self::Fat => (
                [0.18071, -2.7604e-4, -1.7749e-7], [925.59, -0.41757, 0.0], [1984.2, 1.4733, -4.8008e-3],
            ),
            Self::Carbohydrate => (
                [0.20141, 1.3874e-3, -4.3312e-6], [1599.1, -0.31046, 0.0], [1548.8, 1.9625, -5.9399e-3],
            ),
            Self::Fibre => (
                [0.18331, 1.2497e-3, -3.1683e-6], [1311.5, -0.36589, 0.0], [1845.9, 1.8306, -4.6509e-3],
            ),
            Self::Ash => (
                [0.32962, 1.4011e-3, -2.9069e-6], [2423.8, -0.28063, 0.0], [1092.6, 1.8896, -3.6817e-3],
            ),
        }
    }
}

/// The range of the polynomials, degC.
pub(crate) const LOWEST_C: f64 = -40.0;
pub(crate) const HIGHEST_C: f64 = 150.0;

fn polynomial(c: Powers, t: f64) -> f64 {
    c[0] + t * (c[1] + t * c[2])
}

/// From 0 to t.
fn integral(c: Powers, t: f64) -> f64 {
    t * (c[0] + t * (0.5 * c[1] + t * c[2] / 3.0))
}
