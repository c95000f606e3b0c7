//! The findings: what fails, then cautions and notes, the gravest first; then what passed.

use super::screenful::{self, place_or_point};
use crate::job::{Circuit, HeadControl, Job};
use crate::layout::{Grid, Sheet, heading, style};
use crate::remedies::Remedy;
use crate::report::change::sentence;
use crate::report::first::{First, Pass, Row};
use crate::report::order::{Bound, bound};
use crate::report::remedy::aside;
use crate::report::row::{
    blind, bounded, brief_source, circuits_named, found, how_read, left, place, place_and_time, source,
};
use crate::rules::{Measure, Verdict};
use crate::survey::{CircuitSurvey, PointId};
use crate::units::{System, factor};
use std::collections::HashSet;

/// Where the sentences of a finding begin.
const INDENT: usize = 4;

/// Where what follows `Remedy` or `Source` begins.
const LABELLED: usize = INDENT + 8;

/// So many rules that could not look for one reason are named.
const NAMED: usize = 6;

/// Title and site: its altitude, the design day and the coldest day.
pub fn title(sheet: &mut Sheet, job: &Job) {
    let (units, site) = (job.units, &job.site);
    let with = format!(
        "{}, {} and {}",
        units.length(whole(units, site.altitude.value)),
        units.temperature(site.summer.kelvin()),
        units.temperature(site.winter.kelvin())
    );
    sheet.ends((&job.title, style::STRONG), (&with, style::PLAIN));
}

/// A height over the sea to the whole foot or metre.
fn whole(units: System, metres: f64) -> f64 {
    let unit = if units == System::Ip { factor::FOOT } else { 1.0 };
    (metres / unit).round() * unit
}

/// All findings that are no pass, then what could not be judged. `full` tells them whole, every remedy, and what passed.
pub(crate) fn all(sheet: &mut Sheet, job: &Job, first: &First, full: bool) {
    sheet.space();
    let mut told: HashSet<(&str, String)> = HashSet::new();
    // Beside failures, cautions and notes are as short as can be.
    let brief = !full && first.tabled() == Verdict::Fail;
    let noted = |row: &&Row| brief && row.finding.verdict == Verdict::Note;
    for row in first.rows.iter().filter(|row| !noted(row)) {
        if full {
            sheet.space();
            whole_finding(sheet, job, row);
        } else {
            // A table above has told its limit.
            let tabled = row.finding.verdict == first.tabled();
            if brief && told_by_numbers(row) {
                let (word, style) = word(row.finding.verdict);
                sheet.run_in(&format!("{:>2} {word}", row.number), style, INDENT, &format!("{}.", in_a_word(job, row)));
            } else {
                short_finding(sheet, job, row, tabled, &mut told);
            }
        }
    }
    let notes: Vec<String> = first.rows.iter().filter(noted).map(|row| in_a_word(job, row)).collect();
    if let Some((number, last)) = first.rows.iter().rfind(noted).map(|row| row.number).zip(Some(notes.len())) {
        let numbers = if last > 1 { format!("{}-{number}", number + 1 - last) } else { format!("{number:>2}") };
        sheet.run_in(&format!("{numbers} NOTE"), style::NOTE, INDENT, &format!("{}.", notes.join("; ")));
    }
    let most = if full { usize::MAX } else { NAMED };
    if full {
        sheet.space();
    }
    // Beside failures, what the first screen has named as not judged is not told again.
    let named = brief && first.unjudged.len() + first.blind.len() <= screenful::NAMED;
    for said in blind(job, first, most).into_iter().filter(|_| !named) {
        sheet.run_in("   NOT JUDGED", style::NOTE, INDENT, &said);
    }
    if full {
        passed(sheet, job, &first.passed);
    }
}

/// Whether there is something to measure. That a thing is not there is said, not counted.
fn measured(row: &Row) -> bool {
    row.finding.measure.is_some_and(|measure| measure.value.abs() > 0.0)
}

