//! To be written.

use crate::job::{Job, Roof};
use serde::Serialize;

/// An answer.
#[derive(Clone, Debug, Serialize)]
pub struct Clearance {
    /// Of this unit or listener.
    pub name: String,
}

pub(super) fn clearances(_job: &Job, _roof: &Roof) -> Vec<Clearance> {
    Vec::new()
}
