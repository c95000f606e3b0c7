//! Friction factors and flow coefficients.

use crate::evidence::{Table, number, reproduce};
use roofrun::physics::friction::friction_factor;
use roofrun::physics::valve_flow::{kv_from_cv, loss};
use roofrun::refdata::tube;
use roofrun::units::{kilograms_per_cubic_metre, kilograms_per_second};

pub const TABLES: &[Table] = &[
    Table("friction factor", "-", |at| friction_factor(number(at[0]), number(at[1]))),
    Table("fully turbulent friction factor", "-", |at| {
        let tube = tube(at[0]).unwrap();
        friction_factor(1e9, (tube.roughness / tube.bore()).value)
    }),
    Table("loss of a flow coefficient", "kPa", |at| {
        // m3/h, kg/m3, Kv.
        let (volume, density, kv) = (number(at[0]), number(at[1]), number(at[2]));
        let flow = kilograms_per_second(volume * density / 3600.0);
        loss(flow, kv, kilograms_per_cubic_metre(density)).value / 1000.0
    }),
    Table("flow coefficient", "m3/h", |at| kv_from_cv(number(at[0]))),
];

#[test]
fn printed_values() {
    reproduce(TABLES);
}
