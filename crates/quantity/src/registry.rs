//! The registry of units by name: measured units, counts, currencies and what a works declares.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::table::{self, Prefixes};
use crate::{Dimension, Expect, Fault, Unit, currency, symbols};

/// What a name stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Measure,
    /// A count or a currency: a works may say what it is worth in others.
    Declarable,
}

#[derive(Clone, Debug)]
struct Entry {
    dimension: Dimension,
    factor: f64,
    offset: f64,
    kind: Kind,
    prefixes: Prefixes,
    /// A long name: read with a plural and a capital first letter too.
    word: bool,
}

/// Why a declaration was refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum UnitsFault {
    /// The name is a unit of measure already.
    #[error("`{name}` already is a unit of {means}")]
    NameTaken {
        /// The name as declared.
        name: String,
        /// What it measures today.
        means: String,
    },
    /// The name can't be read back in a quantity.
    #[error(
        "`{name}` cannot name a unit: use letters, digits, spaces, `-` and `_`, a letter first"
    )]
    BadName {
        /// The name as declared.
        name: String,
    },
    /// The meaning does not read as a quantity.
    #[error("the meaning of `{name}` does not read: {fault}")]
    BadMeaning {
        /// The name as declared.
        name: String,
        /// What is wrong with the meaning; its range is in the meaning's text.
        fault: Box<Fault>,
    },
    /// The meaning is not one positive amount, or is a temperature scale.
    #[error("the meaning of `{name}` must be one amount above zero, for example `24 each`")]
    NotAnAmount {
        /// The name as declared.
        name: String,
    },
    /// The meaning leads back to the name itself.
    #[error("`{name}` cannot be declared in terms of itself")]
    Circular {
        /// The name as declared.
        name: String,
    },
}

/// The units known to a works. Cheap to clone.
#[derive(Clone, Debug)]
pub struct Units {
    entries: Arc<BTreeMap<String, Entry>>,
    /// Names that are not one run of letters, by first character, longest first.
    phrases: Arc<BTreeMap<char, Vec<String>>>,
}

impl Units {
    /// SI and inch-pound units, common counts, active ISO 4217 codes and the signs £, $, €.
    pub fn standard() -> Self {
        let mut entries = BTreeMap::new();
        for row in table::rows() {
            add_row(&mut entries, &row);
        }
        for (name, others, each) in table::COUNTS {
            let dimension = Dimension::count(if each > 0.0 { "each" } else { name });
            let factor = if each > 0.0 { each } else { 1.0 };
            for name in std::iter::once(name).chain(split(others)) {
                entries.insert(name.to_owned(), declared(dimension.clone(), factor));
            }
        }
        for code in currency::CODES.split_whitespace() {
            let money = Entry {
                word: false,
                ..declared(Dimension::money(code), 1.0)
            };
            entries.insert(code.to_owned(), money);
        }
        let mut units = Self {
            entries: Arc::new(entries),
            phrases: Arc::default(),
        };
        units.collect_phrases();
        units
    }

    /// Declares a count that is a base of its own. Declaring a known count again changes nothing.
    pub fn declare_count(&mut self, name: &str) -> Result<(), UnitsFault> {
        let name = self.declarable_name(name)?;
        if self.entries.contains_key(name) {
            return Ok(());
        }
        self.insert(name, declared(Dimension::count(name), 1.0));
        Ok(())
    }

    /// Declares what one of a count or currency is: `("case", "24 each")`, `("EUR", "0.86 GBP")`.
    /// What was declared before keeps the meaning it had.
    pub fn declare(&mut self, name: &str, meaning: &str) -> Result<(), UnitsFault> {
        let name = self.declarable_name(name)?;
        let written =
            crate::read(meaning, self, Expect::Any).map_err(|fault| UnitsFault::BadMeaning {
                name: name.to_owned(),
                fault: Box::new(fault),
            })?;
        let amount = written.mean();
        if !written.spread.is_exact() || amount <= 0.0 || written.unit.has_offset() {
            return Err(UnitsFault::NotAnAmount {
                name: name.to_owned(),
            });
        }
        // "each = 2 each" would change what the base itself means.
        let own = [Dimension::count(name), Dimension::money(name)];
        if own.contains(written.dimension()) {
            return Err(UnitsFault::Circular {
                name: name.to_owned(),
            });
        }
        self.insert(name, declared(written.dimension().clone(), amount));
        Ok(())
    }

