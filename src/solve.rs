//! Root finding: bracketed in one unknown, by Broyden's method in several. An answer carries its residual and what it took; not
//! converged is an error.

/// A root.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Root {
    /// Where.
    pub x: f64,
    /// The function there.
    pub residual: f64,
    /// How many evaluations it took.
    pub evaluations: u32,
}

/// Why there is no root.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoRoot<E> {
    /// Same sign at both ends.
    #[error("no root between {low} ({at_low}) and {high} ({at_high})")]
    NotBracketed {
        /// Lower end.
        low: f64,
        /// Function there.
        at_low: f64,
        /// Upper end.
        high: f64,
        /// Function there.
        at_high: f64,
    },
    /// Still not within tolerance.
    #[error("not converged after {evaluations} evaluations: {residual} left at {x}")]
    NotConverged {
        /// Last place.
        x: f64,
        /// Function there.
        residual: f64,
        /// How many evaluations were made.
        evaluations: u32,
    },
    /// The function itself failed.
    #[error("{0}")]
    Function(E),
}

/// The root of `f` between `low` and `high`, where its signs differ, to `tolerance` in x.
///
/// T. R. Chandrupatla, "A new hybrid quadratic/bisection algorithm for finding the zero of a nonlinear function
/// without using derivatives", Advances in Engineering Software 28:145-149, 1997 (from memory).
///
/// # Errors
/// [`NoRoot`]: signs that do not differ, a function that fails, 200 evaluations without convergence.
pub fn bracketed<E>(
    mut f: impl FnMut(f64) -> Result<f64, E>,
    low: f64,
    high: f64,
    tolerance: f64,
) -> Result<Root, NoRoot<E>> {
    let (mut b, mut a) = (low, high);
    let mut fb = f(b).map_err(NoRoot::Function)?;
    let mut fa = f(a).map_err(NoRoot::Function)?;
    let mut evaluations = 2;
    if fb == 0.0 {
        return Ok(Root { x: b, residual: 0.0, evaluations });
    }
    if fa == 0.0 {
        return Ok(Root { x: a, residual: 0.0, evaluations });
    }
    if !(fa.is_finite() && fb.is_finite()) || (fa > 0.0) == (fb > 0.0) {
        return Err(NoRoot::NotBracketed { low, at_low: fb, high, at_high: fa });
    }
    // a is the newest end, b the other, c the one before; t the share of the way from a to b.
    let mut t = 0.5;
    while evaluations < 200 {
        let x = a + t * (b - a);
        let fx = f(x).map_err(NoRoot::Function)?;
        evaluations += 1;
        let (c, fc);
        if (fx > 0.0) == (fa > 0.0) {
            (c, fc) = (a, fa);
        } else {
            (c, fc) = (b, fb);
            (b, fb) = (a, fa);
        }
        (a, fa) = (x, fx);
        let (best, at_best) = if fa.abs() < fb.abs() { (a, fa) } else { (b, fb) };
        let reach = (2.0 * f64::EPSILON * best.abs() + tolerance) / (b - a).abs();
        if reach > 0.5 || at_best == 0.0 {
            return Ok(Root { x: best, residual: at_best, evaluations });
        }
        let xi = (a - b) / (c - b);
        let phi = (fa - fb) / (fc - fb);
        t = if phi * phi < xi && (1.0 - phi) * (1.0 - phi) < 1.0 - xi {
            fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
        } else {
            0.5
        };
        t = t.clamp(reach, 1.0 - reach);
    }
    Err(NoRoot::NotConverged { x: a, residual: fa, evaluations })
}

/// What the values at `nodes` count for at a place: the weights of the polynomial through them (Lagrange).
#[must_use]
pub fn lagrange(nodes: &[f64], place: f64) -> Vec<f64> {
    (0..nodes.len()).map(|i| weight(nodes, i, place)).collect()
}

/// What the value at one of the nodes counts for.
fn weight(nodes: &[f64], of: usize, place: f64) -> f64 {
    let others = nodes.iter().enumerate().filter(|(j, _)| *j != of);
    others.map(|(_, other)| (place - other) / (nodes[of] - other)).product()
}

/// How a function of several unknowns changes with each of them: rows are residuals, columns unknowns.
pub type Jacobian<const N: usize> = [[f64; N]; N];

/// A root of several unknowns.
#[derive(Clone, Debug)]
pub struct Found<const N: usize, T> {
    /// Where.
    pub x: [f64; N],
    /// What the function carries beside its residuals there.
    pub carried: T,
    /// The residuals.
    pub residuals: [f64; N],
    /// Steps that were made.
    pub steps: u32,
}

