//! The lines of a route: hollow where gas flows, solid where liquid does, with traps, breaks, slopes, covers and arrows.

use super::layout::{ABREAST, Kind, Layout, Stretch, TRAP_STEP, abreast, traps_between};
use super::words;
use crate::draw::canvas::{Canvas, number};
use crate::draw::plane::{At, Rect};
use crate::draw::style::class;
use crate::draw::symbols;
use crate::job::{Circuit, LineId, Path, Run, Slope};
use std::fmt::Write;

/// Half of a trap.
const BEND: f64 = 5.5;
/// How far a trap hangs under its line before it bends.
const HANG: f64 = 9.0;

/// One tube of a stretch as a path.
struct Tube {
    run: String,
    d: String,
    wide: bool,
}

/// Draws all lines. What they cover is avoided by texts.
pub fn lines(canvas: &mut Canvas, circuit: &Circuit, layout: &Layout) {
    for (at, stretch) in layout.stretches.iter().enumerate() {
        let mut boxes = boxes(circuit, layout, at).into_iter();
        // The line itself may pass under words, its traps not.
        for line in boxes.by_ref().take(abreast_of(circuit, stretch)) {
            canvas.avoid(line);
        }
        for trap in boxes {
            canvas.take(trap);
        }
        cover(canvas, circuit, stretch);
    }
    for id in LineId::BOTH {
        let tubes: Vec<Tube> = (0..layout.stretches.len())
            .filter(|at| layout.stretches.get(*at).is_some_and(|s| s.line == id))
            .flat_map(|at| tubes(circuit, layout, at))
            .collect();
        let (thin, wide) = match id {
            LineId::Discharge => (class::GAS, class::GAS_WIDE),
            LineId::Liquid => (class::LIQUID, class::LIQUID),
        };
        // All edges first, then the paper between them, so that joints are open.
        for tube in &tubes {
            canvas.path_of(&tube.run, if tube.wide { wide } else { thin }, &tube.d);
        }
        for tube in tubes.iter().filter(|_| id == LineId::Discharge) {
            canvas.path(if tube.wide { class::GAS_WIDE_IN } else { class::GAS_IN }, &tube.d);
        }
    }
    for stretch in &layout.stretches {
        signs(canvas, circuit, stretch);
    }
}

fn run<'a>(circuit: &'a Circuit, stretch: &Stretch) -> Option<&'a Run> {
    stretch.line.of(circuit).runs.get(stretch.run)
}

fn abreast_of(circuit: &Circuit, stretch: &Stretch) -> usize {
    run(circuit, stretch).filter(|_| stretch.kind == Kind::Vertical).map_or(1, abreast)
}

fn neighbour<'a>(circuit: &'a Circuit, layout: &Layout, at: Option<usize>, line: LineId) -> Option<&'a Run> {
    let stretch = layout.stretches.get(at?)?;
    (stretch.line == line && stretch.kind == Kind::Vertical).then(|| run(circuit, stretch)).flatten()
}

fn foot(run: &Run) -> bool {
    matches!(&run.path, Path::Rise { traps, .. } if traps.foot)
}

fn top(run: &Run) -> bool {
    matches!(&run.path, Path::Rise { traps, .. } if traps.top)
}

/// Where the parallel tubes of a vertical stretch stand beside it: the largest in its place, the others before it.
fn offsets(run: &Run, came: f64) -> Vec<f64> {
    let many = abreast(run);
    #[expect(clippy::cast_precision_loss, reason = "at most four")]
    (0..many).map(|k| -came * ABREAST * (many - 1 - k) as f64).collect()
}

/// What a stretch covers, its traps and parallel tubes too.
fn boxes(circuit: &Circuit, layout: &Layout, at: usize) -> Vec<Rect> {
    let Some(stretch) = layout.stretches.get(at) else { return Vec::new() };
    let margin = if stretch.line == LineId::Discharge { 6.0 } else { 4.0 };
    let Some(run) = run(circuit, stretch).filter(|_| stretch.kind == Kind::Vertical) else {
        return vec![stretch.covers(margin)];
    };
    let mut boxes: Vec<Rect> = offsets(run, stretch.came)
        .into_iter()
        .map(|dx| Rect::round((stretch.from.0 + dx, stretch.from.1), (stretch.to.0 + dx, stretch.to.1), margin))
        .collect();
    if foot(run) {
        let (x, y) = stretch.from;
        boxes.push(Rect::round((x - stretch.came * 2.0 * BEND, y), (x, y + HANG + BEND), 5.0));
    }
    if top(run) {
        let (x, y) = stretch.to;
        boxes.push(Rect::round((x, y - HANG - BEND), (x + stretch.goes * 2.0 * BEND, y), 5.0));
    }
    if !traps_between(run).is_empty() {
        boxes.push(Rect::round(stretch.from, (stretch.from.0 + stretch.goes * TRAP_STEP, stretch.to.1), margin));
    }
    boxes
}

