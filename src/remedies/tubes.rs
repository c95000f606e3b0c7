//! Tubes that may take the section of others: what holds the pressure of a line, what its kind allows, what people pipe.

use super::change::{as_written, unlisted};
use crate::job::{Circuit, Code, Job, LineId, Path};
use crate::refdata::{METRIC, Material, Tube, tubes};
use crate::rules::Case;
use crate::survey::{PointId, holds_in, schedule_allowed};
use crate::units::{Kind, System, factor, metres, pascals};

/// How many times the smaller tube of a double riser the larger may be wide.
pub(super) const TIMES: f64 = 1.65;

/// How many times its level tube a riser may be wide.
pub(super) const RISER: f64 = 1.05;

/// How many times a tube's bore is that of the next narrower size, at least.
const NARROWER: f64 = 0.75;

/// Power of the bore with which friction at the same loss goes, and the flow that lifts oil.
pub(super) const POWER: f64 = 2.5;

/// Outside diameter up to which copper listed for a high pressure is sold: 2-1/8 in and 54 mm. Common practice.
const LISTED_M: f64 = 2.13 * 0.0254;

/// Velocities at the rating under which nobody lays wider tube, m/s: of discharge gas, and of liquid, which in a drain is half as fast
/// as it may be where the next narrower tube would not do.
const SLOW: [f64; 2] = [2.5, 0.24];

/// Kinds of steel pipe.
const STEEL: [&str; 2] = ["Sch40", "Sch80"];

/// Kinds of copper that may take a tube's place, the ordinary one first and the heaviest last: metric where the codes are European and
/// in place of metric tube.
fn bought(case: &Case, of: Option<&Tube>) -> &'static [&'static str] {
    if of.is_some_and(Tube::is_metric) { Code::Eu } else { case.job.site.code }.copper()
}

/// Share of a flow that parallel tubes take at the same loss, to a power of 2.5 of the bore.
pub(super) fn width(tubes: &[Tube]) -> f64 {
    tubes.iter().map(|tube| tube.bore().value.powf(POWER)).sum()
}

fn same_size(a: &Tube, b: &Tube) -> bool {
    (a.outside - b.outside).value.abs() < 1e-4
}

/// The bore of one tube with the section of these.
pub(super) fn bore(tubes: &[Tube]) -> f64 {
    tubes.iter().map(|tube| tube.bore().value.powi(2)).sum::<f64>().sqrt()
}

/// The bore over which nobody lays tube in a line, m: in it the flow of the rating would be slower than any rule of thumb has it.
fn widest_bore(case: &Case, line: LineId) -> f64 {
    let point = case.solved.point(PointId::Rating).or_else(|| case.solved.points.first());
    point.map_or(f64::INFINITY, |point| {
        let (state, slow) = match line {
            LineId::Discharge => (&point.state.discharge, SLOW[0]),
            LineId::Liquid => (&point.state.condenser_outlet, SLOW[1]),
        };
        let area = point.line(line).flow_kg_s / state.density_kg_m3 / slow;
        (4.0 * area / std::f64::consts::PI).sqrt()
    })
}

/// The tubes in which a run may be sized, smallest bore first: the job's own, those of its own kind that hold the pressure, for
/// copper type K where they do not, and tube listed for it where no copper of the tables does; steel by the schedules that its own
/// limit allows, for steel or where no copper is so wide.
pub(super) fn sizes(case: &Case, line: LineId, of: &Tube) -> Vec<Tube> {
    let copper = of.material == Material::Copper;
    let bought = bought(case, Some(of));
    let kind = bought.iter().find(|kind| **kind == of.kind).or(bought.first()).copied().unwrap_or_default();
    let heavy = bought.last().copied().unwrap_or_default();
    let mut sizes = of_kinds(case, line, &if copper { [kind, heavy] } else { STEEL });
    if copper {
        let largest = sizes.iter().map(|tube| tube.bore().value).fold(0.0, f64::max);
        let pipes = of_kinds(case, line, &STEEL);
        sizes.extend(
            pipes.into_iter().filter(|pipe| pipe.material == Material::Steel && pipe.bore().value > largest * 1.001),
        );
    }
    let maximum = widest_bore(case, line).max(of.bore().value);
    sizes.retain(|tube| tube.bore().value <= maximum * 1.001);
    sizes.sort_by(|a, b| a.bore().value.total_cmp(&b.bore().value));
    sizes
}

