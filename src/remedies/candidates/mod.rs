//! What is tried for a finding, in the order in which a contractor would think of it. Estimates only order and bound what is tried;
//! what it does is seen when it is solved.

mod control;
mod discharge;
mod liquid;
mod relief;
mod strength;

use super::change::as_written;
use super::discharge_line;
use super::trial::{State, Trial};
use super::tubes::{larger, lifting_bore, put, tubed};
use crate::job::{Circuit, Expansion, LineId, Path, Resistance};
use crate::refdata::Tube;
use crate::rules::{Case, Finding, Place, Verdict};
use crate::units::{Kind, pascals};
use std::rc::Rc;

/// Circuits that might be rid of a finding.
pub(super) fn candidates(trial: &Trial, state: &State, finding: &Finding) -> Vec<Circuit> {
    let case = trial.case(state);
    let try_for = Try { case, finding };
    match finding.rule {
        "discharge-drop" | "discharge-velocity" if state.solved.stopped_line() == Some(LineId::Discharge) => {
            carrying(trial, state, finding).into_iter().collect()
        }
        "discharge-drop" | "discharge-velocity" => try_for.wider_discharge(),
        "oil-riser" => try_for.lifting(),
        "oil-level" => try_for.sweeping(),
        "riser-traps" => try_for.trapped(),
        "slope" => try_for.sloped(),
        "off-cycle" => try_for.checked(),
        "tube-strength" => try_for.strong(),
        "thermal-expansion" if finding.verdict == Verdict::Fail => try_for.looped(),
        "design-pressure" => try_for.lower_switch(),
        "relief" => try_for.relieved(),
        "stop-valves" => try_for.let_out(),
        "drop-leg" => try_for.taller_legs(),
        "drain" => try_for.draining(),
        "head-valve" => vec![try_for.flooded()],
        "liquid-drop" | "liquid-velocity" => try_for.resized_liquid(),
        "liquid-hammer" => try_for.calmer(),
        "liquid-flash" => try_for.feeding(),
        "valve-pressure" | "low-ambient" => try_for.warmer(),
        "high-pressure" | "condenser-size" | "discharge-gas" => try_for.larger_condenser(),
        "receiver" => try_for.receiver(),
        _ => Vec::new(),
    }
}

/// A circuit whose discharge line does not carry the flow, in the lightest tube that does, behind a liquid line that does: size after
/// size is not worth the long search for a balance that there is not.
fn carrying(trial: &Trial, state: &State, finding: &Finding) -> Option<Circuit> {
    let widest = discharge_line::widest(trial, state)?;
    let carries = |state: &Rc<State>| state.solved.stopped_line().is_none();
    let from = if carries(&widest) {
        widest
    } else {
        let wider = Try { case: trial.case(&widest), finding }.wider_liquid();
        wider.into_iter().filter_map(|circuit| trial.solve(circuit)).find(carries)?
    };
    discharge_line::lightest(trial, &from).map(|found| found.circuit.clone())
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

    /// An expansion loop in the straight length that the finding names.
    fn looped(&self) -> Vec<Circuit> {
        let Some(Place::Runs(line, numbers)) = &self.finding.place else { return Vec::new() };
        vec![self.changed(|circuit| {
            let runs = line.of_mut(circuit).runs.iter_mut().enumerate();
            runs.filter(|(at, _)| numbers.contains(&(at + 1)))
                .for_each(|(_, run)| run.expansion = Some(Expansion::Loop));
        })]
    }

    /// The next larger tubes of a run, `steps` sizes up; a riser stays narrow enough for its oil.
    fn up(&self, line: LineId, run: usize, steps: usize) -> Option<Vec<Tube>> {
        let drawn = line.of(self.circuit()).runs.get(run)?;
        let largest = drawn.tubes.last()?;
        let next = larger(&self.case, line, largest).nth(steps.checked_sub(1)?)?;
        let maximum = if line == LineId::Discharge && self.is_riser(run) {
            lifting_bore(&self.case, run, self.case.limit("oil_riser").value)
        } else {
            f64::INFINITY
        };
        let mut tubes = drawn.tubes.clone();
        (next.bore().value <= maximum).then(|| {
            tubes.pop();
            tubes.push(next);
            tubes
        })
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
