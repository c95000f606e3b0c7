//! What a remedy of a roof or a year says holds when it is written: the changed file is read, solved and studied by itself, and agrees.
#![allow(clippy::unwrap_used, reason = "a test may stop at what should not be")]

use proptest::prelude::*;
use roofrun::job::{self, Job};
use roofrun::remedies::{Change, Effect, SiteStudy, Whole, edits, of_the_site};
use roofrun::rules::{Finding, Verdict, check_all};
use roofrun::survey::{Survey, survey};
use std::path::Path;

/// A job with its site, as a file says.
struct Site {
    job: Job,
    survey: Survey,
    check: Vec<Finding>,
    study: SiteStudy,
}

fn site(text: &str) -> Site {
    let job =
        job::read("drawing.toml", text, Path::new("examples")).unwrap_or_else(|faults| panic!("{faults}\n{text}"));
    let survey = survey(&job).unwrap_or_else(|faults| panic!("{faults:?}"));
    let check = check_all(&job, &survey);
    let study = SiteStudy::of(&job, &survey, &|_| {}).unwrap();
    Site { job, survey, check, study }
}

impl Site {
    fn written(&self, changes: &[Change]) -> Site {
        site(&job::edit(&self.job.text, &edits(&self.job, &self.job.text, changes)).unwrap())
    }

    fn count(&self, rule: &str, verdict: Verdict) -> usize {
        let all = self.check.iter().chain(&self.study.findings);
        all.filter(|finding| finding.rule == rule && finding.verdict >= verdict).count()
    }

    fn failing(&self) -> Vec<&'static str> {
        let all = self.check.iter().chain(&self.study.findings);
        let mut rules: Vec<_> = all.filter(|f| f.verdict == Verdict::Fail).map(|f| f.rule).collect();
        rules.sort_unstable();
        rules.dedup();
        rules
    }

    /// What is told to fail newly does, and nothing else does; what is told to be resolved is.
    fn agrees(&self, drawn: &Site, effect: &Effect) {
        for rule in self.failing() {
            let told = drawn.count(rule, Verdict::Fail) > 0 || effect.newly_fails.contains(&rule);
            assert!(told, "{rule} fails newly\n{}", self.job.text);
        }
        for rule in &effect.newly_fails {
            assert!(self.count(rule, Verdict::Fail) > 0, "{rule} was told to fail");
        }
        for rule in &effect.resolves {
            let fewer = |verdict| self.count(rule, verdict) < drawn.count(rule, verdict);
            assert!(fewer(Verdict::Fail) || fewer(Verdict::Caution), "{rule} is not resolved\n{}", self.job.text);
        }
    }
}

/// Every remedy of a drawing, written, does what it says; so does the whole one, which is given back with what it leaves.
fn holds(text: &str) -> (Site, Option<(Whole, Site)>) {
    let drawn = site(text);
    let (each, whole) = of_the_site(&drawn.job, &drawn.survey, &drawn.check, &drawn.study);
    for (finding, remedies) in drawn.study.findings.iter().zip(&each) {
        for remedy in remedies {
            let written = drawn.written(&remedy.changes);
            let fewer = written.count(finding.rule, finding.verdict) < drawn.count(finding.rule, finding.verdict);
            assert!(fewer, "{} is not mended by {:#?}", finding.rule, remedy.changes);
            written.agrees(&drawn, &remedy.effect);
        }
    }
    let whole = whole.map(|whole| {
        let written = drawn.written(&whole.changes);
        let mut left: Vec<&str> = whole.left.iter().flat_map(|(_, rules)| rules.iter().copied()).collect();
        left.sort_unstable();
        left.dedup();
        assert_eq!(written.failing(), left, "{:#?}", whole.changes);
        written.agrees(&drawn, &whole.effect);
        let fails = |site: &Site| site.failing().iter().map(|rule| site.count(rule, Verdict::Fail)).sum::<usize>();
        assert!(fails(&written) <= fails(&drawn));
        (whole, written)
    });
    (drawn, whole)
}

fn example(name: &str) -> String {
    std::fs::read_to_string(format!("examples/{name}.toml")).unwrap()
}

#[test]
fn the_roof_as_drawn_is_mended_but_for_facts() {
    let (drawn, whole) = holds(&example("roof-as-drawn"));
    let (whole, written) = whole.unwrap();
    // A support that carries too little and a pipe that hangs too low are facts of the building and of the drawing.
    assert_eq!(written.failing(), ["roof-edge", "roof-load"], "{whole:#?}");
    assert_eq!(written.count("roof-edge", Verdict::Fail), 1);
    assert!(["clearance", "sound"].iter().all(|rule| drawn.count(rule, Verdict::Fail) > 0));
}

#[test]
fn where_nothing_fails_there_is_no_whole_remedy() {
    let (drawn, whole) = holds(&example("roof-and-year"));
    assert!(drawn.failing().is_empty() && whole.is_none());
}

