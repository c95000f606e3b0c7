//! The search for what would mend a fault: change the circuit as drawn, solve it again, let every rule look at it.
//!
//! Estimates by similarity (loss falls with the fifth power of the bore, the least flow that lifts oil grows with its
//! power of 2.5) only choose what is tried first. What a mend says comes from the circuit solved with it.

mod effects;
mod feeding;
mod names;
mod sizing;

pub(super) use feeding::feeding;
pub(super) use names::{name_control, name_pair, name_rejection, name_single, name_sizing};
pub(super) use sizing::{
    Sizing, TIMES, apply, double_riser, larger, lifting_bore, single_riser, sizes, smaller, widen,
};

use super::case::{Case, greatest};
use super::{Finding, Verdict, look};
use crate::job::LineId;
use crate::job::{Circuit, Job, Path, Resistance};
use crate::survey::PointId;
use crate::survey::{CircuitSurvey, Point, what_if};
use crate::units::{System, factor, pascals};
use effects::Effects;

/// How many changed circuits one finding may solve.
const MOST: u32 = 10;

/// Changes to one circuit, tried one after another to mend one finding.
pub(super) struct Tries<'a> {
    case: &'a Case<'a>,
    rule: &'static str,
    verdict: Verdict,
    before: Vec<Finding>,
    left: u32,
}

/// A changed circuit, solved and looked at.
pub(super) struct Trial<'a> {
    job: &'a Job,
    index: usize,
    /// The circuit as changed.
    pub circuit: Circuit,
    solved: CircuitSurvey,
    mends: bool,
    clears: bool,
    heals: bool,
    effects: Effects,
}

impl<'a> Tries<'a> {
    /// A fresh search for what takes a rule's finding of that verdict away.
    pub(super) fn new(case: &'a Case<'a>, rule: &'static str, verdict: Verdict) -> Self {
        Self { case, rule, verdict, before: look(&Case { mending: false, ..*case }), left: MOST }
    }

    /// Solves the circuit with a change; nothing where the search has tried enough.
    pub(super) fn with(&mut self, change: impl FnOnce(&mut Circuit)) -> Option<Trial<'a>> {
        self.left = self.left.checked_sub(1)?;
        let mut circuit = self.case.circuit.clone();
        change(&mut circuit);
        let job = self.case.job;
        let solved = what_if(job, &circuit).ok()?;
        let after = look(&Case { job, index: self.case.index, circuit: &circuit, solved: &solved, mending: false });
        let fewer = |verdict| count(&after, self.rule, verdict) < count(&self.before, self.rule, verdict);
        let (mends, clears) = (fewer(self.verdict), fewer(Verdict::Caution));
        let heals = count(&after, self.rule, Verdict::Fail) == 0;
        let now = Case { job, index: self.case.index, circuit: &circuit, solved: &solved, mending: false };
        let effects = Effects::of(self.rule, (self.case, &self.before), (&now, &after));
        Some(Trial { job, index: self.case.index, circuit, solved, mends, clears, heals, effects })
    }

    /// The first of several changes that clears the rule and breaks no other; else the first of the best that mend.
    pub(super) fn first<C>(
        &mut self,
        changes: impl IntoIterator<Item = C>,
        apply: impl Fn(&C, &mut Circuit),
    ) -> Option<(C, Trial<'a>)> {
        let mut best: Option<(C, Trial<'a>)> = None;
        for change in changes {
            let Some(trial) = self.with(|circuit| apply(&change, circuit)) else { break };
            if !trial.mends() {
                continue;
            }
            if trial.rank() == Trial::BEST {
                return Some((change, trial));
            }
            if best.as_ref().is_none_or(|(_, known)| trial.rank() > known.rank()) {
                best = Some((change, trial));
            }
        }
        best
    }

    /// Whether a rule failed before anything was changed.
    pub(super) fn failed(&self, rule: &str) -> bool {
        count(&self.before, rule, Verdict::Fail) > 0
    }
}

