//! A sample of a trend's rows, and how well a column goes with a meaning by it.

use crate::job::{Circuit, ColumnSaid, Evaporating, Job, Performance, Point, Reading};
use crate::refrigerant::Refrigerant;
use crate::units::System;
use std::collections::BTreeMap;

/// Temperatures that a machine that runs can condense and evaporate at, K.
const CONDENSING: [f64; 2] = [278.0, 346.0];
const EVAPORATING: [f64; 2] = [233.0, 296.0];
/// Condensing over outdoor that is looked for where a unit is open, K.
const USUAL_SPLIT: f64 = 12.0;

/// What columns are judged by.
pub struct Scene<'a> {
    /// The job.
    pub job: &'a Job,
    /// The circuit.
    pub circuit: &'a Circuit,
    /// Its refrigerant.
    pub fluid: &'static Refrigerant,
    /// What is said of columns, by name.
    pub said: &'a BTreeMap<String, ColumnSaid>,
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    values.retain(|value| value.is_finite());
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}

/// What is known of each row of the sample.
pub(super) struct Sampled<'a> {
    pub(super) scene: &'a Scene<'a>,
    pub(super) rows: &'a [(i64, Vec<f64>)],
    pub(super) running: Vec<bool>,
    pub(super) condensing: Vec<f64>,
    pub(super) evaporating: Vec<f64>,
    pub(super) outdoor: Vec<f64>,
    /// The system whose unit temperatures are in where they do not say it.
    pub(super) temperatures: System,
}

impl<'a> Sampled<'a> {
    pub(super) fn new(scene: &'a Scene<'a>, rows: &'a [(i64, Vec<f64>)]) -> Self {
        let nothing = vec![f64::NAN; rows.len()];
        Self {
            scene,
            rows,
            running: vec![true; rows.len()],
            condensing: nothing.clone(),
            evaporating: nothing.clone(),
            outdoor: nothing,
            temperatures: scene.job.units,
        }
    }

    pub(super) fn raw(&self, column: usize) -> impl Iterator<Item = f64> + '_ {
        self.rows.iter().map(move |(_, row)| row.get(column).copied().unwrap_or(f64::NAN))
    }

    /// The usual value of a column while the machine runs, as something makes of it and of the row.
    pub(super) fn usually(&self, column: usize, of: impl Fn(f64, usize) -> f64) -> Option<f64> {
        let running = self.raw(column).enumerate().filter(|(row, _)| self.running[*row]);
        median(running.map(|(row, value)| of(value, row)).collect())
    }

    /// How far a column's usual value is from where it may lie and from where it usually lies, with those units; none where nothing
    /// can be said.
    pub(super) fn off(&self, column: usize, point: Point, [zero, slope]: [f64; 2]) -> Option<[f64; 2]> {
        use Reading::{
            AirOff, AirOn, DischargePressure, DischargeTemperature, DrierOut, EnteringFluid, LeavingFluid,
            LiquidPressure, LiquidTemperature, Outdoor, Power, SuctionPressure, SuctionTemperature, ValvePressure,
            ValveTemperature,
        };
        let si = |value: f64| zero + slope * value;
        let fluid = self.scene.fluid;
        let dew = |value: f64| fluid.dew_temperature(si(value)).unwrap_or(if si(value) > 2e6 { 1e3 } else { 0.0 });
        let usual_condensing = self.outdoor_by_itself() + USUAL_SPLIT;
        let usual_evaporating = match self.scene.circuit.evaporator.evaporating {
            Evaporating::Approach { leaving, .. } => leaving.kelvin() - 3.0,
            Evaporating::Held(held) => held.kelvin(),
        };
        let rated = match &self.scene.circuit.compressors.performance {
            Performance::Rating { power, .. } => power.value,
            Performance::Map(_) => 0.0,
        };
        let (value, window, usual) = match point {
            Point::Of(DischargePressure) => (self.usually(column, |v, _| dew(v)), CONDENSING, usual_condensing),
            Point::DischargeSaturated => (self.usually(column, |v, _| si(v)), CONDENSING, usual_condensing),
            Point::Of(SuctionPressure) => (self.usually(column, |v, _| dew(v)), EVAPORATING, usual_evaporating),
            Point::SuctionSaturated => (self.usually(column, |v, _| si(v)), EVAPORATING, usual_evaporating),
            Point::Of(LiquidPressure | ValvePressure) => {
                (self.usually(column, |v, row| dew(v) - self.condensing[row]), [-20.0, 12.0], 0.0)
            }
            Point::Of(Outdoor) => (self.usually(column, |v, row| self.condensing[row] - si(v)), [-2.0, 48.0], 12.0),
            Point::Of(DischargeTemperature) => {
                (self.usually(column, |v, row| si(v) - self.condensing[row]), [-4.0, 85.0], 25.0)
            }
            Point::Of(LiquidTemperature | ValveTemperature | DrierOut) => {
                (self.usually(column, |v, row| self.condensing[row] - si(v)), [-4.0, 42.0], 6.0)
            }
            Point::Of(SuctionTemperature) => {
                (self.usually(column, |v, row| si(v) - self.evaporating[row]), [-6.0, 32.0], 6.0)
            }
            Point::Of(EnteringFluid | LeavingFluid) => {
                (self.usually(column, |v, row| si(v) - self.evaporating[row]), [-2.0, 30.0], 6.0)
            }
            Point::Of(AirOn) => (self.usually(column, |v, row| si(v) - self.outdoor[row]), [-9.0, 25.0], 1.0),
            Point::Of(AirOff) => (self.usually(column, |v, row| si(v) - self.outdoor[row]), [-5.0, 40.0], 9.0),
            Point::Superheat | Point::Subcooling => (self.usually(column, |v, _| si(v)), [-8.0, 40.0], 6.0),
            Point::Of(Power) if rated > 0.0 => {
                (self.usually(column, |v, _| (si(v) / rated).ln() * 10.0), [-35.0, 12.0], 0.0)
            }
            _ => return None,
        };
        let value = value?;
        Some([(window[0] - value).max(value - window[1]).max(0.0), (value - usual).abs()])
    }

    /// The outdoor temperature before its unit is sure.
    pub(super) fn outdoor_by_itself(&self) -> f64 {
        median(self.outdoor.clone()).filter(|kelvin| (233.0..330.0).contains(kelvin)).unwrap_or(303.0)
    }
}

