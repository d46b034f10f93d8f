//! From text to a quantity: parts of the spread, their units, and what the place expects.

use std::ops::Range;

use crate::number::{self, Fractions};
use crate::shape::{self, Shape};
use crate::symbols::{self, Context};
use crate::{Expect, Fault, FaultKind, Spread, Unit, Units, Written, currency};

/// Reads a quantity that is the whole text. Never panics; a fault's range lies in `text`.
pub fn read(text: &str, units: &Units, expect: Expect<'_>) -> Result<Written, Fault> {
    let whole = shape::trim(text, 0..text.len());
    if whole.is_empty() {
        let fault = Fault::new(
            FaultKind::EmptyQuantity,
            0..text.len(),
            "expected a quantity, found nothing",
        );
        return Err(fault.help("write a number and its unit, for example `14 m/min`"));
    }
    let context = Context {
        units,
        temperature: expect.temperature(),
    };
    let (spread, unit) = match shape::split(text, whole.clone())? {
        Shape::One(part) => {
            let part = PartReader { text, context }.part(part, None)?;
            expect.check(&part.unit_or_one(), part.written(text), part.place())?;
            let unit = settled(part.unit_or_one(), expect);
            (Spread::Exact(unit.to_base(part.value)), unit)
        }
        Shape::Range(parts) => {
            let ([low, high], unit) = several(text, parts, context, expect)?;
            in_order(text, &whole, &[low, high])?;
            (Spread::Range { low, high }, unit)
        }
        Shape::Triple(parts) => {
            let ([low, likely, high], unit) = several(text, parts, context, expect)?;
            in_order(text, &whole, &[low, likely, high])?;
            (Spread::Triple { low, likely, high }, unit)
        }
        Shape::Normal(parts) => deviation(text, parts, context, expect)?,
    };
    let written = Written {
        spread: simplest(spread),
        unit,
    };
    check_values(&written, expect, whole)?;
    Ok(written)
}

/// One number with its unit.
struct Part {
    value: f64,
    unit: Option<Unit>,
    range: Range<usize>,
    unit_range: Range<usize>,
    /// The currency it began with, and whether a unit came after the number too.
    money: Option<(String, bool)>,
}

impl Part {
    fn unit_or_one(&self) -> Unit {
        self.unit.clone().unwrap_or_else(Unit::one)
    }

    fn written<'a>(&self, text: &'a str) -> &'a str {
        &text[self.range.clone()]
    }

    /// Where a fault of dimension is shown: the unit, or all when there is none.
    fn place(&self) -> Range<usize> {
        if self.unit_range.is_empty() {
            self.range.clone()
        } else {
            self.unit_range.clone()
        }
    }
}

/// The unit as the place takes it.
fn settled(unit: Unit, expect: Expect<'_>) -> Unit {
    if expect.difference() {
        unit.difference()
    } else {
        unit
    }
}

/// Reads the parts and lends a unit to those without.
fn parts<const N: usize>(
    text: &str,
    ranges: [Range<usize>; N],
    context: Context<'_>,
) -> Result<Vec<Part>, Fault> {
    let reader = PartReader { text, context };
    let mut parts: Vec<Part> = Vec::with_capacity(N);
    for range in ranges {
        let lead = parts.first().and_then(|first| first.money.as_ref());
        let lead = lead.map(|(code, _)| code.clone());
        parts.push(reader.part(range, lead.as_deref())?);
    }
    lend_units(&mut parts);
    Ok(parts)
}

/// `12..18 s`, `14 s +- 2`: a part without a unit takes that of the nearest later part, else of the
/// nearest earlier one; `£12..£15/kg`: a bare sum takes the full price unit.
fn lend_units(parts: &mut [Part]) {
    let full = parts
        .iter()
        .find(|part| matches!(part.money, Some((_, true))));
    if let Some(unit) = full.and_then(|part| part.unit.clone()) {
        let bare = parts
            .iter_mut()
            .filter(|part| matches!(part.money, Some((_, false))));
        bare.for_each(|part| part.unit = Some(unit.clone()));
    }
    for at in (0..parts.len()).rev().chain(0..parts.len()) {
        if parts[at].unit.is_some() {
            continue;
        }
        let later = parts.get(at + 1).filter(|part| part.unit.is_some());
        let earlier = || parts[..at].last().filter(|part| part.unit.is_some());
        let Some(lender) = later.or_else(earlier) else {
            continue;
        };
        // A fault of the unit is shown where the unit stands.
        let (unit, unit_range) = (lender.unit.clone(), lender.unit_range.clone());
        parts[at].unit = unit;
        parts[at].unit_range = unit_range;
    }
}

