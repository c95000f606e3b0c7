//! What the design day leaves of the capacity, and why.

use super::answer::{CurvePoint, Derating, Step};
use super::points::summer_condition;
use crate::job::{Evaporating, Job};
use crate::machine::{Balance, Circuitry, Condition, Near, Slopes, Solution};
use crate::solve::lagrange;
use crate::units::{Pressure, System};

/// Where the curve begins and its step, K: 60 F and 10 F, or 15 °C and 5 K, so that a table of it is round.
const fn curve_places(units: System) -> (f64, f64) {
    match units {
        System::Ip => (288.705_555_555_555_6, 10.0 / 1.8),
        System::Si => (288.15, 5.0),
    }
}

/// Derating of a circuit whose `summer full` is solved. The causes are switched on in turn, so they add up exactly; none
/// where a step has no balance. Its curve stands in it where it is asked for.
pub(super) fn derating(job: &Job, circuitry: &Circuitry, solved: &Solution, with_curve: bool) -> Option<Derating> {
    let rated = circuitry.compressor.rated();
    let summer = &solved.balance;
    let design = summer_condition(job, circuitry.circuit, job.site.summer.kelvin());
    let bypass = match circuitry.circuit.compressors.bypass {
        crate::job::Bypass { share, when: crate::job::BypassWhen::Always } => share,
        _ => 0.0,
    };
    let bare = Condition {
        recirculation_K: 0.0,
        atmosphere_Pa: circuitry.coil.rated_pressure(),
        lines: false,
        valve: false,
        held_K: Some(rated.evaporating_K),
        ..design
    };
    let mut stages = vec![("outdoor temperature", bare)];
    let mut then = |cause: &'static str, change: &dyn Fn(&mut Condition)| {
        let mut next = stages[stages.len() - 1].1;
        change(&mut next);
        stages.push((cause, next));
    };
    then("altitude", &|c| c.atmosphere_Pa = design.atmosphere_Pa);
    then("recirculation", &|c| c.recirculation_K = design.recirculation_K);
    then("discharge-line loss", &|c| c.lines = true);
    let cause = match circuitry.circuit.evaporator.evaporating {
        Evaporating::Held(_) => "evaporating temperature, constant",
        Evaporating::Approach { .. } => "evaporating temperature from the fluid",
    };
    then(cause, &|c| c.held_K = None);
    if bypass > 0.0 {
        then("hot-gas bypass", &|c| c.bypass = bypass);
    }
    if solved.starved.is_some() {
        then("expansion valve that starves", &|c| c.valve = true);
    }
    let last = stages.len() - 1;
    let mut steps = Vec::new();
    let mut before = rated.capacity_W;
    let mut near = Near::from(summer);
    let mut slopes = Slopes::default();
    for (i, (cause, condition)) in stages.into_iter().enumerate() {
        let capacity = if i == last {
            summer.capacity_W
        } else {
            let solution = circuitry.solve_along(&condition, Some(near), &mut slopes).ok()?;
            near = Near::from(&solution.balance);
            solution.balance.capacity_W
        };
        steps.push(Step { cause: cause.to_string(), change_W: capacity - before });
        before = capacity;
    }
    let full = Condition { bypass, ..design };
    let range = circuitry.fluid.range();
    let top = range.pressure_max * 0.999;
    let cutout = circuitry.circuit.condenser.cutout.map(Pressure::pascals).filter(|cutout| *cutout <= top);
    let (highest, at_cutout) = highest(circuitry, &full, cutout.unwrap_or(top), Near::from(summer))?;
    Some(Derating {
        rated_W: rated.capacity_W,
        at_design_W: summer.capacity_W,
        share: summer.capacity_W / rated.capacity_W,
        steps,
        curve: if with_curve {
            curve(circuitry, &full, (highest, &at_cutout), curve_places(job.units))
        } else {
            Vec::new()
        },
        highest_outdoor_K: highest,
        highest_is_cutout: cutout.is_some(),
    })
}

/// The outdoor temperature at which the discharge pressure reaches `top`; where the gas leaves the refrigerant's range before,
/// at the highest pressure that can be solved.
fn highest(circuitry: &Circuitry, full: &Condition, top: f64, summer: Near) -> Option<(f64, Balance)> {
    (0..40).find_map(|i| circuitry.outdoor_at(top * 0.99_f64.powi(i), full, summer).ok())
}

/// Where the next balance lies, by the parabola through the last three outdoor temperatures (K) and balances.
fn extrapolated(past: &[(f64, Near)], outdoor: f64) -> Option<Near> {
    let newest = past.get(past.len().saturating_sub(3)..)?;
    let places: Vec<f64> = newest.iter().map(|(place, _)| *place).collect();
    let weights = lagrange(&places, outdoor);
    let at = |of: fn(&Near) -> f64| newest.iter().zip(&weights).map(|((_, near), weight)| weight * of(near)).sum();
    Some(Near {
        evaporating_K: at(|near| near.evaporating_K),
        condensing_K: at(|near| near.condensing_K),
        discharge_Pa: at(|near| near.discharge_Pa),
        dry_share: None,
    })
}

/// Capacity from an outdoor temperature in steps to the highest one, K.
fn curve(
    circuitry: &Circuitry,
    full: &Condition,
    (highest, at_cutout): (f64, &Balance),
    (from, step): (f64, f64),
) -> Vec<CurvePoint> {
    let point = |outdoor: f64, balance: &Balance| CurvePoint {
        outdoor_K: outdoor,
        capacity_W: balance.capacity_W,
        power_W: balance.running.power_W,
        condensing_K: balance.condensing_K,
    };
    let mut curve = vec![point(highest, at_cutout)];
    let mut slopes = Slopes::default();
    let mut past = vec![(highest, Near::from(at_cutout))];
    // From the hot end down, each solution guessed from those before.
    let mut steps = 0_u32;
    while from + f64::from(steps) * step < highest && steps < 30 {
        steps += 1;
    }
    for i in (0..steps).rev() {
        let outdoor = from + f64::from(i) * step;
        if let Ok(solution) =
            circuitry.solve_along(&Condition { outdoor_K: outdoor, ..*full }, extrapolated(&past, outdoor), &mut slopes)
        {
            past.push((outdoor, Near::from(&solution.balance)));
            curve.push(point(outdoor, &solution.balance));
        }
    }
    curve.reverse();
    curve
}
