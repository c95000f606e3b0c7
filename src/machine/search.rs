//! The search for a balance: evaporating temperature and discharge pressure at which chiller, lines and condenser agree.

use super::balance::Circuitry;
use super::condition::{Condition, FREE, Head};
use super::outcome::{Balance, Near, Solution, Unbalanced};
use crate::job::Evaporating;
use crate::refrigerant::OutOfRange;
use crate::solve::{Jacobian, NoRoot, Stride, bracketed, broyden, differences, largest};
use std::cell::Cell;

/// Relative residual at which a balance is one...
const TOLERANCE: f64 = 2e-11;
/// ...and at which one in a row is, whose numbers are read to fewer digits.
pub(super) const IN_A_ROW: f64 = 1e-8;
/// Evaluations of the circuit that a search by bracketing may take: more than ten times what it needs.
pub(super) const MAXIMUM_EVALUATIONS: u32 = 300;
/// By how much more pressure a liquid line that stops is tried again...
const MORE_PRESSURE: f64 = 1.05;
/// ...and how often the heat that it takes is held.
const HEATS: u32 = 2;
/// Highest pressure to begin with, over that of the range, and by how much more it is begun again where a line stops, as a logarithm.
const HIGHEST_START: f64 = 0.98;
const RAISED: f64 = 0.1;
/// Steps in the evaporating temperature, K, and the logarithm of the discharge pressure.
pub(super) const STRIDE: Stride<2> =
    Stride { nudge: [0.05, 1e-3], longest: [10.0, 0.25], tolerance: TOLERANCE, maximum: 25 };
/// Steps in the evaporating and the outdoor temperature, K.
const OUTDOOR_STRIDE: Stride<2> =
    Stride { nudge: [0.05, 0.05], longest: [10.0, 20.0], tolerance: TOLERANCE, maximum: 25 };
/// Least condensing over evaporating temperature of a balance, K: 1 F. Below it there is no refrigeration.
const MINIMUM_LIFT: f64 = 1.0 / 1.8;

/// How the residuals of a head change with the unknowns, as known from a condition before.
#[derive(Clone, Copy, Debug, Default)]
pub struct Slopes {
    held: Option<Jacobian<2>>,
    coil: Option<Jacobian<2>>,
}

impl Slopes {
    pub(super) fn of(&mut self, head: Head) -> &mut Option<Jacobian<2>> {
        match head {
            Head::Held(_) => &mut self.held,
            Head::Coil { .. } => &mut self.coil,
        }
    }
}

