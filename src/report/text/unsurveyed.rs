//! Circuits that can't be solved at all, because what the job says of them does not belong together.

use crate::job::{Circuit, Job};
use crate::machine::{CoilFault, CompressorFault, MachineFault};
use crate::rules::say::beyond;
use crate::survey::SurveyFault;

/// What is wrong with a circuit, in the job's units and with its place in the file:
/// `hall.toml, line 46: circuit 1A: ...`.
#[must_use]
pub fn why_unsurveyed(fault: &SurveyFault, job: &Job) -> String {
    let units = job.units;
    let circuit = job.circuits.iter().find(|circuit| circuit.name == fault.circuit);
    let line = circuit.map_or(0, |circuit| line(circuit, &fault.fault));
    let place = if line > 0 { format!("{}, line {line}", job.file) } else { job.file.clone() };
    let says = match fault.fault.as_ref() {
        MachineFault::Compressor(CompressorFault::PowerBelowIsentropic {
            power_W: power,
            capacity_W: capacity,
            minimum_W: minimum,
        }) => format!(
            "{} of power for {} of capacity is less than compression without losses takes, {}; capacity and power do \
             not belong together",
            units.power(*power),
            units.capacity(*capacity),
            units.power(*minimum)
        ),
        MachineFault::Coil(CoilFault::TooLittleAir {
            flow_m3_s: flow,
            difference_K: difference,
            rejection_W: rejection,
            maximum_W: maximum,
        }) => format!(
            "{} of air, warmed by the whole TD of {}, takes up {}, less than the total heat rejection of {}; air flow, \
             rejection and difference do not belong together",
            units.air_flow(*flow),
            units.difference(*difference),
            units.heat(*maximum),
            units.heat(*rejection)
        ),
        MachineFault::Coil(CoilFault::TooMuchSubcooling { subcooling_K, maximum_K }) => format!(
            "{} of subcooling is not to be had: at the rating the liquid boils at only {} above the air on the coil",
            units.difference(*subcooling_K),
            units.difference(*maximum_K)
        ),
        MachineFault::Coil(CoilFault::Altitude(fault)) => format!(
            "the condenser's rated altitude, {}, is not from {} to {}",
            units.length(fault.altitude_m),
            units.length(fault.lowest_m),
            units.length(fault.highest_m)
        ),
        MachineFault::Compressor(CompressorFault::Range(range)) => {
            format!("at the compressors' rating {}", beyond(units, range))
        }
        other => other.to_string(),
    };
    format!("{place}: circuit {}: {says}", fault.circuit)
}

/// The line of the file that a fault is about.
fn line(circuit: &Circuit, fault: &MachineFault) -> usize {
    let written = circuit.written;
    match fault {
        MachineFault::Coil(_) => written.condenser,
        _ => written.rating,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::testing;
    use crate::survey::survey;
    use crate::units::System;

    fn told(change: impl Fn(&mut Circuit), units: System) -> String {
        let mut job = testing::job();
        job.units = units;
        job.circuits.truncate(1);
        change(&mut job.circuits[0]);
        why_unsurveyed(&survey(&job).unwrap_err()[0], &job)
    }

    #[test]
    fn a_power_below_that_without_loss_is_told_in_the_jobs_units_with_its_line() {
        let little = |circuit: &mut Circuit| {
            if let crate::job::Performance::Rating { power, .. } = &mut circuit.compressors.performance {
                *power = crate::units::watts(4_000.0);
            }
        };
        let ip = told(little, System::Ip);
        assert!(ip.contains("circuit 1A: 4.00 kW of power for 40.0 tons of capacity is less than"), "{ip}");
        assert!(told(little, System::Si).contains("for 141 kW of capacity"));
        let line: usize = ip.strip_prefix("hall.toml, line ").unwrap().split(':').next().unwrap().parse().unwrap();
        assert_eq!(line, testing::job().circuits[0].written.rating);
        assert!(line > 10);
    }

    #[test]
    fn more_subcooling_than_the_air_can_give_is_told_in_the_units_of_the_job() {
        let change = |c: &mut Circuit| c.condenser.subcooling = crate::units::kelvins(25.0);
        let (ip, si) = (told(change, System::Ip), told(change, System::Si));
        assert!(ip.contains("45 F of subcooling is not to be had"), "{ip}");
        assert!(si.contains("25 K of subcooling is not to be had"), "{si}");
    }

    #[test]
    fn too_little_air_is_told_at_the_condenser() {
        let job = testing::job();
        let told = told(|c| c.condenser.air_flow = Some(crate::units::cubic_metres_per_second(0.5)), System::Ip);
        let place = format!("hall.toml, line {}: circuit 1A: 1059 cfm of air", job.circuits[0].written.condenser);
        assert!(told.starts_with(&place), "{told}");
    }
}
