//! Reading one TOML table key by key: every fault is noted, none stops the reading.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::ops::Range;

use quantity::{Expect, Spread, Unit, Units};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::diagnostic::Diagnostic;
use crate::format::Section;
use crate::model::{Stated, Yield};
use crate::source::{FileId, Span};
use crate::suggest::nearest;

/// What every reader of the folder shares: the units known so far and the complaints.
pub(crate) struct Notes {
    pub(crate) units: Units,
    pub(crate) diagnostics: Vec<Diagnostic>,
}

impl Notes {
    pub(crate) fn push(&mut self, diagnostic: Diagnostic) {
        self.diagnostics.push(diagnostic);
    }
}

/// A text and where it stands.
#[derive(Clone, Debug)]
pub(crate) struct Word {
    pub(crate) text: String,
    pub(crate) at: Span,
}

/// A value with its place, not yet looked into.
#[derive(Clone, Copy)]
pub(crate) struct Value<'t> {
    pub(crate) file: FileId,
    pub(crate) value: &'t Spanned<DeValue<'t>>,
}

/// One table being read; it notes which keys were asked for.
pub(crate) struct Table<'t> {
    pub(crate) section: &'static Section,
    pub(crate) file: FileId,
    pub(crate) at: Span,
    keys: &'t DeTable<'t>,
    asked: RefCell<BTreeSet<&'static str>>,
}

impl<'t> Value<'t> {
    pub(crate) fn at(self) -> Span {
        Span::new(self.file, self.value.span())
    }

    fn kind(self) -> &'static str {
        match self.value.get_ref() {
            DeValue::String(_) => "a text",
            DeValue::Integer(_) | DeValue::Float(_) => "a bare number",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        }
    }

    fn wrong_kind(self, notes: &mut Notes, expected: &str) {
        let found = self.kind();
        notes.push(
            Diagnostic::fault(
                "wrong-kind",
                self.at(),
                format!("expected {expected}, found {found}"),
            )
            .label(format!("this is {found}")),
        );
    }

    pub(crate) fn text(self, notes: &mut Notes) -> Option<Word> {
        match self.value.get_ref() {
            DeValue::String(text) => Some(Word {
                text: text.to_string(),
                at: self.at(),
            }),
            DeValue::Datetime(date) => Some(Word {
                text: date.to_string(),
                at: self.at(),
            }),
            _ => {
                self.wrong_kind(notes, "a text in quotes");
                None
            }
        }
    }

    pub(crate) fn as_text(self) -> Option<Word> {
        match self.value.get_ref() {
            DeValue::String(text) => Some(Word {
                text: text.to_string(),
                at: self.at(),
            }),
            _ => None,
        }
    }

    /// A list's values; a single value counts as a list of one.
    pub(crate) fn list(self) -> Vec<Value<'t>> {
        match self.value.get_ref() {
            DeValue::Array(list) => list
                .iter()
                .map(|value| Value {
                    file: self.file,
                    value,
                })
                .collect(),
            _ => vec![self],
        }
    }

    pub(crate) fn is_table(self) -> bool {
        matches!(self.value.get_ref(), DeValue::Table(_))
    }

    /// Opens a table whose keys are those of a section.
    pub(crate) fn table(self, notes: &mut Notes, section: &'static Section) -> Option<Table<'t>> {
        if let DeValue::Table(table) = self.value.get_ref() {
            Some(Table::open(notes, section, self.file, self.at(), table))
        } else {
            self.wrong_kind(notes, &format!("a table ({})", section.name));
            None
        }
    }

    /// A table of free keys, in the order written.
    pub(crate) fn entries(self, notes: &mut Notes, what: &str) -> Vec<(Word, Value<'t>)> {
        let DeValue::Table(table) = self.value.get_ref() else {
            self.wrong_kind(notes, &format!("a table of {what}"));
            return Vec::new();
        };
        let mut entries: Vec<_> = table
            .iter()
            .map(|(key, value)| {
                let at = Span::new(self.file, key.span());
                (
                    Word {
                        text: key.get_ref().to_string(),
                        at,
                    },
                    Value {
                        file: self.file,
                        value,
                    },
                )
            })
            .collect();
        entries.sort_by_key(|(key, _)| key.at.start);
        for (key, _) in &entries {
            if key.text.trim().is_empty() {
                notes.push(Diagnostic::fault(
                    "empty-name",
                    key.at,
                    "expected a name, found nothing",
                ));
            }
        }
        entries
    }

    /// A quantity: a text, a bare number where that says all, or a table with `value` and `source`.
    pub(crate) fn stated(self, notes: &mut Notes, expect: Expect<'_>) -> Option<Stated> {
        if self.is_table() {
            let table = self.table(notes, &crate::format::SOURCED)?;
            let stated = table
                .need(notes, "value")
                .and_then(|v| v.stated(notes, expect));
            let source = table.text(notes, "source").map(|word| word.text);
            return stated.map(|stated| Stated { source, ..stated });
        }
        let (text, inner) = match self.value.get_ref() {
            DeValue::String(text) => (text.to_string(), self.inner()),
            DeValue::Integer(number) if number.radix() == 10 => {
                (number.as_str().replace('_', ""), self.value.span())
            }
            DeValue::Integer(number) => {
                let whole = u64::from_str_radix(number.as_str(), number.radix());
                (
                    whole.map_or_else(|_| number.to_string(), |whole| whole.to_string()),
                    self.value.span(),
                )
            }
            DeValue::Float(number) => (number.as_str().replace('_', ""), self.value.span()),
            _ => {
                self.wrong_kind(notes, "a quantity in quotes");
                return None;
            }
        };
        self.quantity(notes, &text, &inner, expect)
    }

    /// The bytes between the quotes of a text, so that a fault can point inside it.
    fn inner(self) -> Range<usize> {
        let span = self.value.span();
        match self.value.get_ref() {
            // Quotes add two bytes; with escapes or long strings the whole value is pointed at.
            DeValue::String(text) if text.len() + 2 == span.len() => span.start + 1..span.end - 1,
            _ => span,
        }
    }

    fn quantity(
        self,
        notes: &mut Notes,
        text: &str,
        inner: &Range<usize>,
        expect: Expect<'_>,
    ) -> Option<Stated> {
        match quantity::read(text, &notes.units, expect) {
            Ok(written) => Some(Stated {
                spread: written.spread,
                unit: written.unit,
                source: None,
                at: self.at(),
            }),
            Err(fault) => {
                let exact = inner.len() == text.len();
                let range = if exact && !fault.range.is_empty() {
                    inner.start + fault.range.start..inner.start + fault.range.end
                } else {
                    inner.clone()
                };
                notes.push(quantity_fault(fault, Span::new(self.file, range)));
                None
            }
        }
    }
}