    /// A unit text without a number: `m/min`, `£/kg`, `per h`, `1/h`; `1` is a bare number.
    pub fn parse_unit(&self, text: &str) -> Result<Unit, Fault> {
        symbols::parse_alone(text, self)
    }

    /// Every name in the registry (without prefixes and plurals), sorted.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.entries.keys().map(String::as_str)
    }

    /// The unit of exactly this name, with its prefix or plural.
    pub(crate) fn lookup(&self, name: &str) -> Option<Unit> {
        let (entry, scale) = self.find(name)?;
        let factor = entry.factor * scale;
        Some(Unit::new(
            name.to_owned(),
            entry.dimension.clone(),
            factor,
            entry.offset,
        ))
    }

    /// The length in bytes of the longest phrase (`board foot`, `[in_i]`) that `text` begins with.
    pub(crate) fn phrase_at(&self, text: &str) -> Option<usize> {
        let first = text.chars().next()?;
        self.phrases.get(&first)?.iter().find_map(|phrase| {
            let rest = text.strip_prefix(phrase.as_str())?;
            // A phrase that ends in a bracket ends there; others end where their word ends.
            let plural = ["es", "s", ""].into_iter().find_map(|end| {
                let after = rest.strip_prefix(end)?;
                let open = phrase.ends_with(']') || !continues_word(after);
                open.then_some(end.len())
            })?;
            self.lookup(&text[..phrase.len() + plural])
                .map(|_| phrase.len() + plural)
        })
    }

    /// Known names near a misspelt one, best first.
    pub(crate) fn near(&self, name: &str) -> Option<String> {
        let length = name.chars().count();
        let allowed = match length {
            0..=1 => {
                return self
                    .entries
                    .contains_key(&name.to_lowercase())
                    .then(|| name.to_lowercase());
            }
            2..=5 => 1,
            6..=8 => 2,
            _ => 3,
        };
        let lower = name.to_lowercase();
        if self.find(&lower).is_some() {
            return Some(lower);
        }
        self.candidates()
            .filter(|known| {
                known.chars().count().abs_diff(length) <= 1 && known.chars().count() > 1
            })
            .map(|known| (strsim::osa_distance(&lower, &known.to_lowercase()), known))
            .filter(|(distance, _)| *distance <= allowed)
            .min()
            .map(|(_, known)| known)
    }

    /// Names worth suggesting: words and symbols, common prefixed symbols, no currency codes.
    fn candidates(&self) -> impl Iterator<Item = String> {
        const COMMON: &str = "kg mg mm cm km um mL ml kPa MPa kN kJ MJ kW kWh MW ms kHz mbar mV mA";
        let known = self.entries.iter().filter(|(name, entry)| {
            entry.word || !name.chars().all(|c| c.is_ascii_uppercase() || c == '[')
        });
        known
            .map(|(name, _)| name.clone())
            .chain(COMMON.split(' ').map(str::to_owned))
    }

    fn find(&self, name: &str) -> Option<(&Entry, f64)> {
        let sign = name
            .chars()
            .next()
            .filter(|sign| sign.len_utf8() == name.len());
        let name = sign.and_then(currency::code_of).unwrap_or(name);
        if let Some(entry) = self.entries.get(name) {
            return Some((entry, 1.0));
        }
        self.find_word(name).or_else(|| self.find_prefixed(name))
    }

    fn find_word(&self, name: &str) -> Option<(&Entry, f64)> {
        let lower = lower_first(name);
        let word = |text: &str| self.entries.get(text).filter(|entry| entry.word);
        let found = word(&lower)
            .or_else(|| word(lower.strip_suffix('s')?))
            .or_else(|| word(lower.strip_suffix("es")?))
            .or_else(|| word(&format!("{}y", lower.strip_suffix("ies")?)));
        found.map(|entry| (entry, 1.0))
    }

    fn find_prefixed(&self, name: &str) -> Option<(&Entry, f64)> {
        let lower = lower_first(name);
        table::PREFIXES.iter().find_map(|&(symbol, word, factor)| {
            let short = name
                .strip_prefix(symbol)
                .and_then(|rest| self.entries.get(rest));
            if let Some(entry) = short.filter(|entry| entry.prefixes == Prefixes::Symbol) {
                // `250 ML` on a sheet is 250 mL in capitals and never a lake: not read as either.
                let lake = entry.dimension == Dimension::VOLUME && factor >= 1e6;
                return (!lake).then_some((entry, factor));
            }
            let rest = lower.strip_prefix(word)?;
            let entry = self
                .entries
                .get(rest)
                .or_else(|| self.entries.get(rest.strip_suffix('s')?))?;
            (entry.prefixes == Prefixes::Word).then_some((entry, factor))
        })
    }

    /// The name, if a works may declare it.
    fn declarable_name<'a>(&self, name: &'a str) -> Result<&'a str, UnitsFault> {
        let name = name.trim();
        let fits = name
            .chars()
            .all(|c| c.is_alphanumeric() || [' ', '-', '_'].contains(&c));
        let first = name.chars().next().is_some_and(char::is_alphabetic);
        let words = name
            .split(' ')
            .all(|word| !word.is_empty() && word != "per");
        let last = name.chars().last().is_some_and(char::is_alphanumeric);
        if !(fits && first && words && last) {
            return Err(UnitsFault::BadName {
                name: name.to_owned(),
            });
        }
        match self.find(name) {
            Some((entry, _)) if entry.kind == Kind::Measure => Err(UnitsFault::NameTaken {
                name: name.to_owned(),
                means: entry.dimension.describe(),
            }),
            _ => Ok(name),
        }
    }

    fn insert(&mut self, name: &str, entry: Entry) {
        Arc::make_mut(&mut self.entries).insert(name.to_owned(), entry);
        self.collect_phrases();
    }

    fn collect_phrases(&mut self) {
        let odd = |name: &&String| !name.chars().all(|c| c.is_alphabetic() || c == '_');
        let mut phrases: BTreeMap<char, Vec<String>> = BTreeMap::new();
        for name in self.entries.keys().filter(odd) {
            if let Some(first) = name
                .chars()
                .next()
                .filter(|first| first.len_utf8() < name.len())
            {
                phrases.entry(first).or_default().push(name.clone());
            }
        }
        for same in phrases.values_mut() {
            same.sort_by(|a, b| b.len().cmp(&a.len()).then_with(|| a.cmp(b)));
        }
        self.phrases = Arc::new(phrases);
    }
}

