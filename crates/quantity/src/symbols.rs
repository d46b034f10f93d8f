//! The grammar of compound units: `kg/m2`, `W/(m2 K)`, `kg.m-2`, `s per pair`, `GBP/100 each`.
//!
//! ```text
//! unit    = [divide] factor { [divide | multiply] factor }      multiply may be just a space
//! factor  = "(" unit ")" [power] | ["sq" | "cu"] name [power] | number   (a number only after divide)
//! divide  = "/" | "per"        multiply = "." | "·" | "*" | "×" | " "
//! power   = ["^" | "**"] integer | superscript
//! ```
//! What follows a divide belongs to the denominator up to the next divide (see the crate's conventions).

use std::ops::Range;

use crate::number::{self, Fractions};
use crate::{Dimension, Fault, FaultKind, Unit, Units};

/// Brackets deeper than this are refused rather than followed.
const DEEPEST: usize = 16;

/// Powers beyond this are slips of the pen.
const HIGHEST_POWER: i32 = 12;

/// A figure without `^` beyond this more likely begins the next value: `5ft6in`, `1h20min`.
const HIGHEST_CLOSE_POWER: i32 = 4;

/// Names of one sign, which take no power.
const SIGNS: [char; 11] = ['%', '‰', '\'', '"', '′', '″', '£', '$', '€', '℃', '℉'];

/// A product of factors under construction.
struct Product {
    dimension: Dimension,
    factor: f64,
    offset: f64,
    factors: usize,
}

impl Product {
    fn one() -> Self {
        Self {
            dimension: Dimension::NONE,
            factor: 1.0,
            offset: 0.0,
            factors: 0,
        }
    }

    /// An offset survives only in a unit that stands alone, undivided and to the first power.
    fn include(&mut self, other: &Self, dividing: bool) {
        let power = if dividing { -1 } else { 1 };
        self.offset = if self.factors == 0 && !dividing {
            other.offset
        } else {
            0.0
        };
        self.dimension = self.dimension.times(&other.dimension.power(power));
        // Division proper: 1/60 keeps one more digit than the power −1.
        self.factor = if dividing {
            self.factor / other.factor
        } else {
            self.factor * other.factor
        };
        self.factors += 1;
    }

    fn raise(&mut self, power: i32) {
        self.dimension = self.dimension.power(power);
        self.factor = self.factor.powi(power);
        self.offset = if power == 1 { self.offset } else { 0.0 };
    }
}

/// How names are understood where the unit stands.
#[derive(Clone, Copy)]
pub(crate) struct Context<'a> {
    pub(crate) units: &'a Units,
    /// `C` and `F` mean degrees.
    pub(crate) temperature: bool,
}

/// The hundred in `GBP/100 each`, until the unit it multiplies has been read.
enum Multiple {
    None,
    /// Where it stands, and the dimension of what it divides.
    Read(Range<usize>, Dimension),
}

impl Multiple {
    fn use_for(&mut self, dimension: &Dimension) -> Result<(), Fault> {
        let Self::Read(range, top) = std::mem::replace(self, Self::None) else {
            return Ok(());
        };
        if top == *dimension && !top.is_none() {
            let headline = "a second value after `/`";
            let fault = Fault::new(FaultKind::BadSpread, range, headline);
            return Err(fault.help("write a range as `12..18 s`, three values as `12 / 14 / 19 s`"));
        }
        Ok(())
    }

    fn check_used(&self) -> Result<(), Fault> {
        let Self::Read(range, _) = self else {
            return Ok(());
        };
        let headline = "a unit is missing after this number";
        Err(Fault::new(FaultKind::UnknownUnit, range.clone(), headline))
    }
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
    end: usize,
    context: Context<'a>,
}

/// Reads a unit that is the whole text.
pub(crate) fn parse_alone(text: &str, units: &Units) -> Result<Unit, Fault> {
    let start = text.len() - text.trim_start().len();
    let end = start + text.trim().len();
    if start >= end {
        return Err(Fault::new(
            FaultKind::EmptyQuantity,
            0..text.len(),
            "expected a unit",
        ));
    }
    if text[start..end] == *"1" {
        return Ok(Unit::one());
    }
    let over = text[start..end]
        .strip_prefix('1')
        .filter(|rest| rest.trim_start().starts_with('/'));
    let from = if over.is_some() { start + 1 } else { start };
    let context = Context {
        units,
        temperature: false,
    };
    match parse_at(text, from..end, context)? {
        Some((unit, stop)) if stop == end => Ok(unit),
        Some((_, stop)) => Err(stray(text, stop, end)),
        None => Err(stray(text, from, end)),
    }
}

