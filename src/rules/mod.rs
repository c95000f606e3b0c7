//! One rule, one file: it reads the survey and answers findings. No rule computes physics.
//!
//! What a rule looks at is in `case`, its limits are in `limit`, sentences as data in `say`, and the operating points without a
//! solution in `unsolved`.

mod case;
mod clearance;
mod concentration;
mod condenser_size;
mod design;
mod design_pressure;
mod discharge_drop;
mod discharge_gas;
mod discharge_velocity;
mod drain;
mod drop_leg;
mod elevations;
pub(crate) mod finding;
mod head_valve;
mod high_pressure;
mod limit;
mod line_length;
mod liquid_drop;
pub(crate) mod liquid_flash;
mod liquid_hammer;
mod liquid_velocity;
mod low_ambient;
mod machinery_room;
mod off_cycle;
mod oil_level;
mod oil_riser;
mod plant_load;
mod rating_point;
mod receiver;
mod recirculation;
mod relief;
mod riser_traps;
mod roof_edge;
mod roof_load;
pub(crate) mod say;
mod slope;
mod sound;
mod stop_valves;
mod thermal_expansion;
mod tube_strength;
mod unlikely;
mod unsolved;
mod valve_pressure;
mod weather_file;
mod worst_hour;
mod year_cutout;
mod year_flash;
mod year_load;
mod year_oil;

#[cfg(test)]
pub(crate) mod testing;

pub(crate) use case::Case;
pub use finding::{Finding, Look, Rule, Source, Verdict};
pub(crate) use finding::{Measure, Place, When};
pub(crate) use limit::OwnLimit;

use crate::job::Job;
use crate::roof::RoofStudy;
use crate::survey::Survey;
use crate::year::Year;
use rayon::prelude::*;

/// All rules, in the order of a report.
pub const RULES: &[Rule] = &[
    rating_point::RULE,
    elevations::RULE,
    line_length::RULE,
    discharge_drop::RULE,
    discharge_velocity::RULE,
    discharge_gas::RULE,
    oil_riser::RULE,
    oil_level::RULE,
    riser_traps::RULE,
    slope::RULE,
    off_cycle::RULE,
    drain::RULE,
    liquid_flash::RULE,
    liquid_drop::RULE,
    liquid_velocity::RULE,
    liquid_hammer::RULE,
    valve_pressure::RULE,
    design_pressure::RULE,
    tube_strength::RULE,
    relief::RULE,
    stop_valves::RULE,
    thermal_expansion::RULE,
    condenser_size::RULE,
    high_pressure::RULE,
    low_ambient::RULE,
    head_valve::RULE,
    drop_leg::RULE,
    receiver::RULE,
    concentration::RULE,
    machinery_room::RULE,
    plant_load::RULE,
    clearance::RULE,
    recirculation::RULE,
    sound::RULE,
    roof_load::RULE,
    roof_edge::RULE,
    weather_file::RULE,
    year_load::RULE,
    year_cutout::RULE,
    year_flash::RULE,
    year_oil::RULE,
];

/// The rule of that id.
#[must_use]
pub fn rule(id: &str) -> Option<&'static Rule> {
    RULES.iter().find(|rule| rule.id == id)
}

/// What every rule finds, rule by rule, and in each by circuit in the order of the job.
///
/// Rules that could not look at an operating point, because it has no solution, say so.
#[must_use]
pub fn check_all(job: &Job, survey: &Survey) -> Vec<Finding> {
    let cases: Vec<Case> = Case::all(job, survey).collect();
    let found: Vec<Vec<Finding>> = RULES
        .par_iter()
        .map(|rule| match rule.look {
            Look::Circuit(look) => cases.par_iter().flat_map_iter(look).collect(),
            Look::Plant(look) => look(job, survey),
            Look::Roof(_) | Look::Year(_) => Vec::new(),
        })
        .collect();
    let mut findings: Vec<Finding> = found.into_iter().flatten().collect();
    let of_circuits: Vec<&Rule> = RULES.iter().filter(|rule| matches!(rule.look, Look::Circuit(_))).collect();
    let blind = cases.iter().flat_map(|case| unsolved::not_judged(case, &of_circuits, &findings)).collect::<Vec<_>>();
    findings.extend(blind);
    // The design temperatures are those of the file.
    findings.extend(weather_file::cautions(job));
    findings.extend(concentration::rooms_apart(job));
    findings.extend(limit::weakened(job, RULES, |look| matches!(look, Look::Circuit(_) | Look::Plant(_))));
    findings
}

/// What the rules of the site find: those of the roof where it is studied, those of the year where it is run.
#[must_use]
pub fn check_site(job: &Job, roof: Option<&RoofStudy>, year: Option<&Year>) -> Vec<Finding> {
    let found: Vec<Vec<Finding>> = RULES
        .par_iter()
        .map(|rule| match rule.look {
            Look::Roof(look) => roof.map(|roof| look(job, roof)).unwrap_or_default(),
            Look::Year(look) => year.map(|year| look(job, year)).unwrap_or_default(),
            Look::Circuit(_) | Look::Plant(_) => Vec::new(),
        })
        .collect();
    let mut findings: Vec<Finding> = found.into_iter().flatten().collect();
    if roof.is_some() {
        findings.extend(unlikely::notes(job));
    }
    findings.extend(limit::weakened(job, RULES, |look| match look {
        Look::Roof(_) => roof.is_some(),
        Look::Year(_) => year.is_some(),
        Look::Circuit(_) | Look::Plant(_) => false,
    }));
    findings
}