/// The tubes of a line that hold its pressure: the job's own, then those of these kinds, the first kind first, where none of that size
/// is there; for copper, of which the heaviest kind is among them, those that are listed for it beside them.
fn of_kinds(case: &Case, line: LineId, kinds: &[&str]) -> Vec<Tube> {
    let may = |tube: &&Tube| schedule_allowed(case.job, line, tube) && holds_in(case.solved, line, tube);
    let mut sizes: Vec<Tube> = own_tubes(case).into_iter().filter(|tube| may(&tube)).collect();
    for kind in kinds {
        for tube in tubes().iter().filter(|tube| tube.kind == *kind).filter(may) {
            if !sizes.iter().any(|known| same_size(known, tube)) {
                sizes.push(tube.clone());
            }
        }
    }
    if kinds.contains(&"K") || kinds.contains(&METRIC) {
        sizes.extend(
            listed(case, line, kinds)
                .into_iter()
                .filter(|tube| !sizes.iter().any(|known| same_size(known, tube)))
                .collect::<Vec<_>>(),
        );
    }
    sizes
}

/// Copper listed for the design pressure, with a relief valve over the switch, in the sizes of which no copper of the tables holds it.
fn listed(case: &Case, line: LineId, kinds: &[&str]) -> Vec<Tube> {
    let Some(design) = &case.solved.design else { return Vec::new() };
    let kinds = if kinds.contains(&METRIC) { Code::Eu } else { Code::Us }.copper();
    let copper = || tubes().iter().filter(|tube| kinds.contains(&tube.kind.as_str()));
    let ordinary = || copper().filter(|tube| kinds.first().is_some_and(|kind| tube.kind == *kind));
    let job = case.job;
    let step = if job.units == System::Ip { 10.0 * factor::PSI } else { 1e5 };
    let rated = as_written(Kind::Rating, (design.with_relief_Pa / step - 1e-6).ceil() * step, job);
    let tables = |size: &&Tube| !copper().any(|tube| same_size(tube, size) && holds_in(case.solved, line, tube));
    let heaviest = |size: &&Tube| !ordinary().any(|tube| same_size(tube, size) && tube.wall > size.wall);
    let sizes = ordinary().filter(|tube| tube.outside.value <= LISTED_M).filter(tables).filter(heaviest);
    sizes
        .map(|acr| {
            let size = acr.name.strip_suffix(acr.kind.as_str()).map_or(acr.name.as_str(), str::trim);
            let length = |length: crate::units::Length| metres(as_written(Kind::SmallLength, length.value, job));
            let (outside, wall) = (length(acr.outside), length(acr.wall));
            Tube {
                name: format!("{size} listed for {}", Kind::Rating.show(job.units, rated, 0.0)),
                kind: String::new(),
                outside,
                wall,
                outside_max: outside,
                wall_min: wall,
                rated: Some(pascals(rated)),
                source: "user".to_owned(),
                ..acr.clone()
            }
        })
        .filter(|tube| !job.tubes.iter().any(|own| own.name == tube.name))
        .collect()
}

