//! A job under European codes gets metric answers: tube, lengths, supports.

use roofrun::job::{self, Code, Job, LineId};
use roofrun::remedies::{Change, remedies, whole};
use roofrun::rules::{Verdict, check_all};
use roofrun::size;
use roofrun::survey::survey;
use roofrun::takeoff::TakeOff;
use std::collections::BTreeSet;
use std::path::Path;

const FAR: &str = include_str!("../examples/long-run-si.toml");

fn read(text: &str) -> Job {
    job::read_open("far.toml", text, Path::new(".")).unwrap_or_else(|faults| panic!("{faults}"))
}

/// Names of all tubes of both lines.
fn laid(job: &Job) -> BTreeSet<String> {
    let circuits = job.circuits.iter();
    let runs = circuits.flat_map(|circuit| LineId::BOTH.map(|line| &line.of(circuit).runs)).flatten();
    runs.flat_map(|run| &run.tubes).map(|tube| tube.name.clone()).collect()
}

#[test]
fn the_example_is_european_and_holds() {
    let job = read(FAR);
    assert_eq!(job.site.code, Code::Eu);
    assert!(laid(&job).iter().all(|name| roofrun::refdata::tube(name).is_some_and(roofrun::refdata::Tube::is_metric)));
    let findings = check_all(&job, &survey(&job).unwrap());
    let failed: Vec<_> = findings.iter().filter(|finding| finding.verdict == Verdict::Fail).collect();
    assert!(failed.is_empty(), "{failed:#?}");
    let relief = findings.iter().find(|finding| finding.rule == "relief").unwrap();
    assert_eq!(relief.verdict, Verdict::Pass, "{relief:#?}");
}

#[test]
fn remedies_name_metric_tube() {
    // Too weak, and drawn in either kind of tube, in one that is too narrow and in one that is too wide.
    for drawn in ["54 x 1.5", "2-1/8 ACR", "28x1,5 mm", "108 x 2.5"] {
        let job = read(&FAR.replace("\"54 x 2\"", &format!("\"{drawn}\"")));
        let survey = survey(&job).unwrap();
        let findings = check_all(&job, &survey);
        assert!(findings.iter().any(|finding| finding.verdict == Verdict::Fail), "{drawn}");
        let whole = whole(&job, &survey, &findings).into_iter().flat_map(|whole| whole.changes);
        let changes = remedies(&job, &survey, &findings).into_iter().flatten().flat_map(|remedy| remedy.changes);
        let named: Vec<String> = changes
            .chain(whole)
            .filter_map(|change| match change {
                Change::Tubes(_, _, _, tubes) => Some(tubes),
                _ => None,
            })
            .flatten()
            .map(|tube| tube.name)
            .collect();
        assert!(!named.is_empty(), "{drawn}");
        for name in named {
            assert!(name.contains(" x ") || name.contains("Sch"), "{drawn}: {name}");
        }
    }
}

#[test]
fn size_finds_metric_tube() {
    let open = FAR.replace("tube = \"54 x 2\"", "tube = \"auto\"").replace("tube = \"35 x 1.5\"", "tube = \"auto\"");
    let job = read(&open);
    let sizing = size::size(&job, &size::catalogue(&job)).unwrap();
    let found = laid(&sizing.job);
    assert!(
        found.iter().all(|name| roofrun::refdata::tube(name).is_some_and(roofrun::refdata::Tube::is_metric)),
        "{found:?}"
    );
    let named = size::of_kinds(&job, &["42x1,5".to_owned(), "EN 12735-1".to_owned()]).unwrap();
    assert_eq!(named.len(), 20);
}

#[test]
fn the_list_counts_lengths_of_five_metres() {
    let list = TakeOff::new(&read(FAR), None, None).unwrap();
    assert!(list.tube.iter().all(|row| (row.straight_length_m - 5.0).abs() < 1e-9));
    assert!(list.hangers.iter().all(|row| row.source == "metric-supports"));
}
