//! What is tried of head control, condenser, cut-out and receiver.

use super::Try;
use crate::job::{BypassWhen, Circuit, HeadControl};
use crate::refrigerant;
use crate::remedies::change::as_written;
use crate::remedies::plant::{LARGER, LARGEST};
use crate::remedies::refit::{flood, grow, held};
use crate::survey::Point;
use crate::units::{Kind, Pressure, System, Temperature, factor};

/// The lowest of all settings that a cut-out can have over the hottest day's pressure: 5 % of it.
const CUTOUT_OVER_HOTTEST: f64 = 1.05;

/// How many times the air that holds a setpoint by an estimate is still tried.
const NEAR: f64 = 1.5;

impl Try<'_> {
    /// Head control that keeps the condensing temperature up: fans cut further, the setpoint warmer, flooding.
    pub(super) fn warmer(&self) -> Vec<Circuit> {
        let case = &self.case;
        let Some(point) = self.coldest() else { return Vec::new() };
        let floor = case.limit("fan_air_minimum").value;
        let drawn = self.circuit().condenser.head_control;
        let set = match drawn {
            HeadControl::None => None,
            HeadControl::Fans { setpoint, .. } | HeadControl::Flooding { setpoint } => Some(setpoint.kelvin()),
        };
        let mut holds: Vec<f64> = set.into_iter().collect();
        holds.extend(self.settings(point, set));
        let mut controls = Vec::new();
        let minimum = match drawn {
            HeadControl::Fans { minimum_air, .. } => minimum_air,
            _ => 1.0,
        };
        for setpoint in &holds {
            let setpoint = Temperature::from_kelvin(as_written(Kind::Temperature, *setpoint, case.job));
            if !matches!(drawn, HeadControl::Flooding { .. }) {
                controls.push(HeadControl::Fans { setpoint, minimum_air: minimum.min(0.1).max(floor) });
                controls.push(HeadControl::Fans { setpoint, minimum_air: floor });
            }
        }
        // A little colder than it is set, where the fans reach no more: the valve tells whether that is enough.
        if let (HeadControl::Fans { setpoint, .. }, "low-ambient") = (drawn, self.finding.rule) {
            let step = if case.job.units == System::Ip { 5.0 * factor::FAHRENHEIT_DEGREE } else { 3.0 };
            for colder in [1.0, 2.0].map(|steps| setpoint.kelvin() - steps * step) {
                let setpoint = Temperature::from_kelvin(as_written(Kind::Temperature, colder, case.job));
                controls.push(HeadControl::Fans { setpoint, minimum_air: floor });
            }
        }
        for setpoint in &holds {
            let setpoint = Temperature::from_kelvin(as_written(Kind::Temperature, *setpoint, case.job));
            controls.push(HeadControl::Flooding { setpoint });
        }
        if self.finding.rule == "low-ambient" {
            controls.retain(|control| self.might_hold(control));
        }
        controls.dedup();
        let mut tries = Vec::new();
        for control in controls.into_iter().filter(|control| *control != drawn) {
            tries.push(self.changed(|circuit| {
                circuit.condenser.head_control = control;
                if matches!(control, HeadControl::Flooding { .. }) {
                    flood(circuit, case.job);
                }
            }));
        }
        // Gas that is bypassed brings the condenser no heat.
        if self.finding.rule == "low-ambient" && point.bypass_share > 0.0 {
            tries.extend(self.less_bypass());
        }
        tries
    }

    /// Whether fans come near to holding the setpoint on the coldest day at the minimum load, by the rating of the coil: heat goes with
    /// the air to the power 0.7, or with the air itself where its flow is known. Fans that do not are not worth the long search for a balance that there is not.
    fn might_hold(&self, control: &HeadControl) -> bool {
        let HeadControl::Fans { setpoint, minimum_air } = control else { return true };
        let (site, circuit) = (&self.case.job.site, self.circuit());
        let Circuit { compressors, condenser, .. } = circuit;
        let air_on = site.winter.kelvin() + condenser.recirculation.unwrap_or(site.recirculation).value;
        let bypassed = if compressors.bypass.when == BypassWhen::Never { 0.0 } else { compressors.bypass.share };
        let load = compressors.minimum_share * (1.0 - bypassed);
        let share = load * condenser.td.value / (setpoint.kelvin() - air_on).max(f64::EPSILON);
        let power = if condenser.air_flow.is_some() { 1.0 } else { 1.0 / 0.7 };
        *minimum_air <= NEAR * share.powf(power)
    }

    /// The operating point at which it condenses coldest.
    fn coldest(&self) -> Option<&Point> {
        self.case.points().min_by(|a, b| a.condensing_K.total_cmp(&b.condensing_K))
    }

    /// The usual settings of a head control, warmer than it is set: the lowest two at which the valve has the pressure difference
    /// that it requires, by the vapour-pressure curve; every other one where that is not known. None reaches what the design day condenses at.
    fn settings(&self, point: &Point, set: Option<f64>) -> Vec<f64> {
        let hottest = self.case.points().map(|point| point.condensing_K).fold(0.0, f64::max);
        let warmer = |kelvin: &f64| set.is_none_or(|set| *kelvin > set + 0.01) && *kelvin < hottest;
        let usual: Vec<f64> = match self.case.job.units {
            System::Ip => {
                (70..=105).step_by(5).map(|degrees| factor::fahrenheit_to_kelvin(f64::from(degrees))).collect()
            }
            System::Si => (20..=40).step_by(5).map(|degrees| f64::from(degrees) + 273.15).collect(),
        };
        let settings = usual.into_iter().filter(warmer);
        match self.warm_enough(point) {
            Some(needed) => settings.filter(|kelvin| *kelvin > needed + 1.0).take(2).collect(),
            None => settings.step_by(2).take(3).collect(),
        }
    }

    /// The condensing temperature at which the valve has the pressure difference that it requires, K, by the vapour-pressure curve, over
    /// the suction of an evaporator that is fed and what is lost on the way.
    fn warm_enough(&self, point: &Point) -> Option<f64> {
        let needs = self.circuit().valve.minimum_drop?.value;
        let suction = self.case.points().map(|point| point.state.suction.pressure_Pa).fold(0.0, f64::max);
        let fluid = refrigerant::named(&self.circuit().refrigerant)?;
        let lost = fluid.dew_pressure(point.condensing_K).ok()? - point.state.valve_inlet.pressure_Pa;
        fluid.dew_temperature(needs + suction + lost).ok()
    }

    /// Flooding with all that belongs to it.
    pub(super) fn flooded(&self) -> Circuit {
        self.changed(|circuit| flood(circuit, self.case.job))
    }

    pub(super) fn larger_condenser(&self) -> Vec<Circuit> {
        let drawn = self.case.job.circuits.get(self.case.index);
        let drawn = drawn.map_or(f64::INFINITY, |circuit| circuit.condenser.rejection.value);
        let larger = LARGER.map(|times| self.changed(|circuit| grow(circuit, times, &self.case)));
        let may = |circuit: &Circuit| circuit.condenser.rejection.value <= drawn * LARGEST * 1.001;
        larger.into_iter().filter(may).collect()
    }

    /// The highest cut-out up to so much over the atmosphere, Pa, where it stays over the hottest day's pressure.
    pub(super) fn lower_cutout(&self, maximum: f64) -> Option<Circuit> {
        let drawn = self.circuit().condenser.cutout?.pascals();
        let atmosphere = self.case.job.site.atmosphere.pascals();
        let hottest = self.case.points().map(|point| point.state.discharge.pressure_Pa).fold(0.0, f64::max);
        let step = if self.case.job.units == System::Ip { 5.0 * factor::PSI } else { 0.5e5 };
        let set = (maximum / step + 1e-6).floor() * step + atmosphere;
        let set = as_written(Kind::Pressure, set, self.case.job);
        (set < drawn && set >= hottest * CUTOUT_OVER_HOTTEST)
            .then(|| self.changed(|circuit| circuit.condenser.cutout = Some(Pressure::from_pascals(set))))
    }

    pub(super) fn receiver(&self) -> Vec<Circuit> {
        match self.case.solved.charge.as_ref().and_then(|charge| charge.receiver) {
            Some(receiver) if receiver.is_short() || receiver.volume_m3.is_none() => {
                held(&self.case).into_iter().collect()
            }
            // What is missing is required.
            Some(_) => Vec::new(),
            None => vec![self.changed(|circuit| flood(circuit, self.case.job))],
        }
    }
}
