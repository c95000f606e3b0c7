//! Both answers for a program: SI, the unit in each key or beside it.

use super::group::causes;
use super::{Answer, Expected, Fitted, Group, Row};
use crate::job::Job;
use crate::report::write_json;
use serde_json::{Map, Value, json};

/// What made the answer.
pub(super) const TOOL: &str = concat!("roofrun ", env!("CARGO_PKG_VERSION"));

fn names(fitted: &Fitted) -> Vec<&'static str> {
    causes(fitted).iter().map(|cause| cause.name()).collect()
}

fn explanation(fitted: &Fitted) -> Value {
    let mut told = Map::new();
    told.insert("cause".to_owned(), json!(names(fitted)));
    match fitted.causes.as_slice() {
        [] => {}
        [(cause, size)] => {
            told.insert("size".to_owned(), json!(size));
            told.insert("unit".to_owned(), json!(cause.unit()));
        }
        several => {
            let sizes: Vec<f64> = several.iter().map(|(_, size)| *size).collect();
            let units: Vec<&str> = several.iter().map(|(cause, _)| cause.unit()).collect();
            told.insert("size".to_owned(), json!(sizes));
            told.insert("unit".to_owned(), json!(units));
        }
    }
    told.insert("misfit".to_owned(), json!(fitted.misfit));
    Value::Object(told)
}

fn group(group: &Group, answer: &Answer, job: &Job) -> Value {
    let causes: Vec<Value> = group.fits.iter().map(explanation).collect();
    json!({ "causes": causes, "share": group.share, "says": super::text::sizes(group, answer, job) })
}

fn row(row: &Row) -> Value {
    json!({
        "key": row.reading.key(), "read": row.read, "expected": row.expected, "accuracy": row.accuracy,
        "unit": row.reading.unit(), "within": row.within(), "left_out": row.left_out,
    })
}

/// The answer to a complaint.
///
/// # Errors
/// Where a number is none.
pub fn json(job: &Job, answer: &Answer) -> Result<String, String> {
    write_json(&value(job, answer)).map_err(|error| error.to_string())
}

/// The same as a value.
pub(super) fn value(job: &Job, answer: &Answer) -> Value {
    let contradictions: Vec<Value> = answer
        .contradictions
        .iter()
        .map(|one| {
            let keys: Vec<&str> = one.readings.iter().map(|reading| reading.key()).collect();
            json!({ "readings": keys, "says": one.says })
        })
        .collect();
    let layout: Vec<Value> = answer.layout.iter().map(|one| json!({ "rule": one.rule, "says": one.says })).collect();
    let groups: Vec<Value> = answer.groups.iter().map(|one| group(one, answer, job)).collect();
    let next: Vec<Value> = answer
        .next
        .iter()
        .map(|next| {
            let expect: Vec<Value> = next
                .makes
                .iter()
                .map(|(causes, value)| {
                    let causes: Vec<&str> = causes.iter().map(|cause| cause.name()).collect();
                    json!({ "cause": causes, "value": value, "unit": next.reading.unit() })
                })
                .collect();
            json!({ "reading": next.reading.key(), "says": next.says, "expect": expect })
        })
        .collect();
    let readings: Vec<Value> = answer.rows.iter().map(row).collect();
    json!({
        "format": 1, "tool": TOOL, "job": { "title": job.title, "file": job.file }, "circuit": answer.circuit,
        "outdoor_K": answer.outdoor, "compressor_share": answer.share,
        "verdict": answer.verdict.name(), "contradictions": contradictions, "layout": layout, "groups": groups,
        "next": next, "readings": readings, "taken": answer.taken,
        "missing": answer.missing.iter().map(|reading| reading.key()).collect::<Vec<_>>(),
        "not_looked_at": super::text::NOT_LOOKED_AT, "cautions": [super::text::CAUTION],
    })
}

/// What a healthy installation shows.
///
/// # Errors
/// Where a number is none.
pub fn expected_json(job: &Job, expected: &Expected) -> Result<String, String> {
    let points: Vec<Value> = expected
        .points
        .iter()
        .map(|point| {
            let readings: Vec<Value> = point
                .values
                .iter()
                .map(|value| {
                    json!({
                        "key": value.reading.key(), "expected": value.expected, "accuracy": value.accuracy,
                        "unit": value.reading.unit(),
                    })
                })
                .collect();
            json!({ "outdoor_K": point.outdoor, "subcooling_K": point.subcooling, "readings": readings })
        })
        .collect();
    write_json(&json!({
        "format": 1, "tool": TOOL, "job": { "title": job.title, "file": job.file }, "circuit": expected.circuit,
        "compressors_running": expected.running.0, "points": points,
    }))
    .map_err(|error| error.to_string())
}
