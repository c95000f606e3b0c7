//! The complaint: readings in, suspects out. The model is that of a check, with one thing wrong.

mod accuracy;
mod answer;
mod case;
mod cause;
mod conclude;
mod contradiction;
mod expect;
mod fit;
mod group;
mod healthy;
mod json;
mod made;
mod next;
mod pairs;
mod show;
mod stop;
mod suspect;
mod table;
mod taken;
mod text;
mod trend;
mod turn;
mod units_exchanged;

pub use accuracy::Accuracy;
pub use answer::{Answer, Layout, NoAnswer, Row, Verdict};
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
pub use next::{Next, Place};
pub(crate) use table::leading;
pub use text::text;
pub(crate) use text::{lead, put, read_and_expected};
pub use trend::{Asked, Bins, Event, Happened, Moments, Trend, schema, trend, trend_json, trend_text};
pub(crate) use trend::{put_columns, put_lead, put_worst, said, titles};

use crate::job::{Circuit, Evaporating, Job, LiquidAt, Reading, Readings, Runs, Set, Unknown};
use crate::units::System;
use crate::units::factor::FAHRENHEIT_DEGREE;
use case::Case;
use conclude::{conclude, layout, slips};
use contradiction::{Scene, Typed, apart, slip};
use fit::{Coefficients, Fitter, Weighed};
use stop::Stop;
use suspect::{blamed, contradicts, fitting, is_gross, scatter, widen};
use turn::Doubt;

/// Pairs that are fitted at most: several causes of the one and several of the other side may stand for one another.
const PAIRS: usize = 8;
/// By so much the misfit of a pair, as the effects of its causes add up, may be above the best one's.
const PROMISING: f64 = 8.0;
/// Readings that may be left out because they contradict the rest.
const LEFT_OUT: usize = 2;
/// Standard deviation of what a line that is not drawn loses or gains, Pa (assumption).
const LINE_UNKNOWN: f64 = 2e5;

/// The circuit that a set of readings is of; `how` it is named.
///
/// # Errors
/// [`NoAnswer`] where the job has several and none is named, or the named one is none of it.
pub fn circuit_of<'a>(job: &'a Job, named: Option<&str>, how: &str) -> Result<&'a Circuit, NoAnswer> {
    let names = || job.circuits.iter().map(|circuit| circuit.name.as_str()).collect::<Vec<_>>().join(", ");
    match (named, job.circuits.as_slice()) {
        (Some(name), circuits) => circuits
            .iter()
            .find(|circuit| circuit.name == name)
            .ok_or_else(|| NoAnswer::Words(format!("no circuit of the job is called `{name}`: {}", names()))),
        (None, [one]) => Ok(one),
        (None, _) => Err(NoAnswer::Words(format!("the job has several circuits: say which with `{how}`: {}", names()))),
    }
}

/// Every reading of a set with its weight.
fn all_weighed(circuit: &Circuit, set: &Set, readings: &Readings) -> Result<Vec<Weighed>, NoAnswer> {
    let fluid = crate::refrigerant::named(&circuit.refrigerant)
        .ok_or_else(|| NoAnswer::Words(format!("no properties for {}", circuit.refrigerant)))?;
    let all = taken::of(fluid, set)?;
    let mut all: Vec<Weighed> =
        all.into_iter().map(|taken| fit::weighed(taken, accuracy::of(&taken, &readings.accuracy).value)).collect();
    along_lines(&mut all, readings.unknown);
    Ok(all)
}

/// What a line that is not drawn loses and gains is not known.
fn along_lines(all: &mut [Weighed], unknown: Unknown) {
    let along = |one: &&mut Weighed| {
        unknown.lines
            && matches!(one.taken.reading, Reading::LiquidPressure | Reading::ValvePressure | Reading::DischargeDrop)
    };
    all.iter_mut().filter(along).for_each(|one| one.deviation = one.deviation.hypot(LINE_UNKNOWN));
}

