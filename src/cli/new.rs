//! `new`: a job to start from.

use super::arguments::New;
use super::screen::{self, Trouble};
use crate::job::{Keys, TABLES};
use std::io::ErrorKind;
use std::process::ExitCode;

/// The job, without what its keys mean.
const JOB: &str = include_str!("starter.toml");

/// The job, with what every key means beside it.
fn starter() -> String {
    let table = |place: &str| TABLES.iter().copied().find(|keys| keys.place == place);
    let mut keys: Option<&Keys> = None;
    let mut lines: Vec<String> = Vec::new();
    for line in JOB.lines() {
        let bare = line.strip_prefix("# ").unwrap_or(line);
        if bare.starts_with('[') {
            keys = table(bare);
        }
        if line == "RUN_KEYS" {
            let runs = table("a run of a route").map(|keys| keys.all).unwrap_or_default();
            lines.extend(runs.iter().map(|key| format!("#   {:<12} {}", key.name, key.doc)));
            continue;
        }
        let key = bare.split_once(" = ").and_then(|(name, _)| keys?.key(name));
        lines.push(match key.filter(|_| !bare.ends_with(['[', '{'])) {
            Some(key) if line.len() > 60 && bare == line => format!("# {}\n{line}", key.doc),
            Some(key) => format!("{line:<35} # {}", key.doc),
            None => line.to_owned(),
        });
    }
    lines.join("\n") + "\n"
}

pub(super) fn run(what: &New) -> Result<ExitCode, Trouble> {
    let Some(path) = &what.file else {
        return screen::answer(&starter(), false);
    };
    let shown = path.display();
    let trouble = |error: std::io::Error| match error.kind() {
        ErrorKind::AlreadyExists => {
            Trouble::words(format!("{shown} is there already and stays as it is; give another name"))
        }
        _ => Trouble::words(format!("{shown} can't be written: {error}")),
    };
    screen::write(path, starter(), false).map_err(trouble)?;
    screen::answer(&format!("Wrote {shown}. It passes: roofrun check {shown}\n"), false)
}

#[cfg(test)]
mod tests {
    use super::{TABLES, starter};
    use crate::job::{Performance, read};
    use std::path::Path;

    #[test]
    fn the_roof_that_it_explains_reads_and_nothing_of_it_fails() {
        let mut of_roof = false;
        let starter = starter();
        let lines = starter.lines().map(|line| {
            of_roof |= line == "# [roof]";
            if of_roof { line.trim_start_matches("# ") } else { line }
        });
        let text = lines.collect::<Vec<&str>>().join("\n");
        let job = read("job.toml", &text, Path::new(".")).unwrap();
        let survey = crate::survey::survey(&job).unwrap();
        let site = crate::site::study(&job, &survey, &|_| {}).unwrap();
        assert!(site.roof.is_some());
        let fails: Vec<_> = site.findings.iter().filter(|f| f.verdict == crate::rules::Verdict::Fail).collect();
        assert!(fails.is_empty(), "{fails:#?}");
    }

    #[test]
    fn the_map_that_it_explains_reads_in_place_of_the_rating() {
        let mut of_map = false;
        let starter = starter();
        let lines = starter.lines().map(|line| {
            of_map |= line == "# map = {";
            let shown = if of_map { line.trim_start_matches("# ") } else { line };
            of_map &= line != "# }";
            if line.starts_with("rating = ") { "" } else { shown }
        });
        let text = lines.collect::<Vec<&str>>().join("\n");
        let job = read("job.toml", &text, Path::new(".")).unwrap();
        assert!(matches!(job.circuits[0].compressors.performance, Performance::Map(_)));
        let survey = crate::survey::survey(&job).unwrap();
        let rating = survey.circuits[0].point(crate::survey::PointId::Rating).unwrap();
        // Some 40 ton, as the rating that it stands for.
        assert!((120e3..160e3).contains(&rating.capacity_W), "{}", rating.capacity_W);
    }

    #[test]
    fn every_key_that_there_is_stands_in_it() {
        let starter = starter();
        let words: Vec<&str> = starter.split(|c: char| !c.is_ascii_alphanumeric() && c != '_').collect();
        let missing = |key: &&str| !words.contains(key);
        let all = TABLES.iter().flat_map(|keys| keys.all.iter().map(|key| key.name));
        assert_eq!(all.filter(missing).collect::<Vec<&str>>(), Vec::<&str>::new());
    }
}
