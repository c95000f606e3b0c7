//! Answers made from a survey: screen and JSON over the same results.
