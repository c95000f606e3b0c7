//! Which reading is wrong where several contradict each other, and by how much readings scatter.

use super::contradiction::Contradiction;
use super::fit::{Fitted, Fitter, Weighed};
use crate::job::Reading;

/// A contradiction of so many accuracies widens the reading's; a larger one is a reading that is wrong. A measured rooftop unit with a
/// dirty coil read suction 6.4 F below its own dew temperature: 2.7 accuracies of a clamp (2 F) and a transducer (1.3 F) together.
const SMALL: f64 = 3.0;
/// A reading is left out though the rest go together badly, where that is less than so much of what it takes with it (assumption).
const ALONE: f64 = 0.3;

/// Whether it is more than a scatter of the readings.
pub(super) fn is_gross(one: &Contradiction) -> bool {
    one.by > SMALL * one.accuracy
}

/// What is off by so much is known no better than that.
pub(super) fn widen(readings: &mut [Weighed], all: &[Contradiction]) {
    for small in all.iter().filter(|one| !is_gross(one)) {
        let last = small.readings.last().copied();
        for one in readings.iter_mut().filter(|one| Some(one.taken.reading) == last) {
            one.deviation *= 1.0_f64.hypot((small.by / small.accuracy).max(0.0));
        }
    }
}

/// Which of the readings that contradict each other is wrong: the one without which a healthy chiller goes best with the rest. None
/// where that is the outdoor air, of which the explanations tell.
pub(super) fn blamed(fitter: &Fitter<'_>, readings: &[Reading]) -> Option<Reading> {
    let relief = fitter.relief(&fitter.healthy);
    let of = |wanted: &Reading| match wanted {
        Reading::Outdoor => fitter.outdoor_relief(&fitter.healthy).map(|(relief, _)| relief),
        wanted => {
            let at = fitter.readings.iter().position(|one| one.taken.reading == *wanted);
            at.and_then(|at| relief.get(at).copied())
        }
    };
    let each = readings.iter().filter_map(|reading| Some((of(reading)?, *reading)));
    let most = each.max_by(|a, b| a.0.total_cmp(&b.0));
    most.map(|(_, reading)| reading).filter(|reading| *reading != Reading::Outdoor)
}

/// Readings less one.
pub(super) fn freedom(readings: usize) -> f64 {
    f64::from(u32::try_from(readings.saturating_sub(1)).unwrap_or(1)).max(1.0)
}

/// The most misfit with which a chiller with nothing wrong goes with so many readings (99.9 %).
pub(super) fn fitting(readings: usize) -> f64 {
    let free = freedom(readings);
    free + 3.0 * (2.0 * free).sqrt()
}

/// By how much more than their accuracies the readings scatter about the best explanation, in variances.
pub(super) fn scatter(fits: &[Fitted], readings: usize) -> f64 {
    let minimum = fits.iter().map(|fit| fit.misfit).fold(f64::INFINITY, f64::min);
    let free = freedom(readings);
    if minimum > free + 2.0 * (2.0 * free).sqrt() { minimum / free } else { 1.0 }
}

/// The reading whose absence heals the set, where one does.
pub(super) fn contradicts(fitter: &Fitter<'_>, fits: &[Fitted]) -> Option<usize> {
    let free = f64::from(u32::try_from(fitter.readings.len().saturating_sub(2)).unwrap_or(1)).max(1.0);
    let mut best: Option<(f64, f64, usize)> = None;
    for fit in fits.iter().filter(|fit| fit.sensor.is_none()) {
        for (index, relief) in fitter.relief(&fit.prediction).into_iter().enumerate() {
            let left = fit.misfit - relief;
            let seen = fitter.readings.get(index).is_some_and(|one| one.taken.reading.is_seen());
            if !seen && relief > 0.6 * fit.misfit && best.is_none_or(|(minimum, ..)| left < minimum) {
                best = Some((left, relief, index));
            }
        }
    }
    // Where one alone is far off, the rest need not go together as they should.
    best.filter(|(left, relief, _)| *left < (free + 2.0 * (2.0 * free).sqrt()).max(ALONE * relief))
        .map(|(.., index)| index)
}
