//! A complaint that comes with a trend.
#![expect(clippy::unwrap_used, reason = "a test may fail")]

#[path = "common/logger.rs"]
mod logger;

use roofrun::diagnose::{Asked, NoAnswer, Trend, trend, trend_json, trend_text};
use roofrun::job::{self, Job, Readings};
use roofrun::trend::Order;
use std::path::Path;

const HALL: &str = include_str!("../examples/bottling-hall.toml");
const EXAMPLE: &str = "examples/readings/hot-afternoons.csv";

fn hall() -> Job {
    job::read("hall.toml", HALL, Path::new(".")).unwrap()
}

/// The example is what its maker makes: `EXAMPLE_WRITE=1 cargo test --test trend` writes it again.
#[test]
fn the_example_is_as_it_was_made() {
    let made = logger::example(&hall());
    if std::env::var_os("EXAMPLE_WRITE").is_some() {
        std::fs::write(EXAMPLE, &made).unwrap();
    }
    assert!(std::fs::read_to_string(EXAMPLE).unwrap() == made, "the example is another than its maker makes");
}
