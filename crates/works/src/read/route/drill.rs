//! Reading the holes of a part, what a drilling station can do, and what goes into holes.

use quantity::{Dimension, Expect};

use super::super::names::Names;
use super::super::shelves::{self, Shelves};
use super::super::table::{Notes, Table, Value, Word, choice, not_negative, positive};
use super::super::works::{Declared, by_name};
use super::cut::{angle, numbers, tables};
use crate::diagnostic::Diagnostic;
use crate::format::{self, Section};
use crate::model::{
    Corner, Drill, DrillingMachine, FaceOutline, Fibre, Fill, FillKind, HolePattern, ItemId,
    Layout, Operation, OperationId, Stated,
};

const LENGTH: Expect<'static> = Expect::Dimension(&Dimension::LENGTH);
const TIME: Expect<'static> = Expect::Dimension(&Dimension::TIME);
const SPEED: Expect<'static> = Expect::Dimension(&Dimension::SPEED);

fn section(key: &str) -> &'static Section {
    by_name(by_name(&format::ROUTE, "operation"), key)
}

/// What a station can do as a drilling machine, if it is one.
pub(crate) fn machine(notes: &mut Notes, station: &Table<'_>) -> Option<DrillingMachine> {
    let value = station.get("drilling")?;
    let section = by_name(station.section, "drilling");
    let table = value.table(notes, section)?;
    let per_square = Dimension::LENGTH.over(&Dimension::TIME.power(2));
    for name in ["speed", "acceleration", "clear"] {
        table.need(notes, name);
    }
    let speed = table.positive(notes, "speed", SPEED);
    let acceleration = table.positive(notes, "acceleration", Expect::Dimension(&per_square));
    let clear = table.positive(notes, "clear", LENGTH);
    let heads = table.whole(notes, "heads", 1).unwrap_or(1);
    let spacing = table.positive(notes, "spacing", LENGTH);
    if heads > 1 && spacing.is_none() {
        notes.push(
            Diagnostic::fault(
                "missing-key",
                table.at,
                "several heads need their `spacing`",
            )
            .help("for example spacing = \"22 mm\""),
        );
    }
    let reach = table
        .get("reach")
        .and_then(|value| point(notes, value, by_name(section, "reach")));
    let machine = DrillingMachine {
        heads,
        spacing,
        lifts: table.flag(notes, "lifts"),
        tool_change: table.not_negative(notes, "tool_change", TIME),
        turn: table.not_negative(notes, "turn", TIME),
        load: table.not_negative(notes, "load", TIME),
        reach,
        at: table.at,
        speed: speed?,
        acceleration: acceleration?,
        clear: clear?,
    };
    Some(machine)
}

/// A table of `x` and `y`.
fn point(
    notes: &mut Notes,
    value: Value<'_>,
    section: &'static Section,
) -> Option<(Stated, Stated)> {
    let table = value.table(notes, section)?;
    xy(notes, &table)
}

fn xy(notes: &mut Notes, table: &Table<'_>) -> Option<(Stated, Stated)> {
    table.need(notes, "x");
    table.need(notes, "y");
    let x = table.stated(notes, "x", LENGTH);
    let y = table.stated(notes, "y", LENGTH);
    Some((x?, y?))
}

/// The holes that an operation drills, if it drills.
pub(super) fn read(notes: &mut Notes, operation: &Table<'_>, shelves: &Shelves) -> Option<Drill> {
    let value = operation.get("drill")?;
    let table = value.table(notes, section("drill"))?;
    let outline = table
        .need(notes, "outline")
        .and_then(|value| outline(notes, value));
    table.need(notes, "thick");
    let thick = table.positive(notes, "thick", LENGTH);
    let holes = table.need(notes, "holes").map(|value| {
        let section = by_name(section("drill"), "holes");
        tables(notes, value, section, |notes, table| {
            holes(notes, table, shelves)
        })
    });
    let park = table
        .get("park")
        .and_then(|value| point(notes, value, by_name(section("drill"), "park")));
    let drill = Drill {
        at: table.at,
        edge: table.not_negative(notes, "edge", LENGTH),
        web: table.not_negative(notes, "web", LENGTH),
        floor: table.not_negative(notes, "floor", LENGTH),
        point: angle(notes, &table, "point"),
        holes: holes.unwrap_or_default(),
        park,
        numbers: numbers(notes, &table),
        outline: outline?,
        thick: thick?,
    };
    (!drill.holes.is_empty()).then_some(drill)
}

fn outline(notes: &mut Notes, value: Value<'_>) -> Option<FaceOutline> {
    let section = by_name(section("drill"), "outline");
    let table = value.table(notes, section)?;
    if let Some(value) = table.get("corners") {
        let corners = tables(notes, value, by_name(section, "corners"), corner);
        return Some(FaceOutline::Corners(corners));
    }
    table.need(notes, "length");
    table.need(notes, "width");
    let length = table.positive(notes, "length", LENGTH);
    let width = table.positive(notes, "width", LENGTH);
    let corner = table.not_negative(notes, "corner", LENGTH);
    let ellipse = table.flag(notes, "ellipse");
    let (length, width) = (length?, width?);
    Some(if ellipse {
        FaceOutline::Ellipse { length, width }
    } else {
        FaceOutline::Rectangle {
            length,
            width,
            corner,
        }
    })
}

