//! Answers made from a survey: screen and JSON over the same results.
//!
//! [`Answer`] joins the job, its survey and the findings of the rules; [`text`] and [`json`] only write it out, so they
//! cannot disagree.

mod answer;
mod change;
pub(crate) mod first;
mod json;
pub(crate) mod order;
pub(crate) mod proposal;
mod remedy;
pub(crate) mod row;
mod safety;
#[cfg(test)]
mod testing;
mod text;

pub(crate) use crate::layout::heading;
pub use answer::Answer;
pub(crate) use change::steps;
pub(crate) use json::{
    AssumptionDocument, CautionDocument, FindingDocument, JobHead, TOOL, assumptions, findings as written, hazards,
    mended, schema_of,
};
pub use json::{NotFinite, json, schema, write_json};
pub(crate) use remedy::{RemedyDocument, aside, costs, left, whole as whole_remedy, whole_document};
pub(crate) use safety::{cautions, who_decides};
pub(crate) use text::{assumptions, circuit_tables, findings, of_the_circuits, plant_table, screenful};
pub use text::{brief, compared, figure, text, why_unsolved, why_unsurveyed};
