//! Two causes at once: which pairs promise most, and the sizes of both.

use super::cause::Cause;
use super::fit::{Fitted, Fitter};
use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{DVector, Dyn, Matrix2, OMatrix, OVector, U2, Vector2, storage::Owned};
use rayon::prelude::*;

impl Fitter<'_> {
    /// The misfit of two causes at once as their effects add up, with the shares of both.
    fn together(&self, one: &Fitted, other: &Fitted) -> (f64, [f64; 2]) {
        let none = self.whitened(&self.healthy);
        let [a, b] = [one, other].map(|fitted| &none - self.whitened(&fitted.prediction));
        let normal = Matrix2::new(a.dot(&a), a.dot(&b), a.dot(&b), b.dot(&b));
        let right = Vector2::new(a.dot(&none), b.dot(&none));
        let Some(found) = normal.lu().solve(&right) else { return (f64::INFINITY, [1.0; 2]) };
        if found[0] <= 0.05 || found[1] <= 0.05 {
            return (f64::INFINITY, [1.0; 2]);
        }
        ((none - a * found[0] - b * found[1]).norm_squared(), [found[0], found[1]])
    }

    /// The pairs of those that promise most, fitted: as their effects add up, those within a margin of the best.
    pub fn pairs(&self, singles: &[Fitted], margin: f64, how_many: usize) -> Vec<Fitted> {
        let mut promising = Vec::new();
        for (i, one) in singles.iter().enumerate() {
            for other in &singles[..i] {
                if opposed(one, other) {
                    continue;
                }
                let (misfit, shares) = self.together(one, other);
                promising.push((misfit, shares, one, other));
            }
        }
        promising.retain(|(misfit, ..)| misfit.is_finite());
        promising.sort_by(|a, b| a.0.total_cmp(&b.0));
        let best = promising.first().map_or(f64::INFINITY, |(misfit, ..)| *misfit);
        promising.retain(|(misfit, ..)| *misfit < best + margin);
        promising.truncate(how_many);
        promising.into_par_iter().filter_map(|(_, shares, one, other)| self.pair(one, other, shares)).collect()
    }

    fn pair(&self, one: &Fitted, other: &Fitted, shares: [f64; 2]) -> Option<Fitted> {
        let [(a, size_a), (b, size_b)] = [*one.causes.first()?, *other.causes.first()?];
        let maximum = [a, b].map(|cause| self.case.maximum(cause));
        let maximum = [maximum[0]?, maximum[1]?];
        let start =
            Vector2::new((size_a * shares[0] / maximum[0]).min(1.0), (size_b * shares[1] / maximum[1]).min(1.0));
        let pair = Pair { fitter: self, causes: [a, b], maximum, at: start };
        let (pair, _) = LevenbergMarquardt::new().with_patience(4).with_tol(1e-3).minimize(pair);
        let causes = pair.causes();
        let prediction = self.predict(&causes, None)?;
        let misfit = self.misfit(&prediction);
        misfit.is_finite().then_some(Fitted { causes, sensor: None, misfit, prediction })
    }
}

/// Whether nothing can have both.
fn opposed(one: &Fitted, other: &Fitted) -> bool {
    let has = |fit: &Fitted, cause: Cause| fit.causes.iter().any(|(one, _)| *one == cause);
    let both = |a: Cause, b: Cause| (has(one, a) && has(other, b)) || (has(one, b) && has(other, a));
    both(Cause::Overcharge, Cause::Undercharge)
        || both(Cause::ValveOpen, Cause::ValveShut)
        || both(Cause::HeadControlOpen, Cause::HeadControlShut)
}

/// Two causes whose sizes are looked for together, each as a share of its range.
struct Pair<'a, 'b> {
    fitter: &'b Fitter<'a>,
    causes: [Cause; 2],
    maximum: [f64; 2],
    at: Vector2<f64>,
}

impl Pair<'_, '_> {
    fn causes(&self) -> Vec<(Cause, f64)> {
        self.causes_at(&self.at)
    }

    fn causes_at(&self, at: &Vector2<f64>) -> Vec<(Cause, f64)> {
        (0..2).map(|k| (self.causes[k], at[k].clamp(0.005, 1.0) * self.maximum[k])).collect()
    }

    fn whitened(&self, at: &Vector2<f64>) -> Option<DVector<f64>> {
        let prediction = self.fitter.predict(&self.causes_at(at), None)?;
        Some(self.fitter.whitened(&prediction))
    }
}

impl LeastSquaresProblem<f64, Dyn, U2> for Pair<'_, '_> {
    type ParameterStorage = Owned<f64, U2>;
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, U2>;

    fn set_params(&mut self, at: &OVector<f64, U2>) {
        self.at = *at;
    }

    fn params(&self) -> OVector<f64, U2> {
        self.at
    }

    fn residuals(&self) -> Option<OVector<f64, Dyn>> {
        self.whitened(&self.at)
    }

    fn jacobian(&self) -> Option<OMatrix<f64, Dyn, U2>> {
        let here = self.whitened(&self.at)?;
        let column = |k: usize| {
            let step = if self.at[k] > 0.9 { -0.02 } else { 0.02 };
            let mut at = self.at;
            at[k] = at[k].clamp(0.005, 1.0) + step;
            Some((self.whitened(&at)? - &here) / step)
        };
        let columns = [column(0)?, column(1)?];
        Some(OMatrix::<f64, Dyn, U2>::from_columns(&columns))
    }
}
