//! Moulding: the cooling of a part in its mould, and what the machine must hold.

use super::{Level, MaterialName, Numbers, Place, Stated};
use crate::source::Span;

/// What a station is as a moulding machine.
#[derive(Clone, Debug)]
pub struct MouldingMachine {
    /// Where it was written.
    pub at: Span,
    /// Force that holds the mould shut, N.
    pub clamp: Stated,
    /// Melt that the barrel holds, kg.
    pub barrel: Option<Stated>,
    /// Melt that it makes ready, kg/s.
    pub melts: Option<Stated>,
}

/// The moulding of a part.
#[derive(Clone, Debug)]
pub struct Mould {
    /// Where it was written.
    pub at: Span,
    /// Thickest wall, m.
    pub wall: Stated,
    /// The melt, as a heat conductor.
    pub conducts: Conducts,
    /// Temperature of the melt, K.
    pub melt: Level,
    /// Temperature of the mould, K.
    pub mould: Level,
    /// Temperature at which the part may be taken out, K.
    pub eject: Level,
    /// Where it must be so cold: the mean or the core of the wall.
    pub place: Place,
    /// Area of parts and runner as the mould closes on them, m².
    pub area: Option<Stated>,
    /// Pressure in the mould, Pa; there whenever the area is.
    pub pressure: Option<Stated>,
    /// Cavities.
    pub cavities: Option<u64>,
    /// Time to fill, s.
    pub fill: Option<Stated>,
    /// Time under holding pressure, s.
    pub pack: Option<Stated>,
    /// Time to open, eject and close, s.
    pub open: Option<Stated>,
    /// Range of residence in the barrel, s.
    pub residence: Option<Stated>,
    /// Whether the cycle that was found replaces the stated pace; stated when left out.
    pub numbers: Numbers,
}

/// What the melt is to heat.
#[derive(Clone, Debug)]
pub enum Conducts {
    /// A material.
    Of(MaterialName),
    /// Its diffusivity is stated, m²/s.
    Diffusivity(Stated),
}
