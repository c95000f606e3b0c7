//! Printed values from outside, computed again by the functions that `check` uses.
//!
//! `values.csv` holds the values with source, place and how they are known; the modules compute them, and beside them
//! stand tests of what one number cannot say, the shape of a table or every step of a worked example.
#![expect(clippy::unwrap_used, reason = "a test may stop at what should not be")]

mod air;
mod climate;
mod evidence;
mod fittings;
mod flow;
mod friction;
mod growth;
mod limits;
mod lines;
mod machine;
mod pressure;
mod refrigerants;
mod riser;
mod safety;
mod sound;
mod surge;
#[path = "../common/rows.rs"]
mod table;
mod takeoff;
mod tubes;
mod warm_air;
mod weather;
