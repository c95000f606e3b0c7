//! Solving in a row: conditions that follow each other closely, each guessed from those before it. The answers are those of
//! `Circuitry::solve`, to its tolerance; only the way there is shorter.

use super::balance::{Balance, Circuitry, Condition, Head, Near, Solution, Unbalanced};
use crate::job::{Around, Circuit};
use crate::solve::{Jacobian, Stride, broyden, lagrange_of, largest, linear};

/// Relative residual that is left: less than of a balance that stands alone, since others are made of it.
const TOLERANCE: f64 = 1e-11;
/// Relative residual at which a balance at a share that is sought is one.
const TOLERANCE_ALONE: f64 = 1e-10;
/// Solutions from which the next is extrapolated.
const PAST: usize = 4;
/// How much an extrapolation may make of what is uncertain in them.
const SPREAD: f64 = 100.0;
/// Steps after which the Jacobian that was carried along is made afresh.
const STALE: u32 = 3;
/// How far each unknown is moved for the Jacobian: 0.05 K, 0.1 % of the pressure, a hundredth of the share.
const NUDGE: [f64; 3] = [0.05, 1e-3, 1e-2];
/// How far each unknown goes in one step.
const LONGEST: [f64; 3] = [10.0, 0.25, 0.25];

/// What came before, on one path of the head-pressure control.
#[derive(Clone, Debug)]
struct Track<const N: usize> {
    /// Outdoor temperature and unknowns, the newest last.
    past: Vec<(f64, [f64; N])>,
    jacobian: Option<Jacobian<N>>,
    /// The newest balance.
    kept: Option<Balance>,
}

impl<const N: usize> Default for Track<N> {
    fn default() -> Self {
        Self { past: Vec::new(), jacobian: None, kept: None }
    }
}

impl<const N: usize> Track<N> {
    /// The unknowns at an outdoor temperature by the polynomial through the newest of those before.
    fn extrapolated(&self, outdoor: f64) -> Option<[f64; N]> {
        (0..self.past.len()).find_map(|skip| {
            let nodes = self.past.get(skip..)?;
            let places: Vec<f64> = nodes.iter().map(|(at, _)| *at).collect();
            let weights = lagrange_of(&places, outdoor);
            let spread: f64 = weights.iter().map(|weight| weight.abs()).sum();
            (spread <= SPREAD).then(|| {
                std::array::from_fn(|k| nodes.iter().zip(&weights).map(|((_, x), weight)| x[k] * weight).sum())
            })
        })
    }

    fn add(&mut self, outdoor: f64, x: [f64; N], balance: &Balance) {
        self.past.retain(|(at, _)| (at - outdoor).abs() > 1e-9);
        if self.past.len() == PAST {
            self.past.remove(0);
        }
        self.past.push((outdoor, x));
        self.kept = Some(balance.clone());
    }
}

/// The paths that a series of conditions takes: the coil alone, the condensing temperature held, the fans cut as far as they go.
#[derive(Clone, Debug)]
struct Paths<const N: usize> {
    free: Track<N>,
    held: Track<N>,
    cut: Track<N>,
}

impl<const N: usize> Default for Paths<N> {
    fn default() -> Self {
        Self { free: Track::default(), held: Track::default(), cut: Track::default() }
    }
}

impl<const N: usize> Paths<N> {
    fn of(&mut self, head: Head) -> &mut Track<N> {
        match head {
            Head::Held(_) => &mut self.held,
            Head::Coil { air_share, .. } if air_share >= 1.0 => &mut self.free,
            Head::Coil { .. } => &mut self.cut,
        }
    }
}

/// A series of conditions of one circuit that differ in the outdoor temperature alone.
#[derive(Clone, Debug, Default)]
pub struct Trail(Paths<2>);

impl Trail {
    /// What comes next is at another share, from the newest of those before.
    pub fn turn(&mut self) {
        let Paths { free, held, cut } = &mut self.0;
        for track in [free, held, cut] {
            track.past.drain(..track.past.len().saturating_sub(1));
            track.kept = None;
        }
    }
}

/// A series of conditions of one circuit that differ in the outdoor temperature and in the capacity that is asked for.
#[derive(Clone, Debug, Default)]
pub struct CapacityTrail(Paths<3>);