/// How exact the readings of a set are by their instruments.
fn instruments(circuit: &Circuit, set: &Set, readings: &Readings) -> Result<Vec<Accuracy>, NoAnswer> {
    let fluid = crate::refrigerant::named(&circuit.refrigerant)
        .ok_or_else(|| NoAnswer::Words(format!("no properties for {}", circuit.refrigerant)))?;
    Ok(taken::of(fluid, set)?.iter().map(|taken| accuracy::of(taken, &readings.accuracy)).collect())
}

/// The readings of a set that are explained, with their weights, and the standard deviations of outdoor and leaving fluid where they
/// were read.
fn weighed(circuit: &Circuit, set: &Set, readings: &Readings) -> Result<(Vec<Weighed>, [Option<f64>; 2]), NoAnswer> {
    let all = all_weighed(circuit, set, readings)?;
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

/// What a set from when the machine ran well tells of its coefficients, and how it was taken; without one, nothing but the job.
fn coefficients(job: &Job, circuit: &Circuit, readings: &Readings) -> Result<(Coefficients, Option<String>), NoAnswer> {
    let of_the_job = || Coefficients::of_the_job(readings.unknown);
    let Some(healthy) = &readings.healthy else { return Ok((of_the_job(), None)) };
    let unused = |why: &str| Ok((of_the_job(), Some(format!("nothing from the healthy set: {why}"))));
    if is_off(healthy) {
        return unused("the machine was off");
    }
    let (explained, bands) = weighed(circuit, healthy, readings)?;
    let everything = all_weighed(circuit, healthy, readings)?;
    let case = Case::new(job, circuit, healthy);
    if let Some(hopeless) = scene(job, circuit, (&case, healthy), &everything)?.hopeless() {
        return unused(&hopeless.says);
    }
    match fit::learned(&case, explained, bands, readings.unknown) {
        Some(learned) => {
            Ok((learned, Some("the coefficients of coil, evaporator and compressors by the healthy set".into())))
        }
        None => unused("too little was read"),
    }
}

/// Readings as what contradicts itself is looked for in them.
fn scene<'a>(
    job: &Job,
    circuit: &Circuit,
    (case, set): (&Case, &Set),
    readings: &'a [Weighed],
) -> Result<Scene<'a>, NoAnswer> {
    let fluid = crate::refrigerant::named(&circuit.refrigerant)
        .ok_or_else(|| NoAnswer::Words(format!("no properties for {}", circuit.refrigerant)))?;
    Ok(Scene {
        fluid,
        readings,
        outdoor_K: case.condition.outdoor_K,
        fluid_side: Case::fluid_side(set),
        bypass: case.condition.bypass,
        units: job.units,
        atmosphere_Pa: job.site.atmosphere.pascals(),
    })
}

/// What stays open where a job is drawn in part, in words.
fn open_causes(unknown: Unknown, units: System) -> impl Iterator<Item = String> {
    let condenser = unknown.condenser.then(|| {
        let td = units.difference(20.0 * FAHRENHEIT_DEGREE);
        format!(
            "a condenser of {td} TD at the compressors' rating, for want of its own rating: warm air, dirty coil and fans out stay open unless they are gross"
        )
    });
    let lines = unknown.lines.then(|| {
        "lines that lose and gain nothing, for want of the lines: restrictions, flashing and oil stay open".to_owned()
    });
    condenser.into_iter().chain(lines)
}

/// More compressors than a circuit has can't run.
pub(super) fn running_of(circuit: &Circuit, running: Option<u32>) -> Result<(), NoAnswer> {
    let has = circuit.compressors.count;
    match running.filter(|running| *running > has) {
        Some(running) => Err(NoAnswer::Words(format!(
            "running = {running}, but circuit {} has {has} {}",
            circuit.name,
            if has == 1 { "compressor" } else { "compressors" }
        ))),
        None => Ok(()),
    }
}

