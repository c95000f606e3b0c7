//! What is wrong with a chiller that was right when it was made.

use crate::refrigerant::{OutOfRange, Refrigerant};

/// What is wrong with a chiller; [`Wrong::NOTHING`] leaves it as it is rated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wrong {
    /// Share of the air that the condenser's fans give at most.
    pub air: f64,
    /// Conductance of the condenser's surface over the rated.
    pub coil: f64,
    /// Partial pressure of a gas that does not condense in coil and receiver, Pa: heat goes over at the saturation of the rest,
    /// pressures are total.
    pub gas_Pa: f64,
    /// Share of the coil's surface that holds liquid backed up by too much charge: as good there as the rest of the coil, and
    /// gone from the condensing zone (assumption).
    pub backed_up: f64,
    /// By so much less the liquid leaves the coil subcooled for want of charge, K; past all of it, gas leaves with it.
    pub short_K: f64,
    /// Whether the receiver has run empty, so that gas that leaves the coil passes on with the liquid.
    pub empty: bool,
    /// Share of the flow that the compressors displace which returns at discharge enthalpy to the suction.
    pub leak: f64,
    /// Displacement of the compressors over the rated.
    pub displacement: f64,
    /// Efficiency of the compressors over the rated.
    pub efficiency: f64,
    /// Opening of the valve over wide open.
    pub valve: f64,
    /// Transfer units of the evaporator over the rated.
    pub evaporator: f64,
    /// Flow of the fluid over the rated.
    pub fluid: f64,
    /// Whether the leaving fluid is known where the valve starves the evaporator; else what enters is.
    pub leaving_as_read: bool,
}

impl Wrong {
    /// All is as rated.
    pub const NOTHING: Self = Self {
        air: 1.0,
        coil: 1.0,
        gas_Pa: 0.0,
        backed_up: 0.0,
        short_K: 0.0,
        empty: false,
        leak: 0.0,
        displacement: 1.0,
        efficiency: 1.0,
        valve: 1.0,
        evaporator: 1.0,
        fluid: 1.0,
        leaving_as_read: false,
    };

    /// Enthalpy of what leaves the coil at a pressure, boiling at a temperature and subcooled by so much with the right charge (Pa, K), J/kg.
    pub(super) fn leaves(
        &self,
        fluid: &Refrigerant,
        pressure: f64,
        [boils, subcooling]: [f64; 2],
    ) -> Result<f64, OutOfRange> {
        let left = subcooling - self.short_K;
        if left >= 0.0 {
            return fluid.liquid_enthalpy(pressure, boils - left);
        }
        Ok(fluid.liquid_enthalpy(pressure, boils)? - left * fluid.bubble_p(pressure)?.cp)
    }
}
