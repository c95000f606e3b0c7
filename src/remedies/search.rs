//! The search: sets of tubes in rising mass, the first that passes every rule.
//!
//! Each line has its list of sets, sorted by mass, without those that are out of the question by a wide margin. Pairs of
//! a discharge set and a liquid set are then taken in rising mass from a heap and solved, until one passes. A set whose
//! own line fails by more than the other line could change is not tried again with another partner, and the two extremes
//! (all largest, all smallest) tell early when something fails whatever the tube. So the answer is the cheapest of all
//! combinations, as brute force would find it.

use super::estimate::{Estimate, Worth};
use super::open_tube::{Choice, Section, with};
use super::trial::{State, Trial};
use crate::job::{Circuit, LineId};
use crate::refdata::Tube;
use crate::rules::{Case, Finding, Verdict};
use crate::survey::{CircuitSurvey, holds_in};
use crate::units::Temperature;
use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap};

/// By how much of its limit a line may miss and yet pass beside another partner.
const PARTNER: f64 = 0.02;

/// A set of tubes: what stands in each open section.
pub(crate) type Set<'a> = Vec<(Section, &'a Choice)>;

/// A set of tubes of one line.
#[derive(Clone, Debug)]
struct LineSet<'a> {
    /// Mass, kg.
    mass_kg: f64,
    /// The choices by section.
    choices: Set<'a>,
}

/// Whether two tubes in parallel in an open rise are a double riser: its larger tube seals with oil at some operating point, so
/// that the smaller lifts it alone. Two that always share the flow are none.
#[must_use]
pub fn seals(circuit: &Circuit, solved: &CircuitSurvey) -> bool {
    Section::DischargeRise.runs(circuit).into_iter().all(|at| {
        circuit.discharge.runs.get(at).is_none_or(|run| run.tubes.len() < 2)
            || solved
                .points
                .iter()
                .filter_map(|point| point.discharge_line.runs.get(at))
                .any(|run| run.tubes.last().is_some_and(|tube| tube.sealed))
    })
}

/// The sections of a circuit that are open.
pub(crate) fn open_places(circuit: &Circuit) -> Vec<Section> {
    Section::ALL.into_iter().filter(|section| !section.runs(circuit).is_empty()).collect()
}

/// Length of the open runs of a section, m.
pub(crate) fn length(circuit: &Circuit, section: Section) -> f64 {
    let line = section.line(circuit);
    section.runs(circuit).into_iter().filter_map(|i| line.runs.get(i)).map(|run| run.path.length_m()).sum()
}

/// In each place the single tube of the greatest bore.
pub(crate) fn widest(lists: &[(Section, Vec<Choice>)]) -> Set<'_> {
    fn of(list: &[Choice]) -> Option<&Choice> {
        let single = list.iter().filter(|choice| choice.tubes.len() == 1);
        single.max_by(|a, b| a.largest_bore().total_cmp(&b.largest_bore()))
    }
    lists.iter().filter_map(|(section, list)| Some((*section, of(list)?))).collect()
}

/// The lightest set of tubes with which no rule fails; else the one that comes nearest.
///
/// One tube a run, a riser no wider than the level tube, and one size of the liquid line, come before others, and what the trade aims at (no caution of the lines' pressure
/// drop or of the gas velocity) before what it allows.
///
/// `opened` is the circuit with its open runs in some tube, from whose solution is estimated what the others would do.
pub(crate) fn search<'a>(
    trial: &'a Trial<'a>,
    opened: &'a State,
    lists: &'a [(Section, Vec<Choice>)],
    order: &[(bool, f64)],
    may: impl Fn(&Set) -> bool,
) -> Result<Set<'a>, Set<'a>> {
    let mut nearest = Vec::new();
    for (plain, aim) in order.iter().copied() {
        let single = |choice: &Choice| !plain || choice.tubes.len() == 1;
        match search_for(trial, opened, lists, &single, &|set: &Set| may(set) && (!plain || is_plain(set)), aim) {
            Ok(set) => return Ok(set),
            Err(set) => nearest = set,
        }
    }
    Err(nearest)
}

/// In what order sets are looked for: whether plain ones alone, and up to how many times the usual aims (1 F of pressure
/// drop in the discharge line, 2 F in the liquid line, 3500 fpm). A riser is split only where one tube costs more than twice the usual loss.
pub(crate) const ORDER: [(bool, f64); 6] =
    [(true, 1.0), (true, 1.5), (true, 2.0), (false, 1.5), (true, f64::INFINITY), (false, f64::INFINITY)];

/// Up to how many times the usual aims new tube may come where something failed: half as much again, and a tenth of that. Tube a size
/// wider is not worth what is left.
pub(crate) const ENOUGH: f64 = 1.65;