/// Explains a set of readings.
///
/// # Errors
/// [`NoAnswer`] where the circuit or its readings can't be used.
pub fn diagnose(job: &Job, readings: &Readings) -> Result<Answer, NoAnswer> {
    let mut answer = explained(job, readings)?;
    let again = |readings: &Readings| explained(job, readings);
    // Where only a chiller with nothing wrong will do, that is soon seen.
    let well = |readings: &Readings| may_be_well(job, readings).is_ok_and(|well| well).then(|| again(readings).ok())?;
    let doubt = Doubt::of(&answer);
    let exchanged = turn::exchanged(job, readings, &doubt, (again, well));
    if doubt.of_one
        && exchanged.is_none()
        && let Some(healed) = turn::healed(job, readings, &answer, well)
    {
        return Ok(healed);
    }
    if doubt.contradictory || (doubt.of_the_set && exchanged.is_some()) {
        // Nothing is told apart by what contradicts itself.
        answer.next.clear();
        answer.verdict = Verdict::Contradictory;
    }
    answer.contradictions.extend(exchanged);
    Ok(answer)
}

/// What a pressure at a stop tells of: gas, or below saturation no liquid.
fn at_a_stop(answer: &mut Answer, job: &Job, stop: Stop) {
    let Stop { read_Pa: read, expected_Pa: expected, band_Pa: band, fit } = stop;
    let reading = Reading::StoppedPressure;
    answer.rows = vec![Row { reading, read, expected, accuracy: band, left_out: false }];
    if read < expected - band {
        let says = format!(
            "the pressure at a stop is {} below saturation at its air: no liquid is left, or that air is not the temperature of the coil",
            job.units.pressure_difference(expected - read)
        );
        let by = expected - read;
        answer.contradictions.push(Contradiction { readings: vec![reading], says, by, accuracy: band });
        answer.verdict = Verdict::Contradictory;
        return;
    }
    answer.verdict = if fit.causes.is_empty() { Verdict::Healthy } else { Verdict::Suspects };
    answer.groups = vec![Group { fits: vec![fit], share: 0.95, as_likely: false }];
}

/// An answer before anything is explained.
fn begun(job: &Job, circuit: &Circuit, readings: &Readings, case: &Case) -> Result<Answer, NoAnswer> {
    let count = circuit.compressors.count;
    Ok(Answer {
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
        taken: readings.taken.iter().cloned().chain(open_causes(readings.unknown, job.units)).collect(),
        missing: Vec::new(),
        instruments: instruments(circuit, &readings.set, readings)?,
        air_at_coil: case.air_at_coil,
        poor: false,
    })
}

/// What of the fluid nothing is held against.
fn unweighed(circuit: &Circuit, all: &[Weighed]) -> Option<String> {
    let read = |reading: &Reading| all.iter().any(|one| one.taken.reading == *reading);
    let not_weighed = |wanted: &[Reading]| {
        let names: Vec<&str> = wanted.iter().filter(|reading| read(reading)).map(|reading| reading.says()).collect();
        (!names.is_empty()).then(|| format!("{} not weighed: ", names.join(", ")))
    };
    match circuit.evaporator.evaporating {
        Evaporating::Held(_) => {
            let fluid = [Reading::EnteringFluid, Reading::LeavingFluid, Reading::FluidFlow];
            Some(format!(
                "{}the job holds the suction and tells no fluid: low load, low fluid flow and a dirty evaporator, which lower the \
                 suction too, are not looked at; `leaving` and `approach` instead of `suction` would tell",
                not_weighed(&fluid).unwrap_or_default()
            ))
        }
        Evaporating::Approach { .. } if read(&Reading::LeavingFluid) => None,
        Evaporating::Approach { .. } => {
            not_weighed(&[Reading::EnteringFluid]).map(|names| names + "without the fluid that leaves it tells nothing")
        }
    }
}

