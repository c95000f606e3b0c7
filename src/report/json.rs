//! The answer as JSON, format 1: SI base units, the unit in the key. Keys are only ever added.

use super::answer::{Answer, TubeAnswer, tubes};
use super::remedy::{RemedyDocument, document, whole_document};
use super::safety::{cautions, who_decides};
use super::text::of_the_circuits;
use crate::job::{Assumption, Concerns, Job};
use crate::refdata::Known;
use crate::remedies::Remedy;
use crate::rules::{self, Finding, OwnLimit, Verdict};
use crate::survey::{Charge, Closing, Derating, DropLeg, PlantSurvey, Point, Straight};
use crate::visible::is_hidden;
use schemars::JsonSchema;
use schemars::generate::SchemaSettings;
use serde::Serialize;
use serde_json::Value;
use serde_json::ser::{Formatter, PrettyFormatter, Serializer};
use std::io::{self, Write};

/// The program and its version.
pub(crate) const TOOL: &str = concat!(env!("CARGO_PKG_NAME"), " ", env!("CARGO_PKG_VERSION"));

/// A number that JSON cannot say was about to be written.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
#[error("the answer holds a number that is not finite (`{key}`); nothing was written. Please report this job.")]
pub struct NotFinite {
    /// The key that holds it.
    pub key: String,
}

#[derive(Serialize, JsonSchema)]
struct Document<'a> {
    format: u32,
    tool: &'static str,
    job: JobHead<'a>,
    verdict: Verdict,
    circuits: Vec<CircuitDocument<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    plant: Option<&'a PlantSurvey>,
    findings: Vec<FindingDocument<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    whole_remedy: Option<RemedyDocument>,
    /// Whether the search for remedies tried all that it would; absent where it did.
    #[serde(skip_serializing_if = "Clone::clone")]
    remedies_all_tried: bool,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    own_limits: Vec<OwnLimit>,
    assumptions: Vec<AssumptionDocument<'a>>,
    cautions: Vec<CautionDocument>,
    /// Who decides.
    deferral: String,
}

#[derive(Serialize, JsonSchema)]
pub(crate) struct JobHead<'a> {
    title: &'a str,
    file: &'a str,
}

impl<'a> From<&'a Job> for JobHead<'a> {
    fn from(job: &'a Job) -> Self {
        Self { title: &job.title, file: &job.file }
    }
}

/// A finding as it is written.
#[derive(Serialize, JsonSchema)]
pub(crate) struct FindingDocument<'a> {
    rule: &'static str,
    verdict: Verdict,
    #[serde(skip_serializing_if = "Option::is_none")]
    circuit: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    point: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    r#where: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    value: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    limit: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    unit: Option<&'static str>,
    says: String,
    remedies: Vec<RemedyDocument>,
    source: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    known: Option<Known>,
}

/// Findings as they are written.
pub(crate) fn findings<'a>(job: &'a Job, findings: &'a [Finding]) -> Vec<FindingDocument<'a>> {
    findings.iter().map(|finding| with_remedies(job, finding, &[])).collect()
}

/// Findings with what would mend them, as they are written.
pub(crate) fn mended<'a>(job: &'a Job, findings: &'a [Finding], remedies: &[Vec<Remedy>]) -> Vec<FindingDocument<'a>> {
    findings.iter().zip(remedies).map(|(finding, remedies)| with_remedies(job, finding, remedies)).collect()
}

fn with_remedies<'a>(job: &'a Job, finding: &'a Finding, remedies: &[Remedy]) -> FindingDocument<'a> {
    FindingDocument {
        rule: finding.rule,
        verdict: finding.verdict,
        circuit: finding.circuit.and_then(|index| job.circuits.get(index)).map(|circuit| circuit.name.as_str()),
        point: finding.when.as_ref().map(|when| when.text(job)),
        r#where: finding.place.as_ref().map(|place| place.text(job)),
        value: finding.measure.map(|found| found.value),
        limit: finding.measure.and_then(|found| found.limit),
        unit: finding.measure.map(|found| found.kind.si_unit()),
        says: finding.text(job),
        remedies: remedies.iter().map(|remedy| document(job, &job.text, remedy)).collect(),
        source: finding.source.text(),
        known: finding.source.published().map(|source| source.known),
    }
}

