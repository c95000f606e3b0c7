//! What was found, for a program. SI base units, the unit in the key.

use super::answer::{Numbers, Outcome, Sizing};
use crate::remedies::{Choice, Section};
use crate::report::{FindingDocument, NotFinite, TOOL, schema_of, write_json, written};
use crate::survey::deferral;
use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Value;

#[derive(Serialize, JsonSchema)]
struct Document<'a> {
    format: u32,
    tool: &'static str,
    complete: bool,
    plant_fails: Vec<FindingDocument<'a>>,
    circuits: Vec<Circuit<'a>>,
    /// Who decides about the charge.
    charge_decided_by: &'static str,
}

#[derive(Serialize, JsonSchema)]
struct Circuit<'a> {
    name: &'a str,
    copies: u32,
    found: bool,
    /// Whether the search was stopped before it had looked at every set.
    #[serde(skip_serializing_if = "is_false")]
    stopped: bool,
    set: Vec<Part>,
    #[serde(skip_serializing_if = "Option::is_none")]
    numbers: Option<Cost>,
    neighbours: Vec<Beside>,
    cautions: &'a [&'static str],
    sealed_at: &'a [String],
    fails: Vec<FindingDocument<'a>>,
}

#[derive(Serialize, JsonSchema)]
struct Part {
    place: &'static str,
    tubes: Vec<String>,
}

#[derive(Serialize, JsonSchema)]
struct Beside {
    #[serde(flatten)]
    part: Part,
    larger: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    numbers: Option<Cost>,
    fails: Vec<&'static str>,
    /// Rules whose usual aim it misses.
    misses: Vec<&'static str>,
}

#[derive(Serialize, JsonSchema)]
struct Cost {
    discharge_drop_K: f64,
    capacity_W: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    oil_lift_ratio: Option<f64>,
    valve_subcooling_K: f64,
    copper_kg: f64,
    refrigerant_kg: f64,
}

impl From<&Numbers> for Cost {
    fn from(numbers: &Numbers) -> Self {
        Self {
            discharge_drop_K: numbers.discharge_drop_K,
            capacity_W: numbers.capacity_W,
            oil_lift_ratio: numbers.oil_ratio,
            valve_subcooling_K: numbers.subcooling_K,
            copper_kg: numbers.copper_kg,
            refrigerant_kg: numbers.refrigerant_kg,
        }
    }
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde asks by reference")]
fn is_false(value: &bool) -> bool {
    !value
}

fn part(section: Section, choice: &Choice) -> Part {
    Part { place: section.name(), tubes: choice.tubes.iter().map(|tube| tube.name.clone()).collect() }
}

/// The JSON Schema of the answer.
#[must_use]
pub fn schema() -> Value {
    schema_of::<Document>("The answer of `size`")
}

/// The answer of `size` as JSON, format 1.
///
/// # Errors
/// A number in it is not finite.
pub fn json(sizing: &Sizing) -> Result<String, NotFinite> {
    let circuits = sizing
        .circuits
        .iter()
        .map(|circuit| {
            let mut answer = Circuit {
                name: &circuit.name,
                copies: circuit.copies,
                found: false,
                stopped: false,
                set: Vec::new(),
                numbers: None,
                neighbours: Vec::new(),
                cautions: &[],
                sealed_at: &[],
                fails: Vec::new(),
            };
            match &circuit.outcome {
                Outcome::NothingOpen => answer.found = true,
                Outcome::Found { set, numbers, neighbours, cautions, sealed_at, fails } => {
                    answer.fails = written(&sizing.job, fails);
                    answer.sealed_at = sealed_at;
                    answer.cautions = cautions;
                    answer.found = true;
                    answer.set = set.iter().map(|(section, choice)| part(*section, choice)).collect();
                    answer.numbers = Some(numbers.into());
                    answer.neighbours = neighbours
                        .iter()
                        .map(|neighbour| Beside {
                            part: part(neighbour.section, &neighbour.choice),
                            larger: neighbour.larger,
                            numbers: neighbour.numbers.as_ref().map(Cost::from),
                            fails: neighbour.fails.clone(),
                            misses: neighbour.misses.clone(),
                        })
                        .collect();
                }
                Outcome::Blocked { nearest, fails, stopped } => {
                    answer.stopped = *stopped;
                    answer.set = nearest.iter().map(|(section, choice)| part(*section, choice)).collect();
                    answer.fails = written(&sizing.job, fails);
                }
            }
            answer
        })
        .collect();
    let document = Document {
        format: 1,
        tool: TOOL,
        complete: sizing.complete(),
        plant_fails: written(&sizing.job, &sizing.plant),
        circuits,
        charge_decided_by: deferral(sizing.job.site.code),
    };
    write_json(&document)
}
