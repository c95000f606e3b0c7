//! `discharge-gas`: does the gas leave the compressors too hot, and are they inside their envelope?

use super::case::{Case, greatest};
use super::finding::{Finding, Look, Place, Rule, Source, Verdict};
use super::limit::{Ladder, limit};
use super::say::{Value, say};
use crate::job::LineId;
use crate::survey::Point;
use crate::units::{Kind, Temperature};

pub const RULE: Rule = Rule {
    id: "discharge-gas",
    question: "Is the discharge gas too hot, or a compressor outside its envelope?",
    explanation: "\
The temperature of the discharge line at the compressors, at every operating point. Published: not above 225 F a few \
inches from the compressor, where oil begins to break down. Above 225 F is a note, above 250 F a caution, above 275 \
F a fail (from memory): oil cokes on the valves and the motor loses its cooling. Heat loss through the shell is \
neglected, so the figure reads a few degrees high. Less superheat, a larger condenser, a wider discharge line or a \
refrigerant that compresses cooler lower it.

The manufacturer's own limit (`discharge_limit`) or map of suction and condensing temperatures (`envelope`) governs \
where the job gives it: outside is a fail. A point at which the evaporator starves is reported and not judged: \
`valve-pressure` covers it.",
    limits: &["discharge_gas_note", "discharge_gas_caution", "discharge_gas"],
    look: Look::Circuit(|case| outside(case).into_iter().chain(hottest(case)).collect()),
};

fn temperature(point: &Point) -> f64 {
    point.state.discharge.temperature_K
}

/// The operating points outside the manufacturer's envelope.
fn outside(case: &Case) -> Option<Finding> {
    let compressors = &case.circuit.compressors;
    let mut out = case
        .points()
        .filter(|point| !point.starved && !compressors.allows(point.evaporating_K, point.condensing_K))
        .peekable();
    let first = *out.peek()?;
    let points = Value::List(out.map(|point| Value::Point(point.id)).collect());
    let says = say(
        "The compressors run outside the manufacturer's envelope at {}: evaporating {}, condensing {}.",
        [points, Value::Of(Kind::Temperature, first.evaporating_K), Value::Of(Kind::Temperature, first.condensing_K)],
    );
    let finding = case.finding(RULE.id, Verdict::Fail).at(first.id).place(Place::Inlet(LineId::Discharge));
    Some(finding.found(first.condensing_K, None, Kind::Temperature).says(says).by(Source::Job("compressors.envelope")))
}

