//! The pieces that a line is put together from, in order of flow: its runs, and the drop legs before a liquid line.

use crate::job::{Circuit, Code, Line, Part, Path, Run};
use crate::refdata::{Fitting, Material, Tube, fitting, tubes};

/// What a piece is.
#[derive(Clone, Copy, Debug)]
pub(super) enum What<'a> {
    /// Level tube, m.
    Level(f64),
    /// Upright tube, m.
    Upright(f64),
    Part(&'a Part),
}

/// A run, or the level or upright part of the drop legs.
#[derive(Clone, Debug)]
pub(super) struct Piece<'a> {
    pub what: What<'a>,
    pub tubes: Vec<&'a Tube>,
    /// Fittings drawn, of each tube.
    pub fittings: Vec<(&'static Fitting, u64)>,
    /// Traps of each tube: (`trap`s, `loop`s).
    pub traps: (u64, u64),
    /// Thickness of insulation, m.
    pub insulation_m: f64,
}

impl<'a> Piece<'a> {
    fn of_run(run: &'a Run) -> Self {
        let what = match &run.path {
            Path::Level { length, .. } => What::Level(length.value),
            Path::Rise { length, .. } | Path::Drop { length } => What::Upright(length.value),
            Path::Part(part) => What::Part(part),
        };
        let traps = match &run.path {
            Path::Rise { traps, .. } => (u64::from(traps.foot) + traps.between.len() as u64, u64::from(traps.top)),
            Path::Level { .. } | Path::Drop { .. } | Path::Part(_) => (0, 0),
        };
        Self {
            what,
            tubes: run.tubes.iter().collect(),
            fittings: known(&run.fittings),
            traps,
            insulation_m: run.insulation.value,
        }
    }

    /// Length of each tube, m.
    pub fn length(&self) -> f64 {
        match self.what {
            What::Level(length) | What::Upright(length) => length,
            What::Part(_) => 0.0,
        }
    }

    /// Its largest tube.
    pub fn largest(&self) -> Option<&'a Tube> {
        self.tubes.last().copied()
    }

    /// Whether its tubes go on in another's without a joint to tell where.
    pub fn goes_on_in(&self, next: &Piece) -> bool {
        let lays = |piece: &Piece| !matches!(piece.what, What::Part(_));
        lays(self)
            && lays(next)
            && self.tubes.len() == next.tubes.len()
            && self.tubes.iter().zip(&next.tubes).all(|(a, b)| a.name == b.name)
    }
}

/// The fittings that the reference data knows, which are all that a job can hold.
fn known(fittings: &[(String, u32)]) -> Vec<(&'static Fitting, u64)> {
    fittings.iter().filter_map(|(name, count)| Some((fitting(name)?, u64::from(*count)))).collect()
}

/// One tube of no less section than these, of the kind of the largest: of tube of the job's own one that the line has, else one of the
/// tables; the largest of these where no table has so wide a tube.
fn header<'a>(code: Code, line: &'a Line, of: &[&'a Tube]) -> Option<&'a Tube> {
    let largest = *of.last()?;
    let area = |tube: &Tube| tube.bore().value.powi(2);
    let needed: f64 = of.iter().map(|tube| area(tube)).sum();
    let kind = match (largest.kind.as_str(), largest.material) {
        ("", Material::Copper) => code.copper().first()?,
        ("", Material::Steel) => "Sch40",
        (kind, _) => kind,
    };
    let wide = |tube: &&Tube| area(tube) >= needed * 0.999;
    let own =
        line.runs.iter().flat_map(|run| &run.tubes).filter(|tube| tube.kind.is_empty() && largest.kind.is_empty());
    let listed = tubes().iter().filter(|tube| tube.kind == kind);
    let narrowest = |a: &&Tube, b: &&Tube| area(a).total_cmp(&area(b));
    own.filter(wide).min_by(narrowest).or_else(|| listed.filter(wide).min_by(narrowest)).or(Some(largest))
}

/// The header of a line that ends in parallel tubes, but for one at as many coils.
fn end<'a>(code: Code, line: &'a Line, piece: Option<&Piece<'a>>, coils: u32) -> Option<&'a Tube> {
    let tubes = piece.map(|piece| &piece.tubes).filter(|tubes| tubes.len() > 1)?;
    header(code, line, tubes).filter(|_| u32::try_from(tubes.len()) != Ok(coils))
}

/// A line's pieces: a part between parallel tubes stands in their header, and where the line begins or ends in parallel tubes a
/// header of no length stands before or behind them. At an end at a condenser of as many coils each tube has its own.
fn of_line(code: Code, line: &Line, coils: [u32; 2]) -> Vec<Piece<'_>> {
    let mut pieces: Vec<Piece> = line.runs.iter().map(Piece::of_run).collect();
    let is_part = |piece: &Piece| matches!(piece.what, What::Part(_));
    let beside: Vec<Option<&Tube>> = (0..pieces.len())
        .map(|at| {
            let before = pieces.iter().take(at).rev().find(|piece| !is_part(piece))?;
            let after = pieces.iter().skip(at).find(|piece| !is_part(piece)).unwrap_or(before);
            let parallel = before.tubes.len() > 1 && after.tubes.len() > 1;
            if parallel { header(code, line, &after.tubes) } else { None }
        })
        .collect();
    for (piece, tube) in pieces.iter_mut().zip(beside).filter(|(piece, _)| is_part(piece)) {
        if let Some(tube) = tube {
            piece.tubes = vec![tube];
        }
    }
    let piece = |tube| Piece {
        what: What::Level(0.0),
        tubes: vec![tube],
        fittings: Vec::new(),
        traps: (0, 0),
        insulation_m: 0.0,
    };
    if let Some(tube) = end(code, line, pieces.last(), coils[1]) {
        pieces.push(piece(tube));
    }
    if let Some(tube) = end(code, line, pieces.first(), coils[0]) {
        pieces.insert(0, piece(tube));
    }
    pieces
}

/// The drop legs of a condenser as parallel tubes, where they are drawn.
fn of_legs(circuit: &Circuit) -> Vec<Piece<'_>> {
    let Some(legs) = &circuit.condenser.legs else { return Vec::new() };
    let leg = |what, fittings| Piece {
        what,
        tubes: (0..circuit.condenser.coils.max(1)).map(|_| &legs.tube).collect(),
        fittings,
        traps: (0, 0),
        insulation_m: 0.0,
    };
    let mut pieces = vec![leg(What::Upright(legs.height.value), known(&legs.fittings))];
    if legs.level.value > 0.0 {
        pieces.push(leg(What::Level(legs.level.value), Vec::new()));
    }
    pieces
}

/// How many pieces stand before the first run of each line.
pub(super) fn before_runs(code: Code, circuit: &Circuit) -> [usize; 2] {
    let header = |line: &Line, coils: u32| {
        let first = line.runs.first().map(Piece::of_run);
        usize::from(end(code, line, first.as_ref(), coils).is_some())
    };
    [header(&circuit.discharge, 1), of_legs(circuit).len() + header(&circuit.liquid, circuit.condenser.coils)]
}

/// Both lines of a circuit, the drop legs before the liquid line.
pub(super) fn of_circuit(code: Code, circuit: &Circuit) -> [Vec<Piece<'_>>; 2] {
    let mut liquid = of_legs(circuit);
    let coils = circuit.condenser.coils;
    liquid.extend(of_line(code, &circuit.liquid, [coils, 1]));
    [of_line(code, &circuit.discharge, [1, coils]), liquid]
}
