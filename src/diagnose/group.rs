//! Causes that the readings cannot part, together; belief.

use super::cause::Cause;
use super::fit::Fitted;

/// What each size that is fitted costs, as misfit: nothing wrong needs none.
const PENALTY: f64 = 7.0;
/// The same of a wrong sensor, of which there are as many as readings.
const SENSOR_PENALTY: f64 = 10.0;
/// Explanations whose misfits differ by less are not parted (95 % of one degree of freedom).
const PARTED: f64 = 3.84;
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
}

/// Misfit with what its sizes cost; `scale` is by how much more than their accuracies the readings scatter.
pub(super) fn score(fitted: &Fitted, scale: f64) -> f64 {
    let sizes = f64::from(u32::try_from(fitted.causes.len()).unwrap_or(2));
    let sensor = if fitted.sensor.is_some() { SENSOR_PENALTY } else { 0.0 };
    fitted.misfit / scale + PENALTY * sizes + sensor
}

/// Groups, best first.
pub(super) fn groups(mut fits: Vec<Fitted>, scale: f64) -> Vec<Group> {
    fits.sort_by(|a, b| score(a, scale).total_cmp(&score(b, scale)));
    let Some(best) = fits.first().map(|fit| score(fit, scale)) else { return Vec::new() };
    let belief = |fit: &Fitted| (-0.5 * (score(fit, scale) - best)).exp();
    let whole: f64 = fits.iter().map(belief).sum();
    fits.truncate(KEPT);
    let mut groups: Vec<Group> = Vec::new();
    for fit in fits {
        let share = belief(&fit) / whole;
        let joins = groups.last().is_some_and(|group| {
            let first = group.fits.first().map_or(f64::NEG_INFINITY, |first| score(first, scale));
            group.fits.len() < MAXIMUM && score(&fit, scale) - first < PARTED
        });
        match groups.last_mut().filter(|_| joins) {
            Some(group) => {
                group.share += share;
                group.fits.push(fit);
            }
            None => groups.push(Group { fits: vec![fit], share }),
        }
    }
    groups
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
    together(&causes(fitted))
}
