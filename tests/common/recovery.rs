//! Readings made by the model with one thing wrong and noise, put before the diagnosis: is it found?

use rayon::prelude::*;
use roofrun::diagnose::{Answer, Cause, Verdict, diagnose, made};
use roofrun::job::{self, Instrument, Job, Read, Reading, Readings, Runs, Set, Station};
use std::collections::BTreeMap;
use std::path::Path;

/// How grave a fault is.
pub const SEVERITIES: [&str; 3] = ["low", "medium", "high"];

/// Share of the cooling that a valve which feeds too little, or a line that is clogged before it, takes by severity: what a valve with
/// reserve makes good before shows nowhere.
const STARVED: [f64; 3] = [0.06, 0.18, 0.35];

/// The sizes of a cause by severity, SI; of those of [`STARVED`] the largest that is looked at.
pub fn sizes(cause: Cause) -> [f64; 3] {
    match cause {
        Cause::WarmAir => [2.5, 6.0, 11.0],
        Cause::DirtyCoil => [0.15, 0.35, 0.55],
        Cause::FansOut | Cause::HeadControlShut => [0.17, 0.4, 0.6],
        Cause::HeadControlOpen => [1.0, 1.0, 1.0],
        Cause::NonCondensables => [8e4, 2e5, 4e5],
        Cause::Overcharge => [0.08, 0.2, 0.35],
        Cause::Undercharge => [3.0, 8.0, 14.0],
        Cause::LiquidRestriction => [6.0e6; 3],
        Cause::DischargeRestriction => [5e4, 1.5e5, 3e5],
        // The least, the middle and the highest of the five levels of a leaking compressor of Breuker and Braun, HVAC&R Research
        // 4(3):303, 1998 (from memory); bypass as much.
        Cause::BypassPassing | Cause::CompressorLeak => [0.07, 0.21, 0.35],
        Cause::ValveShut => [0.92; 3],
        Cause::ValveOpen => [2.0, 4.0, 5.0],
        Cause::LowFluidFlow | Cause::DirtyEvaporator => [0.2, 0.4, 0.55],
        // Of the heat that the condenser rejects; of the liquid about 2, 5 and 10 K.
        Cause::LiquidFlashing => [0.015, 0.035, 0.065],
        Cause::Healthy | Cause::WrongSensor => [0.0; 3],
    }
}

/// The causes that are made.
pub const MADE: &[Cause] = &[
    Cause::WarmAir,
    Cause::DirtyCoil,
    Cause::FansOut,
    Cause::HeadControlOpen,
    Cause::HeadControlShut,
    Cause::NonCondensables,
    Cause::Overcharge,
    Cause::Undercharge,
    Cause::LiquidRestriction,
    Cause::DischargeRestriction,
    Cause::BypassPassing,
    Cause::CompressorLeak,
    Cause::ValveShut,
    Cause::ValveOpen,
    Cause::LowFluidFlow,
    Cause::DirtyEvaporator,
    Cause::LiquidFlashing,
];

/// Jobs over refrigerants, receivers and valves.
pub fn jobs() -> Vec<Job> {
    let hall = include_str!("../../examples/bottling-hall.toml");
    let without: String =
        hall.lines().filter(|line| !line.contains("part = \"receiver\"")).flat_map(|line| [line, "\n"]).collect();
    let through = hall.replace("style = \"surge\"", "style = \"through\"");
    let smaller = hall
        .replace("\"40 ton\"", "\"16 ton\"")
        .replace("power = \"42 kW\"", "power = \"15 kW\"")
        .replace("660 MBH", "260 MBH")
        .replace("44000 cfm", "17500 cfm")
        .replace("\"72 ton\"", "\"30 ton\"")
        .replace("minimum_drop = \"60 psi\"", "minimum_drop = \"45 psi\"")
        .replace("R-410A", "R-134a");
    let thermostatic = without.replace("\"electronic\"", "\"thermostatic\"").replace("R-410A", "R-454B");
    let read = |text: &String| job::read("made.toml", text, Path::new(".")).unwrap();
    [hall.to_owned(), without, through, smaller, thermostatic].iter().map(read).collect()
}

