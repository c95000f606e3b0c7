//! What a stopped pressure says of gas, while the compressors are off.

use super::case::Case;
use super::cause::Cause;
use super::fit::{Fitted, weighed};
use super::taken::Taken;
use super::{Answer, Contradiction, Group, NoAnswer, Row, Verdict, accuracy};
use crate::job::{Circuit, Job, Reading, Readings, Set};

/// Explains a pressure read at a stop: what it is over saturation at its air is gas that does not condense; below it no liquid is left.
/// Without one nothing is said.
pub(super) fn explain(answer: &mut Answer, job: &Job, circuit: &Circuit, readings: &Readings) -> Result<(), NoAnswer> {
    let Some((read, air)) = readings.set.stopped else { return Ok(()) };
    let Some(fluid) = crate::refrigerant::named(&circuit.refrigerant) else { return Ok(()) };
    let [bubble, dew] = [fluid.bubble_pressure(air)?, fluid.dew_pressure(air)?];
    let reading = Reading::StoppedPressure;
    let by = readings.set.discharge.pressure_by;
    let taken = Taken { reading, value: read.value, step: read.step, by, indirect: false, fans_of: None };
    let of = |reading: Reading| accuracy::of(&Taken { reading, ..taken }, &readings.accuracy);
    // A blend with glide stands somewhere between bubble and dew.
    let of_air = fluid.dew_pressure(air + of(Reading::AirOn))? - dew;
    let band = of(reading).hypot(of_air).hypot(0.5 * (bubble - dew));
    let expected = 0.5 * (bubble + dew);
    let gas = read.value - expected;
    answer.rows = vec![Row { reading, read: read.value, expected, accuracy: band, left_out: false }];
    answer.verdict = if gas > band {
        Verdict::Suspects
    } else if gas < -band {
        let says = format!(
            "the pressure at a stop is {} below saturation at its air: no liquid is left, or that air is not the temperature of the coil",
            job.units.pressure_difference(-gas)
        );
        answer.contradictions.push(Contradiction { readings: vec![reading], says, by: -gas, accuracy: band });
        Verdict::Contradictory
    } else {
        Verdict::Healthy
    };
    let causes = if gas > band { vec![(Cause::NonCondensables, gas)] } else { Vec::new() };
    // What the rest would read is told of a circuit that runs.
    let case = Case::new(job, circuit, &Set { running: None, ..readings.set.clone() });
    let prediction = case.predict(&case.circuitry().map_err(super::NoCase::from)?, &causes, None)?;
    let misfit = (gas / weighed(taken, band).deviation).powi(2);
    if answer.verdict != Verdict::Contradictory {
        let fits = vec![Fitted { causes, sensor: None, misfit, prediction }];
        answer.groups = vec![Group { fits, share: 0.95, as_likely: false }];
    }
    Ok(())
}
