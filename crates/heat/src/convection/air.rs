//! Air along temperature.

use serde::Serialize;

use crate::fault::{Fault, positive, within};

/// A fluid at one temperature, as correlations take it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Fluid {
    /// Kinematic viscosity, m²/s.
    pub viscosity_m2_s: f64,
    /// Conductivity, W/(m K).
    pub conductivity_w_m_k: f64,
    /// Prandtl number.
    pub prandtl: f64,
}

impl Fluid {
    pub(super) fn check(&self) -> Result<(), Fault> {
        positive("kinematic viscosity", self.viscosity_m2_s)?;
        positive("conductivity", self.conductivity_w_m_k)?;
        positive("Prandtl number", self.prandtl)?;
        Ok(())
    }
}

/// Dry air at some temperatures, K: viscosity in 1e-7 Pa s, conductivity in 1e-3 W/(m K), heat capacity in J/(kg
/// K). Incropera & DeWitt, table A.4 (memory; its rows at 300, 350 and 400 K agree with worked examples that were
/// read).
const TABLE: [[f64; 4]; 9] = [
    [200.0, 132.5, 18.1, 1007.0],
    [250.0, 159.6, 22.3, 1006.0],
    [300.0, 184.6, 26.3, 1007.0],
    [350.0, 208.2, 30.0, 1009.0],
    [400.0, 230.1, 33.8, 1014.0],
    [450.0, 250.7, 37.3, 1021.0],
    [500.0, 270.1, 40.7, 1030.0],
    [550.0, 288.4, 43.9, 1040.0],
    [600.0, 305.8, 46.9, 1051.0],
];

/// Gas constant of dry air, J/(kg K).
const GAS_J_KG_K: f64 = 287.05;

/// Dry air at a temperature from 200 to 600 K and a pressure in Pa (101 325 at the sea). As an ideal gas, straight
/// between the rows of a table. The temperature that correlations want is as a rule the mean of surface and air.
pub fn air(temperature_k: f64, pressure_pa: f64) -> Result<Fluid, Fault> {
    within("temperature of air in K", temperature_k, 200.0, 600.0)?;
    positive("pressure", pressure_pa)?;
    let right = TABLE
        .partition_point(|row| row[0] < temperature_k)
        .clamp(1, TABLE.len() - 1);
    let (a, b) = (TABLE[right - 1], TABLE[right]);
    let share = (temperature_k - a[0]) / (b[0] - a[0]);
    let between = |column: usize| a[column] + share * (b[column] - a[column]);
    let (viscosity, conductivity, capacity) = (between(1) * 1e-7, between(2) * 1e-3, between(3));
    let density = pressure_pa / (GAS_J_KG_K * temperature_k);
    Ok(Fluid {
        viscosity_m2_s: viscosity / density,
        conductivity_w_m_k: conductivity,
        prandtl: viscosity * capacity / conductivity,
    })
}
