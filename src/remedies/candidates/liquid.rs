//! What is tried for the liquid line: its size, the receiver's piping, insulation, easier parts, drop legs.

use super::Try;
use crate::job::{Circuit, Legs, LineId, MECHANICAL_SUBCOOLER, Part, Path, Run, Slope, Subcooler};
use crate::refdata::{self, Tube, Typical};
use crate::refrigerant::named;
use crate::remedies::change::{as_written, insert, move_run};
use crate::remedies::refit::{INSULATION_M, receivers, replace, subcooler_steps, surge, typical};
use crate::remedies::tubes::{bore, larger, put, smaller, stronger, tubed};
use crate::rules::liquid_flash;
use crate::survey::{Closing, PointId};
use crate::units::{Kind, System, Temperature, factor, kelvins, metres, watts};

fn is_receiver(run: &Run) -> bool {
    matches!(&run.path, Path::Part(part) if part.receiver.is_some())
}

/// The most subcooling that a condenser is ordered with, of its rated difference.
const MAXIMUM_SUBCOOLING: f64 = 0.8;

/// How many sizes up are tried.
const SIZES: usize = 5;

impl Try<'_> {
    /// The liquid line in one size from end to end, but for what is wider already, so that nobody joins three sizes in a row.
    fn one_size(&self, tube: &Tube) -> Circuit {
        let runs = tubed(self.circuit(), LineId::Liquid);
        self.changed(|circuit| {
            for run in runs {
                if circuit.liquid.runs.get(run).is_some_and(|run| bore(&run.tubes) < tube.bore().value * 0.999) {
                    put(circuit, LineId::Liquid, &[run], std::slice::from_ref(tube));
                }
            }
        })
    }

    fn liquid_tube(&self, widest: bool) -> Option<&Tube> {
        let runs = tubed(self.circuit(), LineId::Liquid).into_iter();
        let tubes = runs.filter_map(|run| self.circuit().liquid.runs.get(run)).flat_map(|run| &run.tubes);
        let sign = if widest { 1.0 } else { -1.0 };
        tubes.max_by(|a, b| (sign * a.bore().value).total_cmp(&(sign * b.bore().value)))
    }

    /// The next sizes up; the next two down where the liquid crawls.
    pub(super) fn resized_liquid(&self) -> Vec<Circuit> {
        if !self.finding.measure.is_some_and(|found| found.limit.is_some_and(|limit| found.value < limit)) {
            return self.liquid_from(self.minimum_bore_of_the_limit());
        }
        let Some(widest) = self.liquid_tube(true) else { return Vec::new() };
        let runs = tubed(self.circuit(), LineId::Liquid);
        let narrow = smaller(&self.case, LineId::Liquid, widest).take(2);
        narrow.map(|tube| self.changed(|circuit| put(circuit, LineId::Liquid, &runs, &[tube]))).collect()
    }

    /// The bore below which the whole line in one size cannot meet the limit: friction goes with its power -5 at the least, velocity
    /// with its power -2. 0 where nothing is known.
    fn minimum_bore_of_the_limit(&self) -> f64 {
        let power = if self.finding.rule == "liquid-velocity" { 2.0 } else { 5.0 };
        let over = self.finding.measure.and_then(|found| Some(found.value / found.limit?));
        let drawn = self.liquid_tube(false).map_or(0.0, |tube| tube.bore().value);
        over.filter(|over| *over > 1.0).map_or(0.0, |over| 0.99 * drawn * over.powf(1.0 / power))
    }

    pub(super) fn wider_liquid(&self) -> Vec<Circuit> {
        self.liquid_from(0.0)
    }

    /// The line in its next sizes from that bore on.
    fn liquid_from(&self, minimum: f64) -> Vec<Circuit> {
        let Some(narrowest) = self.liquid_tube(false) else { return Vec::new() };
        let minimum = minimum.max(self.minimum_liquid_bore(narrowest.bore().value));
        let wide = larger(&self.case, LineId::Liquid, narrowest).filter(|tube| tube.bore().value >= minimum);
        wide.take(SIZES).map(|tube| self.one_size(&tube)).collect()
    }

    /// Where the flow of some operating point does not go through, the bore in which liquid at full load is as fast as it may be
    /// ahead of a closing valve, four times the drawn one where no point has a solution: narrower tube is not worth the long search
    /// for a balance that there is not. Else nothing.
    fn minimum_liquid_bore(&self, drawn: f64) -> f64 {
        let solved = self.case.solved;
        if solved.unsolved.is_empty() {
            return 0.0;
        }
        let point = solved.point(PointId::Rating).or_else(|| solved.points.first());
        point.map_or(4.0 * drawn, |point| {
            let area = point.mass_flow_kg_s
                / point.compressor_share
                / point.state.condenser_outlet.density_kg_m3
                / self.case.limit("liquid_velocity").value;
            (4.0 * area / std::f64::consts::PI).sqrt()
        })
    }

    /// Slower liquid ahead of the valve that shuts, tube that carries the surge, or a lower pressure to start from.
    pub(super) fn calmer(&self) -> Vec<Circuit> {
        let Some(limit) = self.finding.measure.and_then(|found| found.limit) else { return Vec::new() };
        let atmosphere = self.case.job.site.atmosphere.pascals();
        let shares = self.case.solved.closings.iter().map(|shut| (limit - shut.static_Pa + atmosphere) / shut.surge_Pa);
        let share = shares.fold(1.0, f64::min);
        let Some(widest) = self.liquid_tube(true).cloned() else { return Vec::new() };
        let slow = self.case.limit("liquid_velocity").value;
        let fastest = self.case.solved.closings.iter().map(|shut| shut.velocity_m_s).fold(0.0, f64::max);
        // The surge pressure goes with the velocity; liquid that is slow enough is not held against it.
        let share = if share > 0.0 { share.max(slow / fastest.max(slow)) } else { slow / fastest.max(slow) };
        let mut tries = self.liquid_from(widest.bore().value * share.powf(-0.5) * 0.98);
        tries.truncate(3);
        let of_tube = |shut: &Closing| shut.holds.as_ref().is_some_and(|(_, holds)| limit >= *holds);
        if self.case.solved.closings.iter().any(of_tube) {
            let runs = tubed(self.circuit(), LineId::Liquid);
            for tubes in stronger(&self.case, LineId::Liquid, &widest) {
                tries.push(self.changed(|circuit| replace(circuit, LineId::Liquid, &runs, &widest, &tubes)));
            }
        }
        tries
    }

    /// Liquid that arrives as such: subcooled liquid past the receiver, wider tube, insulation, parts that lose less, a warmer head; and two
    /// of these together.
    pub(super) fn feeding(&self) -> Vec<Circuit> {
        let thickness = if self.case.job.units == System::Ip { INSULATION_M } else { 0.025 };
        let thickness = metres(as_written(Kind::SmallLength, thickness, self.case.job));
        let bare = |run: &Run| run.ambient.is_some() && run.insulation.value < INSULATION_M * 0.98;
        let insulated = |circuit: &mut Circuit| {
            circuit.liquid.runs.iter_mut().filter(|run| bare(run)).for_each(|run| run.insulation = thickness);
        };
        let wider = self.wider_liquid();
        let easier = self.easier_parts(LineId::Liquid);
        let through = self.circuit().liquid.runs.iter().any(Run::passes_through);
        let mut tries = Vec::new();
        let mut with = |change: &dyn Fn(&mut Circuit)| {
            tries.push(self.changed(change));
            let beside = wider.iter().take(2).chain(easier.first()).cloned();
            tries.extend(beside.map(|mut circuit| {
                change(&mut circuit);
                circuit
            }));
        };
        let past = |circuit: &mut Circuit| {
            if through {
                surge(circuit);
            }
        };
        if through {
            with(&past);
        }
        if self.circuit().liquid.runs.iter().any(bare) {
            with(&|circuit| {
                insulated(circuit);
                past(circuit);
            });
        }
        // Bypassed gas leaves the coil less flow, and so less subcooling.
        let point = self.finding.point();
        if self.case.points().any(|at| Some(at.id) == point && at.bypass_share > 0.0) {
            tries.extend(self.less_bypass());
        }
        // Behind a receiver that all liquid passes through there is no subcooling that wider tube or a colder coil would save.
        tries.extend(wider.iter().take(if through { 2 } else { SIZES }).cloned());
        // A level that no tube makes up for requires colder liquid.
        for colder in self.colder().into_iter().filter(|_| !through) {
            tries.push(colder.clone());
            if self.circuit().liquid.runs.iter().any(bare) {
                let mut colder = colder;
                insulated(&mut colder);
                tries.push(colder);
            }
        }
        tries.extend(self.subcooled());
        tries.extend(easier);
        tries.extend(self.warmer());
        tries
    }

    /// Where the liquid has to climb, a mechanical subcooler ahead of the climb: as much heat as the operating point that is shortest
    /// of subcooling requires, down to the temperature that the coldest of them requires.
    fn subcooled(&self) -> Vec<Circuit> {
        let (case, circuit) = (&self.case, self.circuit());
        let facts = refdata::part(MECHANICAL_SUBCOOLER).zip(named(&circuit.refrigerant));
        let Some((facts, fluid)) = facts.filter(|_| circuit.condenser.elevation.value < 0.0) else { return Vec::new() };
        let Typical::Loss(loss) = facts.typical else { return Vec::new() };
        let (step, degree) = subcooler_steps(case.job.units);
        let at = circuit.liquid.runs.iter().rposition(is_receiver).map_or(0, |receiver| receiver + 1);
        let with = |spare: f64| {
            let (mut capacity, mut leaving) = (0.0_f64, f64::INFINITY);
            for point in case.points() {
                let colder = spare * degree - liquid_flash::margin(case, point);
                let liquid = point.state.condenser_outlet;
                let cp = fluid.bubble_t(liquid.temperature_K).ok()?.cp;
                if colder > 0.0 {
                    capacity = capacity.max(point.liquid_line.flow_kg_s * cp * colder);
                    leaving = leaving.min(liquid.temperature_K - colder);
                }
            }
            let capacity = as_written(Kind::Capacity, (capacity / step).ceil() * step, case.job);
            let leaving = match case.job.units {
                System::Ip => factor::fahrenheit_to_kelvin(factor::kelvin_to_fahrenheit(leaving).floor()),
                System::Si => (leaving - 273.15).floor() + 273.15,
            };
            let leaving = Temperature::from_kelvin(as_written(Kind::Temperature, leaving, case.job));
            let part = Part {
                name: facts.name.clone(),
                resistance: typical(loss, case.job),
                receiver: None,
                subcooler: Some(Subcooler { capacity: watts(capacity), leaving }),
                closes: facts.closes,
                checks: facts.checks,
                bypass: false,
            };
            (capacity > 0.0).then(|| self.changed(|circuit| insert(&mut circuit.liquid, at, part)))
        };
        [3.0, 6.0, 12.0].into_iter().filter_map(with).collect()
    }

    /// A condenser rated at more subcooling, up to what an air-cooled coil of its difference is sold with.
    fn colder(&self) -> Vec<Circuit> {
        let condenser = &self.circuit().condenser;
        let job = self.case.job;
        let step = if job.units == System::Ip { 5.0 * factor::FAHRENHEIT_DEGREE } else { 3.0 };
        let maximum = MAXIMUM_SUBCOOLING * condenser.td.value;
        let next = (condenser.subcooling.value / step + 1e-6).floor() + 1.0;
        let steps = [next, next + 1.0, next + 2.0].map(|steps| as_written(Kind::Difference, steps * step, job));
        let may = steps.into_iter().filter(|subcooling| *subcooling <= maximum);
        may.map(|subcooling| self.changed(|circuit| circuit.condenser.subcooling = kelvins(subcooling))).collect()
    }

    /// A drain wide enough for gas to pass back over the liquid; without the vent that requires a taller leg than there is.
    pub(super) fn draining(&self) -> Vec<Circuit> {
        let runs = &self.circuit().liquid.runs;
        let Some(receiver) = runs.iter().position(is_receiver) else { return Vec::new() };
        if let Some(climb) = runs.iter().take(receiver).position(|run| run.path.rise_m() > 0.0) {
            let before = |circuit: &mut Circuit| move_run(&mut circuit.liquid, receiver, climb);
            let past = |circuit: &mut Circuit| {
                before(circuit);
                surge(circuit);
            };
            return vec![self.changed(before), self.changed(past)];
        }
        let against = |run: &Run| matches!(run.path, Path::Level { slope: Some(Slope::AgainstFlow | Slope::None), .. });
        if self.finding.measure.is_none() && runs.iter().take(receiver).any(against) {
            return vec![self.changed(|circuit| {
                for run in circuit.liquid.runs.iter_mut().take(receiver) {
                    if let Path::Level { slope, .. } = &mut run.path {
                        *slope = Some(Slope::WithFlow);
                    }
                }
            })];
        }
        let drain: Vec<usize> =
            tubed(self.circuit(), LineId::Liquid).into_iter().filter(|run| *run < receiver).collect();
        let tubes = drain.iter().filter_map(|run| runs.get(*run)).flat_map(|run| &run.tubes);
        let Some(drawn) = tubes.min_by(|a, b| a.bore().value.total_cmp(&b.bore().value)) else { return Vec::new() };
        let wide = larger(&self.case, LineId::Liquid, drawn).take(2 * SIZES);
        let sizes = std::iter::once(drawn.clone()).chain(wide);
        let tries = sizes.map(|tube| {
            self.changed(|circuit| {
                put(circuit, LineId::Liquid, &drain, std::slice::from_ref(&tube));
                receivers(circuit).for_each(|receiver| receiver.vented = false);
            })
        });
        tries.collect()
    }

    /// Drop legs in the tube of the liquid line where none are drawn, with a half foot more than a leg without loss requires.
    fn new_legs(&self, step: f64) -> Vec<Circuit> {
        let needed = self.finding.measure.and_then(|found| found.limit);
        let (Some(needed), Some(tube)) = (needed, self.liquid_tube(true)) else { return Vec::new() };
        let legs = |steps: f64| Legs {
            height: metres(as_written(Kind::Length, ((needed / step).ceil() + steps) * step, self.case.job)),
            tube: tube.clone(),
            level: metres(0.0),
            fittings: Vec::new(),
        };
        [1.0, 2.0, 4.0].map(|steps| self.changed(|circuit| circuit.condenser.legs = Some(legs(steps)))).to_vec()
    }

    pub(super) fn taller_legs(&self) -> Vec<Circuit> {
        let job = self.case.job;
        let step = if job.units == System::Ip { 0.5 * factor::FOOT } else { 0.1 };
        let Some(legs) = &self.circuit().condenser.legs else { return self.new_legs(step) };
        let height = |times: f64| ((legs.height.value * times) / step).ceil() * step;
        let needed = self.finding.measure.and_then(|found| found.limit).filter(|limit| *limit > legs.height.value);
        let heights = needed
            .into_iter()
            .flat_map(|needed| [(needed / step).ceil() * step, (needed / step).ceil() * step + step])
            .chain([1.25, 1.5, 2.0].map(height))
            .map(|height| (metres(as_written(Kind::Length, height, job)), legs.tube.clone()));
        let wider = larger(&self.case, LineId::Liquid, &legs.tube).take(3).map(|tube| (legs.height, tube));
        let others = heights.chain(wider);
        others
            .map(|(height, tube)| {
                self.changed(|circuit| {
                    if let Some(legs) = &mut circuit.condenser.legs {
                        (legs.height, legs.tube) = (height, tube);
                    }
                })
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;
    use crate::remedies::testing::{case, of_a_length, surveyed};
    use crate::rules::Verdict;
    use crate::rules::testing::{changed, feet};

    /// The legs that are tried where they need so much height, m: height, m, and tube.
    fn legs(job: &Job, needed: f64) -> Vec<(f64, String)> {
        let (survey, about) = (surveyed(job), of_a_length("drop-leg", Verdict::Fail, 0.0, needed));
        let tries = Try { case: case(job, &survey), finding: &about }.taller_legs();
        tries
            .into_iter()
            .filter_map(|circuit| circuit.condenser.legs)
            .map(|it| (it.height.value, it.tube.name))
            .collect()
    }

    fn are(legs: &[(f64, String)], heights: &[f64], tube: &str) -> bool {
        let is = |((height, of), as_tried): (&(f64, String), &f64)| (height - as_tried).abs() < 1e-9 && of == tube;
        legs.len() == heights.len() && legs.iter().zip(heights).all(is)
    }

    #[test]
    fn new_legs_are_half_a_foot_or_a_tenth_of_a_metre_and_more_over_what_is_needed() {
        let mut job = changed(|circuit| circuit.condenser.legs = None);
        // 3.2 ft is 3.5 ft in half feet.
        let of_feet = legs(&job, 3.2 * factor::FOOT);
        assert!(are(&of_feet, &[4.0, 4.5, 5.5].map(|height| height * factor::FOOT), "1-5/8 ACR"), "{of_feet:?}");
        job.units = System::Si;
        let of_metres = legs(&job, 0.93);
        assert!(are(&of_metres, &[1.1, 1.2, 1.4], "1-5/8 ACR"), "{of_metres:?}");
    }

    #[test]
    fn drawn_legs_grow_to_what_is_needed_and_a_step_more_and_by_parts_of_their_height_or_are_wider() {
        let drawn = |height: f64| {
            changed(|circuit| {
                let tube = circuit.liquid.runs[1].tubes[0].clone();
                let fittings = Vec::new();
                circuit.condenser.legs = Some(Legs { height: metres(height), tube, level: metres(0.0), fittings });
            })
        };
        let parted = |job: &Job, needed: f64| {
            let mut legs = legs(job, needed);
            let wider = legs.split_off(legs.len().saturating_sub(3));
            (legs, wider)
        };
        // 3.7 ft is 4 ft; 1.25, 1.5 and 2 times 3 ft are 3.75 (4), 4.5 and 6 ft.
        let (taller, wider) = parted(&drawn(feet(3.0).value), 3.7 * factor::FOOT);
        let heights = [4.0, 4.5, 4.0, 4.5, 6.0].map(|height| height * factor::FOOT);
        assert!(are(&taller, &heights, "1-5/8 ACR"), "{taller:?}");
        for ((height, tube), next) in wider.iter().zip(["2-1/8 ACR", "2-5/8 ACR", "3-1/8 ACR"]) {
            assert!((height - feet(3.0).value).abs() < 1e-9 && tube == next, "{wider:?}");
        }
        // Legs that are tall enough, but lose too much.
        let (taller, _) = parted(&drawn(feet(3.0).value), 3.0 * factor::FOOT);
        assert!(are(&taller, &heights[2..], "1-5/8 ACR"), "{taller:?}");
        let mut job = drawn(0.9);
        job.units = System::Si;
        // 1.125, 1.35 and 1.8 m.
        let (taller, _) = parted(&job, 1.13);
        assert!(are(&taller, &[1.2, 1.3, 1.2, 1.4, 1.8], "1-5/8 ACR"), "{taller:?}");
    }
}
