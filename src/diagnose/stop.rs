//! What a stopped pressure says of gas, while the compressors are off.

use super::accuracy;
use super::case::Case;
use super::cause::Cause;
use super::fit::{Fitted, weighed};
use super::taken::Taken;
use crate::job::{Circuit, Job, Reading, Readings, Set};

/// A pressure read at a stop.
pub(super) struct Stop {
    /// As read, Pa.
    pub read_Pa: f64,
    /// Saturation at its air, Pa.
    pub expected_Pa: f64,
    /// How well that is known, 95 %, Pa.
    pub band_Pa: f64,
    /// Gas that does not condense where it reads more, else nothing wrong.
    pub fit: Fitted,
}

/// What a pressure at a stop says: over saturation at its air it is gas that does not condense. None where there is none.
pub(super) fn stop(job: &Job, circuit: &Circuit, readings: &Readings) -> Option<Stop> {
    let (read, air) = readings.set.stopped?;
    let fluid = crate::refrigerant::named(&circuit.refrigerant)?;
    let (bubble, dew) = (fluid.bubble_pressure(air).ok()?, fluid.dew_pressure(air).ok()?);
    let reading = Reading::StoppedPressure;
    let by = readings.set.discharge.pressure_by;
    let taken = Taken { reading, value: read.value, step: read.step, by, indirect: false, fans_of: None };
    let of = |reading: Reading| accuracy::of(&Taken { reading, ..taken }, &readings.accuracy).value;
    // A blend with glide stands somewhere between bubble and dew.
    let of_air = fluid.dew_pressure(air + of(Reading::AirOn)).ok()? - dew;
    let band = of(reading).hypot(of_air).hypot(0.5 * (bubble - dew));
    let expected = 0.5 * (bubble + dew);
    let gas = read.value - expected;
    let causes = if gas > band { vec![(Cause::NonCondensables, gas)] } else { Vec::new() };
    // What the rest would read is told of a circuit that runs.
    let case = Case::new(job, circuit, &Set { running: None, ..readings.set.clone() });
    let prediction = case.predict(&case.circuitry().ok()?, &causes, None).ok()?;
    let misfit = (gas / weighed(taken, band).deviation).powi(2);
    Some(Stop {
        read_Pa: read.value,
        expected_Pa: expected,
        band_Pa: band,
        fit: Fitted { causes, sensor: None, misfit, prediction },
    })
}
