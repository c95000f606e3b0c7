//! What the high side is designed for, and what its tubes are rated for at their warmest.

use super::answer::{Point, PointId};
use crate::job::{Circuit, Code, Job, LineId, Path};
use crate::refdata::{Tube, design_temperature};
use crate::refrigerant;
use crate::units::{Pressure, Temperature};

/// The high-side design pressure of a circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Design {
    /// Over the atmosphere.
    pub pressure_Pa: f64,
    /// What it is.
    pub basis: Basis,
    /// The code's design temperature.
    pub temperature_K: f64,
    /// What gives it.
    pub standing: Standing,
    /// Saturation, bubble, at the code's design temperature, over the atmosphere: the minimum of the code. None where the
    /// refrigerant has no such saturation.
    pub minimum_Pa: Option<f64>,
    /// The same, over the atmosphere, if there were no high-pressure switch: what a part of no rating of its own is made for.
    pub without_switch: Option<(f64, Basis)>,
    /// What a tube must hold so that a relief valve fits over the switch, over the atmosphere: the design pressure, or where neither
    /// it nor a relief valve is given the switch's setting over the share that it may have of the relief valve's.
    pub with_relief_Pa: f64,
}

/// What a design pressure is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// That of the job.
    Given,
    /// Saturation at the code's design temperature.
    Saturation,
    /// The setting of the high-pressure switch.
    Switch,
    /// The setting of the relief valve.
    Relief,
    /// The highest pressure of an operating point.
    Operation(PointId),
}

/// What gives the code's design temperature.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// So much over the design dry-bulb.
    AboveSummer,
    /// The minimum that there is.
    Least,
    /// The table of EN 378 by ambient temperature.
    Table,
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

/// The high-side design pressure of a circuit: the one that the job gives, else the highest of saturation (bubble) at the code's
/// design temperature, the settings of the high-pressure switch and of the relief valve, and the highest pressure at any operating
/// point at which the plant runs. None where none of these is known.
#[must_use]
pub fn design(job: &Job, circuit: &Circuit, points: &[Point]) -> Option<Design> {
    let atmosphere = job.site.atmosphere.pascals();
    let gauge = |pressure: Pressure| pressure.pascals() - atmosphere;
    let (temperature, standing) = standing(job);
    let minimum = refrigerant::named(&circuit.refrigerant)?.bubble_pressure(temperature).ok();
    let minimum = minimum.map(|pressure| pressure - atmosphere);
    let given = circuit.design_pressure.map(|pressure| (gauge(pressure), Basis::Given));
    let relief = circuit.relief.valve().map(|valve| (gauge(valve.setting), Basis::Relief));
    let running = points.iter().filter(|point| point.id.is_running());
    let running = running.map(|point| (point.state.discharge.pressure_Pa - atmosphere, Basis::Operation(point.id)));
    let switch = circuit.condenser.cutout.map(|cutout| (gauge(cutout), Basis::Switch));
    let saturated = minimum.map(|pressure| (pressure, Basis::Saturation));
    let known = saturated.into_iter().chain(relief).chain(running);
    let higher = |a: (f64, Basis), b: (f64, Basis)| if b.0 > a.0 { b } else { a };
    let without_switch = given.or_else(|| known.reduce(higher));
    let (pressure, basis) = given.or_else(|| without_switch.into_iter().chain(switch).reduce(higher))?;
    let over_switch = switch.filter(|_| given.is_none() && relief.is_none());
    let over_switch = over_switch.map_or(0.0, |(setting, _)| setting / job.limit("cutout_of_relief").max(0.1));
    Some(Design {
        pressure_Pa: pressure,
        basis,
        temperature_K: temperature,
        standing,
        minimum_Pa: minimum,
        without_switch,
        with_relief_Pa: pressure.max(over_switch),
    })
}

/// The code's design temperature of an air-cooled high side, K, and what gives it.
fn standing(job: &Job) -> (f64, Standing) {
    let summer = job.site.summer.kelvin();
    match job.site.code {
        Code::Us => {
            let (above, minimum) = (job.limit("design_above_summer"), job.limit("design_minimum"));
            if above > 0.0 && summer + above > minimum {
                (summer + above, Standing::AboveSummer)
            } else {
                (minimum, Standing::Least)
            }
        }
        Code::Eu => (design_temperature(Temperature::from_kelvin(summer)).kelvin(), Standing::Table),
    }
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
