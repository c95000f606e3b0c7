//! Operating points without a solution: each is a fail of the one rule that the reason belongs to.

use super::case::Case;
use super::mend::{self, Tries};
use super::say::list;
use super::{Finding, Verdict};
use crate::job::LineId;
use crate::job::{HeadControl, Path, Resistance};
use crate::refdata::Tube;
use crate::survey::PointId;
use crate::survey::{Unsolved, Why};
use crate::units::Temperature;

/// The rule that reports an operating point without a solution.
pub(super) fn owner(unsolved: &Unsolved) -> &'static str {
    match &unsolved.why {
        Why::NeverCondenses { .. } | Why::OutOfRange(_) => "high-pressure",
        Why::FallsToSuction { .. } => "winter-hold",
        Why::LineTooSmall { line: "discharge", .. } => "discharge-drop",
        Why::LineTooSmall { .. } => "liquid-drop",
    }
}

/// The fails of a rule for the points without a solution that it owns: one for each reason.
pub(super) fn findings(case: &Case, rule: &'static str) -> Vec<Finding> {
    let mut groups: Vec<(&Unsolved, Vec<PointId>)> = Vec::new();
    for unsolved in case.solved.unsolved.iter().filter(|u| owner(u) == rule) {
        let same = |(known, _): &&mut (&Unsolved, Vec<PointId>)| {
            std::mem::discriminant(&known.why) == std::mem::discriminant(&unsolved.why)
        };
        match groups.iter_mut().find(same) {
            Some((_, names)) => names.push(unsolved.id),
            None => groups.push((unsolved, vec![unsolved.id])),
        }
    }
    groups.into_iter().map(|(first, names)| finding(case, rule, first, &names)).collect()
}

/// The fails of a rule for the points without a solution, and what it finds at the others. A size is judged at every point: until
/// all have a solution, what lets the flow through comes before any other mend.
pub(super) fn and_then(case: &Case, rule: &'static str, judge: fn(&Case) -> Option<Finding>) -> Vec<Finding> {
    let mut all = findings(case, rule);
    if all.is_empty() {
        return judge(case).into_iter().collect();
    }
    if let Some(mut finding) = judge(&Case { mending: false, ..*case }) {
        if case.mending && finding.verdict > Verdict::Note {
            finding.mend = Some("First what lets the flow of every point through the line, as above.".to_owned());
        }
        all.push(finding);
    }
    all
}

fn finding(case: &Case, rule: &'static str, first: &Unsolved, names: &[PointId]) -> Finding {
    let show = case.show();
    let points = list(names.iter().map(|name| name.name(case.job).to_owned()));
    let mut finding = case.finding(rule, Verdict::Fail).at(first.id).by("the balance of the circuit");
    let why = match &first.why {
        Why::NeverCondenses { top_Pa } => {
            finding = finding.found(*top_Pa, None, "Pa");
            format!(
                "The condenser cannot reject the heat at {points}, not even at {}, the highest pressure that was tried.",
                case.gauge(*top_Pa)
            )
        }
        Why::FallsToSuction { evaporating_K } => {
            finding = finding.found(*evaporating_K, None, "K");
            format!(
                "The condensing temperature falls to the evaporating temperature ({}) at {points}: nothing keeps the \
                 head pressure up, and the valve feeds no liquid.",
                show.temperature(*evaporating_K)
            )
        }
        Why::LineTooSmall { line, run } => {
            let side = if *line == "discharge" { LineId::Discharge } else { LineId::Liquid };
            finding = finding.place(format!("{} run {run}", side.name()));
            let name = run
                .checked_sub(1)
                .and_then(|index| side.of(case.circuit).runs.get(index))
                .map_or_else(|| format!("run {run}"), |drawn| case.name_run(drawn, *run));
            format!(
                "The flow of {points} does not go through the {line} line: {name} loses more pressure than there is."
            )
        }
        Why::OutOfRange(what) => format!("There is no answer at {points}: {}.", what.trim_end_matches('.')),
    };
    let silent = if names.len() == 1 { "that point" } else { "those points" };
    let finding = finding.says(format!("{why} Until that is mended, no other rule can look at {silent}."));
    finding.mended(case, |tries| mend(case, tries, first, names))
}

/// Whether the changed circuit has a solution at all of these points.
fn solves(trial: &mend::Trial, names: &[PointId]) -> bool {
    names.iter().all(|name| trial.point(*name).is_some())
}

