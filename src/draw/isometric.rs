//! The isometric piping sketch of a circuit, line by line: lengths, sizes, and the joints of the take-off numbered in order of flow.

use super::block::{Block, LINE};
use super::canvas::{Canvas, Drawing, Setting, Text, number};
use super::measure;
use super::plane::{At, Rect};
use super::route::{table, words};
use super::style::{Type, class};
use super::symbols;
use crate::job::{Circuit, Job, Line, LineId, Part, Path, Run};
use crate::takeoff::numbers::{Joints, joint_numbers, told};
use std::f64::consts::FRAC_PI_6;

/// Where a line goes: a run from one place to another, m east, north and up.
#[derive(Clone, Copy, Debug)]
struct Leg {
    from: [f64; 3],
    to: [f64; 3],
}

/// The sketch of a circuit, by its index in the job; nothing where the first level run of a line does not say how it turns.
#[must_use]
pub fn draw(job: &Job, circuit: usize, setting: Setting) -> Option<Drawing> {
    let drawn = job.circuits.get(circuit)?;
    let ways = LineId::BOTH.map(|id| ways(id.of(drawn)));
    let [Some(discharge), Some(liquid)] = ways else { return None };
    let ways = [discharge, liquid];
    let sheet = Sheet {
        job,
        circuit: drawn,
        index: circuit,
        setting,
        view: View::of(&ways),
        ways,
        joints: joint_numbers(job.site.code, drawn),
    };
    if setting.is_narrow() {
        return Some(sheet.draw(false).0);
    }
    let (drawing, all) = sheet.draw(true);
    Some(if all { drawing } else { sheet.draw(false).0 })
}

/// Where each run of a line goes; a level run that says nothing goes on as the one before it. None where the first says nothing.
fn ways(line: &Line) -> Option<Vec<Leg>> {
    let mut bearing: Option<f64> = None;
    let mut at = [0.0; 3];
    let way = |run: &Run| {
        let from = at;
        let length = run.path.length_m();
        match &run.path {
            Path::Level { .. } => {
                bearing = run.turn_deg.or(bearing);
                let (sin, cos) = bearing?.to_radians().sin_cos();
                at = [at[0] + sin * length, at[1] + cos * length, at[2]];
            }
            Path::Rise { .. } => at[2] += length,
            Path::Drop { .. } => at[2] -= length,
            Path::Part(_) => {}
        }
        Some(Leg { from, to: at })
    };
    line.runs.iter().map(way).collect()
}

/// What is drawn, and how.
struct Sheet<'a> {
    job: &'a Job,
    circuit: &'a Circuit,
    index: usize,
    setting: Setting,
    ways: [Vec<Leg>; 2],
    view: View,
    joints: [Vec<Joints>; 2],
}

/// How space is seen: turned so far about the vertical from where north goes up to the right and east down to the right.
#[derive(Clone, Copy, Debug)]
struct View(f64);

impl View {
    /// The one of a few in which no level run stands upright on the paper, where it would be read as a riser; the plain one first.
    fn of(ways: &[Vec<Leg>; 2]) -> Self {
        const TURNS: [f64; 7] = [0.0, 22.5, -22.5, 11.25, -11.25, 33.75, -33.75];
        const APART: f64 = 0.36;
        let level =
            || ways.iter().flatten().filter(|way| (way.to[2] - way.from[2]).abs() < 1e-9 && length(**way) > 0.0);
        // How far from upright the worst of them is, as the sine of the angle on the paper.
        let worst = |view: Self| {
            let slant = |way: &Leg| {
                let (x, y) = view.flat([0, 1, 2].map(|axis| way.to[axis] - way.from[axis]));
                x.abs() / x.hypot(y).max(1e-9)
            };
            level().map(slant).fold(1.0, f64::min)
        };
        let views = TURNS.map(Self);
        let best = || views.into_iter().max_by(|a, b| worst(*a).total_cmp(&worst(*b)));
        views.into_iter().find(|view| worst(*view) >= APART).or_else(best).unwrap_or(Self(0.0))
    }

    /// A direction of space on the paper: up is up, what is level is foreshortened across its depth.
    fn flat(self, [east, north, up]: [f64; 3]) -> At {
        let (sin, cos) = self.0.to_radians().sin_cos();
        let (east, north) = (east * cos + north * sin, north * cos - east * sin);
        let (half, wide) = FRAC_PI_6.sin_cos();
        ((east + north) * wide, (east - north) * half - up)
    }
}

