//! The search: sets of tubes in rising mass, the first that passes every rule.
//!
//! Each line has its list of sets, sorted by mass, without those that are out of the question by a wide margin. Pairs of
//! a discharge set and a liquid set are then taken in rising mass from a heap and solved, until one passes. A set whose
//! own line fails by more than the other line could change is not tried again with another partner, and the two extremes
//! (all largest, all smallest) tell early when something fails whatever the tube. So the answer is the cheapest of all
//! combinations, as brute force would find it.

use super::estimate::{Estimate, Worth};
use super::place::{Choice, Place, choices};
use super::{CircuitSizing, Neighbour, Numbers, Outcome, numbers, tried, with};
use crate::job::LineId;
use crate::job::{Circuit, Job};
use crate::refdata::Tube;
use crate::rules::{self, Case, Finding, Verdict};
use crate::survey::{CircuitSurvey, SurveyFault, holds_in, what_if};
use crate::units::Temperature;
use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap};

/// By how much of its limit a line may miss and yet pass beside another partner.
const PARTNER: f64 = 0.02;

/// A set of tubes: what stands in each open place.
type Set<'a> = Vec<(Place, &'a Choice)>;

/// A set of tubes of one line.
#[derive(Clone, Debug)]
struct LineSet<'a> {
    /// Mass, kg.
    mass: f64,
    /// The choices by place.
    choices: Set<'a>,
}

/// Whether two tubes in parallel in an open rise are a double riser: its larger tube seals with oil at some operating point, so
/// that the smaller lifts it alone. Two that always share the flow are none.
#[must_use]
pub fn seals(circuit: &Circuit, solved: &CircuitSurvey) -> bool {
    Place::DischargeRise.runs(circuit).into_iter().all(|at| {
        circuit.discharge.runs.get(at).is_none_or(|run| run.tubes.len() < 2)
            || solved
                .points
                .iter()
                .filter_map(|point| point.discharge_line.runs.get(at))
                .any(|run| run.tubes.last().is_some_and(|tube| tube.sealed))
    })
}

/// The places of a circuit that are open.
fn open_places(circuit: &Circuit) -> Vec<Place> {
    Place::ALL.into_iter().filter(|place| !place.runs(circuit).is_empty()).collect()
}

/// Length of the open runs of a place, m.
fn length(circuit: &Circuit, place: Place) -> f64 {
    let line = place.line(circuit);
    place.runs(circuit).into_iter().filter_map(|i| line.runs.get(i)).map(|run| run.path.length_m()).sum()
}

/// Sizes one circuit; answers it with its tubes in place.
pub(super) fn circuit(job: &Job, drawn: &Circuit, tubes: &[Tube]) -> Result<(Circuit, CircuitSizing), SurveyFault> {
    let places = open_places(drawn);
    let done = |circuit: Circuit, outcome: Outcome, solved: u32| {
        let sizing = CircuitSizing { name: drawn.name.clone(), copies: drawn.copies, outcome, solved };
        Ok((circuit, sizing))
    };
    if places.is_empty() {
        return done(drawn.clone(), Outcome::NothingOpen, 0);
    }
    let lists: Vec<(Place, Vec<Choice>)> = places.iter().map(|place| (*place, choices(*place, tubes))).collect();
    // All largest: nothing is lost, so densities and flows are those that the estimates want.
    let widest: Vec<(Place, &Choice)> =
        lists.iter().filter_map(|(place, list)| Some((*place, widest(list)?))).collect();
    let reference = with(drawn, &widest);
    let solved = what_if(job, &reference)?;
    let mut search = Search::new(job, drawn, &lists, &reference, &solved);
    let found = search.run();
    let evaluated = search.solved + 1;
    match found {
        Ok(set) => {
            let chosen = with(drawn, &set);
            let solved = what_if(job, &chosen)?;
            let Some(cost) = numbers(&chosen, &solved) else {
                return done(chosen, Outcome::Blocked { nearest: own(&set), fails: Vec::new() }, evaluated);
            };
            let findings = rules::look(&Case { job, index: 0, circuit: &chosen, solved: &solved });
            let mut cautions: Vec<&'static str> = findings
                .iter()
                .filter(|finding| finding.verdict == Verdict::Caution)
                .map(|finding| finding.rule)
                .collect();
            cautions.dedup();
            let neighbours = neighbours(job, drawn, &lists, &set);
            let sealed_at = sealed_at(&chosen, &solved);
            done(chosen, Outcome::Found { set: own(&set), numbers: cost, neighbours, cautions, sealed_at }, evaluated)
        }
        Err(nearest) => {
            let missed = with(drawn, &nearest);
            let solved = what_if(job, &missed)?;
            let case = Case { job, index: 0, circuit: &missed, solved: &solved };
            let mut failed = rules::look(&case);
            failed.retain(|finding| finding.verdict == Verdict::Fail);
            done(missed.clone(), Outcome::Blocked { nearest: own(&nearest), fails: failed }, evaluated)
        }
    }
}

