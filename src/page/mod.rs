//! The page: an answer as one HTML file that needs nothing else, from the same data as its text and its JSON.
//!
//! `view` holds what a page shows, `row` puts findings in words, `piece` the blocks of a text. Each kind of answer is a file.

mod check;
mod common;
mod piece;
mod plain;
mod review;
mod row;
mod site;
mod view;

#[cfg(feature = "watch")]
pub use view::complaint;

pub use check::check;
pub use plain::{diagnosis, expectation, proposal, sizing, take_off, trend};
pub use review::review;
pub use site::site;

/// A page that could not be written, which no answer brings about.
#[derive(Debug, thiserror::Error)]
#[error("the page can't be written: {0}")]
pub struct Unwritten(#[from] askama::Error);