/// A chiller, its weather and its load, and what is wrong.
pub struct Made {
    job: Job,
    causes: Vec<(Cause, f64)>,
    truth: BTreeMap<Reading, f64>,
    set: Set,
    off: [f64; 6],
    rng: fastrand::Rng,
}

/// What is taken, and its standard deviation: the default accuracies over 1.96.
fn deviation(reading: Reading, value: f64) -> f64 {
    let accuracy = match reading {
        Reading::SuctionPressure => 3.5 * 6894.757,
        Reading::DischargeDrop => 2.0 * 6894.757,
        reading if reading.unit() == "Pa" => 6.5 * 6894.757,
        Reading::EnteringFluid | Reading::LeavingFluid => 0.5 / 1.8,
        reading if reading.unit() == "K" => 2.0 / 1.8,
        Reading::Power => 0.03 * value,
        Reading::FluidFlow => 0.05 * value,
        Reading::ValveOpen => 0.15,
        _ => 0.0,
    };
    accuracy / 1.96
}

/// The size at which a cause takes that share of the cooling, beside others.
fn starves(job: &Job, set: &Set, (others, off): (&[(Cause, f64)], [f64; 6]), cause: Cause, share: f64) -> Option<f64> {
    let cooling = |size: f64| {
        let mut causes = others.to_vec();
        if size > 0.0 {
            causes.push((cause, size));
        }
        let all = made(job, &job.circuits[0], set, &causes, off)?;
        Some(all.get(&Reading::EnteringFluid)? - all.get(&Reading::LeavingFluid)?)
    };
    let wanted = (1.0 - share) * cooling(0.0)?;
    let (mut below, mut above) = (0.0, sizes(cause)[2]);
    for _ in 0..14 {
        let middle = 0.5 * (below + above);
        // No balance is further than wanted.
        if cooling(middle).is_some_and(|cooling| cooling > wanted) { below = middle } else { above = middle }
    }
    // Where a balance ends before, it is no case.
    let reached = cooling(below).is_some_and(|cooling| cooling < 1.02 * wanted);
    (reached && below > 0.0).then_some(below)
}

/// A number of a normal distribution.
fn normal(rng: &mut fastrand::Rng) -> f64 {
    (0..12).map(|_| rng.f64()).sum::<f64>() - 6.0
}

impl Made {
    /// A case of a cause at a severity; `shifted`: with other coefficients than the job's.
    pub fn new(jobs: &[Job], causes: &[Cause], severity: usize, seed: u64, shifted: bool) -> Option<Self> {
        let mut rng = fastrand::Rng::with_seed(seed);
        let job = jobs[rng.usize(..jobs.len())].clone();
        // Head control that does not act shows where the head has to be held.
        let cold = causes.contains(&Cause::HeadControlOpen);
        let outdoor = if cold { 268.0 + 14.0 * rng.f64() } else { 294.0 + 17.0 * rng.f64() };
        let mut set = Set { circuit: Some("1A".to_owned()), ..Set::default() };
        set.running = Some(Runs::Count(if rng.f64() < 0.25 { 1 } else { 2 }));
        set.values.insert(Reading::Outdoor, Read { value: outdoor, step: 0.0 });
        let leaving = 280.4 + 1.0 * (rng.f64() - 0.5);
        set.values.insert(Reading::LeavingFluid, Read { value: leaving, step: 0.0 });
        set.bypass = Some(false);
        let off = [(); 6].map(|()| if shifted { 4.0 * (rng.f64() - 0.5) } else { 0.0 });
        let mut sized: Vec<(Cause, f64)> = Vec::new();
        for &cause in causes {
            let about = 0.85 + 0.3 * rng.f64();
            let size = match cause {
                Cause::LiquidRestriction | Cause::ValveShut => {
                    starves(&job, &set, (&sized, off), cause, STARVED[severity] * about)?
                }
                Cause::HeadControlOpen => 1.0,
                Cause::LiquidFlashing => sizes(cause)[severity] * about * job.circuits[0].condenser.rejection.value,
                // By what it loses at the flow that there is, as far as a cause goes.
                Cause::DischargeRestriction => {
                    let share = if set.running == Some(Runs::Count(1)) { 0.5 } else { 1.0 };
                    (sizes(cause)[severity] * about / (share * share)).min(5.8e5)
                }
                _ => sizes(cause)[severity] * about,
            };
            sized.push((cause, size));
        }
        let causes = sized;
        let truth = made(&job, &job.circuits[0], &set, &causes, off)?;
        Some(Self { job, causes, truth, set, off, rng })
    }

