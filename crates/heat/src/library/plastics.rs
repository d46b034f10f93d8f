//! Plastics, solid and foamed.

use super::{Entry, Kind, Made, Moulding, celsius, constant};

const PLASTIC: &str = "plastics handbooks at 20 degC, unfilled (memory); heat capacity rises with temperature, and partly crystalline ones take up heat of melting below the melt, which is not in it";
const FOAM: &str =
    "insulation handbooks at 10 degC (memory); conductivity by density, blowing gas and age";

pub(super) const ENTRIES: [Entry; 15] = [
    moulded(
        "abs",
        &[],
        constant(1050.0, 1400.0, 0.18),
        [[220.0, 270.0], [40.0, 80.0], [80.0, 100.0], [0.08, 0.11]],
    ),
    foam(
        "eps",
        &["expanded polystyrene"],
        constant(20.0, 1450.0, 0.037),
    ),
    moulded(
        "pa6",
        &["nylon", "nylon 6", "polyamide 6"],
        constant(1130.0, 1600.0, 0.25),
        [[230.0, 280.0], [60.0, 90.0], [90.0, 130.0], [0.08, 0.11]],
    ),
    moulded(
        "pc",
        &["polycarbonate"],
        constant(1200.0, 1200.0, 0.20),
        [[280.0, 320.0], [80.0, 110.0], [100.0, 130.0], [0.10, 0.13]],
    ),
    moulded(
        "pe-hd",
        &["hdpe", "high-density polyethylene"],
        constant(955.0, 1900.0, 0.45),
        [[200.0, 280.0], [10.0, 60.0], [60.0, 100.0], [0.08, 0.11]],
    ),
    moulded(
        "pe-ld",
        &["ldpe", "low-density polyethylene", "polyethylene film"],
        constant(920.0, 2200.0, 0.33),
        [[180.0, 240.0], [20.0, 50.0], [50.0, 80.0], [0.08, 0.11]],
    ),
    moulded(
        "pet",
        &["polyester film"],
        constant(1370.0, 1200.0, 0.24),
        [[265.0, 290.0], [10.0, 40.0], [50.0, 75.0], [0.07, 0.11]],
    ),
    moulded(
        "pmma",
        &["acrylic"],
        constant(1190.0, 1450.0, 0.19),
        [[220.0, 260.0], [40.0, 80.0], [70.0, 95.0], [0.08, 0.11]],
    ),
    moulded(
        "pom",
        &["acetal"],
        constant(1410.0, 1470.0, 0.31),
        [[190.0, 215.0], [60.0, 110.0], [90.0, 140.0], [0.07, 0.11]],
    ),
    moulded(
        "pp",
        &["polypropylene"],
        constant(905.0, 1800.0, 0.20),
        [[200.0, 280.0], [20.0, 60.0], [60.0, 100.0], [0.07, 0.10]],
    ),
    moulded(
        "ps",
        &["polystyrene"],
        constant(1050.0, 1250.0, 0.14),
        [[180.0, 260.0], [10.0, 60.0], [50.0, 85.0], [0.07, 0.10]],
    ),
    foam(
        "pur foam",
        &["pir foam", "polyurethane foam"],
        constant(35.0, 1400.0, 0.026),
    ),
    moulded(
        "pvc",
        &["rigid pvc"],
        constant(1400.0, 950.0, 0.16),
        [[170.0, 205.0], [20.0, 60.0], [55.0, 75.0], [0.07, 0.11]],
    ),
    foam(
        "stone wool",
        &["mineral wool"],
        constant(100.0, 840.0, 0.037),
    ),
    foam(
        "xps",
        &["extruded polystyrene"],
        constant(35.0, 1450.0, 0.034),
    ),
];

/// Melt, mould and ejection in degC, diffusivity in mm²/s.
const fn moulded(
    name: &'static str,
    aliases: &'static [&'static str],
    made: Made,
    [melt, mould, ejection, diffusivity]: [[f64; 2]; 4],
) -> Entry {
    Entry {
        name,
        aliases,
        kind: Kind::Plastic,
        made,
        range_k: celsius(-20.0, 60.0),
        moulding: Some(Moulding {
            melt_k: celsius(melt[0], melt[1]),
            mould_k: celsius(mould[0], mould[1]),
            ejection_k: celsius(ejection[0], ejection[1]),
            diffusivity_m2_s: [diffusivity[0] * 1e-6, diffusivity[1] * 1e-6],
        }),
        source: PLASTIC,
    }
}

const fn foam(name: &'static str, aliases: &'static [&'static str], made: Made) -> Entry {
    Entry {
        name,
        aliases,
        kind: Kind::Foam,
        made,
        range_k: celsius(-40.0, 70.0),
        moulding: None,
        source: FOAM,
    }
}
