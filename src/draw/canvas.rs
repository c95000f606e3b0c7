//! What a drawing is drawn on: SVG with what is covered already, so that no text falls on another.

use super::measure;
use super::plane::{At, Rect, along};
use super::style::{self, Type, class};
use crate::visible::visible;
use std::fmt::{Display, Write};

/// Where a text stands from its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// To the right of it.
    Start,
    /// About it.
    Middle,
    /// To the left of it.
    End,
}

/// A line of text on a drawing.
#[derive(Clone, Copy, Debug)]
pub struct Text<'a> {
    /// Its words, not escaped.
    pub words: &'a str,
    /// The point on its baseline.
    pub at: At,
    /// Where it stands from there.
    pub anchor: Anchor,
    /// How it is set.
    pub look: Type,
    /// Whether it has an edge of paper, where it stands over lines.
    pub halo: bool,
}

impl<'a> Text<'a> {
    /// To the right of a point, without an edge.
    #[must_use]
    pub const fn new(words: &'a str, at: At, look: Type) -> Self {
        Self { words, at, anchor: Anchor::Start, look, halo: false }
    }

    /// About its point.
    #[must_use]
    pub const fn middle(self) -> Self {
        Self { anchor: Anchor::Middle, ..self }
    }

    /// To the left of its point.
    #[must_use]
    pub const fn end(self) -> Self {
        Self { anchor: Anchor::End, ..self }
    }

    /// With an edge of paper.
    #[must_use]
    pub const fn halo(self) -> Self {
        Self { halo: true, ..self }
    }

    /// What it covers in the widest font.
    #[must_use]
    pub fn covers(&self) -> Rect {
        let width = measure::width(&visible(self.words), self.look);
        let left = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => width / 2.0,
            Anchor::End => width,
        };
        measure::covers(&visible(self.words), self.look, self.at.0 - left, self.at.1)
    }
}

/// Where a drawing is seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seen {
    /// By itself: it carries its own list of findings.
    Alone,
    /// On a page whose list of findings stands beside it: its marks lead there (`#finding-3`) and back (`#route-1-mark-3`).
    OnPage,
}

/// How wide a drawing is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Breadth {
    /// For screens and paper.
    Wide,
    /// For a phone: 360 units, tags with a table below.
    Narrow,
}

/// Where a drawing is seen, and how wide it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Setting {
    /// Where it is seen.
    pub seen: Seen,
    /// How wide it is.
    pub breadth: Breadth,
}

impl Setting {
    /// By itself, wide.
    pub const ALONE: Self = Self { seen: Seen::Alone, breadth: Breadth::Wide };

    /// Whether it is for a phone.
    #[must_use]
    pub fn is_narrow(self) -> bool {
        self.breadth == Breadth::Narrow
    }
}

/// A drawing, done.
#[derive(Clone, Debug)]
pub struct Drawing {
    /// Its id on a page, the beginning of every id in it: `route-1`, `route-1-narrow`.
    pub id: String,
    /// What it is, in a few words. Not escaped.
    pub title: String,
    /// What is seen in it, with its numbers. Not escaped.
    pub description: String,
    width: f64,
    height: f64,
    body: String,
    seen: Seen,
}

impl Drawing {
    /// The SVG element for a page that carries [`style::of_a_page`], or with a style of its own where it stands alone.
    #[must_use]
    pub fn svg(&self) -> String {
        let Self { id, width, height, body, .. } = self;
        let (title, description) = (escaped(&self.title), escaped(&self.description));
        // What leads somewhere must not be hidden in a picture.
        let (role, style) = match self.seen {
            Seen::Alone => ("img", format!("<style>{}</style>\n", style::alone())),
            Seen::OnPage => ("group", String::new()),
        };
        let (width, height) = (number(*width), number(*height));
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"drawing\" id=\"{id}\" width=\"{width}\" height=\"{height}\" \
             viewBox=\"0 0 {width} {height}\" role=\"{role}\" aria-labelledby=\"{id}-title {id}-desc\">\n\
             <title id=\"{id}-title\">{title}</title>\n<desc id=\"{id}-desc\">{description}</desc>\n{style}\
             <defs>{}</defs>\n<rect class=\"{}\" width=\"{width}\" height=\"{height}\"/>\n{body}</svg>\n",
            hatches(id),
            class::PAPER,
        )
    }
}

