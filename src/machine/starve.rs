//! A valve that is wide open: an evaporator that starves, because it passes less than the compressors would take, and a fixed
//! restriction, which always is.

use super::balance::Circuitry;
use super::condition::{Condition, Head};
use super::evaporator::{DRY_SHARE, Evaporator};
use super::outcome::{Balance, Near, Solution, Starved, Unbalanced};
use super::search::{IN_A_ROW, Slopes};
use super::valve::Opening;
use crate::job::{Evaporating, LineId, ValveKind};
use crate::line::Integrated;
use crate::refrigerant::OutOfRange;
use crate::solve::{Found, Stride, broyden, largest};
use crate::units::factor::FAHRENHEIT_DEGREE;

/// Least step by which a valve is shut from where it just feeds, as a logarithm, and how many steps there may be.
const LEAST_STEP: f64 = 0.004;
const MAXIMUM_STEPS: u32 = 60;
/// Steps in evaporating temperature (K), logarithm of discharge pressure and share of the surface that is dry.
const NUDGE: [f64; 3] = [0.05, 1e-3, 1e-3];
const LONGEST: [f64; 3] = [5.0, 0.15, 0.2];
/// Colder than the air or the fluid by this the search for an evaporator without a balance that feeds begins, K.
const PUMPED_DOWN: f64 = 8.0;
/// Dry shares among which what a line that is all but shut lets through is looked for, from one that starves on either side.
const DRY: [f64; 13] = [0.14, 0.2, 0.28, 0.36, 0.44, 0.52, 0.6, 0.68, 0.76, 0.83, 0.89, 0.94, 0.97];
const BEGIN: usize = 6;
/// Colder than what is round it by these that search begins, K.
const COLDER: [f64; 2] = [16.0, 28.0];
/// By how much the fluid leaves warmer than the refrigerant evaporates where a job tells neither, K (common practice, no source), and
/// by how much it is cooled, K: 54 to 44 F, at which AHRI 550/590 rates (from memory).
const APPROACH: f64 = 4.0;
const RANGE: f64 = 10.0 * FAHRENHEIT_DEGREE;

/// What a starved search turns on.
#[derive(Clone, Copy)]
struct Search<'a> {
    condition: &'a Condition,
    head: Head,
    /// The evaporator with its fluid, where that gives the evaporating temperature.
    fluid: Option<(&'a Evaporator, Fluid)>,
    tolerance: f64,
}

/// What is known of the fluid.
#[derive(Clone, Copy)]
enum Fluid {
    /// It enters at that temperature, K.
    Enters(f64),
    /// It leaves as the job asks.
    LeavesAsAsked,
}

impl Fluid {
    fn entering(self, evaporator: &Evaporator, dry: f64, evaporating: f64) -> f64 {
        match self {
            Self::Enters(entering) => entering,
            Self::LeavesAsAsked => evaporator.entering_for_leaving(dry, evaporating),
        }
    }
}

/// Evaporating temperature (K), logarithm of discharge pressure, share of the surface that is dry (which rests where the
/// evaporating temperature is held).
type Unknowns = [f64; 3];

/// Where a search arrived.
type Arrived = Found<3, Balance>;

