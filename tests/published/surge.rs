//! What a valve does when it shuts, on water: no printed surge of a refrigerant is at hand.

use crate::evidence::{Table, number, reproduce};
use roofrun::physics::static_head::GRAVITY;
use roofrun::physics::water_hammer::joukowsky;
use roofrun::units::{kilograms_per_cubic_metre, metres_per_second};

pub const TABLES: &[Table] = &[
    Table("surge", "MPa", |at| rise(number(at[0]), number(at[1]), number(at[2])) / 1e6),
    Table("surge as head", "m", |at| rise(1000.0, number(at[0]), number(at[1])) / (1000.0 * GRAVITY)),
];

fn rise(density: f64, sound: f64, change: f64) -> f64 {
    joukowsky(kilograms_per_cubic_metre(density), metres_per_second(sound), metres_per_second(change)).value
}

#[test]
fn printed_values() {
    reproduce(TABLES);
}
