//! What an answer is made of once every explanation is fitted.

use super::accuracy;
use super::answer::{Answer, Layout, Row, Verdict};
use super::case::Prediction;
use super::cause::Cause;
use super::contradiction::{Contradiction, Typed, slip};
use super::fit::{Fitted, Fitter, Weighed};
use super::suspect::{fitting, freedom};
use super::{group, next};
use crate::job::{Job, Reading};

/// So many times its band a reading is off that a slip of unit is looked for.
const SLIPPED: f64 = 3.0;
/// Scatter of the readings over their accuracies, in variances, past which they carry no answer.
const NO_ANSWER: f64 = 60.0;
/// The most that a scatter widens the accuracies, in variances: to three times of what they are. Past that the best explanation is a
/// poor one, and says so, before a worse one is as good.
const WIDEST: f64 = 9.0;
/// Scatter past which no explanation accounts for the readings: twice their accuracies.
const POOR: f64 = 4.0;

/// By how much the misfit falls at least where something explains what a healthy chiller does not (95 % of one degree of freedom).
const EXPLAINS: f64 = 3.84;

/// Readings that nothing here explains.
fn unexplained_by_all(answer: &Answer) -> Contradiction {
    let far = answer.rows.iter().filter(|row| (row.read - row.expected).abs() > row.accuracy && !row.left_out);
    let readings: Vec<Reading> = far.map(|row| row.reading).collect();
    let names = readings.iter().map(|reading| reading.says()).collect::<Vec<_>>().join(", ");
    let says =
        format!("no cause here explains {names}: read again, and look for heat on a line or what else is not drawn");
    Contradiction { readings, says, by: 0.0, accuracy: 1.0 }
}

/// A reading beside what is expected of a healthy chiller. Only an empty and a full receiver tell anything: what is between is expected.
fn row(one: &Weighed, fitter: &Fitter<'_>, accuracy: f64, left_out: bool) -> Row {
    let reading = one.taken.reading;
    let (expected, accuracy) = match reading {
        Reading::ReceiverLevel => (0.5, 0.4),
        Reading::SightGlass => (f64::from(fitter.healthy.margin_K < 0.0), 0.5),
        _ => (fitter.healthy.of(reading).unwrap_or(one.taken.value), accuracy),
    };
    Row { reading, read: one.taken.value, expected, accuracy, left_out }
}

