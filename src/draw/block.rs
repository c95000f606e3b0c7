//! A few lines of text that stand together, where there is room.

use super::canvas::{Canvas, Text};
use super::measure;
use super::plane::{At, Rect};
use super::style::Type;

/// From one line of text to the next.
pub const LINE: f64 = 15.0;

/// Room to the left and to the right of a block.
const ROUND: f64 = 6.0;
/// Room over and under it, so that the next is another block.
const OVER: f64 = 4.0;

/// A few lines of text that stand together.
#[derive(Clone, Debug)]
pub struct Block(Vec<(String, Type)>);

impl Block {
    /// Of lines, each with its look.
    #[must_use]
    pub const fn new(lines: Vec<(String, Type)>) -> Self {
        Self(lines)
    }

    /// How wide it is.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.0.iter().map(|(words, look)| measure::width(words, *look)).fold(0.0, f64::max)
    }

    /// How high it is.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "a few lines")]
    pub fn height(&self) -> f64 {
        self.0.len() as f64 * LINE
    }

    /// Those of some places (top left corners) at which it covers no line.
    #[must_use]
    pub fn clear(&self, canvas: &Canvas, spots: &[(At, bool)]) -> Vec<(At, bool)> {
        let (w, h) = (self.width(), self.height());
        spots.iter().copied().filter(|((x, y), _)| canvas.is_clear(&Rect::new(*x, *y, w, h))).collect()
    }

    /// Written in the first of some boxes (their top left corners) that is free; whether there was one. Lines stand to the
    /// right of their box where `end`.
    pub fn put(&self, canvas: &mut Canvas, spots: &[(At, bool)]) -> bool {
        let (w, h) = (self.width(), self.height());
        let boxes: Vec<Rect> = spots.iter().map(|((x, y), _)| Rect::new(*x, *y, w, h)).collect();
        let Some((Rect { x, y, .. }, end)) =
            canvas.free(&boxes).and_then(|at| Some((*boxes.get(at)?, spots.get(at)?.1)))
        else {
            return false;
        };
        let mut baseline = y + 11.5;
        for (words, look) in &self.0 {
            let text = Text::new(words, (if end { x + w } else { x }, baseline), *look).halo();
            canvas.write(if end { text.end() } else { text });
            baseline += LINE;
        }
        // What nestles in beside a short line would be read as part of it.
        canvas.take(Rect::new(x - ROUND, y - OVER, w + 2.0 * ROUND, h + 2.0 * OVER));
        true
    }
}