/// The limits that the job has changed, of the rules that look at that; those of no rule always.
#[must_use]
pub fn own_limits(job: &Job, looks: impl Fn(&Look) -> bool) -> Vec<OwnLimit> {
    limit::own_limits(job, RULES, looks)
}

/// What the rules say of the circuits together.
pub(crate) fn look_at_the_plant(job: &Job, survey: &Survey) -> Vec<Finding> {
    let plant = |rule: &Rule| if let Look::Plant(look) = rule.look { look(job, survey) } else { Vec::new() };
    RULES.iter().flat_map(plant).collect()
}

/// What all rules that look at one circuit say.
pub(crate) fn look(case: &Case) -> Vec<Finding> {
    let circuit = |rule: &Rule| if let Look::Circuit(look) = rule.look { look(case) } else { Vec::new() };
    RULES.iter().flat_map(circuit).collect()
}

#[cfg(test)]
mod tests {
    use super::testing::{by_hand, job, solved};
    use super::*;
    use crate::refdata;
    use crate::survey::PointId;
    use std::collections::BTreeSet;

    /// Files of `src/rules/` that hold no rule.
    const NO_RULES: [&str; 10] =
        ["case", "design", "unlikely", "finding", "limit", "mod", "say", "testing", "unsolved", "worst_hour"];