/// Values of a range or triple in base units, and the unit to show them in.
fn several<const N: usize>(
    text: &str,
    ranges: [Range<usize>; N],
    context: Context<'_>,
    expect: Expect<'_>,
) -> Result<([f64; N], Unit), Fault> {
    let parts = parts(text, ranges, context)?;
    let first = settled(parts[0].unit_or_one(), expect);
    let mut values = [0.0; N];
    for (part, value) in parts.iter().zip(&mut values) {
        let unit = part.unit_or_one();
        expect.check(&unit, part.written(text), part.place())?;
        same_dimension(&first, &unit, part)?;
        *value = settled(unit, expect).to_base(part.value);
    }
    Ok((values, first))
}

fn same_dimension(first: &Unit, unit: &Unit, part: &Part) -> Result<(), Fault> {
    if first.dimension() == unit.dimension() {
        return Ok(());
    }
    let (wanted, found) = (first.dimension().describe(), unit.dimension().describe());
    let headline = format!("the values of one spread differ: {wanted} and {found}");
    Err(Fault::new(FaultKind::WrongDimension, part.place(), headline).sides(wanted, found))
}

/// `14 s +- 2 s`. A deviation in per cent of something that is not a share is relative to the mean.
fn deviation(
    text: &str,
    ranges: [Range<usize>; 2],
    context: Context<'_>,
    expect: Expect<'_>,
) -> Result<(Spread, Unit), Fault> {
    let parts = parts(text, ranges, context)?;
    let (centre, around) = (&parts[0], &parts[1]);
    let written = centre.unit_or_one();
    expect.check(&written, centre.written(text), centre.place())?;
    let unit = settled(written, expect);
    let mean = unit.to_base(centre.value);
    if around.value < 0.0 {
        let headline = "a standard deviation cannot be negative";
        return Err(Fault::new(
            FaultKind::BadSpread,
            around.range.clone(),
            headline,
        ));
    }
    let size = around.unit_or_one();
    let relative = size.dimension().is_none() && !unit.dimension().is_none();
    if relative && unit.has_offset() {
        let headline = "per cent of a temperature depends on its scale";
        let fault = Fault::new(FaultKind::OffsetTemperature, around.place(), headline);
        return Err(fault.help(format!("write the deviation in `{}`", unit.symbol())));
    }
    let sd = if relative {
        mean.abs() * size.factor() * around.value
    } else {
        same_dimension(&unit, &size, around)?;
        size.factor() * around.value
    };
    Ok((Spread::Normal { mean, sd }, unit))
}

fn in_order(text: &str, whole: &Range<usize>, values: &[f64]) -> Result<(), Fault> {
    if values.is_sorted() {
        return Ok(());
    }
    let found = format!("`{}`", &text[whole.clone()]);
    let headline = "the values of a spread go from low to high";
    let fault =
        Fault::new(FaultKind::BadSpread, whole.clone(), headline).sides("low to high", found);
    Err(fault.help("put the smallest first and the largest last"))
}

/// A spread without width is exact.
fn simplest(spread: Spread) -> Spread {
    match spread {
        Spread::Range { low, high } | Spread::Triple { low, high, .. } if low == high => {
            Spread::Exact(low)
        }
        Spread::Normal { mean, sd: 0.0 } => Spread::Exact(mean),
        other => other,
    }
}

