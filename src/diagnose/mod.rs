//! The complaint: readings in, suspects out. The model is that of a check, with one thing wrong.

mod accuracy;
mod case;
mod cause;
mod contradiction;
mod expect;
mod fit;
mod group;
mod healthy;
mod json;
mod made;
mod next;
mod taken;
mod text;
mod trend;

pub use case::NoCase;
pub use cause::Cause;
pub use contradiction::Contradiction;
pub use expect::{Expected, Point, Wanted, expected};
pub use fit::Fitted;
pub use group::Group;
pub(crate) use group::named;
pub use healthy::expected_text;
pub(crate) use healthy::put_expected;
pub use json::{expected_json, expected_schema, json};
pub use made::made;
pub use next::Next;
pub use text::text;
pub(crate) use text::{lead, leading, put, read_and_expected};
pub use trend::{Asked, Bins, Event, Happened, Moments, Trend, schema, trend, trend_json, trend_text};
pub(crate) use trend::{put_columns, put_lead, put_worst, said, titles};

use crate::job::{Circuit, Evaporating, Job, Reading, Readings, Runs, Set, Unknown};
use crate::refrigerant::OutOfRange;
use case::Case;
use contradiction::{Scene, slip};
use fit::{Coefficients, Fitter, Weighed};

/// Pairs that are fitted at most: several causes of the one and several of the other side may stand for one another.
const PAIRS: usize = 8;
/// By so much the misfit of a pair, as the effects of its causes add up, may be above the best one's.
const PROMISING: f64 = 8.0;
/// Readings that may be left out because they contradict the rest.
const LEFT_OUT: usize = 2;
/// So many times its band a reading is off that a slip of unit is looked for.
const SLIPPED: f64 = 3.0;
/// Standard deviation of what a line that is not drawn loses or gains, Pa (assumption).
const LINE_UNKNOWN: f64 = 2e5;
/// Scatter of the readings over their accuracies past which they carry no answer.
const NO_ANSWER: f64 = 60.0;

/// What an answer can be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Nothing is wrong.
    Healthy,
    /// Something is.
    Suspects,
    /// The readings carry no answer.
    Contradictory,
    /// The compressors are off.
    NotRunning,
}

impl Verdict {
    /// Its name in an answer.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Healthy => "healthy",
            Self::Suspects => "suspects",
            Self::Contradictory => "contradictory",
            Self::NotRunning => "not running",
        }
    }
}

/// A reading beside what a healthy chiller would show.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    /// Of what.
    pub reading: Reading,
    /// As read, SI.
    pub read: f64,
    /// Expected.
    pub expected: f64,
    /// Accuracy of the expected, 95 %: instrument and model.
    pub accuracy: f64,
    /// Whether it is left out because it contradicts the rest.
    pub left_out: bool,
}

impl Row {
    /// Whether what was read is what is expected.
    #[must_use]
    pub fn within(&self) -> bool {
        (self.read - self.expected).abs() <= self.accuracy
    }
}

/// A rule that fails at these conditions and predicts these readings.
#[derive(Clone, Debug)]
pub struct Layout {
    /// The rule.
    pub rule: &'static str,
    /// In a sentence.
    pub says: String,
}

/// The answer.
#[derive(Clone, Debug)]
pub struct Answer {
    /// Of which circuit.
    pub circuit: String,
    /// Outdoor temperature, K.
    pub outdoor_K: f64,
    /// Share of full displacement that runs.
    pub share: f64,
    /// Compressors running, and how many there are.
    pub running: (f64, u32),
    /// Verdict.
    pub verdict: Verdict,
    /// Readings that contradict each other.
    pub contradictions: Vec<Contradiction>,
    /// Rules that fail at these conditions.
    pub layout: Vec<Layout>,
    /// Explanations.
    pub groups: Vec<Group>,
    /// What to read next.
    pub next: Vec<Next>,
    /// Readings beside what is expected.
    pub rows: Vec<Row>,
    /// What was taken how.
    pub taken: Vec<String>,
    /// Readings that would narrow the answer.
    pub missing: Vec<Reading>,
}

/// Why there is no answer.
#[derive(Clone, Debug)]
pub enum NoAnswer {
    /// In a sentence.
    Words(String),
}

impl From<NoCase> for NoAnswer {
    fn from(why: NoCase) -> Self {
        Self::Words(match why {
            NoCase::Machine(fault) => fault.to_string(),
            NoCase::Unbalanced(_) => "the chiller as drawn has no operating point at these conditions".to_owned(),
        })
    }
}

impl From<OutOfRange> for NoAnswer {
    fn from(fault: OutOfRange) -> Self {
        Self::Words(fault.to_string())
    }
}

