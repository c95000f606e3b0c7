//! Where each run of a route goes: heights to scale, lengths to a scale of their own.

use crate::draw::plane::{At, Rect};
use crate::job::{Circuit, Line, LineId, Path, Run};

/// Between the parallel tubes of a riser or a drop.
pub const ABREAST: f64 = 16.0;
/// Sideways step of a trap in a riser.
pub const TRAP_STEP: f64 = 22.0;
/// Between a climb and a fall without a level run between them.
const TURN: f64 = 32.0;
/// Before the chiller, for the expansion valve.
const VALVE: f64 = 30.0;

/// What a stretch of a line is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A level run.
    Level {
        /// Whether it is drawn shorter than its scale.
        broken: bool,
    },
    /// A riser or a drop.
    Vertical,
    /// A part.
    Part,
    /// No run: what joins two that would fall on one another.
    Link,
}

/// One run, or a link between two, on the drawing.
#[derive(Clone, Copy, Debug)]
pub struct Stretch {
    /// Its line.
    pub line: LineId,
    /// Its run, from 0.
    pub run: usize,
    /// What it is.
    pub kind: Kind,
    /// Where the flow enters.
    pub from: At,
    /// Where it leaves.
    pub to: At,
    /// To which side the flow came: -1 to the left, 1 to the right.
    pub came: f64,
    /// To which side it goes on.
    pub goes: f64,
}

impl Stretch {
    /// The box of its middle line, with a margin.
    #[must_use]
    pub fn covers(&self, margin: f64) -> Rect {
        Rect::round(self.from, self.to, margin)
    }

    /// Its middle.
    #[must_use]
    pub fn middle(&self) -> At {
        (f64::midpoint(self.from.0, self.to.0), f64::midpoint(self.from.1, self.to.1))
    }
}

/// How long a part is along the line.
#[must_use]
pub fn part_length(run: &Run) -> f64 {
    match &run.path {
        Path::Part(part) if part.receiver.is_some() => 60.0,
        Path::Part(_) => 34.0,
        _ => 0.0,
    }
}

/// Whether a run goes up or down.
#[must_use]
pub fn is_vertical(run: &Run) -> bool {
    run.path.rise_m() != 0.0
}

/// Traps between the ends of a riser, from its foot, m.
#[must_use]
pub fn traps_between(run: &Run) -> &[crate::units::Length] {
    match &run.path {
        Path::Rise { traps, .. } => &traps.between,
        _ => &[],
    }
}

/// How many tubes of a riser or a drop are drawn.
#[must_use]
pub fn abreast(run: &Run) -> usize {
    if is_vertical(run) { run.tubes.len().clamp(1, 4) } else { 1 }
}

/// Whether run `index` turns back on the one before it: up behind down, or down behind up.
fn turns_back(line: &Line, index: usize) -> bool {
    let before = index.checked_sub(1).and_then(|at| line.runs.get(at)).map_or(0.0, |run| run.path.rise_m());
    line.runs.get(index).is_some_and(|run| run.path.rise_m() * before < 0.0)
}

/// A piece of line between a part and the trap or the parallel tubes of what stands next to it.
fn lead(line: &Line, index: usize) -> f64 {
    let (Some(run), before) = (line.runs.get(index), index.checked_sub(1).and_then(|at| line.runs.get(at))) else {
        return 0.0;
    };
    let is_part = |run: &Run| matches!(run.path, Path::Part(_));
    let traps = |run: &Run| match &run.path {
        Path::Rise { traps, .. } => (traps.foot, traps.top),
        _ => (false, false),
    };
    match before {
        Some(before) if is_part(before) && is_vertical(run) => {
            #[expect(clippy::cast_precision_loss, reason = "at most four")]
            let abreast = (abreast(run) - 1) as f64 * ABREAST;
            let trap = if traps(run).0 { 14.0 } else { 0.0 };
            (abreast + trap).max(if abreast > 0.0 { abreast + 8.0 } else { 0.0 })
        }
        Some(before) if is_part(run) && traps(before).1 => 14.0,
        _ => 0.0,
    }
}

