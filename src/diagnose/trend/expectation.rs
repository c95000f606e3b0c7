//! What a healthy machine would show at every moment of a trend: solved at a few outdoor temperatures, leaving fluids and shares, and
//! read off between them.

use crate::diagnose::case::Case;
use crate::diagnose::fit::Coefficients;
use crate::job::{Circuit, Job, Read, Reading, Runs, Set};
use crate::machine::Near;
use std::collections::BTreeMap;

/// Outdoor temperatures at which the machine is solved, K apart.
const OUTDOOR: f64 = 3.0;
/// Leaving fluids.
const LEAVING: f64 = 1.5;
/// Shares of displacement, where compressors do not step.
const SHARE: f64 = 0.1;

/// Where a machine is: what its readings depend on.
#[derive(Clone, Copy, Debug)]
pub struct At {
    /// Outdoor temperature, K.
    pub outdoor_K: f64,
    /// Leaving fluid, K; the job's where it is not logged.
    pub leaving_K: Option<f64>,
    /// Share of displacement.
    pub share: f64,
    /// Whether the controller calls for an open bypass; as the job says where it is not logged.
    pub bypass: Option<bool>,
}

/// What a healthy machine shows.
#[derive(Clone, Debug)]
pub struct Healthy {
    /// By the order of [`Reading::ALL`]; NaN where the job does not tell.
    values: Vec<f64>,
    /// Subcooling at the valve's inlet, K.
    pub margin_K: f64,
    /// Flow over the least flow that lifts oil, by riser, and its run.
    pub risers: Vec<(f64, usize)>,
}

impl Healthy {
    /// A reading, SI.
    pub fn of(&self, reading: Reading) -> Option<f64> {
        let at = Reading::ALL.iter().position(|other| *other == reading)?;
        self.values.get(at).copied().filter(|value| value.is_finite())
    }
}

/// Outdoor, leaving fluid and share as numbers of steps, and the bypass.
type Node = (i32, Option<i32>, i32, Option<bool>);

/// Healthy machines, solved as they are asked for.
pub struct Expectation<'a> {
    job: &'a Job,
    circuit: &'a Circuit,
    coefficients: &'a Coefficients,
    solved: BTreeMap<Node, Option<Healthy>>,
    near: Option<Near>,
    count: f64,
}

impl<'a> Expectation<'a> {
    pub fn new(job: &'a Job, circuit: &'a Circuit, coefficients: &'a Coefficients) -> Self {
        let count = f64::from(circuit.compressors.count.max(1));
        Self { job, circuit, coefficients, solved: BTreeMap::new(), near: None, count }
    }

    /// What a healthy machine shows there; none where it has no balance.
    pub fn at(&mut self, at: At) -> Option<Healthy> {
        let (outdoor, leaving) = (at.outdoor_K / OUTDOOR, at.leaving_K.map(|leaving| leaving / LEAVING));
        // Compressors that step are solved at their steps.
        let steps = at.share * self.count;
        let stepped = (steps - steps.round()).abs() < 0.02;
        let share = if stepped { steps.round() / self.count / SHARE } else { at.share / SHARE };
        let between = |x: f64| (x.floor(), x - x.floor());
        let (o, of_o) = between(outdoor);
        let (l, of_l) = leaving.map_or((f64::NAN, 0.0), between);
        let (s, of_s) = if stepped { (share, 0.0) } else { between(share) };
        let mut sum: Option<Healthy> = None;
        for [i, j, k] in [[0, 0, 0], [1, 0, 0], [0, 1, 0], [1, 1, 0], [0, 0, 1], [1, 0, 1], [0, 1, 1], [1, 1, 1]] {
            let weight = [(of_o, i), (of_l, j), (of_s, k)]
                .map(|(of, upper)| if upper == 1 { of } else { 1.0 - of })
                .iter()
                .product::<f64>();
            if weight <= 1e-9 {
                continue;
            }
            let corner = [o + f64::from(i), l + f64::from(j), s + f64::from(k)];
            let found = self.node(corner, at)?;
            match &mut sum {
                None => sum = Some(weighted(found, weight)),
                Some(sum) => {
                    for (sum, value) in sum.values.iter_mut().zip(&found.values) {
                        *sum += weight * value;
                    }
                    sum.margin_K += weight * found.margin_K;
                    for (sum, riser) in sum.risers.iter_mut().zip(&found.risers) {
                        sum.0 += weight * riser.0;
                    }
                }
            }
        }
        sum
    }

    fn node(&mut self, [outdoor, leaving, share]: [f64; 3], at: At) -> Option<&Healthy> {
        #[expect(clippy::cast_possible_truncation, reason = "numbers of steps")]
        let whole = |x: f64| x.round() as i32;
        let node = (whole(outdoor), at.leaving_K.map(|_| whole(leaving)), whole(1e3 * share), at.bypass);
        if !self.solved.contains_key(&node) {
            let at = At {
                outdoor_K: outdoor * OUTDOOR,
                leaving_K: at.leaving_K.map(|_| leaving * LEAVING),
                share: (share * SHARE).clamp(0.02, 1.0),
                bypass: at.bypass,
            };
            let found = self.solve(at);
            self.solved.insert(node, found);
        }
        self.solved.get(&node)?.as_ref()
    }

    fn solve(&mut self, at: At) -> Option<Healthy> {
        let mut set = Set { running: Some(Runs::Share(at.share)), bypass: at.bypass, ..Set::default() };
        let plain = |value: f64| Read { value, step: 0.0 };
        set.values.insert(Reading::Outdoor, plain(at.outdoor_K));
        set.values.extend(at.leaving_K.map(|leaving| (Reading::LeavingFluid, plain(leaving))));
        let case = self.coefficients.applied(&Case::new(self.job, self.circuit, &set));
        let circuitry = case.circuitry().ok()?;
        let prediction =
            case.predict(&circuitry, &[], self.near).or_else(|_| case.predict(&circuitry, &[], None)).ok()?;
        self.near = Some(prediction.near);
        let values = Reading::ALL.iter().map(|reading| prediction.of(*reading).unwrap_or(f64::NAN)).collect();
        Some(Healthy { values, margin_K: prediction.margin_K, risers: prediction.risers })
    }
}

fn weighted(healthy: &Healthy, weight: f64) -> Healthy {
    Healthy {
        values: healthy.values.iter().map(|value| weight * value).collect(),
        margin_K: weight * healthy.margin_K,
        risers: healthy.risers.iter().map(|(ratio, run)| (weight * ratio, *run)).collect(),
    }
}
