//! Energy of a year.

use super::answer::Energy;
use super::hourly::Hourly;
use super::operating_point::OperatingPoint;
use crate::job::{Circuit, HeadControl};

/// Seconds in an hour.
pub(super) const HOUR: f64 = 3600.0;

/// What the fans of a circuit take at an operating point, W, where it is known.
///
/// By the fan laws the power of a fan goes with the cube of its speed, and its air with the speed: fans that hold the head by
/// their speed take (air share)^3 of their power at full speed. Fans that run all the time take all of it.
///
/// Source: `fan-affinity`.
fn fans(circuit: &Circuit, point: &OperatingPoint) -> Option<f64> {
    let full = circuit.condenser.fan_power?.value;
    Some(match circuit.condenser.head_control {
        HeadControl::Fans { .. } => full * point.air_share.powi(3),
        HeadControl::None | HeadControl::Flooding { .. } => full,
    })
}

/// Energy of a circuit, all its copies.
pub(super) fn of_circuit(hourly: &Hourly, index: usize, circuit: &Circuit) -> Energy {
    let mut energy = Energy { fans_J: circuit.condenser.fan_power.map(|_| 0.0), ..Energy::default() };
    for (hour, duty) in hourly.duties.iter().enumerate() {
        let copies = f64::from(hourly.fleet.copies(duty.machines, index));
        for (point, part) in hourly.points(index, hour) {
            let seconds = copies * part * hourly.hours.each_h * HOUR;
            energy.compressors_J += point.power_W * seconds;
            energy.cooling_J += point.capacity_W * seconds;
            if let (Some(sum), Some(watts)) = (&mut energy.fans_J, fans(circuit, point)) {
                *sum += watts * seconds;
            }
        }
    }
    energy
}

/// All of several energies; the fans' as far as they are known.
pub(super) fn total(energies: impl Iterator<Item = Energy>) -> Energy {
    energies.fold(Energy::default(), |sum, one| Energy {
        compressors_J: sum.compressors_J + one.compressors_J,
        fans_J: sum.fans_J.map_or(one.fans_J, |fans| Some(fans + one.fans_J.unwrap_or(0.0))),
        cooling_J: sum.cooling_J + one.cooling_J,
    })
}