impl Trial<'_> {
    /// The changed circuit as a case.
    pub(super) fn case(&self) -> Case<'_> {
        Case { job: self.job, index: self.index, circuit: &self.circuit, solved: &self.solved, mending: false }
    }

    /// Whether the rule has fewer findings as bad as the one to be mended.
    pub(super) fn mends(&self) -> bool {
        self.mends
    }

    /// Rank of a change that clears the rule and breaks no other.
    const BEST: (bool, bool, bool) = (true, true, true);

    /// How good a change that mends is: that it breaks no other rule counts before that nothing of the rule is left.
    fn rank(&self) -> (bool, bool, bool) {
        (self.breaks_nothing(), self.clears, self.effects.keeps_all())
    }

    /// Whether nothing worth a caution is left of what was to be mended.
    pub(super) fn clears(&self) -> bool {
        self.clears
    }

    /// Whether no fail of the rule is left at any point.
    pub(super) fn heals(&self) -> bool {
        self.heals
    }

    /// `would do: 0.93 F`, or `would bring it to 1.12 F` where that is still worth a caution.
    pub(super) fn does(&self, reaches: &str) -> String {
        if self.clears { format!("would do: {reaches}") } else { format!("would bring it to {reaches}") }
    }

    /// Whether no rule fails that did not fail before.
    pub(super) fn breaks_nothing(&self) -> bool {
        self.effects.breaks_nothing()
    }

    /// Whether no rule fails because of the change, whether it failed before or not.
    pub(super) fn keeps_all(&self) -> bool {
        self.effects.keeps_all()
    }

    /// What the change does to other rules, as sentences after another; empty where it harms none.
    pub(super) fn but(&self) -> String {
        self.effects.tell(&self.case())
    }

    /// What the change does to other rules, short, for within brackets; empty where it harms none.
    pub(super) fn aside(&self) -> String {
        self.effects.aside()
    }

    /// Whether every operating point has a solution.
    pub(super) fn solves_all(&self) -> bool {
        self.solved.unsolved.is_empty()
    }

    /// The operating point of that name on the changed circuit.
    pub(super) fn point(&self, id: PointId) -> Option<&Point> {
        self.solved.point(id)
    }
}

/// How many findings of a rule are as bad as that.
fn count(findings: &[Finding], rule: &str, verdict: Verdict) -> usize {
    findings.iter().filter(|f| f.rule == rule && f.verdict >= verdict).count()
}

/// A temperature up to the next whole degree of the report.
pub(super) fn whole_degree_up(show: System, kelvin: f64) -> f64 {
    match show {
        System::Ip => factor::fahrenheit_to_kelvin((factor::kelvin_to_fahrenheit(kelvin) - 1e-6).ceil()),
        System::Si => (kelvin - 273.15 - 1e-6).ceil() + 273.15,
    }
}

/// A temperature difference up to the next half degree of the report.
pub(super) fn half_degree_up(show: System, kelvin: f64) -> f64 {
    let half = match show {
        System::Ip => 0.5 * factor::FAHRENHEIT_DEGREE,
        System::Si => 0.5,
    };
    (kelvin / half - 1e-6).ceil() * half
}

/// A volume of a vessel up to the next tenth of a cubic foot or whole litre.
pub(super) fn whole_volume_up(show: System, cubic_metres: f64) -> f64 {
    let step = match show {
        System::Ip => 0.1 * factor::CUBIC_FOOT,
        System::Si => factor::LITRE,
    };
    (cubic_metres / step - 1e-6).ceil() * step
}

/// A length up to the next half foot or tenth of a metre.
pub(super) fn length_up(show: System, metres: f64) -> f64 {
    let step = match show {
        System::Ip => 0.5 * factor::FOOT,
        System::Si => 0.1,
    };
    (metres / step - 1e-6).ceil() * step
}

