//! The choice put into the job file, its comments and layout kept.

use super::Section;
use crate::job::{Job, Run};
use toml_edit::{Array, DocumentMut, Item, TableLike, Value};

/// Why a choice can't be put into a file.
#[derive(Clone, Debug, thiserror::Error)]
pub enum WriteFault {
    /// It is no TOML; a job that was read from it never is that.
    #[error("the file can't be read as TOML: {0}")]
    Syntax(String),
    /// The file is not the one that the job was read from.
    #[error("circuit {circuit}: the file has no such {what}")]
    Missing {
        /// The circuit.
        circuit: String,
        /// What is missing.
        what: &'static str,
    },
}

/// Puts the tubes of a sized job into the text that it was read from: into every run that was open, and into the line's own
/// `tube` where that is `"auto"`.
///
/// # Errors
/// [`WriteFault`] where the text is not that job's.
pub fn write(text: &str, sized: &Job) -> Result<String, WriteFault> {
    let mut document: DocumentMut =
        text.parse().map_err(|e: toml_edit::TomlError| WriteFault::Syntax(e.to_string()))?;
    for (i, circuit) in sized.circuits.iter().enumerate() {
        let missing = |what| WriteFault::Missing { circuit: circuit.name.clone(), what };
        for (key, sections) in [
            ("discharge", [Section::DischargeLevel, Section::DischargeRise]),
            ("liquid", [Section::LiquidLevel, Section::LiquidUpright]),
        ] {
            let runs = &sections[0].line(circuit).runs;
            if !runs.iter().any(|run| run.open) {
                continue;
            }
            let table = circuit_table(&mut document, i).ok_or_else(|| missing("circuit"))?;
            let line = table.get_mut(key).and_then(Item::as_table_like_mut).ok_or_else(|| missing("line"))?;
            // The level tube is the line's own: it stands once, and runs name theirs where it is another.
            let common =
                sections[0].runs(circuit).first().or(sections[1].runs(circuit).first()).and_then(|at| runs.get(*at));
            let of_line = common.map(names).unwrap_or_default();
            let line_open = runs.iter().all(|run| run.open) || is_auto(line.get("tube"));
            let single = of_line.len() == 1;
            if line_open && single {
                set(line, &of_line);
            }
            let route = line.get_mut("route").ok_or_else(|| missing("route"))?;
            for (at, run) in runs.iter().enumerate().filter(|(_, run)| run.open) {
                let tubes = names(run);
                let table = run_table(route, at).ok_or_else(|| missing("run"))?;
                if line_open && single && tubes == of_line {
                    table.remove("tube");
                } else {
                    set(table, &tubes);
                }
            }
        }
    }
    Ok(document.to_string())
}

fn names(run: &Run) -> Vec<String> {
    run.tubes.iter().map(|tube| tube.name.clone()).collect()
}

fn is_auto(item: Option<&Item>) -> bool {
    item.and_then(Item::as_str) == Some("auto")
}

fn circuit_table(document: &mut DocumentMut, i: usize) -> Option<&mut dyn TableLike> {
    nth_table(document.get_mut("circuit")?, i)
}

fn run_table(route: &mut Item, i: usize) -> Option<&mut dyn TableLike> {
    nth_table(route, i)
}

/// Table number `i` of an array of tables, written either way.
fn nth_table(item: &mut Item, i: usize) -> Option<&mut dyn TableLike> {
    match item {
        Item::ArrayOfTables(tables) => Some(tables.get_mut(i)?),
        Item::Value(Value::Array(array)) => Some(array.get_mut(i)?.as_inline_table_mut()?),
        _ => None,
    }
}

/// Sets `tube`, keeping the space and the comment round what was there.
fn set(table: &mut dyn TableLike, tubes: &[String]) {
    let mut value = match tubes {
        [one] => Value::from(one.as_str()),
        several => Value::from(several.iter().map(String::as_str).collect::<Array>()),
    };
    if let Some(old) = table.get("tube").and_then(Item::as_value) {
        *value.decor_mut() = old.decor().clone();
        table.insert("tube", Item::Value(value));
        return;
    }
    // A new key at the end takes over the space before the closing brace from the one that was last.
    let mut last = None;
    for (_, item) in table.iter_mut() {
        last = item.as_value_mut();
    }
    if let Some(last) = last {
        let suffix = last.decor().suffix().and_then(|raw| raw.as_str()).unwrap_or("").to_owned();
        if !suffix.contains('#') {
            last.decor_mut().set_suffix("");
            value.decor_mut().set_suffix(suffix);
        }
        value.decor_mut().set_prefix(" ");
    }
    table.insert("tube", Item::Value(value));
}
