//! Salt, water and solvent: what goes into a piece, out of it, and into the air.

use super::{Bounds, Faces, ItemId, Level, Numbers, Place, Stated, WeighingId};
use crate::source::Span;

/// Salt that goes into a piece: dry contact for a time, then evening out.
#[derive(Clone, Debug)]
pub struct Salt {
    /// Where it was written.
    pub at: Span,
    /// Thickness of the piece, m.
    pub thick: Stated,
    /// The faces that salt lies on.
    pub faces: Faces,
    /// How fast it spreads, m²/s.
    pub diffusivity: Stated,
    /// How much there is.
    pub dose: Dose,
    /// Time that it lies on the piece, s; the dwell of the pace when left out.
    pub contact: Option<Stated>,
    /// Time to even out after that, s; none when left out.
    pub equalise: Option<Stated>,
    /// Share of water in the piece after all, by mass.
    pub water: Stated,
    /// Salt in the piece before, share by mass.
    pub first: Option<Stated>,
    /// What it must come to.
    pub needs: Vec<SaltNeed>,
}

/// How much salt there is.
#[derive(Clone, Debug)]
pub enum Dose {
    /// What the operation takes of an item.
    Taken {
        /// The item.
        item: ItemId,
        /// Share of it that the piece takes up; the rest runs off. All when left out.
        uptake: Option<Stated>,
    },
    /// So much that the face stays at this share of salt in its water.
    Surface(Stated),
}

/// What the salt must come to.
#[derive(Clone, Debug)]
pub struct SaltNeed {
    /// Where it was written.
    pub at: Span,
    /// Of what the share is.
    pub of: SaltShare,
    /// Where in the piece; never the air.
    pub place: Place,
    /// Limits, shares.
    pub limits: Bounds,
    /// An estimate that sorts out, not a proof.
    pub screening: bool,
    /// Where the limit is from.
    pub source: String,
}

/// What a share of salt is counted of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SaltShare {
    /// Of salt and water together.
    Water,
    /// Of the piece.
    Piece,
}

/// Loss of weight by drying.
#[derive(Clone, Debug)]
pub struct Drying {
    /// Where it was written.
    pub at: Span,
    /// Loss of weight at which it ends, share of the weight on entry.
    pub until: Stated,
    /// Weighed pieces, with the place where each table is named.
    pub logs: Vec<(WeighingId, Span)>,
    /// Temperature of the air, K.
    pub air: Option<Level>,
    /// How damp the air is; there only with `air`.
    pub damp: Option<Damp>,
    /// Pressure of the air, Pa; that at sea level when left out.
    pub pressure: Option<Stated>,
    /// Whether a time that was found replaces the stated dwell; stated when left out.
    pub numbers: Numbers,
}

/// How damp air is.
#[derive(Clone, Debug)]
pub enum Damp {
    /// Relative humidity, 0 to 1.
    Humidity(Level),
    /// Temperature of a wet thermometer in it, K.
    WetBulb(Level),
}

/// Solvent that goes into the air of an oven or a booth.
#[derive(Clone, Debug)]
pub struct Solvent {
    /// Where it was written.
    pub at: Span,
    /// How much of it, for one base unit of output.
    pub liquid: Liquid,
    /// Density of the liquid, kg/m³; there whenever the liquid is a volume.
    pub density: Option<Stated>,
    /// Molar mass, kg/mol.
    pub molar_mass: Stated,
    /// Least share of vapour in air, by volume, that burns.
    pub lower_limit: Stated,
    /// Largest share of that limit that is allowed; 25 % when left out.
    pub at_most: Option<Stated>,
    /// Time over which most of it goes off, s; the dwell when left out.
    pub over: Option<Stated>,
    /// Temperature of the air, K.
    pub air: Option<Level>,
    /// Fresh air, m³/s; that of the station when left out.
    pub fresh_air: Option<Stated>,
    /// Where the limits are from.
    pub source: String,
}

/// How much solvent one base unit of output brings in.
#[derive(Clone, Debug)]
pub enum Liquid {
    /// So much, kg.
    Mass(Stated),
    /// So much, m³.
    Volume(Stated),
    /// A share of what the operation takes of an item.
    Taken {
        /// The item.
        item: ItemId,
        /// Share of it that goes off; all when left out.
        share: Option<Stated>,
    },
}