fn corner(notes: &mut Notes, table: &Table<'_>) -> Option<Corner> {
    let rise = table.stated(notes, "rise", LENGTH);
    let (x, y) = xy(notes, table)?;
    Some(Corner {
        x_m: x.mean(),
        y_m: y.mean(),
        rise_m: rise.map_or(0.0, |rise| rise.mean()),
    })
}

fn holes(notes: &mut Notes, table: &Table<'_>, shelves: &Shelves) -> Option<HolePattern> {
    let layout = layout(notes, table, shelves);
    table.need(notes, "diameter");
    let diameter = table.positive(notes, "diameter", LENGTH);
    let turns = Dimension::TIME.power(-1);
    let pattern = HolePattern {
        at: table.at,
        depth: table.positive(notes, "depth", LENGTH),
        tool: table.text(notes, "tool").map(|word| word.text),
        lean: angle(notes, table, "lean"),
        toward: angle(notes, table, "toward"),
        face: table.whole(notes, "face", 1).unwrap_or(1),
        feed: table.positive(notes, "feed", LENGTH),
        speed: table.positive(notes, "speed", Expect::Dimension(&turns)),
        plunge: table.positive(notes, "plunge", SPEED),
        peck: table.positive(notes, "peck", LENGTH),
        dwell: table.not_negative(notes, "dwell", TIME),
        layout: layout?,
        diameter: diameter?,
    };
    advance(notes, &pattern);
    Some(pattern)
}

/// How fast the tool goes in must be said one way, or not at all (then nothing is timed).
fn advance(notes: &mut Notes, pattern: &HolePattern) {
    let by_turn = pattern.feed.is_some();
    let both = by_turn && pattern.plunge.is_some();
    if both || (by_turn && pattern.speed.is_none()) {
        notes.push(
            Diagnostic::fault(
                "advance-unclear",
                pattern.at,
                "cannot tell how fast the tool goes in",
            )
            .sides(
                "`feed` with `speed`, or `plunge`",
                "one without the other, or both",
            )
            .help("for example feed = \"0.25 mm\", speed = \"2,900 rpm\""),
        );
    }
}

/// The ways of laying holes out, by their words.
#[derive(Clone, Copy)]
enum Way {
    Rows,
    Staggered,
    Rings,
    Along,
    Around,
    Listed,
}

fn layout(notes: &mut Notes, table: &Table<'_>, shelves: &Shelves) -> Option<Layout> {
    let word = table.need_text(notes, "pattern")?;
    let options = [
        ("rows", Way::Rows),
        ("staggered", Way::Staggered),
        ("rings", Way::Rings),
        ("along", Way::Along),
        ("around", Way::Around),
        ("listed", Way::Listed),
    ];
    match choice(notes, "pattern", &word, &options)? {
        Way::Rows => rows(notes, table, false),
        Way::Staggered => rows(notes, table, true),
        Way::Rings => rings(notes, table),
        Way::Along => along(notes, table),
        Way::Around => around(notes, table),
        Way::Listed => listed(notes, table, shelves),
    }
}

fn rows(notes: &mut Notes, table: &Table<'_>, staggered: bool) -> Option<Layout> {
    table.need(notes, "pitch");
    let pitch = table.positive(notes, "pitch", LENGTH);
    let row_pitch = table.positive(notes, "row_pitch", LENGTH);
    let across = table.whole(notes, "across", 1);
    let rows = table.whole(notes, "rows", 1);
    let turned = angle(notes, table, "turned");
    Some(Layout::Rows {
        pitch: pitch?,
        row_pitch,
        across,
        rows,
        staggered,
        turned,
    })
}

fn rings(notes: &mut Notes, table: &Table<'_>) -> Option<Layout> {
    let radii: Vec<Stated> = table
        .need(notes, "radii")?
        .list()
        .into_iter()
        .filter_map(|value| {
            let stated = value.stated(notes, LENGTH)?;
            not_negative(notes, "radii", stated)
        })
        .collect();
    let counts: Vec<u64> = table
        .get("counts")
        .map_or_else(Vec::new, Value::list)
        .into_iter()
        .filter_map(|value| {
            let stated = value.stated(notes, Expect::Number)?;
            positive(notes, "counts", stated)
        })
        .map(|stated| stated.mean().round() as u64)
        .collect();
    let pitch = table.positive(notes, "pitch", LENGTH);
    let clear = counts.is_empty() != pitch.is_none() || counts.len() == radii.len();
    if !clear || (!counts.is_empty() && counts.len() != radii.len()) {
        notes.push(
            Diagnostic::fault(
                "pattern-unclear",
                table.at,
                "cannot tell how many holes a ring has",
            )
            .sides(
                "one of `counts` for each radius, or a `pitch`",
                "none, both, or too few",
            )
            .help("for example radii = [\"0 mm\", \"14 mm\"], counts = [\"1\", \"6\"]"),
        );
        return None;
    }
    Some(Layout::Rings {
        radii,
        counts,
        pitch,
    })
}