/// The circuit that a set of readings is of.
///
/// # Errors
/// [`NoAnswer`] where the job has several and none is named, or the named one is none of it.
pub fn circuit_of<'a>(job: &'a Job, named: Option<&str>) -> Result<&'a Circuit, NoAnswer> {
    let names = || job.circuits.iter().map(|circuit| circuit.name.as_str()).collect::<Vec<_>>().join(", ");
    match (named, job.circuits.as_slice()) {
        (Some(name), circuits) => circuits
            .iter()
            .find(|circuit| circuit.name == name)
            .ok_or_else(|| NoAnswer::Words(format!("no circuit of the job is called `{name}`: {}", names()))),
        (None, [one]) => Ok(one),
        (None, _) => {
            Err(NoAnswer::Words(format!("the job has several circuits: say which with `circuit`: {}", names())))
        }
    }
}

/// The readings of a set with their weights, and the standard deviations of outdoor and leaving fluid where they were read.
fn weighed(circuit: &Circuit, set: &Set, readings: &Readings) -> Result<(Vec<Weighed>, [Option<f64>; 2]), NoAnswer> {
    let fluid = crate::refrigerant::named(&circuit.refrigerant)
        .ok_or_else(|| NoAnswer::Words(format!("no properties for {}", circuit.refrigerant)))?;
    let all = taken::of(fluid, set)?;
    let all: Vec<Weighed> =
        all.into_iter().map(|taken| fit::weighed(taken, accuracy::of(&taken, &readings.accuracy))).collect();
    let mut all = all;
    if readings.unknown.lines {
        // What a line loses and gains is not known.
        let along = |one: &&mut Weighed| matches!(one.taken.reading, Reading::LiquidPressure | Reading::ValvePressure);
        all.iter_mut().filter(along).for_each(|one| one.deviation = one.deviation.hypot(LINE_UNKNOWN));
    }
    let deviation = |reading: Reading| all.iter().find(|one| one.taken.reading == reading).map(|one| one.deviation);
    let bands = [deviation(Reading::Outdoor).or(deviation(Reading::AirOn)), deviation(Reading::LeavingFluid)];
    let both_airs = deviation(Reading::Outdoor).is_some() && deviation(Reading::AirOn).is_some();
    let held = matches!(circuit.evaporator.evaporating, Evaporating::Held(_));
    let explained = |one: &&Weighed| match one.taken.reading {
        Reading::Outdoor | Reading::LeavingFluid => false,
        Reading::AirOn => both_airs,
        Reading::EnteringFluid => !held && deviation(Reading::LeavingFluid).is_some(),
        _ => true,
    };
    Ok((all.iter().filter(explained).copied().collect(), bands))
}

fn is_off(set: &Set) -> bool {
    match set.running {
        Some(Runs::Count(count)) => count == 0,
        Some(Runs::Share(share)) => share <= 0.0,
        None => false,
    }
}

/// What a set from when the machine ran well tells of its coefficients; without one, nothing but the job.
fn coefficients(job: &Job, circuit: &Circuit, readings: &Readings) -> Result<Coefficients, NoAnswer> {
    let learned = match &readings.healthy {
        Some(healthy) if !is_off(healthy) => {
            let (explained, bands) = weighed(circuit, healthy, readings)?;
            fit::learned(&Case::new(job, circuit, healthy), explained, bands, readings.unknown)
        }
        _ => None,
    };
    Ok(learned.unwrap_or_else(|| Coefficients::of_the_job(readings.unknown)))
}

/// What stays open where a job is drawn in part, in words.
fn open_causes(unknown: Unknown) -> impl Iterator<Item = String> {
    let condenser = unknown.condenser.then_some(
        "a condenser of 20 F TD at the compressors' rating, for want of its own rating: warm air, dirty coil and fans out stay open unless they are gross",
    );
    let lines = unknown
        .lines
        .then_some("lines that lose and gain nothing, for want of the lines: restrictions, flashing and oil stay open");
    condenser.into_iter().chain(lines).map(str::to_owned)
}

