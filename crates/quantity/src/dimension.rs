//! The dimension of a quantity: integer powers of seven physical bases and of named ones.
//!
//! Every currency and every named count ("each", "tray") is a base of its own, so pounds are never
//! added to dollars, nor trays to pairs, unless the works declares what one is in terms of the other.

use std::fmt;
use std::sync::Arc;

/// Names of the physical bases, in the order of the exponents.
const BASES: [&str; 7] = [
    "length",
    "mass",
    "time",
    "temperature",
    "current",
    "amount",
    "luminous intensity",
];

/// Symbols of the coherent units of the physical bases.
const BASE_UNITS: [&str; 7] = ["m", "kg", "s", "K", "A", "mol", "cd"];

/// A base that is not physical.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
enum Named {
    Money(Arc<str>),
    Count(Arc<str>),
}

impl Named {
    fn name(&self) -> &str {
        match self {
            Named::Money(name) | Named::Count(name) => name,
        }
    }
}

/// Integer powers of length, mass, time, temperature, current, amount, luminous intensity,
/// and of any currencies and counts.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Dimension {
    powers: [i32; 7],
    /// Sorted by base; no zero powers.
    named: Vec<(Named, i32)>,
}

/// A dimension with one physical base to the first power.
const fn base(index: usize) -> Dimension {
    let mut powers = [0; 7];
    powers[index] = 1;
    Dimension {
        powers,
        named: Vec::new(),
    }
}

impl Dimension {
    /// A bare number, a share.
    pub const NONE: Self = Self {
        powers: [0; 7],
        named: Vec::new(),
    };
    /// Base unit m.
    pub const LENGTH: Self = base(0);
    /// Base unit kg.
    pub const MASS: Self = base(1);
    /// Base unit s.
    pub const TIME: Self = base(2);
    /// Base unit K.
    pub const TEMPERATURE: Self = base(3);
    /// Base unit A.
    pub const CURRENT: Self = base(4);
    /// Base unit mol.
    pub const AMOUNT: Self = base(5);
    /// Base unit cd.
    pub const LUMINOUS: Self = base(6);
    /// m².
    pub const AREA: Self = Self {
        powers: [2, 0, 0, 0, 0, 0, 0],
        named: Vec::new(),
    };
    /// m³.
    pub const VOLUME: Self = Self {
        powers: [3, 0, 0, 0, 0, 0, 0],
        named: Vec::new(),
    };
    /// m/s.
    pub const SPEED: Self = Self {
        powers: [1, 0, -1, 0, 0, 0, 0],
        named: Vec::new(),
    };
    /// N = kg m/s².
    pub const FORCE: Self = Self {
        powers: [1, 1, -2, 0, 0, 0, 0],
        named: Vec::new(),
    };
    /// Pa = N/m².
    pub const PRESSURE: Self = Self {
        powers: [-1, 1, -2, 0, 0, 0, 0],
        named: Vec::new(),
    };
    /// J = N m.
    pub const ENERGY: Self = Self {
        powers: [2, 1, -2, 0, 0, 0, 0],
        named: Vec::new(),
    };
    /// W = J/s.
    pub const POWER: Self = Self {
        powers: [2, 1, -3, 0, 0, 0, 0],
        named: Vec::new(),
    };

    /// A named count, for example `each` or `tray`: a base of its own.
    pub fn count(name: &str) -> Self {
        Self {
            powers: [0; 7],
            named: vec![(Named::Count(name.into()), 1)],
        }
    }

    /// A currency by its ISO 4217 code: a base of its own.
    pub fn money(code: &str) -> Self {
        Self {
            powers: [0; 7],
            named: vec![(Named::Money(code.into()), 1)],
        }
    }

    /// The dimension of a product.
    #[must_use]
    pub fn times(&self, other: &Self) -> Self {
        self.combine(other, 1)
    }

    /// The dimension of a quotient.
    #[must_use]
    pub fn over(&self, other: &Self) -> Self {
        self.combine(other, -1)
    }

    /// The dimension of an integer power. Powers saturate; nobody writes `m^2000000000`.
    #[must_use]
    pub fn power(&self, exponent: i32) -> Self {
        Self::NONE.combine(self, exponent)
    }

    fn combine(&self, other: &Self, sign: i32) -> Self {
        let mut result = self.clone();
        for (power, more) in result.powers.iter_mut().zip(other.powers) {
            *power = power.saturating_add(more.saturating_mul(sign));
        }
        for (name, more) in &other.named {
            let more = more.saturating_mul(sign);
            match result.named.binary_search_by(|(have, _)| have.cmp(name)) {
                Ok(at) => result.named[at].1 = result.named[at].1.saturating_add(more),
                Err(at) => result.named.insert(at, (name.clone(), more)),
            }
        }
        result.named.retain(|(_, power)| *power != 0);
        result
    }

    /// True for a bare number.
    pub fn is_none(&self) -> bool {
        *self == Self::NONE
    }

    /// The count's name, when the dimension is one count to the first power.
    pub fn as_count(&self) -> Option<&str> {
        match self.named.as_slice() {
            [(Named::Count(name), 1)] if self.powers == [0; 7] => Some(name),
            _ => None,
        }
    }

    /// The currency's code, when the dimension is one currency to the first power.
    pub fn as_money(&self) -> Option<&str> {
        match self.named.as_slice() {
            [(Named::Money(code), 1)] if self.powers == [0; 7] => Some(code),
            _ => None,
        }
    }

