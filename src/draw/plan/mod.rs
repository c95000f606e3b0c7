//! The roof plan to scale: units, walls and edges, room as dimensions, warm air by the wind, sound at each listener.

mod clearances;
mod key;
mod scale;
mod sheet;
mod window;
mod winds;
mod words;

use super::block::Block;
use super::canvas::{Canvas, Drawing, Setting, Text};
use super::marks::{self, Numbered};
use super::measure;
use super::plane::{At, Rect};
use super::style::{Type, class};
use crate::job::{Job, RoofUnit, Xy};
use crate::roof::plan::faces;
use crate::roof::{RoofStudy, WarmAir};
use crate::rules::{Finding, Place};
use sheet::Sheet;
use window::Window;
use words::{how, legend, not_drawn, place, tag};

/// The plan of a roof that is studied; nothing where none is drawn. Of the findings those of the roof are marked.
#[must_use]
pub fn draw(job: &Job, study: &RoofStudy, findings: &[Numbered], setting: Setting) -> Option<Drawing> {
    let roof = job.roof.as_ref()?;
    let shown = window::shown(roof)?;
    let mut of_the_roof: Vec<Numbered> = findings.iter().copied().filter(|of| is_of_the_roof(of.finding)).collect();
    of_the_roof.sort_by_key(|of| of.number);
    let narrow = setting.is_narrow();
    let (width, margin) = if narrow { (360.0, 10.0) } else { (760.0, 16.0) };
    let mut canvas = Canvas::new("plan", width, setting);
    let title = "Roof plan: clearances, warm air, sound";
    canvas.write(Text::new(title, (margin, 24.0), Type::Title));
    let mut y = 42.0;
    for line in measure::wrap(&how(job, roof, study), Type::Soft, width - 2.0 * margin) {
        canvas.write(Text::new(&line, (margin, y), Type::Soft));
        y += 15.0;
    }
    // To the right of it the numbers of y.
    let size = if narrow { (width - 2.0 * margin - 44.0, 420.0) } else { (484.0, 430.0) };
    let window = Window::new(shown, (margin + 12.0, y + 10.0), size);
    let sheet = Sheet { job, roof, study, window, findings: &of_the_roof };
    let mut marked = sheet.plan(&mut canvas);
    let room = if narrow {
        Rect::new(margin, canvas.bottom() + 24.0, width - 2.0 * margin, 220.0)
    } else {
        Rect::new(560.0, y + 8.0, 184.0, 260.0)
    };
    marked.extend(key::draw(&mut canvas, job, roof, study, room, &of_the_roof));
    let rule = canvas.bottom() + 14.0;
    canvas.line(class::HAIR, (margin, rule), (width - margin, rule));
    legend(&mut canvas, roof, margin, sheet.hatches(), sheet.at_least());
    sheet.warm_air_in_words(&mut canvas, margin);
    marks::list(&mut canvas, job, &of_the_roof, &|finding| place(job, finding));
    not_drawn(&mut canvas, margin, &of_the_roof, &marked);
    Some(canvas.done(title.to_owned(), sheet.description()))
}

/// Whether a finding is about the roof.
fn is_of_the_roof(finding: &Finding) -> bool {
    matches!(
        finding.place,
        Some(
            Place::Unit(_)
                | Place::UnitSide(..)
                | Place::Controls(..)
                | Place::Pit(_)
                | Place::Crossing(_)
                | Place::Rail(_)
                | Place::Listener(_)
        )
    )
}