/// Whether a set is what people pipe first: no run of two tubes in parallel, a riser no wider than the tube that leads to it, and a
/// liquid line of one size.
pub(crate) fn is_plain(set: &[(Section, &Choice)]) -> bool {
    let bore = |wanted: Section| set.iter().find(|(section, _)| *section == wanted).map(|(_, one)| one.largest_bore());
    let wider =
        bore(Section::DischargeRise).zip(bore(Section::DischargeLevel)).is_some_and(|(rise, level)| rise > level);
    let mut liquid =
        set.iter().filter(|(section, _)| !section.is_discharge()).filter_map(|(_, choice)| choice.tubes.first());
    let first = liquid.next();
    !wider
        && set.iter().all(|(_, choice)| choice.tubes.len() == 1)
        && liquid.all(|tube| first.is_some_and(|of| of.name == tube.name))
}

/// Whether a finding stands in the way of a set: a fail, or a caution that is over so many times the usual aim.
pub(crate) fn counts(finding: &Finding, aim: f64) -> bool {
    let over = finding.measure.and_then(|found| Some(found.value > aim * found.limit?));
    finding.verdict == Verdict::Fail || (misses_aim(finding) && over.unwrap_or(false))
}

/// Whether a finding is a caution of what tube is sized for: the pressure drop of the lines, the velocity of the gas.
pub(crate) fn misses_aim(finding: &Finding) -> bool {
    ["discharge-drop", "discharge-velocity", "liquid-drop"].contains(&finding.rule)
        && finding.verdict == Verdict::Caution
}

fn search_for<'a>(
    trial: &'a Trial<'a>,
    opened: &'a State,
    lists: &'a [(Section, Vec<Choice>)],
    may_stand: &dyn Fn(&Choice) -> bool,
    may: &impl Fn(&Set) -> bool,
    aim: f64,
) -> Result<Set<'a>, Set<'a>> {
    let estimate = Estimate::new(trial.job, &opened.circuit, &opened.solved, aim);
    let case = trial.case(opened);
    let (mut discharge, nearest_discharge) = line_sets(lists, may_stand, &estimate, &case, LineId::Discharge);
    let (mut liquid, nearest_liquid) = line_sets(lists, may_stand, &estimate, &case, LineId::Liquid);
    discharge.retain(|set| may(&set.choices));
    liquid.retain(|set| may(&set.choices));
    let closed = LineId::BOTH.map(|line| !lists.iter().any(|(section, _)| section.line_id() == line));
    Search {
        trial,
        opened,
        closed,
        lines: [discharge, liquid],
        nearest: [nearest_discharge, nearest_liquid],
        beyond: BTreeSet::new(),
        aim,
    }
    .run()
}

