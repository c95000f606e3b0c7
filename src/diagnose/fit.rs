//! How well causes explain the readings: misfit with all that is uncertain in common, and the size of each cause.

use super::accuracy::{BAND, deviation};
use super::case::{Case, NoCase, Prediction, Sized};
use super::cause::Cause;
use super::taken::Taken;
use crate::job::{Evaporating, Reading, Unknown, ValveKind};
use crate::machine::{Circuitry, Near, Wrong};
use crate::units::{Temperature, kelvins};
use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

/// Shares of a cause's range at which it is first looked at.
const GRID: &[f64] = &[0.03, 0.08, 0.16, 0.28, 0.42, 0.58, 0.78, 1.0];
/// The same of a restriction, whose size goes with the square of its share: not felt at all, and soon after all too much.
const CLOGGED: &[f64] = &[0.12, 0.17, 0.21, 0.25, 0.29, 0.33, 0.37, 0.42, 0.47, 0.53, 0.6, 0.68, 0.77, 0.88, 1.0];
/// The same of a valve that feeds too little, which is not felt before it is wide open.
const LATE: &[f64] = &[0.15, 0.3, 0.42, 0.5, 0.57, 0.64, 0.7, 0.76, 0.82, 0.88, 0.94, 1.0];
/// Turns of the parabola through the three best, and as many where a misfit has a kink: where a valve begins to starve.
const TURNS: u32 = 4;
const TURNS_AT_A_KINK: u32 = 10;
/// So much worse than the best, twice in a row, the rest of the range is left.
const HOPELESS: f64 = 60.0;

/// Standard deviations of what a job's ratings leave open (assumptions): conductance of the coil, displacement, efficiency, transfer
/// units of the evaporator, subcooling (K), superheat (K) or what a fixed restriction passes.
const COEFFICIENTS: [f64; 6] = [0.05, 0.025, 0.025, 0.08, 0.8, 0.7];
/// Of a fixed restriction, which holds no superheat: what it passes (assumption).
const BORE: f64 = 0.05;
/// The leaving fluid where it is not read: what a controller holds of its setpoint, and the evaporating temperature where a job
/// holds it, K.
const SETPOINT: [f64; 2] = [1.2, 2.0];
/// Warm air that a job expects, K.
const RECIRCULATION: f64 = 0.4;
/// Share of the rise of temperature that the compressors' shell loses.
const SHELL: f64 = 0.025;
/// What the job says of the losses of a line: friction, fittings.
const LOSSES: f64 = 0.15;
/// Air flow and fluid flow of the job.
const FLOWS: f64 = 0.06;
/// What a volume of the fluid carries, less than water where it is a brine (assumption).
const FLUID: f64 = 0.05;

/// Of the share of the compressors that do not run: what of the evaporator's transfer units goes with the refrigerant's flow, and of the
/// subcooling with the coil's load and its fans, K (assumptions).
const PART_LOAD: [f64; 2] = [0.3, 2.4];

/// A reading with its weight.
#[derive(Clone, Copy, Debug)]
pub struct Weighed {
    /// The reading.
    pub taken: Taken,
    /// Standard deviation of instrument and digits.
    pub deviation: f64,
}

/// What is known of the coefficients: their means and the square root of their covariance, in standard deviations of the job's.
#[derive(Clone, Debug)]
pub struct Coefficients {
    mean: [f64; 6],
    root: DMatrix<f64>,
}

impl Coefficients {
    /// Nothing but the job; what is not known of it is left wide open.
    pub fn of_the_job(unknown: Unknown) -> Self {
        let root = DMatrix::from_diagonal(&DVector::from_row_slice(&widths(unknown)));
        Self { mean: [0.0; 6], root }
    }

    /// Off by so many standard deviations.
    pub fn off_by(mean: [f64; 6]) -> Self {
        Self { mean, ..Self::of_the_job(Unknown::default()) }
    }

    /// A case with them.
    pub fn applied(&self, case: &Case) -> Case {
        (0..6).fold(case.clone(), |case, k| shifted(&case, k, self.mean[k]))
    }
}