/// Explains a set of readings.
///
/// # Errors
/// [`NoAnswer`] where the circuit or its readings can't be used.
pub fn diagnose(job: &Job, readings: &Readings) -> Result<Answer, NoAnswer> {
    let circuit = circuit_of(job, readings.set.circuit.as_deref())?;
    let set = &readings.set;
    let case = Case::new(job, circuit, set);
    let count = circuit.compressors.count;
    let mut answer = Answer {
        circuit: circuit.name.clone(),
        outdoor_K: case.condition.outdoor_K,
        share: case.condition.share,
        running: (case.condition.share * f64::from(count), count),
        verdict: Verdict::NotRunning,
        contradictions: Vec::new(),
        layout: Vec::new(),
        groups: Vec::new(),
        next: Vec::new(),
        rows: Vec::new(),
        taken: readings.taken.iter().cloned().chain(open_causes(readings.unknown)).collect(),
        missing: Vec::new(),
    };
    if is_off(set) {
        return Ok(answer);
    }
    let coefficients = coefficients(job, circuit, readings)?;
    let case = coefficients.applied(&case);
    let (mut explained, bands) = weighed(circuit, set, readings)?;
    let fluid = crate::refrigerant::named(&circuit.refrigerant)
        .ok_or_else(|| NoAnswer::Words(format!("no properties for {}", circuit.refrigerant)))?;
    let everything = explained.clone();
    let scene = Scene {
        fluid,
        readings: &everything,
        outdoor_K: case.condition.outdoor_K,
        fluid_side: Case::fluid_side(set),
        units: job.units,
        atmosphere_Pa: job.site.atmosphere.pascals(),
    };
    if let Some(hopeless) = scene.hopeless() {
        answer.contradictions.push(hopeless);
        answer.verdict = Verdict::Contradictory;
        return Ok(answer);
    }
    for small in scene.all() {
        // What is off by so much is known no better than that.
        let last = small.readings.last().copied();
        for one in explained.iter_mut().filter(|one| Some(one.taken.reading) == last) {
            one.deviation = one.deviation.hypot(small.by);
        }
        answer.contradictions.push(small);
    }
    let all = taken::of(fluid, set)?;
    let read: Vec<Reading> = all.iter().map(|taken| taken.reading).collect();
    let mut left_out: Vec<Weighed> = Vec::new();
    loop {
        let fitter = Fitter::new(&case, explained.clone(), bands, &coefficients)?;
        let fits = explanations(&fitter);
        let scale = scatter(&fits, fitter.readings.len());
        let suspect = (left_out.len() < LEFT_OUT && scale > 2.0).then(|| contradicts(&fitter, &fits)).flatten();
        if let Some(index) = suspect {
            let out = fitter.readings[index];
            let expected = fitter.healthy.of(out.taken.reading).unwrap_or(out.taken.value);
            let slipped = slip(out.taken.reading, out.taken.value, expected, fitter.band(index), scene.atmosphere_Pa);
            let says = match slipped {
                Some(slip) => format!("{} does not go with the rest; it would as {slip}", out.taken.reading.says()),
                None => format!("{} does not go with the rest, and is left out", out.taken.reading.says()),
            };
            answer.contradictions.push(Contradiction { readings: vec![out.taken.reading], says, by: 0.0 });
            explained.retain(|one| one.taken.reading != out.taken.reading);
            left_out.push(out);
            continue;
        }
        conclude(&mut answer, (&fitter, fits, scale), &left_out, &read);
        slips(&mut answer, scene.atmosphere_Pa);
        layout(&mut answer, &fitter, job);
        return Ok(answer);
    }
}

/// Every explanation: nothing wrong, one cause each, one wrong sensor, and pairs of the leading.
fn explanations(fitter: &Fitter<'_>) -> Vec<Fitted> {
    use rayon::prelude::*;
    let mut singles: Vec<Fitted> = Cause::SIZED.par_iter().filter_map(|cause| fitter.single(*cause)).collect();
    singles.sort_by(|a, b| a.misfit.total_cmp(&b.misfit));
    let minimum = singles.first().map_or(f64::INFINITY, |best| best.misfit);
    // A second cause costs more than a misfit as small as this leaves to gain.
    let pairs = if minimum > 6.0 { fitter.pairs(&singles, PROMISING, PAIRS) } else { Vec::new() };
    let mut all = singles;
    all.push(fitter.nothing());
    all.extend(fitter.sensors());
    all.extend(pairs);
    all
}

/// By how much more than their accuracies the readings scatter about the best explanation.
fn scatter(fits: &[Fitted], readings: usize) -> f64 {
    let minimum = fits.iter().map(|fit| fit.misfit).fold(f64::INFINITY, f64::min);
    let free = f64::from(u32::try_from(readings.saturating_sub(1)).unwrap_or(1)).max(1.0);
    if minimum > free + 2.0 * (2.0 * free).sqrt() { minimum / free } else { 1.0 }
}

/// The reading whose absence heals the set, where one does.
fn contradicts(fitter: &Fitter<'_>, fits: &[Fitted]) -> Option<usize> {
    let free = f64::from(u32::try_from(fitter.readings.len().saturating_sub(2)).unwrap_or(1)).max(1.0);
    let mut best: Option<(f64, usize)> = None;
    for fit in fits.iter().filter(|fit| fit.sensor.is_none()) {
        for (index, relief) in fitter.relief(&fit.prediction).into_iter().enumerate() {
            let left = fit.misfit - relief;
            if relief > 0.6 * fit.misfit && best.is_none_or(|(minimum, _)| left < minimum) {
                best = Some((left, index));
            }
        }
    }
    best.filter(|(left, _)| *left < free + 2.0 * (2.0 * free).sqrt()).map(|(_, index)| index)
}

