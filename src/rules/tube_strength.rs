//! `tube-strength`: is the tube rated, annealed, at its temperature, for the design pressure?

use super::case::Case;
use super::limit::limit;
use super::mend::{self, Tries};
use super::say::{list, runs};
use super::{Finding, Look, Rule, Verdict};
use crate::job::LineId;
use crate::job::{Circuit, Job, Path};
use crate::refdata::{Tube, tubes};
use crate::refrigerant;
use crate::units::{Pressure, PressureDifference, Temperature, pascals};

/// The rule.
pub const RULE: Rule = Rule {
    id: "tube-strength",
    question: "Is the tube rated, annealed, at its temperature, for the design pressure of the high side?",
    explanation: "\
Every tube of both lines, by p = 2 S t / (D - 0.8 t) with the least wall and the largest outside diameter that the tube's \
standard allows and the allowable stress of annealed copper, for brazing anneals drawn tube too. The stress is taken at the \
design temperature or at the warmest refrigerant of the run, whichever is warmer. It must hold the high-side design pressure: \
saturation, bubble, at 30 F over the design dry-bulb and not below 122 F, or the high-pressure switch's setting where that is \
higher. A tube of the job's own is taken at its own rating or allowable stress.

Many a brazed line of a high-pressure refrigerant in ordinary tube does not meet this: it may burst in a fire, or at a \
pressure that its switch still permits. An inspector who asks for the calculation will find it.

The mend lists what holds in place of it: the same size in a heavier kind, smaller tubes in parallel, or steel in the lightest \
schedule that holds, which in liquid lines of 1-1/2 NPS and less is schedule 80. Each is solved again for what it does to the \
other rules.",
    limits: &["design_above_summer", "design_least", "steel_schedule_80"],
    look: Look::Circuit(look),
};

/// The high-side design pressure.
pub(super) struct Design {
    /// Over the atmosphere, Pa.
    pub pressure: f64,
    /// Design temperature, K.
    pub temperature: f64,
    /// Where it comes from, for a sentence.
    pub from: String,
    /// Printable source.
    pub source: super::finding::Source,
}

/// A kind of tube in a line.
struct Kind<'a> {
    side: LineId,
    tube: &'a Tube,
    /// Numbers of its runs.
    runs: Vec<usize>,
    /// Temperature at which it must hold, K.
    warmest: f64,
}

fn look(case: &Case) -> Vec<Finding> {
    let Some(design) = design(case) else {
        let finding = case.finding(RULE.id, Verdict::Note).by(super::limit::title("ashrae-15"));
        return vec![finding.says(format!(
            "{} has no saturation pressure at the design temperature and the job gives no cutout, so the tubes were not \
             judged.",
            case.circuit.refrigerant
        ))];
    };
    let kinds = kinds(case, design.temperature);
    let findings: Vec<Finding> = kinds.iter().map(|kind| judge(case, kind, &design)).collect();
    if findings.iter().any(|finding| finding.verdict > Verdict::Pass) {
        return findings.into_iter().filter(|finding| finding.verdict > Verdict::Pass).collect();
    }
    super::case::least(findings.into_iter().map(|finding| {
        let rated = finding.measure.map_or(f64::INFINITY, |found| found.value);
        (finding, rated)
    }))
    .map(|(finding, _)| finding)
    .into_iter()
    .collect()
}

/// The high-side design pressure of a circuit, over the atmosphere: saturation at the design temperature, or the setting of
/// the high-pressure switch where that is higher. None where neither is known.
#[must_use]
pub fn design_pressure(job: &Job, circuit: &Circuit) -> Option<PressureDifference> {
    design_of(job, circuit).map(|design| pascals(design.pressure))
}

/// The high-side design pressure; nothing where neither saturation nor a cut-out gives one.
pub(super) fn design(case: &Case) -> Option<Design> {
    design_of(case.job, case.circuit)
}

fn design_of(job: &Job, circuit: &Circuit) -> Option<Design> {
    let (above, least) = (limit(job, "design_above_summer"), limit(job, "design_least"));
    let temperature = (job.site.summer.kelvin() + above.value).max(least.value);
    let atmosphere = job.site.atmosphere.pascals();
    let saturated = refrigerant::named(&circuit.refrigerant)?.bubble_pressure(temperature).ok();
    let cutout = circuit.condenser.cutout.map(Pressure::pascals);
    let source = if above.value > 0.0 && temperature > least.value { above.source } else { least.source };
    match (saturated, cutout) {
        (saturated, Some(cutout)) if saturated.is_none_or(|saturated| cutout >= saturated) => Some(Design {
            pressure: cutout - atmosphere,
            temperature,
            from: "the setting of the high-pressure switch".to_owned(),
            source,
        }),
        (Some(saturated), _) => Some(Design {
            pressure: saturated - atmosphere,
            temperature,
            from: format!("{} at {}", circuit.refrigerant, job.units.temperature(temperature)),
            source,
        }),
        (None, _) => None,
    }
}

