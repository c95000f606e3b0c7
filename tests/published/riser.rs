//! Least capacity of hot-gas risers, by the integration that `check` uses.

use crate::evidence::{FOOT, TON, Table, kelvin, reproduce, shape};
use crate::lines::{Inlet, flow_through, fluid, run};
use approx::assert_relative_eq;
use roofrun::job::{Path, Traps};
use roofrun::line::Medium;
use roofrun::refdata::tube;
use roofrun::units::metres;

pub const TABLES: &[Table] = &[Table("minimum capacity of a riser", "ton", minimum_capacity)];

/// Refrigerant; tube; hot-gas temperature. At 80 F saturated discharge, 20 F saturated suction with 15 F of superheat,
/// liquid subcooled by 15 F.
fn minimum_capacity(at: &[&str]) -> f64 {
    let fluid = fluid(at[0]);
    let pressure = fluid.dew_pressure(kelvin("80 F")).unwrap();
    let rise = Path::Rise { length: metres(FOOT), traps: Traps::default() };
    let inlet = Inlet { pressure, temperature: kelvin(at[2]) };
    let result = flow_through(fluid, run(rise, tube(at[1]).unwrap(), &[]), Medium::Gas, inlet, 1e-3);
    let suction = fluid.dew_pressure(kelvin("20 F")).unwrap();
    let gas = fluid.vapour_pt(suction, kelvin("35 F")).unwrap().enthalpy;
    let liquid = fluid.liquid_pt(pressure, kelvin("65 F")).unwrap().enthalpy;
    result.tubes[0].oil_minimum_kg_s.unwrap() * (gas - liquid) / TON
}

#[test]
fn printed_values() {
    reproduce(TABLES);
}

/// The power 2.5 of the bore: the column of 110 F within 2 % of its mean, and ten of its twelve sizes within 1 %.
#[test]
fn the_shape_over_twelve_sizes() {
    let shape: Vec<f64> = shape(&TABLES[0], &["R-22"]);
    assert_eq!(shape.len(), 24);
    let column = &shape[..12];
    let mean = column.iter().sum::<f64>() / 12.0;
    for ratio in column {
        assert_relative_eq!(ratio / mean, 1.0, epsilon = 0.02);
    }
    assert!(column.iter().filter(|ratio| (*ratio / mean - 1.0).abs() < 0.01).count() >= 10);
}
