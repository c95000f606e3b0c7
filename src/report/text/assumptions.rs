//! What was assumed, and the cautions that every report ends with.

use super::figure::figure;
use crate::job::{Assumption, Concerns, Job};
use crate::layout::{Grid, Hang, Sheet, heading, style};
use crate::report::safety;
use crate::rules::{self, Look};
use crate::units::words::and;
use unicode_width::UnicodeWidthStr;

/// From this width on, the assumptions stand in a table.
const WIDE: usize = 100;

/// The assumptions that are required by what they are of, those that several circuits share once.
pub fn assumptions(sheet: &mut Sheet, job: &Job, asked: impl Fn(Concerns) -> bool) {
    let mut assumptions = job.assumptions.iter().filter(|assumption| asked(assumption.concerns)).peekable();
    if assumptions.peek().is_none() {
        return;
    }
    heading(sheet, "Assumed, because the job does not say");
    let names: Vec<&str> = job.circuits.iter().map(|circuit| circuit.name.as_str()).collect();
    let mut merged: Vec<(String, Vec<String>, &Assumption)> = Vec::new();
    for assumption in assumptions {
        let (circuit, key) = parts(&assumption.key, &names);
        let same = |other: &&mut (String, Vec<String>, &Assumption)| {
            let (value, of) = (assumption.value, other.2);
            other.0 == key
                && circuit.is_some() != other.1.is_empty()
                && (value.to_bits(), &assumption.unit, &assumption.why, &assumption.source)
                    == (of.value.to_bits(), &of.unit, &of.why, &of.source)
        };
        match merged.iter_mut().find(same) {
            Some(other) => other.1.extend(circuit.map(str::to_owned)),
            None => merged.push((key.to_owned(), circuit.map(str::to_owned).into_iter().collect(), assumption)),
        }
    }
    let wide = sheet.width() >= WIDE;
    let mut grid = Grid::new().whole("key").whole("taken as").left("why").whole("source");
    for (key, circuits, assumption) in merged {
        let circuits = if circuits.is_empty() || circuits.len() == names.len() {
            String::new()
        } else {
            format!(" ({})", and(&circuits))
        };
        let value = match assumption.says.as_str() {
            "" => match assumption.kind {
                Some(kind) => figure(job.units, assumption.value, kind, job.site.atmosphere.pascals()),
                None => format!("{} {}", job.units.ratio(assumption.value), assumption.unit),
            },
            words => words.to_owned(),
        };
        let key = format!("{key}{circuits}");
        if wide {
            grid.row(vec![key, value, assumption.why.clone(), assumption.source.clone()]);
        } else {
            sheet.labelled(1, &key, style::PLAIN, (key.width() + 3).max(28), &value);
            sheet.paragraph(4, &format!("{} ({})", assumption.why, assumption.source));
        }
    }
    if wide {
        sheet.table(1, &grid);
    }
}

/// The limits that the job has changed, of the rules that look at that.
pub fn own_limits(sheet: &mut Sheet, job: &Job, looks: impl Fn(&Look) -> bool) {
    let own = rules::own_limits(job, looks);
    if own.is_empty() {
        return;
    }
    heading(sheet, "The job's own limits");
    for limit in own {
        let [value, default] = [limit.value, limit.default]
            .map(|value| figure(job.units, value, limit.kind, job.site.atmosphere.pascals()));
        sheet.labelled(
            1,
            limit.key,
            style::PLAIN,
            (limit.key.width() + 3).max(28),
            &format!("{value} in place of {default}"),
        );
        sheet.paragraph(4, &format!("{} ({})", limit.says, limit.source));
    }
}

/// The circuit that a key names, and the rest of the key: `circuit 1A condenser.pressure_drop`.
fn parts<'a>(key: &'a str, circuits: &[&str]) -> (Option<&'a str>, &'a str) {
    let Some(rest) = key.strip_prefix("circuit ") else { return (None, key) };
    // The longest name that fits, since a name may hold spaces.
    let fits = |name: &&&str| rest.strip_prefix(**name).is_some_and(|after| after.starts_with(' '));
    match circuits.iter().filter(fits).max_by_key(|name| name.len()) {
        Some(name) => (Some(&rest[..name.len()]), rest[name.len()..].trim_start()),
        None => (None, key),
    }
}

/// The hazards that fit what was checked, a line each.
pub fn hazards(sheet: &mut Sheet, job: &Job) {
    heading(sheet, "Before work starts");
    for (about, line) in safety::lines(job) {
        sheet.styled(Hang { first: 1, rest: 3 }, style::PLAIN, &format!("{about}: {line}"));
    }
}

/// The cautions that fit what was checked.
pub fn cautions(sheet: &mut Sheet, job: &Job) {
    heading(sheet, "Before work starts");
    for (about, caution) in safety::cautions(job) {
        sheet.paragraph(1, &format!("{about}: {caution}"));
    }
    sheet.space();
    sheet.styled(Hang::flush(1), style::STRONG, &safety::who_decides());
}

#[cfg(test)]
mod tests {
    use super::parts;

    #[test]
    fn the_circuit_is_read_out_of_a_key() {
        let circuits = ["1", "1 A"];
        assert_eq!(parts("circuit 1 A condenser.pressure_drop", &circuits), (Some("1 A"), "condenser.pressure_drop"));
        assert_eq!(parts("circuit 1 condenser.pressure_drop", &circuits), (Some("1"), "condenser.pressure_drop"));
        assert_eq!(parts("site.recirculation", &circuits), (None, "site.recirculation"));
        assert_eq!(parts("circuit 2 x", &circuits), (None, "circuit 2 x"));
    }
}
