//! What a healthy installation shows.

use super::case::Case;
use super::conclude::failing;
use super::fit::{Coefficients, Fitter, weighed};
use super::taken::{Taken, by_itself};
use super::{Accuracy, Layout, NoAnswer, accuracy, along_lines, circuit_of, open_causes, running_of};
use crate::job::{Job, Read, Reading, Runs, Set, Unknown};
use std::collections::BTreeMap;

/// What is asked.
#[derive(Clone, Debug, Default)]
pub struct Wanted {
    /// The circuit; needed where the job has several.
    pub circuit: Option<String>,
    /// Outdoor temperatures, K; the job's summer where there is none.
    pub outdoor: Vec<f64>,
    /// Compressors running; all where it is not given.
    pub running: Option<u32>,
    /// Fluid that enters, K.
    pub entering_K: Option<f64>,
    /// What is not known of the job.
    pub unknown: Unknown,
}

/// What is expected of a reading.
#[derive(Clone, Copy, Debug)]
pub struct Value {
    /// Of what.
    pub reading: Reading,
    /// Its value, SI.
    pub expected: f64,
    /// Its band, 95 %: instrument and model.
    pub accuracy: f64,
}

/// A healthy chiller at an outdoor temperature.
#[derive(Clone, Debug)]
pub struct Point {
    /// K.
    pub outdoor_K: f64,
    /// Every reading.
    pub values: Vec<Value>,
    /// Subcooling at the valve's inlet, K.
    pub subcooling_K: f64,
    /// Rules that fail there.
    pub layout: Vec<Layout>,
}

/// The answer.
#[derive(Clone, Debug)]
pub struct Expected {
    /// Of which circuit.
    pub circuit: String,
    /// Compressors running, and how many there are.
    pub running: (f64, u32),
    /// One for each outdoor temperature.
    pub points: Vec<Point>,
    /// How exact readings are by their instruments.
    pub instruments: Vec<Accuracy>,
    /// What was taken where the job does not say it.
    pub taken: Vec<String>,
}

/// Standard deviation of the leaving fluid's sensor, K.
const WELL: f64 = 0.15;

/// What is written down by a technician.
const SHOWN: &[Reading] = &[
    Reading::DischargePressure,
    Reading::DischargeTemperature,
    Reading::DischargeDrop,
    Reading::SuctionPressure,
    Reading::SuctionTemperature,
    Reading::LiquidPressure,
    Reading::LiquidTemperature,
    Reading::CondenserOut,
    Reading::ValvePressure,
    Reading::ValveTemperature,
    Reading::AirOn,
    Reading::AirOff,
    Reading::EnteringFluid,
    Reading::LeavingFluid,
    Reading::Power,
];

/// What a healthy installation shows.
///
/// # Errors
/// [`NoAnswer`] where the circuit has no balance at one of the temperatures.
pub fn expected(job: &Job, wanted: &Wanted) -> Result<Expected, NoAnswer> {
    let circuit = circuit_of(job, wanted.circuit.as_deref(), "--circuit")?;
    running_of(circuit, wanted.running)?;
    let summer = [job.site.summer.kelvin()];
    let outdoor = if wanted.outdoor.is_empty() { &summer[..] } else { &wanted.outdoor };
    let mut points = Vec::with_capacity(outdoor.len());
    let mut instruments = Vec::new();
    for &outdoor in outdoor {
        let (point, by) = point(job, circuit, outdoor, wanted)?;
        points.push(point);
        // Of the first point, beside which they are told.
        if instruments.is_empty() {
            instruments = by;
        }
    }
    let count = circuit.compressors.count;
    let running = f64::from(wanted.running.unwrap_or(count).min(count));
    Ok(Expected {
        circuit: circuit.name.clone(),
        running: (running, count),
        points,
        instruments,
        taken: open_causes(wanted.unknown, job.units).collect(),
    })
}

fn point(
    job: &Job,
    circuit: &crate::job::Circuit,
    outdoor: f64,
    wanted: &Wanted,
) -> Result<(Point, Vec<Accuracy>), NoAnswer> {
    let mut set = Set { running: wanted.running.map(Runs::Count), ..Set::default() };
    set.values.insert(Reading::Outdoor, Read { value: outdoor, step: 0.0 });
    let mut case = Case::new(job, circuit, &set);
    if let Some(entering) = wanted.entering_K {
        // What leaves follows from what enters: a fixed point, in which the capacity hardly changes.
        for _ in 0..12 {
            let circuitry = case.circuitry().map_err(super::NoCase::from)?;
            let prediction = case.predict(&circuitry, &[], None)?;
            let (Some(enters), Some(leaves)) =
                (prediction.of(Reading::EnteringFluid), prediction.of(Reading::LeavingFluid))
            else {
                break;
            };
            let off = entering - enters;
            drop(circuitry);
            set.values.insert(Reading::LeavingFluid, Read { value: leaves + off, step: 0.0 });
            case = Case::new(job, circuit, &set);
            if off.abs() < 1e-4 {
                break;
            }
        }
    }
    let circuitry = case.circuitry().map_err(super::NoCase::from)?;
    let healthy = case.predict(&circuitry, &[], None)?;
    let stated = BTreeMap::new();
    let drawn = |reading: &&Reading| !(wanted.unknown.lines && **reading == Reading::DischargeDrop);
    let readings = SHOWN.iter().filter(drawn).filter_map(|&reading| {
        let value = healthy.of(reading)?;
        let taken = Taken { reading, value, step: 0.0, by: by_itself(reading), indirect: false, fans_of: None };
        Some((taken, accuracy::of(&taken, &stated)))
    });
    let readings: Vec<(Taken, Accuracy)> = readings.collect();
    let instruments = readings.iter().map(|(_, accuracy)| *accuracy).collect();
    let mut readings: Vec<_> = readings.into_iter().map(|(taken, accuracy)| weighed(taken, accuracy.value)).collect();
    along_lines(&mut readings, wanted.unknown);
    let coefficients = Coefficients::of_the_job(wanted.unknown);
    let fitter = Fitter::new(&case, readings, [Some(0.6), Some(WELL)], &coefficients)?;
    let value = |(index, one): (usize, &super::fit::Weighed)| Value {
        reading: one.taken.reading,
        expected: one.taken.value,
        accuracy: fitter.band(index),
    };
    let point = Point {
        outdoor_K: outdoor,
        values: fitter.readings.iter().enumerate().map(value).collect(),
        subcooling_K: healthy.margin_K,
        layout: failing(&healthy, job),
    };
    Ok((point, instruments))
}