/// Rows, groups, verdict and what to read next, by the explanations and the scatter that is left of the best.
pub(super) fn conclude(
    answer: &mut Answer,
    (fitter, mut fits, scale): (&Fitter<'_>, Vec<Fitted>, f64),
    left_out: &[Weighed],
    read: &[Reading],
) {
    let of_all = fitter.readings.iter().enumerate();
    answer.rows = of_all.map(|(index, one)| row(one, fitter, fitter.band(index), false)).collect();
    answer.rows.extend(left_out.iter().map(|one| row(one, fitter, accuracy::BAND * one.deviation, true)));
    answer.sort_rows();
    let free = freedom(fitter.readings.len());
    // A chiller with nothing wrong goes with its readings, whatever else does not.
    let fitting = fitting(fitter.readings.len());
    let healthy = fits.iter().find(|fit| fit.is_healthy()).map_or(f64::INFINITY, |fit| fit.misfit);
    let unexplained = healthy > fitting && fits.iter().all(|fit| fit.misfit > healthy - EXPLAINS);
    if healthy > fitting {
        fits.retain(|fit| unexplained || fit.misfit <= healthy - EXPLAINS);
    }
    answer.poor = scale > POOR;
    let lack = fits.iter().find(|fit| matches!(fit.causes.as_slice(), [(Cause::Undercharge, _)])).cloned();
    answer.groups = group::groups(fits, scale.min(WIDEST), free);
    if let Some((group, lack)) = answer.groups.first_mut().zip(lack)
        && group::lacks_charge_alone(group, lack)
    {
        let says = "undercharge by itself too: bubbles starve a valve while the liquid still reads subcooled, which is not reckoned \
                    here (common practice, no source)";
        answer.taken.push(says.to_owned());
    }
    if let Some(wrong) = left_out.first() {
        group::doubt(&mut answer.groups, wrong.taken.reading);
    }
    let first = answer.groups.first();
    answer.verdict = match first {
        _ if scale > NO_ANSWER || unexplained => Verdict::Contradictory,
        Some(group) if group.fits.iter().any(Fitted::is_healthy) => Verdict::Healthy,
        Some(_) => Verdict::Suspects,
        None => Verdict::Contradictory,
    };
    if unexplained {
        answer.contradictions.push(unexplained_by_all(answer));
    }
    let mut leading: Vec<&Fitted> = first.map(|group| group.fits.iter().collect()).unwrap_or_default();
    if leading.len() < 2 {
        leading.extend(answer.groups.get(1).and_then(|group| group.fits.first()));
    }
    let liquid = fitter.readings.iter().find(|one| one.taken.reading == Reading::LiquidTemperature);
    let known = next::Known { read, liquid_K: liquid.map(|one| one.taken.value) };
    answer.next = next::next(&leading, known, 3);
    // Nobody sets a gauge in a line for what stands alone.
    let alone = first.is_some_and(|group| group.fits.len() == 1);
    let gauge = |reading: Reading| matches!(reading, Reading::LiquidPressure | Reading::ValvePressure);
    answer.next.retain(|next| !(alone && gauge(next.reading)));
    let useful = [
        Reading::DischargeTemperature,
        Reading::SuctionTemperature,
        Reading::LiquidTemperature,
        Reading::Power,
        Reading::LeavingFluid,
        Reading::EnteringFluid,
        Reading::AirOn,
    ];
    answer.missing = useful.into_iter().filter(|reading| !read.contains(reading)).collect();
}

/// Readings far off that would be right in another unit, but for those that the leading explanation predicts.
pub(super) fn slips(answer: &mut Answer, typed: Typed) {
    let leading = answer.groups.first().and_then(|group| group.fits.first()).filter(|fit| fit.sensor.is_none());
    let explained = |row: &Row| {
        let value = leading.and_then(|fit| fit.prediction.of(row.reading));
        value.is_some_and(|value| (row.read - value).abs() <= row.accuracy)
    };
    let far = answer
        .rows
        .iter()
        .filter(|row| (row.read - row.expected).abs() > SLIPPED * row.accuracy && !row.left_out && !explained(row));
    let slips = far.filter_map(|row| {
        let says = slip(row.reading, [row.read, row.expected, row.accuracy], typed)?;
        let says = format!("{} would be as expected if its number is {says}", row.reading.says());
        Some(Contradiction { readings: vec![row.reading], says, by: 0.0, accuracy: 1.0 })
    });
    let slips: Vec<Contradiction> = slips.collect();
    answer.contradictions.extend(slips);
}

/// Whether the superheat that was read is nearer that of a valve that feeds than that of one that, as drawn, does not.
fn feeds(answer: &Answer, fitter: &Fitter<'_>) -> bool {
    let superheat = |temperature: Option<f64>, pressure: Option<f64>| {
        let fluid = crate::refrigerant::named(&fitter.case.circuit.refrigerant)?;
        Some(temperature? - fluid.dew_temperature(pressure?).ok()?)
    };
    let read = |reading: Reading| answer.rows.iter().find(|row| row.reading == reading).map(|row| row.read);
    let read = superheat(read(Reading::SuctionTemperature), read(Reading::SuctionPressure));
    let [t, p] = [Reading::SuctionTemperature, Reading::SuctionPressure].map(|reading| fitter.healthy.of(reading));
    let set = fitter.case.circuit.evaporator.superheat.value;
    read.zip(superheat(t, p)).is_some_and(|(read, starved)| read < 0.5 * (set + starved))
}

/// Rules that fail at these conditions in a healthy chiller.
pub(super) fn failing(healthy: &Prediction, job: &Job) -> Vec<Layout> {
    let mut all = Vec::new();
    if healthy.margin_K < 0.0 {
        let says = format!(
            "as drawn the liquid flashes before the valve at these conditions: it lacks {}",
            job.units.difference(-healthy.margin_K)
        );
        all.push(Layout { rule: "liquid-flash", says });
    } else if healthy.starved {
        let says = "as drawn the pressure before the valve is too low at these conditions: wide open it does not feed";
        all.push(Layout { rule: "valve-pressure", says: says.to_owned() });
    }
    if let Some((ratio, run)) = healthy.oil().filter(|(ratio, _)| *ratio < job.limit("oil_riser")) {
        let says = format!(
            "oil return is lost in discharge run {run} at these conditions: {} of the minimum flow",
            job.units.ratio(ratio)
        );
        all.push(Layout { rule: "oil-riser", says });
    }
    all
}

/// Rules that fail at these conditions in a healthy chiller, so that the layout explains what is read.
pub(super) fn layout(answer: &mut Answer, fitter: &Fitter<'_>, job: &Job) {
    answer.layout = failing(&fitter.healthy, job);
    let feeds = feeds(answer, fitter);
    answer.layout.retain(|layout| layout.rule != "valve-pressure" || !feeds);
    let predicted = answer.layout.iter().any(|layout| layout.rule != "oil-riser");
    if predicted && answer.verdict == Verdict::Healthy {
        answer.verdict = Verdict::Suspects;
    }
}
