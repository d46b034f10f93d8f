//! A substance as the solvers see it: enthalpy and conductivity along temperature.
//!
//! The curve is piecewise linear. Enthalpy rises strictly from point to point; temperature may stand still,
//! which is a change of phase at one temperature. Conductivity may jump there.

use serde::Serialize;

use crate::fault::{Fault, positive};

/// A point of a substance's curve.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Point {
    /// Temperature, K.
    pub temperature_k: f64,
    /// Enthalpy, J/kg, from any zero.
    pub enthalpy_j_kg: f64,
    /// Thermal conductivity, W/(m K).
    pub conductivity_w_m_k: f64,
}

/// A substance. Its density does not change with temperature: a piece keeps its size and its mass.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Material {
    density_kg_m3: f64,
    /// At least two.
    points: Vec<Point>,
}

/// Constant properties of one phase.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Phase {
    /// Heat capacity, J/(kg K).
    pub heat_capacity_j_kg_k: f64,
    /// Thermal conductivity, W/(m K).
    pub conductivity_w_m_k: f64,
}

/// The span over which a curve of two points is laid, K; beyond its ends a curve goes on straight.
const LOW_K: f64 = 100.0;
const HIGH_K: f64 = 2000.0;

impl Material {
    /// A curve of at least two points, in order of temperature. Enthalpy must rise strictly, temperature
    /// must not fall, and the first and last stretch must rise in temperature too.
    pub fn new(density_kg_m3: f64, points: Vec<Point>) -> Result<Self, Fault> {
        positive("density", density_kg_m3)?;
        let ([first, second, ..], [.., before, last]) = (points.as_slice(), points.as_slice())
        else {
            return Err(Fault::Missing("stretch of the enthalpy curve"));
        };
        for [a, b] in [[first, second], [before, last]] {
            positive(
                "rise in temperature at the end of a curve",
                b.temperature_k - a.temperature_k,
            )?;
        }
        for point in &points {
            positive("conductivity", point.conductivity_w_m_k)?;
            positive("absolute temperature", point.temperature_k)?;
        }
        for pair in points.windows(2) {
            let rises = pair[1].enthalpy_j_kg > pair[0].enthalpy_j_kg;
            if !rises {
                return Err(Fault::NotRising {
                    what: "enthalpy",
                    before: pair[0].enthalpy_j_kg,
                    found: pair[1].enthalpy_j_kg,
                });
            }
            if pair[1].temperature_k < pair[0].temperature_k {
                return Err(Fault::NotRising {
                    what: "temperature",
                    before: pair[0].temperature_k,
                    found: pair[1].temperature_k,
                });
            }
        }
        Ok(Self {
            density_kg_m3,
            points,
        })
    }

    /// Constant properties. Enthalpy counts from the ice point.
    pub fn constant(density_kg_m3: f64, phase: Phase) -> Result<Self, Fault> {
        let capacity = positive("heat capacity", phase.heat_capacity_j_kg_k)?;
        let at = |temperature_k: f64| Point {
            temperature_k,
            enthalpy_j_kg: capacity * (temperature_k - crate::ICE_POINT_K),
            conductivity_w_m_k: phase.conductivity_w_m_k,
        };
        Self::new(density_kg_m3, vec![at(LOW_K), at(HIGH_K)])
    }

    /// Two phases that melt into each other at one temperature. Enthalpy counts from the solid there.
    pub fn melting(
        density_kg_m3: f64,
        solid: Phase,
        liquid: Phase,
        melts_at_k: f64,
        latent_j_kg: f64,
    ) -> Result<Self, Fault> {
        positive("heat capacity", solid.heat_capacity_j_kg_k)?;
        positive("heat capacity", liquid.heat_capacity_j_kg_k)?;
        positive("latent heat", latent_j_kg)?;
        let at = |temperature_k: f64, phase: Phase, latent: f64| Point {
            temperature_k,
            enthalpy_j_kg: phase.heat_capacity_j_kg_k * (temperature_k - melts_at_k) + latent,
            conductivity_w_m_k: phase.conductivity_w_m_k,
        };
        let low = LOW_K.min(0.5 * melts_at_k);
        let high = HIGH_K.max(2.0 * melts_at_k);
        Self::new(
            density_kg_m3,
            vec![
                at(low, solid, 0.0),
                at(melts_at_k, solid, 0.0),
                at(melts_at_k, liquid, latent_j_kg),
                at(high, liquid, latent_j_kg),
            ],
        )
    }

    /// Density, kg/m³.
    pub fn density_kg_m3(&self) -> f64 {
        self.density_kg_m3
    }

    /// The points of the curve.
    pub fn points(&self) -> &[Point] {
        &self.points
    }

    /// The stretch of the curve for which `before` holds up to its right end; the outer stretches go on.
    fn stretch(&self, before: impl Fn(&Point) -> bool) -> (Point, Point) {
        let right = self
            .points
            .partition_point(before)
            .clamp(1, self.points.len() - 1);
        (self.points[right - 1], self.points[right])
    }

    /// Temperature at an enthalpy, K.
    pub fn temperature_at(&self, enthalpy_j_kg: f64) -> f64 {
        let (a, b) = self.stretch(|p| p.enthalpy_j_kg < enthalpy_j_kg);
        let along = (enthalpy_j_kg - a.enthalpy_j_kg) / (b.enthalpy_j_kg - a.enthalpy_j_kg);
        a.temperature_k + along * (b.temperature_k - a.temperature_k)
    }

    /// Enthalpy at a temperature, J/kg; where the temperature stands still, that of the colder phase.
    pub fn enthalpy_at(&self, temperature_k: f64) -> f64 {
        let (a, b) = self.stretch(|p| p.temperature_k < temperature_k);
        if b.temperature_k <= a.temperature_k {
            return a.enthalpy_j_kg;
        }
        let along = (temperature_k - a.temperature_k) / (b.temperature_k - a.temperature_k);
        a.enthalpy_j_kg + along * (b.enthalpy_j_kg - a.enthalpy_j_kg)
    }

    /// Conductivity at a temperature, W/(m K); constant beyond the ends of the curve.
    pub fn conductivity_at(&self, temperature_k: f64) -> f64 {
        let (a, b) = self.stretch(|p| p.temperature_k < temperature_k);
        if b.temperature_k <= a.temperature_k {
            return a.conductivity_w_m_k;
        }
        let along = ((temperature_k - a.temperature_k) / (b.temperature_k - a.temperature_k))
            .clamp(0.0, 1.0);
        a.conductivity_w_m_k + along * (b.conductivity_w_m_k - a.conductivity_w_m_k)
    }
}
