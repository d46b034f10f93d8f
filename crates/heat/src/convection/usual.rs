//! Coefficients as handbooks give them, for a first look where nothing is known.

use serde::Serialize;

/// A usual range.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Usual {
    /// What surrounds the piece.
    pub name: &'static str,
    /// The least that is usual, W/(m² K).
    pub low_w_m2_k: f64,
    /// The most that is usual, W/(m² K).
    pub high_w_m2_k: f64,
    /// Where this is from.
    pub source: &'static str,
}

const MEMORY: &str = "memory of food and heat transfer handbooks; fit a measured log instead";

/// Usual ranges, by name. They hold at the bare surface; a carton or film comes on top.
pub const USUAL: [Usual; 9] = [
    usual(
        "air blast",
        15.0,
        50.0,
        "upper end read: air blast is usually below 50; the rest memory",
    ),
    usual("brine or glycol bath", 100.0, 500.0, MEMORY),
    usual("moving water", 200.0, 1000.0, MEMORY),
    usual("oven, fan", 15.0, 40.0, MEMORY),
    usual("oven, jets", 40.0, 150.0, MEMORY),
    usual("plate contact", 50.0, 500.0, MEMORY),
    usual("steam, condensing", 1000.0, 10_000.0, MEMORY),
    usual("still air", 4.0, 10.0, MEMORY),
    usual("tray on a belt in air", 8.0, 25.0, MEMORY),
];

const fn usual(name: &'static str, low: f64, high: f64, source: &'static str) -> Usual {
    Usual {
        name,
        low_w_m2_k: low,
        high_w_m2_k: high,
        source,
    }
}
