//! What a rule is and what it answers.

use super::case::{Case, greatest};
use super::say::{Say, Scene, list, runs};
use crate::job::{Job, LineId};
use crate::refdata::{self, Limit, Source as Published};
use crate::roof::RoofStudy;
use crate::survey::{PointId, Survey};
use crate::units::Kind;
use crate::year::Year;
use schemars::JsonSchema;
use serde::Serialize;

/// How bad it is, in rising order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// Holds.
    Pass,
    /// Could not be looked at.
    #[serde(rename = "not judged")]
    NotJudged,
    /// Worth knowing.
    Note,
    /// Holds, with little to spare or against good practice.
    Caution,
    /// Does not hold.
    Fail,
}

/// When it is so.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum When {
    /// At an operating point.
    Point(PointId),
    /// By day.
    Day,
    /// At night.
    Night,
    /// In the design wind.
    Wind,
    /// In an hour of the year, as it is told.
    Hour(String),
}

/// Where it is so.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Place {
    /// A line of the circuit.
    Line(LineId),
    /// Runs of a line, by number from 1.
    Runs(LineId, Vec<usize>),
    /// Runs of both lines, by number from 1.
    Lines(Vec<(LineId, Vec<usize>)>),
    /// The inlet of a line.
    Inlet(LineId),
    /// The condenser.
    Condenser,
    /// The receiver.
    Receiver,
    /// The relief valve.
    ReliefValve,
    /// The discharge line of the relief valve.
    ReliefLine,
    /// The expansion valve.
    Valve,
    /// A room, by its index.
    Room(usize),
    /// A unit on the roof, by its index.
    Unit(usize),
    /// A side of a unit on the roof.
    UnitSide(usize, &'static str),
    /// The space before the controls of a unit, at that side.
    Controls(usize, &'static str),
    /// The pit that a unit stands in.
    Pit(usize),
    /// Where piping passes over a walkway, by its index.
    Crossing(usize),
    /// A rail, by its index.
    Rail(usize),
    /// A listener, by its index.
    Listener(usize),
    /// A limit of the job's own, by its key.
    Limit(&'static str),
}

/// Where a limit comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Source {
    /// An entry of `refdata/sources.toml`.
    Published(&'static str),
    /// A limit that the job sets itself.
    OwnLimit,
    /// Keys of the job file.
    Job(&'static str),
    /// The balance of the circuit.
    Balance,
    /// The hours of the weather file.
    Weather,
}

/// What was found, against what, in SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measure {
    /// The kind of both.
    pub kind: Kind,
    /// What was found.
    pub value: f64,
    /// The limit, where there is one.
    pub limit: Option<f64>,
}

/// One answer of one rule. Numbers and identifiers only: what is read is made from them by [`Finding::text`].
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// The rule's id.
    pub rule: &'static str,
    /// How bad it is.
    pub verdict: Verdict,
    /// The circuit, by its index in the job, unless it is about the plant.
    pub circuit: Option<usize>,
    /// When, the worst of the operating points.
    pub when: Option<When>,
    /// Where.
    pub place: Option<Place>,
    /// What was found against which limit.
    pub measure: Option<Measure>,
    /// The finding in a sentence or two.
    pub says: Say,
    /// Where the limit comes from.
    pub source: Source,
}

/// A rule: text for people and a check.
#[derive(Clone, Copy)]
pub struct Rule {
    /// Its id.
    pub id: &'static str,
    /// The question that it answers, in the trade's words.
    pub question: &'static str,
    /// At length: what is checked, against what, and what a fail does to the plant.
    pub explanation: &'static str,
    /// Keys of its limits in `refdata`.
    pub limits: &'static [&'static str],
    /// The check. At least one finding for each circuit that it applies to.
    pub look: Look,
}

/// What a rule looks at.
#[derive(Clone, Copy)]
pub enum Look {
    /// Each circuit by itself.
    Circuit(fn(&Case) -> Vec<Finding>),
    /// The circuits together.
    Plant(fn(&Job, &Survey) -> Vec<Finding>),
    /// The roof, where it is studied.
    Roof(fn(&Job, &RoofStudy) -> Vec<Finding>),
    /// The year, where it is run.
    Year(fn(&Job, &Year) -> Vec<Finding>),
}

impl Rule {
    /// Its findings about a job; those about its site are `check_site`.
    #[must_use]
    pub fn check(&self, job: &Job, survey: &Survey) -> Vec<Finding> {
        match self.look {
            Look::Circuit(look) => Case::all(job, survey).flat_map(|case| look(&case)).collect(),
            Look::Plant(look) => look(job, survey),
            Look::Roof(_) | Look::Year(_) => Vec::new(),
        }
    }
}

impl Finding {
    /// A finding that says nothing yet.
    pub(super) fn new(rule: &'static str, verdict: Verdict, circuit: Option<usize>) -> Self {
        let source = Source::Balance;
        Self { rule, verdict, circuit, when: None, place: None, measure: None, says: Say::default(), source }
    }

    /// Then.
    pub(super) fn at(mut self, when: impl Into<When>) -> Self {
        self.when = Some(when.into());
        self
    }

    /// There.
    pub(super) fn place(mut self, place: impl Into<Place>) -> Self {
        self.place = Some(place.into());
        self
    }

    /// What was found against which limit, SI. A value that is not finite is left out.
    pub(super) fn found(mut self, value: f64, limit: impl Into<Option<f64>>, kind: impl Into<Kind>) -> Self {
        let limit = limit.into().filter(|limit| limit.is_finite());
        self.measure = value.is_finite().then(|| Measure { kind: kind.into(), value, limit });
        self
    }