/// How Broyden's method goes.
#[derive(Clone, Copy, Debug)]
pub struct Stride<const N: usize> {
    /// By how much each unknown is moved for the Jacobian.
    pub nudge: [f64; N],
    /// How far each may go in one step.
    pub longest: [f64; N],
    /// Largest residual at a root.
    pub tolerance: f64,
    /// Steps at most.
    pub maximum: u32,
}

/// The greatest of the residuals by size.
#[must_use]
pub fn largest<const N: usize>(residuals: &[f64; N]) -> f64 {
    residuals.iter().fold(0.0, |maximum, r| f64::max(maximum, r.abs()))
}

/// How often a step of Broyden's method to where the function has no value is halved.
const HALVINGS: u32 = 4;
/// After so many steps without coming to half of the residual the Jacobian has gone astray, and is made anew by so much smaller
/// differences.
const ASTRAY: u32 = 6;
const FINER: f64 = 1e-2;

/// Broyden's method from `start`; none where it does not arrive or the function has no value. Without a Jacobian it is made by
/// differences; it is handed back as updated on the way.
///
/// C. G. Broyden, "A class of methods for solving nonlinear simultaneous equations", Mathematics of Computation 19:577-593,
/// 1965 (from memory).
pub fn broyden<const N: usize, T>(
    mut at: impl FnMut(&[f64; N]) -> Option<(T, [f64; N])>,
    start: [f64; N],
    stride: &Stride<N>,
    known: &mut Option<Jacobian<N>>,
) -> Option<Found<N, T>> {
    let mut at = |x: &[f64; N]| at(x).filter(|(_, r)| r.iter().all(|r| r.is_finite()));
    let mut x = start;
    let (mut carried, mut r) = at(&x)?;
    let mut j = match known.take() {
        Some(j) => j,
        None if largest(&r) < stride.tolerance => return Some(Found { x, carried, residuals: r, steps: 0 }),
        None => differences(|x| at(x).map(|(_, r)| r), &x, &r, &stride.nudge)?,
    };
    let (mut best, mut since) = (largest(&r), 0);
    for steps in 0..stride.maximum {
        if largest(&r) < stride.tolerance {
            *known = Some(j);
            return Some(Found { x, carried, residuals: r, steps });
        }
        if largest(&r) < 0.5 * best {
            (best, since) = (largest(&r), 0);
        }
        if since == ASTRAY {
            (best, since) = (largest(&r), 0);
            j = differences(|x| at(x).map(|(_, r)| r), &x, &r, &stride.nudge.map(|nudge| FINER * nudge))?;
        }
        since += 1;
        let mut step = linear(&j, &r)?;
        for (step, longest) in step.iter_mut().zip(stride.longest) {
            *step = -step.clamp(-longest, longest);
        }
        let (mut halvings, mut found) = (0, None);
        while found.is_none() && halvings <= HALVINGS {
            if halvings > 0 {
                step = step.map(|step| 0.5 * step);
            }
            halvings += 1;
            found = at(&std::array::from_fn(|k| x[k] + step[k]));
        }
        let (next, changed) = found?;
        x = std::array::from_fn(|k| x[k] + step[k]);
        let norm: f64 = step.iter().map(|step| step * step).sum();
        for i in 0..N {
            let along: f64 = j[i].iter().zip(&step).map(|(j, step)| j * step).sum();
            let miss = changed[i] - r[i] - along;
            for k in 0..N {
                j[i][k] += miss * step[k] / norm;
            }
        }
        (carried, r) = (next, changed);
    }
    None
}

/// The Jacobian at a place where the residuals are `r`, each unknown moved by its nudge.
pub fn differences<const N: usize>(
    mut at: impl FnMut(&[f64; N]) -> Option<[f64; N]>,
    x: &[f64; N],
    r: &[f64; N],
    nudge: &[f64; N],
) -> Option<Jacobian<N>> {
    let mut j = [[0.0; N]; N];
    for k in 0..N {
        let mut moved = *x;
        moved[k] += nudge[k];
        let changed = at(&moved)?;
        for i in 0..N {
            j[i][k] = (changed[i] - r[i]) / nudge[k];
        }
    }
    Some(j)
}

