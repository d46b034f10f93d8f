//! What goes into the holes: elements, anchors, pins, mass, and the odds that a block is good.
//!
//! Elements (fibres, bristles, paper tubes, straws) are folded once over an anchor that is driven into the
//! hole, or stand single in it. Tensions, pull-out loads and the fit that holds are the works' own to test:
//! nothing here promises that a filled hole holds.

/// Share of the hole's area that the elements fill: common practice for folded fibres (from memory).
pub const COMMON_PACKING: std::ops::RangeInclusive<f64> = 0.60..=0.75;

/// Oversize of a pin over its hole, m: common practice in wood (from memory). More splits, less falls out.
pub const COMMON_INTERFERENCE_M: std::ops::RangeInclusive<f64> = 0.1e-3..=0.3e-3;

/// Share of pins lost beside the holes: common practice (from memory).
pub const COMMON_PIN_LOSS: std::ops::RangeInclusive<f64> = 0.01..=0.03;

/// Round elements of one hexagonal packing fill at most this share of a large hole: π/(2√3).
pub const DENSEST_PACKING: f64 = 0.906_899_682_117_109;

/// Why a fill cannot be worked out.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FillFault {
    /// A number outside what its formula allows.
    #[error("{what} is {value}, expected {expected}")]
    Size {
        /// Which number.
        what: &'static str,
        /// The value given.
        value: f64,
        /// The range in words.
        expected: &'static str,
    },
    /// The hole takes not even one element folded over its anchor.
    #[error(
        "a hole of {:.2} mm takes no element of {:.3} mm folded once",
        .hole_m * 1e3, .element_m * 1e3
    )]
    TooNarrow {
        /// Diameter of the hole.
        hole_m: f64,
        /// Diameter of an element.
        element_m: f64,
    },
}

/// One element as it is bought and cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Element {
    /// Diameter, m.
    pub diameter_m: f64,
    /// Mass of a metre, kg/m.
    pub linear_density_kg_per_m: f64,
}

/// How a hole is filled with elements folded over an anchor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Folded {
    /// The element.
    pub element: Element,
    /// Diameter of the hole, m.
    pub hole_m: f64,
    /// Depth from the face down to the fold, m.
    pub depth_m: f64,
    /// Height of the ends above the face before trimming, m.
    pub free_height_m: f64,
    /// Length taken by the bend round the anchor, m.
    pub fold_m: f64,
    /// Share of the hole's area filled; see [`COMMON_PACKING`].
    pub packing: f64,
}

/// What one hole takes.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct HoleFill {
    /// Elements by the formula, before rounding.
    pub elements_exact: f64,
    /// Whole elements: the formula rounded down, so that the packing is not exceeded.
    pub elements: u64,
    /// Ends that show: two of each element.
    pub ends: u64,
    /// Length an element is cut to, m.
    pub cut_length_m: f64,
    /// Mass of the elements of the hole, kg.
    pub mass_kg: f64,
    /// Share of the hole's area that the whole elements fill.
    pub packing: f64,
}

/// Elements per hole, folded: n = φ·D²/(2d²), since each passes the hole twice (common practice, from memory;
/// it is the areas' ratio φ·(πD²/4)/(2·πd²/4)).
pub fn folded_elements(packing: f64, hole_m: f64, element_m: f64) -> f64 {
    packing * hole_m * hole_m / (2.0 * element_m * element_m)
}

/// What a hole takes of elements folded over an anchor: count, ends, cut length ≈ 2 × (free height + depth) +
/// fold, and mass = n × cut length × linear density.
pub fn folded(fill: &Folded) -> Result<HoleFill, FillFault> {
    let Folded {
        element,
        hole_m,
        depth_m,
        free_height_m,
        fold_m,
        packing,
    } = *fill;
    above_zero("element diameter", element.diameter_m)?;
    above_zero("linear density", element.linear_density_kg_per_m)?;
    above_zero("hole diameter", hole_m)?;
    zero_or_more("depth to the fold", depth_m)?;
    zero_or_more("free height", free_height_m)?;
    zero_or_more("fold allowance", fold_m)?;
    let packs = packing > 0.0 && packing <= DENSEST_PACKING;
    require(
        packs,
        "packing",
        packing,
        "above 0, at most 0.9069 (round elements, densest)",
    )?;
    let elements_exact = folded_elements(packing, hole_m, element.diameter_m);
    // A ratio that is whole on paper must not lose one to rounding.
    let elements = libm::floor(elements_exact * (1.0 + 1e-12));
    if elements < 1.0 {
        let element_m = element.diameter_m;
        return Err(FillFault::TooNarrow { hole_m, element_m });
    }
    let cut_length_m = 2.0 * (free_height_m + depth_m) + fold_m;
    Ok(HoleFill {
        elements_exact,
        elements: elements as u64,
        ends: 2 * elements as u64,
        cut_length_m,
        mass_kg: elements * cut_length_m * element.linear_density_kg_per_m,
        packing: elements / folded_elements(1.0, hole_m, element.diameter_m),
    })
}

