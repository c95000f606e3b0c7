//! Design pressures, relief and tests.

use crate::evidence::{FOOT, PSI, Table, number, reproduce};
use roofrun::physics::relief::{capacity, longest_line, outlet_pressure, rough_friction_factor};
use roofrun::refdata::{design_temperature, limit, practice, relief_factor, tube};
use roofrun::refrigerant;
use roofrun::units::{Pressure, Temperature, kilograms_per_second, metres};

const POUND_PER_MINUTE: f64 = 0.453_592_37 / 60.0;

pub const TABLES: &[Table] = &[
    Table("design temperature of EN 378", "°C", |at| {
        design_temperature(Temperature::from_kelvin(number(at[0]) + 273.15)).kelvin() - 273.15
    }),
    Table("allowable pressure of EN 378", "bar", |at| {
        let design = design_temperature(Temperature::from_kelvin(number(at[1]) + 273.15));
        (bubble(at[0], design.kelvin()) - 101_325.0) / 1e5
    }),
    Table("fraction of the allowable pressure", "bar", |at| number(at[0]) * limit(at[1]).unwrap().value),
    Table("relief factor", "lb/min ft2", |at| relief_factor(at[0]).unwrap().f_lb_min_ft2),
    Table("relief capacity", "lb/min", |at| {
        let factor = number(at[0]) * POUND_PER_MINUTE / (FOOT * FOOT);
        capacity(factor, metres(number(at[1]) * FOOT), metres(number(at[2]) * FOOT)).value / POUND_PER_MINUTE
    }),
    Table("relief line", "ft", relief_line),
    Table("relief line of a bore", "ft", |at| {
        longest(number(at[0]) * 0.0254, number(at[1]), number(at[2]), number(at[3]))
    }),
    Table("friction factor of a relief line", "-", |at| friction(at[0])),
    Table("vacuum", "micron", |at| practice(at[0]).unwrap().value / 0.133_322_4),
    Table("share", "%", |at| practice(at[0]).map_or_else(|| limit(at[0]).unwrap().value, |of| of.value) * 100.0),
    Table("pressure per degree", "psi/F", |at| (number(at[0]) + 14.696) / (number(at[1]) + 459.67)),
    Table("charge limit", "lb", |at| limit(at[0]).unwrap().value / 0.453_592_37),
    Table("vessel limit", "ft3", |at| limit(at[0]).unwrap().value / FOOT.powi(3)),
];

fn bubble(refrigerant: &str, kelvin: f64) -> f64 {
    refrigerant::named(refrigerant).unwrap().bubble_pressure(kelvin).unwrap()
}

fn friction(name: &str) -> f64 {
    let tube = tube(name).unwrap();
    rough_friction_factor((tube.roughness / tube.bore()).value)
}

/// Bore, m; setting, psig; air, lb/min; friction factor.
fn longest(bore: f64, setting: f64, air: f64, factor: f64) -> f64 {
    let atmosphere = Pressure::from_pascals(14.7 * PSI);
    let outlet = outlet_pressure(Pressure::from_pascals((setting + 14.7) * PSI), atmosphere);
    let air = kilograms_per_second(air * POUND_PER_MINUTE);
    longest_line(metres(bore), outlet, atmosphere, factor, air).unwrap().value / FOOT
}

/// Pipe; setting, psig; air, lb/min; the printed friction factor, or none for our own.
fn relief_line(at: &[&str]) -> f64 {
    let factor = if at[3].is_empty() { friction(at[0]) } else { number(at[3]) };
    longest(tube(at[0]).unwrap().bore().value, number(at[1]), number(at[2]), factor)
}

#[test]
fn printed_values() {
    reproduce(TABLES);
}