#[derive(Serialize, JsonSchema)]
struct CircuitDocument<'a> {
    name: &'a str,
    module: &'a str,
    copies: u32,
    refrigerant: &'a str,
    points: &'a [Point],
    #[serde(skip_serializing_if = "Vec::is_empty")]
    unsolved: Vec<UnsolvedDocument<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    derating: Option<&'a Derating>,
    #[serde(skip_serializing_if = "Option::is_none")]
    charge: Option<&'a Charge>,
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    closings: &'a [Closing],
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    straights: &'a [Straight],
    #[serde(skip_serializing_if = "<[_]>::is_empty")]
    drop_legs: &'a [DropLeg],
    tubes: Vec<TubeAnswer>,
}

#[derive(Serialize, JsonSchema)]
struct UnsolvedDocument<'a> {
    name: &'a str,
    why: String,
}

#[derive(Serialize, JsonSchema)]
pub(crate) struct AssumptionDocument<'a> {
    key: &'a str,
    value: f64,
    unit: &'a str,
    why: &'a str,
    source: &'a str,
}

impl<'a> From<&'a Assumption> for AssumptionDocument<'a> {
    fn from(a: &'a Assumption) -> Self {
        Self { key: &a.key, value: a.value, unit: &a.unit, why: &a.why, source: &a.source }
    }
}

/// What is dangerous about the work.
#[derive(Serialize, JsonSchema)]
pub(crate) struct CautionDocument {
    hazard: &'static str,
    says: String,
}

/// The cautions that fit a job.
pub(crate) fn hazards(job: &Job) -> Vec<CautionDocument> {
    cautions(job).into_iter().map(|(hazard, says)| CautionDocument { hazard, says }).collect()
}

/// The assumptions that are required by what they are of.
pub(crate) fn assumptions(job: &Job, asked: impl Fn(Concerns) -> bool) -> Vec<AssumptionDocument<'_>> {
    job.assumptions.iter().filter(|assumption| asked(assumption.concerns)).map(AssumptionDocument::from).collect()
}

/// The answer as JSON text, one object and a line break.
///
/// # Errors
/// A number in it is not finite.
pub fn json(answer: &Answer) -> Result<String, NotFinite> {
    let circuits = answer
        .circuits()
        .map(|(circuit, solved)| CircuitDocument {
            name: &circuit.name,
            module: &circuit.module,
            copies: circuit.copies,
            refrigerant: &circuit.refrigerant,
            points: &solved.points,
            unsolved: solved
                .unsolved
                .iter()
                .map(|point| UnsolvedDocument {
                    name: &point.name,
                    why: super::text::why_unsolved(&point.why, answer.job),
                })
                .collect(),
            derating: solved.derating.as_ref(),
            charge: solved.charge.as_ref(),
            closings: &solved.closings,
            straights: &solved.straights,
            drop_legs: &solved.drop_legs,
            tubes: tubes(circuit),
        })
        .collect();
    write_json(&Document {
        format: 1,
        tool: TOOL,
        job: answer.job.into(),
        verdict: answer.verdict,
        circuits,
        plant: answer.plant.as_ref(),
        findings: answer.mended().map(|(finding, remedies)| with_remedies(answer.job, finding, remedies)).collect(),
        remedies_all_tried: answer.all_tried,
        whole_remedy: answer.whole.as_ref().map(|whole| whole_document(answer.job, &answer.job.text, whole)),
        own_limits: rules::own_limits(answer.job, of_the_circuits),
        assumptions: assumptions(answer.job, |concerns| matches!(concerns, Concerns::Circuits | Concerns::Plant)),
        cautions: hazards(answer.job),
        deferral: who_decides(),
    })
}

/// The JSON Schema of the answer.
#[must_use]
pub fn schema() -> Value {
    schema_of::<Document>("The answer of `check`")
}

/// The JSON Schema of what [`write_json`] writes of a type: keys that it may leave out are not required, and more keys may come.
pub(crate) fn schema_of<T: JsonSchema>(title: &str) -> Value {
    let generator = SchemaSettings::draft2020_12().for_serialize().into_generator();
    let mut schema = generator.into_root_schema_for::<T>();
    schema.insert("title".to_owned(), title.into());
    schema.to_value()
}

