//! The format of a works folder as data: every section and key, its kind, and what it means.
//!
//! One table serves the reader (which keys are known, what to suggest), the JSON Schema for editors
//! and the reference in `docs/format.md`, so that they cannot disagree.

mod cut;
mod heat;
mod moisture;

/// What may stand behind a key.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// A text.
    Text,
    /// `true` or `false`.
    Flag,
    /// A whole number.
    Whole,
    /// A date, `2026-12-24`.
    Date,
    /// A quantity in quotes; the words say of what.
    Quantity(&'static str),
    /// A share: `"96 %"` or `0.96`.
    Share,
    /// A yield: a share, or a table with `mean`, `lots` and `source`.
    Yield,
    /// The name of something declared elsewhere.
    NameOf(&'static str),
    /// A list of texts.
    Texts,
    /// A list of names declared elsewhere.
    NamesOf(&'static str),
    /// A table of free keys (names of the given thing), each with a value of this kind.
    Map(&'static str, &'static Kind),
    /// A table.
    Table(&'static Section),
    /// A list of tables.
    Tables(&'static Section),
    /// One of several kinds.
    Either(&'static [Kind]),
}

/// One key of a section.
#[derive(Clone, Copy, Debug)]
pub struct Key {
    /// As it is written.
    pub name: &'static str,
    /// What may stand behind it.
    pub kind: Kind,
    /// Whether it must be there.
    pub required: bool,
    /// What it means.
    pub doc: &'static str,
    /// A value as it may be written, in TOML.
    pub example: &'static str,
}

/// A table of the format.
#[derive(Clone, Copy, Debug)]
pub struct Section {
    /// Its name in messages.
    pub name: &'static str,
    /// What it is.
    pub doc: &'static str,
    /// Its keys.
    pub keys: &'static [Key],
}

impl Section {
    /// The key of this name.
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|key| key.name == name)
    }
}

const fn key(name: &'static str, kind: Kind, example: &'static str, doc: &'static str) -> Key {
    Key {
        name,
        kind,
        required: false,
        doc,
        example,
    }
}

const fn must(name: &'static str, kind: Kind, example: &'static str, doc: &'static str) -> Key {
    Key {
        name,
        kind,
        required: true,
        doc,
        example,
    }
}

const NOTE: Key = key(
    "note",
    Kind::Text,
    r#""agreed with the night shift""#,
    "A free note.",
);

/// A number with a note on where it is from; may stand wherever a quantity may.
pub const SOURCED: Section = Section {
    name: "quantity with a source",
    doc: "Wherever a quantity may stand, this may stand too, to say where the number is from.",
    keys: &[
        must(
            "value",
            Kind::Quantity("the quantity"),
            r#""9 s""#,
            "The quantity itself.",
        ),
        key(
            "source",
            Kind::Text,
            r#""time study, March 2026""#,
            "Where the number is from.",
        ),
    ],
};

/// A yield with its spread between lots.
pub const YIELD: Section = Section {
    name: "yield",
    doc: "A share that differs from lot to lot.",
    keys: &[
        must("mean", Kind::Share, r#""96 %""#, "The mean over many lots."),
        key(
            "lots",
            Kind::Share,
            r#""1.5 %""#,
            "Standard deviation of the lots' own means, in points.",
        ),
        key(
            "source",
            Kind::Text,
            r#""lot records, 2026""#,
            "Where the numbers are from.",
        ),
    ],
};

const WORKS_HEAD: Section = Section {
    name: "works",
    doc: "What holds for the whole works.",
    keys: &[
        must(
            "name",
            Kind::Text,
            r#""Fenmoor Works""#,
            "The name of the works.",
        ),
        must(
            "time_zone",
            Kind::Text,
            r#""Europe/London""#,
            "The IANA name of the zone that its clocks show.",
        ),
        must(
            "currency",
            Kind::Text,
            r#""GBP""#,
            "The ISO 4217 code of the currency that costs are kept in.",
        ),
        key(
            "counts",
            Kind::Texts,
            r#"["plank", "hole"]"#,
            "Names of things that the works counts in, beside each, pair, hole, tray and the like.",
        ),
        NOTE,
    ],
};

const PLAN: Section = Section {
    name: "plan",
    doc: "What a plan assumes unless the command line says otherwise.",
    keys: &[
        key(
            "from",
            Kind::Date,
            r#""2026-11-30""#,
            "First day of the horizon. Left out: today, or the first release or due date if later.",
        ),
        key(
            "until",
            Kind::Date,
            r#""2027-01-31""#,
            "Last day of the horizon. Left out: the last due date.",
        ),
        key(
            "certainty",
            Kind::Share,
            r#""95 %""#,
            "How sure it shall be that an order is filled; 95 % if left out.",
        ),
        key(
            "quantities",
            Kind::Texts,
            r#"["2,000", "10,000", "50,000"]"#,
            "Quantities for which prices are worked out.",
        ),
        key(
            "overhead",
            Kind::Quantity("a share, also over 100 %"),
            r#""35 %""#,
            "Overhead as a share of conversion cost: machine, labour, set-up and changeovers, tools.",
        ),
        key(
            "energy",
            Kind::Quantity("money per energy"),
            r#""0.24 GBP/kWh""#,
            "The price of energy.",
        ),
        key(
            "numbers",
            Kind::Text,
            r#""stated""#,
            "`stated` plans with what is written; `measured` with the readings where there are enough.",
        ),
        key(
            "seed",
            Kind::Whole,
            "1",
            "Seed of everything that is drawn at random; the same seed gives the same plan.",
        ),
    ],
};

const CALENDAR: Section = Section {
    name: "calendar",
    doc: "A shift calendar, `[calendar.NAME]`.",
    keys: &[
        must(
            "work",
            Kind::Texts,
            r#"["Mon..Thu 06:00-14:00 14:00-22:00", "Fri 06:00-14:00"]"#,
            "When it works. A shift past midnight belongs to the day it starts on. `always` is round the clock.",
        ),
        key(
            "breaks",
            Kind::Texts,
            r#"["daily 09:30-09:50"]"#,
            "Breaks in the shifts.",
        ),
        key(
            "closed",
            Kind::Texts,
            r#"["2026-12-24..2027-01-01", "05-01"]"#,
            "Closed days; without a year, every year.",
        ),
        key(
            "extra",
            Kind::Texts,
            r#"["2026-12-05 06:00-12:00"]"#,
            "Extra shifts on single days, closed days among them.",
        ),
    ],
};

const CREW: Section = Section {
    name: "crew",
    doc: "People who share a calendar and skills, `[crew.NAME]`.",
    keys: &[
        must("people", Kind::Whole, "4", "How many."),
        must(
            "calendar",
            Kind::NameOf("calendar"),
            r#""days""#,
            "When they work.",
        ),
        key(
            "skills",
            Kind::Texts,
            r#"["sawing", "planing"]"#,
            "What each of them can do. Left out: the name of the crew itself.",
        ),
        key(
            "cost",
            Kind::Quantity("money per time"),
            r#""19.50 GBP/h""#,
            "What one person costs.",
        ),
        key(
            "attendance",
            Kind::Share,
            r#""92 %""#,
            "Share of the calendar that a person is really there, holidays and illness taken off.",
        ),
        NOTE,
    ],
};

const CHANGEOVER: Section = Section {
    name: "changeover",
    doc: "Time lost at a station when the next job differs from the last. The most particular rule wins.",
    keys: &[
        must(
            "on",
            Kind::Text,
            r#""colour""#,
            "The attribute that changes; `product` for any other product.",
        ),
        key(
            "from",
            Kind::Text,
            r#""black""#,
            "Only when it changes from this value.",
        ),
        key(
            "to",
            Kind::Text,
            r#""white""#,
            "Only when it changes to this value.",
        ),
        must("time", Kind::Quantity("time"), r#""25 min""#, "Time lost."),
        key(
            "uses",
            Kind::Map("item", &Kind::Quantity("amount of the item")),
            r#"{ thinner = "0.8 L" }"#,
            "Items used up or spoiled.",
        ),
    ],
};

const STOPS: Section = Section {
    name: "stops",
    doc: "How a station breaks down.",
    keys: &[
        must(
            "run",
            Kind::Quantity("time"),
            r#""22 h""#,
            "Mean running time from one stop to the next.",
        ),
        must(
            "repair",
            Kind::Quantity("time"),
            r#""35 min""#,
            "Mean time until it runs again.",
        ),
    ],
};

const STATION: Section = Section {
    name: "station",
    doc: "A machine, bench, oven or room, or several alike, `[station.NAME]`.",
    keys: &[
        key("count", Kind::Whole, "2", "How many alike; 1 if left out."),
        must(
            "calendar",
            Kind::NameOf("calendar"),
            r#""days""#,
            "When it runs.",
        ),
        key(
            "people",
            Kind::Map("skill", &Kind::Quantity("number of people")),
            "{ sawing = 1 }",
            "People tied up by each one while it runs, by skill; parts of a person may be written.",
        ),
        key(
            "cost",
            Kind::Quantity("money per time"),
            r#""28 GBP/h""#,
            "What one of them costs while it runs, people apart.",
        ),
        key(
            "power",
            Kind::Quantity("power"),
            r#""5.5 kW""#,
            "Power while it runs.",
        ),
        key(
            "stops",
            Kind::Table(&STOPS),
            r#"{ run = "22 h", repair = "35 min" }"#,
            "Breakdowns.",
        ),
        key(
            "changeover",
            Kind::Tables(&CHANGEOVER),
            r#"[{ on = "colour", time = "25 min" }]"#,
            "Time lost between unlike jobs.",
        ),
        key(
            "mixes_only",
            Kind::Texts,
            r#"["oven recipe"]"#,
            "Attributes in which everything in one load must agree.",
        ),
        key(
            "drilling",
            Kind::Table(&cut::DRILLING),
            r#"{ speed = "30 m/min", acceleration = "2 m/s2", clear = "5 mm" }"#,
            "What it can do as a drilling machine.",
        ),
        key(
            "heat",
            Kind::Table(&heat::CHAMBER),
            r#"{ power = "60 kW", stores = "220 kJ/K", air_speed = "2 m/s" }"#,
            "What it is as an oven, a freezer or a room.",
        ),
        key(
            "moulding",
            Kind::Table(&moisture::MOULDING),
            r#"{ clamp = "900 kN", barrel = "240 g" }"#,
            "What it is as a moulding machine.",
        ),
        key(
            "hazards",
            Kind::NamesOf("hazard"),
            r#"["wood dust"]"#,
            "Hazards of the place.",
        ),
        NOTE,
    ],
};

const PRICE_BREAK: Section = Section {
    name: "price break",
    doc: "A price that holds from an amount on.",
    keys: &[
        must(
            "from",
            Kind::Quantity("amount of the item"),
            r#""500 plank""#,
            "From this amount on.",
        ),
        must(
            "price",
            Kind::Quantity("money per item unit"),
            r#""10.60 GBP/plank""#,
            "The price.",
        ),
    ],
};

const BUY: Section = Section {
    name: "buy",
    doc: "How an item is bought.",
    keys: &[
        must(
            "price",
            Kind::Quantity("money per item unit"),
            r#""11.40 GBP/plank""#,
            "The price of one unit.",
        ),
        key(
            "pack",
            Kind::Quantity("amount of the item"),
            r#""40 plank""#,
            "It is sold in whole packs of this.",
        ),
        key(
            "minimum",
            Kind::Quantity("amount of the item"),
            r#""80 plank""#,
            "Least amount of one purchase.",
        ),
        key(
            "lead",
            Kind::Quantity("time"),
            r#""10 d""#,
            "Time from order to arrival, in calendar days.",
        ),
        key(
            "breaks",
            Kind::Tables(&PRICE_BREAK),
            r#"[{ from = "500 plank", price = "10.60 GBP/plank" }]"#,
            "Lower prices from larger amounts.",
        ),
        key(
            "supplier",
            Kind::Text,
            r#""Tarrant Timber""#,
            "Who sells it.",
        ),
    ],
};

const ITEM: Section = Section {
    name: "item",
    doc: "Something bought, made, passed on or left over, `[item.NAME]`.",
    keys: &[
        key(
            "unit",
            Kind::Text,
            r#""plank""#,
            "The unit it is counted in. A product takes it from its route.",
        ),
        key(
            "buy",
            Kind::Table(&BUY),
            r#"{ price = "11.40 GBP/plank", pack = "40 plank" }"#,
            "How it is bought.",
        ),
        key(
            "worth",
            Kind::Quantity("money per item unit"),
            r#""0.08 GBP/kg""#,
            "What a left-over unit brings; below zero when getting rid of it costs.",
        ),
        key(
            "mass",
            Kind::Quantity("mass per item unit"),
            r#""5.1 kg/plank""#,
            "Mass of one unit, for the mass balance.",
        ),
        key(
            "attributes",
            Kind::Map("attribute", &Kind::Text),
            r#"{ colour = "green" }"#,
            "Properties that changeovers and loads look at.",
        ),
        key(
            "keeps_for",
            Kind::Quantity("time"),
            r#""21 d""#,
            "How long it keeps.",
        ),
        NOTE,
    ],
};

const HAZARD: Section = Section {
    name: "hazard",
    doc: "A hazard that stations and operations name, `[hazard.NAME]`. Common ones (hot surfaces, wood dust, solvent vapour, moving blades, raw food …) are known and need no table; a table replaces the caution.",
    keys: &[
        must(
            "caution",
            Kind::Text,
            r#""Extract at the tool; no compressed-air blow-down.""#,
            "The caution shown wherever the hazard applies.",
        ),
        key(
            "defer_to",
            Kind::Text,
            r#""local dust and explosion rules; the works' safety adviser""#,
            "Who decides.",
        ),
    ],
};

/// `works.toml` and every other TOML file beside it.
pub const WORKS: Section = Section {
    name: "works file",
    doc: "`works.toml`. Any other `*.toml` at the top of the folder may hold more of the same sections, `[works]` and `[plan]` apart.",
    keys: &[
        must(
            "works",
            Kind::Table(&WORKS_HEAD),
            "",
            "What holds for the whole works.",
        ),
        key("plan", Kind::Table(&PLAN), "", "What a plan assumes."),
        key(
            "units",
            Kind::Map("unit", &Kind::Quantity("anything")),
            r#"{ bale = "24 each" }"#,
            "Units of the works' own.",
        ),
        key(
            "calendar",
            Kind::Map("calendar", &Kind::Table(&CALENDAR)),
            "",
            "Shift calendars.",
        ),
        key("crew", Kind::Map("crew", &Kind::Table(&CREW)), "", "Crews."),
        key(
            "station",
            Kind::Map("station", &Kind::Table(&STATION)),
            "",
            "Stations.",
        ),
        key("item", Kind::Map("item", &Kind::Table(&ITEM)), "", "Items."),
        key(
            "hazard",
            Kind::Map("hazard", &Kind::Table(&HAZARD)),
            "",
            "Hazards.",
        ),
        key(
            "material",
            Kind::Map("material", &Kind::Table(&heat::MATERIAL)),
            "",
            "What pieces are made of, for `heat` and `mould`.",
        ),
    ],
};

const ROUTE_HEAD: Section = Section {
    name: "route",
    doc: "What the route makes.",
    keys: &[
        must(
            "makes",
            Kind::Text,
            r#""nest block""#,
            "The product: an item of the works, or a new one.",
        ),
        key(
            "unit",
            Kind::Text,
            r#""each""#,
            "The unit that it is counted in; needed unless the item says it.",
        ),
        key(
            "lot",
            Kind::Quantity("amount of the product"),
            r#""600 each""#,
            "Amount made in one go. Left out: each order is one lot. Set-ups are paid once a lot, and yields differ from lot to lot.",
        ),
        key(
            "transfer",
            Kind::Quantity("amount of the product"),
            r#""60 each""#,
            "Amount handed on to the next station together. Left out: the whole lot.",
        ),
        key(
            "mass",
            Kind::Quantity("mass per item unit"),
            r#""0.84 kg""#,
            "Mass of one unit of the product.",
        ),
        key(
            "worth",
            Kind::Quantity("money per item unit"),
            r#""9.50 GBP/each""#,
            "What one unit of the product sells for; used to share cost with co-products.",
        ),
        key(
            "attributes",
            Kind::Map("attribute", &Kind::Text),
            r#"{ colour = "green" }"#,
            "Properties that changeovers and loads look at.",
        ),
        key(
            "keeps_for",
            Kind::Quantity("time"),
            r#""9 mo""#,
            "How long the product keeps.",
        ),
        key(
            "revision",
            Kind::Text,
            r#""C""#,
            "Revision of the route; stands on drawings and machine programs.",
        ),
        NOTE,
    ],
};

const TAKE: Section = Section {
    name: "what is taken",
    doc: "An amount taken, with more to say about it.",
    keys: &[
        must(
            "amount",
            Kind::Quantity("amount of the item"),
            r#""5.4 g""#,
            "How much for one unit made, before losses.",
        ),
        key(
            "per",
            Kind::Quantity("amount of the output"),
            r#""12 each""#,
            "The amount is for this many units made, not for one.",
        ),
        key(
            "regrind",
            Kind::NameOf("item"),
            r#""glider regrind""#,
            "A left-over item that may replace part of it.",
        ),
        key(
            "at_most",
            Kind::Share,
            r#""25 %""#,
            "Largest share that may be replaced; needed with `regrind`.",
        ),
        key(
            "source",
            Kind::Text,
            r#""drawing 114 rev C""#,
            "Where the number is from.",
        ),
    ],
};

const MAKES: Section = Section {
    name: "what is made",
    doc: "Units made from one recipe when the number varies.",
    keys: &[
        must(
            "mean",
            Kind::Quantity("amount of the output"),
            r#""14 each""#,
            "The mean.",
        ),
        key(
            "each",
            Kind::Quantity("amount of the output"),
            r#""4 each""#,
            "Standard deviation from one recipe to the next inside a lot.",
        ),
        key(
            "lots",
            Kind::Quantity("amount of the output"),
            r#""0.7 each""#,
            "Standard deviation of the lots' own means.",
        ),
        key(
            "source",
            Kind::Text,
            r#""sawmill sheets, 2026""#,
            "Where the numbers are from.",
        ),
    ],
};

const REJECT: Section = Section {
    name: "rejects",
    doc: "Where units that do not pass go. Several may be listed with shares.",
    keys: &[
        key(
            "share",
            Kind::Share,
            r#""60 %""#,
            "Share of the rejects; one entry may leave it out and gets the rest.",
        ),
        key(
            "rework",
            Kind::NameOf("operation"),
            r#""sand""#,
            "They go (back) to this operation of the route.",
        ),
        key(
            "item",
            Kind::NameOf("item"),
            r#""kindling""#,
            "They become this item.",
        ),
        key(
            "amount",
            Kind::Quantity("amount of the item"),
            r#""0.09 kg""#,
            "How much of the item one rejected unit becomes; worked out from the masses when left out.",
        ),
    ],
};

const PACE: Section = Section {
    name: "pace",
    doc: "A load (`holds`, `dwell`), or a flow with the time to pass through.",
    keys: &[
        key(
            "holds",
            Kind::Quantity("amount of the output"),
            r#""90 each""#,
            "What one load holds.",
        ),
        key(
            "dwell",
            Kind::Quantity("time"),
            r#""14 min""#,
            "Time that a load is inside.",
        ),
        key(
            "turn",
            Kind::Quantity("time"),
            r#""8 min""#,
            "Time to take a load out and put the next one in.",
        ),
        key(
            "at_least",
            Kind::Share,
            r#""50 %""#,
            "Least share of a full load that is worth starting.",
        ),
        key(
            "rate",
            Kind::Quantity("amount of the output per time, or speed"),
            r#""2.4 m/min""#,
            "Flow.",
        ),
        key(
            "through",
            Kind::Quantity("time, or length of the conveyor"),
            r#""18 m""#,
            "Time that a unit takes to pass, or the length that it travels at the rate.",
        ),
        key(
            "source",
            Kind::Text,
            r#""line log""#,
            "Where the numbers are from.",
        ),
    ],
};

const WAIT: Section = Section {
    name: "wait",
    doc: "Time since the operation before.",
    keys: &[
        key(
            "at_least",
            Kind::Quantity("time"),
            r#""5 min""#,
            "No sooner.",
        ),
        key(
            "at_most",
            Kind::Quantity("time"),
            r#""40 min""#,
            "No later.",
        ),
    ],
};

const SETTING: Section = Section {
    name: "setting",
    doc: "A setting of the station.",
    keys: &[
        must(
            "aim",
            Kind::Quantity("anything"),
            r#""190 degC""#,
            "What it is set to.",
        ),
        key(
            "within",
            Kind::Quantity("the same, as a difference"),
            r#""5 degC""#,
            "Allowed to either side.",
        ),
        key(
            "critical",
            Kind::Flag,
            "true",
            "The product depends on it: a check of the same name must watch it.",
        ),
    ],
};

const CHECK: Section = Section {
    name: "check",
    doc: "Something that is tested.",
    keys: &[
        must(
            "what",
            Kind::Text,
            r#""film""#,
            "What is tested: a setting, or a characteristic.",
        ),
        key(
            "limit",
            Kind::Quantity("a range"),
            r#""60..90 um""#,
            "Limits to both sides.",
        ),
        key(
            "at_least",
            Kind::Quantity("anything"),
            r#""18 N""#,
            "Lower limit.",
        ),
        key(
            "at_most",
            Kind::Quantity("anything"),
            r#""0.3 mm""#,
            "Upper limit.",
        ),
        must(
            "every",
            Kind::Text,
            r#""load""#,
            "How often: `unit`, `lot`, `load`, `shift`, or an amount or a time such as `500 each` or `1 h`.",
        ),
        key(
            "sample",
            Kind::Quantity("amount of the output"),
            r#""5 each""#,
            "Units in one sample; 1 if left out.",
        ),
        key("destroys", Kind::Flag, "true", "The sample is lost."),
        key(
            "time",
            Kind::Quantity("time"),
            r#""4 min""#,
            "Time for one sample.",
        ),
        key(
            "cost",
            Kind::Quantity("money"),
            r#""6 GBP""#,
            "Cost of one sample, time apart.",
        ),
        key("by", Kind::NameOf("skill"), r#""testing""#, "Who does it."),
    ],
};

const TOOL: Section = Section {
    name: "tool",
    doc: "A tool that wears.",
    keys: &[
        must("name", Kind::Text, r#""planer knives""#, "Its name."),
        must(
            "life",
            Kind::Quantity("amount of the output or of an input, or running time"),
            r#""2,400 m""#,
            "How long it lasts.",
        ),
        key(
            "change",
            Kind::Quantity("time"),
            r#""25 min""#,
            "Time to change it.",
        ),
        key(
            "cost",
            Kind::Quantity("money"),
            r#""38 GBP""#,
            "Cost of one set or regrind.",
        ),
    ],
};

const TASK: Section = Section {
    name: "task",
    doc: "An element of manual work that may be given to any of several people.",
    keys: &[
        must("name", Kind::Text, r#""fold corner""#, "Its name."),
        must(
            "time",
            Kind::Quantity("time"),
            r#""14 s""#,
            "Time for one unit.",
        ),
        key(
            "after",
            Kind::Texts,
            r#"["place core"]"#,
            "Tasks of the operation that must be done before.",
        ),
    ],
};

const QUANTITY: Kind = Kind::Quantity("amount of the item");
const SETTING_KIND: Kind = Kind::Either(&[Kind::Quantity("anything"), Kind::Table(&SETTING)]);
const TAKE_KIND: Kind = Kind::Either(&[QUANTITY, Kind::Table(&TAKE)]);
const MAKES_KIND: Kind =
    Kind::Either(&[Kind::Quantity("amount of the output"), Kind::Table(&MAKES)]);

const ALTERNATIVE: Section = Section {
    name: "station choice",
    doc: "A station that can do the operation, with a pace of its own.",
    keys: &[
        must(
            "station",
            Kind::NameOf("station"),
            r#""band saw""#,
            "The station.",
        ),
        key(
            "pace",
            Kind::Either(&[Kind::Quantity("time or rate"), Kind::Table(&PACE)]),
            r#""12 s""#,
            "Its pace; that of the operation if left out.",
        ),
    ],
};

const OPERATION: Section = Section {
    name: "operation",
    doc: "One step, `[[operation]]`, in the order in which it is done.",
    keys: &[
        must(
            "name",
            Kind::Text,
            r#""cross-cut""#,
            "Its name, one of a kind in the route.",
        ),
        key(
            "at",
            Kind::Either(&[
                Kind::NameOf("station"),
                Kind::NamesOf("station"),
                Kind::Tables(&ALTERNATIVE),
            ]),
            r#""chop saw""#,
            "Where it happens: a station, or several that can do it, the usual one first.",
        ),
        key(
            "takes",
            Kind::Map("item", &TAKE_KIND),
            r#"{ "ash strip" = "0.19 m" }"#,
            "What one unit made takes, before losses: things bought, made by other routes, or made earlier in this one. An operation that takes nothing made earlier in its route takes one unit of what the operation before passes on.",
        ),
        key(
            "starts",
            Kind::Flag,
            "true",
            "It begins a branch: it takes nothing from the operation before.",
        ),
        key(
            "makes",
            Kind::Either(&[Kind::Text, Kind::Map("item", &MAKES_KIND)]),
            r#"{ "ash strip" = "7.05 m" }"#,
            "What it passes on, if that needs a name. With an amount, `takes`, `also` and `pace` are for that amount.",
        ),
        key(
            "uses_up",
            Kind::NameOf("item"),
            r#""glider sprue""#,
            "It runs on all there is of this left-over item, beside the main line.",
        ),
        key(
            "also",
            Kind::Map("item", &TAKE_KIND),
            r#"{ "duck mince" = "4 %" }"#,
            "What it yields beside, for one unit made before losses.",
        ),
        key(
            "keeps",
            Kind::Yield,
            r#"{ mean = "93 %", lots = "1.2 %" }"#,
            "Yield of measure: the share of mass or length that goes on (trim, drip, drying). May be over 100 %.",
        ),
        key(
            "lost_as",
            Kind::Text,
            r#""drip""#,
            "What the mass that goes missing here is.",
        ),
        key(
            "good",
            Kind::Yield,
            r#"{ mean = "97 %", lots = "1.5 %" }"#,
            "Chance that a unit passes, and its spread between lots.",
        ),
        key(
            "rejects",
            Kind::Either(&[Kind::Text, Kind::Table(&REJECT), Kind::Tables(&REJECT)]),
            r#"{ rework = "sand" }"#,
            "Where units that do not pass go: `scrap`, an item, or rework.",
        ),
        key(
            "off_line",
            Kind::Flag,
            "true",
            "It stands beside the main line and is fed by rework only.",
        ),
        key(
            "then",
            Kind::NameOf("operation"),
            r#""inspect""#,
            "For an operation beside the line: where its output goes on.",
        ),
        key(
            "pace",
            Kind::Either(&[
                Kind::Quantity("time for one unit, or amount per time"),
                Kind::Table(&PACE),
            ]),
            r#""9 s""#,
            "How long it takes: a time for each unit, a rate, or a load.",
        ),
        key(
            "does",
            Kind::Texts,
            r#"["24 hole", "0.19 m"]"#,
            "What else one unit made counts as: holes drilled, strokes, length run. `pace`, loads and tool lives may then be said in it: `600 hole/min`, `20,000 hole`.",
        ),
        key(
            "people",
            Kind::Map("skill", &Kind::Quantity("number of people")),
            "{ packing = 2 }",
            "People tied up while it runs, instead of the station's.",
        ),
        key(
            "setup",
            Kind::Quantity("time"),
            r#""20 min""#,
            "Set-up before each lot.",
        ),
        key(
            "wait",
            Kind::Table(&WAIT),
            r#"{ at_least = "5 min", at_most = "40 min" }"#,
            "Times that must or may pass since the operation before.",
        ),
        key(
            "settings",
            Kind::Map("setting", &SETTING_KIND),
            r#"{ oven = { aim = "190 degC", within = "5 degC", critical = true } }"#,
            "Settings of the station.",
        ),
        key(
            "checks",
            Kind::Tables(&CHECK),
            r#"[{ what = "film", limit = "60..90 um", every = "load" }]"#,
            "What is tested.",
        ),
        key(
            "tools",
            Kind::Tables(&TOOL),
            r#"[{ name = "knives", life = "2,400 m", change = "25 min", cost = "38 GBP" }]"#,
            "Tools that wear.",
        ),
        key(
            "hazards",
            Kind::NamesOf("hazard"),
            r#"["hot surfaces"]"#,
            "Hazards.",
        ),
        key(
            "energy",
            Kind::Quantity("energy per unit"),
            r#""0.05 kWh/each""#,
            "Energy beyond the station's power.",
        ),
        key(
            "tasks",
            Kind::Tables(&TASK),
            r#"[{ name = "fold", time = "14 s" }]"#,
            "Elements of manual work that may be split over people: the line is balanced from them.",
        ),
        key(
            "cut",
            Kind::Table(&cut::CUT),
            r#"{ bars = [{ length = "6 m" }], kerf = "3 mm", parts = [{ item = "rail", length = "1.2 m" }] }"#,
            "How it cuts its stock up; the yield that follows replaces or is held against the stated one.",
        ),
        key(
            "drill",
            Kind::Table(&cut::DRILL),
            r#"{ outline = { length = "190 mm", width = "45 mm" }, thick = "136 mm", holes = [{ pattern = "rows", diameter = "8 mm", pitch = "22 mm" }] }"#,
            "The holes that it drills; the time that follows replaces or is held against the stated pace.",
        ),
        key(
            "fill",
            Kind::Table(&cut::FILL),
            r#"{ holes_of = "drill", puts = "paper tube", miss = "1.6 %" }"#,
            "What it puts into holes; the amounts that follow replace or are held against those of `takes`.",
        ),
        key(
            "heat",
            Kind::Table(&heat::HEAT),
            r#"{ body = { form = "sheet", of = "mild steel", thick = "0.8 mm" }, from = "20 degC", air = "oven", surface = "22 W/(m2 K)", needs = [{ reach = "185 degC", hold = "10 min" }] }"#,
            "What it does by heat or cold: oven, dryer, chill, thaw, temper, freeze. The history of the slowest and the fastest piece is held against what it must do.",
        ),
        key(
            "salt",
            Kind::Table(&moisture::SALT),
            r#"{ thick = "22 mm", diffusivity = "2.2e-10 m2/s", item = "curing salt", water = "68 %", needs = [{ at_least = "3.5 %", source = "food-safety plan" }] }"#,
            "Salt that goes into the piece.",
        ),
        key(
            "drying",
            Kind::Table(&moisture::DRYING),
            r#"{ until = "9.5 %", logs = ["kiln-2026-11-10.csv"] }"#,
            "Loss of weight by drying.",
        ),
        key(
            "mould",
            Kind::Table(&moisture::MOULD),
            r#"{ wall = "2 mm", of = "nylon", melt = "melt", mould = "mould", eject = "120 degC" }"#,
            "The cooling of a part in its mould; the cycle that follows replaces or is held against the stated pace.",
        ),
        key(
            "solvent",
            Kind::Table(&moisture::SOLVENT),
            r#"{ amount = "6 g", molar_mass = "106 g/mol", lower_limit = "1.0 %", source = "safety data sheet" }"#,
            "Solvent that goes into the air, and whether the fresh air thins it enough.",
        ),
        NOTE,
    ],
};

/// `routes/*.toml`.
pub const ROUTE: Section = Section {
    name: "route file",
    doc: "`routes/*.toml`: how one product is made.",
    keys: &[
        must(
            "route",
            Kind::Table(&ROUTE_HEAD),
            "",
            "What the route makes.",
        ),
        must(
            "operation",
            Kind::Tables(&OPERATION),
            "",
            "Its operations, in order.",
        ),
    ],
};