fn conclude(
    answer: &mut Answer,
    (fitter, fits, scale): (&Fitter<'_>, Vec<Fitted>, f64),
    left_out: &[Weighed],
    read: &[Reading],
) {
    let row = |(index, one): (usize, &Weighed)| Row {
        reading: one.taken.reading,
        read: one.taken.value,
        expected: fitter.healthy.of(one.taken.reading).unwrap_or(one.taken.value),
        accuracy: fitter.band(index),
        left_out: false,
    };
    answer.rows = fitter.readings.iter().enumerate().map(row).collect();
    answer.rows.extend(left_out.iter().map(|one| Row {
        reading: one.taken.reading,
        read: one.taken.value,
        expected: fitter.healthy.of(one.taken.reading).unwrap_or(one.taken.value),
        accuracy: accuracy::BAND * one.deviation,
        left_out: true,
    }));
    answer.rows.sort_by_key(|row| Reading::ALL.iter().position(|reading| *reading == row.reading));
    answer.groups = group::groups(fits, scale);
    let healthy = |fit: &Fitted| fit.causes.is_empty() && fit.sensor.is_none();
    let first = answer.groups.first();
    answer.verdict = match first {
        _ if scale > NO_ANSWER => Verdict::Contradictory,
        Some(group) if group.fits.iter().any(healthy) && left_out.is_empty() => Verdict::Healthy,
        Some(_) => Verdict::Suspects,
        None => Verdict::Contradictory,
    };
    let mut leading: Vec<&Fitted> = first.map(|group| group.fits.iter().collect()).unwrap_or_default();
    if leading.len() < 2 {
        leading.extend(answer.groups.get(1).and_then(|group| group.fits.first()));
    }
    answer.next = next::next(&leading, read, 3);
    let useful = [
        Reading::DischargeTemperature,
        Reading::SuctionTemperature,
        Reading::LiquidTemperature,
        Reading::Power,
        Reading::LeavingFluid,
        Reading::EnteringFluid,
        Reading::AirOn,
    ];
    answer.missing = useful.into_iter().filter(|reading| !read.contains(reading)).collect();
}

/// Readings far off that would be right in another unit, but for those that the leading explanation predicts.
fn slips(answer: &mut Answer, atmosphere: f64) {
    let leading = answer.groups.first().and_then(|group| group.fits.first()).filter(|fit| fit.sensor.is_none());
    let explained = |row: &Row| {
        let value = leading.and_then(|fit| fit.prediction.of(row.reading));
        value.is_some_and(|value| (row.read - value).abs() <= row.accuracy)
    };
    let far = answer
        .rows
        .iter()
        .filter(|row| (row.read - row.expected).abs() > SLIPPED * row.accuracy && !row.left_out && !explained(row));
    let slips = far.filter_map(|row| {
        let says = slip(row.reading, row.read, row.expected, row.accuracy, atmosphere)?;
        let says = format!("{} would be as expected as {says}", row.reading.says());
        Some(Contradiction { readings: vec![row.reading], says, by: 0.0 })
    });
    let slips: Vec<Contradiction> = slips.collect();
    answer.contradictions.extend(slips);
}

/// Rules that fail at these conditions in a healthy chiller, so that the layout explains what is read.
fn layout(answer: &mut Answer, fitter: &Fitter<'_>, job: &Job) {
    let healthy = &fitter.healthy;
    if healthy.margin_K < 0.0 {
        let says = format!(
            "as drawn the liquid flashes before the valve at these conditions: it lacks {}",
            job.units.difference(-healthy.margin_K)
        );
        answer.layout.push(Layout { rule: "liquid-flash", says });
    } else if healthy.starved {
        let says = "as drawn the pressure before the valve is too low at these conditions: wide open it does not feed";
        answer.layout.push(Layout { rule: "valve-pressure", says: says.to_owned() });
    }
    if let Some((ratio, run)) = healthy.oil().filter(|(ratio, _)| *ratio < job.limit("oil_riser")) {
        let says = format!(
            "oil return is lost in discharge run {run} at these conditions: {} of the minimum flow",
            job.units.ratio(ratio)
        );
        answer.layout.push(Layout { rule: "oil-riser", says });
    }
    let predicted = healthy.margin_K < 0.0 || healthy.starved;
    if predicted && answer.verdict == Verdict::Healthy {
        answer.verdict = Verdict::Suspects;
    }
}
