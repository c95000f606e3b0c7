//! Marks: the number of a finding beside the place where it is so. Shape tells the verdict, colour repeats it.

use super::canvas::{Canvas, Seen, Text};
use super::measure;
use super::plane::{At, Rect};
use super::style::{Type, class};
use crate::job::Job;
use crate::remedies::Remedy;
use crate::report::first::First;
use crate::report::row;
use crate::rules::{Finding, Verdict};

/// A finding with the number that it has in every list, text and drawing.
#[derive(Clone, Copy, Debug)]
pub struct Numbered<'a> {
    /// From 1.
    pub number: usize,
    /// The finding.
    pub finding: &'a Finding,
}

/// What does not pass, numbered as in every list, text and drawing.
#[must_use]
pub fn numbered<'a>(job: &Job, findings: &'a [Finding], remedies: &[Vec<Remedy>]) -> Vec<Numbered<'a>> {
    let first = First::of_findings(job, findings, remedies);
    first.numbered(findings).map(|(number, finding)| Numbered { number, finding }).collect()
}

/// Height of a mark.
pub const HEIGHT: f64 = 20.0;
/// From one mark to the next in a row.
pub const PITCH: f64 = 28.0;

/// How wide the mark of a finding is.
#[must_use]
pub fn width(of: Numbered) -> f64 {
    let words = measure::width(&of.number.to_string(), Type::Mark);
    match of.finding.verdict {
        Verdict::Caution => words.max(14.0) + 12.0,
        _ => words.max(10.0) + 8.0,
    }
}

/// What a mark about a point covers.
#[must_use]
pub fn covers(of: Numbered, at: At) -> Rect {
    let width = width(of);
    Rect::new(at.0 - width / 2.0, at.1 - HEIGHT / 2.0, width, HEIGHT)
}

/// Draws the mark of a finding about a point.
pub fn mark(canvas: &mut Canvas, of: Numbered, at: At) {
    numbered_mark(canvas, of.number, of.finding.verdict, covers(of, at));
}

/// Draws the mark of a note about a point.
pub fn note(canvas: &mut Canvas, number: usize, at: At) {
    let width = measure::width(&number.to_string(), Type::Mark).max(10.0) + 8.0;
    let rect = Rect::new(at.0 - width / 2.0, at.1 - HEIGHT / 2.0, width, HEIGHT);
    numbered_mark(canvas, number, Verdict::Note, rect);
}

fn numbered_mark(canvas: &mut Canvas, number: usize, verdict: Verdict, rect: Rect) {
    let at = (rect.x + rect.w / 2.0, rect.y + rect.h / 2.0);
    let leads = canvas.setting.seen == Seen::OnPage;
    if leads {
        // The list leads to the first of several.
        let id = format!("{}-mark-{number}", canvas.id());
        let id = if canvas.has(&id) { String::new() } else { format!(" id=\"{id}\"") };
        canvas.raw(format_args!("<a{id} href=\"#finding-{number}\" aria-label=\"finding {number}\">"));
    }
    let look = match verdict {
        Verdict::Fail => {
            canvas.rect(class::FAILS_FILL, Rect::new(rect.x, rect.y + 1.0, rect.w, rect.h - 2.0), 2.0);
            Type::MarkFails
        }
        Verdict::Caution => {
            let (x, y, half) = (at.0, at.1, rect.w / 2.0);
            canvas.polyline(
                class::MARK_CAUTION,
                &[(x - half, y), (x, y - 10.0), (x + half, y), (x, y + 10.0), (x - half, y)],
            );
            Type::Mark
        }
        Verdict::Note | Verdict::NotJudged | Verdict::Pass => {
            canvas.rect(class::MARK_NOTE, rect, HEIGHT / 2.0);
            Type::Mark
        }
    };
    canvas.write(Text::new(&number.to_string(), (at.0, at.1 + 4.2), look).middle());
    if leads {
        canvas.raw("</a>");
    }
    canvas.take(rect);
}

/// What was found and its limit, in a few words: `301 psig, min 610`, `4.5 F, max 2.0`; nothing where the finding has no
/// number.
#[must_use]
pub fn found(job: &Job, finding: &Finding) -> Option<String> {
    finding.measure?;
    let words = row::found(job, finding).into_iter().filter(|words| !words.is_empty());
    Some(words.collect::<Vec<_>>().join(", "))
}

fn first_sentence(text: &str) -> String {
    text.split_once(". ").map_or(text, |(first, _)| first).trim_end_matches('.').to_owned()
}

/// The list of findings under a drawing that stands alone, in one column or two; those of its circuit.
pub fn list(canvas: &mut Canvas, job: &Job, findings: &[Numbered], place: &dyn Fn(&Finding) -> String) {
    if canvas.setting.seen == Seen::OnPage || findings.is_empty() {
        return;
    }
    let columns = if canvas.width() >= 640.0 && findings.len() > 1 { 2 } else { 1 };
    let margin = if canvas.setting.is_narrow() { 8.0 } else { 16.0 };
    let per_column = findings.len().div_ceil(columns);
    #[expect(clippy::cast_precision_loss, reason = "one or two")]
    let room = (canvas.width() - 2.0 * margin) / columns as f64;
    let top = canvas.bottom() + 10.0;
    for (column, findings) in findings.chunks(per_column).enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "0 or 1")]
        let left = margin + room * column as f64;
        let mut y = top;
        let rules = findings.iter().map(|of| measure::width(of.finding.rule, Type::Strong)).fold(0.0, f64::max);
        for of in findings {
            y = entry(
                canvas,
                job,
                *of,
                (place, rules),
                Rect::new(left, y, room - if columns == 2 { 14.0 } else { 0.0 }, 0.0),
            );
        }
    }
}

/// One finding of the list in the room from a top left corner; where the next begins.
fn entry(
    canvas: &mut Canvas,
    job: &Job,
    of: Numbered,
    (place, rules): (&dyn Fn(&Finding) -> String, f64),
    room: Rect,
) -> f64 {
    const LINE: f64 = 16.0;
    let (left, mut y) = (room.x + 40.0, room.y + 14.0);
    mark(canvas, of, (room.x + 16.0, y - 4.2));
    let width = room.right() - left;
    canvas.write(Text::new(of.finding.rule, (left, y), Type::Strong));
    let after = left + rules + 10.0;
    let place = place(of.finding);
    let found = found(job, of.finding).unwrap_or_else(|| first_sentence(&of.finding.text(job)));
    let beside = measure::width(&place, Type::Plain) + 12.0 + measure::width(&found, Type::Plain);
    if after + beside <= room.right() {
        canvas.write(Text::new(&place, (after, y), Type::Plain));
        canvas.write(Text::new(&found, (room.right(), y), Type::Plain).end());
        return y + LINE - 6.0;
    }
    let words = measure::fit(&place, Type::Plain, room.right() - after);
    canvas.write(Text::new(&words, (after, y), Type::Plain));
    for line in measure::wrap(&found, Type::Plain, width) {
        y += LINE;
        canvas.write(Text::new(&line, (left, y), Type::Plain));
    }
    y + LINE - 6.0
}
