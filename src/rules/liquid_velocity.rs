//! `liquid-velocity`: will the liquid line hammer, and will the drain to the receiver run free?

use super::case::{At, Case, greatest};
use super::finding::{Finding, Look, Place, Rule, Verdict};
use super::limit::Used;
use super::say::{Value, say};
use crate::job::{LineId, Path};
use crate::survey::PointId;
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "liquid-velocity",
    question: "Will the liquid line hammer when a valve shuts, and does the drain to the receiver run free?",
    explanation: "\
The mean velocity of the liquid in the fastest tube at every operating point. Where a valve in the line shuts fast, a \
solenoid valve, not above 300 ft/min: what is stopped at once hammers on the valve, the brazed joints and the hangers. In the \
runs from the condenser to a receiver not above 100 ft/min, so that gas can pass back over the liquid and the condenser drains \
instead of filling, unless the receiver has a vent of its own (`vented`). Without a valve that shuts fast and without a receiver \
there is no limit, and the velocity is only told.

Below 120 ft/min at full load all along the line it is a caution: the line is a size or two too large, and the charge that it \
holds costs money, counts against the limits of the code and migrates at a stop.",
    limits: &["liquid_velocity", "drain_velocity", "liquid_velocity_least"],
    look: Look::Circuit(look),
};

/// A stretch of the liquid line with a limit of its own.
struct Stretch {
    /// Its runs, from 0.
    runs: std::ops::Range<usize>,
    limit: Option<Used>,
    /// What the limit is for.
    why: &'static str,
}

fn stretches(case: &Case) -> Vec<Stretch> {
    let drawn = &case.circuit.liquid.runs;
    let receiver = drawn.iter().position(|run| matches!(&run.path, Path::Part(part) if part.receiver.is_some()));
    let closes = drawn.iter().any(|run| matches!(&run.path, Path::Part(part) if part.closes));
    let limit = closes.then(|| case.limit("liquid_velocity"));
    let why = if closes { "a valve in the line shuts fast" } else { "no valve in the line shuts fast" };
    let main = Stretch { runs: receiver.unwrap_or(0)..drawn.len(), limit, why };
    let vented = drawn
        .iter()
        .any(|run| matches!(&run.path, Path::Part(part) if part.receiver.is_some_and(|receiver| receiver.vented)));
    let drain = receiver.map(|receiver| Stretch {
        runs: 0..receiver,
        limit: (!vented).then(|| case.limit("drain_velocity")),
        why: if vented {
            "the receiver has a vent of its own back to the condenser"
        } else {
            "the condenser drains through it to the receiver"
        },
    });
    drain.into_iter().chain([main]).collect()
}

fn look(case: &Case) -> Vec<Finding> {
    let fast = stretches(case);
    let slow = fast.last().and_then(|main| too_slow(case, main));
    let findings: Vec<Finding> = fast.iter().filter_map(|stretch| judge(case, stretch)).chain(slow).collect();
    if findings.iter().any(|finding| finding.verdict > Verdict::Pass) {
        return findings.into_iter().filter(|finding| finding.verdict > Verdict::Pass).collect();
    }
    findings.into_iter().next_back().into_iter().collect()
}

/// That the liquid crawls all along the line at full load on the design day.
fn too_slow(case: &Case, stretch: &Stretch) -> Option<Finding> {
    let runs = case.runs(LineId::Liquid).filter(|at| at.answer.path != "part" && at.point.id == PointId::SummerFull);
    let runs = runs.filter(|at| stretch.runs.contains(&(at.answer.index - 1)));
    let (at, velocity) = greatest(runs.map(|at| (at, at.velocities().fold(f64::NAN, f64::max))))?;
    let limit = case.limit("liquid_velocity_least");
    let values = [
        Value::Of(Kind::Velocity, velocity),
        Value::Run(LineId::Liquid, at.answer.index),
        Value::Of(Kind::Velocity, limit.value),
    ];
    let says = say(
        "At full load the liquid moves at no more than {} anywhere ({}): below {} the line holds charge for nothing, and more \
         of it migrates at a stop.",
        values,
    );
    let finding = case.finding(RULE.id, Verdict::Caution).at(at.point.id).place(Place::Line(LineId::Liquid));
    (velocity < limit.value).then(|| finding.found(velocity, limit.value, Kind::Velocity).says(says).by(limit.source))
}