/// The operating points at which oil seals the larger tube of a double riser.
fn sealed_at(circuit: &Circuit, solved: &CircuitSurvey) -> Vec<String> {
    let runs = Place::DischargeRise.runs(circuit);
    let sealed = |point: &&crate::survey::Point| {
        let answers = runs.iter().filter_map(|at| point.discharge_line.runs.get(*at));
        answers.flat_map(|run| &run.tubes).any(|tube| tube.sealed)
    };
    solved.points.iter().filter(sealed).map(|point| point.name.clone()).collect()
}

fn own(set: &[(Place, &Choice)]) -> Vec<(Place, Choice)> {
    set.iter().map(|(place, choice)| (*place, (*choice).clone())).collect()
}

/// The single tube of the greatest bore.
fn widest(list: &[Choice]) -> Option<&Choice> {
    list.iter().filter(|choice| choice.tubes.len() == 1).max_by(|a, b| a.largest_bore().total_cmp(&b.largest_bore()))
}

struct Search<'a> {
    job: &'a Job,
    drawn: &'a Circuit,
    /// Sets of the discharge line and of the liquid line, in rising mass.
    lines: [Vec<LineSet<'a>>; 2],
    /// Sets that come nearest where a line has none at all.
    nearest: [LineSet<'a>; 2],
    solved: u32,
}

impl<'a> Search<'a> {
    fn new(
        job: &'a Job,
        drawn: &'a Circuit,
        lists: &'a [(Place, Vec<Choice>)],
        reference: &'a Circuit,
        solved: &CircuitSurvey,
    ) -> Self {
        let estimate = Estimate::new(job, reference, solved);
        let case = Case { job, index: 0, circuit: reference, solved };
        let (discharge, nearest_discharge) = line_sets(drawn, lists, &estimate, &case, true);
        let (liquid, nearest_liquid) = line_sets(drawn, lists, &estimate, &case, false);
        Self { job, drawn, lines: [discharge, liquid], nearest: [nearest_discharge, nearest_liquid], solved: 0 }
    }

    /// The cheapest set that passes, else the one that comes nearest.
    fn run(&mut self) -> Result<Set<'a>, Set<'a>> {
        if self.lines.iter().any(Vec::is_empty) {
            return Err(self.nearest.iter().flat_map(|line| line.choices.clone()).collect());
        }
        let last = [self.lines[0].len() - 1, self.lines[1].len() - 1];
        let mut best: Option<(f64, Set<'a>)> = None;
        let mut dead: [BTreeSet<usize>; 2] = [BTreeSet::new(), BTreeSet::new()];
        let mut extremes_tried = false;
        let mut heap = BinaryHeap::new();
        let mut seen = BTreeSet::new();
        heap.push(Reverse((Mass(self.mass([0, 0])), [0, 0])));
        seen.insert([0, 0]);
        while let Some(Reverse((_, at))) = heap.pop() {
            for side in 0..2 {
                let mut next = at;
                next[side] += 1;
                if next[side] <= last[side] && seen.insert(next) {
                    heap.push(Reverse((Mass(self.mass(next)), next)));
                }
            }
            if dead[0].contains(&at[0]) || dead[1].contains(&at[1]) {
                continue;
            }
            let set = self.set(at);
            let Some((failed, seals)) = self.evaluate(&set) else {
                dead[0].insert(at[0]);
                continue;
            };
            if !seals {
                dead[0].insert(at[0]);
                continue;
            }
            if failed.is_empty() {
                return Ok(set);
            }
            let missed = missed(&failed);
            if best.as_ref().is_none_or(|(least, _)| missed < *least) {
                best = Some((missed, set));
            }
            let mut free = false;
            for finding in &failed {
                match side_of(finding) {
                    Some(side) if misses_by_far(finding) => {
                        dead[side].insert(at[side]);
                    }
                    Some(_) => {}
                    None => free = true,
                }
            }
            if free && !extremes_tried {
                extremes_tried = true;
                if let Some(set) = self.blocked_at_both_ends(last) {
                    return Err(set);
                }
            }
        }
        Err(best.map_or_else(|| self.set(last), |(_, set)| set))
    }

    /// Whether a rule that is about neither line alone fails with the widest tubes and with the narrowest: then it
    /// fails with all between, for each of these rules moves one way with the bore.
    fn blocked_at_both_ends(&mut self, last: [usize; 2]) -> Option<Set<'a>> {
        let ends = [self.set([0, 0]), self.set(self.widest(last))];
        let mut evaluated = Vec::new();
        for set in ends {
            let (failed, _) = self.evaluate(&set)?;
            evaluated.push((failed, set));
        }
        let of_neither = |failed: &[Finding]| -> BTreeSet<&'static str> {
            failed.iter().filter(|finding| side_of(finding).is_none()).map(|finding| finding.rule).collect()
        };
        let [narrow, wide] = [of_neither(&evaluated.first()?.0), of_neither(&evaluated.last()?.0)];
        narrow.intersection(&wide).next()?;
        evaluated.into_iter().min_by(|a, b| missed(&a.0).total_cmp(&missed(&b.0))).map(|(_, set)| set)
    }

    fn widest(&self, last: [usize; 2]) -> [usize; 2] {
        let bore = |set: &LineSet| set.choices.iter().map(|(_, choice)| choice.largest_bore()).sum::<f64>();
        [0, 1].map(|side| {
            (0..=last[side])
                .max_by(|a, b| bore(&self.lines[side][*a]).total_cmp(&bore(&self.lines[side][*b])))
                .unwrap_or(0)
        })
    }

    fn mass(&self, at: [usize; 2]) -> f64 {
        self.lines[0][at[0]].mass + self.lines[1][at[1]].mass
    }

    fn set(&self, at: [usize; 2]) -> Set<'a> {
        self.lines[0][at[0]].choices.iter().chain(&self.lines[1][at[1]].choices).copied().collect()
    }

    /// What fails with a set, and whether its double riser is one.
    fn evaluate(&mut self, set: &[(Place, &Choice)]) -> Option<(Vec<Finding>, bool)> {
        self.solved += 1;
        let circuit = with(self.drawn, set);
        tried(self.job, &circuit).map(|(solved, failed)| (failed, seals(&circuit, &solved)))
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
fn side_of(finding: &Finding) -> Option<usize> {
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
fn misses_by_far(finding: &Finding) -> bool {
    match finding.measure.map(|found| (found.value, found.limit)) {
        Some((value, Some(limit))) => (value - limit).abs() > PARTNER * limit.abs().max(1.0),
        _ => false,
    }
}

/// The sets of a line in rising mass, without those out of the question; beside them the one that comes nearest.
fn line_sets<'a>(
    drawn: &Circuit,
    lists: &'a [(Place, Vec<Choice>)],
    estimate: &Estimate,
    case: &Case,
    discharge: bool,
) -> (Vec<LineSet<'a>>, LineSet<'a>) {
    let side = if discharge { LineId::Discharge } else { LineId::Liquid };
    let mut sets: Vec<(LineSet<'a>, Vec<Worth>)> = vec![(LineSet { mass: 0.0, choices: Vec::new() }, Vec::new())];
    let mut nearest = LineSet { mass: 0.0, choices: Vec::new() };
    for (place, list) in lists.iter().filter(|(place, _)| place.is_discharge() == discharge) {
        let length = length(drawn, *place);
        let all: Vec<(&Choice, Worth, bool)> = list
            .iter()
            .map(|choice| {
                let holds = choice.tubes.iter().all(|tube| holds_in(case.solved, side, tube));
                (choice, estimate.worth(*place, choice), holds)
            })
            .collect();
        // What comes nearest misses its worst limit by least, the pressure that it must hold among them.
        let miss = |(choice, worth, holds): &(&Choice, Worth, bool)| {
            let short = if *holds {
                0.0
            } else {
                choice.tubes.iter().map(|tube| shortfall(case, side, tube)).fold(1.0, f64::max)
            };
            worth.miss.max(short).max(1.0)
        };
        let single = all.iter().filter(|(choice, ..)| choice.tubes.len() == 1);
        let least = single.min_by(|a, b| miss(a).total_cmp(&miss(b)));
        nearest.choices.extend(least.map(|(choice, ..)| (*place, *choice)));
        let usable = all.iter().filter(|(_, worth, holds)| *holds && !worth.out);
        let mut next = Vec::new();
        for (choice, worth, _) in usable {
            for (set, worths) in &sets {
                let mut set = set.clone();
                set.mass += length * choice.mass_per_length;
                set.choices.push((*place, choice));
                let mut worths = worths.clone();
                worths.push(worth.clone());
                next.push((set, worths));
            }
        }
        sets = next;
    }
    let mut out: Vec<LineSet<'a>> = sets
        .into_iter()
        .filter(|(_, worths)| estimate.loss(discharge, &worths.iter().collect::<Vec<_>>()) <= 1.0)
        .map(|(set, _)| set)
        .collect();
    out.sort_by(|a, b| a.mass.total_cmp(&b.mass));
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
        .map_or(f64::INFINITY, |rated| design.pressure_Pa / rated.value)
        .max(1.0)
}

/// One size up and down in each place.
fn neighbours(job: &Job, drawn: &Circuit, lists: &[(Place, Vec<Choice>)], set: &[(Place, &Choice)]) -> Vec<Neighbour> {
    let mut all = Vec::new();
    for (place, chosen) in set {
        let Some((_, list)) = lists.iter().find(|(p, _)| p == place) else { continue };
        for larger in [false, true] {
            let Some(choice) = beside(list, chosen, larger) else { continue };
            let changed: Vec<(Place, &Choice)> =
                set.iter().map(|(p, c)| if p == place { (*p, choice) } else { (*p, *c) }).collect();
            let circuit = with(drawn, &changed);
            let (numbers, fails): (Option<Numbers>, Vec<&'static str>) = match tried(job, &circuit) {
                Some((solved, failed)) => {
                    let mut fails: Vec<&'static str> = failed.iter().map(|finding| finding.rule).collect();
                    fails.dedup();
                    if !seals(&circuit, &solved) {
                        fails.push("never seals");
                    }
                    (numbers(&circuit, &solved), fails)
                }
                None => (None, Vec::new()),
            };
            all.push(Neighbour { place: *place, larger, choice: choice.clone(), numbers, fails });
        }
    }
    all
}

/// The next choice of the same kind and count up or down; of two tubes the larger one changes.
fn beside<'a>(list: &'a [Choice], chosen: &Choice, larger: bool) -> Option<&'a Choice> {
    let (last, rest) = chosen.tubes.split_last()?;
    let same = list.iter().filter(|choice| {
        choice.tubes.split_last().is_some_and(|(tube, others)| others == rest && tube.kind == last.kind)
    });
    let bore = chosen.largest_bore();
    let gap = |choice: &&Choice| (choice.largest_bore() - bore).abs();
    same.filter(|choice| if larger { choice.largest_bore() > bore } else { choice.largest_bore() < bore })
        .min_by(|a, b| gap(a).total_cmp(&gap(b)))
}

