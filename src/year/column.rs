//! A stage at every outdoor temperature of a year.
//!
//! Between temperatures that are solved the states run smoothly, but where the head control begins or ends to act, where liquid
//! begins to flash or a tube seals. So temperatures a little apart are solved, and each is held against what the six round it
//! would make of it; where that comes to the same within `EXACT`, what lies between is interpolated from the same six, with an error some
//! fifty times smaller still. Wherever it does not, more are solved, in the end every one.

use super::stand::{Cause, Stand};
use crate::solve::lagrange_of;

/// How far apart the temperatures are that are solved: first, and where that is not enough, K. After the last every one is.
const APART: [f64; 5] = [0.8, 0.4, 0.2, 0.05, 0.02];
/// Difference, relative or of the scale of a quantity, within which an interpolation is the solution.
pub(super) const EXACT: f64 = 1e-9;
/// Temperatures on each side from which is interpolated.
const SIDE: usize = 3;
/// A difference of temperatures that matters, K.
pub(super) const KELVIN: f64 = 10.0;

pub(super) type Solved = Result<Stand, Cause>;

/// To this power of the air share a coil rejects, about. Where the head is held, its inverse and that of the share that is not flooded
/// run nearly straight with the outdoor temperature.
const AIR: f64 = 0.7;

/// How much of a stand is interpolated.
pub(super) const SMOOTH: usize = 12;
/// Where the capacity stands among them, and what is made of the subcooling that is left.
pub(super) const CAPACITY: usize = 0;
pub(super) const FED: std::ops::Range<usize> = 9..11;

/// What is interpolated of a stand, with the scale of each.
pub(super) fn smooth(stand: &Stand) -> [(f64, f64); SMOOTH] {
    let own = |value: f64| (value, value.abs());
    [
        own(stand.capacity),
        own(stand.power),
        own(stand.discharge),
        own(stand.suction),
        own(stand.valve),
        (stand.evaporating, KELVIN),
        (stand.condensing, KELVIN),
        (stand.air_share.powf(-AIR), 1.0),
        (1.0 / (1.0 - stand.flooded_share), 1.0),
        (stand.feed.valve, KELVIN),
        (stand.feed.line, KELVIN),
        own(stand.oil.map_or(1.0, |(ratio, _)| ratio)),
    ]
}

/// A stand like `like`, with other values of what is interpolated.
pub(super) fn with(like: &Stand, values: [f64; SMOOTH]) -> Stand {
    let [capacity, power, discharge, suction, valve, evaporating, condensing, air, wet, fed, line, oil] = values;
    let mut stand = Stand {
        capacity,
        power,
        discharge,
        suction,
        valve,
        evaporating,
        condensing,
        // Where nothing acts, nothing does to the last digit.
        air_share: if like.air_share < 1.0 { air.powf(-1.0 / AIR) } else { like.air_share },
        flooded_share: if like.flooded_share > 0.0 { 1.0 - 1.0 / wet } else { like.flooded_share },
        oil: like.oil.map(|(_, run)| (oil, run)),
        ..*like
    };
    (stand.feed.valve, stand.feed.line) = (fed, line);
    stand
}

/// Whether two stands have the same of what does not run smoothly, but for the run in which least is left of the subcooling.
pub(super) fn alike(a: &Stand, b: &Stand) -> bool {
    a.oil.map(|(_, run)| run) == b.oil.map(|(_, run)| run)
        && (a.air_share < 1.0) == (b.air_share < 1.0)
        && (a.flooded_share > 0.0) == (b.flooded_share > 0.0)
}

/// A temperature that is solved, with its stand.
type Node<'a> = (f64, &'a Stand);

/// The stand at a temperature by the polynomial through those round it.
fn interpolated(nodes: &[Node], outdoor: f64) -> Option<Stand> {
    let (_, like) = *nodes.first()?;
    let values: Vec<[(f64, f64); SMOOTH]> = nodes.iter().map(|(_, stand)| smooth(stand)).collect();
    let places: Vec<f64> = nodes.iter().map(|(at, _)| *at).collect();
    let weights = lagrange_of(&places, outdoor);
    let first = values.first()?;
    Some(with(
        like,
        std::array::from_fn(|k| {
            // What is the same in all of them stays so to the last digit.
            if values.iter().all(|value| value[k].0.to_bits() == first[k].0.to_bits()) {
                return first[k].0;
            }
            values.iter().zip(&weights).map(|(value, weight)| value[k].0 * weight).sum()
        }),
    ))
}

/// Whether two stands are the same within what counts as that.
fn same(a: &Stand, b: &Stand) -> bool {
    let mut pairs = smooth(a).into_iter().zip(smooth(b));
    pairs.all(|((a, scale), (b, _))| (a - b).abs() <= EXACT * scale)
}