impl Sheet<'_> {
    fn draw(&self, at_length: bool) -> (Drawing, bool) {
        let Self { job, circuit, setting, .. } = *self;
        let narrow = setting.is_narrow();
        let (width, margin) = if narrow { (360.0, 10.0) } else { (780.0, 16.0) };
        let mut canvas = Canvas::new(&format!("isometric-{}", self.index + 1), width, setting);
        let title = format!("Circuit {}, piping sketch", circuit.name);
        let mut y = 24.0;
        for line in measure::wrap(&title, Type::Title, width - 2.0 * margin).iter().take(4) {
            canvas.write(Text::new(line, (margin, y), Type::Title));
            y += 19.0;
        }
        let how = "Not to scale: lengths in words. Joints are those of the take-off, numbered in order of flow. A run without a turn \
                   of its own goes straight on.";
        for line in measure::wrap(how, Type::Soft, width - 2.0 * margin) {
            canvas.write(Text::new(&line, (margin, y), Type::Soft));
            y += 15.0;
        }
        let mut all = true;
        for (id, ways) in LineId::BOTH.into_iter().zip(&self.ways) {
            let top = canvas.bottom() + 22.0;
            let name = match id {
                LineId::Discharge => "Discharge line, chiller to condenser",
                LineId::Liquid => "Liquid line, condenser to expansion valve",
            };
            canvas.write(Text::new(name, (margin, top), Type::Strong));
            north(&mut canvas, self.view, (width - margin - 34.0, top + 24.0));
            let high = if narrow { 210.0 } else { 300.0 };
            let points = placed(
                self.view,
                id.of(circuit),
                ways,
                Rect::new(margin + 70.0, top + 46.0, width - 2.0 * margin - 160.0, high),
            );
            all &= self.line(&mut canvas, id, &points, at_length);
        }
        let rule = canvas.bottom() + 16.0;
        canvas.line(class::HAIR, (margin, rule), (width - margin, rule));
        if !at_length {
            table::table(&mut canvas, job, circuit, margin, &|id, index| {
                let goes = id.of(circuit).runs.get(index).map(goes).unwrap_or_default();
                let more = [goes.trim_start_matches(", ").to_owned(), self.joints_of(id, index).unwrap_or_default()];
                let more: Vec<String> = more.into_iter().filter(|words| !words.is_empty()).collect();
                (!more.is_empty()).then(|| more.join(", "))
            });
        }
        let total: u64 = self.joints.iter().flatten().flatten().map(|(_, last)| *last).max().unwrap_or(0);
        let y = canvas.bottom() + 20.0;
        let words = format!("{total} joints in one such circuit, as the take-off counts them.");
        for (row, line) in (0..).zip(measure::wrap(&words, Type::Soft, width - 2.0 * margin)) {
            canvas.write(Text::new(&line, (margin, y + LINE * f64::from(row)), Type::Soft));
        }
        (canvas.done(title, self.description()), all)
    }

    fn joints_of(&self, id: LineId, index: usize) -> Option<String> {
        let [discharge, liquid] = &self.joints;
        let line = if id == LineId::Discharge { discharge } else { liquid };
        line.get(index).copied().flatten().map(|(first, last)| told(first, last))
    }

    /// One line: its runs, parts, ends and words; whether all words found room.
    fn line(&self, canvas: &mut Canvas, id: LineId, points: &[(At, At)], at_length: bool) -> bool {
        let runs = &id.of(self.circuit).runs;
        let (outer, head, fill) = match id {
            LineId::Discharge => (class::GAS, symbols::GAS_ARROW, class::GAS_FILL),
            LineId::Liquid => (class::LIQUID, symbols::LIQUID_ARROW, class::LIQUID_FILL),
        };
        // Where one line passes another the later one is in front.
        for (index, (run, (a, b))) in runs.iter().zip(points).enumerate() {
            let d = format!("M{} {}L{} {}", number(a.0), number(a.1), number(b.0), number(b.1));
            let long = (b.0 - a.0).hypot(b.1 - a.1).max(1e-6);
            // Clear of its ends, where it joins the runs beside it.
            let trimmed = (12.0 / long).min(0.5);
            let on = |share: f64| (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share);
            canvas.polyline(class::BACK, &[on(trimmed), on(1.0 - trimmed)]);
            canvas.path_of(&words::tag(id, index), outer, &d);
            if id == LineId::Discharge {
                canvas.path(class::GAS_IN, &d);
            }
            let (x, y) = (f64::midpoint(a.0, b.0), f64::midpoint(a.1, b.1));
            let turn = (b.1 - a.1).atan2(b.0 - a.0).to_degrees();
            for part in 0..8 {
                let share = f64::from(part) / 8.0;
                let p = (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share);
                let q = (a.0 + (b.0 - a.0) * (share + 0.125), a.1 + (b.1 - a.1) * (share + 0.125));
                canvas.avoid(Rect::round(p, q, 4.0));
            }
            match &run.path {
                Path::Part(part) => symbol(canvas, part, (x, y), turn),
                _ => canvas.turned(fill, head, (x, y), turn),
            }
        }
        for (a, b) in points {
            canvas.circle(class::INK, *a, 2.4);
            canvas.circle(class::INK, *b, 2.4);
        }
        let names = if id == LineId::Discharge { ["chiller", "condenser"] } else { ["condenser", "valve"] };
        let ends = [points.first().map(|(a, _)| *a), points.last().map(|(_, b)| *b)];
        for (name, at) in names.into_iter().zip(ends).filter_map(|(name, at)| Some((name, at?))) {
            let block = Block::new(vec![(name.to_owned(), Type::Strong)]);
            block.put(canvas, &round(at, block.width(), block.height()));
        }
        let mut all = true;
        for (index, (run, (a, b))) in runs.iter().zip(points).enumerate() {
            let tag = words::tag(id, index);
            let lines = if at_length {
                let first = format!("{tag} {}{}", words::run(self.job.units, run), goes(run));
                let more = [words::tube(self.job.units, run), self.joints_of(id, index).unwrap_or_default()];
                let more = more.into_iter().filter(|words| !words.is_empty()).map(|words| (words, Type::Soft));
                std::iter::once((first, Type::Plain)).chain(more).collect()
            } else {
                vec![(tag, Type::Strong)]
            };
            let block = Block::new(lines);
            let at = |share: f64| (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share);
            let (w, h) = (block.width(), block.height());
            // Nearer to its own run than to any other, or it would be read as that one's.
            let is_its_own = |((x, y), _): &(At, bool)| {
                let to = |run: &(At, At)| apart(&Rect::new(*x, *y, w, h), run);
                let others = (0..points.len()).filter(|other| *other != index).filter_map(|other| points.get(other));
                others.map(to).fold(f64::INFINITY, f64::min) + 1.0 > to(&(*a, *b))
            };
            let spots = [0.5, 0.35, 0.65, 0.2, 0.8].into_iter().flat_map(|s| round(at(s), w, h));
            let (mut spots, others): (Vec<_>, Vec<_>) = spots.partition(is_its_own);
            // A tag stands somewhere come what may; words at length give way to tags.
            spots.extend(others.into_iter().filter(|_| !at_length));
            all &= block.put(canvas, &spots);
        }
        canvas.reach(points.iter().flat_map(|(a, b)| [a.1, b.1]).fold(0.0, f64::max) + 12.0);
        all
    }

    fn description(&self) -> String {
        let lines = LineId::BOTH.map(|id| {
            let runs = id.of(self.circuit).runs.iter().enumerate().map(|(index, run)| {
                let turn = run.turn_deg.map(|bearing| format!("to {bearing:.0}°"));
                let parts = [
                    Some(words::whole(self.job.units, run)),
                    turn,
                    Some(words::tube(self.job.units, run)),
                    self.joints_of(id, index),
                ];
                let parts: Vec<String> = parts.into_iter().flatten().filter(|part| !part.is_empty()).collect();
                format!("{} {}", words::tag(id, index), parts.join(", "))
            });
            format!("The {} line: {}.", id.name(), runs.collect::<Vec<_>>().join("; "))
        });
        lines.join(" ")
    }
}

