//! What a run is laid of: its tubes and its fittings.

use super::known::Known;
use crate::job::fault::Fault;
use crate::job::notes::Notes;
use crate::job::syntax::quoted;
use crate::job::table::Table;
use crate::refdata::{self, Tube};
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

/// A tube by its trade name.
pub(super) fn tube(notes: &mut Notes<'_>, value: &DeValue<'_>, span: &Range<usize>, known: &Known) -> Option<Tube> {
    let name = notes.text_of("tube", value, span)?;
    if let Some(tube) = known.tubes.iter().find(|t| t.name == name).or_else(|| refdata::tube(name)) {
        return Some(tube.clone());
    }
    if let tubes @ [_, ..] = refdata::metric_tubes(name).as_slice() {
        let walls: Vec<String> = tubes.iter().map(|tube| format!("`{}`", tube.name)).collect();
        notes.fault(Fault::new(span.clone(), format!("no tube is called `{name}`")).expected(walls.join(" or ")));
        return None;
    }
    let names = refdata::tubes().iter().chain(&known.tubes).map(|t| t.name.as_str());
    // An inch mark after the size is the usual slip.
    let plain = name.replace(['"', '\u{2033}', '\u{201d}'], "");
    if plain != name && names.clone().any(|known| known == plain) {
        let fault = Fault::new(span.clone(), "a tube is called without an inch mark");
        notes.fault(fault.mend(span.clone(), quoted(&plain)));
        return None;
    }
    if let Some((nominal, outside)) = by_outside(&plain) {
        let fault = Fault::new(span.clone(), format!("no tube is called `{plain}`"));
        let says = format!("tubes go by their outside diameter: {nominal} nominal is `{outside}`");
        notes.fault(fault.expected(says).mend(span.clone(), quoted(&outside)));
        return None;
    }
    notes.unknown(span, "tube", &plain, names, "`roofrun list tubes` names them all");
    None
}

/// Kinds of tube that go by their outside diameter; steel goes by its nominal size.
const BY_OUTSIDE: [&str; 3] = ["ACR", "L", "K"];

/// The nominal size of a plumber's name that no outside diameter has, and the tube that is meant: 1/8 in wider outside.
fn by_outside(name: &str) -> Option<(&str, String)> {
    let (size, kind) = name.split_once(' ')?;
    let outside = eighths(size)? + 1;
    let tubes = refdata::tubes().iter().filter(|tube| tube.kind == kind && BY_OUTSIDE.contains(&kind));
    let mut named = tubes.filter_map(|tube| Some((eighths(tube.name.split_once(' ')?.0)?, &tube.name)));
    named.find(|(wide, _)| *wide == outside).map(|(_, name)| (size, name.clone()))
}

/// A size in eighths of an inch: `1-1/4` are ten.
fn eighths(size: &str) -> Option<u32> {
    let (whole, part) = match size.split_once('-') {
        Some((whole, part)) => (whole.parse::<u32>().ok()?, part),
        None if size.contains('/') => (0, size),
        None => (size.parse::<u32>().ok()?, "0/1"),
    };
    let (over, under) = part.split_once('/')?;
    let (over, under) = (over.parse::<u32>().ok()?, under.parse::<u32>().ok().filter(|under| *under > 0)?);
    let scaled = over.checked_mul(8)?;
    (whole < 100 && scaled % under == 0).then(|| whole * 8 + scaled / under)
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

#[cfg(test)]
mod tests {
    use super::by_outside;

    #[test]
    fn a_plumbers_name_is_the_tube_an_eighth_wider_outside() {
        for (nominal, outside) in
            [("1-1/4 L", "1-3/8 L"), ("1 K", "1-1/8 K"), ("2-1/2 L", "2-5/8 L"), ("4 L", "4-1/8 L"), ("1/4 K", "3/8 K")]
        {
            assert_eq!(by_outside(nominal).map(|(_, name)| name).as_deref(), Some(outside));
        }
        for other in ["1-7/8 Sch40", "1-1/4", "x L", "1/0 L", "99 L", "1-1/16 L", "4294967295 L", "-1 L", ""] {
            assert_eq!(by_outside(other), None, "{other}");
        }
    }
}
