//! What surrounds the piece, stage after stage.

use serde::Serialize;

use crate::fault::{Fault, positive, within};

/// A temperature that goes evenly from one value to another over a stage.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Ramp {
    /// At the beginning of the stage, K.
    pub from_k: f64,
    /// At its end, K.
    pub to_k: f64,
}

impl Ramp {
    /// The same all the time.
    pub fn hold(temperature_k: f64) -> Self {
        Self {
            from_k: temperature_k,
            to_k: temperature_k,
        }
    }

    /// The temperature at a share of the stage, 0 to 1, K.
    pub fn at(&self, share: f64) -> f64 {
        self.from_k + share * (self.to_k - self.from_k)
    }
}

/// What a face of the piece meets.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub enum Face {
    /// No heat passes.
    Insulated,
    /// The face has this temperature.
    Held(Ramp),
    /// Air (or water, or a plate) that takes and gives heat, and walls that radiate.
    Open {
        /// Of the air.
        air: Ramp,
        /// Of what the face sees; the air's as a rule.
        walls: Ramp,
        /// Coefficient of heat transfer, W/(m² K).
        coefficient_w_m2_k: f64,
        /// Emissivity of the face, 0 to 1; 0 for no radiation.
        emissivity: f64,
    },
}

impl Face {
    /// Air only, of one temperature.
    pub fn air(temperature_k: f64, coefficient_w_m2_k: f64) -> Self {
        Self::Open {
            air: Ramp::hold(temperature_k),
            walls: Ramp::hold(temperature_k),
            coefficient_w_m2_k,
            emissivity: 0.0,
        }
    }

    /// Whether its temperatures stay the same all the time.
    pub(crate) fn is_level(&self) -> bool {
        let level = |ramp: &Ramp| ramp.from_k == ramp.to_k;
        match self {
            Self::Insulated => true,
            Self::Held(ramp) => level(ramp),
            Self::Open { air, walls, .. } => level(air) && level(walls),
        }
    }

    /// The face with its surroundings so much warmer.
    fn warmer(self, by_k: f64) -> Self {
        let up = |ramp: Ramp| Ramp {
            from_k: ramp.from_k + by_k,
            to_k: ramp.to_k + by_k,
        };
        match self {
            Self::Insulated => self,
            Self::Held(ramp) => Self::Held(up(ramp)),
            Self::Open {
                air,
                walls,
                coefficient_w_m2_k,
                emissivity,
            } => Self::Open {
                air: up(air),
                walls: up(walls),
                coefficient_w_m2_k,
                emissivity,
            },
        }
    }

    fn check(&self) -> Result<(), Fault> {
        let temperatures: &[Ramp] = match self {
            Self::Insulated => &[],
            Self::Held(ramp) => &[*ramp],
            Self::Open {
                air,
                walls,
                coefficient_w_m2_k,
                emissivity,
            } => {
                within(
                    "coefficient of heat transfer",
                    *coefficient_w_m2_k,
                    0.0,
                    1e7,
                )?;
                within("emissivity", *emissivity, 0.0, 1.0)?;
                &[*air, *walls]
            }
        };
        for ramp in temperatures {
            positive("absolute temperature", ramp.from_k)?;
            positive("absolute temperature", ramp.to_k)?;
        }
        Ok(())
    }
}

/// A stretch of time with one kind of surroundings.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Stage {
    /// How long, s.
    pub lasts_s: f64,
    /// The first face of a slab; not looked at for other forms, whose middle passes no heat.
    pub first: Face,
    /// The last face of a slab; every outer face of other forms.
    pub last: Face,
}

impl Stage {
    /// The same on every face.
    pub fn around(lasts_s: f64, face: Face) -> Self {
        Self {
            lasts_s,
            first: face,
            last: face,
        }
    }
}

impl Stage {
    /// The stage with its surroundings so much warmer.
    #[must_use]
    pub fn warmer(&self, by_k: f64) -> Self {
        Self {
            lasts_s: self.lasts_s,
            first: self.first.warmer(by_k),
            last: self.last.warmer(by_k),
        }
    }
}

/// Stage after stage.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Programme {
    stages: Vec<Stage>,
}

impl Programme {
    /// At least one stage, each longer than nothing.
    pub fn new(stages: Vec<Stage>) -> Result<Self, Fault> {
        if stages.is_empty() {
            return Err(Fault::Missing("stage"));
        }
        for stage in &stages {
            positive("dwell", stage.lasts_s)?;
            stage.first.check()?;
            stage.last.check()?;
        }
        Ok(Self { stages })
    }

    /// The stages.
    pub fn stages(&self) -> &[Stage] {
        &self.stages
    }

    /// How long they take together, s.
    pub fn lasts_s(&self) -> f64 {
        self.stages.iter().map(|stage| stage.lasts_s).sum()
    }
}
