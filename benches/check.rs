//! How long the pieces of `check` take on the plant of twelve circuits.
#![expect(clippy::expect_used, reason = "a bench may stop at what should not be")]
use criterion::{Criterion, criterion_group, criterion_main};
use roofrun::{job, rules, size, survey};
use std::hint::black_box;
use std::path::Path;
use std::process::Command;

mod jobs;

fn check(c: &mut Criterion) {
    let path = Path::new("examples/plant-of-twelve.toml");
    let text = std::fs::read_to_string(path).expect("the example is there");
    let job = job::read("plant-of-twelve.toml", &text, Path::new("examples")).expect("the example is a job");
    let survey = survey::survey(&job).expect("the example is solved");
    c.bench_function("read the twelve-circuit job", |b| {
        b.iter(|| job::read("plant-of-twelve.toml", black_box(&text), Path::new("examples")));
    });
    c.bench_function("survey the twelve-circuit job", |b| b.iter(|| survey::survey(black_box(&job))));
    c.bench_function("apply the rules to it", |b| b.iter(|| rules::check_all(black_box(&job), &survey)));
}

fn sizing(c: &mut Criterion) {
    let mut job = job::open(Path::new("examples/plant-of-twelve.toml")).expect("the example is a job");
    size::open_all(&mut job);
    let tubes = size::catalogue(&job);
    let mut group = c.benchmark_group("size");
    group.sample_size(20);
    group.bench_function("every run of the twelve-circuit job, from ACR, L and K", |b| {
        b.iter(|| size::size(black_box(&job), &tubes));
    });
    group.finish();
}

/// Circuits of which no two are alike: the survey, one change of one circuit, and the program on them.
fn distinct(c: &mut Criterion) {
    let job = job::read("distinct.toml", &jobs::passing(12), Path::new(".")).expect("they are a job");
    let circuit = job.circuits.first().expect("there are twelve");
    c.bench_function("survey twelve distinct circuits", |b| b.iter(|| survey::survey(black_box(&job))));
    c.bench_function("solve one circuit", |b| b.iter(|| survey::what_if(black_box(&job), circuit)));
    // Tube far too narrow: all fail, and what mends them is searched for.
    let narrow = jobs::passing(12).replace("1-3/8 ACR", "7/8 ACR").replace("2-1/8 ACR", "1-3/8 ACR");
    // Narrower than that, most operating points have no solution.
    let stopped = jobs::passing(12).replace("1-3/8 ACR", "1/2 ACR").replace("2-1/8 ACR", "7/8 ACR");
    for (what, text, asked) in [
        ("check on 12 distinct circuits", jobs::passing(12), &["check"][..]),
        ("check on 192 distinct circuits", jobs::passing(192), &["check"]),
        ("check on 12 distinct circuits that fail, with their remedies", narrow, &["check"]),
        ("check on 12 distinct circuits whose lines do not carry the flow, with their remedies", stopped, &["check"]),
        ("size --all of 12 distinct circuits", jobs::passing(12), &["size", "--all"]),
    ] {
        let file = tempfile::NamedTempFile::new().expect("there is room");
        std::fs::write(file.path(), text).expect("there is room");
        let path = file.path().to_str().expect("a path in letters");
        c.bench_function(&format!("{what}, whole process"), |b| b.iter(|| run(&[asked, &[path]].concat())));
    }
}

fn run(args: &[&str]) {
    let output = Command::new(env!("CARGO_BIN_EXE_roofrun")).args(args).output().expect("the program runs");
    black_box(output);
}

fn process(c: &mut Criterion) {
    c.bench_function("check on the twelve-circuit job, whole process", |b| {
        b.iter(|| run(&["check", "examples/plant-of-twelve.toml"]));
    });
    c.bench_function("the page of the twelve-circuit job, whole process", |b| {
        b.iter(|| run(&["check", "examples/plant-of-twelve.toml", "--format", "page"]));
    });
    c.bench_function("--help, whole process", |b| b.iter(|| run(&["--help"])));
}

criterion_group!(benches, check, sizing, distinct, process);
criterion_main!(benches);
