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
    /// Explanations, each of one cause or of two together, and the value that they make.
    pub makes: Vec<(Vec<Vec<Cause>>, f64)>,
    /// The same explanations in words.
    pub names: Vec<Vec<String>>,
}

/// What may be read next: how, its accuracy (95 %), and the work, from a glance to a stop of the plant.
const MAY_BE_READ: &[(Reading, &str, f64, f64)] = &[
    (Reading::Fans, "count the condenser fans that turn", 0.15, 1.0),
    (Reading::Outdoor, "outdoor air, in the shade", 2.0 * FAHRENHEIT_DEGREE, 0.9),
    (Reading::AirOn, "air at the coil face, in the shade", 2.0 * FAHRENHEIT_DEGREE, 1.0),
    (Reading::SightGlass, "look at the sight glass", 0.6, 1.0),
    (Reading::BypassLine, "surface thermometer on the bypass line, downstream of its valve", 0.4, 1.1),
    (Reading::Coil, "look through the coil with a lamp", 0.5, 1.2),
    (Reading::Power, "power of the compressors", 1500.0, 1.3),
    (Reading::LeavingFluid, "fluid that leaves the evaporator", FAHRENHEIT_DEGREE, 1.2),
    (Reading::EnteringFluid, "fluid that enters the evaporator", FAHRENHEIT_DEGREE, 1.2),
    (Reading::SuctionTemperature, "suction temperature, clamp on the pipe", 2.0 * FAHRENHEIT_DEGREE, 1.3),
    (Reading::DischargeTemperature, "discharge temperature, clamp on the pipe", 4.0 * FAHRENHEIT_DEGREE, 1.3),
    (Reading::LiquidTemperature, "liquid temperature, clamp on the pipe", 2.0 * FAHRENHEIT_DEGREE, 1.3),
    (Reading::AirOff, "air off the coil", 3.0 * FAHRENHEIT_DEGREE, 1.5),
    (Reading::DrierOut, "temperature just after the drier, against that before it", 2.0 * FAHRENHEIT_DEGREE, 1.4),
    (
        Reading::DischargeDrop,
        "discharge pressure at the compressors and at the condenser's inlet, by one gauge",
        3.0 * PSI,
        1.6,
    ),
    (Reading::ValveOpen, "opening of the expansion valve on the screen", 0.15, 1.2),
    (Reading::FluidFlow, "flow of the fluid", 4e-4, 2.0),
    (Reading::ReceiverLevel, "level in the receiver", 0.25, 1.6),
    (
        Reading::StoppedPressure,
        "pressure at a stop: compressors off, liquid shut off, fans on until air off reads as air on",
        8.0 * PSI,
        3.0,
    ),
    (Reading::DischargePressure, "discharge pressure, by another gauge", 8.0 * PSI, 2.0),
    (Reading::SuctionPressure, "suction pressure, by another gauge", 5.0 * PSI, 2.0),
    (Reading::LiquidPressure, "liquid pressure before the drier", 8.0 * PSI, 5.0),
    (Reading::ValvePressure, "pressure at the valve's inlet", 8.0 * PSI, 5.0),
];

/// How many of its accuracies two predictions lie apart at least, for a reading to part them: both are known no better than it is.
const APART: f64 = 1.4;

/// The readings that part some explanations, the best first; none that were read already, but what reads wrong by the best, which is
/// taken again, and the outdoor air where its thermometer may be what is wrong.
pub(super) fn next(fits: &[&Fitted], read: &[Reading], maximum: usize) -> Vec<Next> {
    let doubted = |reading: Reading| fits.iter().any(|fit| fit.sensor == Some(reading));
    let mut worth: Vec<(f64, Next)> = Vec::new();
    for &(reading, says, accuracy, work) in MAY_BE_READ {
        if read.contains(&reading) && !(reading == Reading::Outdoor && doubted(reading)) {
            continue;
        }
        let mut makes: Vec<(Vec<Vec<Cause>>, f64)> = Vec::new();
        let mut names: Vec<Vec<String>> = Vec::new();
        for fit in fits {
            let Some(value) = fit.prediction.of(reading) else { continue };
            let (causes, name) = (causes(fit), named(fit));
            let at = makes.iter().position(|(_, other)| (other - value).abs() < 0.5 * accuracy);
            match at.and_then(|at| makes.get_mut(at).zip(names.get_mut(at))) {
                Some((_, known)) if known.contains(&name) => {}
                Some(((all, _), known)) => {
                    all.push(causes);
                    known.push(name);
                }
                None => {
                    makes.push((vec![causes], value));
                    names.push(vec![name]);
                }
            }
        }
        let values = || makes.iter().map(|(_, value)| *value);
        let apart = values().fold(f64::NEG_INFINITY, f64::max) - values().fold(f64::INFINITY, f64::min);
        let certain = (apart / accuracy).min(6.0);
        if certain > APART {
            worth.push((certain / work, Next { reading, says, makes, names }));
        }
    }
    worth.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut all: Vec<Next> = worth.into_iter().take(maximum).map(|(_, next)| next).collect();
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
    let (_, says, ..) = MAY_BE_READ.iter().find(|(other, ..)| *other == reading)?;
    let value = fit.prediction.of(reading)?;
    Some(Next { reading, says, makes: vec![(vec![causes(fit)], value)], names: vec![vec![named(fit)]] })
}
