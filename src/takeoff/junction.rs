//! Where one piece of a line meets the next and the tube changes, or parallel tubes part or meet.

use super::piece::Piece;
use crate::refdata::Tube;

/// A fitting that joins two tubes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Change<'a> {
    /// The tube of larger outside diameter.
    pub large: &'a Tube,
    /// The other.
    pub small: &'a Tube,
    /// Whether a fitting drawn beside it is meant for it.
    pub drawn: bool,
}

impl Change<'_> {
    /// What it takes: a reducer, a coupling where the outside diameters are the same, or a transition from copper to
    /// steel.
    pub fn kind(&self) -> &'static str {
        if self.large.material != self.small.material {
            "transition"
        } else if same_outside(self.large, self.small) {
            "coupling"
        } else {
            "reducer"
        }
    }
}

/// Same outside diameter, to a hundredth of a millimetre.
fn same_outside(a: &Tube, b: &Tube) -> bool {
    (a.outside - b.outside).value.abs() < 1e-5
}

/// What the meetings of a line's pieces need.
#[derive(Debug, Default)]
pub(super) struct Junctions<'a> {
    pub changes: Vec<Change<'a>>,
    /// Tees beside those drawn: their tube and how many.
    pub tees: Vec<(&'a Tube, u64)>,
    /// Reducers drawn that no change of tube beside them needs: their tube and how many.
    pub spare_reducers: Vec<(&'a Tube, u64)>,
}

/// Reducers and tees that are drawn in a piece and not yet used at a meeting.
#[derive(Clone, Copy)]
struct Pool {
    reducers: u64,
    tees: u64,
}

impl Pool {
    fn of(piece: &Piece) -> Self {
        let count = |is: &dyn Fn(&str) -> bool| -> u64 {
            piece.fittings.iter().filter(|(fitting, _)| is(&fitting.name)).map(|(_, count)| count).sum()
        };
        Self {
            reducers: count(&|name| name == "reducer") * piece.tubes.len() as u64,
            tees: count(&is_tee) * junctions_of(piece),
        }
    }
}

/// Whether a fitting of that name joins three tubes.
pub(super) fn is_tee(name: &str) -> bool {
    name.starts_with("tee-")
}

/// How many tees one drawn on a piece stands for: on parallel tubes it is where they part or meet, and joins them all.
pub(super) fn junctions_of(piece: &Piece) -> u64 {
    (piece.tubes.len() as u64).saturating_sub(1).max(1)
}

/// Takes up to `want` from both, the first first; how many were taken.
fn take(first: &mut u64, second: &mut u64, want: u64) -> u64 {
    let from_first = want.min(*first);
    *first -= from_first;
    let from_second = (want - from_first).min(*second);
    *second -= from_second;
    from_first + from_second
}

/// Walks the meetings of a line's pieces in order of flow.
pub(super) fn junctions<'a>(pieces: &[Piece<'a>]) -> Junctions<'a> {
    let mut found = Junctions::default();
    let mut pools: Vec<Pool> = pieces.iter().map(Pool::of).collect();
    for (i, pair) in pieces.windows(2).enumerate() {
        let [before, after] = pair else { continue };
        let (left, right) = pools.split_at_mut(i + 1);
        let (Some(up), Some(down)) = (left.last_mut(), right.first_mut()) else { continue };
        let mut change = |a: &'a Tube, b: &'a Tube| {
            if a.name == b.name {
                return;
            }
            let (large, small) = if b.outside > a.outside { (b, a) } else { (a, b) };
            let mut change = Change { large, small, drawn: false };
            change.drawn = change.kind() == "reducer" && take(&mut up.reducers, &mut down.reducers, 1) == 1;
            found.changes.push(change);
        };
        if before.tubes.len() == after.tubes.len() {
            for (a, b) in before.tubes.iter().zip(&after.tubes) {
                change(a, b);
            }
            continue;
        }
        // The run of the tee has the size of the single tube, or of the largest where there is none.
        let fewer = if before.tubes.len() < after.tubes.len() { before } else { after };
        let Some(run) = fewer.largest() else { continue };
        for tube in before.tubes.iter().chain(&after.tubes) {
            change(run, tube);
        }
        let parting = |piece: &Piece| (piece.tubes.len() as u64).saturating_sub(1);
        let want = parting(before) + parting(after);
        let more = want - take(&mut up.tees, &mut down.tees, want);
        if more > 0 {
            found.tees.push((run, more));
        }
    }
    for (piece, pool) in pieces.iter().zip(&pools) {
        // What is left of a piece's reducers goes round its tubes in turn.
        let tubes = piece.tubes.len() as u64;
        for (i, tube) in piece.tubes.iter().enumerate() {
            let count = (pool.reducers + tubes - 1 - i as u64) / tubes;
            if count > 0 {
                found.spare_reducers.push((tube, count));
            }
        }
    }
    found
}
