//! Reading what heat, drying and moulding share: levels that follow a setting, faces, places, limits.

use quantity::{Dimension, Expect};

use super::super::shelves::Shelves;
use super::super::table::{Notes, Table, Value, Word, choice};
use super::super::works::Declared;
use crate::diagnostic::Diagnostic;
use crate::model::{Bounds, Faces, ItemId, Level, Numbers, Operation, Place, Stated, Station};
use crate::suggest::did_you_mean;

/// What heat and its like are read against: the operation as far as it is known, and all declarations.
pub(super) struct Context<'a> {
    /// The table of the operation.
    pub(super) table: &'a Table<'a>,
    pub(super) operation: &'a Operation,
    pub(super) declared: &'a Declared,
    pub(super) shelves: &'a Shelves,
}

/// What a level measures.
#[derive(Clone, Copy)]
pub(super) enum LevelOf {
    Temperature,
    Share,
}

impl LevelOf {
    fn expect(self) -> Expect<'static> {
        match self {
            Self::Temperature => Expect::Temperature,
            Self::Share => Expect::Share,
        }
    }

    fn dimension(self) -> Dimension {
        match self {
            Self::Temperature => Dimension::TEMPERATURE,
            Self::Share => Dimension::NONE,
        }
    }

    fn words(self) -> &'static str {
        match self {
            Self::Temperature => "a temperature",
            Self::Share => "a share",
        }
    }
}

/// Whether a text begins as a number does; else it is a name.
fn is_number(text: &str) -> bool {
    text.trim_start()
        .trim_start_matches(['+', '-', '−', '.'])
        .starts_with(|c: char| c.is_ascii_digit())
}

impl Context<'_> {
    /// The station of the operation, if it has one.
    pub(super) fn station(&self) -> Option<&Station> {
        Some(&self.declared.stations[self.operation.station?.0])
    }

    /// A level: the name of a setting of the operation, or stated.
    pub(super) fn level(&self, notes: &mut Notes, value: Value<'_>, of: LevelOf) -> Option<Level> {
        let word = value.as_text();
        let Some(word) = word.filter(|word| self.is_setting(&word.text) || !is_number(&word.text))
        else {
            return value.stated(notes, of.expect()).map(Level::Stated);
        };
        let settings = &self.operation.settings;
        let Some(position) = settings.iter().position(|s| s.name == word.text) else {
            if !self.is_setting(&word.text) {
                notes.push(self.no_setting(&word, of));
            }
            return None;
        };
        let aim = &settings[position].aim;
        if *aim.unit.dimension() != of.dimension() {
            let found = aim.unit.dimension().describe();
            notes.push(
                Diagnostic::fault(
                    "wrong-dimension",
                    word.at,
                    format!("expected {}, found {found}", of.words()),
                )
                .sides(
                    format!("a setting that is {}", of.words()),
                    format!("{found}, in `{}`", aim.unit.symbol()),
                )
                .other(settings[position].at, "the setting"),
            );
            return None;
        }
        Some(Level::Setting(position, word.at))
    }

    /// Whether the operation writes a setting of that name, read without fault or not.
    fn is_setting(&self, name: &str) -> bool {
        let settings = self.table.get("settings");
        settings.is_some_and(|value| value.value.get_ref().get(name).is_some())
    }

    fn no_setting(&self, word: &Word, of: LevelOf) -> Diagnostic {
        let names = self.operation.settings.iter().map(|s| s.name.as_str());
        let help = did_you_mean(&word.text, names).unwrap_or_else(|| {
            let example = match of {
                LevelOf::Temperature => "190 degC",
                LevelOf::Share => "72 %",
            };
            format!(
                "add it: settings = {{ \"{}\" = \"{example}\" }}, or write {} here",
                word.text,
                of.words()
            )
        });
        Diagnostic::fault(
            "unknown-name",
            word.at,
            format!("`{}` has no setting `{}`", self.operation.name, word.text),
        )
        .label("neither a setting nor a quantity")
        .help(help)
    }

    /// A level behind a key that must be there.
    pub(super) fn need_level(
        &self,
        notes: &mut Notes,
        table: &Table<'_>,
        key: &'static str,
    ) -> Option<Level> {
        let value = table.need(notes, key)?;
        self.level(notes, value, LevelOf::Temperature)
    }

    /// A level behind a key that may be there.
    pub(super) fn level_at(
        &self,
        notes: &mut Notes,
        table: &Table<'_>,
        key: &'static str,
    ) -> Option<Level> {
        let value = table.get(key)?;
        self.level(notes, value, LevelOf::Temperature)
    }

    /// An item that the operation takes and whose mass is known.
    pub(super) fn taken(&self, notes: &mut Notes, word: &Word) -> Option<ItemId> {
        let item = ItemId(self.declared.item_names.find(notes, word)?);
        if !self.operation.takes.iter().any(|take| take.item == item) {
            notes.push(
                Diagnostic::fault(
                    "not-taken",
                    word.at,
                    format!("the operation does not take `{}`", word.text),
                )
                .other(self.operation.at, "this operation")
                .help("say in `takes` how much of it goes into one unit"),
            );
            return None;
        }
        let known = &self.declared.items[item.0];
        if known.kg_per_unit().is_none() {
            notes.push(
                Diagnostic::fault(
                    "missing-key",
                    word.at,
                    format!(
                        "cannot tell how heavy one {} of `{}` is",
                        known.unit.symbol(),
                        word.text
                    ),
                )
                .other(known.at, "give it its `mass` here"),
            );
            return None;
        }
        Some(item)
    }
}

/// Whether what is found here replaces what is stated; it does not when left out.
pub(super) fn numbers(notes: &mut Notes, table: &Table<'_>) -> Numbers {
    table
        .text(notes, "numbers")
        .and_then(|word| choice(notes, "numbers", &word, &super::cut::NUMBERS))
        .unwrap_or(Numbers::Stated)
}

/// Both faces or one; both when left out.
pub(super) fn faces(notes: &mut Notes, value: Option<Value<'_>>) -> Faces {
    value
        .and_then(|value| value.text(notes))
        .and_then(|word| {
            let options = [("both", Faces::Both), ("one", Faces::One)];
            choice(notes, "faces", &word, &options)
        })
        .unwrap_or(Faces::Both)
}

/// A place among those that may be; none when left out or not known.
pub(super) fn place(notes: &mut Notes, table: &Table<'_>, options: &[Place]) -> Option<Place> {
    let word = table.text(notes, "where")?;
    let options: Vec<(&'static str, Place)> =
        options.iter().map(|&place| (place.word(), place)).collect();
    choice(notes, "where", &word, &options)
}

/// The limits `at_least` and `at_most` of one measure.
pub(super) fn bounds(notes: &mut Notes, table: &Table<'_>, expect: Expect<'_>) -> Bounds {
    let bounds = Bounds {
        at_least: table.not_negative(notes, "at_least", expect),
        at_most: table.not_negative(notes, "at_most", expect),
    };
    if let (Some(least), Some(most)) = (&bounds.at_least, &bounds.at_most)
        && least.mean() > most.mean()
    {
        notes.push(crossed(least, most));
    }
    bounds
}

fn crossed(least: &Stated, most: &Stated) -> Diagnostic {
    Diagnostic::fault(
        "limits-crossed",
        most.at,
        "the limits of this need cannot both be met",
    )
    .sides(
        format!("at least {}", quantity::show(least.mean(), &least.unit)),
        format!("at most {}", quantity::show(most.mean(), &most.unit)),
    )
}
