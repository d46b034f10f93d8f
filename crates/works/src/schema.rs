//! A JSON Schema (draft 2020-12) of the TOML files, for editors: names completed, kinds checked, the
//! meaning of each key on hover. Made from [`crate::format`].

use serde_json::{Map, Value, json};

use crate::format::{Kind, ROUTE, SOURCED, Section, WORKS, YIELD};

/// The schema of `works.toml` and the files beside it.
pub fn works() -> Value {
    root(
        &WORKS,
        "works.toml of a Linewright works folder",
        &["works"],
    )
}

/// The schema of `routes/*.toml`.
pub fn route() -> Value {
    root(
        &ROUTE,
        "routes/*.toml of a Linewright works folder",
        &["route", "operation"],
    )
}

fn root(section: &Section, title: &str, required: &[&str]) -> Value {
    let mut schema = table(section);
    schema["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    schema["title"] = json!(title);
    schema["required"] = json!(required);
    schema["$defs"] = json!({ "quantity": quantity(), "yield": share_of_lots() });
    schema
}

fn table(section: &Section) -> Value {
    object(section, kind)
}

/// An object with the keys of a section, the value of each by its kind.
fn object(section: &Section, kind: fn(&Kind) -> Value) -> Value {
    let mut properties = Map::new();
    for key in section.keys {
        let mut value = kind(&key.kind);
        let doc = if key.example.is_empty() {
            key.doc.to_owned()
        } else {
            format!("{} For example: {} = {}", key.doc, key.name, key.example)
        };
        value["description"] = json!(doc);
        properties.insert(key.name.to_owned(), value);
    }
    let required: Vec<&str> = section
        .keys
        .iter()
        .filter(|key| key.required)
        .map(|key| key.name)
        .collect();
    json!({
        "type": "object",
        "description": section.doc,
        "properties": properties,
        "required": required,
        "additionalProperties": false,
    })
}

fn kind(kind: &Kind) -> Value {
    match kind {
        Kind::Text | Kind::NameOf(_) => json!({ "type": "string" }),
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Whole => json!({ "type": "integer", "minimum": 0 }),
        Kind::Date => json!({ "type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$" }),
        Kind::Quantity(_) | Kind::Share => json!({ "$ref": "#/$defs/quantity" }),
        Kind::Yield => json!({ "$ref": "#/$defs/yield" }),
        Kind::Texts | Kind::NamesOf(_) | Kind::Tables(_) => either(std::slice::from_ref(kind)),
        Kind::Map(_, inner) => {
            json!({ "type": "object", "additionalProperties": self::kind(inner) })
        }
        Kind::Table(section) => table(section),
        Kind::Either(kinds) => either(kinds),
    }
}

/// One of several kinds. Where a list is among them, the reader takes a list of any of them, and one
/// without brackets.
fn either(kinds: &[Kind]) -> Value {
    let mut ones: Vec<Value> = Vec::new();
    for kind in kinds {
        let one = match kind {
            Kind::Texts | Kind::NamesOf(_) => json!({ "type": "string" }),
            Kind::Tables(section) => table(section),
            other => self::kind(other),
        };
        if !ones.contains(&one) {
            ones.push(one);
        }
    }
    let is_list = |kind: &Kind| matches!(kind, Kind::Texts | Kind::NamesOf(_) | Kind::Tables(_));
    if kinds.iter().any(is_list) {
        let list = json!({ "type": "array", "items": { "anyOf": ones } });
        ones.push(list);
    }
    json!({ "anyOf": ones })
}

/// A quantity, or one with a note on where it is from.
fn quantity() -> Value {
    json!({ "anyOf": [number(), object(&SOURCED, bare)] })
}

/// A share that may differ from lot to lot.
fn share_of_lots() -> Value {
    json!({ "anyOf": [number(), table(&YIELD), object(&SOURCED, bare)] })
}

fn number() -> Value {
    json!({ "type": ["string", "number"] })
}

/// The kind of a value that cannot have a source note, being inside one.
fn bare(kind: &Kind) -> Value {
    match kind {
        Kind::Quantity(_) => number(),
        other => self::kind(other),
    }
}
