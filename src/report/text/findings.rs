//! The verdict and the findings: what fails, then cautions and notes, then what holds.

use super::points;
use crate::job::{Circuit, HeadControl, Job};
use crate::layout::{Hang, Sheet, heading, style};
use crate::remedies::Remedy;
use crate::report::answer::Answer;
use crate::report::remedy::{aside, sentence};
use crate::rules::{Finding, Verdict};
use crate::survey::{CircuitSurvey, PointId};
use crate::units::words::and;
use crate::units::{System, factor};
use unicode_width::UnicodeWidthStr;

/// Where the sentences of a finding begin.
const INDENT: usize = 4;

/// Title, site, verdict and tally.
pub(super) fn verdict(sheet: &mut Sheet, answer: &Answer) {
    title(sheet, answer.job);
    sheet.space();
    let (words, style) = match answer.verdict {
        Verdict::Fail => ("Does not work as drawn", style::FAIL),
        Verdict::Caution => ("Works as drawn, with cautions", style::CAUTION),
        Verdict::Pass | Verdict::NotJudged | Verdict::Note => ("Works as drawn", style::PASS),
    };
    sheet.ends((words, style), (&tally(&answer.findings), style::PLAIN));
}

/// Title and site.
pub fn title(sheet: &mut Sheet, job: &Job) {
    let (units, site) = (job.units, &job.site);
    sheet.styled(Hang::flush(0), style::STRONG, &job.title);
    sheet.paragraph(
        0,
        &format!(
            "{}, design day {}, coldest day {}",
            units.length(whole(units, site.altitude.value)),
            units.temperature(site.summer.kelvin()),
            units.temperature(site.winter.kelvin())
        ),
    );
}

/// How many findings of each verdict: `1 fail, 2 cautions, 33 pass`.
#[must_use]
pub fn tally(findings: &[Finding]) -> String {
    let told = |(verdict, one, many)| match findings.iter().filter(|finding| finding.verdict == verdict).count() {
        0 => None,
        1 => Some(format!("1 {one}")),
        n => Some(format!("{n} {many}")),
    };
    let verdicts = [
        (Verdict::Fail, "fail", "fails"),
        (Verdict::Caution, "caution", "cautions"),
        (Verdict::Note, "note", "notes"),
        (Verdict::NotJudged, "not judged", "not judged"),
        (Verdict::Pass, "pass", "pass"),
    ];
    verdicts.into_iter().filter_map(told).collect::<Vec<_>>().join(", ")
}

/// A height over the sea to the whole foot or metre.
fn whole(units: System, metres: f64) -> f64 {
    let unit = if units == System::Ip { factor::FOOT } else { 1.0 };
    (metres / unit).round() * unit
}

/// Findings that say the same about one or more circuits; none for the plant.
struct Group<'a> {
    circuits: Vec<&'a str>,
    finding: &'a Finding,
    remedies: &'a [Remedy],
}

/// All findings: circuit by circuit, the worst first, and those that several circuits share once.
pub(super) fn all(sheet: &mut Sheet, answer: &Answer) {
    let groups = groups(answer);
    section(sheet, answer, &groups, None, "The plant");
    for (index, (circuit, solved)) in answer.circuits().enumerate() {
        sheet.space();
        let line = circuit_line(answer.job.units, circuit, solved);
        sheet.labelled(0, &circuit.name, style::STRONG, circuit.name.width() + 2, &line);
        points::unsolved(sheet, answer, index, solved);
        for group in worst_first(&groups).filter(|group| group.circuits == [circuit.name.as_str()]) {
            finding(sheet, answer.job, group.finding, group.remedies, None);
        }
        holds(sheet, &answer.findings, |finding| finding.circuit == Some(index));
    }
    let mut shared: Vec<&[&str]> = Vec::new();
    for group in groups.iter().filter(|group| group.circuits.len() > 1) {
        if !shared.contains(&group.circuits.as_slice()) {
            shared.push(&group.circuits);
        }
    }
    for circuits in shared {
        let title = if circuits.len() == answer.job.circuits.len() {
            "Every circuit".to_owned()
        } else {
            format!("Circuits {}", and(circuits))
        };
        section(sheet, answer, &groups, Some(circuits), &title);
    }
}

/// A section of the groups of exactly those circuits; nothing where there are none.
fn section(sheet: &mut Sheet, answer: &Answer, groups: &[Group], circuits: Option<&[&str]>, title: &str) {
    let circuits = circuits.unwrap_or(&[]);
    let of_the_plant = |finding: &Finding| finding.circuit.is_none();
    let passes = if circuits.is_empty() { rules_that_hold(&answer.findings, of_the_plant) } else { None };
    let mut members = worst_first(groups).filter(|group| group.circuits == circuits).peekable();
    if members.peek().is_none() && passes.is_none() {
        return;
    }
    heading(sheet, title);
    for group in members {
        finding(sheet, answer.job, group.finding, group.remedies, None);
    }
    if circuits.is_empty() {
        holds(sheet, &answer.findings, of_the_plant);
    }
}

