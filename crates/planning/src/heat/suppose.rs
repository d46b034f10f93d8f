//! What a command asks about a recipe beyond what the works states: other air, another dwell, another load, a day.

use jiff::civil::DateTime;
use quantity::Spread;
use works::{Level, Operation, OperationId, Pace, Stated, Works};

use super::{surroundings, words};
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
    /// How many things are supposed that the works does not state.
    pub fn count(&self) -> usize {
        let Self {
            of: _,
            air_k,
            dwell_s,
            load,
            by,
        } = self;
        let there = [
            air_k.is_some(),
            dwell_s.is_some(),
            load.is_some(),
            by.is_some(),
        ];
        there.into_iter().filter(|there| *there).count()
    }

    /// Whether anything is.
    pub fn changes_anything(&self) -> bool {
        self.count() > 0
    }

    /// Whether an operation of this name in the plan is asked about.
    pub fn is_about(&self, name: &str) -> bool {
        self.of.as_ref().is_none_or(|of| of == name)
    }
}

/// The works with what is supposed of one operation in place of what it states, and that in words.
pub(super) fn supposed(works: &Works, id: OperationId, suppose: &Suppose) -> (Works, Vec<String>) {
    let mut works = works.clone();
    let mut words = Vec::new();
    if let Some(dwell_s) = suppose.dwell_s
        && dwell(&mut works.operations[id.0], dwell_s)
    {
        words.push(format!("{} inside", words::time(dwell_s)));
    }
    if let Some(load) = suppose.load {
        let unit = works.operations[id.0].output.unit.clone();
        if let Pace::Load(pace) = &mut works.operations[id.0].pace {
            replace(&mut pace.holds, load);
            words.push(format!("a load of {}", quantity::show(load, &unit)));
        }
    }
    if let Some(air_k) = suppose.air_k
        && air(&mut works, id, air_k)
    {
        words.push(format!("air at {}", words::temperature(air_k)));
    }
    if let Some(by) = suppose.by {
        words.push(format!("needed {}", by.strftime("%a %Y-%m-%d %H:%M")));
    }
    (works, words)
}

fn replace(stated: &mut Stated, value: f64) {
    stated.spread = Spread::Exact(value);
    stated.source = Some("supposed on the command line".to_owned());
}

/// Puts a dwell in place. Returns whether there was one.
fn dwell(operation: &mut Operation, dwell_s: f64) -> bool {
    match &mut operation.pace {
        Pace::Load(load) => replace(&mut load.dwell, dwell_s),
        Pace::Flow {
            through: Some(through),
            ..
        } => replace(through, dwell_s),
        Pace::Flow { .. } | Pace::Each(_) | Pace::None => return false,
    }
    true
}

/// Moves the air of the stage that lasts longest to a temperature: a setting keeps what it may be off. Returns whether
/// there was such a stage.
fn air(works: &mut Works, id: OperationId, air_k: f64) -> bool {
    let operation = works.operation(id);
    let Some(heat) = &operation.heat else {
        return false;
    };
    let Ok((lasts_s, _)) = surroundings::lasts(works, operation, heat) else {
        return false;
    };
    let stages = lasts_s.iter().enumerate();
    let Some((longest, _)) = stages.max_by(|a, b| a.1.total_cmp(b.1)) else {
        return false;
    };
    let operation = &mut works.operations[id.0];
    let Some(heat) = operation.heat.as_mut() else {
        return false;
    };
    let stage = &mut heat.stages[longest];
    match stage.to.as_mut().unwrap_or(&mut stage.air) {
        Level::Setting(setting, _) => replace(&mut operation.settings[*setting].aim, air_k),
        Level::Stated(stated) => replace(stated, air_k),
    }
    true
}

/// The operations that heat, salt, dry, mould or let solvent go, each with its name in the plan.
pub fn recipes(works: &Works) -> Vec<(OperationId, String)> {
    let has_one = |operation: &Operation| {
        operation.heat.is_some()
            || operation.salt.is_some()
            || operation.drying.is_some()
            || operation.solvent.is_some()
            || operation.mould.is_some()
    };
    (0..works.operations.len())
        .map(OperationId)
        .filter(|&id| has_one(works.operation(id)))
        .map(|id| (id, label(works, id)))
        .collect()
}
