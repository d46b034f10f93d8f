//! The JSON Schema that editors use takes every works of the tests and refuses what the reader refuses.

use std::path::Path;

use serde_json::{Value, json};
use works::schema;

use crate::folder::{fenmoor, goods};

/// The schema that a file of the folder follows, if it is one of ours.
fn schema_of(path: &str) -> Option<Value> {
    let is_toml = Path::new(path)
        .extension()
        .is_some_and(|ending| ending == "toml");
    match path.split_once('/') {
        None if path == "works.toml" => Some(schema::works()),
        Some(("routes", _)) if is_toml => Some(schema::route()),
        _ => None,
    }
}

fn as_json(text: &[u8]) -> Value {
    let text = std::str::from_utf8(text).expect("the works of the tests are UTF-8");
    let table: toml::Table = text.parse().expect("the works of the tests are TOML");
    serde_json::to_value(table).expect("a table is an object")
}

/// Where and how a value breaks a schema. Knows the words of draft 2020-12 (Core 10, Validation 6)
/// that the schema uses and no more, and stops at one that it does not know, lest a rule go unchecked.
fn breaches(schema: &Value, value: &Value, place: &str) -> Vec<String> {
    breaches_in(schema, schema, value, place)
}

fn breaches_in(root: &Value, schema: &Value, value: &Value, place: &str) -> Vec<String> {
    let breaches =
        |schema: &Value, value: &Value, place: &str| breaches_in(root, schema, value, place);
    let rules = schema.as_object().expect("a schema is an object");
    let mut broken = Vec::new();
    for (word, rule) in rules {
        match word.as_str() {
            "$schema" | "$defs" | "title" | "description" => {}
            "$ref" => {
                let path = rule.as_str().and_then(|rule| rule.strip_prefix('#'));
                let meant = path.and_then(|path| root.pointer(path));
                broken.extend(breaches(
                    meant.expect("the schema holds what it refers to"),
                    value,
                    place,
                ));
            }
            "type" => {
                if !types(rule).iter().any(|kind| is_of_type(kind, value)) {
                    broken.push(format!("{place}: is not {rule}"));
                }
            }
            "minimum" => {
                let low = value
                    .as_f64()
                    .zip(rule.as_f64())
                    .is_some_and(|(value, least)| value < least);
                broken.extend(low.then(|| format!("{place}: is below {rule}")));
            }
            "pattern" => {
                assert_eq!(
                    rule, r"^\d{4}-\d{2}-\d{2}$",
                    "the one pattern of the schema"
                );
                let fits = value.as_str().is_none_or(|text| {
                    text.len() == 10
                        && text.bytes().enumerate().all(|(n, b)| match n {
                            4 | 7 => b == b'-',
                            _ => b.is_ascii_digit(),
                        })
                });
                broken.extend((!fits).then(|| format!("{place}: is no date")));
            }
            "required" => {
                let names = rule
                    .as_array()
                    .into_iter()
                    .flatten()
                    .filter_map(Value::as_str);
                let missing = names.filter(|name| value.is_object() && value.get(name).is_none());
                broken.extend(missing.map(|name| format!("{place}: lacks {name}")));
            }
            "properties" => {
                for (name, inner) in rule.as_object().into_iter().flatten() {
                    if let Some(value) = value.get(name) {
                        broken.extend(breaches(inner, value, &format!("{place}.{name}")));
                    }
                }
            }
            "additionalProperties" => {
                let known = rules.get("properties").and_then(Value::as_object);
                for (name, value) in value.as_object().into_iter().flatten() {
                    if known.is_some_and(|known| known.contains_key(name)) {
                        continue;
                    }
                    if *rule == json!(false) {
                        broken.push(format!("{place}: may not have {name}"));
                    } else {
                        broken.extend(breaches(rule, value, &format!("{place}.{name}")));
                    }
                }
            }
            "items" => {
                for (number, value) in value.as_array().into_iter().flatten().enumerate() {
                    broken.extend(breaches(rule, value, &format!("{place}[{number}]")));
                }
            }
            "anyOf" => {
                let tried: Vec<Vec<String>> = rule
                    .as_array()
                    .into_iter()
                    .flatten()
                    .map(|rule| breaches(rule, value, place))
                    .collect();
                if tried.iter().all(|broken| !broken.is_empty()) {
                    broken.extend(tried.into_iter().min_by_key(Vec::len).unwrap_or_default());
                }
            }
            other => panic!("the schema uses `{other}`, which this test does not know"),
        }
    }
    broken
}

fn types(rule: &Value) -> Vec<&str> {
    match rule {
        Value::String(one) => vec![one],
        many => many
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(Value::as_str)
            .collect(),
    }
}

fn is_of_type(kind: &str, value: &Value) -> bool {
    match kind {
        "object" => value.is_object(),
        "array" => value.is_array(),
        "string" => value.is_string(),
        "boolean" => value.is_boolean(),
        "number" => value.is_number(),
        "integer" => value.is_i64() || value.is_u64(),
        other => panic!("`{other}` is no type of JSON Schema that the schema uses"),
    }
}

#[test]
fn every_works_follows_the_schema() {
    let mut checked = 0;
    for (name, files) in goods()
        .into_iter()
        .chain([("fenmoor".to_owned(), fenmoor())])
    {
        for (path, bytes) in files.iter() {
            let Some(schema) = schema_of(path) else {
                continue;
            };
            let broken = breaches(&schema, &as_json(bytes), path);
            assert!(broken.is_empty(), "{name}: {broken:#?}");
            checked += 1;
        }
    }
    assert!(checked >= 17, "only {checked} files were checked"); // 6 works.toml, 6 + 5 routes
}

#[test]
fn the_schema_refuses_what_the_reader_refuses() {
    let refused = |text: &str| breaches(&schema::works(), &as_json(text.as_bytes()), "works");
    let head = "[works]\nname = \"T\"\ntime_zone = \"UTC\"\ncurrency = \"GBP\"\n";
    assert_eq!(refused(head), [""; 0]);
    let more = |text: &str| refused(&format!("{head}{text}"));
    assert_eq!(more("[planes]\n"), ["works: may not have planes"]);
    assert_eq!(
        more("[station.saw]\ncalendar = \"days\"\ncolour = \"red\"\n"),
        ["works.station.saw: may not have colour"]
    );
    assert_eq!(
        more("[station.saw]\n"),
        ["works.station.saw: lacks calendar"]
    );
    assert_eq!(
        more("[station.saw]\ncalendar = \"days\"\ncount = -1\n"),
        ["works.station.saw.count: is below 0"]
    );
    assert_eq!(
        more("[plan]\nfrom = \"24/12/2026\"\n"),
        ["works.plan.from: is no date"]
    );
    assert_eq!(refused("[plan]\n"), ["works: lacks works"]);
    let route = "[route]\nmakes = \"x\"\n[[operation]]\nname = \"a\"\ntakes = { b = { amuont = \"1 each\" } }\n";
    let broken = breaches(&schema::route(), &as_json(route.as_bytes()), "route");
    assert!(!broken.is_empty());
}

#[test]
fn the_schema_takes_stations_to_choose_from_in_one_list() {
    let route = "[route]\nmakes = \"x\"\n[[operation]]\nname = \"a\"\nat = [\"saw\", { station = \"band saw\", pace = \"12 s\" }]\nrejects = [\"scrap\"]\n";
    assert_eq!(
        breaches(&schema::route(), &as_json(route.as_bytes()), "route"),
        [""; 0]
    );
}
