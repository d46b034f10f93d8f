//! Splits a text into the parts of its spread: one value, a range, three values, or a deviation.
//!
//! `12 / 14 / 19 s` is three values, `3/4 in` a fraction and `14 m/min` a quotient of units: a slash
//! parts two values only where a number stands after it and it is spaced or one of exactly two.

use std::ops::Range;

use crate::{Fault, FaultKind, currency};

/// Where the parts of a spread stand.
pub(crate) enum Shape {
    One(Range<usize>),
    Range([Range<usize>; 2]),
    Triple([Range<usize>; 3]),
    Normal([Range<usize>; 2]),
}

const TRIPLE_HELP: &str = "write three values as `12 / 14 / 19 s`, a range as `12..19 s`";

/// The parts of the text in `span`.
pub(crate) fn split(text: &str, span: Range<usize>) -> Result<Shape, Fault> {
    if let Some(shape) = deviation(text, &span)? {
        return Ok(shape);
    }
    if let Some(shape) = range(text, &span)? {
        return Ok(shape);
    }
    values(text, span)
}

fn deviation(text: &str, span: &Range<usize>) -> Result<Option<Shape>, Fault> {
    let marks = ["+/-", "+-", "±"];
    let found = marks.iter().find_map(|mark| {
        text[span.clone()]
            .find(mark)
            .map(|at| span.start + at..span.start + at + mark.len())
    });
    let Some(mark) = found else { return Ok(None) };
    let parts = both_sides(text, span, &mark, "write it as `14 s +- 2 s`")?;
    Ok(Some(Shape::Normal(parts)))
}

fn range(text: &str, span: &Range<usize>) -> Result<Option<Shape>, Fault> {
    let inside = &text[span.clone()];
    let Some(at) = inside.find("..").map(|at| span.start + at) else {
        return Ok(None);
    };
    let dots = text[at..span.end]
        .bytes()
        .take_while(|byte| *byte == b'.')
        .count();
    let help = "write a range as `12..18 s`";
    if dots != 2 || text[at + 2..span.end].contains("..") {
        let fault = Fault::new(
            FaultKind::BadSpread,
            at..at + dots,
            "a range has one pair of dots",
        );
        return Err(fault.help(help));
    }
    let parts = both_sides(text, span, &(at..at + 2), help)?;
    Ok(Some(Shape::Range(parts)))
}

fn both_sides(
    text: &str,
    span: &Range<usize>,
    mark: &Range<usize>,
    help: &str,
) -> Result<[Range<usize>; 2], Fault> {
    let parts = [
        trim(text, span.start..mark.start),
        trim(text, mark.end..span.end),
    ];
    if parts.iter().any(Range::is_empty) {
        let headline = format!("a value is missing beside `{}`", &text[mark.clone()]);
        return Err(Fault::new(FaultKind::BadSpread, mark.clone(), headline).help(help));
    }
    Ok(parts)
}

/// One value, or three with slashes between.
fn values(text: &str, span: Range<usize>) -> Result<Shape, Fault> {
    let slashes: Vec<usize> = text[span.clone()]
        .match_indices('/')
        .map(|(at, _)| span.start + at)
        .filter(|at| starts_value(text[at + 1..span.end].trim_start()))
        .collect();
    let spaced: Vec<usize> = slashes
        .iter()
        .copied()
        .filter(|at| is_spaced(text, *at, &span))
        .collect();
    let between = match (spaced.as_slice(), slashes.as_slice()) {
        ([], [first, second]) if all_numbers(text, &span, &[*first, *second]) => [*first, *second],
        ([], _) => return Ok(Shape::One(span)),
        ([first, second], _) => [*first, *second],
        ([only], _) if after_price(text, *only, &span) => return Ok(Shape::One(span)),
        ([first, ..], _) => {
            let count = spaced.len() + 1;
            let headline = format!("{count} values between slashes, a triple has three");
            let fault = Fault::new(FaultKind::BadSpread, *first..first + 1, headline);
            return Err(fault.help(TRIPLE_HELP));
        }
    };
    let parts = [
        trim(text, span.start..between[0]),
        trim(text, between[0] + 1..between[1]),
        trim(text, between[1] + 1..span.end),
    ];
    if let Some(empty) = parts.iter().position(Range::is_empty) {
        let at = between[empty.min(1)];
        let fault = Fault::new(
            FaultKind::BadSpread,
            at..at + 1,
            "a value is missing beside `/`",
        );
        return Err(fault.help(TRIPLE_HELP));
    }
    Ok(Shape::Triple(parts))
}

/// `£3.20 / 100 each`: a price stands before the slash, so it divides.
fn after_price(text: &str, slash: usize, span: &Range<usize>) -> bool {
    let before = text[span.start..slash].trim();
    let code = before
        .rsplit(|c: char| !c.is_ascii_uppercase())
        .next()
        .unwrap_or_default();
    // With a unit behind the sum (`£18 s / 112`) the slash does not divide a price.
    let signed =
        before.contains(is_sign) && before.ends_with(|c: char| c.is_ascii_digit() || is_sign(c));
    signed || currency::is_code(code)
}

/// True where the text before the first slash and between the two is figures only: `12/14/19 s`.
fn all_numbers(text: &str, span: &Range<usize>, slashes: &[usize; 2]) -> bool {
    let figures = |part: &str| {
        let part = part.trim();
        let figure = |c: char| c.is_ascii_digit() || ".,_+-eE−".contains(c);
        part.ends_with(|c: char| c.is_ascii_digit()) && part.chars().all(figure)
    };
    figures(&text[span.start..slashes[0]]) && figures(&text[slashes[0] + 1..slashes[1]])
}

fn is_spaced(text: &str, slash: usize, span: &Range<usize>) -> bool {
    let before = text[span.start..slash].ends_with(char::is_whitespace);
    before || text[slash + 1..span.end].starts_with(char::is_whitespace)
}

fn starts_value(rest: &str) -> bool {
    let unsigned = rest.trim_start_matches(['+', '-', '−']);
    let digits = unsigned.strip_prefix('.').unwrap_or(unsigned);
    digits.starts_with(|c: char| c.is_ascii_digit()) || unsigned.starts_with(is_sign)
}

fn is_sign(c: char) -> bool {
    currency::code_of(c).is_some()
}

/// The range without the space at its ends.
pub(crate) fn trim(text: &str, range: Range<usize>) -> Range<usize> {
    let inside = &text[range.clone()];
    let start = range.end - inside.trim_start().len();
    start..start + inside.trim().len()
}
