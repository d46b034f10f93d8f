//! Names of one kind of thing: declared once, found often, with a suggestion when not found.

use std::cell::Cell;
use std::collections::BTreeMap;

use super::table::{Notes, Word};
use crate::diagnostic::Diagnostic;
use crate::source::Span;
use crate::suggest::nearest;

/// The names of one kind of thing and their numbers.
pub(crate) struct Names {
    /// What they name, in the singular: `station`.
    pub(crate) what: &'static str,
    /// How one of them is declared, for a name that has none like it; `NAME` stands for the name.
    how: &'static str,
    by_name: BTreeMap<String, (usize, Span)>,
    /// Suggestions still to be looked for.
    suggestions: Cell<u32>,
}

/// Unknown names for which a like one is looked for: each costs a look at all that are declared, and
/// whoever has more of them than this has another trouble than a slip of the pen.
const MOST_SUGGESTIONS: u32 = 200;

impl Names {
    pub(crate) fn new(what: &'static str, how: &'static str) -> Self {
        Self {
            what,
            how,
            by_name: BTreeMap::new(),
            suggestions: Cell::new(MOST_SUGGESTIONS),
        }
    }

    /// Declares a name with its number; a second declaration is a fault and is not taken.
    pub(crate) fn declare(&mut self, notes: &mut Notes, word: &Word, number: usize) -> bool {
        if let Some((_, first)) = self.by_name.get(&word.text) {
            notes.push(
                Diagnostic::fault(
                    "declared-twice",
                    word.at,
                    format!("{} `{}` is declared twice", self.what, word.text),
                )
                .label("again here")
                .other(*first, "first here"),
            );
            return false;
        }
        self.by_name.insert(word.text.clone(), (number, word.at));
        true
    }

    /// Takes a name in without looking for an earlier one.
    pub(crate) fn insert(&mut self, word: &Word, number: usize) {
        self.by_name.insert(word.text.clone(), (number, word.at));
    }

    /// The number of a name, if it is declared.
    pub(crate) fn get(&self, name: &str) -> Option<usize> {
        self.by_name.get(name).map(|(number, _)| *number)
    }

    /// The number of a name; a fault if it is not declared.
    pub(crate) fn find(&self, notes: &mut Notes, word: &Word) -> Option<usize> {
        let number = self.get(&word.text);
        if number.is_none() {
            notes.push(self.unknown(word));
        }
        number
    }

    /// The fault that a name is not declared.
    pub(crate) fn unknown(&self, word: &Word) -> Diagnostic {
        let what = self.what;
        let help = self
            .like(&word.text)
            .map(|name| format!("did you mean `{name}`?"))
            .or_else(|| self.few())
            .or_else(|| Some(self.how.replace("NAME", &word.text)));
        Diagnostic::fault(
            "unknown-name",
            word.at,
            format!("no {what} is called `{}`", word.text),
        )
        .label(format!("not {} {what}", article(what)))
        .maybe_help(help)
    }

    /// The declared name that was probably meant.
    fn like(&self, name: &str) -> Option<&str> {
        let left = self.suggestions.get().checked_sub(1)?;
        self.suggestions.set(left);
        nearest(name, self.by_name.keys().map(String::as_str))
    }

    /// All the names, when they are few enough to list.
    fn few(&self) -> Option<String> {
        if self.by_name.is_empty() || self.by_name.len() > 8 {
            return None;
        }
        let names: Vec<&str> = self.by_name.keys().map(String::as_str).collect();
        Some(format!("known: {}", names.join(", ")))
    }
}

/// The article of a word.
fn article(word: &str) -> &'static str {
    if word.starts_with(['a', 'e', 'i', 'o', 'u']) {
        "an"
    } else {
        "a"
    }
}
