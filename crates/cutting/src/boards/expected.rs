//! What a board yields before it is seen: faults at random, so many a metre, and how lots differ.
//!
//! All lengths are in one unit of the caller's choice, and rates are faults per that unit.

use thiserror::Error;

/// A board nobody has seen yet, as a line with faults at random (a Poisson process).
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Unseen {
    /// Usable length, after end trims.
    pub length: f64,
    /// What one fault costs: its own length and the margins on both sides.
    pub fault: f64,
    /// Width of a crosscut.
    pub kerf: f64,
}

/// A length wanted, and what one is worth.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Wanted {
    /// Length of the part.
    pub length: f64,
    /// What one is worth.
    pub value: f64,
}

/// Faults counted on boards of one lot.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct LotCount {
    /// Length looked at.
    pub length: f64,
    /// Faults found on it.
    pub faults: u64,
}

/// Faults per unit of length, and how lots differ: a lot's rate is gamma distributed.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct FaultRate {
    /// Mean over lots.
    pub mean: f64,
    /// Standard deviation from lot to lot; zero if they do not differ.
    pub lot_sd: f64,
}

/// So many from one board: the mean, and the spread in two parts.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct PerBoard {
    /// Mean over boards and lots.
    pub mean: f64,
    /// Standard deviation from board to board within a lot.
    pub within_sd: f64,
    /// Standard deviation of the lot mean from lot to lot.
    pub lot_sd: f64,
}

/// Why there is no answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum ExpectedFault {
    /// A length, rate or value is negative, not finite, or a part has no length.
    #[error("a length, rate or value is negative or not a number, or a part has no length")]
    BadNumber,
    /// No length was looked at.
    #[error("no length was looked at, so there is no rate")]
    NothingCounted,
    /// So many parts to a board that the answer would be costly and pointless.
    #[error("the parts are too short for the board")]
    TooManyParts,
}

/// Share of a strip without end that comes out as parts of one length.
///
/// Y = λ·L·e^(−λ(c−k))·q/(1−q), q = e^(−λ(L+k)): gaps between faults are exponential with rate λ, a gap x gives
/// ⌊(x − c + k)/(L + k)⌋ parts, and there are λ gaps per unit of length. For λ = 0 it is L/(L+k).
pub fn endless_yield(rate: f64, fault: f64, kerf: f64, length: f64) -> f64 {
    if rate == 0.0 {
        return length / (length + kerf);
    }
    let q = libm::exp(-rate * (length + kerf));
    rate * length * libm::exp(-rate * (fault - kerf)) * q / (1.0 - q)
}
