//! Substances: what pieces are made of, as the works states it.
//!
//! What a name means that the works does not declare (`mild steel`) is known to the engine's own library,
//! which this crate does not see: such names stay names, with their places, until planning looks them up.

use super::{MaterialId, Stated};
use crate::source::Span;

/// A name as it was written, of something that is known elsewhere.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mention {
    /// The name.
    pub name: String,
    /// Where it was written.
    pub at: Span,
}

/// A material named by a body.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MaterialName {
    /// The name.
    pub name: String,
    /// Where it was written.
    pub at: Span,
    /// The material of the works with that name; none when it is left to the engine's library.
    pub declared: Option<MaterialId>,
}

/// A substance that the works declares. What is left out is that of `like`, or of the food's parts.
#[derive(Clone, Debug)]
pub struct Material {
    /// Its name.
    pub name: String,
    /// Where it was declared.
    pub at: Span,
    /// An entry of the engine's library that it starts from.
    pub like: Option<Mention>,
    /// What it is made up of, when it is a food.
    pub food: Option<Food>,
    /// Temperature at which the first ice forms, K.
    pub freezes_from: Option<Stated>,
    /// Density, kg/m³.
    pub density: Option<Stated>,
    /// Thermal conductivity, W/(m K).
    pub conductivity: Option<Phased>,
    /// Heat capacity, J/(kg K).
    pub heat_capacity: Option<Phased>,
    /// Temperature at which it melts, K; goes with `latent`.
    pub melts_at: Option<Stated>,
    /// Heat of melting, J/kg.
    pub latent: Option<Stated>,
    /// Where its numbers are from.
    pub source: Option<String>,
    /// A free note.
    pub note: Option<String>,
}

/// A property that may differ between the solid and the liquid (frozen and thawed) state.
#[derive(Clone, Debug, PartialEq)]
pub enum Phased {
    /// The same in both.
    Same(Stated),
    /// One for each.
    Two {
        /// Below the melting point.
        frozen: Stated,
        /// Above it.
        unfrozen: Stated,
    },
}

impl Phased {
    /// Below the melting point.
    pub fn frozen(&self) -> &Stated {
        match self {
            Self::Same(stated) | Self::Two { frozen: stated, .. } => stated,
        }
    }

    /// Above the melting point.
    pub fn unfrozen(&self) -> &Stated {
        match self {
            Self::Same(stated)
            | Self::Two {
                unfrozen: stated, ..
            } => stated,
        }
    }
}

/// The parts of a food, shares by mass, 0 to 1. They come to at most 1; what is missing is not looked at.
#[derive(Clone, Debug)]
pub struct Food {
    /// Where it was written.
    pub at: Span,
    /// Water.
    pub water: Stated,
    /// Protein.
    pub protein: Option<Stated>,
    /// Fat.
    pub fat: Option<Stated>,
    /// Carbohydrate.
    pub carbohydrate: Option<Stated>,
    /// Fibre.
    pub fibre: Option<Stated>,
    /// Ash, salt among it.
    pub ash: Option<Stated>,
}
