//! `tube-strength`: is the tube rated, annealed, at its temperature, for the design pressure?

use super::case::Case;
use super::finding::{Finding, Look, Place, Rule, Source, Verdict, wrong_or_greatest};
use super::say::{Value, say};
use crate::survey::{Design, Strength};
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "tube-strength",
    question: "Is the tube rated, annealed, at its temperature, for the design pressure of the high side?",
    explanation: "\
Every tube of both lines, by p = 2 S t / (D - 0.8 t). D and t are the largest outside diameter and the minimum wall \
that the tube's standard allows. S is the allowable stress of annealed copper, because brazing anneals drawn tube \
too. The stress is taken at the design temperature or at the warmest refrigerant of the run, whichever is warmer.

The rating must reach the high-side design pressure, that of `design-pressure`. A cut-out may be set at 90 % of the relief valve's setting. Where neither that \
nor a design pressure is given, tube rated for the cut-out but not for such a relief valve is a caution. A tube of \
the job's own counts at its own rating or allowable stress.

The stress is that of ASME B31 on the minimum wall, 41 MPa at 100 F. Metric tube of EN 12735-1 is rated by European \
custom: p = 2 S s / (D - s) on the nominal wall, with 57 MPa annealed. Above 65 °C the stress falls as the American one \
does. Half-hard tube has 60 MPa only where nothing heats it. The finding names the custom.

Many brazed lines of ordinary tube for a high-pressure refrigerant do not meet this. They may burst in a fire, or at \
a pressure that the cut-out still permits. An inspector who requires the calculation will find it.",
    limits: &["design_above_summer", "design_minimum", "cutout_of_relief", "steel_schedule_80"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let Some(design) = &case.solved.design else {
        let says = say(
            "Not judged: {} has no saturation pressure at the design temperature, and the job gives no cutout.",
            [Value::name(&case.circuit.refrigerant)],
        );
        let finding = case.finding(RULE.id, Verdict::NotJudged).says(says);
        return vec![finding.by(Source::Published("ashrae-15"))];
    };
    let kinds = kinds(&case.solved.strengths).into_iter();
    wrong_or_greatest(kinds.map(|(tube, runs)| (judge(case, tube, runs, design), -tube.rated_Pa.unwrap_or(f64::MAX))))
}

/// The kinds of tube of each line in order of flow, each where it is warmest, with the numbers of its runs.
fn kinds(strengths: &[Strength]) -> Vec<(&Strength, Vec<usize>)> {
    let mut kinds: Vec<(&Strength, Vec<usize>)> = Vec::new();
    for each in strengths {
        match kinds.iter_mut().find(|(kind, _)| kind.line == each.line && kind.tube == each.tube) {
            Some((kind, runs)) => {
                if each.warmest_K > kind.warmest_K {
                    *kind = each;
                }
                if runs.last() != Some(&each.run) {
                    runs.push(each.run);
                }
            }
            None => kinds.push((each, vec![each.run])),
        }
    }
    kinds
}

