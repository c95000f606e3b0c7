//! Sentences as data: words with places for values, which become text in the units and names of whoever reads.

use crate::job::{Circuit, Job, LineId, Path, Run};
use crate::refrigerant::{End, OutOfRange};
use crate::survey::PointId;
use crate::units::words::and;
use crate::units::{Kind, System, factor};
use crate::weather::Implausible;

/// What a sentence is read with: the job, and the circuit that it is about.
#[derive(Clone, Copy)]
pub struct Scene<'a> {
    /// The job.
    pub job: &'a Job,
    /// The circuit by its index, unless it is about the plant.
    pub circuit: Option<usize>,
    /// What was found and its limit, which must not read alike where they differ.
    pub apart: Option<[f64; 2]>,
}

impl<'a> Scene<'a> {
    /// A quantity; what was found and its limit with digits enough to differ.
    fn show(&self, kind: Kind, value: f64) -> Option<String> {
        let both = self.apart?;
        let at = both.iter().position(|of| of.to_bits() == value.to_bits())?;
        let (units, atmosphere) = (self.job.units, self.job.site.atmosphere.pascals());
        kind.show_apart(units, both, atmosphere).into_iter().nth(at)
    }

    /// A temperature in whole degrees, unless the found one and its limit would then read alike.
    fn whole_degrees(&self, kelvin: f64) -> String {
        let show = self.job.units;
        let alike = self.apart.is_some_and(|[a, b]| show.temperature(a) == show.temperature(b));
        let finer = if alike { self.show(Kind::Temperature, kelvin) } else { None };
        finer.filter(|_| self.differ()).unwrap_or_else(|| show.temperature(kelvin))
    }

    fn differ(&self) -> bool {
        self.apart.is_some_and(|[a, b]| (a - b).abs() > 1e-9 * a.abs())
    }

    fn circuit(&self) -> Option<&'a Circuit> {
        self.job.circuits.get(self.circuit?)
    }

    fn run(&self, line: LineId, number: usize) -> Option<&'a Run> {
        line.of(self.circuit()?).runs.get(number.checked_sub(1)?)
    }
}

/// Sentences: words in which each `{}` is the place of a value.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Say {
    parts: Vec<(&'static str, Vec<Value>)>,
}

/// A value in a sentence.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A quantity in SI: `38 ft`, `412 psig`.
    Of(Kind, f64),
    /// A temperature in whole degrees, K: no metal is known closer.
    Degrees(f64),
    /// A temperature as a sentence gives it, K: `96 F`, `35.6 °C`.
    Temperature(f64),
    /// A temperature difference to a hundredth, K.
    Fine(f64),
    /// A length that is read off a rule, m.
    Rule(f64),
    /// A vessel's volume that is enough, rounded up, m3.
    Vessel(f64),
    /// A whole number.
    Count(usize),
    /// A word that a job or a table gives, or a fixed one.
    Name(String),
    /// Words in a row: `a, b and c`.
    List(Vec<Value>),
    /// Words in a row, commas between: `a, b, c`.
    Row(Vec<Value>),
    /// An operating point.
    Point(PointId),
    /// A run with what it is: `the riser of 38 ft in 2-1/8 ACR (run 2)`.
    Run(LineId, usize),
    /// Runs by number: `run 2`, `runs 1 and 3`.
    Runs(Vec<usize>),
    /// A difference of levels, dB.
    Decibels(f64),
    /// A pressure on a face, Pa.
    FacePressure(f64),
    /// Where a wind comes from, degrees clockwise from north.
    Bearing(f64),
    /// What of a temperature difference is left where parts of it are taken away, so that what is shown adds up, K.
    Rest(f64, Vec<f64>),
    /// What is unlikely in a weather file.
    Implausible(Implausible),
    /// What leaves a refrigerant's range: `the pressure of R-410A, 700 psia, is above 660 psia, ...`.
    Beyond(OutOfRange),
    /// Sentences of their own.
    Say(Say),
}

/// A sentence, each `{}` of its words the place of one of the values.
pub fn say(words: &'static str, values: impl Into<Vec<Value>>) -> Say {
    Say::default().and(words, values)
}

impl Say {
    /// With more behind it.
    #[must_use]
    pub fn and(mut self, words: &'static str, values: impl Into<Vec<Value>>) -> Self {
        let values = values.into();
        debug_assert_eq!(words.matches("{}").count(), values.len(), "{words}");
        self.parts.push((words, values));
        self
    }