/// Where the runs lie in a room: their directions kept, their lengths drawn together, for what is short must be seen.
fn placed(view: View, line: &Line, ways: &[Leg], room: Rect) -> Vec<(At, At)> {
    let longest = ways.iter().map(|way| length(*way)).fold(1e-6, f64::max);
    let mut at = (0.0, 0.0);
    let mut points: Vec<(At, At)> = Vec::new();
    let mut toward = view.flat([1.0, 0.0, 0.0]);
    // A part takes its place along the run before it, or after it where it is the first.
    let next = |index: usize| ways.iter().skip(index).find(|way| length(**way) > 0.0);
    for (index, (way, run)) in ways.iter().zip(&line.runs).enumerate() {
        let long = length(*way);
        let unit = |way: &Leg, long: f64| view.flat([0, 1, 2].map(|axis| (way.to[axis] - way.from[axis]) / long));
        let share = if matches!(run.path, Path::Part(_)) {
            if index == 0 {
                toward = next(index).map_or(toward, |way| unit(way, length(*way)));
            }
            0.22
        } else {
            toward = unit(way, long.max(1e-9));
            0.3 + 0.7 * (long / longest).sqrt()
        };
        let to = (at.0 + toward.0 * share, at.1 + toward.1 * share);
        points.push((at, to));
        at = to;
    }
    let all = points.iter().flat_map(|(a, b)| [*a, *b]);
    let (low, high) = all.fold(((f64::MAX, f64::MAX), (f64::MIN, f64::MIN)), |(low, high), p| {
        ((low.0.min(p.0), low.1.min(p.1)), (high.0.max(p.0), high.1.max(p.1)))
    });
    let scale = (room.w / (high.0 - low.0).max(0.2)).min(room.h / (high.1 - low.1).max(0.2)).min(150.0);
    let put = |p: At| {
        (room.x + (room.w - (high.0 - low.0) * scale) / 2.0 + (p.0 - low.0) * scale, room.y + (p.1 - low.1) * scale)
    };
    points.into_iter().map(|(a, b)| (put(a), put(b))).collect()
}

