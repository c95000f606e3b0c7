//! A circuit prepared for solving, its rating, and all states that follow from an evaporating temperature and a discharge
//! pressure.

use super::MachineFault;
use super::coil::{Coil, Surroundings};
use super::compressor::{Compressor, Running};
use super::condition::{Condition, Head};
use super::evaporator::Evaporator;
use super::outcome::{Balance, Unbalanced};
use super::valve::{Opening, RatedFlow};
use super::wrong::Wrong;
use crate::job::{Circuit, Evaporating, HeadControl, LineId};
use crate::line::{Integrated, Integrator, Medium, Receivers, Reference, Setting, Work, has_through_receiver};
use crate::refrigerant::{OutOfRange, Refrigerant};
use std::borrow::Cow;

/// Exponent of the condenser's refrigerant-side loss by flow.
pub(super) const COIL_LOSS_EXPONENT: f64 = 1.8;
/// What compressors and coil take at a state, in steps along a line.
const EVALUATION: u64 = 6;

/// A circuit prepared for solving.
#[derive(Clone, Debug)]
pub struct Circuitry<'a> {
    /// Its refrigerant.
    pub fluid: &'static Refrigerant,
    /// As drawn.
    pub circuit: &'a Circuit,
    /// Its compressors.
    pub compressor: Compressor,
    /// Its coil.
    pub coil: Coil,
    /// Its valve, wide open.
    pub(super) opening: Opening,
    /// Its evaporator, where the fluid gives the evaporating temperature.
    pub(super) evaporator: Option<Evaporator>,
    /// Through-receiver: it gives the coil's subcooling away.
    drained: bool,
    /// What is wrong with it.
    pub(super) wrong: Wrong,
    discharge: Integrator<'a>,
    pub(super) liquid: Integrator<'a>,
    /// What the liquid line takes, J/kg, where a search holds it.
    liquid_heat_J_kg: Option<f64>,
    /// Flows and densities at the rating, to which the parts' losses belong.
    discharge_reference: Reference,
    liquid_reference: Reference,
    /// The balance at the rating.
    pub(super) rating: Result<Balance, Unbalanced>,
    /// Density of the oil film, kg/m3.
    pub(super) film_kg_m3: f64,
    /// What was done so far to solve it, clones with it.
    pub work: Work,
}

impl<'a> Circuitry<'a> {
    /// Prepares a circuit; `film` is the density of the oil film, kg/m3.
    ///
    /// # Errors
    /// [`MachineFault`] where compressor or condenser can't be rated.
    pub fn new(circuit: &'a Circuit, film: f64) -> Result<Self, MachineFault> {
        let fluid = crate::refrigerant::named(&circuit.refrigerant)
            .ok_or_else(|| MachineFault::Refrigerant(circuit.refrigerant.clone()))?;
        let compressor = Compressor::new(fluid, &circuit.compressors)?;
        let rated = *compressor.rated();
        let condenser = &circuit.condenser;
        let boils = fluid.bubble_temperature(rated.discharge_Pa - condenser.pressure_drop.value)?;
        let air_on = rated.condensing_K - condenser.td.value;
        let coil =
            Coil::new(condenser)?.with_liquid_zone(condenser.subcooling.value, boils - air_on, rated.flow_kg_s)?;
        let valve = RatedFlow {
            flow_kg_s: rated.flow_kg_s,
            condensing_Pa: rated.discharge_Pa,
            evaporating_Pa: fluid.dew_pressure(rated.evaporating_K)?,
            liquid_J_kg: rated.liquid_J_kg,
        };
        let evaporator = match circuit.evaporator.evaporating {
            Evaporating::Held(_) => None,
            Evaporating::Approach { leaving, approach, range } => {
                let superheat = circuit.evaporator.superheat.value;
                Some(Evaporator::new(leaving.kelvin(), [approach.value, range.value], superheat, rated.capacity_W))
            }
        };
        let work = Work::default();
        let mut this = Self {
            fluid,
            circuit,
            coil,
            opening: Opening::new(fluid, &circuit.valve, &valve)?,
            evaporator,
            compressor,
            drained: has_through_receiver(circuit),
            wrong: Wrong::NOTHING,
            discharge: Integrator::new(fluid, &circuit.discharge, Medium::Gas).counted(&work),
            liquid: Integrator::new(fluid, &circuit.liquid, Medium::Liquid).counted(&work),
            liquid_heat_J_kg: None,
            discharge_reference: Reference::default(),
            liquid_reference: Reference::default(),
            rating: Err(Unbalanced::NotConverged),
            film_kg_m3: film,
            work,
        };
        // A line too small for the rated flow is no reason to refuse the chiller: its parts then keep their losses by flow alone.
        let flow = this.compressor.rated().flow_kg_s;
        this.rating = this.solve_rating();
        let rated = this.rating.as_ref().ok();
        let reference = |integrated: Option<&Integrated>| {
            integrated.map_or_else(
                || Reference { flow_kg_s: flow, densities: Vec::new() },
                |integrated| Reference::of(flow, integrated),
            )
        };
        let discharge = reference(rated.map(|rated| &rated.discharge_line));
        let liquid = reference(rated.and_then(|rated| rated.liquid_line.as_ref()));
        (this.discharge_reference, this.liquid_reference) = (discharge, liquid);
        Ok(this)
    }

