//! What the trade says of drawings: ordinary designs pass, classic faults are told by the rule that they belong to, examples worked by
//! others come out as printed.
//!
//! The verdicts come from the sources beside each case (`sources.toml` names them), never from what the tool said.
//! `ordinary.toml` holds designs that published guides call good, `faults.toml` drawings or conditions that they warn of; `worked.rs`
//! holds the examples; `own.toml` has drawings of this project's own, with the reason of each verdict. What no key of a job can say stands in `unsaid.toml` with its reason.
#![expect(clippy::unwrap_used, reason = "a test may stop at what should not be")]

mod drawing;
mod worked;

use roofrun::job::{self, Job};
use roofrun::remedies::{Change, Remedy, SiteStudy, edits, of_the_site, remedies, whole, whole_of_the_site};
use roofrun::rules::{Finding, RULES, Verdict, check_all};
use roofrun::survey::{Survey, survey};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::path::Path;
use toml::{Table, Value};

/// A drawing, solved and looked at.
struct Looked {
    job: Job,
    survey: Survey,
    findings: Vec<Finding>,
    site: Option<SiteStudy>,
}

fn looked(id: &str, text: &str) -> Looked {
    let job = job::read(id, text, Path::new(".")).unwrap_or_else(|faults| panic!("{id}: {faults}\n{text}"));
    let survey = survey(&job).unwrap_or_else(|faults| panic!("{id}: {faults:?}"));
    let mut findings = check_all(&job, &survey);
    let site = job.roof.is_some().then(|| SiteStudy::of(&job, &survey, &|_| {}).unwrap());
    findings.extend(site.iter().flat_map(|site| site.findings.iter().cloned()));
    Looked { job, survey, findings, site }
}

impl Looked {
    /// The worst verdict of each rule.
    fn verdicts(&self) -> BTreeMap<&'static str, Verdict> {
        let mut worst = BTreeMap::new();
        for finding in &self.findings {
            let verdict = worst.entry(finding.rule).or_insert(finding.verdict);
            *verdict = finding.verdict.max(*verdict);
        }
        worst
    }

    fn at(&self, verdict: Verdict) -> BTreeSet<&'static str> {
        self.verdicts().into_iter().filter(|(_, worst)| *worst == verdict).map(|(rule, _)| rule).collect()
    }

    /// What is found above a pass, to read.
    fn told(&self) -> String {
        let mut text = String::new();
        for finding in self.findings.iter().filter(|finding| finding.verdict >= Verdict::Note) {
            let when = finding.when.as_ref().map(|when| when.text(&self.job)).unwrap_or_default();
            let _ = writeln!(text, "    {:?} {} ({when}): {}", finding.verdict, finding.rule, finding.text(&self.job));
        }
        text
    }

    /// The drawing with changes, written and read again.
    fn written(&self, id: &str, changes: &[Change]) -> Looked {
        looked(id, &job::edit(&self.job.text, &edits(&self.job, &self.job.text, changes)).unwrap())
    }

    /// What mends each finding by itself.
    fn each(&self) -> Vec<Vec<Remedy>> {
        let mut each = remedies(&self.job, &self.survey, &self.findings);
        if let Some(site) = &self.site {
            each.truncate(self.findings.len() - site.findings.len());
            let check = &self.findings[..each.len()];
            each.extend(of_the_site(&self.job, &self.survey, check, site).0);
        }
        each
    }

    /// The changes of the whole remedy.
    fn whole(&self) -> Vec<Change> {
        let whole = match &self.site {
            Some(site) => whole_of_the_site(&self.job, &self.survey, &self.findings, site),
            None => whole(&self.job, &self.survey, &self.findings),
        };
        whole.map(|whole| whole.changes).unwrap_or_default()
    }
}

fn table(file: &str) -> Table {
    let path = format!("{}/tests/practice/{file}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap().parse().unwrap_or_else(|fault| panic!("{path}: {fault}"))
}

/// The cases of a file by id.
fn cases(file: &str) -> Vec<(String, Table)> {
    table(file).into_iter().map(|(id, case)| (id, case.as_table().unwrap().clone())).collect()
}

fn strings<'c>(case: &'c Table, key: &str) -> BTreeMap<&'c str, &'c str> {
    let table = case.get(key).and_then(Value::as_table);
    table.into_iter().flatten().map(|(key, value)| (key.as_str(), value.as_str().unwrap())).collect()
}

/// What a case says that is not so, one a line.
fn judged(id: &str, case: &Table) -> Vec<String> {
    if case.get("refrigerant").is_none() {
        return Vec::new();
    }
    let looked = looked(id, &drawing::text(case));
    let verdicts = looked.verdicts();
    let (finds, cautions) = (strings(case, "finds"), strings(case, "cautions"));
    let mut wrong = Vec::new();
    for (rule, verdict) in &finds {
        assert!(RULES.iter().any(|known| known.id == *rule), "{id}: no rule {rule}");
        let found = verdicts.get(rule).map_or("silent".to_owned(), |found| word(*found));
        if found != *verdict {
            wrong.push(format!("{rule} is {found}, not {verdict}"));
        }
    }
    for rule in looked.at(Verdict::Fail).into_iter().filter(|rule| finds.get(rule) != Some(&"fail")) {
        wrong.push(format!("{rule} fails"));
    }
    if case.contains_key("cautions") || id.starts_with('A') {
        let told = looked.at(Verdict::Caution);
        for rule in told.iter().filter(|rule| !cautions.contains_key(*rule)) {
            wrong.push(format!("{rule} is a caution"));
        }
        for rule in cautions.keys().filter(|rule| !told.contains(*rule)) {
            wrong.push(format!("{rule} is no caution"));
        }
    }
    if !wrong.is_empty() {
        wrong.push(format!("\n{}", looked.told()));
    }
    wrong
}

