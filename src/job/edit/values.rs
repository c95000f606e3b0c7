//! Between what a file holds and what a change gives: TOML and JSON.

use serde_json::Value as Json;
use toml_edit::{Array, ArrayOfTables, InlineTable, Item, Table, Value};

/// The same, whole numbers being numbers too.
pub(super) fn same(a: &Json, b: &Json) -> bool {
    match (a, b) {
        (Json::Number(a), Json::Number(b)) => a == b || a.as_f64() == b.as_f64(),
        (Json::Array(a), Json::Array(b)) => a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b)),
        (Json::Object(a), Json::Object(b)) => {
            a.len() == b.len() && a.iter().all(|(key, a)| b.get(key).is_some_and(|b| same(a, b)))
        }
        _ => a == b,
    }
}

pub(super) fn json_of_item(item: &Item) -> Option<Json> {
    match item {
        Item::None => None,
        Item::Value(value) => Some(json_of_value(value)),
        Item::Table(table) => Some(json_of_table(table)),
        Item::ArrayOfTables(tables) => Some(tables.iter().map(json_of_table).collect()),
    }
}

pub(super) fn json_of_table(table: &Table) -> Json {
    table.iter().filter_map(|(key, item)| Some((key.to_owned(), json_of_item(item)?))).collect()
}

pub(super) fn json_of_value(value: &Value) -> Json {
    match value {
        Value::String(text) => text.value().as_str().into(),
        Value::Integer(number) => (*number.value()).into(),
        Value::Float(number) => (*number.value()).into(),
        Value::Boolean(flag) => (*flag.value()).into(),
        Value::Datetime(date) => date.value().to_string().into(),
        Value::Array(array) => array.iter().map(json_of_value).collect(),
        Value::InlineTable(table) => table.iter().map(|(key, value)| (key.to_owned(), json_of_value(value))).collect(),
    }
}

/// A value to stand behind a key; arrays of tables with one to a line.
pub(super) fn value(new: &Json) -> Option<Value> {
    // Spaces that are written out can be moved.
    let mut value: Value = bare(new)?.to_string().parse().ok()?;
    value.decor_mut().clear();
    Some(value)
}

pub(super) fn bare(new: &Json) -> Option<Value> {
    Some(match new {
        Json::Null => return None,
        Json::Bool(flag) => (*flag).into(),
        Json::Number(number) => number.as_i64().map(Value::from).or_else(|| number.as_f64().map(Value::from))?,
        Json::String(text) => text.as_str().into(),
        Json::Array(elements) => {
            let mut array: Array = elements.iter().filter_map(bare).collect();
            if elements.iter().any(Json::is_object) {
                for element in array.iter_mut() {
                    element.decor_mut().set_prefix("\n  ");
                }
                array.set_trailing_comma(true);
                Array::set_trailing(&mut array, "\n");
            }
            array.into()
        }
        Json::Object(keys) => {
            let mut table = InlineTable::new();
            table.extend(keys.iter().filter_map(|(key, new)| Some((key.as_str(), bare(new)?))));
            table.into()
        }
    })
}

pub(super) fn table(keys: &serde_json::Map<String, Json>) -> Table {
    keys.iter().filter_map(|(key, new)| Some((key.as_str(), Item::Value(value(new)?)))).collect()
}

/// A table, or several, with headings of their own.
pub(super) fn tables_of(new: &Json) -> Option<Item> {
    match new {
        Json::Object(keys) => Some(Item::Table(table(keys))),
        Json::Array(elements) if !elements.is_empty() => {
            let tables =
                elements.iter().map(|element| element.as_object().map(table)).collect::<Option<ArrayOfTables>>()?;
            Some(Item::ArrayOfTables(tables))
        }
        _ => None,
    }
}
