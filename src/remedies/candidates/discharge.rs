//! What is tried for the discharge line: its sizes, its double riser, its traps and slopes, a check valve.

use super::{Sized, Try};
use crate::job::{Circuit, LineId, Part, Path, Slope};
use crate::refdata::{self, Tube, Typical};
use crate::remedies::change::{as_written, insert, move_run};
use crate::remedies::refit::{SLACK_M, missing, typical};
use crate::remedies::tubes::{double_risers, lifting_bore, ordinary_riser, put, sizes, smaller, tubed};
use crate::rules::Place;
use crate::rules::Verdict;
use crate::units::{Kind, System, factor, metres};

impl Try<'_> {
    pub(super) fn wider_discharge(&self) -> Vec<Circuit> {
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
        // One tube in place of two that together are narrower, then two where one cannot grow: for a fail, since nobody splits a riser
        // for a caution.
        let fails = self.finding.verdict == Verdict::Fail;
        for riser in self.circuit().discharge.risers() {
            tries.extend(self.single_risers(&riser, 2));
            let wide = steps(&level, 1);
            for circuit in self.pairs(&riser, if fails { 2 } else { 0 }) {
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
    fn single_risers(&self, riser: &[usize], maximum: usize) -> Vec<Circuit> {
        self.one_tube(riser, self.lifting_sizes(riser).into_iter().take(maximum))
    }

    /// The same, no wider than the level tube that leads to it before any that is.
    fn ordinary_risers(&self, riser: &[usize], maximum: usize) -> Vec<Circuit> {
        let widest = ordinary_riser(self.circuit());
        let sizes = self.lifting_sizes(riser).into_iter();
        let (ordinary, wider): (Vec<Tube>, Vec<Tube>) = sizes.partition(|tube| tube.bore().value <= widest);
        self.one_tube(riser, ordinary.into_iter().chain(wider).take(maximum))
    }

    fn one_tube(&self, riser: &[usize], sizes: impl Iterator<Item = Tube>) -> Vec<Circuit> {
        sizes.map(|tube| self.changed(|circuit| put(circuit, LineId::Discharge, riser, &[tube]))).collect()
    }

    /// The tubes that lift the oil of all of a riser by themselves, the largest first.
    fn lifting_sizes(&self, riser: &[usize]) -> Vec<Tube> {
        let spare = self.case.limit("oil_riser_caution").value;
        let lifting = self.lifting_bore(riser, spare);
        let Some(drawn) = self.largest(riser) else { return Vec::new() };
        let fits = sizes(&self.case, LineId::Discharge, drawn).into_iter().rev();
        fits.filter(|tube| tube.bore().value <= lifting).collect()
    }

    /// The largest bore that lifts the oil of all of a riser.
    fn lifting_bore(&self, riser: &[usize], ratio: f64) -> f64 {
        riser.iter().map(|run| lifting_bore(&self.case, *run, ratio)).fold(f64::INFINITY, f64::min)
    }

    /// The largest tube of a riser.
    fn largest(&self, riser: &[usize]) -> Option<&Tube> {
        let runs = riser.iter().filter_map(|run| self.circuit().discharge.runs.get(*run));
        runs.filter_map(|run| run.tubes.last()).max_by(|a, b| a.bore().value.total_cmp(&b.bore().value))
    }

    /// Two tubes for a riser, with the trap at the foot by which the larger one seals.
    fn pairs(&self, riser: &[usize], maximum: usize) -> Vec<Circuit> {
        let spare = self.case.limit("oil_riser_caution").value;
        let Some(run) = riser.first().copied() else { return Vec::new() };
        let pairs = double_risers(&self.case, run, spare).into_iter().take(maximum);
        pairs
            .map(|pair| {
                self.changed(|circuit| {
                    put(circuit, LineId::Discharge, riser, &pair);
                    if let Some(Path::Rise { traps, .. }) = circuit.discharge.runs.get_mut(run).map(|run| &mut run.path)
                    {
                        traps.foot = true;
                    }
                })
            })
            .collect()
    }

    pub(super) fn lifting(&self) -> Vec<Circuit> {
        let named = self.runs(LineId::Discharge);
        let risers = self.circuit().discharge.risers();
        let mut tries = Vec::new();
        for riser in risers.into_iter().filter(|riser| riser.iter().any(|run| named.contains(run))) {
            let limit = self.case.limit("oil_riser").value;
            let drawn = self.largest(&riser).cloned();
            tries.extend(self.ordinary_risers(&riser, 2));
            // Where no size clears the caution, what lifts at all.
            let lifting = self.lifting_bore(&riser, limit);
            let fits = drawn.iter().flat_map(|drawn| smaller(&self.case, LineId::Discharge, drawn));
            tries.extend(
                fits.filter(|tube| tube.bore().value <= lifting)
                    .take(1)
                    .map(|tube| self.changed(|circuit| put(circuit, LineId::Discharge, &riser, &[tube]))),
            );
            tries.extend(self.pairs(&riser, 4));
        }
        tries.extend(self.less_bypass());
        tries
    }

    pub(super) fn less_bypass(&self) -> Vec<Circuit> {
        let share = self.circuit().compressors.bypass.share;
        // To the whole per cent, as it is set.
        let shares = [0.75, 0.5, 0.25].map(|part| (share * part * 100.0).floor() / 100.0);
        let less = shares.into_iter().filter(|less| *less > 0.0 && *less < share);
        less.map(|less| self.changed(|circuit| circuit.compressors.bypass.share = less)).collect()
    }

    pub(super) fn sweeping(&self) -> Vec<Circuit> {
        let limit = self.case.limit("oil_level").value;
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

    pub(super) fn sloped(&self) -> Vec<Circuit> {
        let changed = self.changed(|circuit| {
            for run in &mut circuit.discharge.runs {
                if let Path::Level { slope, .. } = &mut run.path {
                    *slope = Some(Slope::WithFlow);
                }
            }
        });
        if changed.discharge == self.circuit().discharge { Vec::new() } else { vec![changed] }
    }

    pub(super) fn trapped(&self) -> Vec<Circuit> {
        if let Some(level) = self.out_of_the_riser() {
            return vec![level];
        }
        let spacing = self.case.limit("trap_spacing").value;
        let tall = self.case.limit("trap_height").value;
        let tenth = if self.case.job.units == System::Ip { 0.1 * factor::FOOT } else { 0.1 };
        let runs: Vec<usize> = self.runs(LineId::Discharge).into_iter().filter(|run| self.is_riser(*run)).collect();
        let (foot, head) = (runs.first().copied(), runs.last().copied());
        vec![self.changed(|circuit| {
            for run in runs {
                let Some(Path::Rise { length, traps }) = circuit.discharge.runs.get_mut(run).map(|run| &mut run.path)
                else {
                    continue;
                };
                let between = missing(length.value, traps, spacing);
                // Of a riser in several runs the lowest has the foot.
                traps.foot |= Some(run) == foot;
                let rounded = |height: &f64| as_written(Kind::Length, (height / tenth).round() * tenth, self.case.job);
                traps.between.extend(between.iter().map(|height| metres(rounded(height))));
                traps.between.sort_by(|a, b| a.value.total_cmp(&b.value));
                // A list of heights has the loop at the top with it, and a tall riser wants one.
                traps.top |= !traps.between.is_empty() || (Some(run) == head && length.value > tall + SLACK_M);
            }
        })]
    }

    /// The parts in a riser that the finding names, moved to the end of the level run before it.
    fn out_of_the_riser(&self) -> Option<Circuit> {
        let Some(Place::Runs(LineId::Discharge, numbers)) = &self.finding.place else { return None };
        let runs = &self.circuit().discharge.runs;
        let is_part = |number: &usize| matches!(runs.get(number - 1).map(|run| &run.path), Some(Path::Part(_)));
        let first = numbers.iter().min().filter(|_| numbers.iter().all(is_part))?;
        let before =
            runs.iter().take(first - 1).rposition(|run| matches!(run.path, Path::Level { .. } | Path::Drop { .. }));
        let foot = before.map_or(0, |level| level + 1);
        Some(self.changed(|circuit| {
            for (moved, number) in numbers.iter().enumerate() {
                move_run(&mut circuit.discharge, number - 1, foot + moved);
            }
        }))
    }

    /// The part that the finding names at the end of its line.
    fn at_the_end(&self) -> Option<Circuit> {
        let Some(Place::Runs(line, numbers)) = &self.finding.place else { return None };
        let (line, [number]) = (*line, numbers.as_slice()) else { return None };
        let drawn = line.of(self.circuit());
        let at = number.checked_sub(1)?;
        let is_part = matches!(drawn.runs.get(at)?.path, Path::Part(_));
        is_part.then(|| self.changed(|circuit| move_run(line.of_mut(circuit), at, drawn.runs.len() - 1)))
    }

    /// A check valve at the condenser; a valve that stands in the wrong place at the end of its line.
    pub(super) fn checked(&self) -> Vec<Circuit> {
        if let Some(moved) = self.at_the_end() {
            return vec![moved];
        }
        let facts = refdata::parts().iter().find(|part| part.checks);
        let Some((facts, Typical::Loss(loss))) = facts.map(|facts| (facts, facts.typical)) else { return Vec::new() };
        let part = Part {
            name: facts.name.clone(),
            resistance: typical(loss, self.case.job),
            receiver: None,
            subcooler: None,
            closes: facts.closes,
            checks: true,
            bypass: false,
        };
        vec![self.changed(|circuit| insert(&mut circuit.discharge, usize::MAX, part))]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, Run};
    use crate::remedies::testing::{case, finding, surveyed};
    use crate::rules::Finding;
    use crate::rules::testing::{changed, discharge};

    fn tried<T>(job: &Job, about: &Finding, of: impl Fn(&Try) -> T) -> T {
        of(&Try { case: case(job, &surveyed(job)), finding: about })
    }

    #[test]
    fn a_bypass_is_set_to_three_quarters_half_and_a_quarter_in_whole_per_cents_but_never_shut() {
        let less = |share: f64| {
            let job = changed(|circuit| circuit.compressors.bypass.share = share);
            let share = |circuit: Circuit| circuit.compressors.bypass.share;
            let about = finding("oil-riser", Verdict::Fail, None);
            tried(&job, &about, |it| it.less_bypass().into_iter().map(share).collect::<Vec<f64>>())
        };
        // 11.25, 7.5 and 3.75 %; 1.5, 1 and 0.5 %.
        assert_eq!(less(0.15), [0.11, 0.07, 0.03]);
        assert_eq!(less(0.02), [0.01, 0.01]);
        assert!(less(0.0).is_empty());
    }

    /// A discharge line of those runs of the drawn one by number (1 level, 2 rise, 4 a part), and where they stand with the parts of
    /// those places out of the riser: each run by its place before. `down` turns the second run to a drop.
    fn out(runs: &[usize], parts: &[usize], down: bool) -> Option<Vec<usize>> {
        let job = changed(|circuit| {
            let drawn = circuit.discharge.runs.clone();
            circuit.discharge.runs = runs.iter().map(|number| drawn[number - 1].clone()).collect();
            if down {
                discharge(circuit, 2).path = Path::Drop { length: metres(1.0) };
            }
            // Each is known by its insulation.
            for (run, number) in circuit.discharge.runs.iter_mut().zip(1_u8..) {
                run.insulation = metres(f64::from(number));
            }
        });
        let place = Some(Place::Runs(LineId::Discharge, parts.to_vec()));
        let places = |circuit: Circuit| {
            let of = |run: &Run| (1_u8..=9).find(|number| run.insulation == metres(f64::from(*number)));
            circuit.discharge.runs.iter().filter_map(of).map(usize::from).collect()
        };
        tried(&job, &finding("riser-traps", Verdict::Caution, place), |it| it.out_of_the_riser().map(places))
    }

    #[test]
    fn parts_in_a_riser_go_in_their_order_behind_the_level_run_or_the_drop_before_it() {
        assert_eq!(out(&[1, 2, 4, 2, 4, 1], &[3, 5], false), Some(vec![1, 3, 5, 2, 4, 6]));
        assert_eq!(out(&[1, 2, 4, 1], &[3], false), Some(vec![1, 3, 2, 4]));
        // Level, drop, rise, part, rise.
        assert_eq!(out(&[1, 1, 2, 4, 2], &[4], true), Some(vec![1, 2, 4, 3, 5]));
        // Where nothing is before the riser: at its start.
        assert_eq!(out(&[2, 4, 2, 1], &[2], false), Some(vec![2, 1, 3, 4]));
        // A rise is no part.
        assert_eq!(out(&[1, 2, 4, 2], &[2, 3], false), None);
    }
}
