//! The choice put into the job file, its comments and layout kept.

use crate::job::{Circuit, EditFault, Job, LineId, Run, edit, step};
use crate::remedies::Edits;
use serde_json::{Value as Json, json};

/// Puts the tubes of a sized job into the text that it was read from: into every run that was open, and into the line's own
/// `tube` where that is `"auto"`.
///
/// # Errors
/// [`EditFault`] where the text is not that job's.
pub fn write(text: &str, sized: &Job) -> Result<String, EditFault> {
    let mut edits = Edits::of(text);
    for circuit in &sized.circuits {
        for line in LineId::BOTH {
            of_line(&mut edits, circuit, line);
        }
    }
    edit(text, &edits.made)
}

fn of_line(edits: &mut Edits, circuit: &Circuit, line: LineId) {
    let runs = &line.of(circuit).runs;
    let place = format!("circuit.{}.{}", step(&circuit.name), line.name());
    let own = format!("{place}.tube");
    // The level tube is the line's own: it stands once, and runs name theirs where it is another.
    let open = || runs.iter().filter(|run| run.open);
    let common = open().min_by_key(|run| run.path.rise_m() != 0.0).map(names);
    let is_line_open = runs.iter().all(|run| run.open) || edits.stands(&own) == Some(json!("auto"));
    let common = common.filter(|names| is_line_open && names.is_string());
    if let Some(common) = &common {
        edits.set(own, Some(common.clone()));
    }
    for (number, run) in (1..).zip(runs).filter(|(_, run)| run.open) {
        let tube = Some(names(run)).filter(|names| common.as_ref() != Some(names));
        edits.set(format!("{place}.route.{number}.tube"), tube);
    }
}

/// The tube of a run as it is written.
fn names(run: &Run) -> Json {
    match run.tubes.as_slice() {
        [one] => json!(one.name),
        several => json!(several.iter().map(|tube| &tube.name).collect::<Vec<_>>()),
    }
}
