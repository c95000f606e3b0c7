//! The numbers of joints, the same in the list and on the piping sketch: through both lines of a circuit in order of flow.

use super::count::joints_by_run;
use crate::job::{Circuit, Code, Job, Path};

/// The numbers of the joints of a run, first and last; none where it has none.
pub type Joints = Option<(u64, u64)>;

/// The joints of each run of both lines.
#[must_use]
pub fn joint_numbers(code: Code, circuit: &Circuit) -> [Vec<Joints>; 2] {
    let mut last = 0;
    joints_by_run(code, circuit).map(|line| {
        let number = |count: u64| {
            let first = last + 1;
            last += count;
            (count > 0).then_some((first, last))
        };
        line.into_iter().map(number).collect()
    })
}

/// The joints of a run in words.
#[must_use]
pub fn told(joints: Joints) -> Option<String> {
    joints.map(|(first, last)| match last - first {
        0 => format!("joint {first}"),
        1 => format!("joints {first}, {last}"),
        _ => format!("joints {first} to {last}"),
    })
}

/// By circuit that has a piping sketch the joints of its runs: `D1 joints 1 to 4, D3 joint 5`.
pub(super) fn of_sketches(job: &Job) -> Vec<(String, String)> {
    let turns = |circuit: &&Circuit| {
        [&circuit.discharge, &circuit.liquid].iter().all(|line| {
            let level = line.runs.iter().find(|run| matches!(run.path, Path::Level { .. }));
            level.is_none_or(|run| run.turn_deg.is_some())
        })
    };
    let of = |circuit: &Circuit| {
        let lines = joint_numbers(job.site.code, circuit);
        let runs = lines.iter().zip(["D", "L"]).flat_map(|(line, letter)| {
            (1..).zip(line).filter_map(move |(run, joints)| Some(format!("{letter}{run} {}", told(*joints)?)))
        });
        (circuit.name.clone(), runs.collect::<Vec<_>>().join("; "))
    };
    job.circuits.iter().filter(turns).map(of).collect()
}
