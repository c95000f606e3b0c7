//! A route unrolled from left to right, in as many strips as it takes: for what makes no loop.

use super::fold::datums;
use super::layout::{Kind, Layout, Machine, MachineKind, Pen, Room, Stretch, fill, level_m, range, scale};
use super::words::climb;
use crate::job::{Circuit, Line, LineId};

/// Above the highest point of a strip, above the line of a condenser and of a chiller, and below the lowest point: room for
/// machines and for words.
const ABOVE: f64 = 56.0;
const ABOVE_CONDENSER: f64 = 96.0;
const ABOVE_CHILLER: f64 = 66.0;
const BELOW: f64 = 50.0;
/// Where a line goes on in another strip.
const JOIN: f64 = 40.0;
/// The piece of line with which it begins there.
const LEAD: f64 = 12.0;

/// What stands in a strip, in order of flow.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Item {
    Machine(MachineKind),
    Run(LineId, usize),
}

/// The route in strips.
#[must_use]
pub fn layout(circuit: &Circuit, room: &Room) -> Layout {
    let (low, high) = range(circuit);
    let per_metre = room.per_metre(high - low);
    let most = room.right - room.left;
    let taken = |item: &Item| extra(circuit, room, *item);
    let runs = |id: LineId| (0..id.of(circuit).runs.len()).map(move |index| Item::Run(id, index));
    let machine = |kind| std::iter::once(Item::Machine(kind));
    let out: Vec<Item> =
        machine(MachineKind::Chiller).chain(runs(LineId::Discharge)).chain(machine(MachineKind::Condenser)).collect();
    let back: Vec<Item> = runs(LineId::Liquid).chain(machine(MachineKind::End)).collect();
    let needs = |items: &[Item]| items.iter().map(|item| taken(item) + least(circuit, room, *item)).sum::<f64>();
    let strips: Vec<Vec<Item>> = if needs(&out) + needs(&back) <= most {
        vec![out.into_iter().chain(back).collect()]
    } else {
        // The liquid line begins at the condenser again.
        let back = machine(MachineKind::Condenser).chain(back).collect();
        [out, back].into_iter().flat_map(|items| cut(&items, most, &needs)).collect()
    };
    let rows: Vec<(Vec<f64>, f64)> = strips
        .iter()
        .map(|items| {
            let lengths = items.iter().filter_map(|item| length(circuit, *item)).collect();
            (lengths, most - 2.0 * JOIN - items.iter().map(taken).sum::<f64>())
        })
        .collect();
    let (by, whole) = scale(&rows, room.level);
    let mut layout = Layout { scale: whole.then_some(by), ..Layout::default() };
    let mut height = 0.0;
    let mut top = room.top - ABOVE_CONDENSER + 16.0;
    let mut letter = b'A';
    let mut continues = false;
    for (items, (lengths, left)) in strips.iter().zip(&rows) {
        let (floor, roof, above) = reach(circuit, items, height, per_metre);
        let zero = top + above + roof * per_metre;
        let mut pen = Pen { at: (room.left, zero - height * per_metre), per_metre };
        let begun = layout.stretches.len();
        if continues {
            pen.at.0 += JOIN - LEAD;
            if let Some((_, _, back)) = layout.joins.last_mut() {
                *back = pen.at;
            }
            let Some(last) = layout.stretches.last().copied() else { break };
            let lead = Stretch { from: pen.at, to: (pen.at.0 + LEAD, pen.at.1), kind: Kind::Link, ..last };
            layout.stretches.push(lead);
            pen.at = lead.to;
        }
        let mut lengths = fill(lengths, by, *left).into_iter();
        for item in items {
            match *item {
                Item::Machine(kind) => {
                    let width = width(room, kind);
                    layout.machines.push(Machine::new(kind, pen.at, width));
                    pen.at.0 += width;
                }
                Item::Run(id, index) => {
                    let level = length(circuit, *item).and_then(|_| lengths.next()).unwrap_or_default();
                    layout.stretches.extend(pen.draw((id, id.of(circuit)), index, (1.0, 1.0), level));
                    height += id.of(circuit).runs.get(index).map_or(0.0, |run| run.path.rise_m());
                }
            }
        }
        continues = !matches!(items.last(), Some(Item::Machine(_)));
        if continues {
            layout.joins.push((char::from(letter), pen.at, pen.at));
            letter = letter.saturating_add(1).min(b'Z');
        }
        let of_strip = layout.stretches.get(begun..).unwrap_or(&[]);
        layout.datums.extend(datums(of_strip, zero, per_metre));
        top = zero - floor * per_metre + BELOW;
    }
    layout
}

/// Items in strips: as many in each as fit with the least that they take.
fn cut(items: &[Item], most: f64, needs: &dyn Fn(&[Item]) -> f64) -> Vec<Vec<Item>> {
    let mut strips: Vec<Vec<Item>> = vec![Vec::new()];
    for item in items {
        let full = strips.last().is_some_and(|strip| {
            !strip.is_empty() && needs(strip) + needs(std::slice::from_ref(item)) > most - 2.0 * JOIN
        });
        if full {
            strips.push(Vec::new());
        }
        if let Some(strip) = strips.last_mut() {
            strip.push(*item);
        }
    }
    strips
}

fn width(room: &Room, kind: MachineKind) -> f64 {
    match kind {
        MachineKind::Condenser => room.condenser,
        MachineKind::Chiller | MachineKind::End => room.chiller,
    }
}

fn length(circuit: &Circuit, item: Item) -> Option<f64> {
    match item {
        Item::Machine(_) => None,
        Item::Run(id, index) => id.of(circuit).runs.get(index).and_then(level_m),
    }
}

/// What an item takes beside the length of a level run.
fn extra(circuit: &Circuit, room: &Room, item: Item) -> f64 {
    match item {
        Item::Machine(kind) => width(room, kind),
        Item::Run(id, index) => {
            let line: &Line = id.of(circuit);
            let mut pen = Pen { at: (0.0, 0.0), per_metre: 1.0 };
            let drawn = pen.draw((id, line), index, (1.0, 1.0), (0.0, false));
            drawn.iter().filter(|s| !matches!(s.kind, Kind::Level { .. })).map(|s| s.to.0 - s.from.0).sum()
        }
    }
}

/// The least that a level run takes.
fn least(circuit: &Circuit, room: &Room, item: Item) -> f64 {
    length(circuit, item).map_or(0.0, |_| room.level)
}

/// Lowest and highest point of a strip that begins at a height, m, and what stands above the highest.
fn reach(circuit: &Circuit, items: &[Item], from: f64, per_metre: f64) -> (f64, f64, f64) {
    let (mut low, mut high, mut height) = (from, from, from);
    let mut tops: Vec<(f64, f64)> = Vec::new();
    for item in items {
        match item {
            Item::Machine(MachineKind::Condenser) => tops.push((height, ABOVE_CONDENSER)),
            Item::Machine(_) => tops.push((height, ABOVE_CHILLER)),
            Item::Run(id, index) => {
                height += id.of(circuit).runs.get(*index).map_or(0.0, |run| run.path.rise_m());
                (low, high) = (low.min(height), high.max(height));
            }
        }
    }
    let above = tops.into_iter().map(|(at, box_of)| box_of - (high - at) * per_metre).fold(ABOVE, f64::max);
    (low, high, above)
}

/// Whether the liquid line ends at the height of the chiller's connections, to a few inches.
#[must_use]
pub fn ends_level(circuit: &Circuit) -> bool {
    (climb(&circuit.discharge) + climb(&circuit.liquid)).abs() < 0.05
}
