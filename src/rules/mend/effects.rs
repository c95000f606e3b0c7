//! What a change does to the rules that it was not made for.

use super::super::case::Case;
use super::super::say::list;
use super::super::{Finding, RULES, Verdict, receiver, tube_strength};
use super::count;
use crate::job::LineId;
use crate::job::{Circuit, Part, Path, Receiver, ReceiverStyle, Resistance, Run};
use crate::survey::{Charge, what_if};
use crate::units::{Length, PressureDifference, cubic_metres};
use std::fmt::Write as _;

/// How much further past its limit a fail is worth a word: of the limit, or in kelvins.
const MATTERS: f64 = 0.05;
/// The same of temperatures and their differences, K.
const MATTERS_K: f64 = 0.3;

/// What a change does to other rules.
pub(super) struct Effects {
    /// Rules that fail with it and did not before, or fail in more places.
    broken: Vec<&'static str>,
    /// Rules that failed before and with it fail too: by more, or in what was changed.
    too: Vec<&'static str>,
    /// Rules that were content and with it have something worth a caution.
    cautioned: Vec<&'static str>,
}

impl Effects {
    /// Compares what all rules say before and after a change made for the sake of `rule`.
    pub(super) fn of(rule: &str, before: (&Case, &[Finding]), after: (&Case, &[Finding])) -> Self {
        let mut effects = Self { broken: Vec::new(), too: Vec::new(), cautioned: Vec::new() };
        for id in RULES.iter().map(|rule| rule.id).filter(|id| *id != rule) {
            let fails = [count(before.1, id, Verdict::Fail), count(after.1, id, Verdict::Fail)];
            let cautions = [count(before.1, id, Verdict::Caution), count(after.1, id, Verdict::Caution)];
            if id == tube_strength::RULE.id && fails[1] > 0 {
                let (weak, were) = (tube_strength::weak_runs(after.0), tube_strength::weak_runs(before.0));
                let changed = |run: &&(LineId, usize)| tubes(before.0, **run) != tubes(after.0, **run);
                if fails[0] == 0 || weak.iter().any(|run| !were.contains(run)) {
                    effects.broken.push(id);
                } else if weak.iter().any(|run| changed(&run)) {
                    effects.too.push(id);
                }
            } else if fails[1] > fails[0] {
                effects.broken.push(id);
            } else if fails[1] > 0 && worse(before.1, after.1, id) {
                effects.too.push(id);
            } else if cautions[0] == 0 && cautions[1] > 0 {
                effects.cautioned.push(id);
            }
        }
        // With another charge the receiver that is needed is another: worth a word as long as what is drawn fails.
        let id = receiver::RULE.id;
        let heavier = charge(after.0) > charge(before.0) * 1.02;
        if id != rule && heavier && count(after.1, id, Verdict::Fail) > 0 && !effects.harmed().any(|other| other == id)
        {
            effects.too.push(id);
        }
        effects
    }

    /// The rules that fail because of the change.
    fn harmed(&self) -> impl Iterator<Item = &'static str> {
        self.broken.iter().chain(&self.too).copied()
    }

    /// Whether no rule fails that did not fail before.
    pub(super) fn breaks_nothing(&self) -> bool {
        self.broken.is_empty()
    }

    /// Whether no rule fails because of the change.
    pub(super) fn keeps_all(&self) -> bool {
        self.harmed().next().is_none()
    }

    /// In sentences, after another.
    pub(super) fn tell(&self, after: &Case) -> String {
        let names = |ids: &[&'static str]| list(ids.iter().map(|id| name(after, id)));
        let verb = if self.too.len() == 1 { "fails" } else { "fail" };
        let mut text = match (self.broken.is_empty(), self.too.is_empty()) {
            (true, true) => String::new(),
            (false, true) => format!(" But {} would then fail.", names(&self.broken)),
            (true, false) => format!(" But {} {verb} with it too.", names(&self.too)),
            (false, false) => {
                format!(" But {} would then fail, and {} {verb} with it too.", names(&self.broken), names(&self.too))
            }
        };
        if !self.cautioned.is_empty() {
            let word = if self.cautioned.len() == 1 { "a caution" } else { "cautions" };
            let _ = write!(text, " With it {} would be {word}.", self.cautions());
        }
        text
    }

    /// Short, for within brackets: `; liquid-flash fails with it too`.
    pub(super) fn aside(&self) -> String {
        let names = |ids: &mut dyn Iterator<Item = &'static str>| list(ids.map(str::to_owned));
        let fails = match self.harmed().count() {
            0 => String::new(),
            1 => format!("; {} fails with it too", names(&mut self.harmed())),
            _ => format!("; {} fail with it too", names(&mut self.harmed())),
        };
        let cautions = match self.cautioned.len() {
            0 => String::new(),
            1 => format!("; {} would be a caution", self.cautions()),
            _ => format!("; {} would be cautions", self.cautions()),
        };
        fails + &cautions
    }

    /// The rules that would have something worth a caution.
    fn cautions(&self) -> String {
        list(self.cautioned.iter().map(|id| (*id).to_owned()))
    }
}