/// Whether anything of a circuit's lines stands in outdoor air: else a held condensing temperature makes all hours alike.
#[must_use]
pub fn feels_outdoor(circuit: &Circuit) -> bool {
    circuit.discharge.runs.iter().chain(&circuit.liquid.runs).any(|run| matches!(run.around, Some(Around::Outdoor(_))))
}

impl Circuitry<'_> {
    /// Solves a condition that follows others, with the same answer as [`Circuitry::solve`].
    ///
    /// # Errors
    /// [`Unbalanced`] says why there is none.
    pub fn follow(&self, condition: &Condition, trail: &mut Trail) -> Result<Solution, Unbalanced> {
        self.controlled(condition, None, &mut |head, near| self.follow_head(condition, head, near, trail))
    }

    /// Solves a head of a condition that follows others.
    pub(super) fn follow_head(
        &self,
        condition: &Condition,
        head: Head,
        near: Option<Near>,
        trail: &mut Trail,
    ) -> Result<Solution, Unbalanced> {
        let track = trail.0.of(head);
        if let (Head::Held(_), Some(kept)) = (head, &track.kept)
            && !feels_outdoor(self.circuit)
        {
            return Ok(Self::solution(kept.clone(), head, 0.0, 0));
        }
        if let Some(solution) = self.chase(condition, head, None, track) {
            return Ok(solution);
        }
        track.jacobian = None;
        let solution = self.solve_head(condition, head, near.or(track.kept.as_ref().map(Near::from)), &mut None)?;
        let balance = &solution.balance;
        track.add(condition.outdoor, [balance.evaporating, balance.running.discharge_pressure.ln()], balance);
        Ok(solution)
    }

    /// Solves for the share of full displacement at which a circuit gives a capacity, W; the share of the condition is where the
    /// search begins. Nothing where none is found.
    pub fn follow_capacity(
        &self,
        condition: &Condition,
        capacity: f64,
        trail: &mut CapacityTrail,
    ) -> Option<(f64, Solution)> {
        let mut share = None;
        let solution = self.controlled(condition, None, &mut |head, near| {
            let track = trail.0.of(head);
            if let Some(solution) = self.chase(condition, head, Some(capacity), track) {
                share = track.past.last().map(|(_, x)| x[2]);
                return Ok(solution);
            }
            // Afresh: from the balance at the share where the search begins.
            *track = Track::default();
            let near = self.solve_head(condition, head, near, &mut None)?;
            let x = [near.balance.evaporating, near.balance.running.discharge_pressure.ln(), condition.share];
            track.add(condition.outdoor, x, &near.balance);
            let solution = self.chase(condition, head, Some(capacity), track).ok_or(Unbalanced::NotConverged)?;
            share = track.past.last().map(|(_, x)| x[2]);
            Ok(solution)
        });
        Some((share?, solution.ok()?))
    }

    /// Broyden's method from what came before; nothing where it does not arrive.
    fn chase<const N: usize>(
        &self,
        condition: &Condition,
        head: Head,
        capacity: Option<f64>,
        track: &mut Track<N>,
    ) -> Option<Solution> {
        let mut evaluations = 0;
        let with = |x: &[f64; N]| Condition { share: x.get(2).copied().unwrap_or(condition.share), ..*condition };
        let residuals = |balance: &Balance| {
            let [at_head, evaporating] = self.residuals(balance, condition, head);
            let short = capacity.map_or(0.0, |capacity| balance.capacity / capacity - 1.0);
            std::array::from_fn(|i| match i {
                0 => at_head,
                1 => evaporating,
                _ => short,
            })
        };
        let start = match (capacity, &track.kept, &track.jacobian) {
            (None, ..) => track.extrapolated(condition.outdoor)?,
            // The balance that is kept, held against what is asked now, says which way to go.
            (Some(_), Some(kept), Some(jacobian)) => {
                let mut x = track.past.last()?.1;
                let step = linear(jacobian, &residuals(kept))?;
                for (x, (step, longest)) in x.iter_mut().zip(step.iter().zip(LONGEST)) {
                    *x -= step.clamp(-longest, longest);
                }
                x
            }
            (Some(_), ..) => track.past.last()?.1,
        };
        let at = |x: &[f64; N]| {
            if N > 2 && !(x[2] > 0.0 && x[2] < 2.0) {
                return None;
            }
            evaluations += 1;
            let balance = self.at(x[0], x[1].exp(), &with(x)).ok()?;
            let residuals = residuals(&balance);
            Some((balance, residuals))
        };
        let stride = Stride {
            nudge: std::array::from_fn(|i| NUDGE[i.min(2)]),
            longest: std::array::from_fn(|i| LONGEST[i.min(2)]),
            tolerance: if N > 2 { TOLERANCE_ALONE } else { TOLERANCE },
            most: 12,
        };
        let found = broyden(at, start, &stride, &mut track.jacobian)?;
        let balance = found.carried;
        if !self.refrigerates(&balance, condition) {
            return None;
        }
        // What is left of the residuals is taken off in the memory alone, so that it does not add up.
        let mut x = found.x;
        if let Some(step) = track.jacobian.as_ref().and_then(|jacobian| linear(jacobian, &found.residuals)) {
            for (x, step) in x.iter_mut().zip(step) {
                *x -= step;
            }
        }
        if found.steps > if N > 2 { 9 } else { STALE } {
            track.jacobian = None;
        }
        track.add(condition.outdoor, if N > 2 { found.x } else { x }, &balance);
        Some(Self::solution(balance, head, largest(&found.residuals), evaluations))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job;
    use approx::assert_relative_eq;

    fn circuits() -> job::Job {
        job::open(std::path::Path::new("examples/plant-of-twelve.toml")).unwrap()
    }

    fn condition(outdoor: f64, share: f64) -> Condition {
        Condition {
            outdoor,
            recirculation: 1.0,
            atmosphere: 98_000.0,
            share,
            bypass: 0.0,
            lines: true,
            held: None,
            control: true,
        }
    }

    fn same(a: &Solution, b: &Solution) {
        assert_relative_eq!(a.balance.capacity, b.balance.capacity, max_relative = 1e-8);
        assert_relative_eq!(a.balance.running.power, b.balance.running.power, max_relative = 1e-8);
        assert_relative_eq!(
            a.balance.running.discharge_pressure,
            b.balance.running.discharge_pressure,
            max_relative = 1e-8
        );
        assert_relative_eq!(a.air_share, b.air_share, max_relative = 1e-7);
        assert_relative_eq!(a.flooded_share, b.flooded_share, epsilon = 1e-8);
    }

    #[test]
    fn what_follows_is_what_is_solved_afresh() {
        let job = circuits();
        for circuit in &job.circuits {
            let circuitry = Circuitry::new(circuit, 980.0).unwrap();
            let mut trail = Trail::default();
            for step in 0..120 {
                // Unevenly, with a long jump on the way.
                let jump = if step > 60 { 9.0 } else { 0.0 };
                let outdoor = 311.0 - 0.3 * f64::from(step) - 0.1 * f64::from(step % 3) - jump;
                let here = condition(outdoor, 0.5);
                match (circuitry.follow(&here, &mut trail), circuitry.solve(&here, None)) {
                    (Ok(followed), Ok(afresh)) => same(&followed, &afresh),
                    (Err(_), Err(_)) => {}
                    (followed, afresh) => panic!("{outdoor}: {followed:?} {afresh:?}"),
                }
            }
        }
    }

    #[test]
    fn the_share_that_gives_a_capacity_gives_it() {
        let job = circuits();
        for circuit in &job.circuits {
            let circuitry = Circuitry::new(circuit, 980.0).unwrap();
            let mut trail = CapacityTrail::default();
            for step in 0..60 {
                let outdoor = 309.0 - 0.8 * f64::from(step);
                let full = circuitry.solve(&condition(outdoor, 1.0), None).unwrap();
                let asked = full.balance.capacity * (0.4 + 0.1 * f64::from(step % 6));
                let (share, found) = circuitry.follow_capacity(&condition(outdoor, 0.7), asked, &mut trail).unwrap();
                assert_relative_eq!(found.balance.capacity, asked, max_relative = 1e-9);
                same(&found, &circuitry.solve(&condition(outdoor, share), None).unwrap());
            }
        }
    }
}
