//! What is tried for relief: the receiver's valve and its discharge line, and a relief valve where liquid can be shut in.

use super::Try;
use crate::job::{Circuit, Code, Part, Relief, ReliefValve, Resistance};
use crate::refdata::{self, Tube, Typical, tubes};
use crate::remedies::change::{as_written, insert};
use crate::rules::Place;
use crate::survey::{longest, receiver, relief};
use crate::units::{Kind, Pressure, System, factor, kilograms_per_second, metres};

impl Try<'_> {
    /// The receiver's relief valve as it must be.
    pub(super) fn relieved(&self) -> Vec<Circuit> {
        let Some(valve) = self.circuit().relief.valve() else { return self.new_relief().into_iter().collect() };
        let limit = self.finding.measure.and_then(|found| Some((found.kind, found.limit?)));
        let valves = match limit {
            Some((Kind::MassRate, minimum)) => {
                vec![ReliefValve { capacity: Some(self.stamped(minimum)), ..valve.clone() }]
            }
            Some((Kind::Volume, _)) => vec![ReliefValve { count: 2, ..valve.clone() }],
            Some((Kind::Length, _)) => self.wider(valve).into_iter().collect(),
            _ => Vec::new(),
        };
        let with = |valve: ReliefValve| self.changed(|circuit| circuit.relief = Relief::Valve(valve));
        valves.into_iter().map(with).collect()
    }

    /// The relief valve set no higher than that, over the atmosphere, where the high-pressure switch and the code's minimum leave it
    /// room.
    pub(super) fn lower_relief(&self, maximum: f64) -> Option<Circuit> {
        let (valve, design, job) = (self.circuit().relief.valve()?, self.case.solved.design?, self.case.job);
        let atmosphere = job.site.atmosphere.pascals();
        let step = if job.units == System::Ip { 5.0 * factor::PSI } else { 0.5e5 };
        let set = as_written(Kind::Pressure, (maximum / step + 1e-6).floor() * step + atmosphere, job);
        let switch = self.circuit().condenser.cutout.map_or(0.0, |cutout| cutout.pascals() - atmosphere);
        let lowest = (switch / self.case.limit("cutout_of_relief").value).max(design.minimum_Pa.unwrap_or(0.0));
        let valve = ReliefValve { setting: Pressure::from_pascals(set), ..valve.clone() };
        let lower = set < self.circuit().relief.valve()?.setting.pascals() && set - atmosphere >= lowest;
        lower.then(|| self.changed(|circuit| circuit.relief = Relief::Valve(valve)))
    }

    /// A capacity that is enough, as it is written.
    fn stamped(&self, minimum: f64) -> crate::units::MassRate {
        let step = if self.case.job.units == System::Ip { factor::POUND_PER_MINUTE } else { 0.01 };
        kilograms_per_second(as_written(Kind::MassRate, (minimum / step - 1e-6).ceil() * step, self.case.job))
    }

    /// The smallest tube of the kind of its discharge line in which that is short enough.
    fn wider(&self, valve: &ReliefValve) -> Option<ReliefValve> {
        let (drawn, line) = (valve.tube.as_ref()?, self.case.solved.relief.line?);
        let wide = |tube: &&Tube| {
            // Fittings are longer in a wider tube.
            let share = tube.bore() / drawn.bore();
            let needed = line.equivalent_m * share.value.max(1.0);
            longest(self.case.job, valve, tube, line.flow_kg_s).is_some_and(|longest| longest >= needed)
        };
        let kind = tubes().iter().filter(|tube| tube.kind == drawn.kind && tube.bore() > drawn.bore());
        let tube = kind.filter(wide).min_by(|a, b| a.bore().value.total_cmp(&b.bore().value))?;
        Some(ReliefValve { tube: Some(tube.clone()), ..valve.clone() })
    }

    /// A relief valve where there is none: over the high-pressure switch, of the capacity that the receiver needs.
    fn new_relief(&self) -> Option<Circuit> {
        let (design, receiver) = (self.case.solved.design?, receiver(self.circuit())?);
        let job = self.case.job;
        let step = if job.units == System::Ip { 5.0 * factor::PSI } else { 0.5e5 };
        let whole = match self.circuit().design_pressure {
            Some(_) => (design.pressure_Pa / step + 1e-6).floor(),
            None => (design.with_relief_Pa / step - 1e-6).ceil(),
        };
        let setting = as_written(Kind::Pressure, whole * step + job.site.atmosphere.pascals(), job);
        let large = job.site.code == Code::Us
            && receiver.volume.is_some_and(|volume| volume.value >= job.limit("relief_two_valves"));
        let valve = ReliefValve {
            setting: Pressure::from_pascals(setting),
            capacity: None,
            count: if large { 2 } else { 1 },
            tube: None,
            length: None,
            fittings: Vec::new(),
        };
        let with = |valve: ReliefValve| self.changed(|circuit| circuit.relief = Relief::Valve(valve));
        // What it must let out may depend on its setting.
        let needed = relief(job, &with(valve.clone())).capacity_kg_s;
        Some(with(ReliefValve { capacity: needed.map(|minimum| self.stamped(minimum)), ..valve }))
    }

    /// A relief valve in the stretch in which liquid can be shut in, at the coil's outlet for the coil.
    pub(super) fn let_out(&self) -> Vec<Circuit> {
        let at = match &self.finding.place {
            Some(Place::Runs(_, runs)) => runs.first().and_then(|first| first.checked_sub(1)),
            Some(Place::Condenser) => Some(0),
            _ => None,
        };
        let part = |at: usize| {
            let facts = refdata::parts().iter().find(|part| part.relieves)?;
            let tube = self.circuit().liquid.runs.get(at)?.tubes.first()?;
            let Typical::Bores(bores) = facts.typical else { return None };
            let length = as_written(Kind::Length, bores * tube.bore().value, self.case.job);
            Some(Part {
                bypass: false,
                name: facts.name.clone(),
                resistance: Resistance::EquivalentLength(metres(length)),
                receiver: None,
                subcooler: None,
                closes: facts.closes,
                checks: facts.checks,
            })
        };
        let part = at.and_then(|at| Some((at, part(at)?)));
        part.into_iter().map(|(at, part)| self.changed(|circuit| insert(&mut circuit.liquid, at, part))).collect()
    }
}