/// The two hatches: rising to the right where it fails, falling to the right where warm air returns.
fn hatches(id: &str) -> String {
    let hatch = |name: &str, class: &str, pitch: u32, turn: i32| {
        format!(
            "<pattern id=\"{id}-{name}\" width=\"{pitch}\" height=\"{pitch}\" patternUnits=\"userSpaceOnUse\" \
             patternTransform=\"rotate({turn})\"><path d=\"M0 0v{pitch}\" class=\"{class}\"/></pattern>"
        )
    };
    hatch("fails", class::HATCH, 7, 45) + &hatch("warm", class::WARM_HATCH, 8, -45)
}

/// A hatch of a drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hatch {
    /// Where it fails.
    Fails,
    /// Where warm air returns.
    Warm,
}

/// A drawing in the making.
#[derive(Clone, Debug)]
pub struct Canvas {
    id: String,
    width: f64,
    body: String,
    taken: Vec<Rect>,
    avoided: Vec<Rect>,
    /// Where it is seen, and how wide it is.
    pub setting: Setting,
    bottom: f64,
}

impl Canvas {
    /// An empty one. `id` is of letters, digits and dashes; a narrow one gets its own.
    #[must_use]
    pub fn new(id: &str, width: f64, setting: Setting) -> Self {
        let id = if setting.is_narrow() { format!("{id}-narrow") } else { id.to_owned() };
        Self { id, width, body: String::new(), taken: Vec::new(), avoided: Vec::new(), setting, bottom: 0.0 }
    }

    /// Its id.
    #[must_use]
    pub fn id(&self) -> &str {
        &self.id
    }

    /// Whether something on it has that id already.
    #[must_use]
    pub fn has(&self, id: &str) -> bool {
        self.body.contains(&format!(" id=\"{id}\""))
    }

    /// Whether a text of that whole line stands on it.
    #[must_use]
    pub fn shows(&self, words: &str) -> bool {
        self.body.contains(&format!(">{}</text>", escaped(words)))
    }

    /// How wide it is.
    #[must_use]
    pub const fn width(&self) -> f64 {
        self.width
    }

    /// Done: as high as what is on it, and a margin.
    #[must_use]
    pub fn done(self, title: String, description: String) -> Drawing {
        let Self { id, width, body, setting, bottom, .. } = self;
        Drawing { id, title, description, width, height: (bottom + 14.0).ceil(), body, seen: setting.seen }
    }

    /// SVG as it is.
    pub fn raw(&mut self, svg: impl Display) {
        // Writing to a text cannot fail.
        let _ = writeln!(self.body, "{svg}");
    }

    /// A straight line.
    pub fn line(&mut self, class: &str, from: At, to: At) {
        self.path(class, &format!("M{} {}L{} {}", number(from.0), number(from.1), number(to.0), number(to.1)));
        self.reach(from.1.max(to.1));
    }

    /// A line through points.
    pub fn polyline(&mut self, class: &str, points: &[At]) {
        self.path(class, &through(points));
        self.reach(points.iter().map(|p| p.1).fold(0.0, f64::max));
    }

    /// A path of SVG.
    pub fn path(&mut self, class: &str, d: &str) {
        self.raw(format_args!("<path class=\"{class}\" d=\"{d}\"/>"));
    }

    /// A path of SVG that is part of a run, by its tag.
    pub fn path_of(&mut self, run: &str, class: &str, d: &str) {
        self.raw(format_args!("<path class=\"{class}\" data-run=\"{run}\" d=\"{d}\"/>"));
    }

    /// A path about a point, turned clockwise by degrees.
    pub fn turned(&mut self, class: &str, d: &str, at: At, degrees: f64) {
        let (x, y, turn) = (number(at.0), number(at.1), number(degrees));
        let turn = if turn == "0" { String::new() } else { format!(" rotate({turn})") };
        self.raw(format_args!("<path class=\"{class}\" d=\"{d}\" transform=\"translate({x} {y}){turn}\"/>"));
    }

    /// A box, its corners rounded by `rx`.
    pub fn rect(&mut self, class: &str, rect: Rect, rx: f64) {
        let [x, y, w, h] = [rect.x, rect.y, rect.w, rect.h].map(number);
        let rx = if rx > 0.0 { format!(" rx=\"{}\"", number(rx)) } else { String::new() };
        self.raw(format_args!("<rect class=\"{class}\" x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\"{rx}/>"));
        self.reach(rect.bottom());
    }

    /// A hatched region inside corners.
    pub fn hatched(&mut self, hatch: Hatch, corners: &[At]) {
        let name = match hatch {
            Hatch::Fails => "fails",
            Hatch::Warm => "warm",
        };
        let svg = format!("<path fill=\"url(#{}-{name})\" d=\"{}z\"/>", self.id, through(corners));
        self.raw(svg);
    }

