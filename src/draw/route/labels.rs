//! Words and marks beside the lines: each where there is room, none on another.

use super::layout::{Kind, Layout, MachineKind, Stretch};
use super::words;
use crate::draw::block::{Block, LINE};
use crate::draw::canvas::{Canvas, Text};
use crate::draw::marks::{self, Numbered};
use crate::draw::measure;
use crate::draw::plane::{At, Rect};
use crate::draw::style::{Type, class};
use crate::draw::symbols;
use crate::job::{Circuit, Job, LineId, Path, ReceiverStyle, Run};
use crate::rules::Place;

/// Places for a box beside a stretch, the nearest first; whether it is to the left of a vertical one.
fn beside(stretch: &Stretch, w: f64, h: f64, gap: f64) -> Vec<(At, bool)> {
    let (a, b) = (stretch.from, stretch.to);
    let (x, y) = stretch.middle();
    let mut spots = Vec::new();
    if (a.1 - b.1).abs() > (a.0 - b.0).abs() {
        let (left, right) = (a.0.min(b.0), a.0.max(b.0));
        let (top, bottom) = (a.1.min(b.1), a.1.max(b.1));
        for away in [gap, gap + 22.0, gap + 44.0] {
            for at in [y, f64::midpoint(y, top), f64::midpoint(y, bottom), top + h / 2.0, bottom - h / 2.0] {
                spots.push(((right + away, at - h / 2.0), false));
                spots.push(((left - away - w, at - h / 2.0), true));
            }
        }
        return spots;
    }
    let (left, right) = (a.0.min(b.0), a.0.max(b.0));
    for away in [gap, gap + 12.0, gap + 26.0, gap + 31.0, gap + 42.0] {
        for at in [x - w / 2.0, left + 6.0, right - w - 6.0, left, right - w, x, x - w] {
            spots.push(((at, y - away - h), false));
            spots.push(((at, y + away), false));
        }
    }
    spots
}

/// The symbols of parts and the expansion valve.
pub fn parts(canvas: &mut Canvas, circuit: &Circuit, layout: &Layout) {
    for (at, stretch) in layout.stretches.iter().enumerate() {
        let turn = if stretch.goes < 0.0 { 180.0 } else { 0.0 };
        let (x, y) = stretch.middle();
        if stretch.kind == Kind::Part {
            let Some(Run { path: Path::Part(part), .. }) = stretch.line.of(circuit).runs.get(stretch.run) else {
                continue;
            };
            let mut covers = Rect::round((x, y), (x, y), 12.0);
            match part {
                part if part.receiver.is_some_and(|of| of.style == ReceiverStyle::Through) => {
                    covers = Rect::new(x - 24.0, y - 10.0, 48.0, 20.0);
                    symbols::receiver(canvas, covers);
                }
                part if part.receiver.is_some() => {
                    covers = Rect::new(x - 20.0, y + 17.0, 40.0, 18.0);
                    canvas.line(class::LIQUID, (x, y), (x, y + 17.0));
                    symbols::receiver(canvas, covers);
                }
                part if part.checks => symbols::check_valve(canvas, (x, y), turn),
                part if part.closes => {
                    symbols::solenoid_valve(canvas, (x, y));
                    covers = Rect::new(x - 9.0, y - 21.0, 18.0, 28.0);
                }
                part if part.name.contains("drier") => symbols::filter_drier(canvas, (x, y)),
                part if part.name.contains("glass") => symbols::sight_glass(canvas, (x, y)),
                part if part.name.contains("valve") => symbols::valve(canvas, (x, y)),
                _ => symbols::other(canvas, (x, y)),
            }
            canvas.take(covers);
            if let Some(receiver) = part.receiver.filter(|receiver| receiver.vented) {
                super::drain::vent(canvas, covers, receiver.style == ReceiverStyle::Through);
            }
        }
        if at + 1 == layout.stretches.len() && stretch.line == LineId::Liquid {
            symbols::valve(canvas, (x, y));
            canvas.take(Rect::round((x, y), (x, y), 7.0));
        }
    }
}