/// The machine runs where its two pressures are apart as written.
pub(super) fn runs_by_raw(sampled: &mut Sampled<'_>, points: &[Option<Point>]) {
    let find = |reading: Reading| points.iter().position(|of| *of == Some(Point::Of(reading)));
    let (Some(high), Some(low)) = (find(Reading::DischargePressure), find(Reading::SuctionPressure)) else { return };
    let apart: Vec<bool> =
        sampled.raw(high).zip(sampled.raw(low)).map(|(a, b)| a.max(b) > 1.3 * a.min(b).max(1e-6)).collect();
    if apart.iter().any(|apart| *apart) {
        sampled.running = apart;
    }
}

/// The machine runs where it condenses well above where it evaporates.
pub(super) fn runs(sampled: &mut Sampled<'_>) {
    let apart: Vec<bool> =
        sampled.condensing.iter().zip(&sampled.evaporating).map(|(high, low)| high - low > 8.0).collect();
    if apart.iter().any(|apart| *apart) {
        sampled.running = apart;
    }
}

/// Keeps what other columns are judged by.
pub(super) fn note(sampled: &mut Sampled<'_>, column: usize, point: Point, [zero, slope]: [f64; 2]) {
    let fluid = sampled.scene.fluid;
    let values: Vec<f64> = sampled.raw(column).map(|value| zero + slope * value).collect();
    let dew = |values: &[f64]| values.iter().map(|p| fluid.dew_temperature(*p).unwrap_or(f64::NAN)).collect();
    match point {
        Point::Of(Reading::DischargePressure) => sampled.condensing = dew(&values),
        Point::Of(Reading::SuctionPressure) => sampled.evaporating = dew(&values),
        Point::DischargeSaturated if sampled.condensing.iter().all(|t| t.is_nan()) => sampled.condensing = values,
        Point::SuctionSaturated if sampled.evaporating.iter().all(|t| t.is_nan()) => sampled.evaporating = values,
        Point::Of(Reading::Outdoor) => sampled.outdoor = values,
        _ => {}
    }
}
