//! A line: its tube and its route.

use super::known::{Known, RunKey};
use super::run;
use super::tube::laid;
use crate::job::fault::Fault;
use crate::job::keys::RUN;
use crate::job::notes::Notes;
use crate::job::table::{Table, called};
use crate::job::{Line, LineId, Path, Run};
use crate::units::Kind;
use crate::units::words::and;
use toml::de::DeValue;

/// More runs than any line has.
const MAXIMUM_RUNS: usize = 1_000;

pub(super) fn line(notes: &mut Notes<'_>, table: &Table<'_>, line: LineId, known: &Known) -> Option<Line> {
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
        notes.fault(Fault::new(entry.span, "the route is empty").expected("one length of tube or more"));
        return None;
    }
    if array.len() > MAXIMUM_RUNS {
        let fault = Fault::new(entry.span, format!("the route has {} runs", array.len()));
        notes.fault(fault.expected(format!("no more than {MAXIMUM_RUNS}")));
        return None;
    }
    let key = table.path.trim_end_matches('.').to_owned();
    let mut place = RunKey { line, key, number: 0, known };
    let mut runs = Vec::with_capacity(array.len());
    for (index, item) in array.iter().enumerate() {
        let span = item.span();
        let DeValue::Table(entries) = item.get_ref() else {
            let says = format!("a run is a table, not {}", called(item.get_ref()));
            notes.fault(Fault::new(span, says).expected("such as { level = \"14 ft\" }"));
            continue;
        };
        place.number = index + 1;
        let table = Table::new(entries, span, &RUN, format!("{} run {} receiver.", place.key, place.number));
        runs.push(run::run(notes, &table, &place, tube.as_ref()));
    }
    if !array.iter().filter_map(|item| item.get_ref().as_table()).any(run::has_direction) && notes.faults.is_empty() {
        notes.fault(Fault::new(entry.span, "the route has no length of tube").expected("parts alone"));
        return None;
    }
    let runs: Vec<_> = runs.into_iter().collect::<Option<_>>()?;
    tube?;
    left_out(notes, &place.key, &runs);
    Some(Line { runs, stop_valves: notes.flag(table, "stop_valves").unwrap_or_default() })
}

/// Says which runs exchange no heat for want of `around`, and which are bare.
fn left_out(notes: &mut Notes<'_>, key: &str, runs: &[Run]) {
    let numbers = |which: &dyn Fn(&Run) -> bool| -> Vec<String> {
        let of_tube = |run: &Run| !matches!(run.path, Path::Part(_));
        let chosen = runs.iter().enumerate().filter(|(_, run)| of_tube(run) && which(run));
        chosen.map(|(index, _)| (index + 1).to_string()).collect()
    };
    let says = |numbers: &[String], one: &str, many: &str| {
        if numbers.len() == 1 { format!("run {} {one}", numbers[0]) } else { format!("runs {} {many}", and(numbers)) }
    };
    let without = numbers(&|run| run.ambient.is_none());
    if !without.is_empty() {
        let why = format!("{}: `ambient` not given", says(&without, "exchanges no heat", "exchange no heat"));
        notes.assume(format!("{key} ambient"), (0.0, Kind::Heat, "no heat"), why, "roofrun");
    }
    let bare = numbers(&|run| run.ambient.is_some() && run.insulation.value == 0.0);
    if !bare.is_empty() {
        let why = format!("{}: no `insulation` is given", says(&bare, "is bare", "are bare"));
        notes.assume(format!("{key} insulation"), (0.0, Kind::Length, "none"), why, "roofrun");
    }
}
