//! What a run is laid of: its tubes and its fittings.

use super::known::Known;
use crate::job::fault::Fault;
use crate::job::notes::Notes;
use crate::job::syntax::quoted;
use crate::job::table::Table;
use crate::refdata::{self, Tube};
use crate::units::words::or;
use std::ops::Range;
use toml::de::DeValue;

/// More parallel tubes than anyone lays.
const MAXIMUM_TUBES: usize = 4;

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

/// A tube by its trade name, or by another way to write it that means one tube alone.
pub(super) fn tube(notes: &mut Notes<'_>, value: &DeValue<'_>, span: &Range<usize>, known: &Known) -> Option<Tube> {
    let name = notes.text_of("tube", value, span)?;
    if let Some(tube) = known.tubes.iter().find(|t| t.name == name).or_else(|| refdata::tube(name)) {
        return Some(tube.clone());
    }
    let all = || refdata::tubes().iter().chain(&known.tubes);
    let called = |tube: &&Tube| format!("`{}`", tube.name);
    match refdata::tubes_meant(name, all()).as_slice() {
        [] => {}
        [tube] => return Some((*tube).clone()),
        several => {
            let fault = Fault::new(span.clone(), format!("`{name}` may be {} tubes", several.len()));
            let names: Vec<String> = several.iter().map(called).collect();
            notes.fault(fault.expected(format!("write one of them: {}", or(&names))));
            return None;
        }
    }
    // A metric diameter that is not sold, or not with that wall.
    if let tubes @ [_, ..] = refdata::metric_tubes(name).as_slice() {
        let walls: Vec<String> = tubes.iter().map(called).collect();
        notes.fault(Fault::new(span.clone(), format!("no tube is called `{name}`")).expected(or(&walls)));
        return None;
    }
    if let Some((nominal, tube)) = refdata::by_outside(name) {
        let fault = Fault::new(span.clone(), format!("`{name}` is a plumber's nominal size"));
        let says = format!("tubes go by their outside diameter: {nominal} nominal is `{}`", tube.name);
        notes.fault(fault.expected(says).mend(span.clone(), quoted(&tube.name)));
        return None;
    }
    notes.unknown(span, "tube", name, all().map(|tube| tube.name.as_str()), "`roofrun list tubes` names them all");
    None
}

/// The tubes of a run, smallest bore first, and whether they are left open.
pub(super) fn tubes(
    notes: &mut Notes<'_>,
    table: &Table<'_>,
    known: &Known,
    is_part: bool,
    of_line: Option<&Laid>,
) -> Option<(Vec<Tube>, bool)> {
    let Some(entry) = table.get("tube") else { return of_line.map(|laid| (vec![laid.tube.clone()], laid.open)) };
    let DeValue::Array(array) = entry.value else {
        return laid(notes, entry.value, &entry.span, known).map(|laid| (vec![laid.tube], laid.open));
    };
    if is_part {
        notes.fault(Fault::new(entry.span, "a part in parallel tubes").expected("one tube"));
        return None;
    }
    if array.is_empty() || array.len() > MAXIMUM_TUBES {
        let fault = Fault::new(entry.span, format!("{} parallel tubes", array.len()));
        notes.fault(fault.expected(format!("from 1 to {MAXIMUM_TUBES}")));
        return None;
    }
    let tubes: Vec<_> = array.iter().map(|item| tube(notes, item.get_ref(), &item.span(), known)).collect();
    let mut tubes: Vec<Tube> = tubes.into_iter().collect::<Option<_>>()?;
    tubes.sort_by(|a, b| a.bore().value.total_cmp(&b.bore().value));
    Some((tubes, false))
}

/// The fittings of a run, by name.
pub(super) fn fittings(notes: &mut Notes<'_>, table: &Table<'_>) -> Vec<(String, u32)> {
    let Some(entry) = table.get("fittings") else { return Vec::new() };
    let Some(counts) = entry.value.as_table() else {
        let fault = Fault::new(entry.span, "`fittings` is a table of counts");
        notes.fault(fault.expected("such as { elbow = 2, long-elbow = 1 }"));
        return Vec::new();
    };
    let mut fittings = Vec::new();
    for entry in Table::of_names(counts, entry.span).entries() {
        if refdata::fitting(entry.key).is_none() {
            let known = refdata::fittings().iter().map(|f| f.name.as_str());
            notes.unknown(&entry.key_span, "fitting", entry.key, known, "`roofrun list fittings` names them all");
        }
        let count = notes.count_of(entry.key, entry.value, &entry.span, 0, 1_000);
        fittings.extend(count.filter(|c| *c > 0).map(|count| (entry.key.to_owned(), count)));
    }
    fittings
}