struct Search<'a> {
    trial: &'a Trial<'a>,
    opened: &'a State,
    /// Whether a line has nothing open: what fails in it no tube of the other mends.
    closed: [bool; 2],
    /// Sets of the discharge line and of the liquid line, in rising mass.
    lines: [Vec<LineSet<'a>>; 2],
    /// Sets that come nearest where a line has none at all.
    nearest: [LineSet<'a>; 2],
    /// Rules that fail whatever the tube.
    beyond: BTreeSet<&'static str>,
    /// Up to how many times the usual aims it may come.
    aim: f64,
}

impl<'a> Search<'a> {
    /// The cheapest set that passes, else the one that comes nearest.
    fn run(&mut self) -> Result<Set<'a>, Set<'a>> {
        if self.lines.iter().any(Vec::is_empty) {
            return Err(self.nearest.iter().flat_map(|line| line.choices.clone()).collect());
        }
        let last = [self.lines[0].len() - 1, self.lines[1].len() - 1];
        let mut best: Option<(f64, Set<'a>)> = None;
        let mut dead = last.map(|last| vec![false; last + 1]);
        let mut extremes_tried = false;
        // The next liquid set of each discharge set.
        let mut heap = BinaryHeap::from([self.by_mass([0, 0])]);
        // Each set comes once.
        for _ in 0..self.lines[0].len() * self.lines[1].len() {
            let Some(Reverse((_, [discharge, liquid]))) = heap.pop() else { break };
            if self.trial.is_spent() {
                break;
            }
            if liquid == 0 && discharge < last[0] {
                heap.push(self.by_mass([discharge + 1, 0]));
            }
            if dead[0][discharge] {
                continue;
            }
            if let Some(liquid) = (liquid + 1..=last[1]).find(|liquid| !dead[1][*liquid]) {
                heap.push(self.by_mass([discharge, liquid]));
            }
            if dead[1][liquid] {
                continue;
            }
            let at = [discharge, liquid];
            let set = self.set(at);
            let evaluated = self.evaluate(&set).filter(|(_, seals)| *seals);
            let Some((failed, _)) = evaluated else {
                dead[0][discharge] = true;
                continue;
            };
            if failed.is_empty() {
                return Ok(set);
            }
            let missed = missed(&failed);
            if best.as_ref().is_none_or(|(minimum, _)| missed < *minimum) {
                best = Some((missed, set));
            }
            let mut free = false;
            for finding in &failed {
                match side_of(finding) {
                    Some(side) if misses_by_far(finding, self.aim) => {
                        dead[side][at[side]] = true;
                    }
                    Some(_) => {}
                    None => free = true,
                }
            }
            if free && !extremes_tried {
                extremes_tried = true;
                self.beyond = self.fails_at_both_ends(last);
                // A set that fails in nothing else is what was looked for.
                if failed.iter().all(|finding| self.beyond.contains(finding.rule)) {
                    return Ok(best.map_or_else(|| self.set(at), |(_, set)| set));
                }
            }
        }
        Err(best.map_or_else(|| self.set(last), |(_, set)| set))
    }

    /// The rules about neither line alone that fail with the widest tubes and with the narrowest: they fail with all between,
    /// for each of them moves one way with the bore.
    fn fails_at_both_ends(&self, last: [usize; 2]) -> BTreeSet<&'static str> {
        let of_neither = |set: Set<'a>| -> BTreeSet<&'static str> {
            let failed = self.evaluate(&set).map_or_else(Vec::new, |(failed, _)| failed);
            failed.iter().filter(|finding| side_of(finding).is_none()).map(|finding| finding.rule).collect()
        };
        let narrow = of_neither(self.set([0, 0]));
        let wide = of_neither(self.set(self.widest(last)));
        narrow.intersection(&wide).copied().collect()
    }

    fn widest(&self, last: [usize; 2]) -> [usize; 2] {
        let bore = |set: &LineSet| set.choices.iter().map(|(_, choice)| choice.largest_bore()).sum::<f64>();
        [0, 1].map(|side| {
            (0..=last[side])
                .max_by(|a, b| bore(&self.lines[side][*a]).total_cmp(&bore(&self.lines[side][*b])))
                .unwrap_or(0)
        })
    }

    fn by_mass(&self, at: [usize; 2]) -> Reverse<(Mass, [usize; 2])> {
        Reverse((Mass(self.lines[0][at[0]].mass_kg + self.lines[1][at[1]].mass_kg), at))
    }

    fn set(&self, at: [usize; 2]) -> Set<'a> {
        self.lines[0][at[0]].choices.iter().chain(&self.lines[1][at[1]].choices).copied().collect()
    }

    /// What fails with a set, and whether its double riser is one.
    fn evaluate(&self, set: &[(Section, &Choice)]) -> Option<(Vec<Finding>, bool)> {
        let state = self.trial.solve(with(&self.opened.circuit, set))?;
        let failed = state.findings.iter().filter(|finding| {
            counts(finding, self.aim)
                && !self.beyond.contains(finding.rule)
                && !side_of(finding).is_some_and(|side| self.closed[side])
        });
        Some((failed.cloned().collect(), seals(&state.circuit, &state.solved)))
    }
}

/// A mass that sorts.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Mass(f64);

impl Eq for Mass {}

impl PartialOrd for Mass {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Mass {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        self.0.total_cmp(&other.0)
    }
}

/// The line that a finding is about, 0 discharge and 1 liquid, where it is about one alone.
pub(super) fn side_of(finding: &Finding) -> Option<usize> {
    match finding.place.as_ref()?.line()? {
        LineId::Discharge => Some(0),
        LineId::Liquid => Some(1),
    }
}

/// How far a set is from passing: one for each finding, and by how much of its limit each misses.
fn missed(failed: &[Finding]) -> f64 {
    let by = |finding: &Finding| match finding.measure.map(|found| (found.value, found.limit)) {
        Some((value, Some(limit))) => ((value - limit) / limit.abs().max(1e-9)).abs().min(10.0),
        _ => 1.0,
    };
    failed.iter().map(|finding| 1.0 + by(finding)).sum()
}

/// Whether a finding misses its limit by more than the other line's tubes could change.
fn misses_by_far(finding: &Finding, aim: f64) -> bool {
    let times = if misses_aim(finding) { aim } else { 1.0 };
    match finding.measure.map(|found| (found.value, found.limit.map(|limit| limit * times))) {
        Some((value, Some(limit))) => (value - limit).abs() > PARTNER * limit.abs().max(1.0),
        _ => false,
    }
}

