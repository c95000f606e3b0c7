//! `new`: a job to start from.

use super::HOLDS;
use super::arguments::New;
use super::screen::{self, Trouble};
use std::io::ErrorKind;

/// The job.
const STARTER: &str = include_str!("starter.toml");

pub(super) fn run(what: &New) -> Result<u8, Trouble> {
    let Some(path) = &what.file else {
        screen::print(STARTER)?;
        return Ok(HOLDS);
    };
    let shown = path.display();
    let trouble = |error: std::io::Error| match error.kind() {
        ErrorKind::AlreadyExists => {
            Trouble::words(format!("{shown} is there already and stays as it is; give another name"))
        }
        _ => Trouble::words(format!("{shown} can't be written: {error}")),
    };
    screen::write(path, STARTER, false).map_err(trouble)?;
    screen::print(&format!("Wrote {shown}. It passes as it stands: roofrun check {shown}\n"))?;
    Ok(HOLDS)
}

#[cfg(test)]
mod tests {
    use super::STARTER;
    use crate::job::{Performance, read};
    use std::path::Path;

    #[test]
    fn the_roof_that_it_explains_reads_and_nothing_of_it_fails() {
        let mut of_roof = false;
        let lines = STARTER.lines().map(|line| {
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
        let lines = STARTER.lines().map(|line| {
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
}
