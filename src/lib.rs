//! Will a remote air-cooled condenser on a roof work with the lines drawn for it?
//!
//! Data flows one way; a module imports only what stands below it:
//!
//! `cli` -> `report` -> `rules` -> `survey` -> `machine` -> `line` -> `job` -> `refdata`, `refrigerant`
//! -> `physics`, `units`, `solve`.
//!
//! Everything inside is SI; units exist at the edges only.

pub mod cli;
pub mod job;
pub mod line;
pub mod machine;
pub mod physics;
pub mod refdata;
pub mod refrigerant;
pub mod report;
pub mod rules;
pub mod sheet;
pub mod size;
pub mod solve;
pub mod survey;
pub mod takeoff;
pub mod units;
