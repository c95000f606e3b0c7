//! Changes to the text of a job file, its comments and layout kept.

mod row;
mod values;

use row::{insert, insert_key, last_line, prefix, remove, remove_key};
use values::{json_of_item, json_of_table, json_of_value, same, table, tables_of, value};

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value as Json;
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Key, Table, Value};

/// One change of a job file: where, what stood there, what is to stand there.
///
/// `path` joins keys by dots. An element of an array is named by its `name`, or by its number from 1 where it has none:
/// `circuit.1A.discharge.route.2.tube`. What is no bare key is quoted: `circuit."1.A".valve`.
/// Without `old` nothing stands there yet: a number inserts before that element, the length plus one appends. Without `new`
/// it goes.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Edit {
    /// Where.
    pub path: String,
    /// What stood there.
    pub old: Option<Json>,
    /// What is to stand there.
    pub new: Option<Json>,
}

/// Why a change can't be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum EditFault {
    /// The text is no TOML.
    #[error("the file can't be read as TOML: {0}")]
    Syntax(String),
    /// The path is no path, or leads nowhere.
    #[error("`{path}`: {why}")]
    Path {
        /// The path.
        path: String,
        /// Why.
        why: String,
    },
    /// Something else stands there.
    #[error("`{path}`: the file has {stands} there, not {old}")]
    Differs {
        /// The path.
        path: String,
        /// What stands there.
        stands: String,
        /// What was to stand there.
        old: String,
    },
}

impl Edit {
    /// The change that takes this one back.
    #[must_use]
    pub fn inverse(&self) -> Self {
        Self { path: self.path.clone(), old: self.new.clone(), new: self.old.clone() }
    }
}

/// A name as a step of a path, quoted where it needs that.
#[must_use]
pub fn step(name: &str) -> String {
    let bare = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_');
    if !name.is_empty() && name.chars().all(bare) { name.to_owned() } else { Json::from(name).to_string() }
}

/// Applies edits one after another to the text of a job file.
///
/// # Errors
/// [`EditFault`] where one can't be made; then none is.
pub fn edit(text: &str, edits: &[Edit]) -> Result<String, EditFault> {
    let mut document: DocumentMut = text.parse().map_err(|e: toml_edit::TomlError| EditFault::Syntax(e.to_string()))?;
    for edit in edits {
        let keys = Key::parse(&edit.path).map_err(|_| edit.astray("it is no path"))?;
        let steps: Vec<&str> = keys.iter().map(Key::get).collect();
        change(Node::Table(document.as_table_mut()), &steps, edit, true)?;
    }
    Ok(document.to_string())
}

