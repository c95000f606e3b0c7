//! How far apart in time values stand, in constant memory.

/// Steps that are kept, evenly over the file.
const KEPT: usize = 256;
/// Steps within that of the usual one, as a share, are regular.
const NEAR: f64 = 0.2;

/// Steps between values, s.
#[derive(Clone, Debug)]
pub struct Steps {
    kept: Vec<i64>,
    every: u64,
    count: u64,
}

impl Default for Steps {
    fn default() -> Self {
        Self { kept: Vec::new(), every: 1, count: 0 }
    }
}

impl Steps {
    /// Hears a step; none is no step.
    pub fn hear(&mut self, step: i64) {
        if step <= 0 {
            return;
        }
        if self.count.is_multiple_of(self.every) {
            self.kept.push(step);
            if self.kept.len() >= KEPT {
                let mut keep = false;
                self.kept.retain(|_| {
                    keep = !keep;
                    keep
                });
                self.every *= 2;
            }
        }
        self.count += 1;
    }

    /// The usual one.
    #[must_use]
    pub fn usual(&self) -> Option<i64> {
        let mut kept = self.kept.clone();
        kept.sort_unstable();
        kept.get(kept.len() / 2).copied()
    }

    /// The usual one, where nearly all are like it.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "seconds of a file")]
    pub fn regular(&self) -> Option<i64> {
        let usual = self.usual()?;
        let near = |step: &&i64| (**step - usual).abs() as f64 <= NEAR * usual as f64;
        (10 * self.kept.iter().filter(near).count() >= 8 * self.kept.len()).then_some(usual)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_step_is_told_and_whether_it_is_regular() {
        let steps = |all: &[i64]| {
            let mut steps = Steps::default();
            for step in all {
                steps.hear(*step);
            }
            (steps.usual(), steps.regular())
        };
        assert_eq!(steps(&[]), (None, None));
        assert_eq!(steps(&[300, 300, 0, 301, 300, 7_200]), (Some(300), Some(300)));
        assert_eq!(steps(&[60, 600, 1_200, 300, 4_000]), (Some(600), None));
        assert_eq!(steps(&vec![300; 10_000]), (Some(300), Some(300)));
    }
}
