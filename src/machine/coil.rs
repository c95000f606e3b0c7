//! The condenser's coil: what it rejects at a condensing temperature, and what air or flooding a duty leaves.

use crate::job::Condenser;
use crate::physics::atmosphere;
use crate::units::{Pressure, Temperature};

/// Exponent of the pressure ratio by altitude of a coil whose air flow is not known
/// (published capacity factors 0.95, 0.90, 0.85 and 0.80 at 2500, 5000, 7500 and 10 000 ft give 0.56 to 0.60).
const ALTITUDE_EXPONENT: f64 = 0.58;
/// Exponent of the air share of a coil whose air flow is not known (assumption).
const AIR_EXPONENT: f64 = 0.7;
/// Exponent of the air-side conductance by mass flow (assumption).
const CONDUCTANCE_EXPONENT: f64 = 0.55;
/// Exponent of the liquid zone's transfer units by flow (assumption).
const LIQUID_FLOW_EXPONENT: f64 = -0.5;
/// Density of air at an air-flow rating, kg/m3 (standard air).
const STANDARD_AIR: f64 = 1.2;
/// Below this no air is looked for, K.
const COLDEST_AIR: f64 = 150.0;

/// A condenser's coil with its air.
#[derive(Clone, Copy, Debug)]
pub struct Coil {
    /// Rated rejection over rated difference, W/K.
    rated_W_K: f64,
    rated_Pa: f64,
    air: Option<Air>,
    /// Transfer units of the liquid zone at the rating, and the flow there, kg/s.
    liquid: [f64; 2],
}

#[derive(Clone, Copy, Debug)]
struct Air {
    /// Volume flow at full speed, m3/s.
    volume_m3_s: f64,
    /// Mass flow at the rating, kg/s.
    rated_kg_s: f64,
    /// Conductance at the rating, W/K.
    rated_W_K: f64,
}

/// Air round a coil.
#[derive(Clone, Copy, Debug)]
pub struct Surroundings {
    /// Atmospheric pressure, Pa.
    pub atmosphere_Pa: f64,
    /// Air on the coil, K.
    pub air_on_K: f64,
}

impl Surroundings {
    /// Density of the air on the coil, kg/m3.
    fn density(&self) -> f64 {
        let [pressure, air_on] = [self.atmosphere_Pa, self.air_on_K];
        atmosphere::air_density(Pressure::from_pascals(pressure), Temperature::from_kelvin(air_on)).value
    }
}

/// Why a condenser is none.
#[derive(Clone, Copy, Debug, thiserror::Error)]
pub enum CoilFault {
    /// The air would have to leave warmer than the refrigerant.
    #[error(
        "{flow_m3_s:.2} m3/s of air warmed by the whole difference of {difference_K:.1} K takes up {maximum_W:.0} W, less than the rejection of {rejection_W:.0} W: air flow, rejection and difference do not belong together"
    )]
    TooLittleAir {
        /// Air flow, m3/s.
        flow_m3_s: f64,
        /// Rated difference, K.
        difference_K: f64,
        /// Rated rejection, W.
        rejection_W: f64,
        /// The most that the air can take up, W.
        maximum_W: f64,
    },
    /// The liquid would have to leave colder than the air.
    #[error(
        "{subcooling_K:.1} K of subcooling is not to be had: at the rating the liquid boils at only {maximum_K:.1} K above the air on the coil"
    )]
    TooMuchSubcooling {
        /// As rated, K.
        subcooling_K: f64,
        /// Bubble temperature less air on the coil, K.
        maximum_K: f64,
    },
    /// The altitude of the rating is outside the standard atmosphere's layer.
    #[error("the condenser's rated altitude: {0}")]
    Altitude(#[from] atmosphere::AltitudeOutOfRange),
}

impl Coil {
    /// A coil from its rating.
    ///
    /// # Errors
    /// [`CoilFault`] where rejection, difference and air flow can't belong together.
    pub fn new(condenser: &Condenser) -> Result<Self, CoilFault> {
        let (rejection, difference) = (condenser.rejection.value, condenser.td.value);
        let rated_pressure = atmosphere::pressure(condenser.rated_altitude)?.pascals();
        let sea_level = atmosphere::SEA_LEVEL.pascals();
        let air = condenser
            .air_flow
            .map(|flow| {
                let mass = flow.value * STANDARD_AIR * rated_pressure / sea_level;
                let capacity_rate = mass * atmosphere::AIR_CP;
                let effectiveness = rejection / (capacity_rate * difference);
                if effectiveness >= 1.0 {
                    return Err(CoilFault::TooLittleAir {
                        flow_m3_s: flow.value,
                        difference_K: difference,
                        rejection_W: rejection,
                        maximum_W: capacity_rate * difference,
                    });
                }
                // Uniform condensing temperature: effectiveness = 1 - exp(-NTU).
                Ok(Air {
                    volume_m3_s: flow.value,
                    rated_kg_s: mass,
                    rated_W_K: -capacity_rate * (1.0 - effectiveness).ln(),
                })
            })
            .transpose()?;
        Ok(Self { rated_W_K: rejection / difference, rated_Pa: rated_pressure, air, liquid: [0.0, 1.0] })
    }