fn judge(case: &Case, tube: &Strength, runs: Vec<usize>, design: &Design) -> Finding {
    let name = Value::name(&tube.tube.name);
    let finding = case.finding(RULE.id, Verdict::Caution).place(Place::Runs(tube.line, runs));
    let finding = finding.by(case.design_source(design, design.basis));
    let temperature = Value::Degrees(tube.warmest_K);
    let Some(rated) = tube.rated_Pa else {
        return finding.says(say("No allowable stress of {} is listed at {}.", [name, temperature]));
    };
    let mut finding = finding.found(rated, design.pressure_Pa, Kind::Rating);
    let no_room = rated >= design.pressure_Pa && rated < design.with_relief_Pa;
    finding.verdict = match () {
        () if rated < design.pressure_Pa => Verdict::Fail,
        () if no_room => Verdict::Caution,
        () => Verdict::Pass,
    };
    let says = say("{} is rated {}", [name, Value::Of(Kind::Rating, rated)]);
    let says = if tube.tube.rated.is_some() {
        says.and(" by the job", [])
    } else {
        let says = says.and(" annealed at {}", [temperature]);
        if tube.tube.is_metric() { says.and(" on its nominal wall, by European custom", []) } else { says }
    };
    let required = [Value::Of(Kind::Rating, design.pressure_Pa), Value::Say(case.design_basis(design))];
    let says = says.and(". {} is required: {}.", required);
    if !no_room {
        return finding.says(says);
    }
    finding
        .found(rated, design.with_relief_Pa, Kind::Rating)
        .by(case.by_code(case.limit("cutout_of_relief").source, "en-378-2-settings"))
        .says(says.and(
            " No relief valve is given. With the cut-out at {} of its setting, one opens at {}.",
            [
                Value::Of(Kind::Share, case.limit("cutout_of_relief").value),
                Value::Of(Kind::Rating, design.with_relief_Pa),
            ],
        ))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, discharge, fahrenheit, findings, job, liquid, only, with_tubes};
    use super::*;
    use crate::job::{Job, LineId, Relief};
    use crate::refrigerant;
    use crate::survey::PointId;
    use crate::units::factor::PSI;
    use crate::units::pascals;

    #[test]
    fn a_tube_rated_for_the_design_pressure_exactly_holds() {
        let rated = |spare: f64| {
            let mut job = job();
            let design = only(RULE.check(&job, &by_hand(&job, PointId::SummerFull, |_| {}))).limit();
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
        let design = |job: &Job| only(RULE.check(job, &by_hand(job, PointId::SummerFull, |_| {})));
        let atmosphere = job().site.atmosphere.pascals();
        let saturated = |fahrenheit_degrees: f64| {
            let fluid = refrigerant::named("R-134a").unwrap();
            fluid.bubble_pressure(fahrenheit(fahrenheit_degrees).kelvin()).unwrap() - atmosphere
        };
        let near = |found: &Finding, pressure: f64| (found.limit() / pressure - 1.0).abs() < 1e-9;
        let mut bare = changed(|circuit| {
            circuit.condenser.cutout = None;
            circuit.relief = Relief::NotGiven;
        });
        let found = design(&bare);
        assert!(near(&found, saturated(126.0)), "96 F and 30 F over it: {found:#?}");
        assert!(found.text(&bare).contains("R-134a at 126 F"), "{}", found.text(&bare));
        bare.site.summer = fahrenheit(80.0);
        assert!(near(&design(&bare), saturated(122.0)), "not below 122 F");
        let found = design(&job());
        let text = found.text(&job());
        assert!(text.ends_with("280 psig is required: the setting of the relief valve."), "{text}");
        let switch = changed(|circuit| circuit.relief = Relief::NotGiven);
        let text = design(&switch).text(&switch);
        assert!(text.ends_with("250 psig is required: the setting of the high-pressure cut-out."), "{text}");
    }

    #[test]
    fn operation_above_the_rating_fails_without_a_switch() {
        let bare = changed(|circuit| {
            circuit.condenser.cutout = None;
            circuit.relief = Relief::NotGiven;
        });
        let hot = |pressure: f64| {
            let survey = by_hand(&bare, PointId::SummerFull, |point| point.state.discharge.pressure_Pa = pressure);
            only(RULE.check(&bare, &survey))
        };
        assert_eq!(hot(1.5e6).verdict, Verdict::Pass);
        let found = hot(2.4e6);
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(
            found.text(&bare).ends_with("334 psig is required: the pressure at summer full."),
            "{}",
            found.text(&bare)
        );
    }

    #[test]
    fn tube_that_holds_the_switch_and_no_relief_valve_over_it_is_a_caution() {
        let with = |relief: Relief, cutout: f64| {
            let job = changed(|circuit| {
                circuit.relief = relief;
                let atmosphere = super::super::testing::job().site.atmosphere.pascals();
                circuit.condenser.cutout = Some(crate::units::Pressure::from_pascals(cutout * PSI + atmosphere));
            });
            let found = RULE.check(&job, &by_hand(&job, PointId::SummerFull, |_| {}));
            (found[0].verdict, found[0].text(&job))
        };
        // 2-5/8 ACR at 126 F: 305 psi and a little more.
        let (verdict, text) = with(Relief::NotGiven, 290.0);
        assert_eq!(verdict, Verdict::Caution, "{text}");
        assert!(text.ends_with("With the cut-out at 90 % of its setting, one opens at 322 psig."), "{text}");
        assert_eq!(with(Relief::NotGiven, 260.0).0, Verdict::Pass);
        assert_eq!(with(Relief::NotGiven, 340.0).0, Verdict::Fail);
    }

    #[test]
    fn a_brazed_line_of_a_high_pressure_refrigerant_fails_by_size() {
        let job = changed(|circuit| {
            circuit.refrigerant = "R-410A".to_owned();
            circuit.condenser.cutout = None;
            circuit.relief = Relief::NotGiven;
            for number in 1..=3 {
                with_tubes(discharge(circuit, number), &["1-3/8 ACR"]);
            }
            for number in 2..=4 {
                with_tubes(liquid(circuit, number), &["1-3/8 ACR"]);
            }
        });
        let found = findings(RULE, &job);
        let told: Vec<_> = found.iter().map(|f| (f.verdict, f.place.clone().unwrap())).collect();
        let fails = [
            (Verdict::Fail, Place::Runs(LineId::Discharge, vec![1, 2, 3])),
            (Verdict::Fail, Place::Runs(LineId::Liquid, vec![2, 3, 4])),
        ];
        assert_eq!(told, fails);
        let text = found[1].text(&job);
        assert!(text.starts_with("1-3/8 ACR is rated "), "{text}");
        assert!(text.contains("annealed at 126 F"), "{text}");
    }

    /// The handbook's ratings of annealed tube at 150 F against saturation at 122 F, by its printed pounds: 1-3/8 ACR 373 psi and R-410A
    /// 430 psig, 1-1/8 ACR 420; 2-1/8 ACR 309 psi and R-404A 318 psig.
    #[test]
    fn ordinary_tube_is_short_of_122_f_in_r_410a_and_r_404a() {
        for (refrigerant, tube, rated, minimum) in [
            ("R-410A", "1-3/8 ACR", 373.0, 430.0),
            ("R-410A", "1-1/8 ACR", 420.0, 430.0),
            ("R-404A", "2-1/8 ACR", 309.0, 318.0),
        ] {
            let mut job = changed(|circuit| {
                circuit.refrigerant = refrigerant.to_owned();
                circuit.condenser.cutout = None;
                circuit.relief = Relief::NotGiven;
                (1..=3).for_each(|number| with_tubes(discharge(circuit, number), &[tube]));
            });
            job.site.summer = fahrenheit(85.0);
            let survey = by_hand(&job, PointId::SummerFull, |point| {
                point.discharge_line.runs.iter_mut().for_each(|run| run.warmest_K = fahrenheit(150.0).kelvin());
            });
            let found = RULE.check(&job, &survey).into_iter().find(|found| found.verdict == Verdict::Fail).unwrap();
            assert_eq!(found.place, Some(Place::Runs(LineId::Discharge, vec![1, 2, 3])));
            assert!((found.value() / PSI - rated).abs() < 1.5, "{tube}: {}", found.value() / PSI);
            assert!((found.limit() / PSI - minimum).abs() < 0.01 * minimum, "{refrigerant}: {}", found.limit() / PSI);
        }
    }

    #[test]
    fn without_a_design_pressure_it_is_not_judged() {
        let job = job();
        let mut survey = by_hand(&job, PointId::SummerFull, |_| {});
        survey.circuits[0].design = None;
        assert_eq!(only(RULE.check(&job, &survey)).verdict, Verdict::NotJudged);
    }
}
