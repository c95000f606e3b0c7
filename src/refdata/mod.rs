//! Embedded tables, each row with its source.
//!
//! The tables are the files under `refdata/`: plain text with the unit in the column's name and a source key in every
//! row. A table is read when it is first required, once.

mod code;
mod design_temperatures;
mod fittings;
mod limits;
mod parts;
pub(crate) mod practices;
mod refrigerants;
mod relief_factors;
mod sources;
mod strength;
mod supports;
mod table;
mod tube_names;
mod tubes;

pub use code::Code;
pub use design_temperatures::design_temperature;
pub use fittings::{Fitting, fitting, fittings};
pub use limits::{Limit, limit, limits};
pub use parts::{Lines, PartFacts, Typical, part, parts};
pub use practices::{Practice, practice, practices};
pub use refrigerants::{Component, Constituent, RefrigerantFacts, all_facts, components, facts};
pub use relief_factors::{ReliefFactor, greatest_relief_factor, relief_factor};
pub use sources::{Known, Source, source, sources};
pub use strength::{OutOfTable, Temper, Unrated, allowable_stress, metric_allowable_stress};
pub use supports::{SupportSpacing, support_spacing};
pub use tube_names::{by_outside, tubes_meant};
pub use tubes::{METRIC, Material, Tube, metric_tubes, tube, tubes};
