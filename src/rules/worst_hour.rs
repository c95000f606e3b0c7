//! The worst hour of a circuit's year, looked at as an operating point of its own: what mends it is sought as at any other.

use super::case::Case;
use super::{Finding, Look, Rule, Verdict};
use crate::job::{Circuit, Job, OwnPoint, Running};
use crate::survey::PointId;
use crate::survey::{Point, what_if};
use crate::units::Temperature;
use crate::year::{CircuitYear, Worst, Year};

/// The circuits of a job with their years.
pub(super) fn each<'a>(job: &'a Job, year: &'a Year) -> impl Iterator<Item = (&'a Circuit, &'a CircuitYear)> {
    job.circuits.iter().zip(&year.circuits)
}

/// The mend that a rule of operating points finds for a circuit with the worst hour as one of them.
pub(super) fn mend(job: &Job, circuit: &Circuit, worst: &Worst, rule: &Rule) -> Option<String> {
    let Look::Circuit(look) = rule.look else { return None };
    let name = worst.moment.says();
    let mut job = job.clone();
    job.points.push(OwnPoint {
        name,
        outdoor: Temperature::from_kelvin(worst.moment.outdoor_K),
        share: worst.share,
        bypass: worst.bypass > 0.0,
    });
    let solved = what_if(&job, circuit).ok()?;
    let case = Case { job: &job, index: 0, circuit, solved: &solved };
    let found: Vec<Finding> = look(&case).into_iter().filter(|finding| finding.verdict > Verdict::Note).collect();
    let here = found.iter().find(|finding| finding.point() == Some(PointId::Own(job.points.len() - 1)));
    here.or(found.first()).and_then(|finding| finding.mend.clone())
}

/// A circuit at the worst hour's temperature, and at the ends of the year's, at another share and bypass.
pub(super) fn at_share(job: &Job, circuit: &Circuit, worst: &Worst, share: f64, bypass: bool) -> Option<Vec<Point>> {
    let weather = job.weather.as_ref()?;
    let outdoor = [worst.moment.outdoor_K, weather.highest(), weather.lowest()];
    let point = |(i, outdoor): (usize, f64)| OwnPoint {
        name: format!("year {i}"),
        outdoor: Temperature::from_kelvin(outdoor),
        share,
        bypass,
    };
    let job = Job { points: outdoor.into_iter().enumerate().map(point).collect(), ..job.clone() };
    let solved = what_if(&job, circuit).ok()?;
    (0..job.points.len()).map(|index| solved.point(PointId::Own(index)).cloned()).collect()
}

/// A circuit that carries no load in any hour, though the plant has one: what it would do then is not looked at.
pub(super) fn idle(job: &Job, rule: &'static str, circuit: &Circuit, year: &CircuitYear) -> Option<Finding> {
    let plant = job.plant.as_ref()?;
    (year.running_hours == 0.0).then(|| {
        let why = match plant.running {
            Running::Few => "The machines before it carry the load in every hour",
            Running::All => "The plant has no load",
        };
        Finding::new(rule, Verdict::Note, index_of(job, circuit)).says(format!(
            "{why}, so it never runs in the year and was not looked at here. With running = \"all\" under [plant], or before them \
             in the file, it is."
        ))
        .by("the job file (plant.running)")
    })
}

/// When an hour is and how warm: `22 July, 14 to 15 h, at 94 F outdoors`.
pub(super) fn when(job: &Job, worst: &Worst) -> String {
    format!("{}, at {} outdoors", worst.moment.says(), job.units.temperature(worst.moment.outdoor_K))
}

/// How a circuit runs in its worst hour, where not with all compressors: `, with 50 % of its displacement`.
pub(super) fn running(job: &Job, worst: &Worst) -> String {
    let share = if worst.share < 1.0 {
        format!(", with {} of its displacement running", job.units.percent(worst.share))
    } else {
        String::new()
    };
    if worst.bypass > 0.0 { format!("{share}, the hot-gas bypass open") } else { share }
}

/// `one hour`, `12 hours`, `3.5 hours`.
pub(super) fn hours(hours: f64) -> String {
    #[expect(clippy::float_cmp, reason = "a count")]
    if hours == 1.0 {
        "one hour".to_owned()
    } else if hours.fract() == 0.0 {
        format!("{hours:.0} hours")
    } else {
        format!("{hours:.2} hours")
    }
}

#[cfg(test)]
pub(super) mod testing {
    #![allow(clippy::unwrap_used)]

    use super::super::testing::job;
    use super::super::{Finding, Look, Rule};
    use crate::job::{Circuit, Job};
    use crate::units::Temperature;
    use crate::weather;
    use crate::year::{self, CircuitYear, Energy, Moment, Spell, Worst, Year};
    use std::path::Path;
    use std::sync::Arc;

    /// The clean job in a year of weather, its circuit changed.
    pub fn in_a_year(change: impl FnOnce(&mut Circuit)) -> Job {
        let mut job = job();
        let file = Path::new("tests/data/weather/pvgis_tmy_45N_8E_2005_2023.epw");
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
            mean_capacity_W: 1e5,
            unsolved: Spell::default(),
            falls: Spell::default(),
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
        }
    }
}

/// The index of a circuit in its job.
pub(super) fn index_of(job: &Job, circuit: &Circuit) -> Option<usize> {
    job.circuits.iter().position(|other| other.name == circuit.name)
}