/// A pitch or a count: one of them.
fn spacing(notes: &mut Notes, table: &Table<'_>) -> Option<(Option<Stated>, Option<u64>)> {
    let pitch = table.positive(notes, "pitch", LENGTH);
    let count = table.whole(notes, "count", 1);
    if pitch.is_some() == count.is_some() {
        notes.push(
            Diagnostic::fault(
                "pattern-unclear",
                table.at,
                "cannot tell how far apart the holes are",
            )
            .sides("one of `pitch` and `count`", "none, or both"),
        );
        return None;
    }
    Some((pitch, count))
}

fn along(notes: &mut Notes, table: &Table<'_>) -> Option<Layout> {
    let section = by_name(table.section, "points");
    let points: Vec<(f64, f64)> = table
        .need(notes, "points")
        .map_or_else(Vec::new, |value| tables(notes, value, section, xy))
        .into_iter()
        .map(|(x, y)| (x.mean(), y.mean()))
        .collect();
    let (pitch, count) = spacing(notes, table)?;
    if points.len() < 2 {
        notes.push(Diagnostic::fault(
            "pattern-unclear",
            table.at,
            "a line needs two points or more",
        ));
        return None;
    }
    Some(Layout::Along {
        points,
        pitch,
        count,
    })
}

fn around(notes: &mut Notes, table: &Table<'_>) -> Option<Layout> {
    table.need(notes, "inset");
    let inset = table.positive(notes, "inset", LENGTH);
    let (pitch, count) = spacing(notes, table)?;
    Some(Layout::Around {
        inset: inset?,
        pitch,
        count,
    })
}

fn listed(notes: &mut Notes, table: &Table<'_>, shelves: &Shelves) -> Option<Layout> {
    let word = table.need_text(notes, "file")?;
    let holes = shelves::named(notes, &shelves.holes, "holes", &word)?.clone();
    if holes.is_empty() {
        notes.push(Diagnostic::fault(
            "pattern-unclear",
            word.at,
            format!("the table `{}` has no holes", word.text),
        ));
        return None;
    }
    Some(Layout::Listed {
        file: word.text,
        holes,
    })
}

/// What an operation puts into holes, if it does.
pub(super) fn fill(
    notes: &mut Notes,
    operation_table: &Table<'_>,
    operation: &Operation,
    declared: &Declared,
    names: &Names,
    first: usize,
) -> Option<Fill> {
    let value = operation_table.get("fill")?;
    let table = value.table(notes, section("fill"))?;
    let holes_of = table
        .need_text(notes, "holes_of")
        .and_then(|word| names.find(notes, &word));
    let puts = table
        .need_text(notes, "puts")
        .and_then(|word| taken(notes, &word, operation, declared));
    let anchor = table
        .text(notes, "anchor")
        .and_then(|word| taken(notes, &word, operation, declared));
    let each = table.whole(notes, "each", 1).unwrap_or(1);
    let fill = Fill {
        at: table.at,
        miss: table.share(notes, "miss"),
        spoils: table.share(notes, "spoils"),
        numbers: numbers(notes, &table),
        holes_of: OperationId(first + holes_of?),
        puts: if table.get("fibre").is_some() {
            fibre(notes, &table, puts?, anchor)?
        } else {
            FillKind::Pieces {
                item: puts?,
                each,
                anchor,
            }
        },
    };
    Some(fill)
}

/// An item that the operation takes.
fn taken(
    notes: &mut Notes,
    word: &Word,
    operation: &Operation,
    declared: &Declared,
) -> Option<ItemId> {
    let item = ItemId(declared.item_names.find(notes, word)?);
    if operation.takes.iter().any(|take| take.item == item) {
        return Some(item);
    }
    notes.push(
        Diagnostic::fault(
            "cut-not-in-route",
            word.at,
            format!("the operation does not take `{}`", word.text),
        )
        .other(operation.at, "this operation")
        .help("what goes into the holes is said in `takes` too, with the amount for one unit"),
    );
    None
}

fn fibre(
    notes: &mut Notes,
    table: &Table<'_>,
    item: ItemId,
    anchor: Option<ItemId>,
) -> Option<FillKind> {
    for name in ["share", "free", "density"] {
        table.need(notes, name);
    }
    let per_length = Dimension::MASS.over(&Dimension::LENGTH);
    let across = table.positive(notes, "fibre", LENGTH);
    let share = table.share(notes, "share");
    let free = table.positive(notes, "free", LENGTH);
    let fold = table.not_negative(notes, "fold", LENGTH);
    let density = table.positive(notes, "density", Expect::Dimension(&per_length));
    let free = free?;
    let no_fold = Stated {
        spread: quantity::Spread::Exact(0.0),
        ..free.clone()
    };
    Some(FillKind::Fibre(Box::new(Fibre {
        item,
        across: across?,
        share: share?,
        free,
        fold: fold.unwrap_or(no_fold),
        linear_density: density?,
        anchor,
    })))
}
