//! The count: every piece of every circuit into tallies by size.

use super::junction::{is_tee, junctions, junctions_of};
use super::piece::{Piece, What, before_runs, of_circuit};
use crate::job::{Circuit, Code, Job, Part, ReceiverStyle, Resistance};
use crate::physics::tube_metal::inside_volume;
use crate::refdata::{Material, Tube, fitting, practice, support_spacing, tubes};
use crate::units::metres;
use std::collections::BTreeMap;

/// Room for the rounding of a length that is a whole number of others.
const ROUNDING: f64 = 1e-9;

/// Where a size of tube stands in the lists: copper by kind and size, the job's own, steel.
type SizeIndex = usize;

/// What is known of a size of tube.
#[derive(Debug)]
pub(super) struct Size<'a> {
    pub tube: &'a Tube,
    /// Length drawn, m.
    pub drawn_m: f64,
    /// Hangers of level and of upright tube.
    pub hangers: (u64, u64),
    pub traps: (u64, u64),
    pub joints: Joints,
}

#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Joints {
    pub fittings: u64,
    pub lengths: u64,
    pub parts: u64,
    pub ends: u64,
}

impl Joints {
    pub fn count(self) -> u64 {
        self.fittings + self.lengths + self.parts + self.ends
    }
}

/// Fittings of a kind and size: drawn, of traps, added.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Fittings {
    pub drawn: u64,
    pub of_traps: u64,
    pub added: u64,
}

/// What tells parts of one kind and size apart: flow coefficient, style and volume of a receiver.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Detail {
    /// Kv, m3/h at 1 bar.
    pub kv: Option<f64>,
    /// `through` or `surge`.
    pub style: Option<&'static str>,
    /// Internal volume, m3.
    pub volume_m3: Option<f64>,
    /// Heat that a mechanical subcooler takes, W, and the liquid temperature that it holds, K.
    pub cools: Option<[f64; 2]>,
}

/// The tallies.
#[derive(Debug, Default)]
pub(super) struct Totals<'a> {
    /// Whose codes govern: by them supports stand and tube is sold.
    pub code: Code,
    /// Sizes of tube, in the order of the lists.
    pub sizes: Vec<Size<'a>>,
    /// Fittings by kind (its rank and name), larger size, and smaller size where it has two.
    pub fittings: BTreeMap<(usize, String, SizeIndex, Option<SizeIndex>), Fittings>,
    /// Parts in the order in which their kinds are first met: kind, size, detail, count.
    pub parts: Vec<(&'a str, SizeIndex, Detail, u64)>,
    /// Insulation by size and thickness (as bits, which rise with it): length, m.
    pub insulation: BTreeMap<(SizeIndex, u64), f64>,
    /// Volume inside the tube of each circuit, its copies together, m3.
    pub inside: Vec<f64>,
}

/// The straight length in which a tube is sold, m.
pub(super) fn straight_length(code: Code, material: Material) -> f64 {
    let key = match (code, material) {
        (Code::Us, Material::Copper) => "straight_length_copper",
        (Code::Us, Material::Steel) => "straight_length_steel",
        (Code::Eu, Material::Copper) => "straight_length_copper_eu",
        (Code::Eu, Material::Steel) => "straight_length_steel_eu",
    };
    practice(key).map_or(f64::INFINITY, |practice| practice.value)
}

/// How many lengths of `each` it takes to make `length`, the last one begun counted whole.
pub(super) fn begun(length: f64, each: f64) -> u64 {
    let lengths = (length / each - ROUNDING).ceil().max(0.0);
    // Lengths of a job are bounded; the count of what is not would stop at the largest number.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not negative; saturates")]
    let count = lengths as u64;
    count
}

/// The rank of a kind of fitting in the lists.
fn rank(kind: &str) -> usize {
    crate::refdata::fittings().iter().position(|f| f.bought_as == kind).unwrap_or(usize::MAX)
}

