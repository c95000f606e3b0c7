//! The rows of a table of values.

use serde::de::DeserializeOwned;

/// The rows of a CSV text with a head; lines that begin with `#` are remarks.
pub fn rows<T: DeserializeOwned>(text: &str) -> Vec<T> {
    csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_reader(text.as_bytes())
        .deserialize()
        .collect::<Result<_, _>>()
        .unwrap()
}