fn groups<'a>(answer: &'a Answer) -> Vec<Group<'a>> {
    let mut groups: Vec<Group> = Vec::new();
    let told = |finding: &Finding, remedies: &[Remedy]| {
        let remedies: Vec<String> = remedies.iter().map(|remedy| said(answer.job, remedy)).collect();
        (finding.text(answer.job), remedies)
    };
    for (finding, remedies) in answer.mended().filter(|(finding, _)| finding.verdict != Verdict::Pass) {
        let circuit =
            finding.circuit.and_then(|index| answer.job.circuits.get(index)).map(|circuit| circuit.name.as_str());
        let Some(circuit) = circuit else {
            groups.push(Group { circuits: Vec::new(), finding, remedies });
            continue;
        };
        let same = |group: &&mut Group| {
            let other = group.finding;
            !group.circuits.is_empty()
                && !group.circuits.contains(&circuit)
                && (other.rule, other.verdict) == (finding.rule, finding.verdict)
                && told(other, group.remedies) == told(finding, remedies)
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.circuits.push(circuit),
            None => groups.push(Group { circuits: vec![circuit], finding, remedies }),
        }
    }
    groups
}

fn worst_first<'a>(groups: &'a [Group<'a>]) -> impl Iterator<Item = &'a Group<'a>> {
    [Verdict::Fail, Verdict::Caution, Verdict::Note, Verdict::NotJudged]
        .into_iter()
        .flat_map(move |verdict| groups.iter().filter(move |group| group.finding.verdict == verdict))
}

/// The rules that hold in everything they say of what is asked about, in a paragraph; nothing where there are none.
pub fn holds(sheet: &mut Sheet, findings: &[Finding], about: impl Fn(&Finding) -> bool) {
    if let Some(rules) = rules_that_hold(findings, about) {
        sheet.space();
        sheet.labelled(0, "Holds", style::PASS, 7, &rules);
    }
}

fn rules_that_hold(findings: &[Finding], about: impl Fn(&Finding) -> bool) -> Option<String> {
    let mut rules: Vec<&str> = Vec::new();
    for finding in findings.iter().filter(|f| about(f)) {
        let holds = findings.iter().all(|f| f.rule != finding.rule || !about(f) || f.verdict == Verdict::Pass);
        if holds && !rules.contains(&finding.rule) {
            rules.push(finding.rule);
        }
    }
    (!rules.is_empty()).then(|| rules.join(", "))
}

/// One finding: its label and place, what it says, what would mend it, whose limit it is. Under a heading that does not name
/// its circuit, `circuit` does.
pub fn finding(sheet: &mut Sheet, job: &Job, finding: &Finding, remedies: &[Remedy], circuit: Option<&str>) {
    let (label, style) = match finding.verdict {
        Verdict::Fail => ("FAIL", style::FAIL),
        Verdict::Caution => ("CAUTION", style::CAUTION),
        Verdict::Note => ("NOTE", style::NOTE),
        Verdict::NotJudged => ("NOT JUDGED", style::NOTE),
        Verdict::Pass => ("HOLDS", style::PASS),
    };
    let says = finding.text(job);
    sheet.space();
    let place = finding.place.as_ref().map(|place| place.text(job));
    let when = finding.when.as_ref().map(|when| when.text(job));
    let new = place.into_iter().chain(when).filter(|words| !says.contains(words.as_str()));
    let circuit = circuit.map(|name| format!("circuit {name}"));
    let place: Vec<String> = std::iter::once(finding.rule.to_owned()).chain(circuit).chain(new).collect();
    sheet.labelled(0, label, style, label.len() + 2, &place.join(", "));
    sheet.paragraph(INDENT, &says);
    for (number, remedy) in remedies.iter().enumerate() {
        let label = if number == 0 { "Remedy:" } else { "Or:" };
        sheet.labelled(INDENT, label, style::STRONG, INDENT + 8, &said(job, remedy));
    }
    if remedies.is_empty() && finding.verdict == Verdict::Fail {
        sheet.labelled(INDENT, "Remedy:", style::STRONG, INDENT + 8, "none known by itself");
    }
    sheet.styled(Hang::flush(INDENT), style::QUIET, &finding.source.text());
}

/// A remedy in a line, with what it does to other rules.
fn said(job: &Job, remedy: &Remedy) -> String {
    format!("{}.{}", sentence(job, &remedy.changes), aside(&remedy.effect))
}

/// A circuit in a line: `R-410A, 40.0 ton, condenser 38 ft above the machine`.
pub(crate) fn circuit_line(units: System, circuit: &Circuit, solved: &CircuitSurvey) -> String {
    let above = circuit.condenser.elevation.value;
    let place = if above.abs() < 0.01 {
        "condenser level with the chiller".to_owned()
    } else {
        let side = if above > 0.0 { "above" } else { "below" };
        format!("condenser {} {side} the chiller", units.length(above.abs()))
    };
    let capacity = solved.point(PointId::Rating).map(|point| format!(", {}", units.capacity(point.capacity_W)));
    let copies = if circuit.copies > 1 { format!(", {} alike", circuit.copies) } else { String::new() };
    let control = match circuit.condenser.head_control {
        HeadControl::None => ", no head control",
        HeadControl::Fans { .. } => ", head held by fans",
        HeadControl::Flooding { .. } => ", head held by flooding",
    };
    format!("{}{}{copies}, {place}{control}", circuit.refrigerant, capacity.unwrap_or_default())
}
