//! What is tried for a finding, in the order in which a contractor would think of it. Estimates only order and bound what is tried;
//! what it does is seen when it is solved.

use super::change::{as_written, insert};
use super::refit::{INSULATION_M, SLACK_M, flood, grow, hold, missing, replace, surge, typical, whole_degree_up};
use super::trial::{State, Trial};
use super::tubes::{double_risers, larger, lifting_bore, put, sizes, smaller, stronger, tubed};
use crate::job::{Circuit, HeadControl, LineId, Part, Path, Resistance, Slope};
use crate::refdata::{self, Tube, Typical};
use crate::refrigerant;
use crate::rules::{Case, Finding, Place};
use crate::survey::{Point, PointId};
use crate::units::{Kind, Pressure, System, Temperature, factor, metres, pascals};

/// The lowest of all settings that a cut-out can have over the hottest day's pressure: 5 % of it.
const CUTOUT_OVER_HOTTEST: f64 = 1.05;

/// Circuits that might be rid of a finding.
pub(super) fn candidates(trial: &Trial, state: &State, finding: &Finding) -> Vec<Circuit> {
    let case = trial.case(state);
    let try_for = Try { case, finding };
    match finding.rule {
        "discharge-drop" | "discharge-velocity" => try_for.wider_discharge(),
        "oil-lift" => try_for.lifting(),
        "oil-sweep" => try_for.sweeping(),
        "riser-traps" => try_for.trapped(),
        "slope" => try_for.sloped(),
        "off-cycle" => try_for.checked(),
        "tube-strength" => try_for.strong(),
        "drop-leg" => try_for.taller_legs(),
        "liquid-drop" | "liquid-velocity" => try_for.wider_liquid(),
        "liquid-surge" => try_for.calmer(),
        "liquid-flash" => try_for.feeding(),
        "valve-pressure" | "winter-hold" => try_for.warmer(),
        "high-pressure" => try_for.larger_condenser(),
        "receiver" => try_for.receiver(),
        _ => Vec::new(),
    }
}

/// A finding of a circuit, for which changed circuits are made.
struct Try<'a> {
    case: Case<'a>,
    finding: &'a Finding,
}

/// Steps of sizes for runs: what each of them becomes.
type Sized = Vec<(usize, Vec<Tube>)>;