/// How much wider than usual the coefficients are. Air-cooled condensers are chosen at 13 to 40 F TD (common practice, no source): where
/// 20 F is taken for want of a rating, conductance is known to half of it, and how far the liquid is cooled is open.
fn widths(unknown: Unknown) -> [f64; 6] {
    if unknown.condenser { [5.0, 1.0, 1.0, 1.0, 3.0, 1.0] } else { [1.0; 6] }
}

/// A case with one coefficient off by so many standard deviations.
fn shifted(case: &Case, which: usize, by: f64) -> Case {
    let mut case = case.clone();
    let s = COEFFICIENTS[which] * by;
    let base: &mut Wrong = &mut case.base;
    match which {
        0 => base.coil *= 1.0 + s,
        1 => base.displacement *= 1.0 + s,
        2 => base.efficiency *= 1.0 + s,
        3 => base.evaporator *= 1.0 + s,
        4 => base.short_K -= s,
        _ if case.circuit.valve.kind == ValveKind::Fixed => base.valve *= 1.0 + BORE * by,
        _ => {
            let superheat = &mut case.circuit.evaporator.superheat;
            *superheat = kelvins((superheat.value + s).max(0.1));
        }
    }
    case
}

/// A fitted explanation.
#[derive(Clone, Debug)]
pub struct Fitted {
    /// Causes with their sizes; none is a healthy chiller.
    pub causes: Vec<(Cause, f64)>,
    /// The reading that is wrong, where one is.
    pub sensor: Option<Reading>,
    /// Weighted sum of squares.
    pub misfit: f64,
    /// What the readings would be.
    pub prediction: Prediction,
}

impl Fitted {
    /// Whether it says that nothing is wrong.
    #[must_use]
    pub fn is_healthy(&self) -> bool {
        self.causes.is_empty() && self.sensor.is_none()
    }
}

/// The readings of a case with their weights.
pub struct Fitter<'a> {
    pub(super) case: &'a Case,
    circuitry: Circuitry<'a>,
    /// What is explained.
    pub readings: Vec<Weighed>,
    /// What a healthy chiller would show.
    pub healthy: Prediction,
    covariance: DMatrix<f64>,
    /// What one standard deviation of the outdoor air changes, and that, K; none where it was not read.
    outdoor: Option<(DVector<f64>, f64)>,
    cholesky: Cholesky<f64, Dyn>,
}

impl<'a> Fitter<'a> {
    /// Prepares a case; `bands` are standard deviations of the outdoor and of the leaving fluid's reading, K, none where it was not read.
    ///
    /// # Errors
    /// [`NoCase`] where a healthy chiller has no balance there.
    pub fn new(
        case: &'a Case,
        readings: Vec<Weighed>,
        bands: [Option<f64>; 2],
        coefficients: &Coefficients,
    ) -> Result<Self, NoCase> {
        let circuitry = case.circuitry()?;
        let healthy = case.predict(&circuitry, &[], None)?;
        let readings: Vec<Weighed> =
            readings.into_iter().filter(|one| healthy.of(one.taken.reading).is_some()).collect();
        let (all, outdoor) = whole_covariance(case, &healthy, bands, coefficients, &readings);
        let outdoor = outdoor.zip(bands[0]);
        let cholesky =
            Cholesky::new(all.clone()).ok_or(NoCase::Unbalanced(crate::machine::Unbalanced::NotConverged))?;
        Ok(Self { case, circuitry, readings, healthy, covariance: all, outdoor, cholesky })
    }

    /// Read less predicted.
    fn residual(&self, prediction: &Prediction) -> DVector<f64> {
        let of = |one: &Weighed| {
            let predicted = prediction.of(one.taken.reading).or_else(|| self.healthy.of(one.taken.reading));
            one.taken.value - predicted.unwrap_or(one.taken.value)
        };
        DVector::from_iterator(self.readings.len(), self.readings.iter().map(of))
    }

    /// The same in standard deviations that are independent of each other.
    pub(super) fn whitened(&self, prediction: &Prediction) -> DVector<f64> {
        let residual = self.residual(prediction);
        self.cholesky.l().solve_lower_triangular(&residual).unwrap_or(residual)
    }

    /// Weighted sum of squares.
    pub fn misfit(&self, prediction: &Prediction) -> f64 {
        self.whitened(prediction).norm_squared()
    }

    /// Accuracy (95 %) of what is expected of a reading: of the instrument and of the model.
    pub fn band(&self, index: usize) -> f64 {
        BAND * self.deviation(index)
    }

