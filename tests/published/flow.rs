//! What flows by itself and what the chiller gives: lifts of liquid, minimum velocities in risers, drains, discharge gas.

use crate::evidence::{FOOT, INCH, PSI, Table, kelvin, number, reproduce};
use crate::lines::{Inlet, flow_through, fluid, run};
use roofrun::job::{Path, Traps};
use roofrun::line::Medium;
use roofrun::refdata::{limit, tube};
use roofrun::units::metres;

pub const TABLES: &[Table] = &[
    Table("lift of liquid over a height", "psi", lift),
    Table("subcooling that a lift takes", "F", |at| {
        let fluid = fluid(at[0]);
        let bubble = fluid.bubble_t(kelvin(at[1])).unwrap();
        let above = fluid.bubble_temperature(bubble.pressure - lift(at) * PSI).unwrap();
        (bubble.temperature - above) * 1.8
    }),
    Table("minimum velocity in a riser", "ft/min", minimum_velocity),
    Table("bubble temperature under a gauge", "F", |at| {
        let pressure = (number(at[1]) + 14.696) * PSI;
        fluid(at[0]).bubble_temperature(pressure).unwrap() * 1.8 - 459.67
    }),
    Table("bubble pressure on a gauge", "psig", |at| {
        fluid(at[0]).bubble_pressure(kelvin(at[1])).unwrap() / PSI - 14.696
    }),
    Table("liquid in a tube", "lb/ft", |at| {
        let density = fluid(at[0]).bubble_t(kelvin(at[1])).unwrap().density;
        let bore = tube(at[2]).unwrap().bore().value;
        density * std::f64::consts::FRAC_PI_4 * bore * bore * FOOT / 0.453_592_37
    }),
    Table("area of a tube", "in2", |at| {
        let bore = tube(at[0]).unwrap().bore().value / INCH;
        std::f64::consts::FRAC_PI_4 * bore * bore
    }),
    Table("limit of temperature", "F", |at| limit(at[0]).unwrap().value * 1.8 - 459.67),
    Table("longest run", "ft", |at| limit(at[0]).unwrap().value / FOOT),
];

/// What a height of saturated liquid takes, psi.
fn lift(at: &[&str]) -> f64 {
    let bubble = fluid(at[0]).bubble_t(kelvin(at[1])).unwrap();
    let path = Path::Rise { length: metres(number(at[2]) * FOOT), traps: Traps::default() };
    // Subcooled by a pressure that the lift does not use up.
    let inlet = Inlet { pressure: bubble.pressure + 4e5, temperature: bubble.temperature };
    flow_through(fluid(at[0]), run(path, tube("2-1/8 ACR").unwrap(), &[]), Medium::Liquid, inlet, 0.01).static_Pa / PSI
}

/// Least velocity that lifts oil up a riser. Refrigerant; saturated discharge; hot gas; tube.
fn minimum_velocity(at: &[&str]) -> f64 {
    let pressure = fluid(at[0]).dew_pressure(kelvin(at[1])).unwrap();
    let density = fluid(at[0]).vapour_density(pressure, kelvin(at[2])).unwrap();
    let size = tube(at[3]).unwrap();
    let path = Path::Rise { length: metres(FOOT), traps: Traps::default() };
    let inlet = Inlet { pressure, temperature: kelvin(at[2]) };
    let result = flow_through(fluid(at[0]), run(path, size, &[]), Medium::Gas, inlet, 1e-3);
    let area = std::f64::consts::FRAC_PI_4 * size.bore().value.powi(2);
    result.tubes[0].oil_minimum_kg_s.unwrap() / (density * area) / FOOT * 60.0
}

#[test]
fn printed_values() {
    reproduce(TABLES);
}

/// A double riser's second tube: what the whole area leaves behind the first, between 2-1/8 and 2-5/8.
#[test]
fn the_larger_tube_of_a_double_riser_lies_between_two_sizes() {
    let area = |name: &str| TABLES[6].2(&[name]);
    let left = area("3-1/8 L") - area("2-1/8 L");
    assert!((left - 3.717).abs() < 0.002, "{left}");
    assert!(area("2-1/8 L") < left && left < area("2-5/8 L"));
}
