//! What a command asks about a recipe beyond what the works states: other air, another dwell, another load, a day.

use jiff::civil::DateTime;
use works::Works;

use crate::flow::label;

/// What is supposed of one recipe; nothing in place of what is left out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Suppose {
    /// The only operation that is asked about, named as in the plan; every one when left out.
    pub of: Option<String>,
    /// Air of the longest stage, K.
    pub air_k: Option<f64>,
    /// Time inside, s.
    pub dwell_s: Option<f64>,
    /// Units of the operation's output in a load, base units.
    pub load: Option<f64>,
    /// When a load is needed, on the clock of the works.
    pub by: Option<DateTime>,
}

impl Suppose {
    /// Whether anything is supposed that the works does not state.
    pub fn changes_anything(&self) -> bool {
        let Self {
            of: _,
            air_k,
            dwell_s,
            load,
            by,
        } = self;
        air_k.is_some() || dwell_s.is_some() || load.is_some() || by.is_some()
    }

    /// Whether an operation of this name in the plan is asked about.
    pub fn is_about(&self, name: &str) -> bool {
        self.of.as_ref().is_none_or(|of| of == name)
    }
}

/// The operations that do something by heat, each with its name in the plan.
pub fn recipes(works: &Works) -> Vec<(works::OperationId, String)> {
    (0..works.operations.len())
        .map(works::OperationId)
        .filter(|&id| works.operation(id).heat.is_some())
        .map(|id| (id, label(works, id)))
        .collect()
}
