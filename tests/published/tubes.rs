//! Dimensions of tube, allowable stress and rated pressures.

use crate::evidence::{INCH, PSI, Table, kelvin, number, reproduce};
use roofrun::physics::strength;
use roofrun::refdata::{Material, Temper, Tube, allowable_stress, metric_allowable_stress, tube};
use roofrun::units::{Temperature, metres, pascals};

pub const TABLES: &[Table] = &[
    Table("bore", "in", |at| named(at).bore().value / INCH),
    Table("wall", "in", |at| named(at).wall.value / INCH),
    Table("wall in mm", "mm", |at| named(at).wall.value * 1000.0),
    Table("largest outside diameter", "in", |at| named(at).outside_max.value / INCH),
    Table("allowable stress", "psi", |at| stress(at[0])),
    Table("rated pressure", "psi", |at| {
        named(at).rated_pressure(Temperature::from_kelvin(kelvin(at[1]))).unwrap().value / PSI
    }),
    Table("rated pressure of a wall", "psi", rated_pressure_of_a_wall),
    Table("rated pressure of metric tube", "bar", rated_pressure_of_metric_tube),
    Table("tolerance of metric tube", "mm", |at| (named(at).outside_max - named(at).outside).value * 1000.0),
];

fn named(at: &[&str]) -> &'static Tube {
    tube(at[0]).unwrap()
}

fn stress(at: &str) -> f64 {
    allowable_stress(Material::Copper, Temperature::from_kelvin(kelvin(at))).unwrap().value / PSI
}

/// What it is; minimum wall, in; largest outside diameter, in; temperature of annealed copper, or a stress.
fn rated_pressure_of_a_wall(at: &[&str]) -> f64 {
    let stress = if at[3].ends_with(" psi") { number(at[3]) } else { stress(at[3]) };
    let wall = metres(number(at[1]) * INCH);
    let outside = metres(number(at[2]) * INCH);
    strength::rated_pressure(pascals(stress * PSI), wall, outside).unwrap().value / PSI
}

/// Temper; outside diameter, mm; wall, mm. Annealed tube is the table's own.
fn rated_pressure_of_metric_tube(at: &[&str]) -> f64 {
    let warm = Temperature::from_kelvin(338.15);
    let temper = match at[0] {
        "annealed" => {
            return tube(&format!("{} x {}", at[1], at[2])).unwrap().rated_pressure(warm).unwrap().value / 1e5;
        }
        "half-hard" => Temper::HalfHard,
        "hard" => Temper::Hard,
        other => panic!("{other}"),
    };
    let stress = metric_allowable_stress(temper, warm).unwrap();
    let [outside, wall] = [at[1], at[2]].map(|size| metres(number(size) / 1000.0));
    strength::nominal_rated_pressure(stress, wall, outside).unwrap().value / 1e5
}

#[test]
fn printed_values() {
    reproduce(TABLES);
}
