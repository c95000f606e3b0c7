//! `liquid-surge`: what does the solenoid valve do when it shuts?

use super::case::{Case, greatest};
use super::limit::title;
use super::mend::{self, Trial, Tries};
use super::say::{capital, runs as numbers};
use crate::survey::{Design, rated as holds};
use super::{Finding, Look, Rule, Verdict};
use crate::job::LineId;
use crate::refdata::Tube;
use crate::survey::Closing;

/// The rule.
pub const RULE: Rule = Rule {
    id: "liquid-surge",
    question: "What does the liquid do to the line when a solenoid valve shuts?",
    explanation: "\
A valve that shuts at once stops the liquid ahead of it, and the pressure there rises by rho a dv (Joukowsky): density times \
speed of sound times the velocity taken away, with the speed of sound of the liquid as it is there. To that comes the pressure \
with the flow stopped: the condenser's outlet and the static head above the valve. The sum must stay below what the tube ahead \
of the valve holds, brazed, and below the high-side design pressure, for which driers, sight glasses and the valve itself are \
rated. A line that is hammered beyond it loses its brazed joints, its hangers and the valve's seat, one stop at a time.

The give of the tube wall is neglected, which errs to the safe side. A valve that takes longer to shut than sound runs to the \
receiver and back surges less in proportion.

The mends are tube that holds the surge, where the tube is the limit, and the smallest tube, or two in parallel, in which the \
liquid is slow enough, solved again with it. The time in which a slower valve may shut is told beside them.",
    limits: &["design_above_summer", "design_least"],
    look: Look::Circuit(look),
};

/// A closing valve and what the line ahead of it may bear, Pa over the atmosphere.
struct Hit<'a> {
    closing: &'a Closing,
    /// Pressure before the surge.
    still: f64,
    limit: f64,
    /// What sets the limit, for a sentence.
    of: String,
    source: String,
    /// The tube and its temperature, where what it holds is the limit.
    tube: Option<(&'a Tube, f64)>,
    /// The high-side design pressure, where known.
    design: Option<f64>,
}

impl Hit<'_> {
    fn peak(&self) -> f64 {
        self.still + self.closing.surge_Pa
    }
}

fn look(case: &Case) -> Vec<Finding> {
    let design = case.solved.design;
    let hits = case.solved.closings.iter().filter_map(|closing| hit(case, design.as_ref(), closing));
    let Some((worst, _)) = greatest(hits.map(|hit| {
        let over = hit.peak() - hit.limit;
        (hit, over)
    })) else {
        return Vec::new();
    };
    vec![judge(case, &worst)]
}

fn hit<'a>(case: &Case<'a>, design: Option<&Design>, closing: &'a Closing) -> Option<Hit<'a>> {
    let index = closing.stops_run.checked_sub(1)?;
    let run = case.circuit.liquid.runs.get(index)?;
    let warmest = case
        .runs(LineId::Liquid)
        .filter(|at| at.answer.index == closing.stops_run && at.point.name == closing.point)
        .map(|at| at.answer.warmest_K)
        .fold(design.map_or(0.0, |design| design.temperature_K), f64::max);
    let rated = run
        .tubes
        .iter()
        .filter_map(|tube| holds(tube, warmest).map(|rated| (rated, tube)))
        .reduce(|least, other| if other.0 < least.0 { other } else { least });
    let rated = rated.map(|(rated, tube)| {
        let of = format!("what {} holds", tube.name);
        (rated, of, title("cda-tube-handbook"), Some((tube, warmest)))
    });
    let designed = design.map(|design| {
        let of = "the design pressure".to_owned();
        (design.pressure_Pa, of, super::limit::title("ashrae-15"), None)
    });
    let (limit, of, source, tube) = match (rated, designed) {
        (Some(rated), Some(designed)) if rated.0 < designed.0 => rated,
        (_, Some(designed)) => designed,
        (Some(rated), None) => rated,
        (None, None) => return None,
    };
    let still = closing.static_Pa - case.job.site.atmosphere.pascals();
    Some(Hit { closing, still, limit, of, source, tube, design: design.map(|design| design.pressure_Pa) })
}

fn judge(case: &Case, hit: &Hit) -> Finding {
    let show = case.show();
    let closing = hit.closing;
    let part = case.circuit.liquid.runs.get(closing.run.wrapping_sub(1));
    let name = part.map_or_else(|| format!("the valve (run {})", closing.run), |run| case.name_run(run, closing.run));
    let says = format!(
        "When {name} shuts at {}, {} of liquid stop, and the pressure ahead of it rises by {} to {} over the atmosphere; it may \
         rise to {}, {}.",
        closing.point,
        show.velocity(closing.velocity_m_s),
        show.pressure_difference(closing.surge_Pa),
        show.pressure_difference(hit.peak()),
        show.pressure_difference(hit.limit),
        hit.of
    );
    let verdict = if hit.peak() > hit.limit { Verdict::Fail } else { Verdict::Pass };
    case.finding(RULE.id, verdict)
        .at(&closing.point)
        .place(format!("liquid run {}", closing.run))
        .found(hit.peak(), hit.limit, "Pa")
        .says(says)
        .by(&hit.source)
        .mended(case, |tries| mend(case, tries, hit))
}

