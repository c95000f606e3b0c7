//! To be written.

use crate::job::{Job, Roof};
use serde::Serialize;

/// An answer.
#[derive(Clone, Debug, Serialize)]
pub struct Edge {
    /// Of this unit or listener.
    pub name: String,
}

pub(super) fn edges(_job: &Job, _roof: &Roof) -> Vec<Edge> {
    Vec::new()
}
