//! What a state of a circuit reaches: how much of it fails, and what it may not make worse.

use super::resort::is_worth_a_change;
use super::trial::{State, Trial};
use crate::rules::{Finding, Verdict};

/// The findings that fail.
pub(super) fn failing(state: &State) -> impl Iterator<Item = &Finding> {
    state.findings.iter().filter(|finding| finding.verdict == Verdict::Fail)
}

/// What a state reaches: less is better.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub(super) struct Reaches {
    /// Points without a solution.
    pub(super) unsolved: usize,
    /// Fails; and a switch that tripped as drawn, until it stands clear of the hottest day's pressure.
    pub(super) fails: usize,
    /// Cautions that are worth a change.
    pub(super) cautions: usize,
    /// By how much of their limits the fails miss.
    pub(super) short: f64,
}

impl Reaches {
    pub(super) fn of(trial: &Trial, state: &State) -> Self {
        let cautions = || state.findings.iter().filter(|finding| finding.verdict == Verdict::Caution);
        let trips = failing(&trial.drawn).any(|finding| finding.rule == "high-pressure");
        let near = cautions().filter(|finding| trips && finding.rule == "high-pressure").count();
        Self {
            unsolved: state.score.unsolved,
            fails: state.score.fails + near,
            cautions: cautions().filter(|finding| is_worth_a_change(finding)).count(),
            short: state.score.short,
        }
    }

    /// Whether nothing fails.
    pub(super) fn is_all(&self) -> bool {
        self.unsolved == 0 && self.fails == 0
    }

    /// Whether it is better than another: fewer points without a solution, fewer fails, a smaller miss, fewer cautions.
    pub(super) fn is_better(&self, than: &Self) -> bool {
        let coarse = |it: &Self| (it.unsolved, it.fails, (it.short * 50.0).round(), it.cautions);
        coarse(self) < coarse(than)
    }

    /// Whether it fails no more than another.
    pub(super) fn fails_no_more(&self, than: &Self) -> bool {
        (self.unsolved, self.fails) <= (than.unsolved, than.fails)
    }

    /// Whether it fails no more than another, nor has, where nothing fails, more cautions.
    pub(super) fn is_no_worse(&self, than: &Self) -> bool {
        let cautions = |it: &Self| if it.is_all() { it.cautions } else { 0 };
        (self.unsolved, self.fails, cautions(self)) <= (than.unsolved, than.fails, cautions(than))
    }
}
