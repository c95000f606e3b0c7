//! Printed properties of refrigerants: saturation, superheated vapour, constants.

use roofrun::refrigerant::{End, Refrigerant, named};

use super::evidence::{PSI, Table, reproduce};

pub const TABLES: &[Table] = &[
    Table("saturation pressure", "kPa", |at| fluid(at).dew_pressure(kelvin(at[1])).unwrap() / 1e3),
    Table("dew pressure", "psi", |at| fluid(at).dew_pressure(kelvin(at[1])).unwrap() / PSI),
    Table("density of bubble liquid", "kg/m3", |at| fluid(at).bubble_t(kelvin(at[1])).unwrap().density),
    Table("density of dew vapour", "kg/m3", |at| fluid(at).dew_t(kelvin(at[1])).unwrap().density),
    Table("enthalpy of bubble liquid", "kJ/kg", |at| fluid(at).bubble_t(kelvin(at[1])).unwrap().enthalpy / 1e3),
    Table("enthalpy of dew vapour", "kJ/kg", |at| fluid(at).dew_t(kelvin(at[1])).unwrap().enthalpy / 1e3),
    Table("density of superheated vapour", "kg/m3", |at| {
        fluid(at).vapour_density(pressure(at), kelvin(at[2])).unwrap()
    }),
    Table("enthalpy of superheated vapour", "kJ/kg", |at| {
        fluid(at).vapour_pt(pressure(at), kelvin(at[2])).unwrap().enthalpy / 1e3
    }),
    Table("molar mass", "g/mol", |at| fluid(at).molar_mass() * 1e3),
    Table("critical temperature", "K", |at| fluid(at).critical_temperature()),
    Table("critical pressure", "kPa", |at| fluid(at).critical_pressure() / 1e3),
    Table("normal boiling point", "K", |at| fluid(at).bubble_temperature(101_325.0).unwrap()),
];

fn fluid(at: &[&str]) -> &'static Refrigerant {
    named(at[0]).unwrap()
}

fn kelvin(argument: &str) -> f64 {
    let (number, unit) = argument.split_once(' ').unwrap();
    let number: f64 = number.parse().unwrap();
    match unit {
        "C" => number + 273.15,
        "F" => (number + 459.67) / 1.8,
        other => panic!("{other}"),
    }
}

/// The pressure of a superheated state is given by its dew temperature: the source prints it with too few digits for
/// the density, but it is that of a saturation row.
fn pressure(at: &[&str]) -> f64 {
    fluid(at).dew_pressure(kelvin(at[1])).unwrap()
}

#[test]
fn every_printed_property_comes_out() {
    reproduce(TABLES);
}

/// R-410A boils at 221.71 K under one atmosphere (Lemmon 2003, quoted at the head of a fluid file): that is below the
/// range here, and is refused with a bound that lies where it must.
#[test]
fn the_normal_boiling_point_of_r410a_lies_below_the_range() {
    let error = named("R-410A").unwrap().bubble_temperature(101_325.0).unwrap_err();
    assert_eq!((error.quantity, error.end), ("pressure", End::Least));
    // The vapour pressure rises about 5 % a kelvin there: 1.44 K above the boiling point.
    let kelvins = (error.bound / 101_325.0).ln() / 0.0507;
    assert!((kelvins - (223.15 - 221.71)).abs() < 0.01, "{kelvins}");
}
