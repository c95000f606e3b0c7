//! The route of a circuit in elevation: both lines, heights to scale, runs in order of flow.

mod drain;
mod fold;
mod labels;
mod layout;
mod strips;
mod strokes;
pub(super) mod table;
pub(super) mod words;

use super::canvas::{Canvas, Drawing, Setting, Text, number};
use super::marks::{self, Numbered};
use super::measure;
use super::plane::Rect;
use super::style::{Type, class};
use super::symbols;
use crate::job::{Circuit, Job, LineId, Performance};
use crate::units::factor;
use layout::{Kind, Layout, Room};

/// A drawing of a route is so wide.
const WIDE: f64 = 780.0;
/// For a phone.
const NARROW: f64 = 360.0;

/// The route of a circuit, by its index in the job. Of the findings those of this circuit are marked.
#[must_use]
pub fn draw(job: &Job, circuit: usize, findings: &[Numbered], setting: Setting) -> Option<Drawing> {
    let drawn = job.circuits.get(circuit)?;
    let mut of_it: Vec<Numbered> = findings.iter().copied().filter(|of| of.finding.circuit == Some(circuit)).collect();
    of_it.sort_by_key(|of| of.number);
    let sheet = Sheet { job, circuit: drawn, index: circuit, findings: &of_it, setting };
    if setting.is_narrow() {
        return Some(sheet.draw(false).0);
    }
    let (drawing, all) = sheet.draw(true);
    Some(if all { drawing } else { sheet.draw(false).0 })
}

/// What is drawn, and how.
struct Sheet<'a> {
    job: &'a Job,
    circuit: &'a Circuit,
    index: usize,
    findings: &'a [Numbered<'a>],
    setting: Setting,
}

