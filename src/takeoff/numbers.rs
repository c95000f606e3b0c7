//! The numbers of joints, the same in the list and on the piping sketch: through both lines of a circuit in order of flow.

use super::answer::NumberedRun;
use super::count::joints_by_run;
use crate::job::{Circuit, Code, Job, LineId, Path};

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
pub fn told(first: u64, last: u64) -> String {
    match last - first {
        0 => format!("joint {first}"),
        1 => format!("joints {first}, {last}"),
        _ => format!("joints {first} to {last}"),
    }
}

/// The joints of each run of a circuit that has a piping sketch.
pub(super) fn of_sketches(job: &Job) -> Vec<NumberedRun> {
    let turns = |circuit: &&Circuit| {
        [&circuit.discharge, &circuit.liquid].iter().all(|line| {
            let level = line.runs.iter().find(|run| matches!(run.path, Path::Level { .. }));
            level.is_none_or(|run| run.turn_deg.is_some())
        })
    };
    let of = |circuit: &Circuit| {
        let lines = joint_numbers(job.site.code, circuit).into_iter().zip(LineId::BOTH);
        let runs = lines
            .flat_map(|(joints, line)| (1..).zip(joints).filter_map(move |(run, joints)| Some((line, run, joints?))));
        let circuit = &circuit.name;
        runs.map(|(line, run, (first, last))| NumberedRun { circuit: circuit.clone(), line, run, first, last })
            .collect::<Vec<_>>()
    };
    job.circuits.iter().filter(turns).flat_map(of).collect()
}