/// Whether a stand is what the others make of it.
fn fits(stand: &Stand, nodes: &[Node], outdoor: f64) -> bool {
    nodes.iter().all(|(_, other)| alike(stand, other) && stand.feed.run == other.feed.run)
        && interpolated(nodes, outdoor).is_some_and(|guess| same(stand, &guess))
}

/// A column being filled.
struct Filling<'a> {
    outdoor: &'a [f64],
    known: Vec<Option<Solved>>,
    /// Numbers of those that are known.
    nodes: Vec<usize>,
}

impl Filling<'_> {
    fn node(&self, place: usize) -> Option<(f64, Solved)> {
        let number = *self.nodes.get(place)?;
        Some((*self.outdoor.get(number)?, (*self.known.get(number)?)?))
    }

    /// Up to three solved temperatures on one side of a node, at least `apart` from each other and from it.
    fn side(&self, place: usize, hotter: bool, apart: f64) -> Option<Vec<(f64, Stand)>> {
        let (mut last, _) = self.node(place)?;
        let mut found = Vec::with_capacity(SIDE);
        let mut at = place;
        while found.len() < SIDE {
            at = if hotter { at.checked_sub(1)? } else { at + 1 };
            let (outdoor, solved) = self.node(at)?;
            if (outdoor - last).abs() >= apart {
                found.push((outdoor, solved.ok()?));
                last = outdoor;
            }
        }
        Some(found)
    }

    /// What the gap after a node is filled from, where it may be.
    fn filler(&self, place: usize) -> Option<Vec<(f64, Stand)>> {
        let ((hot, a), (cold, b)) = (self.node(place)?, self.node(place + 1)?);
        let apart = 0.5 * (hot - cold);
        let (a, b) = (a.ok()?, b.ok()?);
        let proven = |place: usize, at: f64, stand: &Stand| {
            let (hotter, colder) = (self.side(place, true, apart)?, self.side(place, false, apart)?);
            let nodes: Vec<Node> = hotter.iter().chain(&colder).map(|(at, stand)| (*at, stand)).collect();
            fits(stand, &nodes, at).then_some((hotter, colder))
        };
        let (mut hotter, _) = proven(place, hot, &a)?;
        let (_, mut colder) = proven(place + 1, cold, &b)?;
        hotter.truncate(SIDE - 1);
        colder.truncate(SIDE - 1);
        Some(hotter.into_iter().chain([(hot, a), (cold, b)]).chain(colder).collect())
    }

    /// Whether all of the gap after a node fails in one way, as its two ends do.
    fn fails(&self, place: usize) -> Option<Cause> {
        let ((_, a), (_, b)) = (self.node(place)?, self.node(place + 1)?);
        a.err().filter(|cause| b.err() == Some(*cause))
    }

    /// Temperatures to solve next: in every gap that cannot be filled, so far apart.
    fn open(&self, apart: f64) -> Vec<usize> {
        let mut open = Vec::new();
        for (place, pair) in self.nodes.windows(2).enumerate() {
            let [from, to] = *pair else { continue };
            if to - from > 1 && self.fails(place).is_none() && self.filler(place).is_none() {
                open.extend(spaced(self.outdoor, from, to, apart));
            }
        }
        open
    }
}

/// Numbers between two, those that are so far apart from each other; one at least.
fn spaced(outdoor: &[f64], from: usize, to: usize, apart: f64) -> Vec<usize> {
    let mut last = outdoor.get(from).copied().unwrap_or(f64::NAN);
    let mut found = Vec::new();
    for number in from + 1..to {
        let here = outdoor.get(number).copied().unwrap_or(f64::NAN);
        if last - here >= apart {
            found.push(number);
            last = here;
        }
    }
    if found.is_empty() && to > from + 1 {
        found.push(usize::midpoint(from, to));
    }
    found
}

