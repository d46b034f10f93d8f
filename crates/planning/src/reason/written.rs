//! The ledger as data: compact rows, units and repeated texts numbered once.
//!
//! `{ "units": [["m", 1.0], …], "nodes": [[name, value, unit, rule, [inputs], source], …] }`, where
//! `source` is `null` for what follows from the inputs alone, else
//! `["stated", file, start, end, note]`, `["measured", readings, how]`, `["assumed", why]` or
//! `["computed", note]`.

use std::collections::BTreeMap;

use serde::ser::{Serialize, SerializeSeq, SerializeStruct, SerializeTuple, Serializer};

use super::{Ledger, NodeId, Shown, Source};

impl Serialize for Ledger {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let (units, numbers) = number_units(self);
        let mut state = serializer.serialize_struct("Ledger", 2)?;
        state.serialize_field("units", &units)?;
        state.serialize_field(
            "nodes",
            &Rows {
                ledger: self,
                numbers: &numbers,
            },
        )?;
        state.end()
    }
}

impl Serialize for Shown {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        (&*self.symbol, self.factor).serialize(serializer)
    }
}

/// Each unit once, and its number for every node.
fn number_units(ledger: &Ledger) -> (Vec<Shown>, Vec<u32>) {
    let mut units: Vec<Shown> = Vec::new();
    let mut seen: BTreeMap<(&str, u64), u32> = BTreeMap::new();
    let numbers = ledger
        .nodes
        .iter()
        .map(|node| {
            let key = (&*node.unit.symbol, node.unit.factor.to_bits());
            *seen.entry(key).or_insert_with(|| {
                units.push(node.unit.clone());
                units.len() as u32 - 1
            })
        })
        .collect();
    (units, numbers)
}

struct Rows<'a> {
    ledger: &'a Ledger,
    numbers: &'a [u32],
}

impl Serialize for Rows<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut rows = serializer.serialize_seq(Some(self.numbers.len()))?;
        for (id, &unit) in self.ledger.ids().zip(self.numbers) {
            rows.serialize_element(&Row {
                ledger: self.ledger,
                id,
                unit,
            })?;
        }
        rows.end()
    }
}

struct Row<'a> {
    ledger: &'a Ledger,
    id: NodeId,
    unit: u32,
}

impl Serialize for Row<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let node = self.ledger.node(self.id);
        let mut row = serializer.serialize_tuple(6)?;
        row.serialize_element(&*node.name)?;
        row.serialize_element(&node.value)?;
        row.serialize_element(&self.unit)?;
        row.serialize_element(node.rule.name())?;
        row.serialize_element(self.ledger.inputs(self.id))?;
        row.serialize_element(&node.source)?;
        row.end()
    }
}

impl Serialize for Source {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Stated { at, note } => {
                ("stated", at.file.0, at.start, at.end, note).serialize(serializer)
            }
            Self::Measured { readings, how, .. } => {
                ("measured", readings, how).serialize(serializer)
            }
            Self::Computed { note: None } => serializer.serialize_none(),
            Self::Computed { note: Some(note) } => ("computed", note).serialize(serializer),
            Self::Assumed { why } => ("assumed", why).serialize(serializer),
        }
    }
}
