//! Larger and smaller tubes, and two in parallel.

use super::super::case::{Case, greatest, least};
use super::super::tube_strength;
use super::{Trial, Tries};
use crate::job::LineId;
use crate::job::{Line, Path};
use crate::refdata::{Material, Tube, tubes};
use crate::survey::Point;

/// How many sizes larger than drawn a tube may become.
const SIZES_UP: usize = 3;

/// The sizes that may take a tube's place, smallest bore first: of its kind, or for the user's own the job's other own tubes and
/// ACR between them. Where a size of that kind would not hold the high side's pressure and type K of it does, type K; schedule 80
/// where a liquid line of steel of that size may not be lighter.
pub(in crate::rules) fn sizes(case: &Case, side: LineId, of: &Tube) -> Vec<Tube> {
    let mut sizes: Vec<Tube> = Vec::new();
    if of.kind.is_empty() {
        let circuits = case.job.circuits.iter().chain([case.circuit]);
        let runs = circuits.flat_map(|circuit| circuit.discharge.runs.iter().chain(&circuit.liquid.runs));
        for tube in runs.flat_map(|run| &run.tubes).filter(|tube| tube.kind.is_empty()) {
            if !sizes.contains(tube) {
                sizes.push(tube.clone());
            }
        }
    }
    let kind = if of.kind.is_empty() { "ACR" } else { of.kind.as_str() };
    let same_size = |a: &Tube, b: &Tube| (a.outside - b.outside).value.abs() < 1e-4;
    for tube in tubes().iter().filter(|tube| tube.kind == kind) {
        if sizes.iter().any(|own| same_size(own, tube)) {
            continue;
        }
        if tube.material == Material::Steel && !tube_strength::schedule_allowed(case, side, tube) {
            sizes.extend(tubes().iter().find(|heavy| heavy.kind == "Sch80" && same_size(heavy, tube)).cloned());
            continue;
        }
        let heavy = tubes().iter().find(|heavy| heavy.kind == "K" && same_size(heavy, tube));
        let holds = |tube: &Tube| tube_strength::holds_in(case, side, tube);
        match heavy {
            Some(heavy) if tube.material == heavy.material && !holds(tube) && holds(heavy) => sizes.push(heavy.clone()),
            _ => sizes.push(tube.clone()),
        }
    }
    sizes.sort_by(|a, b| a.bore().value.total_cmp(&b.bore().value));
    sizes
}

/// The sizes that are larger than this one, smallest first.
pub(in crate::rules) fn larger(case: &Case, side: LineId, than: &Tube) -> impl Iterator<Item = Tube> + use<> {
    let bore = than.bore().value;
    sizes(case, side, than).into_iter().filter(move |tube| tube.bore().value > bore * 1.001)
}

/// The sizes that are smaller than this one, largest first.
pub(in crate::rules) fn smaller(case: &Case, side: LineId, than: &Tube) -> impl Iterator<Item = Tube> + use<> {
    let bore = than.bore().value;
    sizes(case, side, than).into_iter().rev().filter(move |tube| tube.bore().value < bore * 0.999)
}

/// The largest bore in which the flow of a rise lifts oil so many times over at every operating point, estimated.
/// Infinite for a run without an oil limit.
pub(in crate::rules) fn lifting_bore(case: &Case, index: usize, ratio: f64) -> f64 {
    case.runs(LineId::Discharge)
        .filter(|at| at.answer.index == index)
        .flat_map(|at| {
            let total: f64 = at.answer.tubes.iter().map(|tube| tube.flow_kg_s).sum();
            at.answer.tubes.iter().filter_map(move |tube| {
                let least = tube.oil_least_flow_kg_s?;
                Some(tube.bore_m * (total / (least * ratio)).powf(0.4))
            })
        })
        .fold(f64::INFINITY, f64::min)
}

/// New tubes for runs by their index in the line.
pub(in crate::rules) type Sizing = Vec<(usize, Vec<Tube>)>;

/// Puts new tubes into a line.
pub(in crate::rules) fn apply(sizing: &Sizing, line: &mut Line) {
    for (index, tubes) in sizing {
        if let Some(run) = line.runs.get_mut(*index) {
            run.tubes.clone_from(tubes);
        }
    }
}

/// The largest bore in which the gas of a level run still sweeps oil along at every operating point, estimated. Infinite where it
/// does not even now.
fn sweeping_bore(case: &Case, index: usize) -> f64 {
    let level = case.runs(LineId::Discharge).filter(|at| at.answer.index == index && at.answer.path == "level");
    let tubes = level.flat_map(|at| at.answer.tubes.iter().filter(|tube| tube.flow_kg_s > 0.0));
    let limit = case.limit("oil_sweep").value;
    least(tubes.map(|tube| (tube.bore_m, tube.velocity_m_s)))
        .filter(|(_, velocity)| *velocity >= limit)
        .map_or(f64::INFINITY, |(bore, velocity)| bore * (velocity / limit).sqrt())
}