/// Whether a tube is neither in the tables nor the job's own: it is ordered as listed for a pressure.
pub(super) fn is_ordered(job: &Job, tube: &Tube) -> bool {
    unlisted(job, std::slice::from_ref(tube)).next().is_some()
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

/// Tubes in place of one that hold the pressure of its line, best first: the job's own of about its bore, the same size in a heavier
/// kind, else copper of the tables a size narrower, else listed for that pressure, steel of about its bore in the lightest
/// schedule that the line may have.
pub(super) fn stronger(case: &Case, line: LineId, tube: &Tube) -> Vec<Vec<Tube>> {
    let may = |tube: &&Tube| schedule_allowed(case.job, line, tube) && holds_in(case.solved, line, tube);
    let bore = tube.bore().value;
    let about = |other: &&Tube| (0.9..1.3).contains(&(other.bore().value / bore));
    let own = own_tubes(case);
    let mut ways: Vec<Vec<Tube>> = own.iter().filter(may).filter(about).map(|own| vec![own.clone()]).collect();
    let kinds = if tube.material == Material::Copper { bought(case, Some(tube)) } else { &STEEL };
    let listed = listed(case, line, kinds);
    let heavier = tubes().iter().filter(|other| kinds.contains(&other.kind.as_str())).filter(may).chain(&listed);
    let heavier = heavier.filter(|other| same_size(other, tube));
    let heavier = heavier.min_by(|a, b| a.wall.value.total_cmp(&b.wall.value)).cloned();
    let copper = (tube.material == Material::Copper).then(|| of_kinds(case, line, kinds)).into_iter().flatten();
    let narrower = copper.filter(|other| (NARROWER..1.0).contains(&(other.bore().value / bore)));
    let narrower = narrower.max_by(|a, b| a.bore().value.total_cmp(&b.bore().value));
    match heavier {
        Some(heavier) if is_ordered(case.job, &heavier) => {
            let narrower = narrower.filter(|tube| !is_ordered(case.job, tube));
            ways.extend([narrower, Some(heavier)].into_iter().flatten().map(|copper| vec![copper]));
        }
        heavier => ways.extend(heavier.or(narrower).map(|copper| vec![copper])),
    }
    let steel = tubes().iter().filter(|other| other.material == Material::Steel && other.bore().value >= bore * 0.93);
    let lighter =
        |a: &&Tube, b: &&Tube| a.outside.value.total_cmp(&b.outside.value).then(a.wall.value.total_cmp(&b.wall.value));
    ways.extend(steel.filter(may).min_by(lighter).map(|pipe| vec![pipe.clone()]));
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

/// The largest bore in which the flow of a riser lifts its oil so many times over at every operating point, estimated: the minimum flow goes
/// with the power 2.5 of the bore. Infinite for a run without an oil limit.
pub(super) fn lifting_bore(case: &Case, run: usize, ratio: f64) -> f64 {
    oil_room(case, run)
        .map(|(total, minimum, bore)| bore * (total / (minimum * ratio)).powf(1.0 / POWER))
        .fold(f64::INFINITY, f64::min)
}

/// Of a riser at every operating point its flow, the minimum flow of a tube that lifts oil, and that tube's bore.
fn oil_room<'a>(case: &Case<'a>, run: usize) -> impl Iterator<Item = (f64, f64, f64)> + use<'a> {
    let runs: Vec<_> = case.runs(LineId::Discharge).filter(|at| at.answer.index == run + 1).collect();
    runs.into_iter().flat_map(|at| {
        let total: f64 = at.answer.tubes.iter().map(|tube| tube.flow_kg_s).sum();
        at.answer.tubes.iter().filter_map(move |tube| Some((total, tube.oil_minimum_flow_kg_s?, tube.bore_m)))
    })
}

/// The widest bore of a riser of the discharge line that people pipe: that of its level tube.
pub(super) fn ordinary_riser(circuit: &Circuit) -> f64 {
    let level = circuit.discharge.runs.iter().filter(|run| matches!(run.path, Path::Level { .. }));
    let widest = level.flat_map(|run| &run.tubes).map(|tube| tube.bore().value).reduce(f64::max);
    widest.map_or(f64::INFINITY, |widest| widest * RISER)
}

/// Double risers for a run, an ordinary one first: the smaller tube lifts oil alone at the minimum flow, the larger is one to three sizes
/// wider, seals with oil at some operating point and opens at another.
pub(super) fn double_risers(case: &Case, run: usize, spare: f64) -> Vec<[Tube; 2]> {
    let Some(drawn) = case.circuit.discharge.runs.get(run).and_then(|run| run.tubes.last()) else { return Vec::new() };
    let lifting: Vec<f64> =
        oil_room(case, run).map(|(total, minimum, bore)| total / minimum * bore.powf(POWER)).collect();
    let (Some(low), Some(high)) = (lifting.iter().copied().reduce(f64::min), lifting.iter().copied().reduce(f64::max))
    else {
        return Vec::new();
    };
    let mut sizes = sizes(case, LineId::Discharge, drawn);
    let ordinary = ordinary_riser(case.circuit);
    sizes.retain(|tube| tube.bore().value <= ordinary);
    let mut pairs: Vec<[Tube; 2]> = Vec::new();
    for small in sizes.iter().filter(|small| width(std::slice::from_ref(small)) <= low / spare) {
        for large in sizes.iter().filter(|large| {
            large.material == small.material
                && large.bore() > small.bore()
                && large.bore().value <= small.bore().value * TIMES
        }) {
            let both = width(&[small.clone(), large.clone()]);
            if both > low * 0.97 && both < high / spare {
                pairs.push([small.clone(), large.clone()]);
            }
        }
    }
    // The widest loses minimum; of about the same width the more even pair is the ordinary one.
    pairs.sort_by(|a, b| {
        let uneven = |pair: &[Tube; 2]| pair[1].bore().value / pair[0].bore().value;
        let wide = |pair: &[Tube; 2]| (width(pair) / low * 4.0).floor();
        wide(b).total_cmp(&wide(a)).then(uneven(a).total_cmp(&uneven(b)))
    });
    pairs
}

