//! To be written.

use crate::job::{Job, Roof};
use serde::Serialize;

/// An answer.
#[derive(Clone, Debug, Serialize)]
pub struct Heard {
    /// Of this unit or listener.
    pub name: String,
}

pub(super) fn heard(_job: &Job, _roof: &Roof) -> Vec<Heard> {
    Vec::new()
}