/// The sizes up to which the largest tube of a run may grow, smallest first.
fn room(case: &Case, side: LineId, index: usize, tubes: &[Tube]) -> Vec<Tube> {
    let Some(largest) = tubes.last() else { return Vec::new() };
    let most = match (side, tubes.len()) {
        (LineId::Discharge, 1) => {
            let lifting = lifting_bore(case, index + 1, case.limit("oil_lift").value);
            lifting.min(sweeping_bore(case, index + 1))
        }
        // The larger tube of a double riser stays within what is still one.
        (LineId::Discharge, _) => tubes.first().map_or(f64::INFINITY, |small| small.bore().value * TIMES),
        _ => f64::INFINITY,
    };
    larger(case, side, largest).take(SIZES_UP).take_while(|tube| tube.bore().value <= most).collect()
}

/// The larger tubes that bring the friction of a line's tubes down to that pressure, estimated. Nothing where no size does.
pub(in crate::rules) fn enlarge(case: &Case, side: LineId, point: &Point, friction_pa: f64) -> Option<Sizing> {
    match side {
        LineId::Discharge => by_run(case, side, point, friction_pa),
        LineId::Liquid => alike(case, point, friction_pa),
    }
}

/// The liquid line in one size from end to end, but for what is wider already, so that nobody joins three sizes in a row.
fn alike(case: &Case, point: &Point, friction_pa: f64) -> Option<Sizing> {
    let runs = || {
        let drawn = case.circuit.liquid.runs.iter().zip(&point.liquid_line.runs).enumerate();
        drawn.filter(|(_, (run, _))| !matches!(run.path, Path::Part(_)))
    };
    let narrowest =
        runs().flat_map(|(_, (run, _))| &run.tubes).min_by(|a, b| a.bore().value.total_cmp(&b.bore().value))?;
    larger(case, LineId::Liquid, narrowest).take(2 * SIZES_UP).find_map(|tube| {
        let wide = vec![tube];
        let mut friction = 0.0;
        let mut sizing = Sizing::new();
        for (index, (run, answer)) in runs() {
            let (now, then) = (width(&run.tubes), width(&wide));
            if now < then * 0.999 {
                friction += answer.friction_Pa * (now / then).powi(2);
                sizing.push((index, wide.clone()));
            } else {
                friction += answer.friction_Pa;
            }
        }
        (friction <= friction_pa && !sizing.is_empty()).then_some(sizing)
    })
}

/// One step at a time where most is lost. Runs of the discharge line stay narrow enough for its oil.
fn by_run(case: &Case, side: LineId, point: &Point, friction_pa: f64) -> Option<Sizing> {
    struct Stretch {
        index: usize,
        tubes: Vec<Tube>,
        room: std::vec::IntoIter<Tube>,
        drawn: f64,
        loss: f64,
        now: f64,
        open: bool,
    }
    let runs = &side.of(case.circuit).runs;
    let mut stretches: Vec<Stretch> = runs
        .iter()
        .zip(&point.line(side).runs)
        .enumerate()
        .filter(|(_, (run, _))| !matches!(run.path, Path::Part(_)))
        .map(|(index, (run, answer))| Stretch {
            index,
            tubes: run.tubes.clone(),
            room: room(case, side, index, &run.tubes).into_iter(),
            drawn: width(&run.tubes),
            loss: answer.friction_Pa,
            now: answer.friction_Pa,
            open: answer.friction_Pa > 0.0,
        })
        .collect();
    while stretches.iter().map(|stretch| stretch.now).sum::<f64>() > friction_pa {
        let open = stretches.iter_mut().filter(|stretch| stretch.open);
        let (stretch, _) = greatest(open.map(|stretch| {
            let now = stretch.now;
            (stretch, now)
        }))?;
        match (stretch.room.next(), stretch.tubes.last_mut()) {
            (Some(next), Some(last)) => {
                *last = next;
                stretch.now = stretch.loss * (stretch.drawn / width(&stretch.tubes)).powi(2);
            }
            _ => stretch.open = false,
        }
    }
    let changed = stretches.into_iter().filter(|stretch| stretch.now < stretch.loss);
    let sizing: Sizing = changed.map(|stretch| (stretch.index, stretch.tubes)).collect();
    (!sizing.is_empty()).then_some(sizing)
}

/// Share of a flow that parallel tubes take at the same loss, to a power of 2.5 of the bore.
fn width(tubes: &[Tube]) -> f64 {
    tubes.iter().map(|tube| tube.bore().value.powf(2.5)).sum()
}

