//! What a page shows, in words and figures that stand as they are; the template escapes them.

use super::Unwritten;
use super::piece::Piece;
use super::row::{Found, Passed, RowView};
use crate::draw::{Breadth, Drawing, Seen, Setting, style};
use crate::job::Job;
use crate::report::{TOOL, who_decides};
use crate::units::System;
use crate::units::factor;
use crate::visible::visible;
use askama::Template;

/// The look of a page; that of its drawings is theirs.
const STYLE: &str = include_str!("page.css");

/// A page.
#[derive(Template)]
#[template(path = "page.html", config = "src/page/askama.toml")]
pub(super) struct Page {
    pub tool: &'static str,
    pub style: String,
    pub title: String,
    pub subtitle: Vec<String>,
    pub title_block: Vec<(&'static str, String)>,
    pub verdict: String,
    pub summary: String,
    /// What the rows are headed, where they are what was drawn before the remedy that stands above them.
    pub rows_head: String,
    pub rows: Vec<RowView>,
    pub whole: Option<Whole>,
    pub close: Vec<Passed>,
    pub unjudged: Vec<String>,
    pub charge: Vec<String>,
    /// That it is a check and no approval, in a line of the first screen.
    pub check: &'static str,
    pub parts: Vec<Part>,
    pub deferral: Vec<String>,
    pub file: String,
    /// Of the headings among the blocks.
    pub level: u8,
    /// Whether it is a review sheet.
    pub is_review: bool,
}

/// The whole remedy.
pub(super) struct Whole {
    pub title: String,
    pub steps: Vec<(String, String)>,
    pub then: Vec<String>,
}

/// A part of a page below the first screen.
pub(super) enum Part {
    Heading(&'static str, String),
    Figure(Figure),
    Findings(Vec<Found>),
    Passed(Vec<Passed>),
    Cautions(Vec<(&'static str, String)>),
    Review(Vec<Found>),
    /// What a trend shows, by number, and the drawing on which it is marked.
    Told(&'static str, Vec<String>),
    Blocks(Vec<Piece>),
}

/// A drawing, wide and for a phone.
pub(super) struct Figure {
    pub id: String,
    /// The words of a link to it.
    pub called: &'static str,
    pub wide: String,
    pub narrow: Option<String>,
}

impl Figure {
    /// From how it is drawn, wide and for a phone.
    pub fn of(draw: impl Fn(Setting) -> Option<Drawing>) -> Option<Self> {
        let at = |breadth| draw(Setting { seen: Seen::OnPage, breadth });
        let wide = at(Breadth::Wide)?;
        Some(Self {
            wide: wide.svg(),
            narrow: at(Breadth::Narrow).map(|drawing| drawing.svg()),
            called: called(&wide.id),
            id: wide.id,
        })
    }

    /// Whether the finding of that number is marked on it.
    pub fn marks(&self, number: usize) -> bool {
        self.wide.contains(&format!("id=\"{}-mark-{number}\"", self.id))
    }
}

impl Page {
    /// A page of a job with nothing on it yet.
    pub fn new(job: &Job, verdict: String) -> Self {
        let block = &job.title_block;
        let given = |value: &Option<String>| value.clone().unwrap_or_default();
        Self {
            tool: TOOL,
            style: style::of_a_page() + STYLE,
            title: job.title.clone(),
            subtitle: vec![place(job)],
            title_block: vec![
                ("Job", given(&block.number)),
                ("Revision", given(&block.revision)),
                ("Date", given(&block.date)),
                ("By", given(&block.by)),
            ],
            verdict,
            summary: String::new(),
            rows_head: String::new(),
            rows: Vec::new(),
            whole: None,
            close: Vec::new(),
            unjudged: Vec::new(),
            charge: Vec::new(),
            check: "",
            parts: Vec::new(),
            deferral: vec![who_decides()],
            file: job.file.clone(),
            level: 3,
            is_review: false,
        }
    }

    /// Its HTML. What a screen would obey rather than show is written out, wherever it stands.
    pub fn html(&self) -> Result<String, Unwritten> {
        Ok(visible(&self.render()?).into_owned())
    }

    /// Whether it has sections to lead to.
    fn has_sections(&self) -> bool {
        self.parts.iter().filter(|part| matches!(part, Part::Heading(..))).count() > 2
    }

    /// With a part at its end.
    pub fn part(&mut self, part: Part) {
        self.parts.push(part);
    }

    /// With a heading at its end.
    pub fn heading(&mut self, id: &'static str, words: &str) {
        self.part(Part::Heading(id, words.to_owned()));
    }

    /// With the blocks of a text at its end, where there are any.
    pub fn blocks(&mut self, pieces: Vec<Piece>) {
        if !pieces.is_empty() {
            self.part(Part::Blocks(pieces));
        }
    }
}

/// What a link to a drawing is called, by the beginning of its id.
fn called(id: &str) -> &'static str {
    match id.split('-').next() {
        Some("route") => "On the route",
        Some("liquid") => "Liquid line",
        Some("oil") => "Oil return",
        _ => "On the drawing",
    }
}

/// Why there is no answer, as a page.
#[cfg(feature = "watch")]
#[derive(Template)]
#[template(path = "complaint.html", config = "src/page/askama.toml")]
struct Complaint<'a> {
    file: &'a str,
    words: &'a str,
    style: String,
}

/// What is wrong with a file, as a page.
///
/// # Errors
/// [`Unwritten`], which no complaint brings about.
#[cfg(feature = "watch")]
pub fn complaint(file: &str, words: &str) -> Result<String, Unwritten> {
    let page = Complaint { file, words, style: style::of_a_page() + STYLE };
    Ok(visible(&page.render()?).into_owned())
}

/// The place: `Elevation 890 ft, design 96 F and 2 F`.
fn place(job: &Job) -> String {
    let show = job.units;
    let unit = if show == System::Ip { factor::FOOT } else { 1.0 };
    let altitude = (job.site.altitude.value / unit).round() * unit;
    let [summer, winter] = [job.site.summer, job.site.winter].map(|day| show.temperature(day.kelvin()));
    format!("Elevation {}, design {summer} and {winter}.", show.length(altitude))
}
