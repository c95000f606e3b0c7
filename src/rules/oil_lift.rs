//! `oil-lift`: does every riser carry oil up at the least flow?

use super::case::{At, Case, Side, least, list};
use super::limit::Ladder;
use super::mend::{self, Trial, Tries};
use super::{Finding, Look, Rule, Verdict};
use crate::refdata::Tube;
use std::fmt::Write as _;

/// The velocity that common practice asks for in a riser of hot gas: 1000 ft/min.
const PRACTICE_M_S: f64 = 5.08;

/// The rule.
pub const RULE: Rule = Rule {
    id: "oil-lift",
    question: "Does every riser carry oil up at the least flow, bypass open, at every condensing temperature?",
    explanation: "\
Oil leaves the compressors with the gas and climbs a riser as a film that the gas drags along the wall. Below a least \
flow the film runs back down. The flow of every rise of the discharge line is compared at every operating point with \
that least flow, G = 0.723 sqrt(rho_g g D (rho_film - rho_g)); hot-gas bypass counts, because what it takes never sees \
the riser. Below the least flow it is a fail; below 1.15 times it a caution.

A riser that does not lift its oil fills with it until a slug comes back at the next full load, and the compressors run \
dry meanwhile. Common practice asks for 1000 ft/min; for dense gas the film moves well below that, so the report gives \
the velocity beside the ratio. Of two tubes in parallel the larger seals with oil at low flow, and the smaller must lift \
all by itself.

The mend is the largest tube that lifts at every point, solved again with it. Where that costs the discharge line more \
head than it may, two tubes in parallel are sought: the smaller for the least flow, both together for the full.",
    limits: &["oil_lift", "oil_lift_caution", "oil_film_density"],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let ladder = Ladder::new(case.job, "oil_lift_caution", "oil_lift");
    let rises: Vec<Finding> = (1..=case.circuit.discharge.runs.len())
        .filter_map(|index| worst(case, index))
        .map(|(at, ratio)| judge(case, at, ratio, &ladder))
        .collect();
    if rises.iter().any(|finding| finding.verdict > Verdict::Note) {
        return rises.into_iter().filter(|finding| finding.verdict > Verdict::Note).collect();
    }
    least(rises.into_iter().map(|finding| {
        let ratio = finding.value.unwrap_or(f64::INFINITY);
        (finding, ratio)
    }))
    .map(|(finding, _)| finding)
    .into_iter()
    .collect()
}

/// The operating point at which that rise lifts oil least, and the ratio there.
fn worst<'a>(case: &Case<'a>, index: usize) -> Option<(At<'a>, f64)> {
    let rise = case.runs(Side::Discharge).filter(|at| at.answer.index == index);
    least(rise.filter_map(|at| at.answer.oil_lift.map(|lift| (at, lift.ratio))))
}

fn judge(case: &Case, at: At, ratio: f64, ladder: &Ladder) -> Finding {
    let show = case.show();
    let index = at.answer.index;
    let (verdict, limit) = ladder.below(ratio);
    let never_opens = never_opens(case, index);
    let verdict = if never_opens.is_some() { verdict.max(Verdict::Caution) } else { verdict };
    let mut says = format!(
        "In {} the flow is {} times the least that lifts oil at {}",
        case.name_run(at.run, index),
        show.ratio(ratio),
        at.point.name
    );
    if at.point.bypass_share > 0.0 {
        let _ = write!(says, ", with the hot-gas bypass open ({} of the flow)", show.percent(at.point.bypass_share));
    }
    let velocity =
        at.answer.tubes.iter().filter(|t| t.flow_kg_s > 0.0).map(|t| t.velocity_m_s).fold(f64::INFINITY, f64::min);
    if velocity.is_finite() {
        let _ = write!(
            says,
            ". The gas climbs at {}; common practice asks for {}.",
            show.velocity(velocity),
            show.velocity(PRACTICE_M_S)
        );
    } else {
        says += ".";
    }
    let sealed: Vec<String> = at.answer.tubes.iter().filter(|t| t.sealed).map(|t| t.size.clone()).collect();
    if let Some(tube) = &never_opens {
        let _ = write!(says, " {tube} is sealed with oil at every operating point and never carries any of the flow.");
    } else if !sealed.is_empty() {
        let _ = write!(says, " {} is sealed with oil there.", list(sealed));
    }
    let finding = case
        .finding(RULE.id, verdict)
        .at(&at.point.name)
        .place(format!("discharge run {index}"))
        .found(ratio, limit.value, "-")
        .says(says)
        .by(&limit.source);
    finding.mended(case, |tries| mend(case, tries, index, never_opens.is_some()))
}

/// The tube of a rise that oil seals at every operating point.
fn never_opens(case: &Case, index: usize) -> Option<String> {
    let rises: Vec<At> = case.runs(Side::Discharge).filter(|at| at.answer.index == index).collect();
    let tubes = rises.first()?.run.tubes.len();
    let tube = (0..tubes).find(|i| rises.iter().all(|at| at.answer.tubes.get(*i).is_some_and(|tube| tube.sealed)))?;
    rises.first()?.answer.tubes.get(tube).map(|tube| tube.size.clone())
}

fn mend(case: &Case, tries: &mut Tries, number: usize, never_opens: bool) -> Option<String> {
    let index = number.checked_sub(1)?;
    let run = case.circuit.discharge.runs.get(index)?;
    let spare = case.limit("oil_lift_caution").value;
    let (narrow, lifting) = if never_opens {
        (run.tubes.first()?, f64::INFINITY)
    } else {
        (run.tubes.last()?, mend::lifting_bore(case, number, spare))
    };
    let fits = |tube: &Tube| tube.bore().value <= lifting;
    let alone = mend::sizes(case, Side::Discharge, narrow)
        .into_iter()
        .rev()
        .filter(fits)
        .filter(|tube| tube.bore() <= narrow.bore())
        .take(2);
    let single = tries.first(alone, |tube, circuit| {
        if let Some(run) = circuit.discharge.runs.get_mut(index) {
            run.tubes = vec![tube.clone()];
        }
    });
    if let Some((tube, trial)) = single.as_ref().filter(|(_, trial)| trial.breaks_nothing()) {
        return Some(tell(case, &format!("{} in the rise (run {number})", tube.name), number, trial));
    }
    let pair = mend::double_riser(tries, index);
    if let Some((pair, trial)) = pair.as_ref().filter(|(_, trial)| trial.breaks_nothing() || single.is_none()) {
        return Some(tell(case, &mend::name_pair(pair, index), number, trial));
    }
    let (tube, trial) = single?;
    Some(tell(case, &format!("{} in the rise (run {number})", tube.name), number, &trial))
}

fn tell(case: &Case, what: &str, number: usize, trial: &Trial) -> String {
    let show = case.show();
    let mut text = format!("{what} would do");
    if let Some((at, ratio)) = worst(&trial.case(), number) {
        let _ = write!(text, ": {} times the least flow at {}", show.ratio(ratio), at.point.name);
    }
    let drop = |case: &Case| super::discharge_drop::worst(case).map(|(_, drop)| drop);
    if let (Some(before), Some(after)) = (drop(case), drop(&trial.case())) {
        let word = if after >= before { "more" } else { "less" };
        let _ = write!(text, ", {} {word} drop", show.small_difference((after - before).abs()));
    }
    format!("{text}.{}", trial.but())
}