/// Tries larger tubes, asking for more each time the estimate falls short.
///
/// Each of `wanted_pa` is a friction in tubes that should do at `point`, the one with most to spare first.
pub(in crate::rules) fn widen<'a>(
    tries: &mut Tries<'a>,
    side: LineId,
    point: &Point,
    wanted_pa: &[f64],
) -> Option<(Sizing, Trial<'a>)> {
    let case = tries.case;
    let mut best: Option<(Sizing, Trial<'a>)> = None;
    let mut tried: Vec<Sizing> = Vec::new();
    for wanted in wanted_pa.iter().filter(|pa| **pa > 0.0) {
        for factor in [1.0, 0.9, 0.75] {
            let Some(sizing) = enlarge(case, side, point, wanted * factor) else { break };
            if tried.contains(&sizing) {
                continue;
            }
            let Some(trial) = tries.with(|circuit| apply(&sizing, side.of_mut(circuit))) else { return best };
            if trial.mends() && trial.rank() == Trial::BEST {
                return Some((sizing, trial));
            }
            tried.push(sizing.clone());
            if trial.mends() && best.as_ref().is_none_or(|(_, known)| trial.rank() > known.rank()) {
                best = Some((sizing, trial));
            }
        }
    }
    best
}

/// How many times the smaller tube of a double riser the larger may be wide.
pub(in crate::rules) const TIMES: f64 = 3.0;

/// One tube in place of several in a rise: the largest that lifts oil by itself at the least flow.
pub(in crate::rules) fn single_riser<'a>(tries: &mut Tries<'a>, index: usize) -> Option<(Tube, Trial<'a>)> {
    let case = tries.case;
    let run = case.circuit.discharge.runs.get(index).filter(|run| run.tubes.len() > 1)?;
    let lifting = lifting_bore(case, index + 1, case.limit("oil_lift_caution").value);
    let fits = |tube: &Tube| tube.bore().value <= lifting;
    let sizes = sizes(case, LineId::Discharge, run.tubes.last()?).into_iter().rev().filter(fits).take(2);
    tries.first(sizes, |tube, circuit| {
        if let Some(run) = circuit.discharge.runs.get_mut(index) {
            run.tubes = vec![tube.clone()];
        }
    })
}

/// Two tubes for a rise: the smaller lifts oil by itself at the least flow, both together cost no more than the rules
/// allow. The larger is wider, up to three times, and seals with oil at some operating point but not at all of them: what
/// does not is no double riser. Tried from the widest pair down.
///
/// With the flow split by the power 2.5 of the bores, and the least flow going with the same power, both tubes lift so many
/// times over as the widths of both together go into the width in which all the flow just lifts.
pub(in crate::rules) fn double_riser<'a>(tries: &mut Tries<'a>, index: usize) -> Option<(Vec<Tube>, Trial<'a>)> {
    let case = tries.case;
    let run = case.circuit.discharge.runs.get(index)?;
    let spare = case.limit("oil_lift_caution").value;
    let lifting: Vec<f64> = case
        .runs(LineId::Discharge)
        .filter(|at| at.answer.index == index + 1)
        .filter_map(|at| {
            let total: f64 = at.answer.tubes.iter().map(|tube| tube.flow_kg_s).sum();
            let (least, bore) =
                at.answer.tubes.iter().find_map(|tube| Some((tube.oil_least_flow_kg_s?, tube.bore_m)))?;
            Some(total / least * bore.powf(2.5))
        })
        .collect();
    let (low, high) = (lifting.iter().copied().reduce(f64::min)?, lifting.iter().copied().reduce(f64::max)?);
    let sizes = sizes(case, LineId::Discharge, run.tubes.last()?);
    let lifts = |small: &&Tube| width(std::slice::from_ref(*small)) <= low / spare;
    // For each larger tube the widest smaller one that still leaves both enough flow.
    let mut pairs: Vec<[&Tube; 2]> = sizes
        .iter()
        .enumerate()
        .filter_map(|(at, large)| {
            let within = |small: &&Tube| large.bore().value <= small.bore().value * TIMES;
            let smaller = sizes.iter().take(at).rev().filter(lifts).filter(within);
            smaller.map(|small| [small, large]).find(|pair| {
                let both = of_both(*pair);
                both > low * 0.97 && both < high / spare
            })
        })
        .collect();
    pairs.sort_by(|a, b| of_both(*b).total_cmp(&of_both(*a)));
    let mut best: Option<(Vec<Tube>, Trial<'a>)> = None;
    for pair in pairs.into_iter().take(5) {
        let pair = pair.map(Clone::clone).to_vec();
        let trial = tries.with(|circuit| {
            if let Some(run) = circuit.discharge.runs.get_mut(index) {
                run.tubes.clone_from(&pair);
                if let Path::Rise { traps, .. } = &mut run.path {
                    traps.foot = true;
                }
            }
        });
        let Some(trial) = trial else { break };
        if !trial.mends() || !seals(&trial.case(), index + 1) {
            continue;
        }
        if trial.rank() == Trial::BEST {
            return Some((pair, trial));
        }
        if best.as_ref().is_none_or(|(_, known)| trial.rank() > known.rank()) {
            best = Some((pair, trial));
        }
    }
    best
}

/// The width of two tubes together.
fn of_both(pair: [&Tube; 2]) -> f64 {
    pair.iter().map(|tube| width(std::slice::from_ref(*tube))).sum()
}

/// Whether the larger tube of a rise seals with oil at some operating point and opens at another.
fn seals(case: &Case, number: usize) -> bool {
    let sealed: Vec<bool> = case
        .runs(LineId::Discharge)
        .filter(|at| at.answer.index == number)
        .map(|at| at.answer.tubes.last().is_some_and(|tube| tube.sealed))
        .collect();
    sealed.contains(&true) && sealed.contains(&false)
}
