//! What to read or do next: where the causes of the leading group differ most for the least work.

use super::cause::Cause;
use super::fit::Fitted;
use super::group::{causes, named};
use crate::job::Reading;
use crate::units::factor::{FAHRENHEIT_DEGREE, PSI};

/// A reading to take, with what each cause makes of it.
#[derive(Clone, Debug)]
pub struct Next {
    /// Of what.
    pub reading: Reading,
    /// In words.
    pub says: &'static str,
    /// Where it is taken.
    pub place: Place,
    /// Explanations, each of one cause or of two together, and the value that they make.
    pub makes: Vec<(Vec<Vec<Cause>>, f64)>,
    /// The same explanations in words.
    pub names: Vec<Vec<String>>,
}

/// Where a reading is taken: who is at one place takes all that is to be read there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// At the condenser, mostly a climb to the roof.
    Condenser,
    /// At the machine, its screen and its pipes.
    Machine,
}

impl Place {
    /// Its name in an answer.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Condenser => "condenser",
            Self::Machine => "machine",
        }
    }
}

/// What was read already.
#[derive(Clone, Copy, Default)]
pub(super) struct Known<'a> {
    /// Of what.
    pub read: &'a [Reading],
    /// The temperature of the liquid, K.
    pub liquid_K: Option<f64>,
}

/// A reading that may be taken.
struct Possible {
    reading: Reading,
    says: &'static str,
    /// 95 %.
    accuracy: f64,
    /// From a glance, 1, to a stop of the plant.
    work: f64,
    place: Place,
}

const fn possible(reading: Reading, says: &'static str, accuracy: f64, work: f64, place: Place) -> Possible {
    Possible { reading, says, accuracy, work, place }
}

/// What may be read next. Work is an assumption.
const MAY_BE_READ: &[Possible] = &[
    possible(Reading::Fans, "count the condenser fans that turn", 0.15, 1.0, Place::Condenser),
    possible(Reading::Outdoor, "outdoor air, in the shade", 2.0 * FAHRENHEIT_DEGREE, 0.9, Place::Condenser),
    possible(Reading::AirOn, "air at the coil face, in the shade", 2.0 * FAHRENHEIT_DEGREE, 1.0, Place::Condenser),
    possible(Reading::SightGlass, "look at the sight glass", 0.6, 1.0, Place::Machine),
    possible(
        Reading::BypassLine,
        "surface thermometer on the bypass line, if there is one, downstream of its valve",
        0.4,
        1.1,
        Place::Machine,
    ),
    possible(Reading::Coil, "look through the coil with a lamp", 0.5, 1.2, Place::Condenser),
    possible(Reading::Power, "power of the compressors", 1500.0, 1.3, Place::Machine),
    possible(Reading::LeavingFluid, "fluid that leaves the evaporator", FAHRENHEIT_DEGREE, 1.2, Place::Machine),
    possible(Reading::EnteringFluid, "fluid that enters the evaporator", FAHRENHEIT_DEGREE, 1.2, Place::Machine),
    possible(
        Reading::SuctionTemperature,
        "suction temperature, clamp on the pipe",
        2.0 * FAHRENHEIT_DEGREE,
        1.3,
        Place::Machine,
    ),
    possible(
        Reading::DischargeTemperature,
        "discharge temperature, clamp on the pipe",
        4.0 * FAHRENHEIT_DEGREE,
        1.3,
        Place::Machine,
    ),
    possible(
        Reading::LiquidTemperature,
        "liquid temperature, clamp on the pipe",
        2.0 * FAHRENHEIT_DEGREE,
        1.3,
        Place::Machine,
    ),
    possible(Reading::AirOff, "air off the coil", 3.0 * FAHRENHEIT_DEGREE, 1.5, Place::Condenser),
    possible(
        Reading::DrierOut,
        "temperature just after the drier, against that before it",
        2.0 * FAHRENHEIT_DEGREE,
        1.4,
        Place::Machine,
    ),
    possible(
        Reading::CondenserOut,
        "liquid temperature at the condenser's outlet, clamp on the pipe",
        2.0 * FAHRENHEIT_DEGREE,
        1.3,
        Place::Condenser,
    ),
    possible(
        Reading::DischargeDrop,
        "discharge pressure at the compressors and at the condenser's inlet, by one gauge",
        3.0 * PSI,
        1.6,
        Place::Condenser,
    ),
    possible(Reading::ValveOpen, "opening of the expansion valve on the screen", 0.15, 1.2, Place::Machine),
    possible(Reading::FluidFlow, "flow of the fluid", 4e-4, 2.0, Place::Machine),
    possible(Reading::ReceiverLevel, "level in the receiver", 0.15, 1.6, Place::Machine),
    possible(
        Reading::StoppedPressure,
        "pressure at a stop: compressors off, liquid shut off, fans on until air off reads as air on",
        8.0 * PSI,
        3.0,
        Place::Machine,
    ),
    possible(Reading::DischargePressure, "discharge pressure, by another gauge", 8.0 * PSI, 2.0, Place::Machine),
    possible(Reading::SuctionPressure, "suction pressure, by another gauge", 5.0 * PSI, 2.0, Place::Machine),
    possible(Reading::LiquidPressure, "liquid pressure before the drier", 8.0 * PSI, 5.0, Place::Machine),
    possible(Reading::ValvePressure, "pressure at the valve's inlet", 8.0 * PSI, 5.0, Place::Machine),
];

