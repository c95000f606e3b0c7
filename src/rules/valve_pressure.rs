//! `valve-pressure`: is there pressure enough across the expansion valve on the coldest day?

use super::case::{Case, least};
use super::mend::{self, Trial, Tries};
use super::{Finding, Look, Rule, Verdict, unsolved};
use crate::job::HeadControl;
use crate::survey::Point;
use crate::units::Temperature;

/// The rule.
pub const RULE: Rule = Rule {
    id: "valve-pressure",
    question: "Is there pressure enough across the expansion valve on the coldest day?",
    explanation: "\
The pressure at the valve's inlet less the evaporating pressure, at every operating point, against the least that the valve \
needs for its full capacity. What the distributor and the evaporator take themselves comes off that difference too: the job's \
`least_drop` should have room for it. Without `least_drop` the difference is only told.

On a cold day a condenser on the roof pulls the head pressure down until the valve cannot feed the evaporator: suction \
pressure falls, the low-pressure switch trips or the evaporator freezes.

The mend is the condensing temperature that the head control would have to hold, by fans where they can, not cut to less air \
than a coil draws by itself, and by flooding, found by solving the circuit again.",
    limits: &["fan_air_least"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    judge(case).into_iter().collect()
}

fn difference(point: &Point) -> f64 {
    point.state.valve_inlet.pressure_Pa - point.state.suction.pressure_Pa
}

/// The operating point with the least pressure across the valve.
fn worst<'a>(case: &Case<'a>) -> Option<(&'a Point, f64)> {
    least(case.points().map(|point| (point, difference(point))))
}

fn judge(case: &Case) -> Option<Finding> {
    let show = case.show();
    let (point, across) = worst(case)?;
    let stands = if across > 0.0 {
        format!("{} stand across the expansion valve at {}", show.pressure_difference(across), point.name)
    } else {
        format!(
            "At {} the valve cannot feed at all: the evaporator stands at {} more than its inlet",
            point.name,
            show.pressure_difference(-across)
        )
    };
    let finding = case.finding(RULE.id, Verdict::Note).at(point.id).by("the job file (valve.least_drop)");
    let Some(needs) = case.circuit.valve.least_drop else {
        if across <= 0.0 {
            let mut finding = finding.found(across, 0.0, "Pa");
            finding.verdict = Verdict::Fail;
            return Some(finding.says(format!("{stands}.")).mended(case, |tries| {
                unsolved::hold(case, tries, std::slice::from_ref(&point.id), point.evaporating_K)
            }));
        }
        return Some(finding.found(across, None, "Pa").says(format!(
            "{stands}; the job does not say how much the valve needs (valve.least_drop), so this was not judged."
        )));
    };
    let needs = needs.value;
    let mut finding = finding.found(across, needs, "Pa");
    finding.verdict = if across < needs { Verdict::Fail } else { Verdict::Pass };
    let says = format!(
        "{stands}, condensing at {}; it needs {}.",
        show.temperature(point.condensing_K),
        show.pressure_difference(needs)
    );
    Some(finding.says(says).mended(case, |tries| mend(case, tries, point, needs - across)))
}