fn word(verdict: Verdict) -> String {
    serde_json::to_value(verdict).unwrap().as_str().unwrap().to_owned()
}

fn judge(file: &str) {
    let only = std::env::var("CASE").unwrap_or_default();
    let mut report = String::new();
    for (id, case) in cases(file).iter().filter(|(id, _)| only.is_empty() || *id == only) {
        if !only.is_empty() {
            let text = drawing::text(case);
            println!("{text}\n{}", looked(id, &text).told());
        }
        for wrong in judged(id, case) {
            let _ = writeln!(report, "{id} ({}): {wrong}", case["drawn"].as_str().unwrap());
        }
    }
    assert!(report.is_empty(), "\n{report}");
}

#[test]
fn ordinary_designs_pass() {
    judge("ordinary.toml");
}

#[test]
fn classic_faults_are_told() {
    judge("faults.toml");
}

#[test]
fn own_drawings_are_judged_as_written() {
    judge("own.toml");
}

/// What the whole remedy does to a fault, and whether it cures it.
fn cured(id: &str, case: &Table) -> Vec<String> {
    if case.get("refrigerant").is_none() {
        return Vec::new();
    }
    let drawn = looked(id, &drawing::text(case));
    let finds = strings(case, "finds");
    let mut changes = Vec::new();
    let mut wrong = Vec::new();
    if drawn.at(Verdict::Fail).is_empty() {
        for (finding, ways) in drawn.findings.iter().zip(drawn.each()) {
            let told = finds.get(finding.rule).is_some_and(|verdict| *verdict == "caution");
            if let (true, Some(first), true) = (told, ways.first(), finding.verdict == Verdict::Caution) {
                changes.extend(first.changes.clone());
            }
        }
    } else {
        changes = drawn.whole();
    }
    let mended = drawn.written(id, &changes);
    for (rule, verdict) in &finds {
        let still = mended.verdicts().get(rule).map_or("silent".to_owned(), |found| word(*found));
        if still == *verdict && ["caution", "fail"].contains(verdict) && !strings(case, "stays").contains_key(rule) {
            wrong.push(format!("{rule} is {still} still"));
        }
    }
    for rule in mended.at(Verdict::Fail).into_iter().filter(|rule| !strings(case, "stays").contains_key(rule)) {
        wrong.push(format!("{rule} fails still"));
    }
    if std::env::var("REMEDIES").is_ok() {
        println!("{id} {}\n{}", case["drawn"].as_str().unwrap(), drawn.told());
        for change in &changes {
            println!("    -> {change:?}");
        }
        println!("{}", mended.told());
    }
    if !wrong.is_empty() {
        wrong.push(format!("{changes:#?}\n{}", mended.told()));
    }
    wrong
}

#[test]
fn the_written_remedy_cures_the_fault() {
    let only = std::env::var("CASE").unwrap_or_default();
    let mut report = String::new();
    let faults = ["faults.toml", "own.toml"].into_iter().flat_map(cases);
    for (id, case) in &faults.filter(|(id, _)| only.is_empty() || *id == only).collect::<Vec<_>>() {
        for wrong in cured(id, case) {
            let _ = writeln!(report, "{id} ({}): {wrong}", case["drawn"].as_str().unwrap());
        }
    }
    assert!(report.is_empty(), "\n{report}");
}

fn keys(file: &str) -> BTreeSet<String> {
    table(file).keys().cloned().collect()
}

#[test]
fn every_case_is_drawn_or_says_why_not() {
    let drawn: BTreeSet<String> =
        ["ordinary.toml", "faults.toml"].into_iter().flat_map(cases).map(|(id, _)| id).collect();
    let unsaid = keys("unsaid.toml");
    let worked = include_str!("worked.rs");
    let all = (1..=26)
        .map(|n| format!("A{n}"))
        .chain((1..=56).map(|n| format!("B{n}")))
        .chain((1..=12).map(|n| format!("C{n}")));
    for id in all {
        let in_worked = worked.contains(&format!("fn {}_", id.to_lowercase()));
        let said = unsaid.contains(&id) && !in_worked;
        let places = [drawn.contains(&id), said, in_worked];
        assert_eq!(places.into_iter().filter(|there| *there).count(), 1, "{id}: {places:?}");
    }
    let sources = keys("sources.toml");
    for (id, case) in ["ordinary.toml", "faults.toml", "own.toml"].into_iter().flat_map(cases) {
        for source in case["by"].as_array().unwrap() {
            assert!(sources.contains(source.as_str().unwrap()), "{id}: {source}");
        }
    }
}
