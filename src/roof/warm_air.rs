//! To be written.

use crate::job::{Job, Roof};
use crate::survey::Survey;
use serde::Serialize;

/// An answer.
#[derive(Clone, Debug, Serialize)]
pub struct WarmAir {
    /// Of this unit or listener.
    pub name: String,
}

pub(super) fn warm_air(_job: &Job, _roof: &Roof, _survey: &Survey) -> Vec<WarmAir> {
    Vec::new()
}
