//! What is wrong with a command line, in the words of every other message.

use clap::Error;
use clap::error::{ContextKind, ContextValue, ErrorKind};

/// What is wrong, what comes near, and how it is used.
pub(super) fn told(error: &Error) -> String {
    let says = says(error).unwrap_or_else(|| first_line(error));
    let usage = text(error, ContextKind::Usage).unwrap_or_default();
    let usage = usage.trim().trim_start_matches("Usage: ");
    let usage = if usage.is_empty() { String::new() } else { format!("\n  usage  {usage}") };
    format!("{says}{usage}\n  help   add --help")
}

fn says(error: &Error) -> Option<String> {
    let of = |kind| text(error, kind);
    let nearest = |kind| {
        let near = all(error, kind);
        if near.is_empty() { String::new() } else { format!("; nearest: {}", quoted(&near, " or ")) }
    };
    Some(match error.kind() {
        ErrorKind::InvalidSubcommand => {
            let name = of(ContextKind::InvalidSubcommand)?;
            format!("no command is called `{name}`{}", nearest(ContextKind::SuggestedSubcommand))
        }
        ErrorKind::UnknownArgument => {
            format!("unknown option `{}`{}", of(ContextKind::InvalidArg)?, nearest(ContextKind::SuggestedArg))
        }
        ErrorKind::InvalidValue => {
            let (option, value) = (of(ContextKind::InvalidArg)?, of(ContextKind::InvalidValue)?);
            let one_of = all(error, ContextKind::ValidValue).join(", ");
            match (value.is_empty(), one_of.is_empty()) {
                (true, true) => format!("`{option}` requires a value"),
                (true, false) => format!("`{option}` requires one of {one_of}"),
                (false, _) => format!("`{option}`: `{value}` is none of {one_of}"),
            }
        }
        ErrorKind::ValueValidation => {
            let source = std::error::Error::source(error).map(ToString::to_string).unwrap_or_default();
            format!("`{}`: `{}` is not {source}", of(ContextKind::InvalidArg)?, of(ContextKind::InvalidValue)?)
        }
        ErrorKind::MissingRequiredArgument => {
            format!("missing: {}", quoted(&all(error, ContextKind::InvalidArg), ", "))
        }
        ErrorKind::ArgumentConflict => {
            let others = all(error, ContextKind::PriorArg);
            format!("`{}` does not go with {}", of(ContextKind::InvalidArg)?, quoted(&others, " or "))
        }
        _ => return None,
    })
}

/// What clap says where no words of our own fit.
fn first_line(error: &Error) -> String {
    let rendered = error.render().to_string();
    rendered.lines().next().unwrap_or_default().trim_start_matches("error: ").to_owned()
}

fn text(error: &Error, kind: ContextKind) -> Option<String> {
    error.get(kind).map(ToString::to_string)
}

fn all(error: &Error, kind: ContextKind) -> Vec<String> {
    match error.get(kind) {
        Some(ContextValue::Strings(all)) => all.clone(),
        Some(ContextValue::String(one)) => vec![one.clone()],
        _ => Vec::new(),
    }
}

fn quoted(all: &[String], between: &str) -> String {
    all.iter().map(|one| format!("`{one}`")).collect::<Vec<_>>().join(between)
}

#[cfg(test)]
mod tests {
    use super::super::arguments::Arguments;
    use clap::Parser;

    fn told(line: &str) -> String {
        super::told(&Arguments::try_parse_from(line.split(' ')).unwrap_err())
    }

    #[test]
    fn what_is_wrong_is_told_with_what_comes_near_and_how_it_is_used() {
        for (line, says) in [
            ("roofrun chek", "no command is called `chek`; nearest: `schema` or `check`"),
            ("roofrun check --widht 3 x", "unknown option `--widht`; nearest: `--width`"),
            ("roofrun check --format foo x", "`--format <FORMAT>`: `foo` is none of text, json, page, sheet"),
            ("roofrun check x --format", "`--format <FORMAT>` requires one of text, json, page, sheet"),
            ("roofrun check x --width", "`--width <COLUMNS>` requires a value"),
            ("roofrun --width 10 check x", "`--width <COLUMNS>`: `10` is not from 40 to 1000"),
            ("roofrun check", "missing: `<JOB>...`"),
            ("roofrun check x --brief --full", "`--brief` does not go with `--full`"),
            ("roofrun take-off x --allowance ten", "`--allowance <PERCENT>`: `ten` is not a percentage, such as 10"),
        ] {
            let told = told(line);
            assert!(told.starts_with(says), "{line}: {told}");
            assert!(told.contains("--help") && !told.contains("error:"), "{told}");
        }
        assert!(told("roofrun check").contains("\n  usage  roofrun check"), "{}", told("roofrun check"));
    }
}
