//! The findings before a change against those after it.

use super::Effect;
use crate::rules::{Finding, Measure, Place, Verdict, When};
use crate::units::Kind;

/// Less than this is nothing in an estimate that is good to a factor of two, K.
const NOTHING_K: f64 = 0.1;
/// Less than this is not shown, dB.
const NOTHING_DB: f64 = 0.05;
/// What only rounding leaves, of a limit.
const ROUNDING: f64 = 1e-6;

/// What a finding is about. The side at which a unit is tightest may be another after a change, and so may the worst hour of a year
/// and the run in which it shows.
type About = (&'static str, Option<usize>, Option<Place>, Option<When>);

fn about(finding: &Finding) -> About {
    let place = finding.place.clone().and_then(|place| match place {
        Place::UnitSide(index, _) => Some(Place::Unit(index)),
        Place::Controls(index, _) => Some(Place::Controls(index, "")),
        Place::Runs(..) => None,
        place => Some(place),
    });
    let when = finding.when.clone().filter(|when| !matches!(when, When::Hour(_)));
    (finding.rule, finding.circuit, place, when)
}

/// The gravest of the findings that are about the same.
fn same<'a>(findings: &'a [Finding], finding: &Finding) -> Option<&'a Finding> {
    let about_it = about(finding);
    findings.iter().filter(|other| about(other) == about_it).max_by_key(|other| other.verdict)
}

/// Whether a finding is less grave after a change, and still judged.
pub(super) fn is_settled(finding: &Finding, after: &[Finding]) -> bool {
    let now = same(after, finding).map_or(Verdict::Pass, |now| now.verdict);
    now < finding.verdict && now != Verdict::NotJudged
}

/// Whether no finding is graver after a change than before: none has a worse verdict, and none that was wrong is further off its
/// limit.
pub(super) fn is_nothing_graver(before: &[Finding], after: &[Finding]) -> bool {
    after.iter().filter(|now| now.verdict > Verdict::Pass).all(|now| match same(before, now) {
        None => false,
        Some(then) if now.verdict == then.verdict => !is_further_off(then, now),
        Some(then) => now.verdict < then.verdict,
    })
}

fn is_further_off(then: &Finding, now: &Finding) -> bool {
    let off = |found: Measure| found.limit.map(|limit| (found.value - limit).abs());
    match (then.measure, now.measure) {
        _ if now.verdict < Verdict::Caution => false,
        (Some(_), None) => true,
        (Some(then), Some(now)) => match (off(then), off(now)) {
            (Some(was), Some(is)) => is > was + nothing(now),
            _ => false,
        },
        (None, _) => false,
    }
}

/// A difference that is none.
fn nothing(found: Measure) -> f64 {
    match found.kind {
        Kind::Difference => NOTHING_K,
        Kind::Level => NOTHING_DB,
        _ => ROUNDING * found.limit.map_or(1.0, |limit| limit.abs().max(1.0)),
    }
}

/// What a change does to the findings.
pub(super) fn effect(before: &[Finding], after: &[Finding]) -> Effect {
    let worst = |findings: &[Finding], finding: &Finding| same(findings, finding).map_or(Verdict::Pass, |f| f.verdict);
    let mut effect = Effect::default();
    for finding in before.iter().filter(|finding| finding.verdict >= Verdict::Caution && is_settled(finding, after)) {
        add(&mut effect.resolves, finding.rule);
    }
    for now in after.iter().filter(|now| now.verdict > worst(before, now)) {
        match now.verdict {
            Verdict::Fail => add(&mut effect.newly_fails, now.rule),
            Verdict::Caution => add(&mut effect.newly_cautions, now.rule),
            _ => {}
        }
    }
    effect
}

fn add(rules: &mut Vec<&'static str>, rule: &'static str) {
    if !rules.contains(&rule) {
        rules.push(rule);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::roof::testing::{FOOT, planned, studied, wall};
    use crate::rules::check_site;

    /// What is found of the plan with a wall so many feet before the south side of its unit.
    fn found(feet: f64) -> Vec<Finding> {
        let job = planned(|roof| {
            roof.units[0].width_m = 7.5 * FOOT;
            roof.walls.push(wall("stair head", (80.0, 45.0 - feet), (120.0, 45.0 - feet), 10.0));
        });
        check_site(&job, Some(&studied(&job)), None)
    }

    #[test]
    fn a_verdict_or_a_distance_that_is_worse_is_graver_and_its_side_is_no_matter() {
        let (fails, cautions, passes) = (found(3.0), found(5.0), found(8.0));
        assert!(is_nothing_graver(&fails, &cautions) && !is_nothing_graver(&cautions, &fails));
        assert!(is_nothing_graver(&cautions, &passes) && !is_nothing_graver(&passes, &cautions));
        assert!(is_nothing_graver(&fails, &found(3.2)) && !is_nothing_graver(&fails, &found(2.8)));
        assert!(is_nothing_graver(&fails, &fails));
        let short = fails.iter().find(|finding| finding.verdict == Verdict::Fail).unwrap();
        assert!(is_settled(short, &passes) && is_settled(short, &cautions) && !is_settled(short, &fails));
        assert_eq!(effect(&fails, &passes).resolves, ["clearance"]);
        assert_eq!(effect(&passes, &fails).newly_fails, ["clearance"]);
    }
}
