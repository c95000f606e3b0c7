//! The JSON Schema of what people write, out of the tables of keys: for editors and programs.

use super::key::{Bounds, Holds, Key, Keys};
use super::keys::{self, RUN};
use super::values::in_capitals;
use crate::refdata;
use crate::units::Kind;
use serde_json::{Map, Value, json};

/// The draft that it follows.
const DRAFT: &str = "https://json-schema.org/draft/2020-12/schema";

/// Of a job file.
#[must_use]
pub fn job_schema() -> Value {
    whole("A roofrun job", &keys::FILE)
}

/// Of a file of readings.
#[must_use]
pub fn readings_schema() -> Value {
    whole("Readings at a chiller", &keys::readings::FILE)
}

fn whole(title: &str, keys: &Keys) -> Value {
    let mut schema = table(keys);
    if let Some(object) = schema.as_object_mut() {
        object.insert("$schema".to_owned(), json!(DRAFT));
        object.insert("title".to_owned(), json!(title));
        object.sort_keys();
    }
    schema
}

fn table(keys: &Keys) -> Value {
    let properties: Map<String, Value> = keys.all.iter().map(|key| (key.name.to_owned(), described(key))).collect();
    let required: Vec<&str> = keys.all.iter().filter(|key| key.needed).map(|key| key.name).collect();
    let mut schema = json!({ "type": "object", "properties": properties, "additionalProperties": false });
    if !required.is_empty() {
        schema["required"] = json!(required);
    }
    if let Some(either) = keys.either {
        schema["anyOf"] = either.of.iter().map(|key| json!({ "required": [key] })).collect();
    }
    schema
}

fn described(key: &Key) -> Value {
    let mut schema = held(key);
    if let Some(object) = schema.as_object_mut() {
        if !key.doc.is_empty() {
            object.insert("description".to_owned(), json!(key.doc));
        }
        if matches!(key.holds, Holds::Quantity(..) | Holds::Text) {
            object.insert("examples".to_owned(), json!(key.example));
        }
    }
    schema
}

fn held(key: &Key) -> Value {
    match (key.name, key.holds) {
        ("route", _) => json!({ "type": "array", "items": table(&RUN), "minItems": 1 }),
        ("limits", _) => limits(),
        // What is one quantity or a list of them.
        ("sound_power" | "night_sound_power" | "weights", Holds::Quantity(..)) => one_or_list(),
        // What is a table or a word: "none", "constant", a length for every side.
        ("head_control" | "hot_gas_bypass" | "relief_valve" | "profile" | "clearance", Holds::Table(keys)) => {
            json!({ "anyOf": [table(keys), { "type": "string" }] })
        }
        (_, Holds::Quantity(..) | Holds::Text) => json!({ "type": "string" }),
        (_, Holds::Number(_, bounds)) => fraction_or(number(bounds), bounds.of_a_share()),
        (_, Holds::Count(minimum, maximum)) => json!({ "type": "integer", "minimum": minimum, "maximum": maximum }),
        (_, Holds::Pair(_)) if key.name == "outline" => {
            json!({ "type": "array", "items": pair(), "minItems": 3 })
        }
        (_, Holds::Pair(_)) => pair(),
        (_, Holds::Flag) => json!({ "type": "boolean" }),
        (_, Holds::Choice(words)) => {
            let capitals = words.iter().filter_map(|word| in_capitals(word));
            json!({ "enum": words.iter().map(|word| (*word).to_owned()).chain(capitals).collect::<Vec<String>>() })
        }
        (_, Holds::Table(keys)) => table(keys),
        (_, Holds::Tables(keys)) => json!({ "type": "array", "items": table(keys) }),
        (_, Holds::Other) => json!({}),
    }
}

fn pair() -> Value {
    json!({ "type": "array", "items": { "type": "string" }, "minItems": 2, "maxItems": 2 })
}

fn one_or_list() -> Value {
    json!({ "anyOf": [{ "type": "string" }, { "type": "array", "items": { "type": "string" } }] })
}

/// A number; a fraction is also written in per cent.
fn fraction_or(number: Value, fraction: bool) -> Value {
    if !fraction {
        return number;
    }
    json!({ "anyOf": [number, { "type": "string", "pattern": "^[^%]*%\\s*$" }] })
}

fn number(bounds: Bounds) -> Value {
    match bounds {
        Bounds::Above(minimum, maximum) => json!({ "type": "number", "exclusiveMinimum": minimum, "maximum": maximum }),
        Bounds::From(minimum, maximum) => json!({ "type": "number", "minimum": minimum, "maximum": maximum }),
        Bounds::AboveAir(maximum) => json!({ "type": "number", "maximum": maximum }),
    }
}

fn limits() -> Value {
    let limit = |limit: &refdata::Limit| {
        let plain = matches!(limit.kind, Kind::Ratio | Kind::Share | Kind::Hours);
        let mut held =
            fraction_or(json!({ "type": if plain { "number" } else { "string" } }), limit.kind == Kind::Share);
        held["description"] = json!(limit.says);
        (limit.key.clone(), held)
    };
    let properties: Map<String, Value> = refdata::limits().iter().map(limit).collect();
    json!({ "type": "object", "properties": properties, "additionalProperties": false })
}
