//! How much is done to solve a circuit, and how much may be.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

/// Counts the steps along lines, and what else takes as long as some. Clones count together.
#[derive(Clone, Debug)]
pub struct Work {
    steps: Arc<AtomicU64>,
    end: Arc<AtomicU64>,
}

impl Default for Work {
    fn default() -> Self {
        Self { steps: Arc::default(), end: Arc::new(AtomicU64::new(u64::MAX)) }
    }
}

impl Work {
    /// So many steps more.
    pub fn add(&self, steps: u64) {
        self.steps.fetch_add(steps, Ordering::Relaxed);
    }

    /// Steps so far.
    #[must_use]
    pub fn steps(&self) -> u64 {
        self.steps.load(Ordering::Relaxed)
    }

    /// Lets so many more be made from here.
    pub fn allow(&self, steps: u64) {
        self.end.store(self.steps().saturating_add(steps), Ordering::Relaxed);
    }

    /// Whether all were made.
    #[must_use]
    pub fn is_spent(&self) -> bool {
        self.steps() >= self.end.load(Ordering::Relaxed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clones_count_together_and_end_together() {
        let work = Work::default();
        let same = work.clone();
        work.add(5);
        assert!(!same.is_spent());
        same.allow(2);
        work.add(1);
        assert!(!same.is_spent());
        same.add(1);
        assert_eq!((work.steps(), work.is_spent()), (7, true));
    }
}
