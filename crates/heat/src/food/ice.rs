//! How much of a food's water is ice at a temperature.

use serde::Serialize;

/// A model of the ice in a food.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum Ice {
    /// `(water − bound) (1 − freezes / T)` with both in degC: what is left of the water is an ideal solution
    /// (Raoult), less what the protein binds and never freezes (Schwartzberg 1976; 0.4 kg per kg of protein in
    /// ASHRAE Refrigeration, memory).
    Ideal {
        /// Water that never freezes, kg per kg of protein.
        bound_kg_kg: f64,
    },
    /// `1.105 water / (1 + 0.7138 / ln(freezes − T + 1))`, Tchigeov 1979 as in ASHRAE Refrigeration (memory). For
    /// −45 degC up to the freezing point; never more than the water there is.
    Tchigeov,
}

impl Default for Ice {
    fn default() -> Self {
        Self::Ideal { bound_kg_kg: 0.4 }
    }
}

impl Ice {
    /// Ice, kg per kg of food.
    pub fn share(self, water: f64, protein: f64, freezes_c: f64, celsius: f64) -> f64 {
        if celsius >= freezes_c {
            return 0.0;
        }
        match self {
            Self::Ideal { bound_kg_kg } => {
                (water - bound_kg_kg * protein).max(0.0) * (1.0 - freezes_c / celsius)
            }
            Self::Tchigeov => {
                let log = libm::log(freezes_c - celsius + 1.0);
                (1.105 * water * log / (log + 0.7138)).min(water)
            }
        }
    }
}