impl Circuitry<'_> {
    /// Solves a condition; `guess` is a solution nearby.
    ///
    /// # Errors
    /// [`Unbalanced`] says why there is none.
    pub fn solve(&self, condition: &Condition, guess: Option<&Balance>) -> Result<Solution, Unbalanced> {
        self.solve_near(condition, guess.map(Near::from))
    }

    /// The same from near a balance that need not be at hand. Where the search begins changes the answer by less than its
    /// tolerance, a relative residual of 2e-11.
    ///
    /// # Errors
    /// [`Unbalanced`] says why there is none.
    pub fn solve_near(&self, condition: &Condition, near: Option<Near>) -> Result<Solution, Unbalanced> {
        if let Some(starved) = self.carries_less(condition, TOLERANCE) {
            return Ok(starved);
        }
        let mut slopes = Slopes::default();
        let fed = self.controlled(condition, near, false, &mut |head, near| {
            self.solve_head(condition, head, near, slopes.of(head), TOLERANCE)
        });
        self.fed_or_starved(condition, fed, near, TOLERANCE)
    }

    /// The same in a row of conditions that differ little, to a relative residual of 1e-8: how the residuals change is handed on
    /// from one to the next.
    ///
    /// # Errors
    /// [`Unbalanced`] says why there is none.
    pub fn solve_along(
        &self,
        condition: &Condition,
        near: Option<Near>,
        slopes: &mut Slopes,
    ) -> Result<Solution, Unbalanced> {
        let fed = self.controlled(condition, near, true, &mut |head, near| {
            self.solve_head(condition, head, near, slopes.of(head), IN_A_ROW)
        });
        self.fed_or_starved(condition, fed, near, IN_A_ROW)
    }

    pub(super) fn solution(balance: Balance, head: Head, residual: f64, evaluations: u32) -> Solution {
        let (air_share, dry_share) = match head {
            Head::Coil { air_share, dry_share } => (air_share, dry_share),
            Head::Held(_) => (1.0, 1.0),
        };
        let flooded_share = 1.0 - dry_share;
        Solution { balance, air_share, flooded_share, starved: None, flooded: false, residual, evaluations }
    }

    /// Broyden's method from the guess; where it does not arrive, nested bracketing.
    pub(super) fn solve_head(
        &self,
        condition: &Condition,
        head: Head,
        guess: Option<Near>,
        slopes: &mut Option<Jacobian<2>>,
        tolerance: f64,
    ) -> Result<Solution, Unbalanced> {
        let mut evaluations = 0;
        let stride = Stride { tolerance, ..STRIDE };
        if let Some((balance, residual)) = self.quick(condition, head, guess, (slopes, &stride), &mut evaluations) {
            return Ok(Self::solution(balance, head, residual, evaluations));
        }
        if self.liquid_heat_counts(condition) {
            match self.falls_to_suction(condition, head) {
                Some(falls) => Err(falls),
                None => self.by_liquid_heat(condition, head, guess, &stride),
            }
        } else {
            self.bracket(condition, head, evaluations)
        }
    }

    /// Where Broyden's method does not arrive with a liquid line that exchanges heat: from the balance with the heat held at what the
    /// line takes at the one before, of which little comes to the balance. A line that stops there, at more pressure too, is what is wrong.
    fn by_liquid_heat(
        &self,
        condition: &Condition,
        head: Head,
        guess: Option<Near>,
        stride: &Stride<2>,
    ) -> Result<Solution, Unbalanced> {
        let (mut heat, mut near, mut stopped) = (0.0, guess, None);
        for _ in 0..HEATS {
            let mut held = self.with_liquid_heat(heat).solve_head(condition, head, near, &mut None, TOLERANCE)?.balance;
            near = Some(Near::from(&held));
            let mut evaluations = 0;
            if let Some((balance, residual)) = self.quick(condition, head, near, (&mut None, stride), &mut evaluations)
            {
                return Ok(Self::solution(balance, head, residual, evaluations));
            }
            let liquid = self.integrate_liquid(&held, condition).or_else(|stops| {
                held.leaving_Pa *= MORE_PRESSURE;
                let more = self.integrate_liquid(&held, condition);
                stopped = Some(stops);
                more
            });
            match liquid {
                Ok(liquid) => heat = liquid.enthalpy_J_kg - held.leaving_J_kg,
                Err(_) => break,
            }
        }
        Err(stopped.unwrap_or(Unbalanced::NotConverged))
    }

    /// Broyden's method in evaporating temperature and the logarithm of discharge pressure.
    pub(super) fn quick(
        &self,
        condition: &Condition,
        head: Head,
        guess: Option<Near>,
        (slopes, stride): (&mut Option<Jacobian<2>>, &Stride<2>),
        evaluations: &mut u32,
    ) -> Option<(Balance, f64)> {
        let mut start = self.start(condition, head, guess)?;
        let top = (HIGHEST_START * self.fluid.range().pressure_max).ln();
        let mut at = |x: &[f64; 2]| {
            *evaluations += 1;
            let balance = self.at(x[0], x[1].exp(), condition, head).ok()?;
            let residuals = self.residuals(&balance, condition, head);
            Some((balance, residuals))
        };
        let mut found = slopes.is_some().then(|| broyden(&mut at, start, stride, slopes)).flatten();
        if found.is_none() {
            // A narrow discharge line stops at the pressure to begin with.
            if condition.lines && !self.liquid_heat_counts(condition) {
                while start[1] < top && at(&start).is_none() {
                    start[1] = top.min(start[1] + RAISED);
                }
            }
            *slopes = condition.lines.then(|| self.bare_slopes(condition, head, start)).flatten();
            found = broyden(at, start, stride, slopes);
        }
        let found = found?;
        Self::refrigerates(&found.carried).then(|| (found.carried, largest(&found.residuals)))
    }

    /// How the residuals change without the lines: nearly as with them, and much sooner.
    fn bare_slopes(&self, condition: &Condition, head: Head, start: [f64; 2]) -> Option<Jacobian<2>> {
        let bare = Condition { lines: false, ..*condition };
        let at = |x: &[f64; 2]| Some(self.residuals(&self.at(x[0], x[1].exp(), &bare, head).ok()?, &bare, head));
        differences(at, &start, &at(&start)?, &STRIDE.nudge)
    }

    /// Whether a balance is one of refrigeration.
    pub(super) fn refrigerates(balance: &Balance) -> bool {
        balance.capacity_W > 0.0 && balance.condensing_K >= balance.evaporating_K + MINIMUM_LIFT
    }

    fn start(&self, condition: &Condition, head: Head, guess: Option<Near>) -> Option<[f64; 2]> {
        let rated = self.compressor.rated();
        let condensing = match head {
            Head::Held(condensing) => condensing,
            Head::Coil { air_share, dry_share } => {
                if let Some(near) = guess {
                    near.condensing_K
                } else {
                    let around = Self::surroundings(condition);
                    let duty = (rated.capacity_W + rated.power_W) * condition.share;
                    around.air_on_K + duty / (self.coil.per_kelvin(&around, air_share) * dry_share)
                }
            }
        };
        let evaporating = guess.map_or_else(
            || self.target_evaporating(rated.capacity_W * condition.share * (1.0 - condition.bypass), condition),
            |near| near.evaporating_K,
        );
        let minimum = self.minimum_discharge(condition).ok()?;
        let range = self.fluid.range();
        let dew = |condensing: f64| self.fluid.dew_pressure(condensing);
        let pressure = dew(condensing).unwrap_or(0.9 * range.pressure_max);
        let discharge = match (guess, head) {
            (Some(near), Head::Coil { .. }) => near.discharge_Pa,
            // The line loses what it loses there, by the density.
            (Some(near), Head::Held(_)) => match dew(near.condensing_K) {
                Ok(there) => pressure + (near.discharge_Pa - there) * there / pressure,
                Err(_) => pressure,
            },
            (None, _) => pressure,
        };
        Some([evaporating, discharge.clamp(minimum, HIGHEST_START * range.pressure_max).ln()])
    }

    /// The balance at a discharge pressure, from near an evaporating temperature; `left` evaluations may be made.
    pub(super) fn evaporating_at(
        &self,
        discharge: f64,
        condition: &Condition,
        (head, near): (Head, f64),
        left: &Cell<u32>,
    ) -> Result<Balance, Unbalanced> {
        let at = |te: f64| {
            left.set(left.get().checked_sub(1).ok_or(Unbalanced::NotConverged)?);
            self.at(te, discharge, condition, head)
        };
        let (leaving, approach) = match (condition.held_K, self.circuit.evaporator.evaporating) {
            (Some(held), _) => return at(held),
            (None, Evaporating::Held(temperature)) => return at(temperature.kelvin()),
            (None, Evaporating::Approach { leaving, approach, .. }) => (leaving.kelvin(), approach.value),
        };
        let over = |balance: &Balance| balance.evaporating_K - self.target_evaporating(balance.capacity_W, condition);
        // Capacity rises with the evaporating temperature, so what it is over its target does too, nearly one for one.
        let quick = |x: &[f64; 1]| at(x[0]).ok().map(|balance| (over(&balance), balance)).map(|(r, b)| (b, [r]));
        let stride = Stride { nudge: [0.05], longest: [10.0], tolerance: 1e-10, maximum: 8 };
        let found = broyden(quick, [near], &stride, &mut Some([[1.1]])).map(|found| found.carried);
        if let Some(balance) = found.filter(|balance| balance.capacity_W > 0.0 && balance.evaporating_K < leaving) {
            return Ok(balance);
        }
        let over = |te: f64| at(te).map(|balance| over(&balance));
        let high = leaving.min(self.fluid.dew_temperature(discharge)? - 0.5);
        // The lower end of the bracket is where the target would be at a multiple of the rated capacity.
        let mut low = high;
        for multiple in [1.0, 1.5, 2.0, 3.0] {
            let next = (leaving - approach * multiple * condition.share).min(high - 0.01);
            if next < self.fluid.range().temperature_min {
                break;
            }
            low = next;
            if over(low)? < 0.0 {
                break;
            }
        }
        match bracketed(over, low, high, 1e-10) {
            Ok(root) => at(root.x),
            Err(NoRoot::NotBracketed { .. }) => {
                Err(Unbalanced::NoRefrigeration("nothing is left of the cooling capacity there"))
            }
            Err(NoRoot::Function(cause)) => Err(cause),
            Err(NoRoot::NotConverged { .. }) => Err(Unbalanced::NotConverged),
        }
    }

    /// The lowest discharge pressure at which a balance is looked for, Pa.
    pub(super) fn minimum_discharge(&self, condition: &Condition) -> Result<f64, OutOfRange> {
        self.fluid.dew_pressure(self.warmest_evaporating(condition) + MINIMUM_LIFT)
    }

    /// The evaporating temperature that no operating point exceeds, K.
    pub(super) fn warmest_evaporating(&self, condition: &Condition) -> f64 {
        match (condition.held_K, self.circuit.evaporator.evaporating) {
            (Some(held), _) => held,
            (None, Evaporating::Held(temperature)) => temperature.kelvin(),
            (None, Evaporating::Approach { leaving, .. }) => leaving.kelvin(),
        }
    }

    /// [`Circuitry::outdoor_at`] by Broyden's method in evaporating and outdoor temperature.
    fn quick_outdoor(&self, discharge: f64, condition: &Condition, near: Near) -> Option<(f64, Balance)> {
        let at = |x: &[f64; 2], lines: bool| {
            let here = Condition { outdoor_K: x[1], lines, ..*condition };
            let balance = self.at(x[0], discharge, &here, FREE).ok()?;
            let air_on = self.air_on_for(&balance, condition.atmosphere_Pa)?;
            let target = self.target_evaporating(balance.capacity_W, &here);
            let residuals =
                [(balance.evaporating_K - target) / target, (air_on - condition.recirculation_K) / x[1] - 1.0];
            Some((balance, residuals))
        };
        let warmer = self.fluid.dew_temperature(discharge).ok()? - near.condensing_K;
        let start = [near.evaporating_K, condition.outdoor_K + warmer];
        let bare = |x: &[f64; 2]| at(x, false).map(|(_, residuals)| residuals);
        let mut slopes = bare(&start).and_then(|there| differences(bare, &start, &there, &OUTDOOR_STRIDE.nudge));
        let found = broyden(|x| at(x, condition.lines), start, &OUTDOOR_STRIDE, &mut slopes)?;
        Self::refrigerates(&found.carried).then_some((found.x[1], found.carried))
    }

    /// The outdoor temperature (K) at which the discharge pressure reaches `discharge` (Pa), the control out of action; `near` is
    /// the balance at the condition.
    ///
    /// # Errors
    /// [`Unbalanced`] where the states there are out of range.
    pub fn outdoor_at(&self, discharge: f64, condition: &Condition, near: Near) -> Result<(f64, Balance), Unbalanced> {
        if let Some(found) = self.quick_outdoor(discharge, condition, near) {
            return Ok(found);
        }
        // Lines in outdoor air make the states depend on the answer, weakly: a fixed point.
        let mut outdoor = condition.outdoor_K;
        let left = Cell::new(MAXIMUM_EVALUATIONS);
        for _ in 0..50 {
            let here = Condition { outdoor_K: outdoor, ..*condition };
            let balance = self.evaporating_at(discharge, &here, (FREE, near.evaporating_K), &left)?;
            let air_on = self.air_on_for(&balance, condition.atmosphere_Pa);
            let air_on = air_on.ok_or(Unbalanced::NotConverged)?;
            let next = air_on - condition.recirculation_K;
            if (next - outdoor).abs() < 1e-7 {
                return Ok((next, balance));
            }
            outdoor = next;
        }
        Err(Unbalanced::NotConverged)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::machine::testing::{FILM, at, circuit};

    /// What condenses at a pressure at 305 K needs 305 K to condense at it, wherever the search begins.
    #[test]
    fn the_outdoor_temperature_at_a_pressure_is_found_where_the_quick_search_fails() {
        let circuit = circuit(|_| {});
        let chiller = Circuitry::new(&circuit, FILM).unwrap();
        let there = chiller.solve(&at(305.0), None).unwrap().balance;
        let near = Near::from(&there);
        let far = Near { evaporating_K: 1000.0, ..near };
        let pressure = near.discharge_Pa;
        assert!(chiller.quick_outdoor(pressure, &at(300.0), far).is_none());
        for near in [near, far] {
            let (outdoor, balance) = chiller.outdoor_at(pressure, &at(300.0), near).unwrap();
            assert!((outdoor - 305.0).abs() < 1e-4, "{outdoor}");
            assert!((balance.evaporating_K - there.evaporating_K).abs() < 1e-4);
        }
    }
}