/// The largest part of a line at an operating point, and the loss at the rated flow down to which it would have to come to
/// bring the whole line down to `wanted_pa`, where that is more than nothing.
pub(super) fn easier_part(case: &Case, side: LineId, point: &Point, wanted_pa: f64) -> Option<(usize, f64)> {
    let answers = &point.line(side).runs;
    let (worst, loss) =
        greatest(answers.iter().filter(|run| run.path == "part").map(|run| (run.index, run.friction_Pa)))?;
    let over = point.line(side).friction_Pa + point.line(side).parts_Pa - wanted_pa;
    let share = (loss - over) / loss;
    let rated = case.solved.point(PointId::Rating)?.line(side).runs.get(worst.checked_sub(1)?)?.friction_Pa;
    // Down to the tenth of psi or kPa, as it is told.
    let tenth = match case.show() {
        System::Ip => 0.1 * factor::PSI,
        System::Si => 100.0,
    };
    let most = (rated * share / tenth).floor() * tenth;
    (most > 0.0).then_some((worst, most))
}

/// Gives a part another loss at the rated flow.
pub(super) fn set_loss(circuit: &mut Circuit, side: LineId, number: usize, loss_pa: f64) {
    if let Some(Path::Part(part)) = side.of_mut(circuit).runs.get_mut(number.wrapping_sub(1)).map(|run| &mut run.path) {
        part.resistance = Resistance::Loss(pascals(loss_pa));
    }
}

