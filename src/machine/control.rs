//! The head-pressure control: what it does at a condition, and the regimes between which it chooses.

use super::balance::{Balance, Circuitry, Condition, FREE, Head, Near, Solution, Unbalanced};
use super::coil::Surroundings;
use super::search::{IN_A_ROW, Slopes};
use crate::job::HeadControl;
use crate::physics::flooding::flooded_share;
use crate::units::{Temperature, kelvins};

/// Solves a head from a solution nearby.
type SolveHead<'a> = dyn FnMut(Head, Option<Near>) -> Result<Solution, Unbalanced> + 'a;

/// What a condition is left to by the head-pressure control. Within each everything runs smoothly with outdoor temperature and
/// share; where one gives way to another there is a kink.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Regime {
    /// The condensing temperature is held.
    Held,
    /// All of the coil at full air.
    CoilAlone,
    /// The fans as slow as they go.
    FansAtLeast,
}

/// What the head-pressure control does.
#[derive(Clone, Copy, Debug)]
pub struct Acting {
    /// The regime.
    pub regime: Regime,
    /// Share of the air that it leaves.
    pub air_share: f64,
    /// Share of the coil that it floods.
    pub flooded_share: f64,
}

impl Acting {
    const NOT: Self = Self { regime: Regime::CoilAlone, air_share: 1.0, flooded_share: 0.0 };
}

impl Circuitry<'_> {
    /// What the head-pressure control makes of a condition, each head solved by `solve` from a solution nearby. Where that is so near
    /// (`in_a_row`) that its condensing temperature tells, the coil alone is tried first.
    pub(super) fn controlled(
        &self,
        condition: &Condition,
        guess: Option<Near>,
        in_a_row: bool,
        solve: &mut SolveHead<'_>,
    ) -> Result<Solution, Unbalanced> {
        let Some((setpoint, around)) = self.held_against(condition) else { return solve(FREE, guess) };
        if guess.is_some_and(|near| in_a_row && near.condensing >= setpoint)
            && let Ok(free) = solve(FREE, guess)
            && free.balance.condensing >= setpoint
        {
            return Ok(free);
        }
        let mut held = match solve(Head::Held(setpoint), guess) {
            Ok(held) => held,
            Err(cause) => {
                let uncontrolled = solve(FREE, guess);
                return match uncontrolled {
                    Ok(solution) if solution.balance.condensing >= setpoint => Ok(solution),
                    _ => Err(cause),
                };
            }
        };
        let acting = self.act(self.reserve(&held.balance, setpoint, &around), setpoint, &around);
        match acting.regime {
            Regime::Held => {
                (held.air_share, held.flooded_share) = (acting.air_share, acting.flooded_share);
                Ok(held)
            }
            Regime::CoilAlone => solve(FREE, guess),
            Regime::FansAtLeast => solve(self.head(acting.regime, setpoint), Some(Near::from(&held.balance))),
        }
    }

    /// The condensing temperature that the control is to hold, K.
    fn hold(&self, condition: &Condition) -> Option<f64> {
        match self.circuit.condenser.head_control {
            HeadControl::Fans { setpoint, .. } | HeadControl::Flooding { setpoint } if condition.control => {
                Some(setpoint.kelvin())
            }
            _ => None,
        }
    }

    /// The same with the air round the coil, where that is colder: against warmer air nothing is held.
    fn held_against(&self, condition: &Condition) -> Option<(f64, Surroundings)> {
        let around = Self::surroundings(condition);
        self.hold(condition).filter(|setpoint| around.air_on < *setpoint).map(|setpoint| (setpoint, around))
    }

    fn head(&self, regime: Regime, setpoint: f64) -> Head {
        match (regime, &self.circuit.condenser.head_control) {
            (Regime::Held, _) => Head::Held(setpoint),
            (Regime::FansAtLeast, HeadControl::Fans { minimum_air, .. }) => {
                Head::Coil { air_share: *minimum_air, dry_share: 1.0 }
            }
            (Regime::CoilAlone | Regime::FansAtLeast, _) => FREE,
        }
    }

    /// What all of the coil at full air can reject at the condensing temperature that is held, over what it must.
    fn reserve(&self, held: &Balance, setpoint: f64, around: &Surroundings) -> f64 {
        let condenses = self.condenses_at(setpoint).unwrap_or(around.air_on);
        let dry_share = 1.0 - self.wrong.backed_up;
        self.coil.per_kelvin(around, 1.0) * dry_share * (condenses - around.air_on) / held.rejection
    }

    /// What the head-pressure control does at a reserve.
    fn act(&self, reserve: f64, setpoint: f64, around: &Surroundings) -> Acting {
        if reserve < 1.0 {
            return Acting::NOT;
        }
        match self.circuit.condenser.head_control {
            HeadControl::None => Acting::NOT,
            HeadControl::Fans { minimum_air, .. } => {
                let air_share = self.coil.air_share_for(self.coil.per_kelvin(around, 1.0) / reserve, around);
                if air_share >= minimum_air {
                    Acting { regime: Regime::Held, air_share, flooded_share: 0.0 }
                } else {
                    Acting { regime: Regime::FansAtLeast, air_share: minimum_air, flooded_share: 0.0 }
                }
            }
            HeadControl::Flooding { .. } => {
                let whole = kelvins((setpoint - around.air_on) / reserve);
                let [setpoint, air_on] = [setpoint, around.air_on].map(Temperature::from_kelvin);
                // The hold is above the air: `held_against`.
                let flooded_share = flooded_share(whole, 1.0, setpoint, air_on).unwrap_or(0.0);
                Acting { regime: Regime::Held, air_share: 1.0, flooded_share }
            }
        }
    }

    /// Solves a condition in one regime, whether or not the control chooses it, with the reserve that it has there (endless where
    /// nothing is held); where the search begins and how the residuals change are as in [`Circuitry::solve_along`].
    ///
    /// # Errors
    /// [`Unbalanced`] says why there is none.
    pub fn solve_in(
        &self,
        regime: Regime,
        condition: &Condition,
        near: Option<Near>,
        slopes: &mut Slopes,
    ) -> Result<(Solution, f64), Unbalanced> {
        let setpoint = self.hold(condition);
        let head = self.head(regime, setpoint.unwrap_or(f64::NAN));
        let solution = self.solve_head(condition, head, near, slopes.of(head), IN_A_ROW)?;
        let reserve = setpoint.map_or(f64::INFINITY, |setpoint| {
            self.reserve(&solution.balance, setpoint, &Self::surroundings(condition))
        });
        Ok((solution, reserve))
    }

    /// The regime that tells which: the head held where there is a control, else the coil alone.
    #[must_use]
    pub fn first_regime(&self) -> Regime {
        match self.circuit.condenser.head_control {
            HeadControl::None => Regime::CoilAlone,
            HeadControl::Fans { .. } | HeadControl::Flooding { .. } => Regime::Held,
        }
    }

    /// What the head-pressure control does at a condition whose balance with the head held has this reserve.
    #[must_use]
    pub fn acting(&self, condition: &Condition, reserve: f64) -> Acting {
        self.held_against(condition).map_or(Acting::NOT, |(setpoint, around)| self.act(reserve, setpoint, &around))
    }
}
