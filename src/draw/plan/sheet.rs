//! What a plan draws.

use super::window::Window;
use crate::draw::marks::Numbered;
use crate::job::{Job, Roof};
use crate::roof::RoofStudy;

/// A roof that is studied, the part of it that is shown, and what was found on it.
pub(super) struct Sheet<'a> {
    pub job: &'a Job,
    pub roof: &'a Roof,
    pub study: &'a RoofStudy,
    pub window: Window,
    pub findings: &'a [Numbered<'a>],
}