/// What would mend it, as a job can be written: tube that holds more where the tube is the limit, else tube in which the
/// liquid is slower. How slowly the valve may shut is told beside it, for a job says nothing of that.
fn mend(case: &Case, tries: &mut Tries, hit: &Hit) -> Option<String> {
    let show = case.show();
    let closing = hit.closing;
    let index = closing.stops_run.checked_sub(1)?;
    let left = hit.limit - hit.still;
    if left <= 0.0 && hit.tube.is_none() {
        return Some(format!(
            "With the flow stopped the line stands at {} without any surge, which is over the limit: the design pressure must \
             come up to it first.",
            show.pressure_difference(hit.still)
        ));
    }
    let mut ways: Vec<(bool, String)> = Vec::new();
    let mut keep = |what: String, trial: &Trial| {
        let to = peak(&trial.case()).map_or_else(String::new, |peak| format!(": {}", show.pressure_difference(peak)));
        ways.push((!trial.keeps_all(), format!("{what} would do{to}.{}", trial.but())));
    };
    if let Some((tube, warmest)) = hit.tube {
        // For the peak at least, for the design pressure where something holds it.
        let ask = [hit.design.unwrap_or(0.0).max(hit.peak()), hit.peak()];
        let strong = ask.map(|pressure| tube_strength::stronger(case, LineId::Liquid, tube, warmest, pressure));
        let runs = like(case, tube);
        let found = tries.first(strong.into_iter().flatten().take(4), |tubes, circuit| {
            tube_strength::replace(circuit, LineId::Liquid, &runs, tube, tubes);
        });
        if let Some((tubes, trial)) = found {
            keep(format!("{} in {}", capital(&tube_strength::name_of(&tubes)), numbers(&runs)), &trial);
        }
    }
    if left > 0.0 {
        let run = case.circuit.liquid.runs.get(index)?;
        let now = run.tubes.last()?.clone();
        let bore = now.bore().value * (closing.surge_Pa / left).sqrt();
        let runs = like(case, &now);
        let larger = mend::larger(case, LineId::Liquid, &now).filter(|tube| tube.bore().value >= bore * 0.999);
        // Two in parallel halve the velocity and are written as easily.
        let single = run.tubes.len() == 1;
        let twins = std::iter::once(now.clone()).chain(mend::larger(case, LineId::Liquid, &now));
        let twins = twins.filter(|tube| single && tube.bore().value * 2.0_f64.sqrt() >= bore * 0.999);
        let wider = larger.take(2).map(|tube| vec![tube]).chain(twins.take(2).map(|tube| vec![tube; 2]));
        let found = tries.first(wider, |tubes, circuit| {
            tube_strength::replace(circuit, LineId::Liquid, &runs, &now, tubes);
        });
        if let Some((tubes, trial)) = found {
            let what = match runs.as_slice() {
                [_] if tubes.len() == 1 => mend::name_sizing(&case.circuit.liquid, &vec![(index, tubes)]),
                _ => format!("{} in {}", capital(&tube_strength::name_of(&tubes)), numbers(&runs)),
            };
            keep(what, &trial);
        }
    }
    ways.sort_by_key(|(harms, _)| *harms);
    let clean = ways.iter().filter(|(harms, _)| !harms).count();
    let ways: Vec<String> = ways.into_iter().map(|(_, way)| way).take(clean.max(1)).collect();
    let time = (left > 0.0).then(|| show.short_time(closing.period_s * closing.surge_Pa / left));
    match (ways.is_empty(), time) {
        (true, None) => None,
        (true, Some(time)) => Some(format!(
            "No one change that a job can say mends it; a valve that takes {time} or longer to shut does, which a job cannot say."
        )),
        (false, None) => Some(ways.join(" Or: ")),
        (false, Some(time)) => Some(format!(
            "{} So would a valve that takes {time} or longer to shut, which a job cannot say.",
            ways.join(" Or: ")
        )),
    }
}

/// The highest pressure ahead of any closing valve, over the atmosphere.
fn peak(case: &Case) -> Option<f64> {
    let design = case.solved.design;
    let hits = case.solved.closings.iter().filter_map(|closing| hit(case, design.as_ref(), closing));
    greatest(hits.map(|hit| {
        let peak = hit.peak();
        (hit, peak)
    }))
    .map(|(_, peak)| peak)
}