    /// The same circuit with something wrong.
    #[must_use]
    pub fn with(&self, wrong: &Wrong) -> Self {
        let mut this = self.clone();
        this.wrong = *wrong;
        this.coil = self.coil.worn(wrong.air, wrong.coil);
        this.compressor = self.compressor.clone().scaled(wrong.displacement, wrong.efficiency).leaking(wrong.leak);
        this.opening = self.opening.times(wrong.valve);
        this.evaporator = self.evaporator.map(|evaporator| evaporator.worn(wrong.evaporator, wrong.fluid));
        this
    }

    /// The temperature at which heat goes over where the saturation at the total pressure is `condensing`, K.
    pub(super) fn condenses_at(&self, condensing: f64) -> Result<f64, OutOfRange> {
        if self.wrong.gas_Pa <= 0.0 {
            return Ok(condensing);
        }
        self.fluid.dew_temperature(self.fluid.dew_pressure(condensing)? - self.wrong.gas_Pa)
    }

    fn share_of_rated(&self, flow: f64) -> f64 {
        flow / self.compressor.rated().flow_kg_s
    }

    fn setting<'b>(&self, flow: f64, condition: &Condition, reference: &'b Reference) -> Setting<'b> {
        let gas = self.wrong.gas_Pa;
        Setting {
            flow_kg_s: flow,
            outdoor_K: condition.outdoor_K,
            heat: condition.lines,
            reference: Some(reference),
            film_kg_m3: self.film_kg_m3,
            gas_Pa: gas,
            receivers: self.receivers(),
        }
    }

    /// What stands in the receivers: more charge than they hold backs up into the coil.
    fn receivers(&self) -> Receivers {
        match (self.wrong.empty, self.wrong.backed_up > 0.0) {
            (true, _) => Receivers::Empty,
            (false, true) => Receivers::Full,
            (false, false) => Receivers::Hold,
        }
    }

    pub(super) fn integrate_discharge(&self, running: &Running, setting: &Setting) -> Result<Integrated, Unbalanced> {
        let (p, h) = (running.discharge_Pa, running.discharge_J_kg);
        self.discharge
            .run(p, h, setting)
            .map_err(|fault| Unbalanced::of_line(LineId::Discharge, fault, self.share_of_rated(setting.flow_kg_s)))
    }

    /// Whether what the liquid line takes or gives comes to the balance.
    pub(super) fn liquid_heat_counts(&self, condition: &Condition) -> bool {
        condition.lines && self.liquid_heat_J_kg.is_none() && self.liquid.exchanges_heat()
    }

    /// The same circuit with a liquid line that takes so much heat, J/kg, whatever flows.
    pub(super) fn with_liquid_heat(&self, heat: f64) -> Self {
        Self { liquid_heat_J_kg: Some(heat), ..self.clone() }
    }

    /// The liquid line at a balance, integrated in full.
    ///
    /// # Errors
    /// [`Unbalanced`] where it leaves the refrigerant's range.
    pub fn integrate_liquid(&self, balance: &Balance, condition: &Condition) -> Result<Integrated, Unbalanced> {
        let setting = self.setting(balance.line_flow_kg_s, condition, &self.liquid_reference);
        self.liquid
            .run(balance.leaving_Pa, balance.leaving_J_kg, &setting)
            .map_err(|fault| Unbalanced::of_line(LineId::Liquid, fault, self.share_of_rated(setting.flow_kg_s)))
    }

    /// The same, as it was integrated for the balance where it was.
    ///
    /// # Errors
    /// [`Unbalanced`] where it leaves the refrigerant's range.
    pub fn liquid_line<'b>(
        &self,
        balance: &'b Balance,
        condition: &Condition,
    ) -> Result<Cow<'b, Integrated>, Unbalanced> {
        match &balance.liquid_line {
            Some(liquid) => Ok(Cow::Borrowed(liquid)),
            None => self.integrate_liquid(balance, condition).map(Cow::Owned),
        }
    }

    /// All states from an evaporating temperature and a discharge pressure, the valve feeding.
    pub(super) fn at(
        &self,
        evaporating: f64,
        discharge: f64,
        condition: &Condition,
        head: Head,
    ) -> Result<Balance, Unbalanced> {
        self.with_superheat(evaporating, self.superheat(evaporating, condition), discharge, condition, head)
    }

    /// Superheat where the valve feeds, K.
    fn superheat(&self, evaporating: f64, condition: &Condition) -> f64 {
        let set = self.circuit.evaporator.superheat.value;
        self.fluid_side(condition).map_or(set, |evaporator| evaporator.superheat(evaporating))
    }

    /// The evaporator, where the fluid gives the evaporating temperature.
    pub(super) fn fluid_side(&self, condition: &Condition) -> Option<&Evaporator> {
        self.evaporator.as_ref().filter(|_| condition.held_K.is_none())
    }

    /// All states from an evaporating temperature, a superheat and a discharge pressure.
    pub(super) fn with_superheat(
        &self,
        evaporating: f64,
        superheat: f64,
        discharge: f64,
        condition: &Condition,
        head: Head,
    ) -> Result<Balance, Unbalanced> {
        if self.work.is_spent() {
            return Err(Unbalanced::NotConverged);
        }
        self.work.add(EVALUATION);
        let fluid = self.fluid;
        let running = self.compressor.run(fluid, evaporating, superheat, discharge, condition.share)?;
        if !(running.flow_kg_s > 0.0 && running.power_W > 0.0) {
            return Err(Unbalanced::NoRefrigeration(
                "the compressor gives no flow there: the pressure ratio is beyond what is known of it",
            ));
        }
        let line_flow = (1.0 - condition.bypass) * running.flow_kg_s;
        let discharge_line = if condition.lines {
            self.integrate_discharge(&running, &self.setting(line_flow, condition, &self.discharge_reference))?
        } else {
            Integrated {
                pressure_Pa: running.discharge_Pa,
                enthalpy_J_kg: running.discharge_J_kg,
                heat_W: 0.0,
                runs: Vec::new(),
            }
        };
        let entering = (discharge_line.pressure_Pa, discharge_line.enthalpy_J_kg);
        let (leaving_pressure, leaving_enthalpy) = self.leaving(entering, line_flow, condition, head)?;
        let mut balance = Balance {
            evaporating_K: evaporating,
            condensing_K: fluid.dew_temperature(discharge_line.pressure_Pa)?,
            line_flow_kg_s: line_flow,
            leaving_Pa: leaving_pressure,
            leaving_J_kg: leaving_enthalpy,
            liquid_line: None,
            capacity_W: 0.0,
            rejection_W: line_flow * (discharge_line.enthalpy_J_kg - leaving_enthalpy),
            running,
            discharge_line,
        };
        let mut valve_enthalpy = leaving_enthalpy + self.liquid_heat_J_kg.unwrap_or(0.0);
        if self.liquid_heat_counts(condition) {
            let integrated = self.integrate_liquid(&balance, condition)?;
            valve_enthalpy = integrated.enthalpy_J_kg;
            balance.liquid_line = Some(integrated);
        }
        let running = &balance.running;
        balance.capacity_W = running.flow_kg_s * running.suction.enthalpy
            - line_flow * valve_enthalpy
            - condition.bypass * running.flow_kg_s * running.discharge_J_kg;
        Ok(balance)
    }

    /// Pressure and enthalpy of the liquid that leaves the condenser: subcooled by its liquid zone, saturated where a through receiver drains the coil.
    fn leaving(
        &self,
        (inlet_pressure, inlet_enthalpy): (f64, f64),
        line_flow: f64,
        condition: &Condition,
        head: Head,
    ) -> Result<(f64, f64), Unbalanced> {
        let condenser = &self.circuit.condenser;
        let pressure =
            inlet_pressure - condenser.pressure_drop.value * self.share_of_rated(line_flow).powf(COIL_LOSS_EXPONENT);
        let boils = self.fluid.bubble_temperature(pressure - self.wrong.gas_Pa)?;
        let around = Self::surroundings(condition);
        let enthalpy = |air_share: f64| {
            let warmer = boils - around.air_on_K;
            let subcooling = match (self.wrong.backed_up > 0.0, self.drained) {
                (false, true) => 0.0,
                (false, false) => self.coil.subcooling(warmer, line_flow, air_share),
                (true, drained) => {
                    let cp = self.fluid.bubble_p(pressure)?.cp;
                    let more = self.wrong.backed_up * self.coil.per_kelvin(&around, air_share) / (line_flow * cp);
                    self.coil.subcooling_with(warmer, line_flow, air_share, [f64::from(!drained), more])
                }
            };
            self.wrong.leaves(self.fluid, pressure, [boils, subcooling])
        };
        let (mut share, setpoint) = match head {
            Head::Coil { air_share, .. } => return Ok((pressure, enthalpy(air_share)?)),
            Head::Held(setpoint) => (1.0_f64, setpoint),
        };
        let by_fans = matches!(condenser.head_control, HeadControl::Fans { .. });
        if self.drained || !by_fans || setpoint <= around.air_on_K {
            return Ok((pressure, enthalpy(share)?));
        }
        // The fans' share follows from the heat, of which the liquid zone gives a small part: each turn leaves little of the error.
        let mut last = f64::INFINITY;
        for _ in 0..20 {
            let rejection = line_flow * (inlet_enthalpy - enthalpy(share)?);
            let warmer = self.condenses_at(setpoint)? - around.air_on_K;
            let next = self.coil.air_share_for(rejection / (warmer * (1.0 - self.wrong.backed_up)), &around);
            let step = (next - share).abs();
            share = next;
            if step < 1e-13 {
                return Ok((pressure, enthalpy(share)?));
            }
            last = step;
        }
        // Rounding may keep it from standing still; more than that is no answer.
        if last < 1e-9 { Ok((pressure, enthalpy(share)?)) } else { Err(Unbalanced::NotConverged) }
    }

    pub(super) fn target_evaporating(&self, capacity: f64, condition: &Condition) -> f64 {
        match (condition.held_K, self.circuit.evaporator.evaporating, &self.evaporator) {
            (Some(held), ..) => held,
            (None, Evaporating::Held(temperature), _) => temperature.kelvin(),
            (None, Evaporating::Approach { leaving, .. }, None) => leaving.kelvin(),
            (None, Evaporating::Approach { .. }, Some(evaporator)) => evaporator.evaporating(capacity),
        }
    }

    /// Residual of the head, relative.
    pub(super) fn residual_of_head(&self, balance: &Balance, condition: &Condition, head: Head) -> f64 {
        match head {
            Head::Held(condensing) => (balance.condensing_K - condensing) / condensing,
            Head::Coil { air_share, dry_share } => {
                let around = Self::surroundings(condition);
                let condenses = self.condenses_at(balance.condensing_K).unwrap_or(balance.evaporating_K);
                let dry_share = dry_share * (1.0 - self.wrong.backed_up);
                let warmer = condenses - around.air_on_K;
                let can = self.coil.per_kelvin(&around, air_share) * dry_share * warmer;
                let residual = can / balance.rejection_W - 1.0;
                if warmer > 0.0 { residual.min((self.boils(balance) - around.air_on_K) / warmer) } else { residual }
            }
        }
    }

    /// The temperature at which what leaves the coil boils, K. The air on the coil is never warmer: at light load the glide of a
    /// blend holds the head up.
    pub(super) fn boils(&self, balance: &Balance) -> f64 {
        self.fluid.bubble_temperature(balance.leaving_Pa - self.wrong.gas_Pa).unwrap_or(f64::INFINITY)
    }

    /// The air-on temperature (K) at which the coil at full air rejects the heat of a balance, no warmer than its liquid boils; none
    /// where the search for it does not arrive.
    pub(super) fn air_on_for(&self, balance: &Balance, atmosphere: f64) -> Option<f64> {
        let air_on = self.coil.air_on_for(balance.rejection_W, balance.condensing_K, atmosphere)?;
        Some(air_on.min(self.boils(balance)))
    }

    pub(super) fn surroundings(condition: &Condition) -> Surroundings {
        Surroundings {
            atmosphere_Pa: condition.atmosphere_Pa,
            air_on_K: condition.outdoor_K + condition.recirculation_K,
        }
    }

    /// Residuals: head, and evaporating temperature (both relative).
    pub(super) fn residuals(&self, balance: &Balance, condition: &Condition, head: Head) -> [f64; 2] {
        let target = self.target_evaporating(balance.capacity_W, condition);
        [self.residual_of_head(balance, condition, head), (balance.evaporating_K - target) / target]
    }

    /// The air-on temperature (K) at which the coil rejects the rating's heat at the altitude of its rating.
    #[must_use]
    pub fn rating_air_on(&self, balance: &Balance) -> Option<f64> {
        self.air_on_for(balance, self.coil.rated_pressure())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Path, ReceiverStyle};
    use crate::machine::condition::FREE;
    use crate::machine::testing::{FILM, at, circuit};

    /// Subcooling at the rated flow where that share of the coil holds liquid, of the whole difference to the air; and the transfer units
    /// of all of the coil for liquid, UA / (m cp).
    fn subcooled(style: ReceiverStyle, backed_up: f64) -> [f64; 2] {
        let circuit = circuit(|circuit| {
            for run in &mut circuit.liquid.runs {
                if let Path::Part(part) = &mut run.path {
                    part.receiver.iter_mut().for_each(|receiver| receiver.style = style);
                }
            }
        });
        let as_rated = Circuitry::new(&circuit, FILM).unwrap();
        let chiller = as_rated.with(&Wrong { backed_up, ..Wrong::NOTHING });
        let (condition, flow) = (at(305.0), chiller.compressor.rated().flow_kg_s);
        let (pressure, enthalpy) = chiller.leaving((2.8e6, 4.7e5), flow, &condition, FREE).unwrap();
        let boiling = chiller.fluid.bubble_p(pressure).unwrap();
        let boils = chiller.fluid.bubble_temperature(pressure).unwrap();
        let leaves = chiller.fluid.charted(pressure, enthalpy).unwrap().temperature;
        let units = chiller.coil.per_kelvin(&Circuitry::surroundings(&condition), 1.0) / (flow * boiling.cp);
        [(boils - leaves) / (boils - 308.0), units]
    }

    /// Transfer units of two shares of the surface add up: what each leaves of the difference, exp(-NTU), is multiplied.
    #[test]
    fn liquid_that_backs_up_before_a_receiver_is_subcooled_by_the_coil_that_it_floods_alone() {
        let [[zone, units], [both, _]] = [0.0, 0.1].map(|share| subcooled(ReceiverStyle::Surge, share));
        let [[none, _], [flooded, _]] = [0.0, 0.1].map(|share| subcooled(ReceiverStyle::Through, share));
        assert!(none.abs() < 1e-4 && zone > 0.1, "{none} {zone}");
        let left = (-0.1 * units).exp();
        assert!((1.0 - flooded - left).abs() < 1e-4, "{flooded} {units}");
        assert!((1.0 - both - (1.0 - zone) * left).abs() < 1e-4, "{zone} {both} {units}");
    }
}
