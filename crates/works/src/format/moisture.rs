//! The keys of salt, drying, solvent and moulding.

use super::heat::{NUMBERS, SCREENING};
use super::{Kind, Section, key, must};

const LENGTH: Kind = Kind::Quantity("length");
const TIME: Kind = Kind::Quantity("time");
const LEVEL: Kind = Kind::Either(&[Kind::Quantity("temperature"), Kind::NameOf("setting")]);
const DAMP: Kind = Kind::Either(&[Kind::Share, Kind::NameOf("setting")]);

const SALT_NEED: Section = Section {
    name: "salt need",
    doc: "What the salt must come to, with its limits. Limits are the works' own, with their source; none is set by the tool.",
    keys: &[
        key(
            "of",
            Kind::Text,
            r#""water""#,
            "Share of salt in `water` (salt by salt and water), or in the `piece`; `water` if left out.",
        ),
        key("at_least", Kind::Share, r#""3.5 %""#, "Lower limit."),
        key("at_most", Kind::Share, r#""6 %""#, "Upper limit."),
        key(
            "where",
            Kind::Text,
            r#""core""#,
            "`core`, `surface` or `mean`; `core` if left out.",
        ),
        SCREENING,
        must(
            "source",
            Kind::Text,
            r#""food-safety plan, rev. 4""#,
            "Where the limit is from.",
        ),
    ],
};

/// Salt that goes into a piece.
pub(super) const SALT: Section = Section {
    name: "salt",
    doc: "Salt that goes into a piece: it lies on it for a time, then evens out.",
    keys: &[
        must(
            "thick",
            LENGTH,
            r#""18 / 22 / 27 mm""#,
            "Thickness of the piece; a spread gives the thinnest and the thickest.",
        ),
        key(
            "faces",
            Kind::Text,
            r#""both""#,
            "`both` faces are salted, or `one`; `both` if left out.",
        ),
        must(
            "diffusivity",
            Kind::Quantity("diffusivity"),
            r#""2.2e-10 m2/s""#,
            "How fast salt spreads in the piece.",
        ),
        key(
            "item",
            Kind::NameOf("item"),
            r#""curing salt""#,
            "The salt, as the operation takes it.",
        ),
        key(
            "uptake",
            Kind::Share,
            r#""80 %""#,
            "With `item`: share of it that goes in; the rest runs off. All if left out.",
        ),
        key(
            "surface",
            Kind::Share,
            r#""20 %""#,
            "Instead of `item`: so much salt that the water at the face keeps this share of it.",
        ),
        key(
            "contact",
            TIME,
            r#""44 h""#,
            "How long it lies on the piece; the dwell of the pace if left out.",
        ),
        key(
            "equalise",
            TIME,
            r#""24 h""#,
            "Time to even out after that.",
        ),
        must(
            "water",
            Kind::Share,
            r#""68 %""#,
            "Share of water in the piece at the end.",
        ),
        key(
            "first",
            Kind::Share,
            r#""0.2 %""#,
            "Salt in the piece before; none if left out.",
        ),
        must(
            "needs",
            Kind::Tables(&SALT_NEED),
            r#"[{ of = "water", at_least = "3.5 %", source = "food-safety plan, rev. 4" }]"#,
            "What it must come to.",
        ),
    ],
};

/// Loss of weight by drying.
pub(super) const DRYING: Section = Section {
    name: "drying",
    doc: "Loss of weight by drying: how long it takes, from weighed pieces.",
    keys: &[
        must(
            "until",
            Kind::Share,
            r#""9.5 %""#,
            "Loss of weight at which it ends, of the weight on entry.",
        ),
        key(
            "logs",
            Kind::Texts,
            r#"["kiln-2026-11-10.csv"]"#,
            "Weighed pieces, by file in the folder `readings/weighed`.",
        ),
        key(
            "air",
            LEVEL,
            r#""kiln air""#,
            "Temperature of the air, or the setting of it.",
        ),
        key(
            "humidity",
            DAMP,
            r#""72 %""#,
            "Relative humidity of the air, or the setting of it.",
        ),
        key(
            "wet_bulb",
            LEVEL,
            r#""21 degC""#,
            "Temperature of a wet thermometer, instead of `humidity`.",
        ),
        key(
            "pressure",
            Kind::Quantity("pressure"),
            r#""99 kPa""#,
            "Pressure of the air; that at sea level if left out.",
        ),
        NUMBERS,
    ],
};

/// Solvent that goes into the air.
pub(super) const SOLVENT: Section = Section {
    name: "solvent",
    doc: "Solvent that goes into the air of an oven or booth: how much fresh air thins it. An estimate for a caution, never a permission.",
    keys: &[
        key(
            "amount",
            Kind::Quantity("mass or volume"),
            r#""6 g""#,
            "Solvent that one unit of output brings in.",
        ),
        key(
            "item",
            Kind::NameOf("item"),
            r#""thinner""#,
            "Or an item that the operation takes.",
        ),
        key(
            "share",
            Kind::Share,
            r#""45 %""#,
            "With `item`: share of it that goes off; all if left out.",
        ),
        key(
            "density",
            Kind::Quantity("density"),
            r#""870 kg/m3""#,
            "Density of the liquid; needed when it is measured by volume.",
        ),
        must(
            "molar_mass",
            Kind::Quantity("mass per amount of substance"),
            r#""106 g/mol""#,
            "Molar mass.",
        ),
        must(
            "lower_limit",
            Kind::Share,
            r#""1.0 %""#,
            "Lower explosive limit: least share of vapour in air, by volume, that burns.",
        ),
        key(
            "at_most",
            Kind::Share,
            r#""25 %""#,
            "Largest share of that limit; 25 % if left out.",
        ),
        key(
            "over",
            TIME,
            r#""8 min""#,
            "Time over which it goes off; the dwell if left out.",
        ),
        key(
            "air",
            LEVEL,
            r#""oven""#,
            "Temperature of the air, or the setting of it.",
        ),
        key(
            "fresh_air",
            Kind::Quantity("volume per time"),
            r#""1,400 m3/h""#,
            "Fresh air; that of the station if left out.",
        ),
        must(
            "source",
            Kind::Text,
            r#""safety data sheet, 2025-11""#,
            "Where the limits are from.",
        ),
    ],
};

/// A station as a moulding machine.
pub(super) const MOULDING: Section = Section {
    name: "moulding machine",
    doc: "What a station is as a moulding machine.",
    keys: &[
        must(
            "clamp",
            Kind::Quantity("force"),
            r#""900 kN""#,
            "Force that holds the mould shut.",
        ),
        key(
            "barrel",
            Kind::Quantity("mass"),
            r#""240 g""#,
            "Melt that the barrel holds.",
        ),
        key(
            "melts",
            Kind::Quantity("mass per time"),
            r#""9 g/s""#,
            "Melt that it makes ready.",
        ),
    ],
};

/// The moulding of a part.
pub(super) const MOULD: Section = Section {
    name: "mould",
    doc: "The cooling of a part in its mould, and what the machine must hold.",
    keys: &[
        must("wall", LENGTH, r#""2 mm""#, "Thickest wall."),
        key(
            "of",
            Kind::NameOf("material"),
            r#""nylon""#,
            "What of: a material of the works, or a known one.",
        ),
        key(
            "diffusivity",
            Kind::Quantity("diffusivity"),
            r#""0.09 mm2/s""#,
            "How fast heat spreads in the melt, instead of `of`.",
        ),
        must(
            "melt",
            LEVEL,
            r#""melt""#,
            "Temperature of the melt, or the setting of it.",
        ),
        must(
            "mould",
            LEVEL,
            r#""mould""#,
            "Temperature of the mould, or the setting of it.",
        ),
        must(
            "eject",
            LEVEL,
            r#""120 degC""#,
            "Temperature at which the part may be taken out.",
        ),
        key(
            "where",
            Kind::Text,
            r#""mean""#,
            "Where the wall must be so cold: `mean` or `core`; `mean` if left out.",
        ),
        key(
            "area",
            Kind::Quantity("area"),
            r#""46 cm2""#,
            "Area of parts and runner as the mould closes on them.",
        ),
        key(
            "pressure",
            Kind::Quantity("pressure"),
            r#""45 MPa""#,
            "Pressure in the mould; goes with `area`.",
        ),
        key("cavities", Kind::Whole, "16", "Cavities of the mould."),
        key("fill", TIME, r#""1.2 s""#, "Time to fill."),
        key("pack", TIME, r#""3 s""#, "Time under holding pressure."),
        key("open", TIME, r#""4.5 s""#, "Time to open, eject and close."),
        key(
            "residence",
            Kind::Quantity("range of time"),
            r#""2..8 min""#,
            "Allowed time in the barrel.",
        ),
        NUMBERS,
    ],
};