    /// With its liquid zone rated: `subcooling` K at `flow` kg/s, the liquid boiling `warmer` K above the air on the coil.
    ///
    /// effectiveness = subcooling / warmer; NTU = -ln(1 - effectiveness)
    ///
    /// # Errors
    /// [`CoilFault::TooMuchSubcooling`] where the liquid would leave as cold as the air.
    pub fn with_liquid_zone(self, subcooling: f64, warmer: f64, flow: f64) -> Result<Self, CoilFault> {
        if subcooling > 0.0 && subcooling >= warmer {
            return Err(CoilFault::TooMuchSubcooling { subcooling_K: subcooling, maximum_K: warmer });
        }
        let units = if subcooling > 0.0 { -(-subcooling / warmer).ln_1p() } else { 0.0 };
        Ok(Self { liquid: [units, flow], ..self })
    }

    /// Subcooling of the liquid that leaves at a flow (kg/s) and a share of the air, boiling `warmer` K above the air on the coil, K.
    ///
    /// NTU goes with the flow to the power -0.5, and with the air share to that of the coil's conductance: 0.55 where the air flow
    /// is known, else 0.7 (assumptions).
    #[must_use]
    pub fn subcooling(&self, warmer: f64, flow: f64, air_share: f64) -> f64 {
        self.subcooling_with(warmer, flow, air_share, [1.0, 0.0])
    }

    /// The same of a share of the liquid zone, with further transfer units.
    pub(super) fn subcooling_with(&self, warmer: f64, flow: f64, air_share: f64, [zone, more]: [f64; 2]) -> f64 {
        let [rated_units, rated_flow] = self.liquid;
        let units = rated_units * (flow / rated_flow).powf(LIQUID_FLOW_EXPONENT) * air_share.powf(self.exponent());
        (warmer * -(-(zone * units + more)).exp_m1()).max(0.0)
    }

    fn exponent(&self) -> f64 {
        if self.air.is_some() { CONDUCTANCE_EXPONENT } else { AIR_EXPONENT }
    }

    /// The same coil where its fans give at most a share of the air, and its surface conducts a share of what it did.
    #[must_use]
    pub fn worn(&self, air: f64, conducts: f64) -> Self {
        let Self { rated_W_K: per_kelvin, rated_Pa: rated_pressure, liquid: [units, flow], .. } = *self;
        let liquid = [units * conducts * air.powf(self.exponent()), flow];
        match self.air {
            None => Self { rated_W_K: per_kelvin * conducts * air.powf(AIR_EXPONENT), liquid, ..*self },
            Some(of) => {
                let rated_conductance = of.rated_W_K * conducts;
                let air = Some(Air { volume_m3_s: of.volume_m3_s * air, rated_W_K: rated_conductance, ..of });
                Self { rated_W_K: per_kelvin, rated_Pa: rated_pressure, air, liquid }
            }
        }
    }

    /// Heat that warms the air on the coil by 1 K at a share of its flow, W/K, where the air flow is known.
    #[must_use]
    pub fn air_capacity_rate(&self, around: &Surroundings, air_share: f64) -> Option<f64> {
        self.air.map(|air| air.volume_m3_s * air_share * around.density() * atmosphere::AIR_CP)
    }

    /// Atmospheric pressure at the altitude of the rating, Pa.
    #[must_use]
    pub fn rated_pressure(&self) -> f64 {
        self.rated_Pa
    }

