//! What drains and vents the condenser: drop legs of parallel coils, and the vent of a receiver.

use super::layout::{Layout, MachineKind};
use super::words;
use crate::draw::block::Block;
use crate::draw::canvas::{Canvas, number};
use crate::draw::plane::Rect;
use crate::draw::style::{Type, class};
use crate::draw::symbols;
use crate::job::{Circuit, Job, LineId};

/// Legs that are drawn at most; words tell how many there are.
const DRAWN: u32 = 3;
/// Between two of them.
const APART: f64 = 6.5;
/// Length of the piece of a vent that is drawn.
const VENT: f64 = 22.0;

/// The drop legs where the liquid line begins, from the outlets of the coils down to it, their height to scale.
pub fn legs(canvas: &mut Canvas, job: &Job, circuit: &Circuit, layout: &Layout) {
    let condenser = &circuit.condenser;
    let Some(legs) = condenser.legs.as_ref().filter(|_| condenser.coils > 1) else { return };
    let Some(first) = layout.stretches.iter().find(|stretch| stretch.line == LineId::Liquid) else { return };
    let Some(machine) = layout.machines.iter().find(|machine| machine.kind == MachineKind::Condenser) else { return };
    let (x, y) = first.from;
    let out = if x > machine.rect.middle().0 { 1.0 } else { -1.0 };
    let edge = if out > 0.0 { machine.rect.right() } else { machine.rect.x };
    let tall = legs.height.value * per_metre(layout);
    let drawn = condenser.coils.min(DRAWN);
    let last = edge + out * APART * f64::from(drawn);
    let d = (1..=drawn).fold(format!("M{} {}H{}", number(edge), number(y - tall), number(last)), |d, leg| {
        let at = number(edge + out * APART * f64::from(leg));
        format!("{d}M{at} {}V{}", number(y - tall), number(y))
    });
    canvas.raw(format_args!("<path class=\"{}\" data-legs=\"{}\" d=\"{d}\"/>", class::CURVE_LIQUID, condenser.coils));
    let covers = Rect::round((edge, y - tall), (last, y), 2.0);
    canvas.take(covers);
    let told = format!("{} drop legs {}", condenser.coils, job.units.length(legs.height.value));
    let block = Block::new(vec![(told, Type::Plain), (words::size(std::slice::from_ref(&legs.tube)), Type::Soft)]);
    let (w, h) = (block.width(), block.height());
    let beside = |away: f64| if out > 0.0 { last + away } else { last - away - w };
    let spots = [-h - 4.0, -4.0 - h / 2.0, 8.0]
        .into_iter()
        .flat_map(|above| [8.0, 20.0].map(|away| ((beside(away), (y - tall).min(y - 8.0) + above), out < 0.0)));
    let places = [edge - w / 2.0, machine.rect.middle().0 - w / 2.0, if out > 0.0 { machine.rect.x } else { edge - w }];
    let over = [8.0, 26.0, 44.0].into_iter().flat_map(|up| places.map(|x| ((x, machine.rect.y - h - up), false)));
    block.put(canvas, &spots.chain(over).collect::<Vec<_>>());
}

/// Units of the drawing per metre of height, as its datums have it.
fn per_metre(layout: &Layout) -> f64 {
    const USUAL: f64 = 52.5;
    let by_height = |a: &&super::layout::Datum, b: &&super::layout::Datum| a.height.total_cmp(&b.height);
    let [low, high] = [layout.datums.iter().min_by(by_height), layout.datums.iter().max_by(by_height)];
    low.zip(high)
        .filter(|(low, high)| high.height - low.height > 0.01)
        .map_or(USUAL, |(low, high)| (low.y - high.y) / (high.height - low.height))
}

/// The beginning of a receiver's vent to the condenser's inlet: up from a vessel in the line, along from one that hangs under it,
/// so that it crosses no line.
pub fn vent(canvas: &mut Canvas, vessel: Rect, up: bool) {
    let from = if up { (vessel.right() - 10.0, vessel.y) } else { (vessel.right(), vessel.middle().1) };
    let (to, turn) = if up { ((from.0, from.1 - VENT), -90.0) } else { ((from.0 + VENT, from.1), 0.0) };
    let [x, y] = [from.0, from.1].map(number);
    let along = if up { format!("v-{VENT}") } else { format!("h{VENT}") };
    canvas.raw(format_args!("<path class=\"{}\" data-vent=\"\" d=\"M{x} {y}{along}\"/>", class::CURVE_GAS));
    canvas.turned(class::GAS_FILL, symbols::GAS_ARROW, to, turn);
    canvas.take(Rect::round(from, to, 5.0));
    let block = Block::new(vec![("vent to condenser inlet".to_owned(), Type::Soft)]);
    let (w, h) = (block.width(), block.height());
    let spots = [0.0, 14.0, -14.0, 28.0, -28.0, 42.0].into_iter().flat_map(|down| {
        let y = to.1 - h / 2.0 + down;
        [((to.0 + 9.0, y), false), ((to.0 - 9.0 - w, y), true), ((vessel.x - 6.0 - w, y), true)]
    });
    block.put(canvas, &spots.collect::<Vec<_>>());
}
