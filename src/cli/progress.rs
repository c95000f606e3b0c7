//! A sign of life while something long is computed.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::sync::Once;
use std::time::{Duration, Instant};

/// So long nobody waits for a sign of life.
const PATIENCE: Duration = Duration::from_secs(1);
/// Steps of the bar.
const STEPS: u64 = 100;

/// A bar on standard error, for what takes longer than a moment; none where that is no terminal.
pub(super) struct Bar {
    drawn: ProgressBar,
    begun: Instant,
    shown: Once,
}

impl Bar {
    /// A bar of what is awaited.
    pub fn new(what: &str) -> Self {
        let drawn = ProgressBar::with_draw_target(Some(STEPS), ProgressDrawTarget::hidden());
        if let Ok(style) = ProgressStyle::with_template(&format!("{what} {{bar:40}} {{percent}} %")) {
            drawn.set_style(style);
        }
        Self { drawn, begun: Instant::now(), shown: Once::new() }
    }

    /// Hears from 0 to 1 how much is done.
    pub fn tell(&self, share: f64) {
        if self.begun.elapsed() > PATIENCE {
            self.shown.call_once(|| self.drawn.set_draw_target(ProgressDrawTarget::stderr()));
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "0 to 100"
        )]
        self.drawn.set_position((share.clamp(0.0, 1.0) * STEPS as f64) as u64);
    }

    /// Takes it away.
    pub fn finish(&self) {
        self.drawn.finish_and_clear();
    }
}
