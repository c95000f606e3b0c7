//! Pages of answers that are a text with its tables.

use super::common::{safety, whole};
use super::piece::{Piece, pieces};
use super::view::{Figure, Page, Part};
use super::{Unwritten, row};
use crate::diagnose::{self, Expected};
use crate::draw;
use crate::job::Job;
use crate::remedies::Whole;
use crate::report::first::First;
use crate::rules::say::capital;
use crate::rules::{Finding, Verdict};
use crate::size::{self, Sizing};
use crate::takeoff::TakeOff;

/// The whole remedy of a job as a page.
///
/// # Errors
/// [`Unwritten`], which no answer brings about.
pub fn proposal(job: &Job, findings: &[Finding], found: Option<&Whole>) -> Result<String, Unwritten> {
    let first = First::of_findings(job, findings, &[]);
    let fails = first.count(Verdict::Fail);
    let verdict = match (found, fails) {
        (Some(found), _) if found.left.is_empty() => "Changed so, no failures".to_owned(),
        (Some(_), _) => "Something still fails when changed so".to_owned(),
        (None, 0) => "Nothing fails: there is nothing to change".to_owned(),
        (None, _) => "No change that was tried helps".to_owned(),
    };
    let mut page = Page::new(job, verdict);
    page.whole = found.map(|found| whole(job, found));
    page.rows = row::rows(job, &first);
    page.rows.retain(|row| row.head.shape == "fails");
    page.rows_head =
        format!("As drawn: {}", if fails == 1 { "1 failure".to_owned() } else { format!("{fails} failures") });
    if !page.rows.is_empty() {
        page.heading("findings", "What fails as drawn");
        let mut found = row::findings(job, &first, &|_| Vec::new());
        found.retain(|finding| finding.head.shape == "fails");
        for finding in &mut found {
            finding.remedies.clear();
        }
        page.part(Part::Findings(found));
    }
    safety(&mut page, job);
    page.html()
}

/// The answer of `size` as a page.
///
/// # Errors
/// [`Unwritten`], which no answer brings about.
pub fn sizing(job: &Job, sizing: &Sizing) -> Result<String, Unwritten> {
    titled(job, pieces(|sheet| size::put(sheet, job, sizing)), 1)
}

/// The answer of `diagnose` as a page.
///
/// # Errors
/// [`Unwritten`], which no answer brings about.
pub fn diagnosis(job: &Job, answer: &diagnose::Answer) -> Result<String, Unwritten> {
    let figure = Figure::of(|setting| draw::diagnosis(job, answer, setting));
    let mut page = begun(job, pieces(|sheet| diagnose::put(sheet, job, answer)), 1);
    // Before the table of what it shows.
    let table = |part: &Part| matches!(part, Part::Blocks(pieces) if pieces.iter().any(|piece| matches!(piece, Piece::Table(_))));
    let at = page.parts.iter().position(table).unwrap_or(page.parts.len());
    page.parts.splice(at..at, figure.map(Part::Figure));
    page.html()
}

/// The answer to a trend as a page: what is wrong, the trend with what was found marked, the worst moment, what was taken for what.
///
/// # Errors
/// [`Unwritten`], which no answer brings about.
pub fn trend(job: &Job, trend: &diagnose::Trend) -> Result<String, Unwritten> {
    let mut page = begun(job, pieces(|sheet| diagnose::put_lead(sheet, job, trend)), 0);
    page.subtitle.splice(..0, diagnose::titles(trend));
    if let Some(figure) = Figure::of(|setting| draw::trend(job, trend, setting)) {
        page.heading("trend", "Over its time");
        page.part(Part::Figure(figure));
        page.part(Part::Told("trend-figure", trend.events.iter().map(diagnose::said).collect()));
    }
    if let Some(worst) = trend.worst.first() {
        page.heading("worst", "At its worst");
        if let Some(figure) = Figure::of(|setting| draw::diagnosis(job, &worst.answer, setting)) {
            page.part(Part::Figure(figure));
        }
        page.blocks(pieces(|sheet| diagnose::put_worst(sheet, job, trend)));
    }
    page.heading("columns", "What was taken for what");
    page.blocks(pieces(|sheet| diagnose::put_columns(sheet, job, trend)));
    page.html()
}

/// The answer of `expect` as a page.
///
/// # Errors
/// [`Unwritten`], which no answer brings about.
pub fn expectation(job: &Job, expected: &Expected) -> Result<String, Unwritten> {
    titled(job, pieces(|sheet| diagnose::put_expected(sheet, job, expected)), 0)
}

/// The take-off of a job as a page.
///
/// # Errors
/// [`Unwritten`], which no answer brings about.
pub fn take_off(job: &Job, list: &TakeOff) -> Result<String, Unwritten> {
    let mut page = begun(job, pieces(|sheet| list.put(sheet)), 1);
    // A circuit without turns is drawn in elevation.
    let figures = (0..job.circuits.len()).filter_map(|circuit| {
        Figure::of(|setting| {
            draw::isometric::draw(job, circuit, setting).or_else(|| draw::route::draw(job, circuit, &[], setting))
        })
    });
    page.parts.splice(0..0, figures.map(Part::Figure));
    page.html()
}

/// A page whose verdict is the piece at that place; what stands before it is its subtitle.
fn titled(job: &Job, pieces: Vec<Piece>, verdict: usize) -> Result<String, Unwritten> {
    begun(job, pieces, verdict).html()
}

fn begun(job: &Job, mut pieces: Vec<Piece>, verdict: usize) -> Page {
    let words = |piece: &Piece| match piece {
        Piece::Heading(words) | Piece::Strong(words) | Piece::Words(words) | Piece::Soft(words) => words.clone(),
        Piece::List(_) | Piece::Table(_) => String::new(),
    };
    let head: Vec<String> = pieces.drain(..pieces.len().min(verdict + 1)).map(|piece| words(&piece)).collect();
    let (before, said) = head.split_at(head.len().saturating_sub(1));
    let mut page = Page::new(job, capital(&said.concat()));
    page.level = 2;
    page.subtitle.splice(..0, before.iter().filter(|line| **line != job.title).cloned());
    // A part for each table and what stands before it.
    while let Some(at) = pieces.iter().position(|piece| matches!(piece, Piece::Table(_))) {
        let rest = pieces.split_off(at + 1);
        let table = pieces.split_off(at);
        page.blocks(pieces);
        page.blocks(table);
        pieces = rest;
    }
    page.blocks(pieces);
    page
}