/// Whether no rule fails for a circuit, and its double riser is one.
fn passes(job: &Job, circuit: &Circuit) -> bool {
    tried(job, circuit).is_some_and(|(solved, failed)| failed.is_empty() && seals(circuit, &solved))
}

/// The cheapest set that passes, found by trying every combination: for the tests of the search.
///
/// # Errors
/// [`SurveyFault`] where the machine can't be made from its ratings.
pub fn brute_force(job: &Job, drawn: &Circuit, tubes: &[Tube]) -> Result<Option<Vec<(Place, Choice)>>, SurveyFault> {
    what_if(job, drawn)?;
    let places = open_places(drawn);
    let lists: Vec<Vec<Choice>> = places.iter().map(|place| choices(*place, tubes)).collect();
    let mut best: Option<(f64, Vec<(Place, Choice)>)> = None;
    let mut at = vec![0; places.len()];
    loop {
        let set: Vec<(Place, &Choice)> =
            places.iter().zip(&lists).zip(&at).filter_map(|((place, list), i)| Some((*place, list.get(*i)?))).collect();
        let mass: f64 = set.iter().map(|(place, choice)| length(drawn, *place) * choice.mass_per_length).sum();
        if set.len() == places.len()
            && best.as_ref().is_none_or(|(least, _)| mass < *least)
            && passes(job, &with(drawn, &set))
        {
            best = Some((mass, own(&set)));
        }
        let Some(digit) = (0..at.len()).find(|digit| at[*digit] + 1 < lists[*digit].len()) else {
            return Ok(best.map(|(_, set)| set));
        };
        at[digit] += 1;
        at[..digit].fill(0);
    }
}