fn length(way: Leg) -> f64 {
    way.to.iter().zip(way.from).map(|(to, from)| (to - from).powi(2)).sum::<f64>().sqrt()
}

/// Places for a box about a point, the nearest first.
fn round((x, y): At, w: f64, h: f64) -> Vec<(At, bool)> {
    let mut spots = Vec::new();
    for away in [9.0, 16.0, 26.0, 40.0] {
        spots.extend([
            ((x + away, y - h - away / 2.0), false),
            ((x - away - w, y - h - away / 2.0), true),
            ((x + away, y + away / 2.0), false),
            ((x - away - w, y + away / 2.0), true),
            ((x + away, y - h / 2.0), false),
            ((x - away - w, y - h / 2.0), true),
            ((x - w / 2.0, y - h - away), false),
            ((x - w / 2.0, y + away), false),
        ]);
    }
    spots
}

/// How far a box is from a run, in units of the drawing.
fn apart(rect: &Rect, (a, b): &(At, At)) -> f64 {
    let far = |part: u32| {
        let share = f64::from(part) / 12.0;
        let (x, y) = (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share);
        (rect.x - x).max(x - rect.right()).max(0.0).hypot((rect.y - y).max(y - rect.bottom()).max(0.0))
    };
    (0..=12).map(far).fold(f64::INFINITY, f64::min)
}

/// A part along its line.
fn symbol(canvas: &mut Canvas, part: &Part, at: At, turn: f64) {
    canvas.take(Rect::round(at, at, 8.0));
    match part {
        part if part.checks => symbols::check_valve(canvas, at, turn),
        part if part.name.contains("glass") => symbols::sight_glass(canvas, at),
        part if part.name.contains("valve") => canvas.turned(class::BOX, "M-8-6l16 12v-12l-16 12z", at, turn),
        part if part.receiver.is_some() => {
            canvas.turned(class::BOX, "M-9-8h18a8 8 0 0 1 0 16h-18a8 8 0 0 1 0-16z", at, turn);
        }
        _ => canvas.turned(class::BOX, "M-8-6h16v12h-16z", at, turn),
    }
}

/// Where north goes.
fn north(canvas: &mut Canvas, view: View, at: At) {
    let (x, y) = view.flat([0.0, 1.0, 0.0]);
    let long = x.hypot(y).max(1e-6);
    canvas.turned(class::OUTLINE, "M-16 0h24", at, y.atan2(x).to_degrees());
    canvas.turned(class::INK, "M6-4.5L16 0L6 4.5z", at, y.atan2(x).to_degrees());
    canvas.take(Rect::round(at, at, 17.0));
    canvas.write(Text::new("N", (at.0 + x / long * 26.0, at.1 + y / long * 26.0 + 4.0), Type::Strong).middle());
}

/// Where a level run goes, if it is said of it: `, W`, `, 30°`.
fn goes(run: &Run) -> String {
    const POINTS: [&str; 8] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];
    let point =
        |bearing: f64| POINTS.iter().zip(0_u8..).find(|(_, number)| (f64::from(*number) * 45.0 - bearing).abs() < 0.5);
    run.turn_deg.map_or_else(String::new, |bearing| match point(bearing) {
        Some((point, _)) => format!(", {point}"),
        None => format!(", {bearing:.0}°"),
    })
}
