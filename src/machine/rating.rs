//! The balance at the compressors' rating, to which the losses of the parts belong.

use super::balance::Circuitry;
use super::compressor::Running;
use super::outcome::{Balance, Unbalanced};
use crate::job::LineId;
use crate::line::{Receivers, Setting};

impl Circuitry<'_> {
    /// The rating, held at the compressor's own temperatures: capacity and power are the rated ones. Lines lose pressure
    /// but no heat, and no receiver counts.
    ///
    /// # Errors
    /// [`Unbalanced`] where a line does not carry the rated flow.
    pub fn rating(&self) -> Result<Balance, Unbalanced> {
        self.rating.clone()
    }

    pub(super) fn solve_rating(&self) -> Result<Balance, Unbalanced> {
        let rated = *self.compressor.rated();
        let running =
            self.compressor.run(self.fluid, rated.evaporating_K, rated.superheat_K, rated.discharge_Pa, 1.0)?;
        // The compressor model gives the rated flow and power back but for rounding; the rating is exact.
        let running = Running {
            flow_kg_s: rated.flow_kg_s,
            power_W: rated.power_W,
            discharge_J_kg: running.suction.enthalpy + rated.power_W / rated.flow_kg_s,
            ..running
        };
        let setting = Setting {
            flow_kg_s: rated.flow_kg_s,
            outdoor_K: rated.condensing_K,
            heat: false,
            reference: None,
            film_kg_m3: self.film_kg_m3,
            gas_Pa: 0.0,
            receivers: Receivers::Hold,
        };
        let discharge_line = self.integrate_discharge(&running, &setting)?;
        let leaving_pressure = discharge_line.pressure_Pa - self.circuit.condenser.pressure_drop.value;
        let leaving_enthalpy = rated.liquid_J_kg;
        self.fluid.charted(leaving_pressure, leaving_enthalpy)?;
        let liquid_line = self
            .liquid
            .run(leaving_pressure, leaving_enthalpy, &setting)
            .map_err(|fault| Unbalanced::of_line(LineId::Liquid, fault, 1.0))?;
        Ok(Balance {
            evaporating_K: rated.evaporating_K,
            condensing_K: self.fluid.dew_temperature(discharge_line.pressure_Pa)?,
            line_flow_kg_s: rated.flow_kg_s,
            leaving_Pa: leaving_pressure,
            leaving_J_kg: leaving_enthalpy,
            capacity_W: rated.capacity_W,
            rejection_W: rated.flow_kg_s * (discharge_line.enthalpy_J_kg - leaving_enthalpy),
            running,
            discharge_line,
            liquid_line: Some(liquid_line),
        })
    }
}