fn explained(job: &Job, readings: &Readings) -> Result<Answer, NoAnswer> {
    let circuit = circuit_of(job, readings.set.circuit.as_deref(), "circuit")?;
    let set = &readings.set;
    if let Some(Runs::Count(count)) = set.running {
        running_of(circuit, Some(count))?;
    }
    let case = Case::new(job, circuit, set);
    let mut answer = begun(job, circuit, readings, &case)?;
    if is_off(set) {
        if let Some(stop) = stop::stop(job, circuit, readings) {
            at_a_stop(&mut answer, job, stop);
        }
        return Ok(answer);
    }
    let (coefficients, healthy) = coefficients(job, circuit, readings)?;
    answer.taken.extend(healthy);
    let case = coefficients.applied(&case);
    let (mut explained, bands) = weighed(circuit, set, readings)?;
    let mut everything = all_weighed(circuit, set, readings)?;
    answer.taken.extend(unweighed(circuit, &everything));
    let here = scene(job, circuit, (&case, set), &[])?;
    let fluid = here.fluid;
    let typed = Typed { atmosphere_Pa: here.atmosphere_Pa, bare: readings.bare };
    let scene = Scene { readings: &everything, ..here };
    if let Some(hopeless) = scene.hopeless() {
        answer.contradictions.push(hopeless);
        return Ok(Answer { verdict: Verdict::Contradictory, ..answer });
    }
    if let Some(cold) = scene.cold_air() {
        return without_outdoor(job, readings, case.condition.outdoor_K, cold);
    }
    let mut left_out: Vec<Weighed> = Vec::new();
    let wet = scene.floodback();
    let mut cold_discharge = None;
    if let Some(wet) = &wet {
        answer.contradictions.push(wet.clone());
        cold_discharge = everything.iter().find(|one| one.taken.reading == Reading::DischargeTemperature).copied();
        for all in [&mut explained, &mut everything] {
            all.retain(|one| one.taken.reading != Reading::DischargeTemperature);
        }
    }
    while left_out.len() < LEFT_OUT {
        let scene = Scene { readings: &everything, ..here };
        let Some(large) = scene.all().into_iter().find(is_gross) else { break };
        let fitter = Fitter::new(&case, explained.clone(), bands, &coefficients)?;
        let Some(wrong) = blamed(&fitter, &large.readings) else { break };
        let at = fitter.readings.iter().position(|one| one.taken.reading == wrong);
        let off = at.and_then(|at| {
            let expected = fitter.healthy.of(wrong)?;
            slip(wrong, [fitter.readings[at].taken.value, expected, fitter.band(at)], typed)
        });
        let says = match off {
            Some(slip) => format!(
                "{}; {} is left out, and would go with the rest if its number is {slip}",
                large.says,
                wrong.says()
            ),
            None => format!("{}; {} is left out", large.says, wrong.says()),
        };
        answer.contradictions.push(Contradiction { says, ..large });
        left_out.extend(at.map(|at| Weighed { deviation: fitter.deviation(at), ..fitter.readings[at] }));
        explained.retain(|one| one.taken.reading != wrong);
        everything.retain(|one| one.taken.reading != wrong);
    }
    let small = Scene { readings: &everything, ..here }.all();
    widen(&mut explained, &small);
    answer.contradictions.extend(small);
    // None of the two is left out for the other: with the fluid the whole set is held against another suction.
    answer.contradictions.extend(Scene { readings: &everything, ..here }.cold_fluid());
    let mut read: Vec<Reading> = taken::of(fluid, set)?.iter().map(|taken| taken.reading).collect();
    // What a line should lose that is not drawn nobody knows.
    read.extend(readings.unknown.lines.then_some(Reading::DischargeDrop));
    let at_condenser = set.liquid_at == LiquidAt::Condenser && read.contains(&Reading::LiquidTemperature);
    read.extend(at_condenser.then_some(Reading::CondenserOut));
    loop {
        let fitter = Fitter::new(&case, explained.clone(), bands, &coefficients)?;
        let mut fits = explanations(&fitter);
        fits.retain(|fit| wet.is_none() || fit.sensor != Some(Reading::SuctionTemperature));
        let scale = scatter(&fits, fitter.readings.len());
        let suspect = (left_out.len() < LEFT_OUT && scale > 2.0).then(|| contradicts(&fitter, &fits)).flatten();
        if let Some(index) = suspect {
            let out = fitter.readings[index];
            let expected = fitter.healthy.of(out.taken.reading).unwrap_or(out.taken.value);
            let read = [out.taken.value, expected, fitter.band(index)];
            answer.contradictions.push(apart(out.taken.reading, read, typed));
            explained.retain(|one| one.taken.reading != out.taken.reading);
            // It is expected as near as the rest.
            left_out.push(Weighed { deviation: fitter.deviation(index), ..out });
            continue;
        }
        conclude(&mut answer, (&fitter, fits, scale), &left_out, &read);
        if let Some(read) = cold_discharge {
            let reading = Reading::DischargeTemperature;
            let expected = fitter.healthy.of(reading).unwrap_or(read.taken.value);
            let accuracy = accuracy::BAND * read.deviation;
            answer.rows.push(Row { reading, read: read.taken.value, expected, accuracy, left_out: true });
            answer.sort_rows();
        }
        slips(&mut answer, typed);
        layout(&mut answer, &fitter, job);
        return Ok(answer);
    }
}