/// What a step leads into.
enum Node<'a> {
    Table(&'a mut Table),
    Inline(&'a mut InlineTable),
    Array(&'a mut Array),
    Tables(&'a mut ArrayOfTables),
    Leaf,
}

impl<'a> From<&'a mut Item> for Node<'a> {
    fn from(item: &'a mut Item) -> Self {
        match item {
            Item::Table(table) => Self::Table(table),
            Item::ArrayOfTables(tables) => Self::Tables(tables),
            Item::Value(value) => value.into(),
            Item::None => Self::Leaf,
        }
    }
}

impl<'a> From<&'a mut Value> for Node<'a> {
    fn from(value: &'a mut Value) -> Self {
        match value {
            Value::Array(array) => Self::Array(array),
            Value::InlineTable(table) => Self::Inline(table),
            _ => Self::Leaf,
        }
    }
}

impl Edit {
    fn astray(&self, why: impl Into<String>) -> EditFault {
        EditFault::Path { path: self.path.clone(), why: why.into() }
    }

    /// Whether what stands there is what was to stand there.
    fn agrees(&self, stands: Option<&Json>) -> Result<(), EditFault> {
        let old = self.old.as_ref().filter(|old| !old.is_null());
        let agree = match (old, stands) {
            (None, None) => true,
            (Some(old), Some(stands)) => same(old, stands),
            _ => false,
        };
        let shown = |value: Option<&Json>| value.map_or_else(|| "nothing".to_owned(), Json::to_string);
        let differs = || EditFault::Differs { path: self.path.clone(), stands: shown(stands), old: shown(old) };
        agree.then_some(()).ok_or_else(differs)
    }

    fn put(&self) -> Option<&Json> {
        self.new.as_ref().filter(|new| !new.is_null())
    }
}

/// Makes one change below a node, and answers whether that left it empty.
fn change(node: Node<'_>, steps: &[&str], edit: &Edit, root: bool) -> Result<bool, EditFault> {
    let Some((step, rest)) = steps.split_first() else { return Err(edit.astray("it is no path")) };
    match node {
        Node::Table(table) => {
            if let Some(next) = rest.first() {
                if !table.contains_key(step) && edit.put().is_some() {
                    table.insert(step, between(step, next, root));
                }
                let inner = table.get_mut(step).ok_or_else(|| edit.astray(format!("nothing named `{step}`")))?;
                if change(inner.into(), rest, edit, false)? {
                    table.remove(step);
                }
            } else {
                edit.agrees(table.get(step).and_then(json_of_item).as_ref())?;
                set_in_table(table, step, edit.put(), root);
            }
            Ok(table.is_empty())
        }
        Node::Inline(table) => {
            if let Some(next) = rest.first() {
                if !table.contains_key(step)
                    && edit.put().is_some()
                    && let Ok(value) = between(step, next, false).into_value()
                {
                    insert_key(table, step, value);
                }
                let inner = table.get_mut(step).ok_or_else(|| edit.astray(format!("nothing named `{step}`")))?;
                if change(inner.into(), rest, edit, false)? {
                    remove_key(table, step);
                }
            } else {
                edit.agrees(table.get(step).map(json_of_value).as_ref())?;
                set_in_inline(table, step, edit.put());
            }
            Ok(table.is_empty())
        }
        Node::Array(array) => {
            let elements: Vec<Json> = array.iter().map(json_of_value).collect();
            change_array(array, element(&elements, step, rest.is_empty(), edit)?, rest, edit)?;
            Ok(false)
        }
        Node::Tables(tables) => {
            let elements: Vec<Json> = tables.iter().map(json_of_table).collect();
            change_tables(tables, element(&elements, step, rest.is_empty(), edit)?, rest, edit)?;
            Ok(tables.is_empty())
        }
        Node::Leaf => Err(edit.astray(format!("nothing named `{step}` can be there"))),
    }
}

/// The index of the element of that name, or else of that number from 1. Where a path ends, what is to stand there decides
/// between the two; what is inserted has no name yet.
fn element(elements: &[Json], step: &str, last: bool, edit: &Edit) -> Result<usize, EditFault> {
    let named = elements.iter().position(|element| element.get("name").and_then(Json::as_str) == Some(step));
    let numbered = step.parse::<usize>().ok().and_then(|at| at.checked_sub(1)).filter(|at| *at <= elements.len());
    let fits = |at: &usize| match &edit.old {
        Some(old) if last => elements.get(*at).is_some_and(|stands| same(old, stands)),
        _ => !last || Some(*at) == numbered,
    };
    let mut found = named.into_iter().chain(numbered);
    found.clone().find(fits).or_else(|| found.next()).ok_or_else(|| edit.astray(format!("no element `{step}`")))
}

/// What must stand where a path leads through nothing: a table, or an array where a number follows.
fn between(step: &str, next: &str, root: bool) -> Item {
    if next.parse::<usize>().is_ok() {
        return if step == "route" { Array::new().into() } else { Item::ArrayOfTables(ArrayOfTables::new()) };
    }
    if !root {
        return InlineTable::new().into();
    }
    let mut table = Table::new();
    table.set_implicit(true);
    Item::Table(table)
}

fn change_array(array: &mut Array, at: usize, rest: &[&str], edit: &Edit) -> Result<(), EditFault> {
    if !rest.is_empty() {
        let inner = array.get_mut(at).ok_or_else(|| edit.astray("it leads past the last element"))?;
        return change(inner.into(), rest, edit, false).map(drop);
    }
    match (&edit.old, edit.put()) {
        (None | Some(Json::Null), Some(new)) => {
            let value = value(new).ok_or_else(|| edit.astray("nothing can be put there"))?;
            insert(array, at, |array, prefix, suffix| array.insert_formatted(at, value.decorated(prefix, suffix)));
        }
        (_, new) => {
            edit.agrees(array.get(at).map(json_of_value).as_ref())?;
            match (new, array.get_mut(at)) {
                (Some(new), Some(stands)) => set_value(stands, new),
                (None, Some(_)) => remove(array, at, |array| drop(array.remove(at))),
                _ => {}
            }
        }
    }
    Ok(())
}

fn change_tables(tables: &mut ArrayOfTables, at: usize, rest: &[&str], edit: &Edit) -> Result<(), EditFault> {
    if !rest.is_empty() {
        let inner = tables.get_mut(at).ok_or_else(|| edit.astray("it leads past the last element"))?;
        return change(Node::Table(inner), rest, edit, false).map(drop);
    }
    let object = |new: &Json| new.as_object().cloned().ok_or_else(|| edit.astray("a table must be there"));
    match (&edit.old, edit.put()) {
        (None | Some(Json::Null), Some(new)) => tables.insert(at, table(&object(new)?)),
        (_, new) => {
            edit.agrees(tables.get(at).map(json_of_table).as_ref())?;
            match (new, tables.get_mut(at)) {
                (Some(new), Some(stands)) => set_table(stands, &object(new)?),
                (None, Some(_)) => drop(tables.remove(at)),
                _ => {}
            }
        }
    }
    Ok(())
}

fn set_in_table(table: &mut Table, key: &str, new: Option<&Json>, root: bool) {
    match (new, table.get_mut(key)) {
        (None, _) => drop(table.remove(key)),
        (Some(Json::Object(new)), Some(Item::Table(stands))) => set_table(stands, new),
        (Some(new), Some(Item::Value(stands))) => set_value(stands, new),
        (Some(new), stands) => {
            let tables = root || matches!(stands, Some(Item::ArrayOfTables(_)));
            let Some(item) = (if tables { tables_of(new) } else { None }).or_else(|| value(new).map(Item::Value))
            else {
                return;
            };
            let indent = table.iter().filter(|(_, item)| item.is_value()).last().map(|(key, _)| key.to_owned());
            let indent = indent.and_then(|last| Some(last_line(prefix(table.key(&last)?.leaf_decor())).to_owned()));
            table.remove(key);
            table.insert(key, item);
            if let (Some(indent), Some(mut key)) = (indent, table.key_mut(key)) {
                key.leaf_decor_mut().set_prefix(indent);
            }
        }
    }
}

fn set_in_inline(table: &mut InlineTable, key: &str, new: Option<&Json>) {
    match (new, table.get_mut(key)) {
        (None, None) => {}
        (None, Some(_)) => remove_key(table, key),
        (Some(new), Some(stands)) => set_value(stands, new),
        (Some(new), None) => {
            if let Some(value) = value(new) {
                insert_key(table, key, value);
            }
        }
    }
}

/// The keys of a table, those that stay with their comments.
fn set_table(table: &mut Table, new: &serde_json::Map<String, Json>) {
    let gone: Vec<String> = table.iter().map(|(key, _)| key.to_owned()).filter(|key| !new.contains_key(key)).collect();
    for key in gone {
        table.remove(&key);
    }
    for (key, value) in new {
        if table.get(key).and_then(json_of_item).as_ref() != Some(value) {
            set_in_table(table, key, Some(value), false);
        }
    }
}

fn set_value(stands: &mut Value, new: &Json) {
    if let (Value::InlineTable(table), Json::Object(new)) = (&mut *stands, new) {
        let gone: Vec<String> = table.iter().map(|(key, _)| key.to_owned()).collect();
        for key in gone.iter().filter(|key| !new.contains_key(*key)) {
            remove_key(table, key);
        }
        for (key, value) in new {
            if table.get(key).map(json_of_value).as_ref() != Some(value) {
                set_in_inline(table, key, Some(value));
            }
        }
    } else if let Some(mut value) = value(new) {
        *value.decor_mut() = stands.decor().clone();
        *stands = value;
    }
}

#[cfg(test)]
mod tests;
