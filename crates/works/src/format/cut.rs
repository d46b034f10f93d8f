//! The keys of cutting, drilling and filling.

use super::{Key, Kind, Section, key, must};

const LENGTH: Kind = Kind::Quantity("length");

const fn length(name: &'static str, example: &'static str, doc: &'static str) -> Key {
    key(name, LENGTH, example, doc)
}

const fn must_length(name: &'static str, example: &'static str, doc: &'static str) -> Key {
    must(name, LENGTH, example, doc)
}

const NUMBERS: Key = key(
    "numbers",
    Kind::Text,
    r#""stated""#,
    "`computed` plans with what is worked out here, `stated` with what the route says; either way the two are held against each other. `computed` if left out.",
);

const FAULTS: Section = Section {
    name: "faults",
    doc: "Faults of boards that nobody has measured yet; taken from the measured boards when left out.",
    keys: &[
        must(
            "per_metre",
            Kind::Quantity("faults per length"),
            r#""0.8 each/m""#,
            "Faults in each metre, over all lots.",
        ),
        key(
            "lots",
            Kind::Quantity("faults per length"),
            r#""0.2 each/m""#,
            "Standard deviation of that rate from lot to lot.",
        ),
        must_length(
            "long",
            r#""22 mm""#,
            "Length of one along the board, without margins.",
        ),
    ],
};

