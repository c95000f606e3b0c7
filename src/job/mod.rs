//! One installation: the file as typed, then the job as meant.

mod model;

pub use model::*;