/// The machines with their words. Their boxes are taken but for the corners where marks go.
pub fn machines(canvas: &mut Canvas, job: &Job, circuit: &Circuit, layout: &Layout, capacity: Option<f64>) {
    let units = job.units;
    for machine in &layout.machines {
        let rect = machine.rect;
        canvas.rect(class::BOX, rect, 0.0);
        let (name, second) = match machine.kind {
            MachineKind::Condenser => ("Condenser", words::control(units, circuit, rect.w - 8.0)),
            MachineKind::Chiller => ("Chiller", capacity.map(|watts| units.capacity(watts)).into_iter().collect()),
            MachineKind::End if super::strips::ends_level(circuit) => ("Chiller", vec!["valve side".to_owned()]),
            MachineKind::End => ("Evaporator", Vec::new()),
        };
        let (x, _) = rect.middle();
        let mut y = rect.y + 24.0;
        canvas.write(Text::new(name, (x, y), Type::Strong).middle());
        for line in second {
            y += LINE;
            canvas.write(Text::new(&line, (x, y), Type::Soft).middle());
        }
        if machine.kind == MachineKind::Condenser {
            stand(canvas, rect);
        }
        canvas.take(rect.grown(3.0));
    }
}

/// Fans on the condenser, legs under it, the roof that it stands on.
fn stand(canvas: &mut Canvas, rect: Rect) {
    let fans = (rect.w / 36.0).floor().clamp(2.0, 6.0);
    let pitch = rect.w / fans;
    let mut x = rect.x + pitch / 2.0;
    while x < rect.right() {
        canvas.turned(class::OUTLINE, "M-12 0h24m-12 0v-6m-10 6v-4h20v4", (x, rect.y), 0.0);
        x += pitch;
    }
    let ground = rect.bottom() + 20.0;
    for leg in [rect.x + 14.0, rect.right() - 14.0] {
        canvas.line(class::OUTLINE, (leg, rect.bottom()), (leg, ground));
    }
    canvas.line(class::OUTLINE, (rect.x + 4.0, ground), (rect.right() - 4.0, ground));
    let mut x = rect.x + 10.0;
    while x < rect.right() - 4.0 {
        canvas.line(class::THIN, (x, ground), (x - 5.6, ground + 6.0));
        x += 11.0;
    }
    canvas.take(Rect::new(rect.x, rect.y - 7.0, rect.w, 7.0));
    canvas.avoid(Rect::new(rect.x, rect.bottom(), rect.w, 28.0));
}

/// All runs in words, at length or by their tags; whether each found a place.
pub fn runs(canvas: &mut Canvas, job: &Job, circuit: &Circuit, layout: &Layout, at_length: bool) -> bool {
    let mut all = true;
    let mut last_size: Option<(LineId, String)> = None;
    let mut parts: Vec<&Stretch> = Vec::new();
    for stretch in &layout.stretches {
        let Some(run) = stretch.line.of(circuit).runs.get(stretch.run) else { continue };
        match stretch.kind {
            Kind::Link => {}
            Kind::Part => {
                if parts.last().is_some_and(|last| last.line != stretch.line) {
                    all &= group(canvas, job, circuit, &parts, at_length);
                    parts.clear();
                }
                parts.push(stretch);
            }
            Kind::Level { .. } | Kind::Vertical => {
                all &= group(canvas, job, circuit, &parts, at_length);
                parts.clear();
                let size = words::tube(job.units, run);
                let known = last_size.as_ref().is_some_and(|last| *last == (stretch.line, size.clone()));
                all &= label(canvas, job, stretch, run, (&size, known), at_length);
                last_size = Some((stretch.line, size));
            }
        }
    }
    all &= group(canvas, job, circuit, &parts, at_length);
    if let Some(valve) = layout.stretches.last().filter(|s| s.line == LineId::Liquid) {
        let block = Block::new(vec![("valve".to_owned(), Type::Soft)]);
        let (w, h) = (block.width(), block.height());
        block.put(canvas, &beside(valve, w, h, 10.0));
    }
    all
}