impl Default for Units {
    fn default() -> Self {
        Self::standard()
    }
}

fn declared(dimension: Dimension, factor: f64) -> Entry {
    let prefixes = Prefixes::None;
    Entry {
        dimension,
        factor,
        offset: 0.0,
        kind: Kind::Declarable,
        prefixes,
        word: true,
    }
}

fn add_row(entries: &mut BTreeMap<String, Entry>, row: &table::Row) {
    let entry = |word: bool| Entry {
        dimension: row.dimension.clone(),
        factor: row.factor,
        offset: row.offset,
        kind: Kind::Measure,
        prefixes: match (row.prefixed, word) {
            (false, _) => Prefixes::None,
            (true, false) => Prefixes::Symbol,
            (true, true) => Prefixes::Word,
        },
        word,
    };
    for name in split(row.words) {
        entries.insert(name.to_owned(), entry(true));
    }
    // After the words, so that `bar` keeps taking the prefixes of a symbol.
    for name in split(row.symbols) {
        entries.insert(name.to_owned(), entry(false));
    }
}

fn split(names: &'static str) -> impl Iterator<Item = &'static str> {
    names.split('|').filter(|name| !name.is_empty())
}

fn continues_word(rest: &str) -> bool {
    rest.chars()
        .next()
        .is_some_and(|c| c.is_alphabetic() || c == '_')
}

fn lower_first(name: &str) -> String {
    let mut chars = name.chars();
    match chars.next() {
        Some(first) => first.to_lowercase().chain(chars).collect(),
        None => String::new(),
    }
}
