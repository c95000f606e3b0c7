//! To be written.

use crate::sheet::Sheet;
use crate::site::Site;

pub(super) fn section(_sheet: &mut Sheet, _site: &Site) {}