/// The tubes from which a line is sized anew: the job's own and copper that hold its pressure, ACR before L before K before what is
/// listed for it; steel beside them where the line is of steel or no copper of the drawn bore holds.
pub(super) fn schedules(case: &Case, line: LineId, drawn: Option<&Tube>) -> Vec<Tube> {
    let mut all = of_kinds(case, line, bought(case, drawn));
    let bore = drawn.map_or(0.0, |tube| tube.bore().value);
    let reaches = all.iter().any(|tube| tube.bore().value >= bore * 0.9);
    if drawn.is_some_and(|tube| tube.material == Material::Steel) || !reaches {
        all.extend(of_kinds(case, line, &STEEL).into_iter().filter(|tube| tube.material == Material::Steel));
    }
    let maximum = widest_bore(case, line).max(bore);
    all.retain(|tube| tube.bore().value <= maximum * 1.001);
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::refdata::tube;
    use crate::remedies::testing::{case, surveyed};
    use crate::rules::testing::{discharge, job};
    use crate::units::factor::PSI;

    /// Inches of bore to the power 2.5.
    fn inches(bore: f64) -> f64 {
        bore.powf(POWER)
    }

    /// The double risers of the drawn riser, 2-5/8 ACR of a bore of 2.465 in, where its flow would lift the oil of tubes with these
    /// widths together (inches to the power 2.5), at the minimum and at full load.
    fn pairs(low: f64, high: f64, level: &str) -> Vec<String> {
        let mut job = job();
        for number in [1, 3] {
            discharge(&mut job.circuits[0], number).tubes = tube(level).into_iter().cloned().collect();
        }
        let mut survey = surveyed(&job);
        let solved = &mut survey.circuits[0];
        solved.points.push(solved.points[0].clone());
        for (point, width) in solved.points.iter_mut().zip([low, high]) {
            // So wide a line that all of these sizes are laid in it.
            point.discharge_line.flow_kg_s = 2.0;
            for tube in &mut point.discharge_line.runs[1].tubes {
                (tube.flow_kg_s, tube.oil_minimum_flow_kg_s) = (0.25 * width / inches(2.465), Some(0.25));
            }
        }
        let name = |pair: [Tube; 2]| pair.map(|tube| tube.name.trim_end_matches(" ACR").to_owned()).join(" + ");
        double_risers(&case(&job, &survey), 1, 1.15).into_iter().map(name).collect()
    }

    /// Bores of ACR in inches: 1.025, 1.265, 1.505, 1.985, 2.465, 2.945; to the power 2.5: 1.064, 1.800, 2.779, 5.551, 9.540, 14.88.
    #[test]
    fn a_double_riser_lifts_with_its_smaller_tube_at_the_minimum_and_with_both_at_full() {
        // The smaller may be 4.18 / 1.15 = 3.63 wide, both more than 4.05 and less than 12 / 1.15 = 10.43: 8.33, 7.35 and 4.58. The
        // first two are about as wide, the more even first.
        let of_three = ["1-5/8 + 2-1/8", "1-3/8 + 2-1/8", "1-3/8 + 1-5/8"];
        assert_eq!(pairs(4.18, 12.0, "2-5/8 ACR"), of_three);
        // Up to 9.5 / 1.15 = 8.26 the first does not lift at full, up to 8.35 it does.
        assert_eq!(pairs(4.18, 9.5, "2-5/8 ACR"), of_three[1..]);
        assert_eq!(pairs(4.18, 9.6, "2-5/8 ACR"), of_three);
        // Both 3.84 wide seal at 3.9, by 3 %, but not at 4.
        assert!(pairs(3.9, 12.0, "2-5/8 ACR").contains(&"1-1/8 + 1-5/8".to_owned()));
        assert!(!pairs(4.0, 12.0, "2-5/8 ACR").contains(&"1-1/8 + 1-5/8".to_owned()));
        // The smaller of 2.78 lifts alone from 3.2 on.
        assert!(pairs(3.2, 12.0, "2-5/8 ACR").contains(&of_three[0].to_owned()));
        assert!(!pairs(3.19, 12.0, "2-5/8 ACR").contains(&of_three[0].to_owned()));
        // 2-5/8 is 1.64 times 1-5/8, 1.95 times 1-3/8.
        let wide = pairs(4.18, 15.0, "2-5/8 ACR");
        assert!(wide.contains(&"1-5/8 + 2-5/8".to_owned()) && !wide.contains(&"1-3/8 + 2-5/8".to_owned()), "{wide:?}");
        // No riser is wider than its level tube.
        let widest = "2-1/8 + 3-1/8".to_owned();
        assert!(pairs(6.5, 24.0, "3-1/8 ACR").contains(&widest) && !pairs(6.5, 24.0, "2-5/8 ACR").contains(&widest));
    }

    /// Tube listed for a design pressure of so many psi at 150 F, at which copper may take 5100 psi, in a job with tube of its own.
    fn listed_for(psi: f64, units: System, kinds: &[&str], own: &[Tube]) -> Vec<Tube> {
        let mut job = job();
        (job.units, job.tubes) = (units, own.to_vec());
        let mut survey = surveyed(&job);
        let design = survey.circuits[0].design.as_mut().unwrap();
        (design.temperature_K, design.with_relief_Pa) = (factor::fahrenheit_to_kelvin(150.0), psi * PSI);
        listed(&case(&job, &survey), LineId::Liquid, kinds)
    }

    /// By 2 S t / (D - 0.8 t) of the minimum walls type K holds 556 psi in 1-1/8 in, 452 in 1-3/8, 420 in 1-5/8, 370 in 2-1/8; over
    /// that no copper is listed.
    #[test]
    fn copper_is_listed_for_the_pressure_in_the_sizes_of_which_none_holds_it() {
        let are = |tubes: &[Tube], names: &[&str], rated: f64| {
            let names_are: Vec<&str> = tubes.iter().map(|tube| tube.name.as_str()).collect();
            assert_eq!(names_are, names);
            let is = |tube: &Tube| tube.rated.is_some_and(|of| (of.value / rated - 1.0).abs() < 1e-9);
            assert!(tubes.iter().all(is), "{tubes:?}");
        };
        let us = ["ACR", "L", "K"];
        let tubes = listed_for(445.3, System::Ip, &us, &[]);
        are(&tubes, &["1-5/8 listed for 450 psig", "2-1/8 listed for 450 psig"], 450.0 * PSI);
        let walls: Vec<f64> = tubes.iter().map(|tube| tube.wall.value / 0.0254).collect();
        assert!((walls[0] - 0.060).abs() < 1e-9 && (walls[1] - 0.070).abs() < 1e-9, "{walls:?}");
        // A whole step stays; 453 psi is over what 1-3/8 in holds.
        are(
            &listed_for(450.0, System::Ip, &us, &[]),
            &["1-5/8 listed for 450 psig", "2-1/8 listed for 450 psig"],
            450.0 * PSI,
        );
        are(
            &listed_for(453.0, System::Ip, &us, &[]),
            &["1-3/8 listed for 460 psig", "1-5/8 listed for 460 psig", "2-1/8 listed for 460 psig"],
            460.0 * PSI,
        );
        // What the job has by that name already is no other tube.
        are(&listed_for(445.3, System::Ip, &us, &tubes[..1]), &["2-1/8 listed for 450 psig"], 450.0 * PSI);
        // 400 psi is 27.6 bar.
        are(&listed_for(400.0, System::Si, &us, &[]), &["2-1/8 listed for 28.0 barg"], 28e5);
    }

    #[test]
    fn metric_copper_is_listed_once_a_size_in_its_heaviest_wall() {
        // By 2 S s / (D - s) with 57 MPa 6 x 1 holds 228 bar, 8 x 1 163 bar; 54 mm is the largest size that is sold so.
        let sizes: Vec<[f64; 2]> = listed_for(2900.0, System::Si, &[METRIC], &[])
            .iter()
            .map(|tube| [tube.outside, tube.wall].map(|length| (length.value * 1e4).round() / 10.0))
            .collect();
        let slim = [8.0, 10.0, 12.0].map(|outside| [outside, 1.0]);
        let wide = [[15.0, 1.5], [18.0, 1.0], [22.0, 1.5], [28.0, 1.5], [35.0, 1.5], [42.0, 2.0], [54.0, 2.0]];
        assert_eq!(sizes, slim.into_iter().chain(wide).collect::<Vec<_>>());
    }
}
