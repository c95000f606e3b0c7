//! Findings in the words of a page.

use super::piece::held;
use crate::job::Job;
use crate::remedies::Remedy;
use crate::report::first::{First, Pass, Row};
use crate::report::order::{Bound, bound};
use crate::report::row::{found, left, place_and_time, source};
use crate::report::steps;
use crate::rules::{Finding, Verdict};
use crate::units::words::and;

/// What stands first of a finding, in a list and at length.
pub(super) struct Head {
    pub number: usize,
    /// The class of its mark.
    pub shape: &'static str,
    /// The verdict in a word.
    pub verdict: &'static str,
    pub rule: &'static str,
    pub place: String,
    pub found: String,
    pub limit: String,
}

/// A row of the list.
pub(super) struct RowView {
    pub head: Head,
    pub remedy: String,
    /// What still and newly fails with that.
    pub then: String,
}

/// A finding at length.
pub(super) struct Found {
    pub head: Head,
    pub says: String,
    pub remedies: Vec<(&'static str, String)>,
    pub remedy: String,
    pub source: String,
    /// Where it is drawn: the id of its mark, and the words of the link.
    pub drawn: Vec<(String, &'static str)>,
}

/// A finding that passed.
pub(super) struct Passed {
    pub rule: &'static str,
    pub place: String,
    pub found: String,
    pub limit: String,
    pub left: String,
    pub says: String,
}

/// The rows of the list.
pub(super) fn rows(job: &Job, first: &First) -> Vec<RowView> {
    let row = |row: &Row| {
        let head = head(job, row);
        let (remedy, then) = match row.remedies.first() {
            Some(remedy) => (short(job, row.finding, remedy), then(first, row)),
            None if row.finding.verdict == Verdict::Fail => ("none known by itself".to_owned(), String::new()),
            None => (held(&beginning(&row.finding.text(job))), String::new()),
        };
        RowView { head, remedy, then }
    };
    first.rows.iter().map(row).collect()
}

fn head(job: &Job, row: &Row) -> Head {
    let (shape, verdict) = verdict(row.finding.verdict);
    let [found, limit] = found(job, row.finding);
    let place = place_and_time(job, row.finding, &row.circuits);
    Head { number: row.number, shape, verdict, rule: row.finding.rule, place, found, limit }
}

/// The findings at length. `drawn` says by which drawings a finding is marked.
pub(super) fn findings(job: &Job, first: &First, drawn: &dyn Fn(&Row) -> Vec<(String, &'static str)>) -> Vec<Found> {
    first.rows.iter().map(|row| at_length(job, row, drawn(row))).collect()
}

/// A finding at length.
pub(super) fn at_length(job: &Job, row: &Row, drawn: Vec<(String, &'static str)>) -> Found {
    let head = head(job, row);
    let labels = std::iter::once("Remedy").chain(std::iter::repeat("Or"));
    let remedies = row.remedies.iter().zip(labels);
    let mut remedies: Vec<(&str, String)> = remedies.map(|(remedy, label)| (label, whole(job, remedy))).collect();
    if remedies.is_empty() && row.finding.verdict == Verdict::Fail {
        remedies.push(("Remedy", "none known by itself.".to_owned()));
    }
    let when = row.finding.when.as_ref().map(|when| format!(" at {}", when.text(job).trim_start_matches("at ")));
    let says = row.finding.text(job);
    let when = when.filter(|when| !says.contains(when.trim()) && !when.contains(" by ")).unwrap_or_default();
    Found {
        remedy: row.remedies.first().map(|remedy| short(job, row.finding, remedy)).unwrap_or_default(),
        remedies,
        source: format!("{}{when}. Source: {}.", crate::rules::say::capital(head.verdict), source(row.finding)),
        says: held(&says),
        drawn,
        head,
    }
}

/// Passes.
pub(super) fn passed(job: &Job, passes: &[Pass]) -> Vec<Passed> {
    let view = |pass: &Pass| {
        let [found, limit] = found(job, pass.finding);
        let judged = matches!(bound(pass.finding), Some(Bound::Min | Bound::Max));
        let left = left(job, pass.finding).filter(|_| judged).unwrap_or_default();
        let limit = if bound(pass.finding).is_none() { String::new() } else { limit };
        Passed {
            rule: pass.finding.rule,
            place: place_and_time(job, pass.finding, &pass.circuits),
            found,
            limit,
            left,
            says: held(&pass.finding.text(job)),
        }
    };
    passes.iter().map(view).collect()
}

/// The first sentence of what is longer than a row of the list takes.
fn beginning(text: &str) -> String {
    const LONG: usize = 140;
    match text.split_once(". ") {
        Some((first, _)) if text.len() > LONG => format!("{first}."),
        _ => text.to_owned(),
    }
}

/// The class of a mark, and the verdict in a word.
fn verdict(verdict: Verdict) -> (&'static str, &'static str) {
    match verdict {
        Verdict::Fail => ("fails", "fails"),
        Verdict::Caution => ("caution", "caution"),
        Verdict::Note | Verdict::NotJudged | Verdict::Pass => ("note", "note"),
    }
}

/// A remedy in a line; its place left out where it is that of the finding.
fn short(job: &Job, finding: &Finding, remedy: &Remedy) -> String {
    let here = finding.place.as_ref().map(|place| place.text(job)).unwrap_or_default();
    let steps = steps(job, &remedy.changes, false);
    let only_here = steps.iter().all(|(place, _)| *place == here);
    let steps = steps.into_iter().map(|(place, what)| if only_here { what } else { format!("{place}: {what}") });
    held(&steps.collect::<Vec<_>>().join("; ").replace(" -> ", " → "))
}

/// A remedy with all that it does.
fn whole(job: &Job, remedy: &Remedy) -> String {
    let steps = steps(job, &remedy.changes, false).into_iter().map(|(place, what)| format!("{place}: {what}"));
    let steps = steps.collect::<Vec<_>>().join("; ").replace(" -> ", " → ");
    held(&format!("{steps}.{}", crate::report::aside(&remedy.effect)))
}

/// What still and newly fails with the first remedy, by number where it has one.
fn then(first: &First, row: &Row) -> String {
    let Some(remedy) = row.remedies.first() else { return String::new() };
    let numbered = |number: &usize| {
        let rule = first.rows.iter().find(|row| row.number == *number).map_or("", |row| row.finding.rule);
        format!("{rule} ({number})")
    };
    let mut still: Vec<String> = row.remain.iter().map(numbered).collect();
    let unnumbered = |rule: &&&str| {
        !row.remain.iter().any(|n| first.rows.iter().any(|row| row.number == *n && row.finding.rule == **rule))
    };
    still.extend(remedy.effect.still_fails.iter().filter(unnumbered).map(|rule| (*rule).to_owned()));
    let told = |words: &str, names: &[String]| {
        let names: Vec<&str> = names.iter().map(String::as_str).collect();
        let verb = if names.len() == 1 { "fails" } else { "fail" };
        (!names.is_empty()).then(|| format!("{} {words} {verb}", and(&names)))
    };
    let new: Vec<String> = row.newly_fails().iter().map(|rule| (*rule).to_owned()).collect();
    [told("still", &still), told("newly", &new)].into_iter().flatten().collect::<Vec<_>>().join("; ")
}
