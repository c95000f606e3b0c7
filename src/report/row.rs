//! A finding in the words of a row, for text and page: where, what was found, its limit, what is left to it, its source.

use super::first::First;
use super::order::{Bound, bound};
use crate::job::{Job, LineId};
use crate::refdata::Known;
use crate::rules::{Finding, Place, Source, When};
use crate::units::Kind;
use crate::units::words::and;

/// Rules that could not look, those that say the same together; more than `most` by their count.
pub(crate) fn blind(job: &Job, first: &First, most: usize) -> Vec<String> {
    let mut told: Vec<(Vec<&str>, String)> = Vec::new();
    for (finding, circuits) in &first.blind {
        let of = if job.circuits.len() > 1 { circuits_named(job, circuits) } else { String::new() };
        let says = if of.is_empty() { finding.text(job) } else { format!("{} ({of})", finding.text(job)) };
        match told.iter_mut().find(|(_, known)| *known == says) {
            Some((rules, _)) if !rules.contains(&finding.rule) => rules.push(finding.rule),
            Some(_) => {}
            None => told.push((vec![finding.rule], says)),
        }
    }
    let of = |rules: &[&str]| if rules.len() > most { format!("{} checks", rules.len()) } else { rules.join(", ") };
    told.into_iter().map(|(rules, says)| format!("{}: {says}", of(&rules))).collect()
}

/// Where, with the circuit's name where there are several.
pub(crate) fn place(job: &Job, finding: &Finding, circuits: &[usize]) -> String {
    let place = finding.place.as_ref().map(|place| place.text(job));
    let named = (job.circuits.len() > 1).then(|| circuits_named(job, circuits)).filter(|named| !named.is_empty());
    let words: Vec<String> = named.into_iter().chain(place).collect();
    words.join(", ")
}

/// The same, and the time of day or the wind, where the place has another finding without it; the operating point, where there is no
/// place.
pub(crate) fn place_and_time(job: &Job, finding: &Finding, circuits: &[usize]) -> String {
    let time = time(job, finding);
    [place(job, finding, circuits)]
        .into_iter()
        .filter(|place| !place.is_empty())
        .chain(time)
        .collect::<Vec<_>>()
        .join(", ")
}

/// When, where the place does not tell a finding from others of its rule.
pub(crate) fn time(job: &Job, finding: &Finding) -> Option<String> {
    let when = finding.when.as_ref()?;
    let tells = finding.place.is_none() || matches!(when, When::Day | When::Night | When::Wind);
    tells.then(|| when.text(job))
}

/// Circuits by name; all of them in two words.
pub(crate) fn circuits_named(job: &Job, circuits: &[usize]) -> String {
    if circuits.len() > 1 && circuits.len() == job.circuits.len() {
        return "every circuit".to_owned();
    }
    let names = circuits.iter().filter_map(|index| job.circuits.get(*index)).map(|circuit| circuit.name.as_str());
    and(&names.collect::<Vec<&str>>())
}

/// What was found, and its limit with its bound, whose unit stands once.
pub(crate) fn found(job: &Job, finding: &Finding) -> [String; 2] {
    let [found, limit] = in_full(job, finding);
    let unit = found.find(' ').and_then(|at| found.get(at..)).unwrap_or_default();
    let limit = limit.strip_suffix(unit).unwrap_or(&limit).to_owned();
    [found, limit]
}

/// The limit with its bound and its unit, unless it only says from where on something is required.
pub(crate) fn bounded(job: &Job, finding: &Finding) -> Option<String> {
    let [_, limit] = in_full(job, finding);
    Some(limit).filter(|_| matches!(bound(finding), Some(Bound::Min | Bound::Max)))
}

fn in_full(job: &Job, finding: &Finding) -> [String; 2] {
    let atmosphere = job.site.atmosphere.pascals();
    let Some(measure) = finding.measure else { return [String::new(), String::new()] };
    let Some(limit) = measure.limit else {
        return [measure.kind.show(job.units, measure.value, atmosphere), String::new()];
    };
    let [found, limit] = measure.kind.show_apart(job.units, [measure.value, limit], atmosphere);
    let limit = as_many_digits(&found, &limit);
    let word = match bound(finding) {
        Some(Bound::Min) => "min ",
        Some(Bound::Max) => "max ",
        Some(Bound::Past) => "from ",
        None => "",
    };
    [found, format!("{word}{limit}")]
}

/// A number and what follows it.
fn numbered(text: &str) -> Option<(&str, &str)> {
    let (number, rest) = text.split_at(text.find(' ').unwrap_or(text.len()));
    number.parse::<f64>().is_ok().then_some((number, rest))
}

fn decimals(number: &str) -> usize {
    number.split_once('.').map_or(0, |(_, decimals)| decimals.len())
}