fn check_values(written: &Written, expect: Expect<'_>, range: Range<usize>) -> Result<(), Fault> {
    let spread = &written.spread;
    if !spread.is_finite() {
        return Err(Fault::new(
            FaultKind::NotFinite,
            range,
            "this quantity is too large to hold",
        ));
    }
    if !spread.is_moderate() {
        let headline = "this quantity is beyond what any works has";
        let fault = Fault::new(FaultKind::NotFinite, range, headline);
        let found = format!("`{}`", written.show());
        return Err(fault.sides("from 1e-21 to 1e21 of the SI unit, or zero", found));
    }
    // The tail of a normal spread may pass a bound; its mean may not.
    let (low, high) = match *spread {
        Spread::Normal { mean, .. } => (mean, mean),
        _ => (spread.low(), spread.high()),
    };
    if written.unit.has_offset() && low < 0.0 {
        let headline = "this temperature is below absolute zero";
        return Err(Fault::new(FaultKind::OffsetTemperature, range, headline));
    }
    if expect == Expect::Share && !(0.0..=1.0).contains(&if low < 0.0 { low } else { high }) {
        return Err(share_fault(low, high, written, range));
    }
    Ok(())
}

fn share_fault(low: f64, high: f64, written: &Written, range: Range<usize>) -> Fault {
    let found = format!("`{}`", written.show());
    let fault = Fault::new(
        FaultKind::ShareOutOfRange,
        range,
        "a share lies between 0 % and 100 %",
    )
    .sides("between 0 and 1, or 0 % and 100 %", found);
    let per_cent = written.unit.symbol().is_empty() && low >= 0.0 && high <= 100.0;
    if per_cent {
        fault.help(format!("did you mean `{} %`?", written.show()))
    } else {
        fault
    }
}

struct PartReader<'a> {
    text: &'a str,
    context: Context<'a>,
}