/// Reads the unit at the start of `span`, up to a digit or the end: the unit and the byte after it.
pub(crate) fn parse_at(
    text: &str,
    span: Range<usize>,
    context: Context<'_>,
) -> Result<Option<(Unit, usize)>, Fault> {
    let mut reader = Reader {
        text,
        at: span.start,
        end: span.end,
        context,
    };
    let product = reader.product(0)?;
    if product.factors == 0 {
        return Ok(None);
    }
    let stop = reader.at;
    if text[stop..span.end].trim_start().starts_with(')') {
        return Err(stray(text, stop, span.end));
    }
    let unit = finish(text, span.start..stop, product, context)?;
    Ok(Some((unit, stop)))
}

fn finish(
    text: &str,
    range: Range<usize>,
    product: Product,
    context: Context<'_>,
) -> Result<Unit, Fault> {
    if !(1e-60..=1e60).contains(&product.factor) {
        let headline = "this unit is too large or too small to hold";
        return Err(Fault::new(FaultKind::NotFinite, range, headline));
    }
    let symbol = match text[range].trim() {
        "'" | "′" => "ft",
        "\"" | "″" => "in",
        "C" if context.temperature => "degC",
        "F" if context.temperature => "degF",
        written => written,
    };
    Ok(Unit::new(
        symbol.to_owned(),
        product.dimension,
        product.factor,
        product.offset,
    ))
}

fn unreadable(range: Range<usize>, headline: impl Into<String>) -> Fault {
    Fault::new(FaultKind::UnknownUnit, range, headline)
}

fn stray(text: &str, at: usize, end: usize) -> Fault {
    let rest = text[at..end].trim_start();
    let from = end - rest.len();
    Fault::new(
        FaultKind::UnknownUnit,
        from..end,
        format!("`{rest}` does not read as a unit"),
    )
}

