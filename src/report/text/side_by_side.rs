//! Answers in a line each, and two answers held against each other.

use crate::layout::{Grid, Hang, Sheet, heading, style};
use crate::report::answer::Answer;
use crate::report::first::First;
use crate::report::row::{found, place};
use crate::rules::{Finding, Verdict};
use crate::survey::PointId;

/// A job in a line: `hall.toml: 2 failures, 1 caution: tube-strength, oil-riser`.
#[must_use]
pub fn brief(answer: &Answer, width: usize) -> String {
    let first = First::of(answer);
    let mut rules: Vec<&str> = Vec::new();
    for row in first.rows.iter().filter(|row| row.finding.verdict == Verdict::Fail) {
        if !rules.contains(&row.finding.rule) {
            rules.push(row.finding.rule);
        }
    }
    let mut sheet = Sheet::new(width);
    let counts = super::screenful::counted(&first);
    let fails = if rules.is_empty() { String::new() } else { format!(": {}", rules.join(", ")) };
    sheet.styled(Hang { first: 0, rest: 2 }, style::PLAIN, &format!("{}: {counts}{fails}", answer.job.file));
    sheet.finish()
}

/// What is cured, what newly fails, what still fails, and what the change does to capacity, power and charge.
#[must_use]
pub fn compared(old: &Answer, new: &Answer, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    let head = format!("{} -> {}", old.job.file, new.job.file);
    sheet.styled(Hang::flush(0), style::STRONG, &head);
    let firsts = [First::of(old), First::of(new)];
    let [before, after] = firsts.each_ref().map(super::screenful::counted);
    sheet.paragraph(0, &format!("before: {before}"));
    sheet.paragraph(0, &format!("after:  {after}"));
    let wrong = |answer: &Answer| -> Vec<String> {
        let wrong = answer.findings.iter().filter(|finding| finding.verdict >= Verdict::Caution);
        wrong.map(|finding| key(answer, finding)).collect()
    };
    let (was, is) = (wrong(old), wrong(new));
    let newly = |finding: &&Finding| finding.verdict >= Verdict::Caution && !was.contains(&key(new, finding));
    let still = |finding: &&Finding| finding.verdict >= Verdict::Caution && was.contains(&key(new, finding));
    let cured = |finding: &&Finding| finding.verdict >= Verdict::Caution && !is.contains(&key(old, finding));
    list(&mut sheet, "Newly wrong", new, &new.findings.iter().filter(newly).collect::<Vec<_>>());
    list(&mut sheet, "Cured", old, &old.findings.iter().filter(cured).collect::<Vec<_>>());
    list(&mut sheet, "Still wrong", new, &new.findings.iter().filter(still).collect::<Vec<_>>());
    circuits(&mut sheet, old, new);
    sheet.space();
    super::screenful::deference(&mut sheet, new.job);
    sheet.finish()
}

/// What makes a finding the same before and after: its verdict, rule, circuit and place.
fn key(answer: &Answer, finding: &Finding) -> String {
    let circuit = finding.circuit.and_then(|index| answer.job.circuits.get(index));
    let place = finding.place.as_ref().map(|place| place.text(answer.job));
    let verdict = if finding.verdict == Verdict::Fail { "fails" } else { "caution" };
    format!(
        "{verdict} {} {} {}",
        finding.rule,
        circuit.map_or("", |circuit| circuit.name.as_str()),
        place.unwrap_or_default()
    )
}

fn list(sheet: &mut Sheet, title: &str, answer: &Answer, findings: &[&Finding]) {
    if findings.is_empty() {
        return;
    }
    heading(sheet, title);
    let mut grid = Grid::new().whole("").whole("check").left("where").whole("found").whole("limit");
    for finding in findings {
        let verdict = if finding.verdict == Verdict::Fail { "fails" } else { "caution" };
        let [found, limit] = found(answer.job, finding);
        let circuits: Vec<usize> = finding.circuit.into_iter().collect();
        let at = place(answer.job, finding, &circuits);
        grid.row(vec![verdict.to_owned(), finding.rule.to_owned(), at, found, limit]);
    }
    sheet.table(1, &grid.without_empty_columns());
}

/// Capacity and power on the design day, and charge, of the circuits that both have.
fn circuits(sheet: &mut Sheet, old: &Answer, new: &Answer) {
    let show = new.job.units;
    let mut grid = Grid::new().whole("circuit").whole("on the design day").right("before").right("after");
    for (circuit, after) in new.circuits() {
        let Some((_, before)) = old.circuits().find(|(other, _)| other.name == circuit.name) else { continue };
        let point = PointId::SummerFull;
        let pair = |of: &dyn Fn(&crate::survey::CircuitSurvey) -> Option<String>| [of(before), of(after)];
        for (what, [was, is]) in [
            ("capacity", pair(&|solved| solved.point(point).map(|point| show.capacity(point.capacity_W)))),
            ("power", pair(&|solved| solved.point(point).map(|point| show.power(point.power_W)))),
            ("charge counted", pair(&|solved| solved.charge.as_ref().map(|charge| show.mass(charge.total_kg)))),
        ] {
            if was != is {
                let [was, is] = [was, is].map(|value| value.unwrap_or_else(|| "no answer".to_owned()));
                grid.row(vec![circuit.name.clone(), what.to_owned(), was, is]);
            }
        }
    }
    if !grid.is_empty() {
        heading(sheet, "What changes");
        sheet.table(1, &grid);
    }
}
