//! `liquid-velocity`: will the liquid line hammer?

use super::case::{At, Case, greatest};
use super::finding::{Finding, Look, Place, Rule, Verdict};
use super::say::{Value, say};
use crate::job::{LineId, Path};
use crate::survey::PointId;
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "liquid-velocity",
    question: "Is the liquid too fast for a valve that shuts, or too slow for its charge?",
    explanation: "\
The mean velocity of the liquid in the fastest tube at every operating point, downstream of the receiver where there \
is one: `drain` judges the line to it. Ahead of a solenoid valve it must not be above 300 fpm: liquid that stops at \
once hammers the valve, the brazed joints and the hangers. Without a valve that shuts fast there is no limit, and \
the velocity is only reported.

Below 120 fpm at full load all along the line is a caution: the line is a size or two too large. Its charge costs \
money, counts against the limits of the code and migrates at a stop.",
    limits: &["liquid_velocity", "liquid_velocity_minimum"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let found = judge(case);
    // A line that is neither too fast nor too slow is told by the limit that it is nearer to.
    let off = |finding: &Finding| finding.measure.and_then(|m| Some((m.value - m.limit?).abs() / m.limit?));
    let slow = slowest(case).filter(|slow| match &found {
        Some(found) if found.verdict == Verdict::Fail => false,
        Some(found) if slow.verdict == Verdict::Pass => {
            off(found).is_none_or(|fast| off(slow).is_some_and(|off| off < fast))
        }
        _ => true,
    });
    slow.or(found).into_iter().collect()
}

/// The number of the run that is the receiver, else 0.
fn receiver(case: &Case) -> usize {
    let is_receiver = |path: &Path| matches!(path, Path::Part(part) if part.receiver.is_some());
    case.circuit.liquid.runs.iter().position(|run| is_receiver(&run.path)).map_or(0, |at| at + 1)
}

/// Whether the liquid crawls all along the line at full load on the design day.
fn slowest(case: &Case) -> Option<Finding> {
    let behind = receiver(case);
    let runs = case.runs(LineId::Liquid).filter(|at| at.answer.path != "part" && at.point.id == PointId::SummerFull);
    let runs = runs.filter(|at| at.answer.index > behind);
    let (at, velocity) = greatest(runs.map(|at| (at, at.velocities().fold(f64::NAN, f64::max))))?;
    let limit = case.limit("liquid_velocity_minimum");
    let says = say(
        "The highest liquid velocity at full load is {}, in {}.",
        [Value::Of(Kind::Velocity, velocity), Value::Run(LineId::Liquid, at.answer.index)],
    );
    let (verdict, says) = if velocity < limit.value {
        let why = " Below {} the line is too large: its charge costs money and migrates at a stop.";
        (Verdict::Caution, says.and(why, [Value::Of(Kind::Velocity, limit.value)]))
    } else {
        (Verdict::Pass, says)
    };
    let finding = case.finding(RULE.id, verdict).at(at.point.id).place(Place::Line(LineId::Liquid));
    Some(finding.found(velocity, limit.value, Kind::Velocity).says(says).by(limit.source))
}

fn judge(case: &Case) -> Option<Finding> {
    let drawn = &case.circuit.liquid.runs;
    let behind = receiver(case);
    let closes = drawn.iter().any(|run| matches!(&run.path, Path::Part(part) if part.closes));
    let runs = case.runs(LineId::Liquid).filter(|at| at.answer.path != "part");
    let runs = runs.filter(|at| at.answer.index > behind);
    let speed = |at: &At| at.answer.tubes.iter().map(|tube| tube.velocity_m_s).fold(f64::NAN, f64::max);
    let (at, velocity) = greatest(runs.map(|at| (at, speed(&at))))?;
    let limit = case.limit("liquid_velocity");
    let verdict = if closes && velocity > limit.value { Verdict::Fail } else { Verdict::Pass };
    let run = at.answer.index;
    let says = say(
        "Liquid velocity is highest in {}: {} at {}. {}",
        [
            Value::Run(LineId::Liquid, run),
            Value::Of(Kind::Velocity, velocity),
            Value::Point(at.point.id),
            Value::name(if closes { "A valve in the line shuts fast" } else { "No valve in the line shuts fast" }),
        ],
    );
    let says = if closes {
        says.and(": the limit is {}.", [Value::Of(Kind::Velocity, limit.value)])
    } else {
        says.and(".", [])
    };
    let finding = case.finding(RULE.id, verdict).at(at.point.id).place(Place::run(LineId::Liquid, run));
    Some(finding.found(velocity, closes.then_some(limit.value), Kind::Velocity).says(says).by(limit.source))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, finding, liquid, only, verdict, with_tubes};
    use super::*;

    #[test]
    fn the_limit_itself_is_still_allowed_and_what_runs_to_the_receiver_is_not_looked_at() {
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
        let shuts = job.limit("liquid_velocity");
        assert_eq!(verdict(RULE, &job, &at(1, shuts * 2.0)), Verdict::Pass);
        assert_eq!(verdict(RULE, &job, &at(3, shuts)), Verdict::Pass);
        let found = only(RULE.check(&job, &at(3, shuts * 1.0001)));
        assert_eq!((found.verdict, &found.place), (Verdict::Fail, &Some(Place::run(LineId::Liquid, 3))));
    }

    #[test]
    fn what_is_neither_too_fast_nor_too_slow_is_told_by_the_nearer_limit() {
        let job = changed(|_| {});
        let at = |speed: f64| {
            let survey = by_hand(&job, PointId::SummerFull, move |p| {
                p.liquid_line.runs.iter_mut().for_each(|answer| answer.tubes[0].velocity_m_s = speed);
            });
            only(RULE.check(&job, &survey)).limit()
        };
        let (slow, fast) = (job.limit("liquid_velocity_minimum"), job.limit("liquid_velocity"));
        assert_eq!((at(slow * 1.01), at(fast * 0.99)), (slow, fast));
    }

    #[test]
    fn a_line_in_which_liquid_crawls_is_a_caution() {
        let wide = changed(|circuit| {
            for number in 2..=4 {
                with_tubes(liquid(circuit, number), &["2-1/8 ACR"]);
            }
        });
        let found = finding(RULE, &wide);
        assert_eq!((found.verdict, found.limit()), (Verdict::Caution, wide.limit("liquid_velocity_minimum")));
    }

    #[test]
    fn without_a_valve_that_shuts_fast_the_velocity_is_only_told() {
        let job = changed(|circuit| {
            circuit.liquid.runs.pop();
            with_tubes(liquid(circuit, 2), &["7/8 ACR"]);
        });
        let found = finding(RULE, &job);
        let least = job.limit("liquid_velocity_minimum");
        assert_eq!(
            (found.verdict, found.limit()),
            (Verdict::Pass, least),
            "fast as it is, no maximum is held against it"
        );
        assert!(found.measure.unwrap().value > least);
    }
}
