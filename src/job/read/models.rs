//! What the models of the chiller take where no key says it: told with what else a job leaves out.

use crate::job::notes::Notes;
use crate::job::{Circuit, Evaporating, Path, Resistance, ValveKind};

/// Notes what the models take of a circuit. The numbers are those of the models themselves; tests there hold them together.
pub(super) fn models(notes: &mut Notes<'_>, circuit: &Circuit) {
    let mut assume = |key: &str, value: f64, says: &str, why: &str| {
        notes.assume(format!("circuit {} {key}", circuit.name), (value, "-", says), why, "roofrun");
    };
    if circuit.valve.minimum_drop.is_none() {
        let (times, says, why) = match circuit.valve.kind {
            ValveKind::Electronic => {
                (2.0, "2 times", "electronic: the rated flow, wide open at the rating's difference")
            }
            ValveKind::Thermostatic => {
                (1.5, "1.5 times", "thermostatic: the rated flow, wide open at the rating's difference")
            }
            ValveKind::Fixed => (1.0, "1 time", "fixed: the rated flow at the rating's difference"),
        };
        assume("valve.minimum_drop", times, says, &format!("{why}; none is given"));
    }
    if matches!(circuit.evaporator.evaporating, Evaporating::Approach { .. }) {
        let why = "fraction of the surface that only heats gas at the rating; superheat at most 0.8 of entering fluid less evaporating";
        assume("evaporator dry surface", 0.12, "12 %", why);
    }
    let air = if circuit.condenser.air_flow.is_some() {
        0.55
    } else {
        let why =
            "to which the rejection goes with the air share, 0.58 with the pressure of the air; no `air_flow` is given";
        assume("condenser air", 0.7, "power 0.7", why);
        0.7
    };
    if circuit.condenser.subcooling.value > 0.0 {
        let why =
            format!("to which its transfer units go with the flow, {air} with the air share; `subcooling` rates it");
        assume("condenser liquid zone", -0.5, "power -0.5", &why);
    }
    if circuit.condenser.pressure_drop.value > 0.0 {
        assume("condenser.pressure_drop law", 1.8, "power 1.8", "to which the loss in the coil goes with the flow");
    }
    let runs = || circuit.discharge.runs.iter().chain(&circuit.liquid.runs);
    if runs().any(|run| matches!(&run.path, Path::Part(part) if matches!(part.resistance, Resistance::Loss(_)))) {
        let why = "a part's loss goes with the flow squared over the density, from its loss at the rated flow";
        assume("loss of parts", 2.0, "flow squared", why);
    }
    if runs().any(
        |run| matches!(&run.path, Path::Rise { traps, .. } if traps.foot || traps.top || !traps.between.is_empty()),
    ) {
        let why = "what each trap and loop counts as; its short lengths of tube are neglected";
        assume("length of traps", 3.0, "3 elbows", why);
    }
    if circuit.condenser.volume.is_some() || circuit.evaporator.volume.is_some() {
        let why = "tubes of coil and evaporator, 300 kg/(m2 s) in them at the rated flow: for what they hold";
        notes.assume(format!("circuit {} coil tubes", circuit.name), (0.008, "m", ""), why, "roofrun");
    }
}
