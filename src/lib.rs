//! Will a remote air-cooled condenser on a roof work with the lines drawn for it?
//!
//! Data flows one way; a module imports only what stands below it:
//!
//! `cli` -> `page` -> `draw` -> `site`, `size`, `takeoff`, `diagnose` -> `report` -> `rules` -> `roof`, `year` -> `survey` -> `machine` -> `line` -> `job` ->
//! `refdata`, `refrigerant`, `weather` -> `physics`, `units`, `solve`.
//!
//! Everything inside is SI; units exist at the edges only.

pub mod cli;
pub mod diagnose;
pub mod draw;
pub mod job;
pub(crate) mod layout;
pub mod line;
pub mod machine;
pub mod page;
pub mod physics;
pub mod refdata;
pub mod refrigerant;
pub mod remedies;
pub mod report;
pub(crate) mod roof;
pub mod rules;
pub(crate) mod site;
pub mod size;
pub mod solve;
pub mod survey;
pub mod takeoff;
pub mod trend;
pub mod units;
pub(crate) mod visible;
pub mod weather;
pub mod year;
