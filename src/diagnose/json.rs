//! Both answers for a program: SI, the unit in each key or beside it.

use super::accuracy::Accuracy;
use super::cause::Cause;
use super::group::causes;
use super::{Answer, Contradiction, Expected, Fitted, Group, Layout, Next, Row};
use crate::job::{Job, Reading};
use crate::report::{JobHead, TOOL, schema_of, write_json};
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

#[derive(Serialize, JsonSchema)]
pub(super) struct Document<'a> {
    format: u32,
    tool: &'static str,
    job: JobHead<'a>,
    circuit: &'a str,
    outdoor_K: f64,
    compressor_share: f64,
    /// `healthy`, `suspects`, `contradictory` or `not running`.
    verdict: &'static str,
    contradictions: Vec<ContradictionDocument<'a>>,
    layout: Vec<LayoutDocument<'a>>,
    groups: Vec<GroupDocument>,
    next: Vec<NextDocument<'a>>,
    readings: Vec<ReadingDocument>,
    taken: &'a [String],
    missing: Vec<&'static str>,
    /// How exact the readings are by their instruments (95 %).
    instruments: Vec<InstrumentDocument>,
    not_looked_at: &'static str,
    cautions: [&'static str; 1],
}

#[derive(Serialize, JsonSchema)]
struct ContradictionDocument<'a> {
    readings: Vec<&'static str>,
    says: &'a str,
}

impl<'a> From<&'a Contradiction> for ContradictionDocument<'a> {
    fn from(one: &'a Contradiction) -> Self {
        Self { readings: keys(&one.readings), says: &one.says }
    }
}

#[derive(Serialize, JsonSchema)]
struct LayoutDocument<'a> {
    rule: &'static str,
    says: &'a str,
}

impl<'a> From<&'a Layout> for LayoutDocument<'a> {
    fn from(one: &'a Layout) -> Self {
        Self { rule: one.rule, says: &one.says }
    }
}

#[derive(Serialize, JsonSchema)]
struct GroupDocument {
    causes: Vec<CauseDocument>,
    /// Of belief, 0 to 1.
    share: f64,
    says: String,
}

/// One cause, or two at once; its size is left out where the cause has none.
#[derive(Serialize, JsonSchema)]
struct CauseDocument {
    cause: Vec<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    size: Option<OneOrSeveral<f64>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    unit: Option<OneOrSeveral<&'static str>>,
    /// Weighted sum of squares.
    misfit: f64,
    /// What is done about it first, without opening the circuit.
    act: Vec<&'static str>,
}

#[derive(Serialize, JsonSchema)]
#[serde(untagged)]
enum OneOrSeveral<T> {
    One(T),
    Several(Vec<T>),
}

impl<T> OneOrSeveral<T> {
    fn of(mut all: Vec<T>) -> Option<Self> {
        match all.len() {
            0 | 1 => all.pop().map(Self::One),
            _ => Some(Self::Several(all)),
        }
    }
}

impl From<&Fitted> for CauseDocument {
    fn from(fitted: &Fitted) -> Self {
        Self {
            cause: causes(fitted).iter().map(|cause| cause.name()).collect(),
            size: OneOrSeveral::of(fitted.causes.iter().map(|(_, size)| *size).collect()),
            unit: OneOrSeveral::of(fitted.causes.iter().map(|(cause, _)| cause.unit()).collect()),
            misfit: fitted.misfit,
            act: causes(fitted).into_iter().filter_map(Cause::act).collect(),
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct NextDocument<'a> {
    reading: &'static str,
    says: &'a str,
    /// Where it is taken: `condenser` or `machine`; what follows at the same place is taken with it.
    place: &'static str,
    expect: Vec<ExpectDocument>,
}

#[derive(Serialize, JsonSchema)]
struct ExpectDocument {
    /// All causes that make this value.
    cause: Vec<&'static str>,
    /// The explanations that make it, each of one cause or of two together.
    explanations: Vec<Vec<&'static str>>,
    value: f64,
    unit: &'static str,
}

impl<'a> From<&'a Next> for NextDocument<'a> {
    fn from(next: &'a Next) -> Self {
        let expect = next.makes.iter().map(|(explanations, value)| {
            let mut cause: Vec<&'static str> = Vec::new();
            for name in explanations.iter().flatten().map(|cause| cause.name()) {
                if !cause.contains(&name) {
                    cause.push(name);
                }
            }
            let named = |causes: &Vec<Cause>| causes.iter().map(|cause| cause.name()).collect();
            let explanations = explanations.iter().map(named).collect();
            ExpectDocument { cause, explanations, value: *value, unit: next.reading.unit() }
        });
        Self { reading: next.reading.key(), says: next.says, place: next.place.name(), expect: expect.collect() }
    }
}

#[derive(Serialize, JsonSchema)]
struct ReadingDocument {
    key: &'static str,
    read: f64,
    expected: f64,
    accuracy: f64,
    unit: &'static str,
    within: bool,
    left_out: bool,
}

impl From<&Row> for ReadingDocument {
    fn from(row: &Row) -> Self {
        Self {
            key: row.reading.key(),
            read: row.read,
            expected: row.expected,
            accuracy: row.accuracy,
            unit: row.reading.unit(),
            within: row.within(),
            left_out: row.left_out,
        }
    }
}

#[derive(Serialize, JsonSchema)]
struct InstrumentDocument {
    key: &'static str,
    accuracy: f64,
    unit: &'static str,
    /// The instrument, and what its accuracy rests on.
    source: &'static str,
}

impl From<&Accuracy> for InstrumentDocument {
    fn from(one: &Accuracy) -> Self {
        Self { key: one.reading.key(), accuracy: one.value, unit: one.reading.unit(), source: one.source }
    }
}

fn keys(readings: &[Reading]) -> Vec<&'static str> {
    readings.iter().map(|reading| reading.key()).collect()
}

