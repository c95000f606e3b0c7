//! What would mend a job: changes as data, each tried by solving again what it touches and letting the rules look.
//!
//! One engine: `bench` solves a changed circuit and remembers it, `candidates` says what is worth trying for a finding, and the
//! findings before and after rank it. [`remedies`] mends one finding at a time; [`whole`] looks for one set of changes with which
//! nothing fails.

pub(crate) mod bench;
mod candidates;
mod change;
mod compare;
mod cost;
mod estimate;
pub(crate) mod place;
mod refit;
mod roof;
pub(crate) mod search;
mod single;
mod tubes;
mod whole;

pub use bench::Effect;
pub use change::{Change, differences, edits};
pub use cost::{Cost, tube_mass};
pub use place::{Choice, Place, choices};
pub use roof::of_the_roof;
pub use search::seals;
pub use single::{Remedy, remedies};
pub use whole::{Whole, remedies_and_whole, whole};
