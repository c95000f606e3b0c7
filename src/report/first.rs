//! What stands first in an answer, as data without words: what fails with its first remedy, the gravest first; the closest
//! margins of what passed; what was not judged; the charge.

use super::answer::Answer;
use super::order::{Bound, along, bound, gravity, margin};
use crate::job::{Job, LineId};
use crate::remedies::{Change, Remedy};
use crate::rules::{Finding, Place, Verdict};
use crate::survey::Charge;
use std::collections::{BTreeSet, HashMap};

/// How many margins are named.
const CLOSEST: usize = 3;

/// What is farther from its limit than that share of it is not close.
const CLOSE: f64 = 1.0;

/// What stands first.
#[derive(Debug)]
pub(crate) struct First<'a> {
    /// What fails, then cautions, then notes, each the gravest first, numbered from 1.
    pub rows: Vec<Row<'a>>,
    /// The closest margins of what passed, the closest first, one for each rule.
    pub close: Vec<Pass<'a>>,
    /// Everything that passed, in the order of the rules.
    pub passed: Vec<Pass<'a>>,
    /// Rules that could not look, with the circuits that say the same.
    pub blind: Vec<(&'a Finding, Vec<usize>)>,
    /// What no rule looked at.
    pub unjudged: Vec<Unjudged>,
}

/// A finding that is no pass.
#[derive(Debug)]
pub(crate) struct Row<'a> {
    /// Its number in list, text and drawing.
    pub number: usize,
    /// What was found; where several circuits say the same, of the first.
    pub finding: &'a Finding,
    /// The circuits that say the same, by index; none for the plant and the site.
    pub circuits: Vec<usize>,
    /// What would mend it, the first first.
    pub remedies: &'a [Remedy],
    /// Numbers of failures of the same runs that remain with the first remedy.
    pub remain: Vec<usize>,
}

/// A finding that passed.
#[derive(Debug)]
pub(crate) struct Pass<'a> {
    /// What was found; where several circuits say the same, of the first.
    pub finding: &'a Finding,
    /// The circuits that say the same, by index.
    pub circuits: Vec<usize>,
    /// What is left to the limit as a share of it, where there is one.
    pub margin: Option<f64>,
}

/// What no rule looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Unjudged {
    /// The suction line: the job does not draw it.
    SuctionLine,
    /// The inside of the evaporator.
    Evaporator,
    /// The plant: no load is given.
    PlantLoad,
    /// The roof, which is studied apart.
    Roof {
        /// Whether it is drawn.
        drawn: bool,
    },
    /// The year, which is run apart.
    Year {
        /// Whether a weather file is named.
        named: bool,
    },
    /// Remedies for which there was no work left.
    Remedies,
}

impl<'a> First<'a> {
    /// Of an answer to `check`.
    pub fn of(answer: &'a Answer) -> Self {
        let job = answer.job;
        let mut first = Self::of_findings(job, &answer.findings, &answer.remedies);
        first.unjudged = if answer.all_tried { Vec::new() } else { vec![Unjudged::Remedies] };
        first.unjudged.extend([Unjudged::SuctionLine, Unjudged::Evaporator]);
        if job.plant.is_none() {
            first.unjudged.push(Unjudged::PlantLoad);
        }
        first.unjudged.push(Unjudged::Roof { drawn: job.roof.is_some() });
        first.unjudged.push(Unjudged::Year { named: job.weather.is_some() });
        first
    }

    /// Of findings and what would mend them.
    pub fn of_findings(job: &'a Job, findings: &'a [Finding], remedies: &'a [Vec<Remedy>]) -> Self {
        let grouped = |wanted: &dyn Fn(Verdict) -> bool| {
            let mut groups: Vec<(usize, &Finding, Vec<usize>)> = Vec::new();
            // Numbers of the groups whose sentences read alike.
            let mut reading: HashMap<(&str, String), Vec<usize>> = HashMap::new();
            for (index, finding) in findings.iter().enumerate().filter(|(_, finding)| wanted(finding.verdict)) {
                let numbers = reading.entry((finding.rule, finding.text(job))).or_default();
                let same = numbers.iter().copied().find(|number| {
                    groups.get(*number).is_some_and(|(at, of, circuits)| {
                        finding.circuit.is_some_and(|circuit| !circuits.is_empty() && !circuits.contains(&circuit))
                            && (of.verdict, &of.place) == (finding.verdict, &finding.place)
                            && alike(remedies.get(*at), remedies.get(index))
                    })
                });
                if let Some((_, _, circuits)) = same.and_then(|number| groups.get_mut(number)) {
                    circuits.extend(finding.circuit);
                } else {
                    numbers.push(groups.len());
                    groups.push((index, finding, finding.circuit.into_iter().collect()));
                }
            }
            groups
        };
        let mut wrong = grouped(&|verdict| verdict > Verdict::NotJudged);
        wrong.sort_by_key(|(_, finding, circuits)| {
            let place = finding.place.as_ref().map(along);
            (std::cmp::Reverse(finding.verdict), gravity(finding.rule), circuits.first().copied(), place)
        });
        let mut rows: Vec<Row> = wrong
            .into_iter()
            .zip(1..)
            .map(|((index, finding, circuits), number)| {
                let remedies = remedies.get(index).map_or(&[][..], Vec::as_slice);
                Row { number, finding, circuits, remedies, remain: Vec::new() }
            })
            .collect();
        let remain: Vec<Vec<usize>> = rows.iter().map(|row| remaining(row, &rows)).collect();
        rows.iter_mut().zip(remain).for_each(|(row, remain)| row.remain = remain);
        let passed = grouped(&|verdict| verdict == Verdict::Pass).into_iter();
        let passed: Vec<Pass> = passed
            .map(|(_, finding, circuits)| Pass { finding, circuits, margin: finding.measure.and_then(margin) })
            .collect();
        let blind = grouped(&|verdict| verdict == Verdict::NotJudged).into_iter();
        Self {
            close: closest(&passed),
            rows,
            passed,
            blind: blind.map(|(_, finding, circuits)| (finding, circuits)).collect(),
            unjudged: Vec::new(),
        }
    }

