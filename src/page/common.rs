//! What several pages have: how they begin, the whole remedy, the cautions.

use super::piece::held;
use super::row::{passed, rows};
use super::view::{Figure, Page, Part, Whole};
use crate::draw;
use crate::job::Job;
use crate::remedies;
use crate::report::first::First;
use crate::report::{cautions, costs, left, steps};
use crate::rules::Verdict;
use crate::units::words::and;

/// That a page is no approval.
pub(super) const CHECK: &str = "A check of a drawing by published models, not an approval. The manufacturer, licensed \
                                practice and the authority having jurisdiction govern.";

/// The drawings on which a finding is marked.
pub(super) fn drawn<'a>(figures: impl Iterator<Item = &'a Figure>, number: usize) -> Vec<(String, &'static str)> {
    let on = figures.filter(|figure| figure.marks(number));
    on.map(|figure| (format!("{}-figure", figure.id), figure.called)).collect()
}

/// A page with what stands first on it.
pub(super) fn begun(job: &Job, first: &First, of: &str) -> Page {
    let fails = first.count(Verdict::Fail);
    let verdict = match fails {
        0 => format!("{of}No failures found ({} checks)", first.checks()),
        1 => format!("{of}1 failure"),
        n => format!("{of}{n} failures"),
    };
    let mut page = Page::new(job, verdict);
    page.summary = summary(first);
    page.rows = rows(job, first);
    page.close = passed(job, &first.close);
    page
}

/// How many of what, and in which order they stand.
fn summary(first: &First) -> String {
    let counted = |verdict, one: &str, many: &str| match first.count(verdict) {
        0 => None,
        1 => Some(format!("1 {one}")),
        n => Some(format!("{n} {many}")),
    };
    let passed = match first.passed_checks() {
        0 => None,
        n => Some(format!("{n} passed")),
    };
    let parts = [counted(Verdict::Caution, "caution", "cautions"), counted(Verdict::Note, "note", "notes"), passed];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    let order = if first.count(Verdict::Fail) > 1 {
        " Gravest first: what can burst or harm, what will not run, what wears, what costs."
    } else {
        ""
    };
    if parts.is_empty() { order.trim().to_owned() } else { format!("{}.{order}", parts.join(", ")) }
}

/// The whole remedy.
pub(super) fn whole(job: &Job, found: &remedies::Whole) -> Whole {
    let steps: Vec<(String, String)> = steps(job, &found.changes, true)
        .into_iter()
        .map(|(place, what)| (place, held(&what.replace(" -> ", " → "))))
        .collect();
    let left = left(found);
    let count = if steps.len() == 1 { "one change".to_owned() } else { format!("{} changes", steps.len()) };
    let title = if left.is_empty() {
        format!("The whole remedy: {count}, then no failures")
    } else {
        format!("The whole remedy: {count}; what still fails then: {}", and(&left))
    };
    let mut then = Vec::new();
    if !found.effect.newly_cautions.is_empty() {
        then.push(format!("New cautions: {}.", and(&found.effect.newly_cautions)));
    }
    then.push(format!("Cost: {}.", costs(job, &found.cost).join(", ")));
    Whole { title, steps, then }
}

/// The piping sketch of each circuit whose runs say where they turn.
pub(super) fn sketches(job: &Job) -> impl Iterator<Item = Figure> {
    (0..job.circuits.len()).filter_map(|circuit| Figure::of(|setting| draw::isometric::draw(job, circuit, setting)))
}

/// The cautions before work starts.
pub(super) fn safety(page: &mut Page, job: &Job) {
    page.heading("before", "Before work starts");
    page.part(Part::Cautions(cautions(job)));
}