/// Two units, a wall and a listener, near each other and near the edge.
fn roof() -> impl Strategy<Value = String> {
    (0.5..8.0_f64, 2.0..20.0_f64, 0.5..9.0_f64, 6.0..14.0_f64, 40.0..60.0_f64, 3.0..12.0_f64).prop_map(
        |(gap, edge, wall, height, limit, velocity)| {
            let text = example("roof-as-drawn");
            let north = edge + 7.5 + gap;
            let behind = north + 7.5 + wall;
            text.replace("at = [\"6 ft\", \"8 ft\"]", &format!("at = [\"12 ft\", \"{edge:.1} ft\"]"))
                .replace("at = [\"6 ft\", \"19 ft\"]", &format!("at = [\"12 ft\", \"{north:.1} ft\"]"))
                .replace(
                    "\"30 ft\"]\nto = [\"32 ft\", \"30 ft\"]",
                    &format!("\"{behind:.1} ft\"]\nto = [\"32 ft\", \"{behind:.1} ft\"]"),
                )
                .replace("to = [\"2 ft\", \"30 ft\"]", &format!("to = [\"2 ft\", \"{behind:.1} ft\"]"))
                .replace("height = \"10 ft\"", &format!("height = \"{height:.1} ft\""))
                .replace("outlet_velocity = \"1500 fpm\"", &format!("outlet_velocity = \"{velocity:.1} m/s\""))
                .replace("limit = \"60 dBA\"", &format!("limit = \"{limit:.0} dBA\""))
                .replace("allowed = \"1100 lb\"", "allowed = \"2500 lb\"")
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(10))]

    #[test]
    fn the_remedies_of_any_roof_do_what_they_say(text in roof()) {
        holds(&text);
    }
}

/// The year of the example without its roof, with something else in it.
fn year(changes: &[(&str, &str)]) -> String {
    let text = example("roof-and-year");
    let text = text.split("# The roof over").next().unwrap().to_owned();
    changes.iter().fold(text, |text, (old, new)| {
        assert!(text.contains(old), "{old}");
        text.replacen(old, new, 1)
    })
}

/// A year that fails a rule: its remedies and the whole one do what they say, and the rule fails no more.
fn mended(rule: &str, changes: &[(&str, &str)]) -> Whole {
    let (drawn, whole) = holds(&year(changes));
    let (each, _) = of_the_site(&drawn.job, &drawn.survey, &drawn.check, &drawn.study);
    let remedies = drawn.study.findings.iter().zip(&each).find(|(f, _)| f.rule == rule && f.verdict == Verdict::Fail);
    let (finding, remedies) = remedies.unwrap_or_else(|| panic!("{rule} does not fail: {:?}", drawn.failing()));
    assert!(!remedies.is_empty(), "no remedy of {finding:#?}");
    let (whole, written) = whole.unwrap();
    assert_eq!(written.count(rule, Verdict::Fail), 0, "{whole:#?}");
    whole
}

#[test]
fn a_switch_that_opens_in_summer_gets_a_larger_condenser() {
    let changes =
        [("cutout = \"18 barg\"", "cutout = \"13 barg\""), ("rejection = \"120 kW\"", "rejection = \"100 kW\"")];
    let whole = mended("year-cutout", &changes);
    assert!(whole.changes.iter().any(|change| matches!(change, Change::Condenser(0, _))), "{whole:#?}");
}

#[test]
fn a_valve_that_is_starved_in_the_year_is_fed() {
    mended("year-flash", &[("tube = \"1-3/8 ACR\"", "tube = \"5/8 ACR\"")]);
}

#[test]
fn a_riser_that_loses_its_oil_at_small_loads_is_narrower() {
    let riser = ("{ rise = \"10 m\", trap", "{ rise = \"10 m\", tube = \"3-1/8 ACR\", trap");
    let whole = mended("year-oil", &[riser]);
    assert!(whole.changes.iter().any(|change| matches!(change, Change::Tubes(..))), "{whole:#?}");
}

#[test]
fn a_plant_that_is_short_of_its_load_gets_a_chiller_last() {
    let whole = mended("year-load", &[("load = \"180 kW\"", "load = \"220 kW\"")]);
    assert!(whole.changes.iter().any(|change| matches!(change, Change::Copies(0, 4))), "{whole:#?}");
}

#[test]
fn a_year_without_any_balance_has_no_remedy_that_changes_nothing() {
    let drawn = site(&year(&[("rejection = \"120 kW\"", "rejection = \"5 kW\"")]));
    assert!(drawn.count("year-cutout", Verdict::Fail) > 0);
    let (each, _) = of_the_site(&drawn.job, &drawn.survey, &drawn.check, &drawn.study);
    assert!(each.iter().all(Vec::is_empty), "{each:#?}");
}