/// What meets the coil is what it rejects its heat to: where that is colder, the outdoor thermometer is the one that is off.
fn without_outdoor(job: &Job, readings: &Readings, read_K: f64, cold: Contradiction) -> Result<Answer, NoAnswer> {
    let mut set = readings.set.clone();
    set.values.remove(&Reading::Outdoor);
    let mut answer = explained(job, &Readings { set, ..readings.clone() })?;
    let (reading, expected, accuracy) = (Reading::Outdoor, answer.outdoor_K, cold.accuracy);
    answer.rows.push(Row { reading, read: read_K, expected, accuracy, left_out: true });
    answer.sort_rows();
    answer.contradictions.insert(0, cold);
    if answer.verdict == Verdict::Healthy {
        answer.verdict = Verdict::Suspects;
        group::doubt(&mut answer.groups, Reading::Outdoor);
    }
    Ok(answer)
}

/// Whether nothing may be wrong: else no explanation says so.
fn may_be_well(job: &Job, readings: &Readings) -> Result<bool, NoAnswer> {
    let set = &readings.set;
    let circuit = circuit_of(job, set.circuit.as_deref(), "circuit")?;
    let (coefficients, _) = coefficients(job, circuit, readings)?;
    let case = coefficients.applied(&Case::new(job, circuit, set));
    let (explained, bands) = weighed(circuit, set, readings)?;
    let fitter = Fitter::new(&case, explained, bands, &coefficients)?;
    Ok(fitter.misfit(&fitter.healthy) <= fitting(fitter.readings.len()))
}

/// Every explanation: nothing wrong, one cause each, one wrong sensor, and pairs of the leading.
fn explanations(fitter: &Fitter<'_>) -> Vec<Fitted> {
    use rayon::prelude::*;
    let mut singles: Vec<Fitted> = Cause::SIZED.par_iter().filter_map(|cause| fitter.single(*cause)).collect();
    singles.sort_by(|a, b| a.misfit.total_cmp(&b.misfit));
    let minimum = singles.first().map_or(f64::INFINITY, |best| best.misfit);
    // Heat on a line is seldom, and looks like what goes with everything: want of charge.
    let common: Vec<Fitted> = singles
        .iter()
        .filter(|fit| fit.causes.iter().all(|(cause, _)| *cause != Cause::LiquidFlashing))
        .cloned()
        .collect();
    // A second cause costs more than a misfit as small as this leaves to gain.
    let pairs = if minimum > 6.0 { fitter.pairs(&common, PROMISING, PAIRS) } else { Vec::new() };
    let mut all = singles;
    all.push(fitter.nothing());
    all.extend(fitter.sensors());
    all.extend(pairs);
    all
}