/// A stage at outdoor temperatures that fall, which `solve` solves; it is asked in several rows that fall.
pub(super) fn column(outdoor: &[f64], mut solve: impl FnMut(f64) -> Solved) -> Vec<Solved> {
    let mut filling = Filling { outdoor, known: vec![None; outdoor.len()], nodes: Vec::new() };
    let Some(last) = outdoor.len().checked_sub(1) else { return Vec::new() };
    let mut next: Vec<usize> = std::iter::once(0).chain(spaced(outdoor, 0, last, APART[0])).chain([last]).collect();
    let mut round = 0;
    while !next.is_empty() {
        next.sort_unstable();
        next.dedup();
        for number in next {
            if let (Some(slot), Some(outdoor)) = (filling.known.get_mut(number), outdoor.get(number)) {
                *slot = Some(solve(*outdoor));
            }
        }
        filling.nodes = (0..outdoor.len()).filter(|number| filling.known[*number].is_some()).collect();
        round += 1;
        next = filling.open(APART.get(round).copied().unwrap_or(0.0));
    }
    let mut filled: Vec<(usize, Solved)> = Vec::new();
    for (place, pair) in filling.nodes.windows(2).enumerate() {
        let [from, to] = *pair else { continue };
        if to - from < 2 {
            continue;
        }
        let fails = filling.fails(place);
        let from_those = filling.filler(place).unwrap_or_default();
        let nodes: Vec<Node> = from_those.iter().map(|(at, stand)| (*at, stand)).collect();
        for number in from + 1..to {
            let stand = outdoor.get(number).and_then(|outdoor| interpolated(&nodes, *outdoor));
            filled.push((number, fails.map_or_else(|| stand.ok_or(Cause::Other), Err)));
        }
    }
    for (number, solved) in filled {
        filling.known[number] = Some(solved);
    }
    filling.known.into_iter().map(|solved| solved.unwrap_or(Err(Cause::Other))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::survey::Feed;
    use crate::year::Stage;
    use std::cell::Cell;

    fn stand(capacity: f64, run: usize) -> Stand {
        Stand {
            stage: Stage { share: 1.0, bypass: 0.0 },
            capacity,
            power: 1.0,
            evaporating: 280.0,
            condensing: 310.0,
            discharge: 1e6,
            suction: 3e5,
            valve: 9e5,
            air_share: 1.0,
            flooded_share: 0.0,
            feed: Feed { valve: 5.0, line: 4.0, run },
            oil: None,
        }
    }

    /// Temperatures as a year has them, denser in the middle.
    fn temperatures() -> Vec<f64> {
        (0..3000).map(|i| 312.0 - 0.02 * f64::from(i) + 0.004 * f64::from(i % 5)).collect()
    }

    /// Fills a column of a function and answers how many temperatures it solved and how far it is off at the worst.
    fn filled(of: impl Fn(f64) -> Solved + Copy) -> (u32, f64) {
        let outdoor = temperatures();
        let count = Cell::new(0);
        let solved = column(&outdoor, |outdoor| {
            count.set(count.get() + 1);
            of(outdoor)
        });
        let mut off = 0.0_f64;
        for (outdoor, solved) in outdoor.iter().zip(&solved) {
            match (solved, of(*outdoor)) {
                (Ok(found), Ok(there)) => {
                    assert_eq!(found.feed.run, there.feed.run);
                    off = off.max((found.capacity / there.capacity - 1.0).abs());
                }
                (found, there) => assert_eq!(found.err(), there.err()),
            }
        }
        (count.get(), off)
    }

    #[test]
    fn what_runs_smoothly_is_solved_at_few_temperatures() {
        let (count, off) = filled(|t| Ok(stand(1e5 * (1.0 + (t / 20.0).sin() * 0.2), 2)));
        assert!(count < 400 && off < 1e-10, "{count} {off:e}");
    }

    #[test]
    fn a_kink_is_found_and_solved_round_about() {
        let (count, off) = filled(|t| Ok(stand(1e5 + if t < 290.123 { 3.0 * (290.123 - t) } else { 0.0 }, 2)));
        assert!(count < 900 && off < 2e-9, "{count} {off:e}");
    }

    #[test]
    fn a_jump_and_a_change_of_place_stay_where_they_are() {
        let (_, off) = filled(|t| Ok(stand(if t < 290.123 { 1e5 } else { 1.1e5 }, if t < 285.0 { 3 } else { 2 })));
        assert!(off < 1e-12, "{off:e}");
    }

    #[test]
    fn what_has_no_balance_keeps_its_cause_to_the_last_temperature() {
        let (count, off) = filled(|t| {
            if t > 305.017 {
                Err(Cause::NeverCondenses)
            } else if t < 270.03 {
                Err(Cause::FallsToSuction)
            } else {
                Ok(stand(1e5 + t * t, 1))
            }
        });
        assert!(count < 1500 && off < 1e-9, "{count} {off:e}");
    }

    #[test]
    fn a_rough_function_is_solved_throughout() {
        let (count, off) = filled(|t| Ok(stand(1e5 + (t * 1e7).sin(), 1)));
        assert!(count > 2900 && off < 1e-12, "{count} {off:e}");
    }

    #[test]
    fn few_temperatures_are_all_solved() {
        for few in 0..6 {
            let outdoor: Vec<f64> = temperatures().into_iter().take(few).collect();
            let solved = column(&outdoor, |t| Ok(stand(t, 1)));
            let capacities: Vec<f64> = solved.iter().map(|solved| solved.as_ref().unwrap().capacity).collect();
            assert_eq!(capacities, outdoor);
        }
    }
}