impl Sheet<'_> {
    /// The plan itself; the numbers of the marks that found a place.
    fn plan(&self, canvas: &mut Canvas) -> Vec<usize> {
        let Self { job, roof, study, window, findings } = self;
        let paper = window.paper;
        let clip = format!("{}-clip", canvas.id());
        canvas.raw(format_args!(
            "<clipPath id=\"{clip}\"><path d=\"M{:.1} {:.1}h{:.1}v{:.1}h{:.1}z\"/></clipPath>\n<g clip-path=\"url(#{clip})\">",
            paper.x - 3.0,
            paper.y - 3.0,
            paper.w + 6.0,
            paper.h + 6.0,
            -paper.w - 6.0
        ));
        let (spaces, _) = clearances::hatches(canvas, roof, &study.clearances, window);
        self.edges(canvas);
        self.walls(canvas);
        canvas.raw("</g>");
        for (index, unit) in roof.units.iter().enumerate() {
            self.unit(canvas, index, unit);
        }
        canvas.reach(paper.bottom() + 6.0);
        self.rulers(canvas);
        for space in spaces {
            canvas.avoid(space);
        }
        let dimensions = clearances::lines(canvas, job, (roof, study), window, findings);
        // What is short first, then arrows, then the other figures; arrows first where one finds no room so.
        let (short, other): (Vec<_>, Vec<_>) = dimensions.into_iter().partition(clearances::Shown::is_marked);
        let mut trial = canvas.clone();
        let mut marked = clearances::words(&mut trial, &short);
        if self.winds(&mut trial) {
            *canvas = trial;
        } else {
            self.winds(canvas);
            marked = clearances::words(canvas, &short);
        }
        clearances::words(canvas, &other);
        let unnamed = self.names(canvas);
        for index in 0..roof.units.len() {
            marked.extend(self.marks_of_unit(canvas, index, &marked));
        }
        self.bar_and_north(canvas, &unnamed);
        marked
    }

    fn through(&self, places: &[Xy]) -> Vec<At> {
        places.iter().chain(places.first()).map(|place| self.window.at(*place)).collect()
    }

    /// The outline, its parapet, the rails along it.
    fn edges(&self, canvas: &mut Canvas) {
        let outline = self.through(&self.roof.outline);
        canvas.polyline(class::CURVE, &outline);
        for pair in outline.windows(2) {
            if let [a, b] = pair {
                canvas.avoid(Rect::round(*a, *b, 2.0));
            }
        }
        for rail in &self.roof.rails {
            let (a, b) = (self.window.at(rail.from), self.window.at(rail.to));
            canvas.line(class::THIN, a, b);
            let posts = ((a.0 - b.0).hypot(a.1 - b.1) / 14.0).floor().max(1.0);
            let mut post = 0.0;
            while post <= posts {
                let at = (a.0 + (b.0 - a.0) * post / posts, a.1 + (b.1 - a.1) * post / posts);
                canvas.circle(class::BOX, at, 2.2);
                post += 1.0;
            }
        }
    }

    fn walls(&self, canvas: &mut Canvas) {
        for wall in &self.roof.walls {
            let (a, b) = (self.window.at(wall.from), self.window.at(wall.to));
            canvas.line(if wall.open > 0.0 { class::OPEN_WALL } else { class::WALL }, a, b);
            canvas.avoid(Rect::round(a, b, 2.5));
        }
    }

    /// A unit: its box, the side of its controls, where air enters and leaves, and its words where they fit.
    fn unit(&self, canvas: &mut Canvas, index: usize, unit: &RoofUnit) {
        let corners = self.through(&unit.corners());
        canvas.polyline(class::BOX, &corners);
        for front in faces(unit) {
            let (a, b) = (self.window.at(front.ends.0), self.window.at(front.ends.1));
            let inward = (-front.outward.x_m, front.outward.y_m);
            let on = |share: f64, depth: f64| {
                (a.0 + (b.0 - a.0) * share + inward.0 * depth, a.1 + (b.1 - a.1) * share + inward.1 * depth)
            };
            if unit.controls == Some(front.side) {
                canvas.line(class::WALL, on(0.1, 2.5), on(0.9, 2.5));
            }
            let out = unit.air_out == Some(front.side);
            if out || unit.air_in.contains(&front.side) {
                let turn = inward.1.atan2(inward.0).to_degrees() + if out { 180.0 } else { 0.0 };
                for share in [0.25, 0.5, 0.75] {
                    canvas.turned(class::THIN, "M-5-3.5L2 0L-5 3.5", on(share, 7.0), turn);
                }
            }
        }
        let covers = corners.iter().skip(1).fold(Rect::round(corners[0], corners[0], 0.0), |rect, corner| {
            let (x, y) = (rect.x.min(corner.0), rect.y.min(corner.1));
            Rect::new(x, y, rect.right().max(corner.0) - x, rect.bottom().max(corner.1) - y)
        });
        let square = (unit.rotation_deg.rem_euclid(90.0)).min(90.0 - unit.rotation_deg.rem_euclid(90.0)) < 1e-6;
        let inner = if square { covers.grown(-11.0) } else { inscribed(covers, unit, self.window.scale) };
        let mut lines = self.warm(index).map(|warm| self.warm_lines(warm)).unwrap_or_default();
        match lines.first_mut() {
            Some((first, _)) => *first = format!("{}: {first}", unit.name),
            None => lines.push((unit.name.clone(), Type::Strong)),
        }
        let whole = Block::new(lines);
        let name =
            measure::wrap(&unit.name, Type::Strong, inner.w).into_iter().map(|line| (line, Type::Strong)).collect();
        let whole_name = Block::new(name);
        let cut = Block::new(vec![(tag(index), Type::Strong)]);
        let name = if whole_name.height() <= inner.h + 4.0 && inner.w > 30.0 { whole_name } else { cut };
        let fits = |block: &Block| block.width() <= inner.w && block.height() <= inner.h + 4.0;
        if fits(&whole) {
            whole.put(canvas, &[((inner.x, inner.y), false)]);
        } else if fits(&name) {
            let (x, y) = inner.middle();
            name.put(canvas, &[((x - name.width() / 2.0, y - name.height() / 2.0), false)]);
        }
        canvas.take(covers);
        let at = self.window.at(unit.at);
        canvas.circle(class::INK, at, AT);
        canvas.avoid(Rect::round(at, at, AT));
        if !fits(&whole) && !fits(&name) {
            let outside = Block::new(vec![(tag(index), Type::Strong)]);
            let (w, h) = (outside.width(), outside.height());
            let (x, y) = covers.middle();
            let spots = [
                (x - w / 2.0, covers.y - 3.0 - h),
                (x - w / 2.0, covers.bottom() + 3.0),
                (covers.right() + 5.0, y - h / 2.0),
                (covers.x - 5.0 - w, y - h / 2.0),
            ];
            outside.put(canvas, &spots.map(|spot| (spot, false)));
        }
    }

    fn warm(&self, unit: usize) -> Option<&WarmAir> {
        self.study.warm_air.get(unit)
    }

    /// Whether an estimate is a least.
    fn at_least(&self) -> bool {
        self.study.warm_air.iter().filter_map(|warm| warm.worst.as_ref()).any(|worst| worst.at_least)
    }

    /// Walls and other sources of warm air, by name; those that found no room.
    fn names(&self, canvas: &mut Canvas) -> Vec<String> {
        let units = self.job.units;
        let mut unnamed = Vec::new();
        for heat in self.roof.heats.iter().filter(|heat| self.window.shows(heat.at)) {
            let at = self.window.at(heat.at);
            canvas.circle(class::BOX, at, 6.0);
            canvas.circle(class::INK, at, 2.0);
            canvas.take(Rect::round(at, at, 7.0));
            unnamed.extend(self.name(canvas, &heat.name, "", &[at]));
        }
        for wall in &self.roof.walls {
            let open = if wall.open > 0.0 {
                format!(", {} free area", units.percent(wall.open))
            } else {
                ", solid".to_owned()
            };
            let (a, b) = (self.window.at(wall.from), self.window.at(wall.to));
            let middle = (f64::midpoint(a.0, b.0), f64::midpoint(a.1, b.1));
            let what = format!("{} high{open}", units.length(wall.height_m));
            let shown =
                [middle, a, b].into_iter().filter(|at| self.window.paper.grown(1.0).holds(&Rect::round(*at, *at, 0.0)));
            unnamed.extend(self.name(canvas, &wall.name, &what, &shown.collect::<Vec<_>>()));
        }
        unnamed
    }

    /// A name beside one of some points, where there is room and no line: with what it is, else alone. The name where there is
    /// none.
    fn name(&self, canvas: &mut Canvas, name: &str, what: &str, points: &[At]) -> Option<String> {
        let paper = self.window.paper.grown(26.0);
        let whole = if what.is_empty() { name.to_owned() } else { format!("{name}, {what}") };
        let blocks = [(&whole, 240.0), (&whole, 120.0), (&name.to_owned(), 120.0)].map(|(words, room)| {
            let lines = measure::wrap(words, Type::Soft, room).into_iter();
            Block::new(lines.map(|line| (line, Type::Soft)).collect())
        });
        let put = |canvas: &mut Canvas, block: &Block| {
            let (w, h) = (block.width(), block.height());
            let mut spots = Vec::new();
            for away in [8.0, 18.0, 32.0] {
                for (x, y) in points {
                    for across in [-w / 2.0, 6.0, -w - 6.0] {
                        spots.extend([((x + across, y - away - h), false), ((x + across, y + away), false)]);
                    }
                    spots.extend([((x + away, y - h / 2.0), false), ((x - away - w, y - h / 2.0), true)]);
                }
            }
            spots.retain(|((x, y), _)| paper.holds(&Rect::new(*x, *y, w, h)));
            let clear = block.clear(canvas, &spots);
            block.put(canvas, &clear)
        };
        let named = points.is_empty() || blocks.iter().any(|block| put(canvas, block));
        (!named).then_some(whole)
    }

    /// The marks of a unit that stand at no dimension, in it or beside it; their numbers.
    fn marks_of_unit(&self, canvas: &mut Canvas, index: usize, marked: &[usize]) -> Vec<usize> {
        let of_it: Vec<Numbered> = self
            .findings
            .iter()
            .copied()
            .filter(|of| !marked.contains(&of.number))
            .filter(|of| {
                matches!(
                    of.finding.place,
                    Some(Place::Unit(unit) | Place::UnitSide(unit, _) | Place::Controls(unit, _) | Place::Pit(unit)) if unit == index
                )
            })
            .collect();
        let Some(unit) = self.roof.units.get(index).filter(|_| !of_it.is_empty()) else { return Vec::new() };
        let corners = self.through(&unit.corners());
        let (left, right) = corners.iter().fold((f64::MAX, f64::MIN), |(a, b), c| (a.min(c.0), b.max(c.0)));
        let (top, bottom) = corners.iter().fold((f64::MAX, f64::MIN), |(a, b), c| (a.min(c.1), b.max(c.1)));
        let widest = of_it.iter().map(|of| marks::width(*of)).fold(0.0, f64::max) + 4.0;
        #[expect(clippy::cast_precision_loss, reason = "a few marks")]
        let (w, h) = (widest * of_it.len() as f64 - 4.0, marks::HEIGHT);
        let middle = (f64::midpoint(left, right), f64::midpoint(top, bottom));
        let mut boxes = Vec::new();
        for away in [5.0, 28.0, 50.0, 72.0, 94.0] {
            for x in [right - w, left, middle.0 - w / 2.0] {
                boxes.extend([Rect::new(x, top - away - h, w, h), Rect::new(x, bottom + away, w, h)]);
            }
            for y in [top, middle.1 - h / 2.0, bottom - h] {
                boxes.extend([Rect::new(right + away, y, w, h), Rect::new(left - away - w, y, w, h)]);
            }
        }
        let covers = Rect::new(left, top, right - left, bottom - top);
        let leader = |rect: &Rect| {
            let (x, y) = rect.middle();
            let to = (x.max(left).min(right), y.max(top).min(bottom));
            let from = (to.0.max(rect.x).min(rect.right()), to.1.max(rect.y).min(rect.bottom()));
            (!covers.grown(10.0).meets(rect)).then_some((from, to))
        };
        // A leader across another unit would make its marks that one's.
        let is_clear = |rect: &Rect| {
            leader(rect).is_none_or(|((fx, fy), (tx, ty))| {
                let long = (tx - fx).hypot(ty - fy).max(1e-6);
                let short = (tx + (fx - tx) * 3.0 / long, ty + (fy - ty) * 3.0 / long);
                canvas.is_free(&Rect::round((fx, fy), short, 0.5))
            })
        };
        boxes.retain(is_clear);
        let Some(rect) = canvas.free(&boxes).and_then(|at| boxes.get(at)).copied() else { return Vec::new() };
        if let Some((from, to)) = leader(&rect) {
            canvas.line(class::THIN, from, to);
        }
        let mut x = rect.x + widest / 2.0 - 2.0;
        for of in &of_it {
            marks::mark(canvas, *of, (x, rect.y + h / 2.0));
            x += widest;
        }
        of_it.iter().map(|of| of.number).collect()
    }

    /// Which hatches are on the plan: where it fails, where warm air returns.
    fn hatches(&self) -> [bool; 2] {
        let mut scratch = Canvas::new("scratch", 1.0, Setting::ALONE);
        clearances::hatches(&mut scratch, self.roof, &self.study.clearances, &self.window).1
    }
}

/// The dot at the corner that the job gives of a unit.
const AT: f64 = 3.2;

/// A box inside a turned unit about its middle.
fn inscribed(covers: Rect, unit: &RoofUnit, scale: f64) -> Rect {
    let side = unit.narrow_m() * scale * std::f64::consts::FRAC_1_SQRT_2;
    let (x, y) = covers.middle();
    Rect::new(x - side / 2.0, y - side / 2.0, side, side)
}
