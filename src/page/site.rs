//! The page of `site`.

use super::Unwritten;
use super::common::{CHECK, begun, drawn, safety, whole};
use super::piece::pieces;
use super::row::{findings, passed};
use super::view::{Figure, Part};
use crate::draw;
use crate::draw::marks::Numbered;
use crate::report::first::First;
use crate::report::row::blind;
use crate::site::{Site, studied};

/// The answer of `site` as a page.
///
/// # Errors
/// [`Unwritten`], which no answer brings about.
pub fn site(site: &Site) -> Result<String, Unwritten> {
    let job = site.job;
    let first = First::of_findings(job, &site.findings, &site.remedies);
    let mut page = begun(job, &first, "Site: ");
    page.verdict = page.verdict.replace("Site: No", "Site: no");
    page.whole = site.whole.as_ref().map(|found| whole(job, found));
    page.check = CHECK;
    if site.roof.is_none() {
        page.unjudged.push("Roof: none is drawn ([roof]).".to_owned());
    }
    if site.year.is_none() {
        page.unjudged.push("Year: no weather file is named ([site] weather).".to_owned());
    }
    page.unjudged.extend(blind(job, &first, usize::MAX));
    let marked = first.numbered(&site.findings);
    let marked: Vec<Numbered> = marked.map(|(number, finding)| Numbered { number, finding }).collect();
    let roof = site.roof.as_ref();
    let plan = roof.and_then(|roof| Figure::of(|setting| draw::plan::draw(job, roof, &marked, setting)));
    let found = findings(job, &first, &|row| drawn(plan.iter(), row.number));
    if let Some(plan) = plan {
        page.heading("plan", "The roof");
        page.part(Part::Figure(plan));
    }
    if !found.is_empty() {
        page.heading("findings", "Findings");
        page.part(Part::Findings(found));
    }
    if let Some(year) = &site.year {
        let mapped = |setting| draw::has_hours_on_map(year).then(|| draw::map(year, setting)).flatten();
        let figures = [Figure::of(|setting| draw::duration(job, year, setting)), Figure::of(mapped)];
        page.heading("year", "The year");
        page.parts.extend(figures.into_iter().flatten().map(Part::Figure));
    }
    page.heading("numbers", "Numbers");
    page.blocks(pieces(|sheet| studied(sheet, site)));
    if !first.passed.is_empty() {
        page.heading("passed", "Passed");
        page.part(Part::Passed(passed(job, &first.passed)));
    }
    safety(&mut page, job);
    page.html()
}