    /// In a sentence or two.
    pub(super) fn says(mut self, says: impl Into<Say>) -> Self {
        self.says = says.into();
        self
    }

    /// Where the limit comes from.
    pub(super) fn by(mut self, source: impl Into<Source>) -> Self {
        self.source = source.into();
        self
    }

    /// Its words, in the units of the job.
    #[must_use]
    pub fn text(&self, job: &Job) -> String {
        let apart = self.measure.and_then(|found| Some([found.value, found.limit?]));
        self.says.text(Scene { job, circuit: self.circuit, apart })
    }

    /// The operating point, where it is so at one.
    #[must_use]
    pub fn point(&self) -> Option<PointId> {
        match self.when {
            Some(When::Point(point)) => Some(point),
            _ => None,
        }
    }
}

/// What does not pass; where all does, the finding of the greatest measure stands for all.
pub(super) fn wrong_or_greatest(findings: impl Iterator<Item = (Finding, f64)>) -> Vec<Finding> {
    let (wrong, good): (Vec<_>, Vec<_>) = findings.partition(|(finding, _)| finding.verdict > Verdict::Pass);
    let told = if wrong.is_empty() { greatest(good.into_iter()).into_iter().collect() } else { wrong };
    told.into_iter().map(|(finding, _)| finding).collect()
}

impl Case<'_> {
    /// A finding about this circuit.
    pub(super) fn finding(&self, rule: &'static str, verdict: Verdict) -> Finding {
        Finding::new(rule, verdict, Some(self.index))
    }
}

impl When {
    /// In words: `summer full`, `at night`.
    #[must_use]
    pub fn text(&self, job: &Job) -> String {
        match self {
            Self::Point(point) => point.name(job).to_owned(),
            Self::Day => "by day".to_owned(),
            Self::Night => "at night".to_owned(),
            Self::Wind => "in the design wind".to_owned(),
            Self::Hour(hour) => hour.clone(),
        }
    }
}

impl Place {
    /// A run, by number from 1.
    pub(super) fn run(line: LineId, number: usize) -> Self {
        Self::Runs(line, vec![number])
    }

    /// In words: `discharge run 2`, `unit C1`.
    #[must_use]
    pub fn text(&self, job: &Job) -> String {
        let roof = job.roof.as_ref();
        let unit = |index: usize| roof.and_then(|roof| roof.units.get(index)).map_or("", |unit| unit.name.as_str());
        match self {
            Self::Line(line) => line.name().to_owned(),
            Self::Runs(line, numbers) => format!("{} {}", line.name(), runs(numbers)),
            Self::Lines(lines) => {
                list(lines.iter().map(|(line, numbers)| format!("{} {}", line.name(), runs(numbers))))
            }
            Self::Inlet(line) => format!("{} inlet", line.name()),
            Self::Condenser => "condenser".to_owned(),
            Self::Receiver => "receiver".to_owned(),
            Self::ReliefValve => "relief valve".to_owned(),
            Self::ReliefLine => "relief line".to_owned(),
            Self::Valve => "valve".to_owned(),
            Self::Room(index) => {
                format!("room {}", job.rooms.get(*index).map_or("", |room| room.name.as_str()))
            }
            Self::Unit(index) | Self::Pit(index) => format!("unit {}", unit(*index)),
            Self::UnitSide(index, side) => format!("unit {}, {side} side", unit(*index)),
            Self::Controls(index, side) => format!("unit {}, controls on the {side} side", unit(*index)),
            Self::Crossing(index) => {
                let crossing = roof.and_then(|roof| roof.crossings.get(*index));
                format!("crossing {}", crossing.map_or("", |crossing| crossing.name.as_str()))
            }
            Self::Rail(index) => format!("rail {}", index + 1),
            Self::Listener(index) => {
                let listener = roof.and_then(|roof| roof.listeners.get(*index));
                format!("listener {}", listener.map_or("", |listener| listener.name.as_str()))
            }
            Self::Limit(key) => format!("[limits] {key}"),
        }
    }

    /// The line that it is in.
    #[must_use]
    pub fn line(&self) -> Option<LineId> {
        match self {
            Self::Line(line) | Self::Runs(line, _) | Self::Inlet(line) => Some(*line),
            _ => None,
        }
    }
}

impl Source {
    /// The source of a default limit.
    pub(super) fn of(limit: &'static Limit) -> Self {
        Self::Published(&limit.source)
    }

    /// In words.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Self::Published(key) => {
                refdata::source(key).map_or_else(|| (*key).to_owned(), |source| source.title.clone())
            }
            Self::OwnLimit => "the job file's own limit".to_owned(),
            Self::Job(keys) => format!("the job file ({keys})"),
            Self::Balance => "the solution of the circuit".to_owned(),
            Self::Weather => "the hours of the weather file".to_owned(),
        }
    }

    /// The entry of `refdata/sources.toml`, which knows how it was read.
    #[must_use]
    pub fn published(&self) -> Option<&'static Published> {
        match self {
            Self::Published(key) => refdata::source(key),
            _ => None,
        }
    }
}

impl From<PointId> for When {
    fn from(point: PointId) -> Self {
        Self::Point(point)
    }
}

impl From<&Source> for Source {
    fn from(source: &Source) -> Self {
        source.clone()
    }
}
