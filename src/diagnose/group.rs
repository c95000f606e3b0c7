//! Causes that the readings cannot part, together; belief.

use super::cause::Cause;
use super::fit::Fitted;
use crate::job::Reading;

/// What a size that is fitted costs, as misfit: nothing wrong needs none.
const PENALTY: f64 = 7.0;
/// The same of a second size, of which there are as many as causes to go with the first...
const SECOND_PENALTY: f64 = 10.0;
/// ...and of a wrong sensor, of which there are as many as readings.
const SENSOR_PENALTY: f64 = 12.0;
/// Explanations whose misfits differ by less are not parted (95 % of one degree of freedom).
const PARTED: f64 = 3.84;
/// What the less common of two causes costs more than the other, by rank: those that explain alike are not ordered by decimals.
const RANK: f64 = 0.05;
/// By how much less than its size costs a second cause may better what goes well by one: it is told then, and not with the first group.
const TOLD_AFTER: f64 = 4.0;
/// Causes in a group at most.
const MAXIMUM: usize = 4;
/// Explanations kept.
const KEPT: usize = 8;

/// A group.
#[derive(Clone, Debug)]
pub struct Group {
    /// Its explanations, best first.
    pub fits: Vec<Fitted>,
    /// Share of belief.
    pub share: f64,
    /// Whether its explanations are as likely as the best, for which the first group had no more room.
    pub as_likely: bool,
}

/// Misfit with what its sizes cost; `scale` is by how much more than their accuracies the readings scatter.
pub(super) fn score(fitted: &Fitted, scale: f64) -> f64 {
    let sizes = match fitted.causes.len() {
        0 => 0.0,
        1 => PENALTY,
        _ => PENALTY + SECOND_PENALTY,
    };
    let sensor = if fitted.sensor.is_some() { SENSOR_PENALTY } else { 0.0 };
    let common = fitted.causes.iter().map(|(cause, _)| cause.rank()).sum::<f64>();
    fitted.misfit / scale + sizes + sensor + RANK * common
}

/// The scores of all: a pair is no better than a single cause that explains the readings within their `free`dom, so that the plain one
/// is told beside it.
fn scored(fits: Vec<Fitted>, scale: f64, free: f64) -> Vec<(f64, Fitted)> {
    let plain = |fit: &&Fitted| fit.causes.len() == 1 && fit.misfit / scale <= free;
    let least = fits.iter().filter(plain).map(|fit| score(fit, scale)).fold(f64::INFINITY, f64::min);
    let floor = if least.is_finite() { least - 0.9 * PARTED } else { f64::NEG_INFINITY };
    let of = |fit: Fitted| {
        let score = score(&fit, scale);
        (if fit.causes.len() > 1 { score.max(floor) } else { score }, fit)
    };
    let all: Vec<(f64, Fitted)> = fits.into_iter().map(of).collect();
    // Two causes go with the readings at least as well as the one of them: where that one goes well by itself, they stand beside it if they
    // go better, the second size paid, and after it if they nearly do.
    let well = free + 2.0 * (2.0 * free).sqrt();
    let singles: Vec<(f64, Cause)> = all
        .iter()
        .filter(|(_, fit)| fit.causes.len() == 1 && fit.misfit / scale <= well)
        .flat_map(|(score, fit)| fit.causes.iter().map(|(cause, _)| (*score, *cause)))
        .collect();
    let told = |(score, fit): (f64, Fitted)| {
        let parts =
            singles.iter().filter(|(_, cause)| fit.causes.len() > 1 && fit.causes.iter().any(|(one, _)| one == cause));
        let part = parts.map(|(score, _)| *score).fold(f64::INFINITY, f64::min);
        let alone_is_better = part < score;
        (part >= score - TOLD_AFTER).then(|| (if alone_is_better { score.max(part + PARTED) } else { score }, fit))
    };
    all.into_iter().filter_map(told).collect()
}