impl PartReader<'_> {
    /// One value in `range`; `lead` is the currency the first part of the spread began with.
    fn part(&self, range: Range<usize>, lead: Option<&str>) -> Result<Part, Fault> {
        let (negative, at) = self.sign(range.start, range.end);
        let money = self.currency(at..range.end);
        let (again, at) = match &money {
            Some((_, after)) => self.sign(*after, range.end),
            None => (false, at),
        };
        let negative = negative || again;
        let fractions = if money.is_some() {
            Fractions::Leave
        } else {
            Fractions::Read
        };
        let (size, at) = number::scan(self.text, at..range.end, fractions)?;
        let value = if negative { -size } else { size };
        let number = Part {
            value,
            unit: None,
            unit_range: at..at,
            range: range.clone(),
            money: money.map(|(code, _)| (code, false)),
        };
        if number.money.is_some() || (lead.is_some() && self.continues_price(at..range.end)) {
            return self.priced(number, lead, at..range.end);
        }
        self.measured(number, at..range.end)
    }

    /// An optional sign and the space around it.
    fn sign(&self, at: usize, end: usize) -> (bool, usize) {
        let rest = self.text[at..end].trim_start();
        let unsigned = rest.strip_prefix(['-', '−', '+']);
        let negative = rest.starts_with(['-', '−']);
        (negative, end - unsigned.unwrap_or(rest).trim_start().len())
    }

    /// `£`, `$`, `€` or a code before the number: the code and the byte after it.
    fn currency(&self, span: Range<usize>) -> Option<(String, usize)> {
        let rest = &self.text[span.clone()];
        let first = rest.chars().next()?;
        let (code, length) = match currency::code_of(first) {
            Some(code) => (code, first.len_utf8()),
            None => (rest.get(..3)?, 3),
        };
        let after = rest[length..].trim_start();
        let digit = after
            .trim_start_matches(['-', '−', '+', '.'])
            .starts_with(|c: char| c.is_ascii_digit());
        let capitals = code.bytes().all(|byte| byte.is_ascii_uppercase());
        let known = digit && capitals && currency::is_code(code);
        known.then(|| (code.to_owned(), span.end - after.len()))
    }

    fn continues_price(&self, span: Range<usize>) -> bool {
        let rest = self.text[span].trim_start();
        rest.is_empty() || rest.starts_with('/') || rest.starts_with("per ")
    }

    /// A sum of money, with what it is paid for.
    fn priced(&self, part: Part, lead: Option<&str>, span: Range<usize>) -> Result<Part, Fault> {
        let own = part.money.as_ref().map(|(code, _)| code.as_str());
        let code = own.or(lead).unwrap_or_default().to_owned();
        let Some(money) = self.context.units.lookup(&code) else {
            let headline = format!("unknown currency `{code}`");
            return Err(Fault::new(FaultKind::UnknownUnit, part.range, headline));
        };
        let Some((rest, stop)) = symbols::parse_at(self.text, span.clone(), self.context)? else {
            self.expect_end(span.start, span.end)?;
            return Ok(Part {
                unit: Some(money),
                money: Some((code, false)),
                ..part
            });
        };
        self.expect_end(stop, span.end)?;
        let gap = if rest.symbol().starts_with('/') {
            ""
        } else {
            " "
        };
        let symbol = format!("{code}{gap}{}", rest.symbol());
        let dimension = money.dimension().times(rest.dimension());
        let unit = Unit::new(symbol, dimension, money.factor() * rest.factor(), 0.0);
        let unit_range = shape::trim(self.text, span);
        Ok(Part {
            unit: Some(unit),
            unit_range,
            money: Some((code, true)),
            ..part
        })
    }

    /// A number with a unit, or with several of one dimension: `5 ft 6 in`, `1 h 20 min`.
    fn measured(&self, mut part: Part, span: Range<usize>) -> Result<Part, Fault> {
        let end = span.end;
        let span = self.after_one(span.start, end)..end;
        let Some((first, mut at)) = symbols::parse_at(self.text, span.clone(), self.context)?
        else {
            self.expect_end(span.start, end)?;
            return Ok(part);
        };
        let negative = part.value.is_sign_negative();
        let mut unit = first;
        while !self.text[at..end].trim_start().is_empty() {
            let start = end - self.text[at..end].trim_start().len();
            let (more, after) = number::scan(self.text, start..end, Fractions::Read)?;
            let Some((smaller, stop)) = symbols::parse_at(self.text, after..end, self.context)?
            else {
                return Err(self.no_second_unit(start..after, &unit));
            };
            smaller_unit(&unit, &smaller, start..stop)?;
            let more = if negative { -more } else { more };
            part.value = part.value * unit.factor() / smaller.factor() + more;
            (unit, at) = (smaller, stop);
        }
        part.unit = Some(unit);
        part.unit_range = shape::trim(self.text, span);
        Ok(part)
    }

    /// Past the 1 of `30 1/h`.
    fn after_one(&self, at: usize, end: usize) -> usize {
        let rest = self.text[at..end]
            .trim_start()
            .strip_prefix('1')
            .unwrap_or_default()
            .trim_start();
        let digit = rest
            .strip_prefix('/')
            .is_none_or(|unit| unit.starts_with(|c: char| c.is_ascii_digit()));
        if digit { at } else { end - rest.len() }
    }

    fn no_second_unit(&self, range: Range<usize>, unit: &Unit) -> Fault {
        let written = &self.text[range.clone()];
        let headline = format!("`{written}` after `{}` has no unit", unit.symbol());
        Fault::new(FaultKind::MissingUnit, range, headline)
    }

    /// Nothing may follow a number without a unit.
    fn expect_end(&self, at: usize, end: usize) -> Result<(), Fault> {
        let rest = self.text[at..end].trim();
        if rest.is_empty() {
            return Ok(());
        }
        let range = shape::trim(self.text, at..end);
        let headline = format!("`{rest}` after the number does not read as a unit");
        Err(Fault::new(FaultKind::NotANumber, range, headline))
    }
}

/// The next unit of `5 ft 6 in` must be of the same dimension and smaller.
fn smaller_unit(unit: &Unit, smaller: &Unit, range: Range<usize>) -> Result<(), Fault> {
    let (large, small) = (unit.symbol(), smaller.symbol());
    if unit.dimension() != smaller.dimension() {
        let sides = (unit.dimension().describe(), smaller.dimension().describe());
        let headline = format!(
            "`{large}` and `{small}` do not add up: {} and {}",
            sides.0, sides.1
        );
        let fault = Fault::new(FaultKind::WrongDimension, range, headline);
        return Err(fault.sides(sides.0, sides.1));
    }
    if unit.has_offset() || smaller.has_offset() {
        let headline = "temperatures on a scale do not add up";
        return Err(Fault::new(FaultKind::OffsetTemperature, range, headline));
    }
    if smaller.factor() >= unit.factor() {
        let headline = format!("`{small}` after `{large}` is not the smaller unit");
        let fault = Fault::new(FaultKind::NotANumber, range, headline);
        return Err(fault.help("write the larger unit first, as in `5 ft 6 in`"));
    }
    Ok(())
}