/// How many of its accuracies two predictions lie apart at least, for a reading to part them: both are known no better than it is.
const APART: f64 = 1.4;
/// Past so many it parts them no better.
const CERTAIN: f64 = 6.0;

impl Possible {
    /// What of it tells explanations apart: liquid along its line stands off what was read of it already, unless that is what is wrong.
    fn telling(&self, fit: &Fitted, known: Known<'_>) -> Option<f64> {
        let value = fit.prediction.of(self.reading)?;
        let along = matches!(self.reading, Reading::DrierOut | Reading::CondenserOut)
            && fit.sensor != Some(Reading::LiquidTemperature);
        let off = fit.prediction.of(Reading::LiquidTemperature).zip(known.liquid_K).map(|(made, read)| read - made);
        Some(value + off.filter(|_| along).unwrap_or(0.0))
    }

    /// How certainly it parts explanations that nothing has parted yet, in its accuracies; none where it does not.
    fn parts(&self, joined: &[Vec<&Fitted>], known: Known<'_>) -> Option<f64> {
        let apart = |fits: &Vec<&Fitted>| {
            let values = || fits.iter().filter_map(|fit| self.telling(fit, known));
            values().fold(f64::NEG_INFINITY, f64::max) - values().fold(f64::INFINITY, f64::min)
        };
        let certain = joined.iter().map(apart).fold(0.0, f64::max) / self.accuracy;
        (certain > APART).then_some(certain.min(CERTAIN))
    }

    /// Explanations by what they make of it.
    fn made<'f>(&self, fits: &[&'f Fitted], known: Known<'_>) -> Vec<(f64, Vec<&'f Fitted>)> {
        let mut made: Vec<(f64, Vec<&Fitted>)> = Vec::new();
        for fit in fits {
            let Some(value) = self.telling(fit, known) else { continue };
            match made.iter_mut().find(|(other, _)| (*other - value).abs() < 0.5 * self.accuracy) {
                Some((_, alike)) => alike.push(fit),
                None => made.push((value, vec![fit])),
            }
        }
        made
    }

    fn next(&self, fits: &[&Fitted], known: Known<'_>) -> Next {
        let of = |(_, alike): (f64, Vec<_>)| {
            alike.first().and_then(|fit: &&Fitted| fit.prediction.of(self.reading)).map(|value| (value, alike))
        };
        let made: Vec<(f64, Vec<&Fitted>)> = self.made(fits, known).into_iter().filter_map(of).collect();
        let makes = made.iter().map(|(value, fits)| (fits.iter().map(|fit| causes(fit)).collect(), *value)).collect();
        let names = made.iter().map(|(_, fits)| {
            let mut names: Vec<String> = Vec::new();
            for name in fits.iter().map(|fit| named(fit)) {
                if !names.contains(&name) {
                    names.push(name);
                }
            }
            names
        });
        Next { reading: self.reading, says: self.says, place: self.place, makes, names: names.collect() }
    }
}

/// The readings that part some explanations, each what those before it leave together: the best first, then what else is to be read at
/// the same place, then the rest. None that were read already, but what reads wrong by the best, which is taken again, and
/// the outdoor air where its thermometer may be what is wrong: a reading taken again parts nothing else.
pub(super) fn next(fits: &[&Fitted], known: Known<'_>, maximum: usize) -> Vec<Next> {
    let doubted = |reading: Reading| fits.iter().any(|fit| fit.sensor == Some(reading));
    let open = |one: &&Possible| {
        !known.read.contains(&one.reading) || (one.reading == Reading::Outdoor && doubted(one.reading))
    };
    let mut left: Vec<&Possible> = MAY_BE_READ.iter().filter(open).collect();
    let mut joined: Vec<Vec<&Fitted>> = vec![fits.to_vec()];
    let mut all: Vec<Next> = Vec::new();
    while all.len() < maximum {
        let here = all.last().map(|next| next.place);
        let worth = |one: &&Possible| {
            let worth = one.parts(&joined, known)? / one.work;
            Some((Some(one.place) == here, worth))
        };
        let better = |a: &(bool, f64), b: &(bool, f64)| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1));
        let ranked = left.iter().enumerate().filter_map(|(at, one)| Some((worth(one)?, at)));
        // Of two alike the first: they stand in the order in which they are thought of.
        let best = ranked.max_by(|a, b| better(&a.0, &b.0).then(b.1.cmp(&a.1)));
        let Some((_, at)) = best else { break };
        let best = left.remove(at);
        all.push(best.next(fits, known));
        joined = joined.iter().flat_map(|fits| best.made(fits, known).into_iter().map(|(_, alike)| alike)).collect();
    }
    // A reading that is wrong is taken again.
    let again = fits.first().and_then(|fit| again(fit));
    if let Some(again) = again.filter(|again| all.iter().all(|next| next.reading != again.reading)) {
        all.insert(0, again);
    }
    all
}

/// The reading that is wrong by an explanation, to be taken again.
pub(super) fn again(fit: &Fitted) -> Option<Next> {
    let reading = fit.sensor?;
    let of = MAY_BE_READ.iter().find(|other| other.reading == reading)?;
    fit.prediction.of(reading)?;
    Some(of.next(&[fit], Known::default()))
}
