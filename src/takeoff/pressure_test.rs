//! Pressure tests and evacuation of what is brazed.

use super::answer::{Evacuation, TestRow, WeakestTube};
use crate::job::{Circuit, Code, Job, LineId};
use crate::refdata::Tube;
use crate::refdata::practices::figure;
use crate::survey::{Design, Survey, design};

/// What no test pressure may reach.
pub(super) const ISOLATE: [&str; 6] = [
    "compressors",
    "relief valves (out, and their ports plugged)",
    "high- and low-pressure switches, transducers and gauges",
    "the evaporator and the low side downstream of the expansion valve",
    "condenser, receiver and parts with a nameplate below the test pressure",
    "circuits with refrigerant in them",
];

/// What the high side of a circuit is designed for, with its operating points where the job is solved.
fn design_of(job: &Job, survey: Option<&Survey>, index: usize) -> Option<Design> {
    match survey.and_then(|survey| survey.circuits.get(index)) {
        Some(solved) => solved.design,
        None => design(job, job.circuits.get(index)?, &[]),
    }
}

/// The tube of a circuit with the lowest rating, brazed, at the temperature at which it is tested.
fn weakest(job: &Job, circuit: &Circuit) -> Option<WeakestTube> {
    let runs = LineId::BOTH.into_iter().flat_map(|line| &line.of(circuit).runs);
    let legs = circuit.condenser.legs.iter().map(|legs| &legs.tube);
    let tubes = runs.filter(|run| run.path.length_m() > 0.0).flat_map(|run| &run.tubes).chain(legs);
    let rated = |tube: &Tube| tube.rated_pressure(job.site.installed).ok().map(|rated| rated.value);
    let rows = tubes.filter_map(|tube| Some(WeakestTube { size: tube.name.clone(), rated_gauge_Pa: rated(tube)? }));
    rows.min_by(|a, b| a.rated_gauge_Pa.total_cmp(&b.rated_gauge_Pa))
}

/// Test pressures of every circuit whose design pressure is known: never over the rating of its weakest tube.
pub(super) fn tests(job: &Job, survey: Option<&Survey>) -> Vec<TestRow> {
    let share = figure(if job.site.code == Code::Eu { "strength_test_eu" } else { "strength_test" });
    let row = |(index, circuit): (usize, &Circuit)| {
        let design = design_of(job, survey, index)?.pressure_Pa;
        let weakest = weakest(job, circuit);
        let maximum = weakest.as_ref().map_or(f64::INFINITY, |weakest| weakest.rated_gauge_Pa);
        let leak = (figure("leak_test") * design).min(maximum);
        Some(TestRow {
            circuit: circuit.name.clone(),
            design_gauge_Pa: design,
            strength_test_gauge_Pa: (share * design).min(maximum),
            leak_test_gauge_Pa: leak,
            // A gas in a closed tube: its absolute pressure goes with its absolute temperature.
            leak_test_Pa_K: (leak + job.site.atmosphere.pascals()) / job.site.installed.kelvin(),
            weakest,
        })
    };
    job.circuits.iter().enumerate().filter_map(row).collect()
}

pub(super) fn evacuation() -> Evacuation {
    Evacuation {
        times: figure("evacuations"),
        to_Pa: figure("vacuum"),
        hold_s: figure("vacuum_hold"),
        after_Pa: figure("vacuum_after"),
    }
}
