//! Bracketed root finding. An answer carries its residual and what it took; not converged is an error.

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
}