/// A number with as many decimals as another has: `4 F` beside `3.3 F` is `4.0 F`.
fn as_many_digits(beside: &str, text: &str) -> String {
    match (numbered(beside), numbered(text)) {
        (Some((of, _)), Some((number, rest))) if decimals(of) > decimals(number) => {
            let point = if number.contains('.') { "" } else { "." };
            format!("{number}{point}{}{rest}", "0".repeat(decimals(of) - decimals(number)))
        }
        _ => text.to_owned(),
    }
}

/// What is left to the limit, where one is not to be passed: as far as the two are shown apart, in the unit in which they are.
pub(crate) fn left(job: &Job, finding: &Finding) -> Option<String> {
    let limit = bounded(job, finding)?;
    let [found, _] = in_full(job, finding);
    let (bare, found) = (numbered(limit.split_once(' ')?.1)?, numbered(&found)?);
    let digits = decimals(found.0).max(decimals(bare.0));
    let [value, limit] = [found.0, bare.0].map(str::parse::<f64>);
    let unit = match finding.measure?.kind {
        // A difference of gauge pressures is no gauge pressure.
        Kind::Pressure | Kind::Rating => found.1.trim_end_matches('g'),
        Kind::Temperature => job.units.difference_unit(),
        _ => found.1,
    };
    Some(format!("{:.digits$} {}", (value.ok()? - limit.ok()?).abs(), unit.trim_start()).trim_end().to_owned())
}

/// The source by its key, and how it was read where it was not seen; none where the limit is the job's own or the balance's.
pub(crate) fn brief_source(finding: &Finding) -> Option<String> {
    match &finding.source {
        Source::Published(key) => Some(format!("{key}{}", how_read(finding))),
        Source::OwnLimit => Some("the job's limit".to_owned()),
        Source::Job(_) | Source::Balance | Source::Weather => None,
    }
}

/// The source, and how it was read where it was not seen.
pub(crate) fn source(finding: &Finding) -> String {
    let how = how_read(finding);
    if how.is_empty() {
        finding.source.text()
    } else {
        format!("{} ({})", finding.source.text(), how.trim_start_matches(", "))
    }
}

/// How the source of a limit was read, where it was not seen: `, from memory`.
pub(crate) fn how_read(finding: &Finding) -> &'static str {
    match finding.source.published().map(|source| source.known) {
        Some(Known::Memory) => ", from memory",
        Some(Known::Secondary) => ", second hand",
        _ => "",
    }
}

/// Where, as short as a column wants it: `disch. 1, 3`, `liquid 2-6`.
pub(crate) fn brief_place(job: &Job, finding: &Finding, circuits: &[usize]) -> String {
    let place = finding.place.as_ref().map(|place| match place {
        Place::Line(of) => brief_line(*of).to_owned(),
        Place::Runs(of, runs) => brief_runs(*of, runs),
        Place::Lines(lines) => {
            let of = lines.iter().map(|(of, runs)| brief_runs(*of, runs));
            of.collect::<Vec<_>>().join(", ")
        }
        // Who hears it, and what is crossed, have names of their own.
        other @ (Place::Listener(_) | Place::Crossing(_)) => {
            other.text(job).split_once(' ').map_or_else(String::new, |(_, name)| name.to_owned())
        }
        other => other.text(job),
    });
    let named = (job.circuits.len() > 1).then(|| circuits_named(job, circuits)).filter(|named| !named.is_empty());
    named.into_iter().chain(place).collect::<Vec<_>>().join(", ")
}

fn brief_line(line: LineId) -> &'static str {
    match line {
        LineId::Discharge => "disch.",
        LineId::Liquid => "liquid",
    }
}

/// Runs of a line, by number from 1, as short as a column wants them.
pub(crate) fn brief_runs(line: LineId, runs: &[usize]) -> String {
    format!("{} {}", brief_line(line), ranges(runs))
}

/// Numbers in ranges: `1, 3`, `2-6`.
fn ranges(numbers: &[usize]) -> String {
    let mut ranges: Vec<(usize, usize)> = Vec::new();
    for number in numbers {
        match ranges.last_mut() {
            Some((_, last)) if *last + 1 == *number => *last = *number,
            _ => ranges.push((*number, *number)),
        }
    }
    let words =
        ranges.iter().map(|(first, last)| if first == last { first.to_string() } else { format!("{first}-{last}") });
    words.collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::{as_many_digits, ranges};

    #[test]
    fn a_limit_has_the_digits_of_what_was_found() {
        assert_eq!(as_many_digits("3.3 F", "4 F"), "4.0 F");
        assert_eq!(as_many_digits("0.67", "1"), "1.00");
        assert_eq!(as_many_digits("301 psig", "610 psig"), "610 psig");
        assert_eq!(as_many_digits("1.05", "2.5"), "2.50");
        assert_eq!(as_many_digits("3.3 F", "none"), "none");
    }

    #[test]
    fn runs_in_a_row_are_a_range() {
        assert_eq!(ranges(&[1, 3]), "1, 3");
        assert_eq!(ranges(&[2, 3, 4, 5, 6]), "2-6");
        assert_eq!(ranges(&[7]), "7");
        assert_eq!(ranges(&[1, 2, 4]), "1-2, 4");
    }
}
