//! How long a year of twelve different circuits takes, held and floating.
#![expect(clippy::expect_used, reason = "a bench may stop at what should not be")]
use criterion::{Criterion, criterion_group, criterion_main};
use roofrun::job::{self, Circuit, Job, Plant, Profile, Running};
use roofrun::{units, weather, year};
use std::hint::black_box;
use std::path::Path;
use std::sync::Arc;

/// The circuits of job files, each once and a chiller by itself.
fn circuits(files: &[&str]) -> Vec<Circuit> {
    let mut all = Vec::new();
    for file in files {
        for circuit in job::open(Path::new(file)).expect("a job").circuits {
            let name = format!("{}", all.len() + 1);
            all.push(Circuit { module: name.clone(), name, copies: 1, ..circuit });
        }
    }
    all
}

/// A job of these circuits with a load by the week of 168 different hours, in a year of 8760.
fn plant(circuits: Vec<Circuit>) -> Job {
    let mut job = job::open(Path::new("examples/bottling-hall.toml")).expect("a job");
    let file = Path::new("tests/data/weather/typical_year_45N_8E.epw");
    job.weather = Some(Arc::new(weather::open(file).expect("a weather file")));
    let week = (0..168).map(|hour| 0.55 + 0.45 * (f64::from(hour) * 0.37).sin().abs()).collect();
    let rated = 1.3e6;
    job.plant =
        Some(Plant { load: units::watts(rated), spare: 1, profile: Profile::Week(week), running: Running::Few });
    job.circuits = circuits;
    job
}

const FILES: &[&str] = &[
    "examples/plant-of-twelve.toml",
    "examples/bottling-hall.toml",
    "examples/condenser-below.toml",
    "examples/long-run-si.toml",
    "examples/as-drawn.toml",
    "tests/recomputed/jobs/compressor-map-at-another-superheat.toml",
    "tests/recomputed/jobs/propane-at-one-level.toml",
    "tests/recomputed/jobs/riser-sealed-at-the-least-flow.toml",
];

/// Four circuits, all in steps.
const PLANT: &[&str] = &["examples/plant-of-twelve.toml"];

fn a_year(c: &mut Criterion) {
    let job = plant(circuits(FILES));
    assert_eq!(job.circuits.len(), 12);
    let all = Job { plant: None, ..job.clone() };
    let mut group = c.benchmark_group("year");
    group.sample_size(10);
    group.bench_function("twelve different circuits, a load by the week, held and floating", |b| {
        b.iter(|| year::year(black_box(&job), &|_| {}));
    });
    let mut steps = plant([PLANT; 3].concat().into_iter().flat_map(|file| circuits(&[file])).collect());
    for (number, circuit) in (0_u32..).zip(&mut steps.circuits) {
        circuit.name = number.to_string();
        circuit.module.clone_from(&circuit.name);
        circuit.condenser.rejection *= 1.0 + 0.003 * f64::from(number);
    }
    assert_eq!(steps.circuits.len(), 12);
    group.bench_function("twelve different circuits in steps, a load by the week, held and floating", |b| {
        b.iter(|| year::year(black_box(&steps), &|_| {}));
    });
    group.bench_function("twelve different circuits at full, held and floating", |b| {
        b.iter(|| year::year(black_box(&all), &|_| {}));
    });
    let mut fast = job.clone();
    for circuit in &mut fast.circuits {
        circuit.compressors.minimum_share = 0.2;
    }
    group.bench_function("twelve circuits of variable speed, a load by the week, held and floating", |b| {
        b.iter(|| year::year(black_box(&fast), &|_| {}));
    });
    group.finish();
}

criterion_group!(benches, a_year);
criterion_main!(benches);
