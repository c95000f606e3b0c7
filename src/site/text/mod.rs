//! The site for a person: the verdict and what fails first, then the weather, the year and the roof.

mod clearance;
mod edge;
mod sound;
mod warm_air;
mod weather;
mod weight;
mod year;

use super::Site;
use crate::sheet::Sheet;

/// The answer of `site` as text of `width` columns.
#[must_use]
pub fn text(site: &Site, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    sheet.paragraph(0, &site.job.title);
    for section in [
        weather::section,
        year::section,
        clearance::section,
        warm_air::section,
        sound::section,
        weight::section,
        edge::section,
    ] {
        section(&mut sheet, site);
    }
    sheet.finish()
}
