//! Metals, and what is fused onto them.

use super::{Entry, Kind, Made, celsius, constant};

const INCROPERA: &str = "Incropera & DeWitt, appendix A at 300 K (memory); conductivity of steel falls by some 10 % to 200 degC";

pub(super) const ENTRIES: [Entry; 10] = [
    metal(
        "aluminium",
        &["aluminum"],
        constant(2702.0, 903.0, 237.0),
        "pure: Incropera & DeWitt, appendix A at 300 K (memory)",
    ),
    metal(
        "aluminium alloy",
        &["aluminium 5754", "aluminium 6060"],
        constant(2700.0, 900.0, 150.0),
        "sheet and section alloys, 130 to 200 W/(m K) by alloy and temper (memory)",
    ),
    metal(
        "brass",
        &[],
        constant(8530.0, 380.0, 110.0),
        "cartridge brass: Incropera & DeWitt, appendix A at 300 K (memory)",
    ),
    metal(
        "cast iron",
        &["grey iron"],
        constant(7200.0, 500.0, 50.0),
        "grey iron, 45 to 55 W/(m K) (memory)",
    ),
    metal(
        "copper",
        &[],
        constant(8933.0, 385.0, 401.0),
        "pure: Incropera & DeWitt, appendix A at 300 K (memory)",
    ),
    metal(
        "mild steel",
        &["carbon steel", "steel"],
        constant(7850.0, 470.0, 50.0),
        "low-carbon steel, 45 to 60 W/(m K) (memory)",
    ),
    metal(
        "mould steel",
        &["tool steel p20"],
        constant(7800.0, 460.0, 32.0),
        "pre-hardened mould steel, 29 to 36 W/(m K) (memory)",
    ),
    metal(
        "stainless steel",
        &["stainless 304", "stainless"],
        constant(7900.0, 477.0, 14.9),
        INCROPERA,
    ),
    metal(
        "vitreous enamel",
        &["porcelain enamel"],
        constant(2500.0, 850.0, 1.1),
        "as glass, 0.9 to 1.3 W/(m K) (memory)",
    ),
    metal("zinc", &[], constant(7140.0, 389.0, 116.0), INCROPERA),
];

const fn metal(
    name: &'static str,
    aliases: &'static [&'static str],
    made: Made,
    source: &'static str,
) -> Entry {
    Entry {
        name,
        aliases,
        kind: Kind::Metal,
        made,
        range_k: celsius(-50.0, 300.0),
        moulding: None,
        source,
    }
}