    /// The rows in the order of the route: circuit by circuit, from the compressors to the valve.
    pub fn along_the_route(&self) -> Vec<&Row<'a>> {
        let mut rows: Vec<&Row> = self.rows.iter().collect();
        rows.sort_by_key(|row| {
            (row.circuits.first().copied().unwrap_or(usize::MAX), row.finding.place.as_ref().map_or((5, 0), along))
        });
        rows
    }

    /// What stands in the table of the first screenful: what fails, else the cautions.
    pub fn tabled(&self) -> Verdict {
        if self.count(Verdict::Fail) > 0 { Verdict::Fail } else { Verdict::Caution }
    }

    /// How many findings are of that verdict.
    pub fn count(&self, verdict: Verdict) -> usize {
        self.rows.iter().filter(|row| row.finding.verdict == verdict).count()
    }

    /// How many answers there are: what has a number, and what passed.
    pub fn checks(&self) -> usize {
        self.rows.len() + self.passed_checks()
    }

    /// How many rules found nothing but passes, counted in each circuit.
    pub fn passed_checks(&self) -> usize {
        let all = self.passed.iter().flat_map(|pass| {
            let circuits = pass.circuits.iter().map(|circuit| Some(*circuit));
            let plant = pass.circuits.is_empty().then_some(None);
            circuits.chain(plant).map(|circuit| (pass.finding.rule, circuit))
        });
        let told = |rule: &str, circuit: Option<usize>| {
            let of = |row: &Row| circuit.map_or(row.circuits.is_empty(), |circuit| row.circuits.contains(&circuit));
            self.rows.iter().any(|row| row.finding.rule == rule && of(row))
        };
        all.filter(|(rule, circuit)| !told(rule, *circuit)).collect::<BTreeSet<_>>().len()
    }

    /// Every finding that has a number, with it; one that several circuits share, once for each of them.
    pub fn numbered<'f>(&self, findings: &'f [Finding]) -> impl Iterator<Item = (usize, &'f Finding)> {
        findings.iter().filter_map(|finding| Some((self.number(finding)?, finding)))
    }

    /// The number of a finding, where it has one.
    pub fn number(&self, finding: &Finding) -> Option<usize> {
        let same = |row: &&Row| {
            (row.finding.rule, row.finding.verdict, &row.finding.place)
                == (finding.rule, finding.verdict, &finding.place)
                && row.finding.says == finding.says
                && finding.circuit.is_none_or(|circuit| row.circuits.contains(&circuit))
        };
        self.rows.iter().find(same).map(|row| row.number)
    }
}

impl Row<'_> {
    /// Rules that the first remedy makes fail.
    pub fn newly_fails(&self) -> &[&'static str] {
        self.remedies.first().map_or(&[], |remedy| &remedy.effect.newly_fails)
    }
}

/// The charge of each circuit, where it was counted.
pub(crate) fn charges<'a>(answer: &'a Answer) -> impl Iterator<Item = (usize, &'a Charge)> {
    answer.circuits().enumerate().filter_map(|(index, (_, solved))| Some((index, solved.charge.as_ref()?)))
}

fn alike(a: Option<&Vec<Remedy>>, b: Option<&Vec<Remedy>>) -> bool {
    let effects = |all: Option<&Vec<Remedy>>| all.map_or(0, Vec::len);
    let pairs = a.into_iter().flatten().zip(b.into_iter().flatten());
    effects(a) == effects(b)
        && pairs.into_iter().all(|(a, b)| {
            a.effect == b.effect
                && a.changes.len() == b.changes.len()
                && a.cost.copper_kg.to_bits() == b.cost.copper_kg.to_bits()
        })
}

/// The runs of a place, by number from 1.
fn runs_of(place: &Place) -> Vec<(LineId, usize)> {
    let of = |line: &LineId, runs: &[usize]| runs.iter().map(|run| (*line, *run)).collect::<Vec<_>>();
    match place {
        Place::Runs(line, runs) => of(line, runs),
        Place::Lines(lines) => lines.iter().flat_map(|(line, runs)| of(line, runs)).collect(),
        _ => Vec::new(),
    }
}