/// The kinds of tube of both lines in order of flow, each at its warmest.
fn kinds<'a>(case: &Case<'a>, design_k: f64) -> Vec<Kind<'a>> {
    let mut kinds: Vec<Kind> = Vec::new();
    for side in [LineId::Discharge, LineId::Liquid] {
        for (index, run) in side.of(case.circuit).runs.iter().enumerate() {
            if matches!(run.path, Path::Part(_)) {
                continue;
            }
            let warmest = case
                .runs(side)
                .filter(|at| at.answer.index == index + 1)
                .map(|at| at.answer.warmest_K)
                .fold(design_k, f64::max);
            for tube in &run.tubes {
                match kinds.iter_mut().find(|kind| kind.side == side && kind.tube == tube) {
                    Some(kind) => {
                        kind.warmest = kind.warmest.max(warmest);
                        if kind.runs.last() != Some(&(index + 1)) {
                            kind.runs.push(index + 1);
                        }
                    }
                    None => kinds.push(Kind { side, tube, runs: vec![index + 1], warmest }),
                }
            }
        }
    }
    kinds
}

/// What a tube holds at a temperature, Pa over the atmosphere; nothing where no allowable stress is listed.
pub(super) fn holds(tube: &Tube, kelvin: f64) -> Option<f64> {
    tube.rated_pressure(Temperature::from_kelvin(kelvin)).ok().map(|pressure| pressure.value)
}

/// Whether a tube would hold the design pressure in a line; true where nothing is known of either.
pub(crate) fn holds_in(case: &Case, side: LineId, tube: &Tube) -> bool {
    let Some(design) = design(case) else { return true };
    let gas = case.runs(side).map(|at| at.answer.warmest_K);
    holds(tube, gas.fold(design.temperature, f64::max)).is_none_or(|rated| rated >= design.pressure)
}

/// The runs, by line and index, of which a tube does not hold the design pressure.
pub(super) fn weak_runs(case: &Case) -> Vec<(LineId, usize)> {
    let Some(design) = design(case) else { return Vec::new() };
    let weak = kinds(case, design.temperature).into_iter().filter(|kind| {
        let rated = holds(kind.tube, kind.warmest);
        rated.is_some_and(|rated| rated < design.pressure)
    });
    weak.flat_map(|kind| kind.runs.into_iter().map(move |number| (kind.side, number - 1))).collect()
}

/// Whether steel pipe of that schedule may be used in a line: liquid lines of small sizes are schedule 80.
pub(crate) fn schedule_allowed(case: &Case, side: LineId, tube: &Tube) -> bool {
    tube.kind != "Sch40"
        || side == LineId::Discharge
        || tube.nominal().value > limit(case.job, "steel_schedule_80").value + 1e-4
}

/// Tubes in place of one that hold that pressure at that temperature, best first: the same size in a heavier kind, smaller
/// tubes of the same kind in parallel, steel of about the same bore in the lightest schedule that the line may have.
pub(super) fn stronger(case: &Case, side: LineId, tube: &Tube, kelvin: f64, pressure: f64) -> Vec<Vec<Tube>> {
    let does = |tube: &&Tube| holds(tube, kelvin).is_some_and(|rated| rated >= pressure);
    let bore = tube.bore().value;
    let mut ways = Vec::new();
    let mut same: Vec<&Tube> = tubes()
        .iter()
        .filter(|other| other.material == tube.material && (other.outside - tube.outside).value.abs() < 1e-4)
        .filter(does)
        .filter(|other| schedule_allowed(case, side, other))
        .collect();
    same.sort_by(|a, b| a.wall.value.total_cmp(&b.wall.value));
    ways.extend(same.first().map(|tube| vec![(*tube).clone()]));
    // Smaller tubes of the same kind in parallel that together are about as wide.
    if let Some(small) = mend::smaller(case, side, tube).find(|small| does(&small) && small.outside < tube.outside) {
        let count = (2_usize..=4).find(|count| {
            // Counts up to four are exact in any float.
            #[expect(clippy::cast_precision_loss)]
            let count = *count as f64;
            count * small.bore().value.powf(2.5) >= bore.powf(2.5) * 0.9
        });
        ways.extend(count.map(|count| vec![small; count]));
    }
    let mut steel: Vec<&Tube> = tubes()
        .iter()
        .filter(|other| other.material != tube.material && other.bore().value >= bore * 0.95)
        .filter(does)
        .filter(|other| schedule_allowed(case, side, other))
        .collect();
    steel.sort_by(|a, b| a.outside.value.total_cmp(&b.outside.value).then(a.wall.value.total_cmp(&b.wall.value)));
    ways.extend(steel.first().map(|tube| vec![(*tube).clone()]));
    ways
}

