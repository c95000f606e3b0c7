//! What was read, as pressures and temperatures at their places.

use crate::job::{Instrument, Read, Reading, Saturation, Set, Station};
use crate::refrigerant::{OutOfRange, Refrigerant};

/// A reading that is to be explained.
#[derive(Clone, Copy, Debug)]
pub struct Taken {
    /// Of what.
    pub reading: Reading,
    /// Its value, SI.
    pub value: f64,
    /// The last digit that was read.
    pub step: f64,
    /// What it was read with.
    pub by: Option<Instrument>,
    /// Whether it follows from others (power from amperes).
    pub indirect: bool,
    /// Of how many fans.
    pub fans_of: Option<u32>,
}

/// The pressure of a saturated temperature, Pa.
fn saturated(fluid: &Refrigerant, kelvin: f64, line: Saturation) -> Result<f64, OutOfRange> {
    match line {
        Saturation::Dew => fluid.dew_pressure(kelvin),
        Saturation::Bubble => fluid.bubble_pressure(kelvin),
        Saturation::Mid => Ok(0.5 * (fluid.dew_pressure(kelvin)? + fluid.bubble_pressure(kelvin)?)),
    }
}

/// Pressure and temperature of a place; `gas` where superheat is over dew, else subcooling under bubble.
fn of_place(
    fluid: &Refrigerant,
    place: &Station,
    [pressure, temperature]: [Reading; 2],
    gas: bool,
    all: &mut Vec<Taken>,
) -> Result<(), OutOfRange> {
    let read = |reading, read: Read, by| Taken {
        reading,
        value: read.value,
        step: read.step,
        by,
        indirect: false,
        fans_of: None,
    };
    let at = match (place.pressure, place.saturated) {
        (Some(read), _) => Some(read),
        (None, Some((read, line))) => {
            let value = saturated(fluid, read.value, line)?;
            Some(Read { value, step: (saturated(fluid, read.value + read.step, line)? - value).abs() })
        }
        (None, None) => None,
    };
    all.extend(at.map(|at| read(pressure, at, place.pressure_by)));
    let warm = match (place.temperature, place.margin, at) {
        (Some(read), ..) => Some(read),
        (None, Some(margin), Some(at)) => {
            let value = if gas {
                fluid.dew_temperature(at.value)? + margin.value
            } else {
                fluid.bubble_temperature(at.value)? - margin.value
            };
            Some(Read { value, step: margin.step })
        }
        _ => None,
    };
    all.extend(warm.map(|warm| read(temperature, warm, place.temperature_by)));
    Ok(())
}

/// What a reading is taken with where nothing is said: fluid with what sits in its pipe.
pub(super) fn by_itself(reading: Reading) -> Option<Instrument> {
    matches!(reading, Reading::EnteringFluid | Reading::LeavingFluid).then_some(Instrument::Well)
}

/// Every reading of a set, in the order in which they are shown.
///
/// # Errors
/// [`OutOfRange`] where a saturated temperature is none of the refrigerant.
pub(super) fn of(fluid: &Refrigerant, set: &Set) -> Result<Vec<Taken>, OutOfRange> {
    let mut all = Vec::new();
    of_place(fluid, &set.discharge, [Reading::DischargePressure, Reading::DischargeTemperature], true, &mut all)?;
    of_place(fluid, &set.suction, [Reading::SuctionPressure, Reading::SuctionTemperature], true, &mut all)?;
    of_place(fluid, &set.liquid, [Reading::LiquidPressure, Reading::LiquidTemperature], false, &mut all)?;
    of_place(fluid, &set.valve, [Reading::ValvePressure, Reading::ValveTemperature], false, &mut all)?;
    for (&reading, read) in &set.values {
        let by = by_itself(reading);
        let indirect = reading == Reading::Power && set.power_by_amps;
        all.push(Taken { reading, value: read.value, step: read.step, by, indirect, fans_of: set.fans_of });
    }
    all.extend(set.stopped.map(|(read, _)| Taken {
        reading: Reading::StoppedPressure,
        value: read.value,
        step: read.step,
        by: set.discharge.pressure_by,
        indirect: false,
        fans_of: None,
    }));
    all.sort_by_key(|taken| Reading::ALL.iter().position(|reading| *reading == taken.reading));
    Ok(all)
}