fn label(canvas: &mut Canvas, job: &Job, stretch: &Stretch, run: &Run, size: (&str, bool), at_length: bool) -> bool {
    let tag = words::tag(stretch.line, stretch.run);
    let tagged = Block::new(vec![(tag.clone(), Type::Strong)]);
    let gap = if stretch.line == LineId::Discharge { 9.0 } else { 8.0 };
    let gap = if stretch.kind == (Kind::Level { broken: true }) { 12.0 } else { gap };
    let gap = if run.insulation.value > 0.0 { gap + 4.0 } else { gap };
    if !at_length {
        let (w, h) = (tagged.width(), tagged.height());
        return tagged.put(canvas, &beside(stretch, w, h, gap));
    }
    let first = format!("{tag} {}", words::run(job.units, run));
    let more = [Some(size.0.to_owned()), words::traps(run), words::slope(run).map(str::to_owned)];
    let more = more.into_iter().flatten().flat_map(|words| measure::wrap(&words, Type::Soft, 170.0));
    let broken: Vec<(String, Type)> =
        std::iter::once((first.clone(), Type::Plain)).chain(more.map(|line| (line, Type::Soft))).collect();
    let full = Block::new(broken);
    let (w, h) = (full.width(), full.height());
    if full.put(canvas, &beside(stretch, w, h, gap)) {
        return true;
    }
    let plain = words::traps(run).is_none() && words::slope(run).is_none();
    let short = Block::new(vec![(first, Type::Plain)]);
    let (w, h) = (short.width(), short.height());
    size.1 && plain && short.put(canvas, &beside(stretch, w, h, gap))
}

fn is_surge(circuit: &Circuit, stretch: &Stretch) -> bool {
    let run = stretch.line.of(circuit).runs.get(stretch.run);
    matches!(run.map(|run| &run.path), Some(Path::Part(part)) if part.receiver.is_some_and(|of| of.style == ReceiverStyle::Surge))
}

/// The words of parts that stand side by side: a tag under each, what they are beside them.
fn group(canvas: &mut Canvas, job: &Job, circuit: &Circuit, parts: &[&Stretch], at_length: bool) -> bool {
    let (Some(first), Some(last)) = (parts.first(), parts.last()) else { return true };
    let mut lines = Vec::new();
    let mut all = true;
    for stretch in parts {
        let Some(run) = stretch.line.of(circuit).runs.get(stretch.run) else { continue };
        let tag = words::tag(stretch.line, stretch.run);
        let words = format!("{tag} {}", words::run(job.units, run));
        lines.push((measure::fit(&words, Type::Plain, 240.0).into_owned(), Type::Plain));
        if !at_length || parts.len() > 1 {
            let block = Block::new(vec![(tag, Type::Strong)]);
            let (w, h) = (block.width(), block.height());
            all &= block.put(canvas, &beside(stretch, w, h, 11.0));
        }
    }
    if !at_length {
        return all;
    }
    let whole = Stretch { from: first.from, to: last.to, ..**first };
    let put = |canvas: &mut Canvas, lines: &[(String, Type)]| {
        let block = Block::new(lines.to_vec());
        let (w, h) = (block.width(), block.height());
        // Beside the vessel under the line, where the last part is one.
        let (x, y) = last.middle();
        let vessel = parts.len() == 1 && is_surge(circuit, last);
        let vessel = vessel.then_some([((x + 26.0, y + 19.0), false), ((x - 26.0 - w, y + 19.0), true)]);
        let spots = vessel.into_iter().flatten().chain(beside(&whole, w, h, 12.0));
        block.put(canvas, &spots.collect::<Vec<_>>())
    };
    all && put(canvas, &lines)
}

