//! What a unit weighs, and what each of its supports may carry.

use crate::job::Weight;
use crate::job::fault::Fault;
use crate::job::notes::Notes;
use crate::job::read::roof::plan::list;
use crate::job::table::Table;
use crate::units::Kind;

/// Weight without refrigerant.
pub(super) fn weight(notes: &mut Notes<'_>, table: &Table<'_>) -> Option<Weight> {
    let (total, supports) = (notes.get(table, "weight"), notes.count(table, "supports"));
    let each = each(notes, table);
    if let Some(entry) = table.get("weights") {
        if table.has("weight") {
            let fault = Fault::new(entry.key_span, "`weight` and `weights` are both given");
            notes.fault(fault.expected("the whole with `supports`, or the fraction of each support"));
            return None;
        }
        let each = each?;
        if let Some(supports) = supports
            && usize::try_from(supports) != Ok(each.len())
        {
            let count = each.len();
            let fault = Fault::new(table.span_of("supports"), format!("`supports` is not the {count} of `weights`"));
            notes.fault(fault.mend(table.span_of("supports"), count.to_string()));
        }
        return Some(Weight::Each(each));
    }
    match (table.get("weight"), table.get("supports")) {
        (Some(entry), None) => {
            let fault = Fault::new(entry.key_span, "`weight` without `supports`");
            notes.structural(fault.expected("their number; or `weights`, the load on each"));
        }
        (None, Some(entry)) => {
            let fault = Fault::new(entry.key_span, "`supports` without `weight`");
            notes.structural(fault.expected("`weight` belongs with it"));
        }
        _ => {}
    }
    Some(Weight::Total { kg: total?, supports: supports? })
}

fn each(notes: &mut Notes<'_>, table: &Table<'_>) -> Option<Vec<f64>> {
    let entry = table.get("weights")?;
    let example = Kind::Mass.example(notes.system);
    let array = list(notes, &entry, &format!("\"{example}\", … one for each support"), 500)?;
    if array.is_empty() {
        notes.fault(Fault::new(entry.span, "`weights` is empty").expected("one for each support"));
        return None;
    }
    notes.list_of(table, "weights", array).into_iter().collect()
}
