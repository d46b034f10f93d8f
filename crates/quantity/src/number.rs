//! Numbers as people write them: grouped thousands, fractions, mixed fractions, powers of ten.
//!
//! A comma groups thousands and nothing else, so `1,5` is a fault (with the repair `1.5`) and never
//! fifteen or one and a half by guess.

use std::ops::Range;

use crate::{Fault, FaultKind};

/// Bars `3/4` from being read as a fraction: after a currency sign `£3/100 each` is a price.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Fractions {
    Read,
    Leave,
}

/// Reads the unsigned number at `span.start`; returns it with the byte after it.
pub(crate) fn scan(
    text: &str,
    span: Range<usize>,
    fractions: Fractions,
) -> Result<(f64, usize), Fault> {
    let (start, end) = (span.start, span.end);
    let rest = &text[start..end];
    if let Some((value, length)) = vulgar(rest) {
        return Ok((value, start + length));
    }
    let whole = whole_part(text, span.clone())?;
    let mut at = whole.end;
    if whole.plain
        && fractions == Fractions::Read
        && let Some(fraction) = fraction_after(text, start, at..end, &whole.digits)?
    {
        return Ok(fraction);
    }
    let mut digits = whole.digits;
    if let Some(decimals) = decimals(&text[at..end]) {
        at += 1 + decimals.1;
        digits.push('.');
        digits.push_str(&decimals.0);
    }
    if digits.is_empty() {
        return Err(no_number(text, start, end));
    }
    if let Some((power, length)) = power_of_ten(&text[at..end]) {
        digits.push_str(&power);
        at += length;
    }
    refuse_more_digits(text, start, at..end)?;
    let value: f64 = digits.parse().map_err(|_| no_number(text, start, end))?;
    if !value.is_finite() {
        let fault = Fault::new(
            FaultKind::NotFinite,
            start..at,
            "this number is too large to hold",
        );
        return Err(fault);
    }
    Ok((value, at))
}

struct Whole {
    digits: String,
    end: usize,
    /// Digits only: a fraction may follow.
    plain: bool,
}

/// Digits with `,`, `_` or space between groups.
fn whole_part(text: &str, span: Range<usize>) -> Result<Whole, Fault> {
    let Range { start, end } = span;
    let first = digit_run(&text[start..end]);
    let mut whole = Whole {
        digits: text[start..start + first].into(),
        end: start + first,
        plain: true,
    };
    if first == 0 {
        return Ok(whole);
    }
    let groups = (1..=3).contains(&first) && !text[start..].starts_with('0');
    let Some(mark) = group_mark(&text[whole.end..end], groups) else {
        return comma_fault(text, start, whole.end, end).map_or(Ok(whole), Err);
    };
    while text[whole.end..end].starts_with(mark) {
        let from = whole.end + mark.len_utf8();
        let run = digit_run(&text[from..end]);
        if run == 0 || (mark != '_' && !is_group(&text[from..end])) {
            break;
        }
        whole.digits.push_str(&text[from..from + run]);
        whole.end = from + run;
        whole.plain = false;
    }
    comma_fault(text, start, whole.end, end).map_or(Ok(whole), Err)
}

/// The mark that groups the thousands here, if any does.
fn group_mark(rest: &str, groups: bool) -> Option<char> {
    let mark = rest.chars().next()?;
    let after = &rest[mark.len_utf8()..];
    match mark {
        '_' => (digit_run(after) > 0).then_some(mark),
        ',' | ' ' | '\u{a0}' | '\u{2009}' | '\u{202f}' => {
            (groups && is_group(after)).then_some(mark)
        }
        _ => None,
    }
}

/// Exactly three digits that no fraction bar follows.
fn is_group(rest: &str) -> bool {
    let bar = rest.get(3..).is_some_and(|after| {
        after.starts_with('/') && after[1..].starts_with(|c: char| c.is_ascii_digit())
    });
    digit_run(rest) == 3 && !bar
}

/// A comma that is followed by digits but does not group thousands.
fn comma_fault(text: &str, start: usize, at: usize, end: usize) -> Option<Fault> {
    let after = text[at..end].strip_prefix(',')?;
    let run = digit_run(after);
    if run == 0 {
        return None;
    }
    let stop = at + 1 + run;
    let written = &text[start..stop];
    let fault = Fault::new(
        FaultKind::NotANumber,
        start..stop,
        "a comma groups thousands and is not a decimal mark",
    )
    .sides(
        "a decimal point, as in `1.5`, or groups of three, as in `2,200`",
        format!("`{written}`"),
    );
    let single = written.matches(',').count() == 1;
    Some(if single {
        fault.help(format!("write `{}`", written.replace(',', ".")))
    } else {
        fault
    })
}

/// `3/4`, or `1 1/2`, `1-1/2`, `1½` when `whole` was read before it.
fn fraction_after(
    text: &str,
    start: usize,
    span: Range<usize>,
    whole: &str,
) -> Result<Option<(f64, usize)>, Fault> {
    let Range { start: at, end } = span;
    let rest = &text[at..end];
    if whole.is_empty() {
        return Ok(None);
    }
    let value: f64 = whole.parse().unwrap_or(f64::INFINITY);
    if let Some((part, length)) = vulgar(rest) {
        return Ok(Some((value + part, at + length)));
    }
    if let Some(length) = denominator(rest) {
        let bottom = &rest[1..length];
        return divide(text, start..at + length, end, 0.0, whole, bottom).map(Some);
    }
    let Some(gap) = rest.strip_prefix([' ', '-']) else {
        return Ok(None);
    };
    let top = digit_run(gap);
    let Some(length) = denominator(&gap[top..]).filter(|_| top > 0) else {
        return Ok(None);
    };
    let stop = at + 1 + top + length;
    divide(
        text,
        start..stop,
        end,
        value,
        &gap[..top],
        &gap[top + 1..top + length],
    )
    .map(Some)
}

