//! `drain`: does liquid run from the condenser to the receiver by itself?

use super::case::{At, Case, greatest};
use super::finding::{Finding, Look, Place, Rule, Source, Verdict};
use super::say::{Value, say};
use crate::job::{LineId, Path, Run, Slope};
use crate::survey::vent_leg;
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "drain",
    question: "Does liquid drain freely from the condenser to the receiver?",
    explanation: "\
The liquid line ahead of its first receiver. Only its own weight moves liquid there. The drain must drop all the \
way, without a riser or a loop, to a receiver below the coil's outlet. A riser or a level run sloped against the \
flow is a fail: liquid backs up and floods the coil. A run that is dead level is a caution, one without a stated \
slope a note.

Gas must pass back over the liquid from the receiver to the coil, or the condenser floods. So the velocity in the \
drain is not above 100 fpm, unless the receiver has a vent (`vented`).

A vent brings the pressure of the coil's inlet to the receiver. The liquid in the drop leg must then make up for the \
pressure drop of the coil and the drain: height = drop / (rho g), about 2 ft for each psi. A shorter drop is a fail. \
Drop legs of several coils count with it; `drop-leg` judges whether each keeps an idle coil from flooding.

A receiver with no tube ahead of it in the drawing is not judged.",
    limits: &["drain_velocity"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let runs = &case.circuit.liquid.runs;
    let receiver = |run: &Run| match &run.path {
        Path::Part(part) => part.receiver,
        _ => None,
    };
    let Some((count, vented)) = runs.iter().enumerate().find_map(|(at, run)| Some((at, receiver(run)?.vented))) else {
        return Vec::new();
    };
    let drain = Drain { case, runs: runs.get(..count).unwrap_or_default() };
    if !drain.runs.iter().any(|run| run.path.length_m() > 0.0) {
        let says = say("The drain to the receiver is not drawn. Draw its tube ahead of the receiver in the route.", []);
        return vec![case.finding(RULE.id, Verdict::NotJudged).place(Place::Receiver).says(says)];
    }
    let way = if vented { drain.leg() } else { drain.velocity() };
    let found: Vec<Finding> = drain.climbs().into_iter().chain(drain.lies()).chain(way).collect();
    if found.iter().any(|finding| finding.verdict > Verdict::Pass) {
        return found.into_iter().filter(|finding| finding.verdict > Verdict::Pass).collect();
    }
    found
}

/// The runs from the condenser to the receiver.
struct Drain<'a> {
    case: &'a Case<'a>,
    runs: &'a [Run],
}