fn mend(case: &Case, tries: &mut Tries, first: &Unsolved, names: &[PointId]) -> Option<String> {
    match &first.why {
        Why::NeverCondenses { .. } => more_rejection(case, tries, names),
        Why::FallsToSuction { evaporating_K } => hold(case, tries, names, *evaporating_K),
        Why::LineTooSmall { line, run } => {
            let side = if *line == "discharge" { LineId::Discharge } else { LineId::Liquid };
            larger_run(case, tries, names, side, run.checked_sub(1)?)
        }
        Why::OutOfRange(_) => less_bypass(case, tries, |trial| solves(trial, names))
            .or_else(|| more_rejection(case, tries, names))
            .or_else(|| hold(case, tries, names, case.circuit.compressors.rated_at.suction.kelvin())),
    }
}

/// A smaller hot-gas bypass with which the circuit is good; the least change first.
pub(super) fn less_bypass(case: &Case, tries: &mut Tries, good: impl Fn(&mend::Trial) -> bool) -> Option<String> {
    let drawn = case.circuit.compressors.bypass.share;
    for part in [0.9, 0.75, 0.6, 0.45, 0.3] {
        // To the whole percent, as it is told.
        let share = (drawn * part * 100.0).floor() / 100.0;
        if share <= 0.0 {
            return None;
        }
        let trial = tries.with(|circuit| circuit.compressors.bypass.share = share)?;
        if trial.heals() && good(&trial) {
            return Some(format!(
                "A hot-gas bypass of {} of the flow would do.{}",
                case.show().percent(share),
                trial.but()
            ));
        }
    }
    None
}

fn more_rejection(case: &Case, tries: &mut Tries, names: &[PointId]) -> Option<String> {
    let (factor, trial) = mend::least_factor(
        tries,
        1.25,
        |trial| solves(trial, names) && trial.mends(),
        |factor, circuit| circuit.condenser.rejection *= factor,
    )?;
    let point = trial.point(*names.first()?)?;
    Some(format!(
        "{} would do: it condenses at {} there.{}",
        mend::name_rejection(case, factor),
        case.show().temperature(point.condensing_K),
        trial.but()
    ))
}

pub(super) fn hold(case: &Case, tries: &mut Tries, names: &[PointId], evaporating_k: f64) -> Option<String> {
    let drawn = match case.circuit.condenser.head_control {
        HeadControl::None => None,
        HeadControl::Fans { hold, .. } | HeadControl::Flooding { hold } => Some(hold.kelvin()),
    };
    let up = |kelvin: f64| mend::whole_degree_up(case.show(), kelvin);
    let holds = [drawn, Some(up(evaporating_k + 20.0)), Some(up(evaporating_k + 30.0))];
    let controls = holds
        .into_iter()
        .flatten()
        .filter(|hold| *hold > evaporating_k + 10.0)
        .map(|hold| HeadControl::Flooding { hold: Temperature::from_kelvin(hold) });
    let (control, trial) = tries.first(controls, |control, circuit| circuit.condenser.head_control = *control)?;
    if !solves(&trial, names) {
        return None;
    }
    Some(format!("{} would do.{}", mend::name_control(case, control), trial.but()))
}