/// The solution of a x = b, by elimination with the largest pivot of each column; none where there is none.
#[must_use]
pub fn linear<const N: usize>(a: &Jacobian<N>, b: &[f64; N]) -> Option<[f64; N]> {
    let (mut a, mut b) = (*a, *b);
    for k in 0..N {
        let pivot = (k..N).max_by(|i, j| a[*i][k].abs().total_cmp(&a[*j][k].abs()))?;
        a.swap(k, pivot);
        b.swap(k, pivot);
        for i in k + 1..N {
            let factor = a[i][k] / a[k][k];
            let pivot_row = a[k];
            for (entry, pivot) in a[i].iter_mut().zip(pivot_row).skip(k) {
                *entry -= factor * pivot;
            }
            b[i] -= factor * b[k];
        }
    }
    let mut x = [0.0; N];
    for k in (0..N).rev() {
        let known: f64 = (k + 1..N).map(|l| a[k][l] * x[l]).sum();
        x[k] = (b[k] - known) / a[k][k];
    }
    x.iter().all(|x| x.is_finite()).then_some(x)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn finds_the_real_root_of_newtons_cubic() {
        // x3 - 2x - 5 = 0 has the root 2.0945514815 (Wallis 1685, Newton's example; from memory).
        let root = bracketed(|x| Ok::<_, ()>(x.powi(3) - 2.0 * x - 5.0), 2.0, 3.0, 1e-12).unwrap();
        assert_relative_eq!(root.x, 2.094_551_481_5, epsilon = 1e-10);
        assert!(root.evaluations < 15, "{root:?}");
    }

    #[test]
    fn says_when_the_signs_do_not_differ() {
        assert!(matches!(bracketed(|x| Ok::<_, ()>(x * x + 1.0), -1.0, 1.0, 1e-9), Err(NoRoot::NotBracketed { .. })));
        assert!(matches!(bracketed(|_| Ok::<_, ()>(f64::NAN), -1.0, 1.0, 1e-9), Err(NoRoot::NotBracketed { .. })));
    }

    #[test]
    fn hands_on_a_failure_of_the_function() {
        assert_eq!(bracketed(|_| Err::<f64, _>("no"), 0.0, 1.0, 1e-9), Err(NoRoot::Function("no")));
    }

    #[test]
    fn ends_at_a_jump() {
        let root = bracketed(|x| Ok::<_, ()>(if x < 0.3 { -1.0 } else { 1.0 }), 0.0, 1.0, 1e-9).unwrap();
        assert_relative_eq!(root.x, 0.3, epsilon = 1e-8);
    }

    /// Rosenbrock's valley: x = 1, y = 1 (from memory).
    #[expect(clippy::unnecessary_wraps, reason = "as a function to be solved has it")]
    fn valley(x: &[f64; 2]) -> Option<((), [f64; 2])> {
        Some(((), [10.0 * (x[1] - x[0] * x[0]), 1.0 - x[0]]))
    }

    const STRIDE: Stride<2> = Stride { nudge: [1e-6; 2], longest: [1.0; 2], tolerance: 1e-12, maximum: 60 };

    #[test]
    fn broyden_finds_the_bottom_of_the_valley_and_hands_its_jacobian_on() {
        let mut jacobian = None;
        let found = broyden(valley, [-1.2, 1.0], &STRIDE, &mut jacobian).unwrap();
        assert_relative_eq!(found.x[0], 1.0, epsilon = 1e-11);
        assert_relative_eq!(found.x[1], 1.0, epsilon = 1e-10);
        let again = broyden(valley, [1.001, 1.0], &STRIDE, &mut jacobian).unwrap();
        assert!(again.steps < found.steps, "{again:?}");
    }

    #[test]
    fn broyden_says_nothing_where_there_is_no_root() {
        let never = |x: &[f64; 1]| Some(((), [x[0] * x[0] + 1.0]));
        let stride = Stride { nudge: [1e-6], longest: [1.0], tolerance: 1e-12, maximum: 30 };
        assert!(broyden(never, [0.5], &stride, &mut None).is_none());
        assert!(broyden(|_: &[f64; 1]| None::<((), [f64; 1])>, [0.5], &stride, &mut None).is_none());
    }

    #[test]
    fn linear_equations_by_hand() {
        // 2y = 4, x + y = 3.
        assert_eq!(linear(&[[0.0, 2.0], [1.0, 1.0]], &[4.0, 3.0]), Some([1.0, 2.0]));
        assert_eq!(linear(&[[1.0, 2.0], [2.0, 4.0]], &[1.0, 3.0]), None);
    }
}
