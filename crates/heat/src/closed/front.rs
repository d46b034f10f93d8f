//! A front of freezing or melting that moves into a thick body from a surface that is held.
//!
//! Neumann's solution (Carslaw & Jaeger 1959, section 11.2; Alexiades & Solomon 1993, section 2.1; both memory):
//! depth = 2 lambda √(a t). Densities of both phases are equal, so that nothing swells; each phase has
//! constant properties and the change takes place at one temperature.

use serde::Serialize;

use super::root;
use super::scaled::erfcx;
use crate::fault::{Fault, positive};
use crate::material::Phase;

const ROOT_PI: f64 = 1.772_453_850_905_516;

/// Lambda of the one-phase problem: the other phase is at the front's temperature already.
/// Stefan number = heat capacity × |front − surface| / latent heat. Solves `√π λ exp(λ²) erf λ = Ste`.
pub fn stefan_lambda(stefan: f64) -> Result<f64, Fault> {
    positive("Stefan number", stefan)?;
    // The left side is above 2 λ² and above exp(λ²) from λ = 1 on, so that the root is below one of these.
    let high = (0.5 * stefan)
        .sqrt()
        .min(1.0 + libm::log(stefan.max(1.0)).sqrt());
    let f = |l: f64| ROOT_PI * l * libm::exp(l * l) * libm::erf(l) - stefan;
    Ok(root::between(f, 0.0, high * 1.000_001))
}

/// A thick body of one temperature whose surface is brought to another, on the far side of its change of phase.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Front {
    lambda: f64,
    behind_m2_s: f64,
    ahead_m2_s: f64,
    surface_k: f64,
    changes_k: f64,
    start_k: f64,
}

/// What the body is made of and what happens to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TwoPhase {
    /// kg/m³, of both phases.
    pub density_kg_m3: f64,
    /// The phase that grows from the surface: ice when freezing, water when melting.
    pub behind: Phase,
    /// The phase that was there.
    pub ahead: Phase,
    /// J/kg.
    pub latent_j_kg: f64,
    /// Where the phase changes, K.
    pub changes_k: f64,
    /// The surface from the first moment on, K.
    pub surface_k: f64,
    /// The body before, K; may be at `changes_k`.
    pub start_k: f64,
}

impl Front {
    /// Freezing if the surface is colder than the change, melting if it is warmer.
    pub fn new(problem: TwoPhase) -> Result<Self, Fault> {
        positive("density", problem.density_kg_m3)?;
        positive("latent heat", problem.latent_j_kg)?;
        for phase in [problem.behind, problem.ahead] {
            positive("heat capacity", phase.heat_capacity_j_kg_k)?;
            positive("conductivity", phase.conductivity_w_m_k)?;
        }
        let driven = problem.changes_k - problem.surface_k;
        let ahead_by = problem.start_k - problem.changes_k;
        if driven == 0.0 || driven * ahead_by < 0.0 {
            return Err(Fault::Impossible {
                asked: "follow a front",
                why: format!(
                    "the phase changes at {} K, which is not between the surface at {} K and the body at {} K",
                    problem.changes_k, problem.surface_k, problem.start_k
                ),
            });
        }
        let diffusivity =
            |p: Phase| p.conductivity_w_m_k / (problem.density_kg_m3 * p.heat_capacity_j_kg_k);
        let (behind_m2_s, ahead_m2_s) = (diffusivity(problem.behind), diffusivity(problem.ahead));
        let slower = (behind_m2_s / ahead_m2_s).sqrt();
        let latent =
            ROOT_PI * problem.latent_j_kg / (problem.behind.heat_capacity_j_kg_k * driven.abs());
        let held_back = problem.ahead.conductivity_w_m_k / problem.behind.conductivity_w_m_k
            * slower
            * (ahead_by / driven);
        // exp(−x²) / erfc(x) = 1 / scaled erfc, which neither runs out of range nor loses digits.
        let balance = |l: f64| {
            libm::exp(-l * l) - libm::erf(l) * (held_back / erfcx(l * slower) + l * latent)
        };
        Ok(Self {
            lambda: root::between(balance, 0.0, 6.0),
            behind_m2_s,
            ahead_m2_s,
            surface_k: problem.surface_k,
            changes_k: problem.changes_k,
            start_k: problem.start_k,
        })
    }

    /// Lambda: depth = 2 lambda √(diffusivity behind × time).
    pub fn lambda(&self) -> f64 {
        self.lambda
    }

    /// Depth of the front after a time, m.
    pub fn depth_m(&self, time_s: f64) -> f64 {
        2.0 * self.lambda * (self.behind_m2_s * time_s).sqrt()
    }

    /// When the front reaches a depth, s.
    pub fn time_s(&self, depth_m: f64) -> f64 {
        let along = 0.5 * depth_m / self.lambda;
        along * along / self.behind_m2_s
    }

    /// Temperature at a depth after a time, K.
    pub fn temperature_k(&self, depth_m: f64, time_s: f64) -> f64 {
        if depth_m <= self.depth_m(time_s) {
            let share = libm::erf(0.5 * depth_m / (self.behind_m2_s * time_s).sqrt())
                / libm::erf(self.lambda);
            return self.surface_k + (self.changes_k - self.surface_k) * share;
        }
        let slower = (self.behind_m2_s / self.ahead_m2_s).sqrt();
        let share = libm::erfc(0.5 * depth_m / (self.ahead_m2_s * time_s).sqrt())
            / libm::erfc(self.lambda * slower);
        self.start_k + (self.changes_k - self.start_k) * share
    }
}