/// How far traps in a riser shift it sideways: they step to and fro.
fn shift(run: &Run) -> f64 {
    if traps_between(run).len() % 2 == 1 { TRAP_STEP } else { 0.0 }
}

/// A pen that draws the runs of a line one after another.
#[derive(Clone, Copy, Debug)]
pub struct Pen {
    /// Where it is.
    pub at: At,
    /// Units of the drawing per metre of height.
    pub per_metre: f64,
}

impl Pen {
    /// Draws a run for a flow that came along one side and goes on along another, a level run so long; what it takes.
    pub fn draw(
        &mut self,
        line: (LineId, &Line),
        index: usize,
        (came, goes): (f64, f64),
        level: (f64, bool),
    ) -> Vec<Stretch> {
        let (id, line) = line;
        let Some(run) = line.runs.get(index) else { return Vec::new() };
        let mut stretches = Vec::new();
        let mut step = |pen: &mut Self, kind: Kind, dx: f64, dy: f64| {
            let to = (pen.at.0 + dx, pen.at.1 + dy);
            stretches.push(Stretch { line: id, run: index, kind, from: pen.at, to, came, goes });
            pen.at = to;
        };
        let down = -run.path.rise_m() * self.per_metre;
        if turns_back(line, index) || (index == 0 && is_vertical(run)) {
            step(self, Kind::Link, came * TURN, 0.0);
        }
        let lead = lead(line, index);
        if lead > 0.0 {
            step(self, Kind::Link, came * lead, 0.0);
        }
        match &run.path {
            Path::Level { .. } => step(self, Kind::Level { broken: level.1 }, goes * level.0, 0.0),
            Path::Part(_) => step(self, Kind::Part, goes * part_length(run), 0.0),
            Path::Rise { .. } | Path::Drop { .. } => {
                step(self, Kind::Vertical, shift(run) * goes, down);
            }
        }
        // The expansion valve stands before the chiller.
        match id {
            _ if index + 1 < line.runs.len() => {}
            LineId::Liquid => step(self, Kind::Link, goes * VALVE, 0.0),
            LineId::Discharge if is_vertical(run) => step(self, Kind::Link, goes * TURN, 0.0),
            LineId::Discharge => {}
        }
        stretches
    }
}

/// A chiller on the drawing.
#[derive(Clone, Copy, Debug)]
pub struct Machine {
    /// Which.
    pub kind: MachineKind,
    /// Its box.
    pub rect: Rect,
}

/// Which chiller.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MachineKind {
    /// The chiller, where the discharge line begins, and where the liquid line ends too unless there is another end.
    Chiller,
    /// The condenser.
    Condenser,
    /// Where the liquid line ends, drawn by itself.
    End,
}

impl Machine {
    /// A chiller whose line is at that height, from its left edge.
    #[must_use]
    pub fn new(kind: MachineKind, (x, y): At, width: f64) -> Self {
        let rect = match kind {
            MachineKind::Condenser => Rect::new(x, y - 60.0, width, 70.0),
            MachineKind::Chiller | MachineKind::End => Rect::new(x, y - 56.0, width, 76.0),
        };
        Self { kind, rect }
    }
}

/// A height that is told at the margin.
#[derive(Clone, Copy, Debug)]
pub struct Datum {
    /// Where it is.
    pub y: f64,
    /// Over the chiller's connections, m.
    pub height: f64,
}

/// Where everything of a route goes.
#[derive(Clone, Debug, Default)]
pub struct Layout {
    /// The runs in order of flow.
    pub stretches: Vec<Stretch>,
    /// The chillers.
    pub machines: Vec<Machine>,
    /// Heights at the margin.
    pub datums: Vec<Datum>,
    /// Where a line goes on in the next strip: the letter, where it leaves, where it comes back.
    pub joins: Vec<(char, At, At)>,
    /// Units of the drawing per metre along, where no run is broken.
    pub scale: Option<f64>,
}

