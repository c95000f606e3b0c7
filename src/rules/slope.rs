//! `slope`: do level runs of the discharge line fall with the flow?

use super::case::Case;
use super::say::{capital, list, runs};
use super::{Finding, Look, Rule, Verdict};
use crate::job::{Path, Run, Slope};

/// The rule.
pub const RULE: Rule = Rule {
    id: "slope",
    question: "Do level runs of the discharge line fall with the flow?",
    explanation: "\
Level runs of the discharge line should fall 1/2 in in 10 ft in the direction of flow, so that oil and what condenses at a \
stop run on to the condenser and not back to the compressors. A run that is drawn dead level or against the flow is a \
caution; where everything before it leads on down to the compressors too, with no trap, no check valve and no fall between, \
it is a fail: the next start hammers on liquid. A run whose slope the job does not state is a note.

The mend is the height over which each run has to fall.",
    limits: &["slope"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let drawn = &case.circuit.discharge.runs;
    let level: Vec<(usize, f64, Option<Slope>)> = drawn
        .iter()
        .enumerate()
        .filter_map(|(index, run)| match run.path {
            Path::Level { length, slope } => Some((index, length.value, slope)),
            _ => None,
        })
        .collect();
    if level.is_empty() {
        return Vec::new();
    }
    let drains: Vec<usize> = level
        .iter()
        .filter(|(index, _, slope)| *slope == Some(Slope::AgainstFlow) && drains_back(drawn, *index))
        .map(|(index, ..)| *index)
        .collect();
    let of = |wanted: &[Option<Slope>]| -> Vec<usize> {
        level.iter().filter(|(_, _, slope)| wanted.contains(slope)).map(|(index, ..)| *index).collect()
    };
    let against: Vec<usize> = of(&[Some(Slope::AgainstFlow)]).into_iter().filter(|i| !drains.contains(i)).collect();
    let (flat, unstated) = (of(&[Some(Slope::Level)]), of(&[None]));
    let numbers = |indices: &[usize]| runs(&indices.iter().map(|index| index + 1).collect::<Vec<_>>());
    let mut says = Vec::new();
    let mut verdict = Verdict::Pass;
    let mut tell = |indices: &[usize], how_bad: Verdict, what: &str| {
        if let Some((one, many)) = what.split_once('|').filter(|_| !indices.is_empty()) {
            verdict = verdict.max(how_bad);
            let rest = if indices.len() == 1 { one } else { many };
            says.push(capital(&format!("{}{rest}", numbers(indices))));
        }
    };
    tell(
        &drains,
        Verdict::Fail,
        " falls against the flow and drains straight back to the compressors.| fall against the flow and drain straight back \
         to the compressors.",
    );
    tell(
        &against,
        Verdict::Caution,
        " falls against the flow: oil and condensed liquid run back.| fall against the flow: oil and condensed liquid run \
         back.",
    );
    tell(
        &flat,
        Verdict::Caution,
        " is dead level: oil and condensed liquid lie in it.| are dead level: oil and condensed liquid lie in them.",
    );
    tell(&unstated, Verdict::Note, " has no slope stated.| have no slope stated.");
    if says.is_empty() {
        says.push("Every level run of the discharge line falls with the flow.".to_owned());
    }
    let worst = [&drains, &against, &flat, &unstated].into_iter().find_map(|indices| indices.first());
    let limit = case.limit("slope");
    let mut finding = case.finding(RULE.id, verdict).says(says.join(" ")).by(&limit.source);
    if let Some(index) = worst {
        finding = finding.place(format!("discharge run {}", index + 1));
    }
    let wanting = level.iter().filter(|(_, _, slope)| *slope != Some(Slope::WithFlow));
    let wanting: Vec<(usize, f64)> = wanting.map(|(index, length, _)| (index + 1, length * limit.value)).collect();
    vec![finding.mended(case, |_| Some(mend(case, &wanting)))]
}

/// Whether liquid that runs back out of that run reaches the compressors for certain.
fn drains_back(runs: &[Run], index: usize) -> bool {
    runs.iter().take(index).all(|run| match &run.path {
        Path::Level { slope, .. } => *slope == Some(Slope::AgainstFlow),
        Path::Rise { traps, .. } => !traps.foot && traps.between.is_empty(),
        Path::Fall { .. } => false,
        Path::Part(part) => !part.checks,
    })
}

fn mend(case: &Case, wanting: &[(usize, f64)]) -> String {
    let show = case.show();
    let falls = list(wanting.iter().map(|(number, fall)| format!("{} over run {number}", show.small_length(*fall))));
    format!("A fall with the flow of {falls} would do.")
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, discharge, finding, findings, job};
    use super::*;
    use crate::job::Circuit;

    fn lies(circuit: &mut Circuit, number: usize, how: Option<Slope>) {
        if let Path::Level { slope, .. } = &mut discharge(circuit, number).path {
            *slope = how;
        }
    }

    #[test]
    fn with_the_flow_passes_and_unstated_is_a_note() {
        assert_eq!(finding(RULE, &job()).verdict, Verdict::Pass);
        let found = finding(RULE, &changed(|c| lies(c, 3, None)));
        assert_eq!((found.verdict, found.says.as_str()), (Verdict::Note, "Run 3 has no slope stated."));
        assert!(found.mend.is_none());
    }

    #[test]
    fn level_and_against_the_flow_are_cautions_with_the_fall_that_would_do() {
        let found = finding(RULE, &changed(|c| lies(c, 3, Some(Slope::Level))));
        assert_eq!(found.verdict, Verdict::Caution);
        // 1/2 in in 10 ft over 10 ft.
        assert_eq!(found.mend.as_deref(), Some("A fall with the flow of 0.5 in over run 3 would do."));
        let found = finding(RULE, &changed(|c| lies(c, 3, Some(Slope::AgainstFlow))));
        assert_eq!((found.verdict, found.r#where.as_deref()), (Verdict::Caution, Some("discharge run 3")));
    }

    #[test]
    fn what_drains_straight_back_to_the_compressors_fails() {
        let found = finding(RULE, &changed(|c| lies(c, 1, Some(Slope::AgainstFlow))));
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(found.says.starts_with("Run 1 falls against the flow and drains straight back"), "{}", found.says);
        assert_eq!(found.mend.as_deref(), Some("A fall with the flow of 0.4 in over run 1 would do."));
        // The trap at the foot of the rise catches it; without one it goes on down to the compressors.
        let past_the_trap = |foot: bool| {
            finding(
                RULE,
                &changed(|c| {
                    lies(c, 1, Some(Slope::AgainstFlow));
                    lies(c, 3, Some(Slope::AgainstFlow));
                    if let Path::Rise { traps, .. } = &mut discharge(c, 2).path {
                        traps.foot = foot;
                        traps.between.clear();
                    }
                }),
            )
        };
        assert!(past_the_trap(true).says.starts_with("Run 1 falls against the flow and drains"));
        assert!(past_the_trap(false).says.starts_with("Runs 1 and 3 fall against the flow and drain"));
    }

    #[test]
    fn a_line_without_a_level_run_is_not_asked() {
        let upright = changed(|circuit| circuit.discharge.runs.retain(|run| !matches!(run.path, Path::Level { .. })));
        assert!(findings(RULE, &upright).is_empty());
    }
}