/// The answer to a complaint.
///
/// # Errors
/// Where a number is none.
pub fn json(job: &Job, answer: &Answer) -> Result<String, String> {
    write_json(&document(job, answer)).map_err(|error| error.to_string())
}

/// The same before it is written.
pub(super) fn document<'a>(job: &'a Job, answer: &'a Answer) -> Document<'a> {
    let group = |group: &Group| GroupDocument {
        causes: group.fits.iter().map(CauseDocument::from).collect(),
        share: group.share,
        says: super::text::sizes(group, answer, job),
    };
    Document {
        format: 1,
        tool: TOOL,
        job: job.into(),
        circuit: &answer.circuit,
        outdoor_K: answer.outdoor_K,
        compressor_share: answer.share,
        verdict: answer.verdict.name(),
        contradictions: answer.contradictions.iter().map(ContradictionDocument::from).collect(),
        layout: answer.layout.iter().map(LayoutDocument::from).collect(),
        groups: answer.groups.iter().map(group).collect(),
        next: answer.next.iter().map(NextDocument::from).collect(),
        readings: answer.rows.iter().map(ReadingDocument::from).collect(),
        taken: &answer.taken,
        missing: keys(&answer.missing),
        instruments: answer.instruments.iter().map(InstrumentDocument::from).collect(),
        not_looked_at: super::text::NOT_LOOKED_AT,
        cautions: [super::text::CAUTION],
    }
}

#[derive(Serialize, JsonSchema)]
struct ExpectedDocument<'a> {
    format: u32,
    tool: &'static str,
    job: JobHead<'a>,
    circuit: &'a str,
    compressors_running: f64,
    points: Vec<PointDocument<'a>>,
    /// How exact readings are by their instruments (95 %), where nothing else is said.
    instruments: Vec<InstrumentDocument>,
    taken: &'a [String],
}

#[derive(Serialize, JsonSchema)]
struct PointDocument<'a> {
    outdoor_K: f64,
    subcooling_K: f64,
    readings: Vec<ValueDocument>,
    /// Rules that fail at these conditions: what a healthy machine shows is then no good sign.
    layout: Vec<LayoutDocument<'a>>,
}

#[derive(Serialize, JsonSchema)]
struct ValueDocument {
    key: &'static str,
    expected: f64,
    accuracy: f64,
    unit: &'static str,
}

/// The JSON Schema of what a healthy installation shows.
#[must_use]
pub fn expected_schema() -> Value {
    schema_of::<ExpectedDocument>("The answer of `expect`")
}

/// What a healthy installation shows.
///
/// # Errors
/// Where a number is none.
pub fn expected_json(job: &Job, expected: &Expected) -> Result<String, String> {
    let points = expected.points.iter().map(|point| {
        let readings = point.values.iter().map(|value| ValueDocument {
            key: value.reading.key(),
            expected: value.expected,
            accuracy: value.accuracy,
            unit: value.reading.unit(),
        });
        PointDocument {
            outdoor_K: point.outdoor_K,
            subcooling_K: point.subcooling_K,
            readings: readings.collect(),
            layout: point.layout.iter().map(LayoutDocument::from).collect(),
        }
    });
    let document = ExpectedDocument {
        format: 1,
        tool: TOOL,
        job: job.into(),
        circuit: &expected.circuit,
        compressors_running: expected.running.0,
        points: points.collect(),
        instruments: expected.instruments.iter().map(InstrumentDocument::from).collect(),
        taken: &expected.taken,
    };
    write_json(&document).map_err(|error| error.to_string())
}
