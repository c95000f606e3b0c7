//! What a person always wants, from a file in the platform's place for settings.

use super::arguments::{Color, Units};
use super::screen::Trouble;
use clap::ValueEnum;
use directories::ProjectDirs;
use serde::Deserialize;
use std::fs;
use std::io::ErrorKind;

/// What stands in the place of options that are not given.
#[derive(Debug, Default)]
pub(super) struct Defaults {
    pub width: Option<u16>,
    pub units: Option<Units>,
    pub color: Option<Color>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    width: Option<u16>,
    units: Option<String>,
    color: Option<String>,
}

/// Reads them; none where there is no such file.
pub(super) fn read() -> Result<Defaults, Trouble> {
    let Some(folders) = ProjectDirs::from("", "", "roofrun") else { return Ok(Defaults::default()) };
    let path = folders.config_dir().join("config.toml");
    let text = match fs::read_to_string(&path) {
        Ok(text) => text,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(Defaults::default()),
        Err(error) => return Err(Trouble::words(format!("{}: {error}", path.display()))),
    };
    parse(&text).map_err(|what| Trouble::words(format!("{}: {what}", path.display())))
}

fn parse(text: &str) -> Result<Defaults, String> {
    let written: Written = toml::from_str(text).map_err(|error| error.to_string())?;
    if written.width.is_some_and(|width| !(40..=1000).contains(&width)) {
        return Err("`width` is from 40 to 1000".to_owned());
    }
    Ok(Defaults {
        width: written.width,
        units: one_of(written.units.as_deref(), "units", "\"ip\" or \"si\"")?,
        color: one_of(written.color.as_deref(), "color", "\"auto\", \"always\" or \"never\"")?,
    })
}

fn one_of<T: ValueEnum>(word: Option<&str>, key: &str, words: &str) -> Result<Option<T>, String> {
    word.map(|word| T::from_str(word, true).map_err(|_| format!("`{key}` is {words}"))).transpose()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_stands_there_is_taken_and_what_is_wrong_is_told() {
        let read = parse("width = 60\nunits = \"si\"\ncolor = \"never\"\n").unwrap();
        assert_eq!((read.width, read.units, read.color), (Some(60), Some(Units::Si), Some(Color::Never)));
        assert!(parse("").unwrap().width.is_none());
        for (text, told) in [
            ("width = 20", "`width` is from 40 to 1000"),
            ("units = \"metric\"", "`units` is \"ip\" or \"si\""),
            ("colour = \"never\"", "unknown field"),
        ] {
            assert!(parse(text).unwrap_err().contains(told), "{text}");
        }
    }
}