    /// A reading of what is there, with noise.
    fn read(&mut self, reading: Reading) -> Option<Read> {
        let value = *self.truth.get(&reading)?;
        Some(Read { value: value + deviation(reading, value) * normal(&mut self.rng), step: 0.0 })
    }

    /// What a technician writes down first.
    fn first(&mut self) -> Readings {
        let place = |pressure, temperature| Station {
            pressure,
            temperature,
            pressure_by: Some(Instrument::Screen),
            temperature_by: Some(Instrument::Screen),
            ..Station::default()
        };
        let mut set = self.set.clone();
        set.discharge = place(self.read(Reading::DischargePressure), self.read(Reading::DischargeTemperature));
        set.suction = place(self.read(Reading::SuctionPressure), self.read(Reading::SuctionTemperature));
        set.liquid = place(self.read(Reading::LiquidPressure), self.read(Reading::LiquidTemperature));
        let more =
            [Reading::Power, Reading::LeavingFluid, Reading::EnteringFluid, Reading::Outdoor, Reading::SightGlass];
        for reading in more {
            let read = self.read(reading);
            set.values.extend(read.map(|read| (reading, read)));
        }
        Readings { set, ..Readings::default() }
    }

    /// Whether an explanation is the truth, or one that no reading can tell from it.
    fn is_truth(&self, causes: &[(Cause, f64)]) -> bool {
        let same = |cause: Cause| if cause == Cause::HeadControlShut { Cause::FansOut } else { cause };
        let mut found: Vec<Cause> = causes.iter().map(|(cause, _)| same(*cause)).collect();
        let mut wanted: Vec<Cause> = self.causes.iter().map(|(cause, _)| same(*cause)).collect();
        found.sort();
        wanted.sort();
        found == wanted
    }

    /// Takes a reading that is named; none where it can't be.
    fn take(&mut self, readings: &mut Readings, reading: Reading) -> Option<()> {
        let read = self.read(reading)?;
        match reading {
            Reading::StoppedPressure => readings.set.stopped = Some((read, self.set.values[&Reading::Outdoor].value)),
            Reading::ValvePressure => readings.set.valve.pressure = Some(read),
            _ => {
                readings.set.values.insert(reading, read);
            }
        }
        Some(())
    }

    /// What the diagnosis makes of it, and again after so many visits, in each of which all is read that is named at one place.
    pub fn outcome(mut self, named: usize) -> Option<Outcome> {
        let mut readings = self.first();
        let answer = diagnose(&self.job, &readings).ok()?;
        let mut outcome = self.judge(&answer);
        let mut answer = answer;
        let mut taken = Vec::new();
        for turn in 0..named {
            let place = answer.next.first().map(|next| next.place);
            let visit: Vec<Reading> =
                answer.next.iter().take_while(|next| Some(next.place) == place).map(|next| next.reading).collect();
            for reading in visit {
                taken.push(reading.key());
                self.take(&mut readings, reading);
            }
            answer = diagnose(&self.job, &readings).ok()?;
            let alone =
                answer.groups.first().is_some_and(|group| group.fits.iter().all(|fit| self.is_truth(&fit.causes)));
            outcome.alone[turn] = alone && answer.verdict != Verdict::Contradictory;
        }
        outcome.last = format!("{} [{}]: {}", self.told(), taken.join(", "), said(&answer));
        Some(outcome)
    }

    fn judge(&self, answer: &Answer) -> Outcome {
        let within = |from: usize, to: usize| {
            answer
                .groups
                .iter()
                .skip(from)
                .take(to)
                .flat_map(|group| &group.fits)
                .any(|fit| if self.causes.is_empty() { fit.is_healthy() } else { self.is_truth(&fit.causes) })
        };
        let first = answer.groups.first();
        let leading = first.and_then(|group| group.fits.first());
        Outcome {
            verdict: answer.verdict,
            first: within(0, 1),
            first_two: within(0, 2),
            causes: first.map_or(0, |group| group.fits.len()),
            healthy: first.is_some_and(|group| group.fits.iter().any(roofrun::diagnose::Fitted::is_healthy)),
            leading: match leading {
                Some(fit) if fit.sensor.is_some() => Cause::WrongSensor,
                Some(fit) => fit.causes.first().map_or(Cause::Healthy, |(cause, _)| *cause),
                None => Cause::Healthy,
            },
            alone: [false; 2],
            cost: self.cost(),
            said: format!("{}: {}", self.told(), said(answer)),
            last: String::new(),
        }
    }

