//! Straight lengths of tube: how much each grows from the day it was brazed to its hottest, and what gives it room.

use super::answer::{LineAnswer, Point};
use crate::job::{Ambient, Circuit, Expansion, Job, Line, LineId, Path, Run};
use crate::physics::thermal_expansion::{
    COPPER, COPPER_BENDING, COPPER_MODULUS, STEEL, STEEL_BENDING, STEEL_MODULUS, growth, offset_leg,
};
use crate::refdata::{Material, Tube, support_spacing};
use crate::units::{kelvins, metres, pascals};
use schemars::JsonSchema;
use serde::Serialize;

/// Runs of a line that follow each other in one direction without a bend between them.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Straight {
    /// The line.
    pub line: LineId,
    /// Numbers of its runs.
    pub runs: Vec<usize>,
    /// `level`, `rise` or `fall`.
    pub path: &'static str,
    /// Its length.
    pub length_m: f64,
    /// Bends drawn in its runs: where they sit is not known, so it counts as straight over its whole length.
    pub bends: u32,
    /// Temperature at which it was installed.
    pub installed_K: f64,
    /// Its hottest, at whatever operating point.
    pub hottest_K: f64,
    /// What it grows by.
    pub growth_m: f64,
    /// What takes it up, where the job says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub expansion: Option<Expansion>,
    /// Length of an L, of a Z's middle or of a loop that takes the growth up, of its largest tube; with an anchor at its
    /// middle that of each end.
    pub leg_m: f64,
    /// The length at right angles to it before it in the line, 0 where there is none.
    pub before_m: f64,
    /// The same after it.
    pub after_m: f64,
    /// Greatest distance between supports as it runs, of its smallest tube.
    pub supports_m: f64,
    /// Source key of that distance.
    pub supports_source: &'static str,
}

impl Straight {
    /// What gives way of the lengths at right angles to it: the longer, with an anchor at its middle the shorter.
    #[must_use]
    pub fn room_m(&self) -> f64 {
        match self.expansion {
            Some(Expansion::Anchor) => self.before_m.min(self.after_m),
            _ => self.before_m.max(self.after_m),
        }
    }
}

/// The straight lengths of both lines; none where no operating point but the rating has a solution.
pub(super) fn straights(job: &Job, circuit: &Circuit, points: &[Point]) -> Vec<Straight> {
    let running: Vec<&Point> = points.iter().filter(|point| point.id.is_running()).collect();
    if running.is_empty() {
        return Vec::new();
    }
    let discharge: Vec<&LineAnswer> = running.iter().map(|point| &point.discharge_line).collect();
    let liquid: Vec<&LineAnswer> = running.iter().map(|point| &point.liquid_line).collect();
    let mut all = of(job, LineId::Discharge, &circuit.discharge, &discharge);
    all.extend(of(job, LineId::Liquid, &circuit.liquid, &liquid));
    all
}

/// Fittings that turn the tube by a right angle or back.
const BENDS: [&str; 5] = ["elbow", "long-elbow", "street-elbow", "return-bend", "tee-branch"];

fn bends(run: &Run) -> u32 {
    run.fittings
        .iter()
        .filter(|(name, _)| BENDS.contains(&name.as_str()))
        .fold(0, |sum, (_, count)| sum.saturating_add(*count))
}

fn direction(path: &Path) -> Option<&'static str> {
    match path {
        Path::Level { .. } => Some("level"),
        Path::Rise { .. } => Some("rise"),
        Path::Drop { .. } => Some("drop"),
        Path::Part(_) => None,
    }
}

/// One straight length being put together.
struct Piece<'a> {
    path: &'static str,
    runs: Vec<(usize, &'a Run)>,
}

impl Piece<'_> {
    fn length(&self) -> f64 {
        self.runs.iter().map(|(_, run)| run.path.length_m()).sum()
    }

    fn upright(&self) -> bool {
        self.path != "level"
    }

    fn bends(&self) -> u32 {
        self.runs.iter().fold(0, |sum, (_, run)| sum.saturating_add(bends(run)))
    }
}

fn of(job: &Job, name: LineId, line: &Line, answers: &[&LineAnswer]) -> Vec<Straight> {
    let mut pieces: Vec<Piece> = Vec::new();
    for (index, run) in line.runs.iter().enumerate() {
        let Some(path) = direction(&run.path) else { continue };
        match pieces.last_mut() {
            // A bend drawn in either run may stand between them.
            Some(piece) if piece.path == path && piece.bends() == 0 && bends(run) == 0 => piece.runs.push((index, run)),
            _ => pieces.push(Piece { path, runs: vec![(index, run)] }),
        }
    }
    let beside = |index: Option<usize>, of: &Piece| {
        index.and_then(|i| pieces.get(i)).filter(|other| other.upright() != of.upright()).map_or(0.0, Piece::length)
    };
    pieces
        .iter()
        .enumerate()
        .filter_map(|(i, piece)| {
            let (before, after) = (beside(i.checked_sub(1), piece), beside(Some(i + 1), piece));
            straight(job, name, piece, answers, [before, after])
        })
        .collect()
}

fn straight(
    job: &Job,
    name: LineId,
    piece: &Piece,
    answers: &[&LineAnswer],
    [before, after]: [f64; 2],
) -> Option<Straight> {
    let installed = job.site.installed.kelvin();
    let tubes = || piece.runs.iter().flat_map(|(_, run)| &run.tubes);
    let wide = |a: &&Tube, b: &&Tube| a.outside.value.total_cmp(&b.outside.value);
    let (largest, smallest) = (tubes().max_by(wide)?, tubes().min_by(wide)?);
    let mut grown = 0.0;
    let mut hottest = installed;
    for (index, run) in &piece.runs {
        let warmest = hottest_of(job, *index, run, answers);
        let coefficient = match run.tubes.first()?.material {
            Material::Copper => COPPER,
            Material::Steel => STEEL,
        };
        grown += growth(coefficient, metres(run.path.length_m()), kelvins((warmest - installed).max(0.0))).value;
        hottest = f64::max(hottest, warmest);
    }
    let (modulus, stress) = match largest.material {
        Material::Copper => (COPPER_MODULUS, COPPER_BENDING),
        Material::Steel => (STEEL_MODULUS, STEEL_BENDING),
    };
    let spacing = support_spacing(job.site.code, smallest)?;
    let expansion = piece.runs.iter().find_map(|(_, run)| run.expansion);
    let at_one_end = if expansion == Some(Expansion::Anchor) { grown / 2.0 } else { grown };
    Some(Straight {
        line: name,
        runs: piece.runs.iter().map(|(index, _)| index + 1).collect(),
        path: piece.path,
        length_m: piece.length(),
        bends: piece.bends(),
        installed_K: installed,
        hottest_K: hottest,
        growth_m: grown,
        expansion,
        leg_m: offset_leg(pascals(modulus), pascals(stress), largest.outside, metres(at_one_end)).value,
        before_m: before,
        after_m: after,
        supports_m: if piece.upright() { spacing.upright.value } else { spacing.level.value },
        supports_source: spacing.source,
    })
}

/// The hottest of a run: its refrigerant at any operating point, or the air round it on the design day with the plant off.
fn hottest_of(job: &Job, index: usize, run: &Run, answers: &[&LineAnswer]) -> f64 {
    let air = match run.ambient {
        Some(Ambient::Air(air)) => air.kelvin(),
        Some(Ambient::Outdoor(by)) => job.site.summer.kelvin() + by.value,
        None => f64::NEG_INFINITY,
    };
    answers.iter().filter_map(|line| line.runs.get(index)).map(|run| run.warmest_K).fold(air, f64::max)
}
