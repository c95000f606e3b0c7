//! One installation: the file as typed, then the job as meant.
//!
//! [`open`] and [`read`] answer either a [`Job`] with nothing left open, or [`Faults`]: every one of them, each with its
//! place, what was expected and the line as it should read.

mod edit;
mod equipment;
mod fault;
mod faults;
mod file;
mod key;
mod keys;
mod model;
mod modules;
mod notes;
mod plant;
mod points;
mod read;
mod reading;
mod readings;
mod render;
mod roof;
mod route;
mod schema;
mod sketch;
mod syntax;
mod table;
mod values;

pub use edit::{Edit, EditFault, edit, step};
pub use equipment::*;
pub use fault::Fault;
pub use faults::Faults;
pub use file::{open, open_columns, open_readings, open_unsized};
pub use key::{Bounds, Either, Holds, Key, Keys, Otherwise};
pub use keys::TABLES;
pub use model::*;
pub use modules::{Module, machines, modules};
pub use plant::{Plant, Profile, Running};
pub use points::{Measured, POINTS, Point};
pub use read::{read, read_columns, read_open, read_readings};
pub use reading::Reading;
pub use readings::*;
pub use roof::*;
pub use route::*;
pub use schema::{job_schema, readings_schema};
pub use sketch::{open_sketch, read_sketch};
