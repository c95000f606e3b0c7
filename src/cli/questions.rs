//! `new` at a terminal: its choices are asked where none is given.

use super::arguments::New;
use super::screen::Trouble;
use super::starter::DRAWN;
use crate::refrigerant;
use crate::units::System;
use inquire::{InquireError, Select, Text};
use std::io::{IsTerminal, stdin, stdout};
use std::path::PathBuf;

const IP: &str = "inch-pound: ft, psig, F, ton";
const SI: &str = "SI: m, bar (g), °C, kW";
const ABOVE: &str = "above the chiller, on the roof";
const BELOW: &str = "below the chiller, in the yard";
const FOUND: &str = "the lightest that passes";
const OPEN: &str = "leave it open, for roofrun size";
const LONG: &str = "every key explained";
const SHORT: &str = "few lines: what is not said is assumed and reported";

/// What was chosen.
#[derive(Debug)]
pub(super) struct Answers {
    /// The choice, as the command line gives it.
    pub choice: New,
    /// Its units.
    pub units: System,
}

/// Whether questions are asked: nothing is given, and a person can read and answer.
pub(super) fn are_asked(what: &New) -> bool {
    is_nothing(what) && stdin().is_terminal() && stdout().is_terminal()
}

fn is_nothing(what: &New) -> bool {
    what.file.is_none() && what.refrigerant.is_none() && !(what.below || what.auto || what.short)
}

/// Asks; none where the person leaves.
pub(super) fn ask(units: Option<System>) -> Result<Option<Answers>, Trouble> {
    match questions(units) {
        Ok(answers) => Ok(Some(answers)),
        Err(InquireError::OperationCanceled | InquireError::OperationInterrupted) => Ok(None),
        Err(error) => Err(Trouble::words(error)),
    }
}

fn questions(units: Option<System>) -> Result<Answers, InquireError> {
    let names = refrigerant::names().to_vec();
    let usual = names.iter().position(|name| *name == DRAWN).unwrap_or_default();
    let fluid = Select::new("Refrigerant", names).with_starting_cursor(usual).prompt()?;
    let usual = usize::from(units == Some(System::Si));
    let units = Select::new("Units", vec![IP, SI]).with_starting_cursor(usual).prompt()?;
    let place = Select::new("The condenser is", vec![ABOVE, BELOW]).prompt()?;
    let tube = Select::new("Tube", vec![FOUND, OPEN]).prompt()?;
    let form = Select::new("The job file", vec![LONG, SHORT]).prompt()?;
    let mut file = Text::new("Write it to").with_help_message("a file; empty: it is shown here").prompt()?;
    while !file.trim().is_empty() && PathBuf::from(file.trim()).exists() {
        file = Text::new("That file stays as it is. Another name").prompt()?;
    }
    Ok(answers([fluid, units, place, tube, form, &file]))
}

/// The choice that answers make.
fn answers([fluid, units, place, tube, form, file]: [&str; 6]) -> Answers {
    let file = Some(file.trim()).filter(|file| !file.is_empty()).map(PathBuf::from);
    let choice = New {
        file,
        refrigerant: Some(fluid.to_owned()),
        below: place == BELOW,
        auto: tube == OPEN,
        short: form == SHORT,
    };
    Answers { choice, units: if units == SI { System::Si } else { System::Ip } }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answers_are_the_choice_that_the_command_line_gives() {
        let told = answers(["R-454B", SI, BELOW, OPEN, SHORT, " plan.toml "]);
        assert_eq!(told.units, System::Si);
        let choice = told.choice;
        assert_eq!(choice.refrigerant.as_deref(), Some("R-454B"));
        assert_eq!(choice.file, Some(PathBuf::from("plan.toml")));
        assert!(choice.below && choice.auto && choice.short);
        let told = answers([DRAWN, IP, ABOVE, FOUND, LONG, ""]);
        assert_eq!((told.units, told.choice.file.is_none()), (System::Ip, true));
        assert!(!(told.choice.below || told.choice.auto || told.choice.short));
        let job = super::super::starter::starter(&told.choice, told.units).unwrap();
        assert!(crate::job::read("new", &job, std::path::Path::new(".")).is_ok());
    }

    #[test]
    fn only_nothing_is_asked_about() {
        let nothing = || New { file: None, refrigerant: None, below: false, auto: false, short: false };
        assert!(is_nothing(&nothing()));
        assert!(!is_nothing(&New { short: true, ..nothing() }));
        assert!(!is_nothing(&New { refrigerant: Some(DRAWN.to_owned()), ..nothing() }));
        assert!(!is_nothing(&New { file: Some(PathBuf::from("-")), ..nothing() }));
    }
}