impl Reader<'_> {
    fn rest(&self) -> &str {
        &self.text[self.at..self.end]
    }

    fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    fn skip_space(&mut self) {
        self.at = self.end - self.rest().trim_start().len();
    }

    fn product(&mut self, depth: usize) -> Result<Product, Fault> {
        let mut product = Product::one();
        let mut dividing = false;
        // The mark that still waits for its factor.
        let mut pending: Option<Range<usize>> = None;
        let mut multiple = Multiple::None;
        loop {
            let resume = self.at;
            self.skip_space();
            let divides = self.divide_mark();
            let mark = divides.or_else(|| self.multiply_mark());
            if let Some(length) = mark {
                let range = self.at..self.at + length;
                if pending.is_some() || (divides.is_none() && product.factors == 0) {
                    return Err(unreadable(range, "a unit is missing here"));
                }
                dividing |= divides.is_some();
                self.at = range.end;
                pending = Some(range);
                continue;
            }
            let number = self.peek().is_some_and(|c| c.is_ascii_digit());
            let stops = matches!(self.peek(), None | Some(')')) || (number && pending.is_none());
            if stops {
                if let Some(range) = pending {
                    let mark = &self.text[range.clone()];
                    return Err(unreadable(
                        range.clone(),
                        format!("a unit is missing after `{mark}`"),
                    ));
                }
                self.at = resume;
                multiple.check_used()?;
                return Ok(product);
            }
            let start = self.at;
            let after_divide = pending.take().is_some() && dividing;
            let factor = self.factor(depth, number && after_divide)?;
            if number && after_divide {
                multiple.check_used()?;
                multiple = Multiple::Read(start..self.at, product.dimension.clone());
            } else {
                multiple.use_for(&factor.dimension)?;
            }
            product.include(&factor, dividing);
        }
    }

    fn divide_mark(&self) -> Option<usize> {
        let rest = self.rest();
        let word = rest
            .strip_prefix("per")
            .or_else(|| rest.strip_prefix("Per"));
        if word.is_some_and(|after| !after.starts_with(|c: char| c.is_alphabetic() || c == '_')) {
            // "per cent" is a unit, not a division by cents.
            return self.context.units.phrase_at(rest).is_none().then_some(3);
        }
        rest.starts_with('/').then_some(1)
    }

    fn multiply_mark(&self) -> Option<usize> {
        let rest = self.rest();
        let mark = ["**", ".", "·", "*", "×", "⋅"]
            .into_iter()
            .find(|mark| rest.starts_with(mark))?;
        (mark != "**").then_some(mark.len())
    }

    fn factor(&mut self, depth: usize, number: bool) -> Result<Product, Fault> {
        let start = self.at;
        if number {
            return self.number_factor();
        }
        if self.peek() == Some('(') {
            return self.bracket(depth);
        }
        let extra = self.square_or_cubic();
        self.skip_space();
        let mut product = self.name()?;
        // In `5'6"` the figure after the sign is the next value, not a power.
        let sign = self.text[..self.at].ends_with(SIGNS);
        let power = if sign { 1 } else { self.power()? };
        if power != 1 && extra != 1 {
            let range = start..self.at;
            return Err(unreadable(range, "both a word and a figure for the power"));
        }
        product.raise(power * extra);
        Ok(product)
    }

    /// The hundred in `GBP/100 each`.
    fn number_factor(&mut self) -> Result<Product, Fault> {
        let start = self.at;
        let (value, stop) = number::scan(self.text, start..self.end, Fractions::Leave)?;
        self.at = stop;
        if value <= 0.0 {
            return Err(unreadable(start..stop, "nothing can be divided by zero"));
        }
        Ok(Product {
            factor: value,
            factors: 1,
            ..Product::one()
        })
    }

    fn bracket(&mut self, depth: usize) -> Result<Product, Fault> {
        let start = self.at;
        if depth >= DEEPEST {
            return Err(unreadable(start..start + 1, "brackets nested too deep"));
        }
        self.at += 1;
        let mut product = self.product(depth + 1)?;
        self.skip_space();
        if self.peek() != Some(')') {
            return Err(unreadable(start..start + 1, "this bracket is not closed").help("add `)`"));
        }
        if product.factors == 0 {
            return Err(unreadable(start..self.at + 1, "empty brackets"));
        }
        self.at += 1;
        let power = self.power()?;
        product.raise(power);
        Ok(product)
    }

    /// `sq ft`, `cubic metres`: the power the word gives to the name after it.
    fn square_or_cubic(&mut self) -> i32 {
        let words = [
            ("square ", 2),
            ("sq. ", 2),
            ("sq ", 2),
            ("cubic ", 3),
            ("cu. ", 3),
            ("cu ", 3),
        ];
        let rest = self.rest();
        let found = words.iter().find(|(word, _)| rest.starts_with(word));
        let Some(&(word, power)) = found else {
            return 1;
        };
        self.at += word.len();
        power
    }

    fn name(&mut self) -> Result<Product, Fault> {
        let start = self.at;
        let length = match self.context.units.phrase_at(self.rest()) {
            Some(length) => length,
            None => self.name_length(),
        };
        if length == 0 {
            let stop = start + self.peek().map_or(0, char::len_utf8);
            let found = &self.text[start..stop];
            let fault = unreadable(start..stop, format!("`{found}` does not read as a unit"));
            return Err(match found {
                "-" | "–" | "—" | "−" | "~" => fault.help("write a range as `12..18 s`"),
                ":" => fault.help("write a time as `6 h 30 min`"),
                _ => fault,
            });
        }
        let name = &self.text[start..start + length];
        let name = match name {
            "C" if self.context.temperature => "degC",
            "F" if self.context.temperature => "degF",
            other => other,
        };
        let Some(unit) = self.context.units.lookup(name) else {
            return Err(self.unknown(start..start + length));
        };
        self.at = start + length;
        let offset = if unit.has_offset() {
            unit.to_base(0.0)
        } else {
            0.0
        };
        Ok(Product {
            dimension: unit.dimension().clone(),
            factor: unit.factor(),
            offset,
            factors: 1,
        })
    }

    fn unknown(&self, range: Range<usize>) -> Fault {
        let name = &self.text[range.clone()];
        let fault = Fault::new(
            FaultKind::UnknownUnit,
            range,
            format!("unknown unit `{name}`"),
        );
        match name {
            "C" | "c" => fault.help("write `degC` for degrees Celsius"),
            "F" | "f" => fault.help("write `degF` for degrees Fahrenheit"),
            "ton" | "tons" => fault
                .help("write `t` for 1000 kg, `short ton` for 2000 lb or `long ton` for 2240 lb"),
            "to" => fault.help("write a range as `12..18 s`"),
            "M" => fault.help("did you mean `m`?"),
            "kgK" | "gK" | "lbF" => {
                let (mass, degree) = name.split_at(name.len() - 1);
                let degree = if degree == "F" { "degF" } else { degree };
                fault.help(format!("write a space between units: `({mass} {degree})`"))
            }
            _ => match self.context.units.near(name) {
                Some(near) => fault.help(format!("did you mean `{near}`?")),
                None => fault,
            },
        }
    }

    /// One sign, one bracketed code, or a run of letters.
    fn name_length(&self) -> usize {
        let rest = self.rest();
        let Some(first) = rest.chars().next() else {
            return 0;
        };
        let letters = |text: &str| {
            text.find(|c: char| !(c.is_alphabetic() || c == '_'))
                .unwrap_or(text.len())
        };
        match first {
            '%' | '‰' | '\'' | '"' | '′' | '″' | '£' | '$' | '€' | '℃' | '℉' => {
                first.len_utf8()
            }
            '°' | 'º' => first.len_utf8() + letters(&rest[first.len_utf8()..]),
            '[' => rest.find(']').map_or(0, |close| close + 1),
            _ => letters(rest),
        }
    }

    /// The power after a name or bracket; 1 when there is none.
    fn power(&mut self) -> Result<i32, Fault> {
        let start = self.at;
        let rest = &self.text[self.at..self.end];
        let digits = rest.strip_prefix("**").or_else(|| rest.strip_prefix('^'));
        let marked = digits.is_some();
        let (value, length) = match plain_power(digits.unwrap_or(rest)) {
            Some((value, length)) => (value, rest.len() - digits.unwrap_or(rest).len() + length),
            None if marked => {
                return Err(unreadable(
                    start..start + 1,
                    "a whole number is missing after `^`",
                ));
            }
            None => match superscript(rest) {
                Some(found) => found,
                None => return Ok(1),
            },
        };
        self.at += length;
        let highest = if marked {
            HIGHEST_POWER
        } else {
            HIGHEST_CLOSE_POWER
        };
        if value == 0 || value.abs() > highest {
            let fault = unreadable(start..self.at, format!("{value} is not a power of a unit"));
            return Err(if marked {
                fault
            } else {
                fault.help("leave a space, as in `5 ft 6 in`")
            });
        }
        Ok(value)
    }
}