/// About the least factor from `first` up with which a change mends the rule: up by a quarter or more at a time, then back.
/// Whatever the change does must help more the greater the factor.
pub(super) fn least_factor<'a>(
    tries: &mut Tries<'a>,
    first: f64,
    good: impl Fn(&Trial) -> bool,
    apply: impl Fn(f64, &mut Circuit),
) -> Option<(f64, Trial<'a>)> {
    // Two decimals, as it is told.
    let round = |factor: f64| (factor * 100.0 - 1e-6).ceil() / 100.0;
    let (mut bad, mut factor, mut step) = (1.0, round(first.max(1.01)), 1.25);
    let mut best: Option<(f64, Trial<'a>)> = None;
    for _ in 0..5 {
        let trial = tries.with(|circuit| apply(factor, circuit))?;
        if good(&trial) {
            best = Some((factor, trial));
            break;
        }
        bad = factor;
        factor = round(factor * step);
        step *= 1.25;
    }
    for _ in 0..3 {
        let (top, _) = best.as_ref()?;
        let middle = round((top * bad).sqrt());
        if middle >= *top || top / bad < 1.03 {
            break;
        }
        let Some(trial) = tries.with(|circuit| apply(middle, circuit)) else { break };
        if good(&trial) {
            best = Some((middle, trial));
        } else {
            bad = middle;
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::super::testing::{changed, discharge, job, solved, with_tubes};
    use super::*;
    use crate::units::factor::fahrenheit_to_kelvin;

    #[test]
    fn a_search_ends_and_says_what_it_breaks() {
        let wide = changed(|circuit| with_tubes(discharge(circuit, 2), &["4-1/8 ACR"]));
        let survey = solved(&wide);
        let case = Case::all(&wide, &survey).next().unwrap();
        let mut tries = Tries::new(&case, "oil-lift", Verdict::Fail);
        let narrow = tries.with(|circuit| with_tubes(discharge(circuit, 2), &["1-3/8 ACR"])).unwrap();
        assert!(narrow.mends() && !narrow.breaks_nothing());
        assert!(narrow.but().starts_with(" But discharge-drop"), "{}", narrow.but());
        assert!(narrow.but().contains(" would then fail."), "{}", narrow.but());
        let same = tries.with(|_| {}).unwrap();
        assert!(!same.mends() && same.breaks_nothing() && same.but().is_empty());
        assert_eq!((0..).map_while(|_| tries.with(|_| {})).count(), MOST as usize - 2);
    }

    #[test]
    fn the_first_that_breaks_nothing_comes_before_the_first_that_mends() {
        let wide = changed(|circuit| with_tubes(discharge(circuit, 2), &["4-1/8 ACR"]));
        let survey = solved(&wide);
        let case = Case::all(&wide, &survey).next().unwrap();
        let choose = |names: &[&'static str]| {
            let mut tries = Tries::new(&case, "oil-lift", Verdict::Fail);
            let found = tries.first(names.to_vec(), |name, circuit| with_tubes(discharge(circuit, 2), &[name]));
            found.map(|(name, _)| name)
        };
        assert_eq!(choose(&["3-5/8 ACR", "1-3/8 ACR", "2-5/8 ACR"]), Some("2-5/8 ACR"));
        assert_eq!(choose(&["3-5/8 ACR", "1-3/8 ACR"]), Some("1-3/8 ACR"));
        assert_eq!(choose(&["3-5/8 ACR"]), None);
    }

    #[test]
    fn sizes_go_up_in_bore_and_leave_none_out() {
        let job = job();
        let survey = solved(&job);
        let case = Case::all(&job, &survey).next().unwrap();
        let tube = case.circuit.discharge.runs[1].tubes[0].clone();
        let sizes = sizes(&case, LineId::Discharge, &tube);
        assert!(sizes.windows(2).all(|pair| pair[0].bore() < pair[1].bore()));
        assert!(larger(&case, LineId::Discharge, &tube).all(|other| other.bore() > tube.bore()));
        assert!(smaller(&case, LineId::Discharge, &tube).all(|other| other.bore() < tube.bore()));
        let known = crate::refdata::tubes().iter().filter(|tube| tube.kind == "ACR").count();
        assert_eq!(sizes.len(), known);
    }

    #[test]
    fn degrees_are_rounded_up_in_the_reports_unit() {
        let fahrenheit = whole_degree_up(System::Ip, fahrenheit_to_kelvin(84.2));
        assert!((fahrenheit - fahrenheit_to_kelvin(85.0)).abs() < 1e-9);
        assert!((whole_degree_up(System::Si, 303.15) - 303.15).abs() < 1e-9);
        assert!((half_degree_up(System::Si, 4.1) - 4.5).abs() < 1e-9);
        assert!((half_degree_up(System::Ip, 5.0) - 5.0).abs() < 1e-9);
    }

    #[test]
    fn a_rule_that_failed_before_fails_too_and_says_what_it_asks_for() {
        let weak = changed(|circuit| {
            circuit.refrigerant = "R-410A".to_owned();
            circuit.condenser.cutout = None;
            with_tubes(discharge(circuit, 2), &["4-1/8 ACR"]);
        });
        let survey = solved(&weak);
        let case = Case::all(&weak, &survey).next().unwrap();
        let mut tries = Tries::new(&case, "oil-lift", Verdict::Fail);
        assert!(tries.failed("tube-strength"));
        let other = tries.with(|circuit| with_tubes(discharge(circuit, 2), &["2-5/8 ACR"])).unwrap();
        assert!(other.but().contains("tube-strength (which asks for "), "{}", other.but());
        assert!(
            other.but().contains(" with it too") && !other.keeps_all() && other.breaks_nothing(),
            "{}",
            other.but()
        );
        let elsewhere = tries.with(|_| {}).unwrap();
        assert!(elsewhere.but().is_empty(), "{}", elsewhere.but());
        let strong = tries.with(|circuit| with_tubes(discharge(circuit, 2), &["2-1/2 Sch40"])).unwrap();
        assert!(!strong.but().contains("tube-strength"), "{}", strong.but());
    }

    #[test]
    fn what_clears_does_and_what_leaves_a_caution_brings_it_there() {
        let narrow = changed(|circuit| {
            for number in 1..=3 {
                with_tubes(discharge(circuit, number), &["1-5/8 ACR"]);
            }
        });
        let survey = solved(&narrow);
        let case = Case::all(&narrow, &survey).next().unwrap();
        let mut tries = Tries::new(&case, "discharge-drop", Verdict::Fail);
        let mut with = |name: &'static str| tries.with(|circuit| with_tubes(discharge(circuit, 2), &[name])).unwrap();
        let (some, all) = (with("2-1/8 ACR"), with("2-5/8 ACR"));
        assert!(some.mends() && !some.clears(), "{}", some.does("it"));
        assert_eq!(some.does("1.2 F"), "would bring it to 1.2 F");
        assert_eq!((all.clears(), all.does("0.9 F").as_str()), (true, "would do: 0.9 F"));
    }
}