    /// Sentences one after the other.
    #[must_use]
    pub fn sentences(sentences: impl IntoIterator<Item = Say>) -> Self {
        sentences.into_iter().filter(|say| !say.is_empty()).fold(Self::default(), |all, one| {
            let all = if all.is_empty() { all } else { all.and(" ", []) };
            all.then(one)
        })
    }

    /// With sentences behind it.
    #[must_use]
    pub fn then(mut self, more: Say) -> Self {
        self.parts.extend(more.parts);
        self
    }

    /// Whether it says nothing.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.parts.is_empty()
    }

    /// As text. A sentence that begins with a value begins with a capital.
    #[must_use]
    pub fn text(&self, scene: Scene) -> String {
        let text = self.within(scene);
        let begins =
            self.parts.iter().find(|(words, _)| !words.is_empty()).is_some_and(|(words, _)| words.starts_with("{}"));
        if begins { capital(&text) } else { text }
    }

    /// The runs that it names, in its order.
    pub(crate) fn runs(&self) -> Vec<(LineId, usize)> {
        let run = |value: &Value| if let Value::Run(line, number) = value { Some((*line, *number)) } else { None };
        self.parts.iter().flat_map(|(_, values)| values).filter_map(run).collect()
    }

    /// As text that goes on within a sentence.
    fn within(&self, scene: Scene) -> String {
        let mut text = String::new();
        for (words, values) in &self.parts {
            let mut values = values.iter();
            let mut pieces = words.split("{}");
            text.push_str(pieces.next().unwrap_or_default());
            for piece in pieces {
                let value = values.next().map_or_else(String::new, |value| value.text(scene));
                let begins = text.ends_with(". ");
                text.push_str(&if begins { capital(&value) } else { value });
                text.push_str(piece);
            }
        }
        text
    }
}

impl From<&'static str> for Say {
    fn from(text: &'static str) -> Self {
        say(text, [])
    }
}

impl Value {
    /// A name.
    pub(crate) fn name(name: impl Into<String>) -> Self {
        Self::Name(name.into())
    }

    /// A whole number.
    pub(crate) fn whole(count: u32) -> Self {
        Self::Count(usize::try_from(count).unwrap_or(usize::MAX))
    }

    /// Names in a row.
    pub(crate) fn names<S: Into<String>>(names: impl IntoIterator<Item = S>) -> Self {
        Self::List(names.into_iter().map(Self::name).collect())
    }

    /// As text.
    fn text(&self, scene: Scene) -> String {
        let show = scene.job.units;
        match self {
            Self::Of(kind, value) => scene
                .show(*kind, *value)
                .unwrap_or_else(|| kind.show(show, *value, scene.job.site.atmosphere.pascals())),
            Self::Degrees(kelvin) => degrees(show, *kelvin),
            Self::Temperature(kelvin) => scene.whole_degrees(*kelvin),
            Self::Fine(kelvin) => show.small_difference(*kelvin),
            Self::Rule(metres) => show.rule_length(*metres),
            Self::Vessel(volume) => vessel(show, *volume),
            Self::Count(count) => count.to_string(),
            Self::Name(name) => name.clone(),
            Self::List(values) => list(values.iter().map(|value| value.text(scene))),
            Self::Row(values) => values.iter().map(|value| value.text(scene)).collect::<Vec<_>>().join(", "),
            Self::Point(point) => point.name(scene.job).to_owned(),
            Self::Run(line, number) => {
                let run = scene.run(*line, *number);
                run.map_or_else(|| format!("run {number}"), |run| name_run(show, run, *number))
            }
            Self::Runs(numbers) => runs(numbers),
            Self::Decibels(difference) => format!("{} dB", show.level(*difference).trim_end_matches(" dBA")),
            Self::FacePressure(pascals) => show.face_pressure(*pascals),
            Self::Bearing(degrees) => format!("{degrees:.0}°"),
            Self::Rest(whole, parts) => show.difference(rest(show, *whole, parts)),
            Self::Implausible(doubt) => doubt.says(show),
            Self::Beyond(range) => beyond(show, range),
            Self::Say(say) => say.within(scene),
        }
    }
}

/// The whole less its parts, each to a tenth of a degree, as they are shown.
fn rest(show: System, whole: f64, parts: &[f64]) -> f64 {
    let tenth = if show == System::Ip { 0.1 * factor::FAHRENHEIT_DEGREE } else { 0.1 };
    let shown = |kelvin: f64| (kelvin / tenth).round() * tenth;
    (shown(whole) - parts.iter().copied().map(shown).sum::<f64>()).max(0.0)
}