const BOARDS: Section = Section {
    name: "boards",
    doc: "Boards with faults: how large they are, which were measured, and what is expected of the rest.",
    keys: &[
        key(
            "item",
            Kind::NameOf("item"),
            r#""ash strip""#,
            "The item that a board is; the only input of the operation if left out.",
        ),
        must_length(
            "length",
            r#""2.35 m""#,
            "Length of a board that nobody has measured.",
        ),
        must_length("width", r#""140 mm""#, "Its width."),
        key(
            "measured",
            Kind::Text,
            r#""ash-strips.csv""#,
            "A table in the folder `boards` with the faults of measured boards.",
        ),
        key(
            "faults",
            Kind::Table(&FAULTS),
            r#"{ per_metre = "0.8 each/m", long = "22 mm" }"#,
            "Faults of boards that nobody has measured.",
        ),
        key(
            "first",
            Kind::Text,
            r#""rip""#,
            "Which cut comes first: `rip`, `cross-cut`, `either`, or `across only` for parts as wide as the board, which is so when left out.",
        ),
        key(
            "margin",
            Kind::Either(&[LENGTH, Kind::Table(&MARGIN)]),
            r#""8 mm""#,
            "What is cut off on either side of a fault.",
        ),
    ],
};

const MARGIN: Section = Section {
    name: "margin",
    doc: "What is cut off on either side of a fault.",
    keys: &[
        must_length("along", r#""8 mm""#, "Along the board."),
        must_length("across", r#""3 mm""#, "Across it."),
    ],
};

const SPLICE: Section = Section {
    name: "splice",
    doc: "A splice or fault of a bar or reel that may not come into a part.",
    keys: &[
        must_length("from", r#""118.2 m""#, "Where it begins."),
        must_length("to", r#""118.5 m""#, "Where it ends."),
    ],
};

const BAR: Section = Section {
    name: "bar",
    doc: "A length of bar, strip or reel to be had.",
    keys: &[
        key(
            "item",
            Kind::NameOf("item"),
            r#""edge strip""#,
            "The item; the only input of the operation if left out.",
        ),
        must_length("length", r#""6 m""#, "Its length."),
        key(
            "at_most",
            Kind::Whole,
            "40",
            "How many there are; as many as wanted if left out.",
        ),
        key(
            "splices",
            Kind::Tables(&SPLICE),
            r#"[{ from = "118.2 m", to = "118.5 m" }]"#,
            "Splices and faults, from the left end.",
        ),
    ],
};

const SHEET: Section = Section {
    name: "sheet",
    doc: "A size of sheet to be had.",
    keys: &[
        key(
            "item",
            Kind::NameOf("item"),
            r#""steel sheet""#,
            "The item; the only input of the operation if left out.",
        ),
        must_length("length", r#""2,500 mm""#, "Its length, along the grain."),
        must_length("width", r#""1,250 mm""#, "Its width."),
        key(
            "at_most",
            Kind::Whole,
            "40",
            "How many there are; as many as wanted if left out.",
        ),
    ],
};

const FRAME: Section = Section {
    name: "frame",
    doc: "A rectangular frame folded from notched strip; the part's length is its blank.",
    keys: &[
        must_length("width", r#""600 mm""#, "Outer width."),
        must_length("height", r#""420 mm""#, "Outer height."),
        must_length("thick", r#""0.8 mm""#, "Thickness of the strip."),
        must_length("radius", r#""1 mm""#, "Inner radius of a fold."),
        key(
            "k",
            Kind::Share,
            "0.40",
            "Where the neutral line lies, as a share of the thickness: 0.33 to 0.5; 0.40 if left out.",
        ),
        must_length(
            "flange",
            r#""18 mm""#,
            "Depth of the flange that is notched.",
        ),
        length("lap", r#""15 mm""#, "Overlap at the join."),
        key(
            "within",
            Kind::Quantity("angle"),
            r#""0.5 deg""#,
            "What a fold may be off its angle.",
        ),
    ],
};

const PART: Section = Section {
    name: "part",
    doc: "One line of the cutting list.",
    keys: &[
        key(
            "item",
            Kind::NameOf("item"),
            r#""nest blank""#,
            "The item that it is: what the operation passes on, or one of `also`. The plan says how many are needed.",
        ),
        key(
            "name",
            Kind::Text,
            r#""long rail""#,
            "The name of a part that the route does not know; it needs `need`.",
        ),
        length("length", r#""190 mm""#, "Its length."),
        length(
            "width",
            r#""136 mm""#,
            "Its width; the board's own if left out.",
        ),
        key(
            "frame",
            Kind::Table(&FRAME),
            r#"{ width = "600 mm", height = "420 mm", thick = "0.8 mm", radius = "1 mm", flange = "18 mm" }"#,
            "Instead of a length: the frame that is folded from it.",
        ),
        key(
            "need",
            Kind::Whole,
            "40",
            "How many are needed; as the plan finds if left out.",
        ),
        key(
            "clear",
            Kind::Text,
            r#""one face""#,
            "What its faces must be like: `both faces` clear (if left out), `one face` clear and the other sound, or `sound`.",
        ),
        key(
            "turn",
            Kind::Flag,
            "true",
            "It may be turned by a quarter (no grain).",
        ),
        key(
            "worth",
            Kind::Quantity("money"),
            r#""2.10 GBP""#,
            "What one is worth when boards are shared out; in proportion to its size if left out.",
        ),
    ],
};

const KERF: Section = Section {
    name: "kerf",
    doc: "Width of the cut.",
    keys: &[
        length("rip", r#""3.2 mm""#, "Along the board or sheet."),
        length("cross", r#""4 mm""#, "Across it."),
    ],
};

const TRIM: Section = Section {
    name: "trim",
    doc: "What is taken off before anything else.",
    keys: &[
        length("ends", r#""30 mm""#, "At each end."),
        length("edges", r#""5 mm""#, "At each edge."),
    ],
};

const KEEP: Section = Section {
    name: "keep",
    doc: "Left-overs worth keeping.",
    keys: &[
        must_length("length", r#""0.6 m""#, "At least so long."),
        length("width", r#""300 mm""#, "At least so wide (sheets)."),
        key(
            "worth",
            Kind::Share,
            r#""60 %""#,
            "What it is worth, as a share of new stock of its size; nothing if left out.",
        ),
    ],
};

/// How an operation cuts its stock up.
pub(super) const CUT: Section = Section {
    name: "cut",
    doc: "How the operation cuts its stock up: `boards`, `bars` or `sheets`, and the cutting list.",
    keys: &[
        key(
            "boards",
            Kind::Table(&BOARDS),
            r#"{ length = "2.35 m", width = "140 mm", measured = "ash-strips.csv" }"#,
            "Boards with faults are cut.",
        ),
        key(
            "bars",
            Kind::Tables(&BAR),
            r#"[{ length = "6 m" }]"#,
            "Bars, strip or reels are cut.",
        ),
        key(
            "sheets",
            Kind::Tables(&SHEET),
            r#"[{ length = "2,500 mm", width = "1,250 mm" }]"#,
            "Sheets are cut, from edge to edge.",
        ),
        must(
            "parts",
            Kind::Tables(&PART),
            r#"[{ item = "nest blank", length = "190 mm" }]"#,
            "The cutting list.",
        ),
        key(
            "kerf",
            Kind::Either(&[LENGTH, Kind::Table(&KERF)]),
            r#""4 mm""#,
            "Width of the cut; none if left out (a shear). On sheets the wider of the two counts both ways.",
        ),
        key(
            "trim",
            Kind::Either(&[LENGTH, Kind::Table(&TRIM)]),
            r#"{ ends = "30 mm" }"#,
            "What is taken off before anything else; a single length is for each end.",
        ),
        key(
            "stages",
            Kind::Text,
            r#""two""#,
            "How the cuts of a sheet follow each other: `two` (strips, then parts, and a trimming cut), `three`, or `free` (any cuts from edge to edge; so when left out).",
        ),
        key(
            "keep",
            Kind::Table(&KEEP),
            r#"{ length = "0.6 m", worth = "60 %" }"#,
            "Left-overs worth keeping.",
        ),
        key(
            "patterns",
            Kind::Whole,
            "4",
            "At most so many different patterns (bars).",
        ),
        key(
            "pieces",
            Kind::Whole,
            "12",
            "At most so many parts out of one bar (knives, stops).",
        ),
        NUMBERS,
    ],
};

const CORNER: Section = Section {
    name: "corner",
    doc: "A corner of an outline, anticlockwise.",
    keys: &[
        must_length("x", r#""0 mm""#, "Along x."),
        must_length("y", r#""45 mm""#, "Along y."),
        length(
            "rise",
            r#""6 mm""#,
            "How far the edge to the next corner bulges outward; straight if left out, inward below zero.",
        ),
    ],
};

const OUTLINE: Section = Section {
    name: "outline",
    doc: "The face that is drilled: a rectangle, an ellipse, or corners. Its lower left corner is (0, 0).",
    keys: &[
        length("length", r#""190 mm""#, "Along x."),
        length("width", r#""45 mm""#, "Along y."),
        length(
            "corner",
            r#""6 mm""#,
            "Radius of the corners of a rectangle.",
        ),
        key(
            "ellipse",
            Kind::Flag,
            "true",
            "It is an ellipse (a circle when both are equal).",
        ),
        key(
            "corners",
            Kind::Tables(&CORNER),
            r#"[{ x = "0 mm", y = "0 mm" }, { x = "90 mm", y = "0 mm" }, { x = "0 mm", y = "60 mm" }]"#,
            "Or the corners of any outline.",
        ),
    ],
};

const POINT: Section = Section {
    name: "point",
    doc: "A point on the face, from its lower left corner.",
    keys: &[
        must_length("x", r#""20 mm""#, "Along x."),
        must_length("y", r#""20 mm""#, "Along y."),
    ],
};

const HOLES: Section = Section {
    name: "holes",
    doc: "Holes that follow one rule, or are listed in a table.",
    keys: &[
        must(
            "pattern",
            Kind::Text,
            r#""staggered""#,
            "`rows`, `staggered`, `rings`, `along` a line, `around` the outline, or `listed` in a table.",
        ),
        must_length("diameter", r#""8 mm""#, "Across."),
        length(
            "depth",
            r#""100 mm""#,
            "How deep, along the hole; right through if left out.",
        ),
        key(
            "tool",
            Kind::Text,
            r#""brad point 8""#,
            "The tool; named after the diameter if left out.",
        ),
        key(
            "lean",
            Kind::Quantity("angle"),
            r#""6 deg""#,
            "Lean from the upright.",
        ),
        key(
            "toward",
            Kind::Quantity("angle"),
            r#""90 deg""#,
            "Where it leans to, from the x axis.",
        ),
        key(
            "face",
            Kind::Whole,
            "1",
            "Which face of the part; 1 if left out.",
        ),
        length(
            "pitch",
            r#""22 mm""#,
            "Distance from hole to hole; along a line and around an outline the least distance, opened out evenly.",
        ),
        length(
            "row_pitch",
            r#""15 mm""#,
            "Distance from row to row; as `pitch`, or that of a triangle for staggered rows, if left out.",
        ),
        key(
            "across",
            Kind::Whole,
            "8",
            "Holes in a row; as many as fit if left out.",
        ),
        key(
            "rows",
            Kind::Whole,
            "3",
            "Rows; as many as fit if left out.",
        ),
        key(
            "turned",
            Kind::Quantity("angle"),
            r#""15 deg""#,
            "Angle of the rows.",
        ),
        key(
            "radii",
            Kind::Texts,
            r#"["0 mm", "14 mm", "28 mm"]"#,
            "Radius of each ring.",
        ),
        key(
            "counts",
            Kind::Texts,
            r#"["1", "6", "12"]"#,
            "Holes in each ring.",
        ),
        key(
            "points",
            Kind::Tables(&POINT),
            r#"[{ x = "10 mm", y = "10 mm" }, { x = "80 mm", y = "10 mm" }]"#,
            "The line that holes lie along.",
        ),
        length(
            "inset",
            r#""9 mm""#,
            "Distance from the outline to the middle of the holes.",
        ),
        key(
            "count",
            Kind::Whole,
            "14",
            "How many along the line, evenly, instead of a pitch.",
        ),
        key(
            "file",
            Kind::Text,
            r#""block.csv""#,
            "A table in the folder `holes` with columns `x` and `y`, and `diameter`, `depth`, `tool` where they differ.",
        ),
        length(
            "feed",
            r#""0.25 mm""#,
            "Advance in one turn; needs `speed`.",
        ),
        key(
            "speed",
            Kind::Quantity("turns per time"),
            r#""2,900 rpm""#,
            "Speed of the tool.",
        ),
        key(
            "plunge",
            Kind::Quantity("length per time"),
            r#""0.8 m/min""#,
            "Advance per time, instead of the two.",
        ),
        length(
            "peck",
            r#""30 mm""#,
            "Depth of one bite when chips must be cleared.",
        ),
        key(
            "dwell",
            Kind::Quantity("time"),
            r#""0.2 s""#,
            "Time at the bottom.",
        ),
    ],
};

/// The holes of a part.
pub(super) const DRILL: Section = Section {
    name: "drill",
    doc: "The holes that the operation drills: held against edges and each other, put in order, timed.",
    keys: &[
        must(
            "outline",
            Kind::Table(&OUTLINE),
            r#"{ length = "190 mm", width = "45 mm", corner = "6 mm" }"#,
            "The face that is drilled.",
        ),
        must_length(
            "thick",
            r#""136 mm""#,
            "Thickness of the part behind the face.",
        ),
        length(
            "edge",
            r#""4 mm""#,
            "Least distance from a hole's edge to the outline.",
        ),
        length("web", r#""5 mm""#, "Least material between two holes."),
        length("floor", r#""20 mm""#, "Least material below a blind hole."),
        key(
            "point",
            Kind::Quantity("angle"),
            r#""118 deg""#,
            "Full angle of the drill's point, which goes deeper than the hole; flat if left out.",
        ),
        must(
            "holes",
            Kind::Tables(&HOLES),
            r#"[{ pattern = "rows", diameter = "8 mm", depth = "100 mm", pitch = "22 mm", plunge = "0.8 m/min" }]"#,
            "The holes.",
        ),
        key(
            "park",
            Kind::Table(&POINT),
            r#"{ x = "0 mm", y = "0 mm" }"#,
            "Where the heads start and park; the lower left corner if left out.",
        ),
        NUMBERS,
    ],
};

/// What goes into holes.
pub(super) const FILL: Section = Section {
    name: "fill",
    doc: "What goes into the holes that another operation drills.",
    keys: &[
        must(
            "holes_of",
            Kind::NameOf("operation"),
            r#""drill""#,
            "The operation of the route that drills them.",
        ),
        must(
            "puts",
            Kind::NameOf("item"),
            r#""paper tube""#,
            "The item that goes in: pieces, or fibre.",
        ),
        key(
            "each",
            Kind::Whole,
            "1",
            "Pieces in each hole; 1 if left out.",
        ),
        key(
            "anchor",
            Kind::NameOf("item"),
            r#""wire pin""#,
            "The anchor, staple or pin that goes in with them, one to each hole.",
        ),
        key(
            "miss",
            Kind::Share,
            r#""1.6 %""#,
            "Pieces and anchors that miss and are lost, as a share of the holes: `1.6 %` of 24 holes is 0.384 more.",
        ),
        key(
            "spoils",
            Kind::Share,
            r#""0.1 %""#,
            "Chance that one hole spoils the part; gives `good`.",
        ),
        length(
            "fibre",
            r#""0.3 mm""#,
            "Across one fibre, when fibre folded over an anchor goes in.",
        ),
        key(
            "share",
            Kind::Share,
            r#""68 %""#,
            "Share of the hole's area that fibre fills.",
        ),
        length("free", r#""35 mm""#, "Length of fibre that stands out."),
        length("fold", r#""1 mm""#, "Length that the fold takes."),
        key(
            "density",
            Kind::Quantity("mass per length"),
            r#""0.09 g/m""#,
            "Mass of one fibre in each length.",
        ),
        NUMBERS,
    ],
};

/// What a drilling station can do.
pub(super) const DRILLING: Section = Section {
    name: "drilling",
    doc: "What a drilling station can do.",
    keys: &[
        key(
            "heads",
            Kind::Whole,
            "4",
            "Heads that drill at once; 1 if left out.",
        ),
        length(
            "spacing",
            r#""22 mm""#,
            "From head to head, along the length.",
        ),
        key(
            "lifts",
            Kind::Flag,
            "true",
            "Each head can be lifted by itself.",
        ),
        must(
            "speed",
            Kind::Quantity("speed"),
            r#""30 m/min""#,
            "Greatest speed of an axis between holes.",
        ),
        must(
            "acceleration",
            Kind::Quantity("acceleration"),
            r#""2 m/s2""#,
            "Acceleration of an axis.",
        ),
        must_length(
            "clear",
            r#""5 mm""#,
            "Height above the face at which the heads travel.",
        ),
        key(
            "tool_change",
            Kind::Quantity("time"),
            r#""12 s""#,
            "Time to change a tool.",
        ),
        key(
            "turn",
            Kind::Quantity("time"),
            r#""8 s""#,
            "Time to turn the part to another face.",
        ),
        key(
            "load",
            Kind::Quantity("time"),
            r#""9 s""#,
            "Time to take a part out and put the next one in.",
        ),
        key(
            "reach",
            Kind::Table(&REACH),
            r#"{ x = "1.2 m", y = "0.6 m" }"#,
            "How far the heads reach.",
        ),
    ],
};

const REACH: Section = Section {
    name: "reach",
    doc: "How far the heads reach.",
    keys: &[
        must_length("x", r#""1.2 m""#, "Along x."),
        must_length("y", r#""0.6 m""#, "Along y."),
    ],
};
