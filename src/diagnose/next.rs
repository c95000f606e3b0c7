//! What to read or do next: where the causes of the leading group differ most for the least work.

use super::cause::Cause;
use super::fit::Fitted;
use super::group::causes;
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
}

/// What may be read next: how, its accuracy (95 %), and the work, from a glance to a stop of the plant.
const MAY_BE_READ: &[(Reading, &str, f64, f64)] = &[
    (Reading::Fans, "count the condenser fans that turn", 0.15, 1.0),
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
    (Reading::ValveOpen, "opening of the expansion valve on the screen", 0.15, 1.2),
    (Reading::FluidFlow, "flow of the fluid", 4e-4, 2.0),
    (Reading::ReceiverLevel, "level in the receiver", 0.25, 1.6),
    (
        Reading::StoppedPressure,
        "pressure at a stop: compressors off, liquid shut off, fans on until air on and air off agree within 1 F",
        8.0 * PSI,
        3.0,
    ),
    (Reading::LiquidPressure, "liquid pressure before the drier", 8.0 * PSI, 5.0),
    (Reading::ValvePressure, "pressure at the valve's inlet", 8.0 * PSI, 5.0),
];

/// The readings that part some explanations, the best first; none that were read already.
pub(super) fn next(fits: &[&Fitted], read: &[Reading], maximum: usize) -> Vec<Next> {
    let mut worth: Vec<(f64, Next)> = Vec::new();
    for &(reading, says, accuracy, work) in MAY_BE_READ {
        if read.contains(&reading) {
            continue;
        }
        let mut expect: Vec<(Vec<Vec<Cause>>, f64)> = Vec::new();
        for fit in fits {
            let Some(value) = fit.prediction.of(reading) else { continue };
            let causes = causes(fit);
            match expect.iter_mut().find(|(_, other)| (other - value).abs() < 0.5 * accuracy) {
                Some((all, _)) if all.contains(&causes) => {}
                Some((all, _)) => all.push(causes),
                None => expect.push((vec![causes], value)),
            }
        }
        let values = || expect.iter().map(|(_, value)| *value);
        let apart = values().fold(f64::NEG_INFINITY, f64::max) - values().fold(f64::INFINITY, f64::min);
        let certain = (apart / accuracy).min(6.0);
        if certain > 1.0 {
            worth.push((certain / work, Next { reading, says, makes: expect }));
        }
    }
    worth.sort_by(|a, b| b.0.total_cmp(&a.0));
    worth.into_iter().take(maximum).map(|(_, next)| next).collect()
}
