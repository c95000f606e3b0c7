//! Tubes that may take the section of others: what holds the pressure of a line, what its kind allows, what people pipe.

use crate::job::{Circuit, LineId, Path};
use crate::refdata::{Material, Tube, tubes};
use crate::rules::Case;
use crate::survey::{holds_in, schedule_allowed};

/// How many times the smaller tube of a double riser the larger may be wide.
pub(super) const TIMES: f64 = 2.2;

/// Power of the bore with which friction at the same loss goes, and the flow that lifts oil.
pub(super) const POWER: f64 = 2.5;

/// Share of a flow that parallel tubes take at the same loss, to a power of 2.5 of the bore.
pub(super) fn width(tubes: &[Tube]) -> f64 {
    tubes.iter().map(|tube| tube.bore().value.powf(POWER)).sum()
}

fn same_size(a: &Tube, b: &Tube) -> bool {
    (a.outside - b.outside).value.abs() < 1e-4
}

/// The tubes in which a run may be sized, smallest bore first: the job's own, those of its own kind that hold the pressure, for
/// copper type K where they do not; steel by the schedules that its own limit allows, for steel or where no copper of the size holds.
pub(super) fn sizes(case: &Case, line: LineId, of: &Tube) -> Vec<Tube> {
    let may = |tube: &&Tube| schedule_allowed(case.job, line, tube) && holds_in(case.solved, line, tube);
    let own = own_tubes(case).into_iter();
    let kind = if of.kind.is_empty() { "ACR" } else { of.kind.as_str() };
    let mut sizes: Vec<Tube> = own.filter(|tube| may(&tube)).collect();
    let copper = of.material == Material::Copper;
    let kinds: &[&str] = if copper { &[kind, "K"] } else { &["Sch40", "Sch80"] };
    add(&mut sizes, kinds, may);
    if copper {
        // Steel where copper of about that bore does not hold.
        let largest = sizes.iter().map(|tube| tube.bore().value).fold(0.0, f64::max);
        let steel = ["Sch40", "Sch80"];
        let mut pipes = Vec::new();
        add(&mut pipes, &steel, may);
        sizes.extend(pipes.into_iter().filter(|pipe| pipe.bore().value > largest * 1.001));
    }
    sizes.sort_by(|a, b| a.bore().value.total_cmp(&b.bore().value));
    sizes
}

/// Adds tubes of these kinds, the first kind first, where none of that size is there.
fn add(sizes: &mut Vec<Tube>, kinds: &[&str], may: impl Fn(&&Tube) -> bool) {
    for kind in kinds {
        let listed: Vec<Tube> = tubes().iter().filter(|tube| tube.kind == *kind).filter(&may).cloned().collect();
        for tube in listed {
            if !sizes.iter().any(|known| same_size(known, &tube)) {
                sizes.push(tube);
            }
        }
    }
}

/// The job's own tubes: those that it describes, and those that its runs use.
pub(super) fn own_tubes(case: &Case) -> Vec<Tube> {
    let mut own: Vec<Tube> = case.job.tubes.clone();
    let circuits = case.job.circuits.iter().chain([case.circuit]);
    let runs = circuits.flat_map(|circuit| circuit.discharge.runs.iter().chain(&circuit.liquid.runs));
    for tube in runs.flat_map(|run| &run.tubes).filter(|tube| tube.kind.is_empty()) {
        if !own.contains(tube) {
            own.push(tube.clone());
        }
    }
    own
}

/// The sizes that are larger than this one, smallest first.
pub(super) fn larger(case: &Case, line: LineId, than: &Tube) -> impl Iterator<Item = Tube> + use<> {
    let bore = than.bore().value;
    sizes(case, line, than).into_iter().filter(move |tube| tube.bore().value > bore * 1.001)
}

/// The sizes that are smaller than this one, largest first.
pub(super) fn smaller(case: &Case, line: LineId, than: &Tube) -> impl Iterator<Item = Tube> + use<> {
    let bore = than.bore().value;
    sizes(case, line, than).into_iter().rev().filter(move |tube| tube.bore().value < bore * 0.999)
}

/// Tubes in place of one that hold the pressure of its line, best first: the job's own of about its bore, the same size in a heavier kind,
/// two smaller of its kind, steel of about its bore in the lightest schedule that the line may have.
pub(super) fn stronger(case: &Case, line: LineId, tube: &Tube) -> Vec<Vec<Tube>> {
    let may = |tube: &&Tube| schedule_allowed(case.job, line, tube) && holds_in(case.solved, line, tube);
    let bore = tube.bore().value;
    let about = |other: &&Tube| (0.9..1.3).contains(&(other.bore().value / bore));
    let own = own_tubes(case);
    let mut ways: Vec<Vec<Tube>> = own.iter().filter(may).filter(about).map(|own| vec![own.clone()]).collect();
    let heavier = tubes().iter().filter(|other| other.material == tube.material && same_size(other, tube)).filter(may);
    ways.extend(heavier.min_by(|a, b| a.wall.value.total_cmp(&b.wall.value)).map(|heavy| vec![heavy.clone()]));
    let twins = smaller(case, line, tube).find(|small| small.material == tube.material && small.outside < tube.outside);
    ways.extend(
        twins
            .filter(|small| 2.0 * small.bore().value.powf(POWER) >= bore.powf(POWER) * 0.7)
            .map(|small| vec![small; 2]),
    );
    let mut steel: Vec<&Tube> = tubes()
        .iter()
        .filter(|other| other.material == Material::Steel && other.bore().value >= bore * 0.93)
        .filter(may)
        .collect();
    steel.sort_by(|a, b| a.outside.value.total_cmp(&b.outside.value).then(a.wall.value.total_cmp(&b.wall.value)));
    ways.extend(steel.first().map(|pipe| vec![(*pipe).clone()]));
    ways
}

