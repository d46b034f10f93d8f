//! A quantity as it was written: a spread in base units, and the unit to show it back in.

use uom::si::f64 as si;

use crate::print::{exact_number, join};
use crate::{Dimension, Spread, Unit};

/// A quantity read from text.
#[derive(Clone, Debug, PartialEq)]
pub struct Written {
    /// In coherent base units.
    pub spread: Spread,
    /// As written.
    pub unit: Unit,
}

/// Typed access: `None` when the dimension is another.
macro_rules! typed {
    ($($name:ident, $quantity:ident, $dimension:expr, $words:literal;)*) => {
        $(
            #[doc = concat!("The mean as a ", $words, "; `None` when the dimension is another.")]
            pub fn $name(&self) -> Option<si::$quantity> {
                let fits = *self.dimension() == $dimension;
                // uom's f64 quantities hold coherent SI values, as `spread` does.
                fits.then(|| si::$quantity {
                    dimension: std::marker::PhantomData,
                    units: std::marker::PhantomData,
                    value: self.mean(),
                })
            }
        )*
    };
}

impl Written {
    /// An exact value in base units, to be shown in `unit`.
    pub fn exact(value_base: f64, unit: Unit) -> Self {
        Self {
            spread: Spread::Exact(value_base),
            unit,
        }
    }

    /// The mean in base units.
    pub fn mean(&self) -> f64 {
        self.spread.mean()
    }

    /// What it measures.
    pub fn dimension(&self) -> &Dimension {
        self.unit.dimension()
    }

    /// In the unit as written, with as many digits as reading it back needs.
    pub fn show(&self) -> String {
        let unit = &self.unit;
        let number = |base: f64| exact_number(base, unit);
        match self.spread {
            Spread::Exact(value) => join(&number(value), unit.symbol()),
            Spread::Range { low, high } => {
                join(&format!("{}..{}", number(low), number(high)), unit.symbol())
            }
            Spread::Triple { low, likely, high } => {
                let three = [low, likely, high].map(number).join(" / ");
                join(&three, unit.symbol())
            }
            Spread::Normal { mean, sd } => {
                let deviation = exact_number(sd, &unit.difference());
                let (mean, sd) = (
                    join(&number(mean), unit.symbol()),
                    join(&deviation, unit.symbol()),
                );
                format!("{mean} +- {sd}")
            }
        }
    }

    typed! {
        as_length, Length, Dimension::LENGTH, "length";
        as_area, Area, Dimension::AREA, "area";
        as_volume, Volume, Dimension::VOLUME, "volume";
        as_mass, Mass, Dimension::MASS, "mass";
        as_time, Time, Dimension::TIME, "time";
        as_temperature, ThermodynamicTemperature, Dimension::TEMPERATURE, "temperature on the absolute scale";
        as_interval, TemperatureInterval, Dimension::TEMPERATURE, "temperature difference (read with `Expect::TemperatureDifference`)";
        as_speed, Velocity, Dimension::SPEED, "speed";
        as_force, Force, Dimension::FORCE, "force";
        as_pressure, Pressure, Dimension::PRESSURE, "pressure";
        as_energy, Energy, Dimension::ENERGY, "energy";
        as_power, Power, Dimension::POWER, "power";
        as_density, MassDensity, Dimension::MASS.over(&Dimension::VOLUME), "density";
        as_areal_mass, ArealMassDensity, Dimension::MASS.over(&Dimension::AREA), "mass per area";
        as_frequency, Frequency, Dimension::TIME.power(-1), "frequency";
        as_volume_rate, VolumeRate, Dimension::VOLUME.over(&Dimension::TIME), "volume flow";
        as_mass_rate, MassRate, Dimension::MASS.over(&Dimension::TIME), "mass flow";
        as_heat_transfer, HeatTransfer, Dimension::POWER.over(&Dimension::AREA.times(&Dimension::TEMPERATURE)), "heat transfer coefficient";
        as_conductivity, ThermalConductivity, Dimension::POWER.over(&Dimension::LENGTH.times(&Dimension::TEMPERATURE)), "thermal conductivity";
        as_specific_heat, SpecificHeatCapacity, Dimension::ENERGY.over(&Dimension::MASS.times(&Dimension::TEMPERATURE)), "specific heat capacity";
        as_diffusivity, DiffusionCoefficient, Dimension::AREA.over(&Dimension::TIME), "diffusivity";
    }
}

impl serde::Serialize for Written {
    /// As shown: the text reads back to the same value.
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.show())
    }
}
