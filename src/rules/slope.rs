//! `slope`: do level runs of the discharge line fall with the flow?

use super::case::Case;
use super::finding::{Finding, Look, Place, Rule, Verdict};
use super::say::{Say, Value, say};
use crate::job::{LineId, Path, Run, Slope};

pub const RULE: Rule = Rule {
    id: "slope",
    question: "Do level runs of the discharge line slope with the flow?",
    explanation: "\
Level runs of the discharge line should slope 1/2 in in 10 ft in the direction of flow. Oil, and gas that condenses \
at a stop, then drain to the condenser and not back to the compressors. A run drawn dead level or sloped against the \
flow is a caution. Where everything ahead of it also drains to the compressors, with no trap, check valve or drop \
between, it is a fail: the next start hammers on liquid. A run with no stated slope is a note.",
    limits: &["slope"],
    look: Look::Circuit(look),
};

/// How a level run lies, the worst first: the verdict, and what one or several such runs do.
const LIES: [(Verdict, [&str; 2]); 4] = [
    (
        Verdict::Fail,
        [
            "{} slopes against the flow and drains straight back to the compressors.",
            "{} slope against the flow and drain straight back to the compressors.",
        ],
    ),
    (
        Verdict::Caution,
        [
            "{} slopes against the flow: oil and condensed liquid run back.",
            "{} slope against the flow: oil and condensed liquid run back.",
        ],
    ),
    (
        Verdict::Caution,
        [
            "{} is dead level: oil and condensed liquid collect in it.",
            "{} are dead level: oil and condensed liquid collect in them.",
        ],
    ),
    (Verdict::Note, ["{} has no slope stated.", "{} have no slope stated."]),
];

fn look(case: &Case) -> Vec<Finding> {
    let drawn = &case.circuit.discharge.runs;
    if !drawn.iter().any(|run| matches!(run.path, Path::Level { .. })) {
        return Vec::new();
    }
    let lying = |lies: usize| -> Vec<usize> {
        (0..drawn.len()).filter(|index| how_it_lies(drawn, *index) == Some(lies)).map(|index| index + 1).collect()
    };
    let wrong =
        LIES.iter().enumerate().map(|(lies, told)| (lying(lies), told)).filter(|(numbers, _)| !numbers.is_empty());
    let (mut says, mut worst) = (Say::default(), None);
    for (numbers, (verdict, [one, many])) in wrong {
        worst = worst.or_else(|| Some((*verdict, *numbers.first()?)));
        let space = if says.is_empty() { "" } else { " " };
        let words = if numbers.len() == 1 { one } else { many };
        says = says.and(space, []).and(words, [Value::Runs(numbers)]);
    }
    let finding =
        case.finding(RULE.id, worst.map_or(Verdict::Pass, |(verdict, _)| verdict)).by(case.limit("slope").source);
    vec![match worst {
        Some((_, number)) => finding.place(Place::run(LineId::Discharge, number)).says(says),
        None => finding.says(say("Every level run of the discharge line slopes with the flow.", [])),
    }]
}

/// What is wrong with how a level run lies, by its place in `LIES`; nothing where it falls with the flow.
fn how_it_lies(runs: &[Run], index: usize) -> Option<usize> {
    match runs.get(index)?.path {
        Path::Level { slope: Some(Slope::AgainstFlow), .. } => Some(usize::from(!drains_back(runs, index))),
        Path::Level { slope: Some(Slope::None), .. } => Some(2),
        Path::Level { slope: None, .. } => Some(3),
        _ => None,
    }
}

/// Whether liquid that runs back out of that run reaches the compressors for certain.
fn drains_back(runs: &[Run], index: usize) -> bool {
    runs.iter().take(index).all(|run| match &run.path {
        Path::Level { slope, .. } => *slope == Some(Slope::AgainstFlow),
        Path::Rise { traps, .. } => !traps.foot && traps.between.is_empty(),
        Path::Drop { .. } => false,
        Path::Part(part) => !part.checks,
    })
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
        let job = changed(|c| lies(c, 3, None));
        let found = finding(RULE, &job);
        assert_eq!((found.verdict, found.text(&job).as_str()), (Verdict::Note, "Run 3 has no slope stated."));
    }

    #[test]
    fn level_and_against_the_flow_are_cautions() {
        let found = finding(RULE, &changed(|c| lies(c, 3, Some(Slope::None))));
        assert_eq!(found.verdict, Verdict::Caution);
        let found = finding(RULE, &changed(|c| lies(c, 3, Some(Slope::AgainstFlow))));
        assert_eq!((found.verdict, found.place), (Verdict::Caution, Some(Place::run(LineId::Discharge, 3))));
    }

    #[test]
    fn what_drains_straight_back_to_the_compressors_fails() {
        let back = changed(|c| lies(c, 1, Some(Slope::AgainstFlow)));
        let found = finding(RULE, &back);
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(found.text(&back).starts_with("Run 1 slopes against the flow and drains straight back"));
        // The trap at the foot of the rise catches it; without one it goes on down to the compressors.
        let past_the_trap = |foot: bool| {
            let job = changed(|c| {
                lies(c, 1, Some(Slope::AgainstFlow));
                lies(c, 3, Some(Slope::AgainstFlow));
                if let Path::Rise { traps, .. } = &mut discharge(c, 2).path {
                    traps.foot = foot;
                    traps.between.clear();
                }
            });
            finding(RULE, &job).text(&job)
        };
        let text = past_the_trap(true);
        assert!(text.starts_with("Run 1 slopes against the flow and drains"), "{text}");
        assert!(text.ends_with(" Run 3 slopes against the flow: oil and condensed liquid run back."), "{text}");
        assert!(past_the_trap(false).starts_with("Runs 1 and 3 slope against the flow and drain"));
    }

    #[test]
    fn a_line_without_a_level_run_is_not_asked() {
        let upright = changed(|circuit| circuit.discharge.runs.retain(|run| !matches!(run.path, Path::Level { .. })));
        assert!(findings(RULE, &upright).is_empty());
    }
}
