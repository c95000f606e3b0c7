//! Remedies as text and for JSON: what is changed, what that does, what it costs.

use super::change::{sentence, steps};
use crate::job::{Edit, Job};
use crate::layout::{Align, Grid, Hang, Sheet, style};
use crate::remedies::{Change, Cost, Effect, Remedy, Whole, edits};
use crate::rules::say::list;
use schemars::JsonSchema;
use serde::Serialize;

/// A remedy as it is written.
#[derive(Serialize, JsonSchema)]
pub(crate) struct RemedyDocument {
    changes: Vec<Edit>,
    resolves: Vec<&'static str>,
    still_fails: Vec<&'static str>,
    newly_fails: Vec<&'static str>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    newly_cautions: Vec<&'static str>,
    cost: CostDocument,
    says: String,
}

#[derive(Serialize, JsonSchema)]
struct CostDocument {
    copper_kg: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    charge_kg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    power_W: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    capacity_W: Option<f64>,
}

/// A remedy of a job that was read from this text.
pub(crate) fn document(job: &Job, text: &str, remedy: &Remedy) -> RemedyDocument {
    written(job, text, &remedy.changes, &remedy.effect, &remedy.cost)
}

/// The whole remedy.
pub(crate) fn whole_document(job: &Job, text: &str, whole: &Whole) -> RemedyDocument {
    let mut document = written(job, text, &whole.changes, &whole.effect, &whole.cost);
    document.still_fails = left(whole);
    document
}

fn written(job: &Job, text: &str, changes: &[Change], effect: &Effect, cost: &Cost) -> RemedyDocument {
    RemedyDocument {
        changes: edits(job, text, changes),
        resolves: effect.resolves.clone(),
        still_fails: effect.still_fails.clone(),
        newly_fails: effect.newly_fails.clone(),
        newly_cautions: effect.newly_cautions.clone(),
        cost: CostDocument {
            copper_kg: cost.copper_kg,
            charge_kg: cost.charge_kg,
            power_W: cost.power_W,
            capacity_W: cost.capacity_W,
        },
        says: sentence(job, changes),
    }
}

/// The rules that fail with the whole remedy all the same, each once.
#[must_use]
pub(crate) fn left(whole: &Whole) -> Vec<&'static str> {
    let mut rules: Vec<&'static str> = Vec::new();
    for rule in whole.left.iter().flat_map(|(_, rules)| rules) {
        if !rules.contains(rule) {
            rules.push(rule);
        }
    }
    rules
}

/// What a remedy does to other rules, in a sentence; empty where it harms none.
#[must_use]
pub(crate) fn aside(effect: &Effect) -> String {
    let names = |rules: &[&'static str]| list(rules.iter().map(|rule| (*rule).to_owned()));
    let told = |label: &str, rules: &[&'static str]| {
        if rules.is_empty() { String::new() } else { format!(" {label}: {}.", names(rules)) }
    };
    told("Still fails", &effect.still_fails)
        + &told("Newly fails", &effect.newly_fails)
        + &told("New caution", &effect.newly_cautions)
}

/// The whole remedy as a table, with what it resolves, what is left and what it costs.
pub(crate) fn whole(sheet: &mut Sheet, job: &Job, whole: &Whole) {
    let steps = steps(job, &whole.changes, true);
    let left = left(whole);
    let cautions = |rules: &[&'static str]| list(rules.iter().map(|rule| (*rule).to_owned()));
    let count = if steps.len() == 1 { "One change".to_owned() } else { format!("{} changes", steps.len()) };
    let (then, look) = match left.as_slice() {
        [] => (", then no failures".to_owned(), style::PASS),
        [one] => (format!("; {one} still fails"), style::FAIL),
        several => (format!("; {} still fail", cautions(several)), style::FAIL),
    };
    sheet.styled(Hang::flush(0), look, &format!("{count}{then}"));
    sheet.space();
    let mut grid = Grid::new().column("", Align::Right).column("where", Align::Left).column("change", Align::Left);
    for (number, (place, what)) in steps.into_iter().enumerate() {
        grid.row(vec![(number + 1).to_string(), place, what]);
    }
    sheet.table(1, &grid);
    sheet.space();
    // Of a rule that fails at another place still, only some is resolved.
    let (some, all): (Vec<&str>, Vec<&str>) = whole.effect.resolves.iter().partition(|rule| left.contains(rule));
    let resolves = all.into_iter().map(str::to_owned).chain(some.into_iter().map(|rule| format!("some of {rule}")));
    let resolves = list(resolves);
    if !resolves.is_empty() {
        sheet.labelled(0, "Resolves", style::STRONG, 10, &resolves);
    }
    if !whole.effect.newly_cautions.is_empty() {
        sheet.labelled(0, "Cautions", style::STRONG, 10, &cautions(&whole.effect.newly_cautions));
    }
    let costs = costs(job, &whole.cost);
    sheet.labelled(0, "Cost", style::STRONG, 10, &costs.join(", "));
}

/// What a set of changes costs, in words; at least one.
#[must_use]
pub(crate) fn costs(job: &Job, of: &Cost) -> Vec<String> {
    let show = job.units;
    let signed = |value: f64, told: &dyn Fn(f64) -> String| {
        format!("{} {}", told(value.abs()), if value < 0.0 { "less" } else { "more" })
    };
    let kg = |kg: f64| show.mass(kg);
    let cost = |value: Option<f64>, told: &dyn Fn(f64) -> String, what: &str| {
        value.filter(|value| value.abs() > 0.0).map(|value| format!("{} {what}", signed(value, told)))
    };
    let mut costs: Vec<String> = [
        cost(Some(of.copper_kg), &kg, "tube"),
        cost(of.charge_kg, &kg, "charge"),
        cost(of.power_W, &|w| show.power(w), "on the design day"),
    ]
    .into_iter()
    .flatten()
    .collect();
    if costs.is_empty() {
        costs.push("no tube, charge or power".to_owned());
    }
    costs
}