/// Length of `/digits` at the start.
fn denominator(rest: &str) -> Option<usize> {
    let run = digit_run(rest.strip_prefix('/')?);
    (run > 0).then_some(1 + run)
}

fn divide(
    text: &str,
    range: Range<usize>,
    end: usize,
    whole: f64,
    top: &str,
    bottom: &str,
) -> Result<(f64, usize), Fault> {
    let stop = range.end;
    refuse_more_digits(text, range.start, stop..end)?;
    if denominator(&text[stop..end]).is_some() {
        let fault = Fault::new(
            FaultKind::NotANumber,
            range.start..stop + 1,
            "more than one fraction bar",
        );
        return Err(fault.help("write a fraction as `3/4`, three values as `12 / 14 / 19`"));
    }
    let parse = |digits: &str| digits.parse::<f64>().unwrap_or(f64::INFINITY);
    let value = whole + parse(top) / parse(bottom);
    if !value.is_finite() || parse(bottom).is_infinite() {
        return Err(Fault::new(
            FaultKind::NotFinite,
            range,
            "this fraction has no finite value",
        ));
    }
    Ok((value, stop))
}

/// Digits after a point, with the length of their text.
fn decimals(rest: &str) -> Option<(String, usize)> {
    let after = rest.strip_prefix('.')?;
    if digit_run(after) == 0 {
        return None;
    }
    let stop = after
        .find(|c: char| !c.is_ascii_digit() && c != '_')
        .unwrap_or(after.len());
    let taken = after[..stop].trim_end_matches('_');
    Some((taken.replace('_', ""), taken.len()))
}

/// `e-3`, `E+06`: with its length.
fn power_of_ten(rest: &str) -> Option<(String, usize)> {
    let after = rest.strip_prefix(['e', 'E'])?;
    let (sign, digits) = match after.chars().next()? {
        '-' => ("-", &after[1..]),
        '+' => ("", &after[1..]),
        '−' => ("-", &after['−'.len_utf8()..]),
        _ => ("", after),
    };
    let run = digit_run(digits);
    (run > 0).then(|| {
        let length = rest.len() - digits.len() + run;
        (format!("e{sign}{}", &digits[..run]), length)
    })
}

/// `1.2.3` and `1.5,000` are not numbers.
fn refuse_more_digits(text: &str, start: usize, span: Range<usize>) -> Result<(), Fault> {
    let rest = &text[span.start..span.end];
    let Some(after) = rest.strip_prefix(['.', ',']) else {
        return Ok(());
    };
    let run = digit_run(after);
    if run == 0 {
        return Ok(());
    }
    let stop = span.start + 1 + run;
    let fault = Fault::new(
        FaultKind::NotANumber,
        start..stop,
        "a number has one decimal point",
    )
    .sides(
        "a number such as `1,250.5`",
        format!("`{}`", &text[start..stop]),
    );
    Err(
        continental(&text[start..stop]).map_or(fault.clone(), |repaired| {
            fault.help(format!("write `{repaired}`"))
        }),
    )
}

/// `1.234,5` as written where the marks are the other way about.
fn continental(written: &str) -> Option<String> {
    let (whole, decimals) = written.split_once(',')?;
    let mut groups = whole.split('.');
    let head = groups.next()?.len();
    let fits = (1..=3).contains(&head) && groups.all(|group| group.len() == 3);
    (fits && !decimals.contains(',')).then(|| format!("{}.{decimals}", whole.replace('.', ",")))
}

/// A single-character fraction, with its length in bytes.
fn vulgar(rest: &str) -> Option<(f64, usize)> {
    const FRACTIONS: [(char, f64, f64); 15] = [
        ('½', 1.0, 2.0),
        ('¼', 1.0, 4.0),
        ('¾', 3.0, 4.0),
        ('⅓', 1.0, 3.0),
        ('⅔', 2.0, 3.0),
        ('⅛', 1.0, 8.0),
        ('⅜', 3.0, 8.0),
        ('⅝', 5.0, 8.0),
        ('⅞', 7.0, 8.0),
        ('⅕', 1.0, 5.0),
        ('⅖', 2.0, 5.0),
        ('⅗', 3.0, 5.0),
        ('⅘', 4.0, 5.0),
        ('⅙', 1.0, 6.0),
        ('⅚', 5.0, 6.0),
    ];
    let first = rest.chars().next()?;
    let &(mark, top, bottom) = FRACTIONS.iter().find(|(mark, ..)| *mark == first)?;
    Some((top / bottom, mark.len_utf8()))
}

pub(crate) fn digit_run(text: &str) -> usize {
    text.bytes().take_while(u8::is_ascii_digit).count()
}

fn no_number(text: &str, start: usize, end: usize) -> Fault {
    let rest = text[start..end].trim_end();
    let word: String = rest.chars().take_while(|c| !c.is_whitespace()).collect();
    let infinite = ["inf", "infinity", "nan", "∞", ".inf", ".nan"];
    if infinite.contains(&word.to_lowercase().as_str()) {
        let range = start..start + word.len();
        return Fault::new(
            FaultKind::NotFinite,
            range,
            "a quantity needs a finite number",
        );
    }
    let found = if rest.is_empty() {
        "nothing".to_owned()
    } else {
        format!("`{rest}`")
    };
    let headline = format!("expected a number, found {found}");
    Fault::new(FaultKind::NotANumber, start..start + rest.len(), headline).sides("a number", found)
}
