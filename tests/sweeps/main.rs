//! Every rule over capacity, length, bore and outdoor temperature: how often its verdict turns on the way.
//!
//! `turns.csv` says how often each may, and why. A point without a solution is no pass of any rule that judges points.
#![allow(clippy::unwrap_used, reason = "a test may stop at what should not be")]

use roofrun::job::{self, Job};
use roofrun::rules::{Finding, Look, RULES, Verdict, check_all};
use roofrun::survey::{PointId, Survey, survey};
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// What is swept.
const AXES: [&str; 6] = ["capacity", "length", "discharge bore", "liquid bore", "summer", "winter"];
const DRAWINGS: [&str; 4] = ["surge", "through", "double", "below"];
const SIZES: [&str; 13] =
    ["3/8", "1/2", "5/8", "3/4", "7/8", "1-1/8", "1-3/8", "1-5/8", "2-1/8", "2-5/8", "3-1/8", "3-5/8", "4-1/8"];

/// One step of a sweep.
struct Step {
    at: String,
    job: Job,
    survey: Survey,
    found: Vec<Finding>,
}

/// A drawing with one of its values moved.
fn drawn(drawing: &str, axis: &str, value: &str) -> String {
    let number = |value: &str| value.parse::<f64>().unwrap_or_else(|_| panic!("{value}"));
    let of = |name: &str, usual: &str| if axis == name { value.to_owned() } else { usual.to_owned() };
    let capacity = of("capacity", "40");
    let power = format!("{:.3}", 1.05 * number(&capacity));
    let template = std::fs::read_to_string(format!("tests/sweeps/{drawing}.toml")).unwrap();
    [
        ("capacity", capacity),
        ("power", power),
        ("length", of("length", "20")),
        ("discharge", of("discharge bore", "2-1/8")),
        ("liquid", of("liquid bore", "1-3/8")),
        ("summer", of("summer", "96")),
        ("winter", of("winter", "20")),
    ]
    .iter()
    .fold(template, |text, (name, value)| text.replace(&format!("{{{name}}}"), value))
}

/// The values along an axis, rising.
fn values(axis: &str) -> Vec<String> {
    let even = |from: f64, to: f64, steps: u32| {
        (0..=steps).map(move |step| format!("{:.2}", from + (to - from) * f64::from(step) / f64::from(steps)))
    };
    match axis {
        "capacity" => (0..=44).map(|step| format!("{:.2}", 4.0 * 1.08_f64.powi(step))).collect(),
        "length" => (0..=40).map(|step| format!("{:.1}", 2.0 * 1.2_f64.powi(step))).collect(),
        "summer" => even(60.0, 140.0, 40).collect(),
        "winter" => even(-40.0, 90.0, 40).collect(),
        _ => SIZES.iter().map(|size| (*size).to_owned()).collect(),
    }
}

fn sweep(drawing: &str, axis: &str) -> Vec<Step> {
    let step = |at: String| {
        let text = drawn(drawing, axis, &at);
        let job = job::read("sweep.toml", &text, Path::new(".")).ok()?;
        let survey = survey(&job).ok()?;
        let found = check_all(&job, &survey);
        Some(Step { at, job, survey, found })
    };
    values(axis).into_iter().filter_map(step).collect()
}

/// What a rule says of a step: nothing where it does not apply or could not look everywhere; a fail stays one.
fn judged(step: &Step, rule: &str) -> Option<Verdict> {
    let own = || step.found.iter().filter(|finding| finding.rule == rule).map(|finding| finding.verdict);
    let blind = own().any(|verdict| verdict == Verdict::NotJudged);
    own().max().filter(|worst| !blind || *worst == Verdict::Fail)
}

/// How often a rule turns between failing and not, and between being content and not, whichever is more.
fn turns(steps: &[Step], rule: &str) -> usize {
    let verdicts: Vec<Verdict> = steps.iter().filter_map(|step| judged(step, rule)).collect();
    let over = |least| verdicts.windows(2).filter(|pair| (pair[0] >= least) != (pair[1] >= least)).count();
    over(Verdict::Fail).max(over(Verdict::Caution))
}