/// `2`, `-1`, `+2`, `(-1)` at the start, with its length.
fn plain_power(rest: &str) -> Option<(i32, usize)> {
    let bracket =
        rest.starts_with('(') && rest[1..].starts_with(|c: char| c.is_ascii_digit() || c == '-');
    let inner = if bracket { &rest[1..] } else { rest };
    let sign = usize::from(inner.starts_with(['-', '+']));
    let run = number::digit_run(&inner[sign..]);
    if run == 0 {
        return None;
    }
    let value = inner[..sign + run].parse().unwrap_or(i32::MAX);
    let length = sign + run;
    if bracket {
        return inner[length..]
            .starts_with(')')
            .then_some((value, length + 2));
    }
    Some((value, length))
}

/// `²`, `⁻¹` at the start, with its length in bytes.
fn superscript(rest: &str) -> Option<(i32, usize)> {
    const FIGURES: &str = "⁰¹²³⁴⁵⁶⁷⁸⁹";
    let unsigned = rest.strip_prefix('⁻').unwrap_or(rest);
    let mut value: i32 = 0;
    let mut length = 0;
    for mark in unsigned.chars() {
        let Some(figure) = FIGURES.chars().position(|known| known == mark) else {
            break;
        };
        value = value.saturating_mul(10).saturating_add(figure as i32);
        length += mark.len_utf8();
    }
    if length == 0 {
        return None;
    }
    let negative = unsigned.len() < rest.len();
    Some((
        if negative { -value } else { value },
        rest.len() - unsigned.len() + length,
    ))
}
