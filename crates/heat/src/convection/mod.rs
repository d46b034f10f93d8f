//! Coefficients of heat transfer from correlations of the literature.
//!
//! Each answer says what it was made of and whether the correlation was meant for it. Correlations are good to some
//! 20 to 25 % in a laboratory (Incropera & DeWitt, memory); pieces on belts, racks and pallets shade each other, so
//! that a coefficient fitted to a measured log beats any of them.

mod air;
mod cover;
mod forced;
mod natural;
mod setting;
mod usual;

pub use air::{Fluid, air};
pub use cover::{radiation, through_cover};
pub use forced::{churchill_bernstein, flat_plate, hilpert, whitaker, zukauskas};
pub use natural::{Natural, natural, rayleigh};
pub use setting::{Streamed, Surroundings, air_stream, still_air};
pub use usual::{USUAL, Usual};

use serde::Serialize;

/// A coefficient and how it came about.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Coefficient {
    /// W/(m² K).
    pub coefficient_w_m2_k: f64,
    /// Reynolds number of forced flow, Rayleigh number of natural convection.
    pub number: f64,
    /// Nusselt number.
    pub nusselt: f64,
    /// Whether all numbers are inside the range the correlation was stated for.
    pub within: bool,
    /// The correlation, with its range.
    pub source: &'static str,
}

impl Coefficient {
    fn new(
        number: f64,
        nusselt: f64,
        fluid: &Fluid,
        length_m: f64,
        within: bool,
        source: &'static str,
    ) -> Self {
        Self {
            coefficient_w_m2_k: nusselt * fluid.conductivity_w_m_k / length_m,
            number,
            nusselt,
            within,
            source,
        }
    }
}
