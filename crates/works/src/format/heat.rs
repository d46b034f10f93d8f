//! The keys of heat: materials, ovens and freezers, pieces, stages, and what they must do.

use super::{Key, Kind, NOTE, Section, key, must};

const LENGTH: Kind = Kind::Quantity("length");
const TIME: Kind = Kind::Quantity("time");
const TEMPERATURE: Kind = Kind::Quantity("temperature");
const DIFFERENCE: Kind = Kind::Quantity("difference of temperatures");
const LEVEL: Kind = Kind::Either(&[TEMPERATURE, Kind::NameOf("setting")]);

pub(super) const SOURCE: Key = key(
    "source",
    Kind::Text,
    r#""data sheet of the coat, June 2026""#,
    "Where it is from.",
);

pub(super) const SCREENING: Key = key(
    "screening",
    Kind::Flag,
    "true",
    "It sorts out and proves nothing: a competent person decides.",
);

pub(super) const NUMBERS: Key = key(
    "numbers",
    Kind::Text,
    r#""computed""#,
    "`stated` plans with the pace of the route, `computed` with the time found here; either way the two are held against each other. `stated` if left out.",
);

const TWO_STATES: Section = Section {
    name: "two states",
    doc: "A property that differs below and above the melting point.",
    keys: &[
        must(
            "frozen",
            Kind::Quantity("the property"),
            r#""1.4 W/(m K)""#,
            "Below it.",
        ),
        must(
            "unfrozen",
            Kind::Quantity("the property"),
            r#""0.48 W/(m K)""#,
            "Above it.",
        ),
    ],
};