/// The indices of the runs of a line that are tube.
pub(super) fn tubed(circuit: &Circuit, line: LineId) -> Vec<usize> {
    let runs = line.of(circuit).runs.iter().enumerate();
    runs.filter(|(_, run)| !matches!(run.path, Path::Part(_))).map(|(index, _)| index).collect()
}

/// Puts tubes into runs.
pub(super) fn put(circuit: &mut Circuit, line: LineId, runs: &[usize], tubes: &[Tube]) {
    for index in runs {
        if let Some(run) = line.of_mut(circuit).runs.get_mut(*index) {
            run.tubes = tubes.to_vec();
        }
    }
}

/// The largest bore in which the flow of a riser lifts its oil so many times over at every operating point, estimated: the least flow goes
/// with the power 2.5 of the bore. Infinite for a run without an oil limit.
pub(super) fn lifting_bore(case: &Case, run: usize, ratio: f64) -> f64 {
    oil_room(case, run)
        .map(|(total, least, bore)| bore * (total / (least * ratio)).powf(1.0 / POWER))
        .fold(f64::INFINITY, f64::min)
}

/// Of a riser at every operating point its flow, the least flow of a tube that lifts oil, and that tube's bore.
fn oil_room<'a>(case: &Case<'a>, run: usize) -> impl Iterator<Item = (f64, f64, f64)> + use<'a> {
    let runs: Vec<_> = case.runs(LineId::Discharge).filter(|at| at.answer.index == run + 1).collect();
    runs.into_iter().flat_map(|at| {
        let total: f64 = at.answer.tubes.iter().map(|tube| tube.flow_kg_s).sum();
        at.answer.tubes.iter().filter_map(move |tube| Some((total, tube.oil_least_flow_kg_s?, tube.bore_m)))
    })
}

/// Double risers for a run, an ordinary one first: the smaller tube lifts oil alone at the least flow, the larger is one to three sizes
/// wider, seals with oil at some operating point and opens at another.
pub(super) fn double_risers(case: &Case, run: usize, spare: f64) -> Vec<[Tube; 2]> {
    let Some(drawn) = case.circuit.discharge.runs.get(run).and_then(|run| run.tubes.last()) else { return Vec::new() };
    let lifting: Vec<f64> = oil_room(case, run).map(|(total, least, bore)| total / least * bore.powf(POWER)).collect();
    let (Some(low), Some(high)) = (lifting.iter().copied().reduce(f64::min), lifting.iter().copied().reduce(f64::max))
    else {
        return Vec::new();
    };
    let sizes = sizes(case, LineId::Discharge, drawn);
    let mut pairs: Vec<[Tube; 2]> = Vec::new();
    for small in sizes.iter().filter(|small| width(std::slice::from_ref(small)) <= low / spare) {
        for large in sizes.iter().filter(|large| {
            large.kind == small.kind && large.bore() > small.bore() && large.bore().value <= small.bore().value * TIMES
        }) {
            let both = width(&[small.clone(), large.clone()]);
            if both > low * 0.97 && both < high / spare {
                pairs.push([small.clone(), large.clone()]);
            }
        }
    }
    // The widest loses least; of about the same width the more even pair is the ordinary one.
    pairs.sort_by(|a, b| {
        let uneven = |pair: &[Tube; 2]| pair[1].bore().value / pair[0].bore().value;
        let wide = |pair: &[Tube; 2]| (width(pair) / low * 4.0).floor();
        wide(b).total_cmp(&wide(a)).then(uneven(a).total_cmp(&uneven(b)))
    });
    pairs
}

/// The tubes from which a line is sized anew: the job's own and copper that hold its pressure, ACR before L before K; steel beside them
/// where the line is of steel or no copper of the drawn bore holds.
pub(super) fn schedules(case: &Case, line: LineId, drawn: Option<&Tube>) -> Vec<Tube> {
    let may = |tube: &&Tube| schedule_allowed(case.job, line, tube) && holds_in(case.solved, line, tube);
    let of = |kinds: &[&str]| -> Vec<Tube> {
        let listed = tubes().iter().filter(|tube| kinds.contains(&tube.kind.as_str())).filter(may);
        listed.cloned().collect()
    };
    let mut all: Vec<Tube> = own_tubes(case).into_iter().filter(|tube| may(&tube)).collect();
    let copper = of(&["ACR", "L", "K"]);
    let bore = drawn.map_or(0.0, |tube| tube.bore().value);
    let reaches = copper.iter().chain(&all).any(|tube| tube.bore().value >= bore * 0.9);
    let steel = drawn.is_some_and(|tube| tube.material == Material::Steel) || !reaches;
    all.extend(copper);
    if steel {
        all.extend(of(&["Sch40", "Sch80"]));
    }
    all
}