impl Sheet<'_> {
    /// Draws it with words at length, or with tags and a table; whether all words found their place.
    fn draw(&self, at_length: bool) -> (Drawing, bool) {
        let Self { job, circuit, findings, setting, .. } = *self;
        let narrow = setting.is_narrow();
        let mut canvas = Canvas::new(&format!("route-{}", self.index + 1), if narrow { NARROW } else { WIDE }, setting);
        let title = self.title();
        let margin = if narrow { 10.0 } else { 16.0 };
        let mut y = 24.0;
        for line in measure::wrap(&title, Type::Title, canvas.width() - 2.0 * margin).iter().take(4) {
            canvas.write(Text::new(line, (margin, y), Type::Title));
            y += 19.0;
        }
        let room = self.room(y + 26.0 + if narrow { 16.0 } else { 0.0 });
        let layout = fold::layout(circuit, &room).unwrap_or_else(|| strips::layout(circuit, &room));
        for line in measure::wrap(&Self::how(&layout), Type::Soft, canvas.width() - 2.0 * margin) {
            canvas.write(Text::new(&line, (margin, y), Type::Soft));
            y += 15.0;
        }
        if let Some(scale) = layout.scale {
            self.bar(&mut canvas, scale, [24.0 - 8.0, y]);
        }
        self.datums(&mut canvas, &layout, &room);
        strokes::lines(&mut canvas, circuit, &layout);
        labels::machines(&mut canvas, job, circuit, &layout, capacity(circuit));
        labels::parts(&mut canvas, circuit, &layout);
        drain::legs(&mut canvas, job, circuit, &layout);
        joins(&mut canvas, &layout);
        self.rooms(&mut canvas, &layout);
        // Tags are small: marks come first and they stand round them. Words at length come first, and marks round those.
        let early = (!at_length).then(|| labels::marks(&mut canvas, circuit, &layout, findings));
        let all = labels::runs(&mut canvas, job, circuit, &layout, at_length);
        let unplaced = early.unwrap_or_else(|| labels::marks(&mut canvas, circuit, &layout, findings));
        let rule = canvas.bottom() + 16.0;
        canvas.line(class::HAIR, (margin, rule), (canvas.width() - margin, rule));
        legend(&mut canvas, margin, findings);
        if !at_length {
            table::table(&mut canvas, job, circuit, margin, &|_, _| None);
        }
        marks::list(&mut canvas, job, findings, &|finding| words::place(job, finding));
        let placed = all && unplaced.is_empty();
        (canvas.done(title, self.description()), placed)
    }

    fn title(&self) -> String {
        format!("Circuit {}, route in elevation", self.circuit.name)
    }

    fn room(&self, top: f64) -> Room {
        // Over the highest point: words, marks and the condenser's box.
        let top = top + 96.0;
        let height = |line: LineId| {
            let mut at = if line == LineId::Discharge { 0.0 } else { words::climb(&self.circuit.discharge) };
            let runs = line.of(self.circuit).runs.iter();
            runs.map(move |run| {
                at += run.path.rise_m();
                measure::width(&self.job.units.length(at), Type::Soft)
            })
        };
        let told = LineId::BOTH.into_iter().flat_map(height).fold(0.0, f64::max);
        if self.setting.is_narrow() {
            Room {
                left: told.max(24.0) + 42.0,
                right: 340.0,
                top,
                chiller: 68.0,
                condenser: 92.0,
                level: 26.0,
                tall: 220.0,
            }
        } else {
            Room {
                left: told.max(36.0) + 44.0,
                right: 752.0,
                top,
                chiller: 74.0,
                condenser: 144.0,
                level: 40.0,
                tall: 280.0,
            }
        }
    }

    /// How the drawing is to be read.
    fn how(layout: &Layout) -> String {
        let breaks = layout.stretches.iter().any(|s| s.kind == Kind::Level { broken: true });
        let lengths = match (layout.scale, breaks) {
            (Some(_), _) => "lengths to a scale of their own",
            (None, true) => "runs with a break are longer than drawn",
            (None, false) => "lengths not to scale",
        };
        format!("Heights to scale, {lengths}. Which way a run turns is not drawn.")
    }

    /// The bar of the scale of lengths, beside the title or under the words.
    fn bar(&self, canvas: &mut Canvas, scale: f64, places: [f64; 2]) {
        let steps: &[f64] = match self.job.units {
            crate::units::System::Ip => &[1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0],
            crate::units::System::Si => &[0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0],
        };
        let unit = match self.job.units {
            crate::units::System::Ip => factor::FOOT,
            crate::units::System::Si => 1.0,
        };
        let maximum = if self.setting.is_narrow() { 70.0 } else { 110.0 };
        let fits = |step: &&f64| **step * unit * scale <= maximum;
        let Some(step) = steps.iter().rev().find(fits) else { return };
        let long = step * unit * scale;
        let right = canvas.width() - 24.0;
        let words = format!("{} along", self.job.units.length(step * unit));
        let [high, low] = places.map(|y| Text::new(&words, (right - long - 8.0, y + 8.0), Type::Soft).end());
        let text = if canvas.is_free(&high.covers()) { high } else { low };
        let y = text.at.1 - 4.0;
        canvas.write(text);
        symbols::dimension(canvas, (right - long, y), (right, y));
        canvas.avoid(Rect::new(right - long, y - 5.0, long, 10.0));
    }

    /// Heights at the margin: the chiller's, the condenser's, the highest, then the others where there is room.
    fn datums(&self, canvas: &mut Canvas, layout: &Layout, room: &Room) {
        let mut heights: Vec<(f64, f64)> = layout.datums.iter().map(|datum| (datum.y, datum.height)).collect();
        heights.sort_by(|a, b| {
            let condenser = words::climb(&self.circuit.discharge);
            let first = |h: f64| if h.abs() < 0.01 { 0 } else { 1 + u8::from((h - condenser).abs() > 0.01) };
            first(a.1).cmp(&first(b.1)).then(b.1.abs().total_cmp(&a.1.abs())).then(a.0.total_cmp(&b.0))
        });
        let mut told: Vec<f64> = Vec::new();
        for (y, height) in heights {
            if told.iter().any(|known| (known - y).abs() < 16.0) {
                continue;
            }
            told.push(y);
            let right = room.right + 12.0;
            canvas.raw(format_args!(
                "<path class=\"{}\" d=\"M{} {}H{}\"/>",
                class::DATUM,
                number(room.left - 30.0),
                number(y),
                number(right)
            ));
            canvas.avoid(Rect::round((room.left - 30.0, y), (right, y), 1.0));
            let words = self.job.units.length(if height.abs() < 0.005 { 0.0 } else { height });
            canvas.write(Text::new(&words, (room.left - 34.0, y + 4.0), Type::Soft).end());
        }
    }

    /// A thin outline with its name round the runs of a room.
    fn rooms(&self, canvas: &mut Canvas, layout: &Layout) {
        let mut outlines: Vec<(&str, Rect)> = Vec::new();
        for stretch in layout.stretches.iter().filter(|s| s.kind != Kind::Link) {
            let run = stretch.line.of(self.circuit).runs.get(stretch.run);
            let Some(room) = run.and_then(|run| run.room.as_deref()) else { continue };
            let across = stretch.covers(13.0);
            let rect = match stretch.kind {
                Kind::Vertical => Rect::new(across.x, across.y + 9.0, across.w, across.h - 18.0),
                _ => Rect::new(across.x + 9.0, across.y, across.w - 18.0, across.h),
            };
            match outlines.last_mut() {
                Some((known, outline)) if *known == room && outline.grown(1.0).meets(&rect) => {
                    let (right, bottom) = (outline.right().max(rect.right()), outline.bottom().max(rect.bottom()));
                    let (x, y) = (outline.x.min(rect.x), outline.y.min(rect.y));
                    *outline = Rect::new(x, y, right - x, bottom - y);
                }
                _ => outlines.push((room, rect)),
            }
        }
        for (name, outline) in outlines {
            canvas.rect(class::THIN, outline, 0.0);
            for edge in [outline.y, outline.bottom()] {
                canvas.avoid(Rect::round((outline.x, edge), (outline.right(), edge), 1.0));
            }
            let name = measure::fit(name, Type::Soft, (outline.w - 8.0).max(150.0)).into_owned();
            let width = measure::width(&name, Type::Soft);
            let at = |x: f64, y: f64| Text::new(&name, (x, y), Type::Soft).halo();
            let right = outline.right() - width;
            let places = [
                at(outline.x, outline.bottom() + 12.0),
                at(right, outline.bottom() + 12.0),
                at(outline.x, outline.y - 4.0),
                at(right, outline.y - 4.0),
                at(outline.x, outline.bottom() + 28.0),
                at(right, outline.bottom() + 28.0),
                at(right, outline.y - 20.0),
            ];
            canvas.write_where_free(&places);
        }
    }

    fn description(&self) -> String {
        let units = self.job.units;
        let told = LineId::BOTH.map(|id| {
            let runs = id.of(self.circuit).runs.iter().enumerate();
            let runs: Vec<String> = runs
                .map(|(index, run)| {
                    let tube = words::tube(units, run);
                    let tube = if tube.is_empty() { tube } else { format!(", {tube}") };
                    format!("{} {}{tube}", words::tag(id, index), words::whole(units, run))
                })
                .collect();
            format!("The {} line: {}.", id.name(), runs.join("; "))
        });
        let height = words::climb(&self.circuit.discharge);
        let place = if height < 0.0 { "below" } else { "above" };
        let marked: Vec<String> = self
            .findings
            .iter()
            .map(|of| format!("{} {} at {}", of.number, of.finding.rule, words::place(self.job, of.finding)))
            .collect();
        let marked = if marked.is_empty() { String::new() } else { format!(" Marked: {}.", marked.join("; ")) };
        format!("The condenser is {} {place} the chiller. {}{marked}", units.length(height.abs()), told.join(" "))
    }
}

