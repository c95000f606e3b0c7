//! The worst hour of a circuit's year, in words, and the circuits of which no hour can be looked at.

use super::finding::{Finding, Source, Verdict, When};
use super::say::{Say, Value, say};
use crate::job::{Circuit, Job, Running};
use crate::units::Kind;
use crate::year::{CircuitYear, Worst, Year};

/// A circuit with its year.
#[derive(Clone, Copy)]
pub(super) struct Of<'a> {
    /// The circuit's index in the job.
    pub index: usize,
    /// The circuit.
    pub circuit: &'a Circuit,
    /// Its year.
    pub year: &'a CircuitYear,
}

/// The circuits of a job with their years.
pub(super) fn each<'a>(job: &'a Job, year: &'a Year) -> impl Iterator<Item = Of<'a>> {
    let circuits = job.circuits.iter().zip(&year.circuits).enumerate();
    circuits.map(|(index, (circuit, year))| Of { index, circuit, year })
}

impl Of<'_> {
    /// A finding about this circuit.
    pub(super) fn finding(&self, rule: &'static str, verdict: Verdict) -> Finding {
        Finding::new(rule, verdict, Some(self.index))
    }

    /// A circuit that runs in no hour: none has a solution, or it carries no load though the plant has one.
    pub(super) fn idle(&self, job: &Job, rule: &'static str) -> Option<Finding> {
        if self.year.running_hours > 0.0 {
            return None;
        }
        let finding = self.finding(rule, Verdict::NotJudged);
        if self.year.trips.worst.is_none() {
            let says = "Not judged: no hour of the year has a solution with all compressors running.";
            return Some(finding.says(says).by(Source::Balance));
        }
        if self.year.mean_capacity_W.is_none() {
            let says = "Not judged: the high-pressure cut-out trips in every hour of the year, at any number of \
                        compressors.";
            return Some(finding.says(says).by(Source::Balance));
        }
        let says = match job.plant.as_ref()?.running {
            Running::Few => say("The chillers ahead of it in the file carry the load in every hour", []),
            Running::All => say("The plant has no load", []),
        };
        let rest = ", so it never runs in the year: not judged. To check it, set running = \"all\" under [plant] or \
                    place it first in the file.";
        Some(finding.says(says.and(rest, [])).by(Source::Job("plant.running")))
    }
}

/// In that hour.
pub(super) fn at(worst: &Worst) -> When {
    When::Hour(worst.moment.says())
}

/// When an hour is and how warm: `22 July, 14 to 15 h, at 94 F outdoors`.
pub(super) fn when(worst: &Worst) -> Value {
    let (moment, outdoor) = (Value::name(worst.moment.says()), Value::Temperature(worst.moment.outdoor_K));
    Value::Say(say("{}, {} outdoors", [moment, outdoor]))
}

/// The same, and how a circuit runs then, where not with all compressors: `, with 50 % of its displacement running`.
pub(super) fn when_running(worst: &Worst) -> Value {
    let mut says: Say = say("{}", [when(worst)]);
    if worst.share < 1.0 {
        says = says.and(", at {} of its displacement", [Value::Of(Kind::Share, worst.share)]);
    }
    if worst.bypass > 0.0 {
        says = says.and(", the hot-gas bypass open", []);
    }
    Value::Say(says)
}

/// `1 hour`, `12 hours`, `3.5 hours`.
pub(super) fn hours(hours: f64) -> Value {
    Value::Of(Kind::Hours, hours)
}

#[cfg(test)]
pub(super) mod testing {
    #![allow(clippy::unwrap_used)]

    use super::super::finding::{Finding, Look, Rule};
    use super::super::testing::job;
    use crate::job::{Circuit, Job};
    use crate::units::Temperature;
    use crate::weather;
    use crate::year::{self, CircuitYear, Energy, Moment, Spell, Worst, Year};
    use std::path::Path;
    use std::sync::Arc;

    /// The clean job in a year of weather, its circuit changed.
    pub fn in_a_year(change: impl FnOnce(&mut Circuit)) -> Job {
        let mut job = job();
        let file = Path::new("tests/data/weather/typical_year_45N_8E.epw");
        let weather = weather::open(file).unwrap();
        job.site.summer = Temperature::from_kelvin(weather.exceeded(0.004));
        job.site.winter = Temperature::from_kelvin(weather.lowest());
        job.weather = Some(Arc::new(weather));
        change(&mut job.circuits[0]);
        job
    }

    pub fn run(job: &Job) -> Year {
        year::year(job, &|_| {}).unwrap().unwrap()
    }

    pub fn found(rule: Rule, job: &Job, year: &Year) -> Vec<Finding> {
        let Look::Year(look) = rule.look else { panic!("no rule of the year") };
        look(job, year)
    }

    /// An hour that is told.
    pub fn worst(value: f64) -> Worst {
        let moment = Moment { month: 7, day: 22, hour: 14, outdoor_K: 305.0, load_W: None };
        Worst { moment, share: 1.0, bypass: 0.0, value, run: None }
    }

    /// A year without any fault, changed.
    pub fn by_hand(job: &Job, change: impl FnOnce(&mut CircuitYear)) -> Year {
        let well = |value: f64| Spell { hours: 0.0, worst: Some(worst(value)) };
        let mut circuit = CircuitYear {
            name: job.circuits[0].name.clone(),
            copies: 1,
            running_hours: 8760.0,
            hottest_capacity_W: Some(1e5),
            mean_capacity_W: Some(1e5),
            unsolved: Spell::default(),
            falls: Spell::default(),
            starves: Spell::default(),
            trips: well(1.2e6),
            near_cutout: well(1.2e6),
            flash: well(2.0),
            oil: well(2.0),
            energy: Energy::default(),
            warm_air: None,
            floating: None,
        };
        change(&mut circuit);
        Year {
            hours: 8760.0,
            missing_hours: 0.0,
            circuits: vec![circuit],
            plant: None,
            energy: Energy::default(),
            floating: None,
            course: Vec::new(),
        }
    }
}
