//! The answer to a complaint.

use super::accuracy::Accuracy;
use super::case::NoCase;
use super::contradiction::Contradiction;
use super::group::Group;
use super::next::Next;
use crate::job::Reading;
use crate::refrigerant::OutOfRange;

/// What an answer can be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Nothing is wrong.
    Healthy,
    /// Something is.
    Suspects,
    /// The readings carry no answer.
    Contradictory,
    /// The compressors are off.
    NotRunning,
}

impl Verdict {
    /// Its name in an answer.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Healthy => "healthy",
            Self::Suspects => "suspects",
            Self::Contradictory => "contradictory",
            Self::NotRunning => "not running",
        }
    }
}

/// A reading beside what a healthy chiller would show.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    /// Of what.
    pub reading: Reading,
    /// As read, SI.
    pub read: f64,
    /// Expected.
    pub expected: f64,
    /// Accuracy of the expected, 95 %: instrument and model.
    pub accuracy: f64,
    /// Whether it is left out because it contradicts the rest.
    pub left_out: bool,
}

impl Row {
    /// Whether what was read is what is expected.
    #[must_use]
    pub fn within(&self) -> bool {
        if matches!(self.reading, Reading::SightGlass | Reading::Coil | Reading::BypassLine) {
            return (self.read > 0.5) == (self.expected > 0.5);
        }
        (self.read - self.expected).abs() <= self.accuracy
    }
}

/// A rule that fails at these conditions and predicts these readings.
#[derive(Clone, Debug)]
pub struct Layout {
    /// The rule.
    pub rule: &'static str,
    /// In a sentence.
    pub says: String,
}

/// The answer.
#[derive(Clone, Debug)]
pub struct Answer {
    /// Of which circuit.
    pub circuit: String,
    /// Outdoor temperature, K.
    pub outdoor_K: f64,
    /// Share of full displacement that runs.
    pub share: f64,
    /// Compressors running, and how many there are.
    pub running: (f64, u32),
    /// Verdict.
    pub verdict: Verdict,
    /// Readings that contradict each other.
    pub contradictions: Vec<Contradiction>,
    /// Rules that fail at these conditions.
    pub layout: Vec<Layout>,
    /// Explanations.
    pub groups: Vec<Group>,
    /// What to read next.
    pub next: Vec<Next>,
    /// Readings beside what is expected.
    pub rows: Vec<Row>,
    /// What was taken how.
    pub taken: Vec<String>,
    /// Readings that would narrow the answer.
    pub missing: Vec<Reading>,
    /// How exact the readings are by their instruments, and what that rests on.
    pub instruments: Vec<Accuracy>,
    /// The air was read on the coil and not outdoors.
    pub air_at_coil: bool,
    /// Whether even the best explanation is further off than the readings' accuracies allow.
    pub poor: bool,
}

/// Why there is no answer.
#[derive(Clone, Debug)]
pub enum NoAnswer {
    /// In a sentence.
    Words(String),
}

impl From<NoCase> for NoAnswer {
    fn from(why: NoCase) -> Self {
        Self::Words(match why {
            NoCase::Machine(fault) => fault.to_string(),
            NoCase::Unbalanced(_) => "the chiller as drawn has no operating point at these conditions".to_owned(),
        })
    }
}

impl From<OutOfRange> for NoAnswer {
    fn from(fault: OutOfRange) -> Self {
        Self::Words(fault.to_string())
    }
}

impl Answer {
    /// Its rows in the order of the readings.
    pub(super) fn sort_rows(&mut self) {
        let place = |row: &Row| Reading::ALL.iter().position(|other| *other == row.reading);
        self.rows.sort_by_key(|row| place(row).unwrap_or(usize::MAX));
    }
}