fn hottest(case: &Case) -> Option<Finding> {
    let judged = greatest(case.points().filter(|point| !point.starved).map(|point| (point, temperature(point))));
    let starved = greatest(case.points().filter(|point| point.starved).map(|point| (point, temperature(point))));
    let (point, value) = judged.or(starved)?;
    let kelvins = |kelvin: f64| Value::Of(Kind::Temperature, kelvin);
    let says = say("Discharge gas is at {} at {}", [kelvins(value), Value::Point(point.id)]);
    let finding = |verdict: Verdict| case.finding(RULE.id, verdict).at(point.id).place(Place::Inlet(LineId::Discharge));
    if point.starved {
        let says = says.and(", where the evaporator starves: not judged.", []);
        return Some(finding(Verdict::NotJudged).found(value, None, Kind::Temperature).says(says));
    }
    let own = case.circuit.compressors.discharge_limit.map(Temperature::kelvin);
    let (verdict, bound, source) = match own {
        Some(own) if value > own => (Verdict::Fail, own, Source::Job("compressors.discharge_limit")),
        Some(own) => (Verdict::Pass, own, Source::Job("compressors.discharge_limit")),
        None => {
            let ladder = Ladder::new(case.job, "discharge_gas_caution", "discharge_gas");
            let (verdict, used) = ladder.above(value);
            let note = limit(case.job, "discharge_gas_note");
            let (verdict, used) = match verdict {
                Verdict::Pass if value > note.value => (Verdict::Note, &note),
                Verdict::Pass => (Verdict::Pass, &note),
                _ => (verdict, used),
            };
            (verdict, used.value, used.source.clone())
        }
    };
    let says = says.and("; the limit is {}", [kelvins(bound)]);
    let mut says = says.and(if own.is_some() { " by the manufacturer" } else { "" }, []);
    if let Some((starved, hotter)) = starved.filter(|(_, hotter)| *hotter > value) {
        let values = [kelvins(hotter), Value::Point(starved.id)];
        says = says.and(". {} at {}, where the evaporator starves, is not judged", values);
    }
    Some(finding(verdict).found(value, bound, Kind::Temperature).says(says.and(".", [])).by(source))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, fahrenheit, finding, job, only, verdict};
    use super::*;
    use crate::job::Job;
    use crate::survey::{PointId, Survey};

    fn at(job: &Job, degrees: f64, starved: bool) -> Survey {
        let kelvin = fahrenheit(degrees).kelvin();
        by_hand(job, PointId::SummerFull, move |p| {
            (p.state.discharge.temperature_K, p.starved) = (kelvin, starved);
        })
    }

    #[test]
    fn each_limit_itself_is_still_allowed() {
        let job = job();
        let steps = [
            (224.99, Verdict::Pass),
            (225.01, Verdict::Note),
            (249.99, Verdict::Note),
            (250.01, Verdict::Caution),
            (274.99, Verdict::Caution),
            (275.01, Verdict::Fail),
        ];
        for (degrees, expected) in steps {
            assert_eq!(verdict(RULE, &job, &at(&job, degrees, false)), expected, "{degrees}");
        }
    }

    #[test]
    fn what_passes_is_told_by_the_lowest_of_the_limits() {
        let job = job();
        let found = only(RULE.check(&job, &at(&job, 200.0, false)));
        assert_eq!((found.verdict, found.limit()), (Verdict::Pass, job.limit("discharge_gas_note")));
    }

    #[test]
    fn a_starved_point_is_told_and_not_judged() {
        let job = job();
        let found = only(RULE.check(&job, &at(&job, 300.0, true)));
        assert_eq!(found.verdict, Verdict::NotJudged);
        assert!(found.words().starts_with("Discharge gas is at 300 F at summer full"), "{}", found.words());
    }

    #[test]
    fn the_manufacturers_own_limit_governs() {
        let with = |degrees: f64| changed(|circuit| circuit.compressors.discharge_limit = Some(fahrenheit(degrees)));
        let (high, low) = (with(290.0), with(220.0));
        assert_eq!(verdict(RULE, &high, &at(&high, 280.0, false)), Verdict::Pass);
        let found = only(RULE.check(&low, &at(&low, 224.0, false)));
        assert_eq!((found.verdict, &found.source), (Verdict::Fail, &Source::Job("compressors.discharge_limit")));
    }

    #[test]
    fn a_point_outside_the_envelope_fails_and_one_on_its_edge_does_not() {
        let with = |warmest: f64| {
            let corners = [[30.0, 80.0], [30.0, warmest], [55.0, warmest], [55.0, 80.0]];
            changed(|circuit| circuit.compressors.envelope = corners.map(|corner| corner.map(fahrenheit)).to_vec())
        };
        let condensing = |job: &Job, degrees: f64| {
            let kelvin = fahrenheit(degrees).kelvin();
            let survey = by_hand(job, PointId::SummerFull, move |p| p.condensing_K = kelvin);
            RULE.check(job, &survey)[0].verdict
        };
        let job = with(130.0);
        assert_eq!(condensing(&job, 130.0), Verdict::Pass);
        assert_eq!(condensing(&job, 131.0), Verdict::Fail);
        assert_eq!(condensing(&job, 79.0), Verdict::Fail);
        assert_eq!(finding(RULE, &with(140.0)).verdict, Verdict::Pass);
    }
}