/// The marks of all findings beside their places; those that found none.
pub fn marks<'a>(canvas: &mut Canvas, circuit: &Circuit, layout: &Layout, found: &[Numbered<'a>]) -> Vec<Numbered<'a>> {
    let mut rows: Vec<(Spot, Vec<Numbered<'a>>)> = Vec::new();
    for of in found {
        for spot in spots(circuit, layout, of) {
            match rows.iter_mut().find(|(known, _)| *known == spot) {
                Some((_, row)) => row.push(*of),
                None => rows.push((spot, vec![*of])),
            }
        }
    }
    let mut left = Vec::new();
    for (spot, row) in rows {
        if !row_of_marks(canvas, layout, spot, &row) {
            left.extend(row);
        }
    }
    left
}

/// A place for marks.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Spot {
    /// A stretch, by its index.
    At(usize),
    /// A machine, by its index.
    In(usize),
}

/// Rules that name no place, and speak of the condenser and its head control.
const OF_THE_CONDENSER: &[&str] = &["low-ambient", "high-pressure", "condenser-size"];

/// Where a finding is marked: at every tube of a range of runs, at a tube of a whole line.
fn spots(circuit: &Circuit, layout: &Layout, of: &Numbered) -> Vec<Spot> {
    let run = |line: LineId, number: usize| {
        let is = |s: &&Stretch| s.line == line && s.run + 1 == number && s.kind != Kind::Link;
        layout.stretches.iter().position(|s| is(&s)).map(Spot::At)
    };
    let tube = |line: LineId, number: usize| {
        let run = number.checked_sub(1).and_then(|index| line.of(circuit).runs.get(index));
        run.filter(|run| !matches!(run.path, Path::Part(_)))
    };
    let all = |line: LineId, numbers: &[usize]| -> Vec<Spot> {
        let spans = words::spans(numbers).into_iter().flat_map(|(first, last)| {
            let tubes: Vec<usize> = (first..=last).filter(|number| tube(line, *number).is_some()).collect();
            if !tubes.is_empty() {
                tubes
            } else if first == last {
                vec![first]
            } else {
                vec![first, last]
            }
        });
        spans.filter_map(|number| run(line, number)).collect()
    };
    // The run that the finding names, else the longest.
    let whole = |line: LineId| {
        let named = of.finding.says.runs().into_iter().filter(|(of, _)| *of == line).map(|(_, number)| number);
        let longest = (1..=line.of(circuit).runs.len())
            .filter_map(|number| Some((number, tube(line, number)?.path.length_m())))
            .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
        let mut numbers = named.filter(|number| tube(line, *number).is_some()).chain(longest.map(|(number, _)| number));
        numbers.next().and_then(|number| run(line, number)).or_else(|| run(line, 1))
    };
    let machine = |kind: MachineKind| layout.machines.iter().rposition(|m| m.kind == kind).map(Spot::In);
    let receiver = || {
        let is = |run: &Run| matches!(&run.path, Path::Part(part) if part.receiver.is_some());
        circuit.liquid.runs.iter().position(is).and_then(|at| run(LineId::Liquid, at + 1))
    };
    let condenser = || layout.machines.iter().position(|m| m.kind == MachineKind::Condenser).map(Spot::In);
    if let Some((line, numbers)) = words::concerned(of.finding) {
        return all(line, &numbers);
    }
    match &of.finding.place {
        Some(Place::Lines(lines)) => lines.iter().flat_map(|(line, numbers)| all(*line, numbers)).collect(),
        Some(Place::Line(line)) => whole(*line).into_iter().collect(),
        Some(Place::Inlet(line)) => run(*line, 1).into_iter().collect(),
        Some(Place::Condenser) => condenser().into_iter().collect(),
        Some(Place::Receiver | Place::ReliefValve | Place::ReliefLine) => {
            receiver().or_else(condenser).into_iter().collect()
        }
        Some(Place::Valve) => layout.stretches.len().checked_sub(1).map(Spot::At).into_iter().collect(),
        None if of.finding.rule == "elevations" => {
            machine(MachineKind::End).or_else(|| machine(MachineKind::Chiller)).into_iter().collect()
        }
        None if OF_THE_CONDENSER.contains(&of.finding.rule) => condenser().into_iter().collect(),
        _ => Vec::new(),
    }
}

