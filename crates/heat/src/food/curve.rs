//! The enthalpy and conductivity curve of a food through freezing, as the solvers take it.

use serde::Serialize;

use super::component::{HIGHEST_C, LOWEST_C, Properties};
use super::composition::Composition;
use super::ice::Ice;
use super::mixing::Mixing;
use crate::ICE_POINT_K;
use crate::fault::{Fault, within};
use crate::material::{Material, Point};

/// How a food's curve is made.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Options {
    /// How the ice grows.
    pub ice: Ice,
    /// How conductivities add up.
    pub mixing: Mixing,
    /// The density is that of the unfrozen food at this temperature, K. Pieces are measured and weighed unfrozen,
    /// and a piece keeps its size here; frozen food is some 5 % lighter, which would give the same mass in a larger
    /// piece.
    pub density_at_k: f64,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            ice: Ice::default(),
            mixing: Mixing::Levy,
            density_at_k: 278.15,
        }
    }
}

/// How far the straight stretches may be from the curve: J/kg of enthalpy and a share of conductivity. The first is
/// 0.01 K where nothing freezes and less where it does.
const OFF_J_KG: f64 = 30.0;
const OFF_CONDUCTIVITY: f64 = 2e-3;

/// Stretches are halved so often at most: 40 K become less than a thousandth.
const HALVINGS: usize = 16;

impl Composition {
    /// The curve of a food that begins to freeze at a temperature of at most 0 degC, K; from −40 to 150 degC and
    /// straight on.
    ///
    /// Enthalpy is a function of state: solids, water and ice each at the temperature, with as much ice as the
    /// model says; ice is below water by the heat of melting. All heat between two temperatures is therefore right
    /// for the ice that is there, whatever the spacing of the points. It counts from the unfrozen food at 0 degC.
    pub fn material(&self, freezes_at_k: f64, options: Options) -> Result<Material, Fault> {
        let shares = self.checked()?;
        within(
            "initial freezing point",
            freezes_at_k,
            ICE_POINT_K - 20.0,
            ICE_POINT_K,
        )?;
        within(
            "temperature of the density",
            options.density_at_k,
            freezes_at_k,
            ICE_POINT_K + HIGHEST_C,
        )?;
        if let Ice::Ideal { bound_kg_kg } = options.ice {
            within("bound water per protein", bound_kg_kg, 0.0, 10.0)?;
        }
        let curve = Curve {
            shares,
            freezes_at_k,
            options,
        };
        let density = shares.mixed(options.density_at_k, 0.0, options.mixing);
        Material::new(density.density_kg_m3, curve.points())
    }
}

struct Curve {
    shares: Composition,
    freezes_at_k: f64,
    options: Options,
}

impl Curve {
    fn at(&self, temperature_k: f64) -> Properties {
        let ice = self
            .shares
            .ice(self.options.ice, self.freezes_at_k, temperature_k);
        self.shares.mixed(temperature_k, ice, self.options.mixing)
    }

    fn point(&self, temperature_k: f64) -> Point {
        let at = self.at(temperature_k);
        Point {
            temperature_k,
            enthalpy_j_kg: at.enthalpy_j_kg,
            conductivity_w_m_k: at.conductivity_w_m_k,
        }
    }

    fn points(&self) -> Vec<Point> {
        let mut points = vec![self.point(ICE_POINT_K + LOWEST_C)];
        for end in [self.freezes_at_k, ICE_POINT_K + HIGHEST_C] {
            let start = points[points.len() - 1];
            self.divide(start, self.point(end), HALVINGS, &mut points);
        }
        points
    }

    /// Adds the points after `a` up to `b`, so close that straight lines will do. They are halved by temperature,
    /// which puts most of them just below the freezing point.
    fn divide(&self, a: Point, b: Point, halvings: usize, points: &mut Vec<Point>) {
        let middle = self.point(0.5 * (a.temperature_k + b.temperature_k));
        // Quarters are looked at as well: at the middle of a stretch a curve may cross its chord.
        let fits = [0.25, 0.5, 0.75].into_iter().all(|share| {
            let between = |x: f64, y: f64| x + share * (y - x);
            let true_point = self.point(between(a.temperature_k, b.temperature_k));
            let heat = between(a.enthalpy_j_kg, b.enthalpy_j_kg) - true_point.enthalpy_j_kg;
            let passes = between(a.conductivity_w_m_k, b.conductivity_w_m_k)
                / true_point.conductivity_w_m_k
                - 1.0;
            heat.abs() <= OFF_J_KG && passes.abs() <= OFF_CONDUCTIVITY
        });
        if fits || halvings == 0 {
            points.push(b);
            return;
        }
        self.divide(a, middle, halvings - 1, points);
        self.divide(middle, b, halvings - 1, points);
    }
}