/// A kind of tube replaced by others wherever it stands in those runs.
pub(super) fn replace(circuit: &mut Circuit, side: LineId, numbers: &[usize], from: &Tube, to: &[Tube]) {
    for number in numbers {
        let Some(run) = side.of_mut(circuit).runs.get_mut(number.wrapping_sub(1)) else { continue };
        let swap = |tube: &Tube| if tube == from { to.to_vec() } else { vec![tube.clone()] };
        run.tubes = run.tubes.iter().flat_map(swap).collect();
        run.tubes.sort_by(|a, b| a.bore().value.total_cmp(&b.bore().value));
    }
}

/// Tubes in place of one, in words: `1-1/8 K`, `two of 7/8 K in parallel`.
pub(super) fn name_of(tubes: &[Tube]) -> String {
    match tubes {
        [] => "none".to_owned(),
        [one] => one.name.clone(),
        [first, ..] => {
            let count = ["none", "one", "two", "three", "four"].get(tubes.len()).copied().unwrap_or("several");
            format!("{count} of {} in parallel", first.name)
        }
    }
}

fn judge(case: &Case, kind: &Kind, design: &Design) -> Finding {
    let show = case.show();
    let where_it_is = format!("{} in the {} line, {}", kind.tube.name, kind.side.name(), runs(&kind.runs));
    let place = format!("{} {}", kind.side.name(), runs(&kind.runs));
    let finding = case.finding(RULE.id, Verdict::Caution).place(place).by(&design.source);
    let temperature = case.degrees(kind.warmest);
    let Some(rated) = holds(kind.tube, kind.warmest) else {
        return finding.says(format!("No allowable stress is listed for {where_it_is} at {temperature}."));
    };
    let needs = show.pressure_difference(design.pressure);
    let mut finding = finding.found(rated, design.pressure, "Pa");
    finding.verdict = if rated < design.pressure { Verdict::Fail } else { Verdict::Pass };
    let rated = show.pressure_difference(rated);
    let why = if kind.tube.rated.is_some() {
        "by the job's own rating".to_owned()
    } else {
        format!("brazed and so annealed, at {temperature}")
    };
    finding
        .says(format!("{where_it_is}, holds {rated} {why}; the high side is designed for {needs}, {}.", design.from))
        .mended(case, |tries| Some(mend(case, tries, kind, design)))
}

