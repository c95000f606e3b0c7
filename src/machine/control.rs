//! The head-pressure control: what it does at a condition.

use super::balance::Circuitry;
use super::coil::Surroundings;
use super::condition::{Condition, FREE, Head};
use super::outcome::{Balance, Near, Solution, Unbalanced};
use super::search::IN_A_ROW;
use crate::job::HeadControl;
use crate::physics::flooding::flooded_share;
use crate::units::{Temperature, kelvins};

/// By how much the coil without the lines stays below a setpoint that it never reaches with them, K.
const BY_FAR: f64 = 3.0;

/// Solves a head from a solution nearby.
type SolveHead<'a> = dyn FnMut(Head, Option<Near>) -> Result<Solution, Unbalanced> + 'a;

/// What the head-pressure control does. Within each everything runs smoothly with outdoor temperature and share; where one gives way
/// to another there is a kink.
#[derive(Clone, Copy, Debug)]
enum Acting {
    /// The condensing temperature is held by the share of the air that is left and the share of the coil that is flooded.
    Held { air_share: f64, flooded_share: f64 },
    /// All of the coil, at full air or with the fans as slow as they go.
    Coil { air_share: f64 },
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
        if guess.is_some_and(|near| in_a_row && near.condensing_K >= setpoint)
            && let Ok(free) = solve(FREE, guess)
            && free.balance.condensing_K >= setpoint
        {
            return Ok(free);
        }
        let mut held = match solve(Head::Held(setpoint), guess) {
            Ok(held) => held,
            Err(cause) if self.never_reaches(setpoint, condition, guess) => return Err(cause),
            Err(cause) => {
                let uncontrolled = solve(FREE, guess);
                return match uncontrolled {
                    Ok(solution) if solution.balance.condensing_K >= setpoint => Ok(solution),
                    _ => Err(cause),
                };
            }
        };
        let acting = self.act(self.reserve(&held.balance, setpoint, &around), setpoint, &around);
        match acting {
            Acting::Held { air_share, flooded_share } => {
                (held.air_share, held.flooded_share) = (air_share, flooded_share);
                Ok(held)
            }
            Acting::Coil { air_share } if air_share < 1.0 => {
                solve(Head::Coil { air_share, dry_share: 1.0 }, Some(Near::from(&held.balance)))
            }
            Acting::Coil { .. } => solve(FREE, guess),
        }
    }

    /// Whether all of the coil at full air stays below a setpoint by far: even without the lines, which take some of the flow.
    fn never_reaches(&self, setpoint: f64, condition: &Condition, guess: Option<Near>) -> bool {
        let bare = Condition { lines: false, ..*condition };
        match self.solve_head(&bare, FREE, guess, &mut None, IN_A_ROW) {
            Ok(free) => free.balance.condensing_K < setpoint - BY_FAR,
            Err(cause) => matches!(cause, Unbalanced::FallsToSuction { .. }),
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
        self.hold(condition).filter(|setpoint| around.air_on_K < *setpoint).map(|setpoint| (setpoint, around))
    }

    /// What all of the coil at full air can reject at the condensing temperature that is held, over what it must; nothing where
    /// the liquid would boil in colder air only.
    fn reserve(&self, held: &Balance, setpoint: f64, around: &Surroundings) -> f64 {
        if self.boils(held) < around.air_on_K {
            return 0.0;
        }
        let condenses = self.condenses_at(setpoint).unwrap_or(around.air_on_K);
        let dry_share = 1.0 - self.wrong.backed_up;
        self.coil.per_kelvin(around, 1.0) * dry_share * (condenses - around.air_on_K) / held.rejection_W
    }

    /// What the head-pressure control does at a reserve.
    fn act(&self, reserve: f64, setpoint: f64, around: &Surroundings) -> Acting {
        if reserve < 1.0 {
            return Acting::Coil { air_share: 1.0 };
        }
        match self.circuit.condenser.head_control {
            HeadControl::None => Acting::Coil { air_share: 1.0 },
            HeadControl::Fans { minimum_air, .. } => {
                let air_share = self.coil.air_share_for(self.coil.per_kelvin(around, 1.0) / reserve, around);
                if air_share >= minimum_air {
                    Acting::Held { air_share, flooded_share: 0.0 }
                } else {
                    Acting::Coil { air_share: minimum_air }
                }
            }
            HeadControl::Flooding { .. } => {
                let whole = kelvins((setpoint - around.air_on_K) / reserve);
                let [setpoint, air_on] = [setpoint, around.air_on_K].map(Temperature::from_kelvin);
                // The hold is above the air: `held_against`.
                let flooded_share = flooded_share(whole, 1.0, setpoint, air_on).unwrap_or(0.0);
                Acting::Held { air_share: 1.0, flooded_share }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Circuit;
    use crate::machine::testing::{FILM, at, circuit};

    fn holding(setpoint: f64) -> Circuit {
        let setpoint = Temperature::from_kelvin(setpoint);
        circuit(|circuit| circuit.condenser.head_control = HeadControl::Fans { setpoint, minimum_air: 0.05 })
    }

    /// At 290 K, with a head that no search can hold: what comes of it where the coil alone condenses at that temperature; and how often that
    /// was solved.
    fn unheld(setpoint: f64, alone: f64) -> (Result<f64, Unbalanced>, u32) {
        let circuit = holding(setpoint);
        let chiller = Circuitry::new(&circuit, FILM).unwrap();
        let mut free = chiller.solve(&at(290.0), None).unwrap();
        free.balance.condensing_K = alone;
        let mut times = 0;
        let condition = Condition { control: true, ..at(290.0) };
        let found = chiller.controlled(&condition, None, false, &mut |head, _| match head {
            Head::Held(_) => Err(Unbalanced::NotConverged),
            Head::Coil { .. } => {
                times += 1;
                Ok(free.clone())
            }
        });
        (found.map(|solution| solution.balance.condensing_K), times)
    }

    #[test]
    fn where_a_head_cannot_be_held_the_coil_alone_does_if_it_condenses_as_hot() {
        let circuit = holding(400.0);
        let chiller = Circuitry::new(&circuit, FILM).unwrap();
        let bare = chiller.solve(&Condition { lines: false, ..at(290.0) }, None).unwrap().balance.condensing_K;
        let setpoint = bare + 2.0;
        for hot in [setpoint, setpoint + 1.0] {
            let (found, _) = unheld(setpoint, hot);
            assert!(found.is_ok_and(|condensing| (condensing - hot).abs() < 1e-12));
        }
        let (found, times) = unheld(setpoint, setpoint - 0.1);
        assert!(matches!(found, Err(Unbalanced::NotConverged)) && times == 1);
        // Where the coil without the lines stays 3 K below, it is not even tried.
        assert_eq!(unheld(bare + 2.9, 400.0).1, 1);
        let (found, times) = unheld(bare + 3.1, 400.0);
        assert!(found.is_err() && times == 0);
    }
}
