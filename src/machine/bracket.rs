//! Bracketing of a head: the discharge pressure between the lowest and the highest, the evaporating temperature inside. Slower than
//! Broyden's method, and it says why there is no balance.

use super::balance::Circuitry;
use super::condition::{Condition, Head};
use super::outcome::{Balance, Near, Solution, Unbalanced};
use super::search::{MAXIMUM_EVALUATIONS, STRIDE};
use crate::solve::{NoRoot, bracketed};
use std::cell::Cell;

/// Width, in the logarithm of the discharge pressure, to which it brackets before Broyden's method goes on...
const BRACKET_WIDTH: f64 = 1e-6;
/// ...and the residual from which there is no root within that but a jump.
const JUMP: f64 = 1e-3;
/// Steps in which the search comes down from the top of the range to a head that can be solved...
const BRACKET_STEPS: u32 = 16;
/// ...and halvings of the last step, towards the highest one.
const HALVINGS: u32 = 5;

impl Circuitry<'_> {
    /// Whether even the lowest discharge pressure is higher than a head's balance: there is none then, whatever a line takes.
    pub(super) fn falls_to_suction(&self, condition: &Condition, head: Head) -> Option<Unbalanced> {
        let above = Bracket::new(self, condition, head).above_suction();
        above.err().filter(|cause| matches!(cause, Unbalanced::FallsToSuction { .. }))
    }

    /// Bracketing of the discharge pressure, the evaporating temperature bracketed inside.
    pub(super) fn bracket(&self, condition: &Condition, head: Head, evaluations: u32) -> Result<Solution, Unbalanced> {
        let bracket = Bracket::new(self, condition, head);
        let top = self.fluid.range().pressure_max * 0.999_9;
        let bottom = bracket.above_suction()?;
        let or_higher = |ln_p: f64| bracket.or_higher(ln_p);
        let high = Self::highest(top.ln(), bottom.ln(), |ln_p| bracket.head(ln_p))?;
        match bracketed(or_higher, bottom.ln(), high, BRACKET_WIDTH) {
            Ok(root) => {
                let near = Some(Near::from(&bracket.balance(root.x)?));
                let mut evaluations = evaluations + MAXIMUM_EVALUATIONS - bracket.left.get();
                if root.residual.abs() <= JUMP
                    && let Some((balance, residual)) =
                        self.quick(condition, head, near, (&mut None, &STRIDE), &mut evaluations)
                {
                    return Ok(Self::solution(balance, head, residual, evaluations));
                }
                // A jump: just below, a line loses all its pressure.
                let below = bracket.balance(root.x - 2.0 * BRACKET_WIDTH);
                Err(below.err().unwrap_or(Unbalanced::NotConverged))
            }
            Err(NoRoot::Function(cause)) => Err(cause),
            Err(NoRoot::NotBracketed { .. } | NoRoot::NotConverged { .. }) => Err(Unbalanced::NotConverged),
        }
    }

    /// The upper end of the bracket: the top of the range, or, where the gas would leave it there, the highest head that can be
    /// solved. Where even that falls short, what stops it is told.
    fn highest(top: f64, bottom: f64, head_at: impl Fn(f64) -> Result<f64, Unbalanced>) -> Result<f64, Unbalanced> {
        let mut stopped: Option<Unbalanced> = None;
        let down = (top - bottom) / f64::from(BRACKET_STEPS);
        for step in 0..BRACKET_STEPS {
            let ln_p = top - down * f64::from(step);
            match head_at(ln_p) {
                Ok(enough) if enough >= 0.0 => return Ok(ln_p),
                Ok(_) => {
                    let Some(stopped) = stopped else { return Err(Unbalanced::NeverCondenses { top_Pa: top.exp() }) };
                    let (mut solved, mut unsolved) = (ln_p, ln_p + down);
                    for _ in 0..HALVINGS {
                        let middle = 0.5 * (solved + unsolved);
                        match head_at(middle) {
                            Ok(enough) if enough >= 0.0 => return Ok(middle),
                            Ok(_) => solved = middle,
                            Err(_) => unsolved = middle,
                        }
                    }
                    return Err(stopped);
                }
                Err(Unbalanced::NotConverged) => break,
                // Of several causes a line that is too small is the one to tell.
                Err(cause) if matches!(stopped, None | Some(Unbalanced::Range(_) | Unbalanced::NoRefrigeration(_))) => {
                    stopped = Some(cause);
                }
                Err(_) => {}
            }
        }
        Err(stopped.unwrap_or(Unbalanced::NotConverged))
    }
}

/// Heads of a condition by the logarithm of the discharge pressure.
struct Bracket<'a> {
    circuitry: &'a Circuitry<'a>,
    condition: &'a Condition,
    head: Head,
    /// Evaluations that may be made.
    left: Cell<u32>,
    /// The evaporating temperature found last, K.
    near: Cell<f64>,
}

impl<'a> Bracket<'a> {
    fn new(circuitry: &'a Circuitry<'a>, condition: &'a Condition, head: Head) -> Self {
        let rated = circuitry.compressor.rated().capacity_W * condition.share;
        let near = Cell::new(circuitry.target_evaporating(rated, condition));
        Self { circuitry, condition, head, left: Cell::new(MAXIMUM_EVALUATIONS), near }
    }

    fn balance(&self, ln_p: f64) -> Result<Balance, Unbalanced> {
        let start = (self.head, self.near.get());
        let balance = self.circuitry.evaporating_at(ln_p.exp(), self.condition, start, &self.left)?;
        self.near.set(balance.evaporating_K);
        Ok(balance)
    }

    fn head(&self, ln_p: f64) -> Result<f64, Unbalanced> {
        self.balance(ln_p).map(|balance| self.circuitry.residuals(&balance, self.condition, self.head)[0])
    }

    /// The same; a line that loses all its pressure requires a higher head.
    fn or_higher(&self, ln_p: f64) -> Result<f64, Unbalanced> {
        match self.head(ln_p) {
            Err(Unbalanced::Line { .. }) => Ok(-1.0),
            other => other,
        }
    }

    /// The lowest discharge pressure at which a balance is looked for, Pa.
    ///
    /// # Errors
    /// [`Unbalanced::FallsToSuction`] where that is higher than the balance's.
    fn above_suction(&self) -> Result<f64, Unbalanced> {
        let bottom = self.circuitry.minimum_discharge(self.condition)?;
        if self.or_higher(bottom.ln())? > 0.0 {
            let evaporating_K = self.circuitry.warmest_evaporating(self.condition);
            return Err(Unbalanced::FallsToSuction { evaporating_K });
        }
        Ok(bottom)
    }
}
