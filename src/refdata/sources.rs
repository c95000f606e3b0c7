//! Where every value comes from.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// The table.
const TEXT: &str = include_str!("../../refdata/sources.toml");

/// How a source's values came here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Known {
    /// Read in the source itself.
    Seen,
    /// Read in another publication that quotes it.
    Secondary,
    /// From memory, to be replaced as soon as the document is at hand.
    Memory,
    /// A custom of the trade or a choice, with no published source.
    Practice,
}

/// A source.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// Its key.
    pub key: String,
    /// What it is.
    pub title: String,
    /// Where in it.
    pub place: String,
    /// How its values came here.
    pub known: Known,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    title: String,
    place: String,
    known: Known,
}

fn read() -> Result<Vec<Source>, toml::de::Error> {
    let rows: BTreeMap<String, Row> = toml::from_str(TEXT)?;
    let source = |(key, row): (String, Row)| Source { key, title: row.title, place: row.place, known: row.known };
    Ok(rows.into_iter().map(source).collect())
}

/// All sources, by key.
#[must_use]
pub fn sources() -> &'static [Source] {
    static TABLE: OnceLock<Vec<Source>> = OnceLock::new();
    TABLE.get_or_init(|| read().unwrap_or_default())
}

/// The source of that key.
///
/// ```
/// let source = roofrun::refdata::source("astm-b88").unwrap();
/// assert_eq!(source.title, "ASTM B88, Seamless Copper Water Tube");
/// ```
#[must_use]
pub fn source(key: &str) -> Option<&'static Source> {
    sources().iter().find(|s| s.key == key)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;
    use std::path::{Path, PathBuf};

    #[test]
    fn the_table_reads() {
        assert!(read().unwrap().len() >= 20);
        assert!(sources().iter().all(|s| !s.title.is_empty() && !s.place.is_empty()));
    }

    fn files(under: &str, ending: &str) -> Vec<PathBuf> {
        fn walk(folder: &Path, ending: &str, into: &mut Vec<PathBuf>) {
            let mut entries: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
            entries.sort();
            for path in entries {
                if path.is_dir() {
                    walk(&path, ending, into);
                } else if path.to_string_lossy().ends_with(ending) {
                    into.push(path);
                }
            }
        }
        let mut found = Vec::new();
        walk(&Path::new(env!("CARGO_MANIFEST_DIR")).join(under), ending, &mut found);
        found
    }

    /// Every cell of a column called `source` or `*_source` in the tables, with the file it stands in.
    fn cells() -> Vec<(PathBuf, String)> {
        let mut cells = Vec::new();
        for file in files("refdata", ".csv") {
            let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(&file).unwrap();
            let heads: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
            assert!(heads.iter().any(|h| h == "source"), "{} has no source column", file.display());
            for record in reader.records() {
                let record = record.unwrap();
                for (head, cell) in heads.iter().zip(&record) {
                    if head == "source" {
                        assert!(!cell.is_empty(), "a row without a source in {}: {record:?}", file.display());
                    }
                    if (head == "source" || head.ends_with("_source")) && !cell.is_empty() {
                        cells.push((file.clone(), cell.to_owned()));
                    }
                }
            }
        }
        cells
    }

    /// Keys in backticks after `Source:` or `Sources:` in a doc comment.
    fn cited_in_code() -> Vec<(PathBuf, String)> {
        let mut cited = Vec::new();
        for file in files("src", ".rs") {
            let text = std::fs::read_to_string(&file).unwrap();
            for line in text.lines().filter(|l| l.trim_start().starts_with("//")) {
                if let Some((_, after)) = line.split_once("Source: ").or_else(|| line.split_once("Sources: ")) {
                    let keys = after.split('`').skip(1).step_by(2).map(str::to_owned);
                    cited.extend(keys.map(|k| (file.clone(), k)));
                }
            }
        }
        cited
    }

    #[test]
    fn every_key_resolves() {
        let cells = cells();
        assert!(cells.len() > 100);
        for (file, key) in cells.iter().chain(&cited_in_code()) {
            assert!(source(key).is_some(), "`{key}` in {} has no entry", file.display());
        }
    }

    #[test]
    fn every_source_is_used() {
        let mut used: BTreeSet<String> = cells().into_iter().chain(cited_in_code()).map(|c| c.1).collect();
        // Assumptions and findings name their source in a string.
        for file in files("src", ".rs") {
            let text = std::fs::read_to_string(&file).unwrap();
            used.extend(text.split('"').skip(1).map(str::to_owned));
        }
        let unused: Vec<_> = sources().iter().map(|s| &s.key).filter(|k| !used.contains(*k)).collect();
        assert!(unused.is_empty(), "{unused:?}");
    }
}
