//! Whose codes govern, and what is bought there.

use super::tubes::METRIC;

/// Whose codes govern.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Code {
    /// ASHRAE 15 and 34 and the mechanical code.
    #[default]
    Us,
    /// EN 378, the Pressure Equipment Directive and national rules.
    Eu,
}

impl Code {
    /// Kinds of copper tube that are bought where it governs, the ordinary one first.
    #[must_use]
    pub const fn copper(self) -> &'static [&'static str] {
        match self {
            Self::Us => &["ACR", "L", "K"],
            Self::Eu => &[METRIC],
        }
    }
}