    /// The single base and its power, when there is only one.
    pub(crate) fn single(&self) -> Option<(Self, i32)> {
        let mut parts = self.parts(&BASES);
        let (_, power) = parts.next()?;
        if parts.next().is_some() {
            return None;
        }
        let sign = power.signum();
        let one = Self {
            powers: self.powers.map(|p| p.signum() * sign),
            named: self
                .named
                .iter()
                .map(|(name, p)| (name.clone(), p.signum() * sign))
                .collect(),
        };
        Some((one, power))
    }

    /// Every base that occurs: money first, then counts, then physical bases.
    fn parts<'a>(&'a self, bases: &'a [&'a str; 7]) -> impl Iterator<Item = (&'a str, i32)> {
        let named = self.named.iter().map(|(name, power)| (name.name(), *power));
        let physical = bases
            .iter()
            .copied()
            .zip(self.powers)
            .filter(|(_, power)| *power != 0);
        named.chain(physical)
    }

    /// The symbol of the coherent base unit: `m/s`, `kg/m2`, `GBP/kg`, `/s`; empty for none.
    pub fn base_symbol(&self) -> String {
        self.quotient(&BASE_UNITS, ".", "", "")
    }

    fn quotient(&self, bases: &[&str; 7], join: &str, power_mark: &str, one: &str) -> String {
        let write = |(name, power): (&str, i32)| match power.unsigned_abs() {
            1 => name.to_owned(),
            // A figure close behind a symbol is read as a power up to four only.
            n if n > 4 => format!("{name}^{n}"),
            n => format!("{name}{power_mark}{n}"),
        };
        let side = |sign: i32| -> Vec<String> {
            self.parts(bases)
                .filter(|(_, power)| power.signum() == sign)
                .map(write)
                .collect()
        };
        let (over, under) = (side(1), side(-1));
        let top = if over.is_empty() {
            one.to_owned()
        } else {
            over.join(join)
        };
        match under.as_slice() {
            [] => over.join(join),
            [single] => format!("{top}/{single}"),
            many => format!("{top}/({})", many.join(join)),
        }
    }

    /// In plain words: `length`, `speed (length/time)`, `money (GBP) per mass`, `a count of tray`.
    pub fn describe(&self) -> String {
        if let Some(name) = self.common_name() {
            return name.to_owned();
        }
        if let Some(name) = self.as_count() {
            return format!("a count of {name}");
        }
        if let Some(code) = self.as_money() {
            return format!("money ({code})");
        }
        match self.trade_name() {
            Some(name) => format!("{name} ({self})"),
            None => self.to_string(),
        }
    }

    fn common_name(&self) -> Option<&'static str> {
        let simple = [
            (Self::NONE, "a plain number"),
            (Self::LENGTH, "length"),
            (Self::MASS, "mass"),
            (Self::TIME, "time"),
            (Self::TEMPERATURE, "temperature"),
            (Self::CURRENT, "electric current"),
            (Self::AMOUNT, "amount of substance"),
            (Self::LUMINOUS, "luminous intensity"),
            (Self::AREA, "area"),
            (Self::VOLUME, "volume"),
            (Self::FORCE, "force"),
            (Self::PRESSURE, "pressure"),
            (Self::ENERGY, "energy"),
            (Self::POWER, "power"),
        ];
        simple
            .iter()
            .find(|(dimension, _)| dimension == self)
            .map(|(_, name)| *name)
    }

    fn trade_name(&self) -> Option<&'static str> {
        let physical = [
            ([1, 0, -1, 0, 0, 0, 0], "speed"),
            ([0, 0, -1, 0, 0, 0, 0], "rate"),
            ([1, 0, -2, 0, 0, 0, 0], "acceleration"),
            ([-2, 1, 0, 0, 0, 0, 0], "mass per area"),
            ([-1, 1, 0, 0, 0, 0, 0], "mass per length"),
            ([-3, 1, 0, 0, 0, 0, 0], "density"),
            ([0, 1, -1, 0, 0, 0, 0], "mass flow"),
            ([3, 0, -1, 0, 0, 0, 0], "volume flow"),
            ([2, 0, -1, 0, 0, 0, 0], "diffusivity"),
            ([-1, 1, -1, 0, 0, 0, 0], "viscosity"),
            ([0, 1, -3, 0, 0, 0, 0], "power per area"),
            ([0, 1, -3, -1, 0, 0, 0], "heat transfer coefficient"),
            ([1, 1, -3, -1, 0, 0, 0], "thermal conductivity"),
            ([2, 0, -2, -1, 0, 0, 0], "specific heat"),
            ([2, 0, -2, 0, 0, 0, 0], "energy per mass"),
            ([0, 0, -1, 1, 0, 0, 0], "temperature per time"),
            ([0, -1, 3, 1, 0, 0, 0], "thermal resistance of an area"),
            ([2, 1, -2, -1, 0, 0, 0], "heat capacity"),
            ([2, 1, -3, -1, 0, 0, 0], "power per temperature"),
            ([2, 1, -2, 0, 0, -1, 0], "energy per amount of substance"),
            ([0, 1, 0, 0, 0, -1, 0], "molar mass"),
        ];
        if !self.named.is_empty() {
            return None;
        }
        physical
            .iter()
            .find(|(powers, _)| *powers == self.powers)
            .map(|(_, name)| *name)
    }
}

impl fmt::Display for Dimension {
    /// `length/time`, `GBP/mass`, `each/time`, `1/time`; `number` for none.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_none() {
            return f.write_str("number");
        }
        f.write_str(&self.quotient(&BASES, " ", "^", "1"))
    }
}

impl serde::Serialize for Dimension {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}