    /// Heat rejected per kelvin between condensing (dew) and air on the coil, W/K, at a share of the air flow.
    ///
    /// Without a known air flow: rated rejection / rated difference x (p/p rated)^0.58 x share^0.7. With it:
    /// effectiveness x air heat capacity rate, effectiveness = 1 - exp(-UA/C), UA going with the air's mass flow to the
    /// power 0.55, volume flow constant at constant speed, density by altitude and temperature.
    ///
    /// Source: `ahri-460`, for the terms.
    #[must_use]
    pub fn per_kelvin(&self, around: &Surroundings, air_share: f64) -> f64 {
        match &self.air {
            None => {
                self.rated_W_K
                    * (around.atmosphere_Pa / self.rated_Pa).powf(ALTITUDE_EXPONENT)
                    * air_share.powf(AIR_EXPONENT)
            }
            Some(air) => {
                let mass = air.volume_m3_s * around.density() * air_share;
                let rate = mass * atmosphere::AIR_CP;
                let conductance = air.rated_W_K * (mass / air.rated_kg_s).powf(CONDUCTANCE_EXPONENT);
                rate * (1.0 - (-conductance / rate).exp())
            }
        }
    }

    /// The air share at which the coil rejects `per_kelvin` W/K, at most 1: the inverse of [`Coil::per_kelvin`].
    #[must_use]
    pub fn air_share_for(&self, per_kelvin: f64, around: &Surroundings) -> f64 {
        let full = self.per_kelvin(around, 1.0);
        if per_kelvin >= full {
            return 1.0;
        }
        if per_kelvin <= 0.0 {
            return 0.0;
        }
        if self.air.is_none() {
            return (per_kelvin / full).powf(1.0 / AIR_EXPONENT);
        }
        crate::solve::bracketed(
            |share| Ok::<_, std::convert::Infallible>(self.per_kelvin(around, share) / per_kelvin - 1.0),
            1e-6,
            1.0,
            1e-14,
        )
        .map_or(0.0, |root| root.x)
    }

    /// The air-on temperature (K) at which the coil at full air rejects `duty` W at `condensing` K; none where the search for it
    /// does not arrive.
    #[must_use]
    pub fn air_on_for(&self, duty: f64, condensing: f64, atmosphere: f64) -> Option<f64> {
        // Density makes the conductance depend on the answer, weakly: a fixed point.
        let mut air_on = condensing - duty / self.rated_W_K;
        for _ in 0..50 {
            let next =
                condensing - duty / self.per_kelvin(&Surroundings { atmosphere_Pa: atmosphere, air_on_K: air_on }, 1.0);
            if (next - air_on).abs() < 1e-11 || next < COLDEST_AIR {
                return Some(next);
            }
            air_on = next;
        }
        // Air so cold that its density outweighs the difference goes back and forth.
        let over = |air_on: f64| {
            let rejects = self.per_kelvin(&Surroundings { atmosphere_Pa: atmosphere, air_on_K: air_on }, 1.0)
                * (condensing - air_on);
            Ok::<_, std::convert::Infallible>(rejects / duty - 1.0)
        };
        crate::solve::bracketed(over, COLDEST_AIR, condensing, 1e-11).ok().map(|root| root.x)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::machine::evaporator::{DRY_SHARE, MAXIMUM_SUPERHEAT};
    use crate::machine::valve::{ELECTRONIC_RESERVE, FIXED_RESERVE, THERMOSTATIC_RESERVE};

    #[test]
    fn what_is_told_as_assumed_is_what_is_used() {
        let told = |kind: &str, key: &str| {
            let text = include_str!("../../examples/bottling-hall.toml");
            let text = text.replace("air_flow = \"44000 cfm\"\n", "").replace("minimum_drop = \"60 psi\"\n", "");
            let text = text.replace("kind = \"electronic\"", &format!("kind = \"{kind}\""));
            let job = crate::job::read("hall.toml", &text, std::path::Path::new(".")).unwrap();
            job.assumptions.iter().find(|a| a.key.ends_with(key)).unwrap().clone()
        };
        let values = [
            ("electronic", "valve.minimum_drop", ELECTRONIC_RESERVE),
            ("thermostatic", "valve.minimum_drop", THERMOSTATIC_RESERVE),
            ("fixed", "valve.minimum_drop", FIXED_RESERVE),
            ("fixed", "dry surface", DRY_SHARE),
            ("fixed", "condenser air", AIR_EXPONENT),
            ("fixed", "liquid zone", LIQUID_FLOW_EXPONENT),
            ("fixed", "condenser.pressure_drop law", crate::machine::balance::COIL_LOSS_EXPONENT),
        ];
        for (kind, key, used) in values {
            assert!((told(kind, key).value - used).abs() < 1e-12, "{kind} {key}");
        }
        assert!(told("fixed", "dry surface").why.contains(&format!("no more than {MAXIMUM_SUPERHEAT} of")));
        assert!(told("fixed", "condenser air").why.contains(&format!("{ALTITUDE_EXPONENT} with")));
        assert!(told("fixed", "liquid zone").why.contains(&format!("{AIR_EXPONENT} with air")));
    }
}
