//! A line: its tube and its route.

use super::Known;
use super::run::{self, Place};
use crate::job::Line;
use crate::job::fault::Fault;
use crate::job::keys;
use crate::job::notes::Notes;
use crate::job::syntax::quoted;
use crate::job::table::{Keys, Table, called};
use crate::refdata::{self, Lines, Tube};
use crate::units::words::and;
use std::ops::Range;
use toml::de::DeValue;

/// More runs than any line has.
const MOST_RUNS: usize = 1_000;

pub(super) fn line(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    keys: &'static Keys,
    which: Lines,
    circuit: &str,
    known: &Known,
) -> Option<Line> {
    notes.check_keys(table, keys, keys::HOMES);
    let name = if which == Lines::Discharge { "discharge" } else { "liquid" };
    let tube = table.get("tube").and_then(|entry| match entry.value {
        DeValue::Array(_) => {
            let fault = Fault::new(entry.span, "a line has one tube");
            notes.fault(fault.expected("parallel tubes are the `tube` of a run"));
            None
        }
        value => laid(notes, value, &entry.span, known),
    });
    let entry = table.get("route")?;
    let array = notes.array(&entry, "{ level = \"14 ft\" }, …")?;
    if array.is_empty() {
        notes.fault(Fault::new(entry.span, "the route is empty").expected("at least one length of tube"));
        return None;
    }
    if array.len() > MOST_RUNS {
        let fault = Fault::new(entry.span, format!("the route has {} runs", array.len()));
        notes.fault(fault.expected(format!("at most {MOST_RUNS}")));
        return None;
    }
    let place = Place { which, key: format!("{circuit} {name}"), known };
    let mut runs = Vec::with_capacity(array.len());
    for (index, item) in array.iter().enumerate() {
        let span = item.span();
        let DeValue::Table(entries) = item.get_ref() else {
            let says = format!("a run is a table, not {}", called(item.get_ref()));
            notes.fault(Fault::new(span, says).expected("such as { level = \"14 ft\" }"));
            continue;
        };
        let table = Table::new(entries, span, &keys::RUN, &[]);
        runs.push(run::run(notes, &table, &place, index + 1, tube.as_ref()));
    }
    if !array.iter().filter_map(|item| item.get_ref().as_table()).any(run::has_direction) && notes.faults.is_empty() {
        notes.fault(Fault::new(entry.span, "the route has no length of tube").expected("parts alone"));
        return None;
    }
    let runs: Vec<_> = runs.into_iter().collect::<Option<_>>()?;
    tube?;
    left_out(notes, &place.key, &runs);
    Some(Line { runs })
}

/// Says which runs exchange no heat for want of `around`, and which are bare.
fn left_out(notes: &mut Notes<'_>, key: &str, runs: &[crate::job::Run]) {
    let numbers = |which: &dyn Fn(&crate::job::Run) -> bool| -> Vec<String> {
        let of_tube = |run: &crate::job::Run| !matches!(run.path, crate::job::Path::Part(_));
        let chosen = runs.iter().enumerate().filter(|(_, run)| of_tube(run) && which(run));
        chosen.map(|(index, _)| (index + 1).to_string()).collect()
    };
    let says = |numbers: &[String], one: &str, many: &str| {
        if numbers.len() == 1 { format!("run {} {one}", numbers[0]) } else { format!("runs {} {many}", and(numbers)) }
    };
    let without = numbers(&|run| run.around.is_none());
    if !without.is_empty() {
        let why = format!("{}: no `around` is given", says(&without, "exchanges no heat", "exchange no heat"));
        notes.assume(format!("{key} around"), 0.0, "W", why, "roofrun");
    }
    let bare = numbers(&|run| run.around.is_some() && run.insulation.value == 0.0);
    if !bare.is_empty() {
        let why = format!("{}: no `insulation` is given", says(&bare, "is bare", "are bare"));
        notes.assume(format!("{key} insulation"), 0.0, "m", why, "roofrun");
    }
}

/// The tube of a run, and whether it is left open.
pub(super) struct Laid {
    pub tube: Tube,
    pub open: bool,
}

/// A tube by its trade name, or `auto` where it is left open: then the largest copper of the reference data stands in.
pub(super) fn laid(notes: &mut Notes<'_>, value: &DeValue<'_>, span: &Range<usize>, known: &Known) -> Option<Laid> {
    if value.as_str().map(str::trim) != Some("auto") {
        return tube(notes, value, span, known).map(|tube| Laid { tube, open: false });
    }
    if !notes.may_be_open {
        let fault = Fault::new(span.clone(), "the tube is left open");
        notes.fault(fault.expected("`roofrun size FILE` finds it"));
        return None;
    }
    let copper = refdata::tubes().iter().filter(|tube| tube.kind == "ACR");
    let largest = copper.max_by(|a, b| a.bore().value.total_cmp(&b.bore().value))?;
    Some(Laid { tube: largest.clone(), open: true })
}

/// A tube by its trade name.
pub(super) fn tube(notes: &mut Notes<'_>, value: &DeValue<'_>, span: &Range<usize>, known: &Known) -> Option<Tube> {
    let name = notes.text_of("tube", value, span)?;
    if let Some(tube) = known.tubes.iter().find(|t| t.name == name).or_else(|| refdata::tube(name)) {
        return Some(tube.clone());
    }
    let names = refdata::tubes().iter().chain(&known.tubes).map(|t| t.name.as_str());
    // An inch mark after the size is the usual slip.
    let plain = name.replace(['"', '\u{2033}', '\u{201d}'], "");
    if plain != name && names.clone().any(|known| known == plain) {
        let fault = Fault::new(span.clone(), "a tube is called without an inch mark");
        notes.fault(fault.mend(span.clone(), quoted(&plain)));
        return None;
    }
    notes.unknown(span, "tube", &plain, names, "`roofrun list tubes` names them all");
    None
}