/// The sets of a line in rising mass, without those out of the question; beside them the one that comes nearest.
fn line_sets<'a>(
    lists: &'a [(Section, Vec<Choice>)],
    may_stand: &dyn Fn(&Choice) -> bool,
    estimate: &Estimate,
    case: &Case,
    side: LineId,
) -> (Vec<LineSet<'a>>, LineSet<'a>) {
    let mut sets: Vec<(LineSet<'a>, Vec<Worth>)> = vec![(LineSet { mass_kg: 0.0, choices: Vec::new() }, Vec::new())];
    let mut nearest = LineSet { mass_kg: 0.0, choices: Vec::new() };
    for (section, list) in lists.iter().filter(|(section, _)| section.line_id() == side) {
        let length = length(case.circuit, *section);
        let all: Vec<(&Choice, Worth, bool)> = list
            .iter()
            .filter(|choice| may_stand(choice))
            .map(|choice| {
                let holds = choice.tubes.iter().all(|tube| holds_in(case.solved, side, tube));
                (choice, estimate.worth(*section, choice), holds)
            })
            .collect();
        // What comes nearest misses its worst limit by minimum, the pressure that it must hold among them.
        let miss = |(choice, worth, holds): &(&Choice, Worth, bool)| {
            let short = if *holds {
                0.0
            } else {
                choice.tubes.iter().map(|tube| shortfall(case, side, tube)).fold(1.0, f64::max)
            };
            worth.miss.max(short).max(1.0)
        };
        let single = all.iter().filter(|(choice, ..)| choice.tubes.len() == 1);
        let minimum = single.min_by(|a, b| miss(a).total_cmp(&miss(b)));
        nearest.choices.extend(minimum.map(|(choice, ..)| (*section, *choice)));
        let usable = all.iter().filter(|(_, worth, holds)| *holds && !worth.out);
        let mut next = Vec::new();
        for (choice, worth, _) in usable {
            for (set, worths) in &sets {
                let mut set = set.clone();
                set.mass_kg += length * choice.mass_kg_m;
                set.choices.push((*section, choice));
                let mut worths = worths.clone();
                worths.push(worth.clone());
                next.push((set, worths));
            }
        }
        sets = next;
    }
    let mut out: Vec<LineSet<'a>> = sets
        .into_iter()
        .filter(|(_, worths)| estimate.loss(side == LineId::Discharge, &worths.iter().collect::<Vec<_>>()) <= 1.0)
        .map(|(set, _)| set)
        .collect();
    out.sort_by(|a, b| a.mass_kg.total_cmp(&b.mass_kg));
    (out, nearest)
}

/// By how many times the design pressure is what a tube holds at the warmest refrigerant of its line.
fn shortfall(case: &Case, side: LineId, tube: &Tube) -> f64 {
    let Some(design) = &case.solved.design else { return 1.0 };
    let runs = case.solved.points.iter().flat_map(|point| match side {
        LineId::Discharge => &point.discharge_line.runs,
        LineId::Liquid => &point.liquid_line.runs,
    });
    let warmest = runs.map(|run| run.warmest_K).fold(0.0, f64::max);
    tube.rated_pressure(Temperature::from_kelvin(warmest))
        .map_or(f64::INFINITY, |rated| design.with_relief_Pa / rated.value)
        .max(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::refdata;
    use crate::remedies::open_tube::choices;
    use crate::remedies::trial::WORK;
    use crate::rules::testing::{job, solved};
    use std::rc::Rc;

    /// What the search finds for the level runs of a discharge line among tubes, with the liquid line as drawn.
    fn found(names: &[&str]) -> Result<String, String> {
        let job = job();
        let survey = solved(&job);
        let mut opened = job.circuits[0].clone();
        opened.discharge.runs.iter_mut().step_by(2).for_each(|run| run.open = true);
        let trial = Trial::new(&job, 0, (&opened, &survey.circuits[0]), Vec::new(), WORK);
        let opened = Rc::clone(&trial.drawn);
        let tubes: Vec<Tube> = names.iter().filter_map(|name| refdata::tube(name).cloned()).collect();
        let choices = choices(Section::DischargeLevel, &tubes);
        let none = LineSet { mass_kg: 0.0, choices: Vec::new() };
        let discharge = choices
            .iter()
            .map(|choice| LineSet { mass_kg: choice.mass_kg_m, choices: vec![(Section::DischargeLevel, choice)] });
        let mut search = Search {
            trial: &trial,
            opened: &opened,
            closed: [false, true],
            lines: [discharge.collect(), vec![none.clone()]],
            nearest: [none.clone(), none],
            beyond: BTreeSet::new(),
            aim: f64::INFINITY,
        };
        let name = |set: Set| set.iter().map(|(_, choice)| choice.tubes[0].name.clone()).collect::<String>();
        search.run().map(name).map_err(name)
    }

    #[test]
    fn one_discharge_line_after_another_is_tried_until_one_does() {
        assert_eq!(found(&["1-3/8 ACR", "2-5/8 ACR", "3-1/8 ACR"]), Ok("2-5/8 ACR".to_owned()));
        // Of those that all fail the widest comes nearest.
        assert_eq!(found(&["1-1/8 ACR", "1-3/8 ACR"]), Err("1-3/8 ACR".to_owned()));
    }
}
