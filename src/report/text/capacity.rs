//! What the design day leaves of the capacity, and what the plant carries.

use super::figure::degrees;
use crate::job::{Circuit, Job};
use crate::layout::{Grid, Sheet, heading};
use crate::refrigerant;
use crate::report::answer::Answer;
use crate::rules::Verdict;
use crate::survey::{CurvePoint, Derating};

/// Rows of the curve at most, its ends among them.
const CURVE_ROWS: usize = 14;

/// Derating: the causes that add up, the curve, the highest outdoor temperature.
pub(super) fn derating(sheet: &mut Sheet, job: &Job, circuit: &Circuit, derating: &Derating) {
    let units = job.units;
    heading(sheet, "Capacity, from the rating to the design day");
    let mut grid = Grid::new().left("cause").right(format!("change, {}", units.capacity_unit()));
    let total = derating.at_design_W - derating.rated_W;
    let changes: Vec<f64> = derating.steps.iter().map(|step| step.change_W).chain([total]).collect();
    let mut changes = units.capacity_column(&changes).into_iter();
    let mut gains = Vec::new();
    let subcooled = circuit.liquid.runs.iter().any(|run| run.subcooler().is_some());
    for (step, change) in derating.steps.iter().zip(changes.by_ref()) {
        let change = signed(&change);
        if !is_zero(&change) {
            if change.starts_with('+') {
                gains.extend(gain(&step.cause, subcooled));
            }
            grid.row(vec![in_words(&step.cause, subcooled), change]);
        }
    }
    let all = signed(&changes.next().unwrap_or_default());
    grid.row(vec![format!("total, to {} of the rating", units.percent(derating.share)), all]);
    sheet.table(1, &grid);
    sheet.paragraph(1, &gains.join(" "));

    if derating.curve.len() > 1 {
        sheet.space();
        let unit = units.temperature_unit();
        let places = spread(derating.curve.len(), CURVE_ROWS);
        let points: Vec<CurvePoint> = places.into_iter().filter_map(|at| derating.curve.get(at).copied()).collect();
        let all = |of: fn(&CurvePoint) -> f64| points.iter().map(of).collect::<Vec<f64>>();
        let warm = |of: fn(&CurvePoint) -> f64| points.iter().map(|point| degrees(units, of(point))).collect();
        let dew = |point: &CurvePoint| refrigerant::named(&circuit.refrigerant)?.dew_pressure(point.condensing_K).ok();
        let atmosphere = job.site.atmosphere.pascals();
        let gauge = |point| dew(point).map(|pascals| units.pressure_gauge_value(pascals, atmosphere));
        let gauge: Vec<String> = points.iter().map(|point| gauge(point).unwrap_or_default()).collect();
        let (capacity, power) = (all(|point| point.capacity_W), all(|point| point.power_W));
        let grid = Grid::new()
            .numbers(format!("outdoor\n{unit}"), warm(|point| point.outdoor_K))
            .numbers(format!("capacity\n{}", units.capacity_unit()), units.capacity_column(&capacity))
            .numbers(format!("power\n{}", units.power_unit()), units.power_column(&power))
            .numbers(format!("condensing\n{unit}"), warm(|point| point.condensing_K))
            .numbers(format!("condensing\n{}", units.pressure_gauge_unit()), gauge);
        sheet.table(1, &grid);
    }
    sheet.space();
    let highest = format!("{} {}", degrees(units, derating.highest_outdoor_K), units.temperature_unit());
    sheet.paragraph(
        1,
        &if derating.highest_is_cutout {
            format!("With all compressors on the cut-out trips at {highest} outdoors.")
        } else {
            let cutout = match circuit.condenser.cutout {
                Some(_) => "The cut-out is higher",
                None => "No cut-out is given",
            };
            format!("{cutout}; the refrigerant's data end at {highest} outdoors, with all compressors on.")
        },
    );
}

/// A cause as a person says it: the steps are counted from the rating, which holds at the compressors' own terminals.
fn in_words(cause: &str, subcooled: bool) -> String {
    match cause {
        "outdoor temperature" => "condensing and subcooling of the condenser",
        "discharge-line loss" if subcooled => "the lines with their mechanical subcooler",
        "discharge-line loss" => "pressure drop of the lines, and heat to or from their air",
        other => other,
    }
    .to_owned()
}

/// Why a cause adds where one expects it to take.
fn gain(cause: &str, subcooled: bool) -> Option<&'static str> {
    match cause {
        "discharge-line loss" if subcooled => {
            Some("The lines add what the mechanical subcooler takes; its own power is not counted.")
        }
        "outdoor temperature" => Some(
            "At the design outdoor temperature alone the condenser condenses lower or subcools more than at the rating.",
        ),
        "discharge-line loss" => {
            Some("The lines add: the heat that they lose to the air is worth more than their pressure drop.")
        }
        _ => None,
    }
}

/// What the circuits carry together, against the load.
pub(crate) fn plant(sheet: &mut Sheet, answer: &Answer) {
    let Some(plant) = &answer.plant else { return };
    let units = answer.job.units;
    heading(sheet, "The plant on the design day");
    let modules = &plant.modules;
    let each = units.capacity_column(&modules.iter().map(|module| module.capacity_W).collect::<Vec<f64>>());
    let grid = Grid::new()
        .words("module", modules.iter().map(|module| module.name.clone()).collect())
        .numbers("chillers", modules.iter().map(|module| module.quantity.to_string()).collect())
        .numbers(format!("each, {}", units.capacity_unit()), each);
    sheet.table(1, &grid);
    if answer.findings.iter().any(|finding| finding.rule == "plant-load" && finding.verdict > Verdict::Pass) {
        // The finding has told the sums.
        return;
    }
    sheet.space();
    let together =
        format!("Together {} against a load of {}.", units.capacity(plant.carries_W), units.capacity(plant.load_W));
    let spare = match plant.spare {
        0 => String::new(),
        1 => format!(" With the largest chiller out of service, {}.", units.capacity(plant.carries_without_spare_W)),
        n => format!(" With the {n} largest out of service, {}.", units.capacity(plant.carries_without_spare_W)),
    };
    sheet.paragraph(1, &format!("{together}{spare}"));
}

/// A change with its sign.
fn signed(text: &str) -> String {
    if text.starts_with('-') || is_zero(text) { text.to_owned() } else { format!("+{text}") }
}

fn is_zero(text: &str) -> bool {
    text.bytes().all(|b| matches!(b, b'0' | b'.'))
}

/// At most `most` places out of `count`, evenly spread, both ends among them.
fn spread(count: usize, maximum: usize) -> Vec<usize> {
    if count <= maximum {
        return (0..count).collect();
    }
    (0..maximum).map(|i| (i * (count - 1) + (maximum - 1) / 2) / (maximum - 1)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_curve_keeps_its_ends() {
        assert_eq!(spread(5, 7), [0, 1, 2, 3, 4]);
        assert_eq!(spread(13, 7), [0, 2, 4, 6, 8, 10, 12]);
        assert_eq!(spread(15, 7), [0, 2, 5, 7, 9, 12, 14]);
    }

    #[test]
    fn a_gain_has_its_sign_and_nothing_has_none() {
        assert_eq!(["-1.2", "1.2", "0.00"].map(signed), ["-1.2", "+1.2", "0.00"]);
    }
}