/// What lets the flow through a line in which a run takes all the pressure: a part of a larger flow coefficient, or tube.
fn larger_run(case: &Case, tries: &mut Tries, names: &[PointId], side: LineId, index: usize) -> Option<String> {
    let run = side.of(case.circuit).runs.get(index)?;
    if let Path::Part(part) = &run.path
        && let Resistance::Kv(kv) = part.resistance
    {
        let whole = |factor: f64| (kv * factor * 10.0).ceil() / 10.0;
        let name = part.name.clone();
        let good = |trial: &mend::Trial| solves(trial, names) && trial.heals();
        if let Some((factor, trial)) = mend::least_factor(tries, 1.5, good, |factor, circuit| {
            if let Some(Path::Part(part)) = side.of_mut(circuit).runs.get_mut(index).map(|run| &mut run.path) {
                part.resistance = Resistance::Kv(whole(factor));
            }
        }) {
            let larger = case.show().flow_coefficient(whole(factor));
            return Some(format!("A {name} of {larger} (run {}) would do.{}", index + 1, trial.but()));
        }
        return None;
    }
    // One tube for all runs that are smaller than it: the least with which nothing of the rule is left, found by halving.
    let now = run.tubes.last()?;
    let sizes: Vec<_> = mend::larger(case, side, now).collect();
    let sizing = |tube: &Tube| -> mend::Sizing {
        let runs = side.of(case.circuit).runs.iter().enumerate();
        runs.filter(|(_, run)| {
            let bore = run.tubes.last().map_or(0.0, |tube| tube.bore().value);
            run.path.length_m() > 0.0 && bore < tube.bore().value
        })
        .map(|(index, _)| (index, vec![tube.clone()]))
        .collect()
    };
    let (mut low, mut high) = (0, sizes.len());
    let mut best = None;
    while low < high {
        let middle = low.midpoint(high);
        let changed = sizing(sizes.get(middle)?);
        let Some(trial) = tries.with(|circuit| mend::apply(&changed, side.of_mut(circuit))) else { break };
        if solves(&trial, names) && trial.heals() {
            best = Some((changed, trial));
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    let (sizing, trial) = best?;
    Some(format!("{} would do.{}", mend::name_sizing(side.of(case.circuit), &sizing), trial.but()))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, discharge, job, liquid, solved, with_tubes};
    use super::super::{check_all, rule};
    use super::*;
    use crate::job::Job;
    use crate::survey::Survey;

    /// The job solved, but for the points named, which are given that reason.
    fn without(job: &Job, names: &[&str], why: &Why) -> Survey {
        let mut survey = solved(job);
        let circuit = &mut survey.circuits[0];
        circuit.points.retain(|point| !names.contains(&point.name.as_str()));
        for name in names {
            circuit.unsolved.push(Unsolved { name: (*name).to_owned(), why: why.clone() });
        }
        survey
    }

    #[test]
    fn every_reason_is_a_fail_of_one_rule_that_names_the_points() {
        let job = job();
        for why in [
            Why::NeverCondenses { top_Pa: 4e6 },
            Why::FallsToSuction { evaporating_K: 278.0 },
            Why::LineTooSmall { line: "discharge", run: 2 },
            Why::LineTooSmall { line: "liquid", run: 3 },
            Why::OutOfRange("temperature is 500 K, above 460 K".to_owned()),
        ] {
            let survey = without(&job, &["summer full", "winter full"], &why);
            let findings = check_all(&job, &survey);
            let fails: Vec<&Finding> = findings.iter().filter(|f| f.verdict == Verdict::Fail).collect();
            assert_eq!(fails.len(), 1, "{why:?}: {fails:#?}");
            let fail = fails[0];
            assert_eq!(fail.rule, owner(&survey.circuits[0].unsolved[0]));
            assert!(rule(fail.rule).is_some());
            assert!(fail.says.contains("summer full and winter full"), "{}", fail.says);
            assert!(fail.says.ends_with("no other rule can look at those points."), "{}", fail.says);
            assert!(fail.mend.is_some(), "{fail:#?}");
        }
    }

    #[test]
    fn two_reasons_of_one_rule_are_two_findings() {
        let job = job();
        let mut survey = without(&job, &["summer full"], &Why::NeverCondenses { top_Pa: 4e6 });
        let why = Why::OutOfRange("entropy is 2000 J/(kg K), above 1900 J/(kg K)".to_owned());
        survey.circuits[0].unsolved.push(Unsolved { name: "winter full".to_owned(), why });
        let case = Case::all(&job, &survey).next().unwrap();
        let found = findings(&case, "high-pressure");
        assert_eq!(found.len(), 2);
        assert!(found[1].says.starts_with("There is no answer at winter full: entropy is 2000 J/(kg K), above"));
        assert!(findings(&case, "winter-hold").is_empty());
    }

    #[test]
    fn a_starved_line_is_mended_by_tube_that_lets_every_point_through() {
        let narrow = changed(|circuit| with_tubes(liquid(circuit, 3), &["7/8 ACR"]));
        let survey = without(&narrow, &["winter full"], &Why::LineTooSmall { line: "liquid", run: 3 });
        let case = Case::all(&narrow, &survey).next().unwrap();
        let found = findings(&case, "liquid-drop");
        assert_eq!(found[0].r#where.as_deref(), Some("liquid run 3"));
        assert!(found[0].says.contains("the fall of 38 ft in 7/8 ACR (run 3) loses more pressure than there is"));
        let mend = found[0].mend.as_ref().unwrap();
        assert!(mend.starts_with("1-1/8 ACR in the fall (run 3) would do."), "{mend}");
        let narrow = changed(|circuit| with_tubes(discharge(circuit, 2), &["2-1/8 ACR"]));
        let survey = without(&narrow, &["winter full"], &Why::LineTooSmall { line: "discharge", run: 2 });
        let case = Case::all(&narrow, &survey).next().unwrap();
        assert!(
            findings(&case, "discharge-drop")[0].mend.as_ref().unwrap().starts_with("2-5/8 ACR in the rise (run 2)")
        );
    }
}