fn tubes(circuit: &Circuit, layout: &Layout, at: usize) -> Vec<Tube> {
    let Some(stretch) = layout.stretches.get(at) else { return Vec::new() };
    let Some(run) = run(circuit, stretch) else { return Vec::new() };
    let line = stretch.line;
    let tag = words::tag(line, stretch.run);
    let narrowest = line.of(circuit).runs.iter().filter_map(|run| run.tubes.last()).map(|tube| tube.outside.value);
    let narrowest = narrowest.fold(f64::INFINITY, f64::min);
    let is_wide = |outside: f64| line == LineId::Discharge && outside > narrowest + 1e-4;
    if stretch.kind != Kind::Vertical {
        let wide = run.tubes.last().is_some_and(|tube| is_wide(tube.outside.value)) && stretch.kind != Kind::Link;
        // A trap takes the end of the line that leads to it and the beginning of the one that leaves it.
        let behind = neighbour(circuit, layout, at.checked_add(1), line).is_some_and(foot);
        let before = neighbour(circuit, layout, at.checked_sub(1), line).is_some_and(top);
        let ((x1, y), (x2, _)) = (stretch.from, stretch.to);
        let side = (x2 - x1).signum();
        let x1 = if before { x1 + side * 2.0 * BEND } else { x1 };
        let x2 = if behind { x2 - side * 2.0 * BEND } else { x2 };
        return vec![Tube { run: tag, d: format!("M{} {}H{}", number(x1), number(y), number(x2)), wide }];
    }
    let largest = run.tubes.last().map_or(0.0, |tube| tube.outside.value);
    let mut tubes = vec![Tube { run: tag.clone(), d: riser(stretch, run), wide: is_wide(largest) }];
    let beside = offsets(run, stretch.came).into_iter().zip(&run.tubes).filter(|(dx, _)| *dx != 0.0);
    for (dx, tube) in beside {
        let (x, from, to) = (number(stretch.from.0 + dx), number(stretch.from.1), number(stretch.to.1));
        // It meets the line that goes on from below; else it comes to it, over the trap of the largest where there is one.
        let d = if dx * stretch.goes > 0.0 {
            format!("M{x} {from}V{to}")
        } else if top(run) {
            let (over, beyond) = (number(stretch.to.1 - 22.0), number(stretch.to.0 + stretch.goes * 24.0));
            format!("M{x} {from}V{over}H{beyond}V{to}")
        } else {
            format!("M{x} {from}V{to}H{}", number(stretch.to.0))
        };
        tubes.push(Tube { run: tag.clone(), d, wide: is_wide(tube.outside.value) });
    }
    tubes
}

/// A riser or a drop with its traps, in the order of flow.
fn riser(stretch: &Stretch, run: &Run) -> String {
    let ((x, y), (_, end)) = (stretch.from, stretch.to);
    let mut d = String::new();
    let bend = |side: f64, over: bool| {
        let sweep = u8::from((side > 0.0) == over);
        format!("a{BEND} {BEND} 0 0 {sweep} {} 0", number(side * 2.0 * BEND))
    };
    if foot(run) {
        let side = stretch.came;
        let _ = write!(d, "M{} {}v{HANG}{}", number(x - side * 2.0 * BEND), number(y), bend(side, false));
    } else {
        let _ = write!(d, "M{} {}", number(x), number(y));
    }
    let per_metre = (y - end) / run.path.rise_m().max(1e-9);
    let mut side = stretch.goes;
    for height in traps_between(run) {
        let _ = write!(d, "V{}{}v8{}", number(y - height.value * per_metre), bend(side, true), bend(side, false));
        side = -side;
    }
    if top(run) {
        let _ = write!(d, "V{}{}V{}", number(end - HANG), bend(stretch.goes, true), number(end));
    } else {
        let _ = write!(d, "V{}", number(end));
    }
    d
}

