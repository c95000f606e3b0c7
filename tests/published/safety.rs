//! Refrigerant in rooms and vessels: concentration and flammability limits, ventilation, fill, void fraction.

use crate::evidence::{FOOT, Table, number, reproduce};
use roofrun::physics::machinery_room::{LEAK_K, emergency_ventilation, emergency_ventilation_a2l};
use roofrun::physics::void_fraction::{TwoPhases, baroczy};
use roofrun::refdata::{RefrigerantFacts, facts, limit};
use roofrun::refrigerant;

/// Pound, kg.
const POUND: f64 = 0.453_592_37;

pub const TABLES: &[Table] = &[
    Table("concentration limit", "lb/1000 ft3", |at| fact(at).rcl_kg_m3.unwrap() / (POUND / (1000.0 * FOOT.powi(3)))),
    Table("concentration limit from parts per million", "g/m3", |at| {
        let facts = fact(at);
        facts.rcl_ppm.unwrap() * 1e-6 * facts.molar_mass * molar_density(25.0)
    }),
    Table("practical limit", "kg/m3", |at| fact(at).en_practical_kg_m3.unwrap()),
    Table("toxicity or oxygen limit", "kg/m3", |at| fact(at).en_atel_kg_m3.unwrap()),
    Table("flammability limit by EN 378", "kg/m3", |at| fact(at).en_lfl_kg_m3.unwrap()),
    Table("a fifth of the flammability limit", "kg/m3", |at| 0.2 * fact(at).en_lfl_kg_m3.unwrap()),
    Table("emergency ventilation", "ft3/min", |at| emergency_ventilation(number(at[0]) * POUND) / FOOT.powi(3) * 60.0),
    Table("emergency ventilation in SI", "m3/s", |at| emergency_ventilation(number(at[0]))),
    Table("emergency ventilation of group A2L", "ft3/min", |at| {
        let gas = refrigerant::named(at[0]).unwrap().dew_t(LEAK_K).unwrap();
        let flow = emergency_ventilation_a2l(gas.density, gas.speed_of_sound, fact(at).lfl_kg_m3.unwrap());
        flow / FOOT.powi(3) * 60.0
    }),
    Table("greatest fill of a receiver", "%", |_| 100.0 * limit("receiver_fill").unwrap().value),
    Table("void fraction by Baroczy", "-", |at| {
        let of = TwoPhases {
            liquid_density: number(at[1]),
            vapour_density: number(at[2]),
            liquid_viscosity: number(at[3]),
            vapour_viscosity: number(at[4]),
        };
        baroczy(&of, number(at[0]))
    }),
    Table("quarter of the flammability limit", "g/m3", |at| fact(at).lfl_kg_m3.unwrap() * 1000.0 / 4.0),
    Table("flammability limit by volume", "%", |at| {
        let facts = fact(at);
        100.0 * facts.lfl_kg_m3.unwrap() * 1000.0 / facts.molar_mass / molar_density(number(at[1]))
    }),
];

fn fact(at: &[&str]) -> &'static RefrigerantFacts {
    facts(at[0]).unwrap()
}

/// Of an ideal gas at 101.325 kPa, mol/m3.
fn molar_density(celsius: f64) -> f64 {
    101_325.0 / (8.314_462_618 * (celsius + 273.15))
}

#[test]
fn printed_values() {
    reproduce(TABLES);
}

/// Safety groups as Annex E of EN 378-1 gives them.
#[test]
fn groups_of_the_european_standard() {
    let flammable = ["R-32", "R-452B", "R-454A", "R-454B", "R-454C", "R-1234yf", "R-1234ze(E)"];
    for facts in roofrun::refdata::all_facts().iter().filter(|facts| facts.en_practical_kg_m3.is_some()) {
        let group = match facts.name.as_str() {
            "R-290" => "A3",
            name if flammable.contains(&name) => "A2L",
            _ => "A1",
        };
        assert_eq!(facts.safety_group, group, "{}", facts.name);
    }
}
