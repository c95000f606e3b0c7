//! The site for a person: the verdict and what fails first, then the weather, the year and the roof.

mod clearance;
mod edge;
mod sound;
mod warm_air;
mod weather;
mod weight;
mod year;

use super::{Site, counts};
use crate::layout::Sheet;
use crate::report::first::First;
use crate::report::{assumptions, findings, heading, screenful, whole_remedy};

/// The answer of `site` as text of `width` columns (40 and up). Words may carry colour codes; print it through a
/// stream that removes them where they do not belong.
#[must_use]
pub fn text(site: &Site, width: usize, full: bool) -> String {
    let mut sheet = Sheet::new(width);
    let first = First::of_findings(site.job, &site.findings, &site.remedies);
    first_of(&mut sheet, site, &first);
    findings::all(&mut sheet, site.job, &first, full);
    if !full {
        assumptions::own_limits(&mut sheet, site.job, |look| site.looks(look));
        assumptions::hazards(&mut sheet, site.job);
        screenful::more(&mut sheet);
        return sheet.finish();
    }
    if let Some(whole) = &site.whole {
        heading(&mut sheet, "The whole remedy");
        whole_remedy(&mut sheet, site.job, whole);
    }
    studied(&mut sheet, site);
    assumptions::cautions(&mut sheet, site.job);
    sheet.finish()
}

/// What was studied, in tables, and what was taken for it.
pub(crate) fn studied(sheet: &mut Sheet, site: &Site) {
    for section in [
        weather::section,
        year::section,
        clearance::section,
        warm_air::section,
        sound::section,
        weight::section,
        edge::section,
    ] {
        section(sheet, site);
    }
    assumptions::own_limits(sheet, site.job, |look| site.looks(look));
    assumptions::assumptions(sheet, site.job, counts);
}

/// The verdict, what fails with its first remedy, the closest margins, what was not studied.
fn first_of(sheet: &mut Sheet, site: &Site, first: &First) {
    let mut unstudied: Vec<&str> = Vec::new();
    if site.roof.is_none() {
        unstudied.push("roof: none is drawn ([roof])");
    }
    if site.year.is_none() {
        unstudied.push("year: no weather file is given ([site] weather)");
    }
    screenful::fitted(sheet, |sheet, room| {
        findings::title(sheet, site.job);
        screenful::counts(sheet, "Site: ", first);
        screenful::failures(sheet, site.job, first, site.whole.as_ref(), room);
        if let Some(whole) = &site.whole {
            sheet.space();
            screenful::whole(sheet, site.job, first, whole, room);
        }
        sheet.space();
        screenful::close(sheet, site.job, first);
        screenful::not_judged(sheet, first, &unstudied);
        screenful::deference(sheet, site.job);
    });
}

#[cfg(test)]
mod testing {
    use super::Site;
    use crate::job::Job;
    use crate::layout::Sheet;
    use crate::roof::testing::studied;
    use crate::rules::Verdict;

    /// A section on the roof of a job, without the colour codes.
    pub fn on_the_roof(job: &Job, width: usize, section: fn(&mut Sheet, &Site)) -> String {
        let roof = Some(studied(job));
        let (climate, year, findings, remedies, whole, verdict) =
            (None, None, Vec::new(), Vec::new(), None, Verdict::Pass);
        let mut sheet = Sheet::new(width);
        section(&mut sheet, &Site { job, roof, climate, year, findings, remedies, whole, verdict });
        anstream::adapter::strip_str(&sheet.finish()).to_string()
    }
}