/// Where a strip ends and the next begins: the same letter in a ring.
fn joins(canvas: &mut Canvas, layout: &Layout) {
    for (letter, from, to) in &layout.joins {
        for (x, y) in [(from.0 + 14.0, from.1), (to.0 - 14.0, to.1)] {
            canvas.circle(class::MARK_NOTE, (x, y), 10.0);
            canvas.write(Text::new(&letter.to_string(), (x, y + 4.2), Type::Mark).middle());
            canvas.take(Rect::round((x, y), (x, y), 10.0));
        }
    }
}

/// Rated capacity of a circuit, W, where it is rated at one point.
fn capacity(circuit: &Circuit) -> Option<f64> {
    match &circuit.compressors.performance {
        Performance::Rating { capacity, .. } => Some(capacity.value),
        Performance::Map(_) => None,
    }
}

/// What the lines and the marks are.
fn legend(canvas: &mut Canvas, margin: f64, findings: &[Numbered]) {
    use crate::rules::Verdict;
    let y = canvas.bottom() + 18.0;
    let narrow = canvas.setting.is_narrow();
    let mut x = margin + 4.0;
    let sample = |canvas: &mut Canvas, class: &str, x: f64| canvas.line(class, (x, y), (x + 34.0, y));
    sample(canvas, class::GAS, x);
    sample(canvas, class::GAS_IN, x);
    let word = |canvas: &mut Canvas, x: &mut f64, sample: f64, words: &str, y: f64| {
        canvas.write(Text::new(words, (*x + sample, y + 4.2), Type::Plain));
        *x += sample + measure::width(words, Type::Plain) + 18.0;
    };
    word(canvas, &mut x, 42.0, "discharge line D", y);
    sample(canvas, class::LIQUID, x);
    word(canvas, &mut x, 42.0, "liquid line L", y);
    let mut y = y;
    if narrow && !findings.is_empty() {
        x = margin + 4.0;
        y += 26.0;
    }
    let shown = |verdict: Verdict| findings.iter().any(|of| of.finding.verdict == verdict);
    if shown(Verdict::Fail) {
        canvas.rect(class::FAILS_FILL, Rect::new(x, y - 9.0, 18.0, 18.0), 2.0);
        word(canvas, &mut x, 24.0, "fails", y);
    }
    if shown(Verdict::Caution) {
        canvas.turned(class::MARK_CAUTION, "M-13 0L0-10L13 0L0 10z", (x + 13.0, y), 0.0);
        word(canvas, &mut x, 32.0, "caution", y);
    }
    if shown(Verdict::Note) {
        canvas.circle(class::MARK_NOTE, (x + 10.0, y), 10.0);
        word(canvas, &mut x, 26.0, "note", y);
    }
    canvas.reach(y + 12.0);
}
