//! How long the page of `check` takes once the answer is known: what it adds to `check`, and the file's size.
#![expect(clippy::expect_used, reason = "a bench may stop at what should not be")]
use criterion::{Criterion, criterion_group, criterion_main};
use roofrun::report::Answer;
use roofrun::{job, page, rules, survey};
use std::hint::black_box;
use std::path::Path;

fn pages(c: &mut Criterion) {
    for file in ["as-drawn", "bottling-hall", "plant-of-twelve"] {
        let job = job::open(&Path::new("examples").join(file).with_extension("toml")).expect("the example is a job");
        let survey = survey::survey(&job).expect("the example is solved");
        let answer = Answer::new(&job, &survey, rules::check_all(&job, &survey)).with_remedies();
        let bytes = page::check(&answer).expect("there is a page").len();
        c.bench_function(&format!("the page of {file}, {} kB", bytes / 1000), |b| {
            b.iter(|| page::check(black_box(&answer)));
        });
    }
}

criterion_group!(benches, pages);
criterion_main!(benches);