impl Try<'_> {
    fn circuit(&self) -> &Circuit {
        self.case.circuit
    }

    fn changed(&self, change: impl FnOnce(&mut Circuit)) -> Circuit {
        let mut circuit = self.circuit().clone();
        change(&mut circuit);
        circuit
    }

    fn with_sizes(&self, line: LineId, sized: &Sized) -> Circuit {
        self.changed(|circuit| sized.iter().for_each(|(run, tubes)| put(circuit, line, &[*run], tubes)))
    }

    /// The runs that the finding names, by index; of a part or of the whole line all that are tube.
    fn runs(&self, line: LineId) -> Vec<usize> {
        let tubed = tubed(self.circuit(), line);
        let named: Vec<usize> = match &self.finding.place {
            Some(Place::Runs(of, numbers)) if *of == line => {
                tubed.iter().copied().filter(|run| numbers.contains(&(run + 1))).collect()
            }
            _ => Vec::new(),
        };
        if named.is_empty() { tubed } else { named }
    }

    fn is_riser(&self, run: usize) -> bool {
        self.circuit().discharge.runs.get(run).is_some_and(|run| matches!(run.path, Path::Rise { .. }))
    }

    /// The next larger tubes of a run, `steps` sizes up; a riser stays narrow enough for its oil.
    fn up(&self, line: LineId, run: usize, steps: usize) -> Option<Vec<Tube>> {
        let drawn = line.of(self.circuit()).runs.get(run)?;
        let largest = drawn.tubes.last()?;
        let next = larger(&self.case, line, largest).nth(steps.checked_sub(1)?)?;
        let most = if line == LineId::Discharge && self.is_riser(run) {
            lifting_bore(&self.case, run, self.case.limit("oil_lift").value)
        } else {
            f64::INFINITY
        };
        let mut tubes = drawn.tubes.clone();
        (next.bore().value <= most).then(|| {
            tubes.pop();
            tubes.push(next);
            tubes
        })
    }

    fn wider_discharge(&self) -> Vec<Circuit> {
        let (risers, level): (Vec<usize>, Vec<usize>) =
            tubed(self.circuit(), LineId::Discharge).into_iter().partition(|run| self.is_riser(*run));
        let steps = |runs: &[usize], steps: usize| -> Sized {
            runs.iter().filter_map(|run| Some((*run, self.up(LineId::Discharge, *run, steps)?))).collect()
        };
        let mut tries = Vec::new();
        for (a, b) in [(1, 0), (0, 1), (1, 1), (2, 1), (2, 2)] {
            let sized: Sized = steps(&level, a).into_iter().chain(steps(&risers, b)).collect();
            if !sized.is_empty() {
                tries.push(self.with_sizes(LineId::Discharge, &sized));
            }
        }
        // One tube in place of two that together are narrower, then two where one cannot grow.
        for run in &risers {
            tries.extend(self.single_risers(*run, 2));
            let wide = steps(&level, 1);
            for circuit in self.pairs(*run, 2) {
                let mut both = circuit.clone();
                for (run, tubes) in &wide {
                    put(&mut both, LineId::Discharge, &[*run], tubes);
                }
                tries.extend([circuit, both]);
            }
        }
        tries.extend(self.easier_parts(LineId::Discharge));
        tries
    }

    /// One tube for a riser: the largest that lift oil by themselves.
    fn single_risers(&self, run: usize, most: usize) -> Vec<Circuit> {
        let spare = self.case.limit("oil_lift_caution").value;
        let lifting = lifting_bore(&self.case, run, spare);
        let Some(drawn) = self.circuit().discharge.runs.get(run).and_then(|run| run.tubes.last()) else {
            return Vec::new();
        };
        let fits = sizes(&self.case, LineId::Discharge, drawn).into_iter().rev();
        let fits = fits.filter(|tube| tube.bore().value <= lifting).take(most);
        fits.map(|tube| self.changed(|circuit| put(circuit, LineId::Discharge, &[run], &[tube]))).collect()
    }

    /// Two tubes for a riser, with the trap at the foot by which the larger one seals.
    fn pairs(&self, run: usize, most: usize) -> Vec<Circuit> {
        let spare = self.case.limit("oil_lift_caution").value;
        let pairs = double_risers(&self.case, run, spare).into_iter().take(most);
        pairs
            .map(|pair| {
                self.changed(|circuit| {
                    put(circuit, LineId::Discharge, &[run], &pair);
                    if let Some(Path::Rise { traps, .. }) = circuit.discharge.runs.get_mut(run).map(|run| &mut run.path)
                    {
                        traps.foot = true;
                    }
                })
            })
            .collect()
    }

    fn lifting(&self) -> Vec<Circuit> {
        let risers = self.runs(LineId::Discharge).into_iter().filter(|run| self.is_riser(*run));
        let mut tries = Vec::new();
        for run in risers {
            let limit = self.case.limit("oil_lift").value;
            let drawn = self.circuit().discharge.runs.get(run).and_then(|run| run.tubes.last()).cloned();
            tries.extend(self.single_risers(run, 2));
            // Where no size clears the caution, what lifts at all.
            let lifting = lifting_bore(&self.case, run, limit);
            let fits = drawn.iter().flat_map(|drawn| smaller(&self.case, LineId::Discharge, drawn));
            tries.extend(
                fits.filter(|tube| tube.bore().value <= lifting)
                    .take(1)
                    .map(|tube| self.changed(|circuit| put(circuit, LineId::Discharge, &[run], &[tube]))),
            );
            tries.extend(self.pairs(run, 4));
        }
        tries.extend(self.less_bypass());
        tries
    }

    fn less_bypass(&self) -> Vec<Circuit> {
        let share = self.circuit().compressors.bypass.share;
        // To the whole per cent, as it is set.
        let shares = [0.75, 0.5, 0.25].map(|part| (share * part * 100.0).floor() / 100.0);
        let less = shares.into_iter().filter(|less| *less > 0.0 && *less < share);
        less.map(|less| self.changed(|circuit| circuit.compressors.bypass.share = less)).collect()
    }

    fn sweeping(&self) -> Vec<Circuit> {
        let limit = self.case.limit("oil_sweep").value;
        let mut sized: Sized = Vec::new();
        let mut tries = Vec::new();
        for run in tubed(self.circuit(), LineId::Discharge).into_iter().filter(|run| !self.is_riser(*run)) {
            let at = self.case.runs(LineId::Discharge).filter(|at| at.answer.index == run + 1);
            let slowest =
                at.flat_map(|at| at.answer.tubes.iter().map(|tube| tube.velocity_m_s)).fold(f64::INFINITY, f64::min);
            let Some(now) = self.circuit().discharge.runs.get(run).and_then(|run| run.tubes.last()) else { continue };
            let bore = now.bore().value * (slowest / limit).sqrt();
            if slowest < limit {
                let next = smaller(&self.case, LineId::Discharge, now).find(|tube| tube.bore().value <= bore);
                sized.extend(next.map(|tube| (run, vec![tube])));
            }
        }
        if !sized.is_empty() {
            tries.push(self.with_sizes(LineId::Discharge, &sized));
        }
        tries.extend(self.sloped());
        tries
    }

    fn sloped(&self) -> Vec<Circuit> {
        let changed = self.changed(|circuit| {
            for run in &mut circuit.discharge.runs {
                if let Path::Level { slope, .. } = &mut run.path {
                    *slope = Some(Slope::WithFlow);
                }
            }
        });
        if changed.discharge == self.circuit().discharge { Vec::new() } else { vec![changed] }
    }

    fn trapped(&self) -> Vec<Circuit> {
        let spacing = self.case.limit("trap_spacing").value;
        let tall = self.case.limit("trap_height").value;
        let tenth = if self.case.job.units == System::Ip { 0.1 * factor::FOOT } else { 0.1 };
        let runs = self.runs(LineId::Discharge);
        vec![self.changed(|circuit| {
            for run in runs {
                let Some(Path::Rise { length, traps }) = circuit.discharge.runs.get_mut(run).map(|run| &mut run.path)
                else {
                    continue;
                };
                let between = missing(length.value, traps, spacing);
                traps.foot = true;
                let rounded = |height: &f64| as_written(Kind::Length, (height / tenth).round() * tenth, self.case.job);
                traps.between.extend(between.iter().map(|height| metres(rounded(height))));
                traps.between.sort_by(|a, b| a.value.total_cmp(&b.value));
                // A list of heights has the loop at the top with it, and a tall riser wants one.
                traps.top |= !traps.between.is_empty() || length.value > tall + SLACK_M;
            }
        })]
    }

    fn checked(&self) -> Vec<Circuit> {
        let facts = refdata::parts().iter().find(|part| part.checks);
        let Some((facts, Typical::Loss(loss))) = facts.map(|facts| (facts, facts.typical)) else { return Vec::new() };
        let part = Part {
            name: facts.name.clone(),
            resistance: typical(loss, self.case.job),
            receiver: None,
            closes: facts.closes,
            checks: true,
        };
        vec![self.changed(|circuit| insert(&mut circuit.discharge, usize::MAX, part))]
    }

    fn strong(&self) -> Vec<Circuit> {
        let mut tries = Vec::new();
        let Some(Place::Runs(line, _)) = &self.finding.place else { return tries };
        let runs = self.runs(*line);
        let weak = runs.iter().filter_map(|run| line.of(self.circuit()).runs.get(*run)).flat_map(|run| &run.tubes);
        let Some(weak) = weak.max_by(|a, b| a.bore().value.total_cmp(&b.bore().value)).cloned() else { return tries };
        for tubes in stronger(&self.case, *line, &weak) {
            tries.push(self.changed(|circuit| replace(circuit, *line, &runs, &weak, &tubes)));
        }
        tries.extend(self.lower_cutout());
        tries
    }

    /// A cut-out that the tubes as drawn carry, where it stays over the hottest day's pressure.
    fn lower_cutout(&self) -> Option<Circuit> {
        let drawn = self.circuit().condenser.cutout?.pascals();
        let atmosphere = self.case.job.site.atmosphere.pascals();
        let rated = self.finding.measure?.value + atmosphere;
        let hottest = self.case.points().map(|point| point.state.discharge.pressure_Pa).fold(0.0, f64::max);
        let step = if self.case.job.units == System::Ip { 5.0 * factor::PSI } else { 0.5e5 };
        let set = ((rated - atmosphere) / step).floor() * step + atmosphere;
        let set = as_written(Kind::Pressure, set, self.case.job);
        (set < drawn && set >= hottest * CUTOUT_OVER_HOTTEST)
            .then(|| self.changed(|circuit| circuit.condenser.cutout = Some(Pressure::from_pascals(set))))
    }

    /// The liquid line in one size from end to end, but for what is wider already, so that nobody joins three sizes in a row.
    fn one_size(&self, tubes: &[Tube]) -> Circuit {
        let bore = tubes.iter().map(|tube| tube.bore().value.powi(2)).sum::<f64>().sqrt();
        let runs = tubed(self.circuit(), LineId::Liquid);
        self.changed(|circuit| {
            for run in runs {
                let narrow = circuit.liquid.runs.get(run).is_some_and(|run| {
                    run.tubes.iter().map(|tube| tube.bore().value.powi(2)).sum::<f64>().sqrt() < bore * 0.999
                });
                if narrow {
                    put(circuit, LineId::Liquid, &[run], tubes);
                }
            }
        })
    }

    fn wider_liquid(&self) -> Vec<Circuit> {
        let runs = tubed(self.circuit(), LineId::Liquid);
        let tubes = runs.iter().filter_map(|run| self.circuit().liquid.runs.get(*run)).flat_map(|run| &run.tubes);
        let Some(narrowest) = tubes.min_by(|a, b| a.bore().value.total_cmp(&b.bore().value)) else { return Vec::new() };
        let least = self.least_liquid_bore(narrowest.bore().value);
        let wide = larger(&self.case, LineId::Liquid, narrowest).skip_while(|tube| tube.bore().value < least);
        wide.take(5).map(|tube| self.one_size(&[tube])).collect()
    }

    /// Where the flow of some operating point does not go through, the bore in which the liquid of the rating is as fast as it may be ahead
    /// of a closing valve, four times the drawn one where not even the rating has a solution: narrower tube is not worth the long search for
    /// a balance that there is not. Else nothing.
    fn least_liquid_bore(&self, drawn: f64) -> f64 {
        let solved = self.case.solved;
        if solved.unsolved.is_empty() {
            return 0.0;
        }
        solved.point(PointId::Rating).map_or(4.0 * drawn, |point| {
            let area = point.liquid_line.flow_kg_s
                / point.state.condenser_outlet.density_kg_m3
                / self.case.limit("liquid_velocity").value;
            (4.0 * area / std::f64::consts::PI).sqrt()
        })
    }

    fn calmer(&self) -> Vec<Circuit> {
        let mut tries = self.wider_liquid();
        tries.truncate(2);
        let runs = tubed(self.circuit(), LineId::Liquid);
        let weak = runs.iter().filter_map(|run| self.circuit().liquid.runs.get(*run)).flat_map(|run| &run.tubes);
        if let Some(weak) = weak.max_by(|a, b| a.bore().value.total_cmp(&b.bore().value)).cloned() {
            for tubes in stronger(&self.case, LineId::Liquid, &weak) {
                tries.push(self.changed(|circuit| replace(circuit, LineId::Liquid, &runs, &weak, &tubes)));
            }
            tries.push(self.one_size(&[weak.clone(), weak]));
        }
        tries
    }

    fn feeding(&self) -> Vec<Circuit> {
        let mut tries = Vec::new();
        let through = self.circuit().liquid.runs.iter().any(crate::job::Run::passes_through);
        if through {
            tries.push(self.changed(surge));
        }
        tries.extend(self.wider_liquid());
        let bare = |run: &crate::job::Run| run.around.is_some() && run.insulation.value < INSULATION_M;
        if self.circuit().liquid.runs.iter().any(bare) {
            let thickness = as_written(Kind::SmallLength, self.insulation(), self.case.job);
            let insulated = |circuit: &mut Circuit| {
                circuit
                    .liquid
                    .runs
                    .iter_mut()
                    .filter(|run| bare(run))
                    .for_each(|run| run.insulation = metres(thickness));
            };
            tries.push(self.changed(insulated));
            let wider = self.wider_liquid().into_iter().take(2);
            tries.extend(wider.map(|mut circuit| {
                insulated(&mut circuit);
                circuit
            }));
        }
        if through {
            let surged = Try { case: self.case, finding: self.finding };
            tries.extend(surged.wider_liquid().into_iter().take(2).map(|mut circuit| {
                surge(&mut circuit);
                circuit
            }));
        }
        tries.extend(self.warmer());
        tries
    }

    fn insulation(&self) -> f64 {
        if self.case.job.units == System::Ip { INSULATION_M } else { 0.025 }
    }

    /// Head control that keeps the condensing temperature up: fans cut further, the setpoint warmer, flooding.
    fn warmer(&self) -> Vec<Circuit> {
        let case = &self.case;
        let Some(point) = self.coldest() else { return Vec::new() };
        let floor = case.limit("fan_air_least").value;
        let drawn = self.circuit().condenser.head_control;
        let set = match drawn {
            HeadControl::None => None,
            HeadControl::Fans { hold, .. } | HeadControl::Flooding { hold } => Some(hold.kelvin()),
        };
        let mut holds: Vec<f64> = set.into_iter().collect();
        holds.extend(self.warm_enough(point).filter(|kelvin| set.is_none_or(|set| *kelvin > set + 0.01)));
        if set.is_none() && holds.is_empty() {
            holds.push(whole_degree_up(case.job.units, point.evaporating_K + 25.0));
        }
        let mut controls = Vec::new();
        let least = match drawn {
            HeadControl::Fans { least_air, .. } => least_air,
            _ => 1.0,
        };
        for hold in &holds {
            let hold = Temperature::from_kelvin(as_written(Kind::Temperature, *hold, case.job));
            if !matches!(drawn, HeadControl::Flooding { .. }) {
                controls.push(HeadControl::Fans { hold, least_air: least.min(0.1).max(floor) });
                controls.push(HeadControl::Fans { hold, least_air: floor });
            }
        }
        for hold in &holds {
            let hold = Temperature::from_kelvin(as_written(Kind::Temperature, *hold, case.job));
            controls.push(HeadControl::Flooding { hold });
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
        tries
    }

    /// The operating point at which it condenses coldest.
    fn coldest(&self) -> Option<&Point> {
        self.case.points().min_by(|a, b| a.condensing_K.total_cmp(&b.condensing_K))
    }

    /// The condensing temperature at which the valve has the pressure that it needs, by the vapour-pressure curve, and a few degrees more.
    fn warm_enough(&self, point: &Point) -> impl Iterator<Item = f64> + use<> {
        let show = self.case.job.units;
        let needs = self.circuit().valve.least_drop.map(|drop| drop.value);
        let short = needs.map(|needs| needs - (point.state.valve_inlet.pressure_Pa - point.state.suction.pressure_Pa));
        let fluid = refrigerant::named(&self.circuit().refrigerant);
        let needed = short.filter(|short| *short > 0.0).and_then(|short| {
            let fluid = fluid?;
            fluid.dew_temperature(fluid.dew_pressure(point.condensing_K).ok()? + short).ok()
        });
        let steps: [f64; 2] = [1.0, 4.0];
        needed.into_iter().flat_map(move |kelvin| steps.map(|more| whole_degree_up(show, kelvin + more)))
    }

    fn larger_condenser(&self) -> Vec<Circuit> {
        [1.1, 1.2, 1.35, 1.5, 1.75, 2.0, 2.5]
            .map(|times| self.changed(|circuit| grow(circuit, times, &self.case)))
            .to_vec()
    }

    fn receiver(&self) -> Vec<Circuit> {
        let Some(charge) = &self.case.solved.charge else { return Vec::new() };
        let Some(needed) = charge.receiver.as_ref().and_then(|receiver| receiver.needed_m3) else {
            return vec![self.changed(|circuit| flood(circuit, self.case.job))];
        };
        vec![self.changed(|circuit| hold(circuit, needed, &self.case))]
    }

    fn taller_legs(&self) -> Vec<Circuit> {
        let Some(legs) = &self.circuit().condenser.legs else { return Vec::new() };
        let job = self.case.job;
        let step = if job.units == System::Ip { 0.5 * factor::FOOT } else { 0.1 };
        let height = |times: f64| ((legs.height.value * times) / step).ceil() * step;
        let needed = self.finding.measure.and_then(|found| found.limit).filter(|limit| *limit > legs.height.value);
        let mut tries: Vec<Circuit> = needed
            .into_iter()
            .flat_map(|needed| [(needed / step).ceil() * step, (needed / step).ceil() * step + step])
            .chain([1.25, 1.5, 2.0].map(height))
            .map(|height| {
                self.changed(|circuit| {
                    if let Some(legs) = &mut circuit.condenser.legs {
                        legs.height = metres(as_written(Kind::Length, height, job));
                    }
                })
            })
            .collect();
        let wider = larger(&self.case, LineId::Liquid, &legs.tube).take(3);
        tries.extend(wider.map(|tube| {
            self.changed(|circuit| {
                if let Some(legs) = &mut circuit.condenser.legs {
                    legs.tube = tube;
                }
            })
        }));
        tries
    }

    /// The part that loses most, with half and a quarter of its loss.
    fn easier_parts(&self, line: LineId) -> Vec<Circuit> {
        let parts = self.case.runs(line).filter(|at| at.answer.path == "part");
        let Some(worst) = parts.max_by(|a, b| a.answer.friction_Pa.total_cmp(&b.answer.friction_Pa)) else {
            return Vec::new();
        };
        let Path::Part(part) = &worst.run.path else { return Vec::new() };
        let run = worst.answer.index - 1;
        [0.5, 0.25]
            .into_iter()
            .filter_map(|share| {
                let resistance = match part.resistance {
                    Resistance::Loss(loss) => Resistance::Loss(pascals(as_written(
                        Kind::PressureDifference,
                        loss.value * share,
                        self.case.job,
                    ))),
                    Resistance::Kv(kv) => Resistance::Kv((kv / share.sqrt() * 10.0).ceil() / 10.0),
                    Resistance::EquivalentLength(_) => return None,
                };
                Some(self.changed(|circuit| {
                    if let Some(Path::Part(part)) = line.of_mut(circuit).runs.get_mut(run).map(|run| &mut run.path) {
                        part.resistance = resistance;
                    }
                }))
            })
            .collect()
    }
}