fn mend(case: &Case, tries: &mut Tries, kind: &Kind, design: &Design) -> String {
    let show = case.show();
    let (mut good, mut second) = (Vec::new(), Vec::new());
    for tubes in stronger(case, kind.side, kind.tube, kind.warmest, design.pressure) {
        let trial = tries.with(|circuit| replace(circuit, kind.side, &kind.runs, kind.tube, &tubes));
        let Some(trial) = trial else { break };
        let rated = tubes.first().and_then(|tube| holds(tube, kind.warmest)).map_or(f64::NAN, |rated| rated);
        let (name, rated) = (name_of(&tubes), show.pressure_difference(rated));
        if trial.breaks_nothing() {
            good.push((!trial.keeps_all(), format!("{name} ({rated}{})", trial.aside())));
        } else {
            second.push(format!("{name} ({rated}).{}", trial.but()));
        }
    }
    good.sort_by_key(|(harms, _)| *harms);
    let good: Vec<String> = good.into_iter().map(|(_, way)| way).collect();
    let numbers = runs(&kind.runs);
    match (good.is_empty(), second.into_iter().next()) {
        (false, _) => {
            let word = if good.len() == 1 { "this holds" } else { "these hold" };
            format!("In {numbers} {word}: {}.", list(good))
        }
        (true, Some(way)) => format!("In {numbers} this holds: {way}"),
        (true, None) => format!(
            "No tube of that size in the reference data holds it. A tube of your own, rated for {} or more, would do in \
             {numbers}.",
            show.pressure_difference(design.pressure)
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, discharge, fahrenheit, findings, job, liquid, only, with_tubes};
    use super::*;
    use crate::units::pascals;

    #[test]
    fn a_tube_rated_for_the_design_pressure_exactly_holds() {
        let rated = |spare: f64| {
            let mut job = job();
            let design = only(RULE.check(&job, &by_hand(&job, PointId::SummerFull, |_| {}))).limit.unwrap();
            let circuit = &mut job.circuits[0];
            for run in circuit.discharge.runs.iter_mut().chain(&mut circuit.liquid.runs) {
                for tube in &mut run.tubes {
                    tube.rated = Some(pascals(design + spare));
                }
            }
            RULE.check(&job, &by_hand(&job, PointId::SummerFull, |_| {})).into_iter().map(|f| f.verdict).max()
        };
        assert_eq!(rated(0.0), Some(Verdict::Pass));
        assert_eq!(rated(-1.0), Some(Verdict::Fail));
    }

    #[test]
    fn the_design_pressure_is_the_bubble_pressure_or_the_cut_out_whichever_is_higher() {
        let design = |job: &crate::job::Job| only(RULE.check(job, &by_hand(job, PointId::SummerFull, |_| {})));
        let atmosphere = job().site.atmosphere.pascals();
        let saturated = |fahrenheit_degrees: f64| {
            let fluid = refrigerant::named("R-134a").unwrap();
            fluid.bubble_pressure(fahrenheit(fahrenheit_degrees).kelvin()).unwrap() - atmosphere
        };
        let near = |found: &Finding, pressure: f64| (found.limit.unwrap() / pressure - 1.0).abs() < 1e-9;
        let mut bare = changed(|circuit| circuit.condenser.cutout = None);
        let found = design(&bare);
        assert!(near(&found, saturated(126.0)), "96 F and 30 F over it: {found:#?}");
        assert!(found.says.contains("R-134a at 126 F"), "{}", found.says);
        bare.site.summer = fahrenheit(80.0);
        assert!(near(&design(&bare), saturated(122.0)), "not below 122 F");
        let found = design(&job());
        assert!(
            found.says.ends_with("designed for 275 psi, the setting of the high-pressure switch."),
            "{}",
            found.says
        );
    }

    #[test]
    fn a_brazed_line_of_a_high_pressure_refrigerant_fails_by_size_and_what_holds_is_named() {
        let job = changed(|circuit| {
            circuit.refrigerant = "R-410A".to_owned();
            circuit.condenser.cutout = None;
            for number in 1..=3 {
                with_tubes(discharge(circuit, number), &["1-3/8 ACR"]);
            }
            for number in 2..=4 {
                with_tubes(liquid(circuit, number), &["1-3/8 ACR"]);
            }
        });
        let found = findings(RULE, &job);
        let told: Vec<_> = found.iter().map(|f| (f.verdict, f.r#where.as_deref().unwrap())).collect();
        let fails = [(Verdict::Fail, "discharge runs 1, 2 and 3"), (Verdict::Fail, "liquid runs 2, 3 and 4")];
        assert_eq!(told, fails);
        assert!(found[1].says.contains("brazed and so annealed, at 126 F"), "{}", found[1].says);
        let mend = found[1].mend.as_ref().unwrap();
        assert!(mend.starts_with("In runs 2, 3 and 4 these hold: 1-3/8 K ("), "{mend}");
    }

    #[test]
    fn steel_is_of_the_lightest_schedule_that_the_line_may_have() {
        let job = changed(|circuit| {
            circuit.refrigerant = "R-410A".to_owned();
            circuit.condenser.cutout = None;
        });
        let survey = by_hand(&job, PointId::SummerFull, |_| {});
        let case = Case::all(&job, &survey).next().unwrap();
        let steel = |side: LineId, name: &str| {
            let tube = crate::refdata::tube(name).unwrap();
            let ways = stronger(&case, side, tube, 330.0, 4e6);
            ways.last().and_then(|way| way.first()).map(|tube| tube.name.clone())
        };
        assert_eq!(steel(LineId::Discharge, "2-1/8 ACR").as_deref(), Some("2 Sch40"));
        assert_eq!(steel(LineId::Liquid, "2-1/8 ACR").as_deref(), Some("2 Sch40"));
        assert_eq!(steel(LineId::Discharge, "1-5/8 ACR").as_deref(), Some("1-1/2 Sch40"));
        assert_eq!(steel(LineId::Liquid, "1-5/8 ACR").as_deref(), Some("1-1/2 Sch80"));
        assert_eq!(steel(LineId::Liquid, "1-1/8 ACR").as_deref(), Some("1-1/4 Sch80"));
        let light = |name: &str| crate::refdata::tube(name).unwrap();
        assert!(!schedule_allowed(&case, LineId::Liquid, light("1-1/2 Sch40")));
        assert!(schedule_allowed(&case, LineId::Liquid, light("2 Sch40")));
        let larger: Vec<String> = mend::larger(&case, LineId::Liquid, light("1 Sch80")).map(|tube| tube.name).collect();
        assert_eq!(larger.first().map(String::as_str), Some("1-1/4 Sch80"));
    }
}
