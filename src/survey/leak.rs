//! What becomes of a room where a circuit's whole charge leaks into it.

use super::charge::Charge;
use crate::job::{Circuit, Code, Job, LineId, Room};
use crate::physics::machinery_room::{
    LEAK_K, emergency_ventilation, emergency_ventilation_a2l, emergency_ventilation_en, greatest_flammable_charge,
    hydrocarbon_ventilation,
};
use crate::refdata::{self, RefrigerantFacts};
use crate::refrigerant;

/// A circuit's charge in a room that it may leak into.
#[derive(Clone, Debug)]
pub(crate) struct Leak<'a> {
    /// The room.
    pub room: &'a Room,
    /// Its index in the job.
    pub index: usize,
    /// The runs that cross it, by number from 1.
    pub runs: Vec<(LineId, Vec<usize>)>,
    /// All of the charge over the volume of the room, kg/m3.
    pub concentration_kg_m3: f64,
    /// Emergency ventilation that a machinery room of this charge requires, m3/s.
    pub ventilation_m3_s: f64,
    /// What newer editions require of a refrigerant of group A2L, m3/s, where that is more.
    pub of_a2l_m3_s: Option<f64>,
    /// What the guidelines require of a hydrocarbon where the electrical installation could ignite it, m3/s.
    pub of_a3_m3_s: Option<f64>,
}

/// What a code says of a refrigerant in the air of a room.
#[derive(Clone, Copy, Debug)]
pub(crate) struct RoomLimits {
    /// The concentration that no leak may reach where people are, kg/m3: refrigerant concentration limit of ASHRAE 34,
    /// practical limit of EN 378.
    pub maximum_kg_m3: Option<f64>,
    /// Its source key.
    pub source: &'static str,
    /// Lower flammability limit, kg/m3; none where it does not burn.
    pub lfl_kg_m3: Option<f64>,
    /// The most of what burns in a room of people, whatever its volume, kg.
    pub greatest_charge_kg: Option<f64>,
    /// At which a detector must have started the ventilation, kg/m3, where the code has a figure.
    pub alarm_kg_m3: Option<f64>,
}

/// The rooms that a circuit may leak into: those that its lines cross, and the one in which its chiller stands.
pub(crate) fn leaks<'a>(job: &'a Job, circuit: &Circuit, charge: &Charge) -> Vec<Leak<'a>> {
    let runs = |room: &Room| -> Vec<(LineId, Vec<usize>)> {
        let of = |side: LineId| {
            let runs = side.of(circuit).runs.iter().enumerate();
            let within = runs.filter(|(_, run)| run.room.as_ref() == Some(&room.name));
            (side, within.map(|(index, _)| index + 1).collect::<Vec<_>>())
        };
        LineId::BOTH.map(of).into_iter().filter(|(_, numbers)| !numbers.is_empty()).collect()
    };
    let ventilation = match job.site.code {
        Code::Us => emergency_ventilation(charge.total_kg),
        Code::Eu => emergency_ventilation_en(charge.total_kg),
    };
    let facts = refdata::facts(&circuit.refrigerant);
    let of_a2l = facts.and_then(|facts| of_a2l(job.site.code, facts)).filter(|flow| *flow > ventilation);
    let of_a3 = facts.filter(|facts| facts.safety_group == "A3").and_then(|facts| {
        room_limits(job.site.code, facts).lfl_kg_m3.map(|lfl| hydrocarbon_ventilation(charge.total_kg, lfl))
    });
    let rooms = job.rooms.iter().enumerate().map(|(index, room)| Leak {
        room,
        index,
        runs: runs(room),
        concentration_kg_m3: charge.total_kg / room.volume.value,
        ventilation_m3_s: ventilation,
        of_a2l_m3_s: of_a2l,
        of_a3_m3_s: of_a3,
    });
    rooms.filter(|leak| !leak.runs.is_empty() || circuit.room.as_ref() == Some(&leak.room.name)).collect()
}

/// Emergency ventilation of a refrigerant of group A2L by newer editions of the American standard, m3/s.
fn of_a2l(code: Code, facts: &RefrigerantFacts) -> Option<f64> {
    let lfl = facts.lfl_kg_m3.filter(|_| code == Code::Us && facts.safety_group == "A2L")?;
    let gas = refrigerant::named(&facts.name)?.dew_t(LEAK_K).ok()?;
    Some(emergency_ventilation_a2l(gas.density, gas.speed_of_sound, lfl))
}

/// What the code that governs says of a refrigerant.
pub(crate) fn room_limits(code: Code, facts: &'static RefrigerantFacts) -> RoomLimits {
    match code {
        Code::Us => RoomLimits {
            maximum_kg_m3: facts.rcl_kg_m3,
            source: facts.rcl_source.as_deref().unwrap_or("ashrae-34"),
            lfl_kg_m3: facts.lfl_kg_m3,
            greatest_charge_kg: None,
            alarm_kg_m3: facts.lfl_kg_m3.map(|lfl| 0.25 * lfl),
        },
        Code::Eu => {
            let lfl = facts.en_lfl_kg_m3;
            let alarms = [facts.en_atel_kg_m3.map(|atel| 0.5 * atel), lfl.map(|lfl| 0.25 * lfl)];
            RoomLimits {
                maximum_kg_m3: facts.en_practical_kg_m3,
                source: "en-378-1",
                lfl_kg_m3: lfl,
                greatest_charge_kg: lfl.map(greatest_flammable_charge),
                alarm_kg_m3: alarms.into_iter().flatten().reduce(f64::min),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::refdata::facts;
    use approx::assert_relative_eq;

    #[test]
    fn each_code_has_limits_of_its_own() {
        let of = |code: Code, name: &str| room_limits(code, facts(name).unwrap());
        assert_eq!(of(Code::Us, "R-410A").maximum_kg_m3, Some(0.42));
        assert_eq!(of(Code::Eu, "R-410A").maximum_kg_m3, Some(0.44));
        // Half of the toxicity limit, and a quarter of what burns where that is lower.
        assert_eq!(of(Code::Eu, "R-410A").alarm_kg_m3, Some(0.21));
        assert_eq!(of(Code::Us, "R-410A").alarm_kg_m3, None);
        assert_relative_eq!(of(Code::Eu, "R-32").alarm_kg_m3.unwrap(), 0.25 * 0.307);
        assert_relative_eq!(of(Code::Us, "R-32").alarm_kg_m3.unwrap(), 0.25 * 0.306);
        assert_relative_eq!(of(Code::Eu, "R-32").greatest_charge_kg.unwrap(), 11.973, max_relative = 1e-9);
        assert_eq!(of(Code::Us, "R-32").greatest_charge_kg, None);
        // Editions differ by a third: the lower is taken, and its edition named.
        let lower = of(Code::Us, "R-454B");
        assert!(lower.maximum_kg_m3 == Some(0.049) && lower.source == "ashrae-34-2019", "{lower:?}");
        assert_eq!(of(Code::Eu, "R-438A").maximum_kg_m3, None);
    }
}