    /// The same as a standard deviation.
    pub fn deviation(&self, index: usize) -> f64 {
        self.covariance[(index, index)].max(0.0).sqrt()
    }

    /// By how much the misfit falls with each reading left out.
    pub fn relief(&self, prediction: &Prediction) -> Vec<f64> {
        let inverse = self.cholesky.inverse();
        let weighted = &inverse * self.residual(prediction);
        (0..self.readings.len()).map(|i| weighted[i] * weighted[i] / inverse[(i, i)]).collect()
    }

    /// What the readings would be with causes of those sizes.
    pub fn predict(&self, causes: &Sized, near: Option<Near>) -> Option<Prediction> {
        self.case.predict(&self.circuitry, causes, near.or(Some(self.healthy.near))).ok()
    }

    /// A healthy chiller.
    pub fn nothing(&self) -> Fitted {
        let prediction = self.healthy.clone();
        Fitted { causes: Vec::new(), sensor: None, misfit: self.misfit(&prediction), prediction }
    }

    /// A healthy chiller with each reading left out in turn.
    pub fn sensors(&self) -> Vec<Fitted> {
        let healthy = self.nothing();
        let relief = self.relief(&self.healthy);
        let without = |(index, relief): (usize, &f64)| Fitted {
            sensor: Some(self.readings[index].taken.reading),
            misfit: (healthy.misfit - relief).max(0.0),
            ..healthy.clone()
        };
        relief.iter().enumerate().map(without).chain(self.outdoor()).collect()
    }

    /// By how much the misfit falls where the outdoor air is another than read, and by how many of its standard deviations: along its
    /// column s of the sensitivities, x = s C^-1 r / (s C^-1 s), relief x s C^-1 r.
    pub fn outdoor_relief(&self, prediction: &Prediction) -> Option<(f64, f64)> {
        let (column, _) = self.outdoor.as_ref()?;
        let weighted = self.cholesky.solve(column);
        let along = weighted.dot(column);
        let x = weighted.dot(&self.residual(prediction)) / along;
        (along > 0.0 && x.is_finite()).then_some((x * x * along, x))
    }

    /// A healthy chiller in air colder than was read: sun and a warm roof make a thermometer read too much. One that reads too little is
    /// not told from warm air on the coil.
    fn outdoor(&self) -> Option<Fitted> {
        let (_, deviation) = self.outdoor.as_ref()?;
        let (_, x) = self.outdoor_relief(&self.healthy).filter(|(_, x)| *x < 0.0)?;
        let mut case = self.case.clone();
        case.condition.outdoor_K += x * deviation;
        let prediction = case.predict(&self.circuitry, &[], Some(self.healthy.near)).ok()?;
        let (relief, _) = self.outdoor_relief(&prediction)?;
        let misfit = (self.misfit(&prediction) - relief).max(0.0);
        Some(Fitted { causes: Vec::new(), sensor: Some(Reading::Outdoor), misfit, prediction })
    }

    /// A cause at the size that explains the readings best; none where it can't be or has no balance.
    pub fn single(&self, cause: Cause) -> Option<Fitted> {
        let maximum = self.case.maximum(cause)?;
        let mut near = None;
        let mut at = |share: f64| {
            let causes = vec![(cause, cause.size(share, maximum))];
            let prediction = self.predict(&causes, near)?;
            near = Some(prediction.near);
            let misfit = self.misfit(&prediction);
            misfit.is_finite().then_some((share, Fitted { causes, sensor: None, misfit, prediction }))
        };
        if cause == Cause::HeadControlOpen {
            return at(1.0).map(|(_, fitted)| fitted);
        }
        let mut seen: Vec<(f64, f64)> = vec![(0.0, self.misfit(&self.healthy))];
        let mut best: Option<(f64, Fitted)> = None;
        let mut worse = 0;
        let grid = match cause {
            Cause::LiquidRestriction => CLOGGED,
            Cause::ValveShut => LATE,
            _ => GRID,
        };
        for &share in grid {
            let Some(found) = at(share) else { continue };
            seen.push((share, found.1.misfit));
            let minimum = best.as_ref().map_or(f64::INFINITY, |best| best.1.misfit);
            worse = if found.1.misfit > minimum + HOPELESS { worse + 1 } else { 0 };
            if found.1.misfit < minimum {
                best = Some(found);
            }
            if worse > 1 {
                break;
            }
        }
        let starves = matches!(cause, Cause::ValveShut | Cause::LiquidRestriction);
        let turns = if starves { TURNS_AT_A_KINK } else { TURNS };
        let mut bettered = true;
        for _ in 0..turns {
            let (at_best, least) = best.as_ref().map(|(share, fitted)| (*share, fitted.misfit))?;
            // Where a valve has only just begun to starve the parabola looks on the side where nothing is felt.
            let next = if starves && !bettered { drier(&seen, at_best) } else { lowest(&mut seen, at_best) };
            let Some(found) = next.and_then(&mut at) else { break };
            seen.push((found.0, found.1.misfit));
            bettered = found.1.misfit < least;
            if bettered {
                best = Some(found);
            }
        }
        best.map(|(_, fitted)| fitted)
    }
}

