//! Freezing times by the formulas of handbooks: Plank's, and Pham's simplified method.
//!
//! Plank leaves out the heat of cooling before and after; Pham puts it in. Both are good to some 10 % at best and
//! are here to hold the solver against and for a quick look. Neither knows a change of surroundings on the way.

use serde::Serialize;

use crate::fault::{Fault, positive, within};

/// Plank's factors for the surface, P, and for the inside, R.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PlankFactors {
    /// Of the film at the surface.
    pub p: f64,
    /// Of the frozen layer.
    pub r: f64,
}

impl PlankFactors {
    /// A slab of full thickness.
    pub const SLAB: Self = Self { p: 0.5, r: 0.125 };
    /// A long cylinder of full diameter.
    pub const CYLINDER: Self = Self { p: 0.25, r: 0.0625 };
    /// A sphere of full diameter.
    pub const SPHERE: Self = Self {
        p: 1.0 / 6.0,
        r: 1.0 / 24.0,
    };

    /// A brick whose longer sides are so many times its shortest, each at least 1 (Plank 1941, as in Singh & Heldman
    /// and ASHRAE Refrigeration, memory).
    pub fn brick(longer: f64, longest: f64) -> Result<Self, Fault> {
        within("ratio of the longer side to the shortest", longer, 1.0, 1e6)?;
        within(
            "ratio of the longest side to the shortest",
            longest,
            1.0,
            1e6,
        )?;
        let (b1, b2) = (longer.max(longest), longer.min(longest));
        let p = 0.5 * b1 * b2 / (b1 * b2 + b1 + b2);
        let spread = ((b1 - b2) * (b1 - 1.0) + (b2 - 1.0) * (b2 - 1.0)).sqrt();
        // At the cube the bracket below is 0/0; both parts die with the spread.
        if spread < 1e-6 {
            return Ok(Self { p, r: 1.0 / 24.0 });
        }
        let m = (b1 + b2 + 1.0 + spread) / 3.0;
        let n = (b1 + b2 + 1.0 - spread) / 3.0;
        let part = |x: f64| {
            if x <= 1.0 {
                return 0.0;
            }
            (x - 1.0) * (b1 - x) * (b2 - x) * libm::log(x / (x - 1.0))
        };
        let r = (part(m) - part(n)) / (8.0 * spread) + (2.0 * b1 + 2.0 * b2 - 1.0) / 72.0;
        Ok(Self { p, r })
    }
}

/// Plank's freezing time, s: `density × latent / (freezes − air) × (P size / coefficient + R size² / conductivity)`.
///
/// The piece is at its freezing point when it begins; size is the full thickness or diameter, m; conductivity that
/// of the frozen piece; latent heat that of the water in it.
pub fn plank_s(
    factors: PlankFactors,
    size_m: f64,
    heat_j_m3: f64,
    below_k: f64,
    coefficient_w_m2_k: f64,
    frozen_w_m_k: f64,
) -> Result<f64, Fault> {
    positive("thickness", size_m)?;
    positive("latent heat", heat_j_m3)?;
    positive("difference of freezing point and air", below_k)?;
    positive("coefficient of heat transfer", coefficient_w_m2_k)?;
    positive("conductivity", frozen_w_m_k)?;
    let film = factors.p * size_m / coefficient_w_m2_k;
    let inside = factors.r * size_m * size_m / frozen_w_m_k;
    Ok(heat_j_m3 / below_k * (film + inside))
}

/// A freezing question for Pham's method.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pham {
    /// Half thickness or radius, m.
    pub half_m: f64,
    /// W/(m² K).
    pub coefficient_w_m2_k: f64,
    /// Conductivity of the frozen piece, W/(m K).
    pub frozen_w_m_k: f64,
    /// kg/m³.
    pub density_kg_m3: f64,
    /// Heat capacity before freezing, J/(kg K).
    pub unfrozen_j_kg_k: f64,
    /// Heat capacity of the frozen piece, J/(kg K).
    pub frozen_j_kg_k: f64,
    /// Latent heat of the piece, J/kg.
    pub latent_j_kg: f64,
    /// Temperature at the beginning, K.
    pub start_k: f64,
    /// Temperature in the middle at the end, K.
    pub core_k: f64,
    /// Air, K.
    pub air_k: f64,
}

/// Pham's answer with its steps.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PhamAnswer {
    /// Mean temperature of freezing, K.
    pub mean_freezing_k: f64,
    /// Heat before freezing, J/m³.
    pub cooling_j_m3: f64,
    /// Heat of freezing and below, J/m³.
    pub freezing_j_m3: f64,
    /// Driving difference before freezing, K.
    pub cooling_by_k: f64,
    /// Driving difference from then on, K.
    pub freezing_by_k: f64,
    /// Biot number on the half thickness.
    pub biot: f64,
    /// Freezing time, s.
    pub time_s: f64,
}

