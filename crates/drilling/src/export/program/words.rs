//! Reads a line of a program into words: a letter and a number each. Comments stand in brackets or after a
//! semicolon.

use super::fault::ProgramFault;

/// More digits than this are no number of a program.
const LONGEST_NUMBER: usize = 24;

/// A letter with its number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Word {
    pub(super) letter: char,
    pub(super) value: f64,
    /// Whether the number had a decimal point. Controllers differ in what X10 means.
    pub(super) pointed: bool,
}

impl Word {
    /// The number if it is whole and fits.
    pub(super) fn whole(&self) -> Option<u32> {
        let fits = self.value >= 0.0 && self.value <= f64::from(u32::MAX);
        (fits && libm::trunc(self.value) == self.value).then_some(self.value as u32)
    }
}

impl std::fmt::Display for Word {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}{}", self.letter, self.value)
    }
}

/// The words of a line, in order; line numbers from 1.
pub(super) fn words(text: &str, line: usize) -> Result<Vec<Word>, ProgramFault> {
    let bare = without_comments(text, line)?;
    let letters: Vec<char> = bare.chars().filter(|c| !c.is_whitespace()).collect();
    // A percent sign alone marks the start and the end of a tape.
    if letters == ['%'] {
        return Ok(Vec::new());
    }
    let mut words = Vec::new();
    let mut rest = letters.as_slice();
    while let Some((letter, after)) = rest.split_first() {
        let digits = after
            .iter()
            .take_while(|c| c.is_ascii_digit() || matches!(c, '+' | '-' | '.'))
            .count();
        let number: String = after[..digits].iter().collect();
        let value = number_of(&number).filter(|_| letter.is_ascii_alphabetic());
        let Some(value) = value else {
            return Err(ProgramFault::Unreadable {
                line,
                text: format!("{letter}{number}"),
            });
        };
        words.push(Word {
            letter: letter.to_ascii_uppercase(),
            value,
            pointed: number.contains('.'),
        });
        rest = &after[digits..];
    }
    Ok(words)
}

/// A sign, digits and at most one point; no exponent.
fn number_of(text: &str) -> Option<f64> {
    let digits = text.strip_prefix(['+', '-']).unwrap_or(text);
    let plain = digits
        .bytes()
        .all(|byte| byte.is_ascii_digit() || byte == b'.');
    let pointed = digits.bytes().filter(|byte| *byte == b'.').count() <= 1;
    let some = digits.bytes().any(|byte| byte.is_ascii_digit());
    if !(plain && pointed && some && text.len() <= LONGEST_NUMBER) {
        return None;
    }
    text.parse().ok()
}

/// A line without what stands in brackets or after a semicolon.
fn without_comments(text: &str, line: usize) -> Result<String, ProgramFault> {
    let mut bare = String::new();
    let mut inside = false;
    for letter in text.chars() {
        match (letter, inside) {
            ('(', false) => inside = true,
            (')', true) => inside = false,
            ('(', true) | (')', false) => return Err(ProgramFault::Comment { line }),
            (';', false) => return Ok(bare),
            (_, true) => (),
            (_, false) => bare.push(letter),
        }
    }
    if inside {
        return Err(ProgramFault::Comment { line });
    }
    Ok(bare)
}