const FOOD: Section = Section {
    name: "food",
    doc: "What a food is made up of, shares by mass; its properties follow from its parts.",
    keys: &[
        must("water", Kind::Share, r#""73 %""#, "Water."),
        key("protein", Kind::Share, r#""19 %""#, "Protein."),
        key("fat", Kind::Share, r#""7 %""#, "Fat."),
        key("carbohydrate", Kind::Share, r#""1 %""#, "Carbohydrate."),
        key("fibre", Kind::Share, r#""2 %""#, "Fibre."),
        key("ash", Kind::Share, r#""1 %""#, "Ash, salt among it."),
    ],
};

/// A substance.
pub(super) const MATERIAL: Section = Section {
    name: "material",
    doc: "What pieces are made of, `[material.NAME]`. Common ones (mild steel, ash, nylon …) are known and need no table; a table with `like` starts from one of them.",
    keys: &[
        key(
            "like",
            Kind::Text,
            r#""oak""#,
            "A known material to start from; what is said beside it replaces its own.",
        ),
        key(
            "food",
            Kind::Table(&FOOD),
            r#"{ water = "73 %", protein = "19 %", fat = "7 %", ash = "1 %" }"#,
            "What a food is made up of.",
        ),
        key(
            "freezes_from",
            TEMPERATURE,
            r#""-1.6 degC""#,
            "Temperature at which the first ice forms in a food.",
        ),
        key(
            "density",
            Kind::Quantity("density"),
            r#""1,050 kg/m3""#,
            "Density.",
        ),
        key(
            "conductivity",
            Kind::Either(&[
                Kind::Quantity("thermal conductivity"),
                Kind::Table(&TWO_STATES),
            ]),
            r#""0.17 W/(m K)""#,
            "Thermal conductivity.",
        ),
        key(
            "heat_capacity",
            Kind::Either(&[Kind::Quantity("specific heat"), Kind::Table(&TWO_STATES)]),
            r#""1.6 kJ/(kg K)""#,
            "Heat capacity.",
        ),
        key(
            "melts_at",
            TEMPERATURE,
            r#""54 degC""#,
            "Temperature at which it melts; goes with `latent`.",
        ),
        key(
            "latent",
            Kind::Quantity("energy per mass"),
            r#""190 kJ/kg""#,
            "Heat of melting.",
        ),
        SOURCE,
        NOTE,
    ],
};

/// A station as an oven, a freezer or a room.
pub(super) const CHAMBER: Section = Section {
    name: "heated station",
    doc: "What a station is as an oven, a freezer or a room.",
    keys: &[
        key(
            "power",
            Kind::Quantity("power"),
            r#""60 kW""#,
            "Greatest heating power that reaches the air. Left out, as `cooling`: the air keeps to its aim whatever goes in.",
        ),
        key(
            "cooling",
            Kind::Quantity("power"),
            r#""14 kW""#,
            "Greatest cooling power.",
        ),
        key(
            "stores",
            Kind::Quantity("energy per difference of temperatures"),
            r#""220 kJ/K""#,
            "Heat that air, walls and racks store; needed with a power.",
        ),
        key(
            "loses",
            Kind::Quantity("power per difference of temperatures"),
            r#""180 W/K""#,
            "Heat lost to the surroundings.",
        ),
        key(
            "around",
            TEMPERATURE,
            r#""20 degC""#,
            "The surroundings; needed with `loses`.",
        ),
        key(
            "band",
            DIFFERENCE,
            r#""2 degC""#,
            "How near its aim the controller takes the power back.",
        ),
        key(
            "starts",
            TEMPERATURE,
            r#""150 degC""#,
            "The air when a load goes in; its aim if left out.",
        ),
        key(
            "conveyor",
            LENGTH,
            r#""12 m""#,
            "Length of the conveyor inside; with a speed it gives the dwell.",
        ),
        key(
            "air_speed",
            Kind::Quantity("speed"),
            r#""2 m/s""#,
            "Speed of the air over the pieces.",
        ),
        key(
            "fresh_air",
            Kind::Quantity("volume per time"),
            r#""1,400 m3/h""#,
            "Fresh air that is let in.",
        ),
    ],
};

const LAYER: Section = Section {
    name: "layer",
    doc: "A layer of one material.",
    keys: &[
        must(
            "of",
            Kind::NameOf("material"),
            r#""mild steel""#,
            "What of: a material of the works, or a known one.",
        ),
        must("thick", LENGTH, r#""0.8 mm""#, "How thick."),
    ],
};

const BODY: Section = Section {
    name: "body",
    doc: "A piece: form, size, and what of. Sizes are over all; a spread of sizes gives the slowest and the fastest piece.",
    keys: &[
        key(
            "name",
            Kind::Text,
            r#""thick sign""#,
            "Its name, to tell several apart.",
        ),
        must(
            "form",
            Kind::Text,
            r#""slab""#,
            "`slab`; `sheet`, so thin that it has one temperature all through; `cylinder` (long), `sphere`, `brick`, `can` (a short cylinder).",
        ),
        key(
            "of",
            Kind::NameOf("material"),
            r#""mild steel""#,
            "What of: a material of the works, or a known one.",
        ),
        key(
            "layers",
            Kind::Tables(&LAYER),
            r#"[{ of = "mild steel", thick = "0.8 mm" }, { of = "paint", thick = "75 um" }]"#,
            "Layers of a slab or sheet from face to face, instead of `of` and `thick`.",
        ),
        key(
            "thick",
            LENGTH,
            r#""18 / 22 / 27 mm""#,
            "Thickness: slab, sheet, brick.",
        ),
        key("length", LENGTH, r#""400 mm""#, "Length: brick."),
        key("width", LENGTH, r#""300 mm""#, "Width: brick."),
        key(
            "diameter",
            LENGTH,
            r#""68 mm""#,
            "Across: cylinder, sphere, can.",
        ),
        key("height", LENGTH, r#""102 mm""#, "From end to end: can."),
        key(
            "cover",
            Kind::Either(&[
                Kind::Quantity("area and difference of temperatures per power"),
                Kind::Tables(&LAYER),
            ]),
            r#""0.03 m2 K/W""#,
            "What lies over the faces in the way of the heat (carton, film, foil): its resistance, or its layers outward.",
        ),
        key(
            "unit",
            Kind::Quantity("area of one face, or mass"),
            r#""0.24 m2""#,
            "How much of the piece is one unit of the operation's output, for the heat of a load; from the item's mass if left out.",
        ),
    ],
};

const SURFACE: Section = Section {
    name: "surface",
    doc: "How heat gets to the face, where no coefficient is stated: one of `speed`, `still` and `held`.",
    keys: &[
        key(
            "speed",
            Kind::Quantity("speed"),
            r#""2 m/s""#,
            "Air is blown over it at this speed.",
        ),
        key("still", Kind::Flag, "true", "Still air."),
        key(
            "held",
            Kind::Flag,
            "true",
            "The face has the temperature of the air at once: plates, condensing steam.",
        ),
        key(
            "along",
            LENGTH,
            r#""0.6 m""#,
            "How far the air flows along the piece; the height of an upright face. From the body if left out.",
        ),
        key(
            "upright",
            Kind::Flag,
            "true",
            "In still air: the face stands upright; else it lies.",
        ),
    ],
};

const SURFACE_KIND: Kind = Kind::Either(&[
    Kind::Quantity("heat transfer coefficient"),
    Kind::Table(&SURFACE),
]);

const AIR: Key = key(
    "air",
    LEVEL,
    r#""oven""#,
    "Temperature of the air (water, plate): the name of a setting, whose aim and `within` it follows, or a temperature.",
);
const WALLS: Key = key(
    "walls",
    LEVEL,
    r#""180 degC""#,
    "Temperature of what the faces see, for `radiates`; that of the air if left out.",
);
const SURFACE_KEY: Key = key(
    "surface",
    SURFACE_KIND,
    r#""18..28 W/(m2 K)""#,
    "How heat gets to the face: a coefficient, or how the air moves. The station's `air_speed` if left out.",
);
const RADIATES: Key = key(
    "radiates",
    Kind::Share,
    r#""90 %""#,
    "Emissivity of the face; no radiation if left out.",
);
const FACES: Key = key(
    "faces",
    Kind::Text,
    r#""one""#,
    "`both` faces of a slab, or `one` when it lies on something that heat does not pass; `both` if left out.",
);

const STAGE: Section = Section {
    name: "stage",
    doc: "A stretch of time with one kind of surroundings. What it leaves out is as the heat says.",
    keys: &[
        key("name", Kind::Text, r#""soak""#, "Its name."),
        key(
            "lasts",
            TIME,
            r#""6 min""#,
            "How long. One stage may leave it out and gets the rest of the dwell.",
        ),
        key(
            "length",
            LENGTH,
            r#""4 m""#,
            "How far along the conveyor, instead of `lasts`.",
        ),
        AIR,
        key(
            "to",
            LEVEL,
            r#""190 degC""#,
            "The air at the end of the stage, when it changes evenly over it.",
        ),
        WALLS,
        SURFACE_KEY,
        RADIATES,
        FACES,
    ],
};

const CURE: Section = Section {
    name: "cure",
    doc: "Time at one temperature that cures as much as the whole history (Arrhenius).",
    keys: &[
        must("at", TEMPERATURE, r#""190 degC""#, "The temperature."),
        must(
            "energy",
            Kind::Quantity("energy per amount of substance"),
            r#""82 kJ/mol""#,
            "Activation energy.",
        ),
    ],
};

const LETHALITY: Section = Section {
    name: "lethality",
    doc: "Time at one temperature that kills as much as the whole history.",
    keys: &[
        must("at", TEMPERATURE, r#""70 degC""#, "The temperature."),
        must(
            "z",
            DIFFERENCE,
            r#""7.5 degC""#,
            "Rise of temperature that makes it ten times as fast.",
        ),
    ],
};

const GROWTH: Section = Section {
    name: "growth",
    doc: "Growth in powers of ten: its rate rises with the square of the distance from the least temperature.",
    keys: &[
        must(
            "least",
            TEMPERATURE,
            r#""-1.2 degC""#,
            "Temperature below which nothing grows.",
        ),
        must(
            "at",
            TEMPERATURE,
            r#""8 degC""#,
            "A temperature at which growth was measured.",
        ),
        must(
            "tenfold",
            TIME,
            r#""19 h""#,
            "Time there in which the number grows tenfold.",
        ),
    ],
};

const EXPOSURE: Section = Section {
    name: "exposure",
    doc: "Time on one side of a temperature.",
    keys: &[
        key("above", TEMPERATURE, r#""5 degC""#, "Time above this."),
        key("below", TEMPERATURE, r#""0 degC""#, "Or below this."),
    ],
};

const NEED: Section = Section {
    name: "need",
    doc: "Something that heat or cold must do, or must not: one measure, with its limits. Limits of food, fire and the like are the works' own, with their source; none is set by the tool.",
    keys: &[
        key(
            "reach",
            TEMPERATURE,
            r#""185 degC""#,
            "It gets at least so hot.",
        ),
        key(
            "hold",
            TIME,
            r#""10 min""#,
            "With `reach`: it is at least so hot for this long in all.",
        ),
        key(
            "never_above",
            TEMPERATURE,
            r#""205 degC""#,
            "It is never hotter.",
        ),
        key(
            "never_below",
            TEMPERATURE,
            r#""-8 degC""#,
            "It is never colder.",
        ),
        key(
            "ends_below",
            TEMPERATURE,
            r#""-18 degC""#,
            "It is no hotter at the end.",
        ),
        key(
            "ends_above",
            TEMPERATURE,
            r#""-1 degC""#,
            "It is no colder at the end.",
        ),
        key(
            "ends_between",
            Kind::Quantity("range of temperature"),
            r#""-8..-5 degC""#,
            "It is in this range at the end.",
        ),
        key(
            "cure",
            Kind::Table(&CURE),
            r#"{ at = "190 degC", energy = "82 kJ/mol" }"#,
            "Equivalent time of cure; limits are times.",
        ),
        key(
            "lethality",
            Kind::Table(&LETHALITY),
            r#"{ at = "70 degC", z = "7.5 degC" }"#,
            "Equivalent time of killing; limits are times, with their `source`.",
        ),
        key(
            "growth",
            Kind::Table(&GROWTH),
            r#"{ least = "-1.2 degC", at = "8 degC", tenfold = "19 h" }"#,
            "Growth; limits are powers of ten, with their `source`. Always screening.",
        ),
        key(
            "exposure",
            Kind::Table(&EXPOSURE),
            r#"{ above = "5 degC" }"#,
            "Time above or below a temperature; limits are times, with their `source`.",
        ),
        key(
            "at_least",
            Kind::Quantity("what is measured"),
            r#""10 min""#,
            "Lower limit.",
        ),
        key(
            "at_most",
            Kind::Quantity("what is measured"),
            r#""26 min""#,
            "Upper limit.",
        ),
        key(
            "where",
            Kind::Text,
            r#""surface""#,
            "`core`, `surface`, `mean` or `air`. Left out: `surface` for `never_above` and `never_below`, else `core`.",
        ),
        SCREENING,
        SOURCE,
    ],
};

/// What an operation does by heat or cold.
pub(super) const HEAT: Section = Section {
    name: "heat",
    doc: "What an operation does to its pieces by heat or cold, and what it must do.",
    keys: &[
        must(
            "body",
            Kind::Tables(&BODY),
            r#"{ form = "slab", of = "mild steel", thick = "0.8 mm" }"#,
            "The piece; a list of several when what works must work for each.",
        ),
        must(
            "from",
            TEMPERATURE,
            r#""18..24 degC""#,
            "Temperature of a piece on entry.",
        ),
        AIR,
        WALLS,
        SURFACE_KEY,
        RADIATES,
        FACES,
        key(
            "stages",
            Kind::Tables(&STAGE),
            r#"[{ lasts = "6 min", air = "120 degC", to = "190 degC" }, { air = "190 degC" }]"#,
            "Stage after stage; one over the whole dwell if left out.",
        ),
        must(
            "needs",
            Kind::Tables(&NEED),
            r#"[{ reach = "185 degC", hold = "10 min" }]"#,
            "What it must do.",
        ),
        key(
            "logs",
            Kind::Texts,
            r#"["oven-2026-11-09.csv"]"#,
            "Measured loads, by file in the folder `readings/logs`.",
        ),
        key(
            "needed",
            Kind::Text,
            r#""06:00""#,
            "Time of day at which a load must be ready: tells when to start.",
        ),
        NUMBERS,
    ],
};