/// Halfway from the best place to the next that was seen above it.
fn drier(seen: &[(f64, f64)], best: f64) -> Option<f64> {
    let above = seen.iter().map(|(x, _)| *x).filter(|x| *x > best + 1e-3).min_by(f64::total_cmp)?;
    Some(0.5 * (best + above))
}

/// The lowest place of the parabola through the best place seen and its neighbours; none where it is no new one.
fn lowest(seen: &mut [(f64, f64)], best: f64) -> Option<f64> {
    seen.sort_by(|a, b| a.0.total_cmp(&b.0));
    let middle = seen.iter().position(|(x, _)| (*x - best).abs() < 1e-12)?;
    let left = middle.checked_sub(1).map(|at| seen[at])?;
    let (b, fb) = seen[middle];
    let Some(&(c, fc)) = seen.get(middle + 1) else { return Some(0.5 * (left.0 + b)) };
    let (a, fa) = left;
    let (p, q) = ((b - a) * (fb - fc), (b - c) * (fb - fa));
    let turn = p - q;
    let mut x = if turn.abs() < 1e-12 { 0.5 * (a + c) } else { b - 0.5 * ((b - a) * p - (b - c) * q) / turn };
    if !(x > a && x < c) {
        x = 0.5 * (b + if c - b > b - a { c } else { a });
    }
    ((x - b).abs() > 1e-3 * (c - a) && (c - a) > 1e-4).then_some(x)
}

/// How much every reading changes with what is uncertain in common, each column one standard deviation: what belongs to a set alone,
/// and the coefficients of the chiller.
fn columns(case: &Case, healthy: &Prediction, bands: [Option<f64>; 2], readings: &[Weighed]) -> [Vec<DVector<f64>>; 2] {
    let moved = |case: &Case| -> Option<DVector<f64>> {
        let circuitry = case.circuitry().ok()?;
        let prediction = case.predict(&circuitry, &[], Some(healthy.near)).ok()?;
        let of = |one: &Weighed| {
            let [here, there] = [healthy, &prediction].map(|prediction| prediction.of(one.taken.reading));
            here.zip(there).map_or(0.0, |(here, there)| there - here)
        };
        Some(DVector::from_iterator(readings.len(), readings.iter().map(of)))
    };
    let alone = |what: Reading, by: f64| {
        let of = |one: &Weighed| if one.taken.reading == what { by } else { 0.0 };
        DVector::from_iterator(readings.len(), readings.iter().map(of))
    };
    let with = |change: &dyn Fn(&mut Case)| {
        let mut case = case.clone();
        change(&mut case);
        moved(&case)
    };
    let mut own = Vec::new();
    let outdoor = bands[0].unwrap_or(0.6);
    own.push(with(&|case| case.condition.outdoor_K += outdoor).unwrap_or_else(|| DVector::zeros(readings.len())));
    if !case.air_at_coil {
        own.extend(with(&|case| case.condition.recirculation_K += RECIRCULATION));
    }
    own.extend(with(&|case| match &mut case.circuit.evaporator.evaporating {
        Evaporating::Approach { leaving, .. } => {
            *leaving = Temperature::from_kelvin(leaving.kelvin() + bands[1].unwrap_or(SETPOINT[0]));
        }
        Evaporating::Held(held) => *held = Temperature::from_kelvin(held.kelvin() + SETPOINT[1]),
    }));
    // What ratings at full flow leave open where part of it flows.
    let missing = 1.0 - case.condition.share;
    if missing > 0.0 {
        own.extend(with(&|case| case.base.evaporator *= 1.0 - PART_LOAD[0] * missing));
        own.extend(with(&|case| case.base.short_K -= PART_LOAD[1] * missing));
    }
    own.push(alone(Reading::DischargeDrop, LOSSES * healthy.of(Reading::DischargeDrop).unwrap_or(0.0)));
    own.push(alone(Reading::DischargeTemperature, SHELL * healthy.lift_K));
    let difference = |one: Reading, other: Reading| healthy.of(one).zip(healthy.of(other)).map_or(0.0, |(a, b)| a - b);
    own.push(alone(Reading::AirOff, FLOWS * difference(Reading::AirOff, Reading::AirOn)));
    // More fluid than the job says is warmed by less.
    let flow = |by: f64| alone(Reading::FluidFlow, by * healthy.of(Reading::FluidFlow).unwrap_or(0.0));
    let warmed = alone(Reading::EnteringFluid, FLOWS * difference(Reading::EnteringFluid, Reading::LeavingFluid));
    own.push(flow(FLOWS) - warmed);
    own.push(flow(FLUID));
    let zero = || DVector::zeros(readings.len());
    let coefficients = (0..6).map(|k| moved(&shifted(case, k, 1.0)).unwrap_or_else(zero)).collect();
    [own, coefficients]
}