/// A row of the table.
struct Row {
    /// What the rule looks at: `points`, `summer full`, or the `drawing` alone.
    reads: String,
    /// How often it may turn on each axis.
    turns: [usize; 6],
    reason: String,
}

fn table() -> BTreeMap<String, Row> {
    let mut reader = csv::Reader::from_path("tests/sweeps/turns.csv").unwrap();
    let rows = reader.records().map(|row| {
        let row: Vec<String> = row.unwrap().iter().map(str::to_owned).collect();
        let turns = std::array::from_fn(|axis| row[2 + axis].parse().unwrap());
        (row[0].clone(), Row { reads: row[1].clone(), turns, reason: row[8].clone() })
    });
    rows.collect()
}

/// Every drawing along every axis.
fn sweeps() -> Vec<(&'static str, usize, Vec<Step>)> {
    let all = DRAWINGS.into_iter().flat_map(|drawing| (0..AXES.len()).map(move |axis| (drawing, axis)));
    all.map(|(drawing, axis)| (drawing, axis, sweep(drawing, AXES[axis]))).collect()
}

#[test]
fn the_table_has_every_rule_and_a_reason_for_every_turn_past_the_first() {
    let table = table();
    let of_jobs = RULES.iter().filter(|rule| matches!(rule.look, Look::Circuit(_) | Look::Plant(_)));
    assert_eq!(of_jobs.map(|rule| rule.id).collect::<BTreeSet<_>>(), table.keys().map(String::as_str).collect());
    for (rule, row) in &table {
        assert!(["points", "summer full", "drawing"].contains(&row.reads.as_str()), "{rule}: {}", row.reads);
        let more = row.turns.iter().any(|turns| *turns > 1);
        assert!(!more || row.reason.len() > 20, "{rule} turns more than once and gives no reason");
        assert!(row.reads != "drawing" || row.turns.iter().all(|turns| *turns <= 1), "{rule}");
    }
}

#[test]
fn a_verdict_turns_no_more_often_than_physics_has_it() {
    let table = table();
    let mut seen: BTreeMap<(&str, usize), usize> = BTreeMap::new();
    let mut wrong = Vec::new();
    for (drawing, axis, steps) in &sweeps() {
        for rule in table.keys() {
            let turned = turns(steps, rule);
            if turned > table[rule].turns[*axis] {
                let shown: Vec<String> =
                    steps.iter().map(|step| format!("{} {:?}", step.at, judged(step, rule))).collect();
                wrong.push(format!(
                    "{rule} turns {turned} times over {} in {drawing}: {}",
                    AXES[*axis],
                    shown.join(", ")
                ));
            }
            let most = seen.entry((rule, *axis)).or_default();
            *most = turned.max(*most);
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // No more is allowed than what happens.
    for (rule, row) in &table {
        for (axis, allowed) in row.turns.iter().enumerate().filter(|(_, allowed)| **allowed > 1) {
            assert_eq!(seen[&(rule.as_str(), axis)], *allowed, "{rule} over {}", AXES[axis]);
        }
    }
}

#[test]
fn a_point_without_a_solution_is_no_pass() {
    let table = table();
    let mut blind = 0;
    for (drawing, axis, steps) in &sweeps() {
        for step in steps {
            let lost: Vec<PointId> = step.survey.circuits[0].unsolved.iter().map(|unsolved| unsolved.id).collect();
            let running = lost.iter().any(|id| id.is_running());
            for (rule, row) in &table {
                let looks = match row.reads.as_str() {
                    "points" => running,
                    "summer full" => lost.contains(&PointId::SummerFull),
                    _ => false,
                };
                let own: Vec<&Finding> = step.found.iter().filter(|finding| finding.rule == *rule).collect();
                if looks && !own.is_empty() {
                    let told = own.iter().any(|f| matches!(f.verdict, Verdict::NotJudged | Verdict::Fail));
                    let at = format!("{drawing}, {} {}", AXES[*axis], step.at);
                    assert!(told, "{rule} at {at}: {}", own[0].text(&step.job));
                    blind += 1;
                }
            }
        }
    }
    assert!(blind > 100, "the sweeps no longer lose points: {blind}");
}