impl Circuitry<'_> {
    /// A condition as solved with a valve large enough; where the valve passes less than that, or there is no balance, as it is with
    /// the valve wide open.
    pub(super) fn fed_or_starved(
        &self,
        condition: &Condition,
        fed: Result<Solution, Unbalanced>,
        near: Option<Near>,
        tolerance: f64,
    ) -> Result<Solution, Unbalanced> {
        if !(condition.lines && condition.valve) {
            return fed;
        }
        match fed {
            Ok(mut solution) => {
                let enough = match self.feeds(condition, &mut solution) {
                    Err(Unbalanced::Line { .. }) if self.wrong.leaving_as_read => {
                        return self.starved(condition, Some(&solution), near, tolerance);
                    }
                    enough => enough?,
                };
                match (enough, self.circuit.valve.kind) {
                    (true, ValveKind::Fixed) => self.overfed(condition, solution, tolerance),
                    (true, _) => Ok(solution),
                    (false, _) => self.starved(condition, Some(&solution), near, tolerance),
                }
            }
            // In a machine that runs, a line that does not carry the whole flow carries less.
            Err(cause @ Unbalanced::Line { line: LineId::Liquid, .. }) if self.wrong.leaving_as_read => {
                self.starved(condition, None, near, tolerance).map_err(|_| cause)
            }
            // A line that is too small, and a coil that is, stay what is wrong.
            Err(cause @ (Unbalanced::Line { .. } | Unbalanced::NeverCondenses { .. })) => Err(cause),
            Err(cause) => self.starved(condition, None, near, tolerance).map_err(|_| cause),
        }
    }

    /// Whether the valve, wide open, passes the flow of a solution, of which the liquid line is then integrated.
    fn feeds(&self, condition: &Condition, solution: &mut Solution) -> Result<bool, Unbalanced> {
        let liquid = match solution.balance.liquid_line.take() {
            Some(liquid) => liquid,
            None => self.integrate_liquid(&solution.balance, condition)?,
        };
        solution.balance.liquid_line = Some(liquid);
        Ok(self.passes(self.opening, &solution.balance)? >= solution.balance.line_flow_kg_s)
    }

    /// In a machine that runs, a liquid line that does not carry the rated flow carries less: as it is with that, where it starves the
    /// evaporator.
    pub(super) fn carries_less(&self, condition: &Condition, tolerance: f64) -> Option<Solution> {
        let stops = || matches!(self.rating, Err(Unbalanced::Line { line: LineId::Liquid, .. }));
        let clogged = self.wrong.leaving_as_read && condition.lines && condition.valve && stops();
        clogged.then(|| self.starved(condition, None, None, tolerance).ok()).flatten()
    }

    /// What a valve passes at a balance whose liquid line is integrated, kg/s.
    fn passes(&self, opening: Opening, balance: &Balance) -> Result<f64, OutOfRange> {
        balance.liquid_line.as_ref().map_or(Ok(f64::INFINITY), |liquid| self.through(opening, balance, liquid))
    }

    fn through(&self, opening: Opening, balance: &Balance, liquid: &Integrated) -> Result<f64, OutOfRange> {
        let density = self.fluid.charted(liquid.pressure_Pa, liquid.enthalpy_J_kg)?.density;
        Ok(opening.passes(density, liquid.pressure_Pa, balance.running.suction.pressure))
    }

    /// By how much more a valve that is wide open would pass at a balance with that liquid line, over its flow; negative where it
    /// passes less.
    ///
    /// # Errors
    /// [`OutOfRange`] where the state before the valve is.
    pub fn valve_spare(&self, balance: &Balance, liquid: &Integrated) -> Result<f64, OutOfRange> {
        let passes = self.through(self.opening, balance, liquid)?;
        Ok(passes / balance.line_flow_kg_s - 1.0)
    }

    /// The pressure difference at which a valve that is wide open passes the flow of a balance with that liquid line, Pa.
    ///
    /// # Errors
    /// [`OutOfRange`] where the state before the valve is.
    pub fn valve_requires(&self, balance: &Balance, liquid: &Integrated) -> Result<f64, OutOfRange> {
        let density = self.fluid.charted(liquid.pressure_Pa, liquid.enthalpy_J_kg)?.density;
        Ok(self.opening.requires(density, balance.line_flow_kg_s))
    }

    /// Capacity where the valve starves the evaporator, as in a solution of it, and the fluid leaves as the job asks, W; `None` where
    /// nothing gives it.
    #[must_use]
    pub fn starved_capacity(&self, condition: &Condition, solution: &Solution) -> Option<f64> {
        let fluid = self.fluid_side(condition).map(|evaporator| (evaporator, Fluid::LeavesAsAsked))?;
        let (near, dry) = (Near::from(&solution.balance), solution.starved?.dry_share);
        let mut from_there = |head, _| {
            let search = Search { condition, head, fluid: Some(fluid), tolerance: IN_A_ROW };
            let found = self.arrives(&search, [near.evaporating_K, near.discharge_Pa.ln(), dry]);
            found.map(|found| Self::as_solution(&search, found)).ok_or(Unbalanced::NotConverged)
        };
        let found = self.controlled(condition, Some(near), false, &mut from_there).or_else(|_| {
            let mut slopes = Slopes::default();
            let fed = self.controlled(condition, Some(near), false, &mut |head, near| {
                self.solve_head(condition, head, near, slopes.of(head), IN_A_ROW)
            });
            self.wide_open(condition, fed.ok().as_ref(), (Some(fluid), None), (IN_A_ROW, true))
        });
        Some(found.ok()?.balance.capacity_W)
    }

    /// The evaporator that a wide open valve starves. Where the job holds the suction and tells no fluid, in a machine that runs, one
    /// that is fed as held: its gas is the warmer the less it gets.
    fn that_starves(&self, condition: &Condition, fed: Option<&Solution>) -> Option<Evaporator> {
        let evaporator = &self.circuit.evaporator;
        let Evaporating::Held(held) = evaporator.evaporating else { return self.fluid_side(condition).copied() };
        let rated = self.compressor.rated().capacity_W;
        let capacity = fed.map_or(rated * condition.share, |fed| fed.balance.capacity_W);
        let leaving = held.kelvin() + APPROACH * capacity / rated;
        let about = Evaporator::new(leaving, [APPROACH, RANGE], evaporator.superheat.value, rated);
        self.wrong.leaving_as_read.then_some(about)
    }

    /// With the valve wide open; `like` may be a starved balance nearby.
    fn starved(
        &self,
        condition: &Condition,
        fed: Option<&Solution>,
        like: Option<Near>,
        tolerance: f64,
    ) -> Result<Solution, Unbalanced> {
        let evaporator = self.that_starves(condition, fed);
        let fluid = evaporator.as_ref().map(|evaporator| {
            let fluid = match fed {
                _ if self.wrong.leaving_as_read => Fluid::LeavesAsAsked,
                Some(fed) => Fluid::Enters(evaporator.entering(fed.balance.capacity_W)),
                None => Fluid::Enters(evaporator.entering_at_share(condition.share)),
            };
            (evaporator, fluid)
        });
        self.wide_open(condition, fed, (fluid, like), (tolerance, true))
    }

    /// A fixed restriction that passes more than a valve would let through: superheat falls until the flows agree, or is gone and
    /// liquid runs on to the compressors.
    fn overfed(&self, condition: &Condition, fed: Solution, tolerance: f64) -> Result<Solution, Unbalanced> {
        let Some(evaporator) = self.that_starves(condition, Some(&fed)) else { return Ok(fed) };
        let fluid = Some((&evaporator, Fluid::LeavesAsAsked));
        if let Ok(found) = self.wide_open(condition, Some(&fed), (fluid, None), (tolerance, false)) {
            return Ok(Solution { starved: None, ..found });
        }
        let mut flooded = self.clone();
        flooded.evaporator = Some(evaporator.flooded());
        let mut slopes = Slopes::default();
        let near = Some(Near::from(&fed.balance));
        let found = flooded.controlled(condition, near, false, &mut |head, near| {
            flooded.solve_head(condition, head, near, slopes.of(head), tolerance)
        })?;
        Ok(Solution { flooded: true, ..found })
    }

    fn wide_open(
        &self,
        condition: &Condition,
        fed: Option<&Solution>,
        (fluid, like): (Option<(&Evaporator, Fluid)>, Option<Near>),
        (tolerance, may_pump_down): (f64, bool),
    ) -> Result<Solution, Unbalanced> {
        let mut solve = |head: Head, near: Option<Near>| {
            let search = Search { condition, head, fluid, tolerance };
            let near = near.or(fed.map(|fed| Near::from(&fed.balance)));
            // Where the control holds another head than the one that starves, the valve may feed there.
            let mut here = match (fed, head) {
                (Some(_), Head::Held(_)) if may_pump_down => {
                    self.solve_head(condition, head, near, &mut None, tolerance).ok()
                }
                _ => None,
            };
            if let Some(here) = &mut here
                && self.feeds(condition, here).unwrap_or(false)
            {
                return Ok(here.clone());
            }
            let near = here.map(|here| Near::from(&here.balance)).or(near);
            let found = like
                .and_then(|like| self.arrives(&search, [like.evaporating_K, like.discharge_Pa.ln(), like.dry_share?]));
            let found = found.or_else(|| near.and_then(|near| self.shut(&search, near)));
            let pumped_down = || {
                if may_pump_down {
                    self.pumped_down(&search).or_else(|| self.by_dry_share(&search, near))
                } else {
                    None
                }
            };
            let found = found.or_else(pumped_down).ok_or(Unbalanced::NotConverged)?;
            Ok(Self::as_solution(&search, found))
        };
        self.controlled(condition, fed.map(|fed| Near::from(&fed.balance)), false, &mut solve)
    }

    fn as_solution(search: &Search, found: Arrived) -> Solution {
        let Arrived { x: [.., dry_share], carried: balance, residuals, steps } = found;
        let fluid = search.fluid.map(|(evaporator, fluid)| {
            let entering = match fluid {
                Fluid::Enters(entering) => entering,
                Fluid::LeavesAsAsked => evaporator.entering(balance.capacity_W),
            };
            [entering, evaporator.leaving_from(entering, balance.capacity_W)]
        });
        let solution = Self::solution(balance, search.head, largest(&residuals), steps);
        Solution { starved: Some(Starved { fluid_K: fluid, dry_share }), ..solution }
    }

    /// Residuals with a valve of that opening: head, valve and evaporator, all relative.
    fn starving(&self, search: &Search, opening: Opening, x: &Unknowns) -> Option<(Balance, Unknowns)> {
        let (mut balance, [head, surface]) = self.unfed(search, x)?;
        let valve = self.over_flow(search, opening, &mut balance)?;
        Some((balance, [head, valve, surface]))
    }

    /// By how much more a valve of that opening passes than flows, over that.
    fn over_flow(&self, search: &Search, opening: Opening, balance: &mut Balance) -> Option<f64> {
        if balance.liquid_line.is_none() {
            balance.liquid_line = Some(self.integrate_liquid(balance, search.condition).ok()?);
        }
        Some(self.passes(opening, balance).ok()? / balance.line_flow_kg_s - 1.0)
    }

    /// Residuals whatever the valve passes: head and evaporator, both relative.
    fn unfed(&self, search: &Search, x: &Unknowns) -> Option<(Balance, [f64; 2])> {
        let [evaporating, ln_p, dry] = *x;
        let superheat = match search.fluid {
            Some((evaporator, fluid)) => {
                let entering = fluid.entering(evaporator, dry, evaporating);
                if !(entering > evaporating && (0.0..1.0).contains(&dry)) {
                    return None;
                }
                evaporator.superheat_over(dry, entering, evaporating)
            }
            None => self.circuit.evaporator.superheat.value,
        };
        let balance = self.with_superheat(evaporating, superheat, ln_p.exp(), search.condition, search.head).ok()?;
        let surface = match search.fluid {
            Some((evaporator, fluid)) => {
                let entering = fluid.entering(evaporator, dry, evaporating);
                (evaporator.takes(dry, entering, evaporating) - balance.capacity_W) / evaporator.rated_capacity()
            }
            None => dry - DRY_SHARE,
        };
        let head = self.residual_of_head(&balance, search.condition, search.head);
        Some((balance, [head, surface]))
    }

    /// From a balance that feeds, the valve shut (a fixed restriction: opened) to where it is open as it can be, at once or by steps.
    fn shut(&self, search: &Search, near: Near) -> Option<Arrived> {
        let mut x = [near.evaporating_K, near.discharge_Pa.ln(), DRY_SHARE];
        // Where the valve would have to be open to feed.
        let (there, _) = self.starving(search, self.opening, &x)?;
        let passes = self.passes(self.opening, &there).ok()?;
        let mut open = if passes > 0.0 { (there.line_flow_kg_s / passes).ln() } else { 3.0 };
        let (mut slopes, mut step, mut steps) = (None, open.abs(), 0);
        let stride = Stride { nudge: NUDGE, longest: LONGEST, tolerance: search.tolerance, maximum: 30 };
        loop {
            let next = if open > 0.0 { (open - step).max(0.0) } else { (open + step).min(0.0) };
            let opening = self.opening.times(next.exp());
            let kept = slopes;
            steps += 1;
            if steps > MAXIMUM_STEPS {
                return None;
            }
            match broyden(|x| self.starving(search, opening, x), x, &stride, &mut slopes) {
                Some(found) if next.abs() <= 0.0 => return Self::refrigerates(&found.carried).then_some(found),
                Some(found) => (x, open) = (found.x, next),
                None if slopes.is_some() && kept.is_some() => slopes = None,
                None if step > LEAST_STEP => (slopes, step) = (None, step / 2.0),
                None => return None,
            }
        }
    }

    /// Where no balance feeds: from an evaporator that is pumped down.
    fn pumped_down(&self, search: &Search) -> Option<Arrived> {
        [PUMPED_DOWN, 2.0 * PUMPED_DOWN, 0.25 * PUMPED_DOWN].into_iter().find_map(|colder| {
            let [evaporating, ln_p] = self.colder(search, colder)?;
            self.arrives(search, [evaporating, ln_p, 0.6])
        })
    }

    /// Evaporating temperature and logarithm of the discharge pressure of an evaporator so much colder than what is round it.
    fn colder(&self, search: &Search, colder: f64) -> Option<[f64; 2]> {
        let condition = search.condition;
        let warmest = self.target_evaporating(0.0, condition);
        let condensing = match search.head {
            Head::Held(setpoint) => setpoint,
            Head::Coil { .. } => condition.outdoor_K + 0.5 * PUMPED_DOWN,
        };
        Some([warmest.min(condition.outdoor_K) - colder, self.fluid.dew_pressure(condensing).ok()?.ln()])
    }

    fn arrives(&self, search: &Search, start: Unknowns) -> Option<Arrived> {
        let stride = Stride { nudge: NUDGE, longest: LONGEST, tolerance: search.tolerance, maximum: 60 };
        let found = broyden(|x| self.starving(search, self.opening, x), start, &stride, &mut None)?;
        let starves = !self.wrong.leaving_as_read || found.x[2] >= DRY_SHARE;
        let starves = starves && Self::refrigerates(&found.carried);
        starves.then_some(found)
    }

    /// Where a line that does not carry the flow of an evaporator that is fed stops the search: the flow follows from what of the
    /// surface is dry, whatever the valve passes, and is held against that.
    fn by_dry_share(&self, search: &Search, near: Option<Near>) -> Option<Arrived> {
        search.fluid?;
        let stride =
            Stride { nudge: [NUDGE[0], NUDGE[1]], longest: [LONGEST[0], LONGEST[1]], tolerance: 1e-6, maximum: 40 };
        let at = |dry: f64, start: [f64; 2]| {
            let found = broyden(|x| self.unfed(search, &[x[0], x[1], dry]), start, &stride, &mut None)?;
            let (x, mut balance) = (found.x, found.carried);
            // What the line does not carry is more than the valve passes.
            let over = self.over_flow(search, self.opening, &mut balance).unwrap_or(-1.0);
            Some((over, [x[0], x[1], dry]))
        };
        let near = near.map(|near| [near.evaporating_K, near.discharge_Pa.ln()]);
        let starts: Vec<[f64; 2]> =
            near.into_iter().chain(COLDER.iter().filter_map(|colder| self.colder(search, *colder))).collect();
        let begun = |place: usize| starts.iter().find_map(|start| Some((place, at(DRY[place], *start)?)));
        let (begun, first) = (BEGIN..DRY.len()).find_map(begun)?;
        let drier = first.0 < 0.0;
        let rest: &mut dyn Iterator<Item = &f64> =
            if drier { &mut DRY[begun + 1..].iter() } else { &mut DRY[..begun].iter().rev() };
        let (mut here, mut passes) = (first, first);
        for dry in rest {
            let [evaporating, ln_p, _] = here.1;
            let Some(found) = at(*dry, [evaporating, ln_p]) else { break };
            here = found;
            if drier || found.0 >= 0.0 {
                passes = found;
            }
            if (found.0 < 0.0) != drier {
                break;
            }
        }
        if passes.0 < 0.0 { None } else { self.arrives(search, passes.1) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::machine::condition::FREE;
    use crate::machine::testing::{FILM, at, circuit};
    use crate::machine::wrong::Wrong;

    /// What a valve that opens to so much starves is one, wherever the search for it begins; the share of the surface that is dry.
    fn starved(valve: f64) -> f64 {
        let circuit = circuit(|_| {});
        let as_rated = Circuitry::new(&circuit, FILM).unwrap();
        let chiller = as_rated.with(&Wrong { valve, ..Wrong::NOTHING });
        let condition = at(300.0);
        let there = chiller.solve(&condition, None).unwrap();
        let starved = there.starved.unwrap();
        let fluid = Some((chiller.evaporator.as_ref().unwrap(), Fluid::Enters(starved.fluid_K.unwrap()[0])));
        let search = Search { condition: &condition, head: FREE, fluid, tolerance: 1e-9 };
        for found in [chiller.pumped_down(&search), chiller.by_dry_share(&search, None)] {
            let found = found.unwrap();
            assert!((found.x[0] - there.balance.evaporating_K).abs() < 1e-4, "{:?}", found.x);
            assert!((found.x[2] - starved.dry_share).abs() < 1e-5, "{:?}", found.x);
        }
        // From 45 F, the fluid that leaves, and condensing 4 K over the air.
        let [evaporating, ln_p] = chiller.colder(&search, 8.0).unwrap();
        assert!((evaporating - (280.372 - 8.0)).abs() < 1e-3);
        assert!((ln_p.exp() / chiller.fluid.dew_pressure(304.0).unwrap() - 1.0).abs() < 1e-9);
        starved.dry_share
    }

    #[test]
    fn what_starves_is_found_from_pumped_down_and_by_the_dry_share_too() {
        // On either side of the 0.6 at which the search by dry shares begins.
        let [little, more] = [0.45, 0.25].map(starved);
        assert!((DRY_SHARE..0.6).contains(&little) && more > 0.6, "{little} {more}");
    }
}