impl Word {
    /// Where a part of the text stands; the whole word when that cannot be told (escapes).
    pub(crate) fn part(&self, range: &Range<usize>) -> Span {
        let quotes = match self.at.range().len().checked_sub(self.text.len()) {
            Some(0) => 0,
            Some(2) => 1,
            _ => return self.at,
        };
        if range.is_empty() {
            return self.at;
        }
        let start = self.at.range().start + quotes;
        Span::new(self.at.file, start + range.start..start + range.end)
    }
}

/// The diagnostic for a quantity that could not be read.
pub(crate) fn quantity_fault(fault: quantity::Fault, at: Span) -> Diagnostic {
    let mut diagnostic = Diagnostic::fault(fault.kind.code(), at, fault.headline);
    diagnostic.expected = fault.expected;
    diagnostic.found = fault.found;
    diagnostic.help = fault.help;
    diagnostic
}

impl<'t> Table<'t> {
    pub(crate) fn open(
        notes: &mut Notes,
        section: &'static Section,
        file: FileId,
        at: Span,
        table: &'t DeTable<'t>,
    ) -> Self {
        for key in table.keys() {
            if section.key(key.get_ref()).is_none() {
                let known = section.keys.iter().map(|key| key.name);
                let help = nearest(key.get_ref(), known)
                    .map(|name| format!("did you mean `{name}`?"))
                    .or_else(|| Some(format!("{} may have: {}", section.name, keys(section))));
                notes.push(
                    Diagnostic::fault(
                        "unknown-key",
                        Span::new(file, key.span()),
                        format!("{} has no key `{}`", section.name, key.get_ref()),
                    )
                    .maybe_help(help),
                );
            }
        }
        Self {
            section,
            file,
            at,
            keys: table,
            asked: RefCell::default(),
        }
    }

