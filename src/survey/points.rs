//! The operating points of a circuit.

use super::answer::{
    LineAnswer, OilLift, OutState, PipeAnswer, Point, PointId, RunAnswer, StateAnswer, States, Unsolved, Why,
};
use super::circuit::CircuitSurvey;
use crate::job::{BypassWhen, Circuit, Job, Line, Path};
use crate::line::{Integrated, Medium, RunResult};
use crate::machine::{Circuitry, Condition, Near, Solution, Unbalanced};
use crate::refrigerant::{Flow, OutOfRange, Refrigerant, State};

/// Where the search for the points of a circuit begins.
#[derive(Clone, Copy)]
pub(super) enum From<'a> {
    /// Each near `summer full`.
    Anew,
    /// Each near the same of a circuit that is like it, in so much work at the most.
    Near(&'a CircuitSurvey, u64),
    /// They are those of a circuit in which the same flows.
    Solved(&'a CircuitSurvey),
}

/// What the search for a point may do, in steps along lines: many times what one takes that is hard to find.
const WORK: u64 = 40_000;

/// The points of a circuit.
pub(super) struct Found {
    /// Those that have a solution...
    pub points: Vec<Point>,
    /// ...those that have none...
    pub unsolved: Vec<Unsolved>,
    /// ...the balance of `summer full`, where it was searched...
    pub summer: Option<Solution>,
    /// ...and whether a search had done all that it may.
    pub cut: bool,
}

/// Searches for all points.
pub(super) fn all(job: &Job, circuitry: &Circuitry, from: From) -> Found {
    let (like, work): (&[Point], u64) = match from {
        From::Anew => (&[], WORK),
        From::Near(like, work) => (&like.points, work),
        From::Solved(like) => {
            let (points, unsolved) = (like.points.clone(), like.unsolved.clone());
            return Found { points, unsolved, summer: None, cut: like.cut };
        }
    };
    let mut points = Vec::new();
    let mut unsolved = Vec::new();
    let (mut summer, mut cut) = (None, false);
    match rating(job, circuitry) {
        Ok(point) => points.push(point),
        Err(unbalanced) => unsolved.push(without(job, PointId::Rating, unbalanced)),
    }
    for (id, condition) in conditions(job, circuitry) {
        let near = like.iter().find(|point| point.id == id).map(near);
        let near = near.or_else(|| summer.as_ref().map(|summer: &Solution| Near::from(&summer.balance)));
        circuitry.work.allow(work);
        let solved = circuitry.solve_near(&condition, near).and_then(|solution| {
            let point = point(circuitry, (id, id.name(job)), &condition, &solution)?;
            Ok((point, solution))
        });
        cut |= circuitry.work.is_spent();
        match solved {
            Ok((point, solution)) => {
                points.push(point);
                if id == PointId::SummerFull {
                    summer = Some(solution);
                }
            }
            Err(unbalanced) => unsolved.push(without(job, id, unbalanced)),
        }
    }
    circuitry.work.allow(u64::MAX);
    Found { points, unsolved, summer, cut }
}

fn near(point: &Point) -> Near {
    Near {
        evaporating_K: point.evaporating_K,
        condensing_K: point.condensing_K,
        discharge_Pa: point.state.discharge.pressure_Pa,
        dry_share: point.dry_share,
    }
}

/// A point that has no solution.
fn without(job: &Job, id: PointId, unbalanced: Unbalanced) -> Unsolved {
    Unsolved { id, name: id.name(job).to_owned(), why: why(unbalanced) }
}

/// What the named operating points ask of a circuit.
///
/// Oil is hardest to lift where the minimum flow is of the densest gas: at least load on the design day, at the condensing temperature
/// that its own balance has there. That of full load goes with the heat of full load, and the minimum flow never meets it but in the
/// moment after the others have stopped; the spare that `oil-riser` requires covers it.
fn conditions(job: &Job, circuitry: &Circuitry) -> Vec<(PointId, Condition)> {
    let compressors = &circuitry.circuit.compressors;
    let bypass = |minimum: bool| match compressors.bypass.when {
        BypassWhen::Always => compressors.bypass.share,
        BypassWhen::Minimum if minimum => compressors.bypass.share,
        BypassWhen::Minimum | BypassWhen::Never => 0.0,
    };
    let site = &job.site;
    let condition = |outdoor: f64, share: f64, bypass: f64| Condition {
        share,
        bypass,
        ..summer_condition(job, circuitry.circuit, outdoor)
    };
    let (summer, winter) = (site.summer.kelvin(), site.winter.kelvin());
    let minimum = compressors.minimum_share;
    let mut all = vec![
        (PointId::SummerFull, condition(summer, 1.0, bypass(false))),
        (PointId::SummerMinimum, condition(summer, minimum, bypass(true))),
        (PointId::WinterFull, condition(winter, 1.0, bypass(false))),
        (PointId::WinterMinimum, condition(winter, minimum, bypass(true))),
    ];
    for (index, own) in job.points.iter().enumerate() {
        let share = if own.bypass { compressors.bypass.share } else { 0.0 };
        all.push((PointId::Own(index), condition(own.outdoor.kelvin(), own.share, share)));
    }
    all
}

/// All compressors at an outdoor temperature, no bypass, everything switched on.
pub(crate) fn summer_condition(job: &Job, circuit: &Circuit, outdoor: f64) -> Condition {
    Condition {
        outdoor_K: outdoor,
        recirculation_K: circuit.condenser.recirculation.unwrap_or(job.site.recirculation).value,
        atmosphere_Pa: job.site.atmosphere.pascals(),
        share: 1.0,
        bypass: 0.0,
        lines: true,
        held_K: None,
        control: true,
        valve: true,
    }
}

/// The rating, as a point: the outdoor temperature is the one at which the coil rejects its heat at sea level.
fn rating(job: &Job, circuitry: &Circuitry) -> Result<Point, Unbalanced> {
    let balance = circuitry.rating()?;
    let top = balance.running.discharge_Pa;
    // No air is cold enough.
    let outdoor = circuitry.rating_air_on(&balance).ok_or(Unbalanced::NeverCondenses { top_Pa: top })?;
    let condition = Condition {
        outdoor_K: outdoor,
        recirculation_K: 0.0,
        atmosphere_Pa: circuitry.coil.rated_pressure(),
        share: 1.0,
        bypass: 0.0,
        lines: false,
        held_K: Some(balance.evaporating_K),
        control: false,
        valve: false,
    };
    let solution = Solution {
        balance,
        air_share: 1.0,
        flooded_share: 0.0,
        starved: None,
        flooded: false,
        residual: 0.0,
        evaluations: 1,
    };
    point(circuitry, (PointId::Rating, PointId::Rating.name(job)), &condition, &solution)
}

/// A solved condition as an answer.
fn point(
    circuitry: &Circuitry,
    (id, name): (PointId, &str),
    condition: &Condition,
    solution: &Solution,
) -> Result<Point, Unbalanced> {
    let fluid = circuitry.fluid;
    let balance = &solution.balance;
    let liquid = &*circuitry.liquid_line(balance, condition)?;
    let running = &balance.running;
    let state = |p: f64, h: f64| fluid.state_ph(p, h).map(|state| answer(&state));
    let discharge_inlet = (running.discharge_Pa, running.discharge_J_kg);
    let liquid_inlet = (balance.leaving_Pa, balance.leaving_J_kg);
    let (from, to) = (&balance.discharge_line, liquid);
    Ok(Point {
        id,
        name: name.to_string(),
        outdoor_K: condition.outdoor_K,
        air_on_K: condition.outdoor_K + condition.recirculation_K,
        compressor_share: condition.share,
        bypass_share: condition.bypass,
        evaporating_K: balance.evaporating_K,
        condensing_K: balance.condensing_K,
        capacity_W: balance.capacity_W,
        power_W: running.power_W,
        rejection_W: balance.rejection_W,
        mass_flow_kg_s: running.flow_kg_s,
        air_share: solution.air_share,
        flooded_share: solution.flooded_share,
        starved: solution.starved.is_some(),
        dry_share: solution.starved.map(|starved| starved.dry_share),
        leaving_K: solution.starved.and_then(|starved| starved.fluid_K).map(|[_, leaving]| leaving),
        capacity_at_leaving_W: solution.starved.filter(|_| id == PointId::SummerFull).and_then(|starved| {
            starved.fluid_K?;
            circuitry.starved_capacity(condition, solution)
        }),
        flooded: solution.flooded,
        valve_requires_Pa: circuitry.valve_requires(balance, liquid)?,
        state: States {
            suction: answer(&running.suction),
            discharge: state(discharge_inlet.0, discharge_inlet.1)?,
            condenser_inlet: state(from.pressure_Pa, from.enthalpy_J_kg)?,
            condenser_outlet: state(liquid_inlet.0, liquid_inlet.1)?,
            valve_inlet: state(to.pressure_Pa, to.enthalpy_J_kg)?,
        },
        discharge_line: line(
            fluid,
            &circuitry.circuit.discharge,
            from,
            Medium::Gas,
            balance.line_flow_kg_s,
            discharge_inlet,
        )?,
        liquid_line: line(fluid, &circuitry.circuit.liquid, to, Medium::Liquid, balance.line_flow_kg_s, liquid_inlet)?,
    })
}

fn answer(state: &State) -> StateAnswer {
    StateAnswer {
        pressure_Pa: state.pressure,
        temperature_K: state.temperature,
        density_kg_m3: state.density,
        enthalpy_J_kg: state.enthalpy,
        viscosity_Pa_s: state.viscosity,
        quality: state.quality,
    }
}

fn line(
    fluid: &Refrigerant,
    drawn: &Line,
    integrated: &Integrated,
    medium: Medium,
    flow: f64,
    inlet: (f64, f64),
) -> Result<LineAnswer, OutOfRange> {
    let sum = |of: fn(&RunResult) -> f64| integrated.runs.iter().map(of).sum::<f64>();
    let (friction, parts) = (sum(|run| run.friction_Pa), sum(|run| run.part_Pa));
    let saturation = |p: f64| match medium {
        Medium::Gas => fluid.dew_temperature(p),
        Medium::Liquid => fluid.bubble_temperature(p),
    };
    let runs: Vec<RunAnswer> = drawn
        .runs
        .iter()
        .zip(&integrated.runs)
        .enumerate()
        .map(|(i, (run, result))| self::run(fluid, i + 1, run, result, medium))
        .collect::<Result<_, _>>()?;
    let (mut minimum, mut entering_with) = (None, None);
    if medium == Medium::Liquid {
        let mut worst = (inlet_margin(fluid, inlet)?, 0);
        entering_with = Some(rounding(worst.0));
        for (answer, result) in runs.iter().zip(&integrated.runs) {
            let margin = result.minimum_margin_K.unwrap_or(f64::INFINITY);
            if margin < worst.0 {
                worst = (margin, answer.index);
            }
        }
        minimum = Some(worst);
    }
    Ok(LineAnswer {
        flow_kg_s: flow,
        heat_W: integrated.heat_W,
        subcooled_W: sum(|run| run.subcooled_W),
        length_m: sum(|run| run.length_m),
        equivalent_length_m: sum(|run| run.equivalent_m),
        rise_m: drawn.runs.iter().map(|run| run.path.rise_m()).sum(),
        friction_Pa: friction,
        parts_Pa: parts,
        static_Pa: sum(|run| run.static_Pa),
        pressure_drop_Pa: inlet.0 - integrated.pressure_Pa,
        // Where the loss alone, without what falling earns back, would leave the range: the same loss above the outlet.
        saturation_drop_K: match saturation(inlet.0 - friction - parts) {
            Ok(left) => saturation(inlet.0)? - left,
            Err(_) => saturation(integrated.pressure_Pa + friction + parts)? - saturation(integrated.pressure_Pa)?,
        },
        inlet_subcooling_K: entering_with,
        minimum_subcooling_K: minimum.map(|(value, _)| rounding(value)),
        minimum_subcooling_run: minimum.map(|(_, run)| run),
        runs,
    })
}

/// Bubble temperature less temperature of the liquid that enters a line at that pressure and enthalpy, K.
pub(super) fn inlet_margin(fluid: &Refrigerant, (p, h): (f64, f64)) -> Result<f64, OutOfRange> {
    Ok(fluid.bubble_temperature(p)? - fluid.state_ph(p, h)?.temperature)
}

/// Flow over the minimum flow that lifts oil in the worst open tube of a run; infinite where there is none to lift.
pub(super) fn oil_ratio(result: &RunResult) -> f64 {
    let open = result.tubes.iter().filter(|pipe| !pipe.sealed);
    let ratios = open.filter_map(|pipe| {
        pipe.oil_minimum_kg_s.filter(|minimum| *minimum > 0.0).map(|minimum| pipe.flow_kg_s / minimum)
    });
    ratios.fold(f64::INFINITY, f64::min)
}

/// A margin without what rounding alone leaves of it on the line itself.
pub(super) fn rounding(margin: f64) -> f64 {
    if margin.abs() < 1e-9 { 0.0 } else { margin }
}

fn run(
    fluid: &Refrigerant,
    index: usize,
    drawn: &crate::job::Run,
    result: &RunResult,
    medium: Medium,
) -> Result<RunAnswer, OutOfRange> {
    let (path, part) = match &drawn.path {
        Path::Level { .. } => ("level", None),
        Path::Rise { .. } => ("rise", None),
        Path::Drop { .. } => ("drop", None),
        Path::Part(part) => ("part", Some(part.name.clone())),
    };
    let tubes: Vec<PipeAnswer> = drawn
        .tubes
        .iter()
        .zip(&result.tubes)
        .map(|(tube, pipe)| PipeAnswer {
            size: tube.name.clone(),
            bore_m: tube.bore().value,
            flow_kg_s: pipe.flow_kg_s,
            velocity_m_s: pipe.velocity_m_s,
            reynolds: pipe.reynolds,
            friction_factor: pipe.friction_factor,
            oil_minimum_flow_kg_s: pipe.oil_minimum_kg_s,
            sealed: pipe.sealed,
        })
        .collect();
    let ratio = oil_ratio(result);
    let Flow { temperature, density, viscosity, quality, .. } = result.out;
    let (subcooling, superheat) = match medium {
        Medium::Liquid => (Some(rounding(fluid.charted_bubble(result.pressure_Pa)? - temperature)), None),
        Medium::Gas => (None, Some(temperature - fluid.dew_temperature(result.pressure_Pa)?)),
    };
    Ok(RunAnswer {
        index,
        path,
        part,
        length_m: result.length_m,
        equivalent_length_m: result.equivalent_m,
        tubes,
        friction_Pa: result.friction_Pa + result.part_Pa,
        static_Pa: result.static_Pa,
        heat_W: result.heat_W,
        charge_kg: result.charge_kg,
        oil_lift: ratio.is_finite().then_some(OilLift { ratio }),
        warmest_K: result.warmest_K,
        out: OutState {
            state: StateAnswer {
                pressure_Pa: result.pressure_Pa,
                temperature_K: temperature,
                density_kg_m3: density,
                enthalpy_J_kg: result.enthalpy_J_kg,
                viscosity_Pa_s: viscosity,
                quality,
            },
            subcooling_K: subcooling,
            superheat_K: superheat,
        },
    })
}

fn why(unbalanced: Unbalanced) -> Why {
    match unbalanced {
        Unbalanced::NeverCondenses { top_Pa: top } => Why::NeverCondenses { top_Pa: top },
        Unbalanced::FallsToSuction { evaporating_K: evaporating } => Why::FallsToSuction { evaporating_K: evaporating },
        Unbalanced::Line { line, fault } => Why::LineTooSmall { line, run: fault.run },
        Unbalanced::Range(cause) => Why::OutOfRange(cause),
        Unbalanced::NoRefrigeration(cause) => Why::NoBalance(cause.to_owned()),
        Unbalanced::NotConverged => Why::NoBalance("the solution did not converge".into()),
    }
}