/// Whether its numbers tell a caution: what is within its limit is one for a reason that no number shows.
fn told_by_numbers(row: &Row) -> bool {
    let off = |measure: Measure| match (bound(row.finding), measure.limit) {
        (Some(Bound::Min), Some(limit)) => measure.value < limit,
        (Some(Bound::Max), Some(limit)) => measure.value > limit,
        _ => false,
    };
    row.finding.verdict == Verdict::Caution && measured(row) && row.finding.measure.is_some_and(off)
}

/// A finding by its rule, place and numbers: `oil-level (disch. 3) 378 fpm, min 500`. A number without a limit says nothing: then its
/// first sentence.
fn in_a_word(job: &Job, row: &Row) -> String {
    let finding = row.finding;
    if finding.measure.is_some_and(|measure| measure.limit.is_none()) {
        let says = finding.text(job);
        return format!("{}: {}", finding.rule, sentences(&says).next().unwrap_or_default().trim_end_matches('.'));
    }
    let place = place_or_point(job, row);
    let place = if place.is_empty() || place.contains(finding.rule) { String::new() } else { format!(" ({place})") };
    let numbers = found(job, finding).into_iter().filter(|words| !words.is_empty()).collect::<Vec<_>>().join(", ");
    let known = how_read(finding).trim_start_matches(", ");
    let known = if known.is_empty() || numbers.is_empty() { String::new() } else { format!(" ({known})") };
    format!("{}{place} {numbers}", finding.rule).trim_end().to_owned() + &known
}

/// The word of a verdict, and how it looks.
fn word(verdict: Verdict) -> (&'static str, anstyle::Style) {
    match verdict {
        Verdict::Fail => ("FAILS", style::FAIL),
        Verdict::Caution => ("CAUTION", style::CAUTION),
        Verdict::Note | Verdict::NotJudged | Verdict::Pass => ("NOTE", style::NOTE),
    }
}

/// A finding in few lines: what it says and whose limit it is; where it fails not, its first sentence and its limit. What of its
/// rule was `told` already, after the first sentence, is not said again.
fn short_finding<'a>(sheet: &mut Sheet, job: &Job, row: &Row<'a>, tabled: bool, told: &mut HashSet<(&'a str, String)>) {
    let (word, style) = word(row.finding.verdict);
    let fails = row.finding.verdict == Verdict::Fail;
    let rule = row.finding.rule;
    let says = row.finding.text(job);
    let mut sentences = sentences(&says);
    let first = sentences.next().unwrap_or_default();
    let more: Vec<&str> = sentences.filter(|more| told.insert((rule, (*more).to_owned())) && fails).collect();
    let said = std::iter::once(first).chain(more).collect::<Vec<_>>().join(" ");
    // The circuit is named where there are several; the place the sentence or the table above has told.
    let of = if job.circuits.len() > 1 { circuits_named(job, &row.circuits) } else { String::new() };
    let named = of.is_empty() || said.contains(&format!("circuit {of}"));
    let of = if named { String::new() } else { format!(", {of}") };
    // Its limit, unless a table or the sentence has told it.
    let limit = bounded(job, row.finding).filter(|limit| !tabled && measured(row) && !says_number(&said, limit));
    // Of what no table has told, only how its source was read.
    let read = how_read(row.finding).trim_start_matches(", ");
    let source = if tabled { brief_source(row.finding) } else { Some(read.to_owned()).filter(|read| !read.is_empty()) };
    let source = source.filter(|source| told.insert((rule, source.clone())));
    let beside: Vec<String> = limit.into_iter().chain(source).collect();
    let beside = if beside.is_empty() { String::new() } else { format!(" ({})", beside.join("; ")) };
    sheet.run_in(&format!("{:>2} {word}", row.number), style, INDENT, &format!("{rule}{of}: {said}{beside}"));
}

/// Whether a sentence tells the number of a limit.
fn says_number(said: &str, limit: &str) -> bool {
    let number = |word: &str| word.trim_end_matches(['.', ',', ';', ':', ')']).parse::<f64>().ok();
    let of = limit.split_whitespace().find_map(number);
    of.is_some() && said.split_whitespace().filter_map(number).any(|said| Some(said) == of)
}