fn judge(case: &Case, stretch: &Stretch) -> Option<Finding> {
    let runs = case.runs(LineId::Liquid).filter(|at| at.answer.path != "part");
    let runs = runs.filter(|at| stretch.runs.contains(&(at.answer.index - 1)));
    let speed = |at: &At| at.answer.tubes.iter().map(|tube| tube.velocity_m_s).fold(f64::NAN, f64::max);
    let (at, velocity) = greatest(runs.map(|at| (at, speed(&at))))?;
    let over = stretch.limit.as_ref().is_some_and(|limit| velocity > limit.value);
    let verdict = if over { Verdict::Fail } else { Verdict::Pass };
    let run = at.answer.index;
    let says = say(
        "The liquid is fastest in {}: {} at {}; {}",
        [
            Value::Run(LineId::Liquid, run),
            Value::Of(Kind::Velocity, velocity),
            Value::Point(at.point.id),
            Value::name(stretch.why),
        ],
    );
    let (says, source) = match &stretch.limit {
        Some(limit) => (says.and(", so not above {}.", [Value::Of(Kind::Velocity, limit.value)]), limit.source.clone()),
        None => (says.and(".", []), case.limit("liquid_velocity").source),
    };
    let limit = stretch.limit.as_ref().map(|limit| limit.value);
    let finding = case.finding(RULE.id, verdict).at(at.point.id).place(Place::run(LineId::Liquid, run));
    Some(finding.found(velocity, limit, Kind::Velocity).says(says).by(source))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, finding, findings, liquid, only, verdict, with_tubes};
    use super::*;

    #[test]
    fn both_limits_themselves_are_still_allowed() {
        let job = changed(|circuit| circuit.liquid.runs.swap(0, 1));
        let at = |run: usize, speed: f64| {
            by_hand(&job, PointId::SummerFull, move |p| {
                for answer in &mut p.liquid_line.runs {
                    answer.tubes[0].velocity_m_s = match answer.index {
                        index if index == run => speed,
                        1 => 0.1,
                        _ => 0.7,
                    };
                }
            })
        };
        let (drain, shuts) = (job.limit("drain_velocity"), job.limit("liquid_velocity"));
        assert_eq!(verdict(RULE, &job, &at(1, drain)), Verdict::Pass);
        assert_eq!(verdict(RULE, &job, &at(1, drain * 1.0001)), Verdict::Fail);
        assert_eq!(verdict(RULE, &job, &at(3, shuts)), Verdict::Pass);
        let found = only(RULE.check(&job, &at(3, shuts * 1.0001)));
        assert_eq!((found.verdict, &found.place), (Verdict::Fail, &Some(Place::run(LineId::Liquid, 3))));
    }

    #[test]
    fn a_line_in_which_liquid_crawls_is_a_caution() {
        let wide = changed(|circuit| {
            for number in 2..=4 {
                with_tubes(liquid(circuit, number), &["2-1/8 ACR"]);
            }
        });
        let found = finding(RULE, &wide);
        assert_eq!((found.verdict, found.limit()), (Verdict::Caution, wide.limit("liquid_velocity_least")));
    }

    #[test]
    fn without_a_valve_that_shuts_fast_the_velocity_is_only_told() {
        let job = changed(|circuit| {
            circuit.liquid.runs.pop();
            with_tubes(liquid(circuit, 2), &["7/8 ACR"]);
        });
        let found = finding(RULE, &job);
        assert_eq!((found.verdict, found.measure.unwrap().limit), (Verdict::Pass, None));
        assert!(found.words().ends_with("no valve in the line shuts fast."), "{}", found.words());
    }

    #[test]
    fn a_fast_drain_and_a_fast_line_are_two_findings() {
        let tubes = |drain: &str, rest: &str| {
            changed(|circuit| {
                circuit.liquid.runs.swap(0, 1);
                with_tubes(liquid(circuit, 1), &[drain]);
                with_tubes(liquid(circuit, 3), &[rest]);
                with_tubes(liquid(circuit, 4), &[rest]);
            })
        };
        let found = findings(RULE, &tubes("1-5/8 ACR", "7/8 ACR"));
        assert_eq!(found.len(), 2, "{found:#?}");
        assert_eq!(finding(RULE, &tubes("2-1/8 ACR", "1-3/8 ACR")).verdict, Verdict::Pass);
    }

    #[test]
    fn a_receiver_with_a_vent_of_its_own_drains_at_any_velocity() {
        let drained = |vent: bool| {
            changed(|circuit| {
                circuit.liquid.runs.swap(0, 1);
                with_tubes(liquid(circuit, 1), &["1-3/8 ACR"]);
                let Path::Part(part) = &mut liquid(circuit, 2).path else { panic!() };
                part.receiver.as_mut().unwrap().vented = vent;
            })
        };
        let found = finding(RULE, &drained(false));
        assert_eq!((found.verdict, &found.place), (Verdict::Fail, &Some(Place::run(LineId::Liquid, 1))));
        assert_eq!(finding(RULE, &drained(true)).verdict, Verdict::Pass);
    }
}