/// Insulation: a thin line on either side, ticked.
fn cover(canvas: &mut Canvas, circuit: &Circuit, stretch: &Stretch) {
    const TICKS: f64 = 12.0;
    let insulated =
        |run: &&Run| run.insulation.value > 0.0 && matches!(stretch.kind, Kind::Level { .. } | Kind::Vertical);
    let Some(run) = run(circuit, stretch).filter(insulated) else { return };
    let half = if stretch.line == LineId::Discharge { 7.5 } else { 5.5 };
    let (a, b) =
        (stretch.from, (if stretch.kind == Kind::Vertical { stretch.from.0 } else { stretch.to.0 }, stretch.to.1));
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length = dx.hypot(dy).max(1e-6);
    let (ux, uy) = (dx / length, dy / length);
    for dx in offsets(run, stretch.came) {
        let dx = if stretch.kind == Kind::Vertical { dx } else { 0.0 };
        for side in [-1.0, 1.0] {
            let (nx, ny) = (-uy * half * side + dx, ux * half * side);
            let mut d = format!("M{} {}L{} {}", number(a.0 + nx), number(a.1 + ny), number(b.0 + nx), number(b.1 + ny));
            let mut along = TICKS / 2.0;
            while along < length {
                let (x, y) = (a.0 + nx + ux * along, a.1 + ny + uy * along);
                let _ =
                    write!(d, "M{} {}l{} {}", number(x), number(y), number(-uy * side * 3.0), number(ux * side * 3.0));
                along += TICKS;
            }
            canvas.path(class::THIN, &d);
        }
    }
}

/// The break, the arrow of the flow, the slope.
fn signs(canvas: &mut Canvas, circuit: &Circuit, stretch: &Stretch) {
    let Some(run) = run(circuit, stretch) else { return };
    let length = (stretch.to.0 - stretch.from.0).hypot(stretch.to.1 - stretch.from.1);
    let (head, fill) = match stretch.line {
        LineId::Discharge => (symbols::GAS_ARROW, class::GAS_FILL),
        LineId::Liquid => (symbols::LIQUID_ARROW, class::LIQUID_FILL),
    };
    let (x, y) = stretch.middle();
    let side = (stretch.to.0 - stretch.from.0).signum();
    let turn = if side < 0.0 { 180.0 } else { 0.0 };
    match stretch.kind {
        Kind::Level { broken } => {
            if broken {
                symbols::break_mark(canvas, (x, y));
                canvas.take(Rect::new(x - 9.0, y - 11.0, 19.0, 22.0));
            }
            if length >= if broken { 60.0 } else { 24.0 } {
                let at = if broken { x - side * length / 4.0 } else { x };
                canvas.turned(fill, head, (at, y), turn);
            }
            slope(canvas, run, stretch, length);
        }
        Kind::Vertical if length >= 24.0 => {
            let down = stretch.to.1 > stretch.from.1;
            for dx in offsets(run, stretch.came) {
                // Traps step aside: the arrow stands under the first.
                let at = if traps_between(run).is_empty() { y } else { stretch.from.1 - 14.0 };
                canvas.turned(fill, head, (stretch.from.0 + dx, at), if down { 90.0 } else { -90.0 });
            }
        }
        _ => {}
    }
}

/// A thin wedge under a run that falls, its thick end where it is high.
fn slope(canvas: &mut Canvas, run: &Run, stretch: &Stretch, length: f64) {
    let along = (stretch.to.0 - stretch.from.0).signum();
    let falls = match run.path {
        Path::Level { slope: Some(Slope::WithFlow), .. } => along,
        Path::Level { slope: Some(Slope::AgainstFlow), .. } => -along,
        _ => return,
    };
    let reach = (length - 28.0).min(60.0);
    if reach < 14.0 {
        return;
    }
    let (x, y): At = stretch.middle();
    let high = x - falls * reach / 2.0;
    let low = x + falls * reach / 2.0;
    let y = y + 10.0;
    canvas.path(
        class::THIN,
        &format!("M{} {}V{}L{} {}z", number(high), number(y), number(y + 6.0), number(low), number(y + 6.0)),
    );
    canvas.take(Rect::round((high, y), (low, y + 6.0), 4.0));
}
