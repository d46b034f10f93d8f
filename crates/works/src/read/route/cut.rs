//! Reading what an operation cuts up, into which parts, and by which rules.

use quantity::{Dimension, Expect};

use super::super::shelves::{self, Shelves};
use super::super::table::{Notes, Table, Value, Word, choice};
use super::super::works::{Declared, by_name};
use crate::diagnostic::Diagnostic;
use crate::format::{self, Section};
use crate::model::{
    BarKind, Board, Boards, Clear, Cut, CutOrder, CutPart, CutStock, FaultRate, FrameFold, ItemId,
    Keep, Kerf, Numbers, Operation, PartLength, SheetKind, Stages, Stated, Trim,
};
use crate::source::Span;

const LENGTH: Expect<'static> = Expect::Dimension(&Dimension::LENGTH);

/// Names of the two words behind `numbers`.
pub(super) const NUMBERS: [(&str, Numbers); 2] =
    [("computed", Numbers::Computed), ("stated", Numbers::Stated)];

fn section() -> &'static Section {
    by_name(by_name(&format::ROUTE, "operation"), "cut")
}

/// What is known of the operation that cuts.
struct Reader<'a> {
    declared: &'a Declared,
    shelves: &'a Shelves,
    /// Items that come in.
    taken: Vec<ItemId>,
    /// Items that go out.
    passed: Vec<ItemId>,
    /// Where the operation's name stands.
    at: Span,
}

/// The cut of an operation, if it has one.
pub(super) fn read(
    notes: &mut Notes,
    table: &Table<'_>,
    operation: &Operation,
    operations: &[Operation],
    declared: &Declared,
    shelves: &Shelves,
) -> Option<Cut> {
    let value = table.get("cut")?;
    let table = value.table(notes, section())?;
    let feeds = operation.feeds.iter();
    let fed = feeds.map(|feed| operations[feed.from.0].output.item);
    let taken = operation.takes.iter().map(|take| take.item).chain(fed);
    let beside = operation.also.iter().map(|also| also.item);
    let reader = Reader {
        declared,
        shelves,
        taken: taken.collect(),
        passed: std::iter::once(operation.output.item)
            .chain(beside)
            .collect(),
        at: operation.at,
    };
    reader.cut(notes, &table)
}