/// The runs of the liquid line in that tube, by number: nobody changes the size for the last of them alone.
fn like(case: &Case, tube: &Tube) -> Vec<usize> {
    let runs = case.circuit.liquid.runs.iter().enumerate();
    let same = runs.filter(|(_, run)| run.path.length_m() > 0.0 && run.tubes.contains(tube));
    same.map(|(index, _)| index + 1).collect()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, finding, findings, job, liquid, only, solved, with_tubes};
    use super::*;
    use crate::job::Path;
    use crate::physics::surge::joukowsky;
    use crate::units::{kilograms_per_cubic_metre, metres_per_second};
    use approx::assert_relative_eq;

    /// A narrow run ahead of the valve.
    fn narrow() -> crate::job::Job {
        changed(|circuit| with_tubes(liquid(circuit, 4), &["7/8 ACR"]))
    }

    #[test]
    fn slow_liquid_passes() {
        let found = finding(RULE, &job());
        assert_eq!(found.verdict, Verdict::Pass, "{found:#?}");
        assert_eq!(found.r#where.as_deref(), Some("liquid run 6"));
    }

    #[test]
    fn the_surge_is_that_of_the_run_ahead_at_the_valves_own_state() {
        let survey = solved(&job());
        let circuit = &survey.circuits[0];
        for closing in &circuit.closings {
            let point = circuit.point(&closing.point).unwrap();
            let runs = &point.liquid_line.runs;
            assert_relative_eq!(closing.velocity_m_s, runs[3].tubes[0].velocity_m_s);
            let ahead = runs[4].out.state;
            assert_relative_eq!(closing.density_kg_m3, ahead.density_kg_m3, max_relative = 1e-6);
            let by_hand = joukowsky(
                kilograms_per_cubic_metre(closing.density_kg_m3),
                metres_per_second(closing.speed_of_sound_m_s),
                metres_per_second(closing.velocity_m_s),
            );
            assert_relative_eq!(closing.surge_Pa, by_hand.value);
            // Still, the line stands at the condenser's pressure and 38 ft of liquid.
            let head = closing.static_Pa - point.state.condenser_outlet.pressure_Pa;
            assert_relative_eq!(head, closing.density_kg_m3 * 9.806_65 * 38.0 * 0.3048, max_relative = 0.02);
            assert_relative_eq!(closing.length_m, 84.0 * 0.3048, max_relative = 1e-12);
        }
        assert_eq!(circuit.closings.len(), 4);
    }

    #[test]
    fn exactly_at_the_limit_it_passes() {
        let job = job();
        let mut survey = solved(&job);
        let found = only(RULE.check(&job, &survey));
        let room = found.limit.unwrap() - found.value.unwrap();
        let at = |survey: &mut crate::survey::Survey, by: f64| {
            for closing in &mut survey.circuits[0].closings {
                if Some(&closing.point) == found.point.as_ref() {
                    closing.surge_Pa += by;
                }
            }
            only(RULE.check(&job, survey)).verdict
        };
        assert_eq!(at(&mut survey, room - 1e-3), Verdict::Pass);
        assert_eq!(at(&mut survey, 2e-3), Verdict::Fail);
    }

    #[test]
    fn fast_liquid_fails_and_names_tube_and_time() {
        let found = finding(RULE, &narrow());
        assert_eq!(found.verdict, Verdict::Fail, "{found:#?}");
        let mend = found.mend.unwrap();
        assert!(mend.contains("ACR in the level run (run 4) would do: "), "{mend}");
        assert!(mend.contains("So would a valve that takes ") && mend.contains(" ms or longer to shut"), "{mend}");
        let wide = changed(|circuit| with_tubes(liquid(circuit, 4), &["1-3/8 ACR"]));
        assert!(mend.starts_with("1-3/8 ACR in") && finding(RULE, &wide).verdict == Verdict::Pass, "{mend}");
    }

    #[test]
    fn where_the_tube_is_the_limit_stronger_tube_mends_and_would_do() {
        let with = |names: &[&str]| {
            changed(|circuit| {
                circuit.refrigerant = "R-410A".to_owned();
                circuit.condenser.cutout = Some(crate::units::Pressure::from_pascals(3.4e6));
                for number in 2..=4 {
                    with_tubes(liquid(circuit, number), names);
                }
            })
        };
        let found = finding(RULE, &with(&["1-5/8 ACR"]));
        assert_eq!(found.verdict, Verdict::Fail, "{found:#?}");
        assert!(found.says.contains("what 1-5/8 ACR holds"), "{}", found.says);
        let mend = found.mend.unwrap();
        assert!(!mend.contains("design pressure") && !mend.starts_with("A valve"), "{mend}");
        let name = mend.split(" in runs 2, 3 and 4 would do: ").next().unwrap();
        let names = match name.strip_prefix("Two of ").and_then(|rest| rest.strip_suffix(" in parallel")) {
            Some(one) => vec![one; 2],
            None => vec![name],
        };
        assert_eq!(finding(RULE, &with(&names)).verdict, Verdict::Pass, "{mend}");
    }

    #[test]
    fn without_a_closing_valve_there_is_nothing_to_say() {
        let job = changed(|circuit| {
            for run in &mut circuit.liquid.runs {
                if let Path::Part(part) = &mut run.path {
                    part.closes = false;
                }
            }
        });
        assert!(findings(RULE, &job).is_empty());
    }
}
