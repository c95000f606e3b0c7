//! Bracketed root finding.