impl Reader<'_> {
    fn cut(&self, notes: &mut Notes, table: &Table<'_>) -> Option<Cut> {
        let stock = self.stock(notes, table);
        let parts: Vec<CutPart> = table
            .need(notes, "parts")
            .map(|value| self.parts(notes, value))
            .unwrap_or_default();
        only_bars(notes, table, stock.as_ref());
        let cut = Cut {
            at: table.at,
            parts,
            kerf: kerf(notes, table),
            trim: trim(notes, table),
            keep: table.get("keep").and_then(|value| keep(notes, value)),
            patterns: table.whole(notes, "patterns", 1),
            pieces: table.whole(notes, "pieces", 1),
            numbers: numbers(notes, table),
            stock: stock?,
        };
        sizes(notes, &cut);
        Some(cut)
    }

    /// Boards, bars or sheets: exactly one of them.
    fn stock(&self, notes: &mut Notes, table: &Table<'_>) -> Option<CutStock> {
        let (boards, bars) = (table.get("boards"), table.get("bars"));
        let sheets = table.get("sheets");
        let stages = table
            .text(notes, "stages")
            .and_then(|word| {
                let options = [
                    ("two", Stages::Two),
                    ("three", Stages::Three),
                    ("free", Stages::Free),
                ];
                choice(notes, "stages", &word, &options)
            })
            .unwrap_or(Stages::Free);
        match (boards, bars, sheets) {
            (Some(value), None, None) => self
                .boards(notes, value)
                .map(|boards| CutStock::Boards(Box::new(boards))),
            (None, Some(value), None) => {
                let section = by_name(section(), "bars");
                let kinds = tables(notes, value, section, |notes, t| self.bar(notes, t));
                (!kinds.is_empty()).then_some(CutStock::Bars(kinds))
            }
            (None, None, Some(value)) => {
                let section = by_name(section(), "sheets");
                let kinds = tables(notes, value, section, |notes, t| self.sheet(notes, t));
                (!kinds.is_empty()).then_some(CutStock::Sheets { kinds, stages })
            }
            _ => {
                notes.push(
                    Diagnostic::fault("cut-unclear", table.at, "expected one kind of stock to cut")
                        .sides("one of `boards`, `bars` and `sheets`", "none, or several")
                        .help("for example bars = [{ length = \"6 m\" }]"),
                );
                None
            }
        }
    }

    /// The item that is cut up: as named, else the only input.
    fn item(&self, notes: &mut Notes, table: &Table<'_>) -> Option<ItemId> {
        let Some(word) = table.text(notes, "item") else {
            if let [item] = self.taken[..] {
                return Some(item);
            }
            notes.push(
                Diagnostic::fault("cut-unclear", table.at, "cannot tell what is cut up here")
                    .sides(
                        "an `item` that the operation takes",
                        format!("{} inputs", self.taken.len()),
                    )
                    .help(format!("known: {}", self.names(&self.taken))),
            );
            return None;
        };
        let item = ItemId(self.declared.item_names.find(notes, &word)?);
        self.one_of(notes, &word, item, &self.taken, "take")
    }

    /// The item, when it is one of those given.
    fn one_of(
        &self,
        notes: &mut Notes,
        word: &Word,
        item: ItemId,
        known: &[ItemId],
        does: &str,
    ) -> Option<ItemId> {
        if known.contains(&item) {
            return Some(item);
        }
        notes.push(
            Diagnostic::fault(
                "cut-not-in-route",
                word.at,
                format!("the operation does not {does} `{}`", word.text),
            )
            .sides(self.names(known), format!("`{}`", word.text))
            .other(self.at, "this operation"),
        );
        None
    }

    fn names(&self, items: &[ItemId]) -> String {
        let names: Vec<&str> = items
            .iter()
            .map(|item| self.declared.items[item.0].name.as_str())
            .collect();
        if names.is_empty() {
            "nothing".to_owned()
        } else {
            names.join(", ")
        }
    }

    fn boards(&self, notes: &mut Notes, value: Value<'_>) -> Option<Boards> {
        let table = value.table(notes, by_name(section(), "boards"))?;
        let item = self.item(notes, &table);
        table.need(notes, "length");
        table.need(notes, "width");
        let length = table.positive(notes, "length", LENGTH);
        let width = table.positive(notes, "width", LENGTH);
        let file = table.text(notes, "measured");
        let measured = file.as_ref().and_then(|word| {
            let found: Option<&Vec<Board>> =
                shelves::named(notes, &self.shelves.boards, "boards", word);
            found.cloned()
        });
        let order = table
            .text(notes, "first")
            .and_then(|word| {
                let options = [
                    ("rip", CutOrder::RipFirst),
                    ("cross-cut", CutOrder::CrossFirst),
                    ("either", CutOrder::Either),
                    ("across only", CutOrder::AcrossOnly),
                ];
                choice(notes, "first", &word, &options)
            })
            .unwrap_or(CutOrder::AcrossOnly);
        let margins = margins(notes, &table);
        let faults = table.get("faults").and_then(|value| faults(notes, value));
        let (length, width) = (length?, width?);
        let (margin_along, margin_across) =
            margins.unwrap_or_else(|| (nothing(&length), nothing(&length)));
        Some(Boards {
            item: item?,
            length,
            width,
            measured: measured.unwrap_or_default(),
            file: file.map(|word| word.text),
            faults,
            order,
            margin_along,
            margin_across,
        })
    }

    fn bar(&self, notes: &mut Notes, table: &Table<'_>) -> Option<BarKind> {
        let item = self.item(notes, table);
        table.need(notes, "length");
        let length = table.positive(notes, "length", LENGTH);
        let splices = table.get("splices").map_or_else(Vec::new, |value| {
            let section = by_name(by_name(section(), "bars"), "splices");
            tables(notes, value, section, splice)
        });
        for (_, to) in &splices {
            off_stock(notes, length.as_ref(), to);
        }
        Some(BarKind {
            item: item?,
            length: length?,
            at_most: table.whole(notes, "at_most", 0),
            splices,
            at: table.at,
        })
    }

    fn sheet(&self, notes: &mut Notes, table: &Table<'_>) -> Option<SheetKind> {
        let item = self.item(notes, table);
        table.need(notes, "length");
        table.need(notes, "width");
        let length = table.positive(notes, "length", LENGTH);
        let width = table.positive(notes, "width", LENGTH);
        Some(SheetKind {
            item: item?,
            length: length?,
            width: width?,
            at_most: table.whole(notes, "at_most", 0),
            at: table.at,
        })
    }

    fn parts(&self, notes: &mut Notes, value: Value<'_>) -> Vec<CutPart> {
        let section = by_name(section(), "parts");
        tables(notes, value, section, |notes, table| {
            self.part(notes, table)
        })
    }

    fn part(&self, notes: &mut Notes, table: &Table<'_>) -> Option<CutPart> {
        let name = self.part_name(notes, table);
        let money = self.declared.money();
        let length = part_length(notes, table);
        let width = table.positive(notes, "width", LENGTH);
        let need = table.whole(notes, "need", 1);
        let clear = table
            .text(notes, "clear")
            .and_then(|word| {
                let options = [
                    ("both faces", Clear::Both),
                    ("one face", Clear::One),
                    ("sound", Clear::Sound),
                ];
                choice(notes, "clear", &word, &options)
            })
            .unwrap_or(Clear::Both);
        let turn = table.flag(notes, "turn");
        let worth = table.positive(notes, "worth", Expect::Dimension(&money));
        let (name, item) = name?;
        if item.is_none() && table.get("need").is_none() {
            notes.push(
                Diagnostic::fault(
                    "missing-key",
                    table.at,
                    format!("nobody says how many of `{name}` are needed"),
                )
                .help("write need = 40, or name the `item` that the route passes on"),
            );
            return None;
        }
        Some(CutPart {
            name,
            item,
            length: length?,
            width,
            need,
            clear,
            turn,
            worth,
            at: table.at,
        })
    }

    /// Its name, and the item of the route that it is.
    fn part_name(&self, notes: &mut Notes, table: &Table<'_>) -> Option<(String, Option<ItemId>)> {
        let (item, name) = (table.text(notes, "item"), table.text(notes, "name"));
        match (item, name) {
            (Some(word), None) => {
                let item = ItemId(self.declared.item_names.find(notes, &word)?);
                let item = self.one_of(notes, &word, item, &self.passed, "pass on")?;
                Some((word.text, Some(item)))
            }
            (None, Some(word)) => Some((word.text, None)),
            _ => {
                notes.push(
                    Diagnostic::fault("cut-unclear", table.at, "expected an `item` or a `name`")
                        .sides("one of them", "none, or both")
                        .help(format!("passed on here: {}", self.names(&self.passed))),
                );
                None
            }
        }
    }
}

