//! A trend's answer for a program: SI, the unit in each key or beside it.

use super::{Event, Moments, Trend};
use crate::diagnose::json::{TOOL, value};
use crate::job::{Job, Point};
use crate::report::write_json;
use crate::trend::Column;
use serde_json::{Value, json};

fn column(column: &Column) -> Value {
    let [values, faults, missing] = column.counts;
    let mut told = json!({
        "column": column.number, "name": column.name,
        "key": column.point.map(Point::key), "unit": column.point.map(Point::unit), "written_in": column.unit,
        "min": column.range.map(|[least, _]| least), "max": column.range.map(|[_, most]| most),
        "values": values, "faults": faults, "missing": missing, "hold_s": column.hold,
    });
    // A column that is left out has no key, no unit and no range.
    if let Value::Object(told) = &mut told {
        told.retain(|_, value| !value.is_null());
    }
    told
}

fn event(event: &Event) -> Value {
    let [from, to] = event.span.map(Trend::iso);
    json!({ "from": from, "to": to, "kind": event.kind, "value": event.value, "unit": event.unit, "says": event.says })
}

fn moments(job: &Job, moments: &Moments) -> Value {
    let [from, to] = moments.span.map(Trend::iso);
    let mut answer = value(job, &moments.answer);
    if let Value::Object(answer) = &mut answer {
        answer.insert("from".to_owned(), json!(from));
        answer.insert("to".to_owned(), json!(to));
    }
    answer
}

/// The answer to a trend.
///
/// # Errors
/// Where a number is none.
pub fn trend_json(job: &Job, trend: &Trend) -> Result<String, String> {
    let [from, to] = trend.span.map(Trend::iso);
    let [logged, running, steady] = trend.times;
    write_json(&json!({
        "format": 1, "tool": TOOL, "job": { "title": job.title, "file": job.file }, "circuit": trend.circuit,
        "verdict": trend.verdict.name(), "file": trend.file, "rows": trend.rows, "interval_s": trend.interval,
        "from": from, "to": to, "written": trend.written, "told": trend.told,
        "logged_s": logged, "running_s": running, "steady_s": steady,
        "columns": trend.columns.iter().map(column).collect::<Vec<_>>(),
        "events": trend.events.iter().map(event).collect::<Vec<_>>(),
        "worst": trend.worst.iter().map(|worst| moments(job, worst)).collect::<Vec<_>>(),
    }))
    .map_err(|error| error.to_string())
}
