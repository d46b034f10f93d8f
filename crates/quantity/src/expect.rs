//! What a place needs, and the fault when something else stands there: both sides and a repair.

use std::ops::Range;

use crate::{Dimension, Fault, FaultKind, Unit};

/// What the place of a quantity needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Expect<'a> {
    /// This dimension. For `Dimension::TEMPERATURE` the same as [`Expect::Temperature`].
    Dimension(&'a Dimension),
    /// Any of these dimensions.
    OneOf(&'a [Dimension]),
    /// A part of one: `96 %` or `0.96`.
    Share,
    /// A temperature on a scale: `190 degC`, also `190 C`.
    Temperature,
    /// A difference of temperatures: `5 degC` is 5 K.
    TemperatureDifference,
    /// A number without dimension.
    Number,
    /// Anything.
    Any,
}

impl Expect<'_> {
    /// The dimensions that fit; empty when all do.
    fn dimensions(&self) -> Vec<Dimension> {
        match self {
            Self::Dimension(one) => vec![(*one).clone()],
            Self::OneOf(many) => many.to_vec(),
            Self::Share | Self::Number => vec![Dimension::NONE],
            Self::Temperature | Self::TemperatureDifference => vec![Dimension::TEMPERATURE],
            Self::Any => Vec::new(),
        }
    }

    /// True where `C` and `F` can only mean degrees.
    pub(crate) fn temperature(&self) -> bool {
        self.dimensions().contains(&Dimension::TEMPERATURE)
    }

    /// True where a scale's offset must not be added.
    pub(crate) fn difference(&self) -> bool {
        *self == Self::TemperatureDifference
    }

    fn describe(&self) -> String {
        match self {
            Self::Share => "a share".to_owned(),
            Self::TemperatureDifference => "a temperature difference".to_owned(),
            _ => {
                let names: Vec<String> =
                    self.dimensions().iter().map(Dimension::describe).collect();
                names.join(" or ")
            }
        }
    }

    /// Passes a unit that fits.
    pub(crate) fn check(
        &self,
        unit: &Unit,
        written: &str,
        range: Range<usize>,
    ) -> Result<(), Fault> {
        let fitting = self.dimensions();
        if fitting.is_empty() || fitting.contains(unit.dimension()) {
            return Ok(());
        }
        if unit.symbol().is_empty() {
            return Err(self.missing_unit(written, &fitting, range));
        }
        let (expected, found) = (self.describe(), unit.dimension().describe());
        let headline = format!("expected {expected}, found {found}");
        let found = format!("{found}, in `{}`", unit.symbol());
        let expected = match fitting.as_slice() {
            [one] if !one.is_none() => format!("{expected}, for example in `{}`", example(one)),
            _ => expected,
        };
        let mut fault =
            Fault::new(FaultKind::WrongDimension, range, headline).sides(expected, found);
        fault.help = fitting.iter().find_map(|wanted| repair(wanted, unit));
        Err(fault)
    }

    fn missing_unit(&self, written: &str, fitting: &[Dimension], range: Range<usize>) -> Fault {
        let headline = format!("`{written}` has no unit, expected {}", self.describe());
        let fault = Fault::new(FaultKind::MissingUnit, range, headline)
            .sides(self.describe(), "a plain number");
        let first = fitting.first().map(example).unwrap_or_default();
        let gap = if first.starts_with('/') { "" } else { " " };
        fault.help(format!("add the unit, for example `{written}{gap}{first}`"))
    }
}

/// A unit symbol people would use for a dimension.
fn example(dimension: &Dimension) -> String {
    let usual = [
        (Dimension::TEMPERATURE, "degC"),
        (Dimension::FORCE, "N"),
        (Dimension::PRESSURE, "Pa"),
        (Dimension::ENERGY, "J"),
        (Dimension::POWER, "W"),
    ];
    match usual.iter().find(|(known, _)| known == dimension) {
        Some((_, symbol)) => (*symbol).to_owned(),
        None => dimension.base_symbol(),
    }
}

/// A simple repair: turned over, or one factor missing or too many. Silent when far-fetched.
fn repair(wanted: &Dimension, unit: &Unit) -> Option<String> {
    let found = unit.dimension();
    if found.power(-1) == *wanted {
        return Some(match turned_over(unit.symbol()) {
            Some(symbol) => format!("it is upside down: give it in `{symbol}`"),
            None => format!("it is upside down: give it in `{}`", example(wanted)),
        });
    }
    if wanted.is_none() || found.is_none() {
        return None;
    }
    if let Some(symbol) = metre_kelvin(wanted, unit) {
        return Some(format!(
            "`mK` is a thousandth of a kelvin: did you mean `{symbol}`?"
        ));
    }
    let (base, power) = wanted.over(found).single()?;
    if power.abs() > 3 {
        return None;
    }
    let symbol = with_factor(unit.symbol(), &base.base_symbol(), power)?;
    Some(format!("did you mean `{symbol}`?"))
}

/// `W/(m K)` for `W/mK`.
fn metre_kelvin(wanted: &Dimension, unit: &Unit) -> Option<String> {
    let top = unit.symbol().strip_suffix("/mK")?;
    (*wanted == unit.dimension().over(&Dimension::LENGTH)).then(|| format!("{top}/(m K)"))
}

/// `min/m` for `m/min`.
fn turned_over(symbol: &str) -> Option<String> {
    let (top, bottom) = symbol.split_once('/')?;
    let compound = |side: &str| side.contains(['/', '(', ' ', '.']);
    if compound(top) || compound(bottom) {
        return None;
    }
    Some(if top.is_empty() {
        bottom.to_owned()
    } else {
        format!("{bottom}/{top}")
    })
}

/// The symbol with a power of one base unit more or less: `kg/m` and −1 give `kg/m2`.
fn with_factor(symbol: &str, base: &str, power: i32) -> Option<String> {
    let (top, bottom) = symbol
        .split_once('/')
        .map_or((symbol, ""), |(top, bottom)| (top, bottom));
    let simple = !symbol.contains(['(', ' ', '.']) && !bottom.contains('/');
    if !simple {
        return None;
    }
    let (top_power, bottom_power) = (power_of(top, base), power_of(bottom, base));
    match (top_power, bottom_power) {
        (Some(have), _) => quotient(&raised(base, have + power), bottom),
        (None, Some(have)) => quotient(top, &raised(base, have - power)),
        (None, None) if power < 0 && bottom.is_empty() => quotient(top, &raised(base, -power)),
        _ => None,
    }
}

/// The power of `base` when the text is that base alone.
fn power_of(text: &str, base: &str) -> Option<i32> {
    match text.strip_prefix(base)? {
        "" => Some(1),
        "2" | "^2" | "²" => Some(2),
        "3" | "^3" | "³" => Some(3),
        _ => None,
    }
}

fn raised(base: &str, power: i32) -> String {
    match power {
        0 => String::new(),
        1 => base.to_owned(),
        n => format!("{base}{n}"),
    }
}

fn quotient(top: &str, bottom: &str) -> Option<String> {
    match (top, bottom) {
        ("", _) => None,
        (top, "") => Some(top.to_owned()),
        (top, bottom) => Some(format!("{top}/{bottom}")),
    }
}
