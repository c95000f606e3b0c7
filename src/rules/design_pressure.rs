//! `design-pressure`: is the high side designed for what can stand in it?

use super::case::Case;
use super::finding::{Finding, Look, Place, Rule, Source, Verdict};
use super::say::{Value, say};
use crate::survey::{Basis, Design};
use crate::units::{Kind, Pressure};

pub const RULE: Rule = Rule {
    id: "design-pressure",
    question: "Is the high side designed for the pressures it can reach?",
    explanation: "\
The design pressure of the high side is the one that the job gives, else the highest of four. These are saturation (bubble) at the code's design \
temperature, the settings of the high-pressure cut-out and of the relief valve, and the highest pressure at any operating point. For an air-cooled high side ASHRAE 15 requires 30 F above the design \
dry-bulb, and not below 122 F (from memory). With code = \"eu\" the design temperature is that of the table of EN \
378-2 by ambient temperature: 55, 59, 63 or 67 °C.

A design pressure that is given is the lowest on the nameplates. It must not be below the code's minimum or below \
any operating pressure. The relief valve opens at the design pressure or less, and above any operating pressure.

The high-pressure cut-out is set at no more than 90 % of the relief valve's setting, so that it stops the \
compressors before refrigerant is lost. Without a relief valve that is 90 % of the design pressure (from memory). A \
cut-out that is set too high is lowered. A higher setting or another nameplate resolves nothing here: \
`tube-strength` judges whether tube and parts are rated for the design pressure.",
    limits: &["design_above_summer", "design_minimum", "cutout_of_relief"],
    look: Look::Circuit(look),
};

/// By how much two sources of saturation pressures may differ: half a per cent.
const PROPERTIES: f64 = 0.005;

fn look(case: &Case) -> Vec<Finding> {
    let Some(design) = &case.solved.design else {
        let says = say(
            "{} has no saturation pressure at the design temperature. Give a design pressure or a setting.",
            [Value::name(&case.circuit.refrigerant)],
        );
        return vec![case.finding(RULE.id, Verdict::NotJudged).by(Source::Published("ashrae-15")).says(says)];
    };
    let wrong =
        [below_minimum(case, design), below_operation(case, design), relief(case, design), switch(case, design)];
    let wrong: Vec<Finding> = wrong.into_iter().flatten().collect();
    if !wrong.is_empty() {
        return wrong;
    }
    let says = say(
        "The high side is designed for {}: {}",
        [Value::Of(Kind::Rating, design.pressure_Pa), Value::Say(case.design_basis(design))],
    );
    let finding = case.finding(RULE.id, Verdict::Pass).by(case.design_source(design, design.basis));
    let Some(minimum) = design.minimum_Pa else {
        let says = says.and(". Saturation at the code's design temperature is not known.", []);
        return vec![finding.found(design.pressure_Pa, None, Kind::Rating).says(says)];
    };
    let says = if design.basis == Basis::Saturation {
        says.and(", the minimum of the code.", [])
    } else {
        let standing = [Value::Of(Kind::Rating, minimum), Value::Say(case.standing(design))];
        says.and(". The code's minimum is {}: {}.", standing)
    };
    vec![finding.found(design.pressure_Pa, minimum, Kind::Rating).says(says)]
}

fn gauge(case: &Case, pressure: Pressure) -> f64 {
    pressure.pascals() - case.job.site.atmosphere.pascals()
}

fn rating(pascals: f64) -> Value {
    Value::Of(Kind::Rating, pascals)
}

/// The highest pressure of an operating point, over the atmosphere.
fn highest(case: &Case) -> Option<(Value, f64)> {
    let (point, pressure) = case.worst(|point| point.state.discharge.pressure_Pa)?;
    Some((Value::Point(point.id), pressure - case.job.site.atmosphere.pascals()))
}

/// A design pressure below the code's minimum.
fn below_minimum(case: &Case, design: &Design) -> Option<Finding> {
    let (given, minimum) = (gauge(case, case.circuit.design_pressure?), design.minimum_Pa?);
    (given < minimum * (1.0 - PROPERTIES)).then(|| {
        let says = say(
            "The design pressure is {}. The code requires a minimum of {}: {}.",
            [rating(given), rating(minimum), Value::Say(case.standing(design))],
        );
        case.finding(RULE.id, Verdict::Fail)
            .found(given, minimum, Kind::Rating)
            .says(says)
            .by(case.standing_source(design))
    })
}

