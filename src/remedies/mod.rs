//! What would mend a job: changes as data, each tried by solving again what it touches and letting the rules look.
//!
//! One engine: `trial` solves a changed circuit and remembers it, `candidates` says what is worth trying for a finding, and the
//! findings before and after rank it. [`remedies`] mends one finding at a time; [`whole`] looks for one set of changes with which
//! nothing fails.

mod candidates;
mod change;
mod compare;
mod cost;
mod differences;
mod discharge_line;
mod effect;
mod estimate;
mod known;
pub(crate) mod open_tube;
mod plant;
mod reaches;
mod refit;
mod remedy;
mod resort;
mod roof;
pub(crate) mod search;
mod single;
mod site;
mod study;
#[cfg(test)]
mod testing;
pub(crate) mod trial;
mod tubes;
mod whole;
mod written;
mod year;

pub use change::Change;
pub use cost::{Cost, all_tube_mass, tube_mass};
pub use differences::differences;
pub use effect::Effect;
pub use open_tube::{Choice, Section, choices};
pub use remedy::Remedy;
pub use search::seals;
pub use single::remedies;
pub use site::{of_the_site, whole_of_the_site};
pub use study::SiteStudy;
pub use whole::{Whole, remedies_and_whole, whole};
pub(crate) use written::Edits;
pub use written::edits;