impl<'a> Totals<'a> {
    /// Counts a job.
    pub fn of(job: &'a Job) -> Self {
        let circuits: Vec<(u32, [Vec<Piece<'a>>; 2])> =
            job.circuits.iter().map(|circuit| (circuit.copies, of_circuit(job.site.code, circuit))).collect();
        let mut tally = Self { code: job.site.code, ..Self::default() };
        let pieces = circuits.iter().flat_map(|(_, lines)| lines.iter().flatten());
        tally.list_sizes(pieces.flat_map(|piece| piece.tubes.iter().copied()));
        for (copies, lines) in &circuits {
            tally.inside.push(0.0);
            for line in lines {
                tally.add(*copies, line);
            }
        }
        tally
    }

    fn list_sizes(&mut self, used: impl Iterator<Item = &'a Tube>) {
        let mut distinct: Vec<&Tube> = used.collect();
        let known = |tube: &Tube| tubes().iter().position(|t| t.name == tube.name).unwrap_or(usize::MAX);
        distinct.sort_by(|a, b| {
            let key = |tube: &Tube| (tube.material == Material::Steel, known(tube));
            key(a)
                .cmp(&key(b))
                .then(a.outside.value.total_cmp(&b.outside.value))
                .then(a.wall.value.total_cmp(&b.wall.value))
                .then(a.name.cmp(&b.name))
        });
        distinct.dedup_by(|a, b| a.name == b.name);
        let size = |tube| Size { tube, drawn_m: 0.0, hangers: (0, 0), traps: (0, 0), joints: Joints::default() };
        self.sizes = distinct.into_iter().map(size).collect();
    }

    fn place(&self, tube: &Tube) -> SizeIndex {
        self.sizes.iter().position(|size| size.tube.name == tube.name).unwrap_or_default()
    }

    fn joints(&mut self, tube: &Tube) -> &mut Joints {
        let place = self.place(tube);
        &mut self.sizes[place].joints
    }

    fn fitting(&mut self, kind: &str, tube: &Tube, other: Option<&Tube>) -> &mut Fittings {
        let key = (rank(kind), kind.to_owned(), self.place(tube), other.map(|tube| self.place(tube)));
        self.fittings.entry(key).or_default()
    }

    /// Adds a line so many times.
    fn add(&mut self, times: u32, line: &[Piece<'a>]) {
        let copies = u64::from(times);
        for piece in line {
            match piece.what {
                What::Level(length) | What::Upright(length) => self.add_tube(times, piece, length),
                What::Part(part) => self.add_part(copies, piece, part),
            }
            self.add_fittings(copies, piece);
        }
        self.add_junctions(copies, line);
        self.add_couplings(copies, line);
        for tube in line.first().into_iter().chain(line.last()).flat_map(|piece| &piece.tubes) {
            self.joints(tube).ends += copies;
        }
    }

    /// Joints of a line piece by piece in order of flow: what each adds to those before it. They sum to those of the line.
    fn by_piece(code: Code, line: &[Piece<'a>]) -> Vec<u64> {
        let joints = |pieces: &[Piece<'a>]| {
            let mut tally = Self { code, ..Self::default() };
            tally.list_sizes(line.iter().flat_map(|piece| piece.tubes.iter().copied()));
            tally.add(1, pieces);
            tally.sizes.iter().map(|size| size.joints.count()).sum::<u64>()
        };
        let so_far: Vec<u64> = (0..=line.len()).map(|end| joints(line.get(..end).unwrap_or(line))).collect();
        so_far.windows(2).map(|pair| pair.last().zip(pair.first()).map_or(0, |(b, a)| b.saturating_sub(*a))).collect()
    }

    fn add_tube(&mut self, times: u32, piece: &Piece<'a>, length: f64) {
        let (copies, many) = (u64::from(times), f64::from(times));
        for tube in &piece.tubes {
            let place = self.place(tube);
            let size = &mut self.sizes[place];
            size.drawn_m += many * length;
            if let Some(spacing) = support_spacing(self.code, tube) {
                match piece.what {
                    What::Level(_) => size.hangers.0 += copies * begun(length, spacing.level.value),
                    What::Upright(_) | What::Part(_) => size.hangers.1 += copies * begun(length, spacing.upright.value),
                }
            }
            if piece.insulation_m > 0.0 {
                *self.insulation.entry((place, piece.insulation_m.to_bits())).or_default() += many * length;
            }
            if let Some(inside) = self.inside.last_mut() {
                *inside += many * inside_volume(tube.outside, tube.wall, metres(length)).value;
            }
        }
    }

    fn add_part(&mut self, copies: u64, piece: &Piece<'a>, part: &'a Part) {
        let Some(tube) = piece.largest() else { return };
        let place = self.place(tube);
        let detail = Detail {
            kv: match part.resistance {
                Resistance::Kv(kv) => Some(kv),
                Resistance::Loss(_) | Resistance::EquivalentLength(_) => None,
            },
            style: part.receiver.map(|receiver| match receiver.style {
                ReceiverStyle::Through => "through",
                ReceiverStyle::Surge => "surge",
            }),
            volume_m3: part.receiver.and_then(|receiver| receiver.volume).map(|volume| volume.value),
            cools: part.subcooler.map(|subcooler| [subcooler.capacity.value, subcooler.leaving.kelvin()]),
        };
        self.joints(tube).parts += 2 * copies;
        match self.parts.iter_mut().find(|(kind, at, has, _)| *kind == part.name && *at == place && *has == detail) {
            Some((.., count)) => *count += copies,
            None => self.parts.push((&part.name, place, detail, copies)),
        }
    }

    fn add_fittings(&mut self, copies: u64, piece: &Piece<'a>) {
        for (fitting, count) in &piece.fittings {
            // Reducers wait for the meetings that they are drawn for.
            if fitting.name == "reducer" {
                continue;
            }
            let (pieces, joints) = (u64::from(fitting.pieces), u64::from(fitting.joints));
            let is_trap = pieces > 1;
            let mut put = |tube: &Tube, count: u64| {
                let fittings = self.fitting(&fitting.bought_as, tube, None);
                *(if is_trap { &mut fittings.of_traps } else { &mut fittings.drawn }) += count * pieces;
                self.joints(tube).fittings += count * pieces * joints;
                let place = self.place(tube);
                self.count_traps(place, &fitting.name, count);
            };
            if is_tee(&fitting.name) {
                if let Some(tube) = piece.largest() {
                    put(tube, copies * count * junctions_of(piece));
                }
            } else {
                piece.tubes.iter().for_each(|tube| put(tube, copies * count));
            }
        }
        for (name, count) in [("trap", piece.traps.0), ("loop", piece.traps.1)] {
            let Some(fitting) = fitting(name).filter(|_| count > 0) else { continue };
            let (pieces, joints) = (u64::from(fitting.pieces), u64::from(fitting.joints));
            for tube in &piece.tubes {
                self.fitting(&fitting.bought_as, tube, None).of_traps += copies * count * pieces;
                self.joints(tube).fittings += copies * count * pieces * joints;
                let place = self.place(tube);
                self.count_traps(place, name, copies * count);
            }
        }
    }

    fn count_traps(&mut self, place: SizeIndex, name: &str, count: u64) {
        match name {
            "trap" => self.sizes[place].traps.0 += count,
            "loop" => self.sizes[place].traps.1 += count,
            _ => {}
        }
    }

    fn add_junctions(&mut self, copies: u64, line: &[Piece<'a>]) {
        let found = junctions(line);
        for change in &found.changes {
            let fittings = self.fitting(change.kind(), change.large, Some(change.small));
            *(if change.drawn { &mut fittings.drawn } else { &mut fittings.added }) += copies;
            for tube in [change.large, change.small] {
                let joints = self.joints(tube);
                *(if change.kind() == "coupling" { &mut joints.lengths } else { &mut joints.fittings }) += copies;
            }
        }
        for (tube, count) in &found.spare_reducers {
            self.fitting("reducer", tube, None).drawn += copies * count;
            self.joints(tube).fittings += 2 * copies * count;
        }
        for (tube, count) in &found.tees {
            self.fitting("tee", tube, None).added += copies * count;
            self.joints(tube).fittings += 3 * copies * count;
        }
    }

    /// Between changes of tube and parts: where the tube is longer than a straight length, one joint more for each
    /// further length begun; copper takes a coupling there.
    fn add_couplings(&mut self, copies: u64, line: &[Piece<'a>]) {
        for stretch in line.chunk_by(Piece::goes_on_in) {
            let length: f64 = stretch.iter().map(Piece::length).sum();
            for tube in stretch.first().into_iter().flat_map(|piece| &piece.tubes) {
                let more = copies * begun(length, straight_length(self.code, tube.material)).saturating_sub(1);
                match tube.material {
                    _ if more == 0 => {}
                    Material::Copper => {
                        self.fitting("coupling", tube, None).added += more;
                        self.joints(tube).lengths += 2 * more;
                    }
                    Material::Steel => self.joints(tube).lengths += more,
                }
            }
        }
    }
}

/// Joints of one circuit, run by run of its discharge and its liquid line, in order of flow. Those of drop legs and headers count with
/// the run next to them.
pub(super) fn joints_by_run(code: Code, circuit: &Circuit) -> [Vec<u64>; 2] {
    let [discharge, liquid] = of_circuit(code, circuit);
    let before = before_runs(code, circuit);
    let of = |line: &[Piece], before: usize, runs: usize| {
        let mut joints = vec![0; runs];
        for (piece, count) in Totals::by_piece(code, line).into_iter().enumerate() {
            let run = piece.saturating_sub(before).min(runs.saturating_sub(1));
            joints.get_mut(run).into_iter().for_each(|run| *run += count);
        }
        joints
    };
    [of(&discharge, before[0], circuit.discharge.runs.len()), of(&liquid, before[1], circuit.liquid.runs.len())]
}

/// What a circuit leaves undrawn that has to be bought all the same.
pub(super) fn undrawn(circuit: &Circuit) -> Vec<&'static str> {
    let mut what = Vec::new();
    if circuit.condenser.coils > 1 {
        what.push("how the discharge line parts to its coils");
        if circuit.condenser.legs.is_none() {
            what.push("the drop legs from its coils");
        }
    }
    let vented = |part: &Part| part.receiver.is_some_and(|receiver| receiver.vented);
    if circuit.liquid.runs.iter().any(|run| matches!(&run.path, crate::job::Path::Part(part) if vented(part))) {
        what.push("the receiver's vent line");
    }
    what
}