/// A design pressure below what the plant runs at.
fn below_operation(case: &Case, design: &Design) -> Option<Finding> {
    case.circuit.design_pressure?;
    let (point, highest) = highest(case)?;
    (design.pressure_Pa < highest).then(|| {
        let says = say(
            "The design pressure is {}; the circuit runs at {} at {}.",
            [rating(design.pressure_Pa), rating(highest), point],
        );
        let finding = case.finding(RULE.id, Verdict::Fail).found(design.pressure_Pa, highest, Kind::Rating);
        finding.says(says).by(Source::Balance)
    })
}

/// A relief valve that opens over the design pressure, or at what the plant runs at.
fn relief(case: &Case, design: &Design) -> Option<Finding> {
    let setting = gauge(case, case.circuit.relief.valve()?.setting);
    let finding = case
        .finding(RULE.id, Verdict::Fail)
        .by(case.by_code(Source::Published("ashrae-15-relief"), "en-378-2-settings"));
    if setting > design.pressure_Pa * (1.0 + 1e-9) {
        let says = say(
            "The relief valve opens at {}. The maximum is {}, the design pressure of the high side.",
            [rating(setting), rating(design.pressure_Pa)],
        );
        return Some(finding.found(setting, design.pressure_Pa, Kind::Rating).says(says));
    }
    let (point, highest) = highest(case)?;
    (setting <= highest).then(|| {
        let says = say(
            "The relief valve opens at {}; at {} the circuit runs at {}.",
            [rating(setting), point, rating(highest)],
        );
        finding.found(highest, setting, Kind::Rating).says(says)
    })
}

