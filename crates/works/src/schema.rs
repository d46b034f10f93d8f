//! A JSON Schema (draft 2020-12) of the TOML files, for editors: names completed, kinds checked, the
//! meaning of each key on hover. Made from [`crate::format`].

use serde_json::{Map, Value, json};

use crate::format::{Kind, ROUTE, SOURCED, Section, WORKS, YIELD};

/// The schema of `works.toml` and the files beside it.
pub fn works() -> Value {
    root(&WORKS, "works.toml of a Linewright works folder", &["works"])
}

/// The schema of `routes/*.toml`.
pub fn route() -> Value {
    root(&ROUTE, "routes/*.toml of a Linewright works folder", &["route", "operation"])
}

fn root(section: &Section, title: &str, required: &[&str]) -> Value {
    let mut schema = table(section);
    schema["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
    schema["title"] = json!(title);
    schema["required"] = json!(required);
    schema
}

fn table(section: &Section) -> Value {
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
    let required: Vec<&str> =
        section.keys.iter().filter(|key| key.required).map(|key| key.name).collect();
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
        Kind::Quantity(_) | Kind::Share => quantity(),
        Kind::Yield => {
            json!({ "anyOf": [{ "type": ["string", "number"] }, table(&YIELD), table(&SOURCED)] })
        }
        Kind::Texts | Kind::NamesOf(_) => json!({
            "anyOf": [{ "type": "string" }, { "type": "array", "items": { "type": "string" } }]
        }),
        Kind::Map(_, inner) => {
            json!({ "type": "object", "additionalProperties": self::kind(inner) })
        }
        Kind::Table(section) => table(section),
        Kind::Tables(section) => json!({ "type": "array", "items": table(section) }),
        Kind::Either(kinds) => {
            let kinds: Vec<Value> = kinds.iter().map(self::kind).collect();
            json!({ "anyOf": kinds })
        }
    }
}

fn quantity() -> Value {
    json!({ "anyOf": [{ "type": ["string", "number"] }, table(&SOURCED)] })
}
