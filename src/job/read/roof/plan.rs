//! Places and sizes on the plan, as they were typed.

use crate::job::Xy;
use crate::job::fault::Fault;
use crate::job::key::{Bounds, Holds};
use crate::job::notes::Notes;
use crate::job::syntax::quoted;
use crate::job::table::{Entry, Table};
use crate::units::{Kind, quantity};
use std::ops::Range;
use toml::de::{DeArray, DeValue};

/// A pair of lengths as it was typed.
#[derive(Clone, Debug)]
pub(super) struct Typed {
    pub place: Xy,
    /// Of both lengths.
    pub span: Range<usize>,
    /// Of each.
    pub spans: [Range<usize>; 2],
}

/// A list that is not beyond all measure.
pub(super) fn list<'a>(
    notes: &mut Notes<'_>,
    entry: &Entry<'a>,
    such: &str,
    maximum: usize,
) -> Option<&'a DeArray<'a>> {
    let array = notes.array(entry, such)?;
    if array.len() <= maximum {
        return Some(array);
    }
    let fault = Fault::new(entry.span.clone(), format!("`{}` has {} entries", entry.key, array.len()));
    notes.fault(fault.expected(format!("no more than {maximum}")));
    None
}

/// Two lengths: a place, or a size.
pub(super) fn pair(notes: &mut Notes<'_>, table: &Table<'_>, key: &str) -> Option<Typed> {
    let Holds::Pair(bounds) = notes.key(table, key)?.holds else { return notes.no_such(table, key) };
    let entry = table.get(key)?;
    pair_of(notes, key, entry.value, &entry.span, bounds)
}

/// The same of a value anywhere.
pub(super) fn pair_of(
    notes: &mut Notes<'_>,
    key: &str,
    value: &DeValue<'_>,
    span: &Range<usize>,
    bounds: Bounds,
) -> Option<Typed> {
    let Some(array) = value.as_array() else {
        let example = Kind::Length.example(notes.system);
        let fault = Fault::new(span.clone(), format!("`{key}` is a pair of lengths, along x and along y"));
        // Both in one text.
        let reads = |text: &str| quantity(text.trim(), Kind::Length, notes.system, notes.atmosphere_Pa).is_ok();
        let both = value.as_str().and_then(|text| text.split_once(',')).filter(|(x, y)| reads(x) && reads(y));
        notes.fault(match both {
            Some((x, y)) => fault.mend(span.clone(), format!("[{}, {}]", quoted(x.trim()), quoted(y.trim()))),
            None => fault.expected(format!("such as [\"{example}\", \"{example}\"]")),
        });
        return None;
    };
    if array.len() != 2 {
        let says = match array.len() {
            0 => format!("`{key}` is empty"),
            1 => format!("`{key}` has one length"),
            more => format!("`{key}` has {more} lengths"),
        };
        notes.fault(Fault::new(span.clone(), says).expected("two of them, along x and along y"));
        return None;
    }
    let mut lengths =
        array.iter().map(|item| notes.quantity_of(key, item.get_ref(), &item.span(), Kind::Length, bounds));
    let (x, y) = (lengths.next().flatten(), lengths.next().flatten());
    let mut spans = array.iter().map(toml::Spanned::span);
    let spans = [spans.next()?, spans.next()?];
    Some(Typed { place: Xy { x_m: x?, y_m: y? }, span: span.clone(), spans })
}