/// The sentences of a text: each up to the stop before a capital or a number.
fn sentences(text: &str) -> impl Iterator<Item = &str> {
    let mut rest = Some(text).filter(|text| !text.is_empty());
    std::iter::from_fn(move || {
        let all = rest.take()?;
        let begins = |at: usize| all.get(at + 2..).and_then(|next| next.chars().next());
        let begins = |at| begins(at).is_some_and(|next| next.is_uppercase() || next.is_ascii_digit());
        let end = all.match_indices(". ").map(|(at, _)| at).find(|at| begins(*at));
        rest = end.and_then(|at| all.get(at + 2..));
        end.and_then(|at| all.get(..=at)).or(Some(all))
    })
}

/// A finding: its number, verdict and place, what it says, what would mend it, whose limit it is.
fn whole_finding(sheet: &mut Sheet, job: &Job, row: &Row) {
    let (word, style) = word(row.finding.verdict);
    let says = row.finding.text(job);
    let when = row.finding.when.as_ref().map(|when| when.text(job));
    let words = [Some(place(job, row.finding, &row.circuits)), when];
    let words = words.into_iter().flatten().filter(|words| !words.is_empty() && !says.contains(words.as_str()));
    let head: Vec<String> = std::iter::once(row.finding.rule.to_owned()).chain(words).collect();
    let label = format!("{:>2}  {word}", row.number);
    sheet.labelled(0, &label, style, label.len() + 2, &head.join(", "));
    sheet.paragraph(INDENT, &says);
    for (number, remedy) in row.remedies.iter().enumerate() {
        let label = if number == 0 { "Remedy" } else { "Or" };
        sheet.labelled(INDENT, label, style::STRONG, LABELLED, &said(job, remedy));
    }
    if row.remedies.is_empty() && row.finding.verdict == Verdict::Fail {
        sheet.labelled(INDENT, "Remedy", style::STRONG, LABELLED, "none known by itself");
    }
    sheet.labelled(INDENT, "Source", style::QUIET, LABELLED, &source(row.finding));
}

/// What passed, each with its value, limit and margin.
fn passed(sheet: &mut Sheet, job: &Job, passes: &[Pass]) {
    if passes.is_empty() {
        return;
    }
    heading(sheet, "Passed");
    let mut grid = Grid::new().whole("check").left("where").whole("found").whole("limit").whole("margin");
    for pass in passes {
        let [found, limit] = found(job, pass.finding);
        let margin = pass.margin.and_then(|_| left(job, pass.finding)).unwrap_or_default();
        let at = place_and_time(job, pass.finding, &pass.circuits);
        grid.row(vec![pass.finding.rule.to_owned(), at, found, limit, margin]);
    }
    sheet.table(1, &grid.without_empty_columns());
}

/// A remedy in a line, with what it does to other rules.
fn said(job: &Job, remedy: &Remedy) -> String {
    format!("{}.{}", sentence(job, &remedy.changes), aside(&remedy.effect))
}

/// A circuit in a line: `R-410A, 40.0 tons, condenser 38 ft above the chiller`.
pub(crate) fn circuit_line(units: System, circuit: &Circuit, solved: &CircuitSurvey) -> String {
    let above = circuit.condenser.elevation.value;
    let place = if above.abs() < 0.01 {
        "condenser level with the chiller".to_owned()
    } else {
        let side = if above > 0.0 { "above" } else { "below" };
        format!("condenser {} {side} the chiller", units.length(above.abs()))
    };
    let capacity = solved.point(PointId::Rating).map(|point| format!(", {}", units.capacity(point.capacity_W)));
    let copies = if circuit.copies > 1 { format!(", {} identical", circuit.copies) } else { String::new() };
    let control = match circuit.condenser.head_control {
        HeadControl::None => ", no head control",
        HeadControl::Fans { .. } => ", head control by fans",
        HeadControl::Flooding { .. } => ", head control by flooding",
    };
    format!("{}{}{copies}, {place}{control}", circuit.refrigerant, capacity.unwrap_or_default())
}
