//! What a receiver's relief valve must let out, and how long its discharge line may be.

use crate::job::{Circuit, Code, Job, Path, Receiver, ReliefValve, Shell};
use crate::physics::atmosphere::SEA_LEVEL;
use crate::physics::relief::{as_air, capacity, longest_line, outlet_pressure, rough_friction_factor, vapour_capacity};
use crate::refdata::{ReliefFactor, Tube, fitting, greatest_relief_factor, relief_factor};
use crate::refrigerant;
use crate::units::{Pressure, Volume, kilograms_per_second, metres};
use std::f64::consts::PI;

/// Diameters that a shell of which only the volume is known is taken to be long: receivers are seldom more slender, and the more
/// slender the more a valve must let out.
pub const SLENDER: f64 = 8.0;

/// The relief of a circuit's receiver.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ReliefNeed {
    /// Least capacity, air; none for a receiver of no known size, and by EN 13136 for a valve of
    /// no known setting or one so high that the vapour is not known there.
    pub capacity_kg_s: Option<f64>,
    /// Whether the shell was made from the volume.
    pub shell_assumed: bool,
    /// Whether the factor is the greatest of the published table, which has none for the refrigerant.
    pub factor_assumed: bool,
    /// The discharge line, where tube and length are given and the flow is known.
    pub line: Option<ReliefLine>,
}

/// The discharge line of a relief valve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReliefLine {
    /// Its length with its fittings.
    pub equivalent_m: f64,
    /// The longest that it may be; below 0 where not even a short one will do.
    pub longest_m: f64,
    /// Friction factor at full turbulence.
    pub friction_factor: f64,
    /// Flow, air: the stamped capacity, else the minimum.
    pub flow_kg_s: f64,
}

/// The receiver of a circuit, where it has one.
pub(crate) fn receiver(circuit: &Circuit) -> Option<&Receiver> {
    circuit.liquid.runs.iter().find_map(|run| match &run.path {
        Path::Part(part) => part.receiver.as_ref(),
        _ => None,
    })
}

/// A shell of that volume, so many diameters long.
fn slender(volume: Volume) -> Shell {
    let diameter = (4.0 * volume.value / (PI * SLENDER)).cbrt();
    Shell { diameter: metres(diameter), length: metres(SLENDER * diameter) }
}

/// What the relief of a circuit needs.
pub(crate) fn relief(job: &Job, circuit: &Circuit) -> ReliefNeed {
    let receiver = receiver(circuit);
    let given = receiver.and_then(|receiver| receiver.shell);
    let shell = given.or_else(|| receiver?.volume.map(slender));
    let listed = relief_factor(&circuit.refrigerant);
    let factor_assumed = job.site.code == Code::Us && listed.is_none() && shell.is_some();
    let (minimum, line) = match job.site.code {
        Code::Us => {
            let of =
                |(shell, factor): (Shell, &ReliefFactor)| capacity(factor.si(), shell.diameter, shell.length).value;
            let minimum = shell.zip(listed.or_else(greatest_relief_factor)).map(of);
            (minimum, circuit.relief.valve().and_then(|valve| line(job, valve, minimum)))
        }
        Code::Eu => (shell.and_then(|shell| by_en_13136(job, circuit, shell)), None),
    };
    let shell_assumed = shell.is_some() && given.is_none();
    ReliefNeed { capacity_kg_s: minimum, shell_assumed, factor_assumed, line }
}

/// What the valve must let out by EN 13136, as air, kg/s.
fn by_en_13136(job: &Job, circuit: &Circuit, shell: Shell) -> Option<f64> {
    let atmosphere = job.site.atmosphere.pascals();
    let gauge = circuit.relief.valve()?.setting.pascals() - atmosphere;
    let blowing = 1.1 * gauge + atmosphere;
    let fluid = refrigerant::named(&circuit.refrigerant)?;
    let (bubble, dew) = (fluid.bubble_p(blowing).ok()?, fluid.dew_p(blowing).ok()?);
    let thin = fluid.vapour_pt(SEA_LEVEL.pascals(), 298.15).ok()?;
    let exponent = thin.speed_of_sound.powi(2) * thin.density / thin.pressure;
    let vapour = vapour_capacity(shell.diameter, shell.length, dew.enthalpy - bubble.enthalpy);
    Some(as_air(vapour, Pressure::from_pascals(blowing), dew.density, exponent).value)
}

fn line(job: &Job, valve: &ReliefValve, minimum: Option<f64>) -> Option<ReliefLine> {
    let (tube, length) = (valve.tube.as_ref()?, valve.length?);
    let flow = valve.capacity.map(|stamped| stamped.value).or(minimum)?;
    let fittings = valve
        .fittings
        .iter()
        .filter_map(|(name, count)| Some(f64::from(*count) * fitting(name)?.equivalent_length(tube).value));
    Some(ReliefLine {
        equivalent_m: length.value + fittings.sum::<f64>(),
        longest_m: longest(job, valve, tube, flow)?,
        friction_factor: rough_friction_factor((tube.roughness / tube.bore()).value),
        flow_kg_s: flow,
    })
}

/// The longest discharge line of that tube, m.
pub(crate) fn longest(job: &Job, valve: &ReliefValve, tube: &Tube, flow: f64) -> Option<f64> {
    let atmosphere = job.site.atmosphere;
    let factor = rough_friction_factor((tube.roughness / tube.bore()).value);
    let outlet = outlet_pressure(valve.setting, atmosphere);
    longest_line(tube.bore(), outlet, atmosphere, factor, kilograms_per_second(flow)).ok().map(|length| length.value)
}