/// A rule that fails after a change, with what it asks for where that is a number to build by.
fn name(after: &Case, id: &str) -> String {
    let asks = if id == receiver::RULE.id {
        needs_in_words(after)
    } else if id == tube_strength::RULE.id {
        tube_strength::design(after).map(|d| format!("which asks for {}", after.show().pressure_difference(d.pressure)))
    } else {
        None
    };
    asks.map_or_else(|| id.to_owned(), |asks| format!("{id} ({asks})"))
}

/// The tubes of a run by name; nothing where there is no such run.
fn tubes<'a>(case: &Case<'a>, (side, index): (LineId, usize)) -> Option<Vec<&'a str>> {
    let run = side.of(case.circuit).runs.get(index)?;
    Some(run.tubes.iter().map(|tube| tube.name.as_str()).collect())
}

/// Whether the worst fail of a rule lies further past its limit than before, by an amount that matters.
fn worse(before: &[Finding], after: &[Finding], rule: &str) -> bool {
    let past = |findings: &[Finding]| {
        let fails = findings.iter().filter(|f| f.rule == rule && f.verdict == Verdict::Fail);
        let each = fails.filter_map(|f| {
            let found = f.measure?;
            let (value, limit) = (found.value, found.limit?);
            let scale = if found.kind.si_unit() == "K" { MATTERS_K } else { limit.abs().max(1e-9) * MATTERS };
            Some((value - limit).abs() / scale)
        });
        each.fold(0.0, f64::max)
    };
    past(after) > past(before) + 1.0
}

/// What the charge is, and what is not in it.
const CHARGE_TOLD: &str = "the charge then being";

/// The charge of a circuit, kg; nothing where it could not be counted.
fn charge(case: &Case) -> f64 {
    case.solved.charge.as_ref().map_or(f64::NAN, |charge| charge.total_kg)
}

/// What charge and which receiver a circuit asks for: `the charge then being 120 lb and the receiver needed 3.10 ft3`. One
/// without a receiver is solved with one.
fn needs_in_words(case: &Case) -> Option<String> {
    let show = case.show();
    let tell = |charge: &Charge, needed: f64| {
        let volume = show.volume(super::whole_volume_up(show, needed));
        format!("{CHARGE_TOLD} {} and the receiver needed {volume}", show.mass(charge.total_kg))
    };
    let charge = case.solved.charge.as_ref()?;
    if let Some(receiver) = &charge.receiver {
        return Some(tell(charge, receiver.needed_m3?));
    }
    let mut circuit = case.circuit.clone();
    let with = surge(&circuit, None)?;
    circuit.liquid.runs.insert(0, with);
    let solved = what_if(case.job, &circuit).ok()?;
    let charge = solved.charge.as_ref()?;
    Some(tell(charge, charge.receiver?.needed_m3?))
}

/// A surge receiver of that volume at the head of the liquid line.
fn surge(circuit: &Circuit, volume: Option<f64>) -> Option<Run> {
    let first = circuit.liquid.runs.first()?.clone();
    let part = Part {
        name: "receiver".to_owned(),
        resistance: Resistance::Loss(PressureDifference::default()),
        receiver: Some(Receiver { style: ReceiverStyle::Surge, volume: volume.map(cubic_metres), vented: false }),
        closes: false,
        checks: false,
    };
    Some(Run { path: Path::Part(part), fittings: Vec::new(), around: None, insulation: Length::default(), ..first })
}