/// A switch over its share of the relief valve's setting, or without a relief valve of the design pressure.
fn switch(case: &Case, design: &Design) -> Option<Finding> {
    let cutout = gauge(case, case.circuit.condenser.cutout?);
    let used = case.limit("cutout_of_relief");
    let (of, over) = match case.circuit.relief.valve() {
        Some(valve) => (gauge(case, valve.setting), "the relief valve's setting of"),
        None if design.basis == Basis::Given => (design.pressure_Pa, "the design pressure of"),
        None => return None,
    };
    let maximum = of * used.value;
    // Both are typed in whole psi or tenths of a bar.
    (cutout > maximum + 500.0).then(|| {
        let says = say(
            "The high-pressure cut-out is set to {}, {} of {} {}. The maximum is {}, or {}.",
            [
                rating(cutout),
                Value::Of(Kind::Share, cutout / of),
                Value::name(over),
                rating(of),
                Value::Of(Kind::Share, used.value),
                rating(maximum),
            ],
        );
        let finding = case.finding(RULE.id, Verdict::Fail).place(Place::Condenser);
        finding.found(cutout, maximum, Kind::Rating).says(says).by(case.by_code(used.source, "en-378-2-settings"))
    })
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, finding, findings, job, only};
    use super::*;
    use crate::job::{Code, Job, Relief, ReliefValve};
    use crate::units::factor::PSI;

    fn psig(job: &Job, psi: f64) -> Pressure {
        Pressure::from_pascals(psi * PSI + job.site.atmosphere.pascals())
    }

    /// The clean job with these pressures, psig; none where it is 0.
    fn with(design: f64, relief: f64, cutout: f64) -> Job {
        let known = |pressure: f64| (pressure > 0.0).then(|| psig(&job(), pressure));
        changed(|circuit| {
            circuit.design_pressure = known(design);
            circuit.condenser.cutout = known(cutout);
            circuit.relief = known(relief).map_or(Relief::NotGiven, |setting| {
                let (capacity, tube, length) = (None, None, None);
                Relief::Valve(ReliefValve { setting, capacity, count: 1, tube, length, fittings: Vec::new() })
            });
        })
    }

    fn verdict(design: f64, relief: f64, cutout: f64) -> Verdict {
        only(findings(RULE, &with(design, relief, cutout))).verdict
    }

    #[test]
    fn the_highest_of_what_can_stand_in_it_is_the_design_pressure() {
        let found = |relief: f64, cutout: f64| {
            let job = with(0.0, relief, cutout);
            let found = finding(RULE, &job);
            assert_eq!(found.verdict, Verdict::Pass, "{found:#?}");
            (found.value() / PSI, found.text(&job))
        };
        let (pressure, text) = found(0.0, 0.0);
        // R-134a at 126 F, 30 F over 96 F: 202.6 psia by the standard's own properties, in the air of 890 ft.
        assert!((pressure - 188.4).abs() < 1.0, "{pressure}: {text}");
        assert!(text.ends_with("R-134a at 126 F, the minimum of the code."), "{text}");
        assert!((found(0.0, 275.0).0 - 275.0).abs() < 1e-9);
        assert!((found(310.0, 275.0).0 - 310.0).abs() < 1e-9);
    }

    #[test]
    fn a_design_pressure_is_never_below_the_codes_minimum() {
        assert_eq!(verdict(300.0, 0.0, 0.0), Verdict::Pass);
        assert_eq!(verdict(180.0, 0.0, 0.0), Verdict::Fail);
        let job = with(185.0, 0.0, 0.0);
        let found = finding(RULE, &job);
        let text = found.text(&job);
        assert!(
            text.starts_with(
                "The design pressure is 185 psig. The code requires a minimum of 188 psig: R-134a at \
                                  126 F"
            ),
            "{text}"
        );
        assert_eq!(found.source, Source::Published("ashrae-15"));
    }

    #[test]
    fn a_relief_valve_opens_at_the_design_pressure_and_no_higher() {
        assert_eq!(verdict(300.0, 300.0, 0.0), Verdict::Pass);
        assert_eq!(verdict(300.0, 301.0, 0.0), Verdict::Fail);
        let job = with(300.0, 150.0, 0.0);
        assert!(
            finding(RULE, &job)
                .text(&job)
                .starts_with("The relief valve opens at 150 psig; at summer full the circuit runs at ")
        );
    }

    #[test]
    fn the_switch_stands_at_nine_tenths_of_the_relief_valve_or_of_the_design_pressure() {
        assert_eq!(verdict(0.0, 300.0, 270.0), Verdict::Pass);
        assert_eq!(verdict(0.0, 300.0, 271.0), Verdict::Fail);
        assert_eq!(verdict(300.0, 0.0, 270.0), Verdict::Pass);
        assert_eq!(verdict(300.0, 0.0, 271.0), Verdict::Fail);
        // Neither is given: nothing to hold it against.
        assert_eq!(verdict(0.0, 0.0, 290.0), Verdict::Pass);
    }

    /// A tube wholesaler's sheet of R-410A by EN 378 at 32 °C: 33.6 bar allowed, the switch at 30.2 bar; here it stands at 32.
    #[test]
    fn a_switch_of_32_bar_fails_with_33_6_bar_allowed_and_one_of_30_2_passes() {
        let of = |cutout: f64| {
            let mut job = changed(|circuit| {
                circuit.refrigerant = "R-410A".to_owned();
                let bar = |bar: f64| Pressure::from_pascals(bar * 1e5 + 101_325.0);
                circuit.relief = Relief::NotGiven;
                circuit.design_pressure = Some(bar(33.6));
                circuit.condenser.cutout = Some(bar(cutout));
            });
            job.site.code = Code::Eu;
            job.site.atmosphere = Pressure::from_pascals(101_325.0);
            job.site.summer = crate::units::Temperature::from_kelvin(305.15);
            let found = finding(RULE, &job);
            (found.verdict, found.text(&job))
        };
        assert_eq!(of(30.2).0, Verdict::Pass, "{}", of(30.2).1);
        let (verdict, text) = of(32.0);
        assert_eq!(verdict, Verdict::Fail);
        assert!(text.contains("95.2 % of the design pressure of 487 psig"), "{text}");
    }

    #[test]
    fn by_en_378_the_minimum_follows_from_its_table() {
        let mut job = with(0.0, 0.0, 0.0);
        job.site.code = Code::Eu;
        // 96 F is 35.6 °C: 59 °C, at which R-134a stands at 15.4 bar over one atmosphere; here the air has 0.981 bar.
        let found = finding(RULE, &job);
        assert!((found.value() / 1e5 - 15.4).abs() < 0.1, "{found:#?}");
        assert_eq!(found.source, Source::Published("en-378-2"));
    }

    #[test]
    fn without_anything_known_it_is_not_judged() {
        let job = job();
        let mut survey = super::super::testing::solved(&job);
        survey.circuits[0].design = None;
        assert_eq!(only(RULE.check(&job, &survey)).verdict, Verdict::NotJudged);
    }
}