fn own_covariance(own: &[DVector<f64>], readings: &[Weighed]) -> DMatrix<f64> {
    let variances = readings.iter().map(|one| one.deviation * one.deviation);
    let mut all = DMatrix::from_diagonal(&DVector::from_iterator(readings.len(), variances));
    for column in own {
        all += column * column.transpose();
    }
    all
}

/// The covariance of all readings, and its column of the outdoor air.
fn whole_covariance(
    case: &Case,
    healthy: &Prediction,
    bands: [Option<f64>; 2],
    coefficients: &Coefficients,
    readings: &[Weighed],
) -> (DMatrix<f64>, Option<DVector<f64>>) {
    let [own, common] = columns(case, healthy, bands, readings);
    let common = DMatrix::from_columns(&common) * &coefficients.root;
    let outdoor = own.first().cloned();
    (own_covariance(&own, readings) + &common * common.transpose(), outdoor)
}

/// The coefficients that a set from when the chiller ran well tells, by least squares about the job's:
/// P = (W^-2 + J^T R^-1 J)^-1, mean = P J^T R^-1 r, W how wide the job leaves each.
pub fn learned(case: &Case, readings: Vec<Weighed>, bands: [Option<f64>; 2], unknown: Unknown) -> Option<Coefficients> {
    let circuitry = case.circuitry().ok()?;
    let healthy = case.predict(&circuitry, &[], None).ok()?;
    let readings: Vec<Weighed> = readings.into_iter().filter(|one| healthy.of(one.taken.reading).is_some()).collect();
    let [own, common] = columns(case, &healthy, bands, &readings);
    let jacobian = DMatrix::from_columns(&common);
    let inverse = Cholesky::new(own_covariance(&own, &readings))?.inverse();
    let known = widths(unknown).map(|width| 1.0 / (width * width));
    let normal = DMatrix::from_diagonal(&DVector::from_row_slice(&known)) + jacobian.transpose() * &inverse * &jacobian;
    let covariance = Cholesky::new(normal)?.inverse();
    let of = |one: &Weighed| one.taken.value - healthy.of(one.taken.reading).unwrap_or(one.taken.value);
    let residual = DVector::from_iterator(readings.len(), readings.iter().map(of));
    let mean = &covariance * jacobian.transpose() * inverse * residual;
    let root = Cholesky::new(covariance)?.l();
    let mut kept = [0.0; 6];
    for ((kept, mean), width) in kept.iter_mut().zip(mean.iter()).zip(widths(unknown)) {
        *kept = mean.clamp(-4.0 * width, 4.0 * width);
    }
    Some(Coefficients { mean: kept, root })
}

/// A reading with the weight of its accuracy (95 %).
pub fn weighed(taken: Taken, accuracy: f64) -> Weighed {
    Weighed { taken, deviation: deviation(accuracy, taken.step) }
}