impl Pham {
    /// Biot number on the half thickness and the frozen conductivity.
    pub fn biot(&self) -> f64 {
        self.coefficient_w_m2_k * self.half_m / self.frozen_w_m_k
    }

    /// Pham's simplified method (Pham 1986, as in Singh & Heldman, memory): mean freezing temperature
    /// `1.8 + 0.263 core + 0.105 air` in degC, then two stretches of constant difference.
    ///
    /// `factor` is how many times faster than a slab the shape freezes: 1 slab, 2 long cylinder, 3 sphere, or one
    /// of [`ShapeFactor`]. Stated for water contents above 55 %, air −45 to −15 degC, start up to 40 degC, Biot
    /// 0.02 to 11 (memory).
    pub fn answer(&self, factor: f64) -> Result<PhamAnswer, Fault> {
        self.check(factor)?;
        let celsius = |k: f64| k - crate::ICE_POINT_K;
        let mean = 1.8 + 0.263 * celsius(self.core_k) + 0.105 * celsius(self.air_k);
        let (start, core, air) = (
            celsius(self.start_k),
            celsius(self.core_k),
            celsius(self.air_k),
        );
        let cooling_j_m3 = self.density_kg_m3 * self.unfrozen_j_kg_k * (start - mean);
        let freezing_j_m3 =
            self.density_kg_m3 * (self.latent_j_kg + self.frozen_j_kg_k * (mean - core));
        let cooling_by_k = 0.5 * (start + mean) - air;
        let freezing_by_k = mean - air;
        positive("start above the mean freezing temperature", start - mean)?;
        positive("mean freezing temperature above the air", freezing_by_k)?;
        let biot = self.biot();
        let heat = cooling_j_m3 / cooling_by_k + freezing_j_m3 / freezing_by_k;
        Ok(PhamAnswer {
            mean_freezing_k: mean + crate::ICE_POINT_K,
            cooling_j_m3,
            freezing_j_m3,
            cooling_by_k,
            freezing_by_k,
            biot,
            time_s: self.half_m / (factor * self.coefficient_w_m2_k) * heat * (1.0 + 0.5 * biot),
        })
    }

    fn check(&self, factor: f64) -> Result<(), Fault> {
        for (what, number) in [
            ("thickness", self.half_m),
            ("coefficient of heat transfer", self.coefficient_w_m2_k),
            ("conductivity", self.frozen_w_m_k),
            ("density", self.density_kg_m3),
            ("heat capacity", self.unfrozen_j_kg_k),
            ("heat capacity", self.frozen_j_kg_k),
            ("latent heat", self.latent_j_kg),
            ("absolute temperature", self.start_k),
            ("absolute temperature", self.core_k),
            ("absolute temperature", self.air_k),
            ("shape factor", factor),
            ("core above the air", self.core_k - self.air_k),
        ] {
            positive(what, number)?;
        }
        Ok(())
    }
}

/// How many times faster than a slab of the same thickness a body freezes (equivalent heat transfer dimensionality).
///
/// The two ways differ: for a brick of 1 × 0.6 × 0.25 m at Biot 2.5 by 13 %. One is to be chosen knowingly.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum ShapeFactor {
    /// The simple rational form printed with Pham's method by Singh & Heldman (memory):
    /// `1 + (1 + 2/Bi) / (b1² + 2 b1/Bi) + (1 + 2/Bi) / (b2² + 2 b2/Bi)`. Gives shorter times.
    SinghHeldman,
    /// The form of Cleland, Cleland & Earle 1987 in ASHRAE Refrigeration (memory):
    /// `1 + E1 + E2`, `E = X/b + (1 − X) 0.73/b^2.5`, `X = x / (Bi^1.34 + x)`, `x = 2.32/b^1.77`. Gives longer times.
    ///
    /// The same constants are used for both sides, as in the check value of the tests. A printing with 0.50/b^3.69
    /// for the longest side is remembered as well; it gives longer times still, by 2 % for that brick and 10 % for
    /// a cube.
    Cleland,
}

impl ShapeFactor {
    /// For a brick of sides `b1`, `b2` times the shortest, each at least 1, at a Biot number on the shortest half.
    pub fn brick(self, b1: f64, b2: f64, biot: f64) -> Result<f64, Fault> {
        for side in [b1, b2] {
            within("ratio of a longer side to the shortest", side, 1.0, 1e6)?;
        }
        positive("Biot number", biot)?;
        let part = |b: f64| match self {
            Self::SinghHeldman => (1.0 + 2.0 / biot) / (b * b + 2.0 * b / biot),
            Self::Cleland => {
                let x = 2.32 / libm::pow(b, 1.77);
                let share = x / (libm::pow(biot, 1.34) + x);
                share / b + (1.0 - share) * 0.73 / libm::pow(b, 2.5)
            }
        };
        Ok(1.0 + part(b1) + part(b2))
    }
}