    /// What the fault takes of the capacity or of what a kilowatt gives, whichever is more, as a share of what nothing wrong gives there:
    /// how Yuill and Braun (Purdue, paper 1307 of 2012; from memory) grade faults.
    fn cost(&self) -> f64 {
        let given = |all: &BTreeMap<Reading, f64>| {
            let capacity = (all[&Reading::EnteringFluid] - all[&Reading::LeavingFluid]) * all[&Reading::FluidFlow];
            [capacity, capacity / all[&Reading::Power]]
        };
        let healthy = made(&self.job, &self.job.circuits[0], &self.set, &[], self.off).unwrap();
        let left = given(&self.truth).into_iter().zip(given(&healthy)).map(|(left, whole)| left / whole);
        1.0 - left.fold(f64::INFINITY, f64::min)
    }

    fn told(&self) -> String {
        let sizes: Vec<String> =
            self.causes.iter().map(|(cause, size)| format!("{} {size:.3}", cause.name())).collect();
        let outdoor = self.set.values[&Reading::Outdoor].value;
        let circuit = &self.job.circuits[0];
        format!("{} of {} at {outdoor:.0} K, {:?}", sizes.join(" with "), circuit.refrigerant, self.set.running)
    }
}

/// The first two groups in a line.
fn said(answer: &Answer) -> String {
    let fit = |fit: &roofrun::diagnose::Fitted| {
        let causes: Vec<String> =
            fit.causes.iter().map(|(cause, size)| format!("{} {size:.3}", cause.name())).collect();
        let sensor = fit.sensor.map_or(String::new(), |at| format!("sensor {}", at.key()));
        format!("{}{sensor} ({:.1})", causes.join("+"), fit.misfit)
    };
    let group = |group: &roofrun::diagnose::Group| group.fits.iter().map(fit).collect::<Vec<_>>().join(", ");
    answer.groups.iter().take(2).map(group).collect::<Vec<_>>().join(" | ")
}

/// What came of a case.
pub struct Outcome {
    /// Verdict of the first answer.
    pub verdict: Verdict,
    /// The truth stands in the first group.
    pub first: bool,
    /// In the first or the second.
    pub first_two: bool,
    /// Causes in the first group.
    pub causes: usize,
    /// `healthy` stands in the first group.
    pub healthy: bool,
    /// What leads.
    pub leading: Cause,
    /// What the fault costs, a share.
    pub cost: f64,
    /// What was made, and the first two groups with their misfits.
    pub said: String,
    /// The same after the readings that are named, with these.
    pub last: String,
    /// The truth stands alone after what is named at one place was read, and after a second such visit.
    pub alone: [bool; 2],
}

/// Cases of one kind. At medium severity what is named is read too.
pub fn outcomes(jobs: &[Job], causes: &[Cause], severity: usize, count: u64, shifted: bool) -> Vec<Outcome> {
    let named = if severity == 1 && causes.len() == 1 { 2 } else { 0 };
    let kind = causes.iter().fold(7, |sum, cause| 31 * sum + *cause as u64);
    let seed = |case: u64| 1_000_003 * kind + 7_919 * case + 11 * severity as u64 + u64::from(shifted);
    let made = |case: u64| Made::new(jobs, causes, severity, seed(case), shifted).and_then(|made| made.outcome(named));
    (0..count).into_par_iter().filter_map(made).collect()
}

/// The share of them that are so, in per cent.
pub fn percent(outcomes: &[Outcome], is: impl Fn(&Outcome) -> bool) -> f64 {
    100.0 * outcomes.iter().filter(|outcome| is(outcome)).count() as f64 / outcomes.len().max(1) as f64
}
