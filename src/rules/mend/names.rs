//! Mends in words.

use super::super::case::Case;
use super::super::say::{list, runs};
use super::Sizing;
use crate::job::{HeadControl, Line, Path};
use crate::refdata::Tube;

/// What a new sizing puts where: `1-5/8 ACR in the rise (run 2) and 1-3/8 ACR in runs 1 and 3`.
pub(in crate::rules) fn name_sizing(line: &Line, sizing: &Sizing) -> String {
    let mut groups: Vec<(String, Vec<usize>)> = Vec::new();
    for (index, tubes) in sizing {
        let name = list(tubes.iter().map(|tube| tube.name.clone()));
        match groups.iter_mut().find(|(known, _)| *known == name) {
            Some((_, runs)) => runs.push(index + 1),
            None => groups.push((name, vec![index + 1])),
        }
    }
    list(groups.into_iter().map(|(name, numbers)| match numbers.as_slice() {
        [one] => {
            let path = line.runs.get(one - 1).map(|run| &run.path);
            let word = match path {
                Some(Path::Level { .. }) => "the level run",
                Some(Path::Rise { .. }) => "the rise",
                Some(Path::Fall { .. }) => "the fall",
                _ => "the part",
            };
            format!("{name} in {word} (run {one})")
        }
        _ => format!("{name} in {}", runs(&numbers)),
    }))
}

/// What a double riser puts where: `A double riser of 1-1/8 ACR and 1-5/8 ACR with a trap at its foot (run 2)`.
pub(in crate::rules) fn name_pair(pair: &[Tube], index: usize) -> String {
    let names = list(pair.iter().map(|tube| tube.name.clone()));
    format!("A double riser of {names} with a trap at its foot (run {})", index + 1)
}

/// One tube in a rise: `1-5/8 ACR in the rise (run 2)`, alone where there were several.
pub(in crate::rules) fn name_single(tube: &Tube, index: usize) -> String {
    format!("{} alone in the rise (run {})", tube.name, index + 1)
}

/// A larger condenser: `A condenser of 1.35 times the rejection (864 kBtu/h at 25 F over the air)`.
pub(in crate::rules) fn name_rejection(case: &Case, factor: f64) -> String {
    let condenser = &case.circuit.condenser;
    let show = case.show();
    format!(
        "A condenser of {} times the rejection ({} at {} over the air)",
        show.ratio(factor),
        show.heat(condenser.rejection.value * factor),
        show.difference(condenser.difference.value),
    )
}

/// A head control, as the start of a sentence.
pub(in crate::rules) fn name_control(case: &Case, control: HeadControl) -> String {
    let show = case.show();
    match control {
        HeadControl::None => "No head control".to_owned(),
        HeadControl::Fans { hold, least_air } => format!(
            "Head control by fans that hold {} and cut the air to {}",
            show.temperature(hold.kelvin()),
            show.percent(least_air)
        ),
        HeadControl::Flooding { hold } => {
            format!("Head control by flooding that holds {}", show.temperature(hold.kelvin()))
        }
    }
}