/// The room of a drawing and the minimum that its parts take.
#[derive(Clone, Copy, Debug)]
pub struct Room {
    /// Left end of the lines.
    pub left: f64,
    /// Right end.
    pub right: f64,
    /// The highest point may be there.
    pub top: f64,
    /// Width of the chiller.
    pub chiller: f64,
    /// Width of the condenser.
    pub condenser: f64,
    /// A level run is no shorter.
    pub level: f64,
    /// The heights of a route take no more.
    pub tall: f64,
}

impl Room {
    /// Units of the drawing per metre of height for a route of such a range: 16 a foot, more where that is low, less where it is high.
    #[must_use]
    pub fn per_metre(&self, range_m: f64) -> f64 {
        const USUAL: f64 = 52.5;
        if range_m <= 0.0 { USUAL } else { (range_m * USUAL).clamp(150.0_f64.min(self.tall), self.tall) / range_m }
    }
}

/// Lowest and highest point of both lines, m over the chiller's connections.
#[must_use]
pub fn range(circuit: &Circuit) -> (f64, f64) {
    let runs = circuit.discharge.runs.iter().chain(&circuit.liquid.runs);
    let mut height = 0.0;
    runs.fold((0.0_f64, 0.0_f64), |(low, high), run| {
        height += run.path.rise_m();
        (low.min(height), high.max(height))
    })
}

/// Length of a level run, m; nothing for another.
#[must_use]
pub fn level_m(run: &Run) -> Option<f64> {
    match &run.path {
        Path::Level { length, .. } => Some(length.value),
        _ => None,
    }
}

/// The scale of lengths with which rows fit, each of lengths (m) in a room: all to scale and none shorter than the minimum, or
/// one with which the long ones are broken.
#[must_use]
pub fn scale(rows: &[(Vec<f64>, f64)], minimum: f64) -> (f64, bool) {
    const LARGEST: f64 = 130.0;
    let fits = rows.iter().map(|(lengths, room)| room / lengths.iter().sum::<f64>().max(1e-9)).fold(LARGEST, f64::min);
    let shortest = rows.iter().flat_map(|(lengths, _)| lengths).copied().fold(f64::INFINITY, f64::min);
    let needed = if shortest.is_finite() { minimum / shortest.max(1e-9) } else { 0.0 };
    (fits.max(needed), needed <= fits)
}

/// The lengths of level runs on the drawing, in a row of given room, and whether each is cut: all to the scale, but none longer
/// than a cap, which is the largest with which they fit.
#[must_use]
pub fn fill(lengths: &[f64], scale: f64, room: f64) -> Vec<(f64, bool)> {
    let natural: Vec<f64> = lengths.iter().map(|length| length * scale).collect();
    if natural.iter().sum::<f64>() <= room + 1e-6 {
        return natural.into_iter().map(|length| (length, false)).collect();
    }
    let mut rising = natural.clone();
    rising.sort_by(f64::total_cmp);
    let mut left = room;
    let mut cap = 0.0;
    for (done, length) in rising.iter().enumerate() {
        #[expect(clippy::cast_precision_loss, reason = "a handful")]
        let share = left / (rising.len() - done) as f64;
        cap = share;
        if *length > share {
            break;
        }
        left -= length;
    }
    natural.into_iter().map(|length| (length.min(cap), length > cap + 1e-6)).collect()
}

#[cfg(test)]
mod tests {
    use super::fill;

    #[test]
    fn what_fits_is_to_scale_and_what_does_not_is_cut_to_one_length() {
        assert_eq!(fill(&[1.0, 2.0], 10.0, 30.0), [(10.0, false), (20.0, false)]);
        assert_eq!(fill(&[1.0, 9.0, 5.0], 10.0, 70.0), [(10.0, false), (30.0, true), (30.0, true)]);
    }
}