impl Drain<'_> {
    fn numbers(&self, which: impl Fn(&Run) -> bool) -> Vec<usize> {
        self.runs.iter().enumerate().filter(|(_, run)| which(run)).map(|(index, _)| index + 1).collect()
    }

    fn finding(&self, verdict: Verdict, numbers: Vec<usize>) -> Finding {
        let finding = self.case.finding(RULE.id, verdict).by(Source::Published("trade-press"));
        finding.place(Place::Runs(LineId::Liquid, numbers))
    }

    fn fall(&self) -> f64 {
        -self.runs.iter().map(|run| run.path.rise_m()).sum::<f64>()
    }

    /// A climb on the way.
    fn climbs(&self) -> Option<Finding> {
        let numbers = self.numbers(|run| run.path.rise_m() > 0.0);
        let climb: f64 = self.runs.iter().map(|run| run.path.rise_m().max(0.0)).sum();
        let first = *numbers.first()?;
        let mut says = say(
            "The drain rises {} on the way to the receiver in {}",
            [Value::Of(Kind::Length, climb), Value::Run(LineId::Liquid, first)],
        );
        if self.fall() < 0.0 {
            says = says.and(", which is {} above the coil's outlet", [Value::Of(Kind::Length, -self.fall())]);
        }
        says = says.and(". Liquid backs up and floods the coil. The drain must drop all the way.", []);
        Some(self.finding(Verdict::Fail, numbers).found(climb, 0.0, Kind::Length).says(says))
    }

    /// Level runs that do not fall with the flow.
    fn lies(&self) -> Option<Finding> {
        let level = |slope: Option<Slope>| {
            self.numbers(|run| matches!(run.path, Path::Level { slope: drawn, .. } if drawn == slope))
        };
        let ways = [
            (
                Verdict::Fail,
                Some(Slope::AgainstFlow),
                "In the drain to the receiver {} must slope with the flow, not against it.",
            ),
            (
                Verdict::Caution,
                Some(Slope::None),
                "In the drain to the receiver {} must slope with the flow; dead level it runs half full.",
            ),
            (Verdict::Note, None, "In the drain to the receiver {} must slope with the flow; no slope is stated."),
        ];
        let (verdict, words, numbers) = ways
            .into_iter()
            .map(|(verdict, slope, words)| (verdict, words, level(slope)))
            .find(|(.., at)| !at.is_empty())?;
        let says = say(words, [Value::Runs(numbers.clone())]);
        Some(self.finding(verdict, numbers).says(says))
    }

    /// How fast the liquid runs where gas must pass back over it.
    fn velocity(&self) -> Option<Finding> {
        let limit = self.case.limit("drain_velocity");
        let tubed = self.case.runs(LineId::Liquid).filter(|at| at.answer.path != "part");
        let drain = tubed.filter(|at| at.answer.index <= self.runs.len());
        let speed = |at: &At| at.answer.tubes.iter().map(|tube| tube.velocity_m_s).fold(f64::NAN, f64::max);
        let (at, velocity) = greatest(drain.map(|at| (at, speed(&at))))?;
        let (verdict, words) = if velocity > limit.value {
            (
                Verdict::Fail,
                "Liquid drains at {} in {} at {}; the limit is {}. Gas cannot pass back over it, and the coil floods.",
            )
        } else {
            (Verdict::Pass, "Liquid drains at {} in {} at {}; the limit is {}.")
        };
        let says = say(
            words,
            [
                Value::Of(Kind::Velocity, velocity),
                Value::Run(LineId::Liquid, at.answer.index),
                Value::Point(at.point.id),
                Value::Of(Kind::Velocity, limit.value),
            ],
        );
        let finding = self.finding(verdict, vec![at.answer.index]).at(at.point.id);
        Some(finding.found(velocity, limit.value, Kind::Velocity).says(says).by(limit.source))
    }

    /// Whether the leg to a vented receiver is high enough.
    fn leg(&self) -> Option<Finding> {
        let legs = self.case.points().map(|point| (point, vent_leg(self.case.circuit, point)));
        let ((point, leg), needed) =
            greatest(legs.filter_map(|(point, leg)| leg.map(|leg| ((point, leg), leg.needed_m))))?;
        let height = self.fall() + self.case.circuit.condenser.legs.as_ref().map_or(0.0, |legs| legs.height.value);
        let pressure = |pascals: f64| Value::Of(Kind::PressureDifference, pascals);
        let length = |metres: f64| Value::Of(Kind::Length, metres);
        let (verdict, words) = if height < needed {
            (
                Verdict::Fail,
                "The receiver is vented to the coil's inlet. At {} the pressure drop is {} in the coil and {} in the \
                 drain. It requires a leg of {} and has only {}.",
            )
        } else {
            (
                Verdict::Pass,
                "The receiver is vented to the coil's inlet. At {} the pressure drop is {} in the coil and {} in the \
                 drain. It requires a leg of {} and has {}.",
            )
        };
        let says = say(
            words,
            [
                Value::Point(point.id),
                pressure(leg.coil_loss_Pa),
                pressure(leg.own_loss_Pa),
                length(needed),
                length(height.max(0.0)),
            ],
        );
        let numbers = self.numbers(|run| run.path.length_m() > 0.0);
        let finding = self.finding(verdict, numbers).at(point.id);
        Some(finding.found(height, needed, Kind::Length).says(says))
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{by_hand, changed, feet, finding, findings, job, liquid, only, with_tubes};
    use super::*;
    use crate::job::{Circuit, Job, Traps};
    use crate::survey::PointId;

    fn fall(height: f64) -> Path {
        Path::Drop { length: feet(height) }
    }

    /// The job with a drain of that path and tube before its receiver.
    fn drained(path: &Path, tube: &str, change: impl FnOnce(&mut Circuit)) -> Job {
        changed(|circuit| {
            let mut run = liquid(circuit, 2).clone();
            run.path = path.clone();
            with_tubes(&mut run, &[tube]);
            circuit.liquid.runs.insert(0, run);
            change(circuit);
        })
    }

    fn vented(height: f64) -> Job {
        drained(&fall(height), "2-1/8 ACR", |circuit| {
            let Path::Part(part) = &mut liquid(circuit, 2).path else { panic!() };
            part.receiver.as_mut().unwrap().vented = true;
        })
    }

    #[test]
    fn a_short_wide_drain_that_falls_passes_and_none_drawn_is_not_judged() {
        assert_eq!(finding(RULE, &drained(&fall(3.0), "2-1/8 ACR", |_| {})).verdict, Verdict::Pass);
        assert_eq!(finding(RULE, &job()).verdict, Verdict::NotJudged);
        assert!(findings(RULE, &changed(|circuit| drop(circuit.liquid.runs.remove(0)))).is_empty());
    }

    #[test]
    fn a_climb_to_the_receiver_and_a_loop_fail() {
        let rise = |height: f64| Path::Rise { length: feet(height), traps: Traps::default() };
        let job = drained(&rise(4.0), "2-1/8 ACR", |_| {});
        let found = finding(RULE, &job);
        assert_eq!((found.verdict, &found.place), (Verdict::Fail, &Some(Place::run(LineId::Liquid, 1))));
        assert!(found.text(&job).contains("which is 4 ft above the coil's outlet."), "{}", found.text(&job));
        let looped = drained(&fall(6.0), "2-1/8 ACR", |circuit| {
            let mut up = liquid(circuit, 1).clone();
            up.path = rise(6.0);
            circuit.liquid.runs.insert(1, up);
        });
        assert_eq!(finding(RULE, &looped).verdict, Verdict::Fail);
    }

    #[test]
    fn a_level_drain_falls_with_the_flow() {
        let level =
            |slope| finding(RULE, &drained(&Path::Level { length: feet(5.0), slope }, "2-1/8 ACR", |_| {})).verdict;
        assert_eq!(level(Some(Slope::WithFlow)), Verdict::Pass);
        assert_eq!(level(None), Verdict::Note);
        assert_eq!(level(Some(Slope::None)), Verdict::Caution);
        assert_eq!(level(Some(Slope::AgainstFlow)), Verdict::Fail);
    }

    #[test]
    fn the_velocity_limit_itself_is_still_allowed_and_a_narrow_drain_fails() {
        let job = drained(&fall(3.0), "2-1/8 ACR", |_| {});
        let at = |speed: f64| {
            let survey = by_hand(&job, PointId::SummerFull, |p| p.liquid_line.runs[0].tubes[0].velocity_m_s = speed);
            only(RULE.check(&job, &survey)).verdict
        };
        let limit = job.limit("drain_velocity");
        assert_eq!((at(limit), at(limit * 1.0001)), (Verdict::Pass, Verdict::Fail));
        assert_eq!(finding(RULE, &drained(&fall(3.0), "1-3/8 ACR", |_| {})).verdict, Verdict::Fail);
    }

    #[test]
    fn a_leg_to_a_vented_receiver_makes_up_for_the_coils_loss() {
        // 3 psi are some 6 ft of R-134a.
        let short = vented(2.0);
        let found = finding(RULE, &short);
        assert_eq!(found.verdict, Verdict::Fail, "{found:#?}");
        assert!((5.5..7.5).contains(&(found.limit() / 0.3048)), "{found:#?}");
        assert_eq!(finding(RULE, &vented(found.limit() / 0.3048 + 0.3)).verdict, Verdict::Pass);
    }
}