/// Groups, best first; `free` are the readings less one.
pub(super) fn groups(fits: Vec<Fitted>, scale: f64, free: f64) -> Vec<Group> {
    let mut scored = scored(fits, scale, free);
    let least = scored.iter().map(|(score, _)| *score).fold(f64::INFINITY, f64::min);
    // Beside a cause that is better with its size paid for, healthy does not stand.
    let behind = scored.iter_mut().filter(|(score, fit)| fit.is_healthy() && *score > least);
    behind.for_each(|(score, _)| *score += PARTED);
    scored.sort_by(|a, b| a.0.total_cmp(&b.0));
    let Some(best) = scored.first().map(|(score, _)| *score) else { return Vec::new() };
    let belief = |score: f64| (-0.5 * (score - best)).exp();
    let whole: f64 = scored.iter().map(|(score, _)| belief(*score)).sum();
    scored.truncate(KEPT);
    let mut groups: Vec<Group> = Vec::new();
    let mut first = f64::NEG_INFINITY;
    for (score, fit) in scored {
        let share = belief(score) / whole;
        let as_likely = score - best < PARTED;
        let joins = |group: &&mut Group| {
            group.fits.len() < MAXIMUM && score - first < PARTED && (as_likely || !group.as_likely)
        };
        let later = !groups.is_empty();
        if let Some(group) = groups.last_mut().filter(joins) {
            group.share += share;
            group.fits.push(fit);
        } else {
            first = score;
            groups.push(Group { fits: vec![fit], share, as_likely: as_likely && later });
        }
    }
    groups
}

/// Puts want of charge by itself before want of charge with what starves the valve, where that leads: two faults at once are seldom.
pub(super) fn lacks_charge_alone(group: &mut Group, lack: Fitted) -> bool {
    let has = |fit: &Fitted, any: &[Cause]| fit.causes.iter().any(|(cause, _)| any.contains(cause));
    let starves = group
        .fits
        .first()
        .is_some_and(|fit| has(fit, &[Cause::Undercharge]) && has(fit, &[Cause::LiquidRestriction, Cause::ValveShut]));
    let stands = group.fits.iter().any(|fit| fit.causes.len() == 1 && has(fit, &[Cause::Undercharge]));
    if starves && !stands {
        group.fits.insert(0, lack);
        group.fits.truncate(MAXIMUM);
        return true;
    }
    false
}

/// The causes of an explanation.
pub(super) fn causes(fitted: &Fitted) -> Vec<Cause> {
    match (fitted.sensor, fitted.causes.as_slice()) {
        (Some(_), _) => vec![Cause::WrongSensor],
        (None, []) if fitted.prediction.margin_K < 0.0 => vec![Cause::LiquidFlashing],
        (None, []) => vec![Cause::Healthy],
        (None, causes) => causes.iter().map(|(cause, _)| *cause).collect(),
    }
}

/// How the causes of an explanation are called: `warm air with dirty coil`.
pub(super) fn together(causes: &[Cause]) -> String {
    causes.iter().map(|cause| cause.says()).collect::<Vec<_>>().join(" with ")
}

/// How an explanation is called.
pub(crate) fn named(fitted: &Fitted) -> String {
    match fitted.sensor {
        Some(reading) => reads_wrong(reading),
        None if fitted.causes.is_empty() && fitted.prediction.margin_K < 0.0 => {
            "liquid flashing by the line itself".to_owned()
        }
        None => together(&causes(fitted)),
    }
}

/// How a wrong sensor is called: `suction temperature reads wrong`.
pub(super) fn reads_wrong(reading: Reading) -> String {
    format!("{} reads wrong", reading.says())
}
/// Where nothing else is wrong, the reading is.
pub(super) fn doubt(groups: &mut [Group], wrong: Reading) {
    let fits = groups.iter_mut().flat_map(|group| &mut group.fits);
    fits.filter(|fit| fit.is_healthy()).for_each(|fit| fit.sensor = Some(wrong));
}
