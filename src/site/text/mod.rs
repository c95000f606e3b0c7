//! The site for a person: the verdict and what fails first, then the weather, the year and the roof.

mod clearance;
mod edge;
mod sound;
mod warm_air;
mod weather;
mod weight;
mod year;

use super::{Site, counts};
use crate::layout::{Sheet, style};
use crate::report::{assumptions, findings, heading, whole_remedy};
use crate::rules::{Finding, Look, Verdict, rule};

/// The answer of `site` as text of `width` columns (60 and up read well). Words may carry colour codes; print it through a
/// stream that removes them where they do not belong.
#[must_use]
pub fn text(site: &Site, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    put(&mut sheet, site);
    sheet.finish()
}

/// Writes it on a sheet.
pub(crate) fn put(sheet: &mut Sheet, site: &Site) {
    verdict(sheet, site);
    if let Some(whole) = &site.whole {
        sheet.space();
        whole_remedy(sheet, site.job, whole);
    }
    let of_the_year = |finding: &Finding| rule(finding.rule).is_some_and(|rule| matches!(rule.look, Look::Year(_)));
    part(sheet, site, "The roof", |finding| !of_the_year(finding));
    part(sheet, site, "The year", of_the_year);
    studied(sheet, site);
    assumptions::cautions(sheet, site.job);
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

fn verdict(sheet: &mut Sheet, site: &Site) {
    findings::title(sheet, site.job);
    sheet.space();
    let (words, style) = match site.verdict {
        Verdict::Fail => ("The site does not work as drawn", style::FAIL),
        Verdict::Caution => ("The site works as drawn, with cautions", style::CAUTION),
        Verdict::Pass | Verdict::NotJudged | Verdict::Note => ("The site works as drawn", style::PASS),
    };
    sheet.ends((words, style), (&findings::tally(&site.findings), style::PLAIN));
    if site.roof.is_none() {
        sheet.paragraph(0, "No roof is drawn ([roof]): room, warm air, sound, weight and edges were not looked at.");
    }
    if site.year.is_none() {
        sheet.paragraph(0, "No weather file is named ([site] weather): the year was not run.");
    }
}

/// What the rules say of the roof or of the year, the worst first.
fn part(sheet: &mut Sheet, site: &Site, title: &str, about: impl Fn(&Finding) -> bool) {
    if !site.findings.iter().any(&about) {
        return;
    }
    heading(sheet, title);
    for verdict in [Verdict::Fail, Verdict::Caution, Verdict::Note, Verdict::NotJudged] {
        let findings = site.findings.iter().zip(&site.remedies);
        for (finding, remedies) in findings.filter(|(finding, _)| about(finding) && finding.verdict == verdict) {
            let circuit = finding.circuit.and_then(|index| site.job.circuits.get(index));
            findings::finding(sheet, site.job, finding, remedies, circuit.map(|circuit| circuit.name.as_str()));
        }
    }
    findings::holds(sheet, &site.findings, about);
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