/// Share of the elements' length that trimming takes: (cut − trimmed)/cut.
pub fn trim_waste(cut_length_m: f64, trimmed_length_m: f64) -> Result<f64, FillFault> {
    above_zero("cut length", cut_length_m)?;
    let within = (0.0..=cut_length_m).contains(&trimmed_length_m);
    require(
        within,
        "trimmed length",
        trimmed_length_m,
        "between zero and the cut length",
    )?;
    Ok((cut_length_m - trimmed_length_m) / cut_length_m)
}

/// Anchors needed: holes × (1 + miss rate).
pub fn anchors(holes: u64, miss_rate: f64) -> Result<f64, FillFault> {
    zero_or_more("miss rate", miss_rate)?;
    Ok(holes as f64 * (1.0 + miss_rate))
}

/// Pins, pegs or inserts needed, one for each hole: holes × (1 + loss); see [`COMMON_PIN_LOSS`].
pub fn pins(holes: u64, loss: f64) -> Result<f64, FillFault> {
    zero_or_more("loss", loss)?;
    Ok(holes as f64 * (1.0 + loss))
}

/// How a pin sits in its hole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub enum Fit {
    /// The pin is smaller than the hole: it needs glue.
    Loose,
    /// Less interference than common practice in wood: it may fall out.
    Light,
    /// Within common practice in wood.
    Usual,
    /// More interference than common practice in wood: watch for splitting and for the force.
    Heavy,
}

/// Interference of a pin in a hole, m (negative: play), and what common practice in wood calls it.
pub fn interference(pin_m: f64, hole_m: f64) -> Result<(f64, Fit), FillFault> {
    above_zero("pin diameter", pin_m)?;
    above_zero("hole diameter", hole_m)?;
    let over = pin_m - hole_m;
    // Sizes written to 0.1 mm must fall on the side they were meant for.
    let hair = 1e-9;
    let fit = if over < -hair {
        Fit::Loose
    } else if over < COMMON_INTERFERENCE_M.start() - hair {
        Fit::Light
    } else if over <= COMMON_INTERFERENCE_M.end() + hair {
        Fit::Usual
    } else {
        Fit::Heavy
    };
    Ok((over, fit))
}

/// Odds that every hole of a block is good, when each is bad with the same chance and independently:
/// (1 − p)^H. Faults that come in runs (a worn tool, a split block) spoil fewer blocks than this says.
pub fn good_block_odds(bad_hole: f64, holes: u64) -> Result<f64, FillFault> {
    require(
        (0.0..=1.0).contains(&bad_hole),
        "chance of a bad hole",
        bad_hole,
        "from 0 to 1",
    )?;
    if holes == 0 {
        return Ok(1.0);
    }
    Ok(libm::exp(holes as f64 * libm::log1p(-bad_hole)))
}

/// The chance of a bad hole that just gives the wished odds of a good block: p = 1 − t^(1/H).
pub fn bad_hole_for(good_block: f64, holes: u64) -> Result<f64, FillFault> {
    let within = good_block > 0.0 && good_block <= 1.0;
    require(
        within,
        "odds of a good block",
        good_block,
        "above 0, at most 1",
    )?;
    require(holes > 0, "number of holes", 0.0, "at least one")?;
    Ok(-libm::expm1(libm::log(good_block) / holes as f64))
}

fn require(
    holds: bool,
    what: &'static str,
    value: f64,
    expected: &'static str,
) -> Result<(), FillFault> {
    if holds {
        Ok(())
    } else {
        Err(FillFault::Size {
            what,
            value,
            expected,
        })
    }
}

fn above_zero(what: &'static str, value: f64) -> Result<(), FillFault> {
    require(value > 0.0 && value.is_finite(), what, value, "above zero")
}

fn zero_or_more(what: &'static str, value: f64) -> Result<(), FillFault> {
    require(
        value >= 0.0 && value.is_finite(),
        what,
        value,
        "zero or more",
    )
}