/// The tables of a list, each read by the same function; what cannot be read is left out.
pub(super) fn tables<T>(
    notes: &mut Notes,
    value: Value<'_>,
    section: &'static Section,
    read: impl Fn(&mut Notes, &Table<'_>) -> Option<T>,
) -> Vec<T> {
    value
        .list()
        .into_iter()
        .filter_map(|value| {
            let table = value.table(notes, section)?;
            read(notes, &table)
        })
        .collect()
}

/// Zero, in the unit of another number and at its place.
fn nothing(like: &Stated) -> Stated {
    Stated {
        spread: quantity::Spread::Exact(0.0),
        source: None,
        ..like.clone()
    }
}

pub(super) fn numbers(notes: &mut Notes, table: &Table<'_>) -> Numbers {
    table
        .text(notes, "numbers")
        .and_then(|word| choice(notes, "numbers", &word, &NUMBERS))
        .unwrap_or(Numbers::Computed)
}

fn part_length(notes: &mut Notes, table: &Table<'_>) -> Option<PartLength> {
    match (table.get("length"), table.get("frame")) {
        (Some(_), None) => table
            .positive(notes, "length", LENGTH)
            .map(PartLength::Stated),
        (None, Some(value)) => frame(notes, value).map(|frame| PartLength::Frame(Box::new(frame))),
        _ => {
            notes.push(
                Diagnostic::fault("cut-unclear", table.at, "expected a length")
                    .sides("`length`, or the `frame` folded from it", "none, or both"),
            );
            None
        }
    }
}

fn frame(notes: &mut Notes, value: Value<'_>) -> Option<FrameFold> {
    let section = by_name(by_name(section(), "parts"), "frame");
    let table = value.table(notes, section)?;
    for name in ["width", "height", "thick", "radius", "flange"] {
        table.need(notes, name);
    }
    let width = table.positive(notes, "width", LENGTH);
    let height = table.positive(notes, "height", LENGTH);
    let thick = table.positive(notes, "thick", LENGTH);
    let radius = table.not_negative(notes, "radius", LENGTH);
    let flange = table.positive(notes, "flange", LENGTH);
    let lap = table.not_negative(notes, "lap", LENGTH);
    let k = table.share(notes, "k");
    let within = angle(notes, &table, "within");
    let thick = thick?;
    let default_k = Stated {
        spread: quantity::Spread::Exact(0.40),
        unit: quantity::Unit::one(),
        source: Some("common practice".to_owned()),
        at: table.at,
    };
    Some(FrameFold {
        width: width?,
        height: height?,
        radius: radius?,
        k: k.unwrap_or(default_k),
        flange: flange?,
        lap: lap.unwrap_or_else(|| nothing(&thick)),
        thick,
        within,
        at: table.at,
    })
}

/// An angle, which must say in what it is measured.
pub(super) fn angle(notes: &mut Notes, table: &Table<'_>, name: &'static str) -> Option<Stated> {
    let stated = table.stated(notes, name, Expect::Number)?;
    if matches!(stated.unit.symbol(), "deg" | "°" | "rad") {
        return Some(stated);
    }
    notes.push(
        Diagnostic::fault(
            "missing-unit",
            stated.at,
            format!("`{name}` is an angle and needs its unit"),
        )
        .help("write it in degrees, for example \"15 deg\""),
    );
    None
}

fn splice(notes: &mut Notes, table: &Table<'_>) -> Option<(Stated, Stated)> {
    table.need(notes, "from");
    table.need(notes, "to");
    let from = table.not_negative(notes, "from", LENGTH);
    let to = table.positive(notes, "to", LENGTH);
    let (from, to) = (from?, to?);
    if from.mean() >= to.mean() {
        notes.push(Diagnostic::fault(
            "mark-backwards",
            table.at,
            "this splice ends before it begins, or has no length",
        ));
        return None;
    }
    Some((from, to))
}

/// Complains about a splice beyond the end of its stock.
fn off_stock(notes: &mut Notes, length: Option<&Stated>, to: &Stated) {
    let Some(length) = length.filter(|length| to.mean() > length.mean()) else {
        return;
    };
    notes.push(
        Diagnostic::fault("mark-off-board", to.at, "this splice lies off its stock").sides(
            format!("at most {}", quantity::show(length.mean(), &length.unit)),
            quantity::show(to.mean(), &to.unit),
        ),
    );
}

fn faults(notes: &mut Notes, value: Value<'_>) -> Option<FaultRate> {
    let section = by_name(by_name(section(), "boards"), "faults");
    let table = value.table(notes, section)?;
    let plain = Dimension::LENGTH.power(-1);
    let counted = notes
        .units
        .parse_unit("each/m")
        .map(|unit| unit.dimension().clone());
    let allowed = [plain, counted.expect("each per metre is a unit")];
    let rate = Expect::OneOf(&allowed);
    table.need(notes, "per_metre");
    table.need(notes, "long");
    let per_metre = table.not_negative(notes, "per_metre", rate);
    let lots = table.not_negative(notes, "lots", rate);
    let long = table.not_negative(notes, "long", LENGTH);
    Some(FaultRate {
        per_metre: per_metre?,
        lots,
        long: long?,
    })
}

/// Along and across the board; one length is for both.
fn margins(notes: &mut Notes, table: &Table<'_>) -> Option<(Stated, Stated)> {
    let value = table.get("margin")?;
    if is_quantity(value) {
        let both = table.not_negative(notes, "margin", LENGTH)?;
        return Some((both.clone(), both));
    }
    let section = by_name(by_name(section(), "boards"), "margin");
    let table = value.table(notes, section)?;
    table.need(notes, "along");
    table.need(notes, "across");
    let along = table.not_negative(notes, "along", LENGTH);
    let across = table.not_negative(notes, "across", LENGTH);
    Some((along?, across?))
}

/// Whether a value is a quantity, with or without a source, and not a table of keys of its own.
fn is_quantity(value: Value<'_>) -> bool {
    !value.is_table() || value.value.get_ref().get("value").is_some()
}

fn kerf(notes: &mut Notes, table: &Table<'_>) -> Kerf {
    let none = Kerf {
        rip: None,
        cross: None,
    };
    let Some(value) = table.get("kerf") else {
        return none;
    };
    if is_quantity(value) {
        let both = table.not_negative(notes, "kerf", LENGTH);
        return Kerf {
            rip: both.clone(),
            cross: both,
        };
    }
    let Some(table) = value.table(notes, by_name(section(), "kerf")) else {
        return none;
    };
    Kerf {
        rip: table.not_negative(notes, "rip", LENGTH),
        cross: table.not_negative(notes, "cross", LENGTH),
    }
}

fn trim(notes: &mut Notes, table: &Table<'_>) -> Trim {
    let none = Trim {
        ends: None,
        edges: None,
    };
    let Some(value) = table.get("trim") else {
        return none;
    };
    if is_quantity(value) {
        return Trim {
            ends: table.not_negative(notes, "trim", LENGTH),
            ..none
        };
    }
    let Some(table) = value.table(notes, by_name(section(), "trim")) else {
        return none;
    };
    Trim {
        ends: table.not_negative(notes, "ends", LENGTH),
        edges: table.not_negative(notes, "edges", LENGTH),
    }
}

fn keep(notes: &mut Notes, value: Value<'_>) -> Option<Keep> {
    let table = value.table(notes, by_name(section(), "keep"))?;
    table.need(notes, "length");
    let length = table.positive(notes, "length", LENGTH);
    let width = table.positive(notes, "width", LENGTH);
    let worth = table.share(notes, "worth");
    Some(Keep {
        length: length?,
        width,
        worth,
    })
}

/// Limits that only bars have.
fn only_bars(notes: &mut Notes, table: &Table<'_>, stock: Option<&CutStock>) {
    if matches!(stock, None | Some(CutStock::Bars(_))) {
        return;
    }
    for name in ["patterns", "pieces"] {
        if let Some(value) = table.get(name) {
            notes.push(Diagnostic::fault(
                "cut-unclear",
                value.at(),
                format!("`{name}` is for bars, strip and reels only"),
            ));
        }
    }
}

/// Sizes that must go together: what sheets and ripped boards need, and what bars cannot have.
fn sizes(notes: &mut Notes, cut: &Cut) {
    let needs_width = match &cut.stock {
        CutStock::Boards(boards) => boards.order != CutOrder::AcrossOnly,
        CutStock::Bars(_) => false,
        CutStock::Sheets { .. } => true,
    };
    for part in cut.parts.iter().filter(|part| part.width.is_none()) {
        if needs_width {
            notes.push(
                Diagnostic::fault(
                    "missing-key",
                    part.at,
                    format!("part `{}` needs a `width`", part.name),
                )
                .help("for example width = \"136 mm\""),
            );
        }
    }
}