/// A temperature in whole degrees.
fn degrees(show: System, kelvin: f64) -> String {
    let (zero, step) = match show {
        System::Ip => (factor::fahrenheit_to_kelvin(0.0), factor::FAHRENHEIT_DEGREE),
        System::Si => (273.15, 1.0),
    };
    show.temperature(((kelvin - zero) / step).round() * step + zero)
}

/// A volume that is enough as it is read: rounded up.
fn vessel(show: System, volume: f64) -> String {
    let step = if show == System::Ip { 0.1 * factor::CUBIC_FOOT } else { factor::LITRE };
    show.volume((volume / step - 1e-6).ceil() * step)
}

/// What a run is: `the rise of 38 ft in 2-1/8 ACR (run 2)`.
fn name_run(show: System, run: &Run, number: usize) -> String {
    let tubes = list(run.tubes.iter().map(|tube| tube.name.clone()));
    let what = match &run.path {
        Path::Level { .. } => "level run",
        Path::Rise { .. } => "riser",
        Path::Drop { .. } => "drop",
        Path::Part(part) => return format!("the {} (run {number})", part.name),
    };
    format!("the {what} of {} in {tubes} (run {number})", show.length(run.path.length_m()))
}

/// What leaves a refrigerant's range.
pub(crate) fn beyond(show: System, range: &OutOfRange) -> String {
    let text = |value: f64| match range.unit {
        "Pa" => show.pressure_absolute(value),
        "K" => show.temperature_exact(value),
        "J/kg" => show.enthalpy(value),
        unit => format!("{value:.1} {unit}"),
    };
    let side = if range.end == End::Least { "below" } else { "above" };
    let (quantity, meaning) = (range.quantity, range.meaning);
    if !range.value.is_finite() {
        return format!("the {quantity} of {} leaves its range ({meaning})", range.refrigerant);
    }
    format!(
        "the {quantity} of {}, {}, is {side} {}, {meaning}",
        range.refrigerant,
        text(range.value),
        text(range.bound)
    )
}

/// Words in a row: `a`, `a and b`, `a, b and c`.
pub(crate) fn list(words: impl IntoIterator<Item = String>) -> String {
    and(&words.into_iter().collect::<Vec<_>>())
}

/// A sentence's start: `Two of 7/8 K`.
pub(crate) fn capital(words: &str) -> String {
    let mut text = words.to_owned();
    if let Some(first) = text.get_mut(0..1) {
        first.make_ascii_uppercase();
    }
    text
}

/// Runs by number: `run 2`, `runs 1 and 3`.
pub(crate) fn runs(numbers: &[usize]) -> String {
    let word = if numbers.len() == 1 { "run" } else { "runs" };
    format!("{word} {}", list(numbers.iter().map(usize::to_string)))
}

#[cfg(test)]
mod tests {
    use super::super::testing::job;
    use super::*;

    #[test]
    fn a_sentence_is_read_in_the_units_of_the_job() {
        let mut job = job();
        let says = say(
            "{} loses {} at {}.",
            [
                Value::Run(LineId::Discharge, 2),
                Value::Of(Kind::PressureDifference, 6894.757),
                Value::Point(PointId::SummerFull),
            ],
        );
        let text = |job: &Job| says.text(Scene { job, circuit: Some(0), apart: None });
        assert_eq!(text(&job), "The riser of 38 ft in 2-5/8 ACR (run 2) loses 1.0 psi at summer full.");
        job.units = System::Si;
        assert_eq!(text(&job), "The riser of 11.6 m in 2-5/8 ACR (run 2) loses 6.9 kPa at summer full.");
    }

    #[test]
    fn two_temperatures_that_only_rounding_holds_apart_are_read_in_whole_degrees() {
        let job = job();
        let read = |found: f64, limit: f64| {
            let scene = Scene { job: &job, circuit: None, apart: Some([found, limit]) };
            (scene.whole_degrees(found), scene.whole_degrees(limit))
        };
        // 80.33 F.
        let (found, limit) = read(300.0, 300.0 + 1e-10);
        assert_eq!((found.as_str(), limit.as_str()), ("80 F", "80 F"));
        let (found, limit) = read(300.0, 300.02);
        assert_ne!(found, limit);
    }

    #[test]
    fn words_stand_in_a_row() {
        let said = |names: &[&'static str]| say("{}", [Value::names(names.iter().copied())]);
        let job = job();
        let scene = Scene { job: &job, circuit: None, apart: None };
        assert_eq!(said(&["a"]).text(scene), "A");
        assert_eq!(said(&["a", "b", "c"]).text(scene), "A, b and c");
    }
}