fn mend(case: &Case, tries: &mut Tries, point: &Point, short: f64) -> Option<String> {
    let show = case.show();
    let fluid = crate::refrigerant::named(&case.circuit.refrigerant)?;
    let needs = case.circuit.valve.least_drop?.value;
    let (set, fans) = match case.circuit.condenser.head_control {
        HeadControl::None => (f64::NEG_INFINITY, None),
        HeadControl::Fans { hold, least_air } => (hold.kelvin(), Some(least_air)),
        HeadControl::Flooding { hold } => (hold.kelvin(), None),
    };
    let tell = |control: HeadControl, trial: &Trial| {
        let changed = trial.case();
        let leaves = worst(&changed).map_or_else(String::new, |(now, across)| {
            format!(": {} at {}", show.pressure_difference(across), now.name)
        });
        let cost = match (case.solved.point(point.id), trial.point(point.id)) {
            (Some(before), Some(after)) => {
                format!(", for {} more power at {}", show.power(after.power_W - before.power_W), point.name)
            }
            _ => String::new(),
        };
        format!("{} would do{leaves}{cost}.{}", mend::name_control(case, control), trial.but())
    };
    // As much higher as the vapour-pressure curve says, then corrected by what is still short.
    let mut pressure = fluid.dew_pressure(point.condensing_K).ok()? + short;
    // Fans as far as they are cut now, or cut further; and flooding, which holds where they cannot.
    let mut air: Option<(bool, String)> = None;
    let mut flooding: Option<(bool, String)> = None;
    for _ in 0..4 {
        let needed = mend::whole_degree_up(show, fluid.dew_temperature(pressure).ok()?);
        let kelvin = needed.max(set);
        let hold = Temperature::from_kelvin(kelvin);
        let fanned = fans.filter(|_| air.is_none()).and_then(|least_air| {
            let good = |(_, trial): &(HeadControl, Trial)| trial.mends() && trial.solves_all();
            let now = with(tries, HeadControl::Fans { hold, least_air }).filter(good);
            now.or_else(|| super::winter_hold::cut_fans(case, tries, point, kelvin)).filter(good)
        });
        air = air.or(fanned.map(|(control, trial)| (!trial.breaks_nothing(), tell(control, &trial))));
        let Some((control, trial)) = with(tries, HeadControl::Flooding { hold }) else { break };
        if trial.mends() {
            flooding = Some((!trial.breaks_nothing(), tell(control, &trial)));
            break;
        }
        let missing = worst(&trial.case()).map_or(0.0, |(_, across)| needs - across);
        pressure += missing.max(0.005 * pressure);
    }
    let mut ways: Vec<(bool, String)> = air.into_iter().chain(flooding).collect();
    ways.sort_by_key(|(breaks, _)| *breaks);
    (!ways.is_empty()).then(|| ways.into_iter().map(|(_, way)| way).collect::<Vec<_>>().join(" Or: "))
}

/// The circuit with another head control.
fn with<'a>(tries: &mut Tries<'a>, control: HeadControl) -> Option<(HeadControl, Trial<'a>)> {
    let trial = tries.with(|circuit| circuit.condenser.head_control = control)?;
    Some((control, trial))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, fahrenheit, finding, job, verdict};
    use super::*;

    #[test]
    fn the_least_drop_itself_is_enough() {
        let job = job();
        let needs = job.circuits[0].valve.least_drop.unwrap().value;
        let at = |across: f64| {
            by_hand(&job, PointId::WinterMinimum, move |p| {
                p.state.valve_inlet.pressure_Pa = p.state.suction.pressure_Pa + across;
            })
        };
        assert_eq!(verdict(RULE, &job, &at(needs)), Verdict::Pass);
        assert_eq!(verdict(RULE, &job, &at(needs - 1.0)), Verdict::Fail);
    }

    #[test]
    fn without_least_drop_the_difference_is_told() {
        let found = finding(RULE, &changed(|circuit| circuit.valve.least_drop = None));
        assert_eq!((found.verdict, found.limit), (Verdict::Note, None));
        assert!(found.says.contains("stand across the expansion valve at winter"), "{}", found.says);
    }

    #[test]
    fn a_cold_day_fails_and_the_head_control_named_would_do() {
        let held = |control: HeadControl| {
            let mut job = changed(|circuit| circuit.condenser.head_control = control);
            job.site.winter = fahrenheit(45.0);
            job
        };
        let found = finding(RULE, &held(HeadControl::None));
        assert_eq!(found.verdict, Verdict::Fail);
        let mend = found.mend.unwrap();
        assert!(mend.contains("more power at winter least"), "{mend}");
        let told =
            mend.strip_prefix("Head control by flooding that holds ").and_then(|rest| rest.split_once(" F would do"));
        let hold: f64 = told.unwrap().0.parse().unwrap();
        assert_eq!(finding(RULE, &held(HeadControl::Flooding { hold: fahrenheit(hold) })).verdict, Verdict::Pass);
        assert_eq!(finding(RULE, &held(HeadControl::Flooding { hold: fahrenheit(hold - 2.0) })).verdict, Verdict::Fail);
    }

    #[test]
    fn an_evaporator_above_the_inlet_of_the_valve_is_told_in_words_and_not_as_a_negative_pressure() {
        let job = job();
        let survey = by_hand(&job, PointId::WinterMinimum, |p| {
            p.state.valve_inlet.pressure_Pa = p.state.suction.pressure_Pa - 1e5;
        });
        let found = super::super::testing::only(RULE.check(&job, &survey));
        assert_eq!((found.verdict, found.value), (Verdict::Fail, Some(-1e5)));
        let told =
            "At winter least the valve cannot feed at all: the evaporator stands at 14.5 psi more than its inlet, ";
        assert!(found.says.starts_with(told), "{}", found.says);
    }
}