    /// The value of a key of the section.
    pub(crate) fn get(&self, name: &'static str) -> Option<Value<'t>> {
        debug_assert!(
            self.section.key(name).is_some(),
            "{name} is not in the format's table"
        );
        self.asked.borrow_mut().insert(name);
        self.keys.get(name).map(|value| Value {
            file: self.file,
            value,
        })
    }

    /// Where a key of the section stands, if it does.
    pub(crate) fn key_at(&self, name: &str) -> Option<Span> {
        let (key, _) = self.keys.get_key_value(name)?;
        Some(Span::new(self.file, key.span()))
    }

    /// The value of a key that must be there.
    pub(crate) fn need(&self, notes: &mut Notes, name: &'static str) -> Option<Value<'t>> {
        let value = self.get(name);
        if value.is_none() {
            let example = self.section.key(name).map_or("", |key| key.example);
            notes.push(
                Diagnostic::fault(
                    "missing-key",
                    self.at,
                    format!("{} needs `{name}`", self.section.name),
                )
                .maybe_help(
                    (!example.is_empty()).then(|| format!("for example {name} = {example}")),
                ),
            );
        }
        value
    }

    pub(crate) fn text(&self, notes: &mut Notes, name: &'static str) -> Option<Word> {
        self.get(name)?.text(notes)
    }

    pub(crate) fn need_text(&self, notes: &mut Notes, name: &'static str) -> Option<Word> {
        let word = self.need(notes, name)?.text(notes)?;
        if word.text.trim().is_empty() {
            notes.push(Diagnostic::fault(
                "empty-name",
                word.at,
                format!("`{name}` is empty"),
            ));
            return None;
        }
        Some(word)
    }

    pub(crate) fn texts(&self, notes: &mut Notes, name: &'static str) -> Vec<Word> {
        let Some(value) = self.get(name) else {
            return Vec::new();
        };
        value
            .list()
            .into_iter()
            .filter_map(|value| value.text(notes))
            .collect()
    }

    pub(crate) fn flag(&self, notes: &mut Notes, name: &'static str) -> bool {
        match self.get(name) {
            None => false,
            Some(value) => value.value.get_ref().as_bool().unwrap_or_else(|| {
                value.wrong_kind(notes, "true or false");
                false
            }),
        }
    }

    /// A whole number from `least` up to a million.
    pub(crate) fn whole(&self, notes: &mut Notes, name: &'static str, least: u64) -> Option<u64> {
        let value = self.get(name)?;
        let number = match value.value.get_ref() {
            DeValue::Integer(number) if number.radix() == 10 => {
                number.as_str().replace('_', "").parse::<u64>().ok()
            }
            DeValue::String(text) => text.trim().replace(',', "").parse::<u64>().ok(),
            _ => None,
        };
        match number {
            Some(number) if (least..=1_000_000).contains(&number) => Some(number),
            _ => {
                notes.push(Diagnostic::fault(
                    "not-a-count",
                    value.at(),
                    format!("expected a whole number from {least} to 1,000,000"),
                ));
                None
            }
        }
    }

    pub(crate) fn stated(
        &self,
        notes: &mut Notes,
        name: &'static str,
        expect: Expect<'_>,
    ) -> Option<Stated> {
        self.get(name)?.stated(notes, expect)
    }

    /// A quantity that must be above zero in every part of its spread (a time, an amount, a life).
    pub(crate) fn positive(
        &self,
        notes: &mut Notes,
        name: &'static str,
        expect: Expect<'_>,
    ) -> Option<Stated> {
        let stated = self.stated(notes, name, expect)?;
        positive(notes, name, stated)
    }

    /// The same, zero allowed.
    pub(crate) fn not_negative(
        &self,
        notes: &mut Notes,
        name: &'static str,
        expect: Expect<'_>,
    ) -> Option<Stated> {
        let stated = self.stated(notes, name, expect)?;
        not_negative(notes, name, stated)
    }

    /// A share in 0 to 1.
    pub(crate) fn share(&self, notes: &mut Notes, name: &'static str) -> Option<Stated> {
        let stated = self.stated(notes, name, Expect::Share)?;
        within(notes, name, stated, 0.0, 1.0)
    }

    /// A yield: a share, or a table with `mean` and `lots`; `most` is the largest mean allowed.
    pub(crate) fn yield_of(&self, notes: &mut Notes, name: &'static str, most: f64) -> Yield {
        let Some(value) = self.get(name) else {
            return Yield::whole();
        };
        // What may be over 100 % (a fillet takes up brine) is asked for as a number.
        let expect = if most > 1.0 {
            Expect::Number
        } else {
            Expect::Share
        };
        let (mean, lots) = written_yield(notes, value, expect);
        let Some(stated) = mean.and_then(|mean| within(notes, name, mean, 0.0, most)) else {
            return Yield::whole();
        };
        let lots_sd = match (&lots, stated.spread) {
            (Some(lots), _) => lots.mean(),
            (None, Spread::Exact(_)) => 0.0,
            // A spread written for the yield itself is the spread between lots.
            (None, spread) => spread.sd(),
        };
        let mean = stated.mean();
        if mean <= 0.0 {
            notes.push(nothing_passes(name, &stated));
            return Yield::whole();
        }
        let too_wide = mean <= 1.0 && lots_sd > 0.0 && lots_sd * lots_sd >= mean * (1.0 - mean);
        if too_wide {
            notes.push(lots_too_wide(name, &stated, lots_sd));
        }
        Yield {
            mean,
            lots_sd: if too_wide { 0.0 } else { lots_sd },
            stated: Some(stated),
        }
    }
}

/// A yield as written: its mean and the spread between lots.
fn written_yield(
    notes: &mut Notes,
    value: Value<'_>,
    expect: Expect<'_>,
) -> (Option<Stated>, Option<Stated>) {
    let written = value.value.get_ref();
    let has_parts = written
        .as_table()
        .is_some_and(|table| !table.contains_key("value"));
    if !has_parts {
        return (value.stated(notes, expect), None);
    }
    let Some(table) = value.table(notes, &crate::format::YIELD) else {
        return (None, None);
    };
    let mean = table
        .need(notes, "mean")
        .and_then(|mean| mean.stated(notes, expect));
    let lots = table.share(notes, "lots");
    let source = table.text(notes, "source").map(|word| word.text);
    let sourced = mean.map(|mean| Stated {
        source: source.or(mean.source.clone()),
        ..mean
    });
    (sourced, lots)
}

fn nothing_passes(name: &str, stated: &Stated) -> Diagnostic {
    Diagnostic::fault(
        "yield-not-positive",
        stated.at,
        format!("`{name}` lets nothing through"),
    )
    .sides("a share above 0 %", quantity::show_share(stated.mean()))
    .help("an operation that passes nothing on ends the route; write the share that goes on")
}

fn lots_too_wide(name: &str, stated: &Stated, lots_sd: f64) -> Diagnostic {
    let mean = stated.mean();
    let widest = quantity::show_share((mean * (1.0 - mean)).sqrt());
    Diagnostic::fault(
        "lots-too-wide",
        stated.at,
        format!("lots cannot differ that much about a mean {name}"),
    )
    .sides(
        format!("a standard deviation below {widest}"),
        quantity::show_share(lots_sd),
    )
    .help("a share between 0 and 1 with this mean has a largest possible spread; check the points")
}

/// One of several words, each with what it means.
pub(crate) fn choice<T: Copy>(
    notes: &mut Notes,
    what: &str,
    word: &Word,
    options: &[(&'static str, T)],
) -> Option<T> {
    let found = options.iter().find(|(name, _)| *name == word.text.trim());
    if let Some((_, meaning)) = found {
        return Some(*meaning);
    }
    let names: Vec<&str> = options.iter().map(|(name, _)| *name).collect();
    let listed = names
        .iter()
        .map(|name| format!("`{name}`"))
        .collect::<Vec<_>>()
        .join(", ");
    notes.push(
        Diagnostic::fault(
            "unknown-choice",
            word.at,
            format!("`{what}` cannot be `{}`", word.text),
        )
        .sides(format!("one of {listed}"), format!("`{}`", word.text))
        .maybe_help(crate::suggest::did_you_mean(&word.text, names)),
    );
    None
}

fn keys(section: &Section) -> String {
    section
        .keys
        .iter()
        .map(|key| key.name)
        .collect::<Vec<_>>()
        .join(", ")
}

/// The least value that a spread can take; for a normal spread its mean, whose tail is cut off.
fn floor(spread: Spread) -> f64 {
    match spread {
        Spread::Normal { mean, .. } => mean,
        other => other.low(),
    }
}

pub(crate) fn positive(notes: &mut Notes, name: &str, stated: Stated) -> Option<Stated> {
    if floor(stated.spread) > 0.0 {
        return Some(stated);
    }
    notes.push(
        Diagnostic::fault(
            "not-positive",
            stated.at,
            format!("`{name}` must be above zero"),
        )
        .label("zero or less"),
    );
    None
}

pub(crate) fn not_negative(notes: &mut Notes, name: &str, stated: Stated) -> Option<Stated> {
    if floor(stated.spread) >= 0.0 {
        return Some(stated);
    }
    notes.push(
        Diagnostic::fault(
            "negative",
            stated.at,
            format!("`{name}` cannot be below zero"),
        )
        .label("below zero"),
    );
    None
}

fn within(notes: &mut Notes, name: &str, stated: Stated, low: f64, high: f64) -> Option<Stated> {
    let inside = |x: f64| (low..=high).contains(&x);
    let ends = match stated.spread {
        Spread::Normal { mean, .. } => (mean, mean),
        other => (other.low(), other.high()),
    };
    if inside(ends.0) && inside(ends.1) {
        return Some(stated);
    }
    let help = "a yield of measure, which may be over 100 %, is `keeps`";
    notes.push(
        Diagnostic::fault(
            "share-out-of-range",
            stated.at,
            format!("`{name}` is out of range"),
        )
        .sides(
            format!(
                "{} to {}",
                quantity::show_share(low),
                quantity::show_share(high)
            ),
            quantity::show_share(stated.mean()),
        )
        .maybe_help((name == "good").then(|| help.to_owned())),
    );
    None
}

/// The unit of a text such as `plank` or `m2`.
pub(crate) fn unit(notes: &mut Notes, word: &Word) -> Option<Unit> {
    match notes.units.parse_unit(&word.text) {
        Ok(unit) => Some(unit),
        Err(fault) => {
            let at = word.part(&fault.range);
            notes.push(quantity_fault(fault, at));
            None
        }
    }
}
