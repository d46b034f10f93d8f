//! What a food is made of, and its properties with so much ice in it.

use serde::Serialize;

use super::component::{Component, Properties};
use super::ice::Ice;
use super::mixing::{self, Mixing, Part};
use crate::fault::{Fault, within};

/// Shares of the mass before freezing. They are brought to a sum of 1 when used; tables round.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Composition {
    /// Water.
    pub water: f64,
    /// Protein.
    pub protein: f64,
    /// Fat.
    pub fat: f64,
    /// Sugars and starch, without fibre.
    pub carbohydrate: f64,
    /// Fibre.
    pub fibre: f64,
    /// Minerals, salt among them.
    pub ash: f64,
}

/// Shares may be so far from a sum of 1.
const ROUNDING: f64 = 0.02;

impl Composition {
    /// With a sum of 1, or a fault if a share is impossible or the sum is off by more than 2 %.
    pub fn checked(&self) -> Result<Self, Fault> {
        for (what, share) in [
            ("share of water", self.water),
            ("share of protein", self.protein),
            ("share of fat", self.fat),
            ("share of carbohydrate", self.carbohydrate),
            ("share of fibre", self.fibre),
            ("share of ash", self.ash),
        ] {
            within(what, share, 0.0, 1.0)?;
        }
        let sum = self.water + self.protein + self.fat + self.carbohydrate + self.fibre + self.ash;
        within("sum of the shares", sum, 1.0 - ROUNDING, 1.0 + ROUNDING)?;
        Ok(Self {
            water: self.water / sum,
            protein: self.protein / sum,
            fat: self.fat / sum,
            carbohydrate: self.carbohydrate / sum,
            fibre: self.fibre / sum,
            ash: self.ash / sum,
        })
    }

    fn solids(&self) -> [(Component, f64); 5] {
        [
            (Component::Protein, self.protein),
            (Component::Fat, self.fat),
            (Component::Carbohydrate, self.carbohydrate),
            (Component::Fibre, self.fibre),
            (Component::Ash, self.ash),
        ]
    }

    /// Properties at a temperature with so much of the water frozen (kg per kg of food). Volumes and heats add up;
    /// heat capacity is that of the parts alone, without melting.
    pub fn properties(
        &self,
        temperature_k: f64,
        ice: f64,
        mixing: Mixing,
    ) -> Result<Properties, Fault> {
        let shares = self.checked()?;
        within("share of ice", ice, 0.0, shares.water)?;
        Ok(shares.mixed(temperature_k, ice, mixing))
    }

    pub(super) fn mixed(&self, temperature_k: f64, ice: f64, mixing: Mixing) -> Properties {
        let (mut volume, mut capacity, mut enthalpy) = (0.0, 0.0, 0.0);
        let mut part = |component: Component, mass: f64| {
            let at = component.at(temperature_k);
            volume += mass / at.density_kg_m3;
            capacity += mass * at.heat_capacity_j_kg_k;
            enthalpy += mass * at.enthalpy_j_kg;
            Part {
                volume: mass / at.density_kg_m3,
                conductivity: at.conductivity_w_m_k,
            }
        };
        let water = part(Component::Water, self.water - ice);
        let frozen = part(Component::Ice, ice);
        let solids = self.solids().map(|(component, mass)| part(component, mass));
        Properties {
            density_kg_m3: 1.0 / volume,
            heat_capacity_j_kg_k: capacity,
            conductivity_w_m_k: mixing::conductivity(mixing, water, frozen, &solids),
            enthalpy_j_kg: enthalpy,
        }
    }

    /// Ice at a temperature, kg per kg of food.
    pub fn ice(&self, model: Ice, freezes_at_k: f64, temperature_k: f64) -> f64 {
        model.share(
            self.water,
            self.protein,
            freezes_at_k - crate::ICE_POINT_K,
            temperature_k - crate::ICE_POINT_K,
        )
    }
}
