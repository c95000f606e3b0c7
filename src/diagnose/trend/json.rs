//! A trend's answer for a program: SI, the unit in each key or beside it.

use super::{Event, Moments, Trend};
use crate::diagnose::json::{Document, document};
use crate::job::{Job, Point};
use crate::report::{JobHead, TOOL, schema_of, write_json};
use crate::trend::Column;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

#[derive(Serialize, JsonSchema)]
struct TrendDocument<'a> {
    format: u32,
    tool: &'static str,
    job: JobHead<'a>,
    circuit: &'a str,
    /// `healthy`, `suspects`, `contradictory` or `not running`.
    verdict: &'static str,
    file: &'a str,
    rows: u64,
    interval_s: i64,
    from: String,
    to: String,
    /// How the file is written.
    written: &'a str,
    told: &'a [String],
    logged_s: i64,
    running_s: i64,
    steady_s: i64,
    columns: Vec<ColumnDocument<'a>>,
    events: Vec<EventDocument<'a>>,
    worst: Vec<MomentDocument<'a>>,
}

/// What a column was taken for; its key and its unit are left out where it was not used, its range where it says nothing.
#[derive(Serialize, JsonSchema)]
struct ColumnDocument<'a> {
    column: usize,
    name: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    key: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    unit: Option<&'static str>,
    written_in: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    min: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    max: Option<f64>,
    values: u64,
    faults: u64,
    missing: u64,
    hold_s: f64,
}

impl<'a> From<&'a Column> for ColumnDocument<'a> {
    fn from(column: &'a Column) -> Self {
        let [values, faults, missing] = column.counts;
        Self {
            column: column.number,
            name: &column.name,
            key: column.point.map(Point::key),
            unit: column.point.map(Point::unit),
            written_in: &column.unit,
            min: column.range.map(|[minimum, _]| minimum),
            max: column.range.map(|[_, maximum]| maximum),
            values,
            faults,
            missing,
            hold_s: column.hold,
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct EventDocument<'a> {
    from: String,
    to: String,
    kind: &'static str,
    value: f64,
    unit: &'static str,
    says: &'a str,
}

impl<'a> From<&'a Event> for EventDocument<'a> {
    fn from(event: &'a Event) -> Self {
        let [from, to] = event.span.map(Trend::iso);
        Self { from, to, kind: event.kind.name(), value: event.value, unit: event.unit, says: &event.says }
    }
}

#[derive(Serialize, JsonSchema)]
struct MomentDocument<'a> {
    #[serde(flatten)]
    answer: Document<'a>,
    from: String,
    to: String,
}

impl<'a> MomentDocument<'a> {
    fn of(job: &'a Job, moments: &'a Moments) -> Self {
        let [from, to] = moments.span.map(Trend::iso);
        Self { answer: document(job, &moments.answer), from, to }
    }
}

/// The answer to a trend.
///
/// # Errors
/// Where a number is none.
pub fn trend_json(job: &Job, trend: &Trend) -> Result<String, String> {
    let [from, to] = trend.span.map(Trend::iso);
    let [logged_s, running_s, steady_s] = trend.times;
    write_json(&TrendDocument {
        format: 1,
        tool: TOOL,
        job: job.into(),
        circuit: &trend.circuit,
        verdict: trend.verdict.name(),
        file: &trend.file,
        rows: trend.rows,
        interval_s: trend.interval,
        from,
        to,
        written: &trend.written,
        told: &trend.told,
        logged_s,
        running_s,
        steady_s,
        columns: trend.columns.iter().map(ColumnDocument::from).collect(),
        events: trend.events.iter().map(EventDocument::from).collect(),
        worst: trend.worst.iter().map(|worst| MomentDocument::of(job, worst)).collect(),
    })
    .map_err(|error| error.to_string())
}

/// Of a set of readings, or of a trend.
#[derive(JsonSchema)]
#[serde(untagged)]
#[expect(dead_code, reason = "only its schema is written")]
enum Either<'a> {
    Readings(Document<'a>),
    Trend(TrendDocument<'a>),
}

/// The JSON Schema of the answer to a complaint.
#[must_use]
pub fn schema() -> Value {
    schema_of::<Either>("The answer of `diagnose`")
}
