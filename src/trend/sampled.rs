//! A sample of a trend's rows, and how well a column goes with a meaning by it.

use crate::job::{Circuit, ColumnSaid, Evaporating, Job, Measured, Performance, Point, Reading};
use crate::refrigerant::Refrigerant;
use crate::units::{Kind, System};
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
            AirOff, AirOn, CondenserOut, DischargePressure, DischargeTemperature, DrierOut, EnteringFluid,
            LeavingFluid, LiquidPressure, LiquidTemperature, Outdoor, Power, SuctionPressure, SuctionTemperature,
            ValvePressure, ValveTemperature,
        };
        let si = |value: f64| zero + slope * value;
        let dew = |value: f64| self.dew(si(value));
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
            Point::Of(LiquidTemperature | ValveTemperature | DrierOut | CondenserOut) => {
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

    /// Whether a column's usual value is one that it may have by itself, whatever the others say.
    pub(super) fn alone(&self, column: usize, point: Point, to_si: [f64; 2]) -> bool {
        use Reading::{
            AirOff, AirOn, CondenserOut, DischargeTemperature, DrierOut, EnteringFluid, LeavingFluid, LiquidPressure,
            LiquidTemperature, Outdoor, SuctionTemperature, ValvePressure, ValveTemperature,
        };
        let [least, most] = match point {
            Point::Of(Outdoor | AirOn) => [228.0, 330.0],
            Point::Of(AirOff) => [228.0, 345.0],
            Point::Of(DischargeTemperature) => [275.0, 425.0],
            Point::Of(LiquidTemperature | ValveTemperature | DrierOut | CondenserOut) => [228.0, 350.0],
            Point::Of(SuctionTemperature) => [227.0, 322.0],
            Point::Of(EnteringFluid | LeavingFluid) => [231.0, 323.0],
            Point::Of(LiquidPressure | ValvePressure) => [258.0, 356.0],
            _ => return self.off(column, point, to_si).is_none_or(|[off, _]| off <= 0.0),
        };
        let pressure = point.measured() == Measured::Quantity(Kind::Pressure);
        let kelvin = |value: f64| {
            let si = to_si[0] + to_si[1] * value;
            if pressure { self.dew(si) } else { si }
        };
        self.usually(column, |value, _| kelvin(value)).is_none_or(|value| (least..=most).contains(&value))
    }

    /// Dew point, K; far out of all windows where there is none.
    fn dew(&self, pascals: f64) -> f64 {
        self.scene.fluid.dew_temperature(pascals).unwrap_or(if pascals > 2e6 { 1e3 } else { 0.0 })
    }

    /// The outdoor temperature before its unit is sure.
    pub(super) fn outdoor_by_itself(&self) -> f64 {
        median(self.outdoor.clone()).filter(|kelvin| (233.0..330.0).contains(kelvin)).unwrap_or(303.0)
    }
}

/// What columns of states say of each row; none where they do not say it.
fn states(sampled: &Sampled<'_>, points: &[Option<Point>]) -> Vec<Option<bool>> {
    let columns: Vec<usize> = (0..points.len()).filter(|column| points[*column] == Some(Point::Running)).collect();
    let of = |(_, row): &(i64, Vec<f64>)| -> Option<bool> {
        let sum: Option<f64> = columns.iter().map(|column| row.get(*column).copied()).sum();
        sum.filter(|sum| sum.is_finite() && !columns.is_empty()).map(|sum| sum > 0.0)
    };
    sampled.rows.iter().map(of).collect()
}

/// The machine runs where it is said, else where its two pressures are apart as written; `ratio` brings the discharge pressure into the
/// unit of the suction pressure.
pub(super) fn runs_by_raw(sampled: &mut Sampled<'_>, points: &[Option<Point>], ratio: f64) {
    let find = |reading: Reading| points.iter().position(|of| *of == Some(Point::Of(reading)));
    let apart: Option<Vec<bool>> =
        find(Reading::DischargePressure).zip(find(Reading::SuctionPressure)).map(|(high, low)| {
            let both = sampled.raw(high).map(|high| ratio * high).zip(sampled.raw(low));
            both.map(|(a, b)| a.max(b) > 1.3 * a.min(b).max(1e-6)).collect()
        });
    let said = states(sampled, points);
    let by_pressures = |row: usize| apart.as_ref().is_none_or(|apart| apart[row]);
    sampled.running =
        said.into_iter().enumerate().map(|(row, said)| said.unwrap_or_else(|| by_pressures(row))).collect();
}

/// The machine runs where it condenses well above where it evaporates.
pub(super) fn runs(sampled: &mut Sampled<'_>) {
    let apart = sampled.condensing.iter().zip(&sampled.evaporating).map(|(high, low)| high - low > 8.0);
    let runs: Vec<bool> = apart.zip(&sampled.running).map(|(apart, running)| apart && *running).collect();
    if runs.iter().any(|runs| *runs) {
        sampled.running = runs;
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
