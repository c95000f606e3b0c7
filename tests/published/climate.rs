//! Global warming potentials.

use crate::evidence::{Table, reproduce};
use roofrun::refdata::{components, facts};

pub const TABLES: &[Table] = &[
    Table("global warming potential", "-", |at| facts(at[0]).unwrap().gwp_ar4),
    Table("global warming potential of a component", "-", |at| {
        components().iter().find(|c| c.name == at[0]).unwrap().gwp_ar4
    }),
];

#[test]
fn printed_values() {
    reproduce(TABLES);
}
