//! What the models of the chiller take where no key says it: reported with the other assumptions.

use crate::job::notes::Notes;
use crate::job::{Circuit, Evaporating, Path, Resistance, ValveKind};
use crate::units::Kind;

/// Notes what the models take of a circuit. The numbers are those of the models themselves; tests there hold them together.
pub(super) fn models(notes: &mut Notes<'_>, circuit: &Circuit) {
    let mut assume = |key: &str, value: f64, says: &str, why: &str| {
        notes.assume(format!("circuit {} {key}", circuit.name), (value, Kind::Ratio, says), why, "roofrun");
    };
    if circuit.valve.minimum_drop.is_none() {
        let (times, says, why) = match circuit.valve.kind {
            ValveKind::Electronic => {
                (2.0, "2 times", "electronic: rated flow, wide open at the rating's pressure difference")
            }
            ValveKind::Thermostatic => {
                (1.5, "1.5 times", "thermostatic: rated flow, wide open at the rating's pressure difference")
            }
            ValveKind::Fixed => (1.0, "1 time", "fixed: rated flow at the rating's pressure difference"),
        };
        assume("valve.minimum_drop", times, says, &format!("{why}; `minimum_drop` not given"));
    }
    if matches!(circuit.evaporator.evaporating, Evaporating::Approach { .. }) {
        let why = "surface that superheats at the rating; superheat no more than 0.8 of entering fluid less \
                   evaporating";
        assume("evaporator dry surface", 0.12, "12 %", why);
    }
    let air = if circuit.condenser.air_flow.is_some() {
        0.55
    } else {
        let why = "total heat rejection with air fraction, 0.58 with air pressure; `air_flow` not given";
        assume("condenser air", 0.7, "power 0.7", why);
        0.7
    };
    if circuit.condenser.subcooling.value > 0.0 {
        let why = format!("transfer units with flow, {air} with air fraction; rated by `subcooling`");
        assume("condenser liquid zone", -0.5, "power -0.5", &why);
    }
    if circuit.condenser.pressure_drop.value > 0.0 {
        assume("condenser.pressure_drop law", 1.8, "power 1.8", "pressure drop of the coil with flow");
    }
    let runs = || circuit.discharge.runs.iter().chain(&circuit.liquid.runs);
    if runs().any(|run| matches!(&run.path, Path::Part(part) if matches!(part.resistance, Resistance::Loss(_)))) {
        let why = "pressure drop of a part with flow squared / density, from that at the rated flow";
        assume("pressure drop of parts", 2.0, "flow squared", why);
    }
    if runs().any(
        |run| matches!(&run.path, Path::Rise { traps, .. } if traps.foot || traps.top || !traps.between.is_empty()),
    ) {
        let why = "equivalent length of each trap and loop";
        assume("length of traps", 3.0, "3 elbows", why);
    }
    if circuit.condenser.volume.is_some() || circuit.evaporator.volume.is_some() {
        let why = "tube size of coil and evaporator for the charge, at 300 kg/(m2 s)";
        notes.assume(format!("circuit {} coil tubes", circuit.name), (0.008, Kind::SmallLength, ""), why, "roofrun");
    }
}