    /// A circle.
    pub fn circle(&mut self, class: &str, at: At, r: f64) {
        let [x, y, r] = [at.0, at.1, r].map(number);
        self.raw(format_args!("<circle class=\"{class}\" cx=\"{x}\" cy=\"{y}\" r=\"{r}\"/>"));
    }

    /// A text, come what may; what it covers is taken.
    pub fn write(&mut self, text: Text) {
        if text.words.is_empty() {
            return;
        }
        let anchor = match text.anchor {
            Anchor::Middle if !matches!(text.look, Type::Mark | Type::MarkFails) => "middle",
            Anchor::Start | Anchor::Middle => "",
            Anchor::End => "end",
        };
        let halo = if text.halo { "halo" } else { "" };
        let classes: Vec<&str> =
            [text.look.class(), anchor, halo].into_iter().filter(|class| !class.is_empty()).collect();
        let class = if classes.is_empty() { String::new() } else { format!(" class=\"{}\"", classes.join(" ")) };
        let (x, y, words) = (number(text.at.0), number(text.at.1), escaped(text.words));
        self.raw(format_args!("<text x=\"{x}\" y=\"{y}\"{class}>{words}</text>"));
        let covers = text.covers();
        self.take(Rect::new(covers.x - 3.0, covers.y, covers.w + 6.0, covers.h));
    }

    /// That box is covered.
    pub fn take(&mut self, rect: Rect) {
        self.taken.push(rect);
        self.reach(rect.bottom());
    }

    /// Text stands elsewhere if it can: a line runs there.
    pub fn avoid(&mut self, rect: Rect) {
        self.avoided.push(rect);
        self.reach(rect.bottom());
    }

    /// Text stands elsewhere if it can: a curve runs through those points.
    pub fn avoid_along(&mut self, points: &[At]) {
        for pair in points.windows(2) {
            let places: Vec<At> = along(pair[0], pair[1], 4.0).collect();
            self.avoided.extend(places.windows(2).map(|step| Rect::round(step[0], step[1], 1.5)));
        }
    }

    /// Whether a box is on the drawing and covers nothing that is taken; a line, if need be.
    #[must_use]
    pub fn is_free(&self, rect: &Rect) -> bool {
        rect.x >= 2.0
            && rect.right() <= self.width - 2.0
            && rect.y >= 2.0
            && !self.taken.iter().any(|taken| taken.meets(rect))
    }

    /// Whether a box is free and covers no line.
    #[must_use]
    pub fn is_clear(&self, rect: &Rect) -> bool {
        self.is_free(rect) && !self.avoided.iter().any(|line| line.meets(rect))
    }

    /// The first of several boxes that is free and covers no line, else the first that is free.
    #[must_use]
    pub fn free(&self, places: &[Rect]) -> Option<usize> {
        places.iter().position(|rect| self.is_clear(rect)).or_else(|| places.iter().position(|rect| self.is_free(rect)))
    }

    /// A text in the first of several places that is free; whether there was one.
    pub fn write_where_free(&mut self, places: &[Text]) -> bool {
        let boxes: Vec<Rect> = places.iter().map(Text::covers).collect();
        let free = self.free(&boxes).and_then(|at| places.get(at));
        if let Some(text) = free {
            self.write(*text);
        }
        free.is_some()
    }

    /// How far down it reaches.
    #[must_use]
    pub const fn bottom(&self) -> f64 {
        self.bottom
    }

    /// It reaches down to there.
    pub fn reach(&mut self, y: f64) {
        self.bottom = self.bottom.max(y);
    }
}

/// A path through points.
fn through(points: &[At]) -> String {
    points.iter().enumerate().fold(String::new(), |mut d, (i, (x, y))| {
        let _ = write!(d, "{}{} {}", if i == 0 { 'M' } else { 'L' }, number(*x), number(*y));
        d
    })
}

/// A number of the drawing to a hundredth; one that is not finite is 0.
#[must_use]
pub fn number(value: f64) -> String {
    let text = format!("{:.2}", if value.is_finite() { value } else { 0.0 });
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// A text as the content or an attribute of XML: nothing in it is obeyed, what is hidden is written out.
#[must_use]
pub fn escaped(text: &str) -> String {
    visible(text).chars().fold(String::with_capacity(text.len()), |mut out, c| {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\n' => out.push(' '),
            // Not characters of XML 1.0.
            '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            c => out.push(c),
        }
        out
    })
}
