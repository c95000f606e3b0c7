//! What the high side is designed for, and what its tubes are rated for at their warmest.
#![expect(non_snake_case, reason = "units keep their own capitals, as in the JSON answer")]

use super::answer::Point;
use crate::job::{Circuit, Job, LineId, Path};
use crate::refdata::Tube;
use crate::refrigerant;
use crate::units::{Pressure, Temperature};

/// The high-side design pressure of a circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Design {
    /// Over the atmosphere.
    pub pressure_Pa: f64,
    /// Design temperature.
    pub temperature_K: f64,
    /// Whether the setting of the high-pressure switch governs; else saturation at the design temperature does.
    pub by_cutout: bool,
    /// Key of the limit that gives the design temperature.
    pub limit: &'static str,
}

/// A tube of a run at its warmest.
#[derive(Clone, Debug)]
pub struct Strength {
    /// The line.
    pub line: LineId,
    /// Number of the run.
    pub run: usize,
    /// The tube.
    pub tube: Tube,
    /// Temperature at which it must hold: the design temperature or the warmest refrigerant of the run, whichever is warmer.
    pub warmest_K: f64,
    /// Its rating there, over the atmosphere; none where no allowable stress is listed.
    pub rated_Pa: Option<f64>,
}

/// The high-side design pressure of a circuit: saturation, bubble, at the design temperature, or the setting of the
/// high-pressure switch where that is higher. None where neither is known.
#[must_use]
pub fn design(job: &Job, circuit: &Circuit) -> Option<Design> {
    let (above, least) = (job.limit("design_above_summer"), job.limit("design_least"));
    let temperature = (job.site.summer.kelvin() + above).max(least);
    let saturated = refrigerant::named(&circuit.refrigerant)?.bubble_pressure(temperature).ok();
    let cutout = circuit.condenser.cutout.map(Pressure::pascals);
    let cutout = cutout.filter(|cutout| saturated.is_none_or(|saturated| *cutout >= saturated));
    Some(Design {
        pressure_Pa: cutout.or(saturated)? - job.site.atmosphere.pascals(),
        temperature_K: temperature,
        by_cutout: cutout.is_some(),
        limit: if above > 0.0 && temperature > least { "design_above_summer" } else { "design_least" },
    })
}

/// Every tube of both lines in order of flow, at its warmest; none where the design temperature is not known.
pub(crate) fn strengths(circuit: &Circuit, design: Option<&Design>, points: &[Point]) -> Vec<Strength> {
    let Some(design) = design else { return Vec::new() };
    let mut all = Vec::new();
    for line in LineId::BOTH {
        for (index, run) in line.of(circuit).runs.iter().enumerate() {
            if matches!(run.path, Path::Part(_)) {
                continue;
            }
            let warmest = warmest(points, line, |number| number == index + 1).max(design.temperature_K);
            all.extend(run.tubes.iter().map(|tube| Strength {
                line,
                run: index + 1,
                tube: tube.clone(),
                warmest_K: warmest,
                rated_Pa: rated(tube, warmest),
            }));
        }
    }
    all
}

/// What a tube is rated for at a temperature, Pa over the atmosphere; none where no allowable stress is listed.
pub(super) fn rated(tube: &Tube, kelvin: f64) -> Option<f64> {
    tube.rated_pressure(Temperature::from_kelvin(kelvin)).ok().map(|pressure| pressure.value)
}

/// Whether steel pipe of that schedule may be used in a line: liquid lines of small sizes are schedule 80.
pub(crate) fn schedule_allowed(job: &Job, line: LineId, tube: &Tube) -> bool {
    tube.kind != "Sch40" || line == LineId::Discharge || tube.nominal().value > job.limit("steel_schedule_80") + 1e-4
}

/// The warmest refrigerant in runs of a line at any operating point at which the plant runs, K.
pub(super) fn warmest(points: &[Point], line: LineId, runs: impl Fn(usize) -> bool) -> f64 {
    let running = points.iter().filter(|point| point.id.is_running());
    let answers = running.flat_map(|point| &point.line(line).runs).filter(|run| runs(run.index));
    answers.map(|run| run.warmest_K).fold(f64::NEG_INFINITY, f64::max)
}