/// Draws marks in a row, or under one another, beside their place; whether there was room. Where they stand far from it a
/// leader tells.
fn row_of_marks(canvas: &mut Canvas, layout: &Layout, spot: Spot, row: &[Numbered]) -> bool {
    #[expect(clippy::cast_precision_loss, reason = "a few marks")]
    let many = row.len() as f64;
    let widest = row.iter().map(|of| marks::width(*of)).fold(0.0, f64::max);
    let pitch = widest + 4.0;
    let (across, down) = ((pitch * many - 4.0, marks::HEIGHT), (widest, 24.0 * many - 4.0));
    let places: Vec<(Rect, bool)> = match spot {
        Spot::At(at) => {
            let Some(stretch) = layout.stretches.get(at) else { return false };
            let places = |(w, h): (f64, f64), is_row: bool| {
                let gap = match stretch.kind {
                    Kind::Part => 14.0,
                    Kind::Level { broken: true } => 12.0,
                    _ => 9.0,
                };
                beside(stretch, w, h, gap).into_iter().map(move |((x, y), _)| (Rect::new(x, y, w, h), is_row))
            };
            let (row, column) = (places(across, true), places(down, false));
            let all: Vec<(Rect, bool)> = match stretch.kind {
                Kind::Vertical => column.chain(row).collect(),
                _ => row.chain(column).collect(),
            };
            // A leader that crosses words would strike them out.
            let clear = |(rect, _): &&(Rect, bool)| {
                leader(stretch, *rect).is_none_or(|(a, b)| canvas.is_free(&Rect::round(a, b, 0.5)))
            };
            let clear: Vec<(Rect, bool)> = all.iter().filter(clear).copied().collect();
            if clear.is_empty() { all } else { clear }
        }
        Spot::In(at) => {
            let Some(machine) = layout.machines.get(at) else { return false };
            let rect = machine.rect;
            let (w, h) = across;
            let (x, _) = rect.middle();
            let above = [10.0, 34.0, 58.0].map(|up| (x - w / 2.0, rect.y - up - h));
            let below = [4.0, 32.0].map(|down| (x - w / 2.0, rect.bottom() + down));
            let beside = [(rect.right() + 6.0, rect.y), (rect.x - 6.0 - w, rect.y)];
            let all = above.into_iter().chain(below).chain(beside);
            all.map(|(x, y)| (Rect::new(x, y, w, h), true)).collect()
        }
    };
    let boxes: Vec<Rect> = places.iter().map(|(rect, _)| *rect).collect();
    let Some((rect, is_row)) = canvas.free(&boxes).and_then(|at| places.get(at)) else { return false };
    let of = if let Spot::At(at) = spot { layout.stretches.get(at) } else { None };
    if let Some((from, to)) = of.and_then(|stretch| leader(stretch, *rect)) {
        canvas.line(class::THIN, from, to);
        canvas.avoid(Rect::round(from, to, 1.0));
    }
    let (mut x, mut y) = (rect.x + widest / 2.0, rect.y + marks::HEIGHT / 2.0);
    for of in row {
        marks::mark(canvas, *of, (x, y));
        if *is_row {
            x += pitch;
        } else {
            y += 24.0;
        }
    }
    true
}

/// A thin line from marks to the place that they are of; nothing where they stand next to it, or right over or under a part.
fn leader(stretch: &Stretch, rect: Rect) -> Option<(At, At)> {
    let (x, y) = rect.middle();
    let over = stretch.kind == Kind::Part && (x - stretch.middle().0).abs() < 16.0;
    if over || stretch.covers(24.0).meets(&rect) {
        return None;
    }
    let line = stretch.covers(0.0);
    let to = match stretch.kind {
        Kind::Part => stretch.middle(),
        _ => (x.clamp(line.x, line.right()), y.clamp(line.y, line.bottom())),
    };
    Some(((to.0.clamp(rect.x, rect.right()), to.1.clamp(rect.y, rect.bottom())), to))
}