    #[test]
    fn the_slice_holds_what_the_folder_holds() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/rules");
        let files: BTreeSet<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().path().file_stem().unwrap().to_string_lossy().into_owned())
            .filter(|stem| !NO_RULES.contains(&stem.as_str()))
            .collect();
        let rules: BTreeSet<String> = RULES.iter().map(|rule| rule.id.replace('-', "_")).collect();
        assert_eq!(files, rules);
        assert_eq!(RULES.len(), rules.len(), "an id stands twice");
    }

    #[test]
    fn every_rule_explains_itself_and_its_limits_resolve() {
        for rule in RULES {
            assert!(rule.question.ends_with('?'), "{}", rule.id);
            assert!(rule.explanation.len() > 300 && rule.explanation.ends_with('.'), "{}", rule.id);
            for key in rule.limits {
                let limit = refdata::limit(key).unwrap_or_else(|| panic!("{} has no limit {key}", rule.id));
                assert!(refdata::source(&limit.source).is_some(), "{key}");
            }
            assert_eq!(super::rule(rule.id).map(|found| found.id), Some(rule.id));
        }
        assert!(super::rule("no-such-rule").is_none());
    }

    #[test]
    fn every_limit_that_a_rule_asks_for_is_in_its_list() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/rules");
        for rule in RULES {
            let name = rule.id.replace('-', "_");
            let file = folder.join(format!("{name}.rs"));
            let file = if file.exists() { file } else { folder.join(name).join("mod.rs") };
            let text = std::fs::read_to_string(file).unwrap();
            let code = text.split("mod tests {").next().unwrap();
            let ladder = code.split("Ladder::new(case.job, ").skip(1).filter_map(|rest| rest.split(')').next());
            let ladder = ladder.flat_map(|keys| keys.split('"').skip(1).step_by(2));
            let single = code.split("case.limit(\"").skip(1).filter_map(|rest| rest.split('"').next());
            for asked in single.chain(ladder) {
                assert!(rule.limits.contains(&asked), "{} requires {asked}", rule.id);
            }
        }
    }

    /// The code of a folder, its tests left out: by the file's path within it.
    fn code(folder: &str, inner: &str) -> Vec<(String, String)> {
        let entries = std::fs::read_dir(format!("{folder}{inner}")).unwrap().map(|entry| entry.unwrap());
        let files = entries.flat_map(|entry| {
            let path = format!("{inner}/{}", entry.file_name().to_string_lossy());
            if entry.path().is_dir() {
                return code(folder, &path);
            }
            let text = std::fs::read_to_string(entry.path()).unwrap();
            vec![(path, text.split("mod tests {").next().unwrap().to_owned())]
        });
        files.collect()
    }

    /// What stands at the places of keys in every call of that function; `skip` arguments stand before them.
    fn asked<'a>(code: &'a str, call: &'a str, skip: usize) -> impl Iterator<Item = &'a str> {
        let calls = code.match_indices(call).filter(move |(at, _)| {
            let before = &code[..*at];
            let part_of_a_name = before.ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == '.');
            let method = call.starts_with('.');
            method || !(part_of_a_name || before.ends_with("fn ") || before.ends_with("refdata::"))
        });
        let arguments = calls.map(move |(at, _)| code[at + call.len()..].split(')').next().unwrap());
        arguments.flat_map(move |all| all.split(',').skip(skip)).map(str::trim).filter(|key| !key.is_empty())
    }

    #[test]
    fn every_limit_that_is_asked_for_is_in_the_table() {
        // What hands a key on, and where a key that does not stand in its call is chosen.
        let handed_on = [("/rules/limit.rs", "key"), ("/rules/limit.rs", "caution"), ("/rules/limit.rs", "fail")];
        let chosen = [
            ("/rules/clearance/sides.rs", "key", "/rules/clearance/sides.rs"),
            ("/rules/clearance/working.rs", "working.asked_by", "/roof/clearance/working.rs"),
            ("/roof/clearance/working.rs", "key", "/roof/clearance/working.rs"),
        ];
        let files = code(concat!(env!("CARGO_MANIFEST_DIR"), "/src"), "");
        let is_limit = |file: &str, key: &str| assert!(refdata::limit(key).is_some(), "{file} requires {key}");
        let mut count = 0;
        for (file, code) in files.iter().filter(|(file, _)| file != "/rules/mod.rs" && !file.starts_with("/refdata/")) {
            let keys = asked(code, ".limit(", 0).chain(asked(code, "limit(", 1)).chain(asked(code, "Ladder::new(", 1));
            for key in keys {
                count += 1;
                if let Some(key) = key.strip_prefix('"').and_then(|key| key.strip_suffix('"')) {
                    is_limit(file, key);
                } else if !handed_on.contains(&(file.as_str(), key)) {
                    let from = chosen.iter().find(|(by, words, _)| by == file && *words == key);
                    let (.., from) = from.unwrap_or_else(|| panic!("{file} requires {key}: where is that chosen?"));
                    let (_, code) = files.iter().find(|(path, _)| path == from).unwrap();
                    // The only words of small letters with underscores between that stand in quotes there.
                    let plain =
                        |word: &&str| word.contains('_') && word.chars().all(|c| c.is_ascii_lowercase() || c == '_');
                    let keys: Vec<&str> = code.split('"').skip(1).step_by(2).filter(plain).collect();
                    assert!(!keys.is_empty(), "{from}");
                    for key in keys {
                        is_limit(from, key);
                    }
                }
            }
        }
        assert!(count > 80, "only {count} calls were found");
    }

    #[test]
    fn a_clean_job_passes_every_rule_that_applies() {
        let job = job();
        let findings = check_all(&job, &solved(&job));
        for finding in &findings {
            // Its receiver stands at the coil's outlet, with no drain drawn.
            let expected = if finding.rule == "drain" { Verdict::NotJudged } else { Verdict::Pass };
            assert_eq!(finding.verdict, expected, "{finding:#?}");
            assert!(!finding.text(&job).is_empty() && !finding.source.text().is_empty(), "{finding:#?}");
        }
        // All but the plant's, which the job does not require, those of rooms (two), of several coils and of flooding, which it has none of.
        let of_the_site = RULES.iter().filter(|rule| matches!(rule.look, Look::Roof(_) | Look::Year(_))).count();
        assert_eq!(findings.iter().map(|f| f.rule).collect::<BTreeSet<_>>().len(), RULES.len() - of_the_site - 5);
    }

    #[test]
    fn a_limit_of_the_jobs_own_is_used_and_named() {
        let mut job = job();
        job.limits.insert("oil_level".to_owned(), 50.0);
        let findings = oil_level::RULE.check(&job, &solved(&job));
        assert_eq!(findings[0].verdict, Verdict::Note);
        assert_eq!(findings[0].measure.unwrap().limit, Some(50.0));
        assert_eq!(findings[0].source, finding::Source::OwnLimit);
    }

    #[test]
    fn no_rule_passes_a_circuit_without_any_solution_that_it_would_have_to_look_at() {
        let job = job();
        let mut survey = by_hand(&job, PointId::Rating, |_| {});
        let circuit = survey.circuits.first_mut().unwrap();
        circuit.points.clear();
        for id in [PointId::SummerFull, PointId::WinterFull] {
            let why = crate::survey::Why::NeverCondenses { top_Pa: 4e6 };
            circuit.unsolved.push(crate::survey::Unsolved { id, name: id.name(&job).to_owned(), why });
        }
        let findings = check_all(&job, &survey);
        let fails: Vec<&Finding> = findings.iter().filter(|f| f.verdict == Verdict::Fail).collect();
        assert_eq!(fails.len(), 1, "{fails:#?}");
        assert_eq!(fails[0].rule, "high-pressure");
        assert!(fails[0].text(&job).contains("summer full and winter full"), "{}", fails[0].text(&job));
        for id in ["discharge-drop", "oil-riser", "liquid-flash", "valve-pressure", "low-ambient"] {
            let own: Vec<Verdict> = findings.iter().filter(|f| f.rule == id).map(|f| f.verdict).collect();
            assert_eq!(own, [Verdict::NotJudged], "{id}");
        }
        assert!(findings.iter().any(|f| f.rule == "elevations" && f.verdict == Verdict::Pass));
    }
}