/// Failures of what the first remedy of a row changes, which remain with it.
fn remaining(row: &Row, rows: &[Row]) -> Vec<usize> {
    let Some(remedy) = row.remedies.first() else { return Vec::new() };
    let changed: Vec<(LineId, usize)> =
        remedy.changes.iter().filter_map(Change::run).map(|(l, i)| (l, i + 1)).collect();
    let stays = |other: &&Row| {
        let places = other.finding.place.as_ref().map(runs_of).unwrap_or_default();
        other.number != row.number
            && other.finding.verdict == Verdict::Fail
            && other.circuits.iter().any(|circuit| row.circuits.contains(circuit))
            && remedy.effect.still_fails.contains(&other.finding.rule)
            && (places.is_empty() || changed.is_empty() || places.iter().any(|place| changed.contains(place)))
    };
    rows.iter().filter(stays).map(|row| row.number).collect()
}

fn closest<'a>(passed: &[Pass<'a>]) -> Vec<Pass<'a>> {
    let mut close: Vec<Pass> = passed
        .iter()
        // What a control holds stands at its limit.
        .filter(|pass| pass.finding.rule != "low-ambient" && pass.margin.is_some_and(|margin| margin <= CLOSE))
        .filter(|pass| matches!(bound(pass.finding), Some(Bound::Min | Bound::Max)))
        .map(|pass| Pass { finding: pass.finding, circuits: pass.circuits.clone(), margin: pass.margin })
        .collect();
    close.sort_by(|a, b| a.margin.unwrap_or(f64::MAX).total_cmp(&b.margin.unwrap_or(f64::MAX)));
    let mut rules: Vec<&str> = Vec::new();
    close.retain(|pass| {
        let new = !rules.contains(&pass.finding.rule);
        rules.push(pass.finding.rule);
        new
    });
    close.truncate(CLOSEST);
    close
}

#[cfg(test)]
mod tests {
    use super::*;

    fn as_drawn() -> Job {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/as-drawn.toml");
        crate::job::open(&path).unwrap()
    }

    #[test]
    fn what_can_burst_stands_before_what_wears_and_remedies_say_what_remains() {
        let job = as_drawn();
        let survey = crate::survey::survey(&job).unwrap();
        let answer = Answer::new(&job, &survey, crate::rules::check_all(&job, &survey)).with_remedies();
        let first = First::of(&answer);
        let numbers: Vec<usize> = first.rows.iter().map(|row| row.number).collect();
        assert_eq!(numbers, (1..=first.rows.len()).collect::<Vec<_>>());
        assert!(first.rows.is_sorted_by_key(|row| std::cmp::Reverse(row.finding.verdict)));
        let fails: Vec<&Row> = first.rows.iter().filter(|row| row.finding.verdict == Verdict::Fail).collect();
        assert!(fails.is_sorted_by_key(|row| gravity(row.finding.rule)));
        assert_eq!(fails[0].finding.rule, "tube-strength");
        let fast = fails.iter().find(|row| row.finding.rule == "liquid-velocity").unwrap();
        let weak = fails.iter().find(|row| row.remain.contains(&fast.number)).unwrap();
        let [weak, fast] = [weak, fast].map(|row| row.finding.place.as_ref().map(runs_of).unwrap());
        assert!(
            fast.iter().all(|run| weak.contains(run)),
            "tube as narrow with more wall is as fast: {weak:?}, {fast:?}"
        );
        for row in &first.rows {
            assert_eq!(first.number(row.finding), Some(row.number));
        }
    }

    #[test]
    fn the_closest_margins_are_of_passes_and_the_closest_first() {
        let job = as_drawn();
        let survey = crate::survey::survey(&job).unwrap();
        let answer = Answer::new(&job, &survey, crate::rules::check_all(&job, &survey));
        let first = First::of(&answer);
        assert_eq!(first.close.len(), CLOSEST);
        assert!(first.close.is_sorted_by(|a, b| a.margin <= b.margin));
        assert!(first.close.iter().all(|pass| pass.finding.verdict == Verdict::Pass));
        assert_eq!(first.unjudged.len(), 5);
    }

    #[test]
    fn a_bound_is_told_by_the_rule_or_by_the_side_on_which_it_passes() {
        let job = as_drawn();
        let survey = crate::survey::survey(&job).unwrap();
        let findings = crate::rules::check_all(&job, &survey);
        let of = |rule: &str| bound(findings.iter().find(|finding| finding.rule == rule).unwrap());
        assert_eq!(of("liquid-flash"), Some(Bound::Min));
        assert_eq!(of("liquid-hammer"), Some(Bound::Max));
        assert_eq!(of("receiver"), Some(Bound::Max), "a caution within its limit");
        assert_eq!(of("high-pressure"), Some(Bound::Max));
        assert_eq!(of("stop-valves"), Some(Bound::Past));
    }
}
