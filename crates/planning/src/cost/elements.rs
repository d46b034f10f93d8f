//! What a cost is made of.

use serde::Serialize;
use serde::ser::{SerializeMap, Serializer};

/// An element of cost.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Element {
    /// What is bought, after yields.
    Material,
    /// By-products and left-overs: a credit, below zero; above zero where getting rid of them costs.
    Recovered,
    /// Station time, stops in it.
    Machine,
    /// People's time.
    Labour,
    /// Set-ups, spread over the quantity.
    SetUp,
    /// Changeovers: time, and items used up.
    Changeover,
    /// Tools: edges used up, and time to change them.
    Tool,
    /// Energy.
    Energy,
    /// Tests: samples, time, and what they destroy.
    Test,
    /// Overhead on machine, labour, set-up and changeovers, tools.
    Overhead,
}

impl Element {
    /// All of them, in the order they are shown.
    pub const ALL: [Self; 10] = [
        Self::Material,
        Self::Recovered,
        Self::Machine,
        Self::Labour,
        Self::SetUp,
        Self::Changeover,
        Self::Tool,
        Self::Energy,
        Self::Test,
        Self::Overhead,
    ];

    /// As a heading names it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Material => "material",
            Self::Recovered => "recovered value",
            Self::Machine => "machine",
            Self::Labour => "labour",
            Self::SetUp => "set-up",
            Self::Changeover => "changeover",
            Self::Tool => "tool",
            Self::Energy => "energy",
            Self::Test => "test",
            Self::Overhead => "overhead",
        }
    }
}

/// Money by element.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Elements([f64; 10]);

impl Elements {
    /// The money of one element.
    pub fn get(&self, element: Element) -> f64 {
        self.0[element as usize]
    }

    /// All together.
    pub fn total(&self) -> f64 {
        self.0.iter().sum()
    }

    pub(super) fn add(&mut self, element: Element, money: f64) {
        self.0[element as usize] += money;
    }

    pub(super) fn add_times(&mut self, other: &Self, times: f64) {
        self.0
            .iter_mut()
            .zip(&other.0)
            .for_each(|(to, from)| *to += from * times);
    }
}

impl Serialize for Elements {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.0.len()))?;
        for element in Element::ALL {
            map.serialize_entry(element.name(), &self.get(element))?;
        }
        map.end()
    }
}
