//! Ways to feed the expansion valve with solid liquid.

use super::{Trial, Tries, half_degree_up, name_control, name_sizing, whole_degree_up, widen};
use crate::job::LineId;
use crate::job::{Around, Circuit, HeadControl, Path, ReceiverStyle, Run};
use crate::rules::case::Case;
use crate::rules::liquid_flash::worst;
use crate::survey::{Point, PointId, feed};
use crate::units::{Temperature, kelvins, metres};

/// Insulation that is tried: 1 in.
const INSULATION_M: f64 = 0.0254;

/// Pipes every receiver so that subcooled liquid bypasses it.
fn surge(circuit: &mut Circuit) {
    for run in &mut circuit.liquid.runs {
        if let Path::Part(part) = &mut run.path
            && let Some(receiver) = &mut part.receiver
        {
            receiver.style = ReceiverStyle::Surge;
        }
    }
}

/// The ways found, those that break no other rule before those that do.
#[derive(Default)]
struct Ways {
    good: Vec<String>,
    second: Vec<String>,
}

impl Ways {
    /// Keeps a way that mends.
    fn add(&mut self, case: &Case, what: &str, trial: &Trial) {
        let show = case.show();
        let changed = trial.case();
        let leaves = worst(&changed).map_or_else(String::new, |(point, _)| {
            format!(
                ": {} at the valve at {}",
                show.difference(feed(changed.circuit, &point.liquid_line).valve),
                point.name
            )
        });
        let way = format!("{what} would do{leaves}.{}", trial.but());
        if trial.breaks_nothing() { self.good.push(way) } else { self.second.push(way) }
    }

    /// Two ways at most.
    fn tell(self) -> Option<String> {
        let ways = if self.good.is_empty() { self.second.into_iter().take(1).collect() } else { self.good };
        (!ways.is_empty()).then(|| ways.into_iter().take(2).collect::<Vec<_>>().join(" Or: "))
    }
}

/// What feeds the valve: two ways at most.
pub(in crate::rules) fn feeding(case: &Case, tries: &mut Tries) -> Option<String> {
    let show = case.show();
    let (point, short) = worst(case)?;
    let mut ways = Ways::default();
    let through = case.circuit.liquid.runs.iter().any(Run::passes_through);
    let mut surged = None;
    if through {
        surged = tries.with(surge);
        if let Some(trial) = surged.as_ref().filter(|trial| trial.mends()) {
            ways.add(case, "A surge receiver", trial);
        }
    }
    larger_tubes(case, tries, &mut ways, point, short);
    if point.liquid_line.heat_W < 0.0 && case.circuit.liquid.runs.iter().any(bare) {
        let insulated = tries.with(|circuit| {
            for run in circuit.liquid.runs.iter_mut().filter(|run| bare(run)) {
                run.insulation = metres(INSULATION_M);
            }
        });
        if let Some(trial) = insulated.filter(Trial::mends) {
            ways.add(case, &format!("{} of insulation on the liquid line", show.small_length(INSULATION_M)), &trial);
        }
    }
    match surged {
        Some(trial) if trial.mends() => {}
        Some(trial) => {
            let short = worst(&trial.case()).map_or(short, |(_, margin)| margin);
            if let Some((gives, trial)) = more_subcooling(case, tries, point.id, short, surge) {
                let what = format!("A surge receiver and {} of subcooling at the condenser", show.difference(gives));
                ways.add(case, &what, &trial);
            }
        }
        None if through => {}
        None => {
            if let Some((gives, trial)) = more_subcooling(case, tries, point.id, short, |_| {}) {
                ways.add(case, &format!("{} of subcooling at the condenser", show.difference(gives)), &trial);
            }
        }
    }
    ways.tell().or_else(|| with_the_head_held(case, tries))
}

/// What mends a head that is not held mends this too, where the valve starves for want of it.
fn with_the_head_held(case: &Case, tries: &mut Tries) -> Option<String> {
    let show = case.show();
    let other = ["winter-hold", "valve-pressure"].into_iter().find(|rule| tries.failed(rule))?;
    let hold = match case.circuit.condenser.head_control {
        HeadControl::Fans { hold, .. } | HeadControl::Flooding { hold } => hold,
        HeadControl::None => {
            let warmest = case.points().map(|point| point.evaporating_K).fold(0.0, f64::max);
            Temperature::from_kelvin(whole_degree_up(show, warmest + 30.0))
        }
    };
    let control = HeadControl::Flooding { hold };
    let trial = tries.with(|circuit| circuit.condenser.head_control = control).filter(Trial::mends)?;
    let changed = trial.case();
    let (point, _) = worst(&changed)?;
    Some(format!(
        "What mends {other} mends this too. {} would do: {} at the valve at {}.{}",
        name_control(case, control),
        show.difference(feed(changed.circuit, &point.liquid_line).valve),
        point.name,
        trial.but()
    ))
}

/// Whether a run takes heat that insulation would keep out.
fn bare(run: &crate::job::Run) -> bool {
    matches!(run.around, Some(Around::Air(_) | Around::Outdoor(_))) && run.insulation.value < INSULATION_M
}

fn larger_tubes(case: &Case, tries: &mut Tries, ways: &mut Ways, point: &Point, short: f64) {
    let line = &point.liquid_line;
    let lost = line.friction_Pa + line.parts_Pa;
    if lost <= 0.0 || line.saturation_drop_K <= 0.0 {
        return;
    }
    let wanted = line.friction_Pa + short * lost / line.saturation_drop_K;
    if let Some((sizing, trial)) = widen(tries, LineId::Liquid, point, &[wanted]) {
        ways.add(case, &name_sizing(&case.circuit.liquid, &sizing), &trial);
    }
}

/// The subcooling at the condenser that mends, found by correcting it by what is still short, and never more than the air on
/// it allows.
fn more_subcooling<'a>(
    case: &Case,
    tries: &mut Tries<'a>,
    point: PointId,
    short: f64,
    also: impl Fn(&mut Circuit),
) -> Option<(f64, Trial<'a>)> {
    let up = |kelvin: f64| half_degree_up(case.show(), kelvin);
    let mut gives = up(case.circuit.condenser.subcooling.value - short);
    for _ in 0..4 {
        let trial = tries.with(|circuit| {
            also(circuit);
            circuit.condenser.subcooling = kelvins(gives);
        })?;
        let (_, margin) = worst(&trial.case())?;
        if trial.mends() {
            let reached = trial.point(point).is_some_and(|p| p.state.condenser_outlet.temperature_K > p.air_on_K);
            return reached.then_some((gives, trial));
        }
        gives = up(gives - margin.min(-0.05));
    }
    None
}