/// Anything that serializes, as JSON text with a line break at its end.
///
/// # Errors
/// A number in it is not finite. `None` must be skipped, since it reads the same.
pub fn write_json(value: &impl Serialize) -> Result<String, NotFinite> {
    let mut bytes = Vec::new();
    let formatter = FiniteOnly::default();
    if value.serialize(&mut Serializer::with_formatter(&mut bytes, formatter)).is_err() {
        return Err(NotFinite { key: last_key(&String::from_utf8_lossy(&bytes)) });
    }
    bytes.push(b'\n');
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// The key that was being written when the text broke off.
fn last_key(text: &str) -> String {
    let before = text.rsplit_once("\":").map_or("", |(before, _)| before);
    before.rsplit_once('"').map_or("", |(_, key)| key).to_owned()
}

/// Pretty, and refuses to write `null`, which is what a number that is not finite would become. A zero has no sign: an empty sum
/// is -0.
/// Only what stood or is to stand in a file may be nothing.
#[derive(Default)]
struct FiniteOnly {
    pretty: PrettyFormatter<'static>,
    key: String,
    in_key: bool,
}

macro_rules! as_pretty {
    ($($method:ident($($argument:ident: $kind:ty),*);)*) => {
        $(fn $method<W: ?Sized + Write>(&mut self, writer: &mut W $(, $argument: $kind)*) -> io::Result<()> {
            self.pretty.$method(writer $(, $argument)*)
        })*
    };
}

impl Formatter for FiniteOnly {
    fn write_null<W: ?Sized + Write>(&mut self, writer: &mut W) -> io::Result<()> {
        match self.key.as_str() {
            "old" | "new" => writer.write_all(b"null"),
            _ => Err(io::Error::other("null")),
        }
    }

    fn begin_object_key<W: ?Sized + Write>(&mut self, writer: &mut W, first: bool) -> io::Result<()> {
        self.key.clear();
        self.in_key = true;
        self.pretty.begin_object_key(writer, first)
    }

    fn begin_object_value<W: ?Sized + Write>(&mut self, writer: &mut W) -> io::Result<()> {
        self.in_key = false;
        self.pretty.begin_object_value(writer)
    }

    fn write_string_fragment<W: ?Sized + Write>(&mut self, writer: &mut W, fragment: &str) -> io::Result<()> {
        if self.in_key {
            self.key.push_str(fragment);
        }
        for part in fragment.split_inclusive(is_hidden) {
            let hidden = part.chars().next_back().filter(|c| is_hidden(*c));
            self.pretty.write_string_fragment(writer, part.trim_end_matches(is_hidden))?;
            if let Some(c) = hidden {
                write!(writer, "\\u{:04x}", u32::from(c))?;
            }
        }
        Ok(())
    }

    fn write_f64<W: ?Sized + Write>(&mut self, writer: &mut W, value: f64) -> io::Result<()> {
        self.pretty.write_f64(writer, value + 0.0)
    }

    as_pretty! {
        begin_array();
        end_array();
        begin_array_value(first: bool);
        end_array_value();
        begin_object();
        end_object();
        end_object_value();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::testing;
    use serde_json::{Value, json};

    fn document() -> Value {
        let job = testing::job();
        let survey = testing::survey(&job);
        let text = super::json(&Answer::new(&job, &survey, testing::findings())).unwrap();
        serde_json::from_str(&text).unwrap()
    }

    fn keys(value: &Value) -> Vec<&str> {
        value.as_object().unwrap().keys().map(String::as_str).collect()
    }

    /// What was left untried is told, in JSON and in the text.
    #[test]
    fn remedies_that_were_not_all_tried_are_told() {
        let job = testing::job();
        let survey = testing::survey(&job);
        for all_tried in [true, false] {
            let answer = Answer { all_tried, ..Answer::new(&job, &survey, testing::findings()) };
            let document: Value = serde_json::from_str(&super::json(&answer).unwrap()).unwrap();
            assert_eq!(document.get("remedies_all_tried"), (!all_tried).then_some(&json!(false)));
            let text = crate::report::text(&answer, 80, false);
            assert_eq!(text.contains("more remedies, suction line"), !all_tried, "{text}");
        }
    }

    #[test]
    fn keys_are_those_of_format_1() {
        let document = document();
        for (value, wanted) in [
            (&document, "format tool job verdict circuits plant findings assumptions"),
            (&document["job"], "title file"),
            (&document["circuits"][0], "name refrigerant points derating tubes"),
            (
                &document["circuits"][0]["points"][0],
                "name outdoor_K air_on_K compressor_share bypass_share evaporating_K condensing_K capacity_W power_W \
                 rejection_W mass_flow_kg_s state discharge_line liquid_line",
            ),
            (
                &document["circuits"][0]["points"][0]["liquid_line"],
                "flow_kg_s heat_W length_m equivalent_length_m rise_m friction_Pa parts_Pa static_Pa pressure_drop_Pa \
                 saturation_drop_K minimum_subcooling_K runs",
            ),
            (
                &document["circuits"][0]["points"][0]["discharge_line"]["runs"][1],
                "index path length_m equivalent_length_m tubes friction_Pa static_Pa oil_lift out",
            ),
            (
                &document["circuits"][0]["points"][0]["discharge_line"]["runs"][1]["tubes"][0],
                "size bore_m flow_kg_s velocity_m_s reynolds friction_factor oil_minimum_flow_kg_s",
            ),
            (&document["circuits"][0]["derating"], "rated_W at_design_W share steps curve highest_outdoor_K"),
            (&document["findings"][7], "rule verdict circuit point where value limit unit says remedies source"),
            (&document["assumptions"][0], "key value unit why source"),
        ] {
            let has = keys(value);
            for key in wanted.split_whitespace() {
                assert!(has.contains(&key), "{key} in {has:?}");
            }
        }
        assert_eq!(document["format"], 1);
        assert_eq!(document["verdict"], "fail");
        assert_eq!(document["tool"], concat!("roofrun ", env!("CARGO_PKG_VERSION")));
        assert_eq!(document["circuits"][1]["unsolved"][0]["name"], "winter full");
    }

    #[test]
    fn the_plant_is_summed_with_and_without_its_spare() {
        let plant = &document()["plant"];
        assert_eq!(plant["capacity_W"], json!(264_000.0));
        assert_eq!(plant["capacity_without_spare_W"], json!(132_000.0));
        assert_eq!(plant["modules"][1]["name"], "1 B");
    }

    #[test]
    fn tubes_count_each_of_parallel_ones_and_no_parts() {
        let tubes = &document()["circuits"][0]["tubes"];
        let sizes: Vec<&str> = tubes.as_array().unwrap().iter().map(|tube| tube["size"].as_str().unwrap()).collect();
        assert_eq!(sizes, ["1-5/8 ACR", "7/8 ACR", "1-3/8 ACR", "1-1/8 ACR"]);
        approx::assert_relative_eq!(tubes[0]["discharge_length_m"].as_f64().unwrap(), 4.2672, max_relative = 1e-12);
        approx::assert_relative_eq!(tubes[3]["liquid_length_m"].as_f64().unwrap(), 11.5824, max_relative = 1e-12);
    }

    #[derive(Serialize)]
    struct Pair {
        sound: Vec<f64>,
        broken: f64,
    }

    #[test]
    fn what_is_not_finite_is_refused_by_its_key() {
        for broken in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            let refused = write_json(&Pair { sound: vec![1.0], broken });
            assert_eq!(refused, Err(NotFinite { key: "broken".to_owned() }));
        }
        let refused = write_json(&Pair { sound: vec![f64::NAN], broken: 1.0 });
        assert_eq!(refused, Err(NotFinite { key: "sound".to_owned() }));
    }

    #[test]
    fn numbers_come_back_to_the_last_bit() {
        let sound = vec![0.1 + 0.2, 1e-300, -2.5e17];
        assert!(!write_json(&Pair { sound: vec![-0.0], broken: -0.0 }).unwrap().contains("-0"));
        let text = write_json(&Pair { sound: sound.clone(), broken: 0.0 }).unwrap();
        let back: serde_json::Value = serde_json::from_str(&text).unwrap();
        assert_eq!(back["sound"], json!(sound));
        assert!(text.ends_with("}\n"));
    }
}
